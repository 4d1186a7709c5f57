"""Redirects as whole jobs: friction in every case, pull on the anchor, pivot and sweep, by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
from support.plan import as_json, figure, merged, over_edges

G = 9.80665  # standard gravity, CGPM 1901
RATIO = math.exp(0.2 * math.pi / 2)  # μ 0.2 over a right angle: 1.3691
SLIDE: dict[str, Any] = {"site": "wall", "surface": "granite", "radius": "500 mm", "turn": "90 deg"}


def redirected(after: str = "5 m", line: str = "working", **more: str) -> dict[str, Any]:
    each = {"anchor": "two", "turn": "90 deg", "after": after, "over": "connector",
            "friction": "0.2", **more}  # fmt: skip
    return {"lines": {line: {"redirects": [each]}}}


def thing(*cases: str, newtons: float = 1000) -> dict[str, Any]:
    mass = f"{newtons / G:.12g} kg"
    return {
        "loads": {"worker": {"people": "0", "mass": mass, "kit": "0 kg"}},
        "lines": {"working": {"cases": list(cases)}, "safety": {"cases": ["hold"]}},
    }


def expected(data: dict[str, Any], id: str) -> float:
    return float(figure(data, f"line/working/{id}")["expected"])


def test_a_redirect_loads_the_anchor_in_raising_and_relieves_it_in_lowering():
    """1000 N times 1.2, times and by e^(0.2 π/2): 1642.9 N and 876.5 N."""
    data = as_json(thing("raise", "lower"), redirected())

    assert expected(data, "tension/redirect:1:below/raise") == pytest.approx(1200)
    assert expected(data, "tension/anchor/raise") == pytest.approx(1642.9, abs=0.1)
    assert expected(data, "tension/anchor/lower") == pytest.approx(876.5, abs=0.1)


def test_the_pull_on_its_anchor_takes_the_greater_tension_on_both_sides():
    """2 · 1642.9 · sin 45° = 2323.4 N; the strands give √(1642.9² + 1200²) = 2034.5 N."""
    data = as_json(thing("raise"), redirected())

    assert expected(data, "redirect/1/force") == pytest.approx(2323.4, abs=0.1)
    assert math.hypot(1200 * RATIO, 1200) == pytest.approx(2034.5, abs=0.1)


def test_over_a_small_turn_with_much_friction_the_difference_of_the_strands_is_more():
    """4°, μ 0.9: 1200 N and 1277.8 N; √(77.82² + 4 · 1200 · 1277.8 sin² 2°) = 116.3 N > 89.2 N."""
    data = as_json(thing("raise"), redirected(turn="4 deg", friction="0.9"))

    assert expected(data, "redirect/1/force") == pytest.approx(116.3, abs=0.1)


def test_a_pulley_turned_by_a_right_angle_loses_seven_per_cent():
    """η 0.9 over half a turn is 1.0774 over a right angle, worked beside the equation."""
    pulley = redirected(over="pulley")
    del pulley["lines"]["working"]["redirects"][0]["friction"]
    data = as_json(thing("raise"), pulley)

    assert expected(data, "tension/anchor/raise") == pytest.approx(1200 * 1.0774, abs=0.1)


def test_a_connector_has_the_friction_of_polished_metal():
    """0.18 of the table of surfaces: 1200 · e^(0.18 π/2) = 1592.1 N."""
    connector = redirected()
    del connector["lines"]["working"]["redirects"][0]["friction"]
    data = as_json(thing("raise"), connector)

    assert expected(data, "tension/anchor/raise") == pytest.approx(1592.1, abs=0.1)


def test_the_team_hauls_against_it():
    """1642.9 N, less the dynamic factor of 1.2, through a 3:1 without friction: 456.4 N."""
    haul = {"stages": [{"strands": "3", "ends": "moving"}], "haulers": "4", "efficiency": "1"}
    plan = merged(redirected(), {"lines": {"working": {"haul": haul}}})

    assert expected(as_json(thing("raise"), plan), "haul/effort") == pytest.approx(456.4, abs=0.1)


def test_less_rope_stretches_in_a_fall():
    """15 m below it and 5 m above by 1.3691: 15 + 3.652 = 18.652 m of the 20 m."""
    data = as_json(redirected(line="safety"))

    found = figure(data, "line/safety/fall/effective_length")["expected"]
    assert found == pytest.approx(18.652, abs=0.001)


def test_a_fall_relieves_no_anchor_of_a_redirect():
    """Checks count no friction in an arrest: both strands take the peak, and a right angle √2."""
    data = as_json(redirected(line="safety"))
    peak = figure(data, "line/safety/fall/peak")["expected"]
    force = figure(data, "line/safety/redirect/1/force")["expected"]

    assert force == pytest.approx(math.sqrt(2) * peak)


def aside(**more: Any) -> dict[str, Any]:
    plan = over_edges(edge=SLIDE, after="5 m", passes="2")
    return merged(plan, {"sites": {"wall": {"reach_sideways": "2 m", **more}}})


def test_a_redirect_above_an_edge_is_its_sideways_fix():
    """x a/(a + d): 2 · 5/25 = 0.4 m from the anchor, 2 · 3/23 = 0.2609 m from a redirect at 2 m."""
    id = "edge/edge_working/crossing"
    free = as_json(aside())
    held = as_json(merged(aside(), redirected("2 m")))

    assert expected(free, id) == pytest.approx(0.4)
    assert expected(held, id) == pytest.approx(0.26087, abs=1e-5)


def test_a_redirect_below_an_edge_can_swing_and_takes_nothing_from_its_sweep():
    plan = merged(aside(), redirected("10 m"))

    assert expected(as_json(plan), "edge/edge_working/crossing") == pytest.approx(0.4)


def test_sawing_stretches_the_rope_up_to_the_anchor():
    """A redirect holds the rope sideways, not along itself: 0.4 · 961 N · 5 m is what it was."""
    id = "edge/edge_working/sawing/ascend"
    free, held = (expected(as_json(p), id) for p in (aside(), merged(aside(), redirected("2 m"))))

    assert held == free


def test_the_swing_turns_about_the_lowest_of_edges_and_redirects():
    """6 m below a redirect, 3 m aside: sin α = 1/2, 6 (1 − cos 30°) = 0.8038 m; v = √(2 g h)."""
    plan = merged(redirected("14 m"), {"sites": {"wall": {"reach_sideways": "3 m"}}})
    data = as_json(plan)

    assert expected(data, "swing/drop") == pytest.approx(0.80385, abs=1e-5)
    assert expected(data, "swing/speed") == pytest.approx(math.sqrt(2 * G * 0.80385), rel=1e-4)


def test_above_the_last_edge_a_redirect_is_no_pivot():
    plan = merged(aside(reach_sideways="3 m"), redirected("2 m"))

    # 20 m below the edge: 20 (1 − √(1 − 0.15²)) = 0.2263 m.
    assert expected(as_json(plan), "swing/drop") == pytest.approx(0.22628, abs=1e-5)


def test_the_wind_drives_the_load_aside_of_the_redirect():
    """x = d F/W with d from the lowest place: 6 m instead of 20 m."""
    blow = {"stop_at": "6 m/s", "measured_as": "mean", "height": "10 m", "source": "test"}
    windy = {"sites": {"wall": {"wind": blow}}}
    free, held = as_json(windy), as_json(windy, redirected("14 m"))

    assert expected(held, "wind/offset") == pytest.approx(expected(free, "wind/offset") * 6 / 20)


def test_the_rope_is_bent_over_what_it_runs_over():
    """A bar of 12 mm under 11 mm of rope: D/d 1.0909, 0.6 + 0.4 · 0.0909/3 = 0.6121 of 30 kN."""
    found = figure(as_json(redirected()), "line/working/strength/redirect:1")

    assert found["expected"] == pytest.approx(0.61212 * 30_000, rel=1e-4)
