"""What a change writes into the job file: written there and read again, it is the same change."""

from __future__ import annotations

import dataclasses
from functools import cache
from typing import Any

import pytest
import yaml
from practice.test_changes_by_hand import EDGED, HAULED, PAIR, SHARED, bridle
from support.demos import DAYS, JOBS, SEARCHED
from support.plan import COPING, PAD, PLATE, ROPE, assessed, job_of, merged, over_edges
from support.written import with_keys

from riskdoc.job.reading import JobFile, read
from riskdoc.judgement.assess import assess
from riskdoc.mitigation.change import Change
from riskdoc.mitigation.combinations import Search
from riskdoc.mitigation.effects import applicable
from riskdoc.mitigation.job_edits import Write, names_of, spelled, writes
from riskdoc.mitigation.variants import Variants
from riskdoc.signing.content import resolved
from riskdoc.tables.loader import table

NARROW = merged(
    over_edges(edge={**COPING, "radius": "8 mm"}, protector={**PLATE, "width": "200 mm"}),
    {"sites": {"wall": {"reach_sideways": "2 m"}}, "lines": {"working": {"passes": "4"}}},
)
ONE_PAD = over_edges(edge=COPING, protector=PAD)
ONE_PAD["edges"]["edge_safety"]["protection"] = "at_working"
del ONE_PAD["protection"]["at_safety"]
WINDY = {"sites": {"wall": {"wind": {"stop_at": "20 mph", "measured_as": "gust", "height": "10 m",
         "source": "site"}}}, "lines": {"working": {"hours": "1 h", "runs": "5"},
                                        "safety": {"hours": "1 h"}}}  # fmt: skip
THREE = [["1", "0", "1"], ["-0.5", "0.866", "1"], ["-0.5", "-0.866", "1"]]
PLANS: dict[str, tuple[dict[str, Any], ...]] = {
    "plain": (),
    "edged": (EDGED,),
    "shared edge": (SHARED,),
    "one pad for two edges": (ONE_PAD,),
    "narrow": (NARROW,),
    "pair": (PAIR,),
    "hauled": (HAULED,),
    "bridle": (bridle({"angle": "50 deg"}, {"angle": "30 to 40 deg"}, equalised="fixed"),),
    "in space": (bridle(*({"direction": d, "length": "1.25 m"} for d in THREE),
                        equalised="fixed", pull=["0", "0", "-1"]),),
    "one rope": ({"ropes": {"second": None, "main": {**ROPE, "first_used": "2025-03"}},
                  "lines": {"safety": {"rope": "main"}}},),
    "windy": (EDGED, WINDY),
    "ranges": ({"lines": {"safety": {"fall": {"free": "0.35 to 0.55 m"}}},
                "ropes": {"main": {"strength": "5000 to 6000 lbf", "diameter": "0.43 in"}}},),
}  # fmt: skip


@cache
def file_of(name: str) -> JobFile:
    if name in DAYS:
        file = read(JOBS / f"{name}.yaml", DAYS[name]).file
        assert file is not None
        return file
    return job_of(*PLANS[name])


@cache
def changes_of(name: str) -> tuple[Change, ...]:
    return applicable(assess(file_of(name)))


@pytest.mark.parametrize("name", [*DAYS, *PLANS])
def test_each_change_written_into_the_file_and_read_again_is_the_same_job(name):
    file = file_of(name)
    told = 0
    for change in changes_of(name):
        after = change.apply(file.job)
        written = writes(file.job, after)
        again = with_keys(file, written)
        assert written, change.id
        assert resolved(again.job) == resolved(spelled(after, names_of(after))), change.id
        told += 1

    assert told >= 4


def test_every_kind_of_change_was_written_and_read():
    """A new kind of change has to come up in these plans, or it was never written."""
    ranked = {row for row, cells in table("controls").rows.items() if "effort" in cells}
    seen = {change.kind for name in (*DAYS, *PLANS) for change in changes_of(name)}

    assert seen == ranked


@pytest.mark.parametrize("name", SEARCHED)
def test_the_package_written_into_the_file_gives_the_same_checks(name):
    """By a whole new assessment of what was read; copies of parts are called as in the file."""
    file = file_of(name)
    package = Search(assess(file), Variants(file)).package()
    assert package.result is not None
    again = with_keys(file, [each for step in package.steps for each in step.writes])
    names = names_of(package.result.job)
    whole = assess(dataclasses.replace(file, job=package.result.job))

    def known(id: str) -> str:
        return "/".join(names.get(part, part) for part in id.split("/"))

    found = {c.id: (c.verdict, c.ratio, c.required) for c in assess(again).checks}
    wanted = {known(c.id): (c.verdict, c.ratio, c.required) for c in whole.checks}

    assert resolved(again.job) == resolved(package.job)
    assert found == wanted


def test_a_wider_protector_is_one_key_and_a_second_strand_another():
    plan = assessed(NARROW)
    found = {c.id: writes(plan.file.job, c.apply(plan.file.job)) for c in applicable(plan)}

    # 2 · 2 m · 2.5 m / 22.5 m = 0.444… m of sweep, up to the next 100 mm.
    assert found["wider/edge_working"] == (Write("protection.at_working.width", "500 mm"),)
    assert found["two strands/working"] == (Write("lines.working.strands", 2),)
    assert [each.text for each in found["passes/working"]] == ["lines.working.passes: 2"]


def test_what_is_added_is_written_whole():
    """Under the plan's own words: a copy of an edge has all that the edge has."""
    plan = assessed(SHARED)
    apart = next(c for c in applicable(plan) if c.kind == "apart")
    written = {w.key: w.value for w in writes(plan.file.job, apart.apply(plan.file.job))}

    assert written["edges.edge_working_safety"] == {
        "site": "wall", "surface": "granite", "radius": "30 mm", "turn": "80 deg",
        "protection": "at_working_safety",
    }  # fmt: skip
    assert written["protection.at_working_safety"] == {
        "kind": "thick pad",
        "tied": True,
        "width": "1 m",
    }
    assert written["lines.safety.over[1].edge"] == "edge_working_safety"
    assert len(written) == 3


def test_an_id_that_is_taken_is_not_given_again():
    taken = merged(SHARED, {"edges": {"edge_working_safety": {**COPING, "radius": "30 mm"}}})
    over = [*taken["lines"]["working"]["over"], {"edge": "edge_working_safety", "after": "0.5 m"}]
    plan = assessed(taken, {"lines": {"working": {"over": over}}})
    apart = next(c for c in applicable(plan) if c.kind == "apart")
    keys = [w.key for w in writes(plan.file.job, apart.apply(plan.file.job))]

    assert "edges.edge_working_safety_2" in keys
    assert not any(key.startswith("edges.edge_working_safety.") for key in keys)


def test_the_text_of_a_write_is_yaml():
    value = {"note": "it's: wet", "over": [{"edge": "sill", "after": "2 m"}], "tied": True}
    key, text = Write("edges.sill", value).text.split(": ", 1)

    assert key == "edges.sill"
    assert yaml.safe_load(text) == value
