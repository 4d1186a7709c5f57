"""The arrest of a fall by a rope that acts as a spring."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from riskdoc.mechanics.friction import MOST_RATIO
from riskdoc.mechanics.loads import STANDARD_GRAVITY, weight
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
