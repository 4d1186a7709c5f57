"""Falls, heights, devices and strands: everyday plans on both sides of each boundary.

The verdict is a careful supervisor's, with the reason beside it (common practice, no source, unless
one is named). Numbers are worked by hand: 98 kg weigh 0.961 kN, 190 kg 1.863 kN; 3.5 % of stretch
is K = 28.0 kN.
"""

from __future__ import annotations

from typing import Any

import pytest
from support.plan import DESCENDER, as_json, both_ropes, check, figure

G = 9.80665  # standard gravity, CGPM 1901
NONE = {"none": "the maker names none"}
BOTH = ("working", "safety")


def safety(**change: Any) -> dict[str, Any]:
    return {"lines": {"safety": change}}


def working(**change: Any) -> dict[str, Any]:
    return {"lines": {"working": change}}


def on_both(**change: Any) -> dict[str, Any]:
    return {"lines": dict.fromkeys(BOTH, change)}


def backup(**change: Any) -> dict[str, Any]:
    return {"devices": {"backup": change}}


def descender(**change: Any) -> dict[str, Any]:
    return {"devices": {"descender": change}}


def wall(**change: Any) -> dict[str, Any]:
    return {"sites": {"wall": change}}


BOWLINES = on_both(knots={"anchor": "bowline", "load": "bowline"})
SLIPS = backup(slip="4 to 5 kN", slip_at_most="1 m", fall_at_most="1 m", mass_at_most="150 kg")
WET = wall(wet="true")
HUNDRED = {"loads": {"worker": {"mass": "82 kg"}}}  # with 18 kg of kit
RESCUE = {
    "loads": {"both": {"people": "2", "mass": "160 kg", "kit": "30 kg"}},
    **working(rescue={"load": "both", "how": "lower"}),
}
# A fall of factor 1.5 onto 2 m of rope: 98 kg, slip at 3 kN, stretch 0.15 to 0.22 m. By energy the
# device slips (0.961 (3 + x) - 1.5 x)/2.039 = 1.36 to 1.38 m.
# The last of a canyon party on a figure-of-eight, belayed from above.
CANYON = {"work": {"method": "canyon"}}
EIGHT = descender(acts=[])
BELAYED = (safety(cases=["lower"]), backup(acts=["self-locks"]))
HARD = {
    **safety(below="2 m", fall={"free": "3 m", "clear": "20 m"}),
    **backup(slip="3 kN", fall_at_most="4 m"),
}
DROP_TEST = {"force": "4.5 kN", "mass": "100 kg", "factor": "0.3"}
# 100 kg fall 3.5 m onto 10 m of rope: by 5 % static stretch 4.74 kN, by 6 kN in the standard's own
# test at factor 0.3 it is 6.36 kN at factor 0.35.
LONG_FALL = safety(below="10 m", fall={"free": "3.5 m", "clear": "18 m"})

LOWERING = {**DESCENDER, "kind": "lowering device", "mass_at_most": "190 kg"}
"""Made for the 190 kg of `RESCUE`, and no more."""


def lowered_on(**device: str) -> dict[str, Any]:
    """The rescue load on a device of its own, the descender made for one person."""
    return {
        "loads": RESCUE["loads"],
        "devices": {"lowering": {**LOWERING, **device}, "descender": {"mass_at_most": "100 kg"}},
        **working(rescue={"load": "both", "how": "lower", "devices": ["lowering"]}),
    }


