"""Room to fall, and stretch: clearance below a fall, ledges, sink on loading, take-up."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.assess.course import below_of, lengths
from riskdoc.assess.falls import Arrest, effective_ranging
from riskdoc.assess.figures import figure
from riskdoc.assess.heights import (
    AT_LOWEST,
    AT_WORK,
    clear_at_lowest,
    clear_at_work,
    lowest_of,
)
from riskdoc.assess.inputs import Missing, counted, default, once, stated
from riskdoc.assess.judge import Pair, Question, does_not_apply, judge, not_demonstrated
from riskdoc.assess.records import Check, Figure
from riskdoc.assess.rig import RigLine
from riskdoc.assess.spread import Spread, combine, exact, total
from riskdoc.assess.stiffness import modulus_slow
from riskdoc.assess.tension import Tensions
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say
from riskdoc.mechanics.clearance import clearance_needed
from riskdoc.mechanics.loads import weight
from riskdoc.mechanics.stretch import own_weight_stretch, stretch


def _needed(fall: Arrest, stretched: Spread, slipped: Spread | None) -> Spread | None:
    if fall.soft is None:
        return None
    return combine(
        clearance_needed,
        fall.soft.free,
        stretched,
        slipped if slipped is not None else exact(0.0),
        default("work", "body below attachment", "body"),
        default("work", "spare clearance", "spare"),
    )


def needed_at_work(file: JobFile, line: RigLine, fall: Arrest) -> Spread | None:
    """Clearance needed at the place of work, None where the fall is not known."""
    return None if fall.stretch is None else _needed(fall, fall.stretch, fall.slip)


def needed_at_lowest(file: JobFile, line: RigLine, fall: Arrest) -> Spread | None:
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
    yield figure(
        f"{name}/fall/stretch",
        say("Stretch of the rope at the peak force"),
        fall.stretch,
        "m",
        "x",
        "F L / (k K)",
        say("from effective length, modulus and the peak with that modulus; the soft end expected"),
        say("definition of modulus"),
    )
    yield figure(
        f"{name}/clearance/needed",
        say("Clearance needed below the attachment point"),
        needed,
        "m",
        "C",
        say("free fall + stretch + slip + body + spare"),
        "{h} + {x} + {s} + {b} + {r}",
        say("counted from the attachment point at the moment the fall starts"),
        h=fall.soft.free,
        x=fall.stretch,
        s=fall.slip if fall.slip is not None else 0.0,
        b=default("work", "body below attachment", "body"),
        r=default("work", "spare clearance", "spare"),
    )
    yield from _available_figures(file, line, fall)


def _available_figures(file: JobFile, line: RigLine, fall: Arrest) -> Iterator[Figure]:
    name = f"line/{line.id}/clearance"
    if line.line.fall is not None and line.line.fall.clear is not None:
        yield figure(
            f"{name}/available",
            say("Clear height below the attachment point at the place of work"),
            clear_at_work(file, line),
            "m",
            "C",
            say("the lesser of what is stated and the drop less the rope below"),
            "min({c}, {H} − {L})",
            say("job file; geometry"),
            c=stated(file, ("lines", line.id, "fall", "clear"), "C", say("clear height")),
            H=stated(file, ("sites", line.site_id, "drop"), "H", say("drop")),
            L=below_of(file, line),
        )
    needed = needed_at_lowest(file, line, fall)
    if needed is not None:
        yield figure(
            f"{name}/needed_at_lowest",
            say("Clearance needed at the lowest place of work"),
            needed,
            "m",
            "C",
            say("free fall + stretch + slip + body + spare"),
            say("as at the place of work, with {L} of rope below the last edge"),
            say("geometry: the drop less the clear height at the lowest place"),
            L=lowest_of(file, line),
        )


def clearance_checks(file: JobFile, line: RigLine, fall: Arrest) -> Iterator[Check]:
    """Clear height against what is needed: to the ground at both places, and to every ledge."""
    ground = _question(line, "", say("Clearance below a fall"))
    ledges = _question(line, "/ledges", say("Clearance to ledges"))
    if line.no_fall is not None:
        for each in (ground, ledges):
            yield does_not_apply(each.id, each.subject, each.title, line.no_fall)
        return
    yield _ground(file, line, fall, ground)
    yield _ledges(file, line, fall, ledges)


def _question(line: RigLine, end: str, title: str) -> Question:
    return Question(
        id=f"line/{line.id}/clearance{end}",
        subject=f"line/{line.id}",
        title=title,
        demanded=mark("a clearance needed of {amount}"),
        held=mark("A clear height of {amount}"),
        unit="m",
        remedy=say("Less slack, a stiffer or shorter rope, or work higher above the obstacle."),
        figures=(f"line/{line.id}/clearance/needed",),
    )


def _ground(file: JobFile, line: RigLine, fall: Arrest, question: Question) -> Check:
    spare = default("work", "spare clearance", "spare")
    gaps = [*fall.missing, *fall.slip_missing]
    pairs: list[Pair] = []
    for words, needed, clear in (
        (AT_WORK, needed_at_work, clear_at_work),
        (AT_LOWEST, needed_at_lowest, clear_at_lowest),
    ):
        try:
            there, asked = clear(file, line), needed(file, line, fall)
        except Missing as gap:
            gaps.append(gap.key)
        else:
            if asked is not None:
                pairs.append(Pair(say(words), asked, there))
    if gaps:
        return not_demonstrated(question, tuple(dict.fromkeys(gaps)), exact(1.0), spare)
    return judge(question, pairs, exact(1.0), spare)


def _ledges(file: JobFile, line: RigLine, fall: Arrest, question: Question) -> Check:
    spare = default("work", "spare clearance", "spare")
    gaps = [*fall.missing, *fall.slip_missing]
    if line.line.fall is not None:
        why = line.line.fall.why_not("ledges")
        if why is not None:
            return does_not_apply(question.id, question.subject, question.title, why)
        if not line.line.fall.ledges:
            gaps.append(f"lines.{line.id}.fall.ledges")
    needed = needed_at_work(file, line, fall)
    if gaps or needed is None or line.line.fall is None:
        return not_demonstrated(question, tuple(dict.fromkeys(gaps)), exact(1.0), spare)
    pairs = []
    for n, ledge in enumerate(line.line.fall.ledges):
        keys = ("lines", line.id, "fall", "ledges", n, "below")
        height = stated(file, keys, "C", say("height down to {ledge}", ledge=ledge.name))
        pairs.append(Pair(say("to {ledge}", ledge=ledge.name), needed, height))
    return judge(question, pairs, exact(1.0), spare)


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
    stiffness = modulus_slow(file, line.line.rope)
    return combine(own_weight_stretch, combine(weight, per_metre), below_of(file, line), stiffness)
