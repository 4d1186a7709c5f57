"""Plans at edges, each with what a careful supervisor says of it and why (common practice).

The verdict was written first. Where a number decides, its arithmetic stands in the test.
"""

from __future__ import annotations

from typing import Any

import pytest
from support.plan import (
    COPING,
    PAD,
    PLATE,
    ROLLER,
    as_json,
    both_ropes,
    check,
    figure,
    job_of,
    merged,
    over_edges,
)

from riskdoc.judgement.assess import assess
from riskdoc.mitigation.edge_changes import edge_changes
from riskdoc.requirements.judging import judged

Plan = tuple[dict[str, Any], ...]

REACH = {"sites": {"wall": {"reach_sideways": "2.2 m"}}}
WET = {"sites": {"wall": {"wet": "true"}}}
BARE = {"protection": {"none": "the coping is to be kept free"}}
SLEEVE = {"kind": "sleeve", "tied": "true"}
COVER = {"kind": "loose cover", "width": "1 m", "tied": "true"}
EDGE = "line/working/edge/edge_working"
SAFE = "line/safety/edge/edge_safety"


def day(
    protector: dict[str, Any] | None = PAD, edge: dict[str, Any] = COPING, passes: str = "6"
) -> dict[str, Any]:
    """A day's work: 98 kg, 14 m down and up, 2.2 m to either side, 6 hours, 2.6 m to the coping."""
    plan = over_edges(edge, protector, after="2.6 m", passes=passes)
    for line in ("working", "safety"):
        plan["lines"][line]["below"] = "14 m"
    plan["lines"]["working"]["hours"] = "6 h"
    return merged(plan, REACH)


def radius(size: str, **more: str) -> dict[str, Any]:
    return {**COPING, "radius": size, **more}


def strands(count: int) -> dict[str, Any]:
    return {"lines": {"working": {"strands": str(count)}}}


def wind(speed: str) -> dict[str, Any]:
    blow = {"stop_at": speed, "measured_as": "mean", "height": "10 m", "source": "crew rule"}
    return {"sites": {"wall": {"wind": blow}}}


SOUND: dict[str, tuple[Plan, str]] = {
    "a day over a secured pad, dry": (
        (day(),),
        "A thick pad that stays and is wider than the sweep is what a day's work is done over.",
    ),
    "a day over a secured pad, wet": ((day(), WET), "Rain does not end a day over a good pad."),
    "a day over a secured pad on a thinner rope of polyester": (
        (day(), both_ropes(diameter="10.5 mm", sheath="polyester")),
        "The usual rope of the trade.",
    ),
    "a day over a secured pad in wind up to 8 m/s": (
        (day(), wind("8 m/s")),
        "Gusts push the worker about; the rope stays where it lies on the pad.",
    ),
    "a day over a secured pad on two strands": (
        (day(), strands(2), {"devices": {"descender": {"each_strand": "true"}}}),
        "Better than on one.",
    ),
    "a day over a plate wider than the sweep": ((day(PLATE),), "Better than a pad."),
    "a plate over a blade, straight down": (
        (over_edges(radius("0.5 mm"), PLATE),),
        "The plate takes the place of the blade.",
    ),
    "a plate wider than the sweep over a blade": (
        (day(PLATE, radius("0.5 mm")),),
        "The rope never comes off the plate.",
    ),
    "a roller set with guards over a sharp edge": (
        (day(ROLLER, radius("2 mm")),),
        "Side guards keep the rope on the rollers, however far the worker goes.",
    ),
    "a secured pad over an edge of 3 mm, straight down": (
        (over_edges(radius("3 mm"), PAD),),
        "Sharp, but no blade: a thick pad may lie on it.",
    ),
    "a secured plate over an edge of 2.9 mm, straight down": (
        (over_edges(radius("2.9 mm"), PLATE),),
        "The plate takes the place of the edge.",
    ),
    "a rope that hangs free, and says so": ((), "No edge, and the plan says why."),
}


