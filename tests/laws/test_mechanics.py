"""Laws the equations must obey, second routes to their numbers, and their bounds."""

import inspect
from math import atan, atan2, cos, exp, hypot, pi, radians, sin, sqrt

import mpmath
import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from riskdoc.mechanics import (
    anchors,
    clearance,
    exposure,
    fall,
    friction,
    hauling,
    heat,
    kit,
    loads,
    movement,
    sliding,
    strength,
    stretch,
    sweep,
    swing,
    triangular,
    turned,
    wind,
)

MODULES = (
    anchors, clearance, exposure, fall, friction, hauling, heat, kit, loads, movement, sliding,
    strength, stretch, sweep, swing, triangular, turned, wind,
)  # fmt: skip


def span(low, high):
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


MU = span(0, 1)
TURN = span(0, 3 * pi)  # with µ 0..1 the ratio may pass 10 000: assume() below
EDGE_TURN = span(0, pi)
LEG = span(0.01, 1.5)
TENSION = span(0.1, 50e3)
LENGTH = span(0.05, 200)


# --- friction ---------------------------------------------------------------------------------


@given(MU, TURN, TURN)
def test_angles_in_series_add(mu, first, second):
    assume(mu * (first + second) < 9)
    together = friction.capstan_ratio(mu, first + second)
    apart = friction.capstan_ratio(mu, first) * friction.capstan_ratio(mu, second)
    assert together == pytest.approx(apart, rel=1e-12)


@given(MU, TURN)
def test_raising_and_lowering_are_inverse_and_holding_is_neither(mu, turn):
    assume(mu * turn < 9)
    up = friction.signed_ratio(mu, turn, 1)
    assert up * friction.signed_ratio(mu, turn, -1) == pytest.approx(1, rel=1e-12)
    assert friction.signed_ratio(mu, turn, 0) == 1
    assert up >= 1


@given(MU, TURN)
def test_capstan_against_fifty_digits(mu, turn):
    assume(mu * turn < 9)
    with mpmath.workdps(50):
        expected = mpmath.exp(mpmath.mpf(mu) * mpmath.mpf(turn))
    assert friction.capstan_ratio(mu, turn) == pytest.approx(float(expected), rel=1e-14)


@given(MU, span(0, 2 * pi), st.sampled_from([-1, 1]))
def test_capstan_against_stepping_along_the_bend(mu, turn, sense):
    """dT = ± µ T dβ by the trapezium rule: (1 + h/2)/(1 - h/2) a step, error h³/12 each."""
    steps, tension = 2000, 1.0
    half = sense * mu * turn / steps / 2
    for _ in range(steps):
        tension *= (1 + half) / (1 - half)
    assert friction.signed_ratio(mu, turn, sense) == pytest.approx(tension, rel=1e-5)


@given(span(0.001, 1), span(0.1, 9))
def test_equivalent_friction_gives_the_ratio_back(mu, turn):
    ratio = friction.capstan_ratio(mu, turn)
    assert friction.equivalent_friction(ratio, turn) == pytest.approx(mu, rel=1e-9)


@given(span(0.3, 1), span(0.01, pi))
def test_the_friction_of_a_sheave_balances_its_bearing(efficiency, turn):
    """T_high - T_low = c R; half a turn gives c, for R = T_high + T_low there."""
    ratio = exp(friction.sheave_friction(efficiency, turn) * turn)
    c = (1 / efficiency - 1) / (1 / efficiency + 1)
    assert ratio - 1 == pytest.approx(c * hypot(ratio * cos(turn) - 1, ratio * sin(turn)), abs=1e-9)


@given(span(0.3, 1), span(0.01, pi), span(0.01, pi))
def test_a_sheave_costs_more_the_more_it_turns_and_less_by_the_radian(efficiency, one, other):
    less, more = sorted((one, other))
    mu, nu = (friction.sheave_friction(efficiency, turn) for turn in (less, more))
    assert mu * less <= nu * more + 1e-12
    assert mu >= nu - 1e-12
    assert mu <= friction.sheave_friction(efficiency, 0) + 1e-12


def test_degrees_are_refused():
    """exp(0.3 × 90) is 5e11: no rope does that."""
    with pytest.raises(ValueError, match="turn must be between"):
        friction.capstan_ratio(0.3, 90)
    with pytest.raises(ValueError, match=r"exp\(mu \* turn\) must be between 1 and 10000"):
        friction.capstan_ratio(0.5, 45)
    with pytest.raises(ValueError, match=r"exp\(mu \* turn\)"):
        friction.signed_ratio(0.5, 45, -1)


