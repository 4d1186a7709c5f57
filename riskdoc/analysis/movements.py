"""How far a rope moves at an edge: sideways, sawing, running; and how much of it is covered.

Sideways there are two scenarios. A rope that `creeps` comes to the straight line between its
anchor and its load, because it moves along itself at the edge again and again; one that is `held`
stays where friction holds it. Nobody knows beforehand which it will be; both are worked out, each
by itself, and the worse is judged.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from riskdoc.analysis.course import between
from riskdoc.analysis.edge_crossing import above, beyond, covered_of, straight_crossing, sweep_of
from riskdoc.analysis.inputs import Missing, cached, counted, from_table, stated
from riskdoc.analysis.load_mass import weight_of
from riskdoc.analysis.resolve import RUNNING, RigEdge, RigLine
from riskdoc.analysis.stiffness import modulus_slow
from riskdoc.analysis.strengths import bare_radius
from riskdoc.analysis.tension import friction_across, friction_across_least, turn_of
from riskdoc.analysis.wind_and_swing import gust_passes, offset_of, reach_of
from riskdoc.i18n.message import message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.movement import running_distance, sawing_distance, sideways_distance
from riskdoc.mechanics.sweep import held_crossing
from riskdoc.quantities.intervals import Interval, combine, exact, product, total

CREEPS, HELD = "creeps", "held"
SCENARIOS = {
    CREEPS: mark("the rope creeps to the straight line"),
    HELD: mark("friction holds the rope at its resting place"),
}
"""What a rope may do that is drawn sideways, in words."""


@dataclass(frozen=True, slots=True)
class Sideways:
    """The sideways movement of a line's rope at one edge in one scenario.

    `crossing` is where the rope crosses the edge off the straight line down, `sweep` the width of
    one pass, `covered` the share of it on a protector, `distance` the way of all passes and gusts.
    """

    crossing: Interval
    sweep: Interval
    covered: Interval
    distance: Interval


@dataclass(frozen=True, slots=True)
class Along:
    """A movement along the rope in one case: `sawing` or `running`.

    `distance` is the slide in contact on what the rope touches, `on_bare` that on the bare edge.
    """

    case: str
    kind: str
    distance: Interval
    on_bare: Interval


@cached
def contact_radius(file: JobFile, edge: RigEdge) -> Interval:
    """Radius the rope rubs over: a plate's or roller's own where there is one, else the edge's."""
    if edge.replaced:
        keys = ("protection", str(edge.protector_id), "radius")
        return stated(
            file, keys, "r", message("radius of {protector}", protector=edge.protector_id)
        )
    return bare_radius(file, edge)


@cached
def sideways(file: JobFile, line: RigLine, edge: RigEdge, scenario: str) -> Sideways:
    """Sideways movement in a scenario. Raises `Missing` for the first thing it needs and lacks."""
    crossed = _crossing(file, line, edge, scenario)
    swept = sweep_of(file, edge, crossed)
    own = combine(sideways_distance, swept, passes(file, line))
    blown = gusts(file, line, edge)
    return Sideways(
        crossing=crossed,
        sweep=swept,
        covered=covered_of(file, edge, swept),
        distance=own if blown is None else total(own, combine(sideways_distance, *blown)),
    )


def _crossing(file: JobFile, line: RigLine, edge: RigEdge, scenario: str) -> Interval:
    if scenario == CREEPS:
        return straight_crossing(file, line, edge)
    mu = friction_across(file, line, edge)
    spots = reach_of(file, line), above(file, line, edge), beyond(file, line, edge)
    return combine(held_crossing, *spots, mu, turn_of(file, edge))


def gusts(file: JobFile, line: RigLine, edge: RigEdge) -> tuple[Interval, Interval] | None:
    """How far a gust sweeps the rope along the edge, and how many there are; None without wind.

    A gust passes in seconds, and the rope has no time to creep: it slides where the push of the
    wind alone overcomes friction, taken at its low end.
    """
    count, offset = gust_passes(file, line), offset_of(file, line)
    if count is None or offset is None:
        return None
    mu = friction_across_least(file, line, edge)
    spots = offset, above(file, line, edge), beyond(file, line, edge)
    crossed = combine(held_crossing, *spots, mu, turn_of(file, edge))
    return sweep_of(file, edge, crossed), count