SOUND = {
    "a rescue of 190 kg on a lowering device, the descender made for 100 kg": (lowered_on(),),
    "11 mm type A of 27 kN, figures-of-eight, a back-up that slips at 4 to 5 kN": (
        both_ropes(strength="27 kN"),
        SLIPS,
    ),
    "the same wet, with a rescue of two on the working line": (
        both_ropes(strength="27 kN"),
        SLIPS,
        WET,
        RESCUE,
    ),
    "the weakest rope of the standard, with the knot that the standard tests": (
        both_ropes(strength="22 kN"),
    ),
    "the same wet: 15 kN times 0.8 is twice 6 kN": (both_ropes(strength="22 kN"), WET),
    "bowlines in it, behind a back-up that slips at 5 kN at most: 11 kN is 2.2 times": (
        both_ropes(strength="22 kN"),
        BOWLINES,
        SLIPS,
    ),
    "a back-up whose maker names nothing, 0.6 m of slack": (
        backup(fall_at_most=NONE, slip_at_most=NONE, mass_at_most=NONE, strength="15 kN"),
    ),
    "as much slack as the maker allows": (
        safety(fall={"free": "1 m"}),
        backup(fall_at_most="1 m"),
    ),
    "a device for 100 kg under 98 kg": (descender(mass_at_most="100 kg"),),
    "a 10 kN device without a named mass under one person: 9.61 kN are ten times": (
        descender(mass_at_most=NONE, strength="10 kN"),
    ),
    "a 15 kN device without a named mass in a rescue: 9.32 kN are five times": (
        RESCUE,
        descender(mass_at_most=NONE, strength="15 kN"),
    ),
    "lowered from above, on a safety line paid out from above": (
        on_both(cases=["lower"]),
        backup(acts=["self-locks"]),
    ),
    "a canyon descender that does not lock, belayed from above": (CANYON, EIGHT, *BELAYED),
    "a ledge 8 m below": (safety(fall={"ledges": [{"name": "sill", "below": "8 m"}]}),),
    "two strands with a device on each, made for 60 kg: at most 0.6 of 98 kg": (
        working(strands="2"),
        descender(mass_at_most="60 kg", each_strand="true"),
    ),
    "two strands and no device on them": (
        working(strands="2", devices={"none": "held by a second team"}, cases=["hold"]),
        {"devices": {"descender": None}},
    ),
    "a working line that states a fall, with a device made for it": (
        working(fall={"free": "0.3 m", "clear": "8 m", "ledges": {"none": "a plain wall"}}),
    ),
    "a rope of 5 % stretch that was drop-tested, under a long fall": (
        both_ropes(stretch="5 %", peak=DROP_TEST),
        HUNDRED,
        LONG_FALL,
        working(below="10 m"),
        wall(clear_below="14 m"),
        backup(fall_at_most="4 m"),
    ),
}


@pytest.mark.parametrize("changes", SOUND.values(), ids=SOUND)
def test_nothing_is_said_against_a_sound_plan(changes):
    data = as_json(*changes)

    assert [c["id"] for c in data["checks"] if c["verdict"] != "adequate"] == []