@pytest.mark.parametrize(("changes", "why"), SOUND.values(), ids=SOUND)
def test_a_careful_supervisor_has_nothing_against_it(changes, why):
    against = [c for c in as_json(*changes)["checks"] if c["verdict"] != "adequate"]

    assert not against, why


UNSOUND: dict[str, tuple[Plan, str, str, str]] = {
    "the same day over the bare coping": (
        (day(None),),
        f"{EDGE}/exposure",
        "inadequate",
        "Six passes over a square bare coping cut into a sheath.",
    ),
    "twenty passes over the bare coping": (
        (day(None, passes="20"),),
        f"{EDGE}/exposure",
        "inadequate",
        "Nobody saws a rope twenty times along stone.",
    ),
    "twenty passes over the bare coping on two strands": (
        (day(None, passes="20"), strands(2)),
        f"{EDGE}/exposure",
        "inadequate",
        "Two strands help four to eight times, and that is not enough.",
    ),
    "a day over a pad that is narrower than the sweep": (
        (day({**PAD, "width": "300 mm"}),),
        f"{EDGE}/exposure",
        "inadequate",
        "More than half of each pass is on bare stone.",
    ),
    "a person beside a plate that is narrower than the sweep": (
        (day({**PLATE, "width": "300 mm"}, radius("5 mm")),),
        f"{EDGE}/rule/bare",
        "borderline",
        "Part of the time the one strand lies on the bare edge.",
    ),
    "a fall beside a plate that is narrower than the sweep": (
        (day({**PLATE, "width": "300 mm"}),),
        f"{SAFE}/rule/sharp",
        "inadequate",
        "The rope can be beside the plate when the fall comes.",
    ),
    "a plate of which nobody knows whether the rope stays on it": (
        (over_edges(COPING, PLATE), {"sites": {"wall": {"reach_sideways": None}}}),
        f"{SAFE}/rule/sharp",
        "not demonstrated",
        "Without the reach the sweep is not known.",
    ),
    "a secured pad over an edge of 2.9 mm": (
        (over_edges(radius("2.9 mm"), PAD),),
        f"{SAFE}/rule/sharp",
        "borderline",
        "An arrest presses the rope through the pad.",
    ),
    "a secured pad over an edge of 2.9 mm that the worker swings over": (
        (day(PAD, radius("2.9 mm")),),
        f"{EDGE}/rule/sharp",
        "borderline",
        "So does a swing.",
    ),
    "a secured pad over a blade": (
        (over_edges(radius("0.5 mm"), PAD),),
        f"{EDGE}/rule/blade",
        "inadequate",
        "A blade cuts through a pad.",
    ),
    "a sleeve over a blade": (
        (over_edges(radius("0.5 mm"), SLEEVE),),
        f"{EDGE}/rule/blade",
        "inadequate",
        "A blade cuts through a sleeve.",
    ),
    "a tied cover over a blade": (
        (over_edges(radius("0.5 mm"), COVER),),
        f"{EDGE}/rule/blade",
        "inadequate",
        "A blade cuts through a bag.",
    ),
    "an edge of which nobody knows whether it is a blade, under a pad": (
        (over_edges(radius("0.9 to 3 mm"), PAD),),
        f"{EDGE}/rule/blade",
        "inadequate",
        "It may be one.",
    ),
    "a pad over a blade under a safety line": (
        (over_edges(radius("0.5 mm"), PAD),),
        f"{SAFE}/rule/sharp",
        "inadequate",
        "What does not hold off a blade at work does not in a fall.",
    ),
    "a plate over a blade, narrower than the sweep": (
        (day({**PLATE, "width": "300 mm"}, radius("0.5 mm")),),
        f"{EDGE}/rule/blade",
        "inadequate",
        "Beside the plate lies the blade.",
    ),
    "a plate over a blade, and nobody knows the reach": (
        (
            over_edges(radius("0.5 mm"), PLATE),
            {"sites": {"wall": {"reach_sideways": None}}},
        ),
        f"{EDGE}/rule/blade",
        "not demonstrated",
        "Beside the plate would lie the blade.",
    ),
    "an untied plate over a blade": (
        (over_edges(radius("0.5 mm"), {**PLATE, "tied": "false"}),),
        f"{EDGE}/rule/blade",
        "inadequate",
        "It does not stay.",
    ),
    "a plate that is sharp itself": (
        (over_edges(COPING, {**PLATE, "radius": "2 mm"}),),
        f"{SAFE}/rule/sharp",
        "inadequate",
        "The edge of the plate cuts as well as that of the stone.",
    ),
    "an edge of which nobody says what lies on it": (
        (over_edges(), {"edges": {"edge_working": {"protection": None}}}),
        f"{EDGE}/protection",
        "not demonstrated",
        "Bare on purpose, or forgotten?",
    ),
    "a line of which nobody says what it runs over": (
        ({"lines": {"working": {"over": None}}},),
        "line/working/edges",
        "not demonstrated",
        "Free, or over an edge that nobody looked at?",
    ),
    "a line with an empty list of edges": (
        ({"lines": {"working": {"over": []}}},),
        "line/working/edges",
        "not demonstrated",
        "An empty list is silence.",
    ),
    "climbs that nobody counted": (
        (day(), {"lines": {"working": {"runs": None}}}),
        f"{EDGE}/exposure",
        "not demonstrated",
        "Once, or ten times a day?",
    ),
    "hours that nobody stated": (
        (day(), {"lines": {"working": {"hours": None}}}),
        f"{EDGE}/exposure",
        "not demonstrated",
        "A person at work moves the rope all the time.",
    ),
    "passes that nobody counted": (
        (day(), {"lines": {"working": {"passes": None}}}),
        f"{EDGE}/exposure",
        "not demonstrated",
        "They wear most.",
    ),
    "passes that nobody counted, in the wind": (
        (
            over_edges(protector=PAD),
            wind("8 m/s"),
            {"lines": {"working": {"passes": None}}},
        ),
        f"{EDGE}/exposure",
        "not demonstrated",
        "The wind alone takes the worker to the side.",
    ),
}


