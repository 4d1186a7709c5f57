"""Each change to a plan: the direction and size it must have, worked out here by hand.

The equations are those of the project's definitions (DEVELOPERS.md), written out again in plain
arithmetic; nothing expected comes from the program.
"""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import pytest
from support.demos import DAYS, JOBS
from support.plan import COPING, PAD, PLATE, ROLLER, assessed, merged, over_edges

from riskdoc.analysis.figure import Figure
from riskdoc.job.reading import read
from riskdoc.judgement.assess import assess
from riskdoc.judgement.verdicts import Assessment
from riskdoc.mitigation.change import Change, Level
from riskdoc.mitigation.effects import applicable
from riskdoc.mitigation.variants import Variants

G = 9.80665
SWUNG = {"sites": {"wall": {"reach_sideways": "2 m"}}}
EDGED = merged(over_edges(edge={**COPING, "radius": "8 mm", "friction": "0.30"}), SWUNG)
"""Both lines over a place of their own on a coping, 2.5 m from the anchor, 20 m above the load."""


def offered(plan: Assessment, id: str) -> Change:
    found = [each for each in applicable(plan) if each.id == id]
    assert found, f"{id} is not offered; there are {[c.id for c in applicable(plan)]}"
    return found[0]


def kinds(plan: Assessment) -> set[str]:
    return {each.kind for each in applicable(plan)}


def changed(plan: Assessment, id: str) -> Assessment:
    job = offered(plan, id).apply(plan.file.job)
    return assess(dataclasses.replace(plan.file, job=job))


def expected(plan: Assessment, id: str) -> float:
    return of(plan, id).range.expected


def of(plan: Assessment, id: str) -> Figure:
    found = plan.figure(id)
    assert found is not None, id
    return found


TYPE_A = 6000 * (6000 - 2 * 100 * G) / (2 * 100 * G * 0.3)
"""K of the stiffest type A rope: 6 kN with 100 kg and factor 0.3 (EN 1891), solved for K."""


def close(value: float) -> Any:
    return pytest.approx(value, rel=1e-9)


PAIR = {"loads": {"worker": {"people": "2", "mass": "160 kg", "kit": "20 kg"}},
        "work": {"method": "rope access"}}  # fmt: skip


def test_one_person_instead_of_two_halves_the_weight():
    """W = m g; the rated margin is S / W, so it doubles."""
    plan = assessed(PAIR)
    after = changed(plan, "one person/worker")

    assert expected(plan, "line/working/tension/load/hold") == close(180 * G)
    assert expected(after, "line/working/tension/load/hold") == close(90 * G)
    assert expected(after, "line/working/margin/rated") == close(30_000 / (90 * G))
    assert expected(plan, "line/working/margin/rated") == close(30_000 / (180 * G))


def test_two_strands_share_and_make_a_fall_harder():
    """Rated margin × k (share 1/k expected); F = m g + √((m g)² + 2 m g k K f), K of type A."""
    plan = assessed()
    after = changed(plan, "two strands/safety")
    weight, modulus, factor = 98 * G, TYPE_A, 0.6 / 20

    def peak(k: int) -> float:
        return weight + math.sqrt(weight**2 + 2 * weight * k * modulus * factor)

    assert expected(after, "line/safety/margin/rated") == close(2 * 30_000 / weight)
    assert expected(plan, "line/safety/fall/peak") == close(peak(1))
    assert expected(after, "line/safety/fall/peak") == close(peak(2))
    assert peak(2) > peak(1)


def test_two_strands_wear_less():
    """Sideways index ∝ (s T)ⁿ / k, s = 1/k expected: down by 2ⁿ · 2."""
    plan = assessed(EDGED, {"lines": {"working": {"passes": "4", "cases": ["hold"]}}})
    after = changed(plan, "two strands/working")
    id = "line/working/edge/edge_working/exposure"
    n = 1.5  # expected exponent of tension, judgement: 1 / 1.5 / 2
    from_table = next(
        each for each in of(plan, f"{id}/sideways/hold").inputs if each.symbol == "n"
    ).range.expected

    assert from_table == n
    assert expected(after, id) == close(expected(plan, id) / (2**n * 2))


