"""What is said of the places of a drawing, one under the other beside it."""

from __future__ import annotations

from dataclasses import dataclass

from riskdoc.report import svg
from riskdoc.report.svg import LEADING, SIZE, Drawn
from riskdoc.report.text import width, wrap

GAP = 5.0
INDENT = 18.0
RING = 6.5


@dataclass(frozen=True, slots=True)
class Entry:
    """A place by its number in the drawing, or without one a part between places."""

    number: str
    title: str
    text: str


@dataclass(frozen=True, slots=True)
class Listing:
    """Entries placed: the drawn parts, and where the lowest one ends."""

    parts: tuple[Drawn, ...]
    bottom: float


def height(entries: list[Entry], room: float) -> float:
    """The height that the entries take."""
    return sum(len(_lines(each, room)) * LEADING + GAP for each in entries)


def listing(entries: list[Entry], left: float, room: float, top: float) -> Listing:
    """The entries from `top` down; nothing is wider than the room."""
    parts: list[Drawn] = []
    y = top
    for entry in entries:
        if entry.number:
            parts.append(_ringed(entry.number, left + RING + 1, y + LEADING - 3))
        for heading, text in _lines(entry, room):
            y += LEADING
            parts.append(svg.words(left + INDENT, y, text, "SemiBold" if heading else "Regular"))
        y += GAP
    return Listing(tuple(parts), y)


def _lines(entry: Entry, room: float) -> list[tuple[bool, str]]:
    inner = room - INDENT
    titles = wrap(entry.title, inner, SIZE, "SemiBold")
    texts = wrap(entry.text, inner, SIZE) if entry.text else ()
    return [*((True, each) for each in titles), *((False, each) for each in texts)]


def _ringed(text: str, x: float, y: float) -> Drawn:
    said = svg.words(x, y + 3.1, text, "SemiBold", "middle")
    wide = min(max(2 * RING, width(text, SIZE, "SemiBold") + 5), INDENT - 2)
    ring = svg.rect(x - wide / 2, y - RING, wide, 2 * RING, rx=RING, stroke_width=0.9)
    return Drawn(svg.joined([ring, said.markup]), said.boxes)
