"""A quantity as somebody stated it: a range in SI, and where and how it was written."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Kind(StrEnum):
    """The kinds of quantity a job file may hold, and the SI unit each is carried in."""

    FORCE = "force"
    MASS = "mass"
    LENGTH = "length"
    ANGLE = "angle"
    TEMPERATURE = "temperature"
    SPEED = "speed"
    LINE_DENSITY = "mass per length"
    TIME = "time"
    RATIO = "ratio"
    COUNT = "count"

    @property
    def si(self) -> str:
        """The SI unit symbol that values of this kind carry inside the program."""
        return _SI[self]


_SI = {
    Kind.FORCE: "N",
    Kind.MASS: "kg",
    Kind.LENGTH: "m",
    Kind.ANGLE: "rad",
    Kind.TEMPERATURE: "K",
    Kind.SPEED: "m/s",
    Kind.LINE_DENSITY: "kg/m",
    Kind.TIME: "s",
    Kind.RATIO: "1",
    Kind.COUNT: "1",
}


@dataclass(frozen=True, slots=True)
class Place:
    """Where something was written. Lines and columns count from 1.

    >>> str(Place("jobs/lighthouse.yaml", 12, 7))
    'jobs/lighthouse.yaml:12:7'
    """

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number in SI with its range, as written, and where.

    `low <= expected <= high`, all finite. `written` is the text of the job file, untouched.
    """

    low: float
    expected: float
    high: float
    kind: Kind
    written: str
    place: Place

    @property
    def ranged(self) -> bool:
        """Whether the quantity is more than one value."""
        return self.low != self.high
