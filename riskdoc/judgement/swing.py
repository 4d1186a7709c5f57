"""How hard a person on the line swings to the fall line."""

from __future__ import annotations

from dataclasses import replace

from riskdoc.analysis.course import below_pivot
from riskdoc.analysis.inputs import from_table
from riskdoc.analysis.resolve import RigLine
from riskdoc.analysis.wind_and_swing import fits, reach_of, swing_missing, swing_of
from riskdoc.i18n.message import Text, message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.judgement.judge import Question, graded, not_demonstrated, rule
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.quantities.intervals import exact
from riskdoc.quantities.printing import Amount


def swing_check(file: JobFile, line: RigLine) -> Check:
    """How hard a person on the line swings: the speed, named by the free fall of equal speed."""
    most = from_table("general", "swing most", "h most")
    question = Question(
        id=f"line/{line.id}/swing",
        subject=f"line/{line.id}",
        title=message("Swing to the fall line"),
        demanded=mark("A swing as fast as a free fall of {amount}"),
        held="",
        unit="m",
        remedy=message(
            "Less reach: an anchor above the place of work, or a second line that holds the person "
            "there."
        ),
        figures=(f"line/{line.id}/swing/speed", f"line/{line.id}/swing/drop"),
    )
    gaps = swing_missing(file, line)
    if gaps:
        return not_demonstrated(question, gaps, exact(1.0), most)
    if line.site.reach_sideways is not None and line.site.reach_sideways.high == 0:
        said = message("The reach stated at site ‘{site}’ is none.", site=line.site_id)
        return _plain(question, Verdict.ADEQUATE, said, message("stated in the job"))
    if not fits(file, line):
        return _plain(question, Verdict.INADEQUATE, _too_far(file, line), message("geometry"))
    drop, speed = swing_of(file, line)
    check = graded(question, drop, from_table("general", "swing good", "h good"), most)
    worst = speed.range.expected if check.verdict is Verdict.INADEQUATE else speed.range.high
    said = message("{reason} Speed {speed}.", reason=check.reason, speed=Amount(worst, "m/s", "up"))
    return replace(check, reason=said)


def _too_far(file: JobFile, line: RigLine) -> Text:
    return message(
        "Reach, or the wind where that is more, comes to {reach} at site ‘{site}’. Line ‘{line}’ "
        "has {below} of rope below its pivot: nobody can stand there.",
        reach=Amount(reach_of(file, line).range.high, "m", "up"),
        site=line.site_id,
        line=line.id,
        below=Amount(below_pivot(file, line).range.low, "m", "down"),
    )


def _plain(question: Question, verdict: Verdict, reason: Text, source: Text) -> Check:
    remedy = "" if verdict is Verdict.ADEQUATE else question.remedy
    return rule(question.id, question.subject, question.title, verdict, reason, remedy, source)
