"""Pulls that turn, legs side by side and legs that slide: printed values, and others by hand."""

from math import asin, atan, cos, degrees, radians, sin, sqrt, tan

import pytest

from riskdoc.mechanics.anchors import (
    freed_rope,
    included_angle,
    parallel_shares,
    symmetric_leg,
)
from riskdoc.mechanics.loads import weight
from riskdoc.mechanics.sliding import sliding_half_angle, sliding_share
from riskdoc.mechanics.turned import (
    any_way,
    fixed_shares_turned,
    most_of,
    turn_of_free_rope,
    turn_over_edges,
    two_leg_turned,
)

DOWN = (0, 0, -1)
FURTHER = 1.02
"""Legs in space are tried on a cone a little wider than asked, so no worst is missed."""


def test_a_free_rope_leans_by_the_sine():
    """3-4-5: 3 m aside on 5 m of rope, arcsin 3/5 = 36.87 degrees."""
    assert degrees(turn_of_free_rope(3, 5)) == pytest.approx(36.8699, abs=5e-5)


def test_a_rope_over_an_edge_leans_by_the_tangent():
    """SWP-1 by hand: 5 m to the edge, 20 m below it, 4 m aside: 9.09 degrees; y/a = 0.8/5."""
    assert degrees(turn_over_edges(4, 5 + 20)) == pytest.approx(9.09, abs=5e-3)
    assert tan(turn_over_edges(4, 25)) == pytest.approx(0.8 / 5, rel=1e-12)


def test_a_turned_bridle_is_a_bridle_with_other_angles(agrees):
    """OpenStax University Physics vol. 1 sec. 6.1: 15.0 kg, g 9.80, wires 60° and 45° from the
    pull: 108 N and 132 N. A pair at 52.5° whose pull turns by 7.5° is that pair."""
    one, two = two_leg_turned(weight(15.0, 9.80), *(radians(52.5),) * 2, radians(7.5))
    agrees(one, "132")
    agrees(two, "132")


@pytest.mark.parametrize(
    ("a", "b", "turn", "first", "second"),
    [
        # sin 40/sin 60 = 0.6428/0.8660
        (30, 30, 10, "0.7422", "0.7422"),
        # turned into line with a leg: it carries all, the other hangs slack; so on beyond
        (30, 30, 30, "1.0000", "1.0000"),
        (30, 30, 50, "1.0000", "1.0000"),
        # sin 50/sin 60 = 0.7660/0.8660, and the steep leg is in line from 15 on
        (20, 40, 10, "0.8846", "0.5774"),
        # square to the other leg before it is in line: 1/sin 120
        (60, 60, 45, "1.1547", "1.1547"),
    ],
)
def test_legs_under_a_turned_pull(agrees, a, b, turn, first, second):
    one, two = two_leg_turned(1, radians(a), radians(b), radians(turn))
    agrees(one, first)
    agrees(two, second)


@pytest.mark.parametrize(
    ("included", "printed"), [(0, "1.0000"), (90, "1.0000"), (120, "1.1547"), (150, "2.0000")]
)
def test_two_legs_pulled_any_way(agrees, included, printed):
    """1/sin 120° = 1.1547, 1/sin 150° = 2."""
    agrees(any_way(radians(included)), printed)


def test_a_short_leg_beside_a_long_one():
    """Springs side by side: 1 m and 3 m of one material take 3/4 and 1/4. Steel of 900 kN beside
    40 kN of cord at one length takes 900/940."""
    assert parallel_shares(1 / 1, 1 / 3) == pytest.approx((3 / 4, 1 / 4), rel=1e-15)
    assert parallel_shares(900, 40)[0] == pytest.approx(900 / 940, rel=1e-15)


def test_angle_of_corners(agrees):
    """Lines from the middle of a cube to two corners of a tetrahedron in it: 109.47 degrees."""
    legs = [(1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)]
    agrees(degrees(included_angle(legs)), "109.47")
    agrees(degrees(included_angle([(1, 0, 1), (-1, 0, 1), (0, 0, 1)])), "90.00")


