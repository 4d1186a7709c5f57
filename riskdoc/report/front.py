"""Page 1: may the job start, what stops it, which line is weakest, what holds the crew, who signed.

It alone answers the permit issuer, so it is kept to one page: long texts end in an ellipsis here
and stand in full behind, and what does not fit is counted.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.job.alike import named
from riskdoc.language.say import many, say
from riskdoc.language.units import number, unit_of
from riskdoc.report import controls, signed
from riskdoc.report.blocks import Block, Cell, Items, Para
from riskdoc.report.decision import NO_STOP, NO_STOP_SIGNED
from riskdoc.report.tables import columns, table, text_cell, verdict_cell
from riskdoc.report.text import fitted
from riskdoc.report.units import NOT_DEMONSTRATED

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.assess.records import Check
    from riskdoc.controls.limits import Limit
    from riskdoc.job.model import JobInfo
    from riskdoc.report.facts import Facts

STOPS = {"A4": 5, "Letter": 3}
LINES, LIMITS = 3, 6
"""Entries of each part that page 1 has room for."""
TEXT_SIZE = 8.5
NAME_ROOM, CLEAR_ROOM = 155.0, 225.0
"""Widths of the columns of the stops, in points."""


def title_block(facts: Facts) -> tuple[tuple[str, str], ...]:
    """Pairs of word and value; the eight fields that ISO 7200:2004 asks of every title block.

    Owner, number, date of issue, sheet, title, approver, author and kind (from memory); the title
    and the kind stand above the pairs, the sheet is put in by the template.
    """
    job = facts.job.job
    where = (job.location.place, job.location.grid, job.location.access)
    author, approver = (
        facts.job.people[id].name if id else "" for id in (job.author, job.approver)
    )
    return (
        (say("Number, revision"), _marked(job)),
        (say("Owner of the document"), job.owner or say(NOT_DEMONSTRATED)),
        (say("Issued"), job.issued.isoformat() if job.issued else say(NOT_DEMONSTRATED)),
        (say("Author"), author or say(NOT_DEMONSTRATED)),
        (say("To be approved by"), approver or say(NOT_DEMONSTRATED)),
        (say("Client"), job.client),
        (say("Place"), "; ".join(each for each in where if each)),
        (say("Valid"), valid_days(job)),
        (say("Permits"), ", ".join(job.permits) or say("none stated")),
        (say("Requirement set"), facts.assessment.requirement_set),
        (say("Digest"), facts.short_digest),
    )


def _marked(info: JobInfo) -> str:
    """Number and revision; letters that can be taken for Latin ones are named."""
    marked = f"{info.number}, {info.revision}"
    scripts = named(marked)
    if not scripts:
        return marked
    return say("{marked} ({scripts} letters)", marked=marked, scripts=scripts)


def valid_days(info: JobInfo) -> str:
    """From which to which day the assessment may be used."""
    first, last = info.valid.start.isoformat(), info.valid.end.isoformat()
    return say("{first} to {last}", first=first, last=last)


def front(facts: Facts) -> tuple[Block, ...]:
    """The blocks of page 1, below the title block and the sentence of the verdict."""
    notes = tuple(signed.notes(facts))
    return (
        *_stops(facts),
        *_not_met(facts),
        *_weakest(facts),
        # What is not to be used has no limits to work to, and the reason takes their room.
        *(notes or _limits(facts)),
        signed.coded(facts),
        signed.signatures(facts),
        Para(
            say(
                "{until} Work on ropes can kill: a competent person decides on the day; local "
                "codes, makers' instructions and licensed practice come first. This assessment is "
                "no permit.",
                until=signed.until_when(facts, valid_days(facts.job.job)),
            ),
            "note beside",
        ),
    )


def _stops(facts: Facts) -> Iterator[Block]:
    stops = facts.assessment.stops
    if not stops:
        yield Para(say(NO_STOP_SIGNED if facts.standing.usable else NO_STOP), "stops")
        return
    room = STOPS[facts.job.report.paper]
    yield table(
        say("What stops this job"),
        columns("Check | 32", "Verdict | 16", "Least change that clears it, computed | 52"),
        [_stop_row(facts, each) for each in stops[:room]],
        note=_more(len(stops) - room),
        css="stack front",
    )


def _more(count: int) -> str:
    if count <= 0:
        return ""
    return many(
        "{count} more stop stands in section 1.", "{count} more stops stand in section 1.", count
    )


def _stop_row(facts: Facts, check: Check) -> Sequence[Cell]:
    name = fitted(check.title, 2, NAME_ROOM, TEXT_SIZE)
    cleared = controls.clearing(facts.study, check)
    return (
        Cell(name, fitted(check.subject, 1, NAME_ROOM, 8.0)),
        verdict_cell(check.verdict),
        text_cell(fitted(cleared.text, 2, CLEAR_ROOM, TEXT_SIZE)),
    )


def _not_met(facts: Facts) -> Iterator[Block]:
    judged = facts.dossier.judged
    items = judged.not_met
    if not items:
        return
    clauses = "; ".join(dict.fromkeys(judged.set.said(each.item.clause) for each in items))
    text = many(
        "{count} item of the requirement set is not met: {clauses}",
        "{count} items of the requirement set are not met: {clauses}",
        len(items),
        clauses=clauses,
    )
    yield Para(fitted(text, 2, 490.0, 9.0), "finding")


def _weakest(facts: Facts) -> Iterator[Block]:
    """The check that stands most against each line, the weakest line first."""
    found = [(line, weakest(facts, line)) for line in facts.job.lines]
    judged = [(line, check) for line, check in found if check is not None]
    judged.sort(key=lambda each: each[1].against, reverse=True)
    if not judged:
        return
    rows = [_weak_row(line, check) for line, check in judged[:LINES]]
    yield table(
        say("Weakest point of each line, the weakest line first"),
        columns(
            "Line | 22",
            "Check | 34",
            "Ratio at worst | 15 | number",
            "Required | 13 | number",
            "Verdict | 16",
        ),
        rows,
        note=_more_lines(len(judged) - LINES),
        css="stack front",
    )


def _more_lines(count: int) -> str:
    if count <= 0:
        return ""
    return many(
        "{count} line more, none weaker than these.",
        "{count} lines more, none weaker than these.",
        count,
    )


def weakest(facts: Facts, line: str) -> Check | None:
    """The check that stands most against a line, its anchor's among them."""
    starts = (f"line/{line}/", f"anchor/{facts.job.lines[line].anchor}/")
    found = [each for id, each in facts.checks.items() if id.startswith(starts)]
    return max(found, key=lambda check: check.against, default=None)


