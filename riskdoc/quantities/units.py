"""The units a job file may write, and what each is in SI.

`units.txt` says how large each unit is and Pint works the factors out of it, as exact fractions.
Importing Pint costs about 70 ms, a quarter of what a whole check may take, so its answers are kept
in `factors.txt` beside the digest of the `units.txt` they came from. When the two do not belong
together Pint is asked again; a test holds the kept factors to Pint's.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from numbers import Rational
from pathlib import Path
from types import MappingProxyType
from typing import cast

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
    return value * float(factor) + float(offset)


def exact(number: Fraction, unit: str) -> Fraction:
    """A number in one of `UNITS` as the exact number of SI units it stands for.

    So one amount gives one number however it is spelled.

    >>> exact(Fraction("1.2"), "cm") == exact(Fraction(12), "mm")
    True
    >>> float(exact(Fraction(-40), "degF")), float(exact(Fraction(-40), "degC"))
    (233.15, 233.15)
    """
    factor, offset = factors()[unit]
    return number * factor + offset


def from_si(value: float, unit: str) -> float:
    """An SI value in one of `UNITS`, for printing.

    A temperature comes out as a point on its scale. A *rise* in temperature has no offset:
    print it in kelvin, or divide by the degree.

    >>> from_si(5000.0, "kN")
    5.0
    """
    factor, offset = factors()[unit]
    return (value - float(offset)) / float(factor)


@cache
def factors() -> Mapping[str, tuple[Fraction, Fraction]]:
    """Factor and offset of every unit: SI value = value * factor + offset.

    >>> factors()["ft"]
    (Fraction(381, 1250), Fraction(0, 1))
    """
    head, *rows = FACTORS.read_text("utf-8").splitlines()
    if head != _head():
        return MappingProxyType(factors_by_pint())
    fields = (row.split() for row in rows)
    return MappingProxyType({unit: (Fraction(f), Fraction(o)) for unit, f, o in fields})


def factors_by_pint() -> dict[str, tuple[Fraction, Fraction]]:
    """The same table worked out by Pint from `units.txt` alone."""
    import pint  # noqa: PLC0415  # 70 ms at start-up, and needed only when units.txt changed

    registry: pint.UnitRegistry[Fraction] = pint.UnitRegistry(
        str(DEFINITIONS), non_int_type=Fraction
    )

    def of(unit: str) -> tuple[Fraction, Fraction]:
        name = unit.replace("%", "percent")
        # At zero a scale shows its offset; only temperatures have one.
        scale = UNITS[unit] is Kind.TEMPERATURE
        offset = registry.Quantity(Fraction(0), name).to_base_units().m if scale else 0
        factor = cast("Rational", registry.get_root_units(name)[0])  # by `non_int_type`
        return Fraction(factor), Fraction(offset)

    return {unit: of(unit) for unit in UNITS}


def factors_text() -> str:
    """The text `factors.txt` must have; write it there after a change of `units.txt`."""
    rows = (f"{unit} {factor} {offset}" for unit, (factor, offset) in factors_by_pint().items())
    return "\n".join([_head(), *rows, ""])


def _head() -> str:
    digest = hashlib.sha256(DEFINITIONS.read_bytes()).hexdigest()
    return f"# unit, factor, offset; by Pint from units.txt, sha256 {digest}"
