"""The frozen records of requirement sets and of what a plan shows of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from riskdoc.i18n.say import say

if TYPE_CHECKING:
    from riskdoc.requirements.judges import Decided, OfSet

SCOPE = "scope"
"""Id of the item whether a set reaches the work at all; every set that names methods has it."""


class Answer(StrEnum):
    """What a plan shows of an item.

    `AS_STATED`: the job states it, and what it states was looked at. `TO_BE_ANSWERED`: a question
    that only a person can answer; whatever the plan shows of it does not speak against it.
    """

    MET = "met"
    AS_STATED = "met, as stated"
    BY_ACCEPTANCE = "met by acceptance"
    NOT_APPLICABLE = "not applicable"
    TO_BE_ANSWERED = "to be answered"
    NOT_DEMONSTRATED = "not demonstrated"
    NOT_MET = "not met"

    @property
    def stands(self) -> bool:
        """Whether nothing of this item is open."""
        return self not in (Answer.TO_BE_ANSWERED, Answer.NOT_DEMONSTRATED, Answer.NOT_MET)


@dataclass(frozen=True, slots=True)
class Item:
    """One item of a set. `checks`, `lines`, `states`, `stated` and `none` decide it, or `by`.

    `stated` is the answer where all that `states` names stands in the job: to be answered where
    words alone stand there, and only a person can say whether they do. `by` has what decides it
    beside those: judges, gates, and what an item that is asked rests on.
    """

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
    stated: Answer = Answer.AS_STATED
    by: Decided | None = field(default=None, hash=False)


@dataclass(frozen=True, slots=True)
class RequirementSet:
    """A set: what it covers, what it leaves out, and its items in order.

    `methods` are the kinds of work it reaches; none named, it reaches all. `signers_differ`: no
    person may sign in two roles. `whole` is what it says for all its items. `raw` are the bytes of
    its file; `own`: it is one of the user's.
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
    methods: tuple[str, ...] = ()
    signers_differ: bool = False
    whole: OfSet | None = None
    raw: bytes = field(default=b"", repr=False)
    own: bool = False

    def said(self, text: str) -> str:
        """A text of this set as it is printed: ours is said, a user's stands as it was written."""
        return text if self.own else say(text)


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
    """A plan by a set; `rows` is what was taken from the tables, by table, row and column."""

    set: RequirementSet
    applicable: bool
    sentence: str
    answers: tuple[Answered, ...]
    rows: Mapping[str, Any] = field(default_factory=dict)

    @property
    def stops(self) -> tuple[Answered, ...]:
        """The items that keep the job from starting: not met, or a set that does not reach it."""
        return tuple(
            each
            for each in self.answers
            if each.answer is Answer.NOT_MET or (each.item.id == SCOPE and not self.applicable)
        )

    @property
    def counts(self) -> Mapping[Answer, int]:
        """How many items have each answer."""
        return Counter(each.answer for each in self.answers)
