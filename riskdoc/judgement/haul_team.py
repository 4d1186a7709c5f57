"""Whether the team can pull what the hauling system asks of it."""

from __future__ import annotations

from riskdoc.analysis.hauling import Hauling, haul_missing, steady_effort
from riskdoc.analysis.margins import Pair
from riskdoc.analysis.resolve import RigLine
from riskdoc.i18n.message import filled, message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.judgement.judge import Question, does_not_apply, judge, not_demonstrated
from riskdoc.judgement.verdicts import Check
from riskdoc.quantities.intervals import exact


def no_team(line: RigLine) -> Check:
    """The check of the team on a line that is raised and states no hauling system.

    A safety line may be taken in by hand, and says so; a working line is not raised by nothing.
    """
    id, subject = f"line/{line.id}/haul/team", f"line/{line.id}"
    title, why = message("Team on the haul"), line.line.why_not("haul")
    if why is not None and not haul_missing(line):
        return does_not_apply(id, subject, title, why)
    question = Question(id, subject, title, "", "", "N", "")
    return not_demonstrated(question, haul_missing(line), None)


def team_check(file: JobFile, line: RigLine, system: Hauling) -> Check:
    """Whether the team can move the load, friction against it, with what it can keep up.

    The dynamic factor of a raise is of starts and stops: the tension has it, the steady effort not.
    """
    question = Question(
        id=f"line/{line.id}/haul/team",
        subject=f"line/{line.id}",
        title=message("Team on the haul"),
        demanded=mark("an effort of {amount}"),
        held=mark("A pull of the team of {amount}"),
        unit="N",
        remedy=message("More haulers, more advantage, better sheaves, or a roller at the edge."),
        figures=(f"line/{line.id}/haul/effort", f"line/{line.id}/haul/team"),
    )
    case, pull = steady_effort(file, line, system)
    return judge(
        question,
        [Pair(filled("({case})", case=message(case)), pull, system.team)],
        exact(1.0),
        system.each,
    )
