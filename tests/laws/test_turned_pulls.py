"""Laws and second routes of pulls that turn, of legs side by side and of legs that slide."""

from math import asin, atan, cos, hypot, pi, sin, sqrt, tan

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from riskdoc.mechanics import anchors, sliding, sweep, turned

DOWN = (0.0, 0.0, -1.0)
WIDER = cos(pi / 12)
"""Pulls are leaned by atan(tan τ/cos 15°), so that all that lean by τ lie within them."""


def span(low, high):
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


ANGLE, TURN, LONG = span(0.02, 1.4), span(0, 0.6), span(0.3, 3)
STIFF = span(0.05, 20)
ASIDE = st.integers(-9, 9).map(lambda n: n / 20)
STEEP = st.lists(st.tuples(ASIDE, ASIDE, st.just(1.0)), min_size=3, max_size=5)
"""Legs within 33° of straight up, hence within 90° of each other, to any side; in steps of a
twentieth, for legs that differ by a rounding have no shares worth comparing."""


def unit(vector):
    return np.asarray(vector, dtype=float) / hypot(*vector)


def leaned(turn, way):
    return (sin(turn) * cos(way), sin(turn) * sin(way), -cos(turn))


# --- two fixed legs ---------------------------------------------------------------------------


@given(ANGLE, ANGLE, TURN)
def test_the_worst_turn_by_trying_them_all(a, b, turn):
    """Each pull by balance of the two legs, one of them slack where the other is past it."""
    found = turned.two_leg_turned(1.0, a, b, turn)
    tried = []
    for t in np.linspace(-turn, turn, 401):
        first, second = sin(b + t) / sin(a + b), sin(a - t) / sin(a + b)
        tried.append((first, second) if min(first, second) >= 0 else (first > 0, second > 0))
    for leg, most in zip(found, np.max(np.array(tried, dtype=float), axis=0), strict=True):
        assert most * (1 - 1e-12) <= leg <= most * (1 + 1e-4)


@given(ANGLE, ANGLE, TURN, TURN)
def test_more_turn_is_never_less_force(a, b, one, other):
    less, more = sorted((one, other))
    assert np.all(
        np.array(turned.two_leg_turned(1, a, b, less))
        <= np.array(turned.two_leg_turned(1, a, b, more)) * (1 + 1e-12)
    )


@given(ANGLE, ANGLE, TURN)
def test_legs_change_places(a, b, turn):
    assert turned.two_leg_turned(1, a, b, turn) == turned.two_leg_turned(1, b, a, turn)[::-1]


@given(ANGLE, ANGLE)
def test_no_turn_is_the_pull_as_it_stands(a, b):
    straight = anchors.two_leg(1, a, b)
    assert turned.two_leg_turned(1, a, b, 0) == pytest.approx(straight, rel=1e-12)


@given(ANGLE, ANGLE, TURN)
def test_no_turn_is_worse_than_any_way(a, b, turn):
    most = turned.any_way(a + b)
    assert max(turned.two_leg_turned(1, a, b, turn)) <= most * (1 + 1e-12)
    assert max(turned.two_leg_turned(1, a, b, 1.57)) == pytest.approx(most, rel=1e-6)


@given(span(0.01, 1.5), span(0.01, 1.5))
def test_a_wider_pair_is_never_better(one, other):
    """Equal legs: force rises with the angle between them, pulled straight and any way. (Turned
    by a little it need not: a narrow pair has a leg slack sooner.)"""
    less, more = sorted((one, other))
    narrow, wide = (turned.two_leg_turned(1, a, a, 0)[0] for a in (less, more))
    assert narrow <= wide * (1 + 1e-12)
    assert turned.any_way(2 * less) <= turned.any_way(2 * more) * (1 + 1e-12)


# --- legs side by side, angles, redirects -----------------------------------------------------


@given(STIFF, STIFF)
def test_legs_side_by_side_by_the_rule_for_many(first, second):
    both = anchors.parallel_shares(first, second)
    up = [(0, 0, 1), (0, 0, 1)]
    assert both == pytest.approx(anchors.fixed_shares(DOWN, up, [first, second]), rel=1e-9)
    assert both == pytest.approx(anchors.parallel_shares(second, first)[::-1], rel=1e-12)
    assert sum(both) == pytest.approx(1, rel=1e-12)
    for turn in (0.0, 0.3):  # legs side by side turn with the pull
        assert turned.fixed_shares_turned(DOWN, up, [first, second], turn) == pytest.approx(
            both, rel=1e-9
        )