def test_a_roller_takes_the_friction_away():
    """Over bare edge of μ 0.30 and 80° the anchor feels e^(0.30 · 80°) while raising; over a roller
    set with r = T out / T in at 90°, μ = ln(1/r) / (π/2)."""
    raised = {"lines": {"working": {"cases": ["raise"]}}}
    plan = assessed(EDGED, raised)
    after = changed(plan, "roller/edge_working")
    turn, base = math.radians(80), 98 * G * 1.2
    ratios = [i for i in of(after, "line/working/tension/anchor/raise").inputs if i.symbol == "r"]
    equivalent = abs(math.log(ratios[0].range.expected)) / (math.pi / 2)

    assert expected(plan, "line/working/tension/anchor/raise") == close(
        base * math.exp(0.30 * turn)
    )
    assert expected(after, "line/working/tension/anchor/raise") == close(
        base * math.exp(equivalent * turn)
    )
    assert equivalent < 0.30


@pytest.mark.parametrize(("id", "radius"), [("roller", 0.025), ("rigid plate", 0.030)])
def test_a_plate_or_roller_as_wide_as_the_sweep_covers_it_all(id, radius):
    """The rope bends over its own radius; b = b₀ + (b₁ − b₀) rises with D/d, never falls."""
    plan = assessed(EDGED, {"lines": {"working": {"passes": "4"}}})
    after = changed(plan, f"{id}/edge_working")
    start = "line/working/edge/edge_working"

    assert of(plan, f"{start}/covered").range.high == 0
    assert of(after, f"{start}/covered").range.low == 1
    assert expected(after, f"{start}/exposure") < expected(plan, f"{start}/exposure")
    strength = "line/working/strength/edge:edge_working"
    assert expected(after, strength) > expected(plan, strength)
    assert radius > 0.008


def test_a_tied_pad_takes_its_credit_of_the_wear():
    """Everything lies on the pad: the index falls by the pad's credit."""
    hanging = {"lines": {"working": {"passes": "4", "cases": ["hold"]}}}
    plan = assessed(EDGED, hanging)
    after = changed(plan, "thick pad/edge_working")
    id = "line/working/edge/edge_working/exposure"
    credit = next(
        each for each in of(after, f"{id}/sideways/hold").inputs if "credit" in each.id
    ).range.expected

    assert 0 < credit < 1
    assert expected(after, id) == close(expected(plan, id) * (1 - credit))


def test_a_wider_protector_covers_the_whole_sweep_and_is_tied():
    """Straight down the sweep is 2 x a / L = 2 · 2 · 2.5 / 22.5 m; a plate of 0.2 m covers 0.45."""
    narrow = over_edges(
        edge={**COPING, "radius": "8 mm"}, protector={**PLATE, "width": "200 mm"}, passes="4"
    )
    plan = assessed(narrow, SWUNG)
    after = changed(plan, "wider/edge_working")
    start = "line/working/edge/edge_working"
    sweep = 2 * 2 * 2.5 / 22.5

    assert expected(plan, f"{start}/sweep") == close(sweep)
    assert expected(plan, f"{start}/covered") == close(0.2 / sweep)
    assert expected(after, f"{start}/covered") == close(1)


def test_an_anchor_below_the_edge_feels_the_load_alone():
    """No edge, no friction: T = W φ; effective length is the rope below alone."""
    plan = assessed(EDGED, {"lines": {"working": {"cases": ["raise"]}}})
    after = changed(plan, "re-anchor/working")
    fall = changed(plan, "re-anchor/safety")

    assert expected(after, "line/working/tension/anchor/raise") == close(98 * G * 1.2)
    assert after.figure("line/working/edge/edge_working/exposure") is None
    assert expected(fall, "line/safety/fall/factor") == close(0.6 / 20)
    assert expected(plan, "line/safety/fall/factor") < 0.6 / 20
    assert offered(plan, "re-anchor/working").level is Level.ELIMINATE


def test_an_anchor_nearer_the_edge_narrows_the_sweep():
    """2 x a / (a + b): 2.5 m from the edge, then 1.25 m."""
    plan = assessed(EDGED)
    after = changed(plan, "nearer/working")
    id = "line/working/edge/edge_working/sweep"

    assert expected(plan, id) == close(2 * 2 * 2.5 / 22.5)
    assert expected(after, id) == close(2 * 2 * 1.25 / 21.25)


SHARED = merged(
    over_edges(edge={**COPING, "radius": "30 mm"}, protector=PAD),
    {
        "edges": {"edge_safety": None},
        "protection": {"at_safety": None},
        "lines": {"safety": {"over": [{"edge": "edge_working", "after": "2.5 m"}]}},
    },
)


