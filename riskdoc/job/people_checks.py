"""Contradictions about people and time: names that stand twice, and days that are too long."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from riskdoc.job.alike import called
from riskdoc.job.faults import Code, shown
from riskdoc.job.model import Job, LineRescuePlan, Load
from riskdoc.job.model_findings import Found
from riskdoc.job.nodes import Path
from riskdoc.quantities.units import from_si, to_si

DAY = to_si(24.0, "h")


def named_once(job: Job) -> Iterator[Found]:
    """One person cannot fill two places on a load, nor be two rescuers."""
    for name, load in job.loads.items():
        yield from _doubles(("loads", name, "who"), load.who)
    yield from _doubles(("rescue", "who"), job.rescue.who)
    for name, plan in job.rescue.lines.items():
        yield from _doubles(("rescue", "lines", name, "who"), plan.who)


def _doubles(path: Path, who: Sequence[str]) -> Iterator[Found]:
    for n, id in enumerate(who):
        if id in who[:n]:
            yield Found(
                Code.NAMED_TWICE,
                (*path, n),
                f"{shown(id)} stands here twice",
                "Name each person once; a second person needs an id under people.",
            )


def one_name_each(job: Job) -> Iterator[Found]:
    """Two ids of one name would make two people of one."""
    seen: dict[tuple[str, str], str] = {}
    for id, person in job.people.items():
        looks = called(person.name)
        other = next((seen[each] for each in sorted(looks) if each in seen), None)
        if other is not None:
            yield Found(
                Code.SAME_PERSON,
                ("people", id, "name"),
                f"{shown(other)} has the name {shown(person.name)} too"
                f"{_to_the_eye(job, other, id)}",
                "Name one person once; tell two people of one name apart, as on their cards.",
            )
        for each in looks:
            seen.setdefault(each, id)


def _to_the_eye(job: Job, one: str, other: str) -> str:
    """What is added where two names are written otherwise and look the same."""
    first, second = (job.people[id].name for id in (one, other))
    same = first.casefold().split() == second.casefold().split()
    return "" if same else f", as it looks: it is written {shown(first)}"


def one_line_or_several(job: Job) -> Iterator[Found]:
    """The reason for one line alone beside a second line would make that line worth nothing."""
    for name, load in job.loads.items():
        lines = [id for id, line in job.lines.items() if line.load == name]
        if load.single_line is not None and len(lines) > 1:
            yield Found(
                Code.SINGLE_OF_SEVERAL,
                ("loads", name, "single_line"),
                f"one line alone is said to carry {shown(name)}, and several do: "
                f"{', '.join(lines)}",
                "Leave 'single_line' out where there is a second line, or leave out the lines that "
                "are not used.",
            )


def contact_before_ground(job: Job) -> Iterator[Found]:
    """Whoever is on the ground is reached there, so contact is never the later of the two."""
    yield from _contact(("rescue",), job.rescue)
    for name, plan in job.rescue.lines.items():
        yield from _contact(("rescue", "lines", name), plan)


def _contact(path: Path, plan: LineRescuePlan) -> Iterator[Found]:
    contact, ground = plan.time_to_contact, plan.time_to_ground
    if contact is None or ground is None:
        return
    if contact.high > ground.high or contact.low > ground.low:
        yield Found(
            Code.CONTACT_AFTER_GROUND,
            (*path, "time_to_contact"),
            f"a rescuer is there after {contact.written}, and the casualty on the ground after "
            f"{ground.written}",
            "The rescuer is there first: correct one of the two.",
        )


def days_long_enough(job: Job) -> Iterator[Found]:
    """A day has 24 hours, and the load hangs no longer than the days and shifts of the job."""
    shift = job.work.shift if job.work is not None else None
    if shift is not None and shift.high > DAY:
        yield Found(
            Code.DAY_TOO_LONG,
            ("work", "shift"),
            f"{shift.written} is more than a day has",
            "Write the longest time at work in one day.",
        )
        return
    days = (job.job.valid.end - job.job.valid.start).days + 1
    if days < 1:
        return  # told of the days themselves
    for name, line in job.lines.items():
        load = job.loads.get(line.load)
        if line.hours is None or load is None:
            continue
        daily = DAY if shift is None else min(DAY, shift.high * _turns(load))
        if line.hours.low > days * daily:
            yield Found(
                Code.DAY_TOO_LONG,
                ("lines", name, "hours"),
                f"{line.hours.written} on the line, and the job has {days} "
                f"{'day' if days == 1 else 'days'} of at most {from_si(daily, 'h'):.6g} h",
                "Count the hours on the line, or the days and the shift, again.",
            )


def _turns(load: Load) -> float:
    """How many shifts those named can make in a day, one after another; no bound without names."""
    return max(1.0, len(set(load.who)) / load.people) if load.who and load.people else math.inf
