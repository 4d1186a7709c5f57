"""Corners are the true extremes, and what the ranges say is what the equations say."""

from __future__ import annotations

import itertools
import random
import re
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.plan import PAD, ROLLER, as_json, figure, over_edges

from riskdoc.quantities.intervals import (
    MAX_AXES,
    TooManyRangesError,
    combine,
    exact,
    greatest,
    least,
    product,
    total,
)
from riskdoc.quantities.intervals import given as known
from riskdoc.quantities.ranges import Input, Range


def number(id: str, low: float, expected: float, high: float) -> Any:
    return known(Input(id, id, id, Range(low, expected, high), "1", "", "", "stated", ""))


THREE = st.tuples(*[st.floats(0.1, 10)] * 3).map(sorted)


@given(THREE, THREE, st.floats(0, 1), st.floats(0, 1))
def test_no_interior_point_lies_outside_the_corners(a, b, s, t):
    first, second = number("a", *a), number("b", *b)
    x, y = a[0] + s * (a[2] - a[0]), b[0] + t * (b[2] - b[0])
    for function in (lambda p, q: p * q, lambda p, q: p / q, lambda p, q: p**q):
        found = combine(function, first, second).range
        assert found.low * (1 - 1e-9) <= function(x, y) <= found.high * (1 + 1e-9)


@given(THREE)
def test_a_number_shared_is_not_counted_twice(a):
    """x / x is 1 at every corner, however wide x ranges."""
    x = number("x", *a)

    assert combine(lambda p, q: p / q, x, x).range == Range(1.0, 1.0, 1.0)


@given(THREE, THREE, THREE)
def test_corners_agree_with_trying_all_of_them(a, b, c):
    numbers = [number(name, *each) for name, each in zip("abc", (a, b, c), strict=True)]
    found = total(product(numbers[0], numbers[1]), product(numbers[1], numbers[2])).range
    tried = [x * y + y * z for x, y, z in itertools.product(*((e[0], e[2]) for e in (a, b, c)))]

    assert found.low == pytest.approx(min(tried))
    assert found.high == pytest.approx(max(tried))
    assert found.expected == pytest.approx(a[1] * b[1] + b[1] * c[1])


@given(THREE, THREE)
def test_one_input_alone_moves_the_result_as_it_should(a, b):
    found = product(number("a", *a), number("b", *b))
    alone = {each.input: each for each in found.sensitivities()}

    if "a" in alone:
        assert alone["a"].at_low == pytest.approx(a[0] * b[1])
        assert alone["a"].at_high == pytest.approx(a[2] * b[1])


def test_least_and_greatest_work_corner_by_corner():
    a, b = number("a", 1, 2, 5), number("b", 2, 3, 4)

    assert least(a, b).range == Range(1, 2, 4)
    assert greatest(a, b).range == Range(2, 3, 5)


def test_least_of_very_many_ranges_keeps_the_end_that_is_judged():
    """Past the number of corners that can be tried, the low end of the least stays exact."""
    parts = [[number(f"n{i}{k}", 1 + i, 2 + i, 3 + i) for k in range(9)] for i in range(3)]
    sums = [total(*each) for each in parts]
    found = least(*sums).range

    assert (found.low, found.expected) == (9, 18)
    assert found.high >= 27
    assert greatest(*sums).range.high == 45


def test_too_many_ranges_are_refused_by_name():
    numbers = [number(f"n{i}", 1, 2, 3) for i in range(MAX_AXES + 1)]

    with pytest.raises(TooManyRangesError, match="n0"):
        total(*numbers)


def test_a_plain_number_has_no_axis():
    assert exact(3).range == Range(3, 3, 3)
    assert product(exact(3), number("a", 1, 2, 3)).axes == ("a",)


