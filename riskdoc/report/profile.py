"""The tension along a line, every case in one drawing: a step at each edge and redirect."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.quantities.printing import unit_of
from riskdoc.report import along, svg
from riskdoc.report.facts import CASES, line_name
from riskdoc.report.geometry import drawable
from riskdoc.report.svg import LEADING, SIZE, Box, Drawing, Drawn
from riskdoc.report.text import width, wrap

if TYPE_CHECKING:
    from collections.abc import Iterator

    from markupsafe import Markup

    from riskdoc.analysis.figure import Figure
    from riskdoc.report.facts import Facts

LEFT, TOP = 52.0, 22.0
WIDE, HIGH = 262.0, 118.0
KEY = 330.0
MOST_HIGH = 600.0
"""Names that reach lower than this stand in a key below the drawing."""
_ALWAYS = ("hold", "raise", "lower")
# Cases differ by stroke and by the mark on it, so that they can be told apart in black and white,
# and where two have the same tension: their marks stand beside each other.
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
# Corners of the mark of each case, in units of its half size, and its fill.
_MARKS: dict[str, tuple[list[tuple[float, float]], str]] = {
    "hold": ([(-1, -1), (1, -1), (1, 1), (-1, 1)], svg.BLACK),
    "descend": ([(-1, -1), (1, -1), (0, 1)], svg.WHITE),
    "ascend": ([(-1, 1), (1, 1), (0, -1)], svg.WHITE),
    "lower": ([(-1, -1), (1, -1), (0, 1)], svg.BLACK),
    "raise": ([(-1, 1), (1, 1), (0, -1)], svg.BLACK),
    "rescue": ([(-1, -1), (1, -1), (1, 1), (-1, 1)], svg.WHITE),
    "fall": ([(0, -1.3), (1.3, 0), (0, 1.3), (-1.3, 0)], svg.BLACK),
    "swing": ([(0, -1.3), (1.3, 0), (0, 1.3), (-1.3, 0)], svg.WHITE),
    "jam": ([(-1, -1), (1, 1), (0, 0), (-1, 1), (1, -1), (0, 0)], svg.BLACK),
}
_MARK = 3.0


@dataclass(frozen=True, slots=True)
class _Frame:
    """The axes: where each place of the line stands [points], and the tension at the top [N].

    Between two places the tension is the same.
    """

    places: tuple[along.Node, ...]
    stops: tuple[float, ...]
    most: float
    step: float
    to_scale: bool

    def stretches(self) -> Iterator[tuple[float, float, int]]:
        """Start and end of each stretch of rope, and its number from 0."""
        for part, (start, end) in enumerate(pairwise(self.stops)):
            yield start, end, part

    def y(self, tension: float) -> float:
        """Where a tension is drawn."""
        return TOP + HIGH - (tension / self.most * HIGH if self.most > 0 else 0.0)


def profile(facts: Facts, line: str) -> Drawing | None:
    """The profile of one line at the greatest values, or None where no tension is known."""
    places = along.nodes(facts.job, line)[:-1]
    stations = [along.station(facts.job, line, each, "below") for each in places]
    found = {case: _along(facts, line, stations, case) for case in CASES}
    every = {case: figures for case, figures in found.items() if figures}
    if not every:
        return None
    known = _readable(every)
    most = max(figure.range.high for figures in known.values() for figure in figures)
    frame = _frame(facts, line, most)
    parts = [_axes(frame), *_ticks(frame)]
    parts += [_steps(frame, case, figures) for case, figures in known.items()]
    parts += _marks(frame, known)
    cases, lowest = _cases(list(known))
    names = [(str(n.number), along.name(facts.job, line, n)) for n in frame.places]
    named, lowest = _named(names, lowest + 5)
    key: tuple[tuple[str, str, str], ...] = ()
    if lowest > MOST_HIGH:
        named, key = [], tuple((n, name, "") for n, name in names)
    parts += [*cases, *named]
    left = [case for case in every if case not in known]
    absent = [case for case in _ALWAYS if case not in every]
    return replace(_picture(facts, line, parts, _text(frame, left, absent)), key=key)


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


def _frame(facts: Facts, line: str, most: float) -> _Frame:
    places = along.nodes(facts.job, line)
    drawn, true = drawable(along.lengths(places))
    whole = sum(drawn)
    stops = (0.0, *accumulate(each / whole * WIDE for each in drawn))
    step = _round_step(most * unit_of("N").factor) / unit_of("N").factor
    top = math.ceil(most / step - 1e-9) * step if most > 0 else step
    return _Frame(places, tuple(LEFT + each for each in stops), top, step, true)


def _round_step(most: float) -> float:
    """A step of 1, 2 or 5 times a power of ten that makes three to six steps of a scale.

    >>> _round_step(4.73), _round_step(0.9), _round_step(1070)
    (1.0, 0.2, 200.0)
    """
    if not 0 < most < math.inf:
        return 1.0
    power = 10.0 ** math.floor(math.log10(most))
    return float(next(each * power for each in (0.2, 0.5, 1.0, 2.0) if most / (each * power) <= 6))


def _tick(n: int, step: float) -> str:
    """The n-th step of a scale, with as many places as the step has.

    >>> _tick(3, 0.5), _tick(4, 200.0)
    ('1.5', '800')
    """
    places = max(0, -math.floor(math.log10(step) + 1e-9))
    return f"{n * step:.{places}f}"


def _axes(frame: _Frame) -> Drawn:
    bottom = TOP + HIGH
    lines = [svg.line(LEFT, TOP, LEFT, bottom), svg.line(LEFT, bottom, LEFT + WIDE, bottom)]
    for x in frame.stops[1:-1]:
        lines.append(svg.line(x, TOP, x, bottom + 4, stroke=svg.GREY, stroke_width=0.5))
    texts = []
    steps = round(frame.most / frame.step)
    for n in range(steps + 1):
        y = frame.y(n * frame.step)
        lines.append(svg.line(LEFT - 3, y, LEFT, y))
        text = _tick(n, frame.step * unit_of("N").factor)
        texts.append(svg.words(LEFT - 5, y + 3, text, anchor="end"))
    texts.append(svg.words(2, TOP - 11, say("Tension, {unit}", unit=unit_of("N").name)))
    return _one([Drawn(svg.joined(lines)), *texts])


def _ticks(frame: _Frame) -> Iterator[Drawn]:
    """The number of each place under the axis; a number with no room stands one line lower."""
    rows = [0.0]
    for n, x in enumerate(frame.stops, start=1):
        half = width(str(n), SIZE) / 2
        row = next((k for k, used in enumerate(rows) if x - half > used + 3), len(rows))
        rows[row : row + 1] = [x + half]
        y = TOP + HIGH + LEADING + 3 + row * LEADING
        yield svg.words(x, y, str(n), anchor="middle")


def _steps(frame: _Frame, case: str, figures: list[Figure]) -> Drawn:
    points = []
    for start, end, part in frame.stretches():
        y = frame.y(figures[part].range.high)
        points += [(start, y), (end, y)]
    dash, thick = _STROKES[case]
    return Drawn(svg.path(points, stroke_dasharray=dash, stroke_width=thick))


def _marks(frame: _Frame, known: dict[str, list[Figure]]) -> Iterator[Drawn]:
    """The mark of each case on its stroke, each case at its own share of a part's length."""
    for n, (case, figures) in enumerate(known.items(), start=1):
        for start, end, part in frame.stretches():
            x = start + (end - start) * n / (len(known) + 1)
            yield Drawn(_mark(case, x, frame.y(figures[part].range.high)))


