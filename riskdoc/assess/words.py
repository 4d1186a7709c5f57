"""Numbers as people read them: units of the trade, three digits, rounded to the unsafe side."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Literal

Toward = Literal["up", "down", "near"]

_WHOLE: dict[str, Callable[[float], int]] = {
    "up": math.ceil,
    "down": math.floor,
    "near": round,
}
_SHOWN = {
    "mm": ("mm", 1e3),  # a length in m that people give in mm
    "N": ("kN", 1e-3),
    "m": ("m", 1.0),
    "kg": ("kg", 1.0),
    "rad": ("°", 180 / math.pi),
    "1": ("", 1.0),
}


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


def say(value: float, unit: str, toward: Toward) -> str:
    """A value in SI as text with its unit.

    >>> say(2015.97, "N", "up"), say(0.34458, "m", "up"), say(2.5, "1", "down")
    ('2.02 kN', '0.345 m', '2.50')
    """
    name, factor = _SHOWN.get(unit, (unit, 1.0))
    text = rounded(value * factor, toward)
    return text if not name else f"{text}{'' if name == '°' else ' '}{name}"


def plain(value: float) -> str:
    """A number as it stands in a worked equation: five digits, no unit.

    >>> plain(961.0517), plain(0.0055850536)
    ('961.05', '0.0055851')
    """
    return f"{value:.5g}"
