"""The drawing of an exposure: scale, shares, range, bands, protections, black and white."""

from __future__ import annotations

import itertools
import math

import pytest
from report.drawn import Shape, assert_readable, shapes, texts
from report.made import LONG, drawn_of

from riskdoc.quantities.ranges import Range
from riskdoc.report import exposure_page as exposed
from riskdoc.report.abrasion import BANDS, word
from riskdoc.report.exposure_page import LEFT, RIGHT, Axis, Part, Row, axis_for
from riskdoc.report.facts import facts_of
from riskdoc.report.hatch import FILLS, hatched
from riskdoc.report.svg import Drawing

DECADES = RIGHT - LEFT


def drawn(rows: list[Row], limit: float | None = 1.0) -> Drawing:
    return exposed.drawn(rows, limit, "exposure-1-1", "Exposure")


def row(
    low: float, expected: float, high: float, *amounts: float, name: str = "As planned, rope creeps"
) -> Row:
    parts = tuple(
        Part(n, f"movement {n}", amount, fill)
        for n, (amount, fill) in enumerate(zip(amounts, FILLS, strict=False), start=1)
    )
    return Row(name, Range(low, expected, high), parts)


def bars(drawing: Drawing) -> list[Shape]:
    """The outlines of bars: rectangles on the axis."""
    return [
        each
        for each in shapes(drawing)
        if each.name == "rect" and each.points[0][1] < 60 and each.points[0][0] >= LEFT - 0.01
    ]


def wide(shape: Shape) -> float:
    return shape.points[1][0] - shape.points[0][0]


def test_the_axis_is_logarithmic():
    axis = Axis(-2, 2)
    places = [axis.x(value) for value in (0.01, 0.1, 1.0, 10.0, 100.0)]
    assert places == pytest.approx([LEFT + DECADES * n / 4 for n in range(5)])
    assert axis.x(math.sqrt(10)) == pytest.approx(LEFT + DECADES * 2.5 / 4)
    assert (axis.x(0.0), axis.x(1e-9), axis.x(1e9), axis.x(math.inf)) == (LEFT, LEFT, RIGHT, RIGHT)


@pytest.mark.parametrize(
    ("expected", "high", "ends"),
    [(0.05, 20, (-2, 2)), (1e-4, 1e6, (-4, 6)), (0, 0, (-2, 1)), (0.5, math.inf, (-2, 1)),
     (1e-9, 1e9, (-4, 6)), (300, 2000, (-2, 4))],
)  # fmt: skip
def test_the_axis_holds_what_is_expected_and_the_high_end(expected, high, ends):
    axis = axis_for([Range(0, expected, high)])
    assert (axis.low, axis.high) == ends


def test_a_bar_ends_at_the_expected_value_and_is_divided_by_shares():
    # 1.0 on an axis from 0.01 to 10 is two thirds of it; 0.7 and 0.3 of that are the two parts.
    one, other = bars(drawn([row(0.1, 1.0, 9.0, 0.7, 0.3)]))
    assert wide(one) == pytest.approx(DECADES * 2 / 3 * 0.7, abs=0.02)
    assert wide(other) == pytest.approx(DECADES * 2 / 3 * 0.3, abs=0.02)
    assert one.points[0][0] == pytest.approx(LEFT)
    assert other.points[0][0] == pytest.approx(one.points[1][0], abs=0.02)


def test_the_thin_line_runs_from_low_to_high():
    drawing = drawn([row(0.1, 1.0, 5.0, 1.0)])
    axis = Axis(-2, 1)
    level = [
        each.points
        for each in shapes(drawing)
        if each.attributes.get("stroke-width") == "1.2" and each.points[0][1] == each.points[1][1]
    ]
    (one, other), *_ = level
    assert one[0] == pytest.approx(axis.x(0.1), abs=0.01)
    assert other[0] == pytest.approx(axis.x(5.0), abs=0.01)


def test_an_arrow_says_that_the_range_goes_on_beyond_the_axis():
    def arrows(drawing: Drawing) -> list[float]:
        tips = [
            e.points[0][0] for e in shapes(drawing) if e.name == "polyline" and e.fill != "none"
        ]
        return sorted(tips)

    assert arrows(drawn([row(0.1, 1.0, 5.0, 1.0)])) == []
    assert arrows(drawn([row(0.0, 1.0, 5.0, 1.0)])) == [LEFT - 5]
    assert arrows(drawn([row(0.0, 1.0, math.inf, 1.0)])) == [LEFT - 5, RIGHT + 5]


