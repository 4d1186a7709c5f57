"""What may be asked of a part of a job, each word of it, and how it is answered.

The words of one condition must all hold. `at_most` and `at_least` hold for the whole range of what
is stated; what is not stated is never within a bound.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date
from typing import Annotated, Any, TypeAlias

from pydantic import BeforeValidator, Field

from riskdoc.conditions.anchoring import TINY, Per, attached, legs_hold
from riskdoc.conditions.job_values import RuledOut, says, values
from riskdoc.conditions.part_facts import FACTS, FactName
from riskdoc.conditions.parts import Part, parts_of
from riskdoc.conditions.plan import Asked
from riskdoc.conditions.vocabulary import Amount, Bound, Days, ForceBound, Many, ScopeName, Words
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.quantities.quantity import Quantity

IMPERIAL = {"ft", "in", "lbf", "lb"}
NO_KEYS: Any = Field(default={})
Bounds: TypeAlias = Mapping[str, Bound]
Wanted = Annotated[
    tuple[str | bool | int, ...],
    BeforeValidator(lambda raw: tuple(raw) if isinstance(raw, list) else (raw,)),
]


class Selection(Words):
    """Some parts: those of a scope for which a condition holds, or distinct values `by` a key."""

    of: ScopeName
    when: Condition | None = None
    by: str = ""
    least: int | None = Field(None, alias="at_least")
    most: int | None = Field(None, alias="at_most")


Selected = Annotated[
    Selection, BeforeValidator(lambda raw: {"of": raw} if isinstance(raw, str) else raw)
]
"""A selection, or the name of a scope for all of it."""


class Legs(Words):
    """Whether the legs of an anchor hold a force: `verdict` is the answer that is asked for."""

    hold: ForceBound
    per: Per
    verdict: Verdict


class Reckoned(Words):
    """A figure that was computed, by its id, against a bound at its worse end."""

    id: str
    least: Bound | None = Field(None, alias="at_least")
    reaches: Bound | None = None
    known: bool = True


class Condition(Words):
    """What may be asked of a part. Keys are those of the job file, counted from the part.

    `stated` says something, in words that do not deny it; `unstated` does not. `listed` holds an
    entry. `absent` is left out or ruled out with a reason, `left_out` has no word of it at all.
    """

    stated: Many = ()
    unstated: Many = ()
    listed: Many = ()
    absent: Many = ()
    left_out: Many = ()
    is_: Mapping[str, Wanted] = Field(default={}, alias="is")
    at_least: Bounds = NO_KEYS
    at_most: Bounds = NO_KEYS
    between: Bounds = NO_KEYS
    over: Bounds = NO_KEYS
    reaches: Bounds = NO_KEYS
    down_to: Bounds = NO_KEYS
    on_or_before: Mapping[str, Days] = NO_KEYS
    on_or_after: Mapping[str, Days] = NO_KEYS
    adequate: Many = ()
    met: Many = ()
    unmet: Many = ()
    inadequate: Many = ()
    figure: Reckoned | None = None
    legs: Legs | None = None
    some: Selected | None = None
    every: Selected | None = None
    none: Selected | None = None
    count: Selection | None = None
    shared: Selection | None = None
    fact: FactName | None = None
    item: Mapping[str, str] = NO_KEYS
    not_: Condition | None = Field(None, alias="not")
    all_of: tuple[Condition, ...] = ()
    any_of: tuple[Condition, ...] = ()

    @property
    def by_absence(self) -> bool:
        """Whether it can come to hold because something is left out."""
        return bool(
            self.unstated or self.absent or self.left_out or self.none or self.not_
            or (self.count and self.count.most is not None)
            or (self.figure and not self.figure.known)
            or any(each.by_absence for each in (*self.all_of, *self.any_of))
            or any(it and it.when and it.when.by_absence for it in (self.some, self.every))
        )  # fmt: skip

    @property
    def empty(self) -> bool:
        """Whether it asks nothing."""
        return not self.model_fields_set


def holds(ask: Asked, it: Condition | None, part: Part) -> bool:
    """Whether all that a condition asks is so."""
    return it is None or all(_each(ask, it, part))


def chosen(ask: Asked, it: Selection, outer: Part) -> Iterator[Part]:
    """The parts of a selection."""
    parts = parts_of(ask, it.of, outer)
    return (part for part in parts if holds(ask, it.when, part))


def _each(ask: Asked, it: Condition, part: Part) -> Iterator[bool]:
    """The answers to the words of a condition, one by one; what costs little stands first."""
    yield from _of_words(ask, it, part)
    yield from _of_bounds(ask, it, part)
    yield from _of_checks(ask, it, part)
    for choice, good in ((it.some, True), (it.none, False)):
        if choice is not None:
            yield any(True for _ in chosen(ask, choice, part)) is good
    if it.every is not None:
        found = list(parts_of(ask, it.every.of, part))
        yield bool(found) and all(holds(ask, it.every.when, each) for each in found)
    if it.count is not None:
        yield _counted(ask, it.count, part)
    if it.shared is not None:
        kept = _by(ask, it.shared, part)
        yield len(set(kept)) < len(kept)
    if it.fact is not None:
        yield FACTS[it.fact].holds(ask, part)
    if it.legs is not None:
        force = it.legs.hold.exactly * attached(ask, part.id, it.legs.per)
        yield legs_hold(ask, part.id, force) is it.legs.verdict
    yield from (ask.answers(id) == wanted for id, wanted in it.item.items())
    if it.not_ is not None:
        yield not holds(ask, it.not_, part)
    yield from (holds(ask, each, part) for each in it.all_of)
    if it.any_of:
        yield any(holds(ask, each, part) for each in it.any_of)


def _of_words(ask: Asked, it: Condition, part: Part) -> Iterator[bool]:
    yield from (_all(ask, part, key, says) for key in it.stated)
    yield from (not _all(ask, part, key, says) for key in it.unstated)
    yield from (_all(ask, part, key, listed) for key in it.listed)
    yield from (not _all(ask, part, key, _there) for key in it.absent)
    yield from (not _all(ask, part, key, _spoken_of) for key in it.left_out)
    for key, words in it.is_.items():
        yield any(each in words for each in _entries(ask, part, key))


def _all(ask: Asked, part: Part, key: str, test: Callable[[Any], bool]) -> bool:
    found = values(ask.job, part, key)
    return bool(found) and all(test(value) for _, value in found)


def listed(value: Any) -> bool:  # noqa: ANN401  (any value of a job)
    """Whether a value holds something; a reason why it does not apply is nothing held."""
    return bool(value) and not isinstance(value, RuledOut)


def _there(value: Any) -> bool:  # noqa: ANN401
    return value is not None and not isinstance(value, RuledOut)


def _spoken_of(value: Any) -> bool:  # noqa: ANN401
    return value is not None


def _entries(ask: Asked, part: Part, key: str) -> Iterator[Any]:
    for _, value in values(ask.job, part, key):
        if not isinstance(value, RuledOut):
            yield from value if isinstance(value, tuple) else (value,)


def _of_bounds(ask: Asked, it: Condition, part: Part) -> Iterator[bool]:
    for bounds, test in _TESTS:
        for key, bound in getattr(it, bounds).items():
            found = [value for _, value in values(ask.job, part, key)]
            yield bool(found) and all(_there(each) and test(_ranged(each), bound) for each in found)
    for days, after in ((it.on_or_before, False), (it.on_or_after, True)):
        for key, day in days.items():
            found = [value for _, value in values(ask.job, part, key)]
            yield bool(found) and all(_in_order(each, _day(ask, day), after) for each in found)


def _in_order(value: Any, day: date, after: bool) -> bool:  # noqa: ANN401
    """Whether what is stated is a day on or before another, or on or after it."""
    return isinstance(value, date) and (value >= day if after else value <= day)


class _Number:
    """A plain number, as a range that was written in no unit."""

    def __init__(self, value: float) -> None:
        self.low = self.high = value
        self.written = ""


Ranged: TypeAlias = Quantity | _Number


def _ranged(value: Any) -> Ranged:  # noqa: ANN401
    """What is compared: an amount, a whole number, or how many entries a list has."""
    if isinstance(value, Quantity):
        return value
    return _Number(len(value) if isinstance(value, tuple) else value)


def imperial(value: Ranged) -> bool:
    """Whether a quantity was written in feet, inches or pounds."""
    unit = re.sub(r"[0-9.,+\-/\s]|\bto\b", "", value.written)
    return unit in IMPERIAL


def most(value: Ranged, bound: Amount) -> bool:
    """Whether the high end keeps to a limit, in the family of units it was written in.

    The stricter figure of a clause that prints two counts for what was written in metric.
    """
    if not bound.two:
        return value.high <= bound.exactly
    limit = bound.exactly if imperial(value) else min(bound.exactly, bound.printed)
    return value.high <= limit * (1 + TINY)


def least(value: Ranged, bound: Amount, times: float = 1) -> bool:
    """Whether the low end reaches a bound, in the first unit of a clause that prints two."""
    if not bound.two:
        return value.low >= bound.exactly * times
    return value.low >= bound.exactly * times * (1 - TINY)


def near(value: Ranged, bound: Amount, times: float = 1) -> bool:
    """Whether the low end reaches the other figure of a clause, for what was written in metric."""
    return not imperial(value) and value.low >= bound.printed * times * (1 - TINY)


def _between(value: Ranged, bound: Amount) -> bool:
    """Whether the two figures of a clause disagree about a value that was written in metric."""
    inside = bound.printed < value.high <= bound.exactly * (1 + TINY)
    return not imperial(value) and inside


_TESTS: tuple[tuple[str, Callable[[Ranged, Amount], bool]], ...] = (
    ("at_least", least),
    ("at_most", most),
    ("between", _between),
    ("over", lambda value, bound: value.high > bound.exactly),
    ("reaches", lambda value, bound: value.high >= bound.exactly),
    ("down_to", lambda value, bound: value.low <= bound.exactly),
)


def _day(ask: Asked, day: Days) -> date:
    if isinstance(day, date):
        return day
    info = ask.job.job
    return info.valid.start if day == "job.valid.from" else info.valid.end


def shapes(patterns: Iterable[str], part: Part) -> tuple[str, ...]:
    """Shapes of ids of checks, with the words of the part put in."""
    return tuple(pattern.format(**part.words) for pattern in patterns)


def _of_checks(ask: Asked, it: Condition, part: Part) -> Iterator[bool]:
    def matching(patterns: tuple[str, ...]) -> list[Check]:
        return ask.matching(shapes(patterns, part))

    if it.adequate:
        found = matching(it.adequate)
        yield bool(found) and all(each.verdict is Verdict.ADEQUATE for each in found)
    if it.met:
        found = matching(it.met)
        yield bool(found) and all(each.stands for each in found)
    if it.unmet:
        yield any(not each.stands for each in matching(it.unmet))
    if it.inadequate:
        yield any(each.verdict is Verdict.INADEQUATE for each in matching(it.inadequate))
    if it.figure is not None:
        yield _reckoned(ask, it.figure, part)


def _reckoned(ask: Asked, it: Reckoned, part: Part) -> bool:
    figure = ask.plan.figure(it.id.format(**part.words))
    if figure is None or not it.known:
        return figure is None and not it.known
    if any(bound and bound.kind.si != figure.unit for bound in (it.least, it.reaches)):
        return False  # an amount of another kind is no bound of it
    shown = figure.shown
    return (it.least is None or figure.range.low >= it.least.exactly) and (
        it.reaches is None or shown.high >= it.reaches.exactly
    )


def _by(ask: Asked, it: Selection, part: Part) -> list[Any]:
    found = chosen(ask, it, part)
    return [each.id if not it.by else str(values(ask.job, each, it.by)[0][1]) for each in found]


def _counted(ask: Asked, it: Selection, part: Part) -> bool:
    count = len(set(_by(ask, it, part)))
    return (it.least is None or count >= it.least) and (it.most is None or count <= it.most)


Selection.model_rebuild()
Condition.model_rebuild()
