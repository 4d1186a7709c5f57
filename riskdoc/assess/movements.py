"""How far a rope moves at an edge: sideways, sawing, running; and how much of it is covered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from riskdoc.assess.air import gust_passes, offset_of, reach_of
from riskdoc.assess.course import between, last_fix
from riskdoc.assess.inputs import Missing, counted, default, once, stated
from riskdoc.assess.records import Input, Range
from riskdoc.assess.rig import RUNNING, RigEdge, RigLine
from riskdoc.assess.spread import Array, Spread, combine, exact, given, product, total
from riskdoc.assess.stiffness import modulus_slow
from riskdoc.assess.tension import friction_of, turn_of, weight_of
from riskdoc.job.reading import JobFile
from riskdoc.language.say import say
from riskdoc.mechanics.movement import running_distance, sawing_distance, sideways_distance
from riskdoc.mechanics.sweep import covered, crossing, held_crossing, sweep


@dataclass(frozen=True, slots=True)
class Moves:
    """The movements of a line's rope at one edge."""

    crossing: Spread
    sweep: Spread
    covered: Spread
    sideways: Spread
    along: tuple[Along, ...]


@dataclass(frozen=True, slots=True)
class Along:
    """A movement along the rope in one case: `sawing` or `running`.

    `distance` is the slide in contact on what the rope touches, `on_bare` that on the bare edge.
    """

    case: str
    kind: str
    distance: Spread
    on_bare: Spread


@once
def contact_radius(file: JobFile, edge: RigEdge) -> Spread:
    """Radius the rope rubs over: a plate's or roller's own where there is one, else the edge's."""
    if edge.replaced:
        keys = ("protection", str(edge.protector_id), "radius")
        return stated(file, keys, "r", say("radius of {protector}", protector=edge.protector_id))
    return bare_radius(file, edge)


@once
def bare_radius(file: JobFile, edge: RigEdge) -> Spread:
    """Radius of the bare edge."""
    return stated(file, ("edges", edge.id, "radius"), "r", say("radius of {edge}", edge=edge.id))


@once
def above(file: JobFile, line: RigLine, edge: RigEdge) -> Spread:
    """Rope between an edge and what holds it sideways above: a redirect, else the anchor."""
    return between(file, line, last_fix(line, edge), edge)


@once
def beyond(file: JobFile, line: RigLine, edge: RigEdge) -> Spread:
    """Rope between an edge and the load. A redirect between them can swing, and holds nothing."""
    return between(file, line, edge, None)


def moves(file: JobFile, line: RigLine, edge: RigEdge) -> Moves:
    """All movements at an edge. Raises `Missing` for the first thing they need and lack."""
    across, swept = _crossing(file, line, edge), _sweep(file, line, edge)
    return Moves(
        crossing=across,
        sweep=swept,
        covered=covered_share(file, line, edge),
        sideways=_sideways(file, line, swept, above(file, line, edge), beyond(file, line, edge)),
        along=tuple(_along(file, line, edge)),
    )


@once
def _sweep(file: JobFile, line: RigLine, edge: RigEdge) -> Spread:
    """Width of one pass; side guards end it at theirs."""
    swept, width = combine(sweep, _crossing(file, line, edge)), _width(file, edge)
    if edge.protector is not None and edge.stays and edge.protector.guards and width is not None:
        return combine(np.minimum, swept, width)
    return swept


@once
def covered_share(file: JobFile, line: RigLine, edge: RigEdge) -> Spread:
    """Share of the sweep on a protector that stays. Raises `Missing` where no reach is stated."""
    return _covered(edge, _width(file, edge), _sweep(file, line, edge))


def _sideways(file: JobFile, line: RigLine, swept: Spread, before: Spread, after: Spread) -> Spread:
    """Way the rope is drawn sideways: the worker's passes, and the gusts of the wind."""
    own = combine(sideways_distance, swept, _passes(file, line))
    gusts, offset = gust_passes(file, line), offset_of(file, line)
    if gusts is None or offset is None:
        return own
    blown = combine(lambda y: 2 * y, combine(crossing, offset, before, after))
    return total(own, combine(sideways_distance, blown, gusts))


def _passes(file: JobFile, line: RigLine) -> Spread:
    """Sideways passes. Whoever works off the fall line crosses it at least once."""
    if line.line.passes is None:
        if line.site.reach_sideways is not None and line.site.reach_sideways.high == 0:
            return exact(0.0)
        raise Missing(f"lines.{line.id}.passes")
    keys = ("lines", line.id, "passes")
    reaches = line.site.reach_sideways is not None and line.site.reach_sideways.high > 0
    if line.line.passes == 0 and line.line.role == "working" and line.person and reaches:
        return counted(
            file,
            keys,
            1,
            "N",
            say("sideways passes (0 stated, counted as 1: there is a reach)"),
        )
    return counted(file, keys, line.line.passes, "N", say("sideways passes"))


