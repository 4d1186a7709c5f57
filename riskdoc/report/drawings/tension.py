"""The tension along a line over its real length: the cases that matter, with their ranges."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.quantities.printing import amount, number, unit_of
from riskdoc.report import along
from riskdoc.report.drawings.scene import OUTLINE, ROPE, SIZE, THIN, WIDE, Drawing, Sheet
from riskdoc.report.facts import CASES
from riskdoc.report.svg import PALE, Box
from riskdoc.report.text import shortened, width

if TYPE_CHECKING:
    from riskdoc.analysis.figure import Figure
    from riskdoc.report.facts import Facts

HIGH = 190.0
LEFT, RIGHT, TOP, FOOT = 44.0, 372.0, 28.0, 146.0
MOST_CASES = 3
_DASHES = ("none", "7 2.5", "2.2 2.2")
_SLOPES = (None, math.pi / 4, -math.pi / 4)
"""How the bands of the cases are told apart: grey, rising strokes, falling strokes."""


@dataclass(frozen=True, slots=True)
class _Scene:
    facts: Facts
    line: str
    places: tuple[along.Node, ...]
    cases: dict[str, list[Figure]]
    left_out: tuple[str, ...]
    most: float
    step: float

    def x(self, at: float) -> float:
        """Where a length of rope from the anchor is drawn."""
        whole = self.places[-1].at or 1.0
        return LEFT + at / whole * (RIGHT - LEFT)

    def y(self, force: float) -> float:
        """Where a tension is drawn."""
        return FOOT - force / self.most * (FOOT - TOP)


def tension(facts: Facts, line: str) -> Drawing | None:
    """The tension along one line; None where it is not demonstrated."""
    scene = _scene(facts, line)
    if scene is None:
        return None
    sheet = Sheet(WIDE, HIGH)
    for n, figures in enumerate(scene.cases.values()):
        _band(sheet, scene, figures, n)
    _axes(sheet, scene)
    for n, (case, figures) in enumerate(scene.cases.items()):
        _curve(sheet, scene, case, figures, n)
    sheet.finish()
    number = list(facts.job.lines).index(line) + 1
    title, message = _title(scene), _message(scene, sheet.lost)
    return sheet.drawing(f"tension-{number}", title, message, f"{title}. {message}")


def _scene(facts: Facts, line: str) -> _Scene | None:
    places = along.nodes(facts.job, line)
    stations = [along.station(facts.job, line, each, "below") for each in places[:-1]]
    known: dict[str, list[Figure]] = {}
    for case in CASES:
        ids = [f"line/{line}/tension/{station}/{case}" for station in stations]
        figures = [facts.figures[id] for id in ids if id in facts.figures]
        # A curve with a gap would be drawn as if the gap were not there.
        if len(figures) == len(stations):
            known[case] = figures
    if not known:
        return None
    chosen = _chosen(known)
    most = max(each.range.high for figures in chosen.values() for each in figures)
    if not 0 < most < math.inf:
        return None
    step = _step(most * unit_of("N").factor) / unit_of("N").factor
    top = math.ceil(most / step - 1e-9) * step
    return _Scene(
        facts, line, places, chosen, tuple(c for c in known if c not in chosen), top, step
    )


def _chosen(known: dict[str, list[Figure]]) -> dict[str, list[Figure]]:
    """Those with the greatest tension somewhere, and hanging still to compare with."""
    count = len(next(iter(known.values())))
    wanted: list[str] = ["hold"] if "hold" in known else []
    for n in (count - 1, 0, *range(1, count - 1)):
        best = max(known, key=lambda case: known[case][n].range.high)
        if best not in wanted:
            wanted.append(best)
    return {case: known[case] for case in wanted[:MOST_CASES]}


def _step(most: float) -> float:
    """A step of 1, 2 or 5 times a power of ten that makes three to six steps of a scale.

    >>> _step(4.73), _step(0.9), _step(1070)
    (1.0, 0.2, 200.0)
    """
    power = 10.0 ** math.floor(math.log10(most))
    return float(next(each * power for each in (0.2, 0.5, 1.0, 2.0) if most / (each * power) <= 6))


def _band(sheet: Sheet, scene: _Scene, figures: list[Figure], n: int) -> None:
    """The range of a case along each part of the rope."""
    for figure, (one, other) in zip(figures, pairwise(scene.places), strict=True):
        left, right = scene.x(one.at), scene.x(other.at)
        low, high = scene.y(figure.range.low), scene.y(figure.range.high)
        if low - high < 1 or right - left < 0.5:
            continue
        corners = [(left, high), (right, high), (right, low), (left, low)]
        slope = _SLOPES[n]
        if slope is None:
            sheet.area(corners, PALE, THIN)
        else:
            sheet.hatch(corners, slope, 5.0)
            sheet.stroke([*corners, corners[0]], THIN)


def _axes(sheet: Sheet, scene: _Scene) -> None:
    unit = unit_of("N")
    sheet.words(4, 11, say("Tension, {unit}", unit=unit.name), "SemiBold")
    sheet.stroke([(LEFT, TOP - 4), (LEFT, FOOT), (RIGHT, FOOT)], OUTLINE)
    places = max(0, -math.floor(math.log10(scene.step * unit.factor) + 1e-9))
    for n in range(round(scene.most / scene.step) + 1):
        y = scene.y(n * scene.step)
        sheet.stroke([(LEFT - 3, y), (LEFT, y)], THIN)
        sheet.words(LEFT - 5, y + 3, f"{n * scene.step * unit.factor:.{places}f}", anchor="end")
    ends = [-math.inf, -math.inf]
    for place in scene.places:
        x = scene.x(place.at)
        sheet.stroke([(x, TOP - 4), (x, FOOT + 3)], THIN, stroke_dasharray="1 2")
        name = shortened(_place(scene, place), 110, SIZE)
        half = width(name, SIZE) / 2
        middle = min(max(x, half + 2), WIDE - half - 2)
        row = next((k for k, end in enumerate(ends) if middle - half > end + 4), None)
        if row is None:
            continue
        ends[row] = middle + half
        sheet.words(middle, FOOT + 14 + 11 * row, name, anchor="middle")
    length = amount(scene.places[-1].at, "m", "near")
    unit = unit_of("m")
    text = say("rope from the anchor, {unit}; whole length {length}", unit=unit.name, length=length)
    sheet.words(LEFT, HIGH - 5, text)


def _place(scene: _Scene, place: along.Node) -> str:
    job, it = scene.facts.job, scene.facts.job.lines[scene.line]
    at = number(place.at, unit_of("m"), "near")
    if place.kind == "anchor":
        return say("anchor {at}", at=at)
    if place.kind == "edge":
        return f"‘{it.over[place.index].edge}’ {at}"
    if place.kind == "redirect":
        return say("redirect {at}", at=at)
    return say("load {at}", at=number(along.nodes(job, scene.line)[-1].at, unit_of("m"), "near"))


def _curve(sheet: Sheet, scene: _Scene, case: str, figures: list[Figure], n: int) -> None:
    """The expected tension of a case, with its name and its maximum."""
    points = []
    for figure, (one, other) in zip(figures, pairwise(scene.places), strict=True):
        y = scene.y(figure.range.expected)
        points += [(scene.x(one.at), y), (scene.x(other.at), y)]
    sheet.stroke(points, ROPE, stroke_dasharray=_DASHES[n], class_="tension", data_case=case)
    end = points[-1]
    top = max(figures, key=lambda each: each.range.high)
    text = [say(case), say("{expected}, at most {most}",
            expected=amount(figures[-1].range.expected, "N", "up"),
            most=amount(top.range.high, "N", "up"))]  # fmt: skip
    sheet.label(end, text, (1, 0), bold=True, room=Box(RIGHT + 3, 2, WIDE - 1, FOOT + 4))


def _title(scene: _Scene) -> str:
    best = max(
        ((each.range.high, case, n) for case, figures in scene.cases.items()
         for n, each in enumerate(figures)), key=lambda each: each[0])  # fmt: skip
    size, case, n = best
    upper, lower = scene.places[n], scene.places[n + 1]
    return say(
        "Line ‘{line}’: the greatest tension is {force}, {case}, between {upper} and {lower}",
        line=scene.line,
        force=amount(size, "N", "up"),
        case=say(case),
        upper=_name(scene, upper),
        lower=_name(scene, lower),
    )


def _name(scene: _Scene, place: along.Node) -> str:
    it = scene.facts.job.lines[scene.line]
    if place.kind == "edge":
        return say("edge ‘{edge}’", edge=it.over[place.index].edge)
    return say(place.kind)


def _message(scene: _Scene, lost: list[str]) -> str:
    said = [say("Length to scale. Thick: expected value; band: range over all inputs.")]
    if scene.left_out:
        cases = ", ".join(say(case) for case in scene.left_out)
        said.append(say("Not drawn, nowhere the greatest: {cases}.", cases=cases))
    if lost:
        said.append(say("No room in the drawing for: {texts}.", texts="; ".join(lost)))
    return " ".join(said)


def tensions(facts: Facts) -> tuple[Drawing, ...]:
    """The tension of every line for which it is demonstrated."""
    found = (tension(facts, line) for line in facts.job.lines)
    return tuple(each for each in found if each is not None)
