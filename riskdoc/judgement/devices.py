"""Devices on lines: what may hang on them, fall onto them and slip through them, and what they do.

Each is judged by what its maker names. Where the maker names nothing a row of the tables stands
in; where the job does not say, it is not demonstrated.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from riskdoc.analysis.course import above_of, below_of
from riskdoc.analysis.falls import Arrest, effective_ranging, slip_of
from riskdoc.analysis.heights import AT_LOWEST, AT_WORK, lowest_of
from riskdoc.analysis.inputs import Missing, from_table, stated
from riskdoc.analysis.load_mass import mass_of, weight_of
from riskdoc.analysis.margins import Pair, arrest_limit
from riskdoc.analysis.resolve import MOVING, RUNNING, Rig, RigLine
from riskdoc.analysis.strengths import share_of
from riskdoc.analysis.tension import static
from riskdoc.i18n.message import Text, filled, message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.judgement.judge import Question, does_not_apply, judge, not_demonstrated, rule
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.quantities.intervals import Interval, combine, exact, product, total


def device_checks(file: JobFile, line: RigLine, fall: Arrest) -> Iterator[Check]:
    """What hangs on each device, falls onto it and slips through it, and the rope below it."""
    for device in line.all_devices:
        yield _mass(file, line, device)
        yield _holds(file, line, device)
        if line.no_fall is None and device in line.line.devices:
            yield _fall(file, line, device, fall)
            yield _slip(file, line, device, fall)
    if line.no_fall is None:
        yield _tail(file, line, fall)


def _asked(line: RigLine, device: str, what: str) -> tuple[str, str]:
    return f"line/{line.id}/device/{device}/{what}", f"line/{line.id}"


# What hangs on a device.


def _hanging(line: RigLine, device: str) -> Iterator[tuple[str, Text]]:
    """The loads that come to hang on a device, with words for the rescue load."""
    if device in line.line.devices:
        yield line.line.load, ""
    if line.line.rescue is not None and device in line.rescue_devices:
        yield line.line.rescue.load, message("with the rescue load")


def _carried(file: JobFile, line: RigLine, device: str) -> Interval:
    """The share of the load on the device: all of it, unless one stands on each strand."""
    return share_of(file, line) if file.job.devices[device].each_strand else exact(1.0)


def _mass(file: JobFile, line: RigLine, device: str) -> Check:
    """The mass that hangs on a device against the one its maker names; else its strength."""
    part = file.job.devices[device]
    if part.mass_at_most is None and part.why_not("mass_at_most") is not None:
        return _without_mass(file, line, device)
    question = Question(
        *_asked(line, device, "mass"),
        title=message("Mass on {device}", device=device),
        demanded=mark("a mass of {amount}"),
        held=mark("A greatest mass by the maker of {amount}"),
        unit="kg",
        remedy=message("A device made for this mass, or less on it."),
    )
    key = ("devices", device, "mass_at_most")
    try:
        most = stated(file, key, "m most", message("greatest mass on {device}", device=device))
    except Missing as gap:
        return not_demonstrated(question, (gap.key,), None)
    share = _carried(file, line, device)
    pairs = [
        Pair(also, product(mass_of(file, load), share), most)
        for load, also in _hanging(line, device)
    ]
    return judge(question, pairs, exact(1.0), most)


def _ratio(line: RigLine, case: str) -> Interval:
    """How many times the static tension a device must hold whose maker names no mass."""
    if case == "rescue" or line.load.people > 1:
        return from_table("general", "device ratio rescue", "required")
    who = "person" if line.person else "load"
    return from_table("general", f"margin rated {who}", "required")


def _without_mass(file: JobFile, line: RigLine, device: str) -> Check:
    """The strength of a device of which the maker names no mass, in place of the mass."""
    question = Question(
        *_asked(line, device, "mass"),
        title=message("Strength of {device}, whose maker names no mass", device=device),
        demanded=mark("a required strength, the ratio times the static tension, of {amount}"),
        held=mark("A strength of {amount}"),
        unit="N",
        remedy=message("A stronger device or one whose maker names the mass, or less on it."),
    )
    tensions = {
        case: profile
        for case, profile in static(file, line).items()
        if device in (line.rescue_devices if case == "rescue" else line.line.devices)
    }
    ratios = {case: _ratio(line, case) for case in tensions}
    rows = combine(lambda *each: each[0], *ratios.values())
    key = ("devices", device, "strength")
    try:
        strength = stated(file, key, "S", message("strength of {name}", name=device))
    except Missing as gap:
        return not_demonstrated(question, (gap.key,), exact(1.0), rows)
    share = _carried(file, line, device)
    pairs = [
        Pair(
            filled("({case})", case=message(case)), product(tension, share, ratios[case]), strength
        )
        for case, profile in tensions.items()
        for tension in profile.values()
    ]
    return judge(question, pairs, exact(1.0), rows)


def _holds(file: JobFile, line: RigLine, device: str) -> Check:
    """The strength of a device against what hangs on it and what it may have to arrest.

    Where the maker names a mass, that is judged apart, and the ratio is that of a rescue whoever
    hangs there: it finds the device that cannot be made for such a mass.
    """
    question = Question(
        *_asked(line, device, "strength"),
        title=message("Strength of {device}", device=device),
        demanded=mark("a required strength, the ratio times the force, of {amount}"),
        held=mark("A strength of {amount}"),
        unit="N",
        remedy=message("A stronger device, or less load on it."),
    )
    part = file.job.devices[device]
    why, named = part.why_not("strength"), part.mass_at_most is not None
    if why is not None and named:
        return does_not_apply(question.id, question.subject, question.title, why)
    demands = _demands(file, line, device, named=named)
    rows = combine(lambda *each: each[0], *(ratio for _, _, ratio in demands))
    try:
        key = ("devices", device, "strength")
        strength = stated(file, key, "S", message("strength of {name}", name=device))
    except Missing as gap:
        return not_demonstrated(question, (gap.key,), exact(1.0), rows)
    share = _carried(file, line, device)
    pairs = [
        Pair(filled("({words})", words=words), product(force, share, ratio), strength)
        for words, force, ratio in demands
    ]
    return judge(question, pairs, exact(1.0), rows)


def _demands(
    file: JobFile, line: RigLine, device: str, *, named: bool
) -> list[tuple[Text, Interval, Interval]]:
    """What pulls on a device, in words, as a force, and with the ratio asked of its strength.

    In an arrest it is the limit on the body, or the slip force where that is less.
    """
    least = from_table("general", "device ratio rescue", "required")
    cases = [("rescue" if also else "hold", load) for load, also in _hanging(line, device)]
    found: list[tuple[Text, Interval, Interval]] = [
        (message(case), weight_of(file, load), least if named else _ratio(line, case))
        for case, load in cases
    ]
    if line.no_fall is None and device in line.line.devices:
        twice = from_table("general", "margin arrest", "required")
        found.append((message("fall"), arrest_limit(file, line), twice))
    return found


# What falls onto a device and slips through it.


def _limit(file: JobFile, device: str, key: str, row: str, words: Text) -> Interval:
    """What the maker names; the row where the maker names nothing; else raises `Missing`."""
    part = file.job.devices[device]
    if getattr(part, key) is None and part.why_not(key) is not None:
        return from_table("general", row, "most")
    return stated(file, ("devices", device, key), "most", words)


def _fall(file: JobFile, line: RigLine, device: str, fall: Arrest) -> Check:
    """The free fall of the line against the greatest one its device is made for."""
    question = Question(
        *_asked(line, device, "fall"),
        title=message("Free fall onto {device}", device=device),
        demanded=mark("a free fall of {amount}"),
        held=mark("A greatest free fall onto the device of {amount}"),
        unit="m",
        remedy=message("Less slack, or a device made for more."),
    )
    words = message("greatest free fall onto {device}", device=device)
    gaps = [] if line.line.fall is not None else [*fall.missing]
    try:
        most = _limit(file, device, "fall_at_most", "device fall", words)
    except Missing as gap:
        return not_demonstrated(question, (*gaps, gap.key), None)
    if gaps:
        return not_demonstrated(question, tuple(gaps), exact(1.0), most)
    free = stated(file, ("lines", line.id, "fall", "free"), "h", message("free fall"))
    if most.range.high == 0:
        return _no_fall_allowed(question, free, device)
    return judge(question, [Pair("", free, most)], exact(1.0), most)


def _no_fall_allowed(question: Question, free: Interval, device: str) -> Check:
    """A device whose maker allows no free fall at all: no ratio can be had."""
    good = free.range.high == 0
    return rule(
        question.id,
        question.subject,
        question.title,
        Verdict.ADEQUATE if good else Verdict.INADEQUATE,
        message("Onto {device} no free fall is allowed, and none is stated.", device=device)
        if good
        else message("Onto {device} no free fall is allowed, and one is stated.", device=device),
        "" if good else question.remedy,
        message("stated in the job"),
    )


def _slip(file: JobFile, line: RigLine, device: str, fall: Arrest) -> Check:
    """How far a device slips in the fall against the greatest slip it is made for."""
    part = file.job.devices[device]
    question = Question(
        *_asked(line, device, "slip"),
        title=message("Slip of {device}", device=device),
        demanded=mark("a slip of {amount}"),
        held=mark("A greatest slip of {amount}"),
        unit="m",
        remedy=message("Less slack or less load, or a device that slips at a greater force."),
        figures=(f"line/{line.id}/fall/slip",),
    )
    why = part.why_not("slip")
    if part.slip is None and why is not None:
        return does_not_apply(question.id, question.subject, question.title, why)
    gaps = list(fall.missing)
    if part.slip is None:
        gaps.append(f"devices.{device}.slip")
    words = message("greatest slip of {device}", device=device)
    try:
        most = _limit(file, device, "slip_at_most", "device slip", words)
    except Missing as gap:
        return not_demonstrated(question, (*gaps, gap.key), None)
    force = slip_of(file, line, device)
    if gaps or fall.soft is None or fall.effective is None or force is None:
        return not_demonstrated(question, tuple(gaps), exact(1.0), most)
    slipped = replace(fall.soft, slip=force).slipped(fall.effective)
    found = judge(question, [Pair("", slipped or exact(0.0), most)], exact(1.0), most)
    if found.verdict is Verdict.ADEQUATE or part.slip_at_most is not None:
        return found
    # So much slip is for the maker to allow, and not for a row of ours.
    return not_demonstrated(question, (f"devices.{device}.slip_at_most",), exact(1.0), most)


# The rope below the device.


def _tail(file: JobFile, line: RigLine, fall: Arrest) -> Check:
    """Whether the rope below the device is long enough for it to slip, knots and tail counted."""
    question = Question(
        id=f"line/{line.id}/tail",
        subject=f"line/{line.id}",
        title=message("Rope below the device for it to slip"),
        demanded=mark("rope to the device, its slip and a tail of {amount}"),
        held=mark("A rope of {amount}"),
        unit="m",
        remedy=message("A longer rope, less slack, or a lowest place of work higher up."),
        figures=(f"line/{line.id}/fall/slip",),
    )
    tail = from_table("work", "tail", "tail")
    gaps = [*fall.missing, *fall.slip_missing]
    if not fall.slip_missing and all(
        file.job.devices[name].slip is None for name in line.line.devices
    ):
        stated_why = line.line.why_not("devices")
        why = stated_why or message("no device on it slips")
        return does_not_apply(question.id, question.subject, question.title, why)
    try:
        lowest = lowest_of(file, line)
    except Missing as gap:
        gaps.append(gap.key)
        lowest = below_of(file, line)
    if gaps or fall.soft is None:
        return not_demonstrated(question, tuple(gaps), exact(1.0), tail)
    length = stated(file, ("ropes", line.line.rope, "length"), "L", message("length of the rope"))
    strands = exact(float(line.line.strands))
    pairs = []
    for words, below in ((AT_WORK, below_of(file, line)), (AT_LOWEST, lowest)):
        slipped = fall.soft.slipped(effective_ranging(file, line, below)) or exact(0.0)
        needed = product(total(below, slipped, tail, *above_of(file, line)), strands)
        pairs.append(Pair(message(words), needed, length))
    return judge(question, pairs, exact(1.0), tail)


# What a device does by itself.


@dataclass(frozen=True, slots=True)
class _Act:
    """What a device of a line must do by itself, and what is said of it."""

    does: str
    why: str
    no: str
    yes: str


LOCKS = _Act(
    "self-locks",
    mark("a person descends or ascends on {line}"),
    mark("No device on {line} is stated to lock by itself, and {why}."),
    mark("{line}: {devices}, of which one is stated to lock by itself."),
)
TRAVELS = _Act(
    "travels",
    mark("a person moves beside {line}, which is not paid out from above"),
    mark("No device on {line} is stated to travel along, and {why}."),
    mark("{line}: {devices}, of which one is stated to travel along."),
)


def acting_checks(rig: Rig) -> Iterator[Check]:
    """Devices on every line, and one that does by itself what the line needs."""
    for lines in rig.by_load.values():
        moves = any(case in MOVING for line in lines for case in line.line.cases)
        for line in lines:
            yield _devices(rig.file, line, _needed(line, moves), _belay(rig.file, lines))


def _needed(line: RigLine, moves: bool) -> _Act | None:
    """What a device on the line must do by itself; `moves` says whether its load moves at all."""
    if not line.person:
        return None
    if line.line.role == "working":
        return LOCKS if {"descend", "ascend"} & set(line.line.cases) else None
    return TRAVELS if moves and not set(RUNNING) & set(line.line.cases) else None


def _belay(file: JobFile, lines: Sequence[RigLine]) -> str | None:
    """The safety line that stands in for a descender which does not lock, in a canyon.

    It is paid out from above through a device that locks by itself. Elsewhere a descender locks by
    itself, belay or not: common practice.
    """
    if file.job.work is None or file.job.work.method != "canyon":
        return None
    for line in lines:
        paid_out = line.line.role == "safety" and "lower" in line.line.cases
        locks = any(LOCKS.does in (file.job.devices[name].acts or ()) for name in line.line.devices)
        if paid_out and locks:
            return line.id
    return None


def _devices(file: JobFile, line: RigLine, need: _Act | None, belay: str | None) -> Check:
    question = Question(
        f"line/{line.id}/devices",
        f"line/{line.id}",
        message("Devices on the line"),
        "",
        "",
        "1",
        "",
    )
    why = line.line.why_not("devices")
    if not line.line.devices and why is None:
        return not_demonstrated(question, (f"lines.{line.id}.devices",), None)
    if need is None and why is not None:
        return does_not_apply(question.id, question.subject, question.title, why)
    acts = {name: file.job.devices[name].acts for name in line.line.devices}
    having = [name for name, does in acts.items() if need and does and need.does in does]
    unknown = tuple(f"devices.{name}.acts" for name, does in acts.items() if does is None)
    if need is not None and not having and unknown:
        return not_demonstrated(question, unknown, None)
    names = ", ".join(line.line.devices)
    if need is None or having:
        text = need.yes if need is not None else mark("{line}: {devices}.")
        reason = message(text, line=line.id, devices=names)
        return _ruled(question, Verdict.ADEQUATE, reason, "")
    if need is LOCKS and belay is not None:
        reason = message(
            "{line}: {devices}, stated not to lock by itself; in a canyon line ‘{belay}’ stands in "
            "for that, which is paid out from above through a device that does.",
            line=line.id,
            devices=names,
            belay=belay,
        )
        return _ruled(question, Verdict.ADEQUATE, reason, "")
    reason = message(need.no, line=line.id, why=message(need.why, line=line.id))
    remedy = message("A device on {line} that does it, for the rope that is there.", line=line.id)
    return _ruled(question, Verdict.INADEQUATE, reason, remedy)


def _ruled(question: Question, verdict: Verdict, reason: Text, remedy: Text) -> Check:
    source = message("common practice; what a device does is stated in the job")
    return rule(question.id, question.subject, question.title, verdict, reason, remedy, source)