RANGED = {
    "mass": (("loads", "worker", "mass"), 70, 95, "kg"),
    "radius": (("edges", "edge_working", "radius"), 4, 12, "mm"),
    "turn": (("edges", "edge_working", "turn"), 60, 95, "deg"),
    "friction": (("edges", "edge_working", "friction"), 0.3, 0.55, ""),
    "reach": (("sites", "wall", "reach_sideways"), 0.5, 2.5, "m"),
    "width": (("protection", "at_working", "width"), 300, 900, "mm"),
}
"""Inputs of a whole job that range together, with where they stand."""

WATCHED = (
    "line/working/tension/anchor/raise",
    "line/working/tension/anchor/lower",
    "line/working/edge/edge_working/sweep",
    "line/working/edge/edge_working/exposure",
)
MARGINS = ("line/working/margin/rated", "line/working/margin/derated")
"""Margins take friction at its bad end on purpose, so only their low end is an extreme."""


def written(values: dict[str, str]) -> dict[str, Any]:
    change: dict[str, Any] = {}
    for name, text in values.items():
        *path, last = RANGED[name][0]
        place = change
        for key in path:
            place = place.setdefault(key, {})
        place[last] = text
    return change


HAUL = {"stages": [{"strands": "3", "ends": "moving"}], "haulers": "1"}
"""What the line is raised with: the derated margin asks what a jammed haul puts into it."""


def ranged_plan() -> dict[str, Any]:
    plan = over_edges(protector=PAD, passes="4")
    plan["lines"]["working"] |= {"cases": ["lower", "raise"], "haul": HAUL}
    return plan


def test_corners_of_a_whole_job_hold_every_interior_job():
    """Jobs drawn at random inside six ranges at once: no figure leaves the range of the ranged
    job. The defaults range as well, on their own corners, in both."""
    texts = {n: f"{low} to {high} {unit}".strip() for n, (_, low, high, unit) in RANGED.items()}
    whole = as_json(ranged_plan(), written(texts))
    spans = {id: figure(whole, id) for id in WATCHED}
    draw = random.Random(20270601)
    for _ in range(40):
        one = {
            n: f"{draw.uniform(low, high):.9f} {unit}".strip()
            for n, (_, low, high, unit) in RANGED.items()
        }
        found = as_json(ranged_plan(), written(one))
        for id, span in spans.items():
            inside = figure(found, id)
            assert span["low"] <= inside["low"] * (1 + 1e-9), (id, one)
            assert inside["high"] <= span["high"] * (1 + 1e-9), (id, one)
        for id in MARGINS:
            low = figure(found, id)["low"]
            assert figure(whole, id)["low"] <= low * (1 + 1e-9), (id, one)


def test_corners_of_a_whole_job_are_reached():
    """Some job at the ends of the ranges gives each extreme: the ranges are not merely wide."""
    texts = {n: f"{low} to {high} {unit}".strip() for n, (_, low, high, unit) in RANGED.items()}
    whole = as_json(ranged_plan(), written(texts))
    lows, highs = (
        dict.fromkeys(WATCHED + MARGINS, np.inf),
        dict.fromkeys(WATCHED + MARGINS, -np.inf),
    )
    for ends in itertools.product((1, 2), repeat=len(RANGED)):
        one = {
            n: f"{RANGED[n][end]} {RANGED[n][3]}".strip()
            for n, end in zip(RANGED, ends, strict=True)
        }
        found = as_json(ranged_plan(), written(one))
        for id in lows:
            lows[id] = min(lows[id], figure(found, id)["low"])
        for id in WATCHED:
            highs[id] = max(highs[id], figure(found, id)["high"])
    for id, low in lows.items():
        assert figure(whole, id)["low"] == pytest.approx(low)
    for id in WATCHED:
        assert figure(whole, id)["high"] == pytest.approx(highs[id])


