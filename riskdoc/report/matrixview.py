"""The risk matrix with the number of hazards in each cell, before and after controls."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.report import svg
from riskdoc.report.svg import LEADING, SIZE, Box, Drawing, Drawn
from riskdoc.report.text import width, wrap

if TYPE_CHECKING:
    from riskdoc.hazards.matrices import Level, Matrix
    from riskdoc.hazards.rated import Register
    from riskdoc.report.facts import Facts

LEFT, EDGE = 100.0, 498.0
"""Where the cells begin and end; the likelihoods stand left of them."""
LEAST_CELL = 31.0
MARK = 4.5
"""Side of the small squares that count how bad the band of a cell is."""


@dataclass(frozen=True, slots=True)
class _Grid:
    """The matrix with its counts; `unrated` hazards stand in no cell before, after."""

    matrix: Matrix
    counts: dict[tuple[str, str], tuple[int, int]]
    unrated: tuple[int, int]

    @property
    def wide(self) -> float:
        return (EDGE - LEFT) / len(self.matrix.severities)


def matrix_view(facts: Facts) -> Drawing | None:
    """The matrix of the job, or None where it chose none."""
    register = facts.dossier.register
    if register.matrix is None:
        return None
    return drawn(register, register.matrix)


def drawn(register: Register, matrix: Matrix) -> Drawing:
    """A matrix with the hazards of a register that were rated with it."""
    hazards = register.hazards
    grid = _Grid(
        matrix,
        dict(register.counts),
        (sum(h.before is None for h in hazards), sum(h.after is None for h in hazards)),
    )
    parts, y = _heads(grid)
    for level in matrix.likelihoods:
        made, y = _row(grid, level, y)
        parts += made
    key, y = _key(grid, y + LEADING + 4)
    title = say("Risk matrix with the hazards of this job, before and after controls")
    text = _text(grid)
    told = f"{text} {_cells(grid)}"
    markup = svg.picture([*parts, *key], svg.PAGE_WIDTH, y, "matrix", title, told)
    boxes: tuple[Box, ...] = tuple(box for part in (*parts, *key) for box in part.boxes)
    return Drawing(markup, title, text, svg.PAGE_WIDTH, y, boxes)


def _heads(grid: _Grid) -> tuple[list[Drawn], float]:
    """The names of both axes, and the levels of severity over their columns."""
    parts = [svg.words(LEFT, 11, say("Severity"), "SemiBold")]
    names = [wrap(_level(each), grid.wide - 8, SIZE) for each in grid.matrix.severities]
    lines = max(len(each) for each in names)
    for column, name in enumerate(names):
        for n, text in enumerate(name):
            parts.append(svg.words(LEFT + column * grid.wide + 4, 23 + n * LEADING, text))
    bottom = 23 + (lines - 1) * LEADING
    parts.append(svg.words(2, bottom, say("Likelihood"), "SemiBold"))
    return parts, bottom + 5


def _level(level: Level) -> str:
    return f"{level.key} {say(level.name)}"


def _row(grid: _Grid, level: Level, y: float) -> tuple[list[Drawn], float]:
    names = wrap(_level(level), LEFT - 8, SIZE)
    words = {
        severity.key: wrap(_band(grid, severity.key, level.key), _room(grid), SIZE)
        for severity in grid.matrix.severities
    }
    lines = max(len(each) for each in words.values())
    high = max(LEAST_CELL + (lines - 1) * LEADING, len(names) * LEADING + 6)
    parts = [svg.words(2, y + 11 + n * LEADING, text) for n, text in enumerate(names)]
    for column, (severity, said) in enumerate(words.items()):
        x = LEFT + column * grid.wide
        parts.append(Drawn(svg.rect(x, y, grid.wide, high, stroke_width=0.6)))
        parts.append(_squares(grid, severity, level.key, x + grid.wide - 4, y + 4))
        parts += [svg.words(x + 4, y + 11 + n * LEADING, text) for n, text in enumerate(said)]
        counts = grid.counts.get((severity, level.key), (0, 0))
        parts += _counts(counts, x + 4, y + high - 7)
    return parts, y + high


def _room(grid: _Grid) -> float:
    """What the band's word may take of a cell's width beside the squares."""
    return grid.wide - 12 - (len(grid.matrix.bands) - 1) * (MARK + 1.5)


def _band(grid: _Grid, severity: str, likelihood: str) -> str:
    band, score = grid.matrix.band(severity, likelihood), grid.matrix.score(severity, likelihood)
    return say(band) if score is None else f"{say(band)} {score}"


def _squares(grid: _Grid, severity: str, likelihood: str, right: float, y: float) -> Drawn:
    """How bad the band is, without colour: as many filled squares as bands lie below it."""
    most = len(grid.matrix.bands) - 1
    rank = grid.matrix.rank(grid.matrix.band(severity, likelihood))
    parts = []
    for n in range(most):
        fill = svg.BLACK if n < rank else svg.WHITE
        x = right - (most - n) * (MARK + 1.5) + 1.5
        parts.append(svg.rect(x, y, MARK, MARK, fill=fill, stroke_width=0.6))
    return Drawn(svg.joined(parts))


def _counts(counts: tuple[int, int], x: float, y: float) -> list[Drawn]:
    """Before, over a stroke; after, in a ring. None stays blank."""
    before, after = counts
    parts = []
    if before:
        parts.append(_stroked(str(before), x + 2, y))
    if after:
        parts.append(_ringed(str(after), x + 42, y))
    return parts


def _stroked(text: str, x: float, y: float) -> Drawn:
    said = svg.words(x, y, text, "SemiBold")
    under = svg.line(x, y + 3.2, x + width(text, SIZE, "SemiBold"), y + 3.2, stroke_width=1.2)
    return Drawn(svg.joined([said.markup, under]), said.boxes)


def _ringed(text: str, x: float, y: float) -> Drawn:
    said = svg.words(x, y, text, "SemiBold")
    (box,) = said.boxes
    wide = max(box.right - box.left + 8, 15.0)
    middle = (box.left + box.right) / 2
    ring = svg.rect(middle - wide / 2, box.top - 2.2, wide, 13, rx=6.5, stroke_width=1.1)
    return Drawn(svg.joined([ring, said.markup]), said.boxes)


def _key(grid: _Grid, y: float) -> tuple[list[Drawn], float]:
    """What the two forms of number and the squares stand for."""
    steps = say(
        "steps of the band above {least}, of {most}",
        least=say(grid.matrix.bands[0]),
        most=len(grid.matrix.bands) - 1,
    )
    entries = (
        (_stroked, say("hazards before controls")),
        (_ringed, say("hazards after controls")),
        (_square, steps),
    )
    parts: list[Drawn] = []
    x = 8.0
    for sample, text in entries:
        if x > 8 and x + 16 + width(text, SIZE) > svg.PAGE_WIDTH:
            x, y = 8.0, y + LEADING + 6
        parts += [sample("0", x, y), svg.words(x + 16, y, text)]
        x += 16 + width(text, SIZE) + 22
    return parts, y + 6


def _square(_text: str, x: float, y: float) -> Drawn:
    return Drawn(svg.rect(x + 2, y - 5.5, MARK, MARK, fill=svg.BLACK, stroke_width=0.6))


def _text(grid: _Grid) -> str:
    said = [say("A number over a stroke counts before controls, one in a ring after them.")]
    if any(grid.unrated):
        before, after = grid.unrated
        said.append(
            say(
                "Not rated, so in no cell: {before} before, {after} after.",
                before=before,
                after=after,
            )
        )
    return " ".join(said)


def _cells(grid: _Grid) -> str:
    """The matrix in words, cell by cell, for those who do not see it."""
    return " ".join(
        say(
            "Likelihood {likelihood}, severity {severity}: {band}, {before} before, {after} after.",
            likelihood=_level(level),
            severity=_level(severity),
            band=_band(grid, severity.key, level.key),
            before=grid.counts.get((severity.key, level.key), (0, 0))[0],
            after=grid.counts.get((severity.key, level.key), (0, 0))[1],
        )
        for level in grid.matrix.likelihoods
        for severity in grid.matrix.severities
    )
