"""Printed numbers: units, the unsafe side, the column."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riskdoc.quantities.printing import amount, number, span, three, unit_of
from riskdoc.quantities.ranges import Range
from riskdoc.report.blocks import Table
from riskdoc.report.number_format import NOT_DEMONSTRATED, aligned, side_of

NUMBERS = st.floats(min_value=1e-6, max_value=1e9, allow_nan=False)


@given(NUMBERS)
def test_a_demand_is_never_printed_smaller_nor_a_capacity_greater(value):
    unit = unit_of("1")
    assert float(number(value, unit, "up")) >= value * (1 - 1e-11)
    assert float(number(value, unit, "down")) <= value * (1 + 1e-11)


@pytest.mark.parametrize(
    ("value", "si", "toward", "printed"),
    [
        (2015.97, "N", "up", "2.02 kN"),
        (659.74, "N", "up", "0.660 kN"),
        (9.9999, "1", "down", "9.99"),
        (0.66, "kg/m", "up", "660 g/m"),
        (math.pi / 2, "rad", "up", "90.0°"),
        (26.65, "K", "up", "26.7 K"),
        (0.0190071, "m^3", "up", "19.1 L"),
        (45895.12, "J", "up", "45.9 kJ"),
        (2.0673, "m/s", "up", "2.07 m/s"),
        (-2.0, "m", "up", "−2.00 m"),
        (2e-5, "1", "up", "0.001"),
        (0.0, "1", "up", "0"),
        (math.inf, "1", "down", "∞"),
        (math.nan, "N", "up", f"{NOT_DEMONSTRATED} kN"),
    ],
)
def test_amounts_as_printed(value, si, toward, printed):
    assert amount(value, si, toward) == printed


@pytest.mark.parametrize(
    ("id", "side"),
    [
        ("line/a/tension/load/hold", "up"),
        ("line/a/tension/edge:strength:below/hold", "up"),
        ("line/a/edge/covered/exposure", "up"),
        ("line/a/margin/rated", "down"),
        ("line/a/strength", "down"),
        ("line/a/strength/edge:lip", "down"),
        ("line/a/edge/lip/covered", "down"),
        ("line/a/edge/strength/exposure/sideways", "up"),
        ("line/a/fall/effective_length", "down"),
        ("line/a/fall/peak", "up"),
        ("line/a/fall/slip", "up"),
        ("line/a/clearance/needed", "up"),
        ("line/a/clearance/available", "down"),
        ("line/a/haul/advantage", "down"),
        ("line/a/haul/effort", "up"),
        ("line/a/haul/jam", "up"),
        ("rope/a/packed_volume", "up"),
        ("anchor/strength/force/a", "up"),
        ("anchor/a/leg/1/covered/hold", "up"),
    ],
)
def test_the_side_of_a_figure(id, side):
    assert side_of(id) == side


def test_points_stand_in_line():
    padded = aligned(("12.5", "3.125", "200", NOT_DEMONSTRATED, "–", "≥ 2.00"))
    ends = [
        len(t) - (t.index(".") if "." in t else t.index("\u2008"))
        for t in padded
        if any(char.isdigit() for char in t)
    ]
    assert len(set(ends)) == 1


def test_a_range_of_one_value_is_one_number():
    assert span(Range(1, 1, 1), "m", "up") == "1.00 m"
    assert three(Range(1, 2, 3), "m", "up") == ("1.00", "2.00", "3.00")


def test_every_number_has_its_unit(made):
    """A column of numbers names its unit in the heading, or the row has one, or it is a ratio."""
    free = {
        "Ratio, low",
        "Ratio, expected",
        "Ratio, high",
        "Ratio required",
        "Times cited",
        "Required",
        "Worst case",
    }
    for section in made.view.sections:
        for block in section.blocks:
            if not isinstance(block, Table):
                continue
            titles = [column.title for column in block.columns]
            for column in block.columns:
                if "number" in column.css and column.title not in free:
                    assert "Unit" in titles or ", kN" in column.title or "sweeps" in block.caption
