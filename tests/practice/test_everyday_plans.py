"""Everyday plans, and what a careful supervisor says of each (common practice, no source).

The tool must say the same: where it cries wolf it is put away, where it is silent it kills.
"""

from __future__ import annotations

from typing import Any

import pytest
from support.plan import (
    BASE,
    COPING,
    PAD,
    PLATE,
    ROLLER,
    as_json,
    both_ropes,
    check,
    figure,
    over_edges,
)

REACH = {"sites": {"wall": {"reach_sideways": "2.2 m"}}}
LITTLE_REACH = {"sites": {"wall": {"reach_sideways": "0.5 m"}}}
TWO_PEOPLE = {"loads": {"worker": {"people": "2", "mass": "160 kg", "kit": "20 kg"}}}
ROUGH = {"site": "wall", "surface": "rough concrete", "radius": "10 mm", "turn": "90 deg"}
BAG = {"kind": "loose cover", "width": "400 mm", "tied": "false"}


def both(change: dict[str, Any]) -> dict[str, Any]:
    return {"lines": {"working": change, "safety": change}}


HAUL = {"stages": [{"strands": "3", "ends": "moving"}], "haulers": "5"}
SEWN = {"lines": {"working": {"knots": {"anchor": "sewn eye", "load": "sewn eye"}}}}
RAISED = {
    "people": {f"hand{n}": {**BASE["people"]["third"], "name": f"Hand {n}"} for n in range(6)},
    "lines": {
        "working": {"cases": ["raise"], "haul": HAUL},
        "safety": {"cases": ["raise"], "haul": {"none": "taken in by hand"}},
    },
}
LOWERED = both({"cases": ["lower"]})


def rope(**change: Any) -> dict[str, Any]:
    return both_ropes(**change)


def first_anchor(*legs: dict[str, str]) -> dict[str, Any]:
    sharing = {"equalised": "fixed"} if len(legs) > 1 else {}
    return {"anchors": {"one": {"legs": list(legs), **sharing}}}


def leg(strength: str, angle: str) -> dict[str, str]:
    return {"strength": strength, "evidence": "tested", "angle": angle}


ADEQUATE = {
    "one person free-hanging on 11 mm type A from two anchors": (),
    "the same wet on 27 kN with figure-of-eight knots": (
        rope(strength="27 kN"),
        {"sites": {"wall": {"wet": "true"}}},
    ),
    "over a coping under tied rigid plates": (over_edges(protector=PLATE),),
    "the same with six passes inside the plate": (over_edges(protector=PLATE, passes="6"), REACH),
    "over a coping under tied pads, straight down": (over_edges(protector=PAD),),
    "two people lowered over a roller": (over_edges(ROUGH, ROLLER), TWO_PEOPLE, LOWERED),
    "two people lowered over a tied pad": (over_edges(ROUGH, PAD), TWO_PEOPLE, LOWERED),
    # Five who jerk 0.55 kN each on a 3:1 put 8.3 kN on the line when it snags: knots would leave
    # 15 kN of it, 1.8 times.
    "two people hauled over a roller, with sewn eyes": (
        over_edges(ROUGH, ROLLER),
        TWO_PEOPLE,
        RAISED,
        SEWN,
    ),
    "one anchor made of two legs at 60 degrees": (
        first_anchor(leg("15 kN", "30 deg"), leg("15 kN", "30 deg")),
    ),
    "a 24 kN rope in good condition": (rope(strength="24 kN"),),
}


@pytest.mark.parametrize("changes", ADEQUATE.values(), ids=ADEQUATE)
def test_a_careful_supervisor_lets_it_start(changes):
    stops = [c for c in as_json(*changes)["checks"] if c["verdict"] != "adequate"]

    assert not stops


UNTRAINED = {
    "people": {"third": {"rescue": "false"}},
    "rescue": {"who": ["lead", "second"]},
}
ON_ROPE = {"loads": {"worker": {"who": ["second"]}}}

