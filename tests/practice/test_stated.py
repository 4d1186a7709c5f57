"""Met, as stated, only where the value was looked at: what a job says can speak against it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
import yaml
from support.plan import BASE, assessed, merged

from riskdoc.job.reading import read
from riskdoc.judgement.assess import assess
from riskdoc.judgement.judge import rule
from riskdoc.judgement.verdicts import Assessment, Verdict
from riskdoc.requirements.dossier import brief_dossier
from riskdoc.requirements.items import Answer
from riskdoc.requirements.judging import judged
from riskdoc.requirements.sets import SetError, own_set

WIND = {"stop_at": "9 m/s", "measured_as": "mean", "height": "30 m", "source": "site rule"}
HELP = {"rescue": {"first_aid": "B. Second", "hospital": "district hospital",
                   "rendezvous": "the gate", "steps": ["call", "lower"]}}  # fmt: skip
PLACE = {"sites": {"wall": {"near": []}}, "work": {"tools": [], "isolations": []}}
GB = {"job": {"requirements": "gb-work-at-height"}, "work": {"method": "rope access"}}


def answer(item: str, *changes: dict[str, Any], plan: Assessment | None = None) -> str:
    found = judged(plan or assessed(*changes), (), None)
    return next(each.answer.value for each in found.answers if each.item.id == item)


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({}, "met, as stated"),
        ({"rescue": {"phone_signal": "none"}}, "not met"),
        ({"rescue": {"phone_signal": "none", "call": "radio to the gate"}}, "met, as stated"),
        ({"rescue": {"phone_signal": None}}, "not demonstrated"),
        ({"rescue": {"hospital": "none"}}, "not demonstrated"),
        ({"rescue": {"first_aid": "TBC"}}, "not demonstrated"),
        ({"rescue": {"rendezvous": "not known."}}, "not demonstrated"),
        ({"rescue": {"rendezvous": "keiner"}}, "not demonstrated"),
    ],
)
def test_no_signal_and_no_hospital_are_no_help(change, expected):
    assert answer("rescue_help", HELP, change) == expected


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({}, "met, as stated"),
        ({"rescue": {"phone_signal": "none"}}, "not met"),  # MHSWR 1999 reg. 9: contacts
        ({"rescue": {"by": "emergency services"}}, "not met"),
        ({"rescue": {"steps": ["tbd"]}}, "not demonstrated"),
    ],
)
def test_serious_danger_asks_for_a_way_to_call(change, expected):
    assert answer("serious_danger", GB, HELP, change) == expected


def blown(verdict: Verdict | None, *changes: dict[str, Any]) -> Assessment:
    """A plan with the check of the wind at its site as it would come out."""
    plan = assessed(*changes)
    if verdict is None:
        return plan
    check = rule("site/wall/wind", "site/wall", "Wind", verdict, "because", "", "")
    others = tuple(each for each in plan.checks if each.id != check.id)
    return replace(plan, checks=(*others, check))


@pytest.mark.parametrize(
    ("verdict", "wind", "expected"),
    [
        (Verdict.ADEQUATE, WIND, "met, as stated"),
        (Verdict.ADEQUATE, {"none": "inside the tower"}, "met, as stated"),
        (Verdict.INADEQUATE, WIND, "not met"),
        (Verdict.BORDERLINE, WIND, "not demonstrated"),
        (Verdict.NOT_DEMONSTRATED, WIND, "not demonstrated"),
        (Verdict.NOT_DEMONSTRATED, None, "not demonstrated"),
    ],
)
@pytest.mark.parametrize(("set", "item"), [({}, "wind_limit"), (GB, "weather")])
def test_a_wind_that_fails_its_check_does_not_meet_the_weather(verdict, wind, expected, set, item):
    hours = {name: {"hours": "1 h"} for name in ("working", "safety")}
    windy = {"sites": {"wall": {"wind": wind}}, "lines": hours}
    assert answer(item, plan=blown(verdict, set, windy)) == expected


@pytest.mark.parametrize(
    ("verdict", "expected"),
    [
        (Verdict.ADEQUATE, "to be answered"),
        (Verdict.INADEQUATE, "not met"),
        (Verdict.NOT_DEMONSTRATED, "not demonstrated"),
    ],
)
def test_a_question_of_the_weather_waits_for_the_check_of_the_wind(verdict, expected):
    """29 CFR 1910.27(b)(2)(xi)."""
    us = {"job": {"requirements": "us-rope-descent"}, "work": {"method": "rope descent"}}
    assert answer("weather", plan=blown(verdict, us)) == expected


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"job": {"permits": ["PTW-0231"]}}, "met, as stated"),
        ({"job": {"permits": ["PTW-0231", "applied for"]}}, "not demonstrated"),
        ({"job": {"permits": ["none"]}}, "not demonstrated"),
        ({"job": {"permits": None}}, "not demonstrated"),
        ({"job": {"permits": {"none": "the crew's own yard"}}}, "met, as stated"),
        ({"job": {"permits": {"none": "the crew's own yard"}},
          "sites": {"wall": {"near": ["confined space"]}}}, "not demonstrated"),
        ({"job": {"permits": {"none": "the crew's own yard"}},
          "work": {"tools": ["flame or welding"]}}, "not demonstrated"),
        # What is not said of the place cannot bear out that nothing there asks for a permit.
        ({"job": {"permits": {"none": "the crew's own yard"}},
          "sites": {"wall": {"near": None}}}, "not demonstrated"),
        ({"job": {"permits": ["P-1"]}, "work": {"isolations": None}}, "not demonstrated"),
        ({"job": {"permits": ["P-1"]}, "sites": {"wall": {"near": ["live parts"]}}},
         "not demonstrated"),
        ({"job": {"permits": ["P-1"]}, "sites": {"wall": {"near": ["live parts"]}},
          "work": {"isolations": [{"what": "busbar"}]}}, "not demonstrated"),
        ({"job": {"permits": ["P-1"]}, "sites": {"wall": {"near": ["live parts"]}},
          "work": {"isolations": [{"what": "busbar", "number": "ISO-7", "proved": "by A. Lead"}]}},
         "met, as stated"),
    ],
)  # fmt: skip
def test_permits_are_numbers_and_none_must_not_contradict_the_place(change, expected):
    assert answer("permits", PLACE, change) == expected


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        ("2027-05-20", "met"),
        ("2026-06-02", "met"),  # twelve calendar months end on the last day
        ("2026-06-01", "not met"),
        ("2009-04-01", "not met"),  # a drill of long ago is no drill of this plan
        (None, "not demonstrated"),
    ],
)
def test_a_drill_is_of_the_last_twelve_months(day, expected):
    assert answer("rescue_drilled", {"rescue": {"drilled": day}}) == expected


@pytest.mark.parametrize("item", ["avoided", "personal_justified"])
def test_a_reason_in_words_is_for_a_person(item):
    """WAHR 2005 reg. 6(2), Sch. 5 Part 1 para. 1(a): no program can tell a good reason."""

    def why(text: str | None) -> str:
        return answer(item, GB, {"work": {"why_rope": text}})

    assert why("a lift cannot cross the causeway") == "to be answered"
    assert why("cheaper") == "to be answered"
    assert why("none") == "not demonstrated"
    assert why(None) == "not demonstrated"


@pytest.mark.parametrize(
    ("time", "why", "expected"),
    [
        ("10 min", None, "met"),
        ("12 min", None, "not met"),
        ("12 min", "the gondola is slow", "not demonstrated"),  # borderline: who accepts it?
        (None, None, "not demonstrated"),
    ],
)
def test_more_than_ten_minutes_are_for_a_person_to_accept(time, why, expected):
    plan = {"rescue": {"time_to_contact": "5 min", "time_to_ground": time, "why_longer": why}}
    assert answer("rescue_time", plan) == expected
    assert answer("rescue_time", plan, {"rescue": {"time_to_contact": None}}) == (
        expected if expected == "not met" else "not demonstrated"
    )


def test_supervision_cannot_be_answered_over_open_checks():
    """WAHR 2005 reg. 4(1)."""
    open_one = {"lines": {"safety": {"anchor": "one"}}}
    nobody = {"people": {id: {"supervises": "false"} for id in BASE["people"]}}

    assert answer("planned_supervised", GB) == "to be answered"
    assert answer("planned_supervised", GB, open_one) == "not demonstrated"
    assert answer("planned_supervised", GB, nobody) == "not met"


OWN = """
title: House rules
edition: "2027"
about: What the crew asks.
scope: all jobs
items:
  hospital:
    {clause: rule 1, asks: Hospital is stated., test: declared, applies: jobs, how: key,
     provenance: judgement, states: [rescue.hospital]}
