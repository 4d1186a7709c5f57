"""Abrasion exposure of an edge: the index of every movement and their sum."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from riskdoc.analysis.inputs import counted, from_table, stated
from riskdoc.analysis.movements import (
    CREEPS,
    SCENARIOS,
    Along,
    Sideways,
    along,
    contact_radius,
    sideways,
)
from riskdoc.analysis.resolve import RigEdge, RigLine, acts_alone
from riskdoc.analysis.strengths import bare_radius, share_of
from riskdoc.analysis.tension import Tensions, turn_of
from riskdoc.i18n.message import message
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.exposure import exposure
from riskdoc.quantities.intervals import Interval, combine, exact, greatest, total


@dataclass(frozen=True, slots=True)
class Touch:
    """What the rope touches: radius, wear of the surface, share the protector takes."""

    radius: Interval
    wear: Interval
    credit: Interval


@dataclass(frozen=True, slots=True)
class Way:
    """A slide in contact; where a share of the sweep is covered, the part that is, or is not."""

    whole: Interval
    covered: Interval | None = None
    bare: bool = False

    @property
    def part(self) -> Interval:
        """The slide that counts."""
        if self.covered is None:
            return self.whole
        if self.bare:
            return combine(lambda d, c: d * (1 - c), self.whole, self.covered)
        return combine(lambda d, c: d * c, self.whole, self.covered)


@dataclass(frozen=True, slots=True)
class Wear:
    """One movement's part of the index: the numbers of its equation by symbol, and the result.

    `way` is what their `distance` is made of.
    """

    numbers: Mapping[str, Interval]
    index: Interval
    way: Way


@dataclass(frozen=True, slots=True)
class Scenario:
    """Exposure where the rope creeps, or where friction holds it: the part of each movement.

    Parts are named `kind/case`.
    """

    sideways: Sideways
    parts: Mapping[str, Wear]
    whole: Interval


@dataclass(frozen=True, slots=True)
class EdgeExposure:
    """Exposure of a line at one edge, by scenario, and the movements along the rope."""

    along: tuple[Along, ...]
    scenarios: Mapping[str, Scenario]

    @property
    def worse(self) -> str:
        """The scenario that is judged: the one with the higher band."""
        return max(self.scenarios, key=lambda each: _height(self.scenarios[each].whole))

    @property
    def judged(self) -> Scenario:
        """The worse scenario."""
        return self.scenarios[self.worse]


def _height(whole: Interval) -> tuple[float, float]:
    return whole.band.high, whole.expected


def touch_bare(file: JobFile, edge: RigEdge) -> Touch:
    """The bare edge."""
    wear = from_table("surfaces", edge.edge.surface, "s", "wear")
    return Touch(bare_radius(file, edge), wear, exact(0.0))


def touch_sideways(file: JobFile, edge: RigEdge) -> Touch:
    """What the rope is drawn across inside the protector's width.

    A roller set does not roll sideways: it is a bar of polished metal there.
    """
    if edge.protector is None or not edge.protected:
        return touch_bare(file, edge)
    if edge.replaced:
        wear = (
            from_table("surfaces", "polished metal", "s", "wear")
            if edge.roller
            else from_table("surfaces", str(edge.protector.surface), "s", "wear")
        )
        return Touch(contact_radius(file, edge), wear, exact(0.0))
    bare = touch_bare(file, edge)
    return Touch(bare.radius, bare.wear, _credit(file, edge))


def touch_along(file: JobFile, edge: RigEdge) -> Touch:
    """What the rope saws and runs over. A cover that lies loose still has its credit here.

    Nothing that is laid over a blade has any.
    """
    if edge.roller:
        wear = from_table("protections", "roller set", "s", "wear")
        return Touch(contact_radius(file, edge), wear, exact(0.0))
    if edge.replaced:
        return touch_sideways(file, edge)
    bare = touch_bare(file, edge)
    if edge.protector is None or edge.blade or acts_alone(edge.protector):
        return bare
    return Touch(bare.radius, bare.wear, _credit(file, edge))


def _credit(file: JobFile, edge: RigEdge) -> Interval:
    assert edge.protector is not None  # noqa: S101  (callers look first; this tells the type checker)
    if edge.protector.credit is not None:
        keys = ("protection", str(edge.protector_id), "credit")
        return stated(
            file, keys, "c", message("credit of {protector}", protector=edge.protector_id)
        )
    return from_table("protections", edge.protector.kind, "c", "credit")


def edge_exposure(file: JobFile, line: RigLine, edge: RigEdge, found: Tensions) -> EdgeExposure:
    """Exposure of a line at an edge. Raises `Missing` for what it needs and lacks."""
    movements = tuple(along(file, line, edge))
    whole: dict[str, Wear] = {}  # along the rope where the cover is whole: one for all scenarios
    scenarios = {}
    for name in SCENARIOS:
        across = sideways(file, line, edge, name)
        parts = dict(_sideways(file, line, edge, across, found))
        if edge.protected and across.covered.range.low < 1:
            parts |= _along(file, line, edge, across.covered, movements, found)
        else:
            whole = whole or _along(file, line, edge, None, movements, found)
            parts |= whole
        scenarios[name] = Scenario(across, parts, total(*(wear.index for wear in parts.values())))
    return EdgeExposure(movements, scenarios)


def _along(
    file: JobFile,
    line: RigLine,
    edge: RigEdge,
    covered: Interval | None,
    movements: tuple[Along, ...],
    found: Tensions,
) -> dict[str, Wear]:
    """Sawing and running: on the protector as far as it covers the sweep, else on bare edge.

    `covered` is None where all of it is on the one or on the other. A cover that does not stay
    has its credit here, for it lies where the rope runs.
    """
    touch, parts = touch_along(file, edge), {}
    for each in movements:
        kind, case = each.kind, each.case
        wear = partial(_wear, file, line, edge, _tension_along(edge, found, case, kind))
        way = Way(each.distance, covered)
        parts[f"{kind}/{case}"] = wear(way, touch, "along")
        if covered is not None:
            way = Way(each.on_bare, covered, bare=True)
            parts[f"{kind}_beyond/{case}"] = wear(way, touch_bare(file, edge), "along")
    return parts


def _tension_along(edge: RigEdge, found: Tensions, case: str, kind: str) -> Interval:
    """Sawing takes the load side of the edge, running the greater of its two sides."""
    below = found.free[case][f"edge:{edge.id}:below"]
    if kind == "sawing":
        return below
    return greatest(below, found.free[case][f"edge:{edge.id}:above"])


def _sideways(
    file: JobFile, line: RigLine, edge: RigEdge, across: Sideways, found: Tensions
) -> Iterator[tuple[str, Wear]]:
    """Sideways movement: on the protector within its width, on bare edge for the rest."""
    tension = found.free["hold"][f"edge:{edge.id}:below"]
    wear, bare = partial(_wear, file, line, edge, tension), touch_bare(file, edge)
    if not edge.protected:
        yield "sideways/hold", wear(Way(across.distance), bare, "sideways")
        return
    touch = touch_sideways(file, edge)
    if across.covered.range.low == 1:
        yield "sideways/hold", wear(Way(across.distance), touch, "sideways")
        return
    yield "sideways/hold", wear(Way(across.distance, across.covered), touch, "sideways")
    outside = Way(across.distance, across.covered, bare=True)
    yield "beyond/hold", wear(outside, bare, "sideways")


def _wear(
    file: JobFile,
    line: RigLine,
    edge: RigEdge,
    tension: Interval,
    way: Way,
    touch: Touch,
    movement: str,
) -> Wear:
    return worn(
        way,
        touch,
        movement,
        {
            "T": tension,
            "s": share_of(file, line),
            "θ": turn_of(file, edge),
            "d": stated(file, ("ropes", line.line.rope, "diameter"), "d", message("rope diameter")),
            "fibre": from_table("fibres", line.rope.sheath, "fibre", "wear"),
            "wet": wet_wear(line.rope.sheath, wet=line.wet),
            "k": counted(
                file, ("lines", line.id, "strands"), line.line.strands, "k", message("strands")
            ),
        },
    )


def wet_wear(sheath: str, *, wet: bool) -> Interval:
    """How much faster a sheath wears for being wet."""
    return from_table("fibres", sheath, "wet", "wear_wet") if wet else exact(1.0)


def worn(way: Way, touch: Touch, movement: str, rope: Mapping[str, Interval]) -> Wear:
    """One movement's part of the index, `movement` being `sideways` or `along`.

    All wear is counted at its low end together, and at its high end: the index rises with it.
    """
    numbers = {
        "T": rope["T"],
        "s": rope["s"],
        "distance": way.part,
        "θ": rope["θ"],
        "r": touch.radius,
        "surface": touch.wear.on_axis("wear"),
        "movement": from_table("abrasion", movement, "movement").on_axis("wear"),
        "credit": touch.credit,
        "d": rope["d"],
        "fibre": rope["fibre"],
        "wet": rope["wet"].on_axis("wear"),
        "k": rope["k"],
        "n": from_table("abrasion", "n", "n"),
        "q": from_table("abrasion", "q" if movement == "sideways" else "q along", "q"),
        "p": from_table("abrasion", "p", "p"),
    }
    return Wear(numbers, combine(exposure, *numbers.values()), way)


def start_of(line: RigLine, edge: RigEdge, scenario: str) -> str:
    """How ids of a scenario begin: plain where the rope creeps, `…/held` where it is held."""
    name = f"line/{line.id}/edge/{edge.id}"
    return name if scenario == CREEPS else f"{name}/{scenario}"
