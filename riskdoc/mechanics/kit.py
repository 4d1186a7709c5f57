"""What the kit takes up."""

from __future__ import annotations

import numpy as np

from riskdoc.mechanics.equation import Equation, Symbol, mark
from riskdoc.mechanics.values import (
    Values,
    plain,
    require_at_least,
    require_between,
    require_positive,
)


def packed_volume(diameter: Values, length: Values, fill: Values) -> Values:
    """Room that a rope takes in its bag: V = (π d²/4) L/fill.

    diameter d [m] > 0;  length L [m] >= 0;  fill [-] above 0, at most 1, share of the bag that
    is rope.  -> V [m³]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   round rope, not pressed flat.
    Source  volume of a cylinder; DEVELOPERS.md, Definitions.

    >>> round(1000 * packed_volume(0.010, 100, 0.50), 1)  # litres
    15.7
    """
    require_positive("diameter", diameter)
    require_at_least("length", length)
    require_positive("fill", fill)
    require_between("fill", fill, 0, 1)
    return plain(np.pi / 4 * np.multiply(diameter, diameter) * length / fill)


ROPE_MASS = Equation(
    np.multiply, "m", "kg", "{w} · {L}", {"w": Symbol("kg/m"), "L": Symbol("m")},
    mark("definition"),
)  # fmt: skip
PACKED_VOLUME = Equation(
    packed_volume, "V", "m^3", "π / 4 · {d}^2 · {L} / {fill}",
    {"d": Symbol("m", above=True), "L": Symbol("m"), "fill": Symbol("1", high=1, above=True)},
    mark("geometry; fill as listed"),
)  # fmt: skip