NOT_ADEQUATE = {
    "many passes over the bare coping": (
        (over_edges(passes="20"), REACH),
        "line/working/edge/edge_working/exposure",
        "inadequate",
    ),
    "two people hauled over bare rough concrete": (
        (over_edges(ROUGH), TWO_PEOPLE, RAISED),
        "line/working/margin/rated",
        "inadequate",
    ),
    "an anchor of unknown strength": (
        (first_anchor({"evidence": "unknown"}),),
        "anchor/one/leg/1",
        "not demonstrated",
    ),
    "an anchor of unknown strength with a hopeful number": (
        (first_anchor({"strength": "30 kN", "evidence": "unknown"}),),
        "anchor/one/strength",
        "not demonstrated",
    ),
    "a worn 24 kN rope that must arrest": (
        (rope(strength="24 kN", condition="worn"),),
        "line/safety/margin/arrest",
        "inadequate",
    ),
    "a bag as protection under a line that can fall": (
        (over_edges(protector=BAG),),
        "line/safety/edge/edge_safety/rule/cover",
        "inadequate",
    ),
    "a safety line over a bare sharp edge": (
        (over_edges(dict(COPING, radius="2 mm")),),
        "line/safety/edge/edge_safety/rule/sharp",
        "inadequate",
    ),
    "one bolt for both lines": (
        ({"lines": {"safety": {"anchor": "one"}}},),
        "load/worker/lines",
        "inadequate",
    ),
    "both lines called working, so that nothing is judged for a fall": (
        ({"lines": {"safety": {"role": "working", "fall": None}}},),
        "load/worker/lines",
        "inadequate",
    ),
    "a bare blade under two strands": (
        (over_edges(dict(COPING, radius="0.5 mm")), {"lines": {"working": {"strands": "2"}}}),
        "line/working/edge/edge_working/rule/blade",
        "inadequate",
    ),
    "a safety line over a sharp edge with a sleeve, which slides in a fall": (
        (over_edges(protector={"kind": "sleeve", "tied": "true"}),),
        "line/safety/edge/edge_safety/rule/sharp",
        "inadequate",
    ),
    "an untied plate said to grip the rope": (
        (over_edges(protector={**PLATE, "tied": "false", "grips": "true"}),),
        "line/safety/edge/edge_safety/rule/cover",
        "inadequate",
    ),
    "a safety line whose worker stands wider than its plate": (
        (over_edges(protector={**PLATE, "width": "300 mm"}, passes="1"), REACH),
        "line/safety/edge/edge_safety/rule/sharp",
        "inadequate",
    ),
    "a working line that sweeps beside its plate": (
        (over_edges(protector={**PLATE, "width": "300 mm"}, passes="1"), REACH),
        "line/working/edge/edge_working/rule/bare",
        "borderline",
    ),
    "an empty rescue plan": (
        ({"rescue": {"who": None, "method": None, "time_to_ground": None}},),
        "rescue/stated",
        "not demonstrated",
    ),
    "a rescuer of one line alone who was never trained": (
        (UNTRAINED, {"rescue": {"lines": {"working": {"who": ["third"]}}}}),
        "rescue/by",
        "inadequate",
    ),
    "one line whose only rescuer hangs on it": (
        (ON_ROPE, {"rescue": {"lines": {"working": {"who": ["second"]}}}}),
        "rescue/team/worker",
        "inadequate",
    ),
    "a rescuer of one line alone whose competence nobody dates": (
        (
            {
                "people": {"third": {"expires": None}},
                "rescue": {"who": ["lead", "second"], "lines": {"working": {"who": ["third"]}}},
            },
        ),
        "people/third/competence",
        "not demonstrated",
    ),
    "one line without a time to the ground": (
        ({"rescue": {"time_to_ground": None, "lines": {"working": {"time_to_ground": "8 min"}}}},),
        "rescue/stated",
        "not demonstrated",
    ),
    "a suspect rope": ((rope(condition="suspect"),), "rope/main/condition", "inadequate"),
    "a rope past its date": ((rope(retire_by="2027-05"),), "rope/main/age", "inadequate"),
    "a rope nobody has inspected for a year": (
        (rope(inspected="2026-05-01"),),
        "rope/main/inspection",
        "inadequate",
    ),
    "a rope whose inspection nobody states": (
        (rope(inspected=None),),
        "rope/main/inspection",
        "not demonstrated",
    ),
    "a half rope on a single strand": (
        (rope(standard="EN 892 half", stretch="8 %"),),
        "line/working/paired",
        "inadequate",
    ),
    "a type A rope stated at 20 kN": (
        (rope(strength="20 kN"),),
        "rope/main/standard/strength",
        "inadequate",
    ),
    "a bridle opened to 150 degrees on 15 kN legs": (
        (first_anchor(leg("15 kN", "75 deg"), leg("15 kN", "75 deg")),),
        "anchor/one/strength",
        "inadequate",
    ),
    "a 10 kN anchor": (
        (first_anchor({"strength": "10 kN", "evidence": "tested"}),),
        "anchor/one/strength",
        "inadequate",
    ),
    "four metres of slack above four metres of rope": (
        ({"lines": {"safety": {"below": "4 m", "fall": {"free": "4 m"}}}},),
        "line/safety/fall/peak",
        "inadequate",
    ),
    "a person on one strand over bare rounded granite": (
        (over_edges(dict(COPING, radius="15 mm")),),
        "line/working/edge/edge_working/rule/bare",
        "borderline",
    ),
    "a safety line whose fall nobody stated": (
        ({"lines": {"safety": {"fall": None}}},),
        "line/safety/margin/derated",
        "not demonstrated",
    ),
}


