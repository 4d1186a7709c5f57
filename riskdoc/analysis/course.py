"""The course of a line: what turns its rope, how far apart that is, and where it is held aside.

A redirect is measured from the anchor, an edge from the edge before it. Between two edges the
length is the one that the job states; beside a redirect it is the rest.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from riskdoc.analysis.inputs import cached, from_table, stated
from riskdoc.analysis.resolve import Bend, RigEdge, RigLine, RigRedirect
from riskdoc.i18n.message import message
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.friction import sheave_friction
from riskdoc.quantities.intervals import Array, Interval, combine, exact, total


@cached
def redirect_turn(file: JobFile, redirect: RigRedirect) -> Interval:
    """The angle through which a redirect turns the rope."""
    title = message("turn of redirect {n}", n=redirect.number)
    return stated(file, (*redirect.keys, "turn"), "θ", title)


@cached
def redirect_friction(file: JobFile, redirect: RigRedirect) -> Interval:
    """Friction at a redirect: measured, else that of a sheave or of a connector's metal."""
    if redirect.redirect.friction is not None:
        title = message("friction at redirect {n}", n=redirect.number)
        return stated(file, (*redirect.keys, "friction"), "μ", title)
    if redirect.redirect.over == "pulley":
        efficiency = from_table("work", "sheave efficiency", "η")
        # One range, so that it can stand on the axis of the friction at all edges.
        return combine(sheave_friction, efficiency, exact(redirect_turn(file, redirect).expected))
    return from_table("surfaces", "polished metal", "μ", "friction")


@cached
def redirect_radius(file: JobFile, redirect: RigRedirect) -> Interval:
    """Radius over which a redirect bends the rope."""
    return from_table("redirects", redirect.redirect.over, "r", "radius")


def _after(file: JobFile, redirect: RigRedirect) -> Interval:
    title = message("rope from the anchor to redirect {n}", n=redirect.number)
    return stated(file, (*redirect.keys, "after"), "a", title)


def below_of(file: JobFile, line: RigLine) -> Interval:
    """Rope below the last edge or anchor at the place of work."""
    return stated(file, ("lines", line.id, "below"), "L", message("rope below the last edge"))


def above_of(file: JobFile, line: RigLine) -> list[Interval]:
    """Rope between anchor and edges, from the anchor."""
    return [
        stated(
            file,
            ("lines", line.id, "over", each.position, "after"),
            "a",
            message("rope before {id}", id=each.id),
        )
        for each in line.edges
    ]


def _edges_down(
    file: JobFile, line: RigLine, start: RigEdge | None, end: RigEdge | None
) -> Interval:
    """Rope from an edge (the anchor) down to a later edge (the load), as the job states it."""
    first = 0 if start is None else start.position + 1
    last = len(line.edges) if end is None else end.position + 1
    parts = above_of(file, line)[first:last]
    return total(*parts, *([below_of(file, line)] if end is None else []))


def between(file: JobFile, line: RigLine, upper: Bend | None, lower: Bend | None) -> Interval:
    """Rope between two places of a line; None above is the anchor, None below the load."""
    if isinstance(lower, RigRedirect):
        down = _after(file, lower)
        if upper is None:
            return down
        return combine(_rest, down, _from_anchor(file, line, upper))
    if isinstance(upper, RigRedirect):
        return combine(_rest, _edges_down(file, line, None, lower), _after(file, upper))
    return _edges_down(file, line, upper, lower)


def _from_anchor(file: JobFile, line: RigLine, place: Bend) -> Interval:
    if isinstance(place, RigRedirect):
        return _after(file, place)
    return _edges_down(file, line, None, place)


def _rest(whole: Array, part: Array) -> Array:
    """What is left of a length; ranges that overlap leave nothing, never less."""
    return np.maximum(np.subtract(whole, part), 0.0)


@cached
def _lengths(file: JobFile, line: RigLine) -> tuple[Interval, ...]:
    places: tuple[Bend | None, ...] = (None, *line.bends, None)
    parts = [between(file, line, upper, lower) for upper, lower in pairwise(places)]
    return tuple(reversed(parts))


def lengths(file: JobFile, line: RigLine, below: Interval | None = None) -> tuple[Interval, ...]:
    """The parts of the rope between the bends, from the load up to the anchor.

    `below` stands for another length of rope below the last edge than the job states.
    """
    lowest, *above = _lengths(file, line)
    if below is None:
        return lowest, *above
    at_work = _edges_down(file, line, line.edges[-1] if line.edges else None, None)
    if line.bends and isinstance(line.bends[-1], RigRedirect):
        below = combine(lambda part, b, at: part + b - at, lowest, below, at_work)
    return below, *above


def last_fix(line: RigLine, edge: RigEdge) -> RigRedirect | None:
    """What holds the rope sideways above an edge: the last redirect before it, else the anchor.

    A redirect below the edge is not counted: a deviation can swing with the rope.
    """
    before = line.bends[: line.bends.index(edge)]
    return next((each for each in reversed(before) if isinstance(each, RigRedirect)), None)


@cached
def below_pivot(file: JobFile, line: RigLine) -> Interval:
    """Rope from the load up to what it swings about: the last edge or redirect, else the anchor."""
    pivot = line.bends[-1] if line.bends else None
    if isinstance(pivot, RigRedirect):
        return between(file, line, pivot, None)
    return stated(file, ("lines", line.id, "below"), "d", message("rope below the pivot"))
