"""The frozen records of requirement sets and of what a plan shows of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from riskdoc.language.say import say


class Answer(StrEnum):
    """What a plan shows of an item."""

    MET = "met"
    AS_STATED = "met, as stated"
    BY_ACCEPTANCE = "met by acceptance"
    NOT_APPLICABLE = "not applicable"
    NOT_DEMONSTRATED = "not demonstrated"
    NOT_MET = "not met"

    @property
    def stands(self) -> bool:
        """Whether nothing of this item is open."""
        return self not in (Answer.NOT_DEMONSTRATED, Answer.NOT_MET)


@dataclass(frozen=True, slots=True)
class Item:
    """One item of a set. `checks`, `lines`, `states` and `none` decide it as data."""

    id: str
    clause: str
    asks: str
    test: str
    applies: str
    how: str
    limit: str
    note: str
    provenance: str
    checks: tuple[str, ...] = ()
    lines: str = ""
    states: tuple[str, ...] = ()
    none: Answer = Answer.NOT_DEMONSTRATED


@dataclass(frozen=True, slots=True)
class RequirementSet:
    """A set: what it covers, what it leaves out, and its items in order.

    `raw` are the bytes of a file of the user's own; a set that is known here has none.
    """

    id: str
    title: str
    edition: str
    about: str
    scope: str
    excludes: tuple[str, ...]
    coverage: str
    left_out: tuple[str, ...]
    source: str
    provenance: str
    items: tuple[Item, ...]
    raw: bytes = field(default=b"", repr=False)

    def said(self, text: str) -> str:
        """A text of this set as it is printed: ours is said, a user's stands as it was written."""
        return text if self.raw else say(text)


@dataclass(frozen=True, slots=True)
class Found:
    """What was found on one item, or on one line, anchor or person of it.

    `borderline` says that it is not demonstrated for borderline checks alone: nothing is missing.
    """

    answer: Answer
    reason: str = ""
    checks: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    borderline: bool = False


@dataclass(frozen=True, slots=True)
class Answered:
    """An item with what the plan shows of it."""

    item: Item
    answer: Answer
    reason: str
    checks: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    borderline: bool = False


@dataclass(frozen=True, slots=True)
class Judged:
    """A plan by a set."""

    set: RequirementSet
    applicable: bool
    sentence: str
    answers: tuple[Answered, ...]

    @property
    def not_met(self) -> tuple[Answered, ...]:
        """The items that what is stated contradicts."""
        return tuple(each for each in self.answers if each.answer is Answer.NOT_MET)

    @property
    def counts(self) -> Mapping[Answer, int]:
        """How many items have each answer."""
        return Counter(each.answer for each in self.answers)
