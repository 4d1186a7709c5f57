"""Abrasion exposure of an edge: the index of every movement, their sum, and its check."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from riskdoc.assess.air import reach_of
from riskdoc.assess.figures import figure
from riskdoc.assess.inputs import Missing, counted, default, stated
from riskdoc.assess.judge import Pair, Question, judge, not_demonstrated
from riskdoc.assess.movements import (
    Along,
    Moves,
    above,
    bare_radius,
    beyond,
    contact_radius,
    least_contact,
    moves,
)
from riskdoc.assess.records import Check, Figure
from riskdoc.assess.rig import RigEdge, RigLine
from riskdoc.assess.spread import Spread, combine, exact, greatest, total
from riskdoc.assess.strengths import share_of
from riskdoc.assess.tension import Tensions, turn_of
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say
from riskdoc.language.units import plain
from riskdoc.mechanics.exposure import exposure
from riskdoc.tables.loader import table

SOURCE = mark("ranking index of this project (judgement), no life of a rope; exponents as listed")


@dataclass(frozen=True, slots=True)
class Touch:
    """What the rope touches: radius, wear of the surface, share the protector takes."""

    radius: Spread
    wear: Spread
    credit: Spread


@dataclass(frozen=True, slots=True)
class Wear:
    """One movement's part of the index: the numbers of its equation by symbol, and the result."""

    numbers: Mapping[str, Spread]
    index: Spread


@dataclass(frozen=True, slots=True)
class EdgeExposure:
    """Exposure of a line at one edge: movements, the part of each, and the whole.

    Parts are named `kind/case`; the kinds are those of `KINDS`.
    """

    moves: Moves
    parts: Mapping[str, Wear]
    whole: Spread


def touch_bare(file: JobFile, edge: RigEdge) -> Touch:
    """The bare edge."""
    wear = default("surfaces", edge.edge.surface, "s", "wear")
    return Touch(bare_radius(file, edge), wear, exact(0.0))


def touch_sideways(file: JobFile, edge: RigEdge) -> Touch:
    """What the rope is drawn across inside the protector's width.

    A roller set does not roll sideways: it is a bar of polished metal there.
    """
    if edge.protector is None or not edge.stays:
        return touch_bare(file, edge)
    if edge.replaced:
        wear = (
            default("surfaces", "polished metal", "s", "wear")
            if edge.roller
            else default("surfaces", str(edge.protector.surface), "s", "wear")
        )
        return Touch(contact_radius(file, edge), wear, exact(0.0))
    bare = touch_bare(file, edge)
    return Touch(bare.radius, bare.wear, _credit(file, edge))


def touch_along(file: JobFile, edge: RigEdge) -> Touch:
    """What the rope saws and runs over. A cover that lies loose still has its credit here."""
    if edge.roller:
        wear = default("protections", "roller set", "s", "wear")
        return Touch(contact_radius(file, edge), wear, exact(0.0))
    if edge.replaced:
        return touch_sideways(file, edge)
    bare = touch_bare(file, edge)
    if edge.protector is None or _replaces(edge):
        return bare
    return Touch(bare.radius, bare.wear, _credit(file, edge))


def _replaces(edge: RigEdge) -> bool:
    kind = edge.protector.kind if edge.protector else ""
    return bool(kind) and table("protections").properties[kind]["acts"] == "replace"


def _credit(file: JobFile, edge: RigEdge) -> Spread:
    assert edge.protector is not None  # noqa: S101  (callers look first; this tells the type checker)
    if edge.protector.credit is not None:
        keys = ("protection", str(edge.protector_id), "credit")
        return stated(file, keys, "c", say("credit of {protector}", protector=edge.protector_id))
    return default("protections", edge.protector.kind, "c", "credit")


def edge_exposure(file: JobFile, line: RigLine, edge: RigEdge, found: Tensions) -> EdgeExposure:
    """Exposure of a line at an edge. Raises `Missing` for what it needs and lacks."""
    moved = moves(file, line, edge)
    parts = {f"{kind}/hold": wear for kind, wear in _sideways(file, line, edge, moved, found)}
    for movement in moved.along:
        parts |= _along(file, line, edge, moved.covered, movement, found)
    return EdgeExposure(moved, parts, total(*(wear.index for wear in parts.values())))