@given(TENSION, span(0.001, 1), EDGE_TURN)
def test_pressure_on_the_arc_sums_to_the_force_on_the_edge(tension, radius, turn):
    """Along the line that halves the bend, ∫ (T/r) cos θ r dθ; midpoints of 2000 strips."""
    angles = (np.arange(2000) + 0.5) / 2000 * turn - turn / 2
    total = tension / radius * np.sum(np.cos(angles)) * radius * turn / 2000
    assert anchors.wrapped_force(tension, turn) == pytest.approx(total, rel=1e-6, abs=1e-9)


# --- anchors ----------------------------------------------------------------------------------


@given(TENSION, LEG, LEG)
def test_legs_balance_the_pull(tension, a, b):
    """Along and across the pull, solved as two equations."""
    along_and_across = np.array([[cos(a), cos(b)], [sin(a), -sin(b)]])
    expected = np.linalg.solve(along_and_across, [tension, 0])
    assert anchors.two_leg(tension, a, b) == pytest.approx(expected, rel=1e-9)


@given(TENSION, LEG, LEG)
def test_swapping_the_legs_swaps_the_forces(tension, a, b):
    assert anchors.two_leg(tension, a, b) == anchors.two_leg(tension, b, a)[::-1]


@given(TENSION, LEG)
def test_equal_legs_by_both_rules(tension, a):
    expected = anchors.symmetric_leg(tension, 2 * a)
    assert anchors.two_leg(tension, a, a) == pytest.approx((expected, expected), rel=1e-9)


def test_legs_along_the_pull_are_refused_in_an_array_too():
    """How they share hangs on their stiffness, and no angle says it."""
    with pytest.raises(ValueError, match=r"a \+ b must be above 0, found 0\.0"):
        anchors.two_leg(2.0, np.array([0.0, 0.0]), np.array([0.0, 0.5]))


@given(span(0, 50e3), span(0, 50e3), span(0, 2 * pi))
def test_redirect_against_vectors(t_in, t_out, turn):
    x, y = t_out * cos(turn) - t_in, t_out * sin(turn)
    found = anchors.redirect_resultant(t_in, t_out, turn)
    assert found == pytest.approx(hypot(x, y), rel=1e-9, abs=1e-9)
    assert found == pytest.approx(anchors.redirect_resultant(t_out, t_in, turn), rel=1e-12)


@given(TENSION, EDGE_TURN)
def test_redirect_without_friction(tension, turn):
    expected = anchors.wrapped_force(tension, turn)
    assert anchors.redirect_resultant(tension, tension, turn) == pytest.approx(expected, rel=1e-12)


# --- strength ---------------------------------------------------------------------------------


@given(span(0, 0.2), span(0.006, 0.016))
def test_bend_factor_against_interpolation(radius, diameter):
    """Above D/d = 1 a straight line, as NumPy draws it; below, the step."""
    ratio = 2 * radius / diameter
    expected = np.interp(ratio, [1, 4], [0.6, 1.0]) if ratio >= 1 else 0.4
    assert strength.bend_factor(radius, diameter, 0.4, 0.6, 4) == pytest.approx(expected, rel=1e-9)


@given(span(0, 0.2), span(0, 0.2), span(0.006, 0.016))
def test_a_blunter_edge_never_weakens(one, other, diameter):
    sharp, blunt = sorted((one, other))
    weak, strong = strength.bend_factor(np.array([sharp, blunt]), diameter, 0.4, 0.6, 4)
    assert weak <= strong


@given(TENSION, st.permutations([0.5, 0.66, 0.8, 1.0]))
def test_factors_in_any_order_never_strengthen(full, factors):
    assert strength.derated(full, *factors) == pytest.approx(full * 0.264, rel=1e-12)
    assert strength.derated(full, *factors) <= full
    assert strength.derated(full) == full


@given(st.lists(TENSION, min_size=1, max_size=6))
def test_least_station(stations):
    assert strength.least(*stations) == sorted(stations)[0]


def test_no_station_is_no_strength():
    with pytest.raises(ValueError, match="stations must be one or more"):
        strength.least()


def test_an_unknown_station_is_never_passed_over():
    """min(nan, 2) may be 2: it must not be."""
    with pytest.raises(ValueError, match="station 2 must be at least 0, found nan"):
        strength.least(2.0, float("nan"), 3.0)


# --- stretch and fall -------------------------------------------------------------------------


@given(span(20, 300), span(5e3, 200e3), span(0.01, 2.5))
def test_modulus_is_the_inverse_of_the_peak(mass, modulus, factor):
    peak = fall.peak_force(mass, modulus, factor)
    assert stretch.modulus_from_peak(peak, mass, factor) == pytest.approx(modulus, rel=1e-6)


