"""Figures of the exposure of an edge: the movements, the index of each, the whole, comparisons.

Each scenario has its own figures: those of the rope that creeps under the plain ids, those of the
rope that is held under `…/held/…`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from riskdoc.assess.across import above, beyond, guarded, width_of
from riskdoc.assess.air import reach_of
from riskdoc.assess.exposures import EdgeExposure, Scenario, Way, Wear, start_of
from riskdoc.assess.figures import figure
from riskdoc.assess.loads import weight_of
from riskdoc.assess.movements import (
    HELD,
    SCENARIOS,
    Along,
    Sideways,
    bounce_of,
    bounces_of,
    contact_radius,
    gusts,
    height_of,
    hours_of,
    least_contact,
    passes,
    runs_of,
    step_of,
)
from riskdoc.assess.records import Figure
from riskdoc.assess.rig import RUNNING, RigEdge, RigLine
from riskdoc.assess.spread import Spread, exact
from riskdoc.assess.stiffness import modulus_slow
from riskdoc.assess.tension import friction_across, turn_of
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say
from riskdoc.language.units import plain
from riskdoc.mechanics.sweep import kink_limit

SOURCE = mark("ranking index of this project (judgement), no life of a rope; exponents as listed")
UNFOLDED = mark("geometry: straight line in the unfolded planes")
STUCK = mark(
    "Coulomb friction in the unfolded planes: the rope stays while its kink is under β, "
    "sin β = min(1, 2 μ sin(θ/2)); t = tan β"
)

KINDS = {
    "sideways": mark("sideways movement"),
    "beyond": mark("sideways movement beside the protector, on bare edge"),
    "sawing": mark("sawing"),
    "sawing_beyond": mark("sawing beside the protector, on bare edge"),
    "running": mark("running"),
    "running_beyond": mark("running beside the protector, on bare edge"),
}


def exposure_figures(
    file: JobFile, line: RigLine, edge: RigEdge, found: EdgeExposure
) -> Iterator[Figure]:
    """Movements at the edge, the index of each, and the whole, for both scenarios."""
    starts = {each: start_of(line, edge, each) for each in found.scenarios}
    for scenario, start in starts.items():
        across = found.scenarios[scenario].sideways
        yield from _sideways_figures(file, line, edge, scenario, start, across)
    for each in found.along:
        yield _along_figure(file, line, edge, each)
    for scenario, start in starts.items():
        yield from _index_figures(start, scenario, found.scenarios[scenario])


def _index_figures(start: str, scenario: str, found: Scenario) -> Iterator[Figure]:
    words = say(SCENARIOS[scenario])
    for part, wear in found.parts.items():
        kind, case = part.split("/")
        yield _wear_figure(
            f"{start}/exposure/{part}",
            say(
                "Exposure by {movement} ({case}), where {scenario}",
                movement=say(KINDS[kind]),
                case=say(case),
                scenario=words,
            ),
            wear,
        )
    whole = figure(
        f"{start}/exposure",
        say("Abrasion exposure of the edge, in reference sweeps, where {scenario}", scenario=words),
        found.whole,
        "1",
        "E",
        say("sum over the movements"),
        " + ".join(plain(wear.index.expected) for wear in found.parts.values()),
        say(SOURCE),
    )
    yield replace(whole, band=found.whole.band)


def _wear_figure(id: str, title: str, wear: Wear) -> Figure:
    made = figure(
        id,
        title,
        wear.index,
        "1",
        "E",
        "(s T / 1 kN)ⁿ · distance / 1 m · sin(θ/2) / sin 45° · (5 mm / r)^q · surface "
        "· movement · wet · (1 − credit) / ((d / 11 mm)^p · fibre · k)",
        "({s} · {T} / 1000)^{n} · DISTANCE · sin({θ}/2) / 0.70711 · (0.005 / {r})^{q} · "
        "{surface} · {movement} · {wet} · (1 − {credit}) / "
        "(({d} / 0.011)^{p} · {fibre} · {k})".replace("DISTANCE", _part(wear.way)),
        say(SOURCE),
        way=wear.way.whole,
        covered=wear.way.covered or 1.0,
        **wear.numbers,
    )
    return replace(made, band=wear.index.band)


def _part(way: Way) -> str:
    """The distance of a movement: all of it, or what lies on the protector, or beside it."""
    if way.covered is None:
        return "{way}"
    return "{way} · (1 − {covered})" if way.bare else "{way} · {covered}"


def _sideways_figures(
    file: JobFile, line: RigLine, edge: RigEdge, scenario: str, start: str, across: Sideways
) -> Iterator[Figure]:
    words = say(SCENARIOS[scenario])
    yield _crossing_figure(file, line, edge, scenario, start, across.crossing)
    width = width_of(file, edge)
    ends = guarded(edge) and width is not None
    yield figure(
        f"{start}/sweep",
        say("Sweep of one pass, where {scenario}", scenario=words),
        across.sweep,
        "m",
        "sweep",
        "min(2 y, w)" if ends else "2 y",
        "min(2 · {y}, {w})" if ends else "2 · {y}",
        say("geometry; side guards end it at their width"),
        y=across.crossing,
        w=width or 0.0,
    )
    yield figure(
        f"{start}/covered",
        say("Share of the sweep on the protector, where {scenario}", scenario=words),
        across.covered,
        "1",
        "covered",
        say("w / sweep, at most 1; 0 without a protector that stays"),
        _covered_worked(edge, width, across),
        say("geometry"),
        sweep=across.sweep,
        w=width or 0.0,
    )
    yield _distance_figure(file, line, edge, words, start, across)


def _covered_worked(edge: RigEdge, width: Spread | None, across: Sideways) -> str:
    if not edge.protected or width is None or across.sweep.expected == 0:
        return plain(across.covered.expected)
    return "min(1, {w} / {sweep})"


def _crossing_figure(
    file: JobFile, line: RigLine, edge: RigEdge, scenario: str, start: str, crossed: Spread
) -> Figure:
    places = {
        "x": reach_of(file, line),
        "a": above(file, line, edge),
        "d": beyond(file, line, edge),
    }
    title = say(
        "Where the rope crosses the edge, off the straight line down, where {scenario}",
        scenario=say(SCENARIOS[scenario]),
    )
    straight = "{x} · {a} / ({a} + {d})"
    if scenario != HELD:
        return figure(
            f"{start}/crossing", title, crossed, "m", "y", "x a / (a + d)", straight,
            say(UNFOLDED), **places,
        )  # fmt: skip
    formula = "min(x a / (a + d), 2 c / (b + √(b² − 4 t c))), b = a + d + t x, c = a (x − t d) ≥ 0"
    mu, turn = friction_across(file, line, edge), turn_of(file, edge)
    worked, numbers = _held(*(each.expected for each in (*places.values(), mu, turn)))
    worked = worked.replace("STRAIGHT", straight)
    return figure(
        f"{start}/crossing", title, crossed, "m", "y", formula, worked, say(STUCK),
        **places, **numbers,
    )  # fmt: skip


def _held(x: float, a: float, d: float, mu: float, turn: float) -> tuple[str, dict[str, float]]:
    """The crossing of a held rope with numbers: 0 where it never leaves its resting place."""
    t = math.tan(float(kink_limit(mu, turn)))
    b, c = a + d + t * x, a * (x - t * d)
    if c <= 0:
        return "0", {}
    held = "min(STRAIGHT, 2 · {c} / ({b} + √({b}^2 − 4 · {t} · {c})))"
    return held, {"t": t, "b": b, "c": c}


def _distance_figure(
    file: JobFile, line: RigLine, edge: RigEdge, words: str, start: str, across: Sideways
) -> Figure:
    blown = gusts(file, line, edge)
    sweep, count = blown or (exact(0.0), exact(0.0))
    return figure(
        f"{start}/sideways",
        say("Way drawn sideways along the edge, where {scenario}", scenario=words),
        across.distance,
        "m",
        "distance",
        say("sweep · passes + sweep of a gust · gusts") if blown else say("sweep · passes"),
        "{sweep} · {N} + {gust} · {count}" if blown else "{sweep} · {N}",
        say(
            "geometry; a gust is too short to creep: it sweeps where its push alone overcomes "
            "friction, taken at its low end"
        )
        if blown
        else say("geometry"),
        sweep=across.sweep,
        N=passes(file, line),
        gust=sweep,
        count=count,
    )


def _along_figure(file: JobFile, line: RigLine, edge: RigEdge, found: Along) -> Figure:
    sawing, kind, case = found.kind == "sawing", found.kind, found.case
    steps, numbers = _often(file, line, case)
    arc = "max({r} · {θ}, {c})"
    if sawing:
        numbers |= {
            "b": bounce_of(),
            "W": weight_of(file, line.line.load),
            "a": above(file, line, edge),
            "k": float(line.line.strands),
            "K": modulus_slow(file, line.line.rope),
        }
    return figure(
        f"line/{line.id}/edge/{edge.id}/{kind}/{case}",
        say("Slide in contact, {kind} ({case})", kind=say(kind), case=say(case)),
        found.distance,
        "m",
        "distance",
        say("2 min(b W a / (k K), max(r θ, λ d)) · bounces") if sawing else "max(r θ, λ d) · runs",
        f"2 · min({{b}} · {{W}} · {{a}} / ({{k}} · {{K}}), {arc}) · {steps}"
        if sawing
        else f"{arc} · {steps}",
        say("a point of the rope slides only while it is in contact: the arc r θ, at least λ d"),
        r=contact_radius(file, edge),
        θ=turn_of(file, edge),
        c=least_contact(file, line),
        **numbers,
    )


def _often(file: JobFile, line: RigLine, case: str) -> tuple[str, dict[str, Spread | float]]:
    """How often the rope slides in a case, with its numbers: bounces of a person, or runs."""
    if case == "rescue":
        return "1", {}
    if case == "hold":
        return "{t} / 3600 · {ν}", {"t": hours_of(file, line), "ν": bounces_of(case)}
    if case in RUNNING:
        return "{runs}", {"runs": runs_of(file, line)}
    numbers: dict[str, Spread | float] = {
        "h": height_of(file, line),
        "step": step_of(),
        "runs": runs_of(file, line),
    }
    if case == "ascend":
        return "{h} / {step} · {runs}", numbers
    return "{h} / {step} · {ν} · {runs}", numbers | {"ν": bounces_of(case)}
