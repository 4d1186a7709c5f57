"""Where a rope crosses an edge when its load stands off to the side, and how far it sweeps."""

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


def crossing(reach: Values, above: Values, below: Values) -> Values:
    """Where the rope crosses the edge without friction: y = x a/(a + d).

    reach x [m] >= 0, load off the fall line;  above a [m] >= 0, last sideways fix to edge;
    below d [m] > 0, edge to load, both square to the edge.  -> y [m] along the edge, 0..x
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   straight edge; shortest way over two planes, whatever the angle between them.
    Source  geometry: both planes unfolded into one, the rope is a straight line.

    >>> round(crossing(4, 5, 20), 9)
    0.8
    """
    require_at_least("reach", reach)
    require_at_least("above", above)
    require_positive("below", below)
    return plain(np.multiply(reach, above) / np.add(above, below))


def kink_limit(mu: Values, turn: Values) -> Values:
    """Largest kink in the unfolded plane that friction holds: sin β = min(1, 2 µ sin(turn/2)).

    mu µ [-] 0..1;  turn turn [rad] 0..π.  -> β [rad] 0..π/2
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   a rope that does not move along itself; where 2 µ sin(turn/2) reaches 1 it stays
            at any kink.
    Source  Coulomb friction: pull along the edge T sin β against µ times the force on the edge,
            2 T sin(turn/2); DEVELOPERS.md, Definitions.

    >>> round(float(np.degrees(kink_limit(0.5, np.pi / 2))), 6)
    45.0
    """
    require_between("mu", mu, 0, 1)
    require_between("turn", turn, 0, np.pi)
    held = 2 * np.multiply(mu, np.sin(np.divide(turn, 2)))
    return plain(np.arcsin(np.minimum(1.0, held)))


def held_crossing(reach: Values, above: Values, below: Values, mu: Values, turn: Values) -> Values:
    """Where the rope crosses the edge when friction holds it back until its kink is too great.

    The y at which atan((x - y)/d) - atan(y/a) = β of `kink_limit`; 0 where the kink at y = 0
    does not exceed β, for then the rope never moves.

    reach x [m] >= 0;  above a [m] >= 0;  below d [m] > 0;  mu µ [-] 0..1;  turn turn [rad] 0..π.
    -> y [m] along the edge, 0..`crossing`
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   a rope that does not move along itself, drawn sideways once from the fall line; one
            that runs or saws over the edge creeps to `crossing`.
    Source  the two angles of the unfolded plane; with t = tan β the condition is
            t y² - (a + d + t x) y + a (x - t d) = 0, of which the smaller root.
            DEVELOPERS.md, Definitions.

    >>> [round(held_crossing(6, 2.6, 8, mu, np.radians(80)), 4) for mu in (0, 0.30, 0.40, 0.55)]
    [1.4717, 0.536, 0.2225, 0.0]
    """
    straight = crossing(reach, above, below)
    t = np.tan(kink_limit(mu, turn))  # at β = π/2 about 1.6e16: finite, and it holds any kink
    b = np.add(above, below) + t * reach
    c = above * np.subtract(reach, t * below)
    moved = np.maximum(c, 0.0)  # no kink beyond β at y = 0: the root below 0 is not reached
    root = 2 * moved / (b + np.sqrt(b * b - 4 * t * moved))
    return plain(np.minimum(root, straight))  # equal at t = 0 but for the last digit


def sweep(crossing: Values) -> Values:
    """How far the rope sweeps along the edge in one pass from side to side: 2 y.

    crossing y [m] >= 0, at the greatest reach.  -> sweep [m]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   load goes from -x to +x once.
    Source  symmetry; DEVELOPERS.md, Definitions.

    >>> sweep(0.8)
    1.6
    """
    require_at_least("crossing", crossing)
    return plain(np.multiply(2, crossing))


