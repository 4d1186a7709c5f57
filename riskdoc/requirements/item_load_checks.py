"""Looks at what decides the items of a set when it is loaded, before it judges any job.

Every word, key, name and text must be known where it stands, no answer that passes may come about
by something that is left out, and no item may rest on itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from pydantic import ValidationError

from riskdoc.conditions.load_checks import LoadChecker
from riskdoc.conditions.vocabulary import told
from riskdoc.job.faults import shown
from riskdoc.requirements.judges import PASSES, Case, Decided, Judge, OfSet, Strength
from riskdoc.requirements.predicates import PREDICATES

DEEPEST = 40
"""Items that may rest on each other in a chain; the shipped sets need 3."""


def verify_set(whole: OfSet, items: Mapping[str, Decided]) -> None:
    """Looks at a set. Raises `RefusedError` with the item and the place."""
    known = frozenset(items)
    here = LoadChecker("the set", items=known)
    for name, cases in whole.gates.items():
        _cases(cases, here.at(f"gates.{name}"))
    if whole.remark is not None:
        here.at("remark").condition(whole.remark.when, "when")
        here.at("remark").text(whole.remark.say, whole.remark.with_)
    for id, by in items.items():
        _item(by, LoadChecker(f"item {shown(id)}", items=known), whole)
    under = {id: tuple(dict.fromkeys(_rests_on(by, whole))) for id, by in items.items()}
    done: set[str] = set()
    for id in items:
        _no_circle(id, under, (), done)


def _item(by: Decided, here: LoadChecker, whole: OfSet) -> None:
    for name in by.gate:
        if name not in whole.gates:
            known = ", ".join(whole.gates) or "none"
            raise here.at("gate").refuse(f"there is no gate {shown(name)}; known are {known}")
    for key in ("decided", "rests_on"):
        _judges(getattr(by, key), here, key)
    _cases(by.nothing, here.at("nothing"))
    here.at("then_ask").pattern(by.then_ask)


def _judges(judges: Sequence[Judge], here: LoadChecker, key: str) -> None:
    for n, judge in enumerate(judges, start=1):
        _judge(judge, here.at(f"{key}[{n}]"))


def _judge(judge: Judge, outer: LoadChecker) -> None:
    here = outer.each(judge.each)
    here.condition(judge.when, "when")
    _cases(judge.cases, here.at("cases"))
    _parts_of(judge, here)
    for id in judge.items:
        if id not in here.items:
            raise here.at("items").refuse(f"there is no item {shown(id)} in this set")
    _judges(judge.all_of, here, "all_of")
    _judges(judge.decided, here, "decided")
    if judge.by is not None:
        predicate = PREDICATES[judge.by]
        if predicate.of != here.kind:
            raise here.at("by").refuse(f"{shown(judge.by)} is asked of a {predicate.of}, not of a "
                                       f"{here.kind}")  # fmt: skip
        try:
            predicate.using.model_validate(judge.using)
        except ValidationError as error:
            raise here.at("using").refuse(told(error)) from error


def _parts_of(judge: Judge, here: LoadChecker) -> None:
    """The keys, shapes and texts of a judge that has no cases."""
    if judge.checks is not None:
        for pattern in (*judge.checks.of, *judge.checks.but, judge.checks.nothing):
            here.at("checks").pattern(pattern)
        if judge.checks.none in PASSES:
            raise here.at("checks.none").refuse("a check that is not there shows nothing")
    if judge.lasts is not None:
        here.at("lasts").one(judge.lasts.key)
        here.at("lasts").pattern(judge.lasts.what)
    if judge.strength is not None:
        _strength(judge.strength, here.at("strength"))
    if judge.limit is not None:
        under = here.at("limit")
        for pattern in (judge.limit.demand, judge.limit.figure, judge.limit.unknown):
            under.pattern(pattern)
        under.text(judge.limit.say, {}, "most")
    if judge.needs is not None:
        for n, need in enumerate(judge.needs.all, start=1):
            here.at(f"needs.all[{n}]").each(need.of).key(need.key)
        here.at("needs").text(judge.needs.say, judge.needs.with_)
        here.at("needs").pattern(judge.needs.lacking)


def _strength(it: Strength, here: LoadChecker) -> None:
    here.one(it.key)
    here.text(it.what, it.with_)
    if it.per != "anchor" and here.kind != "anchor":
        raise here.refuse("people are attached to an anchor alone")
    words = here.words | {"value", "least", "unit"}
    _cases(it.met, replace(here.at("met"), words=words), reached=True)


def _cases(cases: Sequence[Case], here: LoadChecker, *, reached: bool = False) -> None:
    for n, case in enumerate(cases, start=1):
        _case(case, replace(here, place=f"{here.place}[{n}]"), reached=reached)


def _case(case: Case, here: LoadChecker, *, reached: bool) -> None:
    here.condition(case.when, "when")
    here.text(case.say, case.with_, "key")
    for each in case.missing:
        if isinstance(each, str):
            here.at("missing").key(each)
        else:
            inner = here.at("missing").each((each.of,))
            inner.condition(each.when, "when")
            inner.key(each.key)
    for pattern in (*case.names, *case.names_unmet):
        here.at("names").pattern(pattern)
    silent = not reached and (case.when is None or case.when.by_absence)
    if case.answer in PASSES and silent:
        raise here.refuse(f"{case.answer} must have a 'when' that no key left out can bring about")
    _judges(case.decided, here, "decided")


def _no_circle(
    id: str, under: Mapping[str, Sequence[str]], above: tuple[str, ...], done: set[str]
) -> None:
    """Looks at each item once, so that no set takes long however its items rest on each other."""
    if id in above or len(above) > DEEPEST:
        raise LoadChecker(f"item {shown(id)}").refuse(
            f"it rests on itself, or more than {DEEPEST} items rest on each other"
        )
    if id not in done:
        for other in under[id]:
            _no_circle(other, under, (*above, id), done)
        done.add(id)


def _rests_on(by: Decided, whole: OfSet) -> Iterator[str]:
    """The items that an item may ask for, in whatever depth its YAML names them."""
    gates = [whole.gates[name] for name in by.gate]
    yield from _named(by.model_dump(by_alias=True))
    for cases in gates:
        for case in cases:
            yield from _named(case.model_dump(by_alias=True))


def _named(part: object) -> Iterator[str]:
    if isinstance(part, dict):
        for key, value in part.items():
            if key in ("item", "items"):
                yield from value
            else:
                yield from _named(value)
    elif isinstance(part, (list, tuple)):
        for each in part:
            yield from _named(each)
