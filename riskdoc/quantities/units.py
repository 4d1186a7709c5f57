"""The units a job file may write, and what each is in SI.

`units.txt` says how large each unit is and Pint works the factors out of it. Importing Pint
costs about 70 ms, a quarter of what a whole check may take, so its answers are kept in
`factors.txt` beside the digest of the `units.txt` they came from. When the two do not belong
together Pint is asked again; a test holds the kept factors to Pint's.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from pathlib import Path
from types import MappingProxyType

from riskdoc.quantities.quantity import Kind

DEFINITIONS = Path(__file__).with_name("units.txt")
FACTORS = Path(__file__).with_name("factors.txt")

# The order within a kind is the order in which messages offer the units.
UNITS: Mapping[str, Kind] = MappingProxyType(
    {
        "kN": Kind.FORCE,
        "N": Kind.FORCE,
        "lbf": Kind.FORCE,
        "kgf": Kind.FORCE,
        "kg": Kind.MASS,
        "g": Kind.MASS,
        "lb": Kind.MASS,
        "m": Kind.LENGTH,
        "mm": Kind.LENGTH,
        "cm": Kind.LENGTH,
        "in": Kind.LENGTH,
        "ft": Kind.LENGTH,
        "deg": Kind.ANGLE,
        "rad": Kind.ANGLE,
        "%": Kind.RATIO,
        "degC": Kind.TEMPERATURE,
        "degF": Kind.TEMPERATURE,
        "m/s": Kind.SPEED,
        "km/h": Kind.SPEED,
        "mph": Kind.SPEED,
        "knot": Kind.SPEED,
        "g/m": Kind.LINE_DENSITY,
        "kg/m": Kind.LINE_DENSITY,
        "lb/ft": Kind.LINE_DENSITY,
        "min": Kind.TIME,
        "s": Kind.TIME,
        "h": Kind.TIME,
    }
)


def units_of(kind: Kind) -> tuple[str, ...]:
    """The spellings accepted for one kind, commonest first.

    >>> units_of(Kind.FORCE)
    ('kN', 'N', 'lbf', 'kgf')
    """
    return tuple(unit for unit, its in UNITS.items() if its is kind)


def to_si(value: float, unit: str) -> float:
    """A value in one of `UNITS`, in the SI unit of its kind.

    Raises  KeyError for a spelling outside the table; nothing is guessed.

    >>> to_si(1.0, "lbf")
    4.4482216152605
    >>> round(to_si(-40.0, "degF"), 9)
    233.15
    """
    factor, offset = factors()[unit]
    return value * factor + offset


def exact(number: Fraction, unit: str) -> Fraction:
    """A number in one of `UNITS` as the exact number of SI units it stands for.

    So one amount gives one number however it is spelled. Exact but for `deg`, whose factor is
    that of `factors`.

    >>> exact(Fraction("1.2"), "cm") == exact(Fraction(12), "mm")
    True
    >>> float(exact(Fraction(-40), "degF")), float(exact(Fraction(-40), "degC"))
    (233.15, 233.15)
    """
    factor, offset = _ratios()[unit]
    return number * factor + offset


_DECIMAL = 16
"""A factor whose shortest form is no longer than this was written so; a longer one goes on."""
_GREATEST = 10**8
"""Above every denominator of units.txt (lb/ft has 30480000), and far below what only fits."""


@cache
def _ratios() -> Mapping[str, tuple[Fraction, Fraction]]:
    """`factors` as the ratios they were rounded from: 5/9 and not sixteen digits of it."""
    return {unit: (_ratio(factor), _ratio(offset)) for unit, (factor, offset) in factors().items()}


def _ratio(value: float) -> Fraction:
    decimal = repr(value)
    if len(decimal) <= _DECIMAL:
        return Fraction(decimal)
    found = Fraction(value).limit_denominator(_GREATEST)
    # Pint works in doubles, so a factor may be off by its last digits.
    near = abs(float(found) - value) <= 4 * math.ulp(value)
    return found if near else Fraction(value)


def from_si(value: float, unit: str) -> float:
    """An SI value in one of `UNITS`, for printing.

    A temperature comes out as a point on its scale. A *rise* in temperature has no offset:
    print it in kelvin, or divide by the degree.

    >>> from_si(5000.0, "kN")
    5.0
    """
    factor, offset = factors()[unit]
    return (value - offset) / factor


@cache
def factors() -> Mapping[str, tuple[float, float]]:
    """Factor and offset of every unit: SI value = value * factor + offset.

    >>> factors()["ft"]
    (0.3048, 0.0)
    """
    head, *rows = FACTORS.read_text("utf-8").splitlines()
    if head != _head():
        return MappingProxyType(factors_by_pint())
    fields = (row.split() for row in rows)
    return MappingProxyType({unit: (float(f), float(o)) for unit, f, o in fields})


def factors_by_pint() -> dict[str, tuple[float, float]]:
    """The same table worked out by Pint from `units.txt` alone."""
    import pint  # noqa: PLC0415  # 70 ms at start-up, and needed only when units.txt changed

    registry: pint.UnitRegistry[float] = pint.UnitRegistry(str(DEFINITIONS))

    def si(value: float, unit: str) -> float:
        return float(registry.Quantity(value, unit.replace("%", "percent")).to_base_units().m)

    # At zero a scale shows its offset; only temperatures have one. The factor of a scale with an
    # offset is asked of 1 unit less that offset, any other directly, so no digit is lost.
    table = {}
    for unit, kind in UNITS.items():
        offset = si(0.0, unit) if kind is Kind.TEMPERATURE else 0.0
        factor = si(1.0, unit) if not offset else float(str(registry.get_root_units(unit)[0]))
        table[unit] = (factor, offset)
    return table


def factors_text() -> str:
    """The text `factors.txt` must have; write it there after a change of `units.txt`."""
    rows = (f"{unit} {f!r} {o!r}" for unit, (f, o) in factors_by_pint().items())
    return "\n".join([_head(), *rows, ""])


def _head() -> str:
    digest = hashlib.sha256(DEFINITIONS.read_bytes()).hexdigest()
    return f"# unit, factor, offset; by Pint from units.txt, sha256 {digest}"