def test_a_peak_that_no_spring_gives_is_refused():
    sudden = 2 * 80 * loads.STANDARD_GRAVITY
    with pytest.raises(ValueError, match=r"force - 2 mass g must be above 0, found 0\.0"):
        stretch.modulus_from_peak(sudden, 80, 1)


@given(span(0.01, 10), LENGTH, span(5e3, 200e3), st.integers(1, 4))
def test_own_weight_against_the_sum_of_slices(per_metre, length, modulus, strands):
    """Each of 1000 slices stretched by what hangs below its middle: exact for a straight line."""
    slices = 1000
    hanging = per_metre * length * (np.arange(slices) + 0.5) / slices
    total = np.sum(hanging * length / slices) / (strands * modulus)
    found = stretch.own_weight_stretch(per_metre, length, modulus, strands)
    assert found == pytest.approx(total, rel=1e-9)


@given(span(20, 300), span(10e3, 100e3), span(0, 2), span(0.5, 50), st.integers(1, 3))
def test_peak_against_the_energy_at_the_lowest_point(mass, modulus, factor, effective, strands):
    """What the load has lost in height is what the spring holds: m g (h + x) = F x/2."""
    peak = fall.peak_force(mass, modulus, factor, strands)
    x = fall.peak_stretch(peak, effective, modulus, strands)
    lost = mass * loads.STANDARD_GRAVITY * (factor * effective + x)
    assert lost == pytest.approx(peak * x / 2, rel=1e-9)


@pytest.mark.parametrize(
    ("mass", "modulus", "free", "effective", "strands"),
    [
        (100, 20e3, 0, 10, 1),
        (98, 28843, 0.6, 15.487, 1),
        (200, 30e3, 4, 5, 2),
        (80, 24090, 4.6, 2.6, 1),
    ],
)
def test_peak_against_stepping_in_time(mass, modulus, free, effective, strands):
    """Newton's law for a load on a spring, small steps (velocity Verlet) to the lowest point."""
    g, stiffness = loads.STANDARD_GRAVITY, strands * modulus / effective
    x, v, dt = 0.0, sqrt(2 * g * free), sqrt(mass / stiffness) / 20_000
    while v >= 0:
        v_half = v + (g - stiffness * x / mass) * dt / 2
        x += v_half * dt
        v = v_half + (g - stiffness * x / mass) * dt / 2
    factor = fall.fall_factor(free, effective)
    assert fall.peak_force(mass, modulus, factor, strands) == pytest.approx(stiffness * x, rel=1e-6)


@given(st.lists(st.tuples(LENGTH, span(1, 5)), min_size=1, max_size=4), LENGTH, TENSION)
def test_effective_length_stretches_as_the_segments_do(beyond, first, tension):
    """Segment by segment, the tension falling at each edge away from the load."""
    modulus, here = 30e3, tension
    total = stretch.stretch(here, first, modulus)
    for length, ratio in beyond:
        here /= ratio
        total += stretch.stretch(here, length, modulus)
    lengths, ratios = [first, *(each[0] for each in beyond)], [each[1] for each in beyond]
    effective = fall.effective_length(lengths, ratios)
    assert fall.peak_stretch(tension, effective, modulus) == pytest.approx(total, rel=1e-9)
    assert first <= effective <= sum(lengths) * (1 + 1e-12)


def test_lengths_and_ratios_must_fit():
    with pytest.raises(ValueError, match="ratios must be one fewer than lengths, found 2 and 2"):
        fall.effective_length([5, 20], [1.2, 1.3])
    with pytest.raises(ValueError, match=r"effective length must be above 0, found 0\.0"):
        fall.effective_length([0, 0], [1.2])


@given(span(20, 300), span(10e3, 100e3), span(0, 2))
def test_two_strands_arrest_harder(mass, modulus, factor):
    one, two = (fall.peak_force(mass, modulus, factor, k) for k in (1, 2))
    assert two == pytest.approx(fall.peak_force(mass, 2 * modulus, factor), rel=1e-12)
    assert two >= one >= 2 * mass * loads.STANDARD_GRAVITY * (1 - 1e-12)


# --- sweep ------------------------------------------------------------------------------------

REACH, ABOVE, BELOW = span(0, 20), span(0, 20), span(0.1, 60)


def kink(y, reach, above, below):
    """Kink in the unfolded plane; a rope fixed at the edge itself cannot lean above it."""
    return atan((reach - y) / below) - atan2(y, above)