"""


def own(tmp_path: Any, text: str, *changes: dict[str, Any]) -> Any:
    (tmp_path / "rules.yaml").write_text(text)
    whole = merged(BASE, {"job": {"requirements": "rules.yaml"}})
    for change in changes:
        whole = merged(whole, change)
    (tmp_path / "job.yaml").write_text(yaml.safe_dump(whole, default_style='"', sort_keys=False))
    file = read(tmp_path / "job.yaml", date(2027, 6, 1)).file
    assert file is not None
    return file


def test_a_set_that_does_not_reach_the_work_lets_no_job_pass(tmp_path):
    text = OWN.replace("scope: all jobs\n", "scope: trees\nmethods: [tree work]\n")
    stated = {"rescue": {"hospital": "district hospital"}}
    trees = brief_dossier(own(tmp_path, text, stated, {"work": {"method": "tree work"}}))
    access = brief_dossier(own(tmp_path, text, stated, {"work": {"method": "rope access"}}))
    silent = brief_dossier(own(tmp_path, text, stated, {"work": {"method": None}}))

    def of(found: Any) -> dict[str, str]:
        return {each.item.id: each.answer.value for each in found.judged.answers}

    assert of(trees) == {"scope": "met", "hospital": "met, as stated"}
    assert of(access) == {"scope": "not demonstrated", "hospital": "not applicable"}
    assert of(silent) == {"scope": "not demonstrated", "hospital": "not demonstrated"}
    assert trees.outcome.verdict is Verdict.ADEQUATE
    assert access.outcome.verdict is Verdict.NOT_DEMONSTRATED
    assert "name one that does" in access.judged.stops[0].reason


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("scope: all jobs", "scope: s\nmethods: [trees]", "methods holds 'trees'"),
        ("scope: all jobs", "scope: s\nsigners: two", "signers is 'two'"),
        ("states: [", "stated: met, states: [", "stated is 'met'"),
        ("hospital:\n", "scope:\n", "that of the item which methods makes"),
        ("states: [", "none: to be answered, states: [", "shows nothing"),
    ],
)
def test_what_a_set_cannot_say(tmp_path, old, new, told):
    path = tmp_path / "rules.yaml"
    path.write_text(OWN.replace(old, new, 1))
    with pytest.raises(SetError) as refused:
        own_set(path.parent, path.name)
    assert told in str(refused.value)


def test_words_of_a_set_of_the_users_own_can_be_left_to_people(tmp_path):
    text = OWN.replace("states: [", "stated: to be answered, states: [")
    stated = own(tmp_path, text, {"rescue": {"hospital": "district hospital"}})

    found = judged(assess(stated), (), tmp_path)
    assert found.answers[0].answer is Answer.TO_BE_ANSWERED
    assert found.sentence.endswith("1 wait for a person's answer.")
