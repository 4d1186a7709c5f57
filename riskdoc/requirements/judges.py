"""What decides an item of a set, as YAML says it: closed, typed records.

A judge looks at the whole job, or with `each` at parts of it one by one, and says one thing of
them: which checks must be adequate, what must be stated, until when something lasts, and so on.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from riskdoc.conditions.anchoring import Per
from riskdoc.conditions.condition import Condition
from riskdoc.conditions.filled_text import WITH, With
from riskdoc.conditions.vocabulary import (
    Bound,
    CountBound,
    ForceBound,
    Many,
    ScopeName,
    ScopePath,
    Template,
    Words,
)
from riskdoc.requirements.items import Answer
from riskdoc.requirements.predicates import PredicateName

LONGEST = 1200
"""Months: no date runs past the calendar."""
PASSES = (Answer.MET, Answer.AS_STATED, Answer.BY_ACCEPTANCE)


class Lacking(Words):
    """Keys of the parts of a scope, which are named as missing; with `when` of some of them."""

    of: ScopeName
    when: Condition | None = None
    key: str


def _lacking(raw: Any) -> Any:  # noqa: ANN401  (whatever stands in the file)
    return raw if isinstance(raw, list) else [raw]


class Case(Words):
    """An answer, and when it is the one: with its text, and the keys that are missing.

    `names` are shapes of checks that the answer rests on, `names_unmet` of those that are not met.
    In place of an answer `decided` has judges of their own.
    """

    when: Condition | None = None
    answer: Answer | None = None
    say: Template = ""
    with_: With = WITH
    missing: Annotated[tuple[str | Lacking, ...], BeforeValidator(_lacking)] = ()
    names: Many = ()
    names_unmet: Many = ()
    decided: tuple[Judge, ...] = ()

    @model_validator(mode="after")
    def _one(self) -> Case:
        if (self.answer is None) == (not self.decided):
            raise ValueError("a case has an answer, or judges under decided")
        if self.answer is not None and not self.say:
            raise ValueError("an answer has its text under say")
        return self


class Checks(Words):
    """Checks by the shapes of their ids: the worst of them counts. `none` is the answer without.

    `adequate` is the answer, with the reason of the check, where met is not the word for it.
    """

    of: Many
    but: Many = ()
    lines: Literal["", "people", "things"] = ""
    none: Answer = Answer.NOT_DEMONSTRATED
    nothing: Template = ""
    adequate: Answer | None = None


class Lasts(Words):
    """Something dated, that must lie before the work and last so many months, to its last day."""

    key: str
    months: CountBound
    what: Template

    @model_validator(mode="after")
    def _not_for_ever(self) -> Lasts:
        if not 1 <= self.months.exactly <= LONGEST:
            raise ValueError(f"months must be 1 to {LONGEST}")
        return self


class Strength(Words):
    """A strength that is stated, against the least that a clause prints in two units.

    `met` says in its place what is answered where it reaches that; its texts may use `value`,
    `least` and `unit`.
    """

    key: str
    at_least: ForceBound
    per: Per = "anchor"
    what: Template
    with_: With = WITH
    met: tuple[Case, ...] = ()


class Limit(Words):
    """A computed number, of a check's demand or a figure, against a limit: met at its high end.

    `between` is the answer where only the expected value keeps to it.
    """

    demand: str = ""
    figure: str = ""
    at_most: Bound
    say: Template
    unknown: Template
    between: Answer = Answer.NOT_DEMONSTRATED


class Need(Words):
    """A key that must be stated, in the whole job or in every part of a scope.

    `words: false` for names of parts, in which no words are read that may deny them.
    """

    of: ScopePath = ()
    key: str
    words: bool = True


class Needs(Words):
    """Keys that must all be stated; `lacking` is the text where they are not."""

    all: tuple[Need, ...]
    answer: Answer = Answer.AS_STATED
    say: Template
    with_: With = WITH
    lacking: Template = ""


class Judge(Words):
    """One thing that decides an item: exactly one of the words below `when`."""

    each: ScopePath = ()
    when: Condition | None = None
    cases: tuple[Case, ...] = ()
    checks: Annotated[
        Checks | None, BeforeValidator(lambda raw: raw if isinstance(raw, dict) else {"of": raw})
    ] = None
    lasts: Lasts | None = None
    strength: Strength | None = None
    limit: Limit | None = None
    needs: Needs | None = None
    items: Many = ()
    all_of: tuple[Judge, ...] = ()
    decided: tuple[Judge, ...] = ()
    by: PredicateName | None = None
    using: Mapping[str, Any] = Field(default={})

    @model_validator(mode="after")
    def _one(self) -> Judge:
        given = self.model_fields_set - {"each", "when", "using"}
        if len(given) != 1:
            raise ValueError(f"a judge has exactly one of {', '.join(KINDS)}")
        return self


KINDS = ("cases", "checks", "lasts", "strength", "limit", "needs", "items", "all_of", "decided",
         "by")  # fmt: skip
Case.model_rebuild()
Judge.model_rebuild()
Strength.model_rebuild()


class Remark(Words):
    """A sentence that a set adds to its summary."""

    when: Condition
    say: Template
    with_: With = WITH


class Decided(Words):
    """What decides an item beside its checks and keys.

    `gate` are names of cases of the set that are looked at first, `nothing` are cases where there
    is nothing to look at, `then_ask` the question that is left to a person where all is met,
    `rests_on` what can answer an item that is asked of a person with no.
    """

    decided: tuple[Judge, ...] = ()
    gate: Many = ()
    nothing: tuple[Case, ...] = ()
    then_ask: Template = ""
    rests_on: tuple[Judge, ...] = ()


class OfSet(Words):
    """What a set says for all its items."""

    gates: Mapping[str, tuple[Case, ...]] = Field(default={})
    remark: Remark | None = None
    acceptances: Literal["count", "do not count"] = "count"
