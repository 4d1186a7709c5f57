"""A quantity as text, read: one value, a range, or low, expected and high."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from riskdoc.job.faults import Code, Refused, nearest, shown
from riskdoc.job.nodes import Written
from riskdoc.quantities.quantity import Kind, Quantity
from riskdoc.quantities.units import UNITS, exact, units_of

NUMBER = r"[+-]?[0-9]+(?:\.[0-9]+)?"
_UNIT = r"[^\s0-9.,+/-][^\s0-9]*"
_SHAPE = re.compile(
    rf"({NUMBER})(?: +to +({NUMBER})| */ *({NUMBER}) */ *({NUMBER}))?(?: *({_UNIT}))?"
)
LONGEST = 80  # three numbers and a unit take less

# Spellings people use that are near no accepted one, or nearer to a wrong one.
_MEANT = {
    "kn": "kN", "Kn": "kN", "KN": "kN", "kp": "kgf", "daN": "N", "lbs": "lb", "#": "lb",
    "°": "deg", "º": "deg", "°C": "degC", "ºC": "degC", "C": "degC", "°F": "degF", "F": "degF",
    "kt": "knot", "kts": "knot", "knots": "knot", "kph": "km/h", "kmh": "km/h", "mps": "m/s",
    "metres": "m", "meters": "m", "metre": "m", "meter": "m", '"': "in", "'": "ft", "″": "in",
    "′": "ft", "percent": "%", "pct": "%", "minutes": "min", "hours": "h", "hr": "h", "sec": "s",
    "feet": "ft", "foot": "ft", "inch": "in", "inches": "in", "degrees": "deg", "pounds": "lb",
}  # fmt: skip

_EXAMPLE = {
    Kind.FORCE: "22 kN",
    Kind.MASS: "80 kg",
    Kind.LENGTH: "2.5 m",
    Kind.ANGLE: "80 deg",
    Kind.TEMPERATURE: "4 to 12 degC",
    Kind.SPEED: "9 m/s",
    Kind.LINE_DENSITY: "66 g/m",
    Kind.TIME: "10 min",
    Kind.RATIO: "0.30",
}


def quantity(text: Written, kind: Kind, units: Sequence[str] | None = None) -> Quantity:
    """Read a quantity of one kind; `units` narrows the spellings ("" is a plain number).

    Raises  Refused, with what was found and what would do; never anything else.

    >>> q = quantity(Written("3 to 5 mm"), Kind.LENGTH)
    >>> q.low, q.expected, q.high
    (0.003, 0.004, 0.005)
    """
    allowed = tuple(units) if units is not None else units_of(kind)
    # What is printed as it was written is bounded: blanks that push a number off a page are none.
    stripped = re.sub(" +", " ", text.strip())
    found = _SHAPE.fullmatch(stripped) if len(stripped) <= LONGEST else None
    if found is None:
        raise _diagnosis(stripped, kind, allowed)
    first, last, expected, high, unit = found.groups()
    _check_unit(stripped, unit or "", kind, allowed)
    if last is not None:
        low, top = (_exact(stripped, each, unit) for each in (first, last))
        middle = (low + top) / 2
    else:
        numbers = (first, expected or first, high or first)
        low, middle, top = (_exact(stripped, each, unit) for each in numbers)
    values = (float(low), float(middle), float(top))
    if not values[0] <= values[1] <= values[2]:
        three = "low / expected / high, none less than the one before"
        raise Refused(
            Code.RANGE_ORDER,
            f"{shown(stripped)} does not rise from left to right",
            f"Write {three if expected else 'the low value first, like 3 to 5 mm'}.",
        )
    return Quantity(*values, kind=kind, written=stripped, place=text.place)


def example_of(kind: Kind, units: Sequence[str] | None = None) -> str:
    """A quantity of this kind that would do.

    >>> example_of(Kind.MASS), example_of(Kind.RATIO, ("%",))
    ('80 kg', '3.4 %')
    """
    return "3.4 %" if units == ("%",) else _EXAMPLE[kind]


def _exact(text: str, number: str, unit: str | None) -> Fraction:
    """The number in SI; refused where one more in its last digit would be the same inside."""
    if re.match(r"[+-]?0[0-9]", number):
        raise Refused(
            Code.NOT_A_QUANTITY,
            f"{shown(text)} begins with a nought that counts nothing",
            "Write it without: 8 m, not 08 m.",
        )
    decimals = len(number.partition(".")[2])
    found = Fraction(number)
    more = found + Fraction(1, 10**decimals)
    if unit:
        found, more = exact(found, unit), exact(more, unit)
    if float(found) == float(more):
        raise Refused(
            Code.NOT_A_QUANTITY,
            f"{shown(text)} has more digits than can be told apart",
            "Write fewer; nothing is measured so finely.",
        )
    return found


def _check_unit(text: str, unit: str, kind: Kind, allowed: Sequence[str]) -> None:
    if unit in allowed:
        return
    if not unit:
        raise Refused(
            Code.NO_UNIT,
            f"{shown(text)} has no unit",
            f"Write {_with_unit(text, allowed)}.",
        )
    if unit in UNITS:
        raise Refused(Code.WRONG_UNIT, *_wrong_unit(unit, kind, allowed))
    raise Refused(
        Code.UNKNOWN_UNIT,
        f"{shown(unit)} is no unit known here",
        _unit_tip(unit, kind, allowed),
    )


def _wrong_unit(unit: str, kind: Kind, allowed: Sequence[str]) -> tuple[str, str]:
    its = UNITS[unit]
    if "" in allowed and len(allowed) == 1:
        return f"{unit} is {_a(its)}; a plain number is wanted", "Write it without a unit: 0.30."
    units = _or(allowed)
    return (
        f"{unit} is {_a(its)}; {_a(kind)} is wanted: {units}",
        f"Write it in {units}; nothing is converted from {_a(its)}.",
    )


def _unit_tip(unit: str, kind: Kind, allowed: Sequence[str]) -> str:
    meant = _MEANT.get(unit)
    if unit.casefold() == "kn":
        # A letter's case is all that parts a force from a speed.
        hint = next((f"Did you mean '{u}'? " for u in ("kN", "knot") if u in allowed), "")
        return f"{hint}A kilonewton is spelled kN and a knot is spelled knot."
    if meant not in allowed:
        meant = nearest(unit, [a for a in allowed if a])
    said = f"Did you mean {shown(meant)}? " if meant else ""
    return f"{said}{_a(kind).capitalize()} is written in {_or(allowed)}."


def _with_unit(text: str, allowed: Sequence[str]) -> str:
    return _or([f"{text} {unit}" for unit in allowed if unit][:3])


def _or(units: Sequence[str]) -> str:
    named = [unit or "a plain number" for unit in units]
    return named[0] if len(named) == 1 else f"{', '.join(named[:-1])} or {named[-1]}"


def _a(kind: Kind) -> str:
    return f"{'an' if kind is Kind.ANGLE else 'a'} {kind.value}"


# Ways to miss the form, most telling first: pattern, code, what it is, what would do.
_MISSES: tuple[tuple[re.Pattern[str], Code, str, str], ...] = (
    (
        re.compile(r"[0-9],[0-9]"),
        Code.DECIMAL_COMMA,
        "has a comma in a number",
        "",
    ),
    (
        re.compile(rf"{NUMBER} *[^\s0-9/]+[^\s0-9]* *(?:to|/) *{NUMBER}(?: *{_UNIT}.*)?"),
        Code.UNIT_TWICE,
        "has a unit inside the range",
        "Write the unit once, at the end: 3 to 5 mm.",
    ),
    (
        re.compile(r"[+-]?\.?(?:nan|inf|infinity)\b.*", re.IGNORECASE),
        Code.NOT_A_QUANTITY,
        "is not a number",
        "Write a plain decimal number.",
    ),
    (
        re.compile(r"[+-]?[0-9.]+[eE][+-]?[0-9]+.*"),
        Code.NOT_A_QUANTITY,
        "has an exponent",
        "Write the number out: 1200, not 1.2e3.",
    ),
    (
        re.compile(rf"{NUMBER} *(?:-|–|—|\.\.+|until|bis) *{NUMBER}.*"),
        Code.NOT_A_QUANTITY,
        "is not how a range is written",
        "Write the word to: 3 to 5 mm.",
    ),
    (
        re.compile(r"(?:[0-9]+ )?[0-9]+/[0-9]+ *(?:in|ft)"),
        Code.NOT_A_QUANTITY,
        "is a fraction",
        "Write it as a decimal: 0.5 in.",
    ),
    (
        re.compile(rf"{NUMBER} */ *{NUMBER}(?: *{_UNIT})?"),
        Code.NOT_A_QUANTITY,
        "has two values with a slash",
        "Write 3 to 5 mm for a range, or three values low / expected / high.",
    ),
    (
        re.compile(r"[^0-9]*(?:±|\+/?-).*|.*[0-9] *(?:±|\+/?-).*"),
        Code.NOT_A_QUANTITY,
        "is a value with a tolerance",
        "Write both ends: 3 to 5 mm.",
    ),
    (
        re.compile(r"(?:[<>≤≥~≈]|ca\.?|about|max|min)\s*[0-9].*"),
        Code.NOT_A_QUANTITY,
        "is a bound or a guess",
        "Write both ends of the range: 3 to 5 mm.",
    ),
    (
        re.compile(r"[+-]?(?:\.[0-9]+|[0-9]+\.)(?![0-9]).*"),
        Code.NOT_A_QUANTITY,
        "has a decimal point without a digit on both sides",
        "Write 0.5 or 5.0.",
    ),
)


def _diagnosis(text: str, kind: Kind, allowed: Sequence[str]) -> Refused:
    wanted = example_of(kind, allowed)
    if len(text) > LONGEST:
        return Refused(
            Code.NOT_A_QUANTITY,
            f"{shown(text)} is too long for {_a(kind)}",
            f"Write it like {wanted}.",
        )
    for pattern, code, what, tip in _MISSES:
        match = pattern.search(text) if code is Code.DECIMAL_COMMA else pattern.fullmatch(text)
        if match:
            return Refused(code, f"{shown(text)} {what}", tip or _comma_tip(text))
    return Refused(
        Code.NOT_A_QUANTITY,
        f"{shown(text)} is not {_a(kind)}",
        f"Write it like {wanted}, with {_or(allowed)}.",
    )


def _comma_tip(text: str) -> str:
    point = re.sub(r"(?<=[0-9]),(?=[0-9])", ".", text)
    if re.search(r"[1-9][0-9]{0,2},[0-9]{3}(?![0-9])", text):
        # 1,200 is twelve hundred to one reader and one point two to another.
        whole = re.sub(r"(?<=[0-9]),(?=[0-9])", "", text)
        return (
            f"Write a decimal point, {_bare(point)}, or no separator, {_bare(whole)}; "
            "whichever you mean."
        )
    return f"Write a decimal point: {_bare(point)}."


def _bare(text: str) -> str:
    """A text as `shown` makes it safe to print, without its quotes."""
    return shown(text)[1:-1]
