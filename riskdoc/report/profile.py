"""The tension along a line, every case in one drawing: a step at each edge."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.language.units import number, unit_of
from riskdoc.report import svg
from riskdoc.report.facts import CASES
from riskdoc.report.svg import LEADING, SIZE, Box, Drawing, Drawn
from riskdoc.report.text import wrap

if TYPE_CHECKING:
    from riskdoc.assess.records import Figure
    from riskdoc.report.facts import Facts

LEFT, TOP = 48.0, 10.0
WIDE, HIGH = 250.0, 110.0
KEY = 318.0
_ALWAYS = ("hold", "raise", "lower")
# Cases differ by stroke, so that they can be told apart in black and white.
_STROKES = {
    "hold": ("none", 2.2),
    "descend": ("6 2", 1.2),
    "ascend": ("2 2", 1.2),
    "lower": ("9 3", 1.6),
    "raise": ("9 2 2 2", 1.6),
    "rescue": ("14 4", 2.2),
    "fall": ("1 3", 2.4),
    "swing": ("3 6", 1.2),
    "jam": ("12 3 3 3", 2.4),
}


def profile(facts: Facts, line: str) -> Drawing | None:
    """The profile of one line at the greatest values, or None where no tension is known."""
    stations = ["anchor", *(f"edge:{each.edge}:below" for each in facts.job.lines[line].over)]
    found = {case: _along(facts, line, stations, case) for case in CASES}
    every = {case: figures for case, figures in found.items() if figures}
    if not every:
        return None
    known = _readable(every)
    most = max(figure.range.high for figures in known.values() for figure in figures)
    parts = [_axes(len(stations), most)]
    parts += [_steps(case, figures, most) for case, figures in known.items()]
    key, lowest = _key(facts, line, list(known))
    left = [case for case in every if case not in known]
    return _picture(facts, line, [*parts, *key], max(lowest, TOP + HIGH + 18) + 4, left)


def _readable(every: dict[str, list[Figure]]) -> dict[str, list[Figure]]:
    """The cases that are drawn: hold, raise, lower, and any that is the greatest somewhere.

    More strokes could not be told apart; the greatest tension is always among these.
    """
    chosen = {case for case in _ALWAYS if case in every}
    for n in range(len(next(iter(every.values())))):
        most = max(figures[n].range.high for figures in every.values())
        if all(every[case][n].range.high < most for case in chosen):
            chosen.add(next(case for case, each in every.items() if each[n].range.high == most))
    return {case: figures for case, figures in every.items() if case in chosen}


def _along(facts: Facts, line: str, stations: list[str], case: str) -> list[Figure]:
    ids = [f"line/{line}/tension/{station}/{case}" for station in stations]
    figures = [facts.figures[id] for id in ids if id in facts.figures]
    # A profile with a gap would be drawn as if the gap were not there.
    return figures if len(figures) == len(stations) else []


def _height(value: float, most: float) -> float:
    return TOP + HIGH - (value / most * HIGH if most > 0 else 0.0)


def _axes(parts: int, most: float) -> Drawn:
    bottom = TOP + HIGH
    lines = [svg.line(LEFT, TOP, LEFT, bottom), svg.line(LEFT, bottom, LEFT + WIDE, bottom)]
    lines.append(svg.line(LEFT - 3, TOP, LEFT, TOP))
    step = WIDE / parts
    for n in range(1, parts):
        x = LEFT + n * step
        lines.append(svg.line(x, TOP, x, bottom, stroke=svg.GREY, stroke_width=0.5))
    texts = [
        svg.words(LEFT - 5, TOP + 3, f"{number(most, unit_of('N'), 'up')} kN", anchor="end"),
        svg.words(LEFT - 5, bottom + 3, "0 kN", anchor="end"),
    ]
    for n in range(parts):
        middle = LEFT + (n + 0.5) * step
        texts.append(svg.words(middle, bottom + LEADING, str(n + 1), anchor="middle"))
    return _one([Drawn(svg.joined(lines)), *texts])


def _steps(case: str, figures: list[Figure], most: float) -> Drawn:
    step = WIDE / len(figures)
    points = []
    for n, figure in enumerate(figures):
        y = _height(figure.range.high, most)
        points += [(LEFT + n * step, y), (LEFT + (n + 1) * step, y)]
    dash, thick = _STROKES[case]
    return Drawn(svg.path(points, stroke_dasharray=dash, stroke_width=thick))


def _key(facts: Facts, line: str, cases: list[str]) -> tuple[list[Drawn], float]:
    """What each stroke and each number stands for, one under the other."""
    drawn, y = [], TOP
    for case in cases:
        y += LEADING
        dash, thick = _STROKES[case]
        sample = svg.line(KEY, y - 3, KEY + 34, y - 3, stroke_dasharray=dash, stroke_width=thick)
        drawn += [Drawn(sample), svg.words(KEY + 40, y, case)]
    y += 5
    over = [each.edge for each in facts.job.lines[line].over]
    names = ["the anchor", *over, "the load"]
    for n in range(len(names) - 1):
        text = f"{n + 1}: from {names[n]} to {names[n + 1]}"
        for part in wrap(text, svg.PAGE_WIDTH - KEY, SIZE):
            y += LEADING
            drawn.append(svg.words(KEY, y, part))
    return drawn, y


def _one(parts: list[Drawn]) -> Drawn:
    boxes: tuple[Box, ...] = tuple(box for part in parts for box in part.boxes)
    return Drawn(svg.joined([part.markup for part in parts]), boxes)


def _picture(facts: Facts, line: str, parts: list[Drawn], high: float, left: list[str]) -> Drawing:
    title = f"Tension along line {line}"
    text = "Greatest tension of each case in each part of the rope, from the anchor to the load."
    if left:
        text += f" Nowhere the greatest, so only in the table: {', '.join(left)}."
    name = f"profile-{list(facts.job.lines).index(line) + 1}"
    markup = svg.picture(parts, svg.PAGE_WIDTH, high, name, title, text)
    boxes: tuple[Box, ...] = tuple(box for part in parts for box in part.boxes)
    return Drawing(markup, title, text, svg.PAGE_WIDTH, high, boxes)
