"""Judges a plan by the requirement set it names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from riskdoc.conditions.condition import holds
from riskdoc.conditions.filled_text import put
from riskdoc.conditions.parts import whole
from riskdoc.i18n.say import say
from riskdoc.job.files_beside import Beside
from riskdoc.job.model import SETS
from riskdoc.judgement.verdicts import Assessment
from riskdoc.requirements.ask import Ask, by_data, together
from riskdoc.requirements.deciding import by_cases, decided, found_by
from riskdoc.requirements.items import SCOPE, Answer, Answered, Found, Item, Judged, RequirementSet
from riskdoc.requirements.judges import Decided, OfSet
from riskdoc.requirements.sets import SetError, own_set, requirement_set
from riskdoc.tables.loader import noted


def judged(plan: Assessment, hazards: Sequence[Any], beside: Beside | None) -> Judged:
    """A plan by its set. `hazards` have title, how, who and controls; `beside` is the job's folder.

    Raises `SetError` where a set of the user's own cannot be used.
    """
    with noted() as rows:
        return replace(_judged(plan, hazards, beside), rows=rows)


def _judged(plan: Assessment, hazards: Sequence[Any], beside: Beside | None) -> Judged:
    name = plan.file.job.job.requirements
    used = requirement_set(name) if name in SETS else _own(name, beside)
    items = {item.id: item for item in used.items}
    found: dict[str, Found] = {}

    def answer(id: str) -> Found:
        """What an item is answered, worked out once; other items may rest on it."""
        if id not in found:
            found[id] = _found(ask, used, items[id])
        return found[id]

    of_set = used.whole or OfSet()
    ask = Ask(
        plan,
        hazards,
        own=used.own,
        answers=lambda item: answer(item).answer.value,
        accepts=of_set.acceptances == "count",
        found=answer,
    )
    reach = _reach(ask, used)
    answers = tuple(_answered(ask, used, item, reach) for item in used.items)
    applicable = reach is None or reach.answer is not Answer.NOT_APPLICABLE
    sentence = _sentence(used, answers, applicable)
    if applicable:
        sentence = " ".join(filter(None, (sentence, _remark(ask, of_set))))
    return Judged(used, applicable, sentence, answers)


def _remark(ask: Ask, used: OfSet) -> str:
    """What a set adds to its summary."""
    it, job = used.remark, whole(ask)
    return put(ask, it.say, job, it.with_) if it and holds(ask, it.when, job) else ""


def _own(name: str, beside: Beside | None) -> RequirementSet:
    if beside is None:
        raise SetError(
            f"{name} is looked for beside the job file, and this job stands in no folder"
        )
    return own_set(beside, name)


def _reach(ask: Ask, used: RequirementSet) -> Found | None:
    """What the scope of a set says of a job before its items: None where it reaches it."""
    if not used.methods or ask.method in used.methods:
        return None
    if ask.method is None:
        said = say("work.method is not stated, so it is not known whether the set is for this work")
        return Found(Answer.NOT_DEMONSTRATED, said, (), ("work.method",))
    said = say(
        "the work is {method}; the set is for: {methods}",
        method=say(ask.method),
        methods=", ".join(map(say, used.methods)),
    )
    return Found(Answer.NOT_APPLICABLE, said)


def _answered(ask: Ask, used: RequirementSet, item: Item, reach: Found | None) -> Answered:
    if item.id == SCOPE and used.methods:
        found = _scope(ask, reach)
    else:
        found = reach if reach is not None else _found(ask, used, item)
    return Answered(item, found.answer, found.reason, found.checks, found.missing, found.borderline)


def _scope(ask: Ask, reach: Found | None) -> Found:
    """A job cannot pass by a set that does not reach its work: it names one that does."""
    if reach is None:
        return Found(Answer.MET, say("the work is {method}", method=say(ask.method or "")))
    if reach.answer is not Answer.NOT_APPLICABLE:
        return reach
    said = say("this set does not cover the work: {reason}; name one that does",
               reason=reach.reason)  # fmt: skip
    return Found(Answer.NOT_DEMONSTRATED, said, (), ("job.requirements",))


def _found(ask: Ask, used: RequirementSet, item: Item) -> Found:
    by, gates = item.by or Decided(), (used.whole or OfSet()).gates
    for name in by.gate:
        stopped = by_cases(ask, gates[name], whole(ask))
        if stopped is not None:
            return stopped
    if item.test == "asked":
        return _asked(ask, by)
    found = decided(ask, by.decided, by.nothing) if by.decided else by_data(ask, item)
    if by.then_ask and found.answer is Answer.MET:
        return Found(Answer.TO_BE_ANSWERED, put(ask, by.then_ask, whole(ask), {}), found.checks)
    return found


def _asked(ask: Ask, by: Decided) -> Found:
    """To be answered by a person; what it rests on can say no before, none can say yes."""
    found = together(found_by(ask, by.rests_on))
    if found.answer in (Answer.NOT_MET, Answer.NOT_DEMONSTRATED):
        return found
    return Found(Answer.TO_BE_ANSWERED, say("a person has to answer"))


def _sentence(used: RequirementSet, answers: tuple[Answered, ...], applicable: bool) -> str:
    if not applicable:
        return say(
            "Requirement set {used}: not applicable to this job. {reason}.",
            used=used.id,
            reason=next(each.reason for each in answers if each.answer is Answer.NOT_APPLICABLE),
        )
    order = (Answer.MET, Answer.AS_STATED, Answer.BY_ACCEPTANCE, Answer.NOT_MET,
             Answer.NOT_DEMONSTRATED, Answer.NOT_APPLICABLE)  # fmt: skip
    said = [
        f"{count} {say(answer.value)}"
        for answer in order
        if (count := sum(each.answer is answer for each in answers))
    ]
    name = used.id
    if "partial" in used.coverage:
        name = f"{used.id} ({used.said(used.coverage)})"
    parts = {"used": name, "said": ", ".join(said) or say("nothing is decided")}
    waiting = sum(each.answer is Answer.TO_BE_ANSWERED for each in answers)
    if not waiting:
        return say("Requirement set {used}: {said}.", **parts)
    return say(
        "Requirement set {used}: {said}; {count} wait for a person's answer.",
        **parts,
        count=waiting,
    )
