"""What a job says against itself, on both sides of the boundary; `tests/faults` has one of each.

Factors of units are exact: 1 mph = 0.44704 m/s, 1 knot = 1852/3600 m/s, 1 km/h = 1/3.6 m/s. The
Beaufort scale is that of WMO-No. 306, code table 1100: 5 from 8.0 m/s, 6 from 10.8 m/s.
"""

from __future__ import annotations

from typing import Any

import pytest
import yaml
from support.plan import BASE, DAY, ROPE, merged, over_edges

from riskdoc.job.reading import read_text
from riskdoc.job.winds import speeds


def codes(*changes: dict[str, Any]) -> list[str]:
    """The codes of the faults of the base plan with changes."""
    whole = BASE
    for change in changes:
        whole = merged(whole, change)
    text = yaml.safe_dump(whole, sort_keys=False, default_style='"')
    return [fault.code.value for fault in read_text(text, "plan.yaml", DAY).faults]


def wind(limit: str, kind: str = "mean") -> dict[str, str]:
    return {"stop_at": limit, "measured_as": kind, "height": "30 m", "source": "site rule"}


def stops(text: str, limit: str = "9 m/s", kind: str = "mean") -> list[str]:
    hours = {"hours": "1 h"}
    return codes({
        "sites": {"wall": {"wind": wind(limit, kind)}},
        "lines": {"working": hours, "safety": hours},
        "work": {"stop_work": ["somebody says stop", text]},
    })  # fmt: skip


@pytest.mark.parametrize(
    ("text", "limit", "kind", "told"),
    [
        ("wind above 9 m/s", "9 m/s", "mean", False),
        ("wind above 9.1 m/s", "9 m/s", "mean", True),
        ("wind above 9,1 m/s", "9 m/s", "mean", True),
        ("wind above 12 m/s", "9 m/s", "mean", True),
        ("Wind über 32 km/h", "9 m/s", "mean", False),  # 8.89 m/s
        ("Wind über 34 km/h", "9 m/s", "mean", True),  # 9.44 m/s
        ("wind over 20 mph", "9 m/s", "mean", False),  # 8.94 m/s
        ("wind over 21 mph", "9 m/s", "mean", True),  # 9.39 m/s
        ("wind of 17 knots", "9 m/s", "mean", False),  # 8.75 m/s
        ("wind of 20 kn", "9 m/s", "mean", True),  # 10.29 m/s
        ("wind at 20 kts", "9 m/s", "mean", True),
        ("mean wind above 22 mph", "9.8 m/s", "mean", False),  # 9.83 m/s, rounded to a mile
        ("wind 10 m/s (22 mph)", "10 m/s", "mean", False),
        ("wind from Beaufort 5", "9 m/s", "mean", False),  # 8.0 m/s
        ("wind above Beaufort 5", "9 m/s", "mean", True),  # that is 6, from 10.8 m/s
        ("Wind ab 6 Bft", "9 m/s", "mean", True),
        ("a gale, force 8", "9 m/s", "mean", True),
        ("wind between 9 and 12 m/s", "9 m/s", "mean", True),
        # Gusts are above the mean: in the text they say nothing against a limit of the mean.
        ("gusts above 14 m/s", "9 m/s", "mean", False),
        ("mean wind above 9 m/s, gusts above 14 m/s", "9 m/s", "mean", False),
        ("gusts above 14 m/s", "12 m/s", "gust", True),
        ("gusts above 12 m/s", "12 m/s", "gust", False),
        # A mean above the limit of the gusts has gusts above it.
        ("mean wind above 14 m/s", "12 m/s", "gust", True),
        # What is no wind is no wind.
        ("a vehicle faster than 30 km/h on the road", "9 m/s", "mean", False),
        ("the window opens at 12 m/s", "9 m/s", "mean", False),
        ("a load above 12 kN", "9 m/s", "mean", False),
        ("thunder", "9 m/s", "mean", False),
    ],
)  # fmt: skip
def test_no_crew_works_on_above_the_wind_limit(text, limit, kind, told):
    assert ("C44" in stops(text, limit, kind)) is told


def test_a_text_for_one_site_is_held_against_that_site_alone():
    both = {
        "sites": {"wall": {"wind": wind("12 m/s")}, "crown": {"drop": "9 m", "wind": wind("9 m/s")}}
    }

    def told(text: str) -> bool:
        return "C44" in codes(both, {"work": {"stop_work": [text]}})

    assert told("wind above 12 m/s")  # the crew at the crown would work on
    assert not told("wind above 12 m/s at the wall")
    assert told("wind above 12 m/s at the crown")
    assert not told("wind above 9 m/s")


