"""One view along the edge per line that sweeps it: how far, over what, and what stays bare."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.quantities.printing import amount, far
from riskdoc.report import svg
from riskdoc.report.facts import line_name
from riskdoc.report.hatch import hatched
from riskdoc.report.svg import LEADING, SIZE, Box, Drawing, Drawn
from riskdoc.report.text import wrap

if TYPE_CHECKING:
    from riskdoc.quantities.ranges import Range
    from riskdoc.report.facts import Facts

SIDE = 16.0
BAR = 15.0


@dataclass(frozen=True, slots=True)
class _Scale:
    reach: float

    def x(self, metres: float) -> float:
        """Where a distance off the fall line is drawn."""
        half = svg.PAGE_WIDTH / 2 - SIDE
        return svg.PAGE_WIDTH / 2 + metres / self.reach * half


@dataclass(frozen=True, slots=True)
class _Cover:
    """What lies on the edge: width, what to say of it where the width does not tell, guards."""

    width: float
    words: str
    ends: bool = False

    @property
    def drawn(self) -> float:
        """The width as far as it can be drawn."""
        return self.width if math.isfinite(self.width) else 0.0


class _Sheet:
    """Rows stacked under each other, so that nothing can cover anything."""

    def __init__(self, scale: _Scale) -> None:
        self.scale = scale
        self.y = 2.0
        self.parts: list[Drawn] = []

    def say(self, text: str) -> None:
        """Adds a text as wide as the drawing."""
        for line in wrap(text, svg.PAGE_WIDTH - 2 * SIDE, SIZE):
            self.y += LEADING
            self.parts.append(svg.words(SIDE, self.y, line))
        self.y += 7

    def bar(self, low: float, high: float, **look: str | float) -> None:
        """Adds a bar between two places off the fall line."""
        left, right = self.scale.x(low), self.scale.x(high)
        self.parts.append(Drawn(svg.rect(left, self.y, right - left, BAR, **look)))

    def hatch(self, low: float, high: float) -> None:
        """Adds slanted strokes over a stretch of the row."""
        left, right = self.scale.x(low), self.scale.x(high)
        self.parts.append(Drawn(hatched("rising", left, self.y, right - left, BAR)))

    def tick(self, metres: float, over: float = 3.0) -> None:
        """Adds an upright stroke through the row."""
        x = self.scale.x(metres)
        self.parts.append(
            Drawn(svg.line(x, self.y - over, x, self.y + BAR + over, stroke_width=1.8))
        )

    def next(self) -> None:
        """Goes to the next row."""
        self.y += BAR + 6


def edge_view(facts: Facts, line: str, edge: str) -> Drawing | None:
    """The view along one edge, or None where the rope is not known to move sideways there."""
    figure = facts.figures.get(f"line/{line}/edge/{edge}/crossing")
    if figure is None or figure.range.high <= 0:
        return None
    cover = _cover(facts, line, edge)
    sheet = _Sheet(_Scale(max(figure.range.high, cover.drawn / 2) * 1.08))
    _cover_row(sheet, facts, edge, cover)
    _sweep_row(sheet, say("Where the rope creeps"), figure.range, cover)
    held = facts.figures.get(f"line/{line}/edge/{edge}/held/crossing")
    if held is not None:
        _held_row(sheet, held.range, cover)
    _axis(sheet)
    return _picture(sheet, facts, line, edge)


def _cover(facts: Facts, line: str, edge: str) -> _Cover:
    name = facts.job.edges[edge].protection
    if name is None:
        return _Cover(0.0, say("All of it lies on the bare edge (hatched)."))
    protector = facts.job.protection[name]
    if not (protector.tied or protector.grips):
        return _Cover(
            0.0, say("The protector can move away: all of it counts as bare edge (hatched).")
        )
    share = facts.figures.get(f"line/{line}/edge/{edge}/covered")
    if share is not None and share.range.high == 0 and protector.width is not None:
        return _Cover(
            0.0,
            say("So sharp an edge is not covered by it: all of it counts as bare edge (hatched)."),
        )
    if protector.width is None:
        if share is not None and share.range.low >= 1:
            return _Cover(math.inf, say("The protector goes with the rope and covers all of it."))
        return _Cover(0.0, say("No width is stated: all of it counts as bare edge (hatched)."))
    return _Cover(protector.width.low, "", ends=protector.guards)


def _cover_row(sheet: _Sheet, facts: Facts, edge: str, cover: _Cover) -> None:
    sheet.say(say("On the edge: {protector}.", protector=facts.protector(edge)))
    if 0 < cover.width < math.inf:
        sheet.bar(-cover.width / 2, cover.width / 2, fill=svg.SKY, stroke=svg.BLACK)
        sheet.next()


def _held_row(sheet: _Sheet, crossing: Range, cover: _Cover) -> None:
    """How far a rope goes that friction holds; a sentence where it does not go at all."""
    if crossing.high > 0:
        _sweep_row(sheet, say("Where friction holds the rope"), crossing, cover)
    else:
        sheet.say(say("Where friction holds the rope, it stays on the fall line."))


def _sweep_row(sheet: _Sheet, scenario: str, crossing: Range, cover: _Cover) -> None:
    """How far the rope goes, and what of it is bare. Side guards end it at the width."""
    edge = cover.width / 2
    most = min(crossing.high, edge) if cover.ends else crossing.high
    crossed = say(
        "{scenario}, it crosses {crossing} off the fall line, to either side.",
        scenario=scenario,
        crossing=far(crossing, "m", "up"),
    )
    sheet.say(f"{crossed} {cover.words or _bare(most - edge, cover.ends)}")
    sheet.bar(-most, most)
    if most > edge:
        sheet.hatch(edge, most)
        sheet.hatch(-most, -edge)
    for side in (-1, 1):
        sheet.tick(side * min(crossing.expected, most))
    sheet.next()


def _bare(beyond: float, ended: bool) -> str:
    if ended:
        return say("Side guards stop it at the stated width.")
    if beyond > 0:
        far = amount(beyond, "m", "up")
        return say("Up to {far} on each side lies outside the stated width (hatched).", far=far)
    return say("All of it lies within the stated width.")


def _axis(sheet: _Sheet) -> None:
    """Three distances with their unit: both ends and the fall line."""
    end = sheet.scale.reach / 1.08
    y = sheet.y + 4
    sheet.parts.append(Drawn(svg.line(sheet.scale.x(-end), y, sheet.scale.x(end), y)))
    for at, anchor in ((-end, "start"), (0.0, "middle"), (end, "end")):
        x = sheet.scale.x(at)
        sheet.parts.append(Drawn(svg.line(x, y - 3, x, y + 3)))
        text = say("fall line") if at == 0 else amount(end, "m", "up")
        sheet.parts.append(svg.words(x, y + LEADING + 2, text, anchor=anchor))
    sheet.y = y + LEADING + 6


def _picture(sheet: _Sheet, facts: Facts, line: str, edge: str) -> Drawing:
    lines, edges = list(facts.job.lines), list(facts.job.edges)
    name = f"edge-{lines.index(line) + 1}-{edges.index(edge) + 1}"
    title = say("Along edge {edge}, line {line}", edge=edge, line=line_name(facts.job, line))
    text = say("Seen along the edge, to scale. Upright strokes: expected; whole bar: greatest.")
    high = sheet.y + 2
    markup = svg.picture(sheet.parts, svg.PAGE_WIDTH, high, name, title, text)
    boxes: tuple[Box, ...] = tuple(box for part in sheet.parts for box in part.boxes)
    return Drawing(markup, title, text, svg.PAGE_WIDTH, high, boxes)
