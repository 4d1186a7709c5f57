"""The way of a rope across an edge, by geometry alone, and what of it lies beside a protector."""

from __future__ import annotations

import numpy as np

from riskdoc.analysis.course import between, last_fix
from riskdoc.analysis.inputs import Missing, cached, stated
from riskdoc.analysis.resolve import RigEdge, RigLine
from riskdoc.analysis.wind_and_swing import reach_of
from riskdoc.i18n.message import message
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.sweep import covered, crossing, sweep
from riskdoc.quantities.intervals import Interval, combine, exact, given
from riskdoc.quantities.ranges import Input, Range


@cached
def above(file: JobFile, line: RigLine, edge: RigEdge) -> Interval:
    """Rope between an edge and what holds it sideways above: a redirect, else the anchor."""
    return between(file, line, last_fix(line, edge), edge)


@cached
def beyond(file: JobFile, line: RigLine, edge: RigEdge) -> Interval:
    """Rope between an edge and the load. A redirect between them can swing, and holds nothing."""
    return between(file, line, edge, None)


@cached
def straight_crossing(file: JobFile, line: RigLine, edge: RigEdge) -> Interval:
    """Where the rope crosses the edge when nothing holds it back.

    Raises `Missing` where no reach is stated.
    """
    reach = reach_of(file, line)
    return combine(crossing, reach, above(file, line, edge), beyond(file, line, edge))


def width_of(file: JobFile, edge: RigEdge) -> Interval | None:
    """Width of the protector at an edge; None where there is none, or it states no width."""
    if edge.protector is None or edge.protector.width is None:
        return None
    keys = ("protection", str(edge.protector_id), "width")
    return stated(file, keys, "w", message("width of {protector}", protector=edge.protector_id))


def guarded(edge: RigEdge) -> bool:
    """Whether side guards end the sweep at the protector's width."""
    return edge.stays and edge.protector is not None and edge.protector.guards


def sweep_of(file: JobFile, edge: RigEdge, crossed: Interval) -> Interval:
    """Width of one pass that crosses the edge so far to either side; side guards end it."""
    swept, width = combine(sweep, crossed), width_of(file, edge)
    return combine(np.minimum, swept, width) if guarded(edge) and width is not None else swept


def covered_of(file: JobFile, edge: RigEdge, swept: Interval) -> Interval:
    """Share of a sweep within the protector; a sleeve that stays on the rope covers it all."""
    if not edge.protected or edge.protector is None:
        return exact(0.0)
    width = width_of(file, edge)
    if width is None:
        return exact(1.0) if edge.protector.kind == "sleeve" else exact(0.0)
    return combine(covered, width, swept)


@cached
def covered_share(file: JobFile, line: RigLine, edge: RigEdge) -> Interval:
    """Share of the widest sweep on a protector that counts.

    Raises `Missing` where no reach is stated.
    """
    return covered_of(file, edge, sweep_of(file, edge, straight_crossing(file, line, edge)))


def covers_all(edge: RigEdge) -> bool:
    """Whether a protector covers every sweep, however wide: a sleeve, or one with side guards."""
    if not edge.protected or edge.protector is None:
        return False
    return guarded(edge) or (edge.protector.width is None and edge.protector.kind == "sleeve")


@cached
def beside(file: JobFile, line: RigLine, edge: RigEdge) -> Interval | None:
    """Share of the sweep on the bare edge beside a protector; None where none of it can be.

    Whatever the mean is, the rope can be on the one and on the other: it goes from 0 to 1. Where
    the sweep is not known the bare edge is expected.
    """
    if not edge.protected or covers_all(edge):
        return None
    try:
        share = covered_share(file, line, edge).range
    except Missing:
        share = Range(0.0, 0.0, 0.0)
    if share.low >= 1:
        return None
    bare = 1 - share.expected
    return given(
        Input(
            id=f"beside.{line.id}.{edge.id}",
            symbol="β",
            title=message(
                "share of the sweep of {line} beside {protector}",
                line=line.id,
                protector=edge.protector_id,
            ),
            range=Range(0.0, bare, 1.0),
            unit="1",
            written=f"0 / {bare:.4g} / 1",
            place=message("sweep of the line at the edge"),
            provenance="judgement",
            source=message("the rope lies on the protector or on the bare edge beside it"),
        )
    )
