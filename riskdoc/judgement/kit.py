"""Ropes and devices: fit, pairs, chemicals, condition, inspection, and their standards."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.analysis.inputs import from_table, sourced, stated
from riskdoc.analysis.margins import Pair
from riskdoc.analysis.resolve import RigLine
from riskdoc.i18n.message import joined, message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.judgement.judge import JUDGED, Question, does_not_apply, judge, not_demonstrated, rule
from riskdoc.judgement.rope_age import age_check
from riskdoc.judgement.rope_length import length_check
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.quantities.intervals import Interval, combine, exact
from riskdoc.tables.loader import cell, find


def line_kit_checks(file: JobFile, line: RigLine) -> Iterator[Check]:
    """Device fit, rope length against the drop, and chemicals against the fibres, of one line."""
    for device in line.all_devices:
        yield from _fit(file, line, device)
    yield from _paired(line)
    yield length_check(file, line)
    yield _chemicals(line)


def _fit(file: JobFile, line: RigLine, device: str) -> Iterator[Check]:
    part, d = file.job.devices[device], line.rope.diameter
    id, subject, title = (
        f"line/{line.id}/device/{device}",
        f"line/{line.id}",
        message("Device {device} on the rope", device=device),
    )
    if part.diameter_from is None or part.diameter_to is None or not part.standards:
        keys = ("diameter_from", "diameter_to", "standards")
        gaps = tuple(f"devices.{device}.{key}" for key in keys if not getattr(part, key))
        question = Question(id, subject, title, "", "", "1", "")
        yield not_demonstrated(question, gaps, None)
        return
    wide = part.diameter_from.low <= d.low and d.high <= part.diameter_to.high
    kind = line.rope.standard in part.standards
    yield rule(
        id,
        subject,
        title,
        Verdict.ADEQUATE if wide and kind else Verdict.INADEQUATE,
        message(
            "{device} takes {diameter_from} to {diameter_to} of {standards}; {rope} is {d}, "
            "{standard}.",
            device=device,
            diameter_from=part.diameter_from.written,
            diameter_to=part.diameter_to.written,
            standards=joined(map(message, part.standards)),
            rope=line.line.rope,
            d=d.written,
            standard=message(line.rope.standard),
        ),
        ""
        if wide and kind
        else message("A device made for this rope, or a rope made for this device."),
        message("the range stated in the job; the maker's instructions decide it"),
    )


def _paired(line: RigLine) -> Iterator[Check]:
    """Half and twin ropes are made to be used two at a time."""
    if (
        line.person
        and line.line.strands == 1
        and line.rope.standard in ("EN 892 half", "EN 892 twin")
    ):
        yield rule(
            f"line/{line.id}/paired",
            f"line/{line.id}",
            message("Rope made to be used in pairs"),
            Verdict.INADEQUATE,
            message(
                "{rope} is an {standard} rope on a single strand under a person; it is made to be "
                "used two at a time.",
                rope=line.line.rope,
                standard=message(line.rope.standard),
            ),
            message("A second strand, or a rope made for single use."),
            message("EN 892 (from memory)"),
        )


ATTACKED = {
    ("acid", "polyamide"): mark("acids attack polyamide fast"),
    ("alkali", "polyester"): mark("strong alkalis attack polyester"),
    ("acid", "aramid"): mark("strong acids attack aramid"),
    ("alkali", "aramid"): mark("strong alkalis attack aramid"),
    ("bleach", "polyamide"): mark("bleach attacks polyamide"),
    ("bleach", "aramid"): mark("bleach attacks aramid"),
    ("solvent", "polypropylene"): mark("some solvents swell polypropylene"),
}
"""What attacks what. Handbook of Fibre Rope Technology, from memory; acids and polyamide, alkalis
and polyester as a national safety centre's text on synthetic slings has them."""


def _chemicals(line: RigLine) -> Check:
    """What the ropes of a line can come into contact with, against the fibres of its rope."""
    id, subject = f"line/{line.id}/chemicals", f"line/{line.id}"
    title, key = message("Chemicals and the rope"), f"sites.{line.site_id}.chemicals"
    listed, why = line.site.chemicals, line.site.why_not("chemicals")
    if why is not None:
        return does_not_apply(id, subject, title, why)
    if not listed:
        return not_demonstrated(Question(id, subject, title, "", "", "1", ""), (key,), None)
    parts = ((mark("sheath"), line.rope.sheath), (mark("core"), line.rope.core))
    attacks = [
        message(
            "The {part} of rope ‘{rope}’ is {fibre}: {why}, and the damage may not show.",
            part=message(part),
            rope=line.line.rope,
            fibre=message(fibre),
            why=message(ATTACKED[chemical, fibre]),
        )
        for chemical in listed
        for part, fibre in parts
        if (chemical, fibre) in ATTACKED
    ]
    stated = message("Stated: {listed}.", listed=joined(map(message, listed)))
    none = message("{stated} None attacks the fibres of the rope.", stated=stated)
    return rule(
        id,
        subject,
        title,
        Verdict.INADEQUATE if attacks else Verdict.ADEQUATE,
        joined(attacks, " ") or none,
        message("A rope of another fibre, or no contact.") if attacks else "",
        message("Handbook of Fibre Rope Technology (from memory)"),
    )


