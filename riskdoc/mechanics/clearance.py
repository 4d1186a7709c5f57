"""The clear height that the arrest of a fall needs."""

from __future__ import annotations

import numpy as np

from riskdoc.mechanics.equation import Equation, Symbol, mark
from riskdoc.mechanics.values import Values, plain, require_at_least


def clearance_needed(
    free: Values, stretch: Values, slip: Values, body: Values, spare: Values
) -> Values:
    """Clear height needed below the attachment point: c = h + x + s + body + spare.

    free h [m] >= 0, free fall;  stretch x [m] >= 0, of the rope at the peak force, an absorber's
    opening and the harness's shift counted with it;  slip s [m] >= 0, of the device;
    body [m] >= 0, attachment point to feet;  spare [m] >= 0.  -> c [m]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   from where the attachment point is when the fall starts, straight down: no swing, no
            sag of a line between two anchors. Rope already taut at the start has stretched
            under the load, so counting the whole stretch again is on the long side.
    Source  DEVELOPERS.md, Definitions; the sum as in OSHA Technical Manual, sec. V, ch. 4,
            restated by others.

    >>> clearance_needed(6, 3.5 + 1, 0, 5, 2)  # ft, a lanyard of 6 ft anchored level
    17.5
    """
    parts = {"free": free, "stretch": stretch, "slip": slip, "body": body, "spare": spare}
    for name, part in parts.items():
        require_at_least(name, part)
    return plain(np.add(free, stretch) + slip + body + spare)


CLEARANCE = Equation(
    clearance_needed, "C", "m", "{h} + {x} + {s} + {body} + {spare}",
    {"h": Symbol("m"), "x": Symbol("m"), "s": Symbol("m"), "body": Symbol("m"),
     "spare": Symbol("m")},
    mark("free fall, stretch and slip, counted from where the attachment point is at the start"),
)  # fmt: skip

LEAST_LEFT = 1e-3
"""[m] Stands for nothing, or less than nothing, left below: every need is more."""


def height_left(drop: Values, below: Values) -> Values:
    """Clear height that a drop leaves below a load: C = max(H - L, 1 mm).

    drop H [m] >= 0;  below L [m] >= 0, rope below the last edge.  -> C [m], never below
    `LEAST_LEFT`, so that it can be compared with what is needed
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   the rope hangs straight down from where the drop begins.
    Source  geometry; DEVELOPERS.md, Definitions.

    >>> height_left(30, 20), height_left(30, 31)
    (10.0, 0.001)
    """
    require_at_least("drop", drop)
    require_at_least("below", below)
    return plain(np.maximum(np.subtract(drop, below), LEAST_LEFT))


CLEAR_HEIGHT = Equation(
    lambda clear, drop, below: np.minimum(clear, height_left(drop, below)), "C", "m",
    "min({c}, max({H} − {L}, {least}))",
    {"c": Symbol("m"), "H": Symbol("m"), "L": Symbol("m"),
     "least": Symbol("m", value=LEAST_LEFT, sign="1 mm")},
    mark("the lesser of what is stated and the drop less the rope below"),
)  # fmt: skip