@given(REACH, ABOVE, BELOW, span(-1, 1))
def test_the_straight_line_is_the_shortest_way(reach, above, below, aside):
    y = sweep.crossing(reach, above, below)

    def way(at):
        return hypot(above, at) + hypot(below, reach - at)

    assert way(y) <= way(y + aside) * (1 + 1e-12)
    assert abs(kink(y, reach, above, below)) < 1e-9 or above == 0 or y < 1e-9


@given(REACH, span(0.001, 20), BELOW, MU, EDGE_TURN)
def test_held_crossing_against_bisection(reach, above, below, mu, turn):
    """The kink falls as y grows: halve from 0 to the straight line's crossing."""
    grip = 2 * mu * sin(turn / 2)
    limit = pi / 2 if grip >= 1 else float(mpmath.asin(grip))
    low, high = 0.0, reach * above / (above + below)
    if kink(0.0, reach, above, below) <= limit:
        high = 0.0
    for _ in range(200):
        middle = (low + high) / 2
        if kink(middle, reach, above, below) > limit:
            low = middle
        else:
            high = middle
    found = sweep.held_crossing(reach, above, below, mu, turn)
    assert found == pytest.approx(high, rel=1e-6, abs=1e-7)


@given(REACH, ABOVE, BELOW, MU, MU, EDGE_TURN)
def test_more_friction_never_lets_the_rope_go_further(reach, above, below, one, other, turn):
    less, more = sorted((one, other))
    far = sweep.held_crossing(reach, above, below, less, turn)
    near = sweep.held_crossing(reach, above, below, more, turn)
    assert 0 <= near <= far * (1 + 1e-9) + 1e-12
    assert far <= sweep.crossing(reach, above, below)


@given(REACH, ABOVE, BELOW, EDGE_TURN)
def test_without_friction_the_rope_lies_straight(reach, above, below, turn):
    expected = sweep.crossing(reach, above, below)
    assert sweep.held_crossing(reach, above, below, 0, turn) == pytest.approx(expected, rel=1e-12)
    assert sweep.held_crossing(reach, above, below, 1, 0) == pytest.approx(expected, rel=1e-12)


@given(REACH, ABOVE, BELOW)
def test_full_grip_holds_any_kink(reach, above, below):
    """2 µ sin(turn/2) of 1 and more: the limit is a right angle, which no reach makes."""
    for mu, turn in ((0.5, pi), (1.0, pi), (1.0, pi / 3)):
        assert sweep.kink_limit(mu, turn) == pytest.approx(pi / 2, abs=3e-8)
    assert sweep.held_crossing(reach, above, below, 1.0, pi) == 0


@given(span(0, 5), span(0, 5))
def test_cover_and_bare_make_up_the_sweep(width, way):
    share = sweep.covered(width, way)
    assert 0 <= share <= 1
    assert share * way == pytest.approx(min(width, way), rel=1e-12, abs=1e-300)


# --- movement and exposure --------------------------------------------------------------------


@given(span(0, 1), span(100, 3000), span(0, 50), span(0.0005, 0.2), EDGE_TURN, st.integers(1, 3))
def test_sawing_counts_the_lesser_of_stretch_and_arc(bounce, load, above, radius, turn, strands):
    found = movement.sawing_distance(bounce, load, above, 30e3, radius, turn, 6.0, strands)
    by_stretch = 12 * stretch.stretch(bounce * load, above, 30e3, strands)
    by_arc = 12 * radius * turn  # 6 steps, there and back
    assert found == pytest.approx(min(by_stretch, by_arc), rel=1e-12, abs=1e-300)


REFERENCE = {
    "tension": 1000.0, "share": 1.0, "distance": 1.0, "turn": pi / 2, "radius": 0.005,
    "surface": 1.0, "movement": 1.0, "credit": 0.0, "diameter": 0.011, "fibre": 1.0,
    "wet": 1.0, "strands": 1.0, "n": 1.5, "q": 0.5, "p": 2.5,
}  # fmt: skip
EXPONENTS = {"n": span(1, 2), "q": span(0, 1), "p": span(2.2, 3)}


def index(**change):
    return exposure.exposure(**{**REFERENCE, **change})


