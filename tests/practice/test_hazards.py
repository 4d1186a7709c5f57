"""Hazards: each trigger fires and stays silent as it should, and the rules of rating hold."""

from __future__ import annotations

from typing import Any

import pytest
from support.demos import DAYS, JOBS
from support.plan import COPING, PAD, PLATE, assessed, merged, over_edges

from riskdoc.hazards.catalogue import catalogue
from riskdoc.hazards.rated import Listed, Register
from riskdoc.hazards.register import register
from riskdoc.hazards.triggers import triggers
from riskdoc.job.reading import read
from riskdoc.judgement.assess import assess

STANDING = {"both_lines_at_one_edge", "no_timely_rescue"}
"""Hazards that stand on every job and cannot be dropped."""
QUIET: dict[str, Any] = {
    "sites": {"wall": {"near": {"none": "bare ground"}, "chemicals": {"none": "none are used"},
                       "temperature": "15 to 20 degC",
                       "zone": {"size": "8 m", "kept_by": "tape"}}},
    "work": {"method": "rope access", "tools": [], "light": "daylight", "shift": "6 h",
             "communications": "radio", "lightning": "at the first thunder", "others": [],
             "isolations": []},
}  # fmt: skip
"""The base plan with everything said that a trigger asks for, and nothing of it there."""
THING = {"loads": {"worker": {"people": "0"}}, "lines": {"working": {"cases": ["lower"]}}}


def near(tag: str) -> dict[str, Any]:
    return {"sites": {"wall": {"near": [tag]}}}


def tool(name: str) -> dict[str, Any]:
    return {"work": {"tools": [name]}}


def working(**keys: Any) -> dict[str, Any]:
    return {"lines": {"working": keys}}


EDGED = over_edges(edge={**COPING, "radius": "8 mm"}, protector=PAD, passes="4")
SHARED = merged(over_edges(protector=PLATE), {
    "edges": {"edge_safety": None}, "protection": {"at_safety": None},
    "lines": {"safety": {"over": [{"edge": "edge_working", "after": "2.5 m"}]}}})  # fmt: skip
TESTED = {"strength": "22 kN", "evidence": "tested"}
REDIRECT = {
    "anchors": {"aside": {"legs": [TESTED]}},
    **working(redirects=[{"anchor": "aside", "turn": "12 deg", "after": "5 m", "over": "pulley"}]),
}
PAIRED = {"anchors": {"one": {
    "equalised": "fixed", "legs": [{**TESTED, "angle": "30 deg"} for _ in range(2)]}}}  # fmt: skip
DEVICE = {
    "devices": {"grab": {"kind": "back-up device"}},
    "lines": {"safety": {"devices": ["grab"]}},
}
NO_DEVICE = {
    "lines": {n: {"devices": {"none": "tied into the end"}} for n in ("working", "safety")}
}
HAUL = working(cases=["raise"], haul={
    "stages": [{"strands": "3", "ends": "moving"}], "haulers": "2"})  # fmt: skip
WIND = {"sites": {"wall": {"wind": {"stop_at": "8 m/s", "measured_as": "gust", "height": "10 m",
        "source": "site"}}}}  # fmt: skip
SEWN = {
    line: {"knots": {"anchor": "sewn eye", "load": "sewn eye"}} for line in ("working", "safety")
}
NO_SAFETY = {"lines": {"safety": None}, "anchors": {"two": None}, "ropes": {"second": None}}
DATED = {"people": {name: {"expires": "2028-12-31"} for name in ("lead", "second", "third")}}

