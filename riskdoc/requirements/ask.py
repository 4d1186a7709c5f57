"""What the judges of items ask of a plan, and how answers on several things become one."""

from __future__ import annotations

import calendar
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from fnmatch import fnmatchcase
from functools import cached_property
from typing import Any

from riskdoc.analysis.anchor_load_cases import forces_for_one
from riskdoc.analysis.anchor_pulls import Pulled, Way
from riskdoc.analysis.inputs import Missing
from riskdoc.analysis.resolve import RigLine, rig_of
from riskdoc.i18n.say import say
from riskdoc.job.model import Job, Part, WithNone
from riskdoc.job.words import denies
from riskdoc.judgement.verdicts import Assessment, Check, Verdict
from riskdoc.quantities.intervals import exact
from riskdoc.quantities.quantity import Quantity
from riskdoc.quantities.units import to_si
from riskdoc.requirements.items import Answer, Found, Item

IMPERIAL = {"ft", "in", "lbf", "lb"}
TINY = 1e-9
"""Equality in the unit that was written must survive the conversion: 300 ft is met."""


@dataclass(frozen=True)
class Ask:
    """A plan as items ask it. `hazards` are those of its register."""

    plan: Assessment
    hazards: Sequence[Any]
    accepts: bool

    @property
    def job(self) -> Job:
        """The job that was assessed."""
        return self.plan.file.job

    @cached_property
    def lines(self) -> tuple[RigLine, ...]:
        """All lines."""
        return rig_of(self.plan.file).lines

    @cached_property
    def manned(self) -> tuple[RigLine, ...]:
        """Lines people hang on."""
        return tuple(line for line in self.lines if line.person)

    @cached_property
    def loads(self) -> dict[str, tuple[RigLine, ...]]:
        """Loads with people, and their lines."""
        found: dict[str, tuple[RigLine, ...]] = {}
        for line in self.manned:
            found[line.line.load] = (*found.get(line.line.load, ()), line)
        return found

    @property
    def method(self) -> str | None:
        """The kind of rope work stated."""
        return self.job.work.method if self.job.work else None

    def matching(self, *patterns: str, lines: str = "") -> list[Check]:
        """Checks whose ids have one of these shapes, of lines under people or things alone."""
        wanted = {line.id for line in self.lines if line.person == (lines == "people")}
        found = [c for c in self.plan.checks if any(fnmatchcase(c.id, p) for p in patterns)]
        return [
            c
            for c in found
            if not lines or c.id.split("/")[0] != "line" or c.id.split("/")[1] in wanted
        ]

    def of_check(self, check: Check) -> Found:
        """What one check shows."""
        text = f"{check.title}, {check.subject}: {say(check.verdict.value)}"
        if check.verdict is Verdict.ADEQUATE:
            return Found(Answer.MET, text, (check.id,))
        if check.verdict is Verdict.INADEQUATE:
            return Found(Answer.NOT_MET, f"{text}. {check.reason}", (check.id,))
        if check.stands and check.accepted is not None and self.accepts:
            return Found(
                Answer.BY_ACCEPTANCE,
                say("{text}, accepted by {by}", text=text, by=check.accepted.by),
                (check.id,),
            )
        return Found(
            Answer.NOT_DEMONSTRATED,
            f"{text}. {check.reason}",
            (check.id,),
            tuple(map(str, check.missing)),
            borderline=check.verdict is Verdict.BORDERLINE,
        )

    def worst(self, checks: Iterable[Check]) -> Found:
        """What several checks show together."""
        return together([self.of_check(check) for check in checks])


_WORST = (
    Answer.NOT_MET,
    Answer.NOT_DEMONSTRATED,
    Answer.TO_BE_ANSWERED,
    Answer.BY_ACCEPTANCE,
    Answer.AS_STATED,
    Answer.MET,
    Answer.NOT_APPLICABLE,
)


