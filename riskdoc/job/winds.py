"""A crew stop in the job's own words against the wind limit: no crew works on above the limit.

`work.stop_work` is free text. Where it speaks of wind and names a speed, that speed is read and
compared with `sites.*.wind.stop_at`. What cannot be compared is passed over: a gust is always
above the mean, so gusts in the text say nothing against a limit of the mean.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from riskdoc.job.draft import UNSOUND
from riskdoc.job.faults import Code, shown
from riskdoc.job.model import Job, Wind
from riskdoc.job.model_findings import Found
from riskdoc.quantities.units import to_si
from riskdoc.tables.loader import cell, find

Kind = Literal["mean", "gust", ""]

_WIND = re.compile(r"wind(?!ow|ing|lass)|gust|gale|storm|squall|breeze|bö|sturm|beaufort|bft")
_CLAUSES = re.compile(r",\s|[;()]|\b(?:or|and|oder|und)\b")
_GUST = re.compile(r"gust|squall|bö")
_MEAN = re.compile(r"mean|average|steady|sustained|constant|mittel|mittler|min(?:ute)?s? mean")
_UNITS = {
    "m/s": r"m/s|mps|m\s?s-1|met(?:re|er)s? per second|meter pro sekunde",
    "km/h": r"km/h|km/hr|kmh|kph|kilomet(?:re|er)s? (?:per|an) hour",
    "mph": r"mph|mi/h|miles? (?:per|an) hour",
    "knot": r"knots?|knoten|kts?|kn",
}
"""Spellings of the units in prose, by the unit of the job file they mean."""
_SPEED = re.compile(
    r"(?<![\d.,])(\d+(?:[.,]\d+)?)\s*(?:"
    + "|".join(f"(?P<u{n}>{words})" for n, words in enumerate(_UNITS.values()))
    + r")(?![a-z0-9/])"
)
_FORCE = re.compile(
    r"(?:beaufort|bft\.?|force|windstärke)\s*(\d{1,2})(?!\d)|(?<!\d)(\d{1,2})\s*(?:beaufort|bft)"
)
_OVER = re.compile(
    r"(?:above|over|more than|exceed\w*|beyond|greater than|stronger than|über|mehr als|stärker als"
    r"|>)\W*(?:\w+\W+){0,2}$"
)


@dataclass(frozen=True, slots=True)
class Named:
    """A wind speed a text names [m/s]: as written, its unit, mean or gust where that is said.

    `least` is the least speed that is rounded to it in its own unit.
    """

    speed: float
    least: float
    unit: str
    kind: Kind
    written: str


def stops_in_time(job: Job) -> Iterator[Found]:
    """A crew stop names no wind above the limit of a site it is meant for."""
    if job.work is None:
        return
    for n, text in enumerate(job.work.stop_work):
        for named in speeds(text):
            site = _exceeded(job, text, named)
            if site is not None:
                wind = job.sites[site].wind
                limit = wind.stop_at.written if wind is not None else ""
                yield Found(
                    Code.STOP_ABOVE_LIMIT,
                    ("work", "stop_work", n),
                    f"the crew stops at {named.written}, and the wind limit of {shown(site)} is "
                    f"{limit}",
                    "Write the limit, or name the id of the site that the text is for.",
                )
                break


def kept_to_limits(job: Job) -> tuple[str, ...]:
    """The crew stops of a job with the limit of the site in place of each speed above it."""
    texts = job.work.stop_work if job.work is not None else ()
    return tuple(_kept(job, text) for text in texts)


def _kept(job: Job, text: str) -> str:
    kept = text
    for named in speeds(text):
        site = _exceeded(job, text, named)
        wind = job.sites[site].wind if site is not None else None
        if wind is not None:
            limit = wind.stop_at.written.replace("\\", "")  # no group of the pattern is meant
            kept = re.sub(re.escape(named.written), limit, kept, flags=re.IGNORECASE)
    return kept


def _exceeded(job: Job, text: str, named: Named) -> str | None:
    """The first site whose limit lies below a speed, of those the text is for."""
    sites = {id: each for id, each in job.sites.items() if each is not UNSOUND}
    meant = [id for id in sites if _names(text, id)] or list(sites)
    for id in meant:
        wind = sites[id].wind
        if wind is not None and _above(named, wind):
            return id
    return None


def _names(text: str, id: str) -> bool:
    plain = re.escape(id).replace("_", "[ _]")
    return re.search(rf"(?<![a-z0-9_]){plain}(?![a-z0-9_])", text.casefold()) is not None


def _above(named: Named, wind: Wind) -> bool:
    if named.kind == "gust" and wind.measured_as == "mean":
        return False
    same = wind.stop_at.written.strip().endswith(named.unit)
    # A limit of 10 m/s may stand in a text as 22 mph, rounded; in its own unit it is exact.
    return (named.speed if same else named.least) > wind.stop_at.high * (1 + 1e-9)


def speeds(text: str) -> tuple[Named, ...]:
    """The wind speeds that a text names.

    >>> [(each.written, round(each.speed, 2)) for each in speeds("gusts above 22 mph or Bft 6")]
    [('22 mph', 9.83), ('bft 6', 10.8)]
    """
    if not _WIND.search(text.casefold()):
        return ()
    found: list[Named] = []
    # A capital N makes a kilonewton; everything else is read in small letters.
    for clause in _CLAUSES.split(text.replace("kN", "kilonewton").casefold()):
        kind: Kind = "gust" if _GUST.search(clause) else "mean" if _MEAN.search(clause) else ""
        found += [_speed(match, kind) for match in _SPEED.finditer(clause)]
        found += [_force(match, clause) for match in _FORCE.finditer(clause)]
    return tuple(found)


def _speed(match: re.Match[str], kind: Kind) -> Named:
    number = match[1].replace(",", ".")
    unit = next(u for n, u in enumerate(_UNITS) if match[f"u{n}"] is not None)
    half = 0.5 * 10.0 ** -len(number.partition(".")[2])
    return Named(
        to_si(float(number), unit), to_si(float(number) - half, unit), unit, kind, match[0].strip()
    )


def _force(match: re.Match[str], clause: str) -> Named:
    """A Beaufort number: the wind at which it begins, or the next one after a word like above."""
    number = int(match[1] or match[2])
    if _OVER.search(clause[: match.start()]) and find("beaufort", str(number + 1), "from"):
        number += 1
    found = find("beaufort", str(number), "from") or cell("beaufort", "12", "from")
    return Named(found.expected, found.expected, "beaufort", "mean", match[0].strip())
