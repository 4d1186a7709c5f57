"""Fills that differ without colour: strokes and dots inside a rectangle, none beyond it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.report import svg

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from markupsafe import Markup

STEP = 4.0
"""Distance between two strokes, in points."""
THICK = 0.9

Stroke = tuple[float, float, float, float]


def hatched(fill: str, x: float, y: float, wide: float, high: float) -> Markup:
    """A rectangle in one of `FILLS`, outlined.

    >>> "<line" in hatched("rising", 0, 0, 20, 8), "<line" in hatched("white", 0, 0, 20, 8)
    (True, False)
    """
    ground = svg.BLACK if fill == "black" else svg.WHITE
    parts = [svg.rect(x, y, wide, high, fill=ground)]
    parts += [
        svg.line(x + x1, y + y1, x + x2, y + y2, stroke_width=THICK)
        for x1, y1, x2, y2 in FILLS[fill](wide, high)
    ]
    if fill == "dotted":
        parts += [svg.circle(x + a, y + b, 0.9, fill=svg.BLACK) for a, b in _dots(wide, high)]
    return svg.joined(parts)


def rising(wide: float, high: float) -> Iterator[Stroke]:
    """Slanted strokes, up to the right, over the whole rectangle to its corners."""
    at = STEP / 2
    while at < wide + high:
        yield (max(0.0, at - high), min(at, high), min(at, wide), max(0.0, at - wide))
        at += STEP


def _falling(wide: float, high: float) -> Iterator[Stroke]:
    for x1, y1, x2, y2 in rising(wide, high):
        yield x1, high - y1, x2, high - y2


def _crossed(wide: float, high: float) -> Iterator[Stroke]:
    yield from rising(wide, high)
    yield from _falling(wide, high)


def _upright(wide: float, high: float) -> Iterator[Stroke]:
    at = STEP / 2
    while at < wide:
        yield at, 0.0, at, high
        at += STEP


def _level(wide: float, high: float) -> Iterator[Stroke]:
    for share in (1 / 3, 2 / 3):
        yield 0.0, high * share, wide, high * share


def _none(_wide: float, _high: float) -> Iterator[Stroke]:
    return iter(())


def _dots(wide: float, high: float) -> Iterator[tuple[float, float]]:
    at, upper = STEP / 2, True
    while at < wide - 0.9:
        yield at, high * (0.3 if upper else 0.7)
        at, upper = at + STEP, not upper


FILLS: dict[str, Callable[[float, float], Iterator[Stroke]]] = {
    "rising": rising,
    "black": _none,
    "falling": _falling,
    "white": _none,
    "crossed": _crossed,
    "upright": _upright,
    "level": _level,
    "dotted": _none,
}
"""The fills in the order they are used, neighbours unlike each other; each gives its strokes."""
