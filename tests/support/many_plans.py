"""Plans that together bring up every text of an assessment: the demos, and changes to a plain plan.

None of them is a good plan; each is here for what must be said about it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from riskdoc.job.reading import JobFile, read
from support.demos import DAYS, JOBS
from support.plan import BASE, COPING, PAD, PLATE, ROLLER, ROPE, both_ropes, job_of, over_edges

WINDS = ("1", "2", "4", "7", "9", "12", "15", "19", "23", "26", "30", "35")
"""A speed in m/s of every number of the Beaufort scale from 1 to 12; no job can state calm."""

BLADE = {**COPING, "radius": "0.2 mm", "surface": "polished metal"}
SHARP = {**COPING, "radius": "2 mm", "surface": "polished metal"}
BOTH = ("working", "safety")


def on_lines(**change: Any) -> dict[str, Any]:
    """The same change to both lines."""
    return {"lines": dict.fromkeys(BOTH, change)}


def on_safety(*redirects: dict[str, str]) -> dict[str, Any]:
    """Redirects of the safety line."""
    return {"lines": {"safety": {"redirects": list(redirects)}}}


def wind(speed: str, **more: Any) -> dict[str, Any]:
    """Work that stops at a wind, and hours in it."""
    site = {"wind": {"stop_at": f"{speed} m/s", "measured_as": "mean", "height": "30 m",
                     "source": "site rule", **more}}  # fmt: skip
    return {"sites": {"wall": site}, **on_lines(hours="2 h")}


def legs(*directions: list[str], **more: Any) -> dict[str, Any]:
    """One anchor of three legs and more for the working line."""
    each = [{"strength": "50 kN", "evidence": "tested", "direction": d} for d in directions]
    for leg, length in zip(each, more.pop("lengths", ()), strict=False):
        leg["length"] = length
    return {"anchors": {"one": {"legs": each, **more}}}


def pair(left: str, right: str, **more: Any) -> dict[str, Any]:
    """One anchor of two legs at angles."""
    each = [{"strength": "22 kN", "evidence": "tested", "angle": a} for a in (left, right)]
    return {"anchors": {"one": {"legs": each, **more}}}


def device(**more: Any) -> dict[str, Any]:
    """A device on the working line."""
    part = {"kind": "descender", "mass": "0.5 kg", "material": "aluminium", **more}
    return {"devices": {"brake": part}, "lines": {"working": {"devices": ["brake"]}}}


def accepting(*checks: str) -> dict[str, Any]:
    """Deviations for checks."""
    each = [
        {"check": check, "by": "lead", "reason": "looked at", "until": "2027-06-02"}
        for check in checks
    ]
    return {"signoff": {"deviations": each}}


WIDE = {
    **both_ropes(diameter="10 to 12 mm", strength="20 to 40 kN", stretch="2 to 6 %"),
    "loads": {"worker": {"mass": "70 to 110 kg", "kit": "5 to 25 kg"}},
}
PEAK = {"force": "5.1 kN", "mass": "100 kg", "factor": "0.3"}
ALONE = {"people": {"lead": None, "second": None, "third": {"supervises": "true"}},
         "rescue": {"who": ["third"]},
         "loads": {"worker": {"who": ["third"]}}}  # fmt: skip
ONE_EDGE = {
    "edges": {"coping": {**COPING, "protection": "pad"}},
    "protection": {"pad": PAD},
    **on_lines(over=[{"edge": "coping", "after": "2 m"}]),
}
REACH = {"sites": {"wall": {"reach_sideways": "2 m"}}}
UNKNOWN = {"sites": {"wall": {"reach_sideways": None}}}
FREE = {**both_ropes(inspected=None), "sites": {"wall": {"wet": None}}}

THING = {"loads": {"worker": {"people": "0"}},
         "lines": {"working": {"cases": ["lower"]}, "safety": {"fall": None}}}  # fmt: skip
SPARE = {
    "ropes": {"spare": dict(ROPE), "spare_two": dict(ROPE)},
    "anchors": {"spare": BASE["anchors"]["one"], "spare_two": BASE["anchors"]["one"]},
}
SECOND_LOAD = {
    **SPARE,
    "loads": {"other": {"people": "1", "mass": "80 kg", "kit": "9 kg", "who": ["second"]},
              "worker": {"who": ["second"], "in_turn": None}},
    "lines": {
        "other": {**BASE["lines"]["working"], "rope": "spare", "anchor": "spare", "load": "other"},
        "other_safety": {**BASE["lines"]["safety"], "rope": "spare_two", "anchor": "spare_two",
                         "load": "other"},
    },
}  # fmt: skip
"""One person on two loads, each with lines of its own."""
PAIR = {"loads": {"pair": {"people": "2", "mass": "165 kg", "kit": "20 kg"}}}

CHANGES: tuple[tuple[dict[str, Any], ...], ...] = (
    (),
    (WIDE,),
    (FREE,),
    # edges and what lies on them
    (over_edges(passes="2"), REACH),
    (over_edges(BLADE), REACH),
    (over_edges(SHARP), REACH),
    (over_edges(SHARP, {"kind": "loose cover", "tied": "false", "width": "1 m"}),),
    (over_edges(COPING, {"kind": "loose cover", "tied": "true", "width": "1 m"}),),
    (over_edges(COPING, {**PAD, "width": "10 cm", "credit": "0.5"}, passes="4"), REACH),
    (over_edges({**SHARP, "friction": "0.4"}, {**PAD, "width": "10 cm"}, passes="4"), REACH),
    (over_edges({**COPING, "friction": "0.4"}),),
    (over_edges(COPING, {"kind": "rigid plate", "radius": "30 mm", "surface": "polished metal",
                         "width": "1 m", "tied": "true", "friction": "0.2"}),),
    (over_edges(SHARP), REACH, {"lines": {"safety": None}}),
    (over_edges(SHARP, {**PAD, "width": "10 cm"}, passes="4"), REACH, {"lines": {"safety": None}}),
    (over_edges(COPING), on_lines(strands="2")),
    (over_edges(COPING), on_lines(strands="2"), {"lines": {"safety": {"fall": None}}}),
    (REACH, {"lines": {"working": {"passes": "0"}}}),
    ({"sites": {"wall": {"reach_sideways": "30 m"}}},),
    # ropes
    (both_ropes(sheath="polyester", core="aramid"),
     {"sites": {"wall": {"chemicals": ["acid", "alkali", "bleach", "solvent"]}}}),
    (both_ropes(sheath="polypropylene", core="polyamide"),
     {"sites": {"wall": {"chemicals": ["acid", "alkali", "bleach", "solvent"]}}}),
    (both_ropes(condition="suspect"),),
    (both_ropes(condition="worn", inspected="2026-01-01", retire_by="2026-12"),),
    (both_ropes(standard="EN 892 half", diameter="9 mm", stretch="9 %", peak=PEAK),),
    (both_ropes(stretch=None, peak=PEAK),),
    (both_ropes(stretch=None),),
    (both_ropes(strength=None),),
    (both_ropes(standard="none stated", diameter="20 mm", length="20 m"),
     {"lines": {"working": {"stopper": "true"}}}),
    ({"lines": {"safety": {"rope": "main"}}},),
    (both_ropes(standard="NFPA 2500 technical"),),
    # anchors
    ({"anchors": {"one": {"legs": [{"strength": "22 kN", "evidence": "unknown"}]}}},),
    ({"anchors": {"one": {"legs": [{"evidence": "tested"}]}}},),
    (pair("20 deg", "40 deg", equalised="self"),),
    (pair("20 deg", "40 deg", equalised="self", extension="0.4 m"), REACH),
    (pair("50 deg", "50 deg", equalised="self", extension={"none": "Sims"}),),
    (pair("5 deg", "5 deg", equalised="fixed"), {"sites": {"wall": {"reach_sideways": "9 m"}}}),
    (pair("70 deg", "0 to 40 deg", equalised="fixed"), REACH),
    (pair("20 deg", "40 deg", equalised="fixed"),
     {"sites": {"wall": {"reach_sideways": "30 m"}}}),
    ({"anchors": {"one": {"equalised": "fixed", "legs": [
        {"strength": "22 kN", "evidence": "tested", "angle": "0 deg", "length": "1 m",
         "modulus": f"{modulus} kN"} for modulus in (40, 900)]}}},),
    (pair("20 deg", "20 deg", equalised="fixed"),),
    (legs(["0", "0", "1"], ["0.5", "0", "1"], ["0", "0.1", "-1"], equalised="fixed",
          pull=["0", "0", "-1"], lengths=("1 m", "2 m", "1 m")),),
    (legs(["1", "0", "1"], ["-1", "1", "1"], ["-1", "-1", "1"], equalised="fixed",
          pull=["0", "0", "-1"], lengths=("1 m", "1 m", "1 m")),),
    (legs(["0", "0", "1"], ["0.5", "0", "1"], ["0", "0.5", "1"], equalised="fixed",
          pull=["0", "0", "1"], lengths=("1 m", "2 m", "1 m")),),
    (legs(["0", "0", "1"], ["0.5", "0", "1"], ["0", "0.5", "1"], equalised="self"),),
    ({"lines": {"safety": {"anchor": "one"}}},),
    ({"anchors": {"side": {"legs": [{"strength": "22 kN", "evidence": "tested"}]}},
      "lines": {"working": {"redirects": [
          {"anchor": "side", "turn": "90 deg", "after": "1 m", "over": "pulley"}]}}},),
    ({"lines": {"working": {"redirects": [
        {"anchor": "two", "turn": "90 deg", "after": "1 m", "over": "pulley"}]}}},),
    (pair("30 deg", "30 deg", equalised="self", extension="0.4 m"),
     on_safety({"anchor": "one", "turn": "90 deg", "after": "1 m", "over": "pulley"})),
    (pair("30 deg", "30 deg", equalised="fixed"),
     on_safety({"anchor": "one", "turn": "90 deg", "after": "1 m", "over": "pulley"})),
    (legs(["1", "0", "0.5"], ["-1", "0", "0.5"], ["0", "1", "1"], equalised="self"),
     on_safety({"anchor": "one", "turn": "90 deg", "after": "1 m", "over": "pulley"})),
    (legs(["0.5", "0", "1"], ["-0.5", "0", "1"], ["0", "0.5", "1"], equalised="self",
          lengths=("1 m", "1 m", "1 cm")), {"sites": {"wall": {"reach_sideways": "12 m"}}}),
    (legs(["0", "0", "1"], ["0.5", "0", "1"], ["0", "0.5", "1"], equalised="fixed",
          lengths=("1 m", "1 m", "1 m")),),
    ({"anchors": {"side": {"legs": [{"strength": "2 kN", "evidence": "tested"}]}},
      "lines": {"working": {"cases": ["raise"], "redirects": [
          {"anchor": "side", "turn": "170 deg", "after": "1 m", "over": "connector"},
          {"anchor": "side", "turn": "9 deg", "after": "3 m", "over": "pulley",
           "friction": "0.1 to 0.3"}]}}}, over_edges(), wind("5", measured_as="gust")),
    (on_lines(redirects=None),),
    # devices, hauling, the fall, the rescue with a line
    (device(),),
    (device(mass=None),),
    (device(diameter_from="9 mm", diameter_to="12 mm", standards=["EN 1891 type A", "EN 564"]),),
    (device(diameter_from="8 mm", diameter_to="9 mm", standards=["EN 564"], strength="15 kN"),),
    (device(slip="4 kN"), {"lines": {"safety": {"devices": ["brake"]}}}),
    ({"lines": {"working": {"cases": ["raise"], "haul": {
        "stages": [{"strands": "3", "ends": "moving"}], "haulers": "5", "efficiency": "0.9"}}}},),
    ({"lines": {"working": {"cases": ["raise"], "haul": {
        "stages": [{"strands": "2", "ends": "fixed"}], "haulers": "1"}}}},
     over_edges()),
    ({"lines": {"safety": {"fall": None}}},),
    ({"lines": {"safety": {"fall": {"free": "2 m", "clear": "10 m", "ledges": [
        {"name": "Sims", "below": "9 m"}]}}}, "sites": {"wall": {"clear_below": "2 m"}}},),
    ({"lines": {"safety": {"role": "working", "fall": None}}},),
    ({"lines": {"safety": None}},),
    ({"loads": {"pair": {"people": "2", "mass": "160 kg", "kit": "30 kg"}},
      "lines": {"working": {"rescue": {"load": "pair", "how": "raise"}}}}, over_edges()),
    # strands, a joint that drops, pads on sharp edges, one line over the anchor of the other
    ({"lines": {"working": {"strands": "2"}}},),
    ({"lines": {"working": {"strands": "2"}}, "devices": {"descender": {"each_strand": "true"}}},),
    (over_edges(SHARP, PAD),),
    *(({"lines": {"working": {"redirects": [
        {"anchor": "two", "turn": turn, "after": "1 m", "over": "pulley"}]}}},)
      for turn in ("20 deg", "90 deg")),
    (both_ropes(length="25 m"), on_lines(stopper="true")),
    (both_ropes(length="23 m"), on_lines(stopper="true")),
    (both_ropes(length="25 m"), on_lines(stopper="true", cases=["lower"])),
    ({"loads": {"pair": {"people": "2", "mass": "160 kg", "kit": "30 kg"}},
      "lines": {"working": {"rescue": {
          "load": "pair", "how": "lower", "devices": ["descender"]}}}},),
    # wind, people, rescue, what is near, tools, acceptances
    *((wind(speed), REACH) for speed in WINDS),
    (wind("9", gusts_per_hour="20"),),
    (wind("9", measured_as="gust"),),
    ({"sites": {"wall": dict.fromkeys(("wind", "zone", "near", "chemicals", "reach_sideways"))},
      "work": None},),
    (REACH, {"sites": {"wall": {"wind": None, "zone": {"size": "1 m", "kept_by": "Sims"}}}}),
    ({"work": {"light": "night"}},),
    ({"work": {"light": "night", "lighting": "Sims"}},),
    # age
    (both_ropes(life=None),),
    (both_ropes(life={"from_made": "12", "from_first_use": "10"}),),
    (both_ropes(life={"from_made": "1", "from_first_use": "1"}, first_used="2025-03"),),
    (both_ropes(life={"from_made": {"none": "Sims"}, "from_first_use": "10"},
                first_used={"none": "new"}),),
    (both_ropes(life={}),),
    ({**both_ropes(sheath="polyester", core="polyester"),
      "sites": {"wall": {"chemicals": ["acid"], "temperature": "10 degC"}},
      "loads": {"pair": {"people": "2", "mass": "160 kg", "kit": "30 kg"}},
      "lines": {"working": {"rescue": {"load": "pair", "how": "lower"}}}}, device()),
    ({"rescue": {"by": "emergency services", "who": None}},),
    ({"rescue": {"who": None, "method": None, "time_to_ground": None}},),
    ({"rescue": {"time_to_ground": "40 min"}},),
    ({"rescue": {"time_to_ground": "40 min", "why_longer": "Sims"}},),
    ({"people": {"second": {"rescue": "false", "first_aid": "false", "expires": "2027-05-01"},
                 "third": {"expires": None, "supervises": "true", "rescue": "false"}}},),
    ({"people": {each: {"supervises": "false"} for each in ("lead", "second", "third")}},),
    ({"people": {"lead": {"first_aid": "false", "rescue": "false"},
                 "second": {"first_aid": "false", "rescue": "false"},
                 "third": {"first_aid": "false", "rescue": "false"}}},),
    ({"people": {"lead": {"first_aid": "false", "rescue": "false"},
                 "third": {"first_aid": "false", "rescue": "false"}}},),
    ({"loads": {"worker": {"who": ["lead"]}}},),
    ({"loads": {"worker": {"who": ["lead"]}},
      "people": {"second": {"first_aid": "false", "rescue": "false"}}},),
    ({"people": {"lead": {"first_aid": "false", "rescue": "false"}},
      "rescue": {"who": ["second", "third"]}},),
    (ALONE,),
    ({"sites": {"wall": {"near": ["power line", "moving water", "confined space",
                                  "radio antenna"]}},
      "work": {"tools": ["chainsaw", "grinder", "flame or welding", "pressure jet"]}},),
    # who hangs on what, and the rescue with it
    (THING,),
    (THING, {"loads": {"worker": {"one_line": "Sims"}}}, {"lines": {"safety": None}}),
    (THING, {"lines": {"safety": None}}),
    ({"loads": {"worker": {"who": None, "mass": "160 kg"}}},),
    ({"loads": {"worker": {"who": None}}, "rescue": {"who": ["lead", "second"]},
      "people": {"third": {"first_aid": "false"}}},),
    ({"loads": {"worker": {"in_turn": None}}},),
    ({"loads": {"worker": {"people": "2", "mass": "160 kg", "in_turn": None,
                           "who": ["lead", "second", "third"]}}},),
    ({"loads": {"worker": {"people": "2", "mass": "160 kg"}}, **SPARE,
      "lines": {f"more{n}": {**BASE["lines"]["safety"], "rope": "spare", "anchor": "spare",
                             "below": "8 m"} for n in range(3)}},),
    ({"loads": {"worker": {"people": "2", "mass": "160 kg", "together": None}}},),
    ({"loads": {"worker": {"people": "2", "mass": "160 kg", "together": None}},
      "work": {"method": "rescue"}},),
    (SECOND_LOAD,),
    (SECOND_LOAD, {"loads": {"other": {"in_turn": "Sims"}}}),
    (SECOND_LOAD, {"lines": {"other_safety": {"anchor": "one"}}}),
    (SECOND_LOAD, {"lines": {"other_safety": None}}),
    (SECOND_LOAD, {"lines": {"other": {"role": "safety",
                                       "fall": {"free": "0.6 m", "clear": "8 m"}}}}),
    (SPARE, {"lines": {"more": {**BASE["lines"]["safety"], "rope": "spare",
                                "anchor": "spare"}}}),
    ({"people": {each: {"expires": {"none": "Sims"}} for each in ("lead", "second")}},),
    ({"rescue": {"how": "self", "by": None, "phone_signal": "none"}},),
    ({"rescue": {"how": None, "phone_signal": "patchy", "call": "Sims"}},),
    ({"rescue": {"how": "lower", "lines": None}},),
    (PAIR, {"rescue": {"how": "accompany"},
            "lines": {"working": {"rescue": {"load": "pair", "how": "lower"}}}}),
    (PAIR, {"rescue": {"how": "accompany"}, "loads": {"pair": {"mass": "70 kg"}},
            "lines": {"working": {"rescue": {"load": "pair", "how": "lower"}}}}),
    ({"rescue": {"how": "accompany"},
      "lines": {"working": {"rescue": {"load": "worker", "how": "lower"}}}},),
    ({"rescue": {"how": "raise"},
      "lines": {"working": {"rescue": {"load": "worker", "how": "raise"}}}},),
    ({"rescue": {"lines": {"working": {"how": "from below", "time_to_ground": "12 min"}}}},),
    ({"lines": {"safety": {"cases": ["raise"], "haul": {"none": "Sims"}, "rescue": None}}},),
    (accepting("line/working/margin/rated", "line/working/sims"),),
    (ONE_EDGE,),
    (ONE_EDGE, accepting("edge/coping/common", "protection/pad/common")),
    (WIDE, accepting("line/working/margin/derated", "line/safety/margin/derated")),
    # protectors that count for nothing, that are sharp or narrow; what is not stated of edges
    (over_edges({**COPING, "surface": "rough concrete", "radius": "30 mm"},
                {**PLATE, "width": "10 cm"}), REACH),
    (over_edges(BLADE, PAD), REACH),
    (over_edges(BLADE, {**PLATE, "width": "10 cm"}), REACH),
    (over_edges(BLADE, PLATE), UNKNOWN),
    (over_edges(COPING, {**PLATE, "radius": "2 mm"}), REACH),
    (over_edges(COPING, ROLLER, passes="4"), REACH),
    (over_edges(COPING, PAD, passes="25"), REACH, {"sites": {"wall": {"wet": "true"}}}),
    (over_edges(COPING, PAD, passes="2"), wind("9"), REACH),
    (over_edges({**COPING, "friction": "0.1"}, passes="2"), wind("9"), REACH),
    (over_edges(), {"edges": {"edge_working": {"protection": None}},
                    "lines": {"safety": {"over": None}}}),
    (over_edges(), {"loads": {"worker": {"people": "0"}}}, on_lines(cases=["hold"])),
    (over_edges({**COPING, "radius": "8 mm"}, {**PAD, "tied": "false"}), REACH),
    (over_edges({**COPING, "surface": "polished metal", "radius": "40 mm"},
                {**PAD, "tied": "false"}), REACH),
    # what is stated of devices, of one line alone, of the work
    ({"devices": {"descender": {"acts": ["travels"]}}},),
    ({"devices": {"backup": {"fall_at_most": "0 m"}}},),
    ({"devices": {"backup": {"fall_at_most": "0 m"}},
      "lines": {"safety": {"fall": {"free": "0 m"}}}},),
    ({"lines": {"safety": None}, "ropes": {"second": None}, "anchors": {"two": None},
      "devices": {"backup": None},
      "loads": {"worker": {"single_line": {"second_line_riskier": "Sims",
                                           "measures": ["Sims"]}}}},),
    ({"work": {"communications": "no radio", "steps": ["Sims"]}},),
    # a belay in a canyon, a gust of nobody knows where
    ({"work": {"method": "canyon"}, "devices": {"descender": {"acts": []},
                                                "backup": {"acts": ["self-locks"]}},
      "lines": {"safety": {"cases": ["lower"]}}},),
    ({"sites": {"wall": {"wind": {"stop_at": "12 m/s", "measured_as": "gust", "height": "10 m",
                                  "source": "Sims"}}}},),
    # equations of their own
    (over_edges({**COPING, "friction": "1", "turn": "120 deg"}, passes="4"), REACH),
    (over_edges(COPING, {"kind": "sleeve", "tied": "true"}, passes="4"), REACH),
    ({"anchors": {"one": {"equalised": "self", "legs": [
        {"strength": "22 kN", "evidence": "tested", "angle": "30 deg", "length": length}
        for length in ("1 m", "2 m")]}}}, REACH),
)  # fmt: skip


def files() -> Iterator[JobFile]:
    """Every plan as a job file."""
    for name, day in DAYS.items():
        reading = read(JOBS / f"{name}.yaml", day)
        assert reading.file is not None, "\n".join(map(str, reading.faults))
        yield reading.file
    for changes in CHANGES:
        yield job_of(*changes)
