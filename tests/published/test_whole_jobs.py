"""Published values through whole job files and `check --json`, and the worked case.

Expected values are the printed ones, with the source beside each. A figure printed for a mass and
a book's own g is reached with the mass that gives the same weight under standard gravity.
"""

from __future__ import annotations

from typing import Any

import pytest
from support.plan import as_json, both_ropes, check, figure, over_edges

G = 9.80665  # standard gravity, CGPM 1901
LBF = 4.4482216152605  # N, from the international pound and standard gravity


def load(newtons: float) -> dict[str, Any]:
    """A thing that weighs so much."""
    mass = f"{newtons / G:.12g} kg"
    hanging = {line: {"cases": ["hold"]} for line in ("working", "safety")}
    return {
        "loads": {"worker": {"people": "0", "mass": mass, "kit": "0 kg"}},
        "lines": hanging,
    }


def edge(friction: str, turn: str, case: str) -> dict[str, Any]:
    bare = {"site": "wall", "surface": "granite", "radius": "30 mm", "turn": turn}
    change = over_edges({**bare, "friction": friction})
    change["lines"]["working"]["cases"] = [case]
    return change


def tension(data: dict[str, Any], case: str, place: str = "anchor") -> dict[str, float]:
    return figure(data, f"line/working/tension/{place}/{case}")


def bridle(a: str, b: str) -> dict[str, Any]:
    leg = {"strength": "50 kN", "evidence": "tested", "length": "1 m"}
    legs = [{**leg, "angle": angle} for angle in (a, b)]
    return {"anchors": {"one": {"legs": legs, "equalised": "fixed"}}}


def legs(data: dict[str, Any], case: str = "hold") -> tuple[float, float]:
    one, two = (figure(data, f"anchor/one/leg/{n}/working/{case}")["expected"] for n in (1, 2))
    return one, two


def test_cap_8_raise_and_lower_over_a_square_edge():
    """Capstan law by hand: 100 kg, μ 0.3, 90°: raise 1571.0 N, lower 612.2 N (dynamic factor 1)."""
    hundred = {"loads": {"worker": {"people": "1", "mass": "100 kg", "kit": "0 kg"}}}
    raised = tension(as_json(hundred, edge("0.3", "90 deg", "raise")), "raise")
    lowered = tension(as_json(hundred, edge("0.3", "90 deg", "lower")), "lower")

    assert raised["low"] == pytest.approx(1571.0, rel=1e-3)
    assert lowered["low"] == pytest.approx(612.2, rel=1e-3)


def test_cap_2_rope_on_a_pole_as_two_edges():
    """Exercise 27 (rope friction), pickedshares.com: 100 kg, g 9.81, μ 0.2, 3π/2: 382.26 N.

    An edge turns at most 180°, so the three quarter turns are two edges of 135°: angles add.
    """
    plan = edge("0.2", "135 deg", "lower")
    plan["edges"]["second"] = dict(plan["edges"]["edge_working"])
    plan["lines"]["working"]["over"].append({"edge": "second", "after": "1 m"})
    data = as_json(load(100 * 9.81), plan)

    assert tension(data, "lower")["low"] == pytest.approx(382.26, abs=0.005)


def test_square_concrete_edge_doubles_the_force():
    """Common practice: a 90° edge with μ 0.44 doubles the force, within 1 %."""
    data = as_json(edge("0.44", "90 deg", "raise"))
    ratio = tension(data, "raise")["expected"] / tension(data, "raise", "load")["expected"]

    assert ratio == pytest.approx(2.0, rel=0.01)


def test_roller_costs_little():
    """Common practice: a roller at a square edge gives 1.0 to 1.2 times the force."""
    roller = {"kind": "roller set", "radius": "25 mm", "width": "300 mm", "tied": "true"}
    bare = {"site": "wall", "surface": "rough concrete", "radius": "10 mm", "turn": "90 deg"}
    plan = over_edges(bare, roller)
    plan["lines"]["working"]["cases"] = ["raise"]
    data = as_json(plan, {"loads": {"worker": {"people": "1", "mass": "80 kg", "kit": "0 kg"}}})
    found, weight = tension(data, "raise"), 80 * G

    assert found["low"] / weight == pytest.approx(1.0)
    assert found["high"] / (1.5 * weight) == pytest.approx(1.2)


