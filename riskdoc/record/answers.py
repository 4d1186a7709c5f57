"""What a verification answers: points, each with one of four words and a sentence."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class ForeignError(Exception):
    """A file that is no report of ours, or too damaged to be read, with why in a sentence."""


class Answer(StrEnum):
    """What was found on a point, the best first. Only `HOLDS` is a pass."""

    HOLDS = "holds"
    NOT_DEMONSTRATED = "not demonstrated"
    BROKEN = "does not hold"


@dataclass(frozen=True, slots=True)
class Point:
    """One thing that was looked at: what, the answer, and in words what was found."""

    what: str
    answer: Answer
    text: str
    details: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Verified:
    """What came of a verification: which document, and every point."""

    document: str
    digest: str
    points: tuple[Point, ...]

    @property
    def holds(self) -> bool:
        """Whether every point holds."""
        return all(each.answer is Answer.HOLDS for each in self.points)
