"""Who hangs on what: plans that hide a second person, and what a careful supervisor asks of each.

Verdicts are those a supervisor gives (common practice, no source) unless a clause is named: two
separately anchored lines for the user, Work at Height Regulations 2005 Sch. 5 Part 3 para. 1.
"""

from __future__ import annotations

from typing import Any

import pytest
from support.plan import BASE, ROPE, as_json, check, merged

PERSON = BASE["people"]["third"]
WORKING, SAFETY = BASE["lines"]["working"], BASE["lines"]["safety"]
LEG = {"legs": [{"strength": "22 kN", "evidence": "tested"}]}
ONE = {"who": ["second"], "in_turn": None, "together": None}


def worker(**change: Any) -> dict[str, Any]:
    return {"loads": {"worker": {**ONE, **change}}}


THIRD_LINE = {
    "ropes": {"spare": dict(ROPE)},
    "anchors": {"three": LEG},
    "lines": {"more": {**SAFETY, "rope": "spare", "anchor": "three"}},
}
"""A second safety line for the same load: or the working line of somebody who is not counted."""

PAIR = {
    "ropes": {"w2": dict(ROPE), "s2": dict(ROPE)},
    "anchors": {"three": LEG, "four": LEG},
    "loads": {"other": {"people": "1", "mass": "80 kg", "kit": "18 kg", "who": ["third"]}},
    "lines": {
        "w2": {**WORKING, "rope": "w2", "anchor": "three", "load": "other"},
        "s2": {**SAFETY, "rope": "s2", "anchor": "four", "load": "other"},
    },
}
"""Lines of their own for a second person."""

