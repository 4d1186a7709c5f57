"""What a job says of the places of its lines: wind, the zone below, what is near.

What is stated is judged where there is something to judge it by; what is ruled out stands with its
reason; what is left out is not demonstrated. The check has the same id in all three cases.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from riskdoc.analysis.inputs import from_table, sourced, stated
from riskdoc.analysis.resolve import Rig, RigLine
from riskdoc.analysis.wind_and_swing import beaufort_from, beaufort_words, mean_wind
from riskdoc.i18n.message import Text, joined, message
from riskdoc.i18n.say import mark
from riskdoc.job.model import Site
from riskdoc.job.reading import JobFile
from riskdoc.judgement.judge import Question, does_not_apply, graded, not_demonstrated, rule
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.quantities.intervals import Interval, combine, exact
from riskdoc.quantities.printing import Amount
from riskdoc.tables.loader import cell


def site_checks(file: JobFile, rig: Rig) -> Iterator[Check]:
    """The checks of every site that a line hangs at."""
    for name in dict.fromkeys(line.site_id for line in rig.lines):
        site = file.job.sites[name]
        yield _wind(file, name, site)
        yield _zone(file, name, site)
        yield _near(name, site)


def wet_check(line: RigLine) -> Check:
    """Whether the job says that the rope can get wet; it counts as wet meanwhile."""
    id, subject, title = f"line/{line.id}/wet", f"line/{line.id}", message("Wet or dry stated")
    if line.line.wet is None and line.site.wet is None:
        question = Question(id, subject, title, "", "", "1", "")
        found = not_demonstrated(question, (f"sites.{line.site_id}.wet",), None)
        reason = message("{reason} It is counted as wet meanwhile.", reason=found.reason)
        return replace(found, reason=reason)
    reason = (
        message("Line ‘{line}’ can get wet.", line=line.id)
        if line.wet
        else message("Line ‘{line}’ stays dry.", line=line.id)
    )
    return rule(id, subject, title, Verdict.ADEQUATE, reason, "", message("stated in the job"))


def _question(site: str, key: str, title: Text, remedy: Text = "", **texts: str) -> Question:
    return Question(
        id=f"site/{site}/{key}",
        subject=f"site/{site}",
        title=title,
        demanded=texts.get("demanded", ""),
        held=texts.get("held", ""),
        unit=texts.get("unit", "1"),
        remedy=remedy,
    )


def _unstated(site: str, part: Site, key: str, question: Question, limit: Interval | None) -> Check:
    """The check where the key has no value: ruled out with a reason, or left out."""
    why = part.why_not(key)
    if why is not None:
        return does_not_apply(question.id, question.subject, question.title, why)
    return not_demonstrated(question, (f"sites.{site}.{key}",), limit and exact(1.0), limit)


def _wind(file: JobFile, name: str, site: Site) -> Check:
    """The mean wind at which work stops, against the wind that work on rope stands."""
    most = from_table("general", "wind most", "v most")
    question = _question(
        name,
        "wind",
        message("Wind at which work stops"),
        message("Stop the work at less wind, or work in the lee."),
        demanded=mark("A mean wind of {amount}"),
        unit="m/s",
    )
    if site.wind is None:
        return _unstated(name, site, "wind", question, most)
    wind = mean_wind(file, name)
    check = graded(question, wind, from_table("general", "wind good", "v good"), most)
    worst = wind.range.expected if check.verdict is Verdict.INADEQUATE else wind.range.high
    reason = message(
        "{reason} The wind stated is {words}; Beaufort 5 begins at {five}, Beaufort 6 at {six}.",
        reason=check.reason,
        words=beaufort_words(worst),
        five=Amount(beaufort_from(5), "m/s", "down"),
        six=Amount(beaufort_from(6), "m/s", "down"),
    )
    remedy = check.remedy
    if site.wind.measured_as == "gust":
        reason = message("{reason} Gusts are measured: the mean is less by the gust factor.",
                     reason=reason)  # fmt: skip
        if remedy and site.wind.over is None:
            key = f"sites.{name}.wind.over"
            remedy = message("{remedy} Or state in {key} what the wind blows over.",
                         remedy=remedy, key=key)  # fmt: skip
    return replace(check, reason=reason, remedy=remedy)


def _zone(file: JobFile, name: str, site: Site) -> Check:
    """The zone that is kept clear below, against a share of the drop."""
    required = from_table("general", "zone share", "share")
    question = _question(name, "zone", message("Zone kept clear below"))
    if site.zone is None:
        return _unstated(name, site, "zone", question, required)
    drop = stated(file, ("sites", name, "drop"), "H", message("drop"))
    needed = combine(lambda h, s: h * s, drop, required).range.high
    good = site.zone.size.low >= needed
    return rule(
        question.id,
        question.subject,
        question.title,
        Verdict.ADEQUATE if good else Verdict.BORDERLINE,
        message(
            "{size} from the foot of a drop of {drop}, kept by: {kept_by}. At least {needed} "
            "required.",
            size=site.zone.size.written,
            drop=site.drop.written,
            kept_by=site.zone.kept_by,
            needed=Amount(needed, "m", "up"),
        ),
        "" if good else message("A wider zone; or have a named person accept it, with the reason."),
        sourced(cell("general", "zone share")),
    )


def _near(name: str, site: Site) -> Check:
    """Whether what is near is stated; an empty list says nothing."""
    question = _question(name, "near", message("What is near the work"))
    if not site.near:
        return _unstated(name, site, "near", question, None)
    return rule(
        question.id,
        question.subject,
        question.title,
        Verdict.ADEQUATE,
        message("Stated: {listed}.", listed=joined(map(message, site.near))),
        "",
        message("stated in the job; hazards and cautions are listed by it"),
    )
