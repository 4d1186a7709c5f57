"""Places labels in a column beside a drawing so that none covers another."""

from __future__ import annotations

from dataclasses import dataclass

from riskdoc.report.svg import GREY, LEADING, SIZE, Box, Drawn, circle, joined, path, words
from riskdoc.report.text import wrap

GAP = 6.0
"""Free height between two labels."""


@dataclass(frozen=True, slots=True)
class Label:
    """What a label says, and the point of the drawing it belongs to."""

    x: float
    y: float
    title: str
    text: str


@dataclass(frozen=True, slots=True)
class _Block:
    label: Label
    titles: tuple[str, ...]
    lines: tuple[str, ...]

    @property
    def height(self) -> float:
        return (len(self.titles) + len(self.lines)) * LEADING


@dataclass(frozen=True, slots=True)
class Column:
    """Labels placed: the drawn parts, and where the lowest one ends."""

    parts: tuple[Drawn, ...]
    bottom: float


def column(labels: list[Label], left: float, room: float, top: float, bottom: float) -> Column:
    """Labels one under the other from `top`, each as near the height of its point as it can be.

    They reach below `bottom` only where they are too many for the height.
    """
    blocks = [_block(label, room) for label in in_order(labels)]
    tops = _tops(blocks, top, bottom)
    parts = [_drawn(block, left, at) for block, at in zip(blocks, tops, strict=True)]
    lowest = tops[-1] + blocks[-1].height if blocks else top
    return Column(tuple(parts), lowest)


def height(labels: list[Label], room: float) -> float:
    """The height that the labels take at least."""
    return sum(_block(label, room).height + GAP for label in labels)


def in_order(labels: list[Label]) -> list[Label]:
    """Labels in the order in which they stand under each other."""
    # From above to below; of points about as high, the one nearer the column first. So leader
    # lines seldom cross.
    return sorted(labels, key=lambda label: label.y - 0.4 * label.x)


def _block(label: Label, room: float) -> _Block:
    lines = wrap(label.text, room, SIZE) if label.text else ()
    return _Block(label, wrap(label.title, room, SIZE, "SemiBold"), lines)


def _tops(blocks: list[_Block], top: float, bottom: float) -> list[float]:
    """Heights at which the blocks start: down from the top first, then up from the bottom."""
    tops: list[float] = []
    free = top
    for block in blocks:
        start = max(block.label.y - LEADING, free)
        tops.append(start)
        free = start + block.height + GAP
    # Whatever now hangs out below moves up as far as the blocks above leave room.
    needed = top + sum(block.height + GAP for block in blocks)
    limit = max(bottom, needed)
    for index in range(len(blocks) - 1, -1, -1):
        tops[index] = min(tops[index], limit - GAP - blocks[index].height)
        limit = tops[index]
    return tops


def _drawn(block: _Block, left: float, top: float) -> Drawn:
    drawn: list[Drawn] = []
    y = top
    for text in block.titles:
        y += LEADING
        drawn.append(words(left, y, text, "SemiBold"))
    for text in block.lines:
        y += LEADING
        drawn.append(words(left, y, text))
    middle = top + LEADING - SIZE * 0.3
    label = block.label
    leader = path(
        [(label.x, label.y), (left - 14, middle), (left - 4, middle)],
        stroke=GREY,
        stroke_width=0.5,
    )
    dot = circle(label.x, label.y, 1.4, fill=GREY, stroke="none")
    boxes: tuple[Box, ...] = tuple(box for each in drawn for box in each.boxes)
    return Drawn(joined([leader, dot, *(each.markup for each in drawn)]), boxes)
