"""The drawn matrix: counts as the register has them, words and marks as the matrix has them."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from report.drawn import Shape, Text, assert_readable, shapes, texts
from report.made import assessed, drawn_of, made_of, raw
from report.test_sections import said, section

from riskdoc.hazards.matrices import matrix
from riskdoc.hazards.rated import Register
from riskdoc.report import matrixview
from riskdoc.report.facts import facts_of
from riskdoc.report.svg import BLACK, Drawing
from riskdoc.report.view import build

MATRICES = ("mil-std-882e", "npsa-2008")


def cells(drawing: Drawing) -> dict[tuple[int, int], Shape]:
    """The big rectangles, by row and column."""
    found = [
        each
        for each in shapes(drawing)
        if each.name == "rect" and "rx" not in each.attributes and high(each) > 20
    ]
    tops = sorted({each.points[0][1] for each in found})
    lefts = sorted({each.points[0][0] for each in found})
    return {(tops.index(e.points[0][1]), lefts.index(e.points[0][0])): e for e in found}


def high(shape: Shape) -> float:
    return shape.points[2][1] - shape.points[0][1]


def within(shape: Shape, x: float, y: float) -> bool:
    (left, top), _, (right, bottom), *_ = shape.points
    return left < x < right and top < y < bottom


def read(drawing: Drawing, cell: Shape) -> tuple[str, int, int]:
    """What a cell says: its words, the number over a stroke and the number in a ring."""
    inner = [t for t in texts(drawing) if within(cell, t.box.left, t.box.top)]
    rings = [s for s in shapes(drawing) if "rx" in s.attributes]
    strokes = [s for s in shapes(drawing) if s.name == "line"]
    before = after = 0
    words = []
    for text in inner:
        middle = ((text.box.left + text.box.right) / 2, (text.box.top + text.box.bottom) / 2)
        if any(within(ring, *middle) for ring in rings):
            after = int(text.said)
        elif any(under(stroke, text) for stroke in strokes):
            before = int(text.said)
        else:
            words.append(text.said)
    return " ".join(words), before, after


def under(stroke: Shape, text: Text) -> bool:
    (x1, y), (x2, _) = stroke.points
    return 0 < y - text.box.bottom < 4 and x1 < (text.box.left + text.box.right) / 2 < x2


def counted(register: Register) -> tuple[Counter[tuple[str, str]], Counter[tuple[str, str]]]:
    """Hazards by severity and likelihood, counted here from the hazards themselves."""
    before = [h.before for h in register.hazards if h.before]
    after = [h.after for h in register.hazards if h.after]
    return (
        Counter((each.severity, each.likelihood) for each in before),
        Counter((each.severity, each.likelihood) for each in after),
    )


@pytest.mark.parametrize("name", MATRICES)
def test_every_cell_has_its_word_and_both_counts(name):
    job = raw("lighthouse")
    job["job"]["matrix"] = name
    dossier = assessed(job)
    register = dossier.register
    drawing = matrixview.matrix_view(facts_of(dossier))
    assert drawing is not None
    before, after = counted(register)
    assert sum(before.values()) > 20
    assert before != after
    grid, found = matrix(name), cells(drawing)
    assert len(found) == len(grid.severities) * len(grid.likelihoods)
    for row, likelihood in enumerate(grid.likelihoods):
        for column, severity in enumerate(grid.severities):
            key = (severity.key, likelihood.key)
            score = grid.score(*key)
            word = grid.band(*key) if score is None else f"{grid.band(*key)} {score}"
            assert read(drawing, found[row, column]) == (word, before[key], after[key])
    assert_readable(drawing)


@pytest.mark.parametrize("name", MATRICES)
def test_as_many_squares_are_filled_as_bands_lie_below(name):
    grid = matrix(name)
    drawing = matrixview.drawn(Register(grid, (), (), ()), grid)
    squares = [s for s in shapes(drawing) if s.name == "rect" and high(s) < 6]
    for (row, column), cell in cells(drawing).items():
        key = (grid.severities[column].key, grid.likelihoods[row].key)
        own = [s for s in squares if within(cell, *s.points[0])]
        assert len(own) == len(grid.bands) - 1
        assert sum(s.fill == BLACK for s in own) == grid.bands.index(grid.band(*key))


def test_counts_of_any_size_fit_and_hazards_not_rated_are_said():
    register = made_of("lighthouse").dossier.register
    grid = register.matrix
    assert grid is not None
    first = register.hazards[0]
    many = (first,) * 888 + (replace(first, before=None, after=None),) * 3
    drawing = matrixview.drawn(replace(register, hazards=many), grid)
    assert_readable(drawing)
    assert [t.said for t in texts(drawing)].count("888") == 2
    assert "Not rated, so in no cell: 3 before, 3 after." in drawing.text


def test_both_axes_are_named():
    drawing = matrixview.matrix_view(facts_of(drawn_of("gorge")))
    assert drawing is not None
    assert {"Severity", "Likelihood"} <= {each.said for each in texts(drawing)}


def test_without_a_matrix_a_line_says_so():
    job = raw("lighthouse")
    job["job"]["matrix"] = "none"
    dossier = assessed(job)
    assert matrixview.matrix_view(facts_of(dossier)) is None
    view = build(dossier)
    assert "No matrix was chosen in the job" in said(view, "hazards")
    assert not [b for b in section(view, "hazards").blocks if hasattr(b, "markup")]