def _mark(case: str, x: float, y: float) -> Markup:
    corners, fill = _MARKS[case]
    points = [(x + a * _MARK, y + b * _MARK) for a, b in (*corners, corners[0])]
    return svg.path(points, fill=fill, stroke_width=1.0)


def _cases(cases: list[str]) -> tuple[list[Drawn], float]:
    """What each stroke stands for, one under the other, and the baseline of the last."""
    drawn, y = [], TOP - 22.0
    for case in cases:
        y += LEADING
        dash, thick = _STROKES[case]
        sample = svg.line(KEY, y - 3, KEY + 34, y - 3, stroke_dasharray=dash, stroke_width=thick)
        drawn.append(Drawn(svg.joined([sample, _mark(case, KEY + 17, y - 3)])))
        drawn.append(svg.words(KEY + 42, y, say(case)))
    return drawn, y


def _named(names: list[tuple[str, str]], y: float) -> tuple[list[Drawn], float]:
    """What each number under the axis stands for."""
    drawn = []
    for number, name in names:
        for part in wrap(f"{number}: {name}", svg.PAGE_WIDTH - KEY, SIZE):
            y += LEADING
            drawn.append(svg.words(KEY, y, part))
    return drawn, y


def _one(parts: list[Drawn]) -> Drawn:
    boxes: tuple[Box, ...] = tuple(box for part in parts for box in part.boxes)
    return Drawn(svg.joined([part.markup for part in parts]), boxes)


def _text(frame: _Frame, left: list[str], absent: list[str]) -> str:
    said = [say("Greatest tension of each case along the rope, from the anchor to the load.")]
    said.append(
        say("Lengths to scale.")
        if frame.to_scale
        else say("Lengths drawn closer to each other than they are.")
    )
    if absent:
        cases = ", ".join(say(case) for case in absent)
        said.append(say("Not done with this line, so not computed: {cases}.", cases=cases))
    if left:
        cases = ", ".join(say(case) for case in left)
        said.append(say("Nowhere the greatest, so only in the table: {cases}.", cases=cases))
    return " ".join(said)


def _picture(facts: Facts, line: str, parts: list[Drawn], text: str) -> Drawing:
    title = say("Tension along line {line}", line=line_name(facts.job, line))
    name = f"profile-{list(facts.job.lines).index(line) + 1}"
    boxes: tuple[Box, ...] = tuple(box for part in parts for box in part.boxes)
    high = max(box.bottom for box in boxes) + 5
    markup = svg.picture(parts, svg.PAGE_WIDTH, high, name, title, text)
    return Drawing(markup, title, text, svg.PAGE_WIDTH, high, boxes)
