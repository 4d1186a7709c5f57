"""Values worked by hand from the stated formulas: tables of the trade, and plain geometry."""

from math import atan, degrees, hypot, pi, radians, sqrt

import numpy as np
import pytest

from riskdoc.mechanics.anchors import redirect_resultant, symmetric_leg, two_leg, wrapped_force
from riskdoc.mechanics.exposure import exposure
from riskdoc.mechanics.fall import effective_length, fall_factor
from riskdoc.mechanics.friction import (
    capstan_ratio,
    equivalent_friction,
    sheave_friction,
    signed_ratio,
)
from riskdoc.mechanics.loads import strand_share, weight
from riskdoc.mechanics.movement import running_distance, sawing_distance, sideways_distance
from riskdoc.mechanics.strength import bend_factor
from riskdoc.mechanics.sweep import covered, crossing, sweep
from riskdoc.mechanics.triangular import triangular_quantile

# exp(µ θ); θ in degrees across. By hand.
ANGLES = [30, 45, 60, 90, 120, 180, 270, 360, 540, 720]
HOLDING = {
    0.10: "1.054 1.082 1.110 1.170 1.233 1.369 1.602 1.874 2.566 3.514",
    0.15: "1.082 1.125 1.170 1.266 1.369 1.602 2.028 2.566 4.111 6.586",
    0.20: "1.110 1.170 1.233 1.369 1.520 1.874 2.566 3.514 6.586 12.345",
    0.25: "1.140 1.217 1.299 1.481 1.688 2.193 3.248 4.810 10.551 23.141",
    0.30: "1.170 1.266 1.369 1.602 1.874 2.566 4.111 6.586 16.902 43.376",
    0.35: "1.201 1.316 1.443 1.733 2.081 3.003 5.204 9.017 27.077 81.307",
    0.40: "1.233 1.369 1.520 1.874 2.311 3.514 6.586 12.345 43.376 152.41",
    0.50: "1.299 1.481 1.688 2.193 2.850 4.810 10.551 23.141 111.32 535.49",
}


@pytest.mark.parametrize("mu", HOLDING)
def test_holding_ratio(agrees, mu):
    """A row of the table."""
    row = HOLDING[mu].split()
    assert len(row) == len(ANGLES)
    for angle, printed in zip(ANGLES, row, strict=True):
        agrees(capstan_ratio(mu, radians(angle)), printed)


def test_twice_the_turns_square_the_ratio(agrees):
    """µ 0.3: one turn 6.586, two turns 43.38, its square."""
    agrees(capstan_ratio(0.3, 2 * pi), "6.586")
    agrees(capstan_ratio(0.3, 4 * pi), "43.38")


def test_raising_costs_what_lowering_saves(agrees):
    """100 kg over a 90 degree edge, µ 0.3: raise 1571.0 N, lower 612.2 N, ratio 2.566."""
    load = weight(100)
    up, down = (load * signed_ratio(0.3, pi / 2, sense) for sense in (1, -1))
    agrees(up, "1571.0")
    agrees(down, "612.2")
    agrees(up / down, "2.566")


@pytest.mark.parametrize(("ratio", "mu"), [(1.5, "0.129"), (1.67, "0.163"), (2.0, "0.221")])
def test_friction_behind_a_ratio_over_half_a_turn(agrees, ratio, mu):
    """ln(ratio)/π; and 14 and 19 over one and a half turns: 0.2800 and 0.3124."""
    agrees(equivalent_friction(ratio, pi), mu)
    agrees(equivalent_friction(14, 3 * pi), "0.2800")
    agrees(equivalent_friction(19, 3 * pi), "0.3124")


@pytest.mark.parametrize(("efficiency", "ratio"), [(0.8, "1.1711"), (0.9, "1.0774")])
def test_a_sheave_turned_by_a_right_angle(agrees, efficiency, ratio):
    """c = (1 - η)/(1 + η); r - 1 = c √(1 + r²), so r = (1 + √(1 - a²))/a with a = 1 - c².

    η 0.9: c 0.05263, a 0.99723, r 1.0774; η 0.8: c 0.11111, a 0.98765, r 1.1711. Over half a turn
    R = T_high + T_low and r = 1/η.
    """
    agrees(np.exp(sheave_friction(efficiency, pi / 2) * pi / 2), ratio)
    agrees(1 / np.exp(sheave_friction(efficiency, pi) * pi), f"{efficiency:.4f}")


# T per leg over W by included angle, 1/(2 cos(α/2)). By hand.
LEGS = {
    0: "0.5000", 10: "0.5019", 20: "0.5077", 30: "0.5176", 40: "0.5321", 45: "0.5412",
    50: "0.5517", 60: "0.5774", 70: "0.6104", 80: "0.6527", 90: "0.7071", 100: "0.7779",
    110: "0.8717", 120: "1.0000", 130: "1.1831", 140: "1.4619", 150: "1.9319", 160: "2.8794",
    170: "5.7369",
}  # fmt: skip


