"""The exposure of a line at an edge: by movement, with its range, bands, limit and protections."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from riskdoc.i18n.say import many, mark, say
from riskdoc.quantities.printing import number, span, unit_of
from riskdoc.report import svg
from riskdoc.report.facts import movement_words
from riskdoc.report.hatch import FILLS, hatched
from riskdoc.report.svg import LEADING, SIZE, Box, Drawing, Drawn
from riskdoc.report.text import width, wrap

if TYPE_CHECKING:
    from collections.abc import Iterator

    from riskdoc.mitigation.effects import Result
    from riskdoc.quantities.ranges import Range
    from riskdoc.report.facts import Facts

BANDS = ((0.1, mark("slight")), (0.5, mark("moderate")), (1.0, mark("high")))
"""Upper ends of the words for an exposure; from the last one on it is severe."""
SEVERE = mark("severe")

LEFT, RIGHT = 132.0, 366.0
"""Ends of the axis; names stand left of it, numbers right of it."""
NUMBERS = 382.0
BAR, ROW = 8.0, 18.0
LIMIT: dict[str, str | float] = {"stroke_width": 1.8, "stroke_dasharray": "3 2"}
"""The look of what is asked: dashed, as in the bars of the checks."""
MOST_PROTECTIONS = 5
LEAST_DECADE, MOST_DECADE = -4, 6
"""The longest axis: from 10⁻⁴ to 10⁶ reference sweeps."""


@dataclass(frozen=True, slots=True)
class Part:
    """What one movement adds to the expected exposure, and how it is filled."""

    number: int
    name: str
    expected: float
    fill: str


@dataclass(frozen=True, slots=True)
class Row:
    """One exposure: of the plan, with its movements, or of a plan with another protector."""

    name: str
    range: Range
    parts: tuple[Part, ...] = ()


@dataclass(frozen=True, slots=True)
class Axis:
    """A logarithmic axis over whole decades.

    >>> Axis(-2, 2).x(1.0) == (LEFT + RIGHT) / 2
    True
    """

    low: int
    high: int

    def x(self, value: float) -> float:
        """Where a value is drawn; what lies beyond an end is drawn at that end."""
        if value <= 0:
            return LEFT
        if math.isinf(value):
            return RIGHT
        share = (math.log10(value) - self.low) / (self.high - self.low)
        return LEFT + min(max(share, 0.0), 1.0) * (RIGHT - LEFT)

    def below(self, value: float) -> bool:
        """Whether a value lies beyond the left end, as zero does on any such axis."""
        return value < 10.0**self.low

    def above(self, value: float) -> bool:
        """Whether a value lies beyond the right end."""
        return value > 10.0**self.high


def axis_for(ranges: list[Range]) -> Axis:
    """The axis that shows the expected values and the high ones, from 0.01 to 10 at least."""
    least = min((each.expected for each in ranges if 0 < each.expected < math.inf), default=1.0)
    most = max((each.high for each in ranges if math.isfinite(each.high)), default=1.0)
    low = math.floor(math.log10(least))
    high = math.ceil(math.log10(most)) if most > 0 else 1
    return Axis(min(max(low, LEAST_DECADE), -2), max(min(high, MOST_DECADE), 1))


def exposed(facts: Facts, line: str, edge: str) -> Drawing | None:
    """The exposure of one line at one edge, or None where it is not known."""
    start = f"line/{line}/edge/{edge}/exposure"
    whole = facts.figures.get(start)
    if whole is None or any(math.isnan(each) for each in _three(whole.shown)):
        return None
    parts = _parts(facts, start)
    rows = [
        Row(say("As planned, rope creeps"), whole.shown, parts),
        *_held(facts, line, edge),
        *_protected(facts, edge, start),
    ]
    check = facts.checks.get(start)
    limit = check.capacity.low if check is not None and check.capacity is not None else None
    lines, edges = list(facts.job.lines), list(facts.job.edges)
    name = f"exposure-{lines.index(line) + 1}-{edges.index(edge) + 1}"
    title = say("Exposure at edge {edge}, line {line}", edge=edge, line=line)
    return drawn(rows, limit, name, title)


def _held(facts: Facts, line: str, edge: str) -> Iterator[Row]:
    """The exposure where friction holds the rope at its resting place."""
    held = facts.figures.get(f"line/{line}/edge/{edge}/held/exposure")
    if held is not None:
        yield Row(say("As planned, rope held"), held.shown)


def _three(range: Range) -> tuple[float, float, float]:
    return range.low, range.expected, range.high


def _parts(facts: Facts, start: str) -> tuple[Part, ...]:
    """The movements, the greatest first; more than there are fills become one part together."""
    found = [
        (movement_words(id.removeprefix(f"{start}/")), figure.shown.expected)
        for id, figure in facts.figures.items()
        if id.startswith(f"{start}/") and figure.shown.high > 0
    ]
    found.sort(key=lambda each: -each[1])
    fills = list(FILLS)
    if len(found) > len(fills):
        kept, rest = found[: len(fills) - 1], found[len(fills) - 1 :]
        said = many("{count} other movement", "{count} other movements", len(rest))
        found = [*kept, (said, sum(each for _, each in rest))]
    return tuple(
        Part(n, name, expected, fill)
        for n, ((name, expected), fill) in enumerate(zip(found, fills, strict=False), start=1)
    )


def _protected(facts: Facts, edge: str, start: str) -> Iterator[Row]:
    """What each other protector at this edge, changed alone, would make of the exposure."""
    part = f"edges.{edge}.protection"
    found = [r for r in facts.study.results if len(r.changes) == 1 and part in r.changes[0].parts]
    shown = 0
    for result in found:
        effect = next((each for each in result.effects if each.id == start), None)
        if effect is None or effect.after is None or effect.after.demand is None:
            continue
        yield Row(_times(_kit(result, edge), effect.compared), effect.after.demand)
        shown += 1
        if shown == MOST_PROTECTIONS:
            return


def _times(name: str, compared: Range | None) -> str:
    """A protector, and its exposure over that of the plan at the same draws."""
    if compared is None:
        return name
    return say("{name}: {ratio} times the plan", name=name, ratio=span(compared, "1", "up"))


def _kit(result: Result, edge: str) -> str:
    name = result.job.edges[edge].protection
    kit = result.job.protection[name] if name is not None else None
    if kit is None or kit.width is None:
        return str(result.title)
    return say("{kind}, {width} wide", kind=say(kit.kind), width=kit.width.written)


class _Sheet:
    """Rows under each other on one axis, so that nothing can cover anything."""

    def __init__(self, axis: Axis, limit: float | None) -> None:
        self.axis = axis
        self.limit = limit
        self.y = 2.0
        self.parts: list[Drawn] = []

    def strokes(self) -> list[float]:
        """Where upright strokes stand: ends of the bands, and what is asked."""
        ends = [end for end, _ in BANDS]
        return [
            self.axis.x(each) for each in (*ends, *([] if self.limit is None else [self.limit]))
        ]

    def words(self) -> None:
        """The word of each band over it, on a second height where one line has no room."""
        ends = [LEFT, *(self.axis.x(end) for end, _ in BANDS), RIGHT]
        said = [*(say(word) for _, word in BANDS), say(SEVERE)]
        rows: list[float] = []
        placed = []
        for (low, high), word in zip(pairwise(ends), said, strict=True):
            half = width(word, SIZE) / 2
            middle = min(max((low + high) / 2, LEFT + half), RIGHT - half)
            row = next((n for n, used in enumerate(rows) if middle - half > used + 3), len(rows))
            rows[row : row + 1] = [middle + half]
            placed.append((row, middle, word))
        self.y += LEADING * len(rows)
        for row, middle, word in placed:
            self.parts.append(svg.words(middle, self.y - row * LEADING, word, anchor="middle"))
        self.y += 5

    def row(self, row: Row) -> None:
        """One exposure: its name, its bar, its range under the bar, its numbers."""
        names = wrap(row.name, LEFT - 12, SIZE)
        text = span(row.range, "1", "up") if row.range.high > 0 else say("no movement stated")
        said = wrap(text, svg.PAGE_WIDTH - NUMBERS - 2, SIZE)
        if row.parts:
            self._tags(row)
        top = self.y
        for n, text in enumerate(names):
            self.parts.append(svg.words(2, top + 8 + n * LEADING, text))
        for n, text in enumerate(said):
            self.parts.append(svg.words(NUMBERS, top + 8 + n * LEADING, text))
        self._bar(row)
        self._whisker(row.range, top + BAR + 4)
        self.y = top + max(ROW, LEADING * max(len(names), len(said)) + 4)

    def _segments(self, row: Row) -> Iterator[tuple[Part, float, float]]:
        """Each movement's part of the bar: shares of the bar's length as of the exposure."""
        long = self.axis.x(row.range.expected) - LEFT
        shares = _shares([part.expected for part in row.parts])
        at = LEFT
        for part, share in zip(row.parts, shares, strict=True):
            yield part, at, at + long * share
            at += long * share

    def _tags(self, row: Row) -> None:
        """The number of each part over it, where there is room beside the strokes."""
        self.y += LEADING
        taken = self.strokes()
        for part, low, high in self._segments(row):
            half = width(str(part.number), SIZE) / 2
            spots = [low + half + 1 + step for step in _steps(high - low - 2 * half - 2)]
            free = [x for x in spots if all(abs(x - each) > half + 1.5 for each in taken)]
            if free:
                middle = min(free, key=lambda x: abs(x - (low + high) / 2))
                said = svg.words(middle, self.y - 2, str(part.number), anchor="middle")
                self.parts.append(said)

    def _bar(self, row: Row) -> None:
        end = self.axis.x(row.range.expected)
        if not row.parts:
            self.parts.append(Drawn(hatched("white", LEFT, self.y, end - LEFT, BAR)))
        for part, low, high in self._segments(row):
            if high > low:
                self.parts.append(Drawn(hatched(part.fill, low, self.y, high - low, BAR)))

    def _whisker(self, range: Range, y: float) -> None:
        low, high = self.axis.x(range.low), self.axis.x(range.high)
        parts = [svg.line(low, y, high, y, stroke_width=1.2)]
        for x, beyond, way in (
            (low, self.axis.below(range.low), -1),
            (high, self.axis.above(range.high), 1),
        ):
            if beyond:
                tip = [(x + 5 * way, y), (x, y - 2.5), (x, y + 2.5), (x + 5 * way, y)]
                parts.append(svg.path(tip, fill=svg.BLACK))
            else:
                parts.append(svg.line(x, y - 2.5, x, y + 2.5, stroke_width=1.2))
        self.parts.append(Drawn(svg.joined(parts)))

    def scale(self, top: float) -> None:
        """The axis under the rows, with its decades; the bands and what is asked through them."""
        y = self.y
        under: list[Drawn] = []
        for end, _ in BANDS:
            x = self.axis.x(end)
            under.append(Drawn(svg.line(x, top, x, y, stroke=svg.GREY, stroke_width=0.6)))
        self.parts.append(Drawn(svg.line(LEFT, y, RIGHT, y)))
        self.parts = [*under, *self.parts]
        if self.limit is not None:
            x = self.axis.x(self.limit)
            self.parts.append(Drawn(svg.line(x, top, x, y, **LIMIT)))
        used = 0.0
        for decade in range(self.axis.low, self.axis.high + 1):
            x, text = self.axis.x(10.0**decade), _power(decade)
            half = width(text, SIZE) / 2
            fits = x - half > used + 4
            self.parts.append(Drawn(svg.line(x, y, x, y + (4 if fits else 2.5))))
            if fits:
                self.parts.append(svg.words(x, y + LEADING + 2, text, anchor="middle"))
                used = x + half
        self.y = y + LEADING + 4

    def key(self, parts: tuple[Part, ...]) -> None:
        """What each fill, the dashed stroke and the thin line stand for."""
        x, self.y = 2.0, self.y + LEADING + 2
        for drawn, text in self._entries(parts):
            room = 26 + width(text, SIZE)
            if x > 2 and x + room > svg.PAGE_WIDTH:
                x, self.y = 2.0, self.y + LEADING + 2
            self.parts.append(drawn(x, self.y))
            self.parts.append(svg.words(x + 20, self.y, text))
            x += room + 10

    def _entries(self, parts: tuple[Part, ...]) -> Iterator[tuple[_Sample, str]]:
        for part in parts:
            amount = number(part.expected, unit_of("1"), "up")
            yield _Sample(part.fill), f"{part.number} {part.name}: {amount}"
        yield _Sample("whisker"), say("10 % to 90 %")
        if self.limit is not None:
            most = number(self.limit, unit_of("1"), "down")
            yield _Sample("limit"), say("asked: at most {most}", most=most)


@dataclass(frozen=True, slots=True)
class _Sample:
    """A small piece of what the key explains."""

    kind: str

    def __call__(self, x: float, y: float) -> Drawn:
        if self.kind == "whisker":
            ends = [svg.line(at, y - 5.5, at, y - 0.5, stroke_width=1.2) for at in (x, x + 14)]
            return Drawn(svg.joined([*ends, svg.line(x, y - 3, x + 14, y - 3, stroke_width=1.2)]))
        if self.kind == "limit":
            return Drawn(svg.line(x + 7, y - 8, x + 7, y + 1, **LIMIT))
        return Drawn(hatched(self.kind, x, y - 7, 14, BAR))


def _shares(amounts: list[float]) -> list[float]:
    """Amounts as shares of their sum; those without end share it alone.

    >>> _shares([1.0, 3.0]), _shares([1.0, math.inf]), _shares([0.0])
    ([0.25, 0.75], [0.0, 1.0], [0.0])
    """
    if math.inf in amounts:
        amounts = [float(each == math.inf) for each in amounts]
    whole = sum(amounts)
    return [each / whole if whole > 0 else 0.0 for each in amounts]


def _steps(room: float) -> list[float]:
    """Places along a piece of this length, one every point and its middle; none where negative."""
    return [] if room < 0 else [room / 2, *(float(n) for n in range(math.floor(room) + 1))]


def _power(decade: int) -> str:
    """A power of ten in digits.

    >>> _power(-2), _power(3)
    ('0.01', '1000')
    """
    return f"{10.0**decade:.{max(-decade, 0)}f}"


def _text(rows: list[Row]) -> str:
    said = [
        say(
            "Reference sweeps on a logarithmic axis. A bar ends at the expected exposure, that of "
            "the plan is divided by each movement's share. Thin line: from 10 % to 90 %; an arrow "
            "goes on beyond the axis."
        )
    ]
    said.append(say("Below the plan: the rope held by friction, and other protectors here."))
    return " ".join(said)


def drawn(rows: list[Row], limit: float | None, name: str, title: str) -> Drawing:
    """The rows on one axis, with the bands and the greatest exposure that is asked for."""
    sheet = _Sheet(axis_for([each.range for each in rows]), limit)
    sheet.words()
    top = sheet.y - 3
    for row in rows:
        sheet.row(row)
    sheet.scale(top)
    sheet.key(rows[0].parts)
    text, high = _text(rows), sheet.y + 5
    markup = svg.picture(sheet.parts, svg.PAGE_WIDTH, high, name, title, text)
    boxes: tuple[Box, ...] = tuple(box for part in sheet.parts for box in part.boxes)
    return Drawing(markup, title, text, svg.PAGE_WIDTH, high, boxes)