@pytest.mark.parametrize(("changes", "id", "verdict", "why"), UNSOUND.values(), ids=UNSOUND)
def test_a_careful_supervisor_says_no(changes, id, verdict, why):
    data = as_json(*changes)

    assert check(data, id)["verdict"] == verdict, why
    assert data["status"] != "adequate"


def test_a_stated_reason_stands_in_the_place_of_a_protector():
    data = as_json(over_edges({**COPING, "radius": "30 mm", **BARE}))
    found = check(data, f"{EDGE}/protection")

    assert found["verdict"] == "adequate"
    assert "the coping is to be kept free" in found["reason"]


def test_the_same_check_is_there_whatever_is_stated_of_an_edge():
    silent = {"edges": {"edge_working": {"protection": None}}}
    for changes in ((over_edges(),), (over_edges(protector=PAD),), (over_edges(), silent)):
        assert check(as_json(*changes), f"{EDGE}/protection")


SILENT = [
    ("sites", "wall", "reach_sideways"),
    ("lines", "working", "runs"),
    ("lines", "working", "hours"),
    ("lines", "working", "passes"),
    ("lines", "safety", "hours"),
]


@pytest.mark.parametrize("keys", SILENT, ids=".".join)
@pytest.mark.parametrize("size", ["4 mm", "5 mm", "0.5 mm"])
@pytest.mark.parametrize("kind", ["pad", "plate", "narrow plate", "bare"])
def test_leaving_a_key_of_an_edge_out_betters_no_check_and_takes_none_away(keys, size, kind):
    """Every verdict that could be given stays or becomes `not demonstrated`, and none is lost.

    But one that was found wanting cannot be found so without what it was found by.
    """
    kinds = {"pad": PAD, "plate": PLATE, "narrow plate": {**PLATE, "width": "300 mm"}, "bare": None}
    plan = day(kinds[kind], radius(size))
    section, name, key = keys
    before = {c["id"]: c["verdict"] for c in as_json(plan)["checks"]}
    after = {c["id"]: c for c in as_json(plan, {section: {name: {key: None}}})["checks"]}

    assert before.keys() <= after.keys()
    for id, verdict in before.items():
        if after[id]["verdict"] == "adequate":
            assert verdict == "adequate", id