def _along(
    file: JobFile,
    line: RigLine,
    edge: RigEdge,
    covered: Spread,
    movement: Along,
    found: Tensions,
) -> dict[str, Wear]:
    """Sawing or running: on the protector as far as it covers the sweep, else on bare edge.

    A cover that does not stay has its credit here, for it lies where the rope runs.
    """
    kind, case = movement.kind, movement.case
    tension, touch = _tension_along(edge, found, case, kind), touch_along(file, edge)
    wear = partial(_wear, file, line, edge, tension)
    if not edge.stays or covered.range.low == 1:
        return {f"{kind}/{case}": wear(movement.distance, touch, "along")}
    inside = combine(lambda d, c: d * c, movement.distance, covered)
    outside = combine(lambda d, c: d * (1 - c), movement.on_bare, covered)
    return {
        f"{kind}/{case}": wear(inside, touch, "along"),
        f"{kind}_beyond/{case}": wear(outside, touch_bare(file, edge), "along"),
    }


def _tension_along(edge: RigEdge, found: Tensions, case: str, kind: str) -> Spread:
    """Sawing takes the load side of the edge, running the greater of its two sides."""
    below = found.free[case][f"edge:{edge.id}:below"]
    if kind == "sawing":
        return below
    return greatest(below, found.free[case][f"edge:{edge.id}:above"])


def _sideways(
    file: JobFile, line: RigLine, edge: RigEdge, moved: Moves, found: Tensions
) -> Iterator[tuple[str, Wear]]:
    """Sideways movement: on the protector within its width, on bare edge for the rest."""
    tension = found.free["hold"][f"edge:{edge.id}:below"]
    bare = touch_bare(file, edge)
    if not edge.stays:
        yield "sideways", _wear(file, line, edge, tension, moved.sideways, bare, "sideways")
        return
    inside = combine(lambda d, c: d * c, moved.sideways, moved.covered)
    outside = combine(lambda d, c: d * (1 - c), moved.sideways, moved.covered)
    touch = touch_sideways(file, edge)
    yield "sideways", _wear(file, line, edge, tension, inside, touch, "sideways")
    yield "beyond", _wear(file, line, edge, tension, outside, bare, "sideways")


def _wear(
    file: JobFile,
    line: RigLine,
    edge: RigEdge,
    tension: Spread,
    distance: Spread,
    touch: Touch,
    movement: str,
) -> Wear:
    numbers = {
        "T": tension,
        "s": share_of(file, line),
        "distance": distance,
        "θ": turn_of(file, edge),
        "r": touch.radius,
        # All wear is counted at its low end together, and at its high end: the index rises with it.
        "surface": touch.wear.on_axis("wear"),
        "movement": default("abrasion", movement, "movement").on_axis("wear"),
        "credit": touch.credit,
        "d": stated(file, ("ropes", line.line.rope, "diameter"), "d", say("rope diameter")),
        "fibre": default("fibres", line.rope.sheath, "fibre", "wear"),
        "k": counted(file, ("lines", line.id, "strands"), line.line.strands, "k", say("strands")),
        "n": default("abrasion", "n", "n"),
        "q": default("abrasion", "q" if movement == "sideways" else "q along", "q"),
        "p": default("abrasion", "p", "p"),
    }
    return Wear(numbers, combine(exposure, *numbers.values()))


def exposure_check(line: RigLine, edge: RigEdge, found: EdgeExposure | Missing) -> Check:
    """Exposure of an edge against the limit of the requirement set."""
    name = f"line/{line.id}/edge/{edge.id}"
    limit = default("general", "exposure", "E limit")
    question = Question(
        id=f"{name}/exposure",
        subject=name,
        title=say("Abrasion exposure"),
        demanded=mark("an exposure of {amount}"),
        held=mark("A limit of {amount}"),
        unit="1",
        remedy=say(
            "Fewer passes or less reach, a rigid plate or a tied pad as wide as the sweep, an "
            "anchor nearer the edge, or two strands that share the load."
        ),
        figures=(f"{name}/exposure",),
    )
    if isinstance(found, Missing):
        return not_demonstrated(question, (found.key,), exact(1.0), limit)
    return judge(question, [Pair("", found.whole, limit)], exact(1.0), limit)