def covered(width: Values, sweep: Values) -> Values:
    """Share of a sweep that a protector covers: min(1, width/sweep); all of it at no sweep.

    width w [m] >= 0, of the protector along the edge;  sweep [m] >= 0.  -> share [-] 0..1
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   protector in the middle of the sweep, and stays there.
    Source  geometry; DEVELOPERS.md, Definitions.

    >>> covered(0.5, 2), covered(0.5, 0)
    (0.25, 1.0)
    """
    require_at_least("width", width)
    require_at_least("sweep", sweep)
    wide = np.greater_equal(width, sweep)
    return plain(np.where(wide, 1.0, np.divide(width, np.where(wide, 1.0, sweep))))


_PLACES = {"x": Symbol("m"), "a": Symbol("m"), "d": Symbol("m", above=True)}
CROSSING = Equation(
    crossing, "y", "m", "{x} · {a} / ({a} + {d})", _PLACES,
    mark("geometry: straight line in the unfolded planes"),
)  # fmt: skip

_FRICTION = {"μ": Symbol("1", high=1), "θ": Symbol("rad", high=np.pi)}
_STUCK = mark(
    "Coulomb friction in the unfolded planes: the rope stays while its kink is under β, "
    "s = sin β, u = cos β"
)


def _sine(mu: Values, turn: Values) -> Values:
    return plain(np.sin(kink_limit(mu, turn)))


_SINE = Equation(_sine, "s", "1", "min(1, 2 · {μ} · sin({θ} / 2))", _FRICTION, "")
_COSINE = Equation(
    lambda s: np.sqrt((1 - s) * (1 + s)), "u", "1", "√(1 − {s}^2)", {"s": Symbol("1", high=1)}, ""
)
_B = Equation(
    lambda x, a, d, s, u: (a + d) * u + s * x, "b", "m", "({a} + {d}) · {u} + {s} · {x}",
    {**_PLACES, "s": Symbol("1", high=1), "u": Symbol("1", high=1)}, "",
)  # fmt: skip
_C = Equation(
    lambda x, a, d, s, u: np.maximum(0, a * (x * u - s * d)), "c", "m^2",
    "max(0, {a} · ({x} · {u} − {s} · {d}))", _B.symbols, "",
)  # fmt: skip
HELD_CROSSING = Equation(
    held_crossing, "y", "m",
    "min({x} · {a} / ({a} + {d}), 2 · {c} / ({b} + √({b}^2 − 4 · {s} · {c})))",
    {**_PLACES, **_FRICTION}, _STUCK, steps=(_SINE, _COSINE, _B, _C),
)  # fmt: skip


def _stuck(reach: Values, above: Values, below: Values, mu: Values, turn: Values) -> Values:
    if np.any(np.less(kink_limit(mu, turn), np.pi / 2)):
        raise ValueError(f"mu must hold the rope at any kink, found {mu!r}")
    return held_crossing(reach, above, below, mu, turn)


STUCK_CROSSING = Equation(
    _stuck, "y", "m", "0", {**_PLACES, **_FRICTION}, _STUCK, steps=(_SINE,),
    words=mark("where s is 1 friction holds the rope at any kink"),
)  # fmt: skip
"""`HELD_CROSSING` where β is 90°, at which it cannot be worked out by hand."""

SWEEP = Equation(
    sweep, "sweep", "m", "2 · {y}", {"y": Symbol("m")},
    mark("geometry; side guards end it at their width"),
)  # fmt: skip
GUARDED_SWEEP = Equation(
    lambda y, w: np.minimum(sweep(y), w), "sweep", "m", "min(2 · {y}, {w})",
    {"y": Symbol("m"), "w": Symbol("m")}, SWEEP.source,
)  # fmt: skip
COVERED = Equation(
    covered, "covered", "1", "{w} / max({w}, {sweep})",
    {"w": Symbol("m"), "sweep": Symbol("m")}, mark("geometry"),
)  # fmt: skip
UNCOVERED = Equation(lambda: 0.0, "covered", "1", "0", {}, mark("no protector that stays"))
ALL_COVERED = Equation(
    lambda: 1.0, "covered", "1", "1", {}, mark("a sleeve stays on the rope and covers all")
)