def test_lines_led_apart_share_nothing_and_nothing_else_moves():
    plan = assessed(SHARED)
    after = changed(plan, "apart/edge_working")
    shared = {"edge/edge_working/common", "protection/at_working/common"}

    assert shared <= {c.id for c in plan.checks}
    assert not any(c.id.endswith("/common") for c in after.checks)
    assert sorted(f.range.expected for f in after.figures) == sorted(
        f.range.expected for f in plan.figures
    )


def test_protectors_and_ropes_of_their_own():
    one_pad = over_edges(edge={**COPING, "radius": "30 mm"}, protector=PAD)
    one_pad["edges"]["edge_safety"]["protection"] = "at_working"
    del one_pad["protection"]["at_safety"]
    pads = assessed(one_pad)
    ropes = assessed({"ropes": {"second": None}, "lines": {"safety": {"rope": "main"}}})

    assert pads.check("protection/at_working/common") is not None
    assert changed(pads, "own protector/at_working").check("protection/at_working/common") is None
    assert ropes.check("rope/main/common") is not None
    after = changed(ropes, "own rope/main")
    assert not any(c.id.endswith("/common") for c in after.checks)
    rope = 100 * 0.075  # 100 m at 75 g/m
    assert expected(after, "kit/mass") == close(expected(ropes, "kit/mass") + rope)


def test_another_rope_of_the_job():
    """A rope of 40 kN and 12 mm instead of one of 30 kN and 11 mm."""
    stronger = {"ropes": {"second": {"diameter": "12 mm", "strength": "40 kN"}}}
    plan = assessed(stronger)
    after = changed(plan, "other rope/working/second")

    assert expected(after, "line/working/margin/rated") == close(40_000 / (98 * G))


def test_a_thicker_rope_is_stronger_with_the_square_of_its_diameter():
    plan = assessed()
    after = changed(plan, "thicker rope/working")

    # 30 kN · (12/11)² = 35.702… kN, down to four digits; 3.5 % / (12/11)² = 2.9409… %, to four.
    assert expected(after, "line/working/margin/rated") == close(35_700 / (98 * G))
    assert expected(after, "line/working/modulus") == close(100 * G / 0.02941)


def test_a_stiffer_rope_raises_the_peak():
    """K = 100 kg g / e with e · 0.75; the low end of the peak is that of the static stretch."""
    plan = assessed()
    after = changed(plan, "stiffer rope/safety")
    weight = 98 * G
    stiff = 100 * G / (0.035 * 0.75)

    assert of(after, "line/safety/fall/peak").range.low == close(
        weight + math.sqrt(weight**2 + 2 * weight * stiff * 0.6 / 20)
    )
    assert of(plan, "line/safety/fall/peak").range.low < weight + math.sqrt(
        weight**2 + 2 * weight * stiff * 0.6 / 20
    )


def test_raised_instead_of_climbed_saws_no_more_and_loads_the_anchor():
    plan = assessed(EDGED)
    after = changed(plan, "raise/working")
    start = "line/working/edge/edge_working"

    assert plan.figure(f"{start}/exposure/sawing/ascend") is not None
    assert after.figure(f"{start}/exposure/sawing/ascend") is None
    assert expected(after, "line/working/tension/anchor/raise") == close(
        98 * G * 1.2 * math.exp(0.30 * math.radians(80))
    )
    assert expected(after, "line/working/haul/effort") > 0


def test_half_the_reach_and_half_the_passes_halve_sideways_wear_each():
    """Index ∝ distance = sweep · passes, sweep = 2 x a / L: both in proportion."""
    plan = assessed(EDGED, {"lines": {"working": {"passes": "4"}}})
    id = "line/working/edge/edge_working/exposure/sideways/hold"

    assert expected(changed(plan, "passes/working"), id) == close(expected(plan, id) / 2)
    assert expected(changed(plan, "reach/wall"), id) == close(expected(plan, id) / 2)


def test_half_the_runs_halve_sawing():
    plan = assessed(EDGED, {"lines": {"working": {"runs": "4"}}})
    after = changed(plan, "runs/working")
    id = "line/working/edge/edge_working/exposure/sawing/ascend"

    assert expected(after, id) == close(expected(plan, id) / 2)