@once
def _crossing(file: JobFile, line: RigLine, edge: RigEdge) -> Spread:
    """Where the rope crosses the edge.

    A rope that runs or saws creeps to the straight line. One that only hangs can be held back
    by friction: at best (high friction) by most, expected by what the low friction holds, at
    worst not at all.
    """
    reach, before, after = reach_of(file, line), above(file, line, edge), beyond(file, line, edge)
    straight = combine(crossing, reach, before, after)
    if line.moves:
        return straight
    mu, turn = friction_of(file, edge), turn_of(file, edge)
    most = combine(held_crossing, reach, before, after, mu.pinned("high"), turn)
    least = combine(held_crossing, reach, before, after, mu.pinned("low"), turn)
    return combine(_held, _holding(edge), most, least, straight)


def _held(state: Array, most: Array, least: Array, straight: Array) -> Array:
    """The crossing in each of the holding states 0, 0.5 and 1."""
    return np.where(state < 0.25, most, np.where(state > 0.75, straight, least))


def _holding(edge: RigEdge) -> Spread:
    return given(
        Input(
            id=f"hold.{edge.id}.sweep",
            symbol="held",
            title=say("whether friction holds the rope back sideways at {edge}", edge=edge.id),
            range=Range(0.0, 0.5, 1.0),
            unit="1",
            written=say("by high friction / by low friction / not at all"),
            place=say("friction at the edge"),
            provenance="judgement",
            source=say("a rope at rest sticks, and slips at a jerk"),
        )
    )


def _width(file: JobFile, edge: RigEdge) -> Spread | None:
    if edge.protector is None or edge.protector.width is None:
        return None
    keys = ("protection", str(edge.protector_id), "width")
    return stated(file, keys, "w", say("width of {protector}", protector=edge.protector_id))


def _covered(edge: RigEdge, width: Spread | None, swept: Spread) -> Spread:
    """Share of the sweep within the protector; a sleeve that stays on the rope covers it all."""
    if not edge.stays or edge.protector is None:
        return exact(0.0)
    if width is None:
        return exact(1.0) if edge.protector.kind == "sleeve" else exact(0.0)
    return combine(covered, width, swept)


def _along(file: JobFile, line: RigLine, edge: RigEdge) -> Iterator[Along]:
    radii = contact_radius(file, edge), bare_radius(file, edge)
    for case in line.cases:
        if case == "ascend":
            yield Along(case, "sawing", *(_sawing(file, line, edge, r) for r in radii))
        if case in RUNNING:
            yield Along(case, "running", *(_running(file, line, edge, r) for r in radii))
    if line.line.rescue is not None:
        yield Along("rescue", "running", *(_running(file, line, edge, r) for r in radii))


def _runs(file: JobFile, line: RigLine) -> Spread:
    keys = ("lines", line.id, "runs")
    return counted(file, keys, line.line.runs, "runs", say("times each case is done"))


def _running(file: JobFile, line: RigLine, edge: RigEdge, radius: Spread) -> Spread:
    numbers = (radius, turn_of(file, edge), _runs(file, line), least_contact(file, line))
    return combine(running_distance, *numbers)


@once
def least_contact(file: JobFile, line: RigLine) -> Spread:
    """Least length of rope in contact with an edge: a part of its thickness.

    Without it a rope would slide over less and less the sharper the edge, and wear less.
    """
    diameter = stated(file, ("ropes", line.line.rope, "diameter"), "d", say("rope diameter"))
    return product(diameter, default("abrasion", "least contact", "λ"))


def _sawing(file: JobFile, line: RigLine, edge: RigEdge, radius: Spread) -> Spread:
    numbers = (
        default("abrasion", "bounce", "b"),
        weight_of(file, line.line.load),
        between(file, line, None, edge),  # a redirect holds the rope sideways, not along itself
        modulus_slow(file, line.line.rope),
        radius,
        turn_of(file, edge),
        stated(file, ("lines", line.id, "below"), "h", say("height climbed")),
        default("abrasion", "step", "step"),
        counted(file, ("lines", line.id, "strands"), line.line.strands, "k", say("strands")),
        least_contact(file, line),
        _runs(file, line),
    )
    return combine(_sawn, *numbers)


def _sawn(*v: Array) -> Array:
    bounce, weight, before, modulus, radius, turn, height, step, strands, least, runs = v
    once = sawing_distance(
        bounce, weight, before, modulus, radius, turn, height, step, strands, least
    )
    return np.asarray(once * runs)
