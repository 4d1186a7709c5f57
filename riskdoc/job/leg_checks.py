"""Checks of the legs of an anchor: whether their geometry says how they share.

One leg stands in line with the pull. Two legs stand either side of it, each by its angle. From
three on only directions in space will do. How two and more share must be said.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from riskdoc.job.faults import Code
from riskdoc.job.model import Anchor, Job, Leg
from riskdoc.job.model_findings import Found
from riskdoc.job.nodes import Path

COUNTED_FROM = 4
"""Anchors of so many legs state how many: one fewer still reads. Two need angles, three more."""


def legs(job: Job, on: date, path: Path, anchor: Anchor) -> Iterator[Found]:
    """What is missing or beside the point in the legs of one anchor."""
    count = len(anchor.legs)
    yield from _count(path, anchor)
    for index, leg in enumerate(anchor.legs):
        here = (*path, "legs", index)
        if count == 1:
            yield from _single(here, leg)
        elif count == 2:
            yield from _pair(here, leg)
        else:
            yield from _fan(here, leg, anchor.equalised)
    if count == 2:
        yield from _side_by_side(path, anchor)
    yield from _sharing(path, anchor)
    yield from _moduli(path, anchor)


def _count(path: Path, anchor: Anchor) -> Iterator[Found]:
    listed = len(anchor.legs)
    if anchor.leg_count is None and listed >= COUNTED_FROM:
        yield Found(
            Code.LEG_MISSING,
            path,
            f"{listed} legs, and not said that these are all",
            f"Add 'leg_count: {listed}', or list the leg that is missing.",
        )
    elif anchor.leg_count not in (None, listed):
        yield Found(
            Code.LEG_MISSING,
            (*path, "leg_count"),
            f"{anchor.leg_count} legs are counted and {listed} listed",
            "List every leg at the joint, or correct the number.",
        )


def _sharing(path: Path, anchor: Anchor) -> Iterator[Found]:
    """What says how legs share, where it is missing and where it says nothing."""
    count = len(anchor.legs)
    if count > 1 and anchor.equalised is None:
        yield Found(
            Code.LEG_SHARING_MISSING,
            path,
            f"{count} legs, and not said how they share",
            "Add 'equalised': self when the legs slide, fixed when each is tied off.",
        )
    elif count == 1 and anchor.equalised is not None and not _leans(anchor.legs[0]):
        yield Found(
            Code.SHARING_UNUSED,
            (*path, "equalised"),
            "a single leg shares with none",
            "Leave 'equalised' out, or list the leg that is missing.",
        )
    elif anchor.extension is not None and anchor.equalised != "self":
        yield _idle(path, "extension", "only the joint of sliding legs drops when a leg goes")


def _moduli(path: Path, anchor: Anchor) -> Iterator[Found]:
    stated = [leg.modulus is not None for leg in anchor.legs]
    if not any(stated):
        return
    if anchor.equalised != "fixed":
        here = (*path, "legs", stated.index(True))
        yield _idle(here, "modulus", "only fixed legs share by their stiffness")
    elif not all(stated):
        yield Found(
            Code.MODULUS_MISSING,
            (*path, "legs", stated.index(False)),
            "a leg without its modulus beside legs that state one",
            "Add 'modulus', or leave it out of all legs when they are of one material.",
        )


def _leans(leg: Leg) -> bool:
    return leg.direction is not None or (leg.angle is not None and leg.angle.high > 0)


def _single(path: Path, leg: Leg) -> Iterator[Found]:
    if leg.direction is not None:
        yield _unused(path, "direction", "a single leg stands in line with the pull")
    if leg.angle is not None and leg.angle.high > 0:
        yield Found(
            Code.LEG_GEOMETRY_UNUSED,
            (*path, "angle"),
            f"a single leg stands in line with the pull, and its angle is {leg.angle.written}",
            "Leave the angle out, or add the leg that is missing.",
        )


def _pair(path: Path, leg: Leg) -> Iterator[Found]:
    if leg.angle is None:
        yield Found(
            Code.LEG_ANGLE_MISSING,
            path,
            "one of two legs without its angle to the pull",
            "Add 'angle'; 0 deg to below 90 deg.",
        )
    elif leg.direction is not None:
        yield _unused(path, "direction", "two legs are given by their angles")


def _fan(path: Path, leg: Leg, equalised: str | None) -> Iterator[Found]:
    if leg.direction is None:
        yield Found(
            Code.LEG_DIRECTION_MISSING,
            path,
            "one of three or more legs without a direction",
            "Add 'direction': [x, y, z] from the joint to the anchor; an angle is not enough.",
        )
    elif not any(leg.direction):
        yield Found(
            Code.LEG_DIRECTION_MISSING,
            (*path, "direction"),
            "a direction of [0, 0, 0] points nowhere",
            "Measure from the joint to the anchor.",
        )
    elif leg.angle is not None:
        yield _unused(path, "angle", "three or more legs are given by their directions")
    if equalised == "fixed" and leg.length is None:
        yield Found(
            Code.LEG_SHARING_MISSING,
            path,
            "a fixed leg without its length; the shorter of two takes more",
            "Add 'length'.",
        )


def _side_by_side(path: Path, anchor: Anchor) -> Iterator[Found]:
    angles = [leg.angle for leg in anchor.legs]
    known = all(leg.length is not None for leg in anchor.legs)
    # Fixed legs along the pull share by stiffness, which angles cannot tell.
    along = all(angle is not None and angle.low == 0 for angle in angles)
    if anchor.equalised == "fixed" and along and not known:
        yield Found(
            Code.LEG_ANGLES_ZERO,
            (*path, "legs"),
            "both legs can stand at 0 deg, and then their angles do not say how they share",
            "Add 'length' to both legs; fixed legs side by side share by their stiffness.",
        )


def _unused(path: Path, key: str, why: str) -> Found:
    return Found(Code.LEG_GEOMETRY_UNUSED, (*path, key), why, f"Leave {key!r} out.")


def _idle(path: Path, key: str, why: str) -> Found:
    return Found(Code.SHARING_UNUSED, (*path, key), why, f"Leave {key!r} out.")
