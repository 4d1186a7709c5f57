"""Weights, and how strands share them."""

from __future__ import annotations

import numpy as np

from riskdoc.mechanics.equation import Equation, Symbol, mark
from riskdoc.mechanics.values import Values, plain, require_at_least, require_positive

STANDARD_GRAVITY = 9.80665
"""Standard acceleration of free fall [m/s²], exact by definition: 3rd CGPM (1901)."""
GRAVITY = Symbol("m/s^2", value=STANDARD_GRAVITY)
"""As it stands in formulas, under the name g."""


def weight(mass: Values, g: Values = STANDARD_GRAVITY) -> Values:
    """Weight of a mass hanging still: W = m g.

    mass m [kg] >= 0;  g g [m/s²] > 0.  -> W [N]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   at rest; what moves adds a dynamic factor, a fall the peak force of `fall`.
    Source  Newton's second law; standard g: 3rd CGPM (1901), Comptes rendus, p. 70.

    >>> round(weight(98), 2)
    961.05
    """
    require_at_least("mass", mass)
    require_positive("g", g)
    return plain(np.multiply(mass, g))


def strand_share(strands: Values, unevenness: Values) -> Values:
    """Share of the load in the most loaded strand: s = min(1, u/k).

    strands k [-] >= 1;  unevenness u [-] >= 1, load of that strand over the equal share.
    -> s [-], above 0, at most 1: one strand never carries more than the whole load
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   strands side by side in one line; each bears at the same places.
    Source  statics (the shares sum to 1); the size of u is a judgement, DEVELOPERS.md, Definitions.

    >>> strand_share(2, 1.2)
    0.6
    """
    require_at_least("strands", strands, 1)
    require_at_least("unevenness", unevenness, 1)
    return plain(np.minimum(1.0, np.divide(unevenness, strands)))


HANGING = Equation(
    np.multiply, "T", "N", "{W} · {φ}",
    {"W": Symbol("N"), "φ": Symbol("1")},
    mark("weight times dynamic factor of the case"),
)  # fmt: skip
"""Tension at the load that a case puts on its line."""
