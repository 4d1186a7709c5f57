"""Friction of a rope that bends over edges, pulleys and bars."""

from __future__ import annotations

import numpy as np

from riskdoc.mechanics.values import (
    Values,
    plain,
    require_between,
    require_positive,
)

MOST_TURN = 20 * np.pi
"""Ten full turns [rad]: more than a rope is wrapped around anything; catches degrees."""

MOST_RATIO = 1e4
"""Largest tension ratio taken for one. Judgement: past it the angle was in degrees or µ wrong."""


def capstan_ratio(mu: Values, turn: Values) -> Values:
    """Ratio of the tensions either side of a bend: T_high/T_low = exp(µ β).

    mu µ [-] 0..1;  turn β [rad] 0..20 π, all turns together.  -> ratio [-] 1..10 000
    Raises  ValueError outside these bounds, for a ratio above 10 000, and for NaN.
    Holds   Coulomb friction, continuous contact, rope about to slide or sliding, no bending
            stiffness; the larger tension is on the side toward which the rope slides.
    Source  Baker & Haynes, Engineering Statics: Open and Interactive, ch. 9, sec. 9.5
            "Flexible Belts" (Euler-Eytelwein).

    >>> round(100 / capstan_ratio(0.23, 4.5 * 2 * np.pi), 2)  # same section, "Rope Friction", lbf
    0.15
    """
    return signed_ratio(mu, turn, 1.0)


def signed_ratio(mu: Values, turn: Values, sense: Values) -> Values:
    """Tension on the anchor side over tension on the load side: exp(σ µ β).

    mu µ [-] 0..1;  turn β [rad] 0..20 π;  sense σ [-] -1..1: +1 rope slides toward the anchor
    (raising), -1 toward the load (lowering, arresting), between them it stays (holding).
    -> ratio [-] 0.0001..10 000
    Raises  ValueError outside these bounds, for exp(µ β) above 10 000, and for NaN.
    Holds   as `capstan_ratio`; a rope at rest may have any sense between -1 and 1.
    Source  Baker & Haynes, Engineering Statics: Open and Interactive, ch. 9, sec. 9.5.

    >>> round(signed_ratio(0.3, np.pi / 2, 1), 3), round(signed_ratio(0.3, np.pi / 2, -1), 3)
    (1.602, 0.624)
    """
    require_between("mu", mu, 0, 1)
    require_between("turn", turn, 0, MOST_TURN)
    require_between("sense", sense, -1, 1)
    exponent = np.multiply(mu, turn)
    require_between("exp(mu * turn)", plain(np.exp(exponent)), 1, MOST_RATIO)
    return plain(np.exp(np.multiply(sense, exponent)))


def equivalent_friction(ratio: Values, turn: Values) -> Values:
    """Friction coefficient that gives a measured ratio of tensions: µ = ln(ratio)/β.

    ratio T_high/T_low [-] 1..10 000;  turn β [rad] above 0, at most 20 π.  -> µ [-] >= 0
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   as `capstan_ratio`; for a roller it stands in for bearing friction, so a ratio
            known at one turn can be carried to another.
    Source  Baker & Haynes, Engineering Statics: Open and Interactive, ch. 9, sec. 9.5, solved
            for µ.

    >>> round(equivalent_friction(5000 / 80, 4 * np.pi), 3)  # Beer & Johnston, hawser on a bollard
    0.329
    """
    require_between("ratio", ratio, 1, MOST_RATIO)
    require_positive("turn", turn)
    require_between("turn", turn, 0, MOST_TURN)
    return plain(np.log(ratio) / turn)


def sheave_friction(efficiency: Values, turn: Values) -> Values:
    """Friction coefficient that stands for a sheave: µ = 2 arsinh(sin(β/2) sinh(ln(1/η)/2))/β.

    efficiency η [-] above 0, at most 1, tension out over tension in of a rope turned by π;
    turn β [rad] 0..π, the rope's own.  -> µ [-] >= 0; exp(µ β) is the ratio of the tensions
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   the bearing's friction grows with the force on it, so a small turn loses little; the
            stiffness of the rope is left out. At β = π the ratio is 1/η, at 0 the limit is taken.
    Source  T_high - T_low = c R with R of `anchors.redirect_resultant` and c = (1 - η)/(1 + η),
            from the turn of π; solved for the ratio. DEVELOPERS.md, Definitions.

    >>> round(float(np.exp(sheave_friction(0.90, np.pi) * np.pi)), 4)
    1.1111
    """
    require_positive("efficiency", efficiency)
    require_between("efficiency", efficiency, 0, 1)
    require_between("turn", turn, 0, np.pi)
    lost = np.sinh(-np.log(efficiency) / 2)
    some = np.where(np.equal(turn, 0), 1.0, turn)  # 1 only keeps from 0/0
    whole = 2 * np.arcsinh(np.sin(np.divide(some, 2)) * lost) / some
    return plain(np.where(np.equal(turn, 0), lost, whole))