def test_wind_goes_with_the_square_of_the_speed():
    """10 m/s · 0.7 = 7 m/s; F ∝ v²."""
    windy = {"sites": {"wall": {"wind": {"stop_at": "10 m/s", "measured_as": "gust",
             "height": "10 m", "source": "site"}}},
             "lines": {"working": {"hours": "1 h"}, "safety": {"hours": "1 h"}}}  # fmt: skip
    plan = assessed(windy)
    after = changed(plan, "wind/wall")
    id = "line/working/wind/force"

    assert expected(after, id) == close(expected(plan, id) * (7 / 10) ** 2)


@pytest.mark.parametrize(("kind", "free"), [("slack", 0.3), ("little slack", 0.15)])
def test_half_the_slack_and_a_quarter_of_it(kind, free):
    """0.6 m of free fall, halved and quartered."""
    plan = assessed()
    after = changed(plan, f"{kind}/safety")
    weight = 98 * G

    assert expected(after, "line/safety/fall/peak") == close(
        weight + math.sqrt(weight**2 + 2 * weight * TYPE_A * free / 20)
    )


LIFT = {"lines": {"working": {"cases": ["raise"]}}}
RESCUED = {"loads": {"pair": {"people": "2", "mass": "160 kg", "kit": "20 kg"}},
           "lines": {"working": {"rescue": {"load": "pair", "how": "lower"}}}}  # fmt: skip


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (merged(PAIR, LIFT), "two are lifted together: rescuer and casualty"),
        (merged(PAIR, {"work": {"method": "rescue"}}), "a rescue is of two"),
        ({**PAIR, "work": {"method": None}}, "nobody says that they could go one by one"),
        (merged(RESCUED, {"work": {"method": "rope access"}}), "a rescue load is of two"),
        (merged(RESCUED, {"work": {"method": "rope access"}, "lines": {"working": {
            "load": "pair"}}}), "what hangs there is the rescue load too"),
    ],
    ids=lambda each: each if isinstance(each, str) else "",
)  # fmt: skip
def test_one_person_fewer_is_never_offered_where_the_task_is_two(change, why):
    assert "one person" in kinds(assessed(PAIR))
    assert "one person" not in kinds(assessed(change)), why


def test_less_reach_is_not_offered_where_somebody_has_to_be_reached():
    assert "reach" in kinds(assessed(EDGED))
    assert "reach" not in kinds(assessed(EDGED, {"work": {"method": "rescue"}}))


HAUL = {"stages": [{"strands": "3", "ends": "moving"}], "haulers": "2", "efficiency": "1"}
HAULED = {"lines": {"working": {"cases": ["raise"], "haul": HAUL}}}


def test_one_hauler_more_and_a_system_that_gains_more():
    """Jam n · p · A: 2 · 550 · 3 N, then 3 · 550 · 3; effort T / A: a 5:1 needs 3/5 of a 3:1."""
    plan = assessed(HAULED)
    more, other = changed(plan, "haulers/working"), changed(plan, "haul system/working")

    assert expected(plan, "line/working/haul/jam") == close(2 * 550 * 3)
    assert expected(more, "line/working/haul/jam") == close(3 * 550 * 3)
    assert expected(other, "line/working/haul/jam") == close(2 * 550 * 5)
    assert expected(plan, "line/working/haul/effort") == close(
        98 * G / 3
    )  # steady: no starts and stops
    assert expected(other, "line/working/haul/effort") == close(98 * G / 5)


def bridle(*legs: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"anchors": {"one": {"legs": [
        {"strength": "22 kN", "evidence": "tested", **leg} for leg in legs], **more}}}  # fmt: skip


def test_a_bridle_twice_as_long_halves_the_tangent():
    """tan α / 2; T₁ = T sin β / sin(α + β)."""
    plan = assessed(bridle({"angle": "50 deg"}, {"angle": "40 deg"}, equalised="fixed"))
    after = changed(plan, "bridle/one")
    # 30.790…° and 22.760…°, up to four digits as a job file states them.
    halves = [math.degrees(math.atan(math.tan(math.radians(each)) / 2)) for each in (50, 40)]
    a, b = (math.radians(math.ceil(each * 100) / 100) for each in halves)
    pull = 98 * G

    assert expected(after, "anchor/one/leg/1/working/hold") == close(
        pull * math.sin(b) / math.sin(a + b)
    )
    assert math.sin(b) / math.sin(a + b) < math.sin(math.radians(40)) / math.sin(math.radians(90))


