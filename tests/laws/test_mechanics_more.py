"""Laws and second routes: anchors in space, slip, swing, wind, hauling, heat, clearance, kit."""

from itertools import combinations, permutations
from math import asin, cos, hypot, inf, isclose, pi, sin, sqrt

import mpmath
import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from riskdoc.mechanics import anchors, clearance, fall, hauling, heat, kit, stretch, swing, wind
from riskdoc.mechanics.loads import STANDARD_GRAVITY, weight

DOWN = (0.0, 0.0, -1.0)


def span(low, high):
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


# --- anchors in space -------------------------------------------------------------------------

# Steps of a twentieth: legs that differ by a rounding have no shares worth comparing.
PART = st.integers(-20, 20).map(lambda n: n / 20)
DIRECTION = st.tuples(PART, PART, PART).filter(lambda u: hypot(*u) > 0.2)
HANGING = st.tuples(PART, PART, st.integers(6, 20).map(lambda n: n / 20))  # anchors above the joint
STIFF = span(0.05, 20)


def unit(vector):
    return np.asarray(vector, dtype=float) / hypot(*vector)


def left_over(pull, directions, shares):
    """What the legs do not balance of a pull of 1."""
    return unit(pull) + sum(
        share * unit(each) for share, each in zip(shares, directions, strict=True)
    )


@st.composite
def anchors_that_hold(draw, least=1, most=5):
    """Legs, stiffnesses, and a pull that some mixture of the legs balances."""
    count = draw(st.integers(least, most))
    legs = [draw(DIRECTION) for _ in range(count)]
    mixture = [draw(st.one_of(st.just(0.0), span(0.1, 1))) for _ in range(count)]
    pull = -sum(part * unit(leg) for part, leg in zip(mixture, legs, strict=True))
    assume(hypot(*pull) > 0.2)
    return tuple(pull), legs, [draw(STIFF) for _ in range(count)]


@given(anchors_that_hold())
def test_legs_and_pull_sum_to_nothing_and_no_leg_pushes(anchor):
    pull, legs, stiffnesses = anchor
    shares = anchors.fixed_shares(pull, legs, stiffnesses)
    assert left_over(pull, legs, shares) == pytest.approx([0, 0, 0], abs=1e-9)
    assert all(share >= 0 for share in shares)


@given(anchors_that_hold(least=2, most=4))
def test_legs_in_another_order_carry_the_same(anchor):
    pull, legs, stiffnesses = anchor
    shares = anchors.fixed_shares(pull, legs, stiffnesses)
    for order in permutations(range(len(legs))):
        again = anchors.fixed_shares(
            pull, [legs[at] for at in order], [stiffnesses[at] for at in order]
        )
        assert again == pytest.approx([shares[at] for at in order], rel=1e-6, abs=1e-6)


@given(st.lists(st.tuples(HANGING, STIFF), min_size=3, max_size=6), st.data())
def test_shares_against_balance_and_compatibility_in_one_system(legs, data):
    """For the legs that pull, T_i + k_i u_i·δ = 0 and Σ T_i u_i = -p, solved by NumPy for T and δ.

    Those that carry nothing must not have become longer: -u·δ <= 0. Both together prove the
    answer: the work is convex in δ.
    """
    units = np.array([unit(leg) for leg, _ in legs])
    stiffness = np.array([k for _, k in legs])
    mixture = np.array([data.draw(span(0, 1)) for _ in legs])
    pull = -mixture @ units
    assume(hypot(*pull) > 0.1)
    pull = pull / hypot(*pull)
    shares = np.array(anchors.fixed_shares(pull, list(units), list(stiffness)))
    pulling = shares > 1e-9
    active, k = units[pulling], stiffness[pulling]
    assume(len(active) >= 3 and np.linalg.svd(active)[1][2] > 0.05)  # else δ is not settled
    count = len(active)
    system = np.zeros((count + 3, count + 3))
    system[:count, :count], system[:count, count:] = np.eye(count), k[:, np.newaxis] * active
    system[count:, :count] = active.T
    solved = np.linalg.solve(system, np.concatenate([np.zeros(count), -pull]))
    assert shares[pulling] == pytest.approx(solved[:count], rel=1e-7, abs=1e-9)
    longer = -units[~pulling] @ solved[count:]
    assert np.all(longer <= 1e-7)


