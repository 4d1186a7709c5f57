"""Finds free room for a label on a sheet: on no stroke, on no other label, within the sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from riskdoc.report.svg import Box

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    import numpy.typing as npt

    Numbers = npt.NDArray[np.float64]

Point = tuple[float, float]

FREE = 1.6
"""Free room around a label, in points."""
FAR = 13.0
"""A label further than this from its point gets a line to it."""
GAPS = (2.5, 4.0, 6.0, 9.0, 12.5, 18.0, 24.0, 32.0, 42.0, 54.0, 68.0, 84.0, 102.0, 122.0, 144.0)
WAYS = 24
CROSSED = 25.0
"""What a stroke that the line to a label crosses counts, in points of distance."""
ASIDE = 7.0
"""What a label opposite to the wanted direction counts, in points of distance."""


@dataclass(frozen=True, slots=True)
class Spot:
    """The room of a label, and the line from its point to it, where it stands far from it."""

    box: Box
    leader: tuple[Point, Point] | None = None


@dataclass(slots=True)
class Canvas:
    """What is drawn: strokes with half their thickness, and boxes that nothing may cover."""

    sheet: Box
    strokes: list[tuple[float, float, float, float, float]] = field(default_factory=list)
    boxes: list[Box] = field(default_factory=list)

    def stroke(self, points: Iterable[Point], thick: float) -> None:
        """Strokes that no label may cover."""
        self.strokes += [(*one, *other, thick / 2) for one, other in pairwise(points)]

    def copy(self) -> Canvas:
        """What is taken now."""
        return Canvas(self.sheet, list(self.strokes), list(self.boxes))

    def place(
        self, at: Point, wide: float, high: float, away: Point | None, room: Box | None = None
    ) -> Spot | None:
        """Takes the best free room for a label of a point, or says that there is none.

        `away` is the direction in which it should lie, `room` the part of the sheet it may take.
        """
        middles, costs = _candidates(at, wide, high, away)
        boxes = np.column_stack([middles, middles]) + np.array([-wide, -high, wide, high]) / 2
        free = _within(boxes, room or self.sheet) & ~self._covered(boxes)
        return self._best(at, boxes, costs, free)

    def _best(
        self, at: Point, boxes: Numbers, costs: Numbers, free: npt.NDArray[np.bool_]
    ) -> Spot | None:
        """The cheapest of the free rooms, lines to them counted, and takes it."""
        best: tuple[float, Spot] | None = None
        for n in np.argsort(costs, kind="stable"):
            if not free[n]:
                continue
            if best is not None and costs[n] >= best[0]:
                break
            box = Box(*(float(each) for each in boxes[n]))
            leader = _leader(at, box)
            cost = float(costs[n])
            if leader is not None:
                if self._over_text(leader):
                    continue
                cost += CROSSED * self._crossings(leader)
            if best is None or cost < best[0]:
                best = cost, Spot(box, leader)
        if best is None:
            return None
        self._take(best[1])
        return best[1]

    def _take(self, spot: Spot) -> None:
        self.boxes.append(spot.box)
        if spot.leader is not None:
            self.stroke(spot.leader, 0.5)

    def _covered(self, boxes: Numbers) -> npt.NDArray[np.bool_]:
        """Which of these rooms hold a stroke or overlap a box."""
        found = np.zeros(len(boxes), dtype=bool)
        for each in self.boxes:
            found |= (
                (boxes[:, 0] < each.right + FREE)
                & (each.left - FREE < boxes[:, 2])
                & (boxes[:, 1] < each.bottom + FREE)
                & (each.top - FREE < boxes[:, 3])
            )
        if self.strokes:
            found |= hit(boxes, np.array(self.strokes), FREE).any(axis=1)
        return found

    def _over_text(self, leader: tuple[Point, Point]) -> bool:
        (x, y), _ = leader
        others = [
            (b.left, b.top, b.right, b.bottom)
            for b in self.boxes
            # What the line starts in is what the label belongs to.
            if not (b.left <= x <= b.right and b.top <= y <= b.bottom)
        ]
        if not others:
            return False
        boxes = np.array(others)
        return bool(hit(boxes, np.array([(*leader[0], *leader[1], 0.6)]), 0.0).any())

    def _crossings(self, leader: tuple[Point, Point]) -> int:
        if not self.strokes:
            return 0
        strokes = np.array(self.strokes)
        one, other = np.array(leader[0]), np.array(leader[1])
        a, b = strokes[:, :2], strokes[:, 2:4]

        def side(p: Numbers, q: Numbers, r: Numbers) -> Numbers:
            turned: Numbers = (q[..., 0] - p[..., 0]) * (r[..., 1] - p[..., 1]) - (
                q[..., 1] - p[..., 1]
            ) * (r[..., 0] - p[..., 0])
            return turned

        apart = side(one, other, a) * side(one, other, b) < 0
        across = side(a, b, one) * side(a, b, other) < 0
        return int((apart & across).sum())


def hit(boxes: Numbers, strokes: Numbers, free: float) -> npt.NDArray[np.bool_]:
    """For each box and stroke whether the stroke, with its thickness, has a point in the box.

    >>> strokes = np.array([[0, 0, 10, 10, 0], [0, 0, 10, 0, 0.0]])
    >>> hit(np.array([[4, 4, 6, 6.0]]), strokes, 0).tolist()
    [[True, False]]
    """
    low = np.zeros((len(boxes), len(strokes)))
    high = np.ones_like(low)
    grown = strokes[None, :, 4] + free
    for axis in (0, 1):
        start, end = strokes[None, :, axis], strokes[None, :, axis + 2]
        near, far = boxes[:, None, axis] - grown, boxes[:, None, axis + 2] + grown
        step = end - start
        still = np.abs(step) < 1e-9
        with np.errstate(divide="ignore", invalid="ignore"):
            first, second = (near - start) / step, (far - start) / step
        inside = (near < start) & (start < far)
        low = np.maximum(
            low, np.where(still, np.where(inside, 0.0, 2.0), np.minimum(first, second))
        )
        high = np.minimum(high, np.where(still, 1.0, np.maximum(first, second)))
    touched: npt.NDArray[np.bool_] = low < high
    return touched


def _within(boxes: Numbers, sheet: Box) -> npt.NDArray[np.bool_]:
    inside: npt.NDArray[np.bool_] = (
        (boxes[:, 0] >= sheet.left)
        & (boxes[:, 1] >= sheet.top)
        & (boxes[:, 2] <= sheet.right)
        & (boxes[:, 3] <= sheet.bottom)
    )
    return inside


def _candidates(at: Point, wide: float, high: float, away: Point | None) -> tuple[Numbers, Numbers]:
    """Middles of labels around a point, and what each counts: its distance and its direction."""
    turns = np.arange(WAYS) * 2 * math.pi / WAYS
    ways = np.column_stack([np.cos(turns), np.sin(turns)])
    length = math.hypot(*away) if away is not None else 0.0
    wanted = (away[0] / length, away[1] / length) if away is not None and length else (0.0, 0.0)
    aside = (1 - ways @ np.array(wanted)) * (ASIDE if length else 0.0)
    middles, costs = [], []
    for gap in GAPS:
        with np.errstate(divide="ignore"):
            reach = np.minimum(
                (wide / 2 + gap) / np.abs(ways[:, 0]).clip(1e-9),
                (high / 2 + gap) / np.abs(ways[:, 1]).clip(1e-9),
            )
        middles.append(np.array(at) + ways * reach[:, None])
        costs.append(gap + aside + (FAR if gap > FAR else 0.0))
    return np.concatenate(middles), np.concatenate(costs)


def _leader(at: Point, box: Box) -> tuple[Point, Point] | None:
    """The line from a point to a label that lies far from it."""
    near = (min(max(at[0], box.left), box.right), min(max(at[1], box.top), box.bottom))
    far = math.dist(near, at)
    if far <= FAR:
        return None
    share = (far - 1.5) / far
    return at, (at[0] + (near[0] - at[0]) * share, at[1] + (near[1] - at[1]) * share)


def grown(box: Box, by: float) -> Box:
    """A box with free room around it."""
    return Box(box.left - by, box.top - by, box.right + by, box.bottom + by)


def around(points: Sequence[Point]) -> Box:
    """The box around some points."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return Box(min(xs), min(ys), max(xs), max(ys))
