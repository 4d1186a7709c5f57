"""Figures of the exposure of an edge: the movements, the index of each, the whole, comparisons.

Each scenario has its own figures: those of the rope that creeps under the plain ids, those of the
rope that is held under `…/held/…`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from riskdoc.analysis.abrasion import EdgeExposure, Scenario, Wear, start_of
from riskdoc.analysis.course import between
from riskdoc.analysis.edge_crossing import above, beyond, guarded, width_of
from riskdoc.analysis.figure import Figure
from riskdoc.analysis.figures import figure
from riskdoc.analysis.load_mass import weight_of
from riskdoc.analysis.movements import (
    HELD,
    SCENARIOS,
    Along,
    Sideways,
    bounce_of,
    bounces_of,
    contact_part,
    contact_radius,
    gusts,
    height_of,
    hours_of,
    passes,
    runs_of,
    step_of,
)
from riskdoc.analysis.resolve import RUNNING, RigEdge, RigLine
from riskdoc.analysis.stiffness import modulus_slow
from riskdoc.analysis.tension import friction_across, turn_of
from riskdoc.analysis.wind_and_swing import reach_of
from riskdoc.i18n.message import Text, message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.by_count import WHOLE, of_several
from riskdoc.mechanics.equation import signed
from riskdoc.mechanics.exposure import EXPOSURE, EXPOSURE_BESIDE, EXPOSURE_COVERED
from riskdoc.mechanics.movement import (
    RUNNING_SLIDE,
    SAWING_DOWN,
    SAWING_HANGING,
    SAWING_UP,
    SIDEWAYS,
    SIDEWAYS_IN_WIND,
)
from riskdoc.mechanics.sweep import (
    ALL_COVERED,
    COVERED,
    CROSSING,
    GUARDED_SWEEP,
    HELD_CROSSING,
    STUCK_CROSSING,
    SWEEP,
    UNCOVERED,
    kink_limit,
)
from riskdoc.quantities.intervals import Interval, exact

SAWING = {"hold": SAWING_HANGING, "ascend": SAWING_UP}
"""How often a person bounces in a case; in all others as in a descent."""
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
    words = message(SCENARIOS[scenario])
    for part, wear in found.parts.items():
        kind, case = part.split("/")
        yield _wear_figure(
            f"{start}/exposure/{part}",
            message(
                "Exposure by {movement} ({case}), where {scenario}",
                movement=message(KINDS[kind]),
                case=message(case),
                scenario=words,
            ),
            wear,
        )
    whole = figure(
        f"{start}/exposure",
        message(
            "Abrasion exposure of the edge, in reference sweeps, where {scenario}", scenario=words
        ),
        of_several(np.add, [signed(f"E{n + 1}") for n in range(len(found.parts))], WHOLE),
        {f"n{n}": wear.index for n, wear in enumerate(found.parts.values(), start=1)},
        found.whole,
    )
    yield replace(whole, band=found.whole.band)


def _wear_figure(id: str, title: Text, wear: Wear) -> Figure:
    way, inputs = wear.way, dict(wear.numbers)
    equation = EXPOSURE
    if way.covered is not None:
        equation = EXPOSURE_BESIDE if way.bare else EXPOSURE_COVERED
        inputs |= {"distance": way.whole, "covered": way.covered}
    made = figure(id, title, equation, inputs, wear.index)
    return replace(made, band=wear.index.band)


def _sideways_figures(
    file: JobFile, line: RigLine, edge: RigEdge, scenario: str, start: str, across: Sideways
) -> Iterator[Figure]:
    words = message(SCENARIOS[scenario])
    yield _crossing_figure(file, line, edge, scenario, start, across.crossing)
    width = width_of(file, edge)
    ends = guarded(edge) and width is not None
    inputs = {"y": across.crossing} | ({"w": width} if ends and width is not None else {})
    yield figure(
        f"{start}/sweep",
        message("Sweep of one pass, where {scenario}", scenario=words),
        GUARDED_SWEEP if ends else SWEEP,
        inputs,
        across.sweep,
    )
    title = message("Share of the sweep on the protector, where {scenario}", scenario=words)
    if edge.protected and width is not None:
        inputs = {"w": width, "sweep": across.sweep}
        yield figure(f"{start}/covered", title, COVERED, inputs, across.covered)
    else:
        equation = ALL_COVERED if across.covered.expected == 1 else UNCOVERED
        yield figure(f"{start}/covered", title, equation, {}, across.covered)
    yield _distance_figure(file, line, edge, words, start, across)


def _crossing_figure(
    file: JobFile, line: RigLine, edge: RigEdge, scenario: str, start: str, crossed: Interval
) -> Figure:
    inputs = {
        "x": reach_of(file, line),
        "a": above(file, line, edge),
        "d": beyond(file, line, edge),
    }
    equation = CROSSING
    if scenario == HELD:
        mu, turn = friction_across(file, line, edge), turn_of(file, edge)
        free = kink_limit(mu.expected, turn.expected) < math.pi / 2
        equation, inputs = HELD_CROSSING if free else STUCK_CROSSING, inputs | {"μ": mu, "θ": turn}
    title = message(
        "Where the rope crosses the edge, off the straight line down, where {scenario}",
        scenario=message(SCENARIOS[scenario]),
    )
    return figure(f"{start}/crossing", title, equation, inputs, crossed)


def _distance_figure(
    file: JobFile, line: RigLine, edge: RigEdge, words: Text, start: str, across: Sideways
) -> Figure:
    inputs = {"sweep": across.sweep, "N": passes(file, line)}
    blown = gusts(file, line, edge)
    if blown is not None:
        inputs |= {"gust": blown[0], "gusts": blown[1]}
    return figure(
        f"{start}/sideways",
        message("Way drawn sideways along the edge, where {scenario}", scenario=words),
        SIDEWAYS if blown is None else SIDEWAYS_IN_WIND,
        inputs,
        across.distance,
    )


def _along_figure(file: JobFile, line: RigLine, edge: RigEdge, found: Along) -> Figure:
    kind, case = found.kind, found.case
    equation, inputs = RUNNING_SLIDE, _arc(file, line, edge)
    if kind == "sawing":
        equation = SAWING.get(case, SAWING_DOWN)
        inputs |= {
            "b": bounce_of(),
            "W": weight_of(file, line.line.load),
            "a": between(file, line, None, edge),
            "k": exact(float(line.line.strands)),
            "K": modulus_slow(file, line.line.rope),
        }
    return figure(
        f"line/{line.id}/edge/{edge.id}/{kind}/{case}",
        message("Slide in contact, {kind} ({case})", kind=message(kind), case=message(case)),
        equation,
        {
            **inputs,
            **_often(file, line, case),
        },
        found.distance,
    )


def _arc(file: JobFile, line: RigLine, edge: RigEdge) -> dict[str, Interval]:
    """The length in contact: radius and turn, and the least of it by the rope's diameter."""
    part, diameter = contact_part(file, line)
    return {
        "r": contact_radius(file, edge), "θ": turn_of(file, edge), "λ": part, "d": diameter
    }  # fmt: skip


def _often(file: JobFile, line: RigLine, case: str) -> dict[str, Interval]:
    """How often the rope slides in a case: bounces of a person, or runs."""
    if case == "rescue":
        return {"runs": exact(1.0)}
    if case == "hold":
        return {"t": hours_of(file, line), "ν": bounces_of(case)}
    if case in RUNNING:
        return {"runs": runs_of(file, line)}
    climb = {"h": height_of(file, line), "step": step_of(), "runs": runs_of(file, line)}
    return climb if case == "ascend" else climb | {"ν": bounces_of(case)}
