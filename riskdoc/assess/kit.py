"""Ropes: mass, condition, age, and what they state against the minimum of their standard."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.assess.figures import figure
from riskdoc.assess.inputs import counted, default, stated
from riskdoc.assess.judge import Pair, Question, judge, not_shown, rule
from riskdoc.assess.records import Check, Figure, Verdict
from riskdoc.assess.rig import Rig, RigLine
from riskdoc.assess.spread import Spread, combine, exact, product, total
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.kit import packed_volume
from riskdoc.tables.loader import cell, find


def rope_figures(file: JobFile, rope: str) -> Iterator[Figure]:
    """Mass of a rope."""
    per_metre = stated(file, ("ropes", rope, "mass"), "w", f"mass per length of {rope}")
    length = stated(file, ("ropes", rope, "length"), "L", f"length of {rope}")
    yield figure(
        f"rope/{rope}/mass", f"Mass of {rope}", _mass(file, rope), "kg",
        "m = w L", "{w} · {L}", "definition", w=per_metre, L=length,
    )  # fmt: skip

    diameter = stated(file, ("ropes", rope, "diameter"), "d", f"diameter of {rope}")
    fill = default("work", "packing", "fill")
    yield figure(
        f"rope/{rope}/packed_volume", f"Packed volume of {rope}",
        _packed(file, rope), "m^3", "V = π d²/4 · L / fill",
        "π/4 · {d}² · {L} / {f}", "geometry; fill as listed", d=diameter, L=length, f=fill,
    )  # fmt: skip


def kit_figures(file: JobFile, rig: Rig) -> Iterator[Figure]:
    """Mass of everything on the lines and packed volume of the ropes, each piece once."""
    ropes = dict.fromkeys(line.line.rope for line in rig.lines)
    devices = dict.fromkeys(name for line in rig.lines for name in line.line.devices)
    unknown = [name for name in devices if file.job.devices[name].mass is None]
    masses = [
        stated(file, ("devices", name, "mass"), "m", f"mass of {name}").on_axis("kit")
        for name in devices
        if name not in unknown
    ]
    left = f"; at least, for {', '.join(unknown)} states no mass" if unknown else ""
    yield figure(
        "kit/mass", f"Mass of the ropes and devices on the lines{left}",
        total(*(_mass(file, rope) for rope in ropes), *masses), "kg", "m = Σ w L + Σ m devices",
        "pieces as listed, each once", "definition",
    )  # fmt: skip
    yield figure(
        "kit/packed_volume", "Packed volume of the ropes on the lines",
        total(*(_packed(file, rope) for rope in ropes)), "m^3", "V = Σ π d²/4 · L / fill",
        "ropes as listed, each once", "geometry; fill as listed",
    )  # fmt: skip


def _of_rope(file: JobFile, rope: str, key: str, symbol: str) -> Spread:
    """A measure of a rope, on one axis with all others.

    Mass and volume rise with each of them, so nothing is lost by their going to their ends
    together, and any number of ropes can be added up.
    """
    words = {"mass": "mass per length", "length": "length", "diameter": "diameter"}
    return stated(file, ("ropes", rope, key), symbol, f"{words[key]} of {rope}").on_axis("kit")


def _mass(file: JobFile, rope: str) -> Spread:
    return product(_of_rope(file, rope, "mass", "w"), _of_rope(file, rope, "length", "L"))


def _packed(file: JobFile, rope: str) -> Spread:
    diameter, length = _of_rope(file, rope, "diameter", "d"), _of_rope(file, rope, "length", "L")
    return combine(packed_volume, diameter, length, default("work", "packing", "fill"))


def line_kit_checks(file: JobFile, line: RigLine) -> Iterator[Check]:
    """Device fit, rope length against the drop, and chemicals against the fibres, of one line."""
    for device in line.line.devices:
        yield from _fit(file, line, device)
    yield from _paired(line)
    yield _reaches(file, line)
    yield from _chemicals(file, line)


def _fit(file: JobFile, line: RigLine, device: str) -> Iterator[Check]:
    part, d = file.job.devices[device], line.rope.diameter
    id, subject, title = (
        f"line/{line.id}/device/{device}",
        f"line/{line.id}",
        f"Device {device} on the rope",
    )
    if part.diameter_from is None or part.diameter_to is None or not part.standards:
        keys = ("diameter_from", "diameter_to", "standards")
        gaps = tuple(f"devices.{device}.{key}" for key in keys if not getattr(part, key))
        question = Question(id, subject, title, "", "", "1", "")
        yield not_shown(question, gaps, None)
        return
    wide = part.diameter_from.low <= d.low and d.high <= part.diameter_to.high
    kind = line.rope.standard in part.standards
    yield rule(
        id, subject, title, Verdict.ADEQUATE if wide and kind else Verdict.INADEQUATE,
        f"{device} takes {part.diameter_from.written} to {part.diameter_to.written} of "
        f"{', '.join(part.standards)}; {line.line.rope} is {d.written}, {line.rope.standard}.",
        "" if wide and kind else "A device made for this rope, or a rope made for this device.",
        "the range stated in the job; the maker's instructions decide it",
    )  # fmt: skip


def _paired(line: RigLine) -> Iterator[Check]:
    """Half and twin ropes are made to be used two at a time."""
    if (
        line.person
        and line.line.strands == 1
        and line.rope.standard in ("EN 892 half", "EN 892 twin")
    ):
        yield rule(
            f"line/{line.id}/paired", f"line/{line.id}", "Rope made to be used in pairs",
            Verdict.INADEQUATE,
            f"{line.line.rope} is an {line.rope.standard} rope on a single strand under a person; "
            "it is made to be used two at a time.",
            "A second strand, or a rope made for single use.",
            "EN 892 (from memory)",
        )  # fmt: skip


def _reaches(file: JobFile, line: RigLine) -> Check:
    """Rope against the drop plan: the edge, the whole drop and a tail; or a stopper in its end."""
    question = Question(
        id=f"line/{line.id}/rope_length", subject=f"line/{line.id}",
        title="Rope long enough for the drop", demanded="a way to the ground, tail included, of",
        held="A rope of", unit="m",
        remedy="A longer rope, or a stopper tied in its end and a way off stated.",
    )  # fmt: skip
    drop = stated(file, ("sites", line.site_id, "drop"), "H", "drop")
    afters = [
        stated(file, ("lines", line.id, "over", e.position, "after"), "a", f"rope before {e.id}")
        for e in line.edges
    ]
    strands = counted(file, ("lines", line.id, "strands"), line.line.strands, "k", "strands")
    tail = default("work", "tail", "tail")
    needed = product(total(drop, tail, *afters), strands)
    length = stated(file, ("ropes", line.line.rope, "length"), "L", "length of the rope")
    check = judge(question, [Pair("", needed, length)], exact(1.0), tail)
    if check.verdict is Verdict.ADEQUATE or line.line.stopper:
        return rule(
            question.id, question.subject, question.title, Verdict.ADEQUATE,
            check.reason if check.verdict is Verdict.ADEQUATE
            else "The rope does not reach the ground; a stopper is stated in its end.",
            "", check.source,
        )  # fmt: skip
    return check


ATTACKED = {
    ("acid", "polyamide"): "acids attack polyamide fast",
    ("alkali", "polyester"): "strong alkalis attack polyester",
    ("acid", "aramid"): "strong acids attack aramid",
    ("alkali", "aramid"): "strong alkalis attack aramid",
    ("bleach", "polyamide"): "bleach attacks polyamide",
    ("bleach", "aramid"): "bleach attacks aramid",
    ("solvent", "polypropylene"): "some solvents swell polypropylene",
}
"""What attacks what. Handbook of Fibre Rope Technology, from memory; acids and polyamide, alkalis
and polyester as a national safety centre's text on synthetic slings has them."""


