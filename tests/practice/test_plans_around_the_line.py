"""Plans around the line: wind, swing, jam, redirects, age, heat, zone and work, stated or not.

Each plan has what a careful supervisor says of it, written before it was run, on both sides of
each boundary. The boundaries themselves are judgement (issue 13), so each is worked by hand here.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

import pytest
import yaml
from support.leaving_out import Path, dotted, paths, without
from support.plan import BASE, DAY, as_json, both_ropes, check, merged, over_edges

from riskdoc.job.reading import read_text
from riskdoc.judgement.assess import assess

Plan = dict[str, Any]


def site(**keys: Any) -> Plan:
    return {"sites": {"wall": keys}}


def working(**keys: Any) -> Plan:
    return {"lines": {"working": keys}}


def wind(speed: str, measured: str = "mean", over: str | None = None) -> Plan:
    blow = {"stop_at": speed, "measured_as": measured, "height": "20 m", "source": "site rule"}
    blow |= {"over": over} if over else {}
    hours = {line: {"hours": "2 h"} for line in ("working", "safety")}
    return {**site(wind=blow), "lines": hours}


def team(haulers: int) -> Plan:
    haul = {"stages": [{"strands": "3", "ends": "moving"}], "haulers": str(haulers)}
    return working(cases=["raise"], haul=haul)


def redirect(
    strength: str = "22 kN", turn: str = "180 deg", after: str = "5 m", **more: str
) -> Plan:
    each = {"anchor": "aside", "turn": turn, "after": after, "over": "pulley", **more}
    leg = {"strength": strength, "evidence": "tested"}
    return {"anchors": {"aside": {"legs": [leg]}}, **working(redirects=[each])}


def aged(**keys: Any) -> Plan:
    return {"ropes": {"main": keys}}


def device(mass: str | None, **keys: Any) -> Plan:
    part = {"kind": "descender", "diameter_from": "10 mm", "diameter_to": "12 mm",
            "standards": ["EN 1891 type A"], "mass": mass, "material": "aluminium",
            "acts": ["self-locks"], **keys}  # fmt: skip
    stated = {key: value for key, value in part.items() if value is not None}
    return {
        "devices": {"eight": stated},
        **working(devices=["eight"]),
        **site(temperature="20 degC"),
    }


BOTH: Plan = {"loads": {"both": {"people": "2", "mass": "170 kg", "kit": "30 kg"}}}
LOWERED = {**BOTH, **working(cases=["ascend"], rescue={"load": "both", "how": "lower"})}
BACKUP: Plan = {
    "devices": {"eight": {"kind": "back-up device", "slip": "4 kN", "acts": ["travels"]}},
    **working(devices=["eight"]),
}
NOT_NAMED = {"none": "the maker names none"}
LIFE = {"from_made": "12", "from_first_use": "10"}
WIND, SWING = "site/wall/wind", "line/working/swing"
DERATED, PULLEY = "line/working/margin/derated", "line/working/redirect/1"
AGE, HEAT = "rope/main/age", "line/working/heat/eight"
GOOD, NEAR, BAD, SILENT = "adequate", "borderline", "inadequate", "not demonstrated"


# What the supervisor says: the plan, the check, its verdict.
def untimed(plan: dict[str, Any]) -> dict[str, Any]:
    """The plan without a word of the time on the working line."""
    working = {**plan["lines"]["working"], "hours": None}
    return {**plan, "lines": {**plan["lines"], "working": working}}


SAID: dict[str, tuple[Plan, str, str]] = {
    # Wind: adequate to a mean of 8 m/s, borderline to 11; a gust is 1.2 to 1.7 times the mean.
    "a fresh breeze begins, and we stop there": (wind("8 m/s"), WIND, GOOD),
    "small trees sway before we stop": (wind("8.1 m/s"), WIND, NEAR),
    "we stop before large branches move": (wind("11 m/s"), WIND, NEAR),
    "nobody holds still on a rope in that": (wind("11.1 m/s"), WIND, BAD),
    "gusts of 9 m/s: a mean of 7.5 m/s at most": (wind("9 m/s", "gust"), WIND, GOOD),
    "gusts of 10 m/s: a mean of 8.3 m/s at most": (wind("10 m/s", "gust"), WIND, NEAR),
    "gusts of 13.2 m/s of nobody knows what: a mean of 11 m/s": (
        wind("13.2 m/s", "gust"), WIND, NEAR),
    "gusts of 13.3 m/s: a mean of 11.1 m/s": (wind("13.3 m/s", "gust"), WIND, BAD),
    # WMO/TD-No. 1555 (2010), from memory: in land 1.66, at a coast 1.38 to 1.52, at sea 1.23.
    "gusts of 12 m/s over land: a mean of 7.2 m/s, 8 at most": (
        wind("12 m/s", "gust", "land"), WIND, GOOD),
    "gusts of 12.1 m/s over land: 8.1 m/s at most": (wind("12.1 m/s", "gust", "land"), WIND, NEAR),
    "gusts of 11 m/s at a coast: 8.1 m/s at most": (wind("11 m/s", "gust", "coast"), WIND, NEAR),
    "gusts of 13.3 m/s over the sea: 10.8 m/s, 11.1 at most": (
        wind("13.3 m/s", "gust", "sea"), WIND, NEAR),
    "gusts of 14 m/s over the sea: a mean of 11.4 m/s": (wind("14 m/s", "gust", "sea"), WIND, BAD),
    "it is in a hall": (site(wind={"none": "in a hall"}), WIND, GOOD),
    "out of doors, and no word of wind": (site(wind=None), WIND, SILENT),
    "no word of wind, so how far does the rope move at the edge?": (
        {**over_edges(), **site(wind=None)}, "line/working/edge/edge_working/exposure", SILENT),
    "wind, and no word of how long we hang in it": (
        untimed(merged(over_edges(), wind("6 m/s"))),
        "line/working/edge/edge_working/exposure", SILENT),
    # Swing on 20 m of rope: x = √(2 d h − h²) is 4.86 m for h = 0.6 m and 7.60 m for 1.5 m.
    "we stand 4.8 m aside: a hop": (site(reach_sideways="4.8 m"), SWING, GOOD),
    "4.9 m aside: feet first, and it hurts": (site(reach_sideways="4.9 m"), SWING, NEAR),
    "7.5 m aside: nearly a fall from a table and a chair": (
        site(reach_sideways="7.5 m"), SWING, NEAR),
    "7.7 m aside: bones break": (site(reach_sideways="7.7 m"), SWING, BAD),
    "25 m aside on 20 m of rope: nobody can be there": (
        site(reach_sideways="25 m"), SWING, BAD),
    "4.8 m aside, and the wind pushes: we hold on where we are": (
        merged(wind("8 m/s"), site(reach_sideways="4.8 m")), SWING, GOOD),
    "straight down": (site(reach_sideways="0 m"), SWING, GOOD),
    "no word of how far aside": (site(reach_sideways=None), SWING, SILENT),
    "aside, and no word of wind": (site(reach_sideways="2 m", wind=None), SWING, SILENT),
    # d = 6 m below the redirect, x = 3 m: 6 (1 − cos 30°) = 0.80 m; on 20 m it was 0.23 m.
    "3 m aside on the whole rope": (site(reach_sideways="3 m"), SWING, GOOD),
    "3 m aside, 6 m below a redirect": (
        merged(redirect(turn="12 deg", after="14 m"), site(reach_sideways="3 m")), SWING, NEAR),
    # Jam: n · 0.4 / 0.55 / 0.7 kN · 3 against 15 kN at the knot, of which half may be used.
    "three haulers throw themselves in: 6.3 kN at most": (team(3), DERATED, GOOD),
    "four: 6.6 kN, 8.4 kN at most": (team(4), DERATED, NEAR),
    "five: 8.25 kN": (team(5), DERATED, BAD),
    # A redirect back by 180° takes 2 · 98 kg · g · 1.2 = 2.31 kN, 2.88 kN at most, and holds twice.
    "a redirect on 5.8 kN": (redirect("5.8 kN"), PULLEY, GOOD),
    "a redirect on 5.7 kN": (redirect("5.7 kN"), PULLEY, NEAR),
    "a redirect on 4.6 kN": (redirect("4.6 kN"), PULLEY, BAD),
    "redirects are listed": (redirect(), "line/working/redirects", GOOD),
    "no redirect, and it says why": (
        working(redirects={"none": "straight"}), "line/working/redirects", GOOD),
    "no word of redirects": (working(redirects=None), "line/working/redirects", SILENT),
    "an empty list of redirects": (working(redirects=[]), "line/working/redirects", SILENT),
    # Age on 2027-06-02, a month from its first day; without a maker's life 10 and 15 years.
    "ten years next month": (aged(made="2017-07"), AGE, GOOD),
    "ten years since yesterday": (aged(made="2017-06"), AGE, NEAR),
    "fifteen years next month": (aged(made="2012-07"), AGE, NEAR),
    "fifteen years since yesterday": (aged(made="2012-06"), AGE, BAD),
    "eleven years and a typed date far off": (aged(made="2016-01", retire_by="2050-01"), AGE, NEAR),
    "ten years, and the maker lets it be twelve": (
        aged(made="2017-06", first_used="2018-01", life=LIFE), AGE, GOOD),
    "twelve years since yesterday, the maker's own limit": (
        aged(made="2015-06", first_used="2018-01", life=LIFE), AGE, BAD),
    "used for ten years and a day": (
        aged(made="2017-01", first_used="2017-06", life=LIFE), AGE, BAD),
    "never used": (aged(made="2017-06", first_used={"none": "new"}, life=LIFE), AGE, GOOD),
    "who knows when it was first used?": (aged(made="2017-06", life=LIFE), AGE, SILENT),
    "a life from manufacture, and no word from first use": (
        aged(first_used="2025-02", life={"from_made": "12"}), AGE, SILENT),
    "a life from first use alone, in store for eleven years": (
        aged(made="2016-01", first_used="2026-01",
             life={"from_made": NOT_NAMED, "from_first_use": "10"}), AGE, NEAR),
    "no word of the maker's life": (aged(life=None), AGE, SILENT),
    "past its own date, whatever the maker says": (aged(life=LIFE, first_used="2025-02",
                                                       retire_by="2027-05"), AGE, BAD),
    # Heat of 98 kg down 20 m, 19.2 kJ: 0.3 / 0.5 / 0.8 of it, against 215 / 220 °C less 20 °C.
    "a descender of 100 g: 171 K at most": (device("100 g"), HEAT, GOOD),
    "of 80 g: 134 K, 214 K at most": (device("80 g"), HEAT, NEAR),
    "of 50 g: 214 K": (device("50 g"), HEAT, BAD),
    "no word of its mass": (device(None), HEAT, SILENT),
    "no word of what it is made of": (device("500 g", material=None), HEAT, SILENT),
    "no word of the air": ({**device("500 g"), **site(temperature=None)}, HEAT, SILENT),
    "a descender that states its slip is still one": (device("50 g", slip="5 kN"), HEAT, BAD),
    # The rescue: 200 kg down the whole drop of 30 m, 58.8 kJ, though at work nobody goes down.
    "both lowered on 300 g: 174 K at most": (merged(device("300 g"), LOWERED), HEAT, GOOD),
    "both lowered on 250 g: 131 K, 209 K at most": (merged(device("250 g"), LOWERED), HEAT, NEAR),
    "both lowered on 150 g: 218 K": (merged(device("150 g"), LOWERED), HEAT, BAD),
    # Zone: a tenth of the drop of 30 m at least.
    "kept clear 3 m round": (site(zone={"size": "3 m", "kept_by": "tape"}), "site/wall/zone", GOOD),
    "kept clear 2.9 m round": (
        site(zone={"size": "2.9 m", "kept_by": "tape"}), "site/wall/zone", NEAR),
    "nobody can get below": (site(zone={"none": "a locked shaft"}), "site/wall/zone", GOOD),
    "no word of who stands below": (site(zone=None), "site/wall/zone", SILENT),
    # What is there.
    "a power line is near, and said": (site(near=["power line"]), "site/wall/near", GOOD),
    "no word of what is near": (site(near=None), "site/wall/near", SILENT),
    "an empty list of what is near": (site(near=[]), "site/wall/near", SILENT),
    "acid, and ropes of polyamide": (
        site(chemicals=["acid"]), "line/working/chemicals", BAD),
    "alkali, which polyamide stands": (site(chemicals=["alkali"]), "line/working/chemicals", GOOD),
    "no word of chemicals": (site(chemicals=None), "line/working/chemicals", SILENT),
    "an empty list of chemicals": (site(chemicals=[]), "line/working/chemicals", SILENT),
    # Work.
    "by daylight": ({}, "work/light", GOOD),
    "by night, and what lights it is said": (
        {"work": {"light": "night", "lighting": "head torches, two floodlights"}},
        "work/light", GOOD),
    "by night, and no word of lamps": ({"work": {"light": "night"}}, "work/light", SILENT),
    "lamps, and no word of when": (
        {"work": {"light": None, "lighting": "head torches"}}, "work/light", SILENT),
    "no word of the method": ({"work": {"method": None}}, "work/method", SILENT),
    "no steps": ({"work": {"steps": None}}, "work/steps", SILENT),
    "no word of how we talk": ({"work": {"communications": None}}, "work/communications", SILENT),
    "no word of when we stop": ({"work": {"stop_work": None}}, "work/stop_work", SILENT),
    "no word of how long a day is": ({"work": {"shift": None}}, "work/shift", SILENT),
}  # fmt: skip


@pytest.mark.parametrize(("plan", "id", "verdict"), SAID.values(), ids=SAID)
def test_what_the_supervisor_says(plan, id, verdict):
    data = as_json(plan)

    assert check(data, id)["verdict"] == verdict
    if verdict != GOOD:
        assert data["status"] != "adequate"


def test_a_back_up_that_travels_takes_no_heat_of_the_descent():
    checks = [each["id"] for each in as_json(BACKUP)["checks"]]

    assert not [id for id in checks if "/heat/" in id]


def test_the_reason_names_the_wind_by_its_number():
    """WMO-No. 306, code table 1100: Beaufort 5 from 8.0 m/s, 6 from 10.8 m/s."""
    reason = check(as_json(wind("9 m/s")), WIND)["reason"]

    assert "Beaufort 5, fresh breeze" in reason
    assert "Beaufort 5 begins at 8.00 m/s, Beaufort 6 at 10.8 m/s" in reason


def test_without_the_section_work_every_point_of_it_is_open():
    data = as_json({"work": None})
    open_ = {each["id"] for each in data["checks"] if each["verdict"] == SILENT}

    assert {f"work/{key}" for key in ("method", "steps", "communications", "stop_work", "light",
                                      "shift")} <= open_  # fmt: skip


def test_what_the_swing_needs_the_margins_and_anchors_need():
    """A swing loads the line up to three times: what is not known of it is not left out."""
    data = as_json(site(reach_sideways=None))

    for id in (DERATED, "anchor/one/leg/1", "line/working/swing"):
        assert check(data, id)["missing"] == ["sites.wall.reach_sideways"]


POOR = merged(
    merged(merged(over_edges(passes="2"), wind("15 m/s")), device("50 g")),
    {
        **site(reach_sideways="9 m", near=["power line"], chemicals=["acid"], temperature="20 degC",
               wind=wind("15 m/s")["sites"]["wall"]["wind"],
               zone={"size": "1 m", "kept_by": "tape"}),
        **both_ropes(made="2009-01", first_used="2010-01", life=LIFE),
        **BOTH,
        "anchors": {"aside": {"legs": [{"strength": "1 kN", "evidence": "tested"}]}},
        "work": {"light": "night"},
    },
)  # fmt: skip
POOR["lines"]["working"] |= {
    "rescue": {"load": "both", "how": "lower"},
    "redirects": [{"anchor": "aside", "turn": "90 deg", "after": "15 m", "over": "connector"}],
}
MINE = (
    "site/",
    "work/",
    "rope/main/age",
    "line/working/swing",
    "line/working/redirects",
    "line/working/chemicals",
)
"""Checks that stand in the list whatever a job leaves out."""
KEYS = ("sites", "work", "ropes", "lines", "devices")


def left_out(plan: Plan) -> Iterator[Path]:
    """Keys and entries of the parts this file is about, one at a time."""
    whole = merged(BASE, plan)
    yield from (path for path in paths(whole) if path[0] in KEYS and path != ("lines",))


def verdicts(tree: Plan) -> dict[str, str] | None:
    """Verdicts by id, with the status under `status`; None where the job does not read."""
    text = yaml.safe_dump(copy.deepcopy(tree), sort_keys=False, default_style='"')
    reading = read_text(text, "plan.yaml", DAY)
    if reading.file is None:
        return None
    plan = assess(reading.file)
    return {"status": plan.status.value, **{c.id: c.verdict.value for c in plan.checks}}


@pytest.mark.parametrize("plan", [{}, POOR], ids=["good", "poor"])
def test_leaving_out_never_betters_what_is_around_the_line(plan):
    whole = merged(BASE, plan)
    before = verdicts(whole)
    assert before is not None
    tried = 0
    for path in left_out(plan):
        after = verdicts(without(whole, path))
        if after is None:
            continue  # it is asked for while reading
        tried += 1
        gone = path[:2] if len(path) == 2 else ()
        for id, verdict in before.items():
            if not id.startswith((*MINE, "status")) or gone == ("lines", "working"):
                continue
            assert id in after, f"{id} vanishes without {dotted(path)}"
            if verdict != GOOD:
                assert after[id] != GOOD, f"{id} passes without {dotted(path)}"
    assert tried > 30


@pytest.mark.parametrize(("haulers", "verdict"), [("2", "adequate"), ("1", "inadequate")])
def test_a_team_keeps_up_the_weight_and_not_its_starts_and_stops(haulers, verdict):
    """961 N through a 3:1 without friction are 320 N; two keep up 450 N, one 225 N.

    With the dynamic factor of a raise at its worst it would be 480 N.
    """
    haul = {"stages": [{"strands": "3", "ends": "moving"}], "haulers": haulers, "efficiency": "1"}
    data = as_json(working(cases=["raise"], haul=haul))

    assert check(data, "line/working/haul/team")["verdict"] == verdict


def test_a_safety_line_taken_in_by_hand_raises_nothing():
    """Over an edge the load hangs on it without friction; whoever raises has the friction too."""
    plan = over_edges()
    by_hand = {"lines": {"safety": {"cases": ["raise"], "haul": {"none": "taken in by hand"}}}}
    silent = {"lines": {"safety": {"cases": ["raise"]}}}
    id = "line/safety/margin/rated"
    demand = check(as_json(plan, by_hand), id)["demand"]

    assert demand["high"] == pytest.approx(98 * 9.80665)  # the weight, at rest
    assert check(as_json(plan, silent), id)["demand"]["high"] > demand["high"]
    assert check(as_json(plan, silent), "line/safety/haul/team")["verdict"] == "not demonstrated"