def together(found: Sequence[Found], none: Found | None = None) -> Found:
    """One answer of several: the worst, with the reasons of those that are as bad.

    `none` is the answer where there is nothing to look at; else not applicable.

    >>> together([Found(Answer.MET), Found(Answer.NOT_DEMONSTRATED, "no strength")]).reason
    'no strength.'
    """
    if not found:
        return none or Found(Answer.NOT_APPLICABLE, say("there is nothing of the kind in this job"))
    answer = min((each.answer for each in found), key=_WORST.index)
    same = [each for each in found if each.answer is answer]
    reasons = list(dict.fromkeys(each.reason for each in same if each.reason))
    more = len(reasons) - 3
    text = ". ".join(reason.rstrip(".") for reason in reasons[:3])
    if text:
        text += "." if more <= 0 else ". " + say("And {more} more.", more=more)
    return Found(
        answer,
        text,
        tuple(dict.fromkeys(id for each in found for id in each.checks)),
        tuple(dict.fromkeys(key for each in same for key in each.missing)),
        borderline=all(each.borderline for each in same),
    )


def by_data(ask: Ask, item: Item) -> Found:
    """An item decided by the shapes of checks and keys that it names."""
    found: list[Found] = []
    if item.checks:
        checks = ask.matching(*item.checks, lines=item.lines)
        found.append(
            ask.worst(checks)
            if checks
            else Found(item.none, say("no such check is asked of this job"))
        )
    found += [_stated(ask.job, key, item.stated) for key in item.states]
    return together(found)


class RuledOut(str):
    """The reason why a key does not apply, in place of its value: it is stated all the same."""

    __slots__ = ()


def _stated(job: Job, key: str, answer: Answer) -> Found:
    """Whether a key of the job file is stated, in every part that the key names.

    A text that only says that there is none, or not yet, states nothing.
    """
    found = list(values(job, key))
    empty = [name for name, value in found if not says(value)]
    if not found or empty:
        lacking = tuple(empty) or (key,)
        return Found(
            Answer.NOT_DEMONSTRATED,
            say("not stated: {lacking}", lacking=", ".join(lacking)),
            (),
            lacking,
        )
    texts = list(dict.fromkeys(text for _, value in found if (text := _text(value))))
    if len(texts) == 1:
        return Found(answer, say("{key} is stated: {text}", key=key, text=texts[0]))
    return Found(answer, say("{key} is stated", key=key))


def says(value: Any) -> bool:  # noqa: ANN401  (any value of a job)
    """Whether a value states something: a text that denies it does not, and a list of such."""
    if isinstance(value, str):  # a reason why not among them
        return not denies(value)
    if isinstance(value, tuple):
        return any(says(each) for each in value)
    return value is not None and value != {}


def _text(value: Any) -> str:  # noqa: ANN401
    """A stated value as it is printed in a reason; empty where it has parts of its own."""
    if isinstance(value, RuledOut):
        return say("does not apply, {why}", why=str(value))
    return value if isinstance(value, str) else ""


def values(part: Any, key: str) -> Iterator[tuple[str, Any]]:  # noqa: ANN401  (any part of a job)
    """The values under a dotted key, `*` for every part by id; None where one is not stated."""
    here: list[tuple[str, Any]] = [("", part)]
    for step in key.split("."):
        after: list[tuple[str, Any]] = []
        for name, value in here:
            after += _into(name, value, step)
        here = after
    yield from ((name.removeprefix("."), value) for name, value in here)


def _into(name: str, value: Any, step: str) -> list[tuple[str, Any]]:  # noqa: ANN401
    if step == "*" and isinstance(value, dict):
        return [(f"{name}.{id}", each) for id, each in value.items()]
    if step == "*" and isinstance(value, tuple):
        return [(f"{name}[{n}]", each) for n, each in enumerate(value, start=1)]
    return [(f"{name}.{step}", _held(value, step))]


def _held(value: Any, key: str) -> Any:  # noqa: ANN401
    """What a part holds under a key of the job file; None where it has no such key."""
    if isinstance(value, dict):
        return value.get(key)
    if isinstance(value, Part):
        # Only what a job file can state: a method of the model is no key of it.
        for field, info in type(value).model_fields.items():
            if key == (info.alias or field):
                why = value.why_not(field) if isinstance(value, WithNone) else None
                return getattr(value, field) if why is None else RuledOut(why)
    return None


