"""What decides items, by small sets of a user's own: each kind of judge, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from support.plan import assessed, over_edges

from riskdoc.judgement.verdicts import Assessment
from riskdoc.requirements.judges import KINDS
from riskdoc.requirements.judging import judged
from riskdoc.requirements.predicates import PREDICATES
from riskdoc.requirements.sets import SetError, own_set

HEAD = "title: t\nedition: e\nabout: a\nscope: s\n"
CHANGES: dict[str, dict[str, Any]] = {
    "": {},
    "weak": {"ropes": {"main": {"strength": "9 kN", "standard": "none stated"}}},
    "pair": {"loads": {"worker": {"people": "2", "mass": "160 kg"}}},
    "old": {"rescue": {"drilled": "2026-05-01"}},
    "new": {"rescue": {"drilled": "2027-05-01"}},
    "permits": {"job": {"permits": ["P-1"]}, "work": {"isolations": []}},
    "no isolations": {"job": {"permits": ["P-1"]}},
    "one anchor": {"lines": {"safety": {"anchor": "one"}}, "anchors": {"two": None}},
    "thing": {"loads": {"worker": {"people": "0"}}, "lines": {"working": {"cases": ["lower"]}}},
    "whole rescue": {"rescue": {"steps": ["a"], "time_to_contact": "3 min"}},
    "deep": {"lines": {"safety": {"fall": {"free": "0.6 m", "clear": "3 m"}}}},
    "heavy": {"loads": {"worker": {"mass": "140 kg"}}},
    "frail device": {"devices": {"descender": {"strength": "5 kN"}}},
    "not practicable": {"anchors": {"one": {"not_practicable": "the beam is old"}}},
    "rescued": {
        "loads": {"two": {"people": "2", "mass": "160 kg", "kit": "20 kg"}},
        "lines": {"working": {"rescue": {"load": "two", "how": "lower"}}},
    },
    "weak rescue": {
        "loads": {"two": {"people": "2", "mass": "160 kg", "kit": "20 kg"}},
        "lines": {"working": {"rescue": {"load": "two", "how": "lower"}}},
        "ropes": {"main": {"strength": "9 kN", "standard": "none stated"}},
    },
    "shared": {"lines": {"safety": {"rope": "main"}}, "ropes": {"second": None}},
}


@cache
def plan(name: str) -> Assessment:
    return by_own_set(assessed(CHANGES[name]))


def by_own_set(found: Assessment) -> Assessment:
    """The plan, judged by a file beside it."""
    job = found.file.job
    info = job.job.model_copy(update={"requirements": "rules.yaml"})
    return replace(found, file=replace(found.file, job=job.model_copy(update={"job": info})))


def a_set(item: str, more: str = "", test: str = "computed") -> bytes:
    whole = (
        f"{more}items:\n  it:\n    {{clause: c, asks: a, test: {test}, provenance: judgement}}\n"
    )
    body = whole.replace("provenance: judgement}", "provenance: judgement, " + item + "}")
    return (HEAD + body).encode()


def found(item: str, name: str = "", more: str = "", test: str = "computed") -> Any:
    return judged(plan(name), (), {"rules.yaml": a_set(item, more, test)}).answers


def answer(item: str, name: str = "", more: str = "", test: str = "computed") -> str:
    return str(found(item, name, more, test)[-1].answer.value)


def refused(item: str, more: str = "", test: str = "computed") -> str:
    with pytest.raises(SetError) as error:
        own_set({"rules.yaml": a_set(item, more, test)}, "rules.yaml")
    return str(error.value)


STRONG = "decided: [{each: lines, when: {is: {role: working}}, strength: {key: rope.strength, "
JUDGES: dict[str, list[tuple[str, str, str]]] = {
    "cases": [
        (("decided: [{each: lines, cases: [{when: {at_least: {rope.strength: 20 kN}}, answer: met, "
         "say: strong}, {answer: not met, say: weak}]}]"), "", "met"),
        (("decided: [{each: lines, cases: [{when: {at_least: {rope.strength: 20 kN}}, answer: met, "
         "say: strong}, {answer: not met, say: weak}]}]"), "weak", "not met"),
    ],
    "checks": [
        ("decided: [{checks: line/*/margin/rated}]", "", "met"),
        ("decided: [{checks: line/*/margin/rated}]", "weak", "not met"),
        ("decided: [{checks: {of: line/*/margin/rated, but: line/working/*}}]", "weak", "met"),
        ("decided: [{checks: {of: line/*/margin/rated, lines: things}}]", "", "not demonstrated"),
        ("decided: [{checks: {of: line/*/margin/rated, lines: things, none: not applicable}}]",
         "", "not applicable"),
        ("decided: [{checks: line/*/margn/rated}]", "", "not demonstrated"),
        ("decided: [{checks: {of: line/*/margin/rated, adequate: 'met, as stated'}}]", "",
         "met, as stated"),
    ],
    "lasts": [
        ("decided: [{lasts: {key: rescue.drilled, months: 12, what: the drill}}]", "new", "met"),
        ("decided: [{lasts: {key: rescue.drilled, months: 12, what: the drill}}]", "old",
         "not met"),
        ("decided: [{lasts: {key: rescue.drilled, months: 14, what: the drill}}]", "old", "met"),
        ("decided: [{lasts: {key: rescue.drilled, months: 12, what: the drill}}]", "",
         "not demonstrated"),
    ],
    "strength": [
        (STRONG + "at_least: 30 kN, what: it}}]", "", "met"),
        (STRONG + "at_least: 30.1 kN, what: it}}]", "", "not met"),
        # 6,740 lbf are 29.98 kN; the clause would print 30.1 kN or 29 kN beside it.
        (STRONG + "at_least: [6740 lbf, 30.1 kN], what: it}}]", "", "met"),
        (STRONG + "at_least: [6750 lbf, 29 kN], what: it}}]", "", "not demonstrated"),
        ("decided: [{each: anchors, strength: {key: owner.strength, at_least: 1 kN, what: it}}]",
         "", "not demonstrated"),
        (STRONG + "at_least: 30 kN, what: it, met: [{answer: not demonstrated, say: so}]}}]", "",
         "not demonstrated"),
    ],
    "limit": [
        (("decided: [{each: lines, when: {is: {role: safety}}, limit: {demand: "
         "'line/{line}/fall/peak', at_most: 9 kN, say: '{most}', unknown: none}}]"), "", "met"),
        (("decided: [{each: lines, when: {is: {role: safety}}, limit: {demand: "
         "'line/{line}/fall/peak', at_most: 1 kN, say: '{most}', unknown: none}}]"), "",
         "not met"),
        ("decided: [{limit: {figure: line/none/here, at_most: 1 kN, say: a, unknown: b}}]", "",
         "not demonstrated"),
        ("decided: [{each: lines, when: {is: {role: safety}}, limit: {demand: "
         "'line/{line}/fall/peak', at_most: 9 km, say: '{most}', unknown: none}}]".replace(
             "9 km", "900000 m"), "", "not demonstrated"),  # a length is no limit of a force
    ],
    "needs": [
        ("decided: [{needs: {all: [{key: work.steps}], say: stated}}]", "", "met, as stated"),
        ("decided: [{needs: {all: [{key: work.ppe}], say: stated}}]", "", "not demonstrated"),
        ("decided: [{needs: {all: [{of: lines, key: devices, words: false}], say: stated}}]", "",
         "met, as stated"),
        ("decided: [{needs: {all: [{of: lines, key: redirects, words: false}], say: stated}}]", "",
         "not demonstrated"),  # ruled out is no redirect named
    ],
    "all_of": [
        ("decided: [{all_of: [{checks: line/*/margin/rated}, {checks: line/*/margin/derated}]}]",
         "", "met"),
        ("decided: [{all_of: [{checks: line/*/margin/rated}, {checks: rope/*/age}]}]", "weak",
         "not met"),
    ],
    "decided": [
        (("decided: [{each: lines, decided: [{checks: 'line/{line}/margin/rated'}, "
         "{each: devices of the line, strength: {key: strength, at_least: 22 kN, what: it}}]}]"),
         "", "met"),
        (("decided: [{each: lines, decided: [{checks: 'line/{line}/margin/rated'}, "
         "{each: devices of the line, strength: {key: strength, at_least: 22 kN, what: it}}]}]"),
         "frail device", "not met"),
    ],
}  # fmt: skip
BY: dict[str, list[tuple[str, str, str]]] = {
    "rescue planned": [
        ("by: rescue planned, using: {states: [who, steps]}", "whole rescue", "met, as stated"),
        ("by: rescue planned, using: {states: [who, steps]}", "", "not demonstrated"),
    ],
    "rescue load held": [
        ("by: rescue load held", "rescued", "met"),
        ("by: rescue load held", "weak rescue", "not met"),
    ],
    "permits and isolations": [
        ("by: permits and isolations, using: {near: [], tools: [], switched: []}", "permits",
         "met, as stated"),
        ("by: permits and isolations, using: {near: [], tools: [], switched: []}", "no isolations",
         "not demonstrated"),
    ],
    "device over static tension": [
        ("each: [lines, devices of the line], by: device over static tension, using: {ratio: 10}",
         "", "met"),
        ("each: [lines, devices of the line], by: device over static tension, using: {ratio: 10}",
         "frail device", "not met"),
    ],
    "lines share nothing": [
        ("each: loads with people, by: lines share nothing", "", "met"),
        ("each: loads with people, by: lines share nothing", "shared", "not demonstrated"),
    ],
    "no lower level": [
        ("each: lines, when: {is: {role: safety}}, by: no lower level", "", "met"),
        ("each: lines, when: {is: {role: safety}}, by: no lower level", "deep", "not met"),
    ],
    "mass with kit": [
        ("each: lines, by: mass with kit, using: {under: [310 lb, 140 kg]}", "", "met"),
        ("each: lines, by: mass with kit, using: {under: [310 lb, 140 kg]}", "heavy",
         "not demonstrated"),
    ],
    "anchor over falls": [
        ("each: anchors, by: anchor over falls, using: {times: 2, say: '{peaks}'}",
         "not practicable", "not demonstrated"),
    ],
}  # fmt: skip


@pytest.mark.parametrize("kind", JUDGES)
def test_each_kind_of_judge(kind):
    for item, name, expected in JUDGES[kind]:
        assert answer(item, name) == expected, (item, name)


@pytest.mark.parametrize("name", BY)
def test_each_predicate(name):
    for item, change, expected in BY[name]:
        assert answer(f"decided: [{{{item}}}]", change) == expected, (item, change)


def test_every_kind_of_judge_and_every_predicate_is_tried():
    assert set(JUDGES) == set(KINDS) - {"by", "items"}  # items stand in a test of their own
    assert set(BY) == set(PREDICATES)


FIRST = "{clause: c, asks: a, test: computed, provenance: judgement, checks: [line/*/margin/rated]}"
TWO = f"items:\n  first: {FIRST}\n"


def both(item: str, name: str, first: str = FIRST) -> list[str]:
    text = HEAD + f"items:\n  first: {first}\n  it: {{clause: c, asks: a, test: computed, " + (
        f"provenance: judgement, {item}}}\n")  # fmt: skip
    return [
        each.answer.value for each in judged(plan(name), (), {"rules.yaml": text.encode()}).answers
    ]


@pytest.mark.parametrize(("name", "expected"), [("", "met"), ("weak", "not met")])
def test_an_item_may_rest_on_another(name, expected):
    assert both("decided: [{items: first}]", name) == [expected] * 2
    met = "{when: {item: {first: met}}, answer: met, say: a}"
    case = f"decided: [{{cases: [{met}, {{answer: not met, say: b}}]}}]"
    assert both(case, name) == [expected] * 2


GATE = (
    "gates: {people: [{when: {none: lines under people}, answer: not applicable, say: nobody}]}\n"
)


def test_a_gate_is_looked_at_first():
    item = "gate: people, decided: [{checks: line/*/margin/rated}]"

    assert answer(item, "weak", GATE) == "not met"
    assert answer(item, "thing", GATE) == "not applicable"


def test_what_is_said_where_there_is_nothing_and_where_all_is_met():
    nothing = (
        "decided: [{each: edges, checks: a}], nothing: [{answer: not applicable, say: no edge}]"
    )
    ask = "decided: [{checks: line/*/margin/rated}], then_ask: and the harness?"

    assert found(nothing)[-1].reason == "no edge"
    assert (answer(ask), answer(ask, "weak")) == ("to be answered", "not met")
    assert found(ask)[-1].reason == "and the harness?"


def test_a_question_rests_on_checks_that_can_say_no_and_never_yes():
    item = "rests_on: [{checks: line/*/margin/rated}]"

    assert answer(item, "", test="asked") == "to be answered"
    assert answer(item, "weak", test="asked") == "not met"


def test_a_remark_stands_behind_the_summary():
    more = "remark: {when: {count: {of: lines, by: anchor, at_most: 1}}, say: one anchor for all}\n"
    item = "checks: [line/*/margin/rated]"

    def sentence(name: str) -> str:
        return judged(plan(name), (), {"rules.yaml": a_set(item, more)}).sentence

    assert sentence("one anchor").endswith(" one anchor for all")
    assert "one anchor for all" not in sentence("")


def test_an_acceptance_counts_unless_the_set_says_that_it_does_not():
    rounded = {"site": "wall", "surface": "granite", "radius": "15 mm", "turn": "80 deg"}
    edges = over_edges(rounded)
    checks = [each.id for each in assessed(edges).failed_checks]
    accept = [{"check": id, "by": "lead", "reason": "r", "until": "2027-06-02"} for id in checks]
    accepted = by_own_set(assessed(edges, {"signoff": {"deviations": accept}}))
    item = "checks: [line/*/rule/bare]"

    def of(more: str) -> str:
        sets = {"rules.yaml": a_set(item, more)}
        return judged(accepted, (), sets).answers[0].answer.value

    assert checks
    assert of("") == "met by acceptance"
    assert of("acceptances: do not count\n") == "not demonstrated"


def test_texts_of_a_users_own_stand_as_written():
    """`adequate` is a word of ours, which German would say otherwise."""
    item = "decided: [{cases: [{when: {stated: work.steps}, answer: met, say: adequate}]}]"

    assert found(item)[0].reason == "adequate"


@pytest.mark.parametrize(
    ("item", "more", "told"),
    [
        ("decided: [{chekcs: a}]", "", "item 'it': decided[1]: unknown word 'chekcs'"),
        ("decided: [{cases: [{answer: fine, say: a}]}]", "", "decided[1].cases[1].answer: Input"),
        ("decided: [{cases: [{say: a}]}]", "", "a case has an answer, or judges under decided"),
        ("decided: [{cases: [{answer: not met}]}]", "", "an answer has its text under say"),
        ("decided: [{each: lines}]", "", "exactly one of cases, checks"),
        ("decided: [{checks: a, items: it}]", "", "exactly one of cases, checks"),
        ("decided: [{items: it}]", "", "rests on itself"),
        ("decided: [{items: other}]", "", "there is no item 'other' in this set"),
        ("decided: [{by: magic}]", "", "unknown predicate 'magic'; known are"),
        ("decided: [{by: mass with kit}]", "", "is asked of a line, not of a job"),
        ("decided: [{each: lines, by: mass with kit}]", "", "using: under: Field required"),
        ("decided: [{each: lines, by: mass with kit, using: {under: 9 m}}]", "", "must be a mass"),
        ("decided: [{lasts: {key: rescue.drilled, months: 9 m, what: a}}]", "", "must be a count"),
        ("decided: [{lasts: {key: rescue.drilled, months: 99999, what: a}}]", "", "1 to 1200"),
        ("decided: [{lasts: {key: rescue.dril, months: 9, what: a}}]", "", "'dril' is unknown"),
        ("decided: [{lasts: {key: ropes.*.inspected, months: 9, what: a}}]", "", "without *"),
        ("decided: [{checks: '{line}'}]", "", "has the unknown word 'line'"),
        ("decided: [{checks: {of: a, none: met}}]", "", "a check that is not there shows nothing"),
        ("gate: people, decided: [{checks: a}]", "", "there is no gate 'people'; known are none"),
        ("decided: [{checks: a}]", "gates: {g: [{when: {stated: x}, answer: met, say: a}]}\n",
         "the set.gates.g[1].when.stated: 'x' is no key of a job"),
        ("decided: [{cases: [{answer: met, say: a}]}]", "", "no key left out can bring about"),
        ("decided: [{cases: [{when: {absent: work.ppe}, answer: met, say: a}]}]", "",
         "bring about"),
        ("decided: [{cases: [{when: {not: {stated: work.tools}}, answer: met, say: a}]}]", "",
         "bring about"),
        ("decided: [{cases: [{when: {any_of: [{none: edges}]}, answer: met, say: a}]}]",
         "", "bring about"),
        ("decided: [{cases: [{when: {count: {of: lines, at_most: 9}}, answer: met, say: a}]}]", "",
         "bring about"),
        ("nothing: [{answer: met, say: a}], decided: [{checks: a}]", "", "bring about"),
        ("decided: []", "", "is computed and has no 'checks'"),
        ("checks: [a]", "remark: {say: a}\n", "the set: remark.when: Field required"),
        ("checks: [a]", "acceptances: always\n", "the set: acceptances"),
    ],
)  # fmt: skip
def test_what_decides_no_item_is_refused_by_its_name_and_place(item, more, told):
    assert told in refused(item, more)


def test_items_that_rest_on_each_other_many_times_are_looked_at_once():
    """Each of 30 items names the one before it twice: a billion ways to the first."""
    items = "".join(
        f"  i{n}: {{clause: c, asks: a, test: computed, provenance: judgement, decided: "
        f"[{{items: [i{n - 1}, i{n - 1}]}}]}}\n"
        for n in range(1, 31)
    )
    text = HEAD + "items:\n  i0: " + FIRST + "\n" + items

    answers = judged(plan(""), (), {"rules.yaml": text.encode()}).answers
    assert {each.answer.value for each in answers} == {"met"}