# Hazard: what fires it beside QUIET, what keeps it silent beside QUIET.
CASES: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {
    "rope_cut_at_edge": (EDGED, {}),
    "rope_abraded": (merged(EDGED, {"sites": {"wall": {"reach_sideways": "2 m"}}}), {}),
    "protector_slips": (EDGED, over_edges()),
    "deviation_fails": (REDIRECT, {}),
    "knot_fails": ({}, {"lines": SEWN}),
    "off_rope_end": (working(cases=["descend"]), working(cases=["ascend"])),
    "rope_melted": (near("hot surface"), working(cases=["ascend"])),
    "loose_edge_breaks": (near("loose material"), {}),
    "rope_caught_by_machinery": (near("traffic"), {}),
    "rope_snags_when_pulled": ({"work": {"method": "canyon"}}, {}),
    "lines_mixed_up": ({"lines": {"third": {"role": "safety", "rope": "second", "anchor": "two",
        "site": "wall", "below": "20 m", "load": "worker", "cases": ["hold"], "passes": "0",
        "strands": "1",
        "knots": {"anchor": "bowline", "load": "bowline", "counted": "half rule"}}}}, {}),
    "unseen_edge_midway": ({"sites": {"wall": {"reach_sideways": "2 m"}}}, {}),
    "anchor_pulls_out": ({}, THING),
    "temporary_anchor_moves": (
        {"anchors": {"one": {"legs": [{"strength": "22 kN", "evidence": "assessed"}]}}}, {}),
    "lines_share_anchor": ({"lines": {"safety": {"anchor": "one"}}, "anchors": {"two": None}}, {}),
    "wide_bridle": (PAIRED, {}),
    "anchor_leg_lost": (PAIRED, {}),
    "tree_anchor_breaks": ({"work": {"method": "tree work"}}, {}),
    "anchor_tampered": (near("open to strangers"), {}),
    "arrest_hits_below": ({}, NO_SAFETY),
    "arrest_force_injures": ({}, NO_SAFETY),
    "pendulum": ({"sites": {"wall": {"reach_sideways": "2 m"}}}, {}),
    "lost_control_descent": (working(cases=["descend"]), working(cases=["ascend"])),
    "unclipped_at_changeover": ({}, working(cases=["descend"])),
    "fragile_surface": (near("fragile surface"), {}),
    "long_drop_unsteady": (
        {"sites": {"wall": {"drop": "40 m"}}}, {"sites": {"wall": {"drop": "39 m"}}}),
    "back_up_left_behind": ({}, NO_SAFETY),
    "caught_in_device": (DEVICE, NO_DEVICE),
    "lead_climb_fall": (working(fall={"free": "2 m", "clear": "8 m"}), {}),
    "dropped_tool": (tool("hand tools"), THING),
    "heavy_tool_on_person": (tool("heavy tool"), {}),
    "material_dislodged": (tool("drill"), {}),
    "exclusion_zone_too_small": ({"sites": {"wall": {"zone": None}}}, {}),
    "rigged_load_hits": (THING, {}),
    "dropped_protector": (EDGED, {}),
    "thrown_rope_hits": (near("public below"), {}),
    "rescue_load_too_great": ({}, THING),
    "rescue_blocked_by_site": (near("no way out below"), {}),
    "long_sitting": (working(hours="2 h"), working(hours="30 min")),
    "comms_lost": ({"work": {"communications": None}}, THING),
    "rescue_lowered_too_fast": (working(cases=["lower"]), {}),
    "haul_jam": (HAUL, {}),
    "stretcher_tips": ({"work": {"method": "rescue"}}, {}),
    "jammed_device": (DEVICE, NO_DEVICE),
    "wind": ({"sites": {"wall": {"wind": None}}}, {}),
    "heat": ({"sites": {"wall": {"temperature": "15 to 25 degC"}}}, {}),
    "cold": ({"sites": {"wall": {"temperature": "5 to 12 degC"}}}, {}),
    "ice_on_rope": (near("ice"), {}),
    "rising_water": (near("tide"), {}),
    "falls_into_water": (near("still water"), {}),
    "held_by_falling_water": (near("moving water"), {}),
    "poor_light": ({"work": {"light": "night"}}, {}),
    "animals": (near("animals"), {}),
    "ground_shaking": (near("ground that can shake"), {}),
    "overhead_line": (near("power line"), {}),
    "live_building_parts": (near("live parts"), {}),
    "radio_field": (near("radio antenna"), {}),
    "electric_tool_shock": (tool("electric tool on a lead"), {}),
    "chemical_on_rope": ({"sites": {"wall": {"chemicals": ["solvent"]}}}, {}),
    "bad_air": (near("confined space"), {}),
    "dust_and_fibres": (near("dust or fibres"), {}),
    "droppings_and_sewage": (near("droppings or sewage"), {}),
    "splash_in_eyes": (tool("pressure jet"), {}),
    "saw_cuts_line": (tool("chainsaw"), {}),
    "hot_work": (tool("flame or welding"), {}),
    "tool_kicks_or_winds_up": (tool("grinder"), {}),
    "water_jet_or_blasting": (tool("blasting"), {}),
    "vibration_and_noise": (tool("vibrating tool"), {}),
    "manual_handling": (tool("heavy tool"), {}),
    "flying_fragments": (tool("drill"), {}),
    "fatigue": ({"work": {"shift": "9 h"}}, {"work": {"shift": "8 h"}}),
    "lone_work": ({"people": {"third": None}, "rescue": {"who": ["lead", "second"]},
                   "loads": {"worker": {"who": ["second"]}}}, {}),
    "newcomer_or_language": ({"people": {"third": {"expires": None}}}, DATED),
    "change_not_told": ({"job": {"permits": ["P-1"]}}, {}),
    "public_below": (near("public below"), {}),
    "traffic_strike": (near("traffic"), {}),
    "tampering_or_theft": (near("open to strangers"), {}),
    "plant_or_window_moves": (near("plant that can start"), {}),
    "work_above_or_below": ({"work": {"others": ["painters above"]}}, {}),
    "helicopter_downwash": (near("helicopter"), {}),
    "getting_to_the_edge": (near("awkward way in"), {}),
    "no_way_out": (near("no way out below"), {}),
    "short_daylight": ({"work": {"light": "twilight"}}, {}),
    "kit_incompatible": (DEVICE, NO_DEVICE),
    "protector_fails": (EDGED, {}),
}  # fmt: skip
ON_ANY_ROPE = {
    "hidden_rope_damage", "connector_misloaded", "fall_at_edge_rigging", "motionless_suspension",
    "wrong_first_aid", "rescuer_hurt", "not_competent", "unfit_for_work", "pressure_and_habit",
    "kit_out_of_date", "harness_misfit",
}  # fmt: skip
"""Fire wherever somebody hangs on a rope, and not where only a thing does."""
OUT_OF_DOORS = {"wind", "lightning"}
"""Fire on every job that does not rule wind out: stated or not, weather comes."""
SILENT = {"sites": {"wall": {"wind": None}}}
UNSAID = {
    "near": {"loose_edge_breaks", "public_below", "overhead_line", "no_way_out",
             "getting_to_the_edge", "plant_or_window_moves", "live_building_parts"},
    "tools": {"saw_cuts_line", "hot_work", "dropped_tool"},
    "light": {"poor_light", "short_daylight"},
    "shift": {"fatigue"},
    "chemicals": {"chemical_on_rope"},
    "temperature": {"heat", "cold"},
    "zone": {"exclusion_zone_too_small"},
    "communications": {"comms_lost"},
    "others": {"work_above_or_below"},
}  # fmt: skip


