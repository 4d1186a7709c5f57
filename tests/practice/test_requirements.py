"""Requirement sets: their form, who judges what, acceptances, and sets of a user's own."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
import yaml
from support.demos import DAYS, JOBS
from support.plan import BASE, assessed, job_of, merged, over_edges

from riskdoc.hazards.register import register
from riskdoc.job.model import SETS
from riskdoc.job.reading import read, read_text
from riskdoc.judgement.assess import assess
from riskdoc.judgement.verdicts import Verdict
from riskdoc.requirements.dossier import brief_dossier
from riskdoc.requirements.items import SCOPE, Answer
from riskdoc.requirements.judging import judged
from riskdoc.requirements.sets import SetError, own_set, requirement_set


@pytest.mark.parametrize("name", SETS)
def test_form_of_the_sets(name):
    found = requirement_set(name)

    assert found.id == name
    assert found.scope
    assert found.about
    assert len(found.items) >= 13
    for item in found.items:
        assert item.clause
        assert item.asks.rstrip().endswith((".", "?"))
        assert item.applies
        assert item.how
        assert item.provenance


@pytest.mark.parametrize("name", SETS)
def test_every_item_is_decided_one_way_and_what_is_asked_by_a_person_alone(name):
    for item in requirement_set(name).items:
        if item.id == SCOPE:  # made from the methods of the set
            continue
        plain, judged = bool(item.checks or item.states), bool(item.by.decided)
        assert plain + judged == (item.test != "asked"), item.id
        assert item.test == "asked" or not item.by.rests_on, item.id


@pytest.mark.parametrize("name", SETS)
@pytest.mark.parametrize("demo", list(DAYS))
def test_all_sets_judge_all_demos(name, demo):
    text = (JOBS / f"{demo}.yaml").read_text("utf-8")
    for old in SETS:
        text = text.replace(f"requirements: {old}\n", f"requirements: {name}\n")
    file = read_text(text, f"{demo}.yaml", DAYS[demo], JOBS).file
    assert file is not None
    plan = assess(file)
    found = judged(plan, register(plan).hazards, None)

    assert found.set.id == name
    assert len(found.answers) == len(found.set.items)
    assert all(each.reason for each in found.answers)


BARE: dict[str, Any] = {
    "anchors": {n: {"legs": [{"evidence": "unknown"}]} for n in ("one", "two")},
    "ropes": {
        n: {"strength": None, "stretch": None, "inspected": None, "life": None}
        for n in ("main", "second")
    },
    "loads": {"worker": {"who": None, "in_turn": None, "together": None}},
    "lines": {
        "working": {"devices": None, "redirects": None, "rescue": None},
        "safety": {"fall": None, "devices": None, "redirects": None, "rescue": None},
    },
    "sites": {
        "wall": dict.fromkeys(("reach_sideways", "wet", "wind", "zone", "near", "chemicals"))
    },
    "work": dict.fromkeys(("steps", "light", "shift", "communications", "stop_work")),
    "people": {n: {"expires": None} for n in ("lead", "second", "third")},
    "rescue": dict.fromkeys(BASE["rescue"]),
}
METHOD = {"gb-work-at-height": "rope access", "us-rope-descent": "rope descent",
          "ca-ab-rope-access": "rope access", "general": "rope access"}  # fmt: skip
RESTS_ON_WHAT_IS_THERE = {
    "rope_condition", "rope_age", "rope_long_enough", "two_lines", "sharp_edge", "blade",
    "cover_holds_in_fall", "bare_edge_one_strand", "one_cause", "rope_in_pairs", "never_alone",
    "first_aider", "in_force", "height", "one_per_lifeline", "arrest_anchor_independent",
    "heavy_users", "stopper", "plan_hazards", "plan_controls", "workers_assessed", "edges_stated",
    "scope", "supervised", "people_counted", "strands_share",
}  # fmt: skip
"""Items that a job with almost nothing in it can still show: they ask for what every job has."""


@pytest.mark.parametrize("name", SETS)
def test_nothing_passes_because_it_is_missing(name):
    change = {"job": {"requirements": name}, "work": {"method": METHOD[name]}}
    plan = assessed(BARE, change)
    found = judged(plan, register(plan).hazards, None)
    passing = {
        each.item.id
        for each in found.answers
        if each.answer in (Answer.MET, Answer.AS_STATED, Answer.BY_ACCEPTANCE)
    }

    assert passing <= RESTS_ON_WHAT_IS_THERE


ROUNDED = {"site": "wall", "surface": "granite", "radius": "15 mm", "turn": "80 deg"}


def accepted(name: str) -> dict[str, Any]:
    edges = over_edges(ROUNDED)
    plan = assessed(edges)
    accepting = [
        {"check": check.id, "by": "lead", "reason": "short and looked at", "until": "2027-06-02"}
        for check in plan.failed_checks
    ]
    return merged(edges, {"job": {"requirements": name}, "work": {"method": "rope access"},
                          "signoff": {"deviations": accepting}})  # fmt: skip


def test_an_acceptance_counts_in_our_own_set_and_waives_no_regulation():
    ours, law = (assess(job_of(accepted(name))) for name in ("general", "gb-work-at-height"))
    one, other = judged(ours, (), None), judged(law, (), None)
    by_id = {each.item.id: each.answer for each in one.answers}

    assert not ours.failed_checks
    assert by_id["bare_edge_one_strand"] is Answer.BY_ACCEPTANCE
    strong = next(each for each in other.answers if each.item.id == "system_strong")
    assert strong.answer is Answer.NOT_DEMONSTRATED


def test_a_check_can_answer_a_question_with_no_and_never_with_yes():
    old = {
        "people": {"lead": {"expires": "2027-05-01"}},
        "job": {"requirements": "us-rope-descent"},
        "work": {"method": "rope descent"},
    }
    good = merged(old, {"people": {"lead": {"expires": "2029-05-01"}}})

    def trained(change: dict[str, Any]) -> Answer:
        found = judged(assessed(change), (), None)
        return next(each.answer for each in found.answers if each.item.id == "trained")

    assert trained(old) is Answer.NOT_MET
    assert trained(good) is Answer.TO_BE_ANSWERED


def test_a_summary_counts_every_item():
    found = judged(assessed(), (), None)
    decided = [each for each in found.answers if each.item.test != "asked"]
    words = [
        int(word)
        for word in found.sentence.replace(",", " ").replace(";", " ").split()
        if word.isdigit()
    ]

    assert sum(words) == len(found.answers)
    assert len(decided) < len(found.answers)


OWN = """
title: House rules of the crew
edition: "2027"
about: What the crew asks of itself.
scope: every job of the crew
items:
  tenfold:
    {clause: rule 1, asks: Ten times the weight., test: computed, applies: lines, how: check,
     provenance: judgement, checks: [line/*/margin/rated]}
  wind:
    {clause: rule 2, asks: Wind is stated., test: declared, applies: sites, how: key,
     provenance: judgement, states: [sites.*.wind]}
  sober:
    {clause: rule 3, asks: Is everybody fit?, test: asked, applies: all, how: ask,
     provenance: judgement}
"""


def test_a_set_of_the_users_own_stands_beside_the_job(tmp_path):
    (tmp_path / "rules.yaml").write_text(OWN)
    whole = merged(BASE, {"job": {"requirements": "rules.yaml"}})
    (tmp_path / "job.yaml").write_text(yaml.safe_dump(whole, default_style='"', sort_keys=False))
    file = read(tmp_path / "job.yaml", date(2027, 6, 1)).file
    assert file is not None
    found = brief_dossier(file)
    answers = {each.item.id: each.answer for each in found.judged.answers}

    assert answers == {
        "tenfold": Answer.MET, "wind": Answer.AS_STATED, "sober": Answer.TO_BE_ANSWERED
    }  # fmt: skip
    assert found.judged.set.title == "House rules of the crew"
    # "sober" is left to a person: it is no part of the verdict, and is named beside it.
    assert found.outcome.verdict is Verdict.ADEQUATE
    assert found.outcome.open == {}
    assert found.outcome.questions == 1


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("checks: [line/*/margin/rated]", "", "no 'checks'"),
        ("states: [sites.*.wind]", "", "no 'states'"),
        ("test: asked", "test: guessed", "write computed, declared or asked"),
        ("clause: rule 1, ", "", "lacks clause"),
        ("edition: \"2027\"", "editon: 2027", "unknown key 'editon'"),
        ("how: ask,", "hwo: ask,", "unknown key 'hwo'"),
        ("judgement, checks", "judgement, none: fine, checks", "one of met"),
        ("judgement, checks", "judgement, lines: dogs, checks", "people or things"),
        ("items:\n", "items: [1\n", "is not YAML"),
        ("tenfold:", "sober:", "line 13: the key 'sober' stands twice"),
        ("[line/*/margin/rated]", "line/*/margin/rated", "checks must be a list"),
        ("judgement, checks", "judgement, none: met, checks", "none is 'met'"),
        ("how: ask,", "how: ask, checks: [people/*/competence],", "would not count"),
        ("title: House", "id: general\ntitle: House", "is that of a set known here"),
        ('edition: "2027"', "edition: 2027-13-45", "month must be in 1..12"),
        ("title: House rules of the crew", "title: [House, rules]", "title must be text"),
        (OWN, "- a list\n", "holds no keys"),
        (OWN, "title: t\nedition: e\nabout: a\nscope: s\nitems: {}\n", "lacks items"),
        (OWN, "title: t\nedition: e\nabout: a\nscope: s\nitems: {a: b}\n", "holds no keys"),
    ],
)  # fmt: skip
def test_a_bad_set_is_refused_with_a_clear_word(tmp_path, old, new, told):
    path = tmp_path / "rules.yaml"
    path.write_text(OWN.replace(old, new))

    with pytest.raises(SetError, match=r"rules\.yaml") as refused:
        own_set(path.parent, path.name)
    assert told in str(refused.value)


