"""Forces on anchors, legs and redirects, from the directions of the ropes."""

from __future__ import annotations

import numpy as np

from riskdoc.mechanics.friction import MOST_TURN
from riskdoc.mechanics.values import (
    Values,
    plain,
    require_angle,
    require_at_least,
    require_between,
)


def two_leg(tension: Values, a: Values, b: Values) -> tuple[Values, Values]:
    """Forces in two legs either side of the pull: T_a = T sin b/sin(a+b), T_b = T sin a/sin(a+b).

    tension T [N] >= 0;  a a [rad] 0..below π/2;  b b [rad] 0..below π/2, each between its leg
    and the line of the pull, on opposite sides.  -> (T_a, T_b) [N]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   both legs pull, in one plane with the load. Two legs along the pull (a = b = 0) are
            not settled by statics: each is given T/2, the limit of equal angles, which is true
            of self-equalising or equally long legs only.
    Source  balance of forces (Lami's rule); worked in OpenStax, University Physics vol. 1,
            sec. 6.1, "Different Tensions at Different Angles".

    >>> [round(leg, 4) for leg in two_leg(1, np.radians(15), np.radians(45))]
    [0.8165, 0.2989]
    """
    require_at_least("tension", tension)
    require_angle("a", a, np.pi / 2)
    require_angle("b", b, np.pi / 2)
    parallel = np.equal(a, 0) & np.equal(b, 0)
    between = np.where(parallel, 1.0, np.sin(np.add(a, b)))
    share_a = np.where(parallel, 0.5, np.sin(b) / between)
    share_b = np.where(parallel, 0.5, np.sin(a) / between)
    return plain(tension * share_a), plain(tension * share_b)


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