@pytest.mark.parametrize(
    ("name", "least", "most", "worse"),
    [
        ("tension", 1, 30e3, "more"),
        ("share", 0.1, 1, "more"),
        ("distance", 0, 100, "more"),
        ("turn", 0, pi, "more"),
        ("surface", 0, 2, "more"),
        ("movement", 0, 1, "more"),
        ("radius", 0.00001, 0.5, "less"),
        ("credit", 0, 1, "less"),
        ("diameter", 0.006, 0.016, "less"),
        ("fibre", 0.5, 2, "less"),
        ("wet", 0.5, 2, "more"),
        ("strands", 1, 4, "less"),
    ],
)
def test_exposure_moves_one_way(name, least, most, worse):
    """More tension, way, bend, grit never lowers it; blunter, padded, thicker never raises it."""
    values = span(least, most)

    @given(values, values, st.fixed_dictionaries(EXPONENTS))
    def law(one, other, exponents):
        low, high = sorted((one, other))
        first, second = (index(**{name: each}, **exponents) for each in (low, high))
        smaller, greater = (first, second) if worse == "more" else (second, first)
        assert smaller <= greater * (1 + 1e-12)
        if name != "radius" and high - low > 0.001 * most:  # q may be 0; the others do move it
            assert smaller < greater

    law()


def test_exposure_rises_with_a_sharper_edge_where_line_pressure_counts():
    assert index(radius=0.001, q=0.5) > index(radius=0.002, q=0.5) > index(radius=0.004, q=0.5)
    assert index(radius=0.001, q=0) == index(radius=0.004, q=0)


@given(span(1, 2))
def test_two_strands_stand_four_to_eight_times_one(n):
    """Common practice: under the same load two equal strands stand 4 to 8 times the abrasion."""
    gain = index(n=n) / index(n=n, share=loads.strand_share(2, 1), strands=2)
    assert 4 * (1 - 1e-12) <= gain <= 8 * (1 + 1e-12)


def test_two_strands_at_the_ends_of_the_range():
    """Exactly 4 at n = 1 and 8 at n = 2."""
    for n, gain in ((1, 4), (2, 8)):
        assert index(n=n) == pytest.approx(gain * index(n=n, share=0.5, strands=2), rel=1e-14)


@given(span(2.2, 3))
def test_eleven_millimetres_stand_more_than_twice_eight(p):
    """Common practice; 2.18 would be exactly twice."""
    assert index(p=p, diameter=0.008) > 2 * index(p=p, diameter=0.011)


@given(span(0, 50), span(0, 50), st.fixed_dictionaries(EXPONENTS))
def test_way_and_credit_add_up(first, second, exponents):
    """A sweep cut in two counts as much; a pad over part of it takes off only that part."""
    whole = index(distance=first + second, **exponents)
    parts = index(distance=first, **exponents) + index(distance=second, **exponents)
    assert whole == pytest.approx(parts, rel=1e-12)
    padded = index(distance=first, credit=0.8, **exponents)
    assert padded == pytest.approx(0.2 * index(distance=first, **exponents), rel=1e-12)


# --- draws ------------------------------------------------------------------------------------


@given(span(0, 1), span(-5, 5), span(0, 10), span(0, 10))
def test_the_share_below_a_drawn_value_is_the_share_it_was_drawn_for(share, low, up, down):
    """A second route: the two areas of the triangle left of the value."""
    assume(up + down > 1e-3)
    mode, high = low + up, low + up + down
    value = triangular.triangular_quantile(share, low, mode, high)
    assert low - 1e-9 <= value <= high + 1e-9
    wide = up + down
    if value <= mode and up > 1e-9:  # what is next to nothing underflows in the product
        below = (value - low) ** 2 / (wide * up)
    else:
        below = 1 - (high - value) ** 2 / (wide * down) if down > 1e-9 else 1.0
    assert below == pytest.approx(share, abs=1e-6)


# --- bounds -----------------------------------------------------------------------------------

INF = float("inf")
G = (9.80665, 0, "open", INF, "open")
FORCE, LEN = (1000.0, 0, "closed", INF, "open"), (2.0, 0, "closed", INF, "open")
PART, MORE = (0.5, 0, "closed", 1, "closed"), (2.0, 0, "closed", INF, "open")
OVER = (2.0, 0, "open", INF, "open")
STRANDS = (2.0, 1, "closed", INF, "open")
MODULUS, MASS = (30e3, 0, "open", INF, "open"), (80.0, 0, "open", INF, "open")
WRAP = (1.0, 0, "closed", 20 * pi, "closed")
BEND = (1.0, 0, "closed", pi, "closed")
SPLAY = (0.4, 0, "closed", pi / 2, "open")


def vector(name, *components):
    """Any finite number will do for a component of a direction."""
    return {
        f"{name} {axis}": (component, -INF, "open", INF, "open")
        for axis, component in zip("xyz", components, strict=True)
    }


REACHING = (10.0, 6.0, "closed", INF, "open")  # length: the reach and more
REACHED = (6.0, 0, "closed", 10.0, "closed")  # reach: the length and less
LEG_ONE, LEG_TWO, LEG_THREE = (1.0, 0.5, 2.0), (-1.0, 0.5, 2.0), (0.0, -1.5, 2.0)

