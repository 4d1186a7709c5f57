"""Checks of the legs of an anchor: whether their geometry says how they share.

One leg stands in line with the pull. Two legs stand either side of it, each by its angle. From
three on only directions in space will do, and how they share must be said.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from riskdoc.job.faults import Code
from riskdoc.job.findings import Found
from riskdoc.job.model import Anchor, Job, Leg
from riskdoc.job.nodes import Path


def legs(job: Job, on: date, path: Path, anchor: Anchor) -> Iterator[Found]:
    """What is missing or beside the point in the legs of one anchor."""
    count = len(anchor.legs)
    for index, leg in enumerate(anchor.legs):
        here = (*path, "legs", index)
        if count == 1:
            yield from _single(here, leg)
        elif count == 2:
            yield from _pair(here, leg)
        else:
            yield from _fan(here, leg, anchor.equalised)
    if count == 2:
        yield from _pull(path, anchor)
    if count > 2 and anchor.equalised is None:
        yield Found(
            Code.LEG_SHARING_MISSING,
            path,
            f"{count} legs, and not said how they share",
            "Add 'equalised': self when the legs slide, fixed when each is tied off.",
        )


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


def _pull(path: Path, anchor: Anchor) -> Iterator[Found]:
    angles = [leg.angle for leg in anchor.legs]
    # Both legs along the pull share by stiffness, which angles cannot tell.
    if all(angle is not None and angle.low == 0 for angle in angles):
        yield Found(
            Code.LEG_ANGLES_ZERO,
            (*path, "legs"),
            "both legs can stand at 0 deg, and then their angles do not say how they share",
            "Write the angle each leg really has; it is above 0 when the anchors are apart.",
        )


def _unused(path: Path, key: str, why: str) -> Found:
    return Found(Code.LEG_GEOMETRY_UNUSED, (*path, key), why, f"Leave {key!r} out.")
