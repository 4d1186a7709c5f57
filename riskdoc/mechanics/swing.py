"""A load that swings back under its pivot."""

from __future__ import annotations

import numpy as np

from riskdoc.mechanics.equation import Equation, Symbol, mark
from riskdoc.mechanics.loads import GRAVITY, STANDARD_GRAVITY, weight
from riskdoc.mechanics.values import Values, plain, require_at_least, require_positive


def swing_drop(length: Values, reach: Values) -> Values:
    """Height lost from where the load stands off to the bottom: d (1 - cos α), sin α = x/d.

    length d [m] > 0, rope from pivot to load;  reach x [m] 0..d, load off the vertical through
    the pivot.  -> drop [m] 0..d
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   rope straight and as long as at the bottom; the pivot stays where it is.
    Source  geometry; OpenStax, University Physics vol. 1, sec. 8.3, "Simple Pendulum".

    >>> round(swing_drop(10, 6), 9)
    2.0
    """
    require_positive("length", length)
    require_at_least("reach", reach)
    require_at_least("length - reach", plain(np.subtract(length, reach)))
    aside = np.divide(reach, length)
    upright = np.sqrt((1 - aside) * (1 + aside))  # cos α
    return plain(length * aside * aside / (1 + upright))  # d (1 - cos α), without loss near 0


def swing_speed(length: Values, reach: Values, g: Values = STANDARD_GRAVITY) -> Values:
    """Speed at the bottom of the swing: v = √(2 g d (1 - cos α)), sin α = x/d.

    length d [m] > 0;  reach x [m] 0..d;  g g [m/s²] > 0.  -> v [m/s]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   let go at rest, no drag, no push; as `swing_drop`.
    Source  energy balance; OpenStax, University Physics vol. 1, sec. 8.3, "Simple Pendulum".

    >>> round(swing_speed(1.0, np.sin(np.radians(30)), g=9.8), 2)
    1.62
    """
    require_positive("g", g)
    return plain(np.sqrt(2 * np.multiply(g, swing_drop(length, reach))))


def swing_tension(
    mass: Values, length: Values, reach: Values, g: Values = STANDARD_GRAVITY
) -> Values:
    """Tension at the bottom of the swing: T = m g (3 - 2 cos α), sin α = x/d.

    mass m [kg] > 0;  length d [m] > 0;  reach x [m] 0..d;  g g [m/s²] > 0.
    -> T [N], m g at no reach, 3 m g at x = d
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   as `swing_speed`. A rope that first falls slack, or catches on something on the way
            and turns about that, gives more.
    Source  m g + m v²/d with v of `swing_speed`; OpenStax, University Physics vol. 1, sec. 6.3
            (centripetal force) and 8.3.

    >>> round(swing_tension(100, 10, 6) / weight(100), 9)
    1.4
    """
    require_positive("mass", mass)
    risen = np.divide(swing_drop(length, reach), length)
    return plain(weight(mass, g) * (1 + 2 * risen))


_PENDULUM = mark("energy balance of a pendulum: OpenStax University Physics vol. 1 §8.3")
_SWING = {"d": Symbol("m", above=True), "x": Symbol("m")}
SWING_DROP = Equation(swing_drop, "h", "m", "{x}^2 / ({d} + √({d}^2 − {x}^2))", _SWING, _PENDULUM)
SWING_SPEED = Equation(
    swing_speed, "v", "m/s", "√(2 · {g} · {x}^2 / ({d} + √({d}^2 − {x}^2)))",
    _SWING | {"g": GRAVITY}, _PENDULUM,
)  # fmt: skip
SWING_TENSION = Equation(
    swing_tension, "T", "N", "{m} · {g} · (3 − 2 · √({d}^2 − {x}^2) / {d})",
    {"m": Symbol("kg", above=True), **_SWING, "g": GRAVITY}, _PENDULUM,
)  # fmt: skip
"""d is the rope below the pivot, x the reach: cos α = √(d² − x²)/d. The height lost, d (1 − cos α),
stands in a form that loses no digits to a small swing."""