def listed(*changes: dict[str, Any]) -> Register:
    return register(assessed(QUIET, *changes))


def ids(found: Register) -> set[str]:
    return {each.id for each in found.hazards}


def one(found: Register, id: str) -> Listed:
    return next(each for each in found.hazards if each.id == id)


def test_every_trigger_of_the_catalogue_is_looked_at():
    told = set(CASES) | ON_ANY_ROPE | OUT_OF_DOORS | STANDING

    assert set(triggers()) == set(catalogue())
    assert {id for id, each in triggers().items() if each.standing} == STANDING
    assert told == set(catalogue())


@pytest.mark.parametrize("id", list(CASES))
def test_each_trigger_fires_and_stays_silent(id):
    fires, silent = CASES[id]
    found = listed(fires)

    assert id in ids(found)
    assert all(one(found, id).because)
    assert id not in ids(listed(silent))


def test_what_stands_wherever_somebody_hangs_on_a_rope():
    assert ids(listed()) >= ON_ANY_ROPE
    assert not ON_ANY_ROPE & ids(listed(THING))


@pytest.mark.parametrize("change", [{}, THING, EDGED, NO_SAFETY])
def test_two_hazards_stand_on_every_job_and_weather_comes(change):
    assert ids(listed(SILENT, change)) >= STANDING | OUT_OF_DOORS
    assert "wind" not in ids(listed(change))  # ruled out: in a hall