@pytest.mark.parametrize(
    ("included", "share"), [(20, 0.5077), (60, 0.5774), (90, 0.7071), (120, 1.0), (150, 1.9319)]
)
def test_two_leg_table(included, share):
    """Two-leg table T/W, by hand from 1/(2 cos(α/2)), printed to 4 digits."""
    half = f"{included / 2:g} deg"
    one, two = legs(as_json(load(1000), bridle(half, half)))

    assert one / 1000 == pytest.approx(share, abs=5e-5)
    assert two / 1000 == pytest.approx(share, abs=5e-5)


def test_anc_6_unequal_legs():
    """OpenStax University Physics vol. 1 §6.1, 15.0 kg, g 9.80, wires at 30° and 45° above
    horizontal, that is 60° and 45° from the pull: 108 N and 132 N."""
    one, two = legs(as_json(load(15.0 * 9.80), bridle("60 deg", "45 deg")))

    assert one == pytest.approx(108, abs=0.5)
    assert two == pytest.approx(132, abs=0.5)


def test_anc_5_tightrope():
    """OpenStax University Physics vol. 1 §5.6: 70.0 kg, g 9.80, 5.0° below horizontal: 3930 N.

    The book rounds on the way (3935 exactly), hence half of its last but one digit.
    """
    one, two = legs(as_json(load(70.0 * 9.80), bridle("85 deg", "85 deg")))

    assert one == pytest.approx(3930, abs=6)
    assert two == pytest.approx(3930, abs=6)


def test_anc_13_steeper_leg_carries_more():
    """By hand: 15° and 45° from the pull: 0.8165 W and 0.2989 W."""
    one, two = legs(as_json(load(1000), bridle("15 deg", "45 deg")))

    assert one / 1000 == pytest.approx(0.8165, abs=5e-5)
    assert two / 1000 == pytest.approx(0.2989, abs=5e-5)


def test_fall_1_a_rope_of_known_stiffness_arrests_a_known_mass():
    """OpenStax University Physics vol. 1 §15.2 problem: 90.0 kg, g 9.80, 2.00 m of free fall onto
    a rope of k 1.40e4 N/m: 56.9 cm of stretch, so 7966 N by hand (the book rounds the stretch).

    The rope is 10 m of K = 1.40e5 N; its stretch is 100 kg · g / K.
    """
    stretch = f"{100 * 100 * G / 1.4e5:.12g} %"
    plan = {
        **both_ropes(stretch=stretch),
        "lines": {"safety": {"below": "10 m", "fall": {"free": "2.00 m"}}},
    }
    data = as_json(load(90.0 * 9.80), plan)
    peak = figure(data, "line/safety/fall/peak")["expected"]

    assert figure(data, "line/working/modulus")["expected"] == pytest.approx(1.4e5)
    assert peak / 1.4e4 == pytest.approx(0.569, abs=0.0005)


def test_fall_7_factor_zero_is_twice_the_weight():
    """Limit of the energy balance: no free fall gives 2 m g = 1961 N for 100 kg, for any rope."""
    plan = {
        "loads": {"worker": {"people": "1", "mass": "100 kg", "kit": "0 kg"}},
        "lines": {"safety": {"fall": {"free": "0 m"}}},
    }
    peak = figure(as_json(plan), "line/safety/fall/peak")["expected"]

    assert peak == pytest.approx(2 * 100 * G)