# For each equation each argument: a good value, then its bounds as its page states them.
BOUNDS = {
    loads.weight: {"mass": (80.0, 0, "closed", INF, "open"), "g": G},
    loads.strand_share: {"strands": STRANDS, "unevenness": (1.1, 1, "closed", INF, "open")},
    friction.capstan_ratio: {"mu": (0.1, 0, "closed", 1, "closed"), "turn": WRAP},
    friction.signed_ratio: {"mu": PART, "turn": WRAP, "sense": (0.5, -1, "closed", 1, "closed")},
    friction.equivalent_friction: {
        "ratio": (2.0, 1, "closed", 1e4, "closed"),
        "turn": (1.0, 0, "open", 20 * pi, "closed"),
    },
    friction.sheave_friction: {"efficiency": (0.9, 0, "open", 1, "closed"), "turn": BEND},
    anchors.two_leg: {"tension": FORCE, "a": SPLAY, "b": SPLAY},
    anchors.symmetric_leg: {"tension": FORCE, "included": (1.0, 0, "closed", pi, "open")},
    anchors.redirect_resultant: {"t_in": FORCE, "t_out": FORCE, "turn": WRAP},
    anchors.wrapped_force: {"tension": FORCE, "turn": BEND},
    anchors.equalised_share: {
        **vector("direction 1", *LEG_ONE),
        **vector("direction 2", *LEG_TWO),
    },
    anchors.fixed_shares: {
        **vector("pull", 0.1, -0.1, -1.0),
        **vector("direction 1", *LEG_ONE),
        **vector("direction 2", *LEG_TWO),
        **vector("direction 3", *LEG_THREE),
        "stiffness 1": OVER,
        "stiffness 2": OVER,
        "stiffness 3": OVER,
    },
    anchors.parallel_shares: {"first": OVER, "second": OVER},
    anchors.included_angle: {
        **vector("direction 1", *LEG_ONE),
        **vector("direction 2", *LEG_TWO),
    },
    anchors.freed_rope: {"give": LEN, "turn": BEND},
    turned.turn_of_free_rope: {
        "reach": (5.0, 0, "closed", 10.0, "open"),  # the rope
        "rope": (10.0, 5.0, "open", INF, "open"),  # the reach
    },
    turned.turn_over_edges: {"reach": LEN, "rope": OVER},
    turned.two_leg_turned: {"tension": FORCE, "a": SPLAY, "b": SPLAY, "turn": SPLAY},
    turned.any_way: {"included": (1.0, 0, "closed", pi, "open")},
    turned.most_of: {
        **vector("direction 1", *LEG_ONE),
        **vector("direction 2", *LEG_TWO),
    },
    turned.fixed_shares_turned: {
        **vector("pull", 0.1, -0.1, -1.0),
        **vector("direction 1", *LEG_ONE),
        **vector("direction 2", *LEG_TWO),
        **vector("direction 3", *LEG_THREE),
        "stiffness 1": OVER,
        "stiffness 2": OVER,
        "stiffness 3": OVER,
        "turn": (0.1, 0, "closed", pi / 2, "open"),
    },
    sliding.sliding_half_angle: {"a": SPLAY, "b": SPLAY, "first": PART, "turn": SPLAY},
    sliding.sliding_share: {
        **vector("direction 1", *LEG_ONE),
        **vector("direction 2", *LEG_TWO),
        "length 1": OVER,
        "length 2": OVER,
        "turn": (0.1, 0, "closed", pi / 2, "open"),
    },
    clearance.height_left: {"drop": LEN, "below": LEN},
    clearance.clearance_needed: {
        "free": LEN,
        "stretch": LEN,
        "slip": LEN,
        "body": LEN,
        "spare": LEN,
    },
    swing.swing_drop: {"length": REACHING, "reach": REACHED},
    swing.swing_speed: {"length": REACHING, "reach": REACHED, "g": G},
    swing.swing_tension: {"mass": MASS, "length": REACHING, "reach": REACHED, "g": G},
    wind.wind_force: {"speed": MORE, "drag_area": MORE, "density": OVER},
    wind.wind_offset: {"force": FORCE, "weight": OVER, "length": LEN},
    wind.beaufort: {"speed": MORE},
    hauling.advantage: {
        "strands": (3.0, 1, "closed", INF, "open"),
        "efficiency": (0.9, 0, "open", 1, "closed"),
    },
    hauling.compound: {"advantage 1": OVER, "advantage 2": OVER},
    hauling.effort: {"tension": FORCE, "advantage": OVER},
    hauling.haulers_needed: {"effort": FORCE, "pull_each": OVER},
    hauling.system_anchor_force: {
        "tension": (1000.0, 400.0, "closed", INF, "open"),  # the effort
        "effort": (400.0, 0, "closed", 1000.0, "closed"),  # the tension
    },
    hauling.jam_force: {
        "haulers": MORE,
        "pull_each": FORCE,
        "ideal_advantage": (3.0, 1, "closed", INF, "open"),
    },
    heat.descent_energy: {"mass": (80.0, 0, "closed", INF, "open"), "height": LEN, "g": G},
    heat.temperature_rise: {
        "energy": FORCE,
        "share": PART,
        "device_mass": OVER,
        "heat_capacity": OVER,
    },
    heat.power: {"force": FORCE, "speed": MORE},
    heat.edge_power: {
        "high": (1000.0, 400.0, "closed", INF, "open"),  # the low
        "low": (400.0, 0, "closed", 1000.0, "closed"),  # the high
        "speed": MORE,
    },
    kit.packed_volume: {"diameter": OVER, "length": LEN, "fill": (0.5, 0, "open", 1, "closed")},
    strength.bend_factor: {
        "edge_radius": LEN,
        "rope_diameter": OVER,
        "below_one": PART,
        "at_one": PART,
        "full_at": (4.0, 1, "open", INF, "open"),
        "full": PART,
    },
    strength.derated: {"strength": FORCE, "factor 1": PART, "factor 2": PART},
    strength.least: {"station 1": FORCE, "station 2": FORCE},
    stretch.modulus_static: {"stretch": (0.03, 0, "open", 1, "open"), "mass_step": MASS, "g": G},
    stretch.modulus_from_peak: {
        "force": (9000.0, 2 * 80.0 * 9.80665, "open", INF, "open"),
        "mass": MASS,
        "factor": OVER,
        "g": G,
    },
    stretch.stretch: {"tension": FORCE, "length": LEN, "modulus": MODULUS, "strands": STRANDS},
    stretch.own_weight_stretch: {
        "weight_per_metre": FORCE,
        "length": LEN,
        "modulus": MODULUS,
        "strands": STRANDS,
    },
    stretch.sink: {
        "tension 1": FORCE,
        "tension 2": FORCE,
        "length 1": LEN,
        "length 2": LEN,
        "modulus": MODULUS,
        "strands": STRANDS,
    },
    fall.effective_length: {
        "length 1": LEN,
        "length 2": LEN,
        "ratio 1": (2.0, 1, "closed", 1e4, "closed"),
    },
    fall.fall_factor: {"free": LEN, "effective": OVER},
    fall.peak_force: {
        "mass": MASS,
        "modulus": MODULUS,
        "factor": MORE,
        "strands": STRANDS,
        "g": G,
    },
    fall.peak_stretch: {"peak": FORCE, "effective": LEN, "modulus": MODULUS, "strands": STRANDS},
    fall.capped_peak: {"peak": FORCE, "slip": OVER},
    fall.slip_stretch: {"slip": OVER, "effective": LEN, "modulus": MODULUS, "strands": STRANDS},
    fall.slip_distance: {
        "mass": MASS,
        "free": LEN,
        "slip": (2000.0, 80.0 * 9.80665, "open", INF, "open"),  # the load hanging still
        "effective": LEN,
        "modulus": MODULUS,
        "strands": STRANDS,
        "g": G,
    },
    sweep.crossing: {"reach": LEN, "above": LEN, "below": OVER},
    sweep.kink_limit: {"mu": PART, "turn": BEND},
    sweep.held_crossing: {"reach": LEN, "above": LEN, "below": OVER, "mu": PART, "turn": BEND},
    sweep.sweep: {"crossing": LEN},
    sweep.covered: {"width": LEN, "sweep": LEN},
    movement.sawing_distance: {
        "bounce": MORE,
        "weight": FORCE,
        "above": LEN,
        "modulus": MODULUS,
        "radius": OVER,
        "turn": WRAP,
        "steps": MORE,
        "strands": STRANDS,
        "least": MORE,
    },
    movement.running_distance: {"radius": OVER, "turn": WRAP, "runs": MORE, "least": MORE},
    movement.sideways_distance: {"sweep": LEN, "passes": MORE},
    exposure.exposure: {
        "tension": FORCE,
        "share": (0.5, 0, "open", 1, "closed"),
        "distance": LEN,
        "turn": BEND,
        "radius": OVER,
        "surface": MORE,
        "movement": MORE,
        "credit": PART,
        "diameter": OVER,
        "fibre": OVER,
        "wet": OVER,
        "strands": STRANDS,
        "n": MORE,
        "q": MORE,
        "p": MORE,
    },
}
BOUNDS[triangular.triangular_quantile] = {
    "share": PART,
    "low": (1.0, -INF, "open", 2.0, "closed"),
    "mode": (2.0, 1.0, "closed", 4.0, "closed"),
    "high": (4.0, 2.0, "closed", INF, "open"),
}
CASES = [(equation, name) for equation, arguments in BOUNDS.items() for name in arguments]


