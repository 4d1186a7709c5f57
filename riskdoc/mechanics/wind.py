"""The push of the wind on a hanging load, and how far it drives it aside."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from riskdoc.mechanics.equation import Equation, Symbol, mark
from riskdoc.mechanics.values import Values, plain, require_at_least, require_positive

BEAUFORT_FROM = (0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7)
"""[m/s] Where forces 1 to 12 begin: WMO-No. 306, Manual on Codes, code table 1100; read in
copies of the table. It is printed to a decimal with gaps (5 to 10.7, 6 from 10.8); here each
force lasts until the next begins."""


def wind_force(speed: Values, drag_area: Values, density: Values) -> Values:
    """Push of the wind: F = ρ v² C_d A/2.

    speed v [m/s] >= 0;  drag_area CdA [m²] >= 0, drag coefficient times area;
    density ρ [kg/m³] > 0, of the air.  -> F [N]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   steady wind at right angles to the rope, on the body alone: a long rope adds its own
            drag. A gust is its own speed; with a mean speed it is not seen.
    Source  OpenStax, University Physics vol. 1, sec. 6.4, "Drag Force and Terminal Speed".

    >>> round(wind_force(10, 0.7, 1.225), 1)
    42.9
    """
    require_at_least("speed", speed)
    require_at_least("drag_area", drag_area)
    require_positive("density", density)
    return plain(np.multiply(density, np.multiply(speed, speed)) * drag_area / 2)


def wind_offset(force: Values, weight: Values, length: Values) -> Values:
    """How far a steady push drives a hanging load aside: x = d F/W.

    force F [N] >= 0;  weight W [N] > 0;  length d [m] >= 0, pivot to load, as it hangs in the
    wind, measured straight down.  -> x [m]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   at rest in a steady push, light rope. With d the length of the rope x is too great,
            by 1 in 100 at 8 degrees, and passes d where F passes W; a gust swings a load
            further, up to twice the offset.
    Source  balance of three forces, tan φ = F/W, as OpenStax, University Physics vol. 1,
            sec. 6.1, on a load held aside; DEVELOPERS.md, Definitions.

    >>> round(wind_offset(42.875, 980.665, 14), 3)
    0.612
    """
    require_at_least("force", force)
    require_positive("weight", weight)
    require_at_least("length", length)
    return plain(np.multiply(length, force) / weight)


def beaufort(speed: Values) -> int | npt.NDArray[np.int64]:
    """Beaufort number of a wind: how many of the forces 1 to 12 have begun at this speed.

    speed v [m/s] >= 0, mean over ten minutes at 10 m height.  -> number [-] 0..12
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   a word for a mean wind; says nothing of gusts.
    Source  WMO-No. 306, Manual on Codes, code table 1100, as `BEAUFORT_FROM`.

    >>> beaufort(10.7), beaufort(10.8)
    (5, 6)
    """
    require_at_least("speed", speed)
    number = np.searchsorted(BEAUFORT_FROM, speed, side="right")
    return int(number) if np.ndim(number) == 0 else np.asarray(number, dtype=np.int64)


WIND_FORCE = Equation(
    lambda v, area, density, people: wind_force(v, area * people, density), "F", "N",
    "{ρ} · {v}^2 · {CdA} · {n} / 2",
    {"v": Symbol("m/s"), "CdA": Symbol("m^2"), "ρ": Symbol("kg/m^3", above=True),
     "n": Symbol("1")},
    mark("OpenStax University Physics vol. 1 §6.4, drag"),
)  # fmt: skip
"""On n people, each of CdA."""
WIND_OFFSET = Equation(
    wind_offset, "x", "m", "{d} · {F} / {W}",
    {"F": Symbol("N"), "W": Symbol("N", above=True), "d": Symbol("m")},
    mark("balance of a hanging load in a steady push"),
)  # fmt: skip
