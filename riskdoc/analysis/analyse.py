"""A line with all that its figures and checks share, and the figures of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from riskdoc.analysis.abrasion import EdgeExposure, edge_exposure
from riskdoc.analysis.anchor_pulls import Hung, Pull
from riskdoc.analysis.clearance import clearance_figures, stretch_figures
from riskdoc.analysis.exposure_equivalents import against_figures
from riskdoc.analysis.exposure_figures import exposure_figures
from riskdoc.analysis.falls import Arrest, arrest, fall_figures, falling
from riskdoc.analysis.figure import Figure
from riskdoc.analysis.hauling import Hauling, haul_figures, haul_missing, hauling, jam
from riskdoc.analysis.heat import heat_figures
from riskdoc.analysis.heights import sink_figures
from riskdoc.analysis.inputs import Missing
from riskdoc.analysis.margins import margin_figures, strength_figures, tension_figures
from riskdoc.analysis.redirects import pulls_of_redirects, redirect_figures
from riskdoc.analysis.resolve import Rig, RigEdge, RigLine, grouped
from riskdoc.analysis.stiffness import modulus_figures
from riskdoc.analysis.tension import Tensions, tensions, working
from riskdoc.analysis.wind_and_swing import air_figures, swing_missing, swings
from riskdoc.i18n.message import Text
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile


@dataclass(frozen=True, slots=True)
class Rigged:
    """A line with its tensions, its fall, its hauling system and its exposure at each edge.

    `missing` is what a case that can load the line needs, and the job does not state.
    """

    line: RigLine
    tensions: Tensions
    fall: Arrest
    system: Hauling | None
    exposed: Mapping[str, EdgeExposure | Missing]
    missing: tuple[Text, ...]

    @property
    def pull(self) -> Pull:
        """What the line puts on its anchor."""
        return Pull(self.line, self.tensions, self.missing, self.system)


def rigged_line(file: JobFile, line: RigLine) -> Rigged:
    """A line with all that checks and figures share."""
    fall, system = arrest(file, line), hauling(file, line)
    acting = working(file, line)
    if fall.peak is not None:
        acting[mark("fall")] = falling(fall.peak, fall.peak_against)
    swinging = swings(file, line)
    if swinging is not None:
        acting[mark("swing")] = swinging
    if system is not None:
        acting[mark("jam")] = jam(file, line, system)
    found = tensions(file, line, acting)
    exposed = {edge.id: _exposed(file, line, edge, found) for edge in line.edges}
    missing = (*fall.missing, *swing_missing(file, line), *haul_missing(line))
    return Rigged(line, found, fall, system, exposed, missing)


def _exposed(
    file: JobFile, line: RigLine, edge: RigEdge, found: Tensions
) -> EdgeExposure | Missing:
    try:
        return edge_exposure(file, line, edge, found)
    except Missing as gap:
        return gap


def by_anchor(file: JobFile, rigged: Sequence[Rigged]) -> dict[str, tuple[Hung, ...]]:
    """What pulls on each anchor: lines that end there, then redirects that hang on it."""
    found: list[tuple[str, Hung]] = [(each.line.line.anchor, each.pull) for each in rigged]
    for each in rigged:
        for hung in pulls_of_redirects(file, each.line, each.tensions, each.missing):
            found.append((hung.redirect.redirect.anchor, hung))
    anchors = grouped(found, lambda pair: pair[0])
    return {name: tuple(hung for _, hung in pairs) for name, pairs in anchors.items()}


def ropes_of(rig: Rig) -> tuple[str, ...]:
    """Ropes that lines hang on, each once."""
    return tuple(dict.fromkeys(line.line.rope for line in rig.lines))


def line_figures(file: JobFile, rigged: Rigged) -> Iterator[Figure]:
    """Every figure of a line, of its edges and of its redirects."""
    line, found, fall = rigged.line, rigged.tensions, rigged.fall
    yield from tension_figures(file, line, found)
    yield from fall_figures(file, line, fall)
    for numbers in (
        margin_figures(file, line, found, rigged.missing),
        strength_figures(file, line),
        modulus_figures(file, line),
        clearance_figures(file, line, fall),
        stretch_figures(file, line, found),
        sink_figures(file, line),
        air_figures(file, line),
        heat_figures(file, line, found),
    ):
        yield from where_known(numbers)
    if rigged.system is not None:
        yield from haul_figures(file, line, rigged.system, found)
    for edge in line.edges:
        exposed = rigged.exposed[edge.id]
        if isinstance(exposed, EdgeExposure):
            yield from exposure_figures(file, line, edge, exposed)
            yield from against_figures(file, line, edge, exposed)
    yield from redirect_figures(file, line, found)


def where_known(numbers: Iterator[Figure]) -> Iterator[Figure]:
    """The figures that can be computed; what is missing is told by the check that needs it."""
    try:
        yield from numbers
    except Missing:
        return