UNSOUND = {
    # knots and strengths
    "bowlines in a 22 kN rope keep 11 kN": (
        (both_ropes(strength="22 kN"), BOWLINES),
        "line/safety/margin/arrest",
        "inadequate",
    ),
    "a worn rope has no knotted strength of the standard": (
        (both_ropes(strength="22 kN", condition="worn"),),
        "line/safety/margin/arrest",
        "inadequate",
    ),
    "a rope below its standard has none either": (
        (both_ropes(strength="21.9 kN"),),
        "line/safety/margin/arrest",
        "inadequate",
    ),
    "a type B rope holds 12 kN with the knot, 9.6 kN wet": (
        (both_ropes(standard="EN 1891 type B", strength="18 kN"), WET),
        "line/safety/margin/arrest",
        "inadequate",
    ),
    # the free fall of a device
    "more slack than a back-up of no named fall takes": (
        (safety(fall={"free": "0.7 m"}), backup(fall_at_most=NONE)),
        "line/safety/device/backup/fall",
        "inadequate",
    ),
    "slack that only may be more": (
        (safety(fall={"free": "0.4 to 0.8 m"}), backup(fall_at_most=NONE)),
        "line/safety/device/backup/fall",
        "borderline",
    ),
    "a device that takes no fall at all": (
        (backup(fall_at_most="0 m"),),
        "line/safety/device/backup/fall",
        "inadequate",
    ),
    "a back-up of which the job does not say what fall it takes": (
        (backup(fall_at_most=None),),
        "line/safety/device/backup/fall",
        "not demonstrated",
    ),
    # what hangs on a device
    "98 kg on a device for 97 kg": (
        (descender(mass_at_most="97 kg"),),
        "line/working/device/descender/mass",
        "inadequate",
    ),
    "a rescue of 190 kg on a device for 150 kg": (
        (RESCUE, descender(mass_at_most="150 kg")),
        "line/working/device/descender/mass",
        "inadequate",
    ),
    "a device of which the job says neither mass nor strength": (
        (descender(mass_at_most=NONE, strength=None),),
        "line/working/device/descender/mass",
        "not demonstrated",
    ),
    "a device of which the job does not say what may hang on it": (
        (descender(mass_at_most=None),),
        "line/working/device/descender/mass",
        "not demonstrated",
    ),
    "a 9.5 kN device without a named mass under one person": (
        (descender(mass_at_most=NONE, strength="9.5 kN"),),
        "line/working/device/descender/mass",
        "inadequate",
    ),
    "a 9 kN device without a named mass in a rescue": (
        (RESCUE, descender(mass_at_most=NONE, strength="9 kN")),
        "line/working/device/descender/mass",
        "inadequate",
    ),
    "a lowering device for 189 kg under 190 kg": (
        (lowered_on(mass_at_most="189 kg"),),
        "line/working/device/lowering/mass",
        "inadequate",
    ),
    "a lowering device whose rated mass nobody states": (
        (lowered_on(), {"devices": {"lowering": {"mass_at_most": None}}}),
        "line/working/device/lowering/mass",
        "not demonstrated",
    ),
    "a lowering device for thicker ropes": (
        (lowered_on(diameter_from="12 mm"),),
        "line/working/device/lowering",
        "inadequate",
    ),
    "a descender for 97 kg under 98 kg, whatever the rescue hangs on": (
        (lowered_on(), {"devices": {"descender": {"mass_at_most": "97 kg"}}}),
        "line/working/device/descender/mass",
        "inadequate",
    ),
    "a rescue on a line of which nobody says on what device": (
        (lowered_on(), working(rescue={"load": "both", "how": "lower", "devices": None})),
        "line/working/device/descender/mass",
        "inadequate",
    ),
    "one device for 60 kg on two strands carries all 98 kg": (
        (working(strands="2"), descender(mass_at_most="60 kg")),
        "line/working/device/descender/mass",
        "inadequate",
    ),
    "a device for 50 kg on each strand, which may carry 0.6 of 98 kg": (
        (working(strands="2"), descender(mass_at_most="50 kg", each_strand="true")),
        "line/working/device/descender/mass",
        "borderline",
    ),
    "two strands with a device on one of them": (
        (working(strands="2"),),
        "line/working/strands",
        "not demonstrated",
    ),
    "two strands with a device that is stated to stand on one": (
        (working(strands="2"), descender(each_strand="false")),
        "line/working/strands",
        "not demonstrated",
    ),
    "two strands and nothing said of devices": (
        (working(strands="2", devices=None), {"devices": {"descender": None}}),
        "line/working/strands",
        "not demonstrated",
    ),
    # the strength of a device: 5 · 0.961 = 4.81 kN hang on it, and an arrest asks for 2 · 6 kN, or
    # for 2 · 5 kN where it slips at 5 kN at most
    "98 kg on a 4.8 kN device for 250 kg": (
        (descender(strength="4.8 kN"),),
        "line/working/device/descender/strength",
        "inadequate",
    ),
    "a device of which nobody says how strong it is": (
        (descender(strength=None),),
        "line/working/device/descender/strength",
        "not demonstrated",
    ),
    "a device whose maker names neither": (
        (descender(strength=NONE, mass_at_most=NONE),),
        "line/working/device/descender/strength",
        "not demonstrated",
    ),
    "a back-up of 11.9 kN that does not slip": (
        (backup(strength="11.9 kN"),),
        "line/safety/device/backup/strength",
        "inadequate",
    ),
    "a back-up of 9.9 kN that slips at 5 kN": (
        (SLIPS, backup(strength="9.9 kN")),
        "line/safety/device/backup/strength",
        "inadequate",
    ),
    # slip
    "a slip of 1.4 m through a device whose maker names none": (
        (HARD, backup(slip_at_most=NONE)),
        "line/safety/device/backup/slip",
        "not demonstrated",
    ),
    "a slip of 1.4 m through a device made for 1 m": (
        (HARD,),
        "line/safety/device/backup/slip",
        "inadequate",
    ),
    "a back-up of which nobody says whether it slips": (
        (backup(slip=None),),
        "line/safety/device/backup/slip",
        "not demonstrated",
    ),
    "and so the room below is not known": (
        (backup(slip=None),),
        "line/safety/clearance",
        "not demonstrated",
    ),
    "a rope that ends 1 m below the lowest place of work": (
        (SLIPS, {"ropes": {"second": {"length": "23 m"}}}, safety(stopper="true")),
        "line/safety/tail",
        "inadequate",
    ),
    # the fall itself
    "a working line of which nobody says whether it can fall": (
        (working(fall=None),),
        "line/working/fall/peak",
        "not demonstrated",
    ),
    "a safety line whose fall nobody states": (
        (safety(fall=None),),
        "line/safety/clearance",
        "not demonstrated",
    ),
    "a rope of no standard that was never drop-tested": (
        (both_ropes(standard="none stated"),),
        "line/safety/fall/peak",
        "not demonstrated",
    ),
    "an NFPA rope that was never drop-tested: no peak of its standard is known here": (
        (both_ropes(standard="NFPA 2500 technical"),),
        "line/safety/fall/peak",
        "not demonstrated",
    ),
    "a long fall onto a rope of 5 % static stretch and no drop test": (
        (both_ropes(stretch="5 %"), HUNDRED, LONG_FALL),
        "line/safety/fall/peak",
        "inadequate",
    ),
    "a drop-tested rope whose static stretch nobody states": (
        (both_ropes(stretch=None, peak=DROP_TEST),),
        "line/safety/fall/peak",
        "not demonstrated",
    ),
    # devices on lines
    "a descender that does not lock when let go": (
        (descender(acts=[]),),
        "line/working/devices",
        "inadequate",
    ),
    "the same in a canyon, and a safety line that travels along": (
        (CANYON, EIGHT),
        "line/working/devices",
        "inadequate",
    ),
    "the same in a canyon, belayed by a device that does not lock": (
        (CANYON, EIGHT, BELAYED[0], backup(acts=[])),
        "line/working/devices",
        "inadequate",
    ),
    "the same at work, belayed from above": (
        (EIGHT, *BELAYED),
        "line/working/devices",
        "inadequate",
    ),
    "a descender of which nobody says whether it locks, belayed in a canyon": (
        (CANYON, descender(acts=None), *BELAYED),
        "line/working/devices",
        "not demonstrated",
    ),
    "a descender of which nobody says whether it locks": (
        (descender(acts=None),),
        "line/working/devices",
        "not demonstrated",
    ),
    "a descent without a device": (
        (working(devices={"none": "round the body"}),),
        "line/working/devices",
        "inadequate",
    ),
    "a line of which nobody says what is on it": (
        (working(devices=None),),
        "line/working/devices",
        "not demonstrated",
    ),
    "a list of devices with nothing in it says nothing": (
        (working(devices=[]),),
        "line/working/devices",
        "not demonstrated",
    ),
    "a knot on the safety line beside a descent": (
        (backup(acts=["self-locks"]),),
        "line/safety/devices",
        "inadequate",
    ),
    "a person lowered beside a safety line that stays where it is": (
        (working(cases=["lower"]), backup(acts=[])),
        "line/safety/devices",
        "inadequate",
    ),
    # heights
    "a ledge 4 m below, a fall needs 4.9 m": (
        (safety(fall={"ledges": [{"name": "sill", "below": "4 m"}]}),),
        "line/safety/clearance/ledges",
        "inadequate",
    ),
    "ledges nobody has looked for": (
        (safety(fall={"ledges": None}),),
        "line/safety/clearance/ledges",
        "not demonstrated",
    ),
    "8 m clear at work, 4 m at the lowest place of work": (
        (wall(clear_below="4 m"),),
        "line/safety/clearance",
        "inadequate",
    ),
    "a lowest place of work that is not stated": (
        (wall(clear_below=None),),
        "line/safety/clearance",
        "not demonstrated",
    ),
    "8 m said to be clear over a drop that may leave 4 m": (
        (wall(drop="24 to 36 m"),),
        "line/safety/clearance",
        "borderline",
    ),
    "a load that sinks 0.95 m from 2.4 m above the ground, 1.5 m of them legs": (
        (wall(clear_below="2.4 m"),),
        "line/working/sink",
        "inadequate",
    ),
    "a rescue load that sinks 1.8 m from 3 m above the ground": (
        (RESCUE, wall(clear_below="3 m")),
        "line/working/sink",
        "inadequate",
    ),
    "a rope whose stretch is not stated sinks nobody knows how far": (
        (both_ropes(stretch=None, peak=DROP_TEST),),
        "line/working/sink",
        "not demonstrated",
    ),
    "a bottom of the descent that is not stated": (
        (wall(clear_below=None),),
        "line/working/sink",
        "not demonstrated",
    ),
}