@pytest.mark.parametrize(("included", "printed"), LEGS.items())
def test_two_equal_legs(agrees, included, printed):
    """Both routes: the rule for equal legs, and unequal legs with equal angles."""
    agrees(symmetric_leg(1, radians(included)), printed)
    if included == 0:
        with pytest.raises(ValueError, match=r"a \+ b must be above 0"):
            two_leg(1, 0, 0)  # side by side legs share by their stiffness
        return
    for leg in two_leg(1, radians(included) / 2, radians(included) / 2):
        agrees(leg, printed)


def test_two_unequal_legs(agrees):
    """15 and 45 degrees from vertical: 0.8165 W and 0.2989 W; the steeper leg carries more."""
    steep, flat = two_leg(1, radians(15), radians(45))
    agrees(steep, "0.8165")
    agrees(flat, "0.2989")


def test_leg_in_line_with_the_pull_carries_all():
    """Legs at 0 and 30 degrees: (W, 0)."""
    assert two_leg(980.665, 0, radians(30)) == (980.665, 0)
    assert two_leg(980.665, radians(30), 0) == (0, 980.665)


# R/T by the angle δ between the two strands, 2 cos(δ/2). By hand. The turn is 180 - δ.
REDIRECT = {
    0: "2.000", 30: "1.932", 45: "1.848", 60: "1.732", 90: "1.414", 120: "1.000", 135: "0.765",
    150: "0.518", 160: "0.347", 180: "0",
}  # fmt: skip


@pytest.mark.parametrize(("between", "printed"), REDIRECT.items())
def test_redirect(agrees, between, printed):
    """Equal tensions; a straight rope puts nothing on the pulley."""
    turn = radians(180 - between)
    tolerance = 1e-9 if printed == "0" else None  # exactly nothing
    agrees(redirect_resultant(1, 1, turn), printed, within=tolerance)
    agrees(wrapped_force(1, turn), printed, within=tolerance)


def test_redirect_with_friction():
    """3 and 4 at right angles: 5. Doubled back: 7. Straight: 1, along the rope."""
    assert redirect_resultant(3, 4, pi / 2) == pytest.approx(5, rel=1e-15)
    assert redirect_resultant(3, 4, pi) == pytest.approx(7, rel=1e-15)
    assert redirect_resultant(3, 4, 0) == 1


def test_top_pulley_with_friction(agrees):
    """Half a turn at a ratio of 1.67: T (1 + 1/1.67) = 1.60 T, not 2 T."""
    agrees(redirect_resultant(1, 1 / 1.67, pi), "1.60")


def test_force_on_a_square_edge(agrees):
    """1 kN, 90 degrees: resultant 1.414 kN; the pressure summed over the arc 1.571 kN."""
    agrees(wrapped_force(1, pi / 2), "1.414")
    agrees(1 / 0.020 * running_distance(0.020, pi / 2, 1), "1.571")


def test_effective_length_with_friction(agrees):
    """5 m and 20 m, ratio 1.67: 16.98 m; a fall of 4 m goes from factor 0.160 to 0.236."""
    agrees(effective_length([5, 20], [1.67]), "16.98")
    agrees(fall_factor(4, effective_length([5, 20], [1.0])), "0.160")
    agrees(fall_factor(4, effective_length([5, 20], [1.67])), "0.236")


def test_effective_length_over_two_edges():
    """8 + 6/2 + 12/(2 × 3) = 13."""
    assert effective_length([8, 6, 12], [2, 3]) == 13


def test_crossing_of_the_edge(agrees):
    """5 m to the edge, 20 m below, 4 m aside: 0.80 m; rope 25.318 m; 9.09 degrees both sides."""
    y = crossing(4, 5, 20)
    agrees(y, "0.80", within=1e-12)  # exact
    agrees(hypot(5, y) + hypot(20, 4 - y), "25.318")
    agrees(degrees(atan(y / 5)), "9.09")
    agrees(degrees(atan((4 - y) / 20)), "9.09")


def test_no_sweep_with_the_anchor_at_the_edge():
    """a = 0: nothing to swing about."""
    assert crossing(4, 0, 20) == 0
    assert sweep(crossing(4, 0, 20)) == 0


