"""What a verification answers: points, each with one of four words and a sentence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any


class ForeignError(Exception):
    """A file that is no report of ours, or too damaged to be read, with why in a sentence."""


class Answer(StrEnum):
    """What was found on a point, the best first. Only `HOLDS` is a pass.

    `RECORDED` is said of who signed: it stands there, nothing contradicts it, nothing shows it.
    """

    HOLDS = "holds"
    RECORDED = "recorded only"
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
    """What came of a verification: which document, and every point.

    `of_job`: it was a job file with its record, and no document.
    """

    document: str
    digest: str
    points: tuple[Point, ...]
    of_job: bool = False

    @property
    def plain(self) -> dict[str, Any]:
        """The same as plain data."""
        return {
            "document": self.document,
            "digest": self.digest,
            "points": [[each.what, each.answer.value, each.text, list(each.details)]
                       for each in self.points],
            "of_job": self.of_job,
        }  # fmt: skip

    @classmethod
    def of(cls, plain: Mapping[str, Any]) -> Verified:
        """What stands in plain data."""
        points = (
            Point(what, Answer(answer), text, tuple(details))
            for what, answer, text, details in plain["points"]
        )
        return cls(plain["document"], plain["digest"], tuple(points), plain["of_job"])

    @property
    def holds(self) -> bool:
        """Whether every point holds or is recorded: nothing contradicts itself or is not shown."""
        return all(each.answer in (Answer.HOLDS, Answer.RECORDED) for each in self.points)

    @property
    def sum(self) -> str:
        """What all points come to, in a sentence: no more than the weakest of them."""
        found = {each.answer for each in self.points}
        if Answer.BROKEN in found:
            return "This does not hold."
        if Answer.NOT_DEMONSTRATED in found:
            return "Not all of this is shown."
        if Answer.RECORDED in found:
            return "Nothing in this file contradicts itself; who signed is not shown."
        return (
            "Nothing in this file contradicts itself, and certificates that are trusted here show "
            "who signed."
        )