@pytest.mark.parametrize("key", list(UNSAID))
def test_what_the_job_does_not_say_is_listed(key):
    where = "work" if key in ("tools", "light", "shift", "communications", "others") else "sites"
    gone = {"work": {key: None}} if where == "work" else {"sites": {"wall": {key: None}}}

    assert ids(listed(gone)) >= UNSAID[key]


def test_a_job_that_says_nothing_of_its_work_lists_more_than_one_that_does():
    gone: dict[str, Any] = {"near": None, "chemicals": None, "zone": None, "wind": None}
    silent = assessed({"work": None, "sites": {"wall": gone}})

    assert len(ids(register(silent))) > len(ids(listed()))


def test_one_edge_under_both_lines_is_said():
    why = one(listed(SHARED), "both_lines_at_one_edge").because

    assert any("share the edge edge_working" in each for each in why)


@pytest.mark.parametrize("entry", catalogue().values(), ids=lambda entry: entry.id)
def test_form_of_the_catalogue(entry):
    said = [each for level in entry.controls.values() for each in level]
    order = ["eliminate", "substitute", "engineer", "organise", "wear"]

    assert len(entry.causes) >= 2
    assert entry.how
    assert entry.who
    assert len(said) >= 3
    assert all(said)
    assert len(set(said)) == len(said)
    assert list(entry.controls) == [level for level in order if level in entry.controls]
    assert entry.provenance in ("published", "common practice", "from memory", "judgement")
    assert entry.source
    # Death is the worst severity in both matrices.
    assert entry.fatal == (entry.severity["mil-std-882e"] == "1")
    assert entry.fatal == (entry.severity["npsa-2008"] == "5")


def test_there_are_enough_of_them():
    assert len(catalogue()) >= 70
    assert len({entry.title for entry in catalogue().values()}) == len(catalogue())


MIL = {"job": {"matrix": "mil-std-882e"}}


def entry(id: str, **keys: Any) -> dict[str, Any]:
    return {"hazards": {id: keys}}


ENGINEERED = {"engineer": ["a fence round it"]}
WORN = {"wear": ["gloves"]}


def test_a_job_replaces_a_rating_with_its_reason():
    found = listed(MIL, entry("wind", reason="in the lee", controls=ENGINEERED,
        before={"severity": "1", "likelihood": "C"},
        after={"severity": "2", "likelihood": "D"}))  # fmt: skip
    wind = one(found, "wind")

    assert wind.before is not None
    assert wind.after is not None
    assert (wind.before.band, wind.after.band) == ("High", "Medium")  # Table III, C1 and D2
    assert wind.basis == "job file"
    assert found.findings == ()


@pytest.mark.parametrize(
    ("keys", "why"),
    [
        ({"before": {"severity": "2", "likelihood": "D"}, "controls": ENGINEERED,
          "after": {"severity": "2", "likelihood": "C"}}, "worse than before"),
        ({"before": {"severity": "2", "likelihood": "D"}, "controls": ENGINEERED,
          "after": {"severity": "1", "likelihood": "D"}}, "worse than before"),
        ({"before": {"severity": "1", "likelihood": "C"}, "controls": WORN,
          "after": {"severity": "1", "likelihood": "F"}}, "never bring it there"),
        ({"before": {"severity": "1", "likelihood": "C"}, "controls": {"organise": ["a rule"]},
          "after": {"severity": "1", "likelihood": "F"}}, "never bring it there"),
        ({"before": {"severity": "1", "likelihood": "C"}, "controls": WORN,
          "after": {"severity": "2", "likelihood": "C"}}, "severity falls only by"),
        ({"before": {"severity": "1", "likelihood": "C"},
          "after": {"severity": "1", "likelihood": "E"}}, "states no controls"),
        ({"after": {"severity": "1", "likelihood": "G"}, "controls": ENGINEERED}, "no level 'G'"),
    ],
    ids=["likelier", "worse", "F by wear", "F by rules", "severity by wear", "no controls", "G"],
)  # fmt: skip
def test_a_rating_that_breaks_a_rule_is_refused_and_said(keys, why):
    found = listed(MIL, entry("wind", reason="because", **keys))
    wind, said = one(found, "wind"), [each.text for each in found.findings]
    wanted = keys["after"]

    assert any(why in each for each in said)
    assert wind.after is not None
    assert (wind.after.severity, wind.after.likelihood) != (
        wanted["severity"],
        wanted["likelihood"],
    )
    assert all(each.place.startswith("plan.yaml:") for each in found.findings)


