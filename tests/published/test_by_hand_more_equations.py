"""Values worked by hand: legs in space, swing, wind, hauling, heat, kit."""

from math import atan, cos, degrees, pi, radians, sin, sqrt

import pytest

from riskdoc.mechanics.anchors import equalised_share, fixed_shares, redirect_resultant
from riskdoc.mechanics.fall import slip_stretch
from riskdoc.mechanics.friction import signed_ratio
from riskdoc.mechanics.hauling import (
    advantage,
    compound,
    effort,
    haulers_needed,
    jam_force,
    system_anchor_force,
)
from riskdoc.mechanics.heat import descent_energy, edge_power, power, temperature_rise
from riskdoc.mechanics.kit import packed_volume
from riskdoc.mechanics.loads import weight
from riskdoc.mechanics.stretch import sink
from riskdoc.mechanics.sweep import kink_limit
from riskdoc.mechanics.swing import swing_drop, swing_speed, swing_tension
from riskdoc.mechanics.wind import wind_force, wind_offset

DOWN = (0, 0, -1)


# --- anchors ----------------------------------------------------------------------------------


def test_parallel_legs_share_by_one_over_length():
    """Same rope, 1 m and 2 m: 2/3 and 1/3."""
    shares = fixed_shares(DOWN, [(0, 0, 1), (0, 0, 1)], [30e3 / 1, 30e3 / 2])
    assert shares == pytest.approx((2 / 3, 1 / 3), rel=1e-12)


def test_three_legs_at_right_angles():
    """(1, 2, 2)/3, (-2, -1, 2)/3, (2, -2, 1)/3 are square to each other: T = -p·u = 2/3, 2/3, 1/3.

    Stiffness does not enter.
    """
    legs = [(1, 2, 2), (-2, -1, 2), (2, -2, 1)]
    for stiffnesses in ([1, 1, 1], [9, 1, 4]):
        shares = fixed_shares(DOWN, legs, stiffnesses)
        assert shares == pytest.approx((2 / 3, 2 / 3, 1 / 3), rel=1e-12)


def test_three_legs_of_a_tripod():
    """A third of the pull over the cosine, 4/5 (3-4-5): 5/12 each, tied either way."""
    legs = [(3 * cos(a), 3 * sin(a), 4) for a in (0, 2 * pi / 3, 4 * pi / 3)]
    assert fixed_shares(DOWN, legs, [1, 2, 3]) == pytest.approx([5 / 12] * 3, rel=1e-12)
    assert equalised_share(legs) == pytest.approx(5 / 12, rel=1e-12)


def test_four_legs():
    """Four corners of a square, slope 3-4-5. Equal: 1/(4 × 4/5) = 5/16 each.

    With one pair across twice as stiff the joint still goes straight down, so legs pull as
    their stiffness: 2/(6 × 4/5) = 5/12 and 5/24. Equal shares are an assumption.
    """
    legs = [(3, 0, 4), (0, 3, 4), (-3, 0, 4), (0, -3, 4)]
    assert fixed_shares(DOWN, legs, [1] * 4) == pytest.approx([5 / 16] * 4, rel=1e-12)
    shares = fixed_shares(DOWN, legs, [2, 1, 2, 1])
    assert shares == pytest.approx([5 / 12, 5 / 24, 5 / 12, 5 / 24], rel=1e-12)
    assert equalised_share(legs) == pytest.approx(5 / 16, rel=1e-12)


def test_three_legs_in_a_plane():
    """One straight up, two at 60 degrees: δ straight down, T = k cos θ: 1, 1/2, 1/2.

    Balance 1 + 2 × 1/4 = 3/2: shares 2/3, 1/3, 1/3.
    """
    legs = [(0, 0, 1), (sqrt(3) / 2, 0, 1 / 2), (-sqrt(3) / 2, 0, 1 / 2)]
    assert fixed_shares(DOWN, legs, [1, 1, 1]) == pytest.approx((2 / 3, 1 / 3, 1 / 3), rel=1e-12)


def test_slack_legs():
    """In line with one leg the other carries nothing; a leg to an anchor below pulls nothing.

    Two legs with slope 3-4-5 then carry 1/(2 × 4/5) = 5/8 each.
    """
    shares = fixed_shares(DOWN, [(0, 0, 1), (1, 0, sqrt(3))], [1, 1])
    assert shares == pytest.approx((1, 0), abs=1e-12)
    shares = fixed_shares(DOWN, [(3, 0, 4), (-3, 0, 4), (0, 0, -1)], [1, 1, 1])
    assert shares == pytest.approx((5 / 8, 5 / 8, 0), abs=1e-12)