KINDS = {
    "sideways": mark("sideways movement"),
    "beyond": mark("sideways movement beside the protector, on bare edge"),
    "sawing": mark("sawing"),
    "sawing_beyond": mark("sawing beside the protector, on bare edge"),
    "running": mark("running"),
    "running_beyond": mark("running beside the protector, on bare edge"),
}


def exposure_figures(
    file: JobFile, line: RigLine, edge: RigEdge, found: EdgeExposure
) -> Iterator[Figure]:
    """Movements at the edge, the index of each, and the whole."""
    name = f"line/{line.id}/edge/{edge.id}"
    yield from _movement_figures(file, line, edge, found.moves)
    for part, wear in found.parts.items():
        kind, case = part.split("/")
        yield figure(
            f"{name}/exposure/{part}",
            say("Exposure by {movement} ({case})", movement=say(KINDS[kind]), case=say(case)),
            wear.index,
            "1",
            "E",
            "(s T / 1 kN)ⁿ · distance / 1 m · sin(θ/2) / sin 45° · (5 mm / r)^q · surface "
            "· movement · (1 − credit) / ((d / 11 mm)^p · fibre · k)",
            "({s} · {T} / 1000)^{n} · {distance} · sin({θ}/2) / 0.70711 · (0.005 / {r})^{q} · "
            "{surface} · {movement} · (1 − {credit}) / (({d} / 0.011)^{p} · {fibre} · {k})",
            say(SOURCE),
            **wear.numbers,
        )
    yield figure(
        f"{name}/exposure",
        say("Abrasion exposure of the edge, in reference sweeps"),
        found.whole,
        "1",
        "E",
        say("sum over the movements"),
        " + ".join(plain(wear.index.expected) for wear in found.parts.values()),
        say(SOURCE),
    )


def _guarded(edge: RigEdge) -> bool:
    return edge.stays and edge.protector is not None and edge.protector.guards


def _movement_figures(
    file: JobFile, line: RigLine, edge: RigEdge, moved: Moves
) -> Iterator[Figure]:
    name = f"line/{line.id}/edge/{edge.id}"
    before, after = above(file, line, edge), beyond(file, line, edge)
    yield figure(
        f"{name}/crossing",
        say("Where the rope crosses the edge, off the straight line down"),
        moved.crossing,
        "m",
        "y",
        say("x a / L, less where friction holds a rope at rest"),
        "{x} · {a} / ({a} + {b})"
        if line.moves
        else say("held by friction from {x} · {a} / ({a} + {b})"),
        say("geometry: straight line in the unfolded planes"),
        x=reach_of(file, line),
        a=before,
        b=after,
    )
    yield figure(
        f"{name}/sweep",
        say("Sweep of one pass"),
        moved.sweep,
        "m",
        "sweep",
        "2 y",
        say("2 · {y}, ended by the side guards") if _guarded(edge) else "2 · {y}",
        say("geometry; side guards end it at their width"),
        y=moved.crossing,
    )
    yield figure(
        f"{name}/covered",
        say("Share of the sweep on the protector"),
        moved.covered,
        "1",
        "covered",
        say("w / sweep, at most 1; 0 without a protector that stays"),
        say("width / {sweep}"),
        say("geometry"),
        sweep=moved.sweep,
    )
    for each in moved.along:
        sawing, kind, case = each.kind == "sawing", each.kind, each.case
        yield figure(
            f"{name}/{kind}/{case}",
            say("Slide in contact, {kind} ({case})", kind=say(kind), case=say(case)),
            each.distance,
            "m",
            "distance",
            say("2 min(b W a / (k K), max(r θ, λ d)) height / step · runs")
            if sawing
            else "max(r θ, λ d) runs",
            say("inputs as listed") if sawing else "max({r} · {θ}, {c}) · {runs}",
            say(
                "a point of the rope slides only while it is in contact: the arc r θ, at least λ d"
            ),
            r=contact_radius(file, edge),
            θ=turn_of(file, edge),
            runs=float(line.line.runs),
            c=least_contact(file, line),
        )
