"""Legs that slide through a joint and so pull alike: where the joint comes to rest, and how hard.

The feet stay, and so does the length of what slides, all of it from foot to foot through the
joint. Friction at the joint is none; it would leave legs uneven.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from riskdoc.mechanics.directions import Vector, leaning, legs_of
from riskdoc.mechanics.values import (
    Values,
    plain,
    require_angle,
    require_at_least,
    require_between,
    require_positive,
)

BALANCE = 1e-9
"""[-] Part of the pull that may be left over at rest: rounding, nothing else."""

STEPS, ROUNDS = (8, 64), 3
"""A pull is turned in so many steps, in more where those are too coarse, as for legs that spread
wide; in each the joint is followed by so many rounds of Newton's rule."""


def sliding_half_angle(a: Values, b: Values, first: Values, turn: Values) -> Values:
    """Greatest angle between pull and legs of a sliding pair while the pull turns by up to τ.

    At rest both legs stand at β to the pull. Both ends of the sling are at the feet, so across a
    pull that has turned by t toward the first foot: sin β = w sin(a - t) + (1 - w) sin(b + t).

    a a [rad] 0..below π/2;  b b [rad] 0..below π/2, between each leg and the pull as stated, on
    opposite sides;  first w [-] 0..1, length of the first leg over that of both, 0 and 1 being
    the bounds where lengths are not known;  turn τ [rad] 0..below π/2, in the plane of the legs.
    -> β [rad] 0..π/2, the greatest over all t within -τ..τ
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   the sling slides without friction and its length stays; the joint stays clear of both
            feet. Each leg then carries T/(2 cos β), `anchors.symmetric_leg`.
    Source  an ellipse with the feet in its foci: its normal halves the angle between the legs
            (Apollonius; OpenStax, Calculus vol. 2, sec. 7.5, reflective property).

    >>> [round(float(np.degrees(sliding_half_angle(*np.radians((30, 30)), w, np.radians(10)))), 6)
    ...  for w in (0.5, 1.0)]
    [30.0, 40.0]
    """
    require_angle("a", a, np.pi / 2)
    require_angle("b", b, np.pi / 2)
    require_between("first", first, 0, 1)
    require_angle("turn", turn, np.pi / 2)
    other = np.subtract(1, first)
    straight = first * np.sin(a) + other * np.sin(b)
    aside = other * np.cos(b) - first * np.cos(a)
    best = np.clip(np.arctan2(aside, straight), np.negative(turn), turn)
    sine = straight * np.cos(best) + aside * np.sin(best)
    return plain(np.arcsin(np.minimum(sine, 1.0)))  # above 1 by rounding only


def sliding_share(directions: Sequence[Vector], lengths: Sequence[Values], turn: Values) -> Values:
    """Greatest share of the pull in each leg of a sliding anchor while the pull turns by up to τ.

    All legs carry t. At rest t Σ u_i balances the pull and Σ |f_i - x| is as long as ever, f_i
    being the feet and x the joint; both are solved for x at the pull as it stands over the
    directions stated, and at pulls that lean by steps of τ/8 or less to every side.

    directions u [-] each x, y, z, not all 0, from the joint to an anchor, of any length, at the
    pull as it stands, 1 to 12;  lengths L [m] > 0, of the legs there;  turn τ [rad] 0..below π/2.
    -> t/T [-], the same in every leg
    Raises  ValueError outside these bounds, for counts that do not fit, for legs that only pull
            against each other, where the joint would run against a foot, and for what is not a
            finite number.
    Holds   what slides is one sling without friction and does not stretch.
    Source  balance of forces as `anchors.equalised_share`; x by Newton's rule.

    >>> legs = [(1, 0, 1), (-1, 0, 1)]
    >>> [round(sliding_share(legs, (1.0, b), 0.1), 4) for b in (1.0, 2.0)]
    [0.7071, 0.7289]
    """
    if len(directions) != len(lengths):
        raise ValueError(
            "directions and lengths must be equally many, "
            f"found {len(directions)} and {len(lengths)}"
        )
    for number, length in enumerate(lengths, start=1):
        require_positive(f"length {number}", length)
    require_angle("turn", turn, np.pi / 2)
    legs = legs_of(directions)
    long = np.stack(np.broadcast_arrays(*lengths, turn, legs[..., 0, 0])[:-2], axis=-1)
    feet = legs * long[..., np.newaxis]
    total = np.sum(np.broadcast_to(legs, feet.shape), axis=-2)
    size = np.linalg.norm(total, axis=-1)
    require_at_least("sum of directions", plain(size), BALANCE)
    axis = -total / size[..., np.newaxis]
    cord, pulls = np.sum(long, axis=-1), leaning(axis, turn)
    for steps in STEPS:
        turned = _at_rest(feet, cord, axis, pulls, size, steps)
        worst = np.maximum(1 / size, np.max(turned, axis=0))
        if not np.isnan(worst).any():
            break
    else:
        raise ValueError(f"turn must be one that leaves the joint clear of all feet, found {turn}")
    return plain(worst)