@pytest.mark.parametrize(
    ("key", "answer"),
    [
        ("job.valid.from", Answer.AS_STATED),  # as the job file writes it
        ("people.*.expires", Answer.AS_STATED),
        ("rescue.who.*", Answer.AS_STATED),
        ("sites.*.wind", Answer.AS_STATED),  # ruled out with its reason
        ("lines.*.stabilised", Answer.NOT_DEMONSTRATED),
        ("sites.*.wnd", Answer.NOT_DEMONSTRATED),  # a slip of the pen is nothing stated
        ("job.model_dump", Answer.NOT_DEMONSTRATED),  # a word of the program is no key of the job
        ("sites.*.drop.*", Answer.NOT_DEMONSTRATED),
        ("hazards.*.owner", Answer.NOT_DEMONSTRATED),  # no hazard states it where there is none
    ],
)
def test_a_key_stands_only_where_a_job_file_can_state_it(tmp_path, key, answer):
    (tmp_path / "rules.yaml").write_text(OWN.replace("sites.*.wind", key))
    whole = merged(BASE, {"job": {"requirements": "rules.yaml"}})
    (tmp_path / "job.yaml").write_text(yaml.safe_dump(whole, default_style='"', sort_keys=False))
    file = read(tmp_path / "job.yaml", date(2027, 6, 1)).file
    assert file is not None
    found = judged(assess(file), (), tmp_path)

    assert next(each.answer for each in found.answers if each.item.id == "wind") is answer