def test_a_limit_that_is_none_is_not_exceeded():
    indoors = {"sites": {"wall": {"wind": {"none": "indoors"}}}}

    assert codes(indoors, {"work": {"stop_work": ["wind above 12 m/s"]}}) == []


def test_several_speeds_of_a_text_are_read():
    found = speeds("gusts above 14 m/s or mean wind above 20 mph; force 7")

    assert [(each.kind, round(each.speed, 3)) for each in found] == [
        ("gust", 14.0), ("mean", 8.941), ("mean", 13.9),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("contact", "ground", "told"),
    [
        ("8 min", "8 min", False),  # who is lowered is reached on the ground at the latest
        ("8.1 min", "8 min", True),
        ("5 to 9 min", "8 to 12 min", False),
        ("5 to 13 min", "8 to 12 min", True),
        ("9 to 12 min", "8 to 12 min", True),
        ("0.1 h", "5 min", True),
    ],
)
def test_a_rescuer_is_not_there_after_the_ground(contact, ground, told):
    plan = {"time_to_contact": contact, "time_to_ground": ground}
    own = {"how": "from below", "method": "a lift platform"}

    assert ("C42" in codes({"rescue": plan})) is told
    assert ("C42" in codes({"rescue": {"lines": {"working": {**own, **plan}}}})) is told


def hours(text: str, *changes: dict[str, Any]) -> bool:
    return "C43" in codes({"lines": {"working": {"hours": text}}}, *changes)


def test_a_day_has_24_hours():
    """The job has two days, and two people of the load who take turns."""

    def shift(text: str) -> dict[str, Any]:
        return {"work": {"shift": text}}

    assert "C43" not in codes(shift("24 h"))
    assert "C43" in codes(shift("24.1 h"))
    assert not hours("48 h", {"work": {"shift": None}})
    # 8 h for each of two, on two days: 32 h.
    assert not hours("32 h", shift("8 h"))
    assert hours("33 h", shift("8 h"))
    assert not hours("30 to 33 h", shift("8 h"))
    # 8 h for one alone on two days: 16 h.
    alone = {"loads": {"worker": {"who": ["second"]}}}
    assert not hours("16 h", shift("8 h"), alone)
    assert hours("17 h", shift("8 h"), alone)
    # A thing hangs by night too, and of people who are not named nothing is known.
    assert not hours("33 h", shift("8 h"), {"loads": {"worker": {"who": None}}})


@pytest.mark.parametrize(
    ("standard", "diameter", "told"),
    [
        ("EN 1891 type A", "10 mm", False),  # 10 to 16 mm, HSE CRR 364/2001 p. 8
        ("EN 1891 type A", "9.9 mm", True),
        ("EN 1891 type A", "16 mm", False),
        ("EN 1891 type A", "16.1 mm", True),
        ("EN 1891 type A", "9.5 to 11 mm", True),
        ("EN 892 single", "9.2 mm", False),  # no size in the table
        ("none stated", "9.2 mm", False),
        ("EN 564", "8.1 mm", True),
    ],
)
def test_a_rope_has_a_size_of_its_standard(standard, diameter, told):
    rope = {**ROPE, "standard": standard, "diameter": diameter, "stretch": "3 %"}

    assert ("C45" in codes({"ropes": {"main": rope}})) is told


def test_what_an_alternative_alone_uses_is_used():
    light = {"people": "1", "mass": "60 kg", "kit": "10 kg", "who": ["third"]}
    change = {f"lines.{line}.load": "light" for line in ("working", "safety")}
    spare = {"loads": {"light": light}}
    other = {"alternatives": {"light": {"title": "a light person", "change": change}}}

    assert codes(spare) == ["C46"]
    assert codes(spare, other) == []


def test_an_edge_that_no_line_runs_over_is_told():
    plan = over_edges()
    plan["lines"]["safety"]["over"] = []

    assert codes(plan) == ["C46"]


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"people": {"second": {"name": "a.  LEAD"}}}, "C41"),
        ({"people": {"second": {"name": "A. Leader"}}}, ""),
        ({"loads": {"worker": {"who": ["second", "second"]}}}, "C40"),
        ({"rescue": {"who": ["lead", "second", "lead"]}}, "C40"),
        ({"people": {"second": {"supervises": None}}}, "K02"),
        ({"job": {"requirements": None}}, "K02"),
        ({"rescue": {"phone_signal": "good on the gallery"}}, "V03"),
    ],
)
def test_a_person_is_one_person_and_nothing_is_assumed(change, code):
    assert codes(change) == ([code] if code else [])
