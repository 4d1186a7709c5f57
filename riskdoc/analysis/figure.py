"""A computed number with everything it rests on."""

from __future__ import annotations

from dataclasses import dataclass

from riskdoc.i18n.message import Text
from riskdoc.quantities.ranges import Input, Range, Sensitivity


@dataclass(frozen=True, slots=True)
class Figure:
    """A computed number with its range, its equation and everything it rests on.

    `range` holds the corners. Where a number is drawn as well, `band` has its values at 10 %, as
    expected and at 90 %, and those are what sections print; corners stay in the workings.
    """

    id: str
    title: Text
    subject: str
    range: Range
    unit: str
    symbol: str
    formula: Text
    worked: Text
    inputs: tuple[Input, ...]
    sensitivities: tuple[Sensitivity, ...]
    source: Text
    band: Range | None = None

    @property
    def shown(self) -> Range:
        """What sections print: the band where there is one, else the range."""
        return self.range if self.band is None else self.band