@given(st.lists(DIRECTION, min_size=3, max_size=3), st.lists(span(0, 1), min_size=3, max_size=3),
       st.lists(STIFF, min_size=3, max_size=3))  # fmt: skip
def test_three_independent_legs_are_settled_by_balance_alone(legs, mixture, stiffnesses):
    """Three equations, three unknowns: the stiffnesses make no difference."""
    units = np.array([unit(leg) for leg in legs])
    assume(abs(np.linalg.det(units)) > 0.05)
    pull = -np.array(mixture) @ units
    assume(hypot(*pull) > 0.05)
    pull = pull / hypot(*pull)
    expected = np.linalg.solve(units.T, -pull)
    for k in (stiffnesses, [1.0, 1.0, 1.0], stiffnesses[::-1]):
        shares = anchors.fixed_shares(pull, legs, k)
        assert shares == pytest.approx(expected, rel=1e-9, abs=1e-9)


@given(span(0.05, 1.5), span(0.05, 1.5), STIFF, STIFF, span(0, 2 * pi))
def test_two_legs_in_a_plane_are_the_rule_for_two_legs(a, b, first, second, heading):
    """In any upright plane: three equations for two legs, of which one says nothing."""
    aside = np.array([cos(heading), sin(heading), 0])
    up = np.array([0, 0, 1])
    legs = [sin(a) * aside + cos(a) * up, -sin(b) * aside + cos(b) * up]
    shares = anchors.fixed_shares(DOWN, legs, [first, second])
    assert shares == pytest.approx(anchors.two_leg(1.0, a, b), rel=1e-9, abs=1e-9)


@given(st.lists(STIFF, min_size=1, max_size=6), DIRECTION)
def test_parallel_legs_share_by_stiffness(stiffnesses, direction):
    pull = [-part for part in direction]
    shares = anchors.fixed_shares(pull, [direction] * len(stiffnesses), stiffnesses)
    assert shares == pytest.approx([k / sum(stiffnesses) for k in stiffnesses], rel=1e-9)


@given(st.lists(span(0.05, 1.4), min_size=2, max_size=5), st.lists(STIFF, min_size=5, max_size=5))
def test_a_slack_leg_changes_nothing_for_the_others(angles, stiffnesses):
    """Fans either side of a pull straight down; a leg to an anchor below the joint hangs loose."""
    fan = [(sin(a) * (-1) ** at, 0.0, cos(a)) for at, a in enumerate(angles)]
    k = stiffnesses[: len(fan)]
    alone = anchors.fixed_shares(DOWN, fan, k)
    more = anchors.fixed_shares(DOWN, [*fan, (0.0, 0.3, -1.0)], [*k, 5.0])
    assert more[:-1] == pytest.approx(alone, rel=1e-9, abs=1e-9)
    assert more[-1] == 0


def test_a_leg_that_was_slack_alone_may_pull_when_another_is_slack():
    """Dropping every leg that pushes, all at once, is not enough: one must come back.

    Found by trying random legs, then proved: of every set of legs that balances by pulling
    alone (solved set by set, least squares weighed by stiffness), the least Σ T²/k.
    """
    tried, differed = 0, 0
    draw = np.random.default_rng(7)
    while tried < 200:
        units = np.array([unit(each) for each in draw.normal(size=(5, 3))])
        k = draw.uniform(0.05, 20, 5)
        pull = -unit(draw.uniform(0, 1, 5) @ units)
        work, expected = inf, None
        for legs in (list(c) for n in range(1, 6) for c in combinations(range(5), n)):
            spring = (units[legs].T * k[legs]) @ units[legs]
            give = np.linalg.lstsq(spring, pull, rcond=1e-12)[0]
            pulls = -k[legs] * (units[legs] @ give)
            balances = np.allclose(pulls @ units[legs], -pull, atol=1e-9)
            if balances and pulls.min() >= -1e-12 and np.sum(pulls**2 / k[legs]) < work:
                work, expected = np.sum(pulls**2 / k[legs]), np.zeros(5)
                expected[legs] = pulls
        shares = anchors.fixed_shares(pull, list(units), list(k))
        assert shares == pytest.approx(expected, abs=1e-7)
        left = list(range(5))  # all that push dropped at once, never to return
        while True:
            give = np.linalg.lstsq((units[left].T * k[left]) @ units[left], pull, rcond=None)[0]
            pulls = -k[left] * (units[left] @ give)
            if pulls.min() >= 0:
                break
            left = [leg for leg, each in zip(left, pulls, strict=True) if each >= 0]
        short = np.zeros(5)
        short[left] = pulls
        differed += not np.allclose(short, expected, atol=1e-6)
        tried += 1
    assert differed >= 5


