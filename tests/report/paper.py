"""A drawing read back from its SVG: its texts, its strokes, and what its scale bars say."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import dataclass
from html import unescape
from xml.etree import ElementTree as ET

import numpy as np

from riskdoc.report.drawings import Drawing
from riskdoc.report.text import width

Point = tuple[float, float]
SVG = "{http://www.w3.org/2000/svg}"
METRES = {"m": 1.0, "ft": 0.3048}
POINT = 25.4 / 72
"""Millimetres in a point."""


@dataclass(frozen=True)
class Text:
    said: str
    size: float
    box: tuple[float, float, float, float]


@dataclass(frozen=True)
class Stroke:
    """A run of strokes, with the class, the view and all else that stands on it."""

    points: tuple[Point, ...]
    thick: float
    own: dict[str, str]

    @property
    def length(self) -> float:
        return sum(math.dist(a, b) for a, b in itertools.pairwise(self.points))


class Paper:
    def __init__(self, drawing: Drawing) -> None:
        self.drawing = drawing
        self.root = ET.fromstring(str(drawing.svg))
        *_, self.wide, self.high = map(float, self.root.attrib["viewBox"].split())
        self.texts = [_text(each) for each in self.root.iter(f"{SVG}text")]
        self.strokes = [stroke for each in self.root.iter() for stroke in _strokes(each)]

    def named(self, name: str, view: str | None = None) -> list[Stroke]:
        return [
            each
            for each in self.strokes
            if each.own.get("class") == name and view in (None, each.own.get("data-view"))
        ]

    def scale(self, view: str) -> float:
        """Points for each metre, by the scale bar and the number that stands at its end."""
        (bar,) = self.named("scale-bar", view)
        x, y = bar.points[-1]
        label = next(
            each
            for each in self.texts
            if abs(each.box[0] - x - 4) < 0.1 and abs(each.box[3] - y) < 3
        )
        number, unit = label.said.split()
        return bar.length / (float(number) * METRES[unit])

    def ratio(self) -> list[float]:
        """The scales that stand in the drawing as words."""
        found = (re.search(r"1:([\d.]+)$", each.said) for each in self.texts)
        return [float(each[1]) for each in found if each]


def _text(each: ET.Element) -> Text:
    said = unescape(each.text or "")
    size, x, y = (float(each.attrib[key]) for key in ("font-size", "x", "y"))
    weight = "SemiBold" if each.attrib["font-weight"] == "600" else "Regular"
    wide = width(said, size, weight)
    left = {"start": x, "middle": x - wide / 2, "end": x - wide}[each.attrib["text-anchor"]]
    # From the height of a capital to the foot of a comma, a little inside.
    return Text(said, size, (left, y - size * 0.73, left + wide, y + size * 0.2))


def _strokes(each: ET.Element) -> list[Stroke]:
    if each.attrib.get("stroke", "none") == "none":
        return []
    thick = float(each.attrib.get("stroke-width", 1))
    own = dict(each.attrib)
    return [Stroke(tuple(points), thick, own) for points in _runs(each) if len(points) > 1]


def _runs(each: ET.Element) -> list[list[Point]]:
    name = each.tag.removeprefix(SVG)

    def get(*keys: str) -> tuple[float, ...]:
        return tuple(float(each.attrib[key]) for key in keys)

    if name == "line":
        x1, y1, x2, y2 = get("x1", "y1", "x2", "y2")
        return [[(x1, y1), (x2, y2)]]
    if name == "polyline":
        return [_points(each.attrib["points"])]
    if name == "path":
        return [_points(run.replace("L", " ")) for run in each.attrib["d"].split("M")[1:]]
    if name == "rect":
        x, y, w, h = get("x", "y", "width", "height")
        return [[(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)]]
    if name == "circle":
        x, y, r = get("cx", "cy", "r")
        turns = [n * math.pi / 8 for n in range(17)]
        return [[(x + r * math.cos(t), y + r * math.sin(t)) for t in turns]]
    return []


def _points(text: str) -> list[Point]:
    numbers = [float(each) for each in re.findall(r"-?[\d.]+", text)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def assert_readable(paper: Paper) -> None:
    """Every text on the sheet, of 8 points or more, on no other text and on no stroke."""
    assert paper.texts
    said = paper.drawing.title
    for text in paper.texts:
        left, top, right, bottom = text.box
        assert text.size >= 8, (said, text)
        assert left >= 0, (said, text)
        assert top >= 0, (said, text)
        assert right <= paper.wide, (said, text)
        assert bottom <= paper.high, (said, text)
    for one, other in itertools.combinations(paper.texts, 2):
        a, b = one.box, other.box
        apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
        assert apart, (said, one, other)
    for stroke in paper.strokes:
        xs, ys = [x for x, _ in stroke.points], [y for _, y in stroke.points]
        assert min(xs) >= 0, (said, stroke)
        assert max(xs) <= paper.wide, (said, stroke)
        assert min(ys) >= 0, (said, stroke)
        assert max(ys) <= paper.high, (said, stroke)
        for text in paper.texts:
            assert not _touches(stroke, text), (said, text, stroke)


def _touches(stroke: Stroke, text: Text) -> bool:
    """Whether a stroke has a point in the room of a text: looked at every fifth of a point."""
    left, top, right, bottom = text.box
    for (x1, y1), (x2, y2) in itertools.pairwise(stroke.points):
        if max(x1, x2) < left or min(x1, x2) > right or max(y1, y2) < top or min(y1, y2) > bottom:
            continue
        steps = max(1, math.ceil(math.dist((x1, y1), (x2, y2)) * 5))
        share = np.linspace(0, 1, steps + 1)
        x, y = x1 + (x2 - x1) * share, y1 + (y2 - y1) * share
        if ((left < x) & (x < right) & (top < y) & (y < bottom)).any():
            return True
    return False
