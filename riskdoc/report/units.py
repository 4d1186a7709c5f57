"""SI to print: the unit of each quantity, and the side to which it is rounded."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from riskdoc.assess.words import rounded

if TYPE_CHECKING:
    from riskdoc.assess.records import Figure, Range

Toward = Literal["up", "down"]
FIGURE_SPACE = "\u2007"
POINT_SPACE = "\u2008"
NOT_SHOWN = "not shown"
LEAST_SHOWN = 0.001
"""A demand below this is printed as this: more digits of next to nothing only widen a column."""


@dataclass(frozen=True, slots=True)
class Unit:
    """A printed unit: value in print = value in SI × factor + offset."""

    name: str
    factor: float
    offset: float = 0.0


_UNITS = {
    "N": Unit("kN", 1e-3),
    "m": Unit("m", 1.0),
    "rad": Unit("°", 180 / math.pi),
    "J": Unit("kJ", 1e-3),
    "m^3": Unit("L", 1e3),
    "kg/m": Unit("g/m", 1e3),
    "1": Unit("", 1.0),
}
MILLIMETRE = Unit("mm", 1e3)

# More of these makes the plan safer, so the print goes down. Of everything else, less is safer.
_CAPACITIES = (
    "strength",
    "margin/",
    "covered",
    "effective_length",
    "haul/advantage",
    "clearance/available",
)


def unit_of(si: str) -> Unit:
    """The unit a value in this SI unit is printed in.

    >>> unit_of("N").name, unit_of("W").name
    ('kN', 'W')
    """
    return _UNITS.get(si, Unit(si, 1.0))


def side_of(id: str) -> Toward:
    """The unsafe side of a figure: demands are printed rounded up, capacities down.

    >>> side_of("line/red/margin/rated"), side_of("line/red/tension/load/hold")
    ('down', 'up')
    """
    tail = id.split("/", maxsplit=2)[-1]
    last = tail.rsplit("/", maxsplit=1)[-1]
    is_capacity = any(tail.startswith(word) or last == word.strip("/") for word in _CAPACITIES)
    return "down" if is_capacity else "up"


def number(value: float, unit: Unit, toward: Toward) -> str:
    """A value in SI as printed digits, three significant, rounded to the unsafe side.

    >>> number(2015.97, unit_of("N"), "up"), number(9.999, unit_of("1"), "down")
    ('2.02', '9.99')
    """
    if math.isnan(value):
        return NOT_SHOWN
    if math.isinf(value):
        return "∞" if value > 0 else "−∞"
    shown = value * unit.factor + unit.offset
    if toward == "up" and 0 < shown < LEAST_SHOWN:
        return str(LEAST_SHOWN)
    text = rounded(shown, toward)
    return text.replace("-", "−")


def amount(value: float, si: str, toward: Toward) -> str:
    r"""A value in SI as printed text with its unit.

    >>> amount(2015.97, "N", "up")
    '2.02\xa0kN'
    """
    unit = unit_of(si)
    gap = "" if unit.name in {"", "°"} else "\u00a0"
    return f"{number(value, unit, toward)}{gap}{unit.name}"


def three(range: Range, si: str, toward: Toward) -> tuple[str, str, str]:
    """Low, expected and high as printed digits."""
    unit = unit_of(si)
    return (
        number(range.low, unit, toward),
        number(range.expected, unit, toward),
        number(range.high, unit, toward),
    )


def span(range: Range, si: str, toward: Toward) -> str:
    r"""A range in one piece of text.

    >>> from riskdoc.assess.records import Range
    >>> span(Range(1000, 1200, 1500), "N", "up")
    '1.20 (1.00 to 1.50)\xa0kN'
    """
    low, expected, high = three(range, si, toward)
    name = unit_of(si).name
    gap = "" if name in {"", "°"} else "\u00a0"
    text = expected if low == high else f"{expected} ({low} to {high})"
    return f"{text}{gap}{name}"


def figure_span(figure: Figure | None) -> str:
    """A figure's range with its unit, or the words for a figure that could not be computed."""
    if figure is None:
        return NOT_SHOWN
    return span(figure.range, figure.unit, side_of(figure.id))


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
