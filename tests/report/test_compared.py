"""The comparison as a document: what a buyer reads, and that it prints."""

from __future__ import annotations

import dataclasses
import math
import re

import pytest
from report.made import DAYS, JOBS

from riskdoc.job.reading import read
from riskdoc.judgement.assess import assess
from riskdoc.mitigation.compare import Comparison, compare, ways_of
from riskdoc.quantities.ranges import Range
from riskdoc.report.blocks import Table
from riskdoc.report.compared import build_comparison
from riskdoc.report.html import to_html
from riskdoc.report.sidebyside import CHART_STEP, CHART_WIDE, chart


@pytest.fixture(scope="module")
def three_ropes() -> Comparison:
    file = read(JOBS / "lighthouse.yaml", DAYS["lighthouse"]).file
    assert file is not None
    others = {name: assess(each) for name, each in file.alternatives.items()}
    return compare(ways_of(assess(file), others))


def test_every_plan_stands_with_status_stops_and_kit(three_ropes):
    view = build_comparison(three_ropes)
    plans = next(b for b in view.sections[0].blocks if isinstance(b, Table))

    assert [row.head.text for row in plans.rows] == ["as written", "green", "sand"]
    # Ropes of 60 m at 66 and 75 g/m, descender 560 g, back-up 425 g: 9.445 kg, rounded up.
    assert plans.rows[0].cells[2].text.strip() == "9.45"
    assert "No plan meets all checks" in view.sentence


def test_each_figure_that_differs_has_a_chart_with_a_bar_for_every_plan(three_ropes):
    view = build_comparison(three_ropes)
    figures = next(b for b in view.sections[1].blocks if isinstance(b, Table))

    assert len(figures.rows) >= 4
    for row in figures.rows:
        mark = str(row.cells[-1].mark)
        assert mark.count("<rect") == 3, row.head.text
        assert len(row.cells) == 1 + 3 + 1


@pytest.mark.parametrize("count", [1, 2, 4])
def test_bars_stay_in_the_chart_and_in_order(count):
    ranges = [Range(n, n + 1, n + 2) for n in range(count)]
    mark = str(chart(ranges, 3.0))
    lefts = [float(x) for x in re.findall(r'<rect x="([0-9.]+)"', mark)]
    tops = [float(y) for y in re.findall(r'<rect x="[0-9.]+" y="([0-9.]+)"', mark)]

    assert lefts == sorted(lefts)
    assert tops == [3 + n * CHART_STEP for n in range(count)]
    assert all(0 <= x <= CHART_WIDE for x in lefts)


def test_what_cannot_be_printed_in_a_comparison_is_said(three_ropes):
    strange = [dataclasses.replace(way, name=f"{way.name} \U0001f600") for way in three_ropes.ways]
    view = build_comparison(compare(tuple(strange)))

    assert any("U+1F600" in note for note in view.notes)


def test_a_ratio_without_end_is_no_number_in_a_comparison(three_ropes):
    plan = three_ropes.ways[0].plan
    check = next(each for each in plan.checks if each.ratio is not None)
    endless = dataclasses.replace(check, ratio=Range(math.inf, math.inf, math.inf))
    others = tuple(endless if each is check else each for each in plan.checks)
    way = dataclasses.replace(three_ropes.ways[0], name="other",
                              plan=dataclasses.replace(plan, checks=others))  # fmt: skip
    page = to_html(build_comparison(compare((way, three_ropes.ways[1]))), for_print=False)

    assert " inf " not in page
    assert ">inf" not in page


def test_a_chart_of_nothing_is_nothing():
    assert str(chart([None, None], None)) == ""


def test_widths_add_up_and_the_page_needs_nothing_else(three_ropes):
    view = build_comparison(three_ropes)
    for section in view.sections:
        for block in section.blocks:
            if isinstance(block, Table):
                shares = [float(column.width.rstrip("%")) for column in block.columns]
                assert sum(shares) == pytest.approx(100)
    page = to_html(view, for_print=False)

    assert "decides nothing by itself" in page
    assert not re.search(r"(src|href)=\"(?!#|data:)", page)
