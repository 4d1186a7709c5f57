"""Items of the set `gb-work-at-height` that are decided in code."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from riskdoc.analysis.resolve import RigLine
from riskdoc.i18n.say import mark, say
from riskdoc.job.model import Device, Rope, Scheme
from riskdoc.requirements.ask import Ask, Judge, in_time, says, together
from riskdoc.requirements.items import Answer, Found
from riskdoc.requirements.shared_items import (
    arrested,
    competent,
    of_line,
    rescue_planned,
    trained_with_rescue,
)

METHODS = ("rope access", "rope descent", "tree work", "rescue")
"""Kinds of work that Schedule 5 Part 3 is held to here; canyons and others a person decides."""


def fall_minimised(ask: Ask) -> Found:
    """Reg. 6(5): distance and force of a fall, for every load with people and every line."""
    shapes = ("clearance", "clearance/*", "fall/peak")
    things = [line for line in ask.lines if line.arrests and not line.person]
    return together([
        *arrested(ask, Answer.NOT_MET, *shapes),
        *(of_line(ask, line, *shapes) for line in things),
    ])  # fmt: skip


def injury_limited(ask: Ask) -> Found:
    """Sch. 5 Part 1 para. 2: a check knows of the force and of nothing else that is asked."""
    force = together(arrested(ask, Answer.NOT_DEMONSTRATED, "fall/peak"))
    if force.answer is not Answer.MET:
        return force
    said = say("the force is in bounds; what keeps the user from falling or slipping out of it?")
    return Found(Answer.TO_BE_ANSWERED, said, force.checks)


def two_lines(ask: Ask) -> Found:
    """Sch. 5 Part 3 para. 1(a): a working line and a safety line, separately anchored."""
    if not ask.loads:
        return Found(Answer.NOT_APPLICABLE, say("nobody hangs on a rope"))
    if ask.method not in METHODS:
        return Found(
            Answer.NOT_DEMONSTRATED, say("work.method does not say so"), (), ("work.method",)
        )
    return together([_two(ask, load, lines) for load, lines in ask.loads.items()])


def _two(ask: Ask, load: str, lines: tuple[RigLine, ...]) -> Found:
    names = ", ".join(line.id for line in lines)
    if len(lines) == 1:
        if ask.job.loads[load].single_line is not None:
            return Found(
                Answer.NOT_APPLICABLE,
                say("{load} hangs on {names} alone; paragraph 3 is used", load=load, names=names),
            )
        return Found(Answer.NOT_MET, say("{load} hangs on {names} alone", load=load, names=names))
    roles = {line.line.role for line in lines}
    apart = len({line.line.anchor for line in lines}) > 1
    if roles != {"working", "safety"} or not apart:
        parts = {"load": load, "names": names}
        said = (
            say("{load} on {names}: no working and safety line", **parts)
            if apart
            else say("{load} on {names}: not separately anchored", **parts)
        )
        return Found(Answer.NOT_MET, said)
    if len({line.line.rope for line in lines}) < len(lines):
        return Found(
            Answer.NOT_DEMONSTRATED,
            say("{load} on {names}: one rope for two lines", load=load, names=names),
        )
    return ask.worst(ask.matching(f"load/{load}/lines"))


def single_line(ask: Ask) -> Found:
    """Sch. 5 Part 3 para. 3: both halves, for a load on exactly one line."""
    found = []
    if ask.loads and ask.method not in METHODS:
        found.append(
            Found(Answer.NOT_DEMONSTRATED, say("work.method does not say so"), (), ("work.method",))
        )
    for load, lines in ask.loads.items():
        why = ask.job.loads[load].single_line
        if len(lines) != 1:
            continue
        if why is None or not (says(why.second_line_riskier) and says(why.measures)):
            key = f"loads.{load}.single_line"
            said = say(
                "{load} hangs on {lines} alone and neither half is stated",
                load=load,
                lines=lines[0].id,
            )
            found.append(Found(Answer.NOT_MET, said, (), (key,)))
        else:
            said = say(
                "{why}; measures: {measures}",
                why=why.second_line_riskier,
                measures=", ".join(why.measures),
            )
            found.append(Found(Answer.TO_BE_ANSWERED, f"{load}: {said}"))
    none = Found(Answer.NOT_APPLICABLE, say("no load with people hangs on one line"))
    return together(found, none)


def _of_role(ask: Ask, role: str) -> list[RigLine]:
    return [line for line in ask.manned if line.line.role == role]


def up_and_down(ask: Ask) -> Found:
    """Sch. 5 Part 3 para. 1(c): means of ascent and descent on the working line."""
    found = []
    for line in _of_role(ask, "working"):
        cases = set(line.line.cases)
        both = cases & {"descend", "lower"} and cases & {"ascend", "raise"}
        if both and line.line.devices:
            said = say(
                "{line}: {cases} with {devices}",
                line=line.id,
                cases=", ".join(map(say, line.line.cases)),
                devices=", ".join(line.line.devices),
            )
            found.append(Found(Answer.AS_STATED, said))
        else:
            said = (
                say("{line}: no device is stated", line=line.id)
                if both
                else say("{line}: only one way is stated", line=line.id)
            )
            found.append(Found(Answer.NOT_DEMONSTRATED, said, (), (f"lines.{line.id}",)))
    return together(found)


@dataclass(frozen=True, slots=True)
class Act:
    """What a device of a line does by itself, as the job file writes it, and what is said of it."""

    key: str
    yes: str
    no: str
    open: str


SELF_LOCKS = Act(
    "self-locks",
    mark("{line}: {devices} self-locks"),
    mark("{line}: no device self-locks"),
    mark("{line}: not stated whether a device self-locks"),
)
TRAVELS = Act(
    "travels",
    mark("{line}: {devices} travels"),
    mark("{line}: no device travels"),
    mark("{line}: not stated whether a device travels"),
)


def _acts(ask: Ask, role: str, act: Act) -> Found:
    found = []
    for line in _of_role(ask, role):
        parts = {name: ask.job.devices[name].acts for name in line.line.devices}
        having = [name for name, acts in parts.items() if acts is not None and act.key in acts]
        if having:
            said = say(act.yes, line=line.id, devices=", ".join(having))
            found.append(Found(Answer.AS_STATED, said))
        elif parts and all(acts is not None for acts in parts.values()):
            found.append(Found(Answer.NOT_MET, say(act.no, line=line.id)))
        else:
            keys = tuple(f"devices.{name}.acts" for name, acts in parts.items() if acts is None)
            said = say(act.open, line=line.id)
            found.append(
                Found(Answer.NOT_DEMONSTRATED, said, (), keys or (f"lines.{line.id}.devices",))
            )
    return together(found)


def self_locking(ask: Ask) -> Found:
    """Sch. 5 Part 3 para. 1(c): a system that stops the user who loses control."""
    return _acts(ask, "working", SELF_LOCKS)


def safety_line_travels(ask: Ask) -> Found:
    """Sch. 5 Part 3 para. 1(d): a fall protection that follows the user."""
    return _acts(ask, "safety", TRAVELS)


def _carrying(ask: Ask, *, people: bool) -> Iterator[tuple[str, Rope | Device]]:
    lines = [line for line in ask.lines if line.person is people]
    for name in dict.fromkeys(line.line.rope for line in lines):
        yield f"ropes.{name}", ask.job.ropes[name]
    for name in dict.fromkeys(each for line in lines for each in line.all_devices):
        yield f"devices.{name}", ask.job.devices[name]


def _examined(ask: Ask, months: int, *, people: bool) -> Found:
    found = [
        in_time(
            ask.job, _day(part), months, f"{name}.inspected", say("inspection of {name}", name=name)
        )
        for name, part in _carrying(ask, people=people)
        if part.scheme is None
    ]
    return together(found)


def _day(part: Rope | Device) -> date | None:
    return part.inspected


def examined_six_months(ask: Ask) -> Found:
    """LOLER 9(3)(a)(i): six calendar months for what lifts people."""
    return _examined(ask, 6, people=True)


def lifting_things_twelve_months(ask: Ask) -> Found:
    """LOLER 9(3)(a)(ii): twelve calendar months for what lifts things."""
    return _examined(ask, 12, people=False)


def examined_by_scheme(ask: Ask) -> Found:
    """LOLER 9(3)(a)(iii): by a written scheme."""
    found = []
    parts = [*_carrying(ask, people=True), *_carrying(ask, people=False)]
    for name, part in dict(parts).items():
        scheme: Scheme | None = part.scheme
        if scheme is not None:
            good = scheme.due >= ask.job.job.valid.end
            said = say(
                "{name}: {reference}, due {due}",
                name=name,
                reference=scheme.reference,
                due=scheme.due,
            )
            found.append(Found(Answer.MET if good else Answer.NOT_MET, said))
    return together(found, Found(Answer.NOT_APPLICABLE, say("no scheme is stated")))


def workers_assessed(ask: Ask) -> Found:
    """MHSWR 3(1)(a): every hazard with who, how and at least one control."""
    open_ones = [
        each.title
        for each in ask.hazards
        if not (each.who and each.how and any(each.controls.values()))
    ]
    if not ask.hazards:
        return Found(Answer.NOT_DEMONSTRATED, say("no hazard is listed"))
    if open_ones:
        return Found(
            Answer.NOT_DEMONSTRATED,
            say("without who, how or control: {open_ones}", open_ones=", ".join(open_ones)),
        )
    return Found(
        Answer.AS_STATED, say("{count} hazards with who, how and controls", count=len(ask.hazards))
    )


def others_assessed(ask: Ask) -> Found:
    """MHSWR 3(1)(b): who is meant by others a program cannot tell."""
    named = [each.title for each in ask.hazards if {"public", "others on site"} & set(each.harmed)]
    said = say(
        "{count} hazards name the public or others on site; is nobody else affected?",
        count=len(named),
    )
    return Found(Answer.TO_BE_ANSWERED, said)


def recorded(ask: Ask) -> Found:
    """MHSWR 3(6): this document is the record, once it is signed."""
    return Found(
        Answer.TO_BE_ANSWERED, say("this document is the record of the findings once it is signed")
    )


def planned_supervised(ask: Ask) -> Found:
    """Reg. 4(1): nobody can answer yes over checks that stand against the plan."""
    found = ask.worst(ask.matching("people/supervisor"))
    if found.answer is Answer.MET and ask.plan.failed_checks:
        said = say("checks stand against the plan")
        return Found(
            Answer.NOT_DEMONSTRATED, said, tuple(check.id for check in ask.plan.failed_checks)
        )
    return found


JUDGES: Mapping[str, Judge] = {
    "rescue_planned": rescue_planned,
    "competent": competent,
    "trained_with_rescue": trained_with_rescue,
    "fall_minimised": fall_minimised,
    "injury_limited": injury_limited,
    "two_lines": two_lines,
    "single_line": single_line,
    "up_and_down": up_and_down,
    "self_locking": self_locking,
    "safety_line_travels": safety_line_travels,
    "examined_six_months": examined_six_months,
    "examined_by_scheme": examined_by_scheme,
    "lifting_things_twelve_months": lifting_things_twelve_months,
    "workers_assessed": workers_assessed,
    "others_assessed": others_assessed,
    "recorded": recorded,
    "capability": competent,
}