@pytest.mark.parametrize(
    ("pull", "legs"),
    [
        ((1, 0, 0), [(0, 0, 1)]),  # across a single leg
        ((0, 0, 1), [(0, 0, 1)]),  # toward its anchor
        ((0, 1, -1), [(1, 0, 1), (-1, 0, 1)]),  # out of the plane of two
        ((1, 0, -0.1), [(1, 0, 1), (-0.1, 0, 1)]),  # in their plane, outside them
        ((0, 0, 1), [(1, 0, 1), (-1, 1, 1), (-1, -1, 1), (0, 0, 1)]),
    ],
)
def test_a_pull_that_legs_cannot_hold_is_refused(pull, legs):
    with pytest.raises(ValueError, match="pull must be one that legs hold by pulling alone"):
        anchors.fixed_shares(pull, legs, [1.0] * len(legs))


def test_one_corner_that_cannot_be_held_refuses_the_array():
    """Never a number for one and silence for the other."""
    with pytest.raises(ValueError, match="pull must be one that legs hold"):
        anchors.fixed_shares((np.array([0.0, 5.0]), 0, -1), [(1, 0, 1), (-1, 0, 1)], [1, 1])


@given(st.lists(anchors_that_hold(least=3, most=3), min_size=2, max_size=4))
def test_arrays_of_anchors_are_solved_one_by_one(cases):
    """Every component of every vector, and every stiffness, may be an array."""
    pulls = np.array([case[0] for case in cases])
    legs = np.array([case[1] for case in cases])
    stiffnesses = np.array([case[2] for case in cases])
    together = anchors.fixed_shares(
        tuple(pulls.T), [tuple(legs[:, at].T) for at in range(3)], list(stiffnesses.T)
    )
    for at, case in enumerate(cases):
        alone = anchors.fixed_shares(*case)
        assert [leg[at] for leg in together] == pytest.approx(alone, rel=1e-9, abs=1e-9)


def test_counts_and_sizes_of_vectors_must_fit():
    one = [(0, 0, 1)]
    with pytest.raises(ValueError, match="equally many, found 1 and 2"):
        anchors.fixed_shares(DOWN, one, [1, 1])
    with pytest.raises(ValueError, match="directions must be 1 to 12, found 0"):
        anchors.equalised_share([])
    with pytest.raises(ValueError, match="directions must be 1 to 12, found 13"):
        anchors.fixed_shares(DOWN, one * 13, [1] * 13)
    with pytest.raises(ValueError, match="direction 1 must be three numbers, found 2"):
        anchors.equalised_share([(0, 1)])
    with pytest.raises(ValueError, match=r"size of pull must be above 0, found 0\.0"):
        anchors.fixed_shares((0, 0, 0), one, [1])
    with pytest.raises(ValueError, match="tensions and lengths must be equally many"):
        stretch.sink([1, 2], [1], 1)
    with pytest.raises(ValueError, match="one or more, found 0 and 0"):
        stretch.sink([], [], 1)


@given(st.lists(HANGING, min_size=1, max_size=6), span(0.001, 1000))
def test_equal_legs_balance_the_pull_along_their_sum(legs, scale):
    """t Σ u has the size of the pull; the length that a direction is written with is nothing."""
    share = anchors.equalised_share(legs)
    total = share * sum(unit(leg) for leg in legs)
    assert hypot(*total) == pytest.approx(1, rel=1e-12)
    assert share >= 1 / len(legs) * (1 - 1e-12)
    longer = [tuple(scale * part for part in leg) for leg in legs]
    assert anchors.equalised_share(longer) == pytest.approx(share, rel=1e-12)


def test_legs_that_only_pull_against_each_other_hold_nothing():
    with pytest.raises(ValueError, match="sum of directions must be at least 1e-10"):
        anchors.equalised_share([(1, 0, 0), (-1, 0, 0)])


