"""What checks and dates of a plan show of an item, and how several answers become one."""

from __future__ import annotations

import calendar
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from riskdoc.conditions.condition import least, near
from riskdoc.conditions.job_values import RuledOut, says, values
from riskdoc.conditions.parts import whole
from riskdoc.conditions.plan import Asked
from riskdoc.conditions.vocabulary import Amount
from riskdoc.i18n.say import say
from riskdoc.job.model import Job
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.quantities.quantity import Quantity
from riskdoc.quantities.ranges import Range
from riskdoc.requirements.items import Answer, Found, Item


def _no_items(id: str) -> Found:
    raise LookupError(f"there is no item {id!r}")


@dataclass(frozen=True)
class Ask(Asked):
    """A plan as items ask it. `accepts`: an acceptance counts; `found` answers another item."""

    accepts: bool = True
    found: Callable[[str], Found] = _no_items

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
        checks = ask.matching(item.checks, of=item.lines)
        found.append(
            ask.worst(checks)
            if checks
            else Found(item.none, say("no such check is asked of this job"))
        )
    found += [_stated(ask, key, item.stated) for key in item.states]
    return together(found)


def not_stated(*keys: str) -> Found:
    """Keys that say nothing are not demonstrated, and are named."""
    said = say("not stated: {lacking}", lacking=", ".join(keys))
    return Found(Answer.NOT_DEMONSTRATED, said, (), keys)


def _stated(ask: Ask, key: str, answer: Answer) -> Found:
    """Whether a key of the job file is stated, in every part that the key names.

    A text that only says that there is none, or not yet, states nothing.
    """
    found = values(ask.job, whole(ask), key)
    empty = [name for name, value in found if not says(value)]
    if not found or empty:
        return not_stated(*(empty or (key,)))
    texts = list(dict.fromkeys(text for _, value in found if (text := _text(value))))
    if len(texts) == 1:
        return Found(answer, say("{key} is stated: {text}", key=key, text=texts[0]))
    return Found(answer, say("{key} is stated", key=key))


def _text(value: object) -> str:
    """A stated value as it is printed in a reason; empty where it has parts of its own."""
    if isinstance(value, RuledOut):
        return say("does not apply, {why}", why=str(value))
    return value if isinstance(value, str) else ""


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


def strong(value: Quantity | None, bound: Amount, times: int, what: str) -> Found:
    """Whether the low end reaches a strength that a clause prints in two units.

    Between its two metric readings it is not demonstrated; a strength that is not stated neither.
    """
    if value is None:
        return Found(
            Answer.NOT_DEMONSTRATED, say("the strength of {what} is not stated", what=what)
        )
    number, unit = bound.figures[0]
    text = say(
        "{what} holds {value}, {least:g} {unit} are asked",
        what=what,
        value=value.written,
        least=number * times,
        unit=unit,
    )
    if least(value, bound, times):
        return Found(Answer.MET, text)
    if near(value, bound, times):
        return Found(
            Answer.NOT_DEMONSTRATED,
            say("{text}: it lies between the two figures of the clause", text=text),
        )
    return Found(Answer.NOT_MET, text)


def at_most(demand: Range, limit: float, said: str, between: Answer) -> Found:
    """A computed range against a limit: met at its high end, not met at its expected value."""
    if demand.high <= limit:
        return Found(Answer.MET, said)
    return Found(between if demand.expected <= limit else Answer.NOT_MET, said)