@pytest.mark.parametrize(("changes", "id", "verdict"), UNSOUND.values(), ids=UNSOUND)
def test_a_careful_supervisor_stops_it_for_this(changes, id, verdict):
    data = as_json(*changes)

    assert check(data, id)["verdict"] == verdict
    assert data["status"] != "adequate"


@pytest.mark.parametrize(
    ("changes", "id"),
    [
        ((wall(clear_below="2.5 m"),), "line/working/sink"),  # 0.944 + 0.010 + 1.5 m
        ((RESCUE, wall(clear_below="3.4 m")), "line/working/sink"),  # 1.769 + 0.009 + 1.5 m
        ((descender(strength="4.9 kN"),), "line/working/device/descender/strength"),
        ((descender(strength=NONE),), "line/working/device/descender/strength"),
        ((backup(strength="12 kN"),), "line/safety/device/backup/strength"),
        ((SLIPS, backup(strength="10 kN")), "line/safety/device/backup/strength"),
        ((HARD, backup(slip_at_most="2 m")), "line/safety/device/backup/slip"),
        ((SLIPS, {"ropes": {"second": {"length": "24.1 m"}}}), "line/safety/tail"),
        (
            (both_ropes(standard="NFPA 2500 technical", peak=DROP_TEST),),
            "line/safety/fall/peak",
        ),
        ((both_ropes(standard="EN 1891 type B", strength="18 kN"),), "line/safety/margin/arrest"),
    ],
    ids=[
        "sink",
        "sink of a rescue",
        "4.9 kN device",
        "device of no named strength",
        "12 kN back-up",
        "10 kN back-up that slips at 5 kN",
        "slip",
        "tail",
        "drop-tested",
        "type B, dry",
    ],
)
def test_on_the_other_side_of_the_boundary_it_stands(changes, id):
    assert check(as_json(*changes), id)["verdict"] == "adequate"