@given(span(0, 50e3), DIRECTION, span(0, 50e3), DIRECTION)
def test_redirect_has_the_size_of_the_sum_of_two_vectors(t_in, u_in, t_out, u_out):
    between = np.arctan2(hypot(*np.cross(unit(u_in), unit(u_out))), unit(u_in) @ unit(u_out))
    size = hypot(*(t_in * unit(u_in) + t_out * unit(u_out)))
    found = anchors.redirect_resultant(t_in, t_out, pi - between)
    assert found == pytest.approx(size, rel=1e-9, abs=1e-6)


# --- slip -------------------------------------------------------------------------------------

FALLS = {
    "mass": span(40, 250), "free": span(0, 6), "slip": span(2600, 12e3),
    "effective": span(0.2, 60), "modulus": span(8e3, 100e3), "strands": st.integers(1, 3),
}  # fmt: skip


@given(st.fixed_dictionaries(FALLS))
def test_slip_keeps_the_energy(case):
    """m g (h + x + s) = F x/2 + F_s s with x at the force that is reached; slips only at F_s."""
    load, factor = weight(case["mass"]), case["free"] / case["effective"]
    rope = {name: case[name] for name in ("effective", "modulus", "strands")}
    peak = fall.peak_force(case["mass"], case["modulus"], factor, case["strands"])
    force, s = fall.capped_peak(peak, case["slip"]), fall.slip_distance(**case)
    x = fall.peak_stretch(force, **rope)
    lost = load * (case["free"] + x + s)
    assert lost == pytest.approx(force * x / 2 + case["slip"] * s, rel=1e-9)
    if peak < case["slip"] * (1 - 1e-9):
        assert s == 0
    if peak > case["slip"] * (1 + 1e-6):
        assert s > 0
        assert x == fall.slip_stretch(case["slip"], **rope)


@pytest.mark.parametrize(
    ("mass", "free", "slip", "effective", "modulus", "strands"),
    [
        (100, 0.6, 2500, 10, 20e3, 1),
        (100, 2.0, 4000, 5, 30e3, 1),
        (200, 0.5, 4000, 14, 28e3, 2),
        (98, 0, 1500, 15.5, 28.8e3, 1),  # not a fall at all: 2 m g is above it
        (98, 0.6, 4000, 15.5, 28.8e3, 1),  # the rope alone does it
    ],
)
def test_slip_against_stepping_in_time(mass, free, slip, effective, modulus, strands):
    """Newton's law: a spring to F_s, then F_s and no more, until the load stands."""
    g, stiffness = STANDARD_GRAVITY, strands * modulus / effective
    down, v, dt = 0.0, sqrt(2 * g * free), sqrt(mass / stiffness) / 20_000

    def pull(at):
        return min(stiffness * at, slip) / mass

    while v >= 0:
        v_half = v + (g - pull(down)) * dt / 2
        down += v_half * dt
        v = v_half + (g - pull(down)) * dt / 2
    peak = fall.peak_force(mass, modulus, free / effective, strands)
    x = fall.peak_stretch(fall.capped_peak(peak, slip), effective, modulus, strands)
    s = fall.slip_distance(mass, free, slip, effective, modulus, strands)
    assert x + s == pytest.approx(down, rel=1e-6)
    assert s == pytest.approx(max(0.0, down - slip / stiffness), rel=1e-5, abs=1e-6)


@given(st.fixed_dictionaries(FALLS), span(1.001, 2))
def test_a_device_that_slips_sooner_slips_further(case, more):
    """And so does a heavier load, and a longer fall; in all the load goes down further."""
    s = fall.slip_distance(**case)
    assert fall.slip_distance(**{**case, "slip": case["slip"] * more}) <= s
    for name in ("mass", "free"):
        greater = {**case, name: case[name] * more}
        if greater["slip"] > weight(greater["mass"]):
            assert fall.slip_distance(**greater) >= s


def test_a_device_that_cannot_hold_the_load_still_is_refused():
    with pytest.raises(ValueError, match=r"slip - mass g must be above 0, found -19\.335"):
        fall.slip_distance(200, 0, 1941.995, 10, 20e3)


