"""Judges a plan by the requirement set it names."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from riskdoc.assess.records import Assessment, Verdict
from riskdoc.job.beside import Beside
from riskdoc.job.model import SETS
from riskdoc.language.say import say
from riskdoc.requirements import ca, gb, general, us
from riskdoc.requirements.ask import Ask, Judge, by_data
from riskdoc.requirements.records import Answer, Answered, Found, Item, Judged, RequirementSet
from riskdoc.requirements.sets import SetError, own_set, requirement_set

JUDGES: Mapping[str, Mapping[str, Judge]] = {
    "general": general.JUDGES,
    "gb-work-at-height": gb.JUDGES,
    "us-rope-descent": us.JUDGES,
    "ca-ab-rope-access": ca.JUDGES,
}
GUARDS: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "gb-work-at-height": {"equipment_inspected": ("rope/*/condition",)},
    "us-rope-descent": {
        "makers_instructions": ("line/*/device/*", "line/*/paired"),
        "trained": ("people/*/competence",),
        "inspected_each_shift": ("rope/*/condition",),
        "rigged_properly": ("anchor/*/leg/*", "anchor/*/leg_lost/*", "line/*/redirect/*"),
        "ropes_kept_from_heat_and_chemicals": ("line/*/chemical/*", "line/*/heat/*"),
    },
}
"""Checks that answer a question before anybody is asked, when they are inadequate."""
RESTS_ON: Mapping[str, Mapping[str, Judge]] = {
    "us-rope-descent": {"statement_held": us.statement_written},
}
"""Items that answer a question with no when they are not met: nobody holds what was not written."""


def judged(plan: Assessment, hazards: Sequence[Any], beside: Beside | None) -> Judged:
    """A plan by its set. `hazards` have title, how, who and controls; `beside` is the job's folder.

    Raises `SetError` where a set of the user's own cannot be used.
    """
    name = plan.file.job.job.requirements
    used = requirement_set(name) if name in SETS else _own(name, beside)
    ask = Ask(plan, hazards, accepts=name not in SETS or name == "general")
    reach = _reach(ask, name)
    answers = tuple(_answered(ask, used, item, reach) for item in used.items)
    applicable = reach is None or reach.answer is not Answer.NOT_APPLICABLE
    sentence = _sentence(used, answers, applicable)
    if applicable and name == "us-rope-descent":
        sentence = " ".join(filter(None, (sentence, _goes_up(ask))))
    return Judged(used, applicable, sentence, answers)


def _goes_up(ask: Ask) -> str:
    """Said of a descent that also goes up: then it may be rope access, stated wrongly."""
    up = [line.id for line in ask.manned if {"ascend", "raise"} & set(line.line.cases)]
    if not up or ask.method != "rope descent":
        return ""
    return say("People also go up on {up}: is rope descent the method?", up=", ".join(up))


def _own(name: str, beside: Beside | None) -> RequirementSet:
    if beside is None:
        raise SetError(
            f"{name} is looked for beside the job file, and this job stands in no folder"
        )
    return own_set(beside, name)


def _reach(ask: Ask, name: str) -> Found | None:
    """What the scope of a set says of a job before its items: None where it reaches it."""
    if name != "us-rope-descent" or ask.method == "rope descent":
        return None
    if ask.method is None:
        said = say("work.method is not stated, and lines do not tell rope descent from rope access")
        return Found(Answer.NOT_DEMONSTRATED, said, (), ("work.method",))
    said = say(
        "the work is {method}; the set is for rope descent systems (29 CFR 1910.21(b))",
        method=say(ask.method),
    )
    return Found(Answer.NOT_APPLICABLE, said)


def _answered(ask: Ask, used: RequirementSet, item: Item, reach: Found | None) -> Answered:
    found = reach if reach is not None else _found(ask, used, item)
    return Answered(item, found.answer, found.reason, found.checks, found.missing)


def _found(ask: Ask, used: RequirementSet, item: Item) -> Found:
    if item.test == "asked":
        return _asked(ask, used, item)
    judge = JUDGES.get(used.id, {}).get(item.id)
    return judge(ask) if judge is not None else by_data(ask, item)


def _asked(ask: Ask, used: RequirementSet, item: Item) -> Found:
    """Not demonstrated until a person answers; a check can say no before, none can say yes."""
    patterns = GUARDS.get(used.id, {}).get(item.id, ())
    bad = [c for c in ask.matching(*patterns) if c.verdict is Verdict.INADEQUATE]
    if bad:
        return ask.worst(bad)
    rests_on = RESTS_ON.get(used.id, {}).get(item.id)
    if rests_on is not None and (found := rests_on(ask)).answer is Answer.NOT_MET:
        return found
    return Found(Answer.NOT_DEMONSTRATED, say("a person has to answer"))


def _sentence(used: RequirementSet, answers: tuple[Answered, ...], applicable: bool) -> str:
    if not applicable:
        return say(
            "Requirement set {used}: not applicable to this job. {reason}.",
            used=used.id,
            reason=answers[0].reason,
        )
    order = (Answer.MET, Answer.AS_STATED, Answer.BY_ACCEPTANCE, Answer.NOT_MET,
             Answer.NOT_DEMONSTRATED, Answer.NOT_APPLICABLE)  # fmt: skip
    decided = [each for each in answers if each.item.test != "asked"]
    said = [
        f"{count} {say(answer.value)}"
        for answer in order
        if (count := sum(each.answer is answer for each in decided))
    ]
    asked = [each for each in answers if each.item.test == "asked"]
    name = used.id
    if "partial" in used.coverage:
        name = f"{used.id} ({used.said(used.coverage)})"
    parts = {"used": name, "said": ", ".join(said) or say("nothing is decided")}
    if not asked:
        return say("Requirement set {used}: {said}.", **parts)
    no = sum(each.answer is Answer.NOT_MET for each in asked)
    if no:
        return say(
            "Requirement set {used}: {said}; {count} wait for a person's answer, {no} more are not "
            "met.",
            **parts,
            count=len(asked) - no,
            no=no,
        )
    return say(
        "Requirement set {used}: {said}; {count} wait for a person's answer.",
        **parts,
        count=len(asked),
    )