def test_level_f_stands_where_the_hazard_is_engineered_away():
    found = listed(MIL, entry("wind", reason="inside", controls=ENGINEERED,
        after={"severity": "1", "likelihood": "F"}))  # fmt: skip

    assert one(found, "wind").after.band == "Eliminated"


def test_nothing_is_changed_or_dropped_without_a_reason():
    changed = listed(entry("wind", before={"severity": "1", "likelihood": "1"}))
    dropped = listed(entry("wind", dropped="true"))
    good = listed(entry("wind", dropped="true", reason="inside a hall"))

    assert one(changed, "wind").basis != "job file"
    assert "wind" in ids(dropped)
    assert changed.findings
    assert dropped.findings
    assert "wind" not in ids(good)
    assert [(each.id, each.reason) for each in good.dropped] == [("wind", "inside a hall")]


@pytest.mark.parametrize("id", sorted(STANDING))
def test_what_stands_on_every_job_is_not_dropped(id):
    found = listed(entry(id, dropped="true", reason="we are careful"))

    assert id in ids(found)
    assert found.dropped == ()
    assert "stands on every job" in found.findings[0].text


def test_no_score_clears_a_fatal_outcome():
    low = {"severity": "5", "likelihood": "1"}
    found = listed(
        entry("wind", reason="x", controls=ENGINEERED, before=low, after=low, fatal="false")
    )

    assert one(found, "wind").fatal


def test_a_step_after_is_one_level_at_most_and_none_while_a_check_stands_against_it():
    """Clear height 4 m is short: the hazard of striking below keeps its rating."""
    short = {"lines": {"safety": {"fall": {"clear": "3 m"}}}}
    held = one(listed(MIL, short), "arrest_hits_below")
    free = one(listed(MIL), "arrest_hits_below")
    order = "ABCDEF"

    assert held.stops
    assert (held.before.severity, held.before.likelihood) == (
        held.after.severity, held.after.likelihood
    )  # fmt: skip
    assert "computed" in held.basis
    assert order.index(held.before.likelihood) <= order.index(free.before.likelihood)
    for hazard in listed(MIL).hazards:
        step = order.index(hazard.after.likelihood) - order.index(hazard.before.likelihood)
        assert step in (0, 1)
        assert hazard.after.likelihood in "ABCD"
        assert hazard.after.severity == hazard.before.severity


def step(hazard: Listed) -> int:
    """By how many levels of likelihood the rating after lies under that before."""
    assert hazard.before is not None
    assert hazard.after is not None
    return "ABCDEF".index(hazard.after.likelihood) - "ABCDEF".index(hazard.before.likelihood)


def test_controls_that_the_catalogue_proposes_take_nothing_off_a_rating():
    """Nobody chose them. Of the plain plan only what its rig contains and checks found adequate."""
    found = listed(MIL)
    proposed = [
        h for h in found.hazards if {"engineer", "eliminate", "substitute"} & set(h.controls)
    ]
    stepped = {h.id for h in found.hazards if step(h)}

    assert len(proposed) > 20
    assert not any(h.chosen for h in found.hazards)
    assert stepped == {h.id for h in found.hazards
                       if h.basis_after == "adequate checks of what this plan contains"
                       and h.before.likelihood < "D"}  # fmt: skip
    assert 0 < len(stepped) < len(proposed) / 2


@pytest.mark.parametrize(
    ("controls", "levels", "why"),
    [
        (ENGINEERED, 1, "controls chosen by this job"),
        ({"organise": ["a rule"]}, 0, "no control counted"),
        (WORN, 0, "no control counted"),
    ],
    ids=["engineered", "organised", "worn"],
)
def test_a_strong_control_that_the_job_chose_takes_one_level(controls, levels, why):
    before = {"severity": "1", "likelihood": "B"}
    free = one(listed(MIL, entry("lightning", reason="open site", before=before)), "lightning")
    held = one(
        listed(MIL, entry("lightning", reason="open site", before=before, controls=controls)),
        "lightning",
    )

    assert step(free) == 0
    assert (step(held), held.basis_after, held.chosen) == (levels, why, True)
    assert not free.chosen