@given(st.fixed_dictionaries(FALLS))
def test_slip_against_fifty_digits(case):
    with mpmath.workdps(50):
        names = ("mass", "free", "slip", "effective", "modulus", "strands")
        m, h, f, length, modulus, k = (mpmath.mpf(case[name]) for name in names)
        load, x = m * mpmath.mpf(STANDARD_GRAVITY), f * length / (k * modulus)
        expected = max(mpmath.mpf(0), (load * (h + x) - f * x / 2) / (f - load))
    found = fall.slip_distance(**case)
    assert found == pytest.approx(float(expected), rel=1e-8, abs=1e-9)


def test_slip_in_an_array_is_nothing_only_where_the_rope_does_it():
    found = fall.slip_distance(100, np.array([0.0, 4.0]), 4000, 10, 20e3)
    assert found[0] == 0
    assert found[1] > 0


# --- sink, clearance, kit ---------------------------------------------------------------------


@given(st.lists(st.tuples(span(0, 10e3), span(0, 100)), min_size=1, max_size=5), span(5e3, 1e5))
def test_sink_is_the_sum_of_its_segments(segments, modulus):
    tensions, lengths = zip(*segments, strict=True)
    expected = sum(tension * length for tension, length in segments) / (2 * modulus)
    found = stretch.sink(tensions, lengths, modulus, strands=2)
    assert found == pytest.approx(expected, rel=1e-12, abs=1e-300)


@given(st.lists(span(0, 50), min_size=5, max_size=5), st.integers(0, 4), span(0.01, 5))
def test_each_part_of_the_clearance_counts_once(parts, which, more):
    longer = [part + more * (at == which) for at, part in enumerate(parts)]
    assert clearance.clearance_needed(*parts) == pytest.approx(sum(parts), rel=1e-12)
    gained = clearance.clearance_needed(*longer) - clearance.clearance_needed(*parts)
    assert gained == pytest.approx(more, rel=1e-6)


@given(span(0, 100), span(0, 100))
def test_what_a_drop_leaves_and_what_hangs_below_are_the_drop(drop, below):
    left = clearance.height_left(drop, below)
    assert left >= 0.001
    assert left + below == pytest.approx(max(drop, below + 0.001), rel=1e-12)


@given(span(0.004, 0.02), span(0, 300), span(0.3, 0.8))
def test_packed_rope_and_air_fill_the_bag(diameter, length, fill):
    """A square prism of the same thickness is 4/π of the rope."""
    volume = kit.packed_volume(diameter, length, fill)
    assert volume * fill * 4 / pi == pytest.approx(diameter**2 * length, rel=1e-12, abs=1e-300)


# --- swing ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("length", "reach"), [(1.0, 0.5), (10, 1), (14, 6), (3, 2.9), (5, 5), (30, 0.2)]
)
def test_swing_against_a_pendulum_stepped_in_time(length, reach):
    """d² α/dt² = -(g/d) sin α from rest; the last step cut where the rope hangs straight."""
    g, steps = STANDARD_GRAVITY, 20_000
    angle, turning, dt = asin(reach / length), 0.0, sqrt(length / g) / steps
    while angle > 0:
        before = angle, turning
        half = turning - g / length * sin(angle) * dt / 2
        angle += half * dt
        turning = half - g / length * sin(angle) * dt / 2
    part = before[0] / (before[0] - angle)
    turning = before[1] + part * (turning - before[1])
    speed = -turning * length
    assert swing.swing_speed(length, reach) == pytest.approx(speed, rel=1e-6)
    tension = 90 * (g + speed**2 / length)
    assert swing.swing_tension(90, length, reach) == pytest.approx(tension, rel=1e-6)
    assert swing.swing_drop(length, reach) == pytest.approx(speed**2 / 2 / g, rel=1e-6)


@given(span(0.5, 60), span(0, 1))
def test_swing_drop_against_fifty_digits(length, part):
    reach = length * part
    assume(reach <= length)
    with mpmath.workdps(50):
        d, x = mpmath.mpf(length), mpmath.mpf(reach)
        expected = d - mpmath.sqrt(d * d - x * x)
    near = 1e-12 if part < 0.99 else 1e-7  # at a right angle the root loses half the digits
    assert swing.swing_drop(length, reach) == pytest.approx(float(expected), rel=near)


