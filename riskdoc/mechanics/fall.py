"""The arrest of a fall by a rope that acts as a spring."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from riskdoc.mechanics.equation import Equation, Symbol, mark
from riskdoc.mechanics.friction import MOST_RATIO
from riskdoc.mechanics.loads import GRAVITY, STANDARD_GRAVITY, weight
from riskdoc.mechanics.stretch import stretch
from riskdoc.mechanics.values import (
    Values,
    plain,
    require_at_least,
    require_between,
    require_positive,
)


def effective_length(lengths: Sequence[Values], ratios: Sequence[Values]) -> Values:
    """Length of free rope as stretchy as one over edges: L1 + L2/r1 + L3/(r1 r2) + ...

    lengths L [m] each >= 0, from the load upward, not all 0;  ratios r [-] each 1..10 000, of
    the edges between them from the load upward, one fewer.  -> L_eff [m]
    Raises  ValueError outside these bounds, for counts that do not fit, and for NaN.
    Holds   rope slides toward the load at every edge, same modulus throughout.
    Source  sum of T_i L_i/K with T_(i+1) = T_i/r_i (Baker & Haynes, Engineering Statics, sec.
            9.5); first-order form used in papers on climbing falls, from memory.

    >>> round(effective_length([5, 20], [1.67]), 2)
    16.98
    """
    if len(lengths) != len(ratios) + 1:
        raise ValueError(
            f"ratios must be one fewer than lengths, found {len(ratios)} and {len(lengths)}"
        )
    for number, length in enumerate(lengths, start=1):
        require_at_least(f"length {number}", length)
    total, passed = np.asarray(lengths[0], dtype=np.float64), np.asarray(1.0)
    for number, ratio in enumerate(ratios, start=1):
        require_between(f"ratio {number}", ratio, 1, MOST_RATIO)
        passed = passed * ratio
        total = total + lengths[number] / passed
    require_positive("effective length", plain(total))
    return plain(total)


def fall_factor(free: Values, effective: Values) -> Values:
    """How hard a fall is for its rope: f = h/L_eff.

    free h [m] >= 0, free fall before the rope comes tight;  effective L_eff [m] > 0.  -> f [-]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   vertical fall; with friction at edges f may exceed the geometric limit of 2.
    Source  DEVELOPERS.md, Definitions; the ratio enters the energy balance of OpenStax, University
            Physics vol. 1, sec. 15.2, through K = k L.

    >>> round(fall_factor(4, 16.976), 3)
    0.236
    """
    require_at_least("free", free)
    require_positive("effective", effective)
    return plain(np.divide(free, effective))


def peak_force(
    mass: Values,
    modulus: Values,
    factor: Values,
    strands: Values = 1.0,
    g: Values = STANDARD_GRAVITY,
) -> Values:
    """Greatest force in the arrest of a fall: F = m g + √((m g)² + 2 m g k K f).

    mass m [kg] > 0;  modulus K [N] > 0, per strand;  factor f [-] >= 0;  strands k [-] >= 1;
    g g [m/s²] > 0.  -> F [N], 2 m g at f = 0
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   undamped straight-line spring, light rope, rigid body; no slip, no absorber. Not near
            the breaking strength. Real ropes damp: an upper-side estimate for short falls.
    Source  energy balance with gravity during the stretch, OpenStax, University Physics vol. 1,
            sec. 15.2, problem on the arrest of a fall by a rope, part b.

    >>> round(peak_force(90, 1.40e4, 2.00, g=9.80))  # k = 1.40e4 N/m, h = 2.00 m: K f = k h
    7965
    """
    require_positive("mass", mass)
    require_positive("modulus", modulus)
    require_at_least("factor", factor)
    require_at_least("strands", strands, 1)
    load = weight(mass, g)
    spring = np.multiply(strands, modulus) * factor
    return plain(load + np.sqrt(np.multiply(load, load) + 2 * load * spring))


def peak_stretch(peak: Values, effective: Values, modulus: Values, strands: Values = 1.0) -> Values:
    """How far the rope stretches at the peak of the arrest: x = F L_eff/(k K).

    peak F [N] >= 0;  effective L_eff [m] >= 0;  modulus K [N] > 0, per strand;
    strands k [-] >= 1.  -> x [m]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   as `peak_force`.
    Source  OpenStax, University Physics vol. 1, sec. 15.2: F = k x, with k = K/L.

    >>> round(peak_stretch(7965, 1, 1.40e4), 3)
    0.569
    """
    require_at_least("peak", peak)
    require_at_least("effective", effective)
    return stretch(peak, effective, modulus, strands)


def capped_peak(peak: Values, slip: Values) -> Values:
    """Peak force where a device in the line slips: min(F, F_s).

    peak F [N] >= 0, without slip;  slip F_s [N] > 0, at which the device slips.  -> F [N]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   slips at that force and not above it, for as long as `slip_distance` says; a device
            that slips under the load hanging still (F_s <= m g) arrests nothing, which
            `slip_distance` refuses.
    Source  DEVELOPERS.md, Definitions; a brake in line with a spring carries what it carries.

    >>> capped_peak(7965, 4000), capped_peak(3000, 4000)
    (4000.0, 3000.0)
    """
    require_at_least("peak", peak)
    require_positive("slip", slip)
    return plain(np.minimum(peak, slip))


def slip_stretch(slip: Values, effective: Values, modulus: Values, strands: Values = 1.0) -> Values:
    """How far the rope has stretched when the device begins to slip: x = F_s L_eff/(k K).

    slip F_s [N] > 0;  effective L_eff [m] >= 0;  modulus K [N] > 0, per strand;
    strands k [-] >= 1.  -> x [m]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   as `peak_force`; the rope goes no further while the device slips.
    Source  `stretch` at F_s; OpenStax, University Physics vol. 1, sec. 15.2: F = k x.

    >>> round(slip_stretch(4000, 10, 20_000), 6)
    2.0
    """
    require_positive("slip", slip)
    require_at_least("effective", effective)
    return stretch(slip, effective, modulus, strands)


def slip_distance(
    mass: Values,
    free: Values,
    slip: Values,
    effective: Values,
    modulus: Values,
    strands: Values = 1.0,
    g: Values = STANDARD_GRAVITY,
) -> Values:
    """How far a device slips in the arrest: s = (m g (h + x) - F_s x/2)/(F_s - m g), x at F_s.

    0 where the rope alone has stopped the load: there m g (h + x) <= F_s x/2, which is
    `peak_force` <= F_s.

    mass m [kg] > 0;  free h [m] >= 0, free fall;  slip F_s [N] > m g, at which the device slips;
    effective L_eff [m] >= 0;  modulus K [N] > 0, per strand;  strands k [-] >= 1;
    g g [m/s²] > 0.  -> s [m]; in all the load goes down h + x + s
    Raises  ValueError outside these bounds: a device that slips at m g or less never stops it.
    Holds   constant F_s while slipping, rope as in `peak_force`, enough rope to slip through.
            With no rope (L_eff = 0) an absorber that opens at F_s: s = m g h/(F_s - m g).
    Source  energy balance m g (h + x + s) = F_s x/2 + F_s s; the part of the rope as OpenStax,
            University Physics vol. 1, sec. 15.2. DEVELOPERS.md, Definitions.

    >>> round(slip_distance(100, 4, 4000, 0, 20_000), 3), slip_distance(100, 0, 4000, 10, 20_000)
    (1.299, 0.0)
    """
    require_positive("mass", mass)
    require_at_least("free", free)
    load = weight(mass, g)
    x = slip_stretch(slip, effective, modulus, strands)
    spare = plain(np.subtract(slip, load))
    require_positive("slip - mass g", spare)
    left = load * np.add(free, x) - np.multiply(slip, x) / 2  # the rope has not taken this up
    return plain(np.where(left > 0, left / spare, 0.0))


FALL_FACTOR = Equation(
    fall_factor, "f", "1", "{h} / {L}", {"h": Symbol("m"), "L": Symbol("m", above=True)},
    mark("definition"),
)  # fmt: skip

_PEAK = "{m} · {g} + √(({m} · {g})^2 + 2 · {m} · {g} · {k} · {K} · {f})"
_SPRING = {"m": Symbol("kg", above=True), "K": Symbol("N", above=True), "f": Symbol("1"),
           "k": Symbol("1", 1), "g": GRAVITY}  # fmt: skip
_BALANCE = mark(
    "energy balance, gravity during the stretch included: OpenStax University Physics vol. 1 §15.2"
)
PEAK_FORCE = Equation(peak_force, "F", "N", _PEAK, _SPRING, _BALANCE)
PEAK_WITH_SLIP = Equation(
    lambda m, modulus, f, k, slip: capped_peak(peak_force(m, modulus, f, k), slip), "F", "N",
    f"min({_PEAK}, {{F_s}})", _SPRING | {"F_s": Symbol("N", above=True)}, _BALANCE,
)  # fmt: skip
PEAK_KNOWN = Equation(
    lambda peak: peak, "T", "N", "{F}", {"F": Symbol("N")}, mark("peak force of the fall")
)
PEAK_STRETCH = Equation(
    peak_stretch, "x", "m", "{F} · {L} / ({k} · {K})",
    {"F": Symbol("N"), "L": Symbol("m"), "K": Symbol("N", above=True), "k": Symbol("1", 1)},
    mark("definition of modulus"),
)  # fmt: skip

SLIP = Equation(
    slip_distance, "s", "m",
    "max(0, {m} · {g} · ({h} + {F_s} · {L} / ({k} · {K})) − {F_s}^2 · {L} / (2 · {k} · {K})) / "
    "({F_s} − {m} · {g})",
    {"m": Symbol("kg", above=True), "h": Symbol("m"), "F_s": Symbol("N", above=True),
     "L": Symbol("m"), "K": Symbol("N", above=True), "k": Symbol("1", 1), "g": GRAVITY},
    mark("energy balance with the device slipping at a constant force"),
)  # fmt: skip
