"""Finds a free spot for a label in a drawing: on no stroke, on no other label, on the sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

from riskdoc.report.svg import Box

if TYPE_CHECKING:
    from collections.abc import Iterator

    from riskdoc.report.geometry import Point

FREE = 1.5
"""Free room around a label, in points."""
STEP = 5.0
FAR = 14.0
"""A label further than this from its point gets a line to it."""


@dataclass(frozen=True, slots=True)
class Spot:
    """The middle of a label, and where the line to its point ends, if it needs one."""

    x: float
    y: float
    leader: tuple[Point, Point] | None = None


@dataclass(slots=True)
class Canvas:
    """What is already drawn: strokes with half their thickness, and boxes nothing may cover."""

    sheet: Box
    strokes: list[tuple[Point, Point, float]] = field(default_factory=list)
    boxes: list[Box] = field(default_factory=list)

    def stroke(self, points: list[Point], thick: float = 1.0) -> None:
        """Strokes that no label may cover."""
        self.strokes += [(one, other, thick / 2) for one, other in pairwise(points)]

    def copy(self) -> Canvas:
        """What is taken now."""
        return Canvas(self.sheet, list(self.strokes), list(self.boxes))

    def reset(self, to: Canvas) -> None:
        """Takes back everything placed since a copy was made."""
        self.strokes, self.boxes = list(to.strokes), list(to.boxes)

    def place(
        self,
        at: Point,
        wide: float,
        high: float,
        away: Point | None = None,
        *,
        only_near: bool = False,
    ) -> Spot | None:
        """A free spot for a label of this size near a point, or None where there is none.

        `away` is the direction in which it should lie; near spots come first, then those in that
        direction; with `only_near` none that needs a line. The label's room and its line are then
        taken.
        """
        for x, y in _around(at, wide, high, away, only_near=only_near):
            box = Box(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)
            if not self._free(box):
                continue
            leader = _leader(at, box)
            if leader is not None and not self._open(leader):
                continue
            self.boxes.append(box)
            if leader is not None:
                self.strokes.append((*leader, 0.25))
            return Spot(x, y, leader)
        return None

    def _free(self, box: Box) -> bool:
        if box.left < self.sheet.left or box.right > self.sheet.right:
            return False
        if box.top < self.sheet.top or box.bottom > self.sheet.bottom:
            return False
        if any(box.overlaps(grown(each, FREE)) for each in self.boxes):
            return False
        return not any(
            crosses(one, other, grown(box, FREE + thick)) for one, other, thick in self.strokes
        )

    def _open(self, leader: tuple[Point, Point]) -> bool:
        return not any(crosses(*leader, grown(each, 0.5)) for each in self.boxes)


def grown(box: Box, by: float) -> Box:
    """A box with free room around it."""
    return Box(box.left - by, box.top - by, box.right + by, box.bottom + by)


def crosses(one: Point, other: Point, box: Box) -> bool:
    """Whether a straight stroke has a point inside a box.

    >>> crosses((0, 0), (10, 10), Box(4, 4, 6, 6)), crosses((0, 0), (10, 0), Box(4, 4, 6, 6))
    (True, False)
    """
    low, high = 0.0, 1.0
    spans = ((0, box.left, box.right), (1, box.top, box.bottom))
    for axis, start, end in spans:
        at, step = one[axis], other[axis] - one[axis]
        if abs(step) < 1e-12:
            if not start < at < end:
                return False
            continue
        first, second = sorted(((start - at) / step, (end - at) / step))
        low, high = max(low, first), min(high, second)
    return low < high


def _around(
    at: Point, wide: float, high: float, away: Point | None, *, only_near: bool
) -> Iterator[Point]:
    """Middles of labels around a point, the nearer and the better directed first."""
    ways = [(math.cos(n * math.pi / 12), math.sin(n * math.pi / 12)) for n in range(24)]
    if away is not None:
        ways.sort(key=lambda way: -(way[0] * away[0] + way[1] * away[1]))
    near = (3.0, 5.0, 8.0, FAR - 1)
    far = () if only_near else tuple(FAR + STEP * n for n in range(1, 30))
    for gap in (*near, *far):
        for dx, dy in ways:
            # So far that the label's nearest side is `gap` away from the point.
            reach = min(
                (wide / 2 + gap) / abs(dx) if abs(dx) > 1e-9 else math.inf,
                (high / 2 + gap) / abs(dy) if abs(dy) > 1e-9 else math.inf,
            )
            yield at[0] + dx * reach, at[1] + dy * reach


def _leader(at: Point, box: Box) -> tuple[Point, Point] | None:
    """The line from a point to a label that lies far from it."""
    near = (min(max(at[0], box.left), box.right), min(max(at[1], box.top), box.bottom))
    far = math.hypot(near[0] - at[0], near[1] - at[1])
    if far <= FAR:
        return None
    share = (far - 1.5) / far
    return at, (at[0] + (near[0] - at[0]) * share, at[1] + (near[1] - at[1]) * share)