@pytest.mark.parametrize(("changes", "id", "verdict"), NOT_ADEQUATE.values(), ids=NOT_ADEQUATE)
def test_a_careful_supervisor_stops_it_for_this(changes, id, verdict):
    data = as_json(*changes)

    assert check(data, id)["verdict"] == verdict
    assert data["status"] != "adequate"


def test_the_roller_mends_what_the_bare_concrete_spoils():
    bare = as_json(over_edges(ROUGH), TWO_PEOPLE, RAISED)
    rolled = as_json(over_edges(ROUGH, ROLLER), TWO_PEOPLE, RAISED)

    assert check(bare, "line/working/margin/rated")["verdict"] == "inadequate"
    assert check(rolled, "line/working/margin/rated")["verdict"] == "adequate"


def test_rules_hold_whatever_else_is_missing():
    """Wind is stated and not the hours: no exposure can be had, and the sharp edge still stops."""
    plan = over_edges(protector={**PLATE, "width": "300 mm"}, passes="1")
    blow = {"stop_at": "9 m/s", "measured_as": "mean", "height": "10 m", "source": "crew"}
    untimed = {"lines": {"safety": {"hours": None}}}
    data = as_json(plan, REACH, {"sites": {"wall": {"wind": blow}}}, untimed)
    name = "line/safety/edge/edge_safety"

    assert check(data, f"{name}/exposure")["verdict"] == "not demonstrated"
    assert check(data, f"{name}/rule/sharp")["verdict"] == "inadequate"


def test_no_passes_are_counted_as_one_where_there_is_a_reach():
    """Whoever works two metres off the fall line crosses it at least once."""
    id = "line/working/edge/edge_working/exposure/sideways/hold"
    none = as_json(over_edges(passes="0"), REACH)
    one = as_json(over_edges(passes="1"), REACH)

    assert figure(none, id)["expected"] == figure(one, id)["expected"] > 0


def test_two_strands_sharing_over_a_pad_are_better_than_one():
    plan = (over_edges(protector=PAD, passes="6"), REACH)
    shared = {"lines": {"working": {"strands": "2"}}}
    id = "line/working/edge/edge_working/exposure"
    one, two = figure(as_json(*plan), id), figure(as_json(*plan, shared), id)

    assert two["high"] < one["high"]
    assert two["expected"] < one["expected"] / 4
    assert check(as_json(*plan, shared), id)["verdict"] == "adequate"


def test_protections_rank_as_the_trade_ranks_them():
    """Bare is worse than a loose cover, that worse than a tied pad, that worse than a plate."""
    id = "line/working/edge/edge_working/exposure"
    plans = [
        over_edges(passes="4"),
        over_edges(protector=BAG, passes="4"),
        over_edges(protector=PAD, passes="4"),
        over_edges(protector=PLATE, passes="4"),
    ]
    found = [figure(as_json(plan, LITTLE_REACH), id)["expected"] for plan in plans]

    assert found == sorted(found, reverse=True)
    assert len(set(found)) == len(found)


def test_sideways_wears_most_then_sawing_then_running():
    plan = over_edges(passes="6")
    name = "line/working/edge/edge_working/exposure"
    work = as_json(plan, REACH)
    lowered = as_json(plan, REACH, {"lines": {"working": {"cases": ["lower"]}}})
    sideways = figure(work, f"{name}/sideways/hold")["expected"]
    sawing = figure(work, f"{name}/sawing/ascend")["expected"]
    running = figure(lowered, f"{name}/running/lower")["expected"]

    assert sideways > sawing > running > 0


def test_what_both_lines_share_is_at_best_borderline():
    plan = over_edges(protector=PLATE)
    one_edge = {"lines": {"safety": {"over": [{"edge": "edge_working", "after": "2.5 m"}]}}}
    one_edge["edges"] = {"edge_safety": None}
    one_plate = {"edges": {"edge_safety": {"protection": "at_working"}}}

    one_rope = {"lines": {"safety": {"rope": "main"}}}

    for change, id in (
        (one_edge, "edge/edge_working/common"),
        (one_plate, "protection/at_working/common"),
        (one_rope, "rope/main/common"),
    ):
        data = as_json(plan, change)
        assert check(data, id)["verdict"] == "borderline"
        assert data["status"] == "borderline"
