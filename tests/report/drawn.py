"""A drawing read back from its markup: texts with their room, strokes and fills."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import dataclass
from html import unescape
from xml.etree import ElementTree as ET

from riskdoc.report.svg import Box, Drawing
from riskdoc.report.text import width

Point = tuple[float, float]
SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Text:
    said: str
    box: Box
    place: int


@dataclass(frozen=True)
class Shape:
    """Points of an outline; `closed` where it has a fill that could hide a text."""

    name: str
    points: tuple[Point, ...]
    attributes: dict[str, str]
    place: int

    @property
    def fill(self) -> str:
        return self.attributes.get("fill", "none")

    @property
    def segments(self) -> list[tuple[Point, Point]]:
        if self.attributes.get("stroke", "none") == "none":
            return []
        return list(itertools.pairwise(self.points))


def parsed(drawing: Drawing) -> ET.Element:
    return ET.fromstring(str(drawing.markup))


def texts(drawing: Drawing) -> list[Text]:
    found = []
    for place, each in enumerate(parsed(drawing).iter()):
        if each.tag != f"{SVG}text":
            continue
        said = unescape(each.text or "")
        size, x, y = (float(each.attrib[key]) for key in ("font-size", "x", "y"))
        weight = "SemiBold" if each.attrib["font-weight"] == "600" else "Regular"
        wide = width(said, size, weight)
        left = {"start": x, "middle": x - wide / 2, "end": x - wide}[each.attrib["text-anchor"]]
        # From the height of a capital to the foot of a comma, a little inside.
        found.append(Text(said, Box(left, y - size * 0.73, left + wide, y + size * 0.2), place))
    return found


def shapes(drawing: Drawing) -> list[Shape]:
    found = []
    for place, each in enumerate(parsed(drawing).iter()):
        points = _points(each)
        if points:
            name = each.tag.removeprefix(SVG)
            found.append(Shape(name, tuple(points), dict(each.attrib), place))
    return found


def _points(each: ET.Element) -> list[Point]:
    name = each.tag.removeprefix(SVG)

    def get(*keys: str) -> tuple[float, ...]:
        return tuple(float(each.attrib[key]) for key in keys)

    if name == "line":
        x1, y1, x2, y2 = get("x1", "y1", "x2", "y2")
        return [(x1, y1), (x2, y2)]
    if name == "polyline":
        return [
            (float(x), float(y))
            for x, y in re.findall(r"(-?[\d.]+),(-?[\d.]+)", each.get("points", ""))
        ]
    if name == "rect":
        x, y, w, h = get("x", "y", "width", "height")
        return [(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)]
    if name == "circle":
        x, y, r = get("cx", "cy", "r")
        return [
            (x + r * math.cos(n * math.pi / 8), y + r * math.sin(n * math.pi / 8))
            for n in range(17)
        ]
    return []


def inside(box: Box, point: Point) -> bool:
    return box.left < point[0] < box.right and box.top < point[1] < box.bottom


def through(one: Point, other: Point, box: Box) -> bool:
    """Whether a stroke has a point in a box: looked at every fifth of a point of its length."""
    steps = max(1, math.ceil(math.dist(one, other) * 5))
    return any(
        inside(
            box,
            (
                one[0] + (other[0] - one[0]) * n / steps,
                one[1] + (other[1] - one[1]) * n / steps,
            ),
        )
        for n in range(steps + 1)
    )


def assert_readable(drawing: Drawing) -> None:
    """No text on a stroke, under a fill or off the sheet, and none on another text."""
    said = texts(drawing)
    assert said
    for text in said:
        assert text.box.left >= 0, text
        assert text.box.top >= 0, text
        assert text.box.right <= drawing.width, text
        assert text.box.bottom <= drawing.height, text
    for one, other in itertools.combinations(said, 2):
        assert not one.box.overlaps(other.box), (one, other)
    for shape in shapes(drawing):
        xs, ys = [x for x, _ in shape.points], [y for _, y in shape.points]
        assert min(xs) >= 0, shape
        assert max(xs) <= drawing.width, shape
        assert min(ys) >= 0, shape
        assert max(ys) <= drawing.height, shape
        for text in said:
            for one, other in shape.segments:
                assert not through(one, other, text.box), (text, shape)
            hides = shape.fill != "none" and shape.place > text.place
            covered = Box(min(xs), min(ys), max(xs), max(ys))
            assert not (hides and covered.overlaps(text.box)), (text, shape)