def test_a_leg_lost():
    """Tripod above with one leg gone, pull straight down: two legs cannot hold it there."""
    legs = [(3 * cos(a), 3 * sin(a), 4) for a in (0, 2 * pi / 3)]
    with pytest.raises(ValueError, match="pull must be one that legs hold"):
        fixed_shares(DOWN, legs, [1, 1])


def test_unequal_legs_by_vectors(agrees):
    """15 and 45 degrees from vertical: 0.8165 and 0.2989."""
    a, b = radians(15), radians(45)
    steep, flat = fixed_shares(DOWN, [(sin(a), 0, cos(a)), (-sin(b), 0, cos(b))], [1, 3])
    agrees(steep, "0.8165")
    agrees(flat, "0.2989")


# R/T by the angle δ between the two strands, 2 cos(δ/2). By hand.
REDIRECT = {
    0: "2.000", 30: "1.932", 45: "1.848", 60: "1.732", 90: "1.414", 120: "1.000", 135: "0.765",
    150: "0.518", 160: "0.347", 180: "0",
}  # fmt: skip


@pytest.mark.parametrize(("between", "printed"), REDIRECT.items())
def test_redirect_by_the_angle_between_its_strands(agrees, between, printed):
    """A straight rope, 180° between its strands, turns by nothing."""
    size = redirect_resultant(1, 1, pi - radians(between))
    agrees(size, printed, within=1e-9 if printed == "0" else None)


def test_redirect_with_friction_and_strands_at_a_right_angle():
    """3 down and 4 aside: 5."""
    assert redirect_resultant(3, 4, pi / 2) == pytest.approx(5, rel=1e-15)


# --- swing and wind ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("angle", "printed"),
    [(10, "1.0304"), (20, "1.1206"), (30, "1.2679"), (45, "1.5858"), (60, "2.0000"),
     (90, "3.0000")],
)  # fmt: skip
@pytest.mark.parametrize("length", [1.0, 17.0])
def test_tension_factor(agrees, angle, printed, length):
    """3 - 2 cos α, however long the rope."""
    reach = length * sin(radians(angle))
    agrees(swing_tension(100, length, reach) / weight(100), printed)


def test_swing_of_six_and_eight():
    """10 m of rope 6 m aside hangs 8 m down: 2 m lost; v² = 2 g 2; m g (3 - 1.6)."""
    assert swing_drop(10, 6) == pytest.approx(2, rel=1e-12)
    assert swing_speed(10, 6, g=9) == pytest.approx(6, rel=1e-12)
    assert swing_tension(50, 10, 6, g=10) == pytest.approx(700, rel=1e-12)


def test_wind_on_a_hanging_worker(agrees):
    """ρ 1.225, C_d A 0.7 m², 10 m/s: 61.25 Pa, 42.9 N; 100 kg hang 2.50 degrees aside."""
    agrees(wind_force(10, 1, 1.225), "61.25")
    force = wind_force(10, 0.7, 1.225)
    agrees(force, "42.9")
    agrees(degrees(atan(wind_offset(force, weight(100), 14) / 14)), "2.50")
    assert wind_force(20, 0.7, 1.225) == pytest.approx(4 * force, rel=1e-15)
    assert wind_offset(50, 1000, 20) == 1


# --- hauling ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("eta", "printed"), [(0.95, "2.853"), (0.90, "2.710"), (0.80, "2.440"), (0.50, "1.750")]
)
def test_three_to_one(agrees, eta, printed):
    """1 + e + e², off a moving pulley; 2.8525 is printed 2.853."""
    agrees(advantage(3, eta, False), printed)


def test_three_to_one_with_a_redirect(agrees):
    """0.9 × 2.710; without friction 3 either way; many strands of 0.9 gain 10."""
    agrees(advantage(3, 0.90, True), "2.439")
    assert advantage(3, 1.0, True) == 3
    assert advantage(3, 1.0, False) == 3
    assert advantage(100_000, 0.9, False) == pytest.approx(10, rel=1e-12)


