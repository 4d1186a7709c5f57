"""Rescue plans, and what a careful supervisor says of each (common practice, no source)."""

from __future__ import annotations

from typing import Any

import pytest
from support.plan import BASE, as_json, check, figure, merged

from riskdoc.judgement.verdicts import Verdict

BOTH = {"people": "2", "mass": "165 kg", "kit": "20 kg"}
HAUL = {"stages": [{"strands": "3", "ends": "moving"}], "haulers": "9"}


def on_working(load: str, how: str, **more: Any) -> dict[str, Any]:
    return {"rescue": {"load": load, "how": how}, **more}


def with_load(how: str, load: str, line_how: str, part: Any = BOTH, **more: Any) -> dict[str, Any]:
    loads = {"both": part} if load == "both" else {}
    return {"rescue": {"how": how}, "loads": loads,
            "lines": {"working": on_working(load, line_how, **more)}}  # fmt: skip


ELSEWHERE = {
    "sites": {"yard": {**BASE["sites"]["wall"]}},
    "loads": {"both": BOTH},
    "rescue": {"how": "lower"},
    "ropes": {"far": dict(BASE["ropes"]["main"])},
    "anchors": {"far": BASE["anchors"]["one"]},
    "lines": {"far": {**BASE["lines"]["working"], "rope": "far", "anchor": "far", "site": "yard",
                      "load": "both", "rescue": {"load": "both", "how": "lower"}}},
}  # fmt: skip

HOW: dict[str, tuple[dict[str, Any], str]] = {
    "from below, with a lift platform": ({}, "adequate"),
    "from below, with what nobody says": ({"rescue": {"kit": None}}, "not demonstrated"),
    "no method": ({"rescue": {"how": None}}, "not demonstrated"),
    "by the casualty": ({"rescue": {"how": "self"}}, "inadequate"),
    "lowered, and no line is made for it": ({"rescue": {"how": "lower"}}, "not demonstrated"),
    "lowered alone": (with_load("lower", "worker", "lower"), "adequate"),
    "lowered, on a line that is raised": (
        with_load("lower", "worker", "raise", haul=HAUL), "not demonstrated",
    ),
    "raised with a haul": (with_load("raise", "worker", "raise", haul=HAUL), "adequate"),
    "raised without one": (with_load("raise", "worker", "raise"), "not demonstrated"),
    "accompanied": (with_load("accompany", "both", "lower"), "adequate"),
    "accompanied, computed with one": (
        with_load("accompany", "worker", "lower"), "not demonstrated",
    ),
    "accompanied by a rescuer who weighs nothing": (
        with_load("accompany", "both", "lower", {**BOTH, "mass": "80 kg"}), "not demonstrated",
    ),
    "lowered with less than hangs there": (
        with_load("lower", "both", "lower", {**BOTH, "people": "1", "mass": "60 kg"}),
        "not demonstrated",
    ),
    "lowered on a line at another place": (ELSEWHERE, "not demonstrated"),
}  # fmt: skip


@pytest.mark.parametrize(("change", "verdict"), HOW.values(), ids=HOW)
def test_a_method_has_what_it_cannot_do_without(change, verdict):
    assert check(as_json(change), "line/working/rescue/how")["verdict"] == verdict


def test_the_rescue_load_is_judged_with_every_case_by_hand():
    """Two of 185 kg in all, lowered: 185 · 9.80665 · 1.2 = 2177 N, at worst 1.5 times the weight;
    ten times the weight is 18.1 kN, so a rope of 18 kN does not hold it and one of 19 kN does."""
    plan = with_load("accompany", "both", "lower")

    def rated(strength: str) -> str:
        rope = {"ropes": {"main": {"strength": strength, "standard": "none stated"}}}
        return str(check(as_json(plan, rope), "line/working/margin/rated")["verdict"])

    force = figure(as_json(plan), "line/working/tension/load/rescue")
    assert force["expected"] == pytest.approx(185 * 9.80665 * 1.2)
    assert force["high"] == pytest.approx(185 * 9.80665 * 1.5)
    assert (rated("18 kN"), rated("19 kN")) == ("inadequate", "adequate")


@pytest.mark.parametrize(
    ("rescue", "verdict"),
    [
        ({"none": "the platform reaches everywhere"}, "adequate"),
        (None, "not demonstrated"),
        ({"load": "worker", "how": "lower"}, "adequate"),
    ],
)
def test_every_line_says_what_it_carries_in_a_rescue(rescue, verdict):
    found = as_json({"lines": {"working": {"rescue": rescue}}})

    assert check(found, "line/working/rescue/load")["verdict"] == verdict