ITSELF = {"how": "from below", "method": "a lift platform", "time_to_contact": "4 min",
          "time_to_ground": "8 min"}  # fmt: skip
UNLIKE = {"general": {"method": "rope access"}, "gb-work-at-height": {"method": "rope access"},
          "us-rope-descent": {"method": "rope descent"}}  # fmt: skip


@pytest.mark.parametrize(
    ("name", "item"),
    [("general", "rescue_planned"), ("gb-work-at-height", "rescue_planned"),
     ("us-rope-descent", "rescue_prompt")],
)  # fmt: skip
def test_whoever_rescues_from_one_line_alone_is_trained_too(name, item):
    plan = {"who": ["lead", "second"], "kit": "at the top", "steps": ["lower"],
            "time_to_contact": "5 min",
            "lines": {"working": {**ITSELF, "who": ["second", "third"]},
                      "safety": ITSELF}}  # fmt: skip
    untrained = {"people": {"third": {"rescue": "false"}}}
    whole = {"job": {"requirements": name}, "work": UNLIKE[name], "rescue": plan}

    def answer(*changes: dict[str, Any]) -> Answer:
        found = judged(assessed(whole, *changes), (), None)
        return next(each.answer for each in found.answers if each.item.id == item)

    assert answer() is Answer.AS_STATED
    assert answer(untrained) is Answer.NOT_MET