LISTS = {  # how the values of the table become the lists and vectors of the call
    fall.effective_length: lambda v: (v[:2], v[2:]),
    stretch.sink: lambda v: (v[:2], v[2:4], *v[4:]),
    anchors.equalised_share: lambda v: ([v[:3], v[3:]],),
    anchors.fixed_shares: lambda v: (v[:3], [v[3:6], v[6:9], v[9:12]], v[12:]),
    anchors.included_angle: lambda v: ([v[:3], v[3:]],),
    turned.most_of: lambda v: ([v[:3], v[3:]],),
    turned.fixed_shares_turned: lambda v: (v[:3], [v[3:6], v[6:9], v[9:12]], v[12:15], v[15]),
    sliding.sliding_share: lambda v: ([v[:3], v[3:6]], v[6:8], v[8]),
    hauling.advantage: lambda v: (*v, False),
    hauling.system_anchor_force: lambda v: (*v, False),
}
LISTED = {
    "lengths", "factors", "stations", "directions", "direction_in", "advantages", "fixed_end"
}  # fmt: skip


def call(equation, arguments):
    """The equation by position; those that take lists get lists."""
    values = list(arguments.values())
    return equation(*LISTS.get(equation, lambda v: v)(values))


def good(equation):
    return {name: bound[0] for name, bound in BOUNDS[equation].items()}


