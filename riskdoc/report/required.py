"""Section 9: the requirement set, item by item, with room for what only a person can answer."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.report.blocks import Block, Cell, Heading, Items, Para, Section
from riskdoc.report.tables import columns, table
from riskdoc.requirements.items import Answer

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.report.facts import Facts
    from riskdoc.requirements.items import Answered, RequirementSet


def requirements(facts: Facts) -> Section:
    """Section 9."""
    judged = facts.dossier.judged
    used = judged.set
    blocks: list[Block] = [
        Para(f"{used.said(used.title)}. {used.said(used.edition)}."),
        Para(used.said(used.about)),
        Para(
            say(
                "{sentence} Met means that this plan shows the point, not that a law is kept.",
                sentence=judged.sentence,
            )
        ),
        *_scope(used),
    ]
    asked = [each for each in judged.answers if _waits(each)]
    decided = [each for each in judged.answers if not _waits(each)]
    if decided:
        blocks.append(_decided(used, decided))
    if asked:
        blocks.append(_asked(used, asked))
    return Section("requirements", "9", say("Requirement set"), tuple(blocks))


def _waits(each: Answered) -> bool:
    """Whether a person has to answer, though checks may have said no before."""
    return each.item.test == "asked" or each.answer is Answer.TO_BE_ANSWERED


def _scope(used: RequirementSet) -> Iterator[Block]:
    yield Para(say("Scope: {scope}", scope=used.said(used.scope)))
    if used.excludes:
        yield Heading(say("It does not cover"))
        yield Items(tuple(map(used.said, used.excludes)), "tight")
    if used.left_out:
        yield Heading(say("Left out of it here"))
        yield Items(tuple(map(used.said, used.left_out)), "tight")


def _decided(used: RequirementSet, answers: Sequence[Answered]) -> Block:
    return table(
        say("Items decided from the job file and the checks"),
        columns("What is asked | 34", "Clause | 17", "Answer | 15", "Because | 34"),
        [
            (
                Cell(used.said(each.item.asks), _small(used, each)),
                Cell(used.said(each.item.clause)),
                _answer(each),
                Cell(each.reason, _missing(each)),
            )
            for each in answers
        ],
        css="wide dense",
    )


def _asked(used: RequirementSet, answers: Sequence[Answered]) -> Block:
    return table(
        say("Items that only a person can answer"),
        columns("Question | 35", "Clause | 16", "Now | 15", "Answer, name and day | 34"),
        [
            (
                Cell(used.said(each.item.asks), _small(used, each)),
                Cell(used.said(each.item.clause)),
                _answer(each),
                Cell(_words(each)),
            )
            for each in answers
        ],
        css="wide dense answers",
    )


def _words(each: Answered) -> str:
    """What the job says of a question, or the checks that speak against it; room is left below."""
    if each.answer is Answer.TO_BE_ANSWERED:
        return each.reason if each.item.test != "asked" else ""
    return each.reason if not each.answer.stands else ""


def _answer(each: Answered) -> Cell:
    against = each.answer in (Answer.NOT_DEMONSTRATED, Answer.NOT_MET)
    return Cell(say(each.answer.value), css="flagged" if against else "")


def _small(used: RequirementSet, each: Answered) -> str:
    said = [used.said(part) for part in (each.item.limit, each.item.note) if part]
    if each.item.provenance != "published":
        said.append(say("clause {provenance}", provenance=say(each.item.provenance)))
    return " ".join(said)


def _missing(each: Answered) -> str:
    return say("to state: {missing}", missing=", ".join(each.missing)) if each.missing else ""
