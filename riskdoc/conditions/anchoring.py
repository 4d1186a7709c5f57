"""Whether the legs of an anchor hold a force, and how many people are attached to it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from riskdoc.analysis.anchor_load_cases import forces_for_one
from riskdoc.analysis.anchor_pulls import Pulled, Way
from riskdoc.analysis.inputs import Missing
from riskdoc.conditions.plan import Asked
from riskdoc.judgement.verdicts import Verdict
from riskdoc.quantities.intervals import exact

TINY = 1e-9
"""Equality in the unit that was written must survive the conversion: 300 ft is met."""
Per = Literal["person attached", "person whose line ends there", "anchor"]
"""For whom a force counts: everybody attached, redirects among what attaches; or only once."""


def attached(ask: Asked, anchor: str, per: Per) -> int:
    """The most people attached to an anchor at once: its loads, or a rescue with more."""
    if per == "anchor":
        return 1
    ends = [line for line in ask.manned if line.line.anchor == anchor]
    if per == "person attached":
        ends = [
            line
            for line in ask.manned
            if anchor in (line.line.anchor, *(each.anchor for each in line.line.redirects))
        ]
    loads = {line.line.load: line.load.people for line in ends}
    for line in ends:
        if line.line.rescue is not None:
            two = ask.job.loads[line.line.rescue.load].people
            loads[line.line.load] = max(loads[line.line.load], two)
    return sum(loads.values())


def legs_hold(ask: Asked, anchor: str, force: float) -> Verdict:
    """Whether the legs of an anchor hold a force [N] by their shares of it."""
    part = ask.job.anchors[anchor]
    if any(leg.strength is None or leg.evidence == "unknown" for leg in part.legs):
        return Verdict.NOT_DEMONSTRATED
    try:
        shares = forces_for_one(ask.plan.file, anchor, exact(force), _ways(ask, anchor))
    except Missing:
        return Verdict.NOT_DEMONSTRATED
    verdicts = [Verdict.ADEQUATE]
    for leg, share in zip(part.legs, shares, strict=True):
        if leg.strength is None:
            continue
        if leg.strength.low >= share.range.high * (1 - TINY):
            continue
        held = leg.strength.expected >= share.range.expected * (1 - TINY)
        verdicts.append(Verdict.BORDERLINE if held else Verdict.INADEQUATE)
    return max(verdicts, key=lambda verdict: verdict.rank)


def _ways(ask: Asked, anchor: str) -> Iterator[Pulled]:
    """The ways that lines and redirects pull on an anchor."""
    for line in ask.lines:
        if line.line.anchor == anchor:
            yield line
        if any(redirect.anchor == anchor for redirect in line.line.redirects):
            yield Way.ANY
