"""A sheet of paper to draw on: views in metres, three stroke weights, dimensions, labels.

Everything is drawn first; labels are placed when the sheet is finished, so that none of them lies
on a stroke. Paper is measured in points, y grows downward in the world as on paper.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from riskdoc.quantities.printing import unit_of, with_unit
from riskdoc.report import svg
from riskdoc.report.drawings.placement import Canvas, Point, Spot
from riskdoc.report.svg import Box
from riskdoc.report.text import FAMILIES, Weight, clean, width, wrap

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from markupsafe import Markup

ROPE, OUTLINE, THIN = 1.7, 0.9, 0.45
"""The three stroke weights: ropes, outlines, dimension lines."""
SIZE, LEADING = 8.5, 10.2
WIDE, HIGH = 500.0, 356.0
"""Size of a drawing of half a page, in points."""
MM = 25.4 / 72
POINTS_PER_METRE = 1000 / MM
DASHES = ("none", "7 2.5", "2.2 2.2", "10 2.5 2 2.5")
"""How the ropes of a sheet are told apart, in the order of their lines."""
HATCH = 4.2
ARROW = 5.0
_RATIOS = (1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 5.0, 6.0, 7.5)
TRIES = 8


@dataclass(frozen=True, slots=True)
class Drawing:
    """A finished drawing.

    `title` says as a finding what is shown, `message` what else the reader must know, `text` is
    what a reader who does not see it is told.
    """

    title: str
    message: str
    svg: Markup
    width_mm: float
    height_mm: float
    text: str


@dataclass(frozen=True, slots=True)
class View:
    """A part of the world on paper: its origin in points, and points for each metre."""

    origin: Point
    scale: float
    ratio: float = 0.0

    def at(self, point: Point) -> Point:
        """Where a place in metres is drawn."""
        return self.origin[0] + point[0] * self.scale, self.origin[1] + point[1] * self.scale

    def all(self, points: Iterable[Point]) -> list[Point]:
        """Where places in metres are drawn."""
        return [self.at(each) for each in points]

    @property
    def scale_words(self) -> str:
        """The scale as a drawing states it."""
        return f"1:{self.ratio:g}"


def fitted(world: Box, room: Box, *, left: float = 0.5, top: float = 0.5) -> View:
    """The greatest usual scale at which a part of the world [m] fits a room on paper [points].

    `left` and `top` are the shares of the room left over that stay at that side.
    """
    wide, high = max(world.right - world.left, 1e-6), max(world.bottom - world.top, 1e-6)
    most = min((room.right - room.left) / wide, (room.bottom - room.top) / high)
    ratio = usual_ratio(POINTS_PER_METRE / most)
    scale = POINTS_PER_METRE / ratio
    x = room.left + (room.right - room.left - wide * scale) * left - world.left * scale
    y = room.top + (room.bottom - room.top - high * scale) * top - world.top * scale
    return View((x, y), scale, ratio)


def usual_ratio(least: float) -> float:
    """The first usual scale 1:n with n not below this.

    >>> usual_ratio(180), usual_ratio(0.9), usual_ratio(801)
    (200.0, 1.0, 1000.0)
    """
    power = 10.0 ** math.floor(math.log10(least))
    found = (each * step for step in (power, power * 10) for each in _RATIOS)
    return round(next(each for each in found if each >= least * (1 - 1e-9)), 6)


@dataclass(frozen=True, slots=True)
class _Label:
    at: Point
    lines: tuple[tuple[str, Weight], ...]
    away: Point | None
    room: Box | None

    @property
    def wide(self) -> float:
        return max(width(text, SIZE, weight) for text, weight in self.lines) + 1

    @property
    def high(self) -> float:
        return LEADING * len(self.lines) - (LEADING - SIZE)


@dataclass(slots=True)
class Sheet:
    """A drawing in the making."""

    wide: float = WIDE
    high: float = HIGH
    parts: list[Markup] = field(default_factory=list)
    canvas: Canvas = field(init=False)
    labels: list[_Label] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.canvas = Canvas(Box(1, 1, self.wide - 1, self.high - 1))

    # Strokes and fills.

    def stroke(self, points: Sequence[Point], thick: float = OUTLINE, **look: str | float) -> None:
        """An open run of straight strokes."""
        self.canvas.stroke(points, thick)
        look = {"stroke_linejoin": "round", **look}
        self.parts.append(svg.path(list(points), stroke_width=thick, **look))

    def rope(
        self, points: Sequence[Point], name: str, dash: str, strands: int = 1, view: str = ""
    ) -> None:
        """A rope; one of several strands is drawn double."""
        look: dict[str, str | float] = {"class_": "rope", "data_line": name, "data_view": view}
        if dash != "none":
            look["stroke_dasharray"] = dash
        if strands == 1:
            self.stroke(points, ROPE, **look)
            return
        self.stroke(points, 2 * ROPE, **look)
        self.parts.append(svg.path(list(points), stroke=svg.WHITE, stroke_width=ROPE * 0.8))

    def area(self, points: Sequence[Point], fill: str = svg.WHITE, thick: float = OUTLINE) -> None:
        """A closed outline with a fill; what was drawn below it is hidden."""
        closed = [*points, points[0]]
        self.canvas.stroke(closed, thick)
        look: dict[str, str | float] = {"fill": fill, "stroke_linejoin": "round"}
        look |= {"stroke_width": thick} if thick else {"stroke": "none"}
        self.parts.append(svg.path(closed, **look))

    def ring(self, at: Point, radius: float, fill: str = svg.WHITE, thick: float = OUTLINE) -> None:
        """A circle."""
        self.parts.append(svg.circle(*at, radius, fill=fill, stroke_width=thick))
        self.canvas.boxes.append(
            Box(at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius)
        )

    def arc(
        self, at: Point, radius: float, start: float, end: float, thick: float = THIN,
        **look: str | float,
    ) -> list[Point]:  # fmt: skip
        """An arc between two directions [rad], as a run of short strokes; its points."""
        steps = max(4, math.ceil(abs(end - start) * radius / 3))
        turns = [start + (end - start) * n / steps for n in range(steps + 1)]
        points = [(at[0] + radius * math.cos(t), at[1] + radius * math.sin(t)) for t in turns]
        self.stroke(points, thick, **look)
        return points

    def hatch(
        self, outline: Sequence[Point], slope: float = math.pi / 4, step: float = HATCH
    ) -> None:
        """Slanted thin strokes inside an outline."""
        strokes = list(hatching(outline, slope, step))
        for one, other in strokes:
            self.canvas.stroke([one, other], THIN)
        self._runs(strokes, THIN)

    def _runs(self, strokes: Sequence[tuple[Point, Point]], thick: float) -> None:
        """Many strokes as one element, which is quick to print."""
        text = "".join(f"M{a:.2f} {b:.2f}L{c:.2f} {d:.2f}" for (a, b), (c, d) in strokes)
        if text:
            look = {"fill": "none", "stroke": svg.BLACK}
            self.parts.append(svg.element("path", d=text, stroke_width=thick, **look))

    def arrow(
        self, tail: Point, tip: Point, thick: float = OUTLINE, size: float = ARROW,
        **look: str | float,
    ) -> None:  # fmt: skip
        """A stroke with a filled head at its tip."""
        self.stroke([tail, tip], thick, **look)
        self.head(tail, tip, size)

    def head(self, tail: Point, tip: Point, size: float = ARROW) -> None:
        """The filled head of an arrow."""
        turn = math.atan2(tip[1] - tail[1], tip[0] - tail[0])
        feet = [
            (tip[0] - size * math.cos(turn + lean), tip[1] - size * math.sin(turn + lean))
            for lean in (0.3, -0.3)
        ]
        self.area([tip, *feet], svg.BLACK, 0)

    # Texts.

    def words(
        self, x: float, y: float, text: str, weight: Weight = "Regular", anchor: str = "start"
    ) -> None:
        """A line of text where it is told to stand; y is its baseline."""
        drawn = svg.words(x, y, text, weight, anchor)
        self.parts.append(drawn.markup)
        self.canvas.boxes += drawn.boxes

    def block(
        self, x: float, y: float, text: str, room: float, weight: Weight = "Regular"
    ) -> float:
        """Text in lines no wider than a room, from the baseline y on; the next baseline."""
        for each in wrap(text, room, SIZE, weight):
            self.words(x, y, each, weight)
            y += LEADING
        return y

    def label(
        self,
        at: Point,
        lines: str | Sequence[str],
        away: Point | None = None,
        *,
        bold: bool = False,
        heads: Sequence[int] = (),
        room: Box | None = None,
        first: bool = False,
    ) -> None:
        """A text near a point, placed at the end; its first line is bold, or its `heads` are."""
        said = (lines,) if isinstance(lines, str) else tuple(lines)
        weights: list[Weight] = [
            "SemiBold" if n in heads or (bold and not n) else "Regular" for n in range(len(said))
        ]
        made = _Label(
            at, tuple((clean(each), w) for each, w in zip(said, weights, strict=True)), away, room
        )
        self.labels.insert(0 if first else len(self.labels), made)

    # Marks of the trade.

    def dimension(
        self, one: Point, other: Point, text: str | Sequence[str], offset: float, *, view: str = ""
    ) -> None:
        """A dimension line beside two places, `offset` points to the left of the way between them.

        The value stands beside its middle; where arrows have no room it has ticks.
        """
        far = math.dist(one, other)
        if far < 0.5:
            return
        ux, uy = (other[0] - one[0]) / far, (other[1] - one[1]) / far
        nx, ny = uy, -ux
        sign = math.copysign(1.0, offset)

        def out(point: Point, by: float) -> Point:
            return point[0] + nx * by, point[1] + ny * by

        for point in (one, other):
            if abs(offset) > 3:
                self.stroke([out(point, sign * 2), out(point, offset + sign * 2.5)], THIN)
        start, end = out(one, offset), out(other, offset)
        look: dict[str, str | float] = {"class_": "dimension", "data_view": view}
        look["data_value"] = text if isinstance(text, str) else " ".join(text)
        self.stroke([start, end], THIN, **look)
        if far > 3 * ARROW:
            self.head(end, start)
            self.head(start, end)
        else:
            # A chain of short dimensions has no room for arrows: slanted ticks do as well.
            for x, y in (start, end):
                a, b = (ux + nx) * 2.2, (uy + ny) * 2.2
                self.stroke([(x - a, y - b), (x + a, y + b)], OUTLINE)
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        self.label(middle, text, (nx * sign, ny * sign), first=True)

    def scale_bar(self, view: View, x: float, y: float, name: str = "") -> None:
        """A bar of black and white parts, its ends in the unit of the report; y is its foot."""
        unit = unit_of("m")
        most = 90.0 / view.scale * unit.factor
        power = 10.0 ** math.floor(math.log10(most))
        whole = next(each * power for each in (5, 4, 2, 1) if each * power <= most)
        parts = 4 if whole / power in {4, 2} else 5
        far = whole / unit.factor * view.scale
        for n in range(parts):
            left = x + far * n / parts
            fill = svg.BLACK if n % 2 == 0 else svg.WHITE
            bit = svg.rect(left, y - 4, far / parts, 4, fill=fill, stroke_width=THIN)
            self.parts.append(bit)
        self.canvas.boxes.append(Box(x, y - 4, x + far, y))
        label = with_unit(f"{whole:g}", unit)
        bar: dict[str, str | float] = {"class_": "scale-bar", "data_view": name}
        bar |= {"data_far": f"{whole / unit.factor:.6g}"}
        self.parts.append(svg.path([(x, y), (x + far, y)], stroke_width=THIN, **bar))
        self.words(x, y - 6.5, "0", anchor="start")
        self.words(x + far + 4, y, label)

    def tag(self, at: Point, letter: str, said: str) -> None:
        """The letter and title of a view."""
        self.words(*at, f"{letter}  {said}".strip(), "SemiBold")

    # The end.

    def finish(self) -> None:
        """Places all labels; those for which there is no room are `lost`, to be said beside."""
        order, free = list(range(len(self.labels))), self.canvas.copy()
        spots: dict[int, Spot | None] = {}
        for _ in range(TRIES):
            self.canvas.strokes, self.canvas.boxes = list(free.strokes), list(free.boxes)
            spots = {n: self._spot(self.labels[n]) for n in order}
            missed = [n for n in order if spots[n] is None]
            if not missed:
                break
            order = [*missed, *(n for n in order if n not in missed)]
        for n, spot in sorted(spots.items()):
            if spot is None:
                self.lost.append(" ".join(text for text, _ in self.labels[n].lines))
            else:
                self._print(self.labels[n], spot)
        self.labels = []

    def _spot(self, label: _Label) -> Spot | None:
        return self.canvas.place(label.at, label.wide, label.high, label.away, label.room)

    def _print(self, label: _Label, spot: Spot) -> None:
        if spot.leader is not None:
            (x1, y1), (x2, y2) = spot.leader
            self.parts.append(svg.line(x1, y1, x2, y2, stroke_width=THIN))
            self.parts.append(svg.circle(x1, y1, 1.1, fill=svg.BLACK, stroke="none"))
        side = "middle"
        if spot.leader is not None and len(label.lines) > 1:
            side = "start" if spot.box.left > label.at[0] else "middle"
            side = "end" if spot.box.right < label.at[0] else side
        x = {"middle": (spot.box.left + spot.box.right) / 2, "start": spot.box.left + 0.5,
             "end": spot.box.right - 0.5}[side]  # fmt: skip
        y = spot.box.top + SIZE * 0.78
        for text, weight in label.lines:
            self.parts.append(svg.words(x, y, text, weight, side).markup)
            y += LEADING

    def drawing(self, name: str, title: str, message: str, text: str) -> Drawing:
        """The finished drawing; `name` is its own in the document."""
        if self.labels:
            self.finish()
        markup = svg.element(
            "svg",
            svg.joined(
                [
                    svg.element("title", clean(title), id=f"{name}-title"),
                    svg.element("desc", clean(text), id=f"{name}-text"),
                    *self.parts,
                ]
            ),
            xmlns="http://www.w3.org/2000/svg",
            viewBox=f"0 0 {self.wide:g} {self.high:g}",
            width=f"{self.wide * MM:.3f}mm",
            height=f"{self.high * MM:.3f}mm",
            font_family=FAMILIES,
            role="img",
            aria_labelledby=f"{name}-title {name}-text",
        )
        return Drawing(title, message, markup, self.wide * MM, self.high * MM, text)


def hatching(outline: Sequence[Point], slope: float, step: float) -> Iterable[tuple[Point, Point]]:
    """Parallel strokes inside an outline, every other crossing in and out.

    >>> list(hatching([(0, 0), (4, 0), (4, 4), (0, 4)], 0.0, 2.0))
    [((0.0, 1.0), (4.0, 1.0)), ((0.0, 3.0), (4.0, 3.0))]
    """
    cos, sin = math.cos(slope), math.sin(slope)
    # In a frame turned by the slope the strokes are level.
    turned = [(x * cos + y * sin, y * cos - x * sin) for x, y in outline]
    low, high = min(v for _, v in turned), max(v for _, v in turned)
    level = low + step / 2
    while level < high:
        cuts = sorted(
            a[0] + (b[0] - a[0]) * (level - a[1]) / (b[1] - a[1])
            for a, b in zip(turned, [*turned[1:], turned[0]], strict=True)
            if (a[1] <= level) != (b[1] <= level)
        )
        for start, end in zip(cuts[::2], cuts[1::2], strict=False):
            yield (
                (start * cos - level * sin, start * sin + level * cos),
                (end * cos - level * sin, end * sin + level * cos),
            )
        level += step
