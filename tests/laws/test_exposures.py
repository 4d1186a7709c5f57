"""Laws of the exposure of an edge: draws, scenarios, what must make it greater or less."""

from __future__ import annotations

import hashlib
import itertools
import math
from typing import Any

import numpy as np
import pytest
from support.many_plans import files
from support.plan import COPING, PAD, PLATE, as_json, assessed, check, figure, merged, over_edges

from riskdoc.analysis.abrasion import EdgeExposure
from riskdoc.analysis.analyse import rigged_line
from riskdoc.analysis.resolve import rig_of
from riskdoc.judgement.assess import assess
from riskdoc.mitigation.effects import by_plan_id, result_of
from riskdoc.mitigation.line_changes import line_changes
from riskdoc.mitigation.variants import Variants
from riskdoc.quantities.draws import COUNT, band_of, draws_of, shares
from riskdoc.quantities.intervals import Interval, combine, given, total
from riskdoc.quantities.ranges import Input, Range

EDGE = "line/working/edge/edge_working"
REACH = {"sites": {"wall": {"reach_sideways": "2.2 m"}}}
TINY = 1 + 1e-9


def number(id: str, low: float, expected: float, high: float) -> Interval:
    return given(Input(id, id, id, Range(low, expected, high), "1", "", "", "stated", ""))


# --- draws --------------------------------------------------------------------------------------


def test_draws_hang_on_the_id_alone_and_are_the_same_everywhere():
    """Worked out again without NumPy: the order of the 8-byte pieces of a SHAKE-256 of the id."""
    digest = hashlib.shake_256(b"abrasion/n/value").digest(8 * COUNT)
    keys = [int.from_bytes(digest[8 * n : 8 * n + 8], "little") for n in range(COUNT)]
    order = sorted(range(COUNT), key=lambda n: (keys[n], n))

    assert shares("abrasion/n/value").tolist() == [(n + 0.5) / COUNT for n in order]


def test_every_part_of_a_range_is_drawn_once():
    assert sorted(shares("a")) == pytest.approx([(n + 0.5) / COUNT for n in range(COUNT)])
    assert abs(np.corrcoef(shares("a"), shares("b"))[0, 1]) < 0.1


def test_an_input_that_two_numbers_share_is_drawn_once():
    """x over x is 1 in every draw; x over a twin of another id is not."""
    one, other = number("one", 1, 2, 4), number("other", 1, 2, 4)
    same = combine(lambda a, b: a / b, combine(lambda x: 3 * x, one), total(one, one, one))
    twin = combine(lambda a, b: a / b, one, other)

    assert same.band == Range(1.0, 1.0, 1.0)
    assert twin.band.low < 0.8 < 1.25 < twin.band.high


def test_a_triangle_has_its_tenths_where_they_belong():
    """Low 0, expected 1, high 2: a tenth lies below √(0.1 · 2 · 1) = 0.4472, one above 1.5528."""
    band = number("x", 0, 1, 2).band

    assert band.low == pytest.approx(math.sqrt(0.2), abs=2e-3)
    assert band.high == pytest.approx(2 - math.sqrt(0.2), abs=2e-3)


def test_the_expected_value_is_never_outside_the_band():
    """A range with its expected value at its end is drawn on one side of it only."""
    assert number("x", 1, 1, 2).band.low == 1
    assert number("x", 1, 2, 2).band.high == 2
    assert band_of(np.linspace(0, 1, 11), 5.0) == Range(pytest.approx(0.1), 5.0, 5.0)


def test_a_number_held_at_one_end_is_not_drawn():
    assert number("x", 1, 2, 4).pinned("high").band == Range(4.0, 4.0, 4.0)


def test_a_copy_of_a_part_is_drawn_as_the_original():
    ends = Range(1, 2, 4)
    one, copy, other = (
        draws_of(Input(id, "", "", ends, "1", "", "", "stated", ""))
        for id in ("edges.lip.radius", "edges.lip beside safety.radius", "edges.lipped.radius")
    )
    assert one.tolist() == copy.tolist() != other.tolist()


