"""Judging: a demand against a capacity, with what is required between them.

Compared unrounded. Missing, negative or not-a-number never passes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from riskdoc.analysis.inputs import rests_on
from riskdoc.analysis.margins import Pair
from riskdoc.i18n.message import Placed, Text, joined, message
from riskdoc.i18n.say import mark
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.quantities.intervals import Array, Interval, combine, exact, least
from riskdoc.quantities.printing import Amount
from riskdoc.quantities.ranges import Input, Range, Sensitivity

JUDGED = mark("rule of this requirement set (judgement)")
"""Source of a rule that stands in no book."""


@dataclass(frozen=True, slots=True)
class Question:
    """What a check asks, in words and with its source.

    `demanded` and `held` are marked texts that name the two sides, each with its `{amount}`; they
    are said with the reason, for only then the amounts are known.
    """

    id: str
    subject: str
    title: Text
    demanded: str
    held: str
    unit: str
    remedy: Text
    figures: tuple[str, ...] = ()


def judge(
    question: Question, pairs: Sequence[Pair], required: Interval, limit: Interval | None = None
) -> Check:
    """The verdict over all pairs: the least ratio decides, at the corners and as expected.

    `limit` is what the requirement rests on where that is one of the two sides compared.
    """
    ratios = [combine(_over, pair.capacity, pair.demand) for pair in pairs]
    if not ratios or not all(_sound(pair) for pair in pairs):
        return not_demonstrated(
            question, (message("a number that is not above zero"),), required, limit
        )
    ratio = least(*ratios)
    need = required.range.high
    verdict = _verdict([_verdict_of(pair, need) for pair in pairs])
    worst = _worst_pair(ratios, as_expected=verdict is Verdict.INADEQUATE)
    pair = pairs[worst]
    decides = ratio.sensitivities()[:6]
    return Check(
        id=question.id,
        subject=question.subject,
        title=question.title,
        verdict=verdict,
        reason=_reason(question, pair, ratios[worst].range, need, verdict),
        remedy=""
        if verdict is Verdict.ADEQUATE
        else _remedy(question, ratio.sensitivities(), need),
        demand=pair.demand.range,
        capacity=pair.capacity.range,
        ratio=ratio.range,
        required=need,
        unit=question.unit,
        source=_source(limit or required),
        decides=decides,
        figures=question.figures,
        inputs=tuple(_inputs(pairs, required, limit).values()),
    )


def _worst_pair(ratios: Sequence[Interval], *, as_expected: bool) -> int:
    """Which pair a reason speaks of: the one that fails as expected, else the worst corner."""
    if as_expected:
        return min(range(len(ratios)), key=lambda i: ratios[i].expected)
    return min(range(len(ratios)), key=lambda i: ratios[i].range.low)


def _inputs(pairs: Sequence[Pair], *others: Interval | None) -> dict[str, Input]:
    found: dict[str, Input] = {}
    for pair in pairs:
        found.update(pair.demand.inputs)
        found.update(pair.capacity.inputs)
    for other in others:
        found.update(other.inputs if other is not None else {})
    return found


def _over(capacity: Array, demand: Array) -> Array:
    with np.errstate(divide="ignore"):
        return np.divide(capacity, demand)


def _sound(pair: Pair) -> bool:
    demand, capacity = pair.demand.corners, pair.capacity.corners
    known = np.isfinite(demand).all() and np.isfinite(capacity).all()
    return bool(known and (demand >= 0).all() and (capacity > 0).all())


def _verdict_of(pair: Pair, need: float) -> Verdict:
    held = combine(lambda c, d: c - need * d, pair.capacity, pair.demand)
    if held.range.low >= 0:
        return Verdict.ADEQUATE
    return Verdict.BORDERLINE if held.expected >= 0 else Verdict.INADEQUATE


def _verdict(each: Sequence[Verdict]) -> Verdict:
    return max(each, key=lambda verdict: verdict.rank)


def worst(verdicts: Sequence[Verdict]) -> Verdict:
    """The worst of several verdicts.

    >>> worst([Verdict.ADEQUATE, Verdict.NOT_DEMONSTRATED, Verdict.BORDERLINE]).value
    'not demonstrated'
    """
    return _verdict(verdicts)


REASONS = {
    Verdict.ADEQUATE: (
        mark("{held} against {demanded}, at worst: {value} times, {need} required."),
        mark("{held} against {demanded} {where}, at worst: {value} times, {need} required."),
    ),
    Verdict.BORDERLINE: (
        mark(
            "{held} against {demanded}, at worst: {value} times, {need} required; as expected "
            "{expected} times."
        ),
        mark(
            "{held} against {demanded} {where}, at worst: {value} times, {need} required; as "
            "expected {expected} times."
        ),
    ),
    Verdict.INADEQUATE: (
        mark("{held} against {demanded}, as expected: {value} times, {need} required."),
        mark("{held} against {demanded} {where}, as expected: {value} times, {need} required."),
    ),
}
"""The reason of a check by its verdict, without a place and with one."""


def _reason(question: Question, pair: Pair, ratio: Range, need: float, verdict: Verdict) -> Text:
    expected = verdict is Verdict.INADEQUATE
    demand = pair.demand.range.expected if expected else pair.demand.range.high
    capacity = pair.capacity.range.expected if expected else pair.capacity.range.low
    value = ratio.expected if expected else ratio.low
    return message(
        REASONS[verdict][bool(pair.where)],
        held=message(question.held, amount=Amount(capacity, question.unit, "down")),
        demanded=message(question.demanded, amount=Amount(demand, question.unit, "up")),
        where=pair.where,
        value=Amount(value, "1", "down"),
        need=Amount(need, "1", "up"),
        expected=Amount(ratio.expected, "1", "down"),
    )


def _remedy(question: Question, sensitivities: tuple[Sensitivity, ...], need: float) -> Text:
    saving = [each for each in sensitivities if max(each.at_low, each.at_high) >= need]
    if saving:
        return message(
            "{remedy} Know better: {title}.", remedy=question.remedy, title=saving[0].title
        )
    return question.remedy


def _source(required: Interval) -> Text:
    found = required.inputs.values()
    return joined((rests_on(each.source, each.provenance) for each in found), "; ")


def not_demonstrated(
    question: Question,
    missing: tuple[Text, ...],
    required: Interval | None,
    limit: Interval | None = None,
) -> Check:
    """The verdict where something needed is missing: never a pass, and it says what to add.

    `required` and `limit` are as in `judge`.
    """
    keys = joined(missing)
    return Check(
        id=question.id,
        subject=question.subject,
        title=question.title,
        verdict=Verdict.NOT_DEMONSTRATED,
        reason=message("Cannot be judged: the job does not state {keys}.", keys=keys),
        remedy=message("State {keys}.", keys=keys),
        demand=None,
        capacity=None,
        ratio=None,
        required=required.expected if required is not None else None,
        unit=question.unit,
        source=_source(limit or required) if required is not None else "",
        missing=missing,
        figures=question.figures,
    )


BELOW = mark("a number that is not below zero")


def _counts(range: Range) -> bool:
    """Whether a range is of numbers from 0 up."""
    return all(map(math.isfinite, (range.low, range.expected, range.high))) and range.low >= 0


def graded(question: Question, value: Interval, good: Interval, most: Interval) -> Check:
    """The verdict on a value with two limits: adequate to `good`, inadequate beyond `most`.

    Between them it is borderline, and so is a value of which only the worst case is beyond `good`.
    `ratio` is that of `good` to the value.
    """
    range = value.range
    if not _counts(range):
        return not_demonstrated(question, (message(BELOW),), exact(1.0))
    ratio = combine(_over, good, value)
    verdict = Verdict.ADEQUATE if range.high <= good.range.low else Verdict.BORDERLINE
    if range.expected > most.range.low:
        verdict = Verdict.INADEQUATE
    worst = range.expected if verdict is Verdict.INADEQUATE else range.high
    return Check(
        id=question.id,
        subject=question.subject,
        title=question.title,
        verdict=verdict,
        reason=message(
            "{what}: adequate to {good}, inadequate beyond {most}.",
            what=message(question.demanded, amount=Amount(worst, question.unit, "up")),
            good=Amount(good.range.low, question.unit, "down"),
            most=Amount(most.range.low, question.unit, "down"),
        ),
        remedy="" if verdict is Verdict.ADEQUATE else question.remedy,
        demand=range,
        capacity=good.range,
        ratio=ratio.range,
        required=1.0,
        unit=question.unit,
        source=_source(most),
        decides=ratio.sensitivities()[:6],
        figures=question.figures,
        inputs=tuple({**value.inputs, **good.inputs, **most.inputs}.values()),
    )


BANDED = {
    Verdict.ADEQUATE: mark("{held}; {high} at 90 %, {expected} expected."),
    Verdict.BORDERLINE: mark(
        "{held}; {high} at 90 %, {expected} expected: the expected value is within the limit, the "
        "value at 90 % is not."
    ),
    Verdict.INADEQUATE: mark(
        "{held}; {high} at 90 %, {expected} expected: the expected value is beyond the limit."
    ),
}
"""The reason of a check that looks at a band."""


def judge_band(question: Question, value: Interval, limit: Interval) -> Check:
    """The verdict on a value by its band: draws of its inputs, of which one in ten lies above.

    Adequate where the value at 90 % is within the limit, borderline where the expected one is,
    inadequate otherwise. `demand` and `ratio` are at 10 %, as expected and at 90 %; corners, where
    every input is at its worst at once, are not judged.
    """
    band, most = value.band, limit.range.low
    if not _counts(band):
        return not_demonstrated(question, (message(BELOW),), exact(1.0), limit)
    verdict = Verdict.INADEQUATE
    if band.expected <= most:
        verdict = Verdict.ADEQUATE if band.high <= most else Verdict.BORDERLINE
    ratios = combine(_over, limit, value)
    return Check(
        id=question.id,
        subject=question.subject,
        title=question.title,
        verdict=verdict,
        reason=_banded(question, band, most, verdict),
        remedy=""
        if verdict is Verdict.ADEQUATE
        else _remedy(question, ratios.sensitivities(), 1.0),
        demand=band,
        capacity=limit.range,
        ratio=Range(*(float(_over(np.asarray(most), np.asarray(each))) for each in _down(band))),
        required=1.0,
        unit=question.unit,
        source=_source(limit),
        decides=ratios.sensitivities()[:6],
        figures=question.figures,
        inputs=tuple({**value.inputs, **limit.inputs}.values()),
        drawn=value.draws,
    )


def _down(band: Range) -> tuple[float, float, float]:
    return band.high, band.expected, band.low


def _banded(question: Question, band: Range, most: float, verdict: Verdict) -> Text:
    if band.high == 0:
        return message("No movement of the rope is stated here.")
    return message(
        BANDED[verdict],
        held=message(question.held, amount=Amount(most, question.unit, "down")),
        high=Amount(band.high, question.unit, "up"),
        expected=Amount(band.expected, question.unit, "up"),
    )


def does_not_apply(id: str, subject: str, title: Text, why: Text) -> Check:
    """A check that the job says does not apply; it stays in the list, with the reason."""
    reason = message("Does not apply, as stated: {why}.", why=Placed(why, "unstopped"))
    return rule(id, subject, title, Verdict.ADEQUATE, reason, "", message("stated in the job"))


def rule(
    id: str, subject: str, title: Text, verdict: Verdict, reason: Text, remedy: Text, source: Text
) -> Check:
    """A rule that no number overrides."""
    return Check(
        id=id,
        subject=subject,
        title=title,
        verdict=verdict,
        reason=reason,
        remedy=remedy,
        demand=None,
        capacity=None,
        ratio=None,
        required=None,
        unit="1",
        source=source,
    )
