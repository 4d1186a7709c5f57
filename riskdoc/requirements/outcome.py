"""The verdict on a plan: one word, from its checks and the items of its requirement set together.

Everything that says how a plan comes out reads this: the status of a document, what is signed, the
exit code. The strictest of all checks and items wins.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from riskdoc.i18n.say import many, mark, say
from riskdoc.judgement.verdicts import Verdict
from riskdoc.requirements.items import Answer

if TYPE_CHECKING:
    from riskdoc.judgement.verdicts import Assessment
    from riskdoc.requirements.items import Answered, Judged


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a plan comes out, and what was counted for it.

    `unmet` has the checks that are not met by their verdict, `accepted` counts the borderline ones
    that a named person accepts: those are met. `items` counts the items that apply and are decided
    by the plan, `open` has those of them that are not met or not demonstrated by what they make of
    the verdict. `questions` are left to a person, so they make the verdict neither better nor
    worse and are always named beside it.
    """

    verdict: Verdict
    checks: int
    unmet: Mapping[Verdict, int]
    accepted: int
    items: int
    open: Mapping[Verdict, int]
    questions: int


def outcome_of(plan: Assessment, judged: Judged) -> Outcome:
    """The outcome of a plan and its requirement set."""
    unmet = [each.verdict for each in plan.checks if not each.stands]
    decided = [each for each in judged.answers if not waits(each)]
    applying = [each for each in decided if each.answer is not Answer.NOT_APPLICABLE]
    words = [word for each in applying if (word := word_of(each)) is not Verdict.ADEQUATE]
    return Outcome(
        verdict=max([*unmet, *words], key=lambda word: word.rank, default=Verdict.ADEQUATE),
        checks=len(plan.checks),
        unmet=_counted(unmet),
        accepted=sum(each.accepted is not None for each in plan.checks),
        items=len(applying),
        open=_counted(words),
        questions=len(judged.answers) - len(decided),
    )


def word_of(answered: Answered) -> Verdict:
    """What an item makes of the verdict. A borderline check makes its item no worse than itself."""
    if answered.answer is Answer.NOT_MET:
        return Verdict.INADEQUATE
    if answered.answer is Answer.NOT_DEMONSTRATED:
        return Verdict.BORDERLINE if answered.borderline else Verdict.NOT_DEMONSTRATED
    return Verdict.ADEQUATE


def waits(answered: Answered) -> bool:
    """Whether an item waits for a person's answer, which no plan can give."""
    return answered.answer is Answer.TO_BE_ANSWERED


def open_items(judged: Judged) -> tuple[Answered, ...]:
    """The items that keep a verdict from being adequate, the worst first."""
    found = [each for each in judged.answers if not waits(each)]
    words = {each.item.id: word_of(each) for each in found}
    worst = sorted(found, key=lambda each: -words[each.item.id].rank)
    return tuple(each for each in worst if words[each.item.id] is not Verdict.ADEQUATE)


COUNTS: Mapping[Verdict, str] = {
    Verdict.INADEQUATE: mark("{count} not met"),
    Verdict.NOT_DEMONSTRATED: mark("{count} not demonstrated"),
    Verdict.BORDERLINE: mark("{count} borderline"),
}
"""How many checks, or items, come out so."""


def checks_words(it: Outcome) -> str:
    """How the checks come out, in a phrase."""
    if it.unmet:
        return say("of {count} checks, {counts}", count=it.checks, counts=_counts(it.unmet))
    if it.accepted:
        return say(
            "all {count} checks met, {accepted} of them borderline and accepted",
            count=it.checks,
            accepted=it.accepted,
        )
    return say("all {count} checks met", count=it.checks)


def items_words(it: Outcome) -> str:
    """How the items of the set come out, in a phrase; questions for a person are not among them."""
    if not it.items:
        return say("no requirement item applies")
    if it.open:
        return say(
            "of {count} requirement items, {counts}", count=it.items, counts=_counts(it.open)
        )
    return say("all {count} requirement items met", count=it.items)


def question_words(it: Outcome) -> Iterator[str]:
    """How many questions only a person can answer, where there are any."""
    if it.questions:
        yield many(
            "{count} question is left to a person",
            "{count} questions are left to a person",
            it.questions,
        )


def _counts(counted: Mapping[Verdict, int]) -> str:
    return ", ".join(say(COUNTS[word], count=count) for word, count in counted.items())


def _counted(words: Sequence[Verdict]) -> dict[Verdict, int]:
    """How often each word occurs, the worst first."""
    return {each: count for each in reversed(Verdict) if (count := words.count(each))}
