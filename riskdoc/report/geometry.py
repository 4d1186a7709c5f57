"""The course of a line as points on paper: angles true, lengths true where that can be drawn."""

from __future__ import annotations

import math
from dataclasses import dataclass

Point = tuple[float, float]

MOST_RATIO = 9.0
"""Where the longest part of a rope is more than this times the shortest, lengths are compressed."""


@dataclass(frozen=True, slots=True)
class Course:
    """Points from anchor to load, the direction of each part in radians, and whether to scale."""

    points: tuple[Point, ...]
    directions: tuple[float, ...]
    to_scale: bool

    def middle(self, part: int) -> Point:
        """The middle of a part of the rope."""
        (x1, y1), (x2, y2) = self.points[part], self.points[part + 1]
        return (x1 + x2) / 2, (y1 + y2) / 2


def course(lengths: list[float], turns: list[float], wide: float, high: float) -> Course:
    """The course that fits into a room, the last part hanging straight down.

    `lengths` has one more entry than `turns` (rad); y grows downward, all turns go the same way.

    >>> shape = course([1, 2], [math.pi / 2], 100, 100)
    >>> [(round(x), round(y)) for x, y in shape.points]
    [(0, 0), (50, 0), (50, 100)]
    """
    directions = [math.pi / 2]
    for turn in reversed(turns):
        directions.insert(0, directions[0] - turn)
    drawn, true = _drawable(lengths)
    points: list[Point] = [(0.0, 0.0)]
    for length, direction in zip(drawn, directions, strict=True):
        x, y = points[-1]
        points.append((x + length * math.cos(direction), y + length * math.sin(direction)))
    return Course(_fitted(points, wide, high), tuple(directions), true)


def _drawable(lengths: list[float]) -> tuple[list[float], bool]:
    longest = max(lengths)
    if longest <= 0:
        return [1.0 for _ in lengths], False
    if min(lengths) * MOST_RATIO >= longest:
        return lengths, True
    # Roots keep the order of the lengths and leave the shortest one visible.
    return [max(math.sqrt(each / longest), 0.25) for each in lengths], False


def _fitted(points: list[Point], wide: float, high: float) -> tuple[Point, ...]:
    left, top = min(x for x, _ in points), min(y for _, y in points)
    across = max(x for x, _ in points) - left
    down = max(y for _, y in points) - top
    # A line that hangs straight down has no width to fit, and one of no length has neither.
    fits = [room / size for room, size in ((wide, across), (high, down)) if size > 1e-9]
    scale = min(fits, default=1.0)
    return tuple(((x - left) * scale, (y - top) * scale) for x, y in points)