def _chemicals(file: JobFile, line: RigLine) -> Iterator[Check]:
    for chemical in line.site.chemicals or ():
        for where, fibre in (("sheath", line.rope.sheath), ("core", line.rope.core)):
            why = ATTACKED.get((chemical, fibre))
            if why is None:
                continue
            yield rule(
                f"line/{line.id}/chemical/{chemical}/{where}", f"line/{line.id}",
                f"{chemical} and the {where}", Verdict.INADEQUATE,
                f"{line.line.rope} has a {where} of {fibre} and {line.site_id} states {chemical}: "
                f"{why}, and the damage may not show.",
                "A rope of another fibre, or no contact.",
                "Handbook of Fibre Rope Technology (from memory)",
            )  # fmt: skip


def rope_checks(file: JobFile, rope: str) -> Iterator[Check]:
    """Condition, age, and stated strength and stretch against the standard."""
    yield _condition(file, rope)
    yield _age(file, rope)
    yield _inspected(file, rope)
    yield from _strength(file, rope)
    yield from _stretch(file, rope)


CONDITIONS = {
    "worn": "; its strength is counted down for it in the margins.",
    "suspect": "; a suspect rope is not used.",
}
"""What a stated condition means for the job."""


def _condition(file: JobFile, rope: str) -> Check:
    condition = file.job.ropes[rope].condition
    suspect = condition == "suspect"
    return rule(
        f"rope/{rope}/condition", f"rope/{rope}", "Condition of the rope",
        Verdict.INADEQUATE if suspect else Verdict.ADEQUATE,
        f"{rope} is stated to be {condition}"
        + CONDITIONS.get(condition, "."),
        "Another rope, or a thorough inspection by a competent person." if suspect else "",
        "rule of this requirement set (judgement)",
    )  # fmt: skip


