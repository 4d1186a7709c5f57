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
    drop_of,
    lowest_of,
)
from riskdoc.assess.inputs import Missing, counted, default, stated
from riskdoc.assess.judge import Pair, Question, does_not_apply, judge, not_demonstrated
from riskdoc.assess.records import Check, Figure
from riskdoc.assess.rig import RigLine
from riskdoc.assess.spread import Spread, combine, exact
from riskdoc.assess.stiffness import modulus_slow
from riskdoc.assess.tension import Tensions
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say
from riskdoc.mechanics.by_count import stretch_of
from riskdoc.mechanics.clearance import CLEAR_HEIGHT, CLEARANCE, clearance_needed
from riskdoc.mechanics.fall import PEAK_STRETCH


def _needed(fall: Arrest, stretched: Spread, slipped: Spread | None) -> Spread | None:
    if fall.soft is None:
        return None
    return combine(clearance_needed, *_needs(fall.soft.free, stretched, slipped).values())


def _needs(free: Spread, stretched: Spread, slipped: Spread | None) -> dict[str, Spread]:
    """What a clearance is needed for."""
    return {
        "h": free,
        "x": stretched,
        "s": slipped if slipped is not None else exact(0.0),
        "body": default("work", "body below attachment", "body"),
        "spare": default("work", "spare clearance", "spare"),
    }


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
    soft = fall.soft
    if fall.effective is not None:
        yield figure(
            f"{name}/fall/stretch",
            say("Stretch of the rope at the peak force"),
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
        say("Clearance needed below the attachment point"),
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
            say("Clear height below the attachment point at the place of work"),
            CLEAR_HEIGHT,
            {
                "c": stated(file, ("lines", line.id, "fall", "clear"), "C", say("clear height")),
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
            say("Clearance needed at the lowest place of work"),
            CLEARANCE,
            _needs(soft.free, soft.stretched(rope), soft.slipped(rope)),
            needed,
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
        yield figure(
            f"line/{line.id}/stretch/{case}",
            title,
            stretch_of(len(line.bends) + 1),
            _stretching(file, line, found, case),
        )


def _stretching(file: JobFile, line: RigLine, found: Tensions, case: str) -> dict[str, Spread]:
    """Tension and length of each part of the rope from the load up, and what the rope is like.

    Every strand carries its own weight.
    """
    ends = ["load", *(f"{bend.station}:above" for bend in reversed(line.bends))]
    parts: dict[str, Spread] = {}
    for n, (end, length) in enumerate(zip(ends, lengths(file, line), strict=True), start=1):
        parts |= {f"T{n}": found.free[case][end], f"L{n}": length}
    strands = counted(file, ("lines", line.id, "strands"), line.line.strands, "k", say("strands"))
    return {
        **parts,
        "k": strands,
        "K": modulus_slow(file, line.line.rope),
        "w": stated(file, ("ropes", line.line.rope, "mass"), "w", say("mass per length")),
        "L": below_of(file, line),
    }