@pytest.mark.parametrize(
    ("changes", "answer"),
    [
        ((), "met"),
        ((over_edges(),), "met"),
        (({"lines": {"working": {"over": None}}},), "not demonstrated"),
        (
            (over_edges(), {"edges": {"edge_safety": {"protection": None}}}),
            "not demonstrated",
        ),
    ],
    ids=["hangs free", "bare, and says why", "a line says nothing", "an edge says nothing"],
)
def test_the_set_asks_what_lines_run_over_and_what_lies_there(changes, answer):
    found = judged(assess(job_of(*changes)), (), None)
    answers = {each.item.id: each.answer.value for each in found.answers}

    assert answers["edges_stated"] == answer


# --- what the trade says of sizes ---------------------------------------------------------------


def exposure(*changes: dict[str, Any]) -> dict[str, Any]:
    band = figure(as_json(*changes), f"{EDGE}/exposure")["band"]
    assert band is not None
    return band


@pytest.mark.parametrize("weather", [{}, WET], ids=["dry", "wet"])
def test_two_strands_over_a_pad_are_four_to_eight_times_better(weather):
    """The trade's factor for two equal strands under the same load, here for the whole day."""
    gain = exposure(day(), weather)["expected"] / exposure(day(), strands(2), weather)["expected"]

    assert 4 < gain < 8


def test_wet_polyamide_wears_faster_and_wet_polyester_does_not():
    polyester = both_ropes(sheath="polyester")

    assert exposure(day(), WET)["low"] > exposure(day())["low"]
    assert exposure(day(), WET)["high"] > exposure(day())["high"]
    assert exposure(day(), polyester, WET) == exposure(day(), polyester)


def test_descending_and_work_in_the_seat_move_the_rope_too():
    """A climb of 14 m has 14/0.3 steps; a descent a part of them, the seat some an hour."""
    data = as_json(day())
    climb, descent, seat = (
        figure(data, f"{EDGE}/sawing/{case}")["expected"] for case in ("ascend", "descend", "hold")
    )
    step = climb / (14 / 0.3)

    # rows: a quarter of the steps in a descent, ten an hour in the seat (judgement)
    assert descent == pytest.approx(climb * 0.25)
    assert seat == pytest.approx(step * 10 * 6)


def test_a_rope_lies_still_under_a_load_that_is_no_person():
    """Nothing bounces, nothing is drawn aside: no movement, and words instead of nought."""
    thing = {
        "loads": {"worker": {"people": "0"}},
        "lines": {each: {"cases": ["hold"]} for each in ("working", "safety")},
    }
    data = as_json(over_edges(), thing)
    found = check(data, f"{EDGE}/exposure")

    assert figure(data, f"{EDGE}/exposure")["band"]["high"] == 0
    assert found["verdict"] == "adequate"
    assert found["reason"] == "No movement of the rope is stated here."


def test_a_gust_is_too_short_for_a_rope_to_creep():
    """At 10 m/s the push is ½ · 1.225 · 10² · 0.7 = 42.9 N, on 961 N and 14 m an offset of 0.62 m
    and a kink of atan(0.62/14) = 2.6°. Granite holds asin(2 · 0.30 · sin 40°) = 22.7° at least.

    At 35 m/s and 30 m below it is 525 N, 16.4 m and 28.7°: then no friction holds the rope."""
    still = as_json(day(None), wind("10 m/s"))
    storm = as_json(merged(day(None), {"sites": {"wall": {"reach_sideways": "0 m"}}}),
                    wind("35 m/s"), {"sites": {"wall": {"drop": "60 m"}},
                                     "lines": {"working": {"below": "30 m"}},
                                     "ropes": {"main": {"length": "200 m"}}})  # fmt: skip

    assert "+ 0 · 360" in figure(still, f"{EDGE}/sideways")["worked"]
    assert "+ 0 · 360" not in figure(storm, f"{EDGE}/sideways")["worked"]


# --- beside the protector -----------------------------------------------------------------------