def test_two_to_one_on_three_to_one():
    """1.8 × 2.44 with pulleys of 0.8: 4.392; without friction 6."""
    assert compound(advantage(2, 0.8, False), advantage(3, 0.8, False)) == pytest.approx(4.392)
    assert compound(2, 3) == 6


def test_people_needed(agrees):
    """100 kg up over a square edge, µ 0.3, 3:1 of 0.9: 1571.0/2.710 = 579.7 N: 3 people.

    225 N each: Eastman Kodak, Ergonomic Design for People at Work vol. 2, 1986.
    """
    tension = weight(100) * signed_ratio(0.3, pi / 2, 1)
    pull = effort(tension, advantage(3, 0.9, False))
    agrees(tension, "1571.0")
    agrees(pull, "579.7")
    assert haulers_needed(pull, 225) == 3
    assert haulers_needed(450, 225) == 2
    assert haulers_needed(450.01, 225) == 3
    assert haulers_needed(0, 225) == 0


def test_force_on_the_anchor_of_a_system():
    """3:1 of 0.9, hauled with 1000 N. Strands 1000, 900, 810.

    Off the moving pulley: 2710 N at the load; 900 + 810 = 1710 N on the anchor. Off a fixed
    one: 900, 810, 729, so 2439 N at the load, and with the haulers' 1000 N 3439 N on the anchor.
    """
    assert system_anchor_force(2710, 1000, False) == 900 + 810
    assert system_anchor_force(2439, 1000, True) == 1000 + 900 + 810 + 729


def test_pulley_overhead():
    """One fixed pulley without friction: twice the load; one strand by hand: nothing."""
    assert system_anchor_force(1000, 1000, True) == 2000
    assert system_anchor_force(1000, 1000, False) == 0


def test_jam():
    """4 × 225 N × 6."""
    assert jam_force(4, 225, 6) == 5400


# --- heat, kit, sink --------------------------------------------------------------------------


def test_heat_of_a_descender(agrees):
    """100 kg, 50 m: 49.03 kJ; 0.5 kg of aluminium (900) 109.0 K, of steel (452) 217.0 K warmer.

    Heat per mass: OpenStax, University Physics vol. 2, table 1.3.
    """
    energy = descent_energy(100, 50)
    agrees(energy / 1000, "49.03")
    agrees(temperature_rise(energy, 1, 0.5, 900), "109.0")
    agrees(temperature_rise(energy, 1, 0.5, 452), "217.0")


def test_power_of_a_descent(agrees):
    """100 kg at 0.5 and 2.0 m/s (EN 341 class A): 490 and 1961 W."""
    agrees(power(weight(100), 0.5), "490", within=0.5)  # its zero is a digit
    agrees(power(weight(100), 2.0), "1961")


def test_heat_at_an_edge():
    """1500 N one side, 1000 N the other, 0.5 m/s: 250 W."""
    assert edge_power(1500, 1000, 0.5) == 250


def test_room_for_a_rope(agrees):
    """10 mm, 100 m: 7.854 litres of rope, 15.71 half full."""
    agrees(1000 * packed_volume(0.010, 100, 1), "7.854")
    agrees(1000 * packed_volume(0.010, 100, 0.5), "15.71")


def test_sink_over_an_edge(agrees):
    """900 N over 14 m and 600 N over 2.6 m of 30 kN: (12 600 + 1560)/30 000 = 0.472 m."""
    agrees(sink([900, 600], [14, 2.6], 30e3), "0.472")
    agrees(sink([900, 600], [14, 2.6], 30e3, strands=2), "0.236")


@pytest.mark.parametrize(
    ("mu", "turn", "printed"),
    [(0.5, pi / 2, "45.000"), (0.25, pi, "30.000"), (0.3, 0.0, "0.000"), (0.5, pi, "90.000")],
)
def test_kink_that_friction_holds(agrees, mu, turn, printed):
    """sin β = min(1, 2 μ sin(turn/2)). By hand: 2 · 0.5 · sin 45° = 0.70711, β = 45°; and so on."""
    agrees(degrees(kink_limit(mu, turn)), printed)


def test_stretch_of_the_rope_at_the_slip_force(agrees):
    """x = F L/(k K). By hand: 4 kN on 10 m of 20 kN rope 2 m; on two strands 1 m."""
    agrees(slip_stretch(4000, 10, 20e3), "2.000")
    agrees(slip_stretch(4000, 10, 20e3, 2), "1.000")
