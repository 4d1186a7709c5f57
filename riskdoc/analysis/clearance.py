"""Clearance below a fall, stretch on loading, and take-up, as figures."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.analysis.course import below_of, lengths
from riskdoc.analysis.falls import Arrest, effective_ranging
from riskdoc.analysis.figure import Figure
from riskdoc.analysis.figures import figure
from riskdoc.analysis.heights import (
    clear_at_work,
    drop_of,
    lowest_of,
)
from riskdoc.analysis.inputs import counted, from_table, stated
from riskdoc.analysis.resolve import RigLine
from riskdoc.analysis.stiffness import modulus_slow
from riskdoc.analysis.tension import Tensions
from riskdoc.i18n.message import message
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.by_count import stretch_of
from riskdoc.mechanics.clearance import CLEAR_HEIGHT, CLEARANCE, clearance_needed
from riskdoc.mechanics.fall import PEAK_STRETCH
from riskdoc.quantities.intervals import Interval, combine, exact


def _needed(fall: Arrest, stretched: Interval, slipped: Interval | None) -> Interval | None:
    if fall.soft is None:
        return None
    return combine(clearance_needed, *_needs(fall.soft.free, stretched, slipped).values())


def _needs(free: Interval, stretched: Interval, slipped: Interval | None) -> dict[str, Interval]:
    """What a clearance is needed for."""
    return {
        "h": free,
        "x": stretched,
        "s": slipped if slipped is not None else exact(0.0),
        "body": from_table("work", "body below attachment", "body"),
        "spare": from_table("work", "spare clearance", "spare"),
    }


def needed_at_work(file: JobFile, line: RigLine, fall: Arrest) -> Interval | None:
    """Clearance needed at the place of work, None where the fall is not known."""
    return None if fall.stretch is None else _needed(fall, fall.stretch, fall.slip)


def needed_at_lowest(file: JobFile, line: RigLine, fall: Arrest) -> Interval | None:
    """Clearance needed at the lowest place of work, where most rope is out to stretch.

    None where the fall is not known. Raises `Missing` where the lowest place is not known.
    """
    if fall.soft is None:
        return None
    rope = effective_ranging(file, line, lowest_of(file, line))
    return _needed(fall, fall.soft.stretched(rope), fall.soft.slipped(rope))


def clearance_figures(file: JobFile, line: RigLine, fall: Arrest) -> Iterator[Figure]:
    """Clearance needed and there, at the place of work and at the lowest one."""
    needed = needed_at_work(file, line, fall)
    if needed is None or fall.stretch is None or fall.soft is None:
        return
    name = f"line/{line.id}"
    soft = fall.soft
    if fall.effective is not None:
        yield figure(
            f"{name}/fall/stretch",
            message("Stretch of the rope at the peak force"),
            PEAK_STRETCH,
            {
                "F": soft.peak(fall.effective)[0],
                "L": fall.effective,
                "K": soft.stiffness,
                "k": soft.strands,
            },
            fall.stretch,
        )
    yield figure(
        f"{name}/clearance/needed",
        message("Clearance needed below the attachment point"),
        CLEARANCE,
        _needs(soft.free, fall.stretch, fall.slip),
        needed,
    )
    yield from _available_figures(file, line, fall)


def _available_figures(file: JobFile, line: RigLine, fall: Arrest) -> Iterator[Figure]:
    name = f"line/{line.id}/clearance"
    if line.line.fall is not None and line.line.fall.clear is not None:
        yield figure(
            f"{name}/available",
            message("Clear height below the attachment point at the place of work"),
            CLEAR_HEIGHT,
            {
                "c": stated(
                    file, ("lines", line.id, "fall", "clear"), "C", message("clear height")
                ),
                "H": drop_of(file, line),
                "L": below_of(file, line),
            },
            clear_at_work(file, line),
        )
    needed, soft = needed_at_lowest(file, line, fall), fall.soft
    if needed is not None and soft is not None:
        rope = effective_ranging(file, line, lowest_of(file, line))
        yield figure(
            f"{name}/needed_at_lowest",
            message("Clearance needed at the lowest place of work"),
            CLEARANCE,
            _needs(soft.free, soft.stretched(rope), soft.slipped(rope)),
            needed,
        )


def stretch_figures(file: JobFile, line: RigLine, found: Tensions) -> Iterator[Figure]:
    """How far the load sinks when it comes on the rope; how much is hauled in before it moves."""
    words = {
        "hold": message("How far the load sinks when it comes on the rope"),
        "raise": message("Rope hauled in before the load moves"),
        "rescue": message("Stretch under the rescue load"),
    }
    for case, title in words.items():
        if case not in found.free:
            continue
        yield figure(
            f"line/{line.id}/stretch/{case}",
            title,
            stretch_of(len(line.bends) + 1),
            _stretching(file, line, found, case),
        )


def _stretching(file: JobFile, line: RigLine, found: Tensions, case: str) -> dict[str, Interval]:
    """Tension and length of each part of the rope from the load up, and what the rope is like.

    Every strand carries its own weight.
    """
    ends = ["load", *(f"{bend.station}:above" for bend in reversed(line.bends))]
    parts: dict[str, Interval] = {}
    for n, (end, length) in enumerate(zip(ends, lengths(file, line), strict=True), start=1):
        parts |= {f"T{n}": found.free[case][end], f"L{n}": length}
    strands = counted(
        file, ("lines", line.id, "strands"), line.line.strands, "k", message("strands")
    )
    return {
        **parts,
        "k": strands,
        "K": modulus_slow(file, line.line.rope),
        "w": stated(file, ("ropes", line.line.rope, "mass"), "w", message("mass per length")),
        "L": below_of(file, line),
    }