@pytest.mark.parametrize(
    ("percent", "peak"), [(2, 6440), (2.5, 5880), (3, 5470), (4, 4900), (5, 4520)]
)
def test_fall_8_low_stretch_rope(percent, peak):
    """By hand: K = 100 kg g/e; 100 kg at fall factor 0.3: 6.44 / 5.88 / 5.47 / 4.90 / 4.52 kN.

    That is the low end: up to the 6 kN of the standard's own test (EN 1891 type A: 100 kg, factor
    0.3) it may be any rope of the standard, and what is stiffer by its stretch stays stiffer.
    """
    plan = {
        "loads": {"worker": {"people": "1", "mass": "100 kg", "kit": "0 kg"}},
        **both_ropes(stretch=f"{percent} %"),
        "lines": {"safety": {"below": "10 m", "fall": {"free": "3 m"}}},
    }
    data = as_json(plan)

    assert figure(data, "line/safety/fall/factor")["expected"] == pytest.approx(0.3)
    found = figure(data, "line/safety/fall/peak")
    assert found["low"] == pytest.approx(peak, abs=5)
    assert found["expected"] == found["high"] == pytest.approx(max(peak, 6000), abs=5)


def test_str_1_modulus_from_static_stretch():
    """By definition of the stretch between 50 kg and 150 kg: 3 % is K = 32.69 kN."""
    data = as_json({"ropes": {"main": {"stretch": "3 %"}}})

    assert figure(data, "line/working/modulus")["expected"] == pytest.approx(32690, abs=5)


def test_knot_3_wet_and_named_knot_multiply():
    """Flory, Hearle, Goksoy 1990 (wet polyamide 0.80) and HSE CRR 364/2001 (figure-of-eight 0.66):
    30 kN leaves 15.84 kN."""
    plan = {
        "sites": {"wall": {"wet": "true"}},
        "lines": {"working": {"knots": {"counted": "by name"}}},
    }

    assert figure(as_json(plan), "line/working/strength")["expected"] == pytest.approx(15840)


def test_knot_2_the_least_station_governs():
    """Knots in series never multiply: figure-of-eight 0.66 and bowline 0.55 on 30 kN: 16.5 kN."""
    knots = {"anchor": "figure-of-eight", "load": "bowline", "counted": "by name"}
    data = as_json({"lines": {"working": {"knots": knots}}})

    assert figure(data, "line/working/strength")["expected"] == pytest.approx(16500)


def test_std_8_arrest_margin_of_a_12_kn_strength():
    """EN 795:2012: 12 kN against 6 kN is 2.0; a 24 kN rope under the half rule has it."""
    bowlines = {"lines": {"safety": {"knots": {"anchor": "bowline", "load": "bowline"}}}}
    data = as_json(both_ropes(strength="24 kN"), bowlines)

    assert figure(data, "line/safety/margin/arrest")["expected"] == pytest.approx(2.0)
    assert check(data, "line/safety/margin/arrest")["verdict"] == "adequate"


def test_std_7_ten_per_cent_of_the_breaking_strength():
    """Alberta OHS Code s. 292(1)(a): 2 kN of person needs 20 kN; just below is not enough."""
    heavy = {"loads": {"worker": {"people": "1", "mass": f"{2000 / G:.15g} kg", "kit": "0 kg"}}}
    enough = as_json(heavy, {"ropes": {"main": {"strength": "20.001 kN"}}})
    short = as_json(heavy, {"ropes": {"main": {"strength": "19.99 kN"}}})

    assert check(enough, "line/working/margin/rated")["verdict"] == "adequate"
    assert check(short, "line/working/margin/rated")["verdict"] == "inadequate"


def test_swp_1_crossing_point():
    """Geometry by hand: 5 m to the edge, 20 m below it, 4 m sideways: 0.80 m along the edge."""
    plan = over_edges(after="5 m", passes="1")
    data = as_json(plan, {"sites": {"wall": {"reach_sideways": "4 m"}}})

    assert figure(data, "line/working/edge/edge_working/crossing")["expected"] == pytest.approx(
        0.80
    )