def test_bands_lie_within_corners_and_the_worse_scenario_is_judged():
    seen = 0
    for file in files():
        for line in rig_of(file).lines:
            for found in rigged_line(file, line).exposed.values():
                if not isinstance(found, EdgeExposure):
                    continue
                seen += 1
                for each in found.scenarios.values():
                    for wear in each.parts.values():
                        ends, band = wear.index.range, wear.index.band
                        assert ends.low <= band.low * TINY
                        assert band.high <= ends.high * TINY
                bands = [each.whole.band.high for each in found.scenarios.values()]
                assert found.judged.whole.band.high == max(bands)
    assert seen > 30


def test_a_held_rope_can_be_the_worse_one_and_is_judged_then():
    """A plate of rough steel over polished metal: beside it the rope wears less."""
    smooth = {**COPING, "surface": "polished metal", "radius": "30 mm"}
    rough = {**PLATE, "surface": "rough steel", "radius": "30 mm", "width": "100 mm"}
    plan = merged(over_edges(smooth, rough), {"sites": {"wall": {"reach_sideways": "0.6 m"}}})
    data = as_json(plan, {"lines": {"working": {"runs": "40"}}})
    creeps, held = (figure(data, f"{EDGE}/{at}exposure")["band"] for at in ("", "held/"))
    found = check(data, f"{EDGE}/exposure")

    assert held["high"] > creeps["high"]
    assert found["demand"] == held
    assert found["figures"] == [f"{EDGE}/held/exposure"]


def test_a_scenario_is_never_a_range_over_both():
    """With one friction, one reach, one of everything a rope is at one place in each."""
    plan = over_edges({**COPING, "friction": "0.35"}, passes="4")
    reach = {"sites": {"wall": {"reach_sideways": "6 m"}}, "lines": {"working": {"below": "8 m"}}}
    data = as_json(plan, reach)
    creeps, held = (figure(data, f"{EDGE}/{at}crossing") for at in ("", "held/"))

    assert creeps["low"] == creeps["high"] > held["low"] == held["high"] > 0


# --- the verdict --------------------------------------------------------------------------------


@pytest.mark.parametrize("passes", ["1", "6", "14", "22", "40", "80"])
def test_the_verdict_is_that_of_the_band(passes):
    plan = over_edges(protector=PAD, passes=passes)
    found = check(as_json(plan, REACH, {"sites": {"wall": {"wet": "true"}}}), f"{EDGE}/exposure")
    band = found["demand"]
    within = "adequate" if band["high"] <= 1 else "borderline" if band["expected"] <= 1 else None

    assert found["verdict"] == (within or "inadequate")
    assert found["ratio"]["low"] == pytest.approx(1 / band["high"])


def test_all_three_verdicts_of_a_band_are_met_by_some_number_of_passes():
    plans = {n: over_edges(protector=PAD, passes=n) for n in ("6", "25", "80")}
    said = [check(as_json(plan, REACH), f"{EDGE}/exposure")["verdict"] for plan in plans.values()]

    assert said == ["adequate", "borderline", "inadequate"]


# --- what makes it greater or less --------------------------------------------------------------

RADII = ("200 mm", "80 mm", "50 mm", "30 mm", "15 mm", "8 mm", "5 mm", "4 mm", "2 mm", "0.9 mm",
         "0.5 mm", "0.1 mm", "0.02 mm")  # fmt: skip


def five(data: dict[str, Any], id: str) -> list[float]:
    """Corners, band and expected value of an exposure."""
    found = figure(data, id)
    return [found["low"], found["band"]["low"], found["expected"], found["band"]["high"],
            found["high"]]  # fmt: skip


