"""Sections 7, 10 and 13: rescue, people, and the record after the job."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.report.blocks import Block, Cell, Heading, Items, Para, Section
from riskdoc.report.number_format import NOT_DEMONSTRATED
from riskdoc.report.rescued import rescue_numbers
from riskdoc.report.rows import checks_table
from riskdoc.report.tables import columns, ruled_out, table, text_cell, yes_no

if TYPE_CHECKING:
    from riskdoc.report.facts import Facts


def _unjudged(what: str) -> Para:
    return Para(
        say("Not assessed by this version, and that is no pass: {what}.", what=what), "unjudged"
    )


def rescue(facts: Facts) -> Section:
    """Section 7: the plan as written, and what was computed of it."""
    plan = facts.job.rescue
    who = ", ".join(facts.job.people[id].name for id in plan.who)
    drilled = plan.drilled.isoformat() if plan.drilled else None
    by_telephone = plan.phone_signal == "good" and plan.call is None
    said = (
        (say("Rescuers"), who or None),
        (say("Method"), plan.method),
        (say("Kit and where it stands"), plan.kit),
        (
            say("Time until a rescuer is there"),
            plan.time_to_contact and plan.time_to_contact.written,
        ),
        (say("Time until on the ground"), plan.time_to_ground and plan.time_to_ground.written),
        (say("First aid"), plan.first_aid),
        (say("Taken to"), plan.hospital),
        (say("Emergency services met at"), plan.rendezvous),
        (say("Telephone signal"), plan.phone_signal and say(plan.phone_signal)),
        *([] if by_telephone else [(say("How help is called"), plan.call)]),
        (say("Last drilled"), drilled),
    )
    heads = columns("Point | 30", "As the job file has it | 70")
    rows = [(Cell(name), text_cell(value or say(NOT_DEMONSTRATED))) for name, value in said]
    blocks: list[Block] = [table(say("Rescue plan"), heads, rows, css="")]
    if plan.steps:
        blocks += [Heading(say("Steps, in order")), Items(plan.steps, "ordered")]
    else:
        blocks.append(Para(say("Steps: not demonstrated."), "missing"))
    blocks += _by_line(facts)
    judged = [
        each for id, each in facts.checks.items() if id.startswith("rescue/") or "/rescue/" in id
    ]
    blocks += [checks_table(say("What is asked of the plan"), judged)] if judged else []
    blocks += rescue_numbers(facts)
    blocks.append(_unjudged(say("whether the plan works where it is needed, and in its time")))
    return Section("rescue", "7", say("Rescue"), tuple(blocks))


def _by_line(facts: Facts) -> list[Block]:
    """Rescue from every line that people hang on, with what is different there."""
    rows = []
    for id, line in facts.job.lines.items():
        if facts.job.loads[line.load].people == 0:
            continue
        plan, own = facts.job.rescue.of_line(id), facts.job.rescue.lines.get(id)
        who = ", ".join(facts.job.people[each].name for each in plan.who)
        contact, ground = plan.time_to_contact, plan.time_to_ground
        # The steps for all lines stand above the table.
        steps = " ".join(own.steps) if own else ""
        rows.append(
            (
                Cell(id),
                text_cell(who or say(NOT_DEMONSTRATED)),
                text_cell(plan.method or say(NOT_DEMONSTRATED), steps),
                text_cell(plan.kit or say(NOT_DEMONSTRATED)),
                text_cell(contact.written if contact else say(NOT_DEMONSTRATED)),
                text_cell(
                    ground.written if ground else say(NOT_DEMONSTRATED), plan.why_longer or ""
                ),
            )
        )
    if not rows:
        return []
    heads = columns(
        "Line | 13",
        "Who | 16",
        "How | 29",
        "With what | 20",
        "Until a rescuer is there | 11",
        "Until on the ground | 11",
    )
    return [table(say("Rescue from each line"), heads, rows)]


def people(facts: Facts) -> Section:
    """Section 10: who takes part, and room to acknowledge the briefing."""
    last = facts.job.job.valid.end
    rows = []
    for person in facts.job.people.values():
        expiry = person.expires.isoformat() if person.expires else ruled_out(person, "expires")
        late = person.expires is not None and person.expires < last
        rows.append(
            (
                Cell(person.name, person.phone or say("no phone stated")),
                Cell(person.role, say("supervises") if person.supervises else ""),
                Cell(person.competence),
                text_cell(expiry, say("expires before the last day") if late else ""),
                Cell(yes_no(person.first_aid)),
                Cell(yes_no(person.rescue)),
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
    judged = [each for id, each in facts.checks.items() if id.startswith("people/")]
    blocks = (
        table(say("People"), heads, rows, css="wide"),
        *([checks_table(say("What is asked of the team"), judged)] if judged else []),
        Para(
            say(
                "Each signature says: I was briefed on this plan, its limits, its stop conditions "
                "and the rescue, in a language I understand, and I may stop the job."
            )
        ),
        _unjudged(say("whether a competence fits the work on the day, and who is fit for it")),
    )
    return Section("people", "10", say("People, briefing and acknowledgement"), blocks)


def record(_facts: Facts) -> Section:
    """Section 13: the record after the job, to be filled in by hand."""
    points = (
        say("Work done, and what was left"),
        say("Changes to this plan, by whom and why"),
        say("Rope, edge protection and anchor condition afterwards"),
        say("Passes and runs really made"),
        say("Incidents and near misses"),
        say("Rope and kit taken out of use"),
    )
    rows = [(Cell(each), Cell("")) for each in points]
    heads = columns("Point | 40", "Filled in by hand | 60")
    form = table(say("To be filled in by hand"), heads, rows, css="form")
    return Section("record", "13", say("Record after the job"), (form,))
