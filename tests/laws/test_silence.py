"""The law of silence: leaving something out of a job never improves what is said of it.

Every key, entry and section of a job is left out, one at a time. What is left is refused with a
fault, or it is no nearer to adequate: not as a whole, and not in any check or item. Every check it
had is still in the list: judged, not demonstrated, or said by the job not to apply. A check goes
only with the part it is about, and then the whole job gets no better.

As it is run every day: all of the base plan, and one path in so many of the demos and of what other
plans change. `RISKDOC_SILENCE=full` tries all of them.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import Any
from zlib import crc32

import pytest
from support.leaving_out import dotted, paths
from support.many_plans import CHANGES
from support.plan import BASE, DAY, as_json, check, merged, over_edges, tree_of
from support.silence import (
    ADEQUATE,
    DEMOS,
    JOBS,
    Better,
    changed,
    demo,
    improvements,
    matches,
    own,
    said_of,
    sampled,
)

FULL = os.environ.get("RISKDOC_SILENCE") == "full"
ONE_IN = 1 if FULL else 24
"""Of so many paths one is left out."""

WHOLE: dict[str, Any] = merged(
    BASE,
    {
        "job": {"permits": {"none": "an empty hall of our own"}},
        "work": {"tools": ["hand tools"], "isolations": []},
        "rescue": {
            "steps": ["stop the work", "drive the platform up"],
            "time_to_contact": "3 min",
            "first_aid": "at the foot",
            "hospital": "the nearest, 20 min",
            "rendezvous": "the north gate",
            "drilled": "2027-04-05",
        },
    },
)
"""The base plan, with what the items of its set ask for as well: nothing stands against it."""

BY_DESIGN: dict[str, tuple[str, ...]] = {
    # Measured in place of a row of the tables: without it, the row counts.
    "edges.*.friction": ("line/**", "anchor/**"),
    "protection.*.friction": ("line/**", "anchor/**"),
    "protection.*.credit": ("line/*/edge/*/exposure",),
    "lines.*.redirects.*.friction": ("line/**", "anchor/**"),
    "lines.*.haul.efficiency": ("line/**", "anchor/**"),
    "sites.*.wind.gusts_per_hour": ("line/*/edge/*/exposure",),
    # What is done is what is stated: a shorter list says that less is done.
    "lines.*.cases.*": ("line/**", "anchor/**"),
    "lines.*.haul.stages.*": ("line/**", "anchor/**"),  # another system, which jams with less
    "loads.*.who.*": ("load/*/who", "people/*/lines"),  # those who are named are those who hang
    "sites.*.chemicals.*": ("line/*/chemicals",),
    # Without `who` the load itself is not demonstrated, and nobody is known to hang on two.
    "loads.*.who": ("people/*/lines",),
    # What is not raised asks for no haul; what the line carries in a rescue is a check of its own.
    "lines.*.rescue": ("line/**", "anchor/**"),
    # What is gone pulls no more; that redirects are not stated is a check of its own.
    "lines.*": ("anchor/**", "line/*/devices", "load/**", "people/*/lines", "*/*/common"),
    # Nothing is common to two lines where one of them runs elsewhere, or nobody says where.
    "lines.*.over": ("*/*/common",),
    "lines.*.over.*": ("*/*/common",),
    # Nor does it tie one line to the anchor of the other.
    "lines.*.redirects": ("anchor/**", "line/**", "load/*/lines", "people/*/lines"),
    "lines.*.redirects.*": ("anchor/**", "line/**", "load/*/lines", "people/*/lines"),
    # Three legs that slide, their lengths not said, count as pulled in any direction; lengths with
    # which they hold the pull in no place are not demonstrated.
    "anchors.*.legs.*.length": ("anchor/*/leg/*", "anchor/*/leg_lost/*", "anchor/*/strength"),
}
"""What may get better, or vanish, where such a key is left out; and the reason why. An item may
where a check that it may rest on may. The whole job never may."""


def against_the_law(tree: Any, found: Better) -> Iterator[str]:
    """What is better, or vanishes, without a reason."""
    if found.level:
        yield f"the whole: {found.before.level} -> {found.after.level}"
    parts = own(tree, found.keys)
    keys = dotted(found.keys)
    allowed = [id for key, ids in BY_DESIGN.items() if matches(key, keys) for id in ids]
    for id in found.better:
        if id.startswith("item ") and (parts or allowed):
            continue
        if not any(matches(each, id) for each in allowed):
            yield f"better: {id}"
    for id in found.gone:
        with_part = any(id == part or id.startswith(f"{part}/") for part in parts)
        if not with_part and not any(matches(each, id) for each in allowed):
            yield f"vanishes: {id}"


def broken(tree: Any, found: Iterator[Better]) -> list[str]:
    """Every break of the law, in words."""
    return [f"without {dotted(each.keys)}, {said}"
            for each in found for said in against_the_law(tree, each)]  # fmt: skip


def test_the_whole_plan_has_nothing_against_it():
    """Else the law would say little of it: what is bad already cannot get better unseen."""
    assert said_of(WHOLE, DAY).level == ADEQUATE
    assert len(list(paths(WHOLE))) > 240


def test_nothing_of_a_plain_plan_is_better_left_out():
    assert not broken(WHOLE, improvements(WHOLE, DAY))


@pytest.mark.parametrize(("name", "day"), DEMOS.items(), ids=DEMOS)
def test_nothing_of_a_demo_is_better_left_out(name, day):
    tree = demo(name)
    among = sampled(paths(tree), ONE_IN)

    assert len(among) > 10
    assert not broken(tree, improvements(tree, day, JOBS, among))


def plans() -> Iterator[Any]:
    """Plans with something that stands against them, as written."""
    for n, changes in enumerate(CHANGES):
        tree = tree_of(*changes)
        if FULL or crc32(str(n).encode()) % 4 == 0:
            yield pytest.param(tree, id=str(n))


@pytest.mark.parametrize("tree", list(plans()))
def test_nothing_that_stands_against_a_plan_is_better_left_out(tree):
    """Of a plan that is bad by what it states, what it states differently from the base plan."""
    if said_of(tree, DAY).refused:
        pytest.skip("refused as it stands")
    among = sampled(changed(tree, BASE), 1 if FULL else 4)

    assert not broken(tree, improvements(tree, DAY, None, among))


# What was once better left out, and what a careful supervisor says of it.

HAUL: dict[str, Any] = {
    "cases": ["raise"],
    "haul": {"stages": [{"strands": "3", "ends": "moving"}], "haulers": "5"},
}
LOOSE = over_edges(None, {"kind": "loose cover", "tied": "true", "width": "1 m"})
SILENT: dict[str, tuple[dict[str, Any], str, str]] = {
    "nobody knows what a team puts into a line by a system that nobody states": (
        {"lines": {"working": {**HAUL, "haul": None}}},
        "line/working/margin/derated",
        "lines.working.haul",
    ),
    "nor what that does to its anchor": (
        {"lines": {"working": {**HAUL, "haul": None}}},
        "anchor/one/leg/1",
        "lines.working.haul",
    ),
    "a rope whose stretch nobody states is not shown to be of its standard": (
        {"ropes": {"main": {"stretch": None}}},
        "rope/main/standard/stretch",
        "ropes.main.stretch",
    ),
    "nobody knows whether what lies at an edge stays there in a fall, if nobody says what does": (
        merged(LOOSE, {"edges": {"edge_safety": {"protection": None}}, "protection": {}}),
        "line/safety/edge/edge_safety/rule/cover",
        "edges.edge_safety.protection",
    ),
}


@pytest.mark.parametrize(("change", "id", "key"), SILENT.values(), ids=SILENT)
def test_what_is_not_stated_is_not_demonstrated(change, id, key):
    found = check(as_json(change), id)

    assert found["verdict"] == "not demonstrated"
    assert key in found["missing"]


def test_the_devices_of_a_rescue_are_not_better_left_out():
    """A lowering device for 120 kg under a pair: without its name nothing says what it is for."""
    lowered = {
        "devices": {"lowering": {**BASE["devices"]["descender"], "mass_at_most": "120 kg"}},
        "loads": {"pair": {"people": "2", "mass": "160 kg", "kit": "36 kg"}},
        "lines": {"working": {"rescue": {"load": "pair", "how": "lower"}}},
        "rescue": {"how": "lower"},
    }
    named = merged(lowered, {"lines": {"working": {"rescue": {"devices": ["lowering"]}}}})

    assert check(as_json(named), "line/working/device/lowering/mass")["verdict"] == "inadequate"
    assert check(as_json(lowered), "line/working/rescue/load")["verdict"] == "not demonstrated"
