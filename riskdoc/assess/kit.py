"""Ropes: mass, condition, age, and what they state against the minimum of their standard."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.assess.figures import figure
from riskdoc.assess.inputs import default, stated
from riskdoc.assess.judge import Pair, Question, judge, not_shown, rule
from riskdoc.assess.records import Check, Figure, Verdict
from riskdoc.assess.spread import Spread, combine, exact, product
from riskdoc.job.reading import JobFile
from riskdoc.tables.loader import find


def rope_figures(file: JobFile, rope: str) -> Iterator[Figure]:
    """Mass of a rope."""
    per_metre = stated(file, ("ropes", rope, "mass"), "w", f"mass per length of {rope}")
    length = stated(file, ("ropes", rope, "length"), "L", f"length of {rope}")
    yield figure(
        f"rope/{rope}/mass", f"Mass of {rope}", product(per_metre, length), "kg",
        "m = w L", "{w} · {L}", "definition", w=per_metre, L=length,
    )  # fmt: skip


def rope_checks(file: JobFile, rope: str) -> Iterator[Check]:
    """Condition, age, and stated strength and stretch against the standard."""
    yield _condition(file, rope)
    yield _age(file, rope)
    yield from _strength(file, rope)
    yield from _stretch(file, rope)


def _condition(file: JobFile, rope: str) -> Check:
    condition = file.job.ropes[rope].condition
    suspect = condition == "suspect"
    return rule(
        f"rope/{rope}/condition", f"rope/{rope}", "Condition of the rope",
        Verdict.INADEQUATE if suspect else Verdict.ADEQUATE,
        f"{rope} is stated to be {condition}"
        + ("; a suspect rope is not used." if suspect else "."),
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
