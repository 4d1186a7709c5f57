"""The kinds of field a job file has: how each is read from text, and its JSON Schema.

Every field is read from what was written (`Written`), never from what YAML makes of it. A
refusal says what was found and what would do; the reader adds the place.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from datetime import date
from typing import Annotated, TypeAlias, TypeVar

from pydantic import PlainValidator, WithJsonSchema

from riskdoc.job.alike import plain_mark, plain_name
from riskdoc.job.faults import Code, Refused, shown
from riskdoc.job.measures import Measure, scalar, schema
from riskdoc.job.nodes import Written
from riskdoc.quantities.quantity import Kind, Quantity

T = TypeVar("T")
LONGEST_TEXT = 2000
LONGEST_MARK = 80  # a number or a revision that is longer is a sentence, and may say anything
LONGEST_CAPTION = 600  # a picture and its caption stand on one page
PICTURED = ("edges", "anchors", "sites", "lines", "protection", "ropes")
"""Sections whose parts a picture can show."""
# Marks that reorder a line, line ends that only some programs see, and what is no character.
_REORDERING = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u2028\u2029\ufffe\uffff"
ID = re.compile(r"[a-z][a-z0-9_]{0,39}")


def _field(read: Callable[[Written], T]) -> PlainValidator:
    return PlainValidator(lambda value: read(scalar(value)))


def plain_text(text: str, longest: int = LONGEST_TEXT) -> str:
    """A text on one line, without its outer blanks. Raises `Refused` for any other."""
    stripped = text.strip()
    if not stripped:
        raise Refused(Code.BAD_TEXT, "the text is empty", "Write it, or leave the key out.")
    if len(stripped) > longest:
        raise Refused(
            Code.BAD_TEXT,
            f"the text has {len(stripped)} characters",
            f"Write at most {longest}.",
        )
    for char in stripped:
        # Cc moves the cursor; the bidi marks can make a signed text read differently.
        if unicodedata.category(char) in ("Cc", "Cs") or char in _REORDERING:
            raise Refused(
                Code.BAD_TEXT,
                f"the text holds the control character U+{ord(char):04X}",
                "Write it on one line, or folded with > so that line ends become spaces.",
            )
    return stripped


def _count(text: Written) -> int:
    if not re.fullmatch(r"[0-9]{1,6}", text.strip()):
        raise Refused(
            Code.NOT_A_COUNT, f"{shown(text)} is not a whole number", "Write digits only, like 2."
        )
    return int(text)


def _flag(text: Written) -> bool:
    words = {"true": True, "false": False}
    if text not in words:
        near = {"yes": "true", "on": "true", "no": "false", "off": "false"}
        meant = near.get(text.casefold(), text.casefold())
        hint = f"Did you mean {meant}? " if meant in words else ""
        raise Refused(
            Code.NOT_A_FLAG,
            f"{shown(text)} is neither true nor false",
            f"{hint}Write true or false.",
        )
    return words[text]


def _date(text: Written, pattern: str, form: str, example: str) -> date:
    found = re.fullmatch(pattern, text.strip())
    if found:
        year, month, day = (int(part) for part in (*found.groups(), "1")[:3])
        try:
            # A year far off is a slip of the hand.
            if 1950 <= year <= 2150:
                return date(year, month, day)
        except ValueError:
            pass
    raise Refused(
        Code.NOT_A_DATE, f"{shown(text)} is not a {form} of the calendar", f"Write {example}."
    )


def _day(text: Written) -> date:
    pattern = "([0-9]{4})-([0-9]{2})-([0-9]{2})"
    return _date(text, pattern, "day", "year, month and day like 2026-03-09")


def _month(text: Written) -> date:
    return _date(text, "([0-9]{4})-([0-9]{2})", "month", "year and month like 2024-05")


def _component(text: Written) -> float:
    if not re.fullmatch(r"[+-]?[0-9]{1,6}(\.[0-9]{1,9})?", text.strip()):
        comma = Code.DECIMAL_COMMA if re.search("[0-9],[0-9]", text) else Code.NOT_A_QUANTITY
        raise Refused(comma, f"{shown(text)} is not a number", "Write a plain decimal like -0.5.")
    return float(text)


_PLAIN = ("",)
_SHARE = ("", "%")
_FORCE = Measure(Kind.FORCE, "0 kN", "1000 kN", above=True)
_MODULUS = Measure(Kind.FORCE, "1 kN", "1000000 kN")
_MASS = Measure(Kind.MASS, "0 kg", "10000 kg", above=True)
_KIT = Measure(Kind.MASS, "0 kg", "1000 kg")
_LENGTH = Measure(Kind.LENGTH, "0 m", "3000 m", above=True)
_DISTANCE = Measure(Kind.LENGTH, "0 m", "3000 m")
_ANGLE = Measure(Kind.ANGLE, "0 deg", "180 deg")
_TEMPERATURE = Measure(Kind.TEMPERATURE, "-60 degC", "60 degC")
_SPEED = Measure(Kind.SPEED, "0 m/s", "60 m/s", above=True)
_DENSITY = Measure(Kind.LINE_DENSITY, "0 g/m", "2000 g/m", above=True)
_TIME = Measure(Kind.TIME, "0 min", "48 h", above=True)
_RATIO = Measure(Kind.RATIO, "0", "1", _SHARE)
_FRICTION = Measure(Kind.RATIO, "0", "1", _PLAIN)
_FALL = Measure(Kind.RATIO, "0", "2", _PLAIN, above=True)
_STRETCH = Measure(Kind.RATIO, "0 %", "60 %", ("%",), above=True)

Force: TypeAlias = Annotated[Quantity, PlainValidator(_FORCE), schema(_FORCE, "A force.")]
Modulus: TypeAlias = Annotated[
    Quantity, PlainValidator(_MODULUS), schema(_MODULUS, "A force per unit strain.")
]
Mass: TypeAlias = Annotated[Quantity, PlainValidator(_MASS), schema(_MASS, "A mass.")]
KitMass: TypeAlias = Annotated[
    Quantity, PlainValidator(_KIT), schema(_KIT, "A mass, which may be zero.")
]
Length: TypeAlias = Annotated[Quantity, PlainValidator(_LENGTH), schema(_LENGTH, "A length.")]
Distance: TypeAlias = Annotated[
    Quantity, PlainValidator(_DISTANCE), schema(_DISTANCE, "A length, which may be zero.")
]
Angle: TypeAlias = Annotated[
    Quantity, PlainValidator(_ANGLE), schema(_ANGLE, "An angle, 0 to 180 deg.")
]
Temperature: TypeAlias = Annotated[
    Quantity, PlainValidator(_TEMPERATURE), schema(_TEMPERATURE, "An air temperature.")
]
Speed: TypeAlias = Annotated[Quantity, PlainValidator(_SPEED), schema(_SPEED, "A speed.")]
LineDensity: TypeAlias = Annotated[
    Quantity, PlainValidator(_DENSITY), schema(_DENSITY, "A mass per length.")
]
Time: TypeAlias = Annotated[Quantity, PlainValidator(_TIME), schema(_TIME, "A time.")]
Ratio: TypeAlias = Annotated[Quantity, PlainValidator(_RATIO), schema(_RATIO, "A share, 0 to 1.")]
Friction: TypeAlias = Annotated[
    Quantity, PlainValidator(_FRICTION), schema(_FRICTION, "A friction coefficient, 0 to 1.")
]
FallFactor: TypeAlias = Annotated[
    Quantity, PlainValidator(_FALL), schema(_FALL, "A fall factor, above 0 and at most 2.")
]
# Per cent is asked for in writing: a bare 3.4 could be a share or a percentage.
Stretch: TypeAlias = Annotated[
    Quantity, PlainValidator(_STRETCH), schema(_STRETCH, "A stretch, always in per cent.")
]

_SCALARS = ["string", "number", "boolean"]  # an editor's YAML may take 2024 for a number
Text: TypeAlias = Annotated[
    str,
    _field(plain_text),
    WithJsonSchema(
        {"type": _SCALARS, "minLength": 1, "maxLength": LONGEST_TEXT, "description": "Plain text."}
    ),
]
Name: TypeAlias = Annotated[
    str,
    _field(lambda text: plain_name(plain_text(text))),
    WithJsonSchema(
        {
            "type": _SCALARS,
            "minLength": 1,
            "maxLength": LONGEST_TEXT,
            "description": "Name of a person, in letters of one script.",
        }
    ),
]
Mark: TypeAlias = Annotated[
    str,
    _field(lambda text: plain_mark(plain_text(text, LONGEST_MARK))),
    WithJsonSchema(
        {
            "type": _SCALARS,
            "minLength": 1,
            "maxLength": LONGEST_MARK,
            "description": "Plain text in letters of one script, that looks like what it is.",
        }
    ),
]
Caption: TypeAlias = Annotated[
    str,
    _field(lambda text: plain_text(text, LONGEST_CAPTION)),
    WithJsonSchema(
        {
            "type": _SCALARS,
            "minLength": 1,
            "maxLength": LONGEST_CAPTION,
            "description": "Plain text, a few sentences.",
        }
    ),
]
PartRef: TypeAlias = Annotated[
    str,
    _field(lambda text: text.strip()),
    WithJsonSchema(
        {
            "type": "string",
            "pattern": rf"^({'|'.join(PICTURED)})\.{ID.pattern}$",
            "description": "Section and id of another part, like edges.coping.",
        }
    ),
]
Ref: TypeAlias = Annotated[
    str,
    _field(lambda text: text.strip()),
    WithJsonSchema(
        {"type": "string", "pattern": f"^{ID.pattern}$", "description": "Id of another part."}
    ),
]
Count: TypeAlias = Annotated[
    int,
    _field(_count),
    WithJsonSchema({"type": "integer", "minimum": 0, "description": "A whole number."}),
]
Flag: TypeAlias = Annotated[
    bool, _field(_flag), WithJsonSchema({"type": "boolean", "description": "true or false."})
]
Day: TypeAlias = Annotated[
    date,
    _field(_day),
    WithJsonSchema({"type": "string", "format": "date", "description": "A day, YYYY-MM-DD."}),
]
Month: TypeAlias = Annotated[
    date,  # the first of the month
    _field(_month),
    WithJsonSchema(
        {"type": "string", "pattern": "^[0-9]{4}-[0-9]{2}$", "description": "A month, YYYY-MM."}
    ),
]
Component: TypeAlias = Annotated[
    float,
    _field(_component),
    WithJsonSchema({"type": "number", "description": "One component of a direction."}),
]