NARROW = {**PLATE, "width": "300 mm"}
"""A plate of 30 mm radius; the sweep of 2 · 2.2 · 2.5 / 22.5 = 0.489 m is wider."""
FIVE = radius("5 mm")


def test_a_narrow_plate_leaves_the_strength_of_the_bare_edge():
    """A wet 11 mm rope of 30 kN on a bare edge of 5 mm: D/d = 10/11, under 1, so 0.30 / 0.40 /
    0.50 of it, and 0.80 of that for wet polyamide: 30 · 0.40 · 0.80 = 9.6 kN, over 6 kN 1.6 times.
    On the plate alone (D/d = 60/11) the knots would govern: 30 · 0.50 = 15 kN, 2.5 times."""
    narrow = as_json(over_edges(FIVE, NARROW), REACH, WET)
    wide = as_json(over_edges(FIVE, PLATE), REACH, WET)
    id = "line/safety/margin/arrest"

    assert figure(narrow, id)["expected"] == pytest.approx(1.6)
    assert check(narrow, id)["ratio"]["low"] == pytest.approx(30 * 0.30 * 0.80 / 6)
    assert check(narrow, id)["verdict"] == "inadequate"
    assert figure(wide, id)["expected"] == pytest.approx(2.5)
    assert check(wide, id)["verdict"] == "adequate"


def test_an_unknown_reach_leaves_the_bare_edge_too():
    unknown = {"sites": {"wall": {"reach_sideways": None}}}
    data = as_json(over_edges(FIVE, PLATE), unknown, WET)

    assert figure(data, "line/safety/margin/arrest")["expected"] == pytest.approx(1.6)


def test_side_guards_leave_no_bare_edge():
    guarded = {**NARROW, "guards": "true"}
    data = as_json(over_edges(FIVE, guarded), REACH, WET)

    assert figure(data, "line/safety/margin/arrest")["expected"] == pytest.approx(2.5)


def test_hauling_beside_a_plate_takes_the_friction_of_the_stone():
    """80° over granite at most e^(0.45 · 1.39626) = 1.8745, over polished metal e^(0.25 · 1.39626)
    = 1.4177; the load of 98 kg pulls 961.05 N, the rope holds 30 kN."""
    hauled = {"lines": {"working": {"cases": ["raise"]}}}
    narrow = as_json(over_edges(FIVE, NARROW), REACH, hauled)
    wide = as_json(over_edges(FIVE, PLATE), REACH, hauled)
    id = "line/working/margin/rated"

    assert check(narrow, id)["ratio"]["low"] == pytest.approx(30000 / 961.05 / 1.8745, rel=1e-4)
    assert check(wide, id)["ratio"]["low"] == pytest.approx(30000 / 961.05 / 1.4177, rel=1e-4)
    # the anchor: as much, times the dynamic factor of 1.5 at most
    at_anchor = figure(narrow, "line/working/tension/anchor/raise")["high"]
    assert at_anchor == pytest.approx(961.05 * 1.5 * 1.8745, rel=1e-4)


def test_lowering_beside_a_plate_takes_the_little_relief_of_the_metal():
    """Metal relieves by e^(0.10 · 1.39626) = 1.1498 at least, stone by e^(0.30 · 1.39626) = 1.5203:
    the rope may be on the metal."""
    lowered = {"lines": {"working": {"cases": ["lower"]}}}
    narrow = as_json(over_edges({**FIVE, **BARE}, NARROW), REACH, lowered)
    id = "anchor/one/force/working"
    most = 961.05 * 1.5 / 1.1498

    assert figure(narrow, "line/working/tension/anchor/lower")["high"] == pytest.approx(
        most, rel=1e-4
    )
    assert figure(narrow, id)["high"] == pytest.approx(most, rel=1e-4)