def passes(file: JobFile, line: RigLine) -> Interval:
    """Sideways passes. Whoever works off the fall line crosses it at least once.

    Raises `Missing` where they are not stated and the load can stand off the fall line.
    """
    off = reach_of(file, line).range.high > 0
    if line.line.passes is None:
        if not off:
            return exact(0.0)
        raise Missing(f"lines.{line.id}.passes")
    keys = ("lines", line.id, "passes")
    own = line.site.reach_sideways is not None and line.site.reach_sideways.high > 0
    if line.line.passes == 0 and line.line.role == "working" and line.person and own:
        return counted(
            file,
            keys,
            1,
            "N",
            message("sideways passes (0 stated, counted as 1: there is a reach)"),
        )
    return counted(file, keys, line.line.passes, "N", message("sideways passes"))


def along(file: JobFile, line: RigLine, edge: RigEdge) -> Iterator[Along]:
    """Movements along the rope. Raises `Missing` for the first thing they need and lack.

    A person bounces while climbing, descending and hanging at work; a rope runs while it is
    lowered or raised. A rescue is done once.
    """
    radii = contact_radius(file, edge), bare_radius(file, edge)
    for case in line.cases:
        if case in RUNNING:
            runs = runs_of(file, line)
            yield Along(case, "running", *(_running(file, line, edge, r, runs) for r in radii))
        elif line.person:
            steps = steps_of(file, line, case)
            yield Along(case, "sawing", *(_sawing(file, line, edge, r, steps) for r in radii))
    if line.line.rescue is not None:
        numbers = (_running(file, line, edge, r, exact(1.0)) for r in radii)
        yield Along("rescue", "running", *numbers)


def runs_of(file: JobFile, line: RigLine) -> Interval:
    """How often each moving case is done. Raises `Missing` where it is not stated."""
    keys = ("lines", line.id, "runs")
    if line.line.runs is None:
        raise Missing(".".join(keys))
    return counted(file, keys, line.line.runs, "runs", message("times each case is done"))


def steps_of(file: JobFile, line: RigLine, case: str) -> Interval:
    """How often a person bounces in a case: steps of a climb, a part of them in a descent.

    Hanging at work it is so many an hour. Raises `Missing` where hours or runs are not stated.
    """
    if case == "hold":
        return combine(lambda t, n: t / 3600 * n, hours_of(file, line), bounces_of(case))
    climb = combine(lambda h, step: h / step, height_of(file, line), step_of())
    runs = runs_of(file, line)
    return product(climb, runs) if case == "ascend" else product(climb, bounces_of(case), runs)


def bounces_of(case: str) -> Interval:
    """How often a person bounces: in an hour of hanging at work, or of a climb's steps."""
    if case == "hold":
        return from_table("abrasion", "bounces at work", "ν").on_axis("wear")
    return from_table("abrasion", "bounces descending", "ν").on_axis("wear")


def bounce_of() -> Interval:
    """Change of tension in a bounce, over the weight; with all wear, the index rises with it."""
    return from_table("abrasion", "bounce", "b").on_axis("wear")


def step_of() -> Interval:
    """Height gained in one step of a climb."""
    return from_table("abrasion", "step", "step")


def height_of(file: JobFile, line: RigLine) -> Interval:
    """Height that is climbed or descended below the last edge."""
    return stated(file, ("lines", line.id, "below"), "h", message("height climbed"))


def hours_of(file: JobFile, line: RigLine) -> Interval:
    """How long the load hangs on the line. Raises `Missing` where it is not stated."""
    return stated(file, ("lines", line.id, "hours"), "t", message("time on the line"))


def _running(
    file: JobFile, line: RigLine, edge: RigEdge, radius: Interval, runs: Interval
) -> Interval:
    numbers = (radius, turn_of(file, edge), runs, least_contact(file, line))
    return combine(running_distance, *numbers)


@cached
def least_contact(file: JobFile, line: RigLine) -> Interval:
    """Least length of rope in contact with an edge: a part of its thickness.

    Without it a rope would slide over less and less the sharper the edge, and wear less.
    """
    return product(*reversed(contact_part(file, line)))


def contact_part(file: JobFile, line: RigLine) -> tuple[Interval, Interval]:
    """The part of a rope's thickness that bears on an edge at least, and the thickness."""
    diameter = stated(file, ("ropes", line.line.rope, "diameter"), "d", message("rope diameter"))
    return from_table("abrasion", "least contact", "λ"), diameter


def _sawing(
    file: JobFile, line: RigLine, edge: RigEdge, radius: Interval, steps: Interval
) -> Interval:
    return combine(
        sawing_distance,
        bounce_of(),
        weight_of(file, line.line.load),
        between(file, line, None, edge),  # a redirect holds the rope sideways, not along itself
        modulus_slow(file, line.line.rope),
        radius,
        turn_of(file, edge),
        steps,
        counted(file, ("lines", line.id, "strands"), line.line.strands, "k", message("strands")),
        least_contact(file, line),
    )