def test_every_equation_has_its_bounds_tried():
    """Public functions of the modules, and their arguments, against the table above."""
    found = {
        function
        for module in MODULES
        for name, function in inspect.getmembers(module, inspect.isfunction)
        if function.__module__ == module.__name__ and not name.startswith("_")
    }
    assert found == set(BOUNDS)
    assert len(found) >= 40
    for equation, arguments in BOUNDS.items():
        call(equation, good(equation))
        names = list(inspect.signature(equation).parameters)
        if not LISTED & set(names):
            assert names == list(arguments)


@pytest.mark.parametrize(("equation", "name"), CASES, ids=lambda x: getattr(x, "__name__", x))
def test_just_outside_a_bound_is_refused_and_the_bound_itself_is_as_stated(equation, name):
    _, low, low_end, high, high_end = BOUNDS[equation][name]
    bad = [float("nan"), INF, -INF, np.nextafter(low, -INF)]
    fine = []
    (fine if low_end == "closed" else bad).append(low)
    if high < INF:
        bad.append(np.nextafter(high, INF))
        (fine if high_end == "closed" else bad).append(high)
    for value in bad:
        with pytest.raises(ValueError, match=rf"\b{name}\b.* must be .*found"):
            call(equation, {**good(equation), name: value})
        mixed = np.array([good(equation)[name], value])
        with pytest.raises(ValueError, match=rf"\b{name}\b.* must be .*found"):
            call(equation, {**good(equation), name: mixed})
    for value in fine:
        others = {"mu": 0.1} if name == "turn" and value > pi and "mu" in BOUNDS[equation] else {}
        assert np.all(np.isfinite(call(equation, {**good(equation), **others, name: value})))


@pytest.mark.parametrize(("equation", "name"), CASES, ids=lambda x: getattr(x, "__name__", x))
def test_an_array_is_its_numbers_one_by_one(equation, name):
    """Broadcast along each argument in turn: the same as calling again and again."""
    start, low, *_ = BOUNDS[equation][name]
    values = np.array([start, (start + max(low, 0)) / 2 if low > -1 else start])
    together = call(equation, {**good(equation), name: values})
    alone = [call(equation, {**good(equation), name: float(value)}) for value in values]
    if isinstance(together, tuple):
        together, alone = np.array(together), np.array(alone).T
    assert np.shape(together)[-1] == 2
    assert np.asarray(together) == pytest.approx(np.asarray(alone), rel=1e-14)
    assert isinstance(alone[0], float | int | np.ndarray)  # Beaufort numbers are whole


def test_the_worked_turn_is_a_number_and_not_an_array():
    """A float in gives a float out."""
    assert type(friction.capstan_ratio(0.4, radians(80))) is float
    assert friction.capstan_ratio(0.4, radians(80)) == pytest.approx(exp(0.4 * radians(80)))
