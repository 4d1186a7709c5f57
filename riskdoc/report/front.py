"""Page 1: the status, what is not met, what to change, on what conditions, who signed.

It alone answers the permit issuer, so it is kept to one page: long texts end in an ellipsis here
and stand in full behind, and what does not fit is counted.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import many, say
from riskdoc.job.alike import named
from riskdoc.report import signed
from riskdoc.report.blocks import Block, Cell, Items, Para
from riskdoc.report.decision import ALL_MET
from riskdoc.report.number_format import NOT_DEMONSTRATED
from riskdoc.report.tables import columns, table, text_cell, verdict_cell
from riskdoc.report.text import fitted
from riskdoc.report.weakest import ratio_cells, weakest_points
from riskdoc.requirements.changes import answer_words, package_words, step_words
from riskdoc.requirements.outcome import open_items, question_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.hazards.rated import Listed
    from riskdoc.job.model import JobInfo
    from riskdoc.judgement.verdicts import Check
    from riskdoc.mitigation.combinations import Step
    from riskdoc.mitigation.limits import Limit
    from riskdoc.report.facts import Facts
    from riskdoc.signing.document_status import DocumentStatus

ROOM = {"A4": 6, "Letter": 4}
"""Checks that are not met and changes of the package, together, that page 1 has room for."""
LEAST = 3
"""Changes of the package that stand there at least, where it has so many."""
SIGNED = 2
"""Entries fewer where somebody has signed: names and times take the room of so many."""
LINES, EXCEPTIONS, EXTREME = 3, 3, 2
"""Entries of each other part that it has room for; of hazards, lines of text."""
LIMITS = {True: 6, False: 4}
"""Limits that it has room for where all checks are met, and where not."""
TEXT_SIZE = 8.5
NAME_ROOM, STEP_ROOM, WRITE_ROOM, PAGE_ROOM = 175.0, 235.0, 245.0, 490.0
"""Widths of columns, and of a line across the page, in points."""


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
        (say("Days stated"), valid_days(job)),
        (say("Permits"), ", ".join(job.permits) or say("none stated")),
        (say("Requirement set"), facts.assessment.requirement_set),
        (say("Digest"), facts.short_digest),
        (say("Verdict, state"), status_words(facts.standing.status)),
    )


def status_words(status: DocumentStatus) -> str:
    """The verdict and the state of a document, a word each."""
    return f"{say(status.verdict.value)}, {say(status.state.value)}"


def _marked(info: JobInfo) -> str:
    """Number and revision; letters that can be taken for Latin ones are named."""
    marked = f"{info.number}, {info.revision}"
    scripts = named(marked)
    if not scripts:
        return marked
    return say("{marked} ({scripts} letters)", marked=marked, scripts=scripts)


def valid_days(info: JobInfo) -> str:
    """The first and the last day that the job states."""
    first, last = info.valid.start.isoformat(), info.valid.end.isoformat()
    return say("{first} to {last}", first=first, last=last)


def front(facts: Facts) -> tuple[Block, ...]:
    """The blocks of page 1, below the title block and the sentence of the status."""
    notes = tuple(signed.notes(facts))
    return (
        *_unmet(facts),
        *_not_met(facts),
        *_package(facts),
        *_exceptions(facts),
        *(() if facts.assessment.failed_checks else weakest_points(facts, LINES)),
        *_extreme(facts),
        # What is not to be used has no limits to work to, and the reason takes their room.
        *(notes or _limits(facts)),
        signed.coded(facts),
        signed.signatures(facts),
        Para(
            say(
                "{until} Work on ropes can kill: the permit issuer and the supervisor decide on "
                "the day; local codes, makers' instructions and licensed practice come first. "
                "This is not a permit.",
                until=signed.until_when(facts, valid_days(facts.job.job)),
            ),
            "note beside",
        ),
    )


def _unmet(facts: Facts) -> Iterator[Block]:
    unmet = facts.assessment.failed_checks
    if not unmet:
        yield Para(say(ALL_MET), "stops")
        return
    room = _room(facts) - min(len(facts.study.package.steps), _least(facts))
    yield table(
        say("Checks that are not met"),
        columns(
            "Check | 36",
            "Verdict | 17",
            "Worst case | 11 | number",
            "Required | 10 | number",
            "What to do | 26",
        ),
        [_unmet_row(facts, each) for each in unmet[:room]],
        note=_more(len(unmet) - room),
        css="stack front",
    )


def _room(facts: Facts) -> int:
    return ROOM[facts.job.report.paper] - (SIGNED if facts.standing.count else 0)


def _least(facts: Facts) -> int:
    """One check that is not met always has room too."""
    return min(LEAST, _room(facts) - 1)


def _more(count: int) -> str:
    if count <= 0:
        return ""
    return many(
        "{count} more check that is not met stands in section 1.",
        "{count} more checks that are not met stand in section 1.",
        count,
    )


def _unmet_row(facts: Facts, check: Check) -> Sequence[Cell]:
    return (
        Cell(
            fitted(str(check.title), 1, NAME_ROOM, TEXT_SIZE),
            fitted(check.subject, 1, NAME_ROOM, 8.0),
        ),
        verdict_cell(check.verdict),
        *ratio_cells(check),
        text_cell(fitted(answer_words(facts.study.package, check), 2, 120.0, TEXT_SIZE)),
    )


def _not_met(facts: Facts) -> Iterator[Block]:
    """Items of the set that are open, by clause, and how many questions wait for a person."""
    judged, outcome = facts.dossier.judged, facts.dossier.outcome
    if not judged.applicable:
        yield Para(fitted(judged.sentence, 2, PAGE_ROOM, 9.0), "finding")
    items = open_items(judged)
    said = list(question_words(outcome))
    if items:
        clauses = "; ".join(dict.fromkeys(judged.set.said(each.item.clause) for each in items))
        said.append(
            many(
                "{count} requirement item is not met or not demonstrated: {clauses}",
                "{count} requirement items are not met or not demonstrated: {clauses}",
                len(items),
                clauses=clauses,
            )
        )
    if said:
        yield Para(fitted(". ".join(said) + ".", 2, PAGE_ROOM, 9.0), "finding")


def _package(facts: Facts) -> Iterator[Block]:
    """The package of changes: what to do, and the keys and values to write."""
    found = facts.study.package
    if not facts.assessment.failed_checks:
        return
    unmet = min(len(facts.assessment.failed_checks), _room(facts) - _least(facts))
    room = _room(facts) - unmet
    said = list(package_words(facts.dossier))
    more = len(found.steps) - room
    if more > 0:
        said.insert(
            0,
            many(
                "{count} more change stands in section 1.",
                "{count} more changes stand in section 1.",
                more,
            ),
        )
    note = fitted(" ".join(said), 2, PAGE_ROOM, 8.0)
    if not found.steps:
        yield Para(note)
        return
    yield table(
        say("Package of changes, applied together and assessed whole"),
        columns("Change | 50", "Write in the job file | 50"),
        [_step_row(n, step) for n, step in enumerate(found.steps[:room], start=1)],
        note=note,
        css="stack front",
    )


def _step_row(n: int, step: Step) -> Sequence[Cell]:
    written = "; ".join(str(each.short) for each in step.writes)
    return (
        Cell(fitted(f"{n}. {step_words(step)}", 2, STEP_ROOM, TEXT_SIZE)),
        Cell(fitted(written, 2, WRITE_ROOM, TEXT_SIZE)),
    )


def _exceptions(facts: Facts) -> Iterator[Block]:
    """Accepted exceptions with their conditions, in the words of who accepts them."""
    found = [each for each in facts.assessment.checks if each.accepted is not None]
    if not found:
        return
    yield Para(say("Accepted exceptions, at the planned values and on these conditions:"), "lead")
    said = [fitted(exception(each), 4, PAGE_ROOM - 20, 9.0) for each in found[:EXCEPTIONS]]
    more = len(found) - EXCEPTIONS
    if more > 0:
        said.append(
            many(
                "{count} more accepted exception stands in appendix D",
                "{count} more accepted exceptions stand in appendix D",
                more,
            )
        )
    yield Items(tuple(said), "tight exceptions")


def exception(check: Check) -> str:
    """A borderline check that a named person accepts: until when, and on what conditions."""
    it = check.accepted
    assert it is not None  # noqa: S101  (only those come here)
    return say(
        "{title} ({subject}), borderline, accepted by {by} until {until}: {conditions}.",
        title=check.title,
        subject=check.subject,
        by=it.by,
        until=it.until.isoformat(),
        conditions=signed.conditions_words(it),
    )


def _extreme(facts: Facts) -> Iterator[Block]:
    """The hazards that stay in the worst band after control, by title, the pressing ones first."""
    register = facts.dossier.register
    found = sorted(register.extreme, key=_pressing)
    if register.matrix is None or not found:
        return
    text = many(
        "{count} hazard stays {band} after control (section 8): {listed}.",
        "{count} hazards stay {band} after control (section 8): {listed}.",
        len(found),
        band=say(register.matrix.bands[-1]),
        listed="; ".join(each.title for each in found),
    )
    yield Para(fitted(text, EXTREME, PAGE_ROOM, 9.0), "finding")


def _pressing(hazard: Listed) -> tuple[bool, bool]:
    """Those with a check that is not met come first, then those that the job speaks of."""
    return (not hazard.stops, not hazard.place)


def _limits(facts: Facts) -> Iterator[Block]:
    """What the plan itself states is the crew's limit; section 1 says how far checks are met."""
    limits = facts.study.limits
    if not limits:
        return
    yield Para(say("Limits of the crew, as planned; beyond them work stops:"), "lead")
    room = LIMITS[not facts.assessment.failed_checks]
    entries = [fitted(planned(each), 1, 470.0, 9.0) for each in limits[:room]]
    more = len(limits) - room
    if more > 0:
        entries.append(
            many(
                "{count} more limit stands in section 1",
                "{count} more limits stand in section 1",
                more,
            )
        )
    yield Items(tuple(entries), "tight limits")


def planned(limit: Limit) -> str:
    """A quantity at the plan's own value; what is computed gives no leave beyond it."""
    return f"{limit.title}: {limit.planned}"
