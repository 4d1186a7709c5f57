"""What is below a load, and how far the load sinks toward it when it comes on the rope.

One datum for every clear height: the attachment point of the person on the line. It is looked at
twice: at the place of work, which the line states, and at the lowest place of work of its site,
where most rope is out and least is below.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from riskdoc.analysis.course import above_of, below_of
from riskdoc.analysis.figure import Figure
from riskdoc.analysis.figures import figure
from riskdoc.analysis.inputs import cached, counted, stated
from riskdoc.analysis.load_mass import weight_of
from riskdoc.analysis.resolve import RigLine
from riskdoc.analysis.stiffness import modulus_slow
from riskdoc.i18n.message import Text, joined, message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.clearance import height_left
from riskdoc.mechanics.loads import weight
from riskdoc.mechanics.stretch import SINK, own_weight_stretch, stretch
from riskdoc.quantities.intervals import Interval, combine, exact, least, total

AT_WORK, AT_LOWEST = mark("at the place of work"), mark("at the lowest place of work")


def drop_of(file: JobFile, line: RigLine) -> Interval:
    """The drop of the site of a line."""
    return stated(file, ("sites", line.site_id, "drop"), "H", message("drop"))


def clear_at_lowest(file: JobFile, line: RigLine) -> Interval:
    """Clear height at the lowest place of work. Raises `Missing` where it is not stated."""
    return stated(
        file,
        ("sites", line.site_id, "clear_below"),
        "C",
        message("clear height at the lowest place of work"),
    )


@cached
def lowest_of(file: JobFile, line: RigLine) -> Interval:
    """Rope below the last edge at the lowest place of work: what of the drop is not clear below.

    Raises `Missing` where the clear height there is not stated.
    """
    numbers = (drop_of(file, line), clear_at_lowest(file, line), below_of(file, line))
    return combine(lambda drop, clear, below: np.maximum(drop - clear, below), *numbers)


@cached
def clear_at_work(file: JobFile, line: RigLine) -> Interval:
    """Clear height at the place of work: the lesser of what is stated and what the drop leaves.

    Raises `Missing` where the line states a fall and no clear height.
    """
    left = combine(height_left, drop_of(file, line), below_of(file, line))
    if line.line.fall is None:
        return left
    clear = stated(file, ("lines", line.id, "fall", "clear"), "C", message("clear height"))
    return least(clear, left)


def sink_of(file: JobFile, line: RigLine, load: str, below: Interval) -> Interval:
    """How far a load sinks when it comes on the rope, with so much rope below the last edge.

    No edge takes any of the load: friction never helps. Raises `Missing` without a stretch.
    """
    stiffness = modulus_slow(file, line.line.rope)
    strands = counted(
        file, ("lines", line.id, "strands"), line.line.strands, "k", message("strands")
    )
    length = total(below, *above_of(file, line))
    per_metre = stated(file, ("ropes", line.line.rope, "mass"), "w", message("mass per length"))
    own = combine(own_weight_stretch, combine(weight, per_metre), below, stiffness)
    return total(combine(stretch, weight_of(file, load), length, stiffness, strands), own)


def sinking(file: JobFile, line: RigLine) -> Iterator[tuple[str, str, Text]]:
    """What comes on the rope: its id among figures, its load, and words for it."""
    yield "", line.line.load, ""
    if line.line.rescue is not None:
        yield "/rescue", line.line.rescue.load, message("with the rescue load")


def sink_figures(file: JobFile, line: RigLine) -> Iterator[Figure]:
    """How far each load sinks at both places. Raises `Missing` on the first that lacks a number."""
    titles = {
        "work": (below_of, message("Sink when the load comes on the rope, at the place of work")),
        "lowest": (lowest_of, message("Sink when the load comes on the rope, at the lowest place")),
    }
    for place, (below, title) in titles.items():
        for end, load, also in sinking(file, line):
            rope = below(file, line)
            yield figure(
                f"line/{line.id}/sink/{place}{end}",
                joined([title, also]),
                SINK,
                {
                    "W": weight_of(file, load),
                    "L": rope,
                    "a": total(exact(0.0), *above_of(file, line)),
                    "k": float(line.line.strands),
                    "K": modulus_slow(file, line.line.rope),
                    "w": stated(
                        file, ("ropes", line.line.rope, "mass"), "w", message("mass per length")
                    ),
                },
                sink_of(file, line, load, rope),
            )
