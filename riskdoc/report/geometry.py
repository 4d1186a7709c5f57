"""The course of a line as points on paper: angles true, lengths true where that can be drawn."""

from __future__ import annotations

import math
from dataclasses import dataclass

Point = tuple[float, float]

MOST_RATIO = 9.0
"""Where the longest part of a rope is more than this times the shortest, lengths are compressed."""
BACK = math.radians(150)
"""From this turn on the rope runs back beside itself: its strands are drawn apart."""
APART = 10.0
"""How far apart such strands are drawn, in points."""


@dataclass(frozen=True, slots=True)
class Course:
    """A rope on paper.

    `points` run from anchor to load. Part n of the rope runs from `starts[n]` to `points[n + 1]`;
    it starts beside `points[n]` only where the rope turns back on itself. `directions` are those
    of the parts, in radians; `scale` is points a metre, where lengths are to scale.
    """

    points: tuple[Point, ...]
    starts: tuple[Point, ...]
    directions: tuple[float, ...]
    to_scale: bool
    scale: float

    def along(self, part: int, share: float = 0.5) -> Point:
        """A place on a part of the rope: 0 where it starts, 1 where it ends."""
        (x1, y1), (x2, y2) = self.starts[part], self.points[part + 1]
        return x1 + (x2 - x1) * share, y1 + (y2 - y1) * share

    def moved(self, right: float, down: float) -> Course:
        """The same course elsewhere on the paper."""
        return Course(
            tuple((x + right, y + down) for x, y in self.points),
            tuple((x + right, y + down) for x, y in self.starts),
            self.directions,
            self.to_scale,
            self.scale,
        )


def course(
    lengths: list[float], turns: list[float], wide: float, high: float, depth: float = 0.0
) -> Course:
    """The course that fits into a room, the last part hanging straight down.

    `lengths` has one more entry than `turns` (rad); y grows downward, all turns go the same way.
    `depth` is how far below the load there must be room too, where lengths are to scale.

    >>> shape = course([1, 2], [math.pi / 2], 100, 100)
    >>> [(round(x), round(y)) for x, y in shape.points]
    [(0, 0), (50, 0), (50, 100)]
    """
    directions = [math.pi / 2]
    for turn in reversed(turns):
        directions.insert(0, directions[0] - turn)
    drawn, true = drawable(lengths)
    gaps = [0.0, *(APART if turn > BACK else 0.0 for turn in turns)]
    _, plain = _walked(drawn, directions, [0.0] * len(drawn), 1.0)
    if true and depth:
        plain = [*plain, (plain[-1][0], plain[-1][1] + depth)]
    scale = _scale(plain, wide - sum(gaps), high - sum(gaps))
    starts, points = _walked(drawn, directions, gaps, scale)
    left, top = min(x for x, _ in points), min(y for _, y in points)
    shape = Course(tuple(points), tuple(starts), tuple(directions), true, scale)
    return shape.moved(-left, -top)


def drawable(lengths: list[float]) -> tuple[list[float], bool]:
    """Lengths as they can be drawn beside each other, and whether they are to scale.

    >>> drawable([2.0, 4.0]), drawable([1.0, 100.0])
    (([2.0, 4.0], True), ([0.25, 1.0], False))
    """
    longest = max(lengths)
    if longest <= 0:
        return [1.0 for _ in lengths], False
    if min(lengths) * MOST_RATIO >= longest:
        return lengths, True
    # Roots keep the order of the lengths and leave the shortest one visible.
    return [max(math.sqrt(each / longest), 0.25) for each in lengths], False


def _walked(
    lengths: list[float], directions: list[float], gaps: list[float], scale: float
) -> tuple[list[Point], list[Point]]:
    """Where each part starts, and the points from anchor to load."""
    points: list[Point] = [(0.0, 0.0)]
    starts: list[Point] = []
    for n, (length, direction) in enumerate(zip(lengths, directions, strict=True)):
        x, y = points[-1]
        aside = (directions[n - 1] + direction) / 2 if n else direction
        x, y = x + gaps[n] * math.cos(aside), y + gaps[n] * math.sin(aside)
        starts.append((x, y))
        far = length * scale
        points.append((x + far * math.cos(direction), y + far * math.sin(direction)))
    return starts, points


def _scale(points: list[Point], wide: float, high: float) -> float:
    across = max(x for x, _ in points) - min(x for x, _ in points)
    down = max(y for _, y in points) - min(y for _, y in points)
    # A line that hangs straight down has no width to fit, and one of no length has neither.
    fits = [room / size for room, size in ((wide, across), (high, down)) if size > 1e-9]
    return min(fits, default=1.0)