@given(ANGLE, ANGLE, span(0, 6), span(0.1, 50))
def test_legs_either_side_of_a_pull_include_the_sum(a, b, way, scale):
    aside, up = np.array([cos(way), sin(way), 0]), np.array([0, 0, 1])
    legs = [scale * (sin(a) * aside + cos(a) * up), -sin(b) * aside + cos(b) * up]
    assert anchors.included_angle(legs) == pytest.approx(a + b, rel=1e-9)
    between = sin(a / 2) * aside + cos(a / 2) * up
    assert anchors.included_angle([*legs, between]) == pytest.approx(a + b, rel=1e-9)


@given(span(0.05, 3), span(0.05, 3), span(0.05, 3))
def test_freed_rope_by_moving_the_pulley(first, second, turn):
    """Length of both strands before and after a small give along the force on the pulley."""
    give = 1e-6
    ends = np.array([[0.0, first], [second * sin(turn), second * cos(turn)]])
    ends[0] = [0.0, -first]
    before = sum(hypot(*end) for end in ends)
    force = sum(end / hypot(*end) for end in ends)
    assume(hypot(*force) > 0.05)
    moved = ends - give * force / hypot(*force)
    freed = before - sum(hypot(*end) for end in moved)
    assert anchors.freed_rope(give, turn) == pytest.approx(freed, rel=1e-3)
    assert anchors.freed_rope(1, turn) == pytest.approx(anchors.wrapped_force(1, turn), rel=1e-12)


@given(span(0, 9), span(0.1, 30), span(0.1, 30))
def test_the_turn_above_an_edge_is_the_crossing_over_the_rope_before_it(reach, before, below):
    found = turned.turn_over_edges(reach, before + below)
    assert tan(found) == pytest.approx(sweep.crossing(reach, before, below) / before, rel=1e-9)


@given(span(0, 9), span(10, 30))
def test_a_free_rope_turns_more_than_one_over_an_edge(reach, rope):
    free = turned.turn_of_free_rope(reach, rope)
    assert rope * sin(free) == pytest.approx(reach, rel=1e-12, abs=1e-12)
    assert free >= turned.turn_over_edges(reach, rope)


# --- fixed legs in space ----------------------------------------------------------------------


@settings(max_examples=60)
@given(STEEP, st.lists(STIFF, min_size=5, max_size=5), span(0, 0.3), span(0, 1), span(0, 2 * pi))
def test_no_pull_within_the_turn_is_worse(legs, stiffnesses, turn, share, way):
    """Any pull inside the cone, on its own, by the rule for a single pull; and never over 1."""
    k = stiffnesses[: len(legs)]
    middle = -np.sum([unit(leg) for leg in legs], axis=0)
    aside = unit(np.cross(middle, (1, 0.3, 0.2)))
    across = unit(np.cross(middle, aside))
    worst = turned.fixed_shares_turned(tuple(middle), legs, k, turn)
    assert max(worst) <= 1 + 1e-9
    lean = share * turn
    pull = cos(lean) * unit(middle) + sin(lean) * (cos(way) * aside + sin(way) * across)
    try:
        one = anchors.fixed_shares(tuple(pull), legs, k)
    except ValueError:
        return  # past the legs: the joint moves, which the bound of 1 above covers
    for found, most in zip(one, worst, strict=True):
        # Between the pulls tried a share bends at most as the cosine of a quarter of the turn.
        assert found <= most / cos(turn / 4) + 1e-9


@settings(max_examples=40)
@given(STEEP, st.lists(STIFF, min_size=5, max_size=5))
def test_no_turn_is_the_rule_for_one_pull(legs, stiffnesses):
    k = stiffnesses[: len(legs)]
    middle = tuple(-np.sum([unit(leg) for leg in legs], axis=0))
    straight = anchors.fixed_shares(middle, legs, k)
    assert turned.fixed_shares_turned(middle, legs, k, 0) == pytest.approx(straight, abs=1e-7)


