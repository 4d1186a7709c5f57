"""Numbers as people read them: units of the trade, three digits, rounded to the unsafe side."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from riskdoc.i18n.say import Message, say, voice
from riskdoc.quantities.ranges import Range
from riskdoc.quantities.units import factors

Toward = Literal["up", "down", "near"]

LEAST_SHOWN = 0.001
"""A demand below this is printed as this: more digits of next to nothing only widen a column."""

_WHOLE: dict[str, Callable[[float], int]] = {
    "up": math.ceil,
    "down": math.floor,
    "near": round,
}


@dataclass(frozen=True, slots=True)
class Unit:
    """A printed unit: value in print = value in SI × factor."""

    name: str
    factor: float


def _of(name: str, *units: str) -> Unit:
    """A printed unit that is the product of units of the one table."""
    return Unit(name, float(1 / math.prod(factors()[unit][0] for unit in units)))


_METRIC = {
    "N": _of("kN", "kN"),
    "m": _of("m", "m"),
    "mm": _of("mm", "mm"),  # a length in m that people give in mm
    "rad": _of("°", "deg"),
    "J": _of("kJ", "kN", "m"),
    "m^3": Unit("L", 1e3),  # exact: a litre is a cubic decimetre (SI brochure, table 8)
    "kg/m": _of("g/m", "g/m"),
    "1": Unit("", 1.0),
}
_US = {
    "N": _of("lbf", "lbf"),
    "m": _of("ft", "ft"),
    "mm": _of("in", "in"),
    "rad": _of("°", "deg"),
    "J": _of("ft·lbf", "ft", "lbf"),
    "m^3": _of("ft³", "ft", "ft", "ft"),
    "kg/m": _of("lb/ft", "lb/ft"),
    "kg": _of("lb", "lb"),
    "m/s": _of("mph", "mph"),
    "K": _of("°F", "degF"),  # differences only; no temperature on a scale is ever computed
    "1": Unit("", 1.0),
}


PRINTED = frozenset(unit.name for each in (_METRIC, _US) for unit in each.values()) - {"", "°"}
"""The names of the units above; a degree sign stands close to its number."""


def rounded(value: float, toward: Toward, digits: int = 3) -> str:
    """A number to so many significant digits, rounded up or down as told; never into a pass.

    >>> rounded(4.0401, "up"), rounded(1.9999, "down"), rounded(12345.6, "near")
    ('4.05', '1.99', '12300')
    """
    if value == 0 or not math.isfinite(value):
        return f"{value:g}"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    scaled = value * 10.0**places
    whole = _WHOLE[toward](_settled(scaled))
    result = whole * 10.0**-places
    return f"{result:.{max(places, 0)}f}"


def _settled(scaled: float) -> float:
    """Takes off the last bits that a unit conversion leaves, so that 2.70 stays 2.70."""
    nearest = round(scaled)
    return float(nearest) if math.isclose(scaled, nearest, rel_tol=1e-12) else scaled


def plain(value: float) -> str:
    """A number as it stands in a worked equation: five digits, no unit.

    >>> plain(961.0517), plain(0.0055850536)
    ('961.05', '0.0055851')
    """
    return f"{value:.5g}"


def unit_of(si: str) -> Unit:
    """The unit a value in this SI unit is printed in, where one unit has to do.

    >>> unit_of("N").name, unit_of("W").name
    ('kN', 'W')
    """
    return _in(_US if voice().units == "us" else _METRIC, si)


def _in(system: dict[str, Unit], si: str) -> Unit:
    return system.get(si, Unit(si, 1.0))


def number(value: float, unit: Unit, toward: Toward) -> str:
    """A value in SI as printed digits, three significant, rounded to the unsafe side.

    >>> number(2015.97, unit_of("N"), "up"), number(9.999, unit_of("1"), "down")
    ('2.02', '9.99')
    """
    if math.isnan(value):
        return say("not demonstrated")
    if math.isinf(value):
        return "∞" if value > 0 else "−∞"
    shown = value * unit.factor
    if toward == "up" and 0 < shown < LEAST_SHOWN:
        return str(LEAST_SHOWN)
    return rounded(shown, toward).replace("-", "−")


def amount(value: float, si: str, toward: Toward) -> str:
    """A value in SI as text with its unit, in both systems where both are spoken.

    >>> from riskdoc.i18n.say import Locale, speaking
    >>> amount(2015.97, "N", "up"), amount(0.34458, "m", "up"), amount(2.5, "1", "down")
    ('2.02 kN', '0.345 m', '2.50')
    >>> with speaking(Locale(units="both")):
    ...     amount(2015.97, "N", "up")
    '2.02 kN (454 lbf)'
    """
    return _spoken(si, lambda unit: number(value, unit, toward))


@dataclass(frozen=True, slots=True)
class Amount(Message):
    """A value in SI that is printed with its unit, in the units of the locale then set.

    >>> str(Amount(2015.97, "N", "up"))
    '2.02 kN'
    """

    value: float
    si: str
    toward: Toward

    def __str__(self) -> str:
        return amount(self.value, self.si, self.toward)


@dataclass(frozen=True, slots=True)
class Exact(Message):
    """A value in SI that was stated, or stands on a step; printed as `exact` does."""

    value: float
    si: str
    toward: Toward
    digits: int = 4

    def __str__(self) -> str:
        return exact(self.value, self.si, self.toward, self.digits)


def exact(value: float, si: str, toward: Toward, digits: int = 4) -> str:
    """A value that was stated, or stands on a step: six digits in SI, `digits` where converted.

    What does not fit is rounded as told, never past the value.

    >>> from riskdoc.i18n.say import Locale, speaking
    >>> exact(160.0, "kg", "down"), exact(100.0, "1", "down")
    ('160 kg', '100')
    >>> with speaking(Locale(units="both")):
    ...     exact(160.0, "kg", "down")
    '160 kg (352.7 lb)'
    """
    return _spoken(si, lambda unit: _exact(value, unit, toward, digits))


def _spoken(si: str, digits: Callable[[Unit], str]) -> str:
    """A value in the unit that is spoken; where both are, the US one in brackets behind."""
    if voice().units != "both":
        return with_unit(digits(unit_of(si)), unit_of(si))
    metric, us = _in(_METRIC, si), _in(_US, si)
    first = with_unit(digits(metric), metric)
    return first if us == metric else f"{first} ({with_unit(digits(us), us)})"


def _exact(value: float, unit: Unit, toward: Toward, digits: int) -> str:
    shown = rounded(value * unit.factor, toward, 6 if unit.factor == 1 else digits)
    return shown.rstrip("0").rstrip(".") if "." in shown else shown


def with_unit(digits: str, unit: Unit) -> str:
    """Printed digits with their unit; a degree sign stands close.

    >>> with_unit("80", unit_of("rad")), with_unit("2.02", unit_of("N"))
    ('80°', '2.02 kN')
    """
    gap = "" if unit.name in {"", "°"} else " "
    return f"{digits}{gap}{unit.name}"


def three(range: Range, si: str, toward: Toward) -> tuple[str, str, str]:
    """Low, expected and high as printed digits."""
    unit = unit_of(si)
    return (
        number(range.low, unit, toward),
        number(range.expected, unit, toward),
        number(range.high, unit, toward),
    )


def span(range: Range, si: str, toward: Toward) -> str:
    """A range in one piece of text.

    >>> from riskdoc.quantities.ranges import Range
    >>> span(Range(1000, 1200, 1500), "N", "up")
    '1.20 (1.00 to 1.50) kN'
    """
    low, expected, high = three(range, si, toward)
    text = (
        expected
        if low == high
        else say("{expected} ({low} to {high})", expected=expected, low=low, high=high)
    )
    return with_unit(text, unit_of(si))


def far(range: Range, si: str, toward: Toward) -> str:
    """A range of how far something goes; where none is expected, how far it goes at most.

    >>> from riskdoc.quantities.ranges import Range
    >>> far(Range(0, 0, 0.34), "m", "up"), far(Range(0, 0.2, 0.34), "m", "up")
    ('at most 0.340 m', '0.200 (0 to 0.340) m')
    """
    if range.expected > 0:
        return span(range, si, toward)
    return say("at most {amount}", amount=amount(range.high, si, toward))


def some(range: Range, si: str, toward: Toward) -> tuple[str, str, str]:
    """Low, expected and high as printed digits, `none` for nought."""
    ends = range.low, range.expected, range.high
    pairs = zip(ends, three(range, si, toward), strict=True)
    low, expected, high = (digits if end else say("none") for end, digits in pairs)
    return low, expected, high
