"""An exposure against something known: the same edge bare, and a day over a padded coping.

Both are worked out for the same draws of the inputs they share, so that each comparison is one
ratio with a band of its own. It has no corners: the worst of the one against the best of the other
would compare two different days.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from riskdoc.analysis.abrasion import EdgeExposure, edge_exposure
from riskdoc.analysis.figure import Figure
from riskdoc.analysis.figures import figure
from riskdoc.analysis.inputs import Missing
from riskdoc.analysis.reference_day import padded_day
from riskdoc.analysis.resolve import RigEdge, RigLine, rig_of
from riskdoc.analysis.tension import tensions, working
from riskdoc.i18n.message import Text, message
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.equation import Equation
from riskdoc.mechanics.exposure import AGAINST_BARE, AGAINST_DAY
from riskdoc.quantities.draws import band_of
from riskdoc.quantities.intervals import Interval, held_at


def against_figures(
    file: JobFile, line: RigLine, edge: RigEdge, found: EdgeExposure
) -> Iterator[Figure]:
    """The judged exposure over that of the bare edge, and in days over a padded coping."""
    name = f"line/{line.id}/edge/{edge.id}"
    now = found.judged.whole
    bare = _bare(file, line, edge, found.worse) if edge.protector is not None else None
    if bare is not None and bare.expected > 0:
        title = message("Exposure with the protector over that of the bare edge")
        yield _ratio(f"{name}/against_bare", title, AGAINST_BARE, now, bare)
    title = message("Exposure in days over a padded coping")
    yield _ratio(f"{name}/days", title, AGAINST_DAY, now, padded_day())


def _bare(file: JobFile, line: RigLine, edge: RigEdge, scenario: str) -> Interval | None:
    """The exposure at the same edge with nothing on it; None where it is not known."""
    edges = {**file.job.edges, edge.id: edge.edge.model_copy(update={"protection": None})}
    bare = replace(file, job=file.job.model_copy(update={"edges": edges}))
    twin = next(each for each in rig_of(bare).lines if each.id == line.id)
    pulled = tensions(bare, twin, working(bare, twin))
    try:
        found = edge_exposure(bare, twin, twin.edges[edge.position], pulled)
    except Missing:
        return None
    return found.scenarios[scenario].whole


def _ratio(id: str, title: Text, equation: Equation, now: Interval, known: Interval) -> Figure:
    expected = now.expected / known.expected
    band = band_of(now.draws / known.draws, expected)
    inputs = {**now.inputs, **known.inputs}
    number = held_at(expected, inputs)
    against = equation.arguments[1]
    made = figure(
        id,
        title,
        equation,
        {
            "E": now,
            against: known,
        },
        number,
    )
    return replace(made, range=band, band=band)
