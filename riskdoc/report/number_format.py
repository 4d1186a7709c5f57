"""Figures in print: the side to which each is rounded, and numbers in line at the point."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import mark, say
from riskdoc.quantities.printing import Toward, span

if TYPE_CHECKING:
    from riskdoc.analysis.figure import Figure

FIGURE_SPACE = "\u2007"
POINT_SPACE = "\u2008"
NOT_DEMONSTRATED = mark("not demonstrated")

# More of these makes the plan safer, so the print goes down. Of everything else, less is safer.
_CAPACITIES = (
    "strength",
    "margin/",
    "covered",
    "effective_length",
    "haul/advantage",
    "clearance/available",
)


def side_of(id: str) -> Toward:
    """The unsafe side of a figure: demands are printed rounded up, capacities down.

    >>> side_of("line/red/margin/rated"), side_of("line/red/tension/load/hold")
    ('down', 'up')
    """
    tail = id.split("/", maxsplit=2)[-1]
    last = tail.rsplit("/", maxsplit=1)[-1]
    is_capacity = any(tail.startswith(word) or last == word.strip("/") for word in _CAPACITIES)
    return "down" if is_capacity else "up"


def figure_span(figure: Figure | None) -> str:
    """A figure's range with its unit, or the words for a figure that could not be computed."""
    if figure is None:
        return say(NOT_DEMONSTRATED)
    return span(figure.shown, figure.unit, side_of(figure.id))


def nothing(figure: Figure) -> str:
    """Words for a movement that there is none of, or an exposure without any; empty otherwise.

    Nought is never printed for it: it is not known to be nought, only that none is stated, or that
    friction is reckoned to hold the rope.
    """
    if figure.shown.high > 0:
        return ""
    return say("no movement, held") if "/held/" in figure.id else say("no movement stated")


def aligned(texts: tuple[str, ...]) -> tuple[str, ...]:
    """Numbers of one right-aligned column, padded so that their decimal points stand in line.

    >>> [len(each) for each in aligned(("12.5", "3.125", "200"))]
    [6, 5, 7]
    """
    places = [_places(text) for text in texts]
    most = max((each for each in places if each is not None), default=0)
    return tuple(
        text if own is None else text + _padding(own, most)
        for text, own in zip(texts, places, strict=True)
    )


def _places(text: str) -> int | None:
    if not text or not text[-1].isdigit():
        return None
    return len(text.partition(".")[2])


def _padding(own: int, most: int) -> str:
    point = POINT_SPACE if own == 0 and most > 0 else ""
    return point + FIGURE_SPACE * (most - own)