def _at_rest(
    feet: npt.NDArray[np.float64],
    cord: npt.NDArray[np.float64],
    axis: npt.NDArray[np.float64],
    pull: npt.NDArray[np.float64],
    size: npt.NDArray[np.float64],
    steps: int,
) -> npt.NDArray[np.float64]:
    """Greatest share in each leg while the pull turns from the axis, at each of so many steps.

    NaN where the joint finds no rest at one of them.
    """
    axis, pull = np.broadcast_arrays(axis, pull)
    joint = np.zeros(np.broadcast_shapes(feet[..., 0, :].shape, pull.shape))
    load = np.broadcast_to(size, joint.shape[:-1]).copy()
    worst = 1 / load
    with np.errstate(all="ignore"):
        for step in range(1, steps + 1):
            toward = axis + (pull - axis) * (step / steps)
            toward = toward / np.linalg.norm(toward, axis=-1, keepdims=True)
            for _ in range(ROUNDS):
                joint, load = _closer(feet, cord, toward, joint, load)
            left, slack = _off(feet, cord, toward, joint, load)
            off = np.maximum(np.max(np.abs(left), axis=-1), np.abs(slack) / cord)
            found = (off < BALANCE) & (load > BALANCE)
            worst = np.maximum(worst, np.where(found, 1 / load, np.nan))
    return worst


def _off(
    feet: npt.NDArray[np.float64],
    cord: npt.NDArray[np.float64],
    pull: npt.NDArray[np.float64],
    joint: npt.NDArray[np.float64],
    load: npt.NDArray[np.float64],
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """What is left of balance, and of the length of what slides."""
    legs = feet - joint[..., np.newaxis, :]
    long = np.linalg.norm(legs, axis=-1)
    units = legs / long[..., np.newaxis]
    return np.sum(units, axis=-2) + load[..., np.newaxis] * pull, np.sum(long, axis=-1) - cord


def _closer(
    feet: npt.NDArray[np.float64],
    cord: npt.NDArray[np.float64],
    pull: npt.NDArray[np.float64],
    joint: npt.NDArray[np.float64],
    load: npt.NDArray[np.float64],
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """One round of Newton's rule for the joint and for T/t."""
    legs = feet - joint[..., np.newaxis, :]
    long = np.linalg.norm(legs, axis=-1)
    units = legs / long[..., np.newaxis]
    outer = units[..., :, np.newaxis] * units[..., np.newaxis, :]
    give = np.sum((np.eye(3) - outer) / long[..., np.newaxis, np.newaxis], axis=-3)
    total = np.sum(units, axis=-2)
    system = np.zeros((*joint.shape[:-1], 4, 4))
    system[..., :3, :3], system[..., :3, 3], system[..., 3, :3] = -give, pull, -total
    left, slack = _off(feet, cord, pull, joint, load)
    wanted = -np.concatenate([left, slack[..., np.newaxis]], axis=-1)
    singular = ~np.isfinite(system).all(axis=(-2, -1)) | ~np.isfinite(wanted).all(axis=-1)
    system = np.where(singular[..., np.newaxis, np.newaxis], np.eye(4), system)
    change = np.linalg.solve(system, wanted[..., np.newaxis])[..., 0]
    change = np.where(singular[..., np.newaxis], np.nan, change)
    return joint + change[..., :3], load + change[..., 3]
