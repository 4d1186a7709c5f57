"""Why a hazard of the catalogue belongs to this job: one small function each.

A trigger yields its reasons, each naming the part of the job; none is no hazard of this job. What
the job leaves unsaid is a reason wherever the hazard is common and serious.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import partial

from riskdoc.hazards.look import Look, Reasons, number, users
from riskdoc.i18n.say import inside, mark, say
from riskdoc.job.model import Line
from riskdoc.quantities.printing import amount

Trigger = Callable[[Look], Reasons]
FEW = 3
"""People under which a job counts as near lone work (judgement: one on the rope, one to rescue,
one to call for help)."""
SHARED: Mapping[str, str] = {
    "edge": mark("{names} share the edge {id}"),
    "protection": mark("{names} share the protector {id}"),
    "rope": mark("{names} share the rope {id}"),
}
"""Said of what several lines share, by the part of the job it is."""
ENDS: Mapping[bool | None, str] = {
    True: mark("{line} is gone down on; a stopper in its end is stated"),
    False: mark("{line} is gone down on; no stopper is stated"),
    None: mark("{line} is gone down on; no word of a stopper is stated"),
}
"""Said of a line that people go down, by whether a stopper in its end is stated."""


def on_rope(look: Look) -> Reasons:
    """Stands wherever somebody hangs on a rope."""
    yield from look.people()


def edges(look: Look) -> Reasons:
    """A rope under a person runs over an edge."""
    for line in look.manned:
        for edge in line.edges:
            yield say("{line} runs over edge {edge}", line=line.id, edge=edge.id)


def shared_edge(look: Look) -> Reasons:
    """Stands on every job; says where one cause takes several lines."""
    found = [c for c in look.plan.checks if c.id.endswith("/common")]
    for check in found:
        what, id, _ = check.id.split("/")
        names = say(" and ").join(line.id for line in users(look.rig.lines, what, id))
        yield say(SHARED[what], names=names, id=id)
    if not found:
        yield say("stands on every job")


def worn(look: Look) -> Reasons:
    """An exposure that is not slight, or cannot be computed."""
    for line in look.rig.lines:
        for edge in line.edges:
            figure = look.plan.figure(f"line/{line.id}/edge/{edge.id}/exposure")
            if figure is None:
                yield say(
                    "the exposure of {line} at {edge} is not demonstrated",
                    line=line.id,
                    edge=edge.id,
                )
            elif figure.shown.high >= 0.1:  # the band `slight` ends there
                most = amount(figure.shown.high, "1", "up")
                yield say(
                    "exposure of {line} at {edge} up to {most}",
                    line=line.id,
                    edge=edge.id,
                    most=most,
                )


def protectors(look: Look) -> Reasons:
    """A protector lies at an edge."""
    for name, edge in look.job.edges.items():
        if edge.protection is not None:
            yield say("{protection} at edge {name}", protection=edge.protection, name=name)


def redirects(look: Look) -> Reasons:
    """A line is led over a redirect or deviation."""
    for line in look.rig.lines:
        for each in line.line.redirects:
            yield say("{line} is redirected at {anchor}", line=line.id, anchor=each.anchor)


def knots(look: Look) -> Reasons:
    """A line ends in a knot."""
    for line in look.rig.lines:
        tied = [
            each
            for each in (line.line.knots.anchor, line.line.knots.load)
            if each not in ("sewn eye", "wrapped")
        ]
        if tied:
            yield say(
                "{line} ends in {knots}",
                line=line.id,
                knots=say(" and ").join(map(say, dict.fromkeys(tied))),
            )


def rope_end(look: Look) -> Reasons:
    """Somebody goes down a rope, which may end above the ground."""
    for line in look.manned:
        if {"descend", "lower"} & set(line.line.cases):
            yield say(ENDS[line.line.stopper], line=line.id)


def warm_rope(look: Look) -> Reasons:
    """Friction or hot surfaces heat a rope."""
    yield from look.cases("descend", "lower")
    yield from look.near("hot surface")


def loose(look: Look) -> Reasons:
    """Edges that can break, or the job does not say."""
    yield from look.near("loose material", "ice", ask=True)


def machinery(look: Look) -> Reasons:
    """Something turns or drives past the ropes."""
    yield from look.near("plant that can start", "traffic")
    yield from look.tools("drill", "grinder")


def pulled(look: Look) -> Reasons:
    """Ropes are pulled down, as in canyons, or hang doubled."""
    yield from look.method("canyon")
    for line in look.rig.lines:
        if line.line.strands > 1:
            yield say("{line} hangs on {strands} strands", line=line.id, strands=line.line.strands)


def many_lines(look: Look) -> Reasons:
    """So many lines that one can be taken for another."""
    if len(look.rig.lines) > 2:
        yield say("{count} lines hang side by side", count=len(look.rig.lines))


def off_line(look: Look) -> Reasons:
    """The worker leaves the fall line and meets edges nobody listed."""
    for name, site in look.job.sites.items():
        if site.reach_sideways is None:
            yield say("the job does not say how far aside the work lies at {name}", name=name)
        elif site.reach_sideways.high > 0:
            yield say(
                "the work lies up to {reach_sideways} aside at {name}",
                reach_sideways=site.reach_sideways.written,
                name=name,
            )


def anchors(look: Look) -> Reasons:
    """People hang on an anchor."""
    for name in dict.fromkeys(line.line.anchor for line in look.manned):
        found = {leg.evidence for leg in look.job.anchors[name].legs}
        yield f"{name}: {', '.join(map(say, sorted(found)))}"


def weak_evidence(look: Look) -> Reasons:
    """An anchor whose strength somebody judged by eye, or nobody."""
    for name in dict.fromkeys(line.line.anchor for line in look.rig.lines):
        for leg in look.job.anchors[name].legs:
            if leg.evidence in ("assessed", "unknown"):
                yield say(
                    "the strength of {name} is {evidence}", name=name, evidence=say(leg.evidence)
                )
                break


def one_anchor(look: Look) -> Reasons:
    """Several lines end at one anchor."""
    for name in look.job.anchors:
        lines = [line.id for line in look.rig.lines if line.line.anchor == name]
        if len(lines) > 1:
            yield say("{lines} end at {name}", lines=say(" and ").join(lines), name=name)


def several_legs(look: Look) -> Reasons:
    """An anchor of several legs."""
    for name in dict.fromkeys(line.line.anchor for line in look.rig.lines):
        count = len(look.job.anchors[name].legs)
        if count > 1:
            yield say("{name} has {count} legs", name=name, count=count)


def trees(look: Look) -> Reasons:
    """The rope hangs in a tree."""
    yield from look.method("tree work")
    for line in look.rig.lines:
        if any(edge.edge.surface == "timber" for edge in line.edges):
            yield say("{line} runs over timber", line=line.id)


def strangers(look: Look) -> Reasons:
    """Others can get at the anchors or lines."""
    yield from look.near("open to strangers", "windows or openings", ask=True)


def arresting(look: Look) -> Reasons:
    """A line can have to arrest a fall."""
    for line in look.manned:
        if line.arrests:
            fall = line.line.fall
            yield (
                say("{line} arrests a fall of {free}", line=line.id, free=fall.free.written)
                if fall
                else say("{line} arrests a fall of unknown height", line=line.id)
            )


def swinging(look: Look) -> Reasons:
    """Work aside of the fall line, or wind."""
    for line in look.manned:
        reach = line.site.reach_sideways
        if reach is None or reach.high > 0 or line.site.wind is not None:
            yield (
                say("{line} has a reach that is not stated", line=line.id)
                if reach is None
                else say("{line} has a reach of {reach}", line=line.id, reach=reach.written)
            )


def long_drop(look: Look) -> Reasons:
    """A drop over 130 ft, 29 CFR 1910.27(b)(2)(x)."""
    for name, site in look.job.sites.items():
        if site.drop.high > number("long drop"):
            yield say("the drop at {name} is {drop}", name=name, drop=site.drop.written)


def back_up(look: Look) -> Reasons:
    """A safety line with a device that must follow."""
    for line in look.manned:
        if line.line.role == "safety":
            devices = ", ".join(line.line.devices)
            yield (
                say("{line} is followed by hand or by {devices}", line=line.id, devices=devices)
                if devices
                else say("{line} is followed by hand or by nothing", line=line.id)
            )


def devices(look: Look) -> Reasons:
    """A device runs on a line."""
    for line in look.manned:
        for name in line.line.devices:
            yield say("{name} on {line}", name=name, line=line.id)


def led(look: Look) -> Reasons:
    """Somebody climbs above what holds them: a working line states a fall."""
    for line in look.manned:
        if line.line.role == "working" and line.line.fall is not None:
            yield say(
                "{line} is climbed and states a fall of {free}",
                line=line.id,
                free=line.line.fall.free.written,
            )


def any_tool(look: Look) -> Reasons:
    """Whatever is carried can be dropped."""
    work = look.job.work
    if work is None or work.tools is None:
        yield from look.tools(ask=True)
    elif work.tools:
        yield say("tools: {tools}", tools=", ".join(map(say, work.tools)))
    yield from look.people()


def broken_off(look: Look) -> Reasons:
    """What the work or the place can set loose."""
    yield from look.near("loose material", "ice", ask=True)
    yield from look.tools("chainsaw", "grinder", "drill", "pressure jet", "blasting")


def zone(look: Look) -> Reasons:
    """Whoever stands below: no zone stated, or people near it."""
    for name, site in look.job.sites.items():
        if site.zone is None and site.why_not("zone") is None:
            yield say("no zone kept clear is stated at {name}", name=name)
    yield from look.near("public below", "traffic", "other work above or below")


def rigged(look: Look) -> Reasons:
    """Things hang on ropes, or timber is taken down."""
    for line in look.rig.lines:
        if not line.person:
            yield say("{load} hangs on {line}", load=line.line.load, line=line.id)
    yield from look.method("tree work")


def thrown(look: Look) -> Reasons:
    """Ropes are thrown down where others may be."""
    yield from look.near("public below", "traffic", "other work above or below", ask=True)


def late_rescue(look: Look) -> Reasons:
    """Stands on every job; says what of the plan is open."""
    found = [
        check.title
        for check in look.plan.failed_checks
        if check.id.startswith("rescue/") or "/rescue/" in check.id
    ]
    yield from (say("open: {check}", check=inside(title)) for title in dict.fromkeys(found))
    if not found:
        yield say("stands on every job")


def rescue_load(look: Look) -> Reasons:
    """Two on what was meant for one: computed, or not."""
    told = False
    for line in look.manned:
        if line.line.rescue is not None:
            told = True
            yield say("{line} carries {load} in a rescue", line=line.id, load=line.line.rescue.load)
    if look.manned and not told:
        yield say("no line is computed with a rescue load")


def blocked(look: Look) -> Reasons:
    """The way out of a rescue is barred."""
    yield from look.near(
        "no way out below", "still water", "moving water", "tide", "traffic", "confined space",
        ask=True,
    )  # fmt: skip


def sitting(look: Look) -> Reasons:
    """Long on one line, or nobody says how long."""
    for line in look.manned:
        if line.line.role != "working":
            continue
        hours = line.line.hours
        if hours is None:
            yield say("the job does not say how long somebody hangs on {line}", line=line.id)
        elif hours.high >= number("long sitting"):
            yield say("somebody hangs on {line} for {hours}", line=line.id, hours=hours.written)


def apart(look: Look) -> Reasons:
    """People on a rope and people elsewhere."""
    work = look.job.work
    if work is None or not work.communications:
        yield say("the job does not say how the crew talk")
    yield from look.people()


def lowered(look: Look) -> Reasons:
    """Somebody is lowered, in the work or in a rescue."""
    yield from look.cases("lower")


def hauled(look: Look) -> Reasons:
    """Something is hauled."""
    for line in look.rig.lines:
        if line.line.haul is not None:
            yield say("{haulers} haul on {line}", haulers=line.line.haul.haulers, line=line.id)


def stretchers(look: Look) -> Reasons:
    """Rescue work."""
    yield from look.method("rescue")


def windy(look: Look) -> Reasons:
    """Out of doors: a wind stated, or nobody says."""
    for name, site in look.job.sites.items():
        if site.why_not("wind") is not None:
            continue
        if site.wind is None:
            yield say("no wind is stated at which work stops at {name}", name=name)
        else:
            yield say(
                "work at {name} goes on up to {stop_at}",
                name=name,
                stop_at=site.wind.stop_at.written,
            )


def lightning(look: Look) -> Reasons:
    """Out of doors, whatever is stated."""
    work = look.job.work
    if work is None or not work.lightning:
        yield say("the job does not say when work stops for lightning")
    else:
        yield say("rule stated: {lightning}", lightning=work.lightning)


def hot(look: Look) -> Reasons:
    """Warm air, or none stated."""
    for name, site in look.job.sites.items():
        if site.temperature is None:
            yield say("no air temperature is stated for {name}", name=name)
        elif site.temperature.high >= number("warm"):
            yield say(
                "air up to {temperature} at {name}", temperature=site.temperature.written, name=name
            )
    yield from look.near("hot surface")


def cold(look: Look) -> Reasons:
    """Cold air, and less cold air where it is wet."""
    yield from look.colder("cold")
    yield from look.colder("cold and wet", wet=True, ask=False)


def frozen(look: Look) -> Reasons:
    """Ropes that can freeze."""
    yield from look.colder("frost", wet=True)
    yield from look.near("ice")


def rising(look: Look) -> Reasons:
    """Water that can rise."""
    yield from look.near("moving water", "tide")


def falling_water(look: Look) -> Reasons:
    """Ropes in falling water."""
    yield from look.method("canyon")
    yield from look.near("moving water")


def dark(look: Look) -> Reasons:
    """Little light, or none stated."""
    work = look.job.work
    if work is None or work.light is None:
        yield say("the job does not say in which light there is work")
    elif work.light != "daylight":
        yield say("there is work at {light}", light=say(work.light))


def wires(look: Look) -> Reasons:
    """A power line, or nobody says."""
    yield from look.near("power line", ask=True)


def live(look: Look) -> Reasons:
    """Live parts of a building or plant, or nobody says."""
    yield from look.near("live parts", "plant that can start", ask=True)


def chemicals(look: Look) -> Reasons:
    """Chemicals at the ropes, or nobody says."""
    for name, site in look.job.sites.items():
        if site.chemicals:
            yield _chemicals(site.chemicals, name)
        elif site.why_not("chemicals") is None:
            yield say("the job does not say what can touch the ropes at {name}", name=name)


def _chemicals(listed: Iterable[str], site: str) -> str:
    return say("{chemicals} at {name}", chemicals=", ".join(map(say, listed)), name=site)


def dusty(look: Look) -> Reasons:
    """Dust of the place or of the work."""
    yield from look.near("dust or fibres")
    yield from look.tools("grinder", "drill", "blasting")


def splashing(look: Look) -> Reasons:
    """Something that can splash into the eyes."""
    for name, site in look.job.sites.items():
        if site.chemicals:
            yield _chemicals(site.chemicals, name)
    yield from look.tools("pressure jet", "blasting")


def sawn(look: Look) -> Reasons:
    """A tool that cuts ropes."""
    yield from look.tools("knife or hand saw", "chainsaw", "grinder", ask=True)


def sparks(look: Look) -> Reasons:
    """Flame or sparks."""
    yield from look.tools("flame or welding", "grinder", ask=True)


def lifted(look: Look) -> Reasons:
    """Loads moved by hand."""
    yield from hauled(look)
    yield from look.tools("heavy tool")
    for line in look.rig.lines:
        if not line.person:
            yield say("{load} is moved", load=line.line.load)


def tired(look: Look) -> Reasons:
    """A long day, or nobody says how long."""
    work = look.job.work
    if work is None or work.shift is None:
        yield say("the job does not say how long a day at work is")
    elif work.shift.high > number("long shift"):
        yield say("a day at work is {shift}", shift=work.shift.written)


def alone(look: Look) -> Reasons:
    """Few people, or rescuers who may all be on the rope."""
    if look.manned and len(look.job.people) < FEW:
        yield say("{count} people are named", count=len(look.job.people))
    for check in look.plan.failed_checks:
        if check.id.startswith(("people/team", "rescue/team")):
            yield say("open: {check}", check=inside(check.title))


def newcomers(look: Look) -> Reasons:
    """Somebody whose competence has no date, so that it may be no more than an induction."""
    for person in look.job.people.values():
        if person.expires is None:  # also where it is stated that it has none
            yield say(
                "{person}: {competence}, no expiry stated",
                person=person.name,
                competence=person.competence,
            )


def changes(look: Look) -> Reasons:
    """Permits, isolations or other work that can change under way."""
    work = look.job.work
    if look.job.job.permits:
        yield say("permits {permits}", permits=", ".join(look.job.job.permits))
    if work is not None and (work.isolations or work.others):
        yield say("isolations or other work are stated")


def public(look: Look) -> Reasons:
    """People below, or nobody says."""
    yield from look.near("public below", ask=True)


def moving_plant(look: Look) -> Reasons:
    """Plant, gates or windows that move, or nobody says."""
    yield from look.near("plant that can start", "windows or openings", ask=True)


def other_work(look: Look) -> Reasons:
    """Work above or below, or nobody says."""
    yield from look.near("other work above or below")
    work = look.job.work
    if work is None or work.others is None:
        yield say("the job does not say what other work goes on")
    else:
        yield from (say("other work: {each}", each=each) for each in work.others)


def way_in(look: Look) -> Reasons:
    """A way in that is a hazard itself, or nobody says."""
    yield from look.near("awkward way in", ask=True)


def way_out(look: Look) -> Reasons:
    """No way out below, or nobody says."""
    yield from look.near("no way out below", "tide", "moving water", ask=True)


def after_dark(look: Look) -> Reasons:
    """Daylight may end before everyone is out."""
    work = look.job.work
    if work is None or work.light is None:
        yield say("the job does not say in which light there is work")
    elif work.light in ("twilight", "night"):
        yield say("there is work at {light}", light=say(work.light))


def climbs(line: Line) -> bool:
    """Whether somebody goes both up and down on a line."""
    return {"ascend", "descend"} <= set(line.cases)


def changeover(look: Look) -> Reasons:
    """Somebody changes from one line or one device to another."""
    for line in look.manned:
        if climbs(line.line) or line.edges or line.line.redirects:
            yield say("{line} is passed at edges, redirects or between up and down", line=line.id)


def _near(*tags: str) -> Trigger:
    return partial(_tagged, tags=tags)


def _tagged(look: Look, tags: tuple[str, ...]) -> Reasons:
    """Something of the list stated near a site."""
    yield from look.near(*tags)


def _tool(*tools: str) -> Trigger:
    return partial(_used, tools=tools)


def _used(look: Look, tools: tuple[str, ...]) -> Reasons:
    """A tool of the list."""
    yield from look.tools(*tools)


TRIGGERS: Mapping[str, Trigger] = {
    "rope_cut_at_edge": edges,
    "both_lines_at_one_edge": shared_edge,
    "rope_abraded": worn,
    "protector_slips": protectors,
    "deviation_fails": redirects,
    "knot_fails": knots,
    "off_rope_end": rope_end,
    "rope_melted": warm_rope,
    "hidden_rope_damage": on_rope,
    "loose_edge_breaks": loose,
    "rope_caught_by_machinery": machinery,
    "rope_snags_when_pulled": pulled,
    "lines_mixed_up": many_lines,
    "unseen_edge_midway": off_line,
    "anchor_pulls_out": anchors,
    "temporary_anchor_moves": weak_evidence,
    "lines_share_anchor": one_anchor,
    "wide_bridle": several_legs,
    "anchor_leg_lost": several_legs,
    "tree_anchor_breaks": trees,
    "anchor_tampered": strangers,
    "connector_misloaded": on_rope,
    "fall_at_edge_rigging": on_rope,
    "arrest_hits_below": arresting,
    "arrest_force_injures": arresting,
    "pendulum": swinging,
    "lost_control_descent": rope_end,
    "unclipped_at_changeover": changeover,
    "fragile_surface": _near("fragile surface"),
    "long_drop_unsteady": long_drop,
    "back_up_left_behind": back_up,
    "caught_in_device": devices,
    "lead_climb_fall": led,
    "dropped_tool": any_tool,
    "heavy_tool_on_person": _tool("heavy tool"),
    "material_dislodged": broken_off,
    "exclusion_zone_too_small": zone,
    "rigged_load_hits": rigged,
    "dropped_protector": protectors,
    "thrown_rope_hits": thrown,
    "motionless_suspension": on_rope,
    "no_timely_rescue": late_rescue,
    "rescue_load_too_great": rescue_load,
    "rescue_blocked_by_site": blocked,
    "long_sitting": sitting,
    "comms_lost": apart,
    "wrong_first_aid": on_rope,
    "rescue_lowered_too_fast": lowered,
    "haul_jam": hauled,
    "stretcher_tips": stretchers,
    "rescuer_hurt": on_rope,
    "jammed_device": devices,
    "wind": windy,
    "lightning": lightning,
    "heat": hot,
    "cold": cold,
    "ice_on_rope": frozen,
    "rising_water": rising,
    "falls_into_water": _near("still water", "moving water", "tide"),
    "held_by_falling_water": falling_water,
    "poor_light": dark,
    "animals": _near("animals"),
    "ground_shaking": _near("ground that can shake"),
    "overhead_line": wires,
    "live_building_parts": live,
    "radio_field": _near("radio antenna"),
    "electric_tool_shock": _tool("electric tool on a lead"),
    "chemical_on_rope": chemicals,
    "bad_air": _near("confined space"),
    "dust_and_fibres": dusty,
    "droppings_and_sewage": _near("droppings or sewage"),
    "splash_in_eyes": splashing,
    "saw_cuts_line": sawn,
    "hot_work": sparks,
    "tool_kicks_or_winds_up": _tool("drill", "grinder", "chainsaw"),
    "water_jet_or_blasting": _tool("pressure jet", "blasting"),
    "vibration_and_noise": _tool(
        "chainsaw", "grinder", "drill", "blasting", "pressure jet", "vibrating tool"
    ),
    "manual_handling": lifted,
    "flying_fragments": _tool("grinder", "drill", "chainsaw", "blasting"),
    "not_competent": on_rope,
    "fatigue": tired,
    "unfit_for_work": on_rope,
    "lone_work": alone,
    "pressure_and_habit": on_rope,
    "newcomer_or_language": newcomers,
    "change_not_told": changes,
    "public_below": public,
    "traffic_strike": _near("traffic"),
    "tampering_or_theft": _near("open to strangers"),
    "plant_or_window_moves": moving_plant,
    "work_above_or_below": other_work,
    "helicopter_downwash": _near("helicopter"),
    "getting_to_the_edge": way_in,
    "no_way_out": way_out,
    "short_daylight": after_dark,
    "kit_out_of_date": on_rope,
    "kit_incompatible": devices,
    "protector_fails": protectors,
    "harness_misfit": on_rope,
}
"""What proposes each hazard of the catalogue."""
STANDING = ("both_lines_at_one_edge", "no_timely_rescue")
"""Hazards that stand on every job and cannot be dropped."""
