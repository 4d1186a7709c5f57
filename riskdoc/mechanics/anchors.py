"""Forces on anchors, legs and redirects, from the directions of the ropes."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from riskdoc.mechanics.directions import BALANCE, Vector, least_work, legs_of, unit_of
from riskdoc.mechanics.equation import Equation, Symbol, mark
from riskdoc.mechanics.friction import MOST_TURN
from riskdoc.mechanics.values import (
    Values,
    plain,
    require_angle,
    require_at_least,
    require_between,
    require_positive,
)


def two_leg(tension: Values, a: Values, b: Values) -> tuple[Values, Values]:
    """Forces in two legs either side of the pull: T_a = T sin b/sin(a+b), T_b = T sin a/sin(a+b).

    tension T [N] >= 0;  a a [rad] 0..below π/2;  b b [rad] 0..below π/2, each between its leg
    and the line of the pull, on opposite sides.  -> (T_a, T_b) [N]
    Raises  ValueError outside these bounds, for a = b = 0 (legs along the pull share by their
            stiffness, `parallel_shares`), and for what is not a finite number.
    Holds   both legs pull, in one plane with the load.
    Source  balance of forces (Lami's rule); worked in OpenStax, University Physics vol. 1,
            sec. 6.1, "Different Tensions at Different Angles".

    >>> [round(leg, 4) for leg in two_leg(1, np.radians(15), np.radians(45))]
    [0.8165, 0.2989]
    """
    require_at_least("tension", tension)
    require_angle("a", a, np.pi / 2)
    require_angle("b", b, np.pi / 2)
    require_positive("a + b", plain(np.add(a, b)))
    between = np.sin(np.add(a, b))
    return plain(tension * np.sin(b) / between), plain(tension * np.sin(a) / between)


def symmetric_leg(tension: Values, included: Values) -> Values:
    """Force in each of two equal legs: T_leg = T/(2 cos(α/2)).

    tension T [N] >= 0;  included α [rad] 0..below π, between the legs.  -> T_leg [N]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   the pull halves the angle; legs do not stretch unequally.
    Source  balance of forces; printed as a table in OSHA, Guidance on Safe Sling Use, Table 1.

    >>> round(symmetric_leg(1, np.radians(120)), 9)
    1.0
    """
    require_at_least("tension", tension)
    require_angle("included", included, np.pi)
    return plain(np.divide(tension, 2 * np.cos(np.divide(included, 2))))


def parallel_shares(first: Values, second: Values) -> tuple[Values, Values]:
    """Share of the pull in each of two fixed legs side by side: k₁/(k₁ + k₂), k₂/(k₁ + k₂).

    first k₁ [N/m] > 0;  second k₂ [N/m] > 0, stiffness of each leg, K/L: force per unit strain
    over length; 1/L where both are of one material.  -> (T₁/T, T₂/T) [-]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   both legs tied off just tight along the pull, and lengthened alike.
    Source  springs in parallel: T = k₁ δ + k₂ δ.

    >>> [round(share, 4) for share in parallel_shares(1 / 1.0, 1 / 3.0)]
    [0.75, 0.25]
    """
    require_positive("first", first)
    require_positive("second", second)
    both = np.add(first, second)
    return plain(np.divide(first, both)), plain(np.divide(second, both))


def included_angle(directions: Sequence[Vector]) -> Values:
    """Greatest angle between any two legs: the most of arccos(u_i · u_j).

    directions u [-] each x, y, z, not all 0, from the joint to an anchor, of any length; 2 or
    more.  -> α [rad] 0..π
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   always; for two legs either side of a pull it is the sum of their angles to it.
    Source  definition of the angle between vectors, by tan α = |u × v|/(u · v).

    >>> float(np.degrees(included_angle([(1, 0, 1), (0, 0, 1), (-1, 0, 1)])).round(9))
    90.0
    """
    require_at_least("number of directions", len(directions), 2)
    legs = legs_of(directions)
    found = [
        np.arctan2(
            np.linalg.norm(np.cross(legs[..., i, :], legs[..., j, :]), axis=-1),
            np.sum(legs[..., i, :] * legs[..., j, :], axis=-1),
        )
        for i, j in combinations(range(len(directions)), 2)
    ]
    return plain(np.max(np.stack(np.broadcast_arrays(*found)), axis=0))


def redirect_resultant(t_in: Values, t_out: Values, turn: Values) -> Values:
    """Force on what turns a rope: R = √(T1² + T2² - 2 T1 T2 cos β); 0 turn is a straight rope.

    t_in T1 [N] >= 0;  t_out T2 [N] >= 0, the tensions either side;  turn β [rad] 0..20 π.
    -> R [N]; it leans toward the tighter side
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   rope and pulley at rest or at constant speed; friction enters by T1 and T2.
    Source  sum of two vectors (law of cosines), as for a belt on a pulley in Baker & Haynes,
            Engineering Statics: Open and Interactive, ch. 9, sec. 9.5.

    >>> round(redirect_resultant(1000, 1000, np.radians(90)), 1)
    1414.2
    """
    require_at_least("t_in", t_in)
    require_at_least("t_out", t_out)
    require_between("turn", turn, 0, MOST_TURN)
    across = 2 * np.sqrt(np.multiply(t_in, t_out)) * np.sin(np.divide(turn, 2))
    return plain(np.hypot(np.subtract(t_in, t_out), across))  # same, without loss near 0


def wrapped_force(tension: Values, turn: Values) -> Values:
    """Force of a rope on the edge or pulley that turns it, without friction: R = 2 T sin(β/2).

    tension T [N] >= 0;  turn β [rad] 0..π.  -> R [N]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   equal tension either side; with friction use `redirect_resultant`.
    Source  sum of two vectors, as `redirect_resultant` with T1 = T2.

    >>> round(wrapped_force(1000, np.radians(60)), 6)
    1000.0
    """
    require_at_least("tension", tension)
    require_between("turn", turn, 0, np.pi)
    return plain(2 * np.multiply(tension, np.sin(np.divide(turn, 2))))


def freed_rope(give: Values, turn: Values) -> Values:
    """Rope that a redirect sets free when it gives way along its pull: s = 2 x sin(β/2).

    give x [m] >= 0;  turn β [rad] 0..π, at the redirect.  -> s [m] 0..2 x
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   x small against the strands, so the turn stays; no friction at the redirect.
    Source  virtual work: R x = T s with R of `wrapped_force`.

    >>> round(freed_rope(0.3, np.radians(180)), 9)
    0.6
    """
    require_at_least("give", give)
    require_between("turn", turn, 0, np.pi)
    return plain(2 * np.multiply(give, np.sin(np.divide(turn, 2))))


def equalised_share(directions: Sequence[Vector]) -> Values:
    """Share of the pull in each leg of a self-equalising anchor: t/T = 1/|u1 + u2 + ...|.

    directions u [-] each x, y, z, not all 0, from the joint to an anchor, of any length; one or
    more.  -> t/T [-], the same in every leg; 1/n where all are parallel
    Raises  ValueError outside these bounds, for legs that only pull against each other, and
            for what is not a finite number.
    Holds   the joint slides without friction to where it balances, so the pull is along the sum;
            the directions are those it has there. Friction at the joint leaves legs uneven.
    Source  balance of forces, as Baker & Haynes, Engineering Statics: Open and Interactive, ch. 3.

    >>> round(equalised_share([(1, 0, 1), (-1, 0, 1)]), 4)
    0.7071
    """
    total = np.sum(legs_of(directions), axis=-2)
    size = plain(np.linalg.norm(total, axis=-1))
    require_at_least("sum of directions", size, BALANCE)
    return plain(np.divide(1.0, size))


def fixed_shares(
    pull: Vector, directions: Sequence[Vector], stiffnesses: Sequence[Values]
) -> tuple[Values, ...]:
    """Share of the pull in each leg of a fixed anchor: Σ T_i u_i + p = 0, T_i = k_i max(0, -u_i·δ).

    δ is how far the joint gives way, -u·δ how much that lengthens a leg; a leg that would have to
    push is slack and carries 0. It is found as the one way in which legs that only pull balance
    the pull p with the least Σ T_i²/k_i.

    pull p [-] x, y, z, not all 0, from the joint toward the load, of any length;
    directions u [-] each x, y, z, not all 0, from the joint to an anchor, of any length; 1 to 12;
    stiffnesses k [N/m] each > 0, of the legs: modulus over length, K/L; only their ratios count.
    -> T_i/T [-] >= 0 for each leg
    Raises  ValueError outside these bounds, for counts that do not fit, where legs that only pull
            cannot balance the pull, and for what is not a finite number.
    Holds   straight load-strain lines; all legs just tight before the load comes, none tied long
            or short; the joint moves little, so directions stay. Three legs in independent
            directions are settled by balance alone, whatever their stiffness; more are not.
    Source  balance as Baker & Haynes, Engineering Statics: Open and Interactive, ch. 3; shares
            of stiffness by least work (Castigliano 1879, from memory).

    >>> [round(t, 4) for t in fixed_shares((0, 0, -1), [(0, 0, 1), (0, 0, 1)], [1 / 1.0, 1 / 2.0])]
    [0.6667, 0.3333]
    """
    if len(directions) != len(stiffnesses):
        raise ValueError(
            "directions and stiffnesses must be equally many, "
            f"found {len(directions)} and {len(stiffnesses)}"
        )
    for number, stiffness in enumerate(stiffnesses, start=1):
        require_positive(f"stiffness {number}", stiffness)
    legs, load = legs_of(directions), unit_of("pull", pull)[..., np.newaxis]
    root = np.sqrt(np.stack(np.broadcast_arrays(*stiffnesses), axis=-1))
    root = root / np.max(root, axis=-1, keepdims=True)
    shares = least_work(np.swapaxes(legs, -1, -2) * root[..., np.newaxis, :], load) * root
    if np.isnan(shares).any():
        raise ValueError(f"pull must be one that legs hold by pulling alone, found {pull}")
    return tuple(plain(share) for share in np.moveaxis(shares, -1, 0))


_GEOMETRY = mark("geometry")
INCLUDED_BY_TWO = Equation(
    np.add, "α", "rad", "{α1} + {α2}",
    {"α1": Symbol("rad", high=np.pi / 2, below=True),
     "α2": Symbol("rad", high=np.pi / 2, below=True)},
    _GEOMETRY,
)  # fmt: skip
_ANY = Symbol("1", -np.inf)
INCLUDED = Equation(
    lambda *each: included_angle([each[:3], each[3:]]), "α", "rad",
    "arccos(({x1} · {x2} + {y1} · {y2} + {z1} · {z2}) / "
    "√(({x1}^2 + {y1}^2 + {z1}^2) · ({x2}^2 + {y2}^2 + {z2}^2)))",
    dict.fromkeys(("x1", "y1", "z1", "x2", "y2", "z2"), _ANY), _GEOMETRY,
    words=mark("the greatest between any two legs, by the directions stated"),
)  # fmt: skip


def _redirected(above: Values, below: Values, turn: Values) -> Values:
    most = plain(np.maximum(above, below))
    return plain(np.maximum(redirect_resultant(above, below, turn), wrapped_force(most, turn)))


REDIRECTED = Equation(
    _redirected, "R", "N",
    "max(√(({T1} − {T2})^2 + 4 · {T1} · {T2} · sin({θ} / 2)^2), "
    "2 · max({T1}, {T2}) · sin({θ} / 2))",
    {"T1": Symbol("N"), "T2": Symbol("N"), "θ": Symbol("rad", high=np.pi)},
    mark(
        "sum of the two strands as vectors; with the greater tension on both sides where that "
        "gives more; the greatest over cases"
    ),
)  # fmt: skip
CAUGHT_BY_REDIRECT = Equation(
    wrapped_force, "F", "N", "2 · {F_line} · sin({θ} / 2)",
    {"F_line": Symbol("N"), "θ": Symbol("rad", high=np.pi)},
    mark("energy balance, as the peak force of a fall"),
)  # fmt: skip
"""F line is the peak force in the line, which then falls freely by 2 sin(θ/2) of the extension."""

BALANCE_AT_JOINT = mark(
    "balance of the forces at the joint (Baker & Haynes, Engineering Statics, ch. 3), at the worst "
    "turn of the pull"
)
_SHARED = {"T": Symbol("N"), "s": Symbol("1")}
SINGLE_LEG = Equation(lambda pull: pull, "T leg", "N", "{T}", {"T": Symbol("N")}, BALANCE_AT_JOINT)
LEG_OF_FAN = {
    "self": Equation(
        np.multiply, "T leg", "N", "{T} · {s}", _SHARED, BALANCE_AT_JOINT,
        words=mark("s is 1 / |Σ u| after the joint has slid to rest without friction"),
    ),
    "fixed": Equation(
        np.multiply, "T leg", "N", "{T} · {s}", _SHARED, BALANCE_AT_JOINT,
        words=mark("s is the share by balance and equal give of the joint"),
    ),
}  # fmt: skip
"""Of three legs and more, by their directions: the share s is found by solving for the joint."""
LEG_LEFT = Equation(
    np.multiply, "T leg", "N", "{T} · {s}", _SHARED,
    mark("a single leg that is left turns into the pull and carries it all"),
    words=mark("s is the share in the legs that are left"),
)  # fmt: skip
