"""Each word of the conditions: what makes it hold, what does not, and what is refused.

The plan is the plain one; what it states stands in `support/plan.py`. Answers follow by hand.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest
import yaml
from support.many_plans import SECOND_LOAD
from support.plan import COPING, PLATE, assessed, merged, over_edges

from riskdoc.conditions.condition import Condition
from riskdoc.conditions.part_facts import FACTS
from riskdoc.conditions.parts import SCOPES, parts_of, whole
from riskdoc.conditions.plan import Asked
from riskdoc.conditions.vocabulary import RefusedError
from riskdoc.hazards.triggers import Clause, Trigger, clauses_of, reasons

TESTED = {"strength": "22 kN", "evidence": "tested"}
EDGED = over_edges({**COPING, "surface": "timber"}, PLATE)
CHANGES: dict[str, dict[str, Any]] = {
    "": {},
    "pair": {"loads": {"worker": {"people": "2", "mass": "160 kg"}}},
    "edged": EDGED,
    "untied": merged(EDGED, {"protection": {"at_working": {"tied": "false"}}}),
    "feet": {"sites": {"wall": {"drop": "130 ft"}}, "lines": {"working": {"stopper": "true"}}},
    "metric": {"sites": {"wall": {"drop": "39.62 m"}}, "lines": {"working": {"stopper": "false"}}},
    "far": {"sites": {"wall": {"drop": "40 m", "reach_sideways": "1 to 3 m"}}},
    "cold": {"sites": {"wall": {"temperature": "-4 to 12 degC"}}},
    "denied": {"work": {"communications": "none", "why_rope": "tbc"}},
    "silent": {"sites": {"wall": {"wind": None}},
               "lines": {id: {"devices": None} for id in ("working", "safety")}},
    "one anchor": {"lines": {"safety": {"anchor": "one"}}, "anchors": {"two": None}},
    "one rope": {"lines": {"safety": {"rope": "main"}}, "ropes": {"second": None}},
    "unknown leg": {"anchors": {id: {"legs": [{"evidence": "unknown"}]} for id in ("one", "two")}},
    "thing": {"loads": {"worker": {"people": "0"}}, "lines": {"working": {"cases": ["lower"]}}},
    "weak": {"ropes": {"main": {"strength": "5 kN", "standard": "none stated"}}},
    "two on a rope": merged(SECOND_LOAD, {"lines": {"other_safety": {"rope": "second"}}}),
    "tools": {"work": {"tools": ["hand tools"]}, "sites": {"wall": {"near": ["ice"]}}},
    "near not said": {"sites": {"wall": {"near": None}}},
    "others": {"work": {"others": ["painters", "roofers"]}},
    "redirected": {
        "anchors": {"aside": {"legs": [TESTED]}},
        "lines": {"working": {"redirects": [
            {"anchor": "aside", "turn": "12 deg", "after": "5 m", "over": "pulley"}]}},
    },
}  # fmt: skip


@cache
def plan(name: str) -> Asked:
    return Asked(assessed(CHANGES[name]))


def said(clauses: str, name: str = "") -> list[str]:
    trigger = Trigger(clauses_of(yaml.safe_load(clauses), "test"), (), False)
    return list(reasons(plan(name), trigger))


LINES = "lines"
EDGES = "[lines, edges of the line]"
JOB = ""
# Word: the parts, a condition, the plan for which it holds, and the one for which it does not.
HOLD: dict[str, tuple[str, str, str, str]] = {
    "stated": (JOB, "stated: work.communications", "", "denied"),
    "stated, ruled out": ("sites", "stated: wind", "", "silent"),
    "unstated": (JOB, "unstated: work.communications", "denied", ""),
    "listed": ("lines of the descent", "listed: redirects", "redirected", ""),
    "absent": ("sites", "absent: temperature", "no", ""),
    "absent, ruled out": ("sites", "absent: wind", "", "no"),
    "left_out": ("sites", "left_out: wind", "silent", ""),
    "is": (LINES, "is: {cases: [lower, raise]}", "thing", ""),
    "is, yes or no": (LINES, "is: {stopper: false}", "metric", "feet"),
    "at_least, a list": ("anchors", "at_least: {legs: 2}", "no", ""),
    "at_least, a number": ("loads with people", "at_least: {people: 2}", "pair", ""),
    "at_least, the low end": ("sites", "at_least: {reach_sideways: 1.5 m}", "no", "far"),
    "at_most": ("sites", "at_most: {drop: 39.7 m}", "metric", "far"),
    "at_most, the high end": ("sites", "at_most: {reach_sideways: 2 m}", "", "far"),
    "at_most, of two units": ("sites", "at_most: {drop: [130 ft, 39.6 m]}", "feet", "metric"),
    "at_most, not stated": ("sites", "at_most: {wind.stop_at: 40 m/s}", "no", "silent"),
    "between": ("sites", "between: {drop: [130 ft, 39.6 m]}", "metric", "feet"),
    "between, and not below": ("sites", "between: {drop: [130 ft, 39.6 m]}", "metric", ""),
    "over": ("sites", "over: {reach_sideways: 2.9 m}", "far", ""),
    "over, and not at": ("sites", "over: {reach_sideways: 3 m}", "no", "far"),
    "reaches": ("sites", "reaches: {reach_sideways: 3 m}", "far", ""),
    "down_to": ("sites", "down_to: {temperature: 0 degC}", "cold", ""),
    "a row": ("sites", "over: {drop: {row: hazards/long drop}}", "far", ""),
    "on_or_after": (JOB, "on_or_after: {job.valid.from: 2027-06-01}", "", "no"),
    "on_or_after, late": (JOB, "on_or_after: {job.valid.from: 2027-06-02}", "no", ""),
    "on_or_before": (JOB, "on_or_before: {job.valid.from: job.valid.to}", "", "no"),
    "on_or_before, late": (JOB, "on_or_before: {job.valid.to: job.valid.from}", "no", ""),
    "on_or_before, not stated": ("anchors", "on_or_before: {owner.statement: job.valid.to}",
                                 "no", ""),
    "adequate": (LINES, "{is: {role: working}, adequate: 'line/{line}/margin/rated'}", "", "weak"),
    "adequate, no such check": (JOB, "adequate: line/*/nothing", "no", ""),
    "met": (LINES, "{is: {role: working}, met: 'line/{line}/margin/rated'}", "", "weak"),
    "met, no such check": (JOB, "met: line/*/nothing", "no", ""),
    "unmet": (JOB, "unmet: site/*/wind", "silent", ""),
    "inadequate": (LINES, "inadequate: 'line/{line}/margin/rated'", "weak", ""),
    "figure": (EDGES, "figure: {id: 'line/{line}/edge/{edge}/exposure', reaches: 0.0001}",
               "edged", ""),
    "figure, beyond": (EDGES, "figure: {id: 'line/{line}/edge/{edge}/exposure', reaches: 999}",
                       "no", "edged"),
    "figure, of another unit": (EDGES, ("figure: {id: 'line/{line}/edge/{edge}/exposure', "
                                "reaches: 1 mm}"), "no", "edged"),
    "figure, at least": (EDGES, ("figure: {id: 'line/{line}/edge/{edge}/exposure', "
                         "at_least: 99}"), "no", "edged"),
    "figure, not known": (LINES, "figure: {id: 'line/{line}/swing/tension', known: false}", "", ""),
    "figure, known": (
        EDGES,
        "figure: {id: 'line/{line}/edge/{edge}/exposure', known: false}",
        "no",
        "edged",
    ),
    "legs": ("anchors", "legs: {hold: 20 kN, per: person attached, verdict: adequate}",
             "", "unknown leg"),
    "legs, of two people": ("anchors", ("legs: {hold: 20 kN, per: person attached, "
                            "verdict: inadequate}"), "pair", ""),
    "some": (LINES, "some: {of: edges of the line, when: {is: {surface: timber}}}", "edged", ""),
    "every": (LINES, "every: {of: devices of the line, when: {listed: acts}}", "", "silent"),
    "every, of some": (JOB, "every: {of: lines, when: {is: {role: safety}}}", "no", ""),
    "none": (LINES, "none: edges of the line", "", "edged"),
    "count, at least": (JOB, "count: {of: lines, by: anchor, at_least: 2}", "", "one anchor"),
    "count, at most": (JOB, "count: {of: lines, by: anchor, at_most: 1}", "one anchor", ""),
    "shared": (JOB, "shared: {of: lines, by: rope}", "one rope", ""),
    "not": (JOB, "not: {listed: work.others}", "", "others"),
    "all_of": ("sites", "all_of: [{over: {drop: 39.7 m}}, {over: {reach_sideways: 2 m}}]",
               "far", "metric"),
    "any_of": ("sites", "any_of: [{over: {drop: 39.7 m}}, {over: {reach_sideways: 9 m}}]",
               "far", "metric"),
    "two words": ("sites", "{over: {drop: 39.5 m}, at_most: {drop: 39.7 m}}", "metric", "far"),
    "a key of the whole job": ("sites", "stated: /work.communications", "", "denied"),
    "a name that is followed": (LINES, "at_most: {rope.strength: 6 kN}", "weak", ""),
    "fact, arrests": (LINES, "fact: can arrest a fall", "", "no"),
    "fact, alone": (LINES, "fact: one person alone on its rope", "", "pair"),
    "fact, alone on its rope": (
        LINES,
        "{is: {role: safety}, fact: one person alone on its rope}",
        "",
        "two on a rope",
    ),
    "fact, with a working line": ("lines of the descent", ("all_of: [{is: {role: safety}}, "
                                  "{fact: ends with a working line}]"), "one anchor", ""),
    "fact, with no working line": ("lines of the descent", "fact: ends with no working line",
                                   "", "one anchor"),
    "fact, one anchor": ("loads with people", "fact: both roles on one anchor", "one anchor", ""),
    "fact, a leg": ("anchors", ("all_of: [{fact: some leg of known strength}, "
                    "{is: {legs.*.evidence: unknown}}]"), "no", "unknown leg"),
    "fact, protected": (EDGES, "fact: protected", "edged", ""),
}  # fmt: skip


def clause(each: str, when: str) -> str:
    when = when if when.startswith("{") else f"{{{when}}}"
    return f"- {{{f'each: {each}, ' if each else ''}when: {when}, say: so it is}}"


@pytest.mark.parametrize("word", HOLD)
def test_a_condition_holds_and_does_not(word):
    each, when, good, bad = HOLD[word]

    if good != "no":
        assert said(clause(each, when), good)
    if bad != "no" and bad != good:
        assert not said(clause(each, when), bad)


def test_every_word_of_a_condition_is_tried():
    tried = {key for _, when, *_ in HOLD.values() for key in yaml.safe_load(
        when if when.startswith("{") else f"{{{when}}}")}  # fmt: skip
    words = {info.alias or name for name, info in Condition.model_fields.items()}
    facts = {name for name in FACTS if any(name in when for _, when, *_ in HOLD.values())}

    assert tried == words - {"item"}  # that is a word of sets: test_judges.py
    assert facts == set(FACTS)


PARTS: dict[str, tuple[str, list[str]]] = {
    "lines": ("", ["working", "safety"]),
    "lines under people": ("thing", []),
    "lines under things": ("thing", ["working", "safety"]),
    "lines of the descent": ("", ["working", "safety"]),
    "loads with people": ("", ["worker"]),
    "loads of the descent": ("", ["worker"]),
    "sites": ("", ["wall"]),
    "sites of the descent": ("thing", []),
    "anchors": ("", ["one", "two"]),
    "anchors of lines": ("redirected", ["one", "two"]),
    "anchors of lines under people": ("thing", []),
    "anchors of the descent": ("redirected", ["one", "two", "aside"]),
    "anchors of safety lines of the descent": ("redirected", ["two"]),
    "edges": ("edged", ["edge_working", "edge_safety"]),
    "kit under people": ("", ["main", "second", "descender", "backup"]),
    "kit under things": ("", []),
    "kit of lines": ("thing", ["main", "second", "descender", "backup"]),
    "people": ("", ["lead", "second", "third"]),
    "other work": ("others", ["1", "2"]),
    "what lines share": ("one rope", ["main"]),
    "hazards": ("", []),
}
WITHIN: dict[str, tuple[str, str, str, list[str]]] = {
    "lines of the load": ("loads with people", "worker", "", ["working", "safety"]),
    "lines that end at the anchor": ("anchors", "one", "one anchor", ["working", "safety"]),
    "lines that share it": ("what lines share", "main", "one rope", ["working", "safety"]),
    "edges of the line": ("lines", "working", "edged", ["edge_working"]),
    "devices of the line": ("lines", "working", "", ["descender"]),
    "redirects of the line": ("lines", "working", "redirected", ["1"]),
    "rescue from the line": ("lines", "working", "", ["working"]),
}


@pytest.mark.parametrize("scope", PARTS)
def test_parts_that_conditions_go_over(scope):
    name, ids = PARTS[scope]

    assert [each.id for each in parts_of(plan(name), scope, whole(plan(name)))] == ids


@pytest.mark.parametrize("scope", WITHIN)
def test_parts_within_a_part(scope):
    outer, id, name, ids = WITHIN[scope]
    ask = plan(name)
    part = next(each for each in parts_of(ask, outer, whole(ask)) if each.id == id)

    assert [each.id for each in parts_of(ask, scope, part)] == ids


def test_all_parts_are_tried():
    assert set(PARTS) | set(WITHIN) == set(SCOPES)


@pytest.mark.parametrize(
    ("clauses", "name", "told"),
    [
        ("- {near: [tide]}", "", []),
        ("- {near: [tide], unsaid: true}", "far", []),  # ruled out with a reason
        ("- {near: [tide], unsaid: true}", "near not said",
         ["the job does not say what is near wall"]),
        ("- {near: [tide]}", "near not said", []),
        ("- {near: [tide]}", "tools", []),
        ("- {near: [tide, ice]}", "tools", ["ice at wall"]),
        ("- {tools: [drill]}", "tools", []),
        ("- {tools: [hand tools]}", "tools", ["tool: hand tools"]),
        ("- {tools: [drill]}", "", []),
        ("- {each: anchors, say: '-{n}', with: {n: {keys: legs.*.evidence, only: assessed}}}", "",
         ["-", "-"]),
        ("- {tools: [drill], unsaid: true}", "", ["the job does not say which tools are used"]),
        ("- {method: [rope access]}", "", ["the work is rope access"]),
        ("- {method: [canyon]}", "", []),
        ("- {done: [lower]}", "thing", ["working: lower"]),
        ("- {done: [lower]}", "", []),
        ("- {unmet: [site/*/wind]}", "silent", ["open: wind at which work stops"]),
        ("- {unmet: [site/*/wind]}", "", []),
        ("- {each: sites, cases: [{when: {listed: near}, say: a}, {say: b}, {say: c}]}", "", ["b"]),
        ("- {each: [lines, devices of the line], say: '{name} on {line}'}", "",
         ["descender on working", "backup on safety"]),
        ("- {say: '{all}', with: {all: {names: lines, joined: and}}}", "", ["working and safety"]),
        ("- {say: '{n}', with: {n: {count: {of: lines, when: {is: {role: safety}}}}}}", "", ["1"]),
        ("- {say: '{n}', with: {n: {entries: work.steps}}}", "", ["3"]),
        ("- {say: '{n}', with: {n: {keys: work.steps, last: true}}}", "", ["strip the lines"]),
        ("- {say: '{n}', with: {n: {keys: work.steps, first: true}}}", "", ["rig both lines"]),
        ("- {each: anchors, say: '{n}', with: {n: {keys: legs.*.evidence, only: tested}}}", "",
         ["tested", "tested"]),
        ("- {each: anchors, say: '-{n}', with: {n: {keys: legs.*.evidence, but: tested}}}", "",
         ["-", "-"]),
        ("- {say: '{n}', with: {n: {keys: [work.light, work.light], once: true}}}", "",
         ["daylight"]),
        ("- {say: '{n}', with: {n: {keys: [work.method, work.light], in_order: true}}}", "",
         ["daylight, rope access"]),
        ("- {each: anchors, say: '{n}', with: {n: {attached: person attached}}}", "", ["1", "1"]),
        ("- {say: '{b}', with: {a: {plain: 2027-01-31}, b: {say: 'on {a}'}}}", "",
         ["on 2027-01-31"]),
    ],
)  # fmt: skip
def test_what_clauses_say(clauses, name, told):
    assert said(clauses, name) == told


@pytest.mark.parametrize(
    ("clauses", "told"),
    [
        ("- {each: linse, say: a}", "[1].each[1]: unknown parts 'linse'; did you mean lines?"),
        ("- {each: lines, wehn: {}, say: a}", "unknown word 'wehn'; did you mean when?"),
        ("- {when: {state: work.light}, say: a}", "[1].when: unknown word 'state'; did you mean"),
        ("- {when: {stated: work.lihgt}, say: a}", "'work.lihgt' is no key of a job: 'lihgt'"),
        ("- {each: lines, when: {stated: rope.colour}, say: a}", "'colour' is unknown"),
        ("- {each: sites, when: {over: {drop: 8 kN}}, say: a}", "is length, and is compared with"),
        ("- {each: sites, when: {over: {drop: 8}}, say: a}", "is length, and is compared with"),
        ("- {each: sites, when: {over: {drop: 8 furlong}}, say: a}", "has an unknown unit"),
        ("- {each: sites, when: {over: {drop: {row: hazards/tall}}}, say: a}", "there is no row"),
        ("- {each: sites, when: {over: {drop: [8 m, 1 kN]}}, say: a}", "in two units of a kind"),
        ("- {each: sites, when: {fact: protected}, say: a}", "a fact of a edge of a line, not of"),
        ("- {each: lines, when: {fact: strong}, say: a}", "unknown fact 'strong'"),
        ("- {each: edges of the line, say: a}", "are parts of one line, not of a job"),
        ("- {each: [lines, lines], say: a}", "'lines' are not parts of a line"),
        ("- {each: lines, say: 'at {edge}'}", "has the unknown word 'edge'; known here are anchor"),
        ("- {each: lines, say: '{line.id}'}", "plain words in braces alone"),
        ("- {each: lines, say: '{line!r:>99}'}", "plain words in braces alone"),
        ("- {each: lines, when: {met: '{line:>99}'}, say: a}", "plain words in braces alone"),
        ("- {when: {}, say: a}", "when: asks nothing"),
        ("- {when: {some: {of: lines, when: {is: {rol: safety}}}}, say: a}", "'rol' is unknown"),
        ("- {when: {on_or_after: {job.valid.from: soon}}, say: a}", "'soon' is no day"),
        ("- {when: {legs: {hold: 1 kN, per: anchor, verdict: adequate}}, say: a}", "of an anchor"),
        ("- {near: [dragons]}", "[1].near[1]"),
        ("- {when: {item: {a: met}}, say: a}", "there is no item 'a'"),
        ("- {say: a, with: {n: {attached: anchor}}}", "people are attached to an anchor alone"),
    ],
)  # fmt: skip
def test_a_word_that_is_not_known_is_refused_by_its_name_and_place(clauses, told):
    with pytest.raises(RefusedError) as refused:
        clauses_of(yaml.safe_load(clauses), "test")

    assert str(refused.value).startswith("hazard test: when")
    assert told in str(refused.value)


def test_nothing_that_a_clause_can_say_is_left_untried():
    assert set(Clause.model_fields) == {
        "each", "when", "cases", "say", "with_", "near", "tools", "method", "done", "unmet",
        "unsaid",
    }  # fmt: skip