def test_friction_in_raising_and_lowering_need_not_be_the_same():
    """Two edges, raised and lowered: the exposure's low end lies under every single friction."""
    plan = over_edges(passes="4")
    plan["lines"]["working"]["cases"] = ["lower", "raise"]
    plan["edges"]["far"] = dict(plan["edges"]["edge_working"], radius="20 mm")
    plan["lines"]["working"]["over"].append({"edge": "far", "after": "2 m"})
    plan["sites"] = {"wall": {"reach_sideways": "1 m"}}
    id = "line/working/edge/edge_working/exposure"

    def at(friction: str) -> dict[str, Any]:
        both = {e: {"friction": friction} for e in ("edge_working", "far")}
        return figure(as_json(plan, {"edges": both}), id)

    whole = at("0.2 to 0.6")
    for mu in np.linspace(0.2, 0.6, 9):
        inside = at(f"{mu:.3f}")
        assert whole["low"] <= inside["low"] * (1 + 1e-9)
        assert inside["high"] <= whole["high"] * (1 + 1e-9)


EXPOSURE = "line/working/edge/edge_working/exposure"


@pytest.mark.parametrize(
    ("path", "values", "unit"),
    [
        (("loads", "worker", "mass"), (60, 80, 100, 140), "kg"),
        (("sites", "wall", "reach_sideways"), (0, 0.5, 1, 2, 4), "m"),
        (("lines", "working", "passes"), (0, 1, 4, 20), ""),
        (("lines", "working", "below"), (22, 18, 12, 6), "m"),
        (("edges", "edge_working", "radius"), (80, 30, 12, 6, 3, 1, 0.5), "mm"),
        (("ropes", "main", "diameter"), (14, 12, 11, 10), "mm"),
        (("protection", "at_working", "width"), (900, 500, 200, 50), "mm"),
        (("protection", "at_working", "credit"), (0.9, 0.7, 0.4, 0), ""),
    ],
    ids=lambda v: ".".join(v) if isinstance(v, tuple) and isinstance(v[0], str) else None,
)
def test_exposure_never_falls_when_the_plan_gets_worse(path, values, unit):
    """More load, reach, passes; less rope below, radius, thickness, protection: never less wear."""
    plan = over_edges(protector=PAD, passes="4")
    plan["sites"] = {"wall": {"reach_sideways": "2 m"}}
    if path[-1] == "below":  # less rope below is also less to climb, which is another matter
        plan["lines"]["working"]["cases"] = ["descend"]
    found = []
    for value in values:
        change: dict[str, Any] = {}
        place = change
        for key in path[:-1]:
            place = place.setdefault(key, {})
        place[path[-1]] = f"{value} {unit}".strip()
        span = figure(as_json(plan, change), EXPOSURE)
        found.append((span["low"], span["expected"], span["high"]))

    for before, after in itertools.pairwise(found):
        assert all(b <= a * (1 + 1e-9) for b, a in zip(before, after, strict=True)), found
    assert found[0][1] < found[-1][1]


@pytest.mark.parametrize("case", ["ascend", "lower", "raise"])
def test_a_sharper_edge_never_wears_less_along_the_rope(case):
    """No sideways movement at all: what is left is sawing or running."""
    found = []
    for radius in ("100 mm", "40 mm", "15 mm", "8 mm", "4 mm", "2 mm", "0.5 mm"):
        plan = over_edges()
        plan["edges"]["edge_working"]["radius"] = radius
        plan["lines"]["working"]["cases"] = [case]
        found.append(figure(as_json(plan), EXPOSURE)["expected"])

    assert all(b <= a * (1 + 1e-9) for b, a in itertools.pairwise(found)), found
    assert found[0] < found[-1]


def test_two_strands_stand_four_to_eight_times_the_abrasion_of_one():
    """Common practice: 4 to 8 times under the same load, and exactly that at the ends of n.

    Seen on the stated equation with equal strands, which is where the trade's figure belongs;
    uneven strands (the high end of the share) gain less, and the report prints that too.
    """
    plan = over_edges(passes="4")
    plan["sites"] = {"wall": {"reach_sideways": "1 m"}}
    plan["lines"]["working"]["cases"] = ["hold", "descend"]
    two = {"lines": {"working": {"strands": "2"}}}
    name = f"{EXPOSURE}/sideways/hold"
    one_strand, two_strands = (figure(as_json(plan, c), name) for c in ({}, two))
    decides = [
        {each["input"]: each for each in data["decides"]} for data in (one_strand, two_strands)
    ]
    n = "abrasion/n/value"

    assert decides[0][n]["at_low"] / decides[1][n]["at_low"] == pytest.approx(4)
    assert decides[0][n]["at_high"] / decides[1][n]["at_high"] == pytest.approx(8)
    assert 4 < one_strand["expected"] / two_strands["expected"] < 8