@pytest.mark.parametrize("kind", ["sideways", "ascend", "descend", "hold", "lower", "raise"])
def test_a_sharper_edge_never_wears_less_and_a_rounder_one_never_more(kind):
    """In every corner, as expected, and at both ends of the band; from 5 mm on it does help."""
    aside = REACH if kind == "sideways" else {"sites": {"wall": {"reach_sideways": "0 m"}}}
    case = "hold" if kind == "sideways" else kind
    kinds = {"sideways": "sideways/hold", "lower": "running/lower", "raise": "running/raise"}
    id = f"{EDGE}/exposure/{kinds.get(kind, f'sawing/{kind}')}"
    found = []
    for radius in RADII:
        plan = over_edges({**COPING, "radius": radius}, passes="4")
        plan["lines"]["working"]["cases"] = [case]
        found.append(five(as_json(plan, aside), id))

    for blunt, sharp in itertools.pairwise(found):
        assert all(b <= s * TINY for b, s in zip(blunt, sharp, strict=True))
    rounded = found[: RADII.index("5 mm") + 1]
    for blunt, sharp in itertools.pairwise(rounded):
        assert all(b < s for b, s in zip(blunt, sharp, strict=True)), kind


@pytest.mark.parametrize("strands", ["1", "2"])
def test_more_hours_and_more_runs_wear_more(strands):
    plan = over_edges(protector=PAD)
    for key, values in (("hours", ("1 h", "4 h", "9 h")), ("runs", ("1", "3", "9"))):
        found = [
            five(as_json(plan, {"lines": {"working": {key: v, "strands": strands}}}),
                 f"{EDGE}/exposure")
            for v in values
        ]  # fmt: skip
        assert all(a < b for one, more in itertools.pairwise(found) for a, b in zip(one, more,
                   strict=True))  # fmt: skip


# --- comparisons --------------------------------------------------------------------------------


def test_a_pad_against_the_bare_edge_is_its_credit_and_nothing_else():
    """All of the sweep is on the pad, so draw by draw the ratio is 1 - credit: 0.02 / 0.05 / 0.10.

    A tenth of its triangle lies below 0.02 + √(0.1 · 0.08 · 0.03) = 0.03549, and a tenth above
    0.10 - √(0.1 · 0.08 · 0.05) = 0.08. The exposure itself ranges over more.
    """
    data = as_json(over_edges(protector=PAD, passes="6"), REACH)
    found, whole = figure(data, f"{EDGE}/against_bare"), figure(data, f"{EDGE}/exposure")["band"]

    assert found["expected"] == pytest.approx(0.05)
    assert found["band"]["low"] == pytest.approx(0.03549, rel=2e-3)
    assert found["band"]["high"] == pytest.approx(0.08, rel=2e-3)
    assert found["band"]["high"] / found["band"]["low"] < whole["high"] / whole["low"]


def test_the_reference_day_planned_as_a_job_is_one_day():
    """The definition of the table, written as a plan: worked out by the engine it is 1 exactly."""
    plan = over_edges(protector=PAD, after="2.6 m", passes="6")
    plan["lines"]["working"] |= {"below": "14 m", "hours": "6 h", "runs": "1"}
    found = figure(as_json(plan, REACH), f"{EDGE}/days")

    assert found["expected"] == pytest.approx(1, rel=1e-7)
    assert found["band"] == {
        "low": pytest.approx(1, rel=1e-7),
        "expected": pytest.approx(1, rel=1e-7),
        "high": pytest.approx(1, rel=1e-7),
    }


def test_half_the_passes_are_half_the_sideways_way_in_every_draw():
    """What a change does is one ratio: here all exposure is sideways, so it is a half, sharply."""
    plan = assessed(
        over_edges(passes="6"), REACH, {"lines": {"working": {"cases": [], "hours": "1 s"}}}
    )
    change = next(each for each in line_changes(plan) if each.id == "passes/working")
    variants = Variants(plan.file)
    before = by_plan_id(variants.checks(plan.file.job))
    buy = result_of(plan, variants, [change], before)
    assert buy is not None
    effect = next(each for each in buy.effects if each.id == f"{EDGE}/exposure")

    assert effect.compared is not None
    ends = (effect.compared.low, effect.compared.expected, effect.compared.high)
    assert ends == pytest.approx((0.5, 0.5, 0.5), rel=1e-3)
    assert before[effect.id].demand.high > 1.2 * before[effect.id].demand.low


def test_what_cannot_be_compared_is_not():
    plan = assess(next(iter(files())))
    assert all(c.drawn is None for c in plan.checks if not c.id.endswith("/exposure"))