def test_the_dashed_stroke_stands_at_what_is_asked():
    dashed = [
        e.points[0][0]
        for e in shapes(drawn([row(0.1, 1.0, 5.0, 1.0)], limit=0.5))
        if "stroke-dasharray" in e.attributes
    ]
    # The first is the mark on the axis, the second its sample in the key.
    assert dashed[0] == pytest.approx(Axis(-2, 1).x(0.5), abs=0.01)
    assert len(dashed) == 2
    assert "asked: at most 0.500" in [t.said for t in texts(drawn([row(0, 1, 5)], limit=0.5))]
    none = [e for e in shapes(drawn([row(0, 1, 5)], None)) if "stroke-dasharray" in e.attributes]
    assert none == []


def test_each_word_stands_over_its_band():
    drawing = drawn([row(0.1, 1.0, 5.0, 1.0)])
    axis = Axis(-2, 1)
    ends = [axis.x(0.01), *(axis.x(end) for end, _ in BANDS), axis.x(10)]
    places = {t.said: (t.box.left + t.box.right) / 2 for t in texts(drawing)}
    for (low, high), value in zip(itertools.pairwise(ends), (0.05, 0.2, 0.7, 3), strict=True):
        assert low <= places[word(value)] <= high


@pytest.mark.parametrize("count", [1, 2, 8, 9, 30])
@pytest.mark.parametrize("expected", [0.0, 1e-4, 0.05, 20, 1e6, math.inf])
def test_any_number_of_movements_at_any_value_can_be_read(count, expected):
    amounts = [expected / count if math.isfinite(expected) else expected] * min(count, len(FILLS))
    rows = [row(0, expected, expected * 3 or 1, *amounts)]
    rows += [row(expected / 2, expected, expected * 2, name=f"{n} {LONG}") for n in range(5)]
    drawing = drawn(rows)
    assert_readable(drawing)
    said = [each.said for each in texts(drawing)]
    for n in range(1, len(amounts) + 1):
        assert any(each.startswith(f"{n} movement {n}: ") for each in said)


def test_more_movements_than_fills_become_one_part_together():
    facts = facts_of(drawn_of("gorge"))
    start = "line/main_line/edge/lip_west/exposure"
    whole = facts.figures[start]
    more = {
        f"{start}/sideways/{n}": type(whole)(
            **{
                **{k: getattr(whole, k) for k in whole.__slots__},
                "range": Range(1, n, 100),
                "band": None,
            }
        )
        for n in range(1, 13)
    }
    figures = {id: each for id, each in facts.figures.items() if not id.startswith(f"{start}/")}
    changed = type(facts)(
        facts.dossier, figures | more, facts.checks, facts.standing, facts.references
    )
    drawing = exposed.exposed(changed, "main_line", "lip_west")
    assert drawing is not None
    assert_readable(drawing)
    said = [each.said for each in texts(drawing)]
    # Twelve movements of 1 to 12: the seven greatest alone, then 1 + 2 + 3 + 4 + 5 together.
    assert "1 sideways (12): 12.0" in said
    assert "7 sideways (6): 6.00" in said
    assert "8 5 other movements: 15.0" in said


def test_fills_differ_without_colour_and_stay_in_their_rectangle():
    made = {name: str(hatched(name, 10, 20, 40, 8)) for name in FILLS}
    assert len(set(made.values())) == len(FILLS)
    for name, strokes in FILLS.items():
        for wide_, high in ((40, 8), (3, 8), (0.5, 8)):
            for x1, y1, x2, y2 in strokes(wide_, high):
                assert all(-1e-9 <= x <= wide_ + 1e-9 for x in (x1, x2)), name
                assert all(-1e-9 <= y <= high + 1e-9 for y in (y1, y2)), name


def test_the_plan_stands_first_and_each_protection_as_it_was_judged(made):
    facts = facts_of(made.dossier)
    seen = 0
    for line, it in facts.job.lines.items():
        for over in it.over:
            drawing = exposed.exposed(facts, line, over.edge)
            id = f"line/{line}/edge/{over.edge}/exposure"
            assert (drawing is None) == (id not in facts.figures)
            if drawing is None:
                continue
            said = [each.said for each in texts(drawing)]
            assert said.index("As planned, rope creeps") < 6 + len(BANDS)
            high = [
                effect.after.demand.high
                for buy in facts.study.results
                for effect in buy.effects
                if effect.id == id and effect.after and effect.after.demand
                and [c.kind for c in buy.changes] in (
                    [["roller"], ["rigid plate"], ["thick pad"], ["wider"]]
                )
                and f"edges.{over.edge}.protection" in buy.changes[0].parts
            ]  # fmt: skip
            thin = [
                each
                for each in shapes(drawing)
                if each.attributes.get("stroke-width") == "1.2"
                and each.points[0][1] == each.points[1][1]
            ]
            # The rope that creeps, the one that is held, each protector, and the sample in the key.
            assert len(thin) == 2 + len(high) + 1
            seen += len(high)
    assert seen or made.name in {"bare", "extreme"}