def test_two_edges_reach_their_extremes_together_whichever_surface_is_the_rougher():
    """At one edge the plate is the smoother (0.2 against 0.4), at the other the stone: raising over
    80° twice lies between e^(2 · 0.2 · 1.39626) = 1.7480 and e^(2 · 0.4 · 1.39626) = 3.0557."""
    plan = over_edges({**FIVE, "friction": "0.4"}, {**NARROW, "friction": "0.2"})
    plan["edges"]["far"] = {**FIVE, "friction": "0.2", "protection": "at_far"}
    plan["protection"]["at_far"] = {**NARROW, "friction": "0.4"}
    plan["lines"]["working"]["over"].append({"edge": "far", "after": "2 m"})
    data = as_json(plan, {"sites": {"wall": {"reach_sideways": "20 m"}}},
                   {"lines": {"working": {"cases": ["raise"]}}})  # fmt: skip
    found = figure(data, "line/working/tension/anchor/raise")

    assert found["low"] == pytest.approx(961.05 * 1.7480, rel=1e-4)
    assert found["high"] == pytest.approx(961.05 * 1.5 * 3.0557, rel=1e-4)


def test_a_fall_beside_a_plate_counts_the_shorter_rope_of_the_two():
    """Stone lets less of the rope behind it stretch: 20 + 2.5/e^(0.45 · 1.39626) = 21.3337 m.
    K of the standard's greatest peak, 6 kN with 100 kg at factor 0.3: 6000 (6000 − 1961.33) /
    (1961.33 · 0.3) = 41184 N; f = 0.6/21.3337, F = W + √(W² + 2 W K f)."""
    data = as_json(over_edges(FIVE, NARROW), REACH)
    weight, stiff, factor = 961.0517, 41184.0, 0.6 / 21.3337
    peak = weight + (weight**2 + 2 * weight * stiff * factor) ** 0.5

    assert check(data, "line/safety/fall/peak")["demand"]["high"] == pytest.approx(peak, rel=1e-4)


# --- blades -------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", [PAD, SLEEVE, COVER], ids=lambda part: part["kind"])
def test_nothing_laid_over_a_blade_has_any_credit(kind):
    bare = exposure(over_edges(radius("0.5 mm"), passes="4"), REACH)
    laid = exposure(over_edges(radius("0.5 mm"), kind, passes="4"), REACH)
    dull = exposure(over_edges(radius("1 mm"), kind, passes="4"), REACH)

    assert laid == bare
    assert dull["expected"] < exposure(over_edges(radius("1 mm"), passes="4"), REACH)["expected"]


def test_a_pad_over_a_blade_does_not_round_it_for_the_bend():
    """Bare, D/d = 1/11: 0.30 / 0.40 / 0.50 of 30 kN, over 6 kN 2.0; padded an edge of 1 mm would
    have 1 + 6 = 7 mm, D/d = 14/11, and the knots would govern with 2.5."""
    blade = as_json(over_edges(radius("0.5 mm"), PAD))
    dull = as_json(over_edges(radius("1 mm"), PAD))
    id = "line/safety/margin/arrest"

    assert figure(blade, id)["expected"] == pytest.approx(2.0)
    assert figure(dull, id)["expected"] == pytest.approx(2.5)


def test_a_pad_is_not_proposed_for_a_blade():
    def kinds(size: str) -> set[str]:
        plan = assess(job_of(over_edges(radius(size)), REACH))
        return {each.kind for each in edge_changes(plan)}

    assert "thick pad" not in kinds("0.5 mm")
    assert "thick pad" in kinds("2 mm")
    assert "rigid plate" in kinds("0.5 mm")


@pytest.mark.parametrize(
    ("edge", "verdict", "why"),
    [
        (radius("4.9 mm"), "inadequate", "sharp without the cover"),
        (radius("5 mm"), "borderline", "hardly rounded without it"),
        (radius("50 mm", surface="brick"), "borderline", "brick is rough without it"),
        (radius("50 mm", surface="smooth concrete"), "adequate", "round and smooth without it"),
        (radius("19 mm", surface="smooth concrete"), "borderline", "under 20 mm without it"),
    ],
)
def test_a_cover_that_shifts_in_a_fall_leaves_the_bare_edge(edge, verdict, why):
    data = as_json(over_edges(edge, COVER))

    assert check(data, f"{SAFE}/rule/cover")["verdict"] == verdict, why