def test_swapping_the_legs_of_an_anchor_swaps_its_forces():
    def forces(a: str, b: str) -> list[float]:
        legs = [{"strength": "30 kN", "evidence": "tested", "angle": x} for x in (a, b)]
        data = as_json({"anchors": {"one": {"legs": legs, "equalised": "fixed"}}})
        return [figure(data, f"anchor/one/leg/{n}/working/hold")["expected"] for n in (1, 2)]

    assert forces("15 deg", "40 deg") == pytest.approx(forces("40 deg", "15 deg")[::-1])


def test_a_line_without_an_edge_has_one_tension_everywhere():
    data = as_json()
    for case in ("hold", "descend", "ascend"):
        top, bottom = (figure(data, f"line/working/tension/{p}/{case}") for p in ("anchor", "load"))
        assert top["high"] == bottom["high"]
        assert top["low"] == bottom["low"]


def test_an_edge_can_be_crossed_in_two_turns_of_half_the_angle():
    """Angles in series add: two edges of 40° do what one of 80° does."""
    once = over_edges()
    once["lines"]["working"]["cases"] = ["raise"]
    twice = over_edges()
    twice["lines"]["working"]["cases"] = ["raise"]
    twice["edges"]["edge_working"]["turn"] = "40 deg"
    twice["edges"]["far"] = dict(twice["edges"]["edge_working"])
    twice["lines"]["working"]["over"].append({"edge": "far", "after": "1 m"})
    id = "line/working/tension/anchor/raise"

    assert figure(as_json(once), id)["high"] == pytest.approx(figure(as_json(twice), id)["high"])


def test_checks_take_no_friction_relief_beyond_the_low_end():
    """Lowering over an edge: the anchor's check uses less relief than is expected."""
    plan = over_edges()
    plan["lines"]["working"]["cases"] = ["lower"]
    data = as_json(plan)
    expected = figure(data, "line/working/tension/anchor/lower")["expected"]

    assert figure(data, "anchor/one/force/working")["expected"] > expected


def test_side_guards_end_the_sweep_at_their_width():
    plan = over_edges(protector=ROLLER, passes="4")
    plan["sites"] = {"wall": {"reach_sideways": "2.2 m"}}
    data = as_json(plan)

    assert figure(data, "line/working/edge/edge_working/sweep")["high"] == pytest.approx(0.3)
    assert figure(data, "line/working/edge/edge_working/covered")["low"] == 1


def test_not_demonstrated_says_which_key_to_add():
    """Each missing number is named, and nothing that hangs on it passes."""
    plan = over_edges(passes="4")
    cases = {
        "ropes.main.strength": {"ropes": {"main": {"strength": None}}},
        "ropes.second.stretch": {"ropes": {"second": {"stretch": None}}},
        "lines.safety.fall": {"lines": {"safety": {"fall": None}}},
        "sites.wall.reach_sideways": {"sites": {"wall": {"reach_sideways": None}}},
        "lines.working.passes": {
            "lines": {"working": {"passes": None}},
            "sites": {"wall": {"reach_sideways": "1 m"}},
        },
        "anchors.one.legs[1].strength": {"anchors": {"one": {"legs": [{"evidence": "tested"}]}}},
    }
    for key, change in cases.items():
        data = as_json(plan, change)
        named = [c for c in data["checks"] if key in c["missing"]]
        assert named, key
        assert all(c["verdict"] == "not demonstrated" for c in named)
        assert all(re.search(re.escape(key), c["reason"]) for c in named)