@given(ANGLE, ANGLE, span(0, 0.3))
def test_two_legs_in_space_are_the_rule_for_two_legs(a, b, turn):
    """Out of their plane the plane swings; in it the pull is leaned a little further."""
    assume(a + b < pi / 2)
    legs = [(sin(a), 0, cos(a)), (-sin(b), 0, cos(b))]
    space = turned.fixed_shares_turned(DOWN, legs, [1, 3], turn)
    plane = turned.two_leg_turned(1, a, b, turn)
    further = turned.two_leg_turned(1, a, b, atan(tan(turn) / WIDER))
    for low, found, high in zip(plane, space, further, strict=True):
        assert low - 1e-9 <= found <= max(high, 1.0 if turn >= min(a, b) * WIDER else 0) + 1e-9


def test_wide_legs_that_cannot_hold_a_turned_pull_are_refused():
    legs = [(1, 0, 0.5), (-1, 0.1, 0.5), (0, -0.05, 1)]
    turned.fixed_shares_turned(DOWN, legs, [1, 1, 1], 0)
    with pytest.raises(ValueError, match="turn must be one at which legs hold"):
        turned.fixed_shares_turned(DOWN, legs, [1, 1, 1], 0.3)


@given(STEEP, span(0, 1.2), span(0, 2 * pi))
def test_no_way_of_pulling_puts_more_than_all_in_a_leg(legs, lean, way):
    """`most_of` against pulls of every lean."""
    assert turned.most_of(legs) == 1
    try:
        shares = anchors.fixed_shares(leaned(lean, way), legs, [1.0] * len(legs))
    except ValueError:
        return
    assert max(shares) <= 1 + 1e-9


# --- sliding legs -----------------------------------------------------------------------------


@given(span(0.02, 1.2), LONG, LONG, TURN)
def test_a_sliding_pair_against_points_of_the_ellipse(a, one, two, turn):
    """The joint of a sling of a fixed length moves on an ellipse about the feet: points of it,
    each with the pull that keeps it at rest there, along the line that halves the legs."""
    feet = np.array([[-one * sin(a), one * cos(a)], [two * sin(a), two * cos(a)]])
    middle, apart = feet.mean(axis=0), (feet[1] - feet[0]) / 2
    c, major = hypot(*apart), (one + two) / 2
    along, across = apart / c, np.array([apart[1], -apart[0]]) / c
    t = np.linspace(0, 2 * pi, 10001)[:, np.newaxis]
    minor = sqrt(max(major**2 - c**2, 0))
    joints = middle + major * np.cos(t) * along + minor * np.sin(t) * across
    legs = feet[np.newaxis] - joints[:, np.newaxis]
    legs = legs / np.linalg.norm(legs, axis=-1, keepdims=True)
    pulls = -legs.sum(axis=1)
    size = np.linalg.norm(pulls, axis=-1)
    leans = np.abs(np.arctan2(pulls[:, 0], -pulls[:, 1]))
    worst = np.max(1 / size[leans <= turn + 1e-3])
    half = sliding.sliding_half_angle(a, a, one / (one + two), turn)
    assert 1 / (2 * cos(half)) == pytest.approx(worst, rel=5e-3)


@given(ANGLE, ANGLE, span(0, 1), TURN)
def test_unknown_lengths_are_the_worst_of_all_lengths(a, b, first, turn):
    assume(max(a, b) + turn < pi / 2)
    worst = max(sliding.sliding_half_angle(a, b, w, turn) for w in (0, 1))
    assert worst == pytest.approx(max(a, b) + turn, rel=1e-9)
    assert sliding.sliding_half_angle(a, b, first, turn) <= worst * (1 + 1e-12)


@given(ANGLE, ANGLE, span(0, 1), TURN, TURN)
def test_more_turn_never_narrows_a_sliding_pair(a, b, first, one, other):
    less, more = sorted((one, other))
    narrow, wide = (sliding.sliding_half_angle(a, b, first, t) for t in (less, more))
    assert narrow <= wide * (1 + 1e-12)
    mirrored = sliding.sliding_half_angle(b, a, 1 - first, more)
    assert mirrored == pytest.approx(wide, rel=1e-9)


@settings(max_examples=40)
@given(span(0.1, 1.2), LONG, LONG, span(0, 0.25))
@example(a=1.125, one=1.0, two=1.0, turn=0.25)  # a turn of eight steps is too coarse there
@example(a=1.2, one=1.0, two=1.0, turn=0.25)
def test_a_sliding_pair_in_space_is_the_rule_for_two(a, one, two, turn):
    """Leaned a little further in their plane; out of it the plane swings."""
    legs = [(-sin(a), 0, cos(a)), (sin(a), 0, cos(a))]
    low, high = (
        1 / (2 * cos(sliding.sliding_half_angle(a, a, one / (one + two), t)))
        for t in (turn, atan(tan(turn) / WIDER))
    )
    # The worst lean within the turn may lie between those tried, where the share hardly bends.
    found = sliding.sliding_share(legs, (one, two), turn)
    assert low * (1 - 5e-3) <= found <= high * (1 + 1e-9)