PLANS: dict[str, tuple[tuple[dict[str, Any], ...], str, str]] = {
    "one person, by name": ((worker(),), "load/worker/who", "adequate"),
    "nobody named": ((worker(who=None),), "load/worker/who", "not demonstrated"),
    "nobody named, so whoever is there may hang": (
        (worker(who=None),), "people/lead/lines", "not demonstrated",
    ),
    "ground crew": ((worker(),), "people/lead/lines", "adequate"),
    "two names for one person, and no word of turns": (
        (worker(who=["second", "third"]),), "load/worker/who", "not demonstrated",
    ),
    "two names who take turns": (
        (worker(who=["second", "third"], in_turn="one stays at the top"),),
        "load/worker/who", "adequate",
    ),
    "one person on three lines": (
        (worker(), THIRD_LINE), "load/worker/lines", "not demonstrated",
    ),
    "one person on three lines, with the reason": (
        (worker(more_lines="a tag line to the next bay"), THIRD_LINE),
        "load/worker/lines", "adequate",
    ),
    "two people on four lines": (
        (worker(people="2", mass="160 kg", who=["second", "third"], together="a rescue drill"),
         THIRD_LINE, {"ropes": {"fourth": dict(ROPE)},
                      "lines": {"fourth": {**WORKING, "rope": "fourth", "anchor": "three"}}}),
        "load/worker/lines", "adequate",
    ),
    "two people on one pair of lines": (
        (worker(people="2", mass="160 kg", who=["second", "third"]),),
        "load/worker/together", "not demonstrated",
    ),
    "two people on one pair of lines in a rescue": (
        (worker(people="2", mass="160 kg", who=["second", "third"]),
         {"work": {"method": "rescue"}}),
        "load/worker/together", "adequate",
    ),
    "one person as heavy as two": (
        (worker(mass="160 kg"),), "load/worker/mass", "not demonstrated",
    ),
    "one person at 150 kg with kit": ((worker(mass="132 kg"),), "load/worker/mass", "adequate"),
    "one person above 150 kg with kit": (
        (worker(mass="132.1 kg"),), "load/worker/mass", "not demonstrated",
    ),
    "a second person written as kit": (
        (worker(kit="80 kg"),), "load/worker/mass", "not demonstrated",
    ),
    "heavy kit, said so": (
        (worker(kit="80 kg", heavy="a welding set of 60 kg hangs below"),),
        "load/worker/mass", "adequate",
    ),
    "two people on lines of their own": ((worker(), PAIR), "people/third/lines", "adequate"),
    "one person on two loads": (
        (worker(), PAIR, {"loads": {"other": {"who": ["second"]}}}),
        "people/second/lines", "not demonstrated",
    ),
    "one person on two loads, one after the other": (
        (worker(), PAIR, {"loads": {"other": {"who": ["second"], "in_turn": "after the first"}}}),
        "people/second/lines", "adequate",
    ),
    "a person without a safety line": (
        (worker(), PAIR, {"lines": {"s2": None}}), "people/third/lines", "inadequate",
    ),
    "the other one is no worse for that": (
        (worker(), PAIR, {"lines": {"s2": None}}), "people/second/lines", "adequate",
    ),
    "a person whose two lines hang on one anchor": (
        (worker(), PAIR, {"lines": {"s2": {"anchor": "three"}}}),
        "people/third/lines", "inadequate",
    ),
    "a person on two safety lines and no working line": (
        (worker(), PAIR, {"lines": {"w2": {"role": "safety", "fall": SAFETY["fall"]}}}),
        "people/third/lines", "inadequate",
    ),
    "the load of that person": (
        (worker(), PAIR, {"lines": {"w2": {"role": "safety", "fall": SAFETY["fall"]}}}),
        "load/other/lines", "inadequate",
    ),
    "a rescue load that nobody hangs on": (
        (worker(), {"loads": {"both": {"people": "2", "mass": "160 kg", "kit": "20 kg",
                                       "who": ["second", "third"]}},
                    "lines": {"working": {"rescue": {"load": "both", "how": "lower"}}}}),
        "people/second/lines", "adequate",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("changes", "id", "verdict"), PLANS.values(), ids=PLANS)
def test_what_a_careful_supervisor_says_of_who_hangs_there(changes, id, verdict):
    assert check(as_json(*changes), id)["verdict"] == verdict


def test_a_check_of_everybody_stays_whoever_is_left_out():
    """No key that is left out takes a person's checks away."""
    wanted = {f"people/{id}/{what}" for id in BASE["people"] for what in ("lines", "competence")}
    for change in (
        {}, worker(who=None), {"rescue": {"who": None}},
        {"people": {id: {"supervises": "false"} for id in BASE["people"]}},
    ):  # fmt: skip
        assert wanted <= {each["id"] for each in as_json(change)["checks"]}


def test_ground_crew_is_competent_too():
    """Work at Height Regulations 2005 reg. 5: everyone engaged in the work."""
    undated = {"people": {"lead": {"expires": None}}, "rescue": {"who": ["second", "third"]}}
    never = merged(undated, {"people": {"lead": {"expires": {"none": "holds for life"}}}})

    assert check(as_json(undated), "people/lead/competence")["verdict"] == "not demonstrated"
    assert check(as_json(never), "people/lead/competence")["verdict"] == "adequate"


def test_nobody_supervises_where_nobody_is_said_to():
    nobody = {"people": {id: {"supervises": "false"} for id in BASE["people"]}}

    assert check(as_json(nobody), "people/supervisor")["verdict"] == "inadequate"
    assert check(as_json(), "people/supervisor")["verdict"] == "adequate"


THING = {
    "loads": {"worker": {"people": "0", "mass": "60 kg", "kit": "0 kg"}},
    "lines": {"working": {"cases": ["lower"], "rescue": None},
              "safety": {"cases": ["hold"], "rescue": None}},
}  # fmt: skip
ALONE = {"lines": {"safety": None}}
EMPTY = {"loads": {"worker": {"one_line": "the yard below is closed and empty"}}}


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ((), "adequate"),
        ((ALONE,), "not demonstrated"),  # so that leaving out the belay never helps
        ((ALONE, EMPTY), "adequate"),
        (({"lines": {"safety": {"anchor": "one"}}},), "not demonstrated"),
        (({"lines": {"safety": {"anchor": "one"}}}, EMPTY), "adequate"),
    ],
)
def test_a_thing_on_one_line_falls_when_that_goes(changes, verdict):
    assert check(as_json(THING, *changes), "load/worker/lines")["verdict"] == verdict


HAUL = {"stages": [{"strands": "3", "ends": "moving"}], "haulers": "2"}


@pytest.mark.parametrize(
    ("haulers", "verdict"),
    [("2", "adequate"), ("3", "not demonstrated")],  # three are named, and one hangs there
)
def test_a_hauling_team_is_of_people_who_are_named(haulers, verdict):
    hauled = {"lines": {"working": {"cases": ["raise"], "haul": {**HAUL, "haulers": haulers}}}}

    assert check(as_json(hauled), "line/working/haul/crew")["verdict"] == verdict


RAISE = {"cases": ["raise"]}
BY_HAND = {"cases": ["raise"], "haul": {"none": "taken in by hand"}}


@pytest.mark.parametrize(
    ("line", "change", "verdict"),
    [
        ("working", RAISE, "not demonstrated"),  # raised by what?
        ("working", BY_HAND, "not demonstrated"),  # a person is not raised by hand alone
        ("safety", RAISE, "not demonstrated"),
        ("safety", BY_HAND, "adequate"),
        ("working", {**RAISE, "haul": {**HAUL, "haulers": "9"}}, "adequate"),
        ("working", {"rescue": {"load": "worker", "how": "raise"}}, "not demonstrated"),
    ],
)
def test_what_is_raised_has_a_hauling_system(line, change, verdict):
    found = check(as_json({"lines": {line: change}}), f"line/{line}/haul/team")

    assert found["verdict"] == verdict
