"""Everyday plans with the verdict of a careful supervisor, who wrote it before any tool was run.

`supervisor/plain.yaml` is a whole job; each plan of the other files there is a change to it:

    id:
      scenario: what is done
      verdict: adequate | borderline | not demonstrated | inadequate | fault; a list: any is right
      why: the supervisor's reason
      point: the point of the issue it belongs to
      change: {job keys, laid over plain as `support.plan.merged` does; null takes a key away}
      check: pattern of the ids of the checks one of which must carry the verdict (if clear)
      item: pattern of the ids of items of the requirement set that count as well (if on items)
      code: code of the fault (of a fault)
      disagrees: what the tool says and why it looks wrong

The verdicts are the supervisor's. Where the tool disagrees the plan says so, and the test fails as
soon as the tool no longer does.
"""

from __future__ import annotations

import datetime
from fnmatch import fnmatchcase
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from support.plan import merged

from riskdoc.job.reading import JobFile, Reading, read_text
from riskdoc.judgement.verdicts import Verdict
from riskdoc.requirements.dossier import brief_dossier
from riskdoc.requirements.items import Answer
from riskdoc.requirements.outcome import open_items

FOLDER = Path(__file__).parent / "supervisor"
DAY = datetime.date(2027, 5, 10)
MUST = {"scenario", "verdict", "why", "point", "change"}
MAY = {"check", "item", "code", "disagrees"}
FAULT = "fault"
OF_ITEM = {
    Answer.NOT_MET: Verdict.INADEQUATE,
    Answer.NOT_DEMONSTRATED: Verdict.NOT_DEMONSTRATED,
    Answer.TO_BE_ANSWERED: Verdict.NOT_DEMONSTRATED,
}
"""What an open item is as a verdict; every other answer speaks for the plan."""


@cache
def loaded(name: str) -> dict[str, Any]:
    read: dict[str, Any] = yaml.safe_load((FOLDER / name).read_text(encoding="utf-8"))
    return read


@cache
def plans() -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {}
    for path in sorted(FOLDER.glob("*.yaml")):
        for id, plan in loaded(path.name).items():
            if path.name == "plain.yaml":
                continue
            assert id not in found, f"two plans are called {id}"
            found[id] = plan
    return found


def read_with(change: dict[str, Any]) -> Reading:
    whole = merged(loaded("plain.yaml")["plain"], change)
    return read_text(yaml.safe_dump(whole, sort_keys=False), "plan.yaml", DAY)


def job_with(change: dict[str, Any]) -> JobFile:
    reading = read_with(change)
    assert not reading.faults, "\n".join(map(str, reading.faults))
    assert reading.file is not None
    return reading.file


def of_plan(file: JobFile, items: str | None) -> dict[str, Verdict]:
    """Every check by id with its verdict; of items only those asked for, as `item/…`."""
    brief = brief_dossier(file)
    found = {check.id: check.verdict for check in brief.plan.checks}
    if items is not None:
        asked = [each for each in brief.judged.answers if fnmatchcase(each.item.id, items)]
        assert asked, f"no item {items}"
        found |= {f"item/{e.item.id}": OF_ITEM.get(e.answer, Verdict.ADEQUATE) for e in asked}
    return found


def words(plan: dict[str, Any]) -> list[str]:
    """The verdicts that are right, as a list."""
    verdict = plan["verdict"]
    return verdict if isinstance(verdict, list) else [verdict]


def differs(plan: dict[str, Any]) -> str:
    """What the tool says otherwise than the supervisor; empty where they agree."""
    if words(plan) == [FAULT]:
        codes = [fault.code for fault in read_with(plan["change"]).faults]
        return "" if plan["code"] in codes else f"faults {codes}, not {plan['code']}"
    found = of_plan(job_with(plan["change"]), plan.get("item"))
    strictest = max(found.values(), key=lambda verdict: verdict.rank)
    against = "; ".join(f"{verdict} {id}" for id, verdict in found.items() if verdict.rank)
    if strictest not in words(plan):
        return f"{strictest}, not {plan['verdict']}: {against}"
    if (pattern := plan.get("check")) is None:
        return ""
    carrying = [id for id in found if fnmatchcase(id, pattern)]
    if any(found[id] == strictest for id in carrying):
        return ""
    return f"{strictest}, but not by {pattern} ({carrying}): {against}"


def params() -> list[Any]:
    return [
        pytest.param(
            plan,
            id=id,
            marks=[pytest.mark.xfail(strict=True, reason=plan["disagrees"], raises=AssertionError)]
            if "disagrees" in plan
            else [],
        )
        for id, plan in plans().items()
    ]


@pytest.mark.parametrize("plan", params())
def test_the_verdict_is_the_supervisors(plan: dict[str, Any]) -> None:
    found = differs(plan)
    assert not found, f"{found}\n{plan['scenario']}\n{plan['why']}"


@pytest.mark.parametrize(("id", "plan"), plans().items(), ids=plans().keys())
def test_a_plan_states_what_it_must(id: str, plan: dict[str, Any]) -> None:
    assert set(plan) >= MUST, f"{id} lacks {sorted(MUST - set(plan))}"
    assert set(plan) <= MUST | MAY, f"{id} has {sorted(set(plan) - MUST - MAY)}"
    assert set(words(plan)) <= {FAULT, *map(str, Verdict)}
    if words(plan) == [FAULT]:
        assert "code" in plan, "the fault it must be refused with"
    elif not plan.get("disagrees", "").startswith("refused"):
        assert not read_with(plan["change"]).faults, "only a fault may be refused"


def test_the_plain_plan_is_adequate() -> None:
    found = of_plan(job_with({}), None)
    assert {id: verdict for id, verdict in found.items() if verdict.rank} == {}


ADEQUATE = {
    id: plan
    for id, plan in plans().items()
    if words(plan) == [str(Verdict.ADEQUATE)] and "disagrees" not in plan
} | {"plain": {"change": {}}}


@pytest.mark.parametrize("plan", ADEQUATE.values(), ids=ADEQUATE.keys())
def test_no_item_stops_an_adequate_plan(plan: dict[str, Any]) -> None:
    """What is signed is the outcome: of the checks and of the items of the set together."""
    brief = brief_dossier(job_with(plan["change"]))
    stopping = [f"{each.item.id}: {each.reason}" for each in open_items(brief.judged)]
    assert brief.outcome.verdict is Verdict.ADEQUATE, stopping