def test_distances_of_the_movements(agrees):
    """Arc 5 mm × π/2 = 7.854 mm; stretch of 3 m 0.4 × 1000 × 3/30 000 = 40 mm, of 0.3 m 4 mm.

    50 steps in 15 m: 2 × 7.854 × 50 = 785.4 mm, and 2 × 4 × 50 = 400 mm.
    """
    agrees(running_distance(0.005, pi / 2, 4), "0.031416")
    climb = {"radius": 0.005, "turn": pi / 2, "steps": 50}
    agrees(sawing_distance(0.4, 1000, 3, 30e3, **climb), "0.7854")
    agrees(sawing_distance(0.4, 1000, 0.3, 30e3, **climb), "0.4000")
    agrees(sawing_distance(0.4, 1000, 0.6, 30e3, **climb, strands=2), "0.4000")
    agrees(sawing_distance(0.4, 1000, 0.3, 30e3, **{**climb, "steps": 25}), "0.2000")
    agrees(sideways_distance(sweep(0.8), 6), "9.6")


def test_cover_narrower_than_the_sweep():
    """0.5 m of 2 m is a quarter; what is wider than the sweep covers all of it."""
    assert covered(0.5, 2) == 0.25
    assert covered(3, 2) == 1
    assert covered(0, 0) == 1


def test_share_of_a_strand():
    """1/k, and up to 1.2/k, never more than all."""
    assert strand_share(4, 1) == 0.25
    assert strand_share(2, 1.2) == pytest.approx(0.6, rel=1e-15)
    assert strand_share(1, 1.2) == 1


def test_bend_factor():
    """10 mm rope, 0.4 below D/d = 1, from 0.6 at 1 to 1 at 4: D/d 2.5 is half way, 0.8.

    D is the edge's diameter: a radius of 5 mm is D/d = 1, not 0.5.
    """
    radii = np.array([0.0, 0.0049, 0.005, 0.0125, 0.020, 1.0])
    factors = bend_factor(radii, 0.010, 0.4, 0.6, 4)
    assert factors == pytest.approx([0.4, 0.4, 0.6, 0.8, 1.0, 1.0], rel=1e-12)
    assert bend_factor(1.0, 0.010, 0.4, 0.6, 4, 0.9) == 0.9


REFERENCE = {
    "tension": 1000, "share": 1, "distance": 1, "turn": pi / 2, "radius": 0.005, "surface": 1,
    "movement": 1, "credit": 0, "diameter": 0.011, "fibre": 1, "wet": 1, "strands": 1, "n": 1.5,
    "q": 0.5, "p": 2.5,
}  # fmt: skip


@pytest.mark.parametrize(
    ("change", "by_hand"),
    [
        ({}, 1),  # by definition
        ({"tension": 4000, "n": 2}, 16),  # 4²
        ({"tension": 4000}, 8),  # 4^1.5
        ({"distance": 3}, 3),
        ({"turn": pi}, sqrt(2)),  # sin 90°/sin 45°
        ({"turn": pi / 3}, sqrt(2) / 2),  # sin 30°/sin 45°
        ({"radius": 0.020}, 0.5),  # (5/20)^0.5
        ({"radius": 0.00025, "q": 1}, 20),  # 5/0.25
        ({"radius": 0.0001, "q": 1}, 50),  # 5/0.1: nothing is clamped
        ({"radius": 0.0001}, sqrt(50)),  # (5/0.1)^0.5
        ({"surface": 0.4, "movement": 0.5}, 0.2),
        ({"credit": 0.75}, 0.25),
        ({"diameter": 0.022, "p": 3}, 0.125),  # (22/11)^-3
        ({"fibre": 1.25}, 0.8),
        ({"wet": 1.3}, 1.3),
        ({"strands": 2, "share": 0.5, "n": 2}, 0.125),  # 0.5²/2
        ({"strands": 2}, 0.5),
    ],
)
def test_exposure_one_factor_at_a_time(change, by_hand):
    """Each symbol of DEVELOPERS.md, Definitions alone, then the reference sweep itself."""
    assert exposure(**{**REFERENCE, **change}) == pytest.approx(by_hand, rel=1e-14)


def test_a_triangular_distribution_by_its_areas():
    """Low 2, mode 4, high 10: the density has height 2/8, so a quarter lies below 4 (2 · 2/8 / 2).

    A sixteenth lies below 3 (half the base and half the height of that quarter), and a sixteenth
    above 10 - √(8 · 6 / 16) = 10 - √3.
    """
    assert triangular_quantile(1 / 4, 2, 4, 10) == pytest.approx(4)
    assert triangular_quantile(1 / 16, 2, 4, 10) == pytest.approx(3)
    assert triangular_quantile(15 / 16, 2, 4, 10) == pytest.approx(10 - sqrt(3))


def test_reference_sweep_is_exactly_one():
    """For any exponents: it is the unit."""
    for n, q, p in [(1, 0, 2.2), (1.5, 0.5, 2.5), (2, 1, 3)]:
        assert exposure(**{**REFERENCE, "n": n, "q": q, "p": p}) == 1.0