@given(span(40, 250), span(0.5, 60), span(0, 1))
def test_swing_tension_is_between_once_and_three_times_the_weight(mass, length, part):
    tension = swing.swing_tension(mass, length, part * length)
    assert weight(mass) * (1 - 1e-12) <= tension <= 3 * weight(mass) * (1 + 1e-12)
    assert swing.swing_tension(mass, length, 0) == weight(mass)
    assert swing.swing_tension(mass, length, length) == pytest.approx(3 * weight(mass), rel=1e-12)


def test_a_reach_longer_than_the_rope_is_refused():
    with pytest.raises(ValueError, match="length - reach must be at least 0, found"):
        swing.swing_drop(5, 5.01)


# --- wind -------------------------------------------------------------------------------------


@given(span(0, 60), span(0.1, 3), span(0.9, 1.4), span(0.1, 3))
def test_wind_by_the_square_of_the_speed(speed, area, density, times):
    once = wind.wind_force(speed, area, density)
    assert wind.wind_force(times * speed, area, density) == pytest.approx(
        times**2 * once, rel=1e-9, abs=1e-300
    )
    assert wind.wind_force(2 * speed, area, density) == pytest.approx(4 * once, rel=1e-12)


@given(span(1, 40), span(500, 3000))
def test_wind_against_the_momentum_of_the_air_it_stops(speed, load):
    """Air stopped on an area gives up ρ A v · v; half of that at a drag coefficient of 1."""
    stopped = 1.225 * 0.7 * speed * speed
    force = wind.wind_force(speed, 0.7, 1.225)
    assert 2 * force == pytest.approx(stopped, rel=1e-12)
    # the rope points along the sum of push and weight: no moment about the pivot
    x = wind.wind_offset(force, load, 14.0)
    assert force * 14.0 - load * x == pytest.approx(0, abs=1e-9 * load)


@given(span(0, 80), span(0, 80))
def test_a_stronger_wind_never_has_a_lower_number(one, other):
    low, high = sorted((one, other))
    assert 0 <= wind.beaufort(low) <= wind.beaufort(high) <= 12
    assert type(wind.beaufort(low)) is int


def test_beaufort_begins_where_the_empirical_law_says():
    """v = 0.836 B^1.5 m/s is the middle of force B, from memory of the trade: all within it."""
    middles = np.array([0.836 * force**1.5 for force in range(13)])
    assert wind.beaufort(middles).tolist() == list(range(13))
    assert wind.beaufort(np.nextafter(wind.BEAUFORT_FROM, 0)).tolist() == list(range(12))


# --- hauling ----------------------------------------------------------------------------------

ETA = span(0.3, 1)


def system(strands, eta, fixed_end):
    """Tensions of the strands between anchor and load, and of the haulers' strand, by walking it.

    The haulers pull with 1. Each pulley passes on η of what comes to it.
    """
    hauled, here, drawing = 1.0, 1.0, []
    if fixed_end:
        here *= eta
    for _ in range(strands):
        drawing.append(here)
        here *= eta
    return hauled, drawing


@given(st.integers(1, 12), ETA, st.booleans())
def test_advantage_and_anchor_by_walking_the_rope(strands, eta, fixed_end):
    """On the load: every strand. On the anchor: those, less the haulers' own, or with it."""
    hauled, drawing = system(strands, eta, fixed_end)
    load = sum(drawing)
    assert hauling.advantage(strands, eta, fixed_end) == pytest.approx(load, rel=1e-12)
    on_anchor = load + hauled if fixed_end else sum(drawing[1:])
    found = hauling.system_anchor_force(load, hauled, fixed_end)
    assert found == pytest.approx(on_anchor, rel=1e-9, abs=1e-12)


@given(st.integers(1, 40), span(1e-15, 0.9), st.booleans())
def test_advantage_against_fifty_digits(strands, lost, fixed_end):
    """Near η = 1 the series is a difference of nearly equal numbers."""
    eta = 1 - lost
    with mpmath.workdps(50):
        e = mpmath.mpf(eta)
        expected = mpmath.fsum(e**power for power in range(strands)) * (e if fixed_end else 1)
    assert hauling.advantage(strands, eta, fixed_end) == pytest.approx(float(expected), rel=1e-13)


