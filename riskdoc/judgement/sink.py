"""Whether a load that sinks when it comes on the rope stays above what is below it."""

from __future__ import annotations

from riskdoc.analysis.course import below_of
from riskdoc.analysis.heights import (
    AT_LOWEST,
    AT_WORK,
    clear_at_lowest,
    clear_at_work,
    lowest_of,
    sink_of,
    sinking,
)
from riskdoc.analysis.inputs import Missing, from_table
from riskdoc.analysis.margins import Pair
from riskdoc.analysis.resolve import RigLine
from riskdoc.i18n.message import Text, joined, message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.judgement.judge import Question, judge, not_demonstrated
from riskdoc.judgement.verdicts import Check
from riskdoc.quantities.intervals import exact, total


def sink_check(file: JobFile, line: RigLine) -> Check:
    """Whether the feet stay clear of what is below when the load comes on the rope."""
    question = Question(
        id=f"line/{line.id}/sink",
        subject=f"line/{line.id}",
        title=message("Sink of the load toward what is below"),
        demanded=mark("a sink of the load, down to the feet, of {amount}"),
        held=mark("A clear height of {amount}"),
        unit="m",
        remedy=message(
            "A rope that stretches less, two strands, or a lowest place of work higher above what "
            "is below."
        ),
        figures=(f"line/{line.id}/sink/work", f"line/{line.id}/sink/lowest"),
    )
    feet = from_table("work", "body below attachment", "body")
    pairs: list[Pair] = []
    gaps: list[Text] = []
    for words, below, clear in (
        (AT_WORK, below_of, clear_at_work),
        (AT_LOWEST, lowest_of, clear_at_lowest),
    ):
        try:
            for _, load, also in sinking(file, line):
                demand = total(sink_of(file, line, load, below(file, line)), feet)
                where = joined([message(words), also], " ")
                pairs.append(Pair(where, demand, clear(file, line)))
        except Missing as gap:
            gaps.append(gap.key)
    if gaps:
        return not_demonstrated(question, tuple(dict.fromkeys(gaps)), exact(1.0), feet)
    return judge(question, pairs, exact(1.0), feet)