def test_a_longer_bridle_has_longer_legs_and_farther_to_drop():
    """1 m at 45°: half as wide as ever, twice as high: √(0.7071² + 1.4142²) = 1.5811 m. A sliding
    joint of 0.3 m extension has 0.6 m. Legs side by side are not offered it."""
    leg = {"angle": "45 deg", "length": "1 m"}
    plan = assessed(bridle(leg, dict(leg), equalised="self", extension="0.3 m"))
    after = changed(plan, "bridle/one").file.job.anchors["one"]

    assert [each.length.expected for each in after.legs] == pytest.approx([1.581] * 2)
    assert after.extension.expected == close(0.6)
    beside = {"angle": "0 deg", "length": "1 m"}
    assert "bridle" not in kinds(assessed(bridle(beside, dict(beside), equalised="fixed")))


def test_legs_in_space_are_stretched_along_the_pull():
    """Three legs at 45° that slide share T / (3 cos α): tan 45° / 2."""
    way = [[1, 0, 1], [-0.5, 3**0.5 / 2, 1], [-0.5, -(3**0.5) / 2, 1]]
    legs = [{"direction": [f"{c:.9f}" for c in each]} for each in way]
    plan = assessed(bridle(*legs, equalised="self"))
    after = changed(plan, "bridle/one")
    id = "anchor/one/leg/1/working/hold"

    assert expected(plan, id) == pytest.approx(98 * G / (3 * math.cos(math.pi / 4)), rel=1e-6)
    assert expected(after, id) == pytest.approx(98 * G / (3 * math.cos(math.atan(0.5))), rel=1e-6)


@pytest.mark.parametrize(
    ("change", "kind", "why"),
    [
        ({}, "one person", "one person hangs there"),
        ({"ropes": {"main": {"length": "39 m"}, "second": {"length": "39 m"}}}, "two strands",
         "two strands of 20 m take 40 m"),
        ({}, "roller", "no edge"),
        ({}, "rigid plate", "no edge"),
        ({}, "thick pad", "no edge"),
        (merged(over_edges(protector=PLATE), SWUNG), "thick pad", "there is a plate"),
        (merged(over_edges(protector=ROLLER), SWUNG), "roller", "there is a roller"),
        (over_edges(protector={**PLATE, "width": "3 m"}), "wider", "wide enough and tied"),
        ({}, "re-anchor", "no edge"),
        (over_edges(after="0.9 m"), "nearer", "under half a metre would be left"),
        (over_edges(), "apart", "each line has an edge of its own"),
        (over_edges(protector=PLATE), "own protector", "each edge has one of its own"),
        ({}, "own rope", "each line has a rope of its own"),
        ({}, "other rope", "both ropes are alike"),
        ({"ropes": {"main": {"diameter": "12.5 mm"}, "second": {"diameter": "12.5 mm"}}},
         "thicker rope", "13 mm is the thickest tried"),
        ({"ropes": {"main": {"stretch": "2.2 %"}, "second": {"stretch": "2.2 %"}}},
         "stiffer rope", "under 2 % is not to be had"),
        ({"lines": {"working": {"cases": ["descend"]}}}, "raise", "nobody climbs"),
        ({}, "reach", "no reach"),
        ({}, "wind", "no wind is stated"),
        ({"lines": {"working": {"passes": "1"}}}, "passes", "one pass cannot be halved"),
        ({}, "runs", "once is the least"),
        ({"lines": {"safety": {"fall": {"free": "0 m"}}}}, "slack", "there is none"),
        ({}, "haulers", "nothing is hauled"),
        ({}, "haul system", "nothing is hauled"),
        ({}, "bridle", "one leg"),
    ],
    ids=lambda each: each if isinstance(each, str) else "",
)  # fmt: skip
def test_what_does_not_apply_is_not_offered(change, kind, why):
    assert kind not in kinds(assessed(change)), why


@pytest.mark.parametrize("name", list(DAYS))
def test_shared_work_gives_what_a_fresh_assessment_gives(name):
    """The memo may save work and may not change a verdict or a ratio."""
    file = read(JOBS / f"{name}.yaml", DAYS[name]).file
    assert file is not None
    plan, before = assess(file), file.job.model_copy(deep=True)
    shared = Variants(file)
    changes = applicable(plan)
    assert len(changes) > 10
    for change in changes:
        job = change.apply(file.job)
        brief = [(c.id, c.verdict, c.ratio, c.required) for c in shared.checks(job)]
        whole = assess(dataclasses.replace(file, job=job))
        assert brief == [(c.id, c.verdict, c.ratio, c.required) for c in whole.checks], change.id
    assert file.job == before, "a change leaves the job it is given as it was"
