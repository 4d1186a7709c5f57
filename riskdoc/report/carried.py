"""Sections 7 to 10 and 13: what is carried to the reader as the job file has it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.report import controls
from riskdoc.report.blocks import Block, Cell, Heading, Items, Para, Section
from riskdoc.report.rescued import rescue_numbers
from riskdoc.report.rows import checks_table
from riskdoc.report.tables import columns, table, text_cell
from riskdoc.report.units import NOT_SHOWN

if TYPE_CHECKING:
    from riskdoc.report.facts import Facts


def _unjudged(what: str) -> Para:
    return Para(f"Not assessed by this version, and that is no pass: {what}.", "unjudged")


def rescue(facts: Facts) -> Section:
    """Section 7: the plan as written, and what was computed of it."""
    plan = facts.job.rescue
    who = ", ".join(facts.job.people[id].name for id in plan.who)
    drilled = plan.drilled.isoformat() if plan.drilled else None
    said = (
        ("Rescuers", who or None),
        ("Method", plan.method),
        ("Kit and where it stands", plan.kit),
        ("Time until a rescuer is there", plan.time_to_contact and plan.time_to_contact.written),
        ("Time until on the ground", plan.time_to_ground and plan.time_to_ground.written),
        ("First aid", plan.first_aid),
        ("Taken to", plan.hospital),
        ("Emergency services met at", plan.rendezvous),
        ("How help is called", plan.phone_signal),
        ("Last drilled", drilled),
    )
    heads = columns("Point | 30", "As the job file has it | 70")
    rows = [(Cell(name), text_cell(value or NOT_SHOWN)) for name, value in said]
    blocks: list[Block] = [table("Rescue plan", heads, rows, css="")]
    if plan.steps:
        blocks += [Heading("Steps, in order"), Items(plan.steps, "ordered")]
    else:
        blocks.append(Para(f"Steps: {NOT_SHOWN}.", "missing"))
    stated = [each for id, each in facts.checks.items() if id == "rescue/stated"]
    blocks += [checks_table("Whether a plan is stated", stated)] if stated else []
    blocks += rescue_numbers(facts)
    blocks.append(_unjudged("whether the plan works, and its times"))
    return Section("rescue", "7", "Rescue", tuple(blocks))


def hazards(facts: Facts) -> Section:
    """Section 8: hazards of the job file, and what was said of wind and wet."""
    blocks: list[Block] = []
    found = facts.job.hazards
    if found:
        heads = columns(
            "Hazard | 22", "Who may be harmed | 16", "How | 22", "Controls | 25", "Why listed | 15"
        )
        rows = [
            (
                Cell(each.title),
                text_cell(each.who or NOT_SHOWN),
                text_cell(each.how or NOT_SHOWN),
                text_cell("; ".join(each.controls) or NOT_SHOWN),
                Cell(each.reason or "–"),
            )
            for each in found.values()
        ]
        blocks.append(table("Hazards the job file states", heads, rows))
    else:
        blocks.append(Para(f"Hazards of the job's own: {NOT_SHOWN}.", "missing"))
    blocks.append(_sites(facts))
    blocks += controls.bought(facts)
    blocks.append(_unjudged("hazards, their rating, and whether their controls are enough"))
    return Section("hazards", "8", "Hazards, weather and controls", tuple(blocks))


def _sites(facts: Facts) -> Block:
    heads = columns(
        "Site | 14",
        "Drop | 11",
        "Reach to the side | 15",
        "Clear below | 12",
        "Temperature | 15",
        "Wet, chemicals | 10",
        "Work stops at wind | 23",
    )
    rows = []
    for id, site in facts.job.sites.items():
        wind = site.wind
        stop = (
            f"{wind.stop_at.written} {wind.measured_as} at {wind.height.written}; {wind.source}"
            if wind
            else NOT_SHOWN
        )
        stated = (site.reach_sideways, site.clear_below, site.temperature)
        rows.append(
            (
                Cell(id),
                Cell(site.drop.written),
                *(text_cell(each.written if each else NOT_SHOWN) for each in stated),
                text_cell(
                    {True: "yes", False: "no", None: NOT_SHOWN}[site.wet],
                    ", ".join(site.chemicals),
                ),
                text_cell(stop),
            )
        )
    return table("Sites and weather", heads, rows)


def requirements(facts: Facts) -> Section:
    """Section 9."""
    used = facts.assessment.requirement_set
    blocks = (
        Para(f"The checks of section 3 compare with requirement set {used}."),
        _unjudged("the items of the set that are no comparison of numbers"),
    )
    return Section("requirements", "9", "Requirement set", blocks)


def people(facts: Facts) -> Section:
    """Section 10: who takes part, and room to acknowledge the briefing."""
    last = facts.job.job.valid.end
    rows = []
    for person in facts.job.people.values():
        expiry = person.expires.isoformat() if person.expires else NOT_SHOWN
        late = person.expires is not None and person.expires < last
        rows.append(
            (
                Cell(person.name, person.phone or "no phone stated"),
                Cell(person.role),
                Cell(person.competence),
                text_cell(expiry, "expires before the last day" if late else ""),
                Cell("yes" if person.first_aid else "no"),
                Cell("yes" if person.rescue else "no"),
                Cell(""),
            )
        )
    heads = columns(
        "Name and phone | 22",
        "Role | 13",
        "Competence | 17",
        "Expires | 13",
        "First aid | 7",
        "Rescue | 8",
        "Briefed: signature and day | 20",
    )
    blocks = (
        table("People", heads, rows, css="wide"),
        _unjudged("whether the competences fit the work and the team is enough"),
    )
    return Section("people", "10", "People, briefing and acknowledgement", blocks)


def record(_facts: Facts) -> Section:
    """Section 13: the record after the job, to be filled in by hand."""
    points = (
        "Work done, and what was left",
        "Changes to this plan, by whom and why",
        "Rope, edge protection and anchor condition afterwards",
        "Passes and runs really made",
        "Incidents and near misses",
        "Rope and kit taken out of use",
    )
    rows = [(Cell(each), Cell("")) for each in points]
    heads = columns("Point | 40", "Filled in by hand | 60")
    form = table("To be filled in by hand", heads, rows, css="form")
    return Section("record", "13", "Record after the job", (form,))
