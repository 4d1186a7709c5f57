"""What a quantity field reads, what it refuses, and its JSON Schema."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from pydantic import AfterValidator, WithJsonSchema

from riskdoc.job.faults import Code, Refused, shown
from riskdoc.job.nodes import Written
from riskdoc.job.quantity_text import NUMBER, example_of, quantity
from riskdoc.quantities.quantity import Kind, Quantity
from riskdoc.quantities.units import units_of


def scalar(value: object) -> Written:
    """The single value a field was given, refused when it is empty, a list or a mapping.

    >>> scalar("80 kg")
    '80 kg'
    """
    if isinstance(value, str):
        written = value if isinstance(value, Written) else Written(value)
        if written.missing:
            raise Refused(Code.MISSING_VALUE, "missing value", "Write one, or leave the key out.")
        return written
    found = "a list" if isinstance(value, list | tuple) else "keys with values"
    raise Refused(Code.WRONG_SHAPE, f"found {found}", "Write a single value.")


class Measure:
    """Reads one kind of quantity and refuses what lies outside what can be."""

    def __init__(
        self,
        kind: Kind,
        low: str,
        high: str,
        units: Sequence[str] | None = None,
        above: bool = False,
    ) -> None:
        self.kind = kind
        self.units = tuple(units) if units is not None else None
        self.low, self.high = self._read(low), self._read(high)
        self.above = above  # whether the low end itself is refused

    def _read(self, text: str) -> Quantity:
        return quantity(Written(text), self.kind, self.units)

    def __call__(self, value: object) -> Quantity:
        """The quantity, read and inside its bounds.

        >>> Measure(Kind.MASS, "0 kg", "100 kg")("176 lb").written
        '176 lb'
        """
        if isinstance(value, Quantity) and value.kind is self.kind:
            return self._inside(value)  # a changed job hands on what was read before
        return self._inside(quantity(scalar(value), self.kind, self.units))

    def _inside(self, q: Quantity) -> Quantity:
        least = self.low.expected
        if q.low < least or (self.above and q.low == least):
            bound = "more than" if self.above else "at least"
            raise self._outside(q, f"{bound} {self.low.written}", Code.OUT_OF_BOUNDS)
        if q.high > self.high.expected:
            # Angles and ratios end somewhere; a force that is too great is only a likely slip.
            ends = self.kind in (Kind.ANGLE, Kind.RATIO)
            code = Code.OUT_OF_BOUNDS if ends else Code.NOT_PLAUSIBLE
            raise self._outside(q, f"at most {self.high.written}", code)
        return q

    def _outside(self, q: Quantity, rule: str, code: Code) -> Refused:
        example = example_of(self.kind, self.units)
        return Refused(
            code,
            f"must be {rule}, found {shown(q.written)}",
            f"Write it like {example}.",
        )


def within(low: str, high: str, below: bool = False) -> AfterValidator:
    """Bounds that catch slips of the hand in one field: a rope of 11 m diameter, say.

    With `below` the high end itself is refused too. The bounds are written like quantities, so
    that the model reads like the job file.
    """

    def check(q: Quantity) -> Quantity:
        units = ("", *units_of(q.kind)) if q.kind is Kind.RATIO else None
        least, most = (quantity(Written(end), q.kind, units).expected for end in (low, high))
        if q.low < least or q.high > most or (below and q.high == most):
            raise Refused(
                Code.NOT_PLAUSIBLE,
                f"{shown(q.written)} is outside {low} to {'below ' if below else ''}{high}",
                "Check the number and its unit.",
            )
        return q

    return AfterValidator(check)


def schema(measure: Measure, description: str) -> WithJsonSchema:
    """The JSON Schema of a quantity: a pattern for text, and a number where that is enough."""
    units = measure.units if measure.units is not None else units_of(measure.kind)
    unit = "|".join(re.escape(u) for u in units if u)
    tail = f"( *({unit})){'?' if '' in units else ''}" if unit else ""
    text: dict[str, Any] = {
        "type": "string",
        "pattern": rf"^\s*{NUMBER}( +to +{NUMBER}| */ *{NUMBER} */ *{NUMBER})?{tail}\s*$",
    }
    named = ", ".join(u or "a plain number" for u in units)
    schema = {"anyOf": [text, {"type": "number"}]} if "" in units else text
    schema |= {
        "description": f"{description} Units: {named}.",
        "examples": [example_of(measure.kind, measure.units)],
    }
    return WithJsonSchema(schema)
