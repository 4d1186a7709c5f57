"""Heat in devices, and where rope runs over edges."""

from __future__ import annotations

import numpy as np

from riskdoc.mechanics.equation import Equation, Symbol, mark
from riskdoc.mechanics.loads import GRAVITY, STANDARD_GRAVITY, weight
from riskdoc.mechanics.values import (
    Values,
    plain,
    require_at_least,
    require_between,
    require_positive,
)


def descent_energy(mass: Values, height: Values, g: Values = STANDARD_GRAVITY) -> Values:
    """Energy that a descent turns to heat: E = m g h.

    mass m [kg] >= 0;  height h [m] >= 0;  g g [m/s²] > 0.  -> E [J]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   speed at the end as at the start.
    Source  OpenStax, University Physics vol. 2, sec. 1.4, example on brakes down a hill.

    >>> round(descent_energy(10_000, 75.0, g=9.80))
    7350000
    """
    require_at_least("height", height)
    return plain(np.multiply(weight(mass, g), height))


def temperature_rise(
    energy: Values, share: Values, device_mass: Values, heat_capacity: Values
) -> Values:
    """How much warmer a device gets: ΔT = share E/(M c).

    energy E [J] >= 0;  share [-] 0..1, of the energy that stays in the device: 1 is the bound;
    device_mass M [kg] > 0;  heat_capacity c [J/(kg K)] > 0, per mass.  -> ΔT [K], over ambient
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   device warm all through, nothing lost while it warms. Where it grips the rope it is
            hotter than this mean.
    Source  OpenStax, University Physics vol. 2, sec. 1.4: Q = m c ΔT.

    >>> round(temperature_rise(7.35e6, 0.10, 10, 800))
    92
    """
    require_at_least("energy", energy)
    require_between("share", share, 0, 1)
    require_positive("device_mass", device_mass)
    require_positive("heat_capacity", heat_capacity)
    return plain(np.multiply(share, energy) / np.multiply(device_mass, heat_capacity))


def power(force: Values, speed: Values) -> Values:
    """Heat made each second by a force that moves: P = F v; F = m g down a rope.

    force F [N] >= 0;  speed v [m/s] >= 0.  -> P [W]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   constant speed, force along the movement.
    Source  OpenStax, University Physics vol. 1, sec. 7.4, "Power".

    >>> round(power(100 * STANDARD_GRAVITY, 0.5))
    490
    """
    require_at_least("force", force)
    require_at_least("speed", speed)
    return plain(np.multiply(force, speed))


def edge_power(high: Values, low: Values, speed: Values) -> Values:
    """Heat made each second where rope runs over an edge: P = (T_high - T_low) v.

    high T_high [N] >= 0;  low T_low [N] 0..T_high, the tensions either side;  speed v [m/s] >= 0,
    of the rope.  -> P [W], into rope and edge together
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   constant speed; what a roller's bearing takes counts as well.
    Source  work of the two tensions; as `power`.

    >>> edge_power(1500, 1000, 0.5)
    250.0
    """
    require_at_least("high", high)
    require_at_least("low", low)
    require_at_least("high - low", plain(np.subtract(high, low)))
    return power(plain(np.subtract(high, low)), speed)


ENERGY = Equation(
    descent_energy, "E", "J", "{m} · {g} · {h}",
    {"m": Symbol("kg"), "h": Symbol("m"), "g": GRAVITY},
    mark("OpenStax University Physics vol. 2 §1.4"),
)  # fmt: skip
POWER = Equation(
    power, "P", "W", "{W} · {v}", {"W": Symbol("N"), "v": Symbol("m/s")},
    mark("OpenStax University Physics vol. 1 §7.4"),
)  # fmt: skip
RISE = Equation(
    temperature_rise, "ΔT", "K", "{share} · {E} / ({M} · {c})",
    {"E": Symbol("J"), "share": Symbol("1", high=1), "M": Symbol("kg", above=True),
     "c": Symbol("J/(kg*K)", above=True)},
    mark("OpenStax University Physics vol. 2 §1.4; rope and air take the rest"),
)  # fmt: skip


def _between(above: Values, below: Values, speed: Values) -> Values:
    return edge_power(plain(np.maximum(above, below)), plain(np.minimum(above, below)), speed)


EDGE_POWER = Equation(
    _between, "P", "W", "|{T_above} − {T_below}| · {v}",
    {"T_above": Symbol("N"), "T_below": Symbol("N"), "v": Symbol("m/s")},
    mark("work of friction; into rope and edge together"),
)  # fmt: skip
"""Heat at an edge, whichever side pulls more."""
