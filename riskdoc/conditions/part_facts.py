"""Facts of a part that no words of conditions say, by name: what is needed here and no more."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Annotated

from pydantic import AfterValidator

from riskdoc.conditions.parts import Part
from riskdoc.conditions.plan import Asked
from riskdoc.job.faults import nearest, shown


@dataclass(frozen=True)
class Fact:
    """A named fact: the kind of part it is about, and whether it is so."""

    of: str
    holds: Callable[[Asked, Part], bool]


def _alone(ask: Asked, line: Part) -> bool:
    """One person on the line, and no other load with people on its rope."""
    on_rope = {each.line.load for each in ask.manned if each.line.rope == line.rig.line.rope}
    return bool(line.rig.load.people == 1) and len(on_rope) == 1


def _carries(ask: Asked, line: Part) -> bool:
    """A working line of the descent ends at the same anchor."""
    carrying = {each.line.anchor for each in ask.descents if each.line.role == "working"}
    return line.rig.line.anchor in carrying


def _on_one_anchor(ask: Asked, load: Part) -> bool:
    """A safety line of the load ends where a working line of it does."""
    lines = ask.loads[load.id]
    safety, working = (
        {each.line.anchor for each in lines if each.line.role == role}
        for role in ("safety", "working")
    )
    return bool(safety & working)


def _protected(_: Asked, edge: Part) -> bool:
    """A protector stays at the edge, and counts there."""
    return bool(edge.rig.protected)


def _known_leg(ask: Asked, anchor: Part) -> bool:
    """Some leg of the anchor states a strength."""
    return any(leg.strength is not None for leg in ask.job.anchors[anchor.id].legs)


FACTS: Mapping[str, Fact] = {
    "can arrest a fall": Fact("line", lambda _, line: bool(line.rig.arrests)),
    "one person alone on its rope": Fact("line", _alone),
    "ends with a working line": Fact("line", _carries),
    "ends with no working line": Fact("line", lambda ask, line: not _carries(ask, line)),
    "both roles on one anchor": Fact("load", _on_one_anchor),
    "some leg of known strength": Fact("anchor", _known_leg),
    "protected": Fact("edge of a line", _protected),
}
"""What `fact` may name."""


def _known(name: str) -> str:
    if name not in FACTS:
        near = nearest(name, list(FACTS))
        hint = f"did you mean {near}?" if near else f"known are {', '.join(FACTS)}"
        raise ValueError(f"unknown fact {shown(name)}; {hint}")
    return name


FactName = Annotated[str, AfterValidator(_known)]