def test_without_friction_n_strands_gain_n_and_with_it_no_number_gains_all():
    """1 + η + η² + ... never passes 1/(1 - η)."""
    many = np.arange(1.0, 13.0)
    assert hauling.advantage(many, 1.0, False).tolist() == many.tolist()
    assert hauling.advantage(many, 1.0, True).tolist() == many.tolist()
    for eta in (0.5, 0.8, 0.9):
        assert hauling.advantage(10_000, eta, False) == pytest.approx(1 / (1 - eta), rel=1e-12)
        assert np.all(hauling.advantage(many, eta, False) < 1 / (1 - eta))


@given(st.integers(1, 10), ETA, ETA)
def test_better_pulleys_never_gain_less(strands, one, other):
    worse, better = sorted((one, other))
    for fixed_end in (False, True):
        low, high = (hauling.advantage(strands, eta, fixed_end) for eta in (worse, better))
        assert low <= high * (1 + 1e-12)
        assert high <= strands * (1 + 1e-12)


def test_half_a_strand_is_refused():
    with pytest.raises(ValueError, match=r"strands must be a whole number, found 2\.5"):
        hauling.advantage(2.5, 0.9, False)
    with pytest.raises(ValueError, match="advantages must be one or more, found none"):
        hauling.compound()


@given(st.lists(st.tuples(st.integers(1, 5), ETA), min_size=1, max_size=4), span(1, 20e3))
def test_stages_one_behind_the_other(stages, tension):
    """The effort of each stage is the load of the next."""
    gains = [hauling.advantage(strands, eta, False) for strands, eta in stages]
    pull = tension
    for gain in gains:
        pull = hauling.effort(pull, gain)
    assert hauling.effort(tension, hauling.compound(*gains)) == pytest.approx(pull, rel=1e-12)


@given(span(0, 5000), span(50, 500))
def test_haulers_are_enough_and_one_fewer_is_not(effort, pull_each):
    count = hauling.haulers_needed(effort, pull_each)
    assert count == round(count)
    assert count * pull_each >= effort
    assert count == 0 or (count - 1) * pull_each < effort * (1 + 1e-12)


def test_a_quotient_that_rounds_to_whole_still_needs_one_more():
    """Just above 5 × 50.2: the quotient is exactly 5, and five pull too little."""
    effort = np.nextafter(5 * 50.2, inf)
    assert effort / 50.2 == 5
    assert hauling.haulers_needed(effort, 50.2) == 6


@given(st.integers(1, 12), st.integers(1, 9), ETA)
def test_a_jam_is_never_less_than_the_same_team_hauls(haulers, strands, eta):
    jam = hauling.jam_force(haulers, 225, strands)
    hauls = haulers * 225 * hauling.advantage(strands, eta, False)
    assert jam >= hauls * (1 - 1e-12)
    assert jam == pytest.approx(225 * haulers * strands, rel=1e-12)


# --- heat -------------------------------------------------------------------------------------


@given(span(40, 250), span(1, 200), span(0.05, 2), span(0.1, 3))
def test_heat_of_a_descent_by_power_and_time(mass, height, speed, device):
    """m g v for as long as the descent takes; warming the device by that costs M c ΔT."""
    energy = heat.descent_energy(mass, height)
    assert heat.power(weight(mass), speed) * (height / speed) == pytest.approx(energy, rel=1e-9)
    rise = heat.temperature_rise(energy, 1.0, device, 900)
    assert device * 900 * rise == pytest.approx(energy, rel=1e-9)
    half = heat.temperature_rise(energy, 0.5, device, 900)
    assert isclose(2 * half, rise, rel_tol=1e-12)


@given(span(10, 5000), span(0, 1), span(0, 3.1), span(0.05, 2))
def test_edge_heat_against_friction_summed_along_the_arc(low, mu, turn, speed):
    """∫ µ T v dβ with T growing by the capstan law, by midpoints of 2000 strips."""
    at = (np.arange(2000) + 0.5) / 2000 * turn
    summed = np.sum(mu * low * np.exp(mu * at)) * turn / 2000 * speed
    found = heat.edge_power(low * np.exp(mu * turn), low, speed)
    assert found == pytest.approx(summed, rel=1e-5, abs=1e-6)