def test_rope_set_free_by_a_redirect():
    """Half a turn gives twice the give, a sixth of a turn as much as the give."""
    assert freed_rope(0.3, radians(180)) == pytest.approx(0.6, rel=1e-15)
    assert freed_rope(0.3, radians(60)) == pytest.approx(0.3, rel=1e-15)


def test_four_legs_under_a_turned_pull():
    """Four corners of a square, slope 3-4-5. Straight 5/16 each. Turned by τ toward a leg's
    opposite, the pair in that plane takes cos τ · 5/16 ± sin τ/(2 · 3/5): at τ = 10°
    0.3078 + 0.1447 = 0.4525."""
    legs = [(3, 0, 4), (0, 3, 4), (-3, 0, 4), (0, -3, 4)]
    t = radians(10)
    for share in fixed_shares_turned(DOWN, legs, [1] * 4, t):
        by_hand = cos(t) * 5 / 16 + sin(t) / (2 * 3 / 5)
        assert by_hand == pytest.approx(0.4525, abs=5e-5)
        assert by_hand <= share <= by_hand * FURTHER


def test_three_legs_beyond_what_they_hold():
    """Three legs within 90° of each other and a pull turned past all of them: all of it in one,
    as the joint moves until that leg is in line."""
    legs = [(0.2, 0, 1), (-0.1, 0.2, 1), (-0.1, -0.2, 1)]
    assert fixed_shares_turned(DOWN, legs, [1] * 3, radians(30)) == pytest.approx((1, 1, 1))
    assert most_of(legs) == 1
    with pytest.raises(ValueError, match=r"directions must be within 90°"):
        most_of([(1, 0, 0.9), (-1, 0, 0.9), (0, 0, 1)])


def test_a_sliding_pair_of_equal_legs_carries_most_when_pulled_straight(agrees):
    """sin β = sin α cos t: 30° straight, at any turn less. Each leg T/(2 cos 30°) = 0.5774 T."""
    half = sliding_half_angle(radians(30), radians(30), 0.5, radians(20))
    assert degrees(half) == pytest.approx(30, rel=1e-12)
    agrees(symmetric_leg(1, 2 * half), "0.5774")


def test_a_sliding_pair_of_unequal_legs():
    """Legs of 1 and 2 m at 45°: feet at (-0.7071, 0.7071) and (1.4142, 1.4142), √5 m apart, on
    3 m of sling. Pulled square to the line of the feet, atan 1/3 = 18.43° off, the half angle is
    arcsin √5/3 = 48.19°; it is never more. Of lengths that are not known: 45° + the turn."""
    a = radians(45)
    for turn in (18.5, 30, 60):
        found = sliding_half_angle(a, a, 1 / 3, radians(turn))
        assert degrees(found) == pytest.approx(48.1897, abs=5e-5)
    assert atan(1 / 3) == pytest.approx(radians(18.43), abs=1e-4)
    by_hand = asin((sin(a - 0.1) + 2 * sin(a + 0.1)) / 3)
    assert sliding_half_angle(a, a, 1 / 3, 0.1) == pytest.approx(by_hand, rel=1e-12)
    assert degrees(sliding_half_angle(a, a, 0, radians(10))) == pytest.approx(55, rel=1e-12)


def test_sliding_legs_in_space():
    """A tripod of slope 3-4-5 and equal legs: 1/(3 · 4/5) = 5/12 straight; turned, the feet stand
    closer together as the joint sees them, and it is no more. The pair of 1 and 2 m at 45° takes
    1/(2 cos 48.19°) = 0.75 where the pull is square to its feet."""
    tripod = [(3, 0, 4), (-1.5, 1.5 * sqrt(3), 4), (-1.5, -1.5 * sqrt(3), 4)]
    for turn in (0, radians(8)):
        assert sliding_share(tripod, [1.5] * 3, turn) == pytest.approx(5 / 12, rel=1e-9)
    pair = [(-1, 0, 1), (1, 0, 1)]
    at = sliding_share(pair, [1, 2], atan(tan(atan(1 / 3)) * cos(radians(15))))
    assert at == pytest.approx(1 / (2 * cos(asin(sqrt(5) / 3))), rel=1e-9)
    assert at == pytest.approx(0.75, rel=1e-9)