@pytest.mark.parametrize(
    ("signal", "call", "verdict"),
    [
        ("good", None, "adequate"),
        ("patchy", None, "not demonstrated"),
        ("patchy", "radio to the gatehouse", "adequate"),
        ("none", None, "inadequate"),
        ("none", "radio to the gatehouse", "adequate"),
        (None, None, "not demonstrated"),
        (None, "radio to the gatehouse", "not demonstrated"),
    ],
)
def test_help_can_be_called(signal, call, verdict):
    found = as_json({"rescue": {"phone_signal": signal, "call": call}})

    assert check(found, "rescue/call")["verdict"] == verdict


@pytest.mark.parametrize(
    ("change", "verdict"),
    [
        ({}, "adequate"),
        ({"by": None}, "not demonstrated"),
        ({"who": None}, "not demonstrated"),
        ({"by": "emergency services"}, "inadequate"),
        ({"by": "emergency services", "who": None}, "inadequate"),
    ],
)
def test_somebody_of_the_jobs_own_rescues(change, verdict):
    assert check(as_json({"rescue": change}), "rescue/by")["verdict"] == verdict


OWN = {"how": "from below", "method": "a lift platform", "time_to_ground": "8 min"}
ENTRIES = {"working": OWN, "safety": OWN}


def entry(**change: Any) -> dict[str, Any]:
    return {"rescue": {"lines": merged(ENTRIES, {"working": change})}}


@pytest.mark.parametrize(
    ("change", "id", "verdict"),
    [
        (entry(), "rescue/stated", Verdict.ADEQUATE),
        (entry(), "line/working/rescue/time", Verdict.ADEQUATE),
        # A line that is stated by itself does not fall back on the time and method of others.
        (entry(time_to_ground=None), "line/working/rescue/time", Verdict.NOT_DEMONSTRATED),
        (entry(time_to_ground="12 min"), "line/working/rescue/time", Verdict.INADEQUATE),
        (entry(how=None), "line/working/rescue/how", Verdict.NOT_DEMONSTRATED),
        (entry(method=None), "rescue/stated", Verdict.NOT_DEMONSTRATED),
        # Kit and people are shared.
        (entry(kit="a ladder"), "line/working/rescue/how", Verdict.ADEQUATE),
        # A line that is left out is covered by nobody's word.
        ({"rescue": {"lines": {"working": OWN}}}, "rescue/stated", Verdict.NOT_DEMONSTRATED),
        ({"rescue": {"lines": None}}, "rescue/stated", Verdict.NOT_DEMONSTRATED),
    ],
)
def test_the_rescue_from_one_line_stands_by_itself(change, id, verdict):
    assert check(as_json(change), id)["verdict"] == verdict.value


def test_a_long_time_needs_a_reason_of_its_own():
    """That another line takes longer for a reason says nothing of this one."""
    general = {"rescue": {"time_to_ground": "12 min", "why_longer": "the tower is high"}}
    own = merged(general, entry(time_to_ground="12 min"))
    reasoned = merged(own, entry(time_to_ground="12 min", why_longer="two ladders"))
    id = "line/working/rescue/time"

    assert check(as_json(general), id)["verdict"] == "borderline"  # no reason makes it short
    assert check(as_json(own), id)["verdict"] == "inadequate"
    assert check(as_json(reasoned), id)["verdict"] == "borderline"
    for line, other in (("10 min", "adequate"), ("10.1 min", "borderline")):
        timed = merged(own, entry(time_to_ground=line, why_longer="two ladders"))
        assert check(as_json(timed), id)["verdict"] == other


def test_leaving_out_what_the_rescue_needs_is_never_adequate():
    """Every key of the rescue, and of the line that is lowered, one at a time."""
    plan = with_load("accompany", "both", "lower")
    assert as_json(plan)["status"] == "adequate"
    whole = merged(BASE, plan)
    needed = {key for key in whole["rescue"] if key not in ("call", "kit")}
    for key in sorted(needed):
        assert as_json(plan, {"rescue": {key: None}})["status"] != "adequate", key
    assert as_json(plan, {"lines": {"working": {"rescue": None}}, "loads": {"both": None}})[
        "status"
    ] == "not demonstrated"  # fmt: skip