def lowest(feet, cord, pull):
    """How far the joint can go along a pull: points where the sling is tight, ever closer."""
    middle = feet.mean(axis=0)
    first = unit(np.cross(pull, (0.3, 1, 0.2)))
    frame = np.array([first, np.cross(pull, first), pull])
    at, wide = np.zeros(2), 1.0
    for _ in range(60):
        steps = at + wide * np.stack(np.meshgrid(*[np.linspace(-1, 1, 7)] * 2), -1).reshape(-1, 2)
        ways = np.column_stack([steps, np.ones(len(steps))]) @ frame
        ways /= np.linalg.norm(ways, axis=1, keepdims=True)
        short, long = np.zeros(len(ways)), np.full(len(ways), cord)
        for _ in range(60):
            half = (short + long) / 2
            joint = middle + half[:, np.newaxis] * ways
            used = np.linalg.norm(joint[:, np.newaxis] - feet, axis=-1).sum(axis=1)
            short, long = np.where(used < cord, half, short), np.where(used < cord, long, half)
        far = (middle + short[:, np.newaxis] * ways) @ pull
        best = int(np.argmax(far))
        at, wide = steps[best], wide * 0.7
    return far[best]


def test_sliding_legs_in_space_by_virtual_work():
    """Rope paid out by ds lowers the load by dh: t ds = T dh. The joint is looked for as the
    lowest point that the sling lets it reach, for every lean that is tried."""
    draw = np.random.default_rng(13)
    tried = 0
    while tried < 3:
        around = np.arange(3) * 2 * pi / 3 + draw.uniform(-0.4, 0.4, 3)
        off = draw.uniform(0.2, 0.8, 3)
        legs = np.column_stack([np.sin(off) * np.cos(around), np.sin(off) * np.sin(around),
                                np.cos(off)])  # fmt: skip
        long, turn = draw.uniform(0.8, 1.6, 3), 0.15
        axis = -unit(legs.sum(axis=0))
        first = unit(np.cross(axis, (1, 0, 0)))
        second = np.cross(axis, first)
        feet, cord, worst = legs * long[:, np.newaxis], long.sum(), 0.0
        for way in np.arange(0, 2 * pi, pi / 6):
            pull = cos(turn) * axis + sin(turn) * (cos(way) * first + sin(way) * second)
            step = 1e-4
            deeper = lowest(feet, cord + step, pull) - lowest(feet, cord - step, pull)
            worst = max(worst, deeper / (2 * step))
        found = sliding.sliding_share([tuple(leg) for leg in legs], list(long), turn)
        assert worst * (1 - 1e-4) <= found <= worst * 1.01
        tried += 1


@given(st.lists(LONG, min_size=3, max_size=3), span(0.1, 1))
def test_legs_that_slide_share_as_ever_where_nothing_turns(long, lean):
    around = (0, 2, 4.2)
    legs = [(sin(lean) * cos(way), sin(lean) * sin(way), cos(lean)) for way in around]
    assert sliding.sliding_share(legs, long, 0) == pytest.approx(
        anchors.equalised_share(legs), rel=1e-9
    )


def test_a_joint_that_would_run_against_a_foot_is_refused():
    """A leg of 1 cm between two of 2 m cannot follow a turn of 40 degrees."""
    legs = [(0.3, 0, 1), (-0.3, 0, 1), (0.0, 0.2, 1)]
    with pytest.raises(ValueError, match="turn must be one that leaves the joint clear"):
        sliding.sliding_share(legs, [2, 2, 0.01], 0.7)
    with pytest.raises(ValueError, match="equally many, found 3 and 2"):
        sliding.sliding_share(legs, [2, 2], 0.1)


def test_the_half_angle_of_legs_apart_lies_between_theirs():
    """By hand, equal lengths at 20° and 40°: sin β = (sin 20° + sin 40°)/2."""
    a, b = np.radians(20), np.radians(40)
    half = sliding.sliding_half_angle(a, b, 0.5, 0)
    assert half == pytest.approx(asin((sin(a) + sin(b)) / 2), rel=1e-12)
    assert a < half < b
