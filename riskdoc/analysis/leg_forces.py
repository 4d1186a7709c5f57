"""Forces in the legs of an anchor: their shares of a pull that may turn, and with a leg lost."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from riskdoc.analysis.anchor_pulls import Pulled, Way, turn_of_pull
from riskdoc.analysis.inputs import Missing, cached, from_table, stated
from riskdoc.i18n.message import message
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.anchors import (
    equalised_share,
    included_angle,
    parallel_shares,
    symmetric_leg,
    two_leg,
)
from riskdoc.mechanics.sliding import sliding_half_angle, sliding_share
from riskdoc.mechanics.turned import any_way, fixed_shares_turned, most_of, two_leg_turned
from riskdoc.quantities.intervals import (
    Array,
    Interval,
    combine,
    combine_all,
    exact,
    fitting,
    greatest,
)
from riskdoc.quantities.intervals import product as times

Direction = tuple[float, ...]
ROUND = 1 + 1e-12
"""Angles are stated in degrees: their sum in radians may be off in the last digit."""
ANY_TURN = exact(float(np.nextafter(np.pi / 2, 0)))
"""[rad] A turn within which every way lies in which legs can pull."""
FLAT = np.pi / 2 * (1 - 1e-3)
"""[rad] Legs that could stand so flat carry without bound: how flat, their lengths must say."""


def leg_forces(
    file: JobFile, anchor: str, pull: Interval, way: Pulled, lost: int | None = None
) -> tuple[Interval | None, ...]:
    """Greatest force in each leg under a pull that turns as `way` says; None for the leg lost.

    Raises `Missing` for what the job does not state. A leg that would have to push carries 0.
    """
    count = len(file.job.anchors[anchor].legs)
    left = _left(file, anchor, lost)
    if len(left) == 1:
        return tuple(pull if n in left else None for n in range(count))
    found = iter(times(*fitting(pull, share)) for share in shares(file, anchor, way, lost))
    return tuple(next(found) if n in left else None for n in range(count))


@cached
def shares(
    file: JobFile, anchor: str, way: Pulled, lost: int | None = None
) -> tuple[Interval, ...]:
    """Greatest share of the pull in each leg that is left, however far the pull turns.

    The worst for each leg is taken on its own, so the shares may add up to more than balance.
    """
    part, left = file.job.anchors[anchor], _left(file, anchor, lost)
    if len(left) == 1:
        return (exact(1.0),)
    if len(part.legs) == 2:
        if part.equalised == "self":
            return _sliding_pair(file, anchor, way)
        return _tied_pair(file, anchor, way)
    if part.equalised == "self":
        return _sliding_fan(file, anchor, way, left)
    return _tied_fan(file, anchor, way, left, lost=lost is not None)


@cached
def included(file: JobFile, anchor: str) -> Interval:
    """Angle between the outermost legs: of two the sum, of more the greatest between any two."""
    legs = file.job.anchors[anchor].legs
    if len(legs) == 2:
        return combine(np.add, *(leg_angle(file, anchor, n) for n in range(2)))
    return exact(float(included_angle(_directions(file, anchor, range(len(legs))))))


def outermost(file: JobFile, anchor: str) -> tuple[Direction, Direction]:
    """Directions of the two legs with the greatest angle between them, of three and more."""
    known = _directions(file, anchor, range(len(file.job.anchors[anchor].legs)))
    return max(combinations(known, 2), key=lambda two: float(included_angle(two)))


def limit_angle(degrees: Interval) -> Interval:
    """A limit in degrees as one in rad, for angles that were stated in degrees."""
    return combine(lambda each: np.radians(each) * ROUND, degrees)


def leg_strength(file: JobFile, anchor: str, leg: int) -> Interval:
    """Strength of a leg. Raises `Missing` where none is stated, or nothing that it rests on."""
    if file.job.anchors[anchor].legs[leg].evidence == "unknown":
        raise Missing(
            message(
                "anchors.{anchor}.legs[{leg}].evidence other than unknown",
                anchor=anchor,
                leg=leg + 1,
            )
        )
    title = message("strength of leg {leg}", leg=leg + 1)
    return stated(file, ("anchors", anchor, "legs", leg, "strength"), "S", title)


def _left(file: JobFile, anchor: str, lost: int | None) -> tuple[int, ...]:
    return tuple(n for n in range(len(file.job.anchors[anchor].legs)) if n != lost)


def _turn(file: JobFile, way: Pulled) -> Interval:
    if isinstance(way, Way):
        return exact(0.0) if way is Way.STRAIGHT else ANY_TURN
    return turn_of_pull(file, way)


def _tied_pair(file: JobFile, anchor: str, way: Pulled) -> tuple[Interval, ...]:
    """Two legs tied off: by balance; by stiffness side by side; nearly so by the worse of both.

    Of legs nearly side by side and of unknown length either may carry nearly all.
    """
    a, b = (leg_angle(file, anchor, n) for n in range(2))
    if way is Way.ANY:
        return (combine(lambda a, b: any_way(a + b), a, b),) * 2
    turn, near = _turn(file, way), _side_by_side()
    if by_balance(file, anchor):
        return combine_all(lambda a, b, t: two_leg_turned(1.0, a, b, t), a, b, turn)
    if without_length(file, anchor, (0, 1)):
        return (exact(1.0), exact(1.0))
    stiffness = (leg_stiffness(file, anchor, n) for n in range(2))
    return combine_all(_close, a, b, turn, near, *stiffness)


def _side_by_side() -> Interval:
    """Between legs under this angle stiffness counts too."""
    return combine(np.radians, from_table("general", "legs side by side", "α"))


def nearly_beside(between: float) -> bool:
    """Whether legs at an angle to each other are so near that their stiffness counts too."""
    return between * ROUND < _side_by_side().expected


def by_balance(file: JobFile, anchor: str) -> bool:
    """Whether two legs stand so far apart, at any angles stated, that balance alone counts."""
    return not nearly_beside(sum(leg_angle(file, anchor, n).range.low for n in range(2)))


def stated_alike(file: JobFile, anchor: str) -> bool:
    """Whether both of two legs are stated at one and the same angle."""
    a, b = (leg_angle(file, anchor, n) for n in range(2))
    return a.range == b.range and not a.axes


def _close(a: Array, b: Array, turn: Array, near: Array, *stiffness: Array) -> tuple[Array, ...]:
    apart = np.asarray(a + b > 0)
    balance = two_leg_turned(1.0, np.where(apart, a, 1.0), np.where(apart, b, 1.0), turn)
    return tuple(
        np.where(apart, np.where((a + b) * ROUND < near, np.maximum(by, side), by), side)
        for by, side in zip(balance, parallel_shares(*stiffness), strict=True)
    )


def leg_stiffness(file: JobFile, anchor: str, leg: int) -> Interval:
    """Stiffness of a leg, up to a factor that all have where they are of one material."""
    keys, n = ("anchors", anchor, "legs", leg), leg + 1
    length = stated(file, (*keys, "length"), "L", message("length of leg {n}", n=n))
    if file.job.anchors[anchor].legs[leg].modulus is None:
        return combine(lambda long: 1 / long, length)
    modulus = stated(file, (*keys, "modulus"), "K", message("modulus of leg {n}", n=n))
    return combine(np.divide, modulus, length)


def _sliding_pair(file: JobFile, anchor: str, way: Pulled) -> tuple[Interval, ...]:
    """Two legs that slide until they stand alike to the pull.

    Angles stated apart are those of a joint that something holds: each leg then takes the worse
    of both.
    """
    a, b = (leg_angle(file, anchor, n) for n in range(2))
    slid = _slid(file, anchor, (0, 1), (a, b), _turn(file, way))
    if stated_alike(file, anchor):
        return (slid, slid)
    held = combine_all(_held, a, b)
    return tuple(greatest(slid, each) for each in held)


def _held(a: Array, b: Array) -> tuple[Array, ...]:
    """Shares of legs at the angles stated; of legs side by side those of legs that slide."""
    apart = np.asarray(a + b > 0)
    found = two_leg(1.0, np.where(apart, a, 1.0), np.where(apart, b, 1.0))
    return tuple(np.where(apart, each, 0.5) for each in found)


def _slid(
    file: JobFile,
    anchor: str,
    legs: tuple[int, int],
    angles: tuple[Interval, Interval],
    turn: Interval,
) -> Interval:
    """Share of each of two sliding legs. Without their lengths the worst of all lengths counts."""
    missing = without_length(file, anchor, legs)
    if missing:
        bounds = (combine(sliding_half_angle, *angles, exact(w), turn) for w in (0.0, 1.0))
        half = greatest(*bounds)
        if half.range.high > FLAT:
            raise Missing(missing[0])
    else:
        one, two = (leg_length(file, anchor, n) for n in legs)
        first = combine(lambda one, two: one / (one + two), one, two)
        half = combine(sliding_half_angle, *angles, first, turn)
    return combine(lambda half: symmetric_leg(1.0, 2 * half), half)


def leg_length(file: JobFile, anchor: str, leg: int) -> Interval:
    """Length of a leg. Raises `Missing` where it is not stated."""
    title = message("length of leg {n}", n=leg + 1)
    return stated(file, ("anchors", anchor, "legs", leg, "length"), "L", title)


def without_length(file: JobFile, anchor: str, legs: tuple[int, ...]) -> list[str]:
    """Keys of the lengths that are not stated."""
    part = file.job.anchors[anchor]
    return [f"anchors.{anchor}.legs[{n + 1}].length" for n in legs if part.legs[n].length is None]


def _tied_fan(
    file: JobFile, anchor: str, way: Pulled, left: tuple[int, ...], *, lost: bool
) -> tuple[Interval, ...]:
    """Three or more legs tied off, or what is left of them, as vectors.

    When a leg is lost and the others cannot hold the pull from where the joint is, the joint
    moves until they can.
    """
    part, known = file.job.anchors[anchor], _directions(file, anchor, left)
    if way is Way.ANY:
        return _bounded(anchor, known)
    if part.pull is None:
        raise Missing(f"anchors.{anchor}.pull")
    pull = tuple(float(c) for c in part.pull)
    stiffness = [leg_stiffness(file, anchor, n) for n in left]
    turn = _turn(file, way)
    try:
        return combine_all(
            lambda turn, *each: fixed_shares_turned(pull, known, each, turn), turn, *stiffness
        )
    except ValueError as error:
        if lost:
            return _bounded(anchor, known)
        raise Missing(
            message("legs of anchors.{anchor} that can hold the pull stated", anchor=anchor)
        ) from error


def _sliding_fan(
    file: JobFile, anchor: str, way: Pulled, left: tuple[int, ...]
) -> tuple[Interval, ...]:
    """Three or more legs that slide, or what is left of them, as vectors.

    Where the pull turns and lengths are not stated, each may carry up to all of it.
    """
    known = _directions(file, anchor, left)
    if way is Way.ANY:
        return _bounded(anchor, known)
    turn = _turn(file, way)
    try:
        if turn.range.high == 0:
            share = exact(float(equalised_share(known)))
        elif len(left) == 2:
            half = exact(float(included_angle(known)) / 2)
            share = _slid(file, anchor, (left[0], left[1]), (half, half), turn)
        elif without_length(file, anchor, left):
            return _bounded(anchor, known)
        else:
            long = [leg_length(file, anchor, n) for n in left]
            share = combine(lambda turn, *each: sliding_share(known, each, turn), turn, *long)
    except ValueError as error:
        raise Missing(
            message(
                "legs of anchors.{anchor} that can hold a pull turned by its reach", anchor=anchor
            )
        ) from error
    return (share,) * len(left)


def _bounded(anchor: str, known: list[Direction]) -> tuple[Interval, ...]:
    """Shares that legs do not exceed whichever way they are pulled."""
    try:
        share = float(any_way(included_angle(known)) if len(known) == 2 else most_of(known))
    except ValueError as error:
        raise Missing(
            message("legs of anchors.{anchor} within 90° of each other", anchor=anchor)
        ) from error
    return (exact(share),) * len(known)


def _directions(file: JobFile, anchor: str, legs: range | tuple[int, ...]) -> list[Direction]:
    """Directions of legs from the joint; three and more legs have them, or the job is refused."""
    written = [file.job.anchors[anchor].legs[n].direction for n in legs]
    return [tuple(float(c) for c in each) for each in written if each is not None]


def leg_angle(file: JobFile, anchor: str, leg: int) -> Interval:
    """Angle of a leg of two to the pull."""
    return stated(
        file,
        ("anchors", anchor, "legs", leg, "angle"),
        "α",
        message("angle of leg {leg}", leg=leg + 1),
    )
