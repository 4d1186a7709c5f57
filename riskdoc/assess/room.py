"""Room to fall, and stretch: clearance below a fall, ledges, sink on loading, take-up."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from riskdoc.assess.course import lengths
from riskdoc.assess.falls import Arrest, modulus_slow
from riskdoc.assess.figures import figure
from riskdoc.assess.inputs import Missing, counted, default, once, stated
from riskdoc.assess.judge import Pair, Question, judge, not_demonstrated
from riskdoc.assess.records import Check, Figure
from riskdoc.assess.rig import RigLine
from riskdoc.assess.spread import Spread, combine, exact, total
from riskdoc.assess.tension import Tensions
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say
from riskdoc.mechanics.clearance import clearance_needed
from riskdoc.mechanics.loads import weight
from riskdoc.mechanics.stretch import own_weight_stretch, stretch


def needed_clearance(file: JobFile, line: RigLine, fall: Arrest) -> Spread | None:
    """Clearance needed below the attachment point, None where the fall is not known."""
    if fall.stretch is None:
        return None
    return combine(
        clearance_needed,
        stated(file, ("lines", line.id, "fall", "free"), "h", say("free fall")),
        fall.stretch,
        fall.slip if fall.slip is not None else exact(0.0),
        default("work", "body below attachment", "body"),
        default("work", "spare clearance", "spare"),
    )


def clearance_figures(file: JobFile, line: RigLine, fall: Arrest) -> Iterator[Figure]:
    """Clearance needed and stated."""
    needed = needed_clearance(file, line, fall)
    if needed is None or fall.stretch is None:
        return
    yield figure(
        f"line/{line.id}/fall/stretch",
        say("Stretch of the rope at the peak force"),
        fall.stretch,
        "m",
        "x",
        "F L / (k K)",
        say("from peak, effective length and modulus in the fall"),
        say("definition of modulus"),
    )
    yield figure(
        f"line/{line.id}/clearance/needed",
        say("Clearance needed below the attachment point"),
        needed,
        "m",
        "C",
        say("free fall + stretch + slip + body + spare"),
        "{h} + {x} + {s} + {b} + {r}",
        say("counted from the attachment point at the moment the fall starts"),
        h=stated(file, ("lines", line.id, "fall", "free"), "h", say("free fall")),
        x=fall.stretch,
        s=fall.slip if fall.slip is not None else 0.0,
        b=default("work", "body below attachment", "body"),
        r=default("work", "spare clearance", "spare"),
    )
    if line.line.fall is not None and line.line.fall.clear is not None:
        clear = _clear(file, line)
        yield figure(
            f"line/{line.id}/clearance/available",
            say("Clear height stated below the attachment point"),
            clear,
            "m",
            "C",
            say("as stated"),
            "{c}",
            say("job file"),
            c=clear,
        )


def _clear(file: JobFile, line: RigLine) -> Spread:
    return stated(file, ("lines", line.id, "fall", "clear"), "C", say("clear height"))


def clearance_checks(file: JobFile, line: RigLine, fall: Arrest) -> Iterator[Check]:
    """Clear height against what is needed, to the ground and to every ledge stated."""
    needed = needed_clearance(file, line, fall)
    yield _clearance(
        f"line/{line.id}/clearance",
        say("Clearance below a fall"),
        line,
        needed,
        fall.missing,
        partial(_clear, file, line),
    )
    if line.line.fall is None:
        return
    for n, ledge in enumerate(line.line.fall.ledges):
        keys = ("lines", line.id, "fall", "ledges", n, "below")
        yield _clearance(
            f"line/{line.id}/clearance/ledge/{n + 1}",
            say("Clearance to {ledge}", ledge=ledge.name),
            line,
            needed,
            fall.missing,
            partial(stated, file, keys, "C", say("height down to {ledge}", ledge=ledge.name)),
        )


def _clearance(
    id: str,
    title: str,
    line: RigLine,
    needed: Spread | None,
    gaps: tuple[str, ...],
    available: Callable[[], Spread],
) -> Check:
    spare = default("work", "spare clearance", "spare")
    question = Question(
        id=id,
        subject=f"line/{line.id}",
        title=title,
        demanded=mark("a clearance needed of {amount}"),
        held=mark("A clear height of {amount}"),
        unit="m",
        remedy=say("Less slack, a stiffer or shorter rope, or work higher above the obstacle."),
        figures=(f"line/{line.id}/clearance/needed",),
    )
    try:
        clear = available()
    except Missing as gap:
        return not_demonstrated(question, (*gaps, gap.key), exact(1.0), spare)
    if needed is None:
        return not_demonstrated(question, gaps, exact(1.0), spare)
    return judge(question, [Pair("", needed, clear)], exact(1.0), spare)


def stretch_figures(file: JobFile, line: RigLine, found: Tensions) -> Iterator[Figure]:
    """How far the load sinks when it comes on the rope; how much is hauled in before it moves."""
    words = {
        "hold": say("How far the load sinks when it comes on the rope"),
        "raise": say("Rope hauled in before the load moves"),
        "rescue": say("Stretch under the rescue load"),
    }
    for case, title in words.items():
        if case not in found.free:
            continue
        own = _own(file, line)
        number = total(_along(file, line, found, case), own)
        yield figure(
            f"line/{line.id}/stretch/{case}",
            title,
            number,
            "m",
            "x",
            "Σ T L / (k K) + w L² / (2 K)",
            say("segments as listed + {own}"),
            say("definition of modulus; the rope's own weight hangs below the last edge"),
            own=own,
        )


def _along(file: JobFile, line: RigLine, found: Tensions, case: str) -> Spread:
    stiffness = modulus_slow(file, line.line.rope)
    strands = counted(file, ("lines", line.id, "strands"), line.line.strands, "k", say("strands"))
    ends = ["load", *(f"{bend.station}:above" for bend in reversed(line.bends))]
    parts = [
        combine(stretch, found.free[case][end], length, stiffness, strands)
        for end, length in zip(ends, lengths(file, line), strict=True)
    ]
    return total(*parts)


@once
def _own(file: JobFile, line: RigLine) -> Spread:
    """Stretch of one strand under its own weight: every strand carries its own."""
    per_metre = stated(file, ("ropes", line.line.rope, "mass"), "w", say("mass per length"))
    below = stated(file, ("lines", line.id, "below"), "L", say("rope below the last edge"))
    stiffness = modulus_slow(file, line.line.rope)
    return combine(own_weight_stretch, combine(weight, per_metre), below, stiffness)
