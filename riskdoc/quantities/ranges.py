"""Ranges of numbers, what they rest on, and what each input alone does to a result."""

from __future__ import annotations

from dataclasses import dataclass

from riskdoc.i18n.message import Text


@dataclass(frozen=True, slots=True)
class Range:
    """Low, expected and high of a computed number."""

    low: float
    expected: float
    high: float


@dataclass(frozen=True, slots=True)
class Input:
    """One input of a figure, with what it rests on.

    `place` is `file:line:column` for a stated value and `table/row` for a default.
    `provenance` is one of stated, published, common practice, from memory, judgement.
    """

    id: str
    symbol: str
    title: Text
    range: Range
    unit: str
    written: Text
    place: Text
    provenance: str
    source: Text


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What a result becomes when one input alone goes to its low and to its high end."""

    input: str
    title: Text
    at_low: float
    at_high: float

    @property
    def spread(self) -> float:
        """How far this input alone moves the result."""
        return abs(self.at_high - self.at_low)
