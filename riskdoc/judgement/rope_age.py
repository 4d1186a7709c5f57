"""Age of a rope: months since it was made and first used, against the maker's life.

A month on the label counts from its first day, since the day is not known. Where the maker names
no life, limits of the requirement set stand in; a date to retire by only ever shortens a life.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from riskdoc.analysis.inputs import sourced
from riskdoc.i18n.message import Text, joined, message
from riskdoc.job.model import Life, Rope
from riskdoc.job.reading import JobFile
from riskdoc.judgement.judge import Question, not_demonstrated, rule, worst
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.tables.loader import cell


@dataclass(frozen=True, slots=True)
class _Found:
    """What one limit says of a rope: a verdict with its reason, or the key that is missing."""

    verdict: Verdict
    reason: Text
    missing: str = ""


def age_check(file: JobFile, rope: str) -> Check:
    """The age of a rope on the last day of the job."""
    part, end = file.job.ropes[rope], file.job.job.valid.end
    found = [_retire_by(part, end), *_life(rope, part, end)]
    question = Question(
        f"rope/{rope}/age", f"rope/{rope}", message("Age of the rope"), "", "", "1", ""
    )
    verdict = worst([each.verdict for each in found])
    if verdict is Verdict.NOT_DEMONSTRATED:
        return not_demonstrated(
            question, tuple(each.missing for each in found if each.missing), None
        )
    return rule(
        question.id,
        question.subject,
        question.title,
        verdict,
        joined((each.reason for each in found), " "),
        "" if verdict is Verdict.ADEQUATE else message("Another rope."),
        message("the maker's life as stated in the job; without one {limits}", limits=_limits()),
    )


def _limits() -> Text:
    return sourced(cell("general", "rope age good"))


def years_after(day: date, years: int) -> date:
    """The same day so many years later, the last of February for a day that year has not.

    >>> years_after(date(2017, 5, 1), 10), years_after(date(2024, 2, 29), 1)
    (datetime.date(2027, 5, 1), datetime.date(2025, 2, 28))
    """
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return day.replace(year=day.year + years, day=28)


def _retire_by(part: Rope, end: date) -> _Found:
    """The month after which the rope is not used, as the job states it."""
    retire = part.retire_by
    good = (retire.year, retire.month) >= (end.year, end.month)
    reason = message(
        "To be retired by {retire}; the job ends {end}.",
        retire=f"{retire:%Y-%m}",
        end=end.isoformat(),
    )
    return _Found(Verdict.ADEQUATE if good else Verdict.INADEQUATE, reason)


def _life(rope: str, part: Rope, end: date) -> list[_Found]:
    """The rope's age against the maker's life, or against the requirement set without one."""
    if part.life is None:
        if part.why_not("life") is None:
            return [_Found(Verdict.NOT_DEMONSTRATED, "", f"ropes.{rope}.life")]
        return [_without_life(part, end)]
    return [*_since_made(rope, part, part.life, end), *_since_use(rope, part, part.life, end)]


def _without_life(part: Rope, end: date) -> _Found:
    good, most = (int(cell("general", f"rope age {row}").expected) for row in ("good", "most"))
    verdict = Verdict.ADEQUATE
    if end > years_after(part.made, good):
        verdict = Verdict.BORDERLINE
    if end > years_after(part.made, most):
        verdict = Verdict.INADEQUATE
    reason = message(
        "Made {made}, and no life of the maker is stated: adequate to {good} years, inadequate "
        "beyond {most}.",
        made=f"{part.made:%Y-%m}",
        good=good,
        most=most,
    )
    return _Found(verdict, reason)


def _since_made(rope: str, part: Rope, life: Life, end: date) -> list[_Found]:
    if life.from_made is not None:
        reason = message(
            "Made {made}; the maker's life is {years} years from then.",
            made=f"{part.made:%Y-%m}",
            years=life.from_made,
        )
        return [_Found(_within(part.made, life.from_made, end), reason)]
    if life.why_not("from_made") is None:
        return [_Found(Verdict.NOT_DEMONSTRATED, "", f"ropes.{rope}.life.from_made")]
    # A life from first use alone lets a rope lie in store for ever.
    return [_without_life(part, end)]


def _since_use(rope: str, part: Rope, life: Life, end: date) -> list[_Found]:
    if life.from_first_use is None:
        if life.why_not("from_first_use") is None:
            return [_Found(Verdict.NOT_DEMONSTRATED, "", f"ropes.{rope}.life.from_first_use")]
        return []
    unused = part.why_not("first_used")
    if part.first_used is None and unused is None:
        return [_Found(Verdict.NOT_DEMONSTRATED, "", f"ropes.{rope}.first_used")]
    if part.first_used is None:
        reason = message(
            "No first use to count from, as stated: {why}.", why=str(unused).rstrip(".")
        )
        return [_Found(Verdict.ADEQUATE, reason)]
    reason = message(
        "First used {used}; the maker's life is {years} years from then.",
        used=f"{part.first_used:%Y-%m}",
        years=life.from_first_use,
    )
    return [_Found(_within(part.first_used, life.from_first_use, end), reason)]


def _within(start: date, years: int, end: date) -> Verdict:
    return Verdict.ADEQUATE if end <= years_after(start, years) else Verdict.INADEQUATE