def rope_checks(file: JobFile, rope: str) -> Iterator[Check]:
    """Condition, age, and stated strength and stretch against the standard."""
    yield _condition(file, rope)
    yield age_check(file, rope)
    yield _inspected(file, rope)
    yield from _strength(file, rope)
    yield from _stretch(file, rope)


CONDITIONS = {
    "worn": mark(
        "{rope} is stated to be worn; its strength is counted down for it in the margins."
    ),
    "suspect": mark("{rope} is stated to be suspect; a suspect rope is not used."),
}
"""What a stated condition means for the job."""


def _condition(file: JobFile, rope: str) -> Check:
    condition = file.job.ropes[rope].condition
    suspect = condition == "suspect"
    return rule(
        f"rope/{rope}/condition",
        f"rope/{rope}",
        message("Condition of the rope"),
        Verdict.INADEQUATE if suspect else Verdict.ADEQUATE,
        message(CONDITIONS[condition], rope=rope)
        if condition in CONDITIONS
        else message(
            "{rope} is stated to be {condition}.", rope=rope, condition=message(condition)
        ),
        message("Another rope, or a thorough inspection by a competent person.") if suspect else "",
        message(JUDGED),
    )


def _inspected(file: JobFile, rope: str) -> Check:
    """Days from the last thorough inspection to the end of the job, against the interval."""
    interval = cell("general", "inspection interval")
    id, subject, title = (
        f"rope/{rope}/inspection",
        f"rope/{rope}",
        message("Inspection of the rope"),
    )
    day, end = file.job.ropes[rope].inspected, file.job.job.valid.end
    if day is None:
        question = Question(id, subject, title, "", "", "1", "")
        return not_demonstrated(question, (f"ropes.{rope}.inspected",), None)
    good = (end - day).days <= interval.expected
    return rule(
        id,
        subject,
        title,
        Verdict.ADEQUATE if good else Verdict.INADEQUATE,
        message(
            "{rope} was inspected {day}; the job ends {end}, {days} days later, {interval:g} "
            "allowed.",
            rope=rope,
            day=day.isoformat(),
            end=end.isoformat(),
            days=(end - day).days,
            interval=interval.expected,
        ),
        "" if good else message("A thorough inspection by a competent person."),
        sourced(interval),
    )


def _least_strength(file: JobFile, rope: str) -> Interval | None:
    standard = file.job.ropes[rope].standard
    if find("standards", standard, "strength"):
        return from_table("standards", standard, "S least", "strength")
    if find("standards", standard, "strength_by_diameter"):
        each = from_table("standards", standard, "S / d²", "strength_by_diameter")
        diameter = stated(
            file, ("ropes", rope, "diameter"), "d", message("diameter of {rope}", rope=rope)
        )
        return combine(lambda c, d: c * d * d, each, diameter)
    return None


def _strength(file: JobFile, rope: str) -> Iterator[Check]:
    least, standard = _least_strength(file, rope), file.job.ropes[rope].standard
    if least is None:
        return
    question = Question(
        id=f"rope/{rope}/standard/strength",
        subject=f"rope/{rope}",
        title=message("Stated strength against {standard}", standard=message(standard)),
        demanded=mark("the standard's least of {amount}"),
        held=mark("A stated strength of {amount}"),
        unit="N",
        remedy=message("Look at the marking of the rope: it may not be of this standard."),
    )
    if file.job.ropes[rope].strength is None:
        yield not_demonstrated(question, (f"ropes.{rope}.strength",), exact(1.0), least)
        return
    strength = stated(
        file, ("ropes", rope, "strength"), "S", message("strength of {rope}", rope=rope)
    )
    yield judge(question, [Pair("", least, strength)], exact(1.0), least)


def _stretch(file: JobFile, rope: str) -> Iterator[Check]:
    standard = file.job.ropes[rope].standard
    if find("standards", standard, "stretch") is None:
        return
    most = from_table("standards", standard, "e most", "stretch")
    question = Question(
        id=f"rope/{rope}/standard/stretch",
        subject=f"rope/{rope}",
        title=message("Stated stretch against {standard}", standard=message(standard)),
        demanded=mark("a stated stretch of {amount}"),
        held=mark("The standard's most of {amount}"),
        unit="1",
        remedy=message("Look at the marking of the rope: it may not be of this standard."),
    )
    if file.job.ropes[rope].stretch is None:
        yield not_demonstrated(question, (f"ropes.{rope}.stretch",), exact(1.0), most)
        return
    stretch = stated(file, ("ropes", rope, "stretch"), "e", message("stretch of {rope}", rope=rope))
    yield judge(question, [Pair("", stretch, most)], exact(1.0), most)
