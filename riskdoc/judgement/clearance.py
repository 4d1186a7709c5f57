"""Checks of the clearance below a fall, to the ground and to ledges."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.analysis.clearance import needed_at_lowest, needed_at_work
from riskdoc.analysis.falls import Arrest
from riskdoc.analysis.heights import (
    AT_LOWEST,
    AT_WORK,
    clear_at_lowest,
    clear_at_work,
)
from riskdoc.analysis.inputs import Missing, from_table, stated
from riskdoc.analysis.margins import Pair
from riskdoc.analysis.resolve import RigLine
from riskdoc.i18n.message import Text, message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.judgement.judge import Question, does_not_apply, judge, not_demonstrated
from riskdoc.judgement.verdicts import Check
from riskdoc.quantities.intervals import exact


def clearance_checks(file: JobFile, line: RigLine, fall: Arrest) -> Iterator[Check]:
    """Clear height against what is needed: to the ground at both places, and to every ledge."""
    ground = _question(line, "", message("Clearance below a fall"))
    ledges = _question(line, "/ledges", message("Clearance to ledges"))
    if line.no_fall is not None:
        for each in (ground, ledges):
            yield does_not_apply(each.id, each.subject, each.title, line.no_fall)
        return
    yield _ground(file, line, fall, ground)
    yield _ledges(file, line, fall, ledges)


def _question(line: RigLine, end: str, title: Text) -> Question:
    return Question(
        id=f"line/{line.id}/clearance{end}",
        subject=f"line/{line.id}",
        title=title,
        demanded=mark("a clearance needed of {amount}"),
        held=mark("A clear height of {amount}"),
        unit="m",
        remedy=message("Less slack, a stiffer or shorter rope, or work higher above the obstacle."),
        figures=(f"line/{line.id}/clearance/needed",),
    )


def _ground(file: JobFile, line: RigLine, fall: Arrest, question: Question) -> Check:
    spare = from_table("work", "spare clearance", "spare")
    gaps = [*fall.missing, *fall.slip_missing]
    pairs: list[Pair] = []
    for words, needed, clear in (
        (AT_WORK, needed_at_work, clear_at_work),
        (AT_LOWEST, needed_at_lowest, clear_at_lowest),
    ):
        try:
            there, asked = clear(file, line), needed(file, line, fall)
        except Missing as gap:
            gaps.append(gap.key)
        else:
            if asked is not None:
                pairs.append(Pair(message(words), asked, there))
    if gaps:
        return not_demonstrated(question, tuple(dict.fromkeys(gaps)), exact(1.0), spare)
    return judge(question, pairs, exact(1.0), spare)


def _ledges(file: JobFile, line: RigLine, fall: Arrest, question: Question) -> Check:
    spare = from_table("work", "spare clearance", "spare")
    gaps = [*fall.missing, *fall.slip_missing]
    if line.line.fall is not None:
        why = line.line.fall.why_not("ledges")
        if why is not None:
            return does_not_apply(question.id, question.subject, question.title, why)
        if not line.line.fall.ledges:
            gaps.append(f"lines.{line.id}.fall.ledges")
    needed = needed_at_work(file, line, fall)
    if gaps or needed is None or line.line.fall is None:
        return not_demonstrated(question, tuple(dict.fromkeys(gaps)), exact(1.0), spare)
    pairs = []
    for n, ledge in enumerate(line.line.fall.ledges):
        keys = ("lines", line.id, "fall", "ledges", n, "below")
        height = stated(file, keys, "C", message("height down to {ledge}", ledge=ledge.name))
        pairs.append(Pair(message("to {ledge}", ledge=ledge.name), needed, height))
    return judge(question, pairs, exact(1.0), spare)