def _weak_row(line: str, check: Check) -> Sequence[Cell]:
    ratio = number(check.ratio.low, unit_of("1"), "down") if check.ratio else "–"
    required = number(check.required, unit_of("1"), "up") if check.required is not None else "–"
    return (
        Cell(fitted(line, 1, 105.0, TEXT_SIZE)),
        Cell(fitted(check.title, 1, 160.0, TEXT_SIZE)),
        Cell(ratio),
        Cell(required),
        verdict_cell(check.verdict),
    )


def _limits(facts: Facts) -> Iterator[Block]:
    """What the plan itself states is the crew's limit; section 1 says how far checks hold."""
    limits = facts.study.limits
    if not limits:
        return
    yield Para(say("The crew may not go beyond, and stops when it must:"), "lead")
    entries = [fitted(_limit(each), 1, 470.0, 9.0) for each in limits[:LIMITS]]
    more = len(limits) - LIMITS
    if more > 0:
        entries.append(
            many(
                "{count} more limit stands in section 1",
                "{count} more limits stand in section 1",
                more,
            )
        )
    yield Items(tuple(entries), "tight limits")


def _limit(limit: Limit) -> str:
    if limit.kept:
        return say("{title}: {planned}", title=limit.title, planned=limit.planned)
    return say(
        "{title}: {planned} (DOES NOT HOLD AS PLANNED)",
        title=limit.title,
        planned=limit.planned,
    )