def _age(file: JobFile, rope: str) -> Check:
    retire, end = file.job.ropes[rope].retire_by, file.job.job.valid.end
    good = (retire.year, retire.month) >= (end.year, end.month)
    return rule(
        f"rope/{rope}/age", f"rope/{rope}", "Age of the rope",
        Verdict.ADEQUATE if good else Verdict.INADEQUATE,
        f"{rope} is to be retired by {retire.year}-{retire.month:02}; the job ends "
        f"{end.isoformat()}.",
        "" if good else "Another rope.",
        "the date stated in the job; the maker's instructions decide it",
    )  # fmt: skip


def _inspected(file: JobFile, rope: str) -> Check:
    """Days from the last thorough inspection to the end of the job, against the interval."""
    interval = cell("general", "inspection interval")
    id, subject, title = f"rope/{rope}/inspection", f"rope/{rope}", "Inspection of the rope"
    day, end = file.job.ropes[rope].inspected, file.job.job.valid.end
    if day is None:
        question = Question(id, subject, title, "", "", "1", "")
        return not_shown(question, (f"ropes.{rope}.inspected",), None)
    good = (end - day).days <= interval.expected
    return rule(
        id, subject, title, Verdict.ADEQUATE if good else Verdict.INADEQUATE,
        f"{rope} was inspected {day.isoformat()}; the job ends {end.isoformat()}, "
        f"{(end - day).days} days later, {interval.expected:g} allowed.",
        "" if good else "A thorough inspection by a competent person.",
        f"{interval.source} ({interval.provenance})",
    )  # fmt: skip


def _least_strength(file: JobFile, rope: str) -> Spread | None:
    standard = file.job.ropes[rope].standard
    if find("standards", standard, "strength"):
        return default("standards", standard, "S least", "strength")
    if find("standards", standard, "strength_by_diameter"):
        each = default("standards", standard, "S / d²", "strength_by_diameter")
        diameter = stated(file, ("ropes", rope, "diameter"), "d", f"diameter of {rope}")
        return combine(lambda c, d: c * d * d, each, diameter)
    return None


def _strength(file: JobFile, rope: str) -> Iterator[Check]:
    least = _least_strength(file, rope)
    if least is None:
        return
    question = Question(
        id=f"rope/{rope}/standard/strength",
        subject=f"rope/{rope}",
        title=f"Stated strength against {file.job.ropes[rope].standard}",
        demanded="the standard's least of",
        held="A stated strength of",
        unit="N",
        remedy="Look at the marking of the rope: it may not be of this standard.",
    )
    if file.job.ropes[rope].strength is None:
        yield not_shown(question, (f"ropes.{rope}.strength",), exact(1.0), least)
        return
    strength = stated(file, ("ropes", rope, "strength"), "S", f"strength of {rope}")
    yield judge(question, [Pair("", least, strength)], exact(1.0), least)


def _stretch(file: JobFile, rope: str) -> Iterator[Check]:
    standard = file.job.ropes[rope].standard
    if file.job.ropes[rope].stretch is None or find("standards", standard, "stretch") is None:
        return
    most = default("standards", standard, "e most", "stretch")
    question = Question(
        id=f"rope/{rope}/standard/stretch",
        subject=f"rope/{rope}",
        title=f"Stated stretch against {standard}",
        demanded="a stated stretch of",
        held="The standard's most of",
        unit="1",
        remedy="Look at the marking of the rope: it may not be of this standard.",
    )
    stretch = stated(file, ("ropes", rope, "stretch"), "e", f"stretch of {rope}")
    yield judge(question, [Pair("", stretch, most)], exact(1.0), most)
