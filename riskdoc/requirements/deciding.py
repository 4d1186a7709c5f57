"""Answers items of a set by their judges, and looks at judges when a set is loaded."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date

from riskdoc.conditions.anchoring import attached
from riskdoc.conditions.condition import holds, listed, shapes
from riskdoc.conditions.filled_text import put
from riskdoc.conditions.job_values import says, values
from riskdoc.conditions.parts import Part, parts_at, parts_of, whole
from riskdoc.conditions.plan import like
from riskdoc.i18n.say import say
from riskdoc.quantities.printing import amount
from riskdoc.quantities.quantity import Quantity
from riskdoc.quantities.ranges import Range
from riskdoc.requirements.ask import Ask, at_most, in_time, not_stated, strong, together
from riskdoc.requirements.items import Answer, Found
from riskdoc.requirements.judges import (
    Case,
    Checks,
    Judge,
    Lacking,
    Lasts,
    Limit,
    Needs,
    Strength,
)
from riskdoc.requirements.predicates import PREDICATES


def decided(ask: Ask, judges: Sequence[Judge], nothing: Sequence[Case] = ()) -> Found:
    """One answer of all judges; `nothing` is the answer where there is nothing to look at."""
    found = found_by(ask, judges)
    if len(judges) == len(found) == 1 and not judges[0].each:
        return found[0]
    return together(found, None if found else by_cases(ask, nothing, whole(ask)))


def found_by(ask: Ask, judges: Sequence[Judge]) -> list[Found]:
    """What judges find, each by itself."""
    return [each for judge in judges for each in of_judge(ask, judge, whole(ask))]


def by_cases(ask: Ask, cases: Sequence[Case], part: Part) -> Found | None:
    """The answer of the first case that holds for the whole job, None where none does."""
    found = list(_of_cases(ask, cases, part))
    return found[0] if len(found) == 1 else together(found) if found else None


def of_judge(ask: Ask, judge: Judge, outer: Part) -> Iterator[Found]:
    """What a judge finds, part by part."""
    for part in parts_at(ask, judge.each, outer):
        if holds(ask, judge.when, part):
            yield from _of_part(ask, judge, part)


def _of_part(ask: Ask, judge: Judge, part: Part) -> Iterator[Found]:
    yield from _of_cases(ask, judge.cases, part)
    if judge.checks is not None:
        yield _checks(ask, judge.checks, part)
    if judge.lasts is not None:
        yield _lasts(ask, judge.lasts, part)
    if judge.strength is not None:
        yield _strength(ask, judge.strength, part)
    if judge.limit is not None:
        yield _limit(ask, judge.limit, part)
    if judge.needs is not None:
        yield _needs(ask, judge.needs, part)
    if judge.by is not None:
        predicate = PREDICATES[judge.by]
        yield predicate.run(ask, part, predicate.using.model_validate(judge.using))
    yield from (ask.found(id) for id in judge.items)
    if judge.all_of:
        yield together([each for one in judge.all_of for each in of_judge(ask, one, part)])
    for one in judge.decided:
        yield from of_judge(ask, one, part)


def _of_cases(ask: Ask, cases: Sequence[Case], part: Part) -> Iterator[Found]:
    case = next((each for each in cases if holds(ask, each.when, part)), None)
    if case is None:
        return
    if case.answer is not None:
        yield _answered(ask, case, part)
    for judge in case.decided:
        yield from of_judge(ask, judge, part)


def _answered(ask: Ask, case: Case, part: Part, **more: object) -> Found:
    missing = tuple(_missing(ask, case, part))
    checks = [check.id for check in ask.matching(shapes(case.names, part))]
    unmet = ask.plan.failed_checks if case.names_unmet else ()
    checks += [check.id for check in unmet if like(check.id, case.names_unmet)]
    words = {"key": ", ".join(missing), **more}
    said = put(ask, case.say, part, case.with_, **words)
    answer = case.answer or Answer.NOT_DEMONSTRATED
    return Found(answer, said, tuple(checks), missing)


def _missing(ask: Ask, case: Case, part: Part) -> Iterator[str]:
    for each in case.missing:
        if isinstance(each, Lacking):
            found = [it for it in parts_of(ask, each.of, part) if holds(ask, each.when, it)]
            yield from (name for it in found for name, _ in values(ask.job, it, each.key))
        else:
            yield from (name for name, _ in values(ask.job, part, each))


def _checks(ask: Ask, it: Checks, part: Part) -> Found:
    found = ask.matching(shapes(it.of, part), shapes(it.but, part), it.lines)
    if not found:
        said = put(ask, it.nothing, part, {}) if it.nothing else say(
            "no such check is asked of this job")  # fmt: skip
        return Found(it.none, said)
    if it.adequate is None:
        return ask.worst(found)
    shown = [ask.of_check(check) for check in found]
    return together([
        replace(one, answer=it.adequate, reason=str(check.reason))
        if one.answer is Answer.MET else one
        for one, check in zip(shown, found, strict=True)
    ])  # fmt: skip


def _lasts(ask: Ask, it: Lasts, part: Part) -> Found:
    [(key, day)] = values(ask.job, part, it.key)
    what = put(ask, it.what, part, {})
    return in_time(ask.job, day if isinstance(day, date) else None, round(it.months.exactly),
                   key, what)  # fmt: skip


def _strength(ask: Ask, it: Strength, part: Part) -> Found:
    [(_, value)] = values(ask.job, part, it.key)
    value = value if isinstance(value, Quantity) else None
    times = attached(ask, part.id, it.per)
    found = strong(value, it.at_least, times, put(ask, it.what, part, it.with_))
    if value is None or found.answer is not Answer.MET:
        return found
    number, unit = it.at_least.figures[0]
    case = next((each for each in it.met if holds(ask, each.when, part)), None)
    words = {"value": value.written, "least": number * times, "unit": unit}
    return found if case is None else _answered(ask, case, part, **words)


def _limit(ask: Ask, it: Limit, part: Part) -> Found:
    demand: Range | None = None
    if it.demand:
        check = ask.plan.check(it.demand.format(**part.words))
        demand, unit = (check.demand, check.unit) if check else (None, "")
    else:
        figure = ask.plan.figure(it.figure.format(**part.words))
        demand, unit = (figure.range, figure.unit) if figure else (None, "")
    if demand is None or unit != it.at_most.kind.si:
        return Found(Answer.NOT_DEMONSTRATED, put(ask, it.unknown, part, {}))
    said = put(ask, it.say, part, {}, most=amount(demand.high, unit, "up"))
    return at_most(demand, it.at_most.exactly, said, it.between)


def _needs(ask: Ask, it: Needs, part: Part) -> Found:
    lacking: dict[str, None] = {}
    for need in it.all:
        for each in parts_at(ask, need.of, part):
            for name, value in values(ask.job, each, need.key):
                if not (says(value) if need.words else listed(value)):
                    lacking[name] = None
    if not lacking:
        return Found(it.answer, put(ask, it.say, part, it.with_))
    keys = tuple(lacking)
    if it.lacking:
        return Found(Answer.NOT_DEMONSTRATED, put(ask, it.lacking, part, {}), (), keys)
    return not_stated(*keys)