def test_a_drop_test_left_out_never_helps():
    """The force goes up to that of the standard, and what a fall needs below does not shrink."""
    tested = as_json(both_ropes(peak={"force": "5.1 kN", "mass": "100 kg", "factor": "0.3"}))
    untested = as_json()
    peak, needed = "line/safety/fall/peak", "line/safety/clearance/needed"

    assert figure(untested, peak)["expected"] > figure(tested, peak)["expected"]
    assert figure(untested, peak)["high"] > figure(tested, peak)["high"]
    for end in ("expected", "high"):
        assert figure(untested, needed)[end] == pytest.approx(figure(tested, needed)[end])


def test_the_greatest_peak_of_the_standard_is_met_in_its_own_test():
    """EN 1891 type A: 100 kg, fall factor 0.3, at most 6 kN; K by hand 41.18 kN."""
    plan = safety(below="10 m", fall={"free": "3 m", "clear": "18 m"})
    data = as_json(HUNDRED, plan)

    assert figure(data, "line/safety/fall/peak")["high"] == pytest.approx(6000)
    assert figure(data, "line/safety/fall/modulus")["high"] == pytest.approx(41_183, abs=1)


@pytest.mark.parametrize(
    ("standard", "mass", "factor", "strands", "peak"),
    [
        ("EN 1891 type B", 80, 0.3, 1, 6000),
        ("EN 892 single", 80, 1.77, 1, 12_000),
        ("EN 892 half", 55, 1.77, 1, 8000),
        ("EN 892 twin", 80, 1.77, 2, 12_000),  # tested as a pair
    ],
)
def test_other_standards_by_their_own_tests(standard, mass, factor, strands, peak):
    """EN 1891:1998 and EN 892:2004: the peak of the standard's own fall is its greatest one."""
    plan = {
        **both_ropes(standard=standard, stretch="8 %", diameter="9 mm"),
        "loads": {"worker": {"mass": f"{mass} kg", "kit": "0 kg"}},
        **safety(below="2.6 m", strands=str(strands), fall={"free": f"{2.6 * factor} m",
                                                            "clear": "20 m"}),
    }  # fmt: skip
    found = figure(as_json(plan), "line/safety/fall/peak")

    assert found["expected"] == pytest.approx(peak)


def test_the_sink_is_that_of_the_longest_rope_out():
    """By hand: 0.9611 kN on 22 m at K 28.02 kN is 0.7546 m, 75 g/m by itself 0.0064 m."""
    found = figure(as_json(), "line/working/sink/lowest")["expected"]

    assert found == pytest.approx(98 * G * 22 / 28_019 + 0.075 * G * 22**2 / (2 * 28_019), abs=1e-5)
    assert found == pytest.approx(0.7546 + 0.0064, abs=1e-4)


def test_two_devices_that_slip_hold_twice_the_force_of_one():
    """One on each of two strands, each slipping at 2 kN: 4 kN where they share evenly."""
    plan = {
        **safety(strands="2", below="4 m", fall={"free": "4 m", "clear": "20 m"}),
        **backup(slip="2 kN", each_strand="true", fall_at_most="4 m"),
    }
    peak = figure(as_json(plan), "line/safety/fall/peak")

    assert peak["expected"] == pytest.approx(4000)
    assert peak["low"] == pytest.approx(2000 / 0.6)  # one carries 1.2 of its half
