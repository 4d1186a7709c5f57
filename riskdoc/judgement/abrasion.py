"""Whether the abrasion exposure of an edge is within its limit."""

from __future__ import annotations

from riskdoc.analysis.abrasion import EdgeExposure, start_of
from riskdoc.analysis.inputs import Missing, from_table
from riskdoc.analysis.movements import (
    CREEPS,
)
from riskdoc.analysis.resolve import RigEdge, RigLine
from riskdoc.i18n.message import message
from riskdoc.i18n.say import mark
from riskdoc.judgement.judge import Question, judge_band, not_demonstrated
from riskdoc.judgement.verdicts import Check
from riskdoc.quantities.intervals import exact

_REMEDY = {
    False: mark(
        "Fewer passes or less reach, a secured plate, tube, roller set or thick pad as wide as the "
        "sweep, an anchor nearer the edge, or two strands that share the load."
    ),
    True: mark(
        "Fewer passes or less reach, a secured plate, tube or roller set as wide as the sweep, an "
        "anchor nearer the edge, or two strands that share the load."
    ),
}
"""What would lower an exposure, at an edge that is no blade, and at one that is."""


def exposure_check(line: RigLine, edge: RigEdge, found: EdgeExposure | Missing) -> Check:
    """Exposure of an edge against the limit of the requirement set."""
    name = f"line/{line.id}/edge/{edge.id}"
    limit = from_table("general", "exposure", "E limit")
    judged = CREEPS if isinstance(found, Missing) else found.worse
    question = Question(
        id=f"{name}/exposure",
        subject=name,
        title=message("Abrasion exposure"),
        demanded="",  # what is judged is a band, which has words of its own
        held=mark("A limit of {amount}"),
        unit="1",
        remedy=message(_REMEDY[edge.blade]),
        figures=(f"{start_of(line, edge, judged)}/exposure",),
    )
    if isinstance(found, Missing):
        return not_demonstrated(question, (found.key,), exact(1.0), limit)
    return judge_band(question, found.judged.whole, limit)