def after_months(day: date, months: int) -> date:
    """The same day so many months later, or the last day of a month that has no such day.

    >>> after_months(date(2027, 8, 31), 6), after_months(date(2024, 2, 29), 120)
    (datetime.date(2028, 2, 29), datetime.date(2034, 2, 28))
    """
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def in_time(job: Job, day: date | None, months: int, key: str, what: str) -> Found:
    """Whether something dated lies before the work and lasts to its last day."""
    if day is None:
        return Found(Answer.NOT_DEMONSTRATED, say("{what} is not stated", what=what), (), (key,))
    if day > job.job.valid.start:
        return Found(
            Answer.NOT_MET, say("{what} on {day} comes after the work starts", what=what, day=day)
        )
    due = after_months(day, months)
    text = say(
        "{what} on {day} lasts to {due}; the job ends {end}",
        what=what,
        day=day,
        due=due,
        end=job.job.valid.end,
    )
    return Found(Answer.MET if job.job.valid.end <= due else Answer.NOT_MET, text)


def imperial(value: Quantity) -> bool:
    """Whether a quantity was written in feet, inches or pounds."""
    unit = re.sub(r"[0-9.,+\-/\s]|\bto\b", "", value.written)
    return unit in IMPERIAL


def within(value: Quantity, most: float, unit: str, printed: float) -> bool:
    """Whether the high end keeps to a limit, in the family of units it was written in.

    `most` is in `unit`, `printed` the metric number of the clause, in SI; the stricter counts for
    what was written in metric.

    >>> from riskdoc.job.nodes import Written
    >>> from riskdoc.quantities.quantity import Kind
    >>> from riskdoc.job.quantity_text import quantity
    >>> [within(quantity(Written(w), Kind.LENGTH), 300, "ft", 91) for w in ("300 ft", "91.44 m")]
    [True, False]
    """
    exactly = to_si(most, unit)
    if imperial(value):
        return value.high <= exactly * (1 + TINY)
    return value.high <= min(exactly, printed) * (1 + TINY)


def strong(value: Quantity | None, least: float, unit: str, printed: float, what: str) -> Found:
    """Whether the low end reaches a strength that a clause prints in two units.

    Between its two metric readings it is not demonstrated; a strength that is not stated neither.
    """
    if value is None:
        return Found(
            Answer.NOT_DEMONSTRATED, say("the strength of {what} is not stated", what=what)
        )
    exactly = to_si(least, unit)
    text = say(
        "{what} holds {value}, {least:g} {unit} are asked",
        what=what,
        value=value.written,
        least=least,
        unit=unit,
    )
    if value.low >= exactly * (1 - TINY):
        return Found(Answer.MET, text)
    if not imperial(value) and value.low >= printed * (1 - TINY):
        return Found(
            Answer.NOT_DEMONSTRATED,
            say("{text}: it lies between the two figures of the clause", text=text),
        )
    return Found(Answer.NOT_MET, text)


def legs_hold(ask: Ask, anchor: str, force: float) -> Verdict:
    """Whether the legs of an anchor hold a force [N] by their shares of it."""
    part = ask.job.anchors[anchor]
    if any(leg.strength is None or leg.evidence == "unknown" for leg in part.legs):
        return Verdict.NOT_DEMONSTRATED
    try:
        shares = forces_for_one(ask.plan.file, anchor, exact(force), _ways(ask, anchor))
    except Missing:
        return Verdict.NOT_DEMONSTRATED
    verdicts = [Verdict.ADEQUATE]
    for leg, share in zip(part.legs, shares, strict=True):
        if leg.strength is None:
            continue
        if leg.strength.low >= share.range.high * (1 - TINY):
            continue
        held = leg.strength.expected >= share.range.expected * (1 - TINY)
        verdicts.append(Verdict.BORDERLINE if held else Verdict.INADEQUATE)
    return max(verdicts, key=lambda verdict: verdict.rank)


def _ways(ask: Ask, anchor: str) -> Iterator[Pulled]:
    """The ways that lines and redirects pull on an anchor."""
    for line in ask.lines:
        if line.line.anchor == anchor:
            yield line
        if any(redirect.anchor == anchor for redirect in line.line.redirects):
            yield Way.ANY


def attached(ask: Ask, anchor: str, lines: Iterable[RigLine]) -> int:
    """The most people attached to an anchor at once: its loads, or a rescue with more."""
    ends = [
        line
        for line in lines
        if anchor in (line.line.anchor, *(r.anchor for r in line.line.redirects))
    ]
    loads = {line.line.load: line.load.people for line in ends}
    for line in ends:
        if line.line.rescue is not None:
            two = ask.job.loads[line.line.rescue.load].people
            loads[line.line.load] = max(loads[line.line.load], two)
    return sum(loads.values())


Judge = Callable[[Ask], Found]