NO_MASS = {"mass_at_most": {"none": "the maker names none"}, "strength": None}


def test_a_device_of_unknown_strength_and_mass_is_not_demonstrated():
    unknown = {"devices": {"descender": NO_MASS}}
    strong = merged(unknown, {"devices": {"descender": {"strength": "30 kN"}}})

    def limits(*changes: dict[str, Any]) -> Answer:
        found = judged(assessed(*changes), (), None)
        return next(e.answer for e in found.answers if e.item.id == "device_limits")

    assert limits(strong) is Answer.MET
    assert limits(unknown) is Answer.NOT_DEMONSTRATED


def test_two_people_at_work_are_no_rescue_and_can_still_be_too_many():
    silent = {"lines": {"working": {"rescue": None}}}
    pair = merged(silent, {"loads": {"worker": {"people": "2", "mass": "160 kg"}}})
    weak = merged(pair, {"ropes": {"main": {"strength": "12 kN", "standard": "none stated"}}})

    def answer(change: dict[str, Any]) -> Answer:
        found = judged(assessed(change), (), None)
        return next(each.answer for each in found.answers if each.item.id == "rescue_load")

    assert answer(pair) is Answer.NOT_DEMONSTRATED
    assert answer(weak) is Answer.NOT_MET  # 178 kg hang at 1.75 kN: ten times that is 17.5 kN
    assert answer(silent) is Answer.NOT_DEMONSTRATED


class Hazard:
    """A hazard as the register hands it over."""

    def __init__(self, how: str, controls: dict[str, tuple[str, ...]]) -> None:
        self.title, self.who, self.how, self.controls = "Rock falls", ("crew",), how, controls


@pytest.mark.parametrize(
    ("hazard", "hazards", "controls"),
    [
        (Hazard("a rock is loosened", {"wear": ("helmet",)}), "met, as stated", "met, as stated"),
        (Hazard("a rock is loosened", {}), "met, as stated", "not met"),
        (Hazard("a rock is loosened", {"wear": ()}), "met, as stated", "not met"),
        (Hazard("", {"wear": ("helmet",)}), "not demonstrated", "met, as stated"),
    ],
    ids=["whole", "no controls", "an empty level", "no how"],
)
def test_a_hazard_counts_with_how_and_with_a_control(hazard, hazards, controls):
    """Alberta OHS Code s. 809: the hazards, and how each is eliminated or controlled."""
    alberta = {"job": {"requirements": "ca-ab-rope-access"}, "work": {"method": "rope access"}}
    other = Hazard("a tool is dropped", {"organise": ("lanyards",)})
    found = judged(assessed(alberta), (other, hazard), None)
    by_id = {each.item.id: each.answer.value for each in found.answers}

    assert by_id["plan_hazards"] == hazards
    assert by_id["plan_controls"] == controls


def test_a_partial_set_says_so_in_its_first_line():
    alberta = {"job": {"requirements": "ca-ab-rope-access"}, "work": {"method": "rope access"}}

    assert "(partial)" in judged(assessed(alberta), (), None).sentence
    assert "partial" not in judged(assessed(), (), None).sentence


def test_a_set_that_cannot_be_read_is_refused(tmp_path):
    big, odd = tmp_path / "big.yaml", tmp_path / "odd.yaml"
    big.write_bytes(b"a" * (1024 * 1024 + 1))
    odd.write_bytes(b"\xff\xfe")

    with pytest.raises(SetError, match="cannot be read"):
        own_set(tmp_path, "none.yaml")
    with pytest.raises(SetError, match="larger"):
        own_set(big.parent, big.name)
    with pytest.raises(SetError, match="UTF-8"):
        own_set(odd.parent, odd.name)
    with pytest.raises(SetError, match="no requirement set"):
        requirement_set("strict")