def test_what_the_plan_contains_counts_where_its_checks_are_adequate():
    """A fall of 0.6 m on 20 m of rope stays far under 6 kN; one of 1.8 m on stiff rope does not."""
    good = one(listed(MIL), "arrest_force_injures")
    stiff = {"ropes": {"second": {"stretch": "1.2 %"}},
             "lines": {"safety": {"fall": {"free": "6 m", "clear": "10 m"}}}}  # fmt: skip
    bad = one(listed(MIL, stiff), "arrest_force_injures")

    assert good.checks == ("line/working/fall/peak", "line/safety/fall/peak")
    assert good.basis_after == "adequate checks of what this plan contains"
    assert bad.stops == ("line/safety/fall/peak",)
    assert (step(bad), bad.basis_after) == (0, "no control counted")


def test_checks_of_people_are_no_strong_control():
    skill = one(listed(MIL), "not_competent")

    assert skill.checks
    assert skill.stops == ()
    assert step(skill) == 0


def test_what_stays_in_the_worst_band_is_named():
    found = listed(MIL)
    worst = [h for h in found.hazards if h.after is not None and h.after.band == "High"]

    assert list(found.extreme) == worst
    assert 0 < len(worst) < len(found.hazards)
    assert listed({"job": {"matrix": "none"}}).extreme == ()


def test_without_a_matrix_nothing_is_rated():
    found = listed({"job": {"matrix": "none"}})

    assert found.matrix is None
    assert all(each.before is None and each.after is None for each in found.hazards)
    assert found.counts == {}


def test_a_hazard_of_the_jobs_own_needs_a_title_and_a_rating():
    good = listed(entry("ghost", title="The ghost of the tower", how="It frightens.",
        before={"severity": "3", "likelihood": "2"}, controls=ENGINEERED))  # fmt: skip
    bad = listed(entry("ghost", how="It frightens."))

    assert one(good, "ghost").before.band == "Moderate"  # NPSA: 3 × 2 = 6
    assert one(good, "ghost").fatal
    assert good.findings == ()
    assert {each.id for each in bad.findings} == {"hazard/ghost/title", "hazard/ghost/unrated"}


def test_a_misspelt_hazard_is_told_with_the_nearest_right_one():
    found = listed(entry("lightnin", dropped="true", reason="indoors"))

    assert any("Did you mean lightning?" in each.text for each in found.findings)
    assert "lightning" in ids(found)


def test_counts_are_those_of_the_table():
    found = listed()

    assert sum(before for before, _ in found.counts.values()) == len(found.hazards)
    assert sum(after for _, after in found.counts.values()) == len(found.hazards)


@pytest.mark.parametrize("name", list(DAYS))
def test_the_demos_list_what_a_supervisor_would_add(name):
    file = read(JOBS / f"{name}.yaml", DAYS[name]).file
    assert file is not None
    found = register(assess(file))

    assert found.findings == ()
    assert 25 <= len(found.hazards) <= 65
    assert ids(found) >= {*STANDING, "wind", "lightning", "public_below", "dropped_tool"} - (
        {"public_below"} if name == "dam" else set()
    )


@pytest.mark.parametrize(
    ("change", "because"),
    [
        (near("power line"), "power line at wall"),
        (near("moving water"), "moving water at wall"),
        (tool("chainsaw"), "tool: chainsaw"),
        ({"rescue": {"by": "emergency services"}}, "rescue.by: emergency services"),
    ],
)
def test_cautions_by_rule_carry_a_word_for_injury(change, because):
    """ANSI Z535.6: NOTICE is for what injures nobody."""
    found = {str(each.because): each.word for each in assessed(QUIET, change).cautions}
    without = {str(each.because) for each in assessed(QUIET).cautions}

    assert found[because] == "WARNING"
    assert because not in without
