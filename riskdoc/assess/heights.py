"""What is below a load, and how far the load sinks toward it when it comes on the rope.

One datum for every clear height: the attachment point of the person on the line. It is looked at
twice: at the place of work, which the line states, and at the lowest place of work of its site,
where most rope is out and least is below.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from riskdoc.assess.course import above_of, below_of
from riskdoc.assess.figures import figure
from riskdoc.assess.inputs import Missing, counted, default, once, stated
from riskdoc.assess.judge import Pair, Question, judge, not_demonstrated
from riskdoc.assess.loads import weight_of
from riskdoc.assess.records import Check, Figure
from riskdoc.assess.rig import RigLine
from riskdoc.assess.spread import Spread, combine, exact, least, total
from riskdoc.assess.stiffness import modulus_slow
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say
from riskdoc.mechanics.clearance import height_left
from riskdoc.mechanics.loads import weight
from riskdoc.mechanics.stretch import SINK, own_weight_stretch, stretch

AT_WORK, AT_LOWEST = mark("at the place of work"), mark("at the lowest place of work")


def drop_of(file: JobFile, line: RigLine) -> Spread:
    """The drop of the site of a line."""
    return stated(file, ("sites", line.site_id, "drop"), "H", say("drop"))


def clear_at_lowest(file: JobFile, line: RigLine) -> Spread:
    """Clear height at the lowest place of work. Raises `Missing` where it is not stated."""
    return stated(
        file,
        ("sites", line.site_id, "clear_below"),
        "C",
        say("clear height at the lowest place of work"),
    )


@once
def lowest_of(file: JobFile, line: RigLine) -> Spread:
    """Rope below the last edge at the lowest place of work: what of the drop is not clear below.

    Raises `Missing` where the clear height there is not stated.
    """
    numbers = (drop_of(file, line), clear_at_lowest(file, line), below_of(file, line))
    return combine(lambda drop, clear, below: np.maximum(drop - clear, below), *numbers)


@once
def clear_at_work(file: JobFile, line: RigLine) -> Spread:
    """Clear height at the place of work: the lesser of what is stated and what the drop leaves.

    Raises `Missing` where the line states a fall and no clear height.
    """
    left = combine(height_left, drop_of(file, line), below_of(file, line))
    if line.line.fall is None:
        return left
    clear = stated(file, ("lines", line.id, "fall", "clear"), "C", say("clear height"))
    return least(clear, left)


def sink_of(file: JobFile, line: RigLine, load: str, below: Spread) -> Spread:
    """How far a load sinks when it comes on the rope, with so much rope below the last edge.

    No edge takes any of the load: friction never helps. Raises `Missing` without a stretch.
    """
    stiffness = modulus_slow(file, line.line.rope)
    strands = counted(file, ("lines", line.id, "strands"), line.line.strands, "k", say("strands"))
    length = total(below, *above_of(file, line))
    per_metre = stated(file, ("ropes", line.line.rope, "mass"), "w", say("mass per length"))
    own = combine(own_weight_stretch, combine(weight, per_metre), below, stiffness)
    return total(combine(stretch, weight_of(file, load), length, stiffness, strands), own)


def _sinking(file: JobFile, line: RigLine) -> Iterator[tuple[str, str, str]]:
    """What comes on the rope: its id among figures, its load, and words for it."""
    yield "", line.line.load, ""
    if line.line.rescue is not None:
        yield "/rescue", line.line.rescue.load, say("with the rescue load")


def sink_check(file: JobFile, line: RigLine) -> Check:
    """Whether the feet stay clear of what is below when the load comes on the rope."""
    question = Question(
        id=f"line/{line.id}/sink",
        subject=f"line/{line.id}",
        title=say("Sink of the load toward what is below"),
        demanded=mark("a sink of the load, down to the feet, of {amount}"),
        held=mark("A clear height of {amount}"),
        unit="m",
        remedy=say(
            "A rope that stretches less, two strands, or a lowest place of work higher above what "
            "is below."
        ),
        figures=(f"line/{line.id}/sink/work", f"line/{line.id}/sink/lowest"),
    )
    feet = default("work", "body below attachment", "body")
    pairs: list[Pair] = []
    gaps: list[str] = []
    for words, below, clear in (
        (AT_WORK, below_of, clear_at_work),
        (AT_LOWEST, lowest_of, clear_at_lowest),
    ):
        try:
            for _, load, also in _sinking(file, line):
                demand = total(sink_of(file, line, load, below(file, line)), feet)
                where = " ".join(filter(None, (say(words), also)))
                pairs.append(Pair(where, demand, clear(file, line)))
        except Missing as gap:
            gaps.append(gap.key)
    if gaps:
        return not_demonstrated(question, tuple(dict.fromkeys(gaps)), exact(1.0), feet)
    return judge(question, pairs, exact(1.0), feet)


def sink_figures(file: JobFile, line: RigLine) -> Iterator[Figure]:
    """How far each load sinks at both places. Raises `Missing` on the first that lacks a number."""
    titles = {
        "work": (below_of, say("Sink when the load comes on the rope, at the place of work")),
        "lowest": (lowest_of, say("Sink when the load comes on the rope, at the lowest place")),
    }
    for place, (below, title) in titles.items():
        for end, load, also in _sinking(file, line):
            rope = below(file, line)
            yield figure(
                f"line/{line.id}/sink/{place}{end}",
                f"{title}, {also}" if also else title,
                SINK,
                {
                    "W": weight_of(file, load),
                    "L": rope,
                    "a": total(exact(0.0), *above_of(file, line)),
                    "k": float(line.line.strands),
                    "K": modulus_slow(file, line.line.rope),
                    "w": stated(
                        file, ("ropes", line.line.rope, "mass"), "w", say("mass per length")
                    ),
                },
                sink_of(file, line, load, rope),
            )
