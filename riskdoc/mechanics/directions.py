"""Directions in space as arrays, and legs that hold a pull: what equations of anchors share.

No equations of their own stand here, and nothing here is called from outside `mechanics`.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
import numpy.typing as npt

from riskdoc.mechanics.values import Values, plain, require_inside, require_positive

Vector = Sequence[Values]
"""x, y, z."""

MOST_LEGS = 12
"""Legs of one anchor. Judgement: `fixed_shares` tries every set of them."""

AZIMUTHS = 12
"""Ways round an axis in which a pull is leaned. Judgement: one in 30°."""

BALANCE = 1e-10
"""[-] Part of the pull that may be left over where legs balance it: rounding, nothing else."""

SLACK = 1e-12
"""[-] Below this part of the pull a leg carries nothing: rounding."""
RANK = 1e-8
"""[-] Below this part of the stiffest way legs have no hold in a direction: a share found through
less would be rounding. Judgement."""


def legs_of(directions: Sequence[Vector]) -> npt.NDArray[np.float64]:
    """Unit vectors of the legs, leg by leg in the last axis but one."""
    if not 1 <= len(directions) <= MOST_LEGS:
        raise ValueError(f"directions must be 1 to {MOST_LEGS}, found {len(directions)}")
    units = [
        unit_of(f"direction {number}", each) for number, each in enumerate(directions, start=1)
    ]
    return np.stack(np.broadcast_arrays(*units), axis=-2)


def unit_of(name: str, vector: Vector) -> npt.NDArray[np.float64]:
    """The vector at length 1, x, y, z in the last axis."""
    if len(vector) != 3:
        raise ValueError(f"{name} must be three numbers, found {len(vector)}")
    for axis, part in zip("xyz", vector, strict=True):
        require_inside(f"{name} {axis}", part, -np.inf, np.inf)
    parts = np.stack(np.broadcast_arrays(*vector), axis=-1).astype(np.float64)
    largest = np.max(np.abs(parts), axis=-1, keepdims=True)
    require_positive(f"size of {name}", plain(largest))
    parts = parts / largest  # so that squares neither overflow nor vanish
    return np.asarray(parts / np.linalg.norm(parts, axis=-1, keepdims=True))


def leaning(axis: npt.NDArray[np.float64], lean: Values) -> npt.NDArray[np.float64]:
    """Unit vectors that lean about an axis, by half the lean and by all of it, to every side.

    They stand one after the other in the first axis of the array. By all of it they stand a
    little further out, so that the cone of that lean lies within them.
    """
    first, second = _across(axis)
    found = []
    for share in (0.5, 1.0):
        out = np.tan(np.multiply(lean, share)) / np.cos(np.pi / AZIMUTHS)
        angle = np.arctan(out)[..., np.newaxis]
        for way in np.arange(AZIMUTHS) * (2 * np.pi / AZIMUTHS):
            aside = np.cos(way) * first + np.sin(way) * second
            found.append(np.cos(angle) * axis + np.sin(angle) * aside)
    return np.stack(found)


def _across(axis: npt.NDArray[np.float64]) -> tuple[npt.NDArray[np.float64], ...]:
    """Two unit vectors square to a unit vector and to each other."""
    upright = np.abs(axis[..., :1]) > 0.9
    other = np.where(upright, np.array([0.0, 1.0, 0.0]), np.array([1.0, 0.0, 0.0]))
    first = np.cross(axis, other)
    first = first / np.linalg.norm(first, axis=-1, keepdims=True)
    return first, np.cross(axis, first)


def least_work(
    weighed: npt.NDArray[np.float64], load: npt.NDArray[np.float64]
) -> npt.NDArray[np.float64]:
    """Least y >= 0 with weighed·y + load = 0, y = T/√k; NaN where there is none.

    The legs that pull solve it alone, by the pseudo-inverse; so of every set of legs that can,
    the one with the least |y| is the answer. All legs together, where they can, are always it.
    """
    count = weighed.shape[-1]
    shape = np.broadcast_shapes(weighed.shape[:-2], load.shape[:-2])
    best, found = np.full(shape, np.inf), np.full((*shape, count), np.nan)
    for legs in (each for size in range(count, 0, -1) for each in combinations(range(count), size)):
        some = weighed[..., legs]
        y = -np.linalg.pinv(some, rcond=RANK) @ load
        left = np.linalg.norm((some @ y + load)[..., 0], axis=-1)
        work = np.sum(y * y, axis=(-2, -1))
        better = np.all(y > SLACK, axis=(-2, -1)) & (left <= BALANCE) & (work < best)
        filled = np.zeros((*shape, count))
        filled[..., legs] = y[..., 0]
        found = np.where(better[..., np.newaxis], filled, found)
        best = np.where(better, work, best)
        if len(legs) == count and better.all():
            break
    return found