def test_swp_3_anchor_at_the_edge_has_no_sweep():
    """Geometry: no rope between anchor and edge, no sweep."""
    plan = over_edges(after="0 m", passes="1")
    data = as_json(plan, {"sites": {"wall": {"reach_sideways": "4 m"}}})

    assert figure(data, "line/working/edge/edge_working/sweep")["high"] == 0


class TestWorkedCase:
    """The worked case of the definitions: 98 kg on one 10.5 mm strand, 2.6 m to a granite coping
    that turns the rope 80°, 14 m below it, μ 0.30 / 0.40 / 0.55, stretch 3.4 %, 2.2 m sideways.
    Its figures were worked by hand from the equations of the textbooks named there."""

    @staticmethod
    def plan(friction: str = "0.30 / 0.40 / 0.55", *cases: str, **line: Any) -> dict[str, Any]:
        coping = {"site": "wall", "surface": "granite", "radius": "4 mm", "turn": "80 deg",
                  "friction": friction}  # fmt: skip
        change = over_edges(coping, after="2.6 m", passes="6")
        change["sites"] = {"wall": {"reach_sideways": line.pop("reach", "2.2 m")}}
        change |= both_ropes(diameter="10.5 mm", stretch="3.4 %")
        for each in ("working", "safety"):
            change["lines"][each] |= {"cases": list(cases), "below": "14 m", **line}
        return change

    def test_weight_and_edge_ratio(self):
        data = as_json(self.plan("0.30 / 0.40 / 0.55", "raise"))
        load, anchor = tension(data, "raise", "load"), tension(data, "raise")

        assert load["low"] == pytest.approx(961.05, abs=0.005)
        assert anchor["low"] / load["low"] == pytest.approx(1.5203, abs=5e-5)
        assert anchor["expected"] / load["expected"] == pytest.approx(1.7481, abs=5e-5)
        assert anchor["high"] / load["high"] == pytest.approx(2.1553, abs=5e-5)

    def test_raise_and_lower(self):
        data = as_json(self.plan("0.40", "raise", "lower"))

        assert tension(data, "raise")["expected"] == pytest.approx(2015.97, abs=0.005)
        assert tension(data, "lower")["expected"] == pytest.approx(659.74, abs=0.005)

    def test_fall(self):
        data = as_json(self.plan("0.40", "hold"))

        assert figure(data, "line/safety/modulus")["expected"] == pytest.approx(28843, abs=0.5)
        name = "line/safety/fall"
        length = figure(data, f"{name}/effective_length")["expected"]
        assert length == pytest.approx(15.487, abs=5e-4)
        assert figure(data, f"{name}/factor")["expected"] == pytest.approx(0.03874, abs=5e-6)
        # The static stretch is the soft end of what a fall may find.
        assert figure(data, f"{name}/peak")["low"] == pytest.approx(2713.6, abs=0.05)

    def test_sweep(self):
        id = "line/working/edge/edge_working/crossing"
        found = figure(as_json(self.plan("0.30 / 0.40 / 0.55", "hold")), id)

        assert found["low"] == found["high"] == pytest.approx(0.34458, abs=5e-6)

    def test_friction_holds_the_rope_at_that_reach(self):
        id = "line/working/edge/edge_working/held/crossing"
        found = figure(as_json(self.plan("0.30 / 0.40 / 0.55", "hold")), id)

        assert found["expected"] == found["low"] == found["high"] == 0

    @pytest.mark.parametrize(("friction", "y"), [("0.30", 0.5360), ("0.40", 0.2225), ("0.55", 0.0)])
    def test_sweep_held_by_friction(self, friction, y):
        plan = self.plan(friction, "hold", reach="6 m", below="8 m")
        data = as_json(plan)
        held = figure(data, "line/working/edge/edge_working/held/crossing")
        creeps = figure(data, "line/working/edge/edge_working/crossing")

        assert held["expected"] == pytest.approx(y, abs=5e-5)
        assert creeps["expected"] == pytest.approx(1.4717, abs=5e-5)
