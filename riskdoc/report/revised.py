"""Earlier revisions: how each stands, why the next one came, and what moved since."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import many, say
from riskdoc.judgement.assess import assess
from riskdoc.quantities.intervals import TooManyRangesError
from riskdoc.report.blocks import Block, Cell, Para
from riskdoc.report.sidebyside import check_table, differs, figure_table, key_rows
from riskdoc.report.tables import columns, table

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.job.reading import JobFile
    from riskdoc.mitigation.compare import Comparison
    from riskdoc.report.facts import Facts
    from riskdoc.signing.document_status import State
    from riskdoc.signing.entries import Record
    from riskdoc.signing.sign_off_state import Before


def revised(facts: Facts) -> Iterator[Block]:
    """The history of revisions, the latest first, and what moved since the last one."""
    job, before = facts.job.job, facts.standing.before
    if not before:
        yield Para(_first(facts))
        return
    now = (
        Cell(job.revision),
        Cell(job.issued.isoformat() if job.issued else say("not demonstrated")),
        Cell(known_of(facts.standing.state, facts.standing.record)),
        Cell(before[0].reason),
    )
    yield table(
        say("Revisions, the latest first"),
        columns("Revision | 12", "Issued | 14", "State | 26", "Why it came | 48"),
        [
            now,
            *(
                _row(each, earlier)
                for each, earlier in zip(before, (*before[1:], None), strict=True)
            ),
        ],
        note=say(
            "The state of an earlier revision is that of its own sign-offs and days. Entries that "
            "its record has later, or that were cut off its end before, do not show here."
        ),
        css="",
    )
    yield from _moved(facts, before[0].file)


def known_of(state: State | None, record: Record) -> str:
    """The last that is known of a record when the document is made: state, entries, last hash."""
    if state is None:
        return say("not demonstrated")
    if not record.entries:
        return say("{state}; no entries", state=say(state.value))
    return many(
        "{state}; {count} entry, with the hash {hash}",
        "{state}; {count} entries, the last with the hash {hash}",
        len(record.entries),
        state=say(state.value),
        hash=record.last,
    )


def _first(facts: Facts) -> str:
    """What is said where the job names no earlier revision."""
    job = facts.job.job
    known = {each.revision for each in facts.standing.record.entries} - {job.revision}
    if known:
        return say(
            "The sign-offs beside this job file are also of the revisions {revisions}. The job "
            "does not say which job file it replaces, so nothing can be said of what moved.",
            revisions=", ".join(sorted(known)),
        )
    return say("No earlier revision is stated.")


def _row(before: Before, earlier: Before | None) -> Sequence[Cell]:
    job = before.file.job.job
    known = known_of(before.state, before.record)
    reason = earlier.reason if earlier else say("first revision stated")
    return (
        Cell(job.revision),
        Cell(job.issued.isoformat() if job.issued else say("not demonstrated")),
        Cell(known, before.trouble),
        Cell(reason, say("job file {name}", name=before.file.name)),
    )


def _moved(facts: Facts, file: JobFile) -> Iterator[Block]:
    """What moved since a revision: figures and verdicts side by side."""
    found = _compared(facts, file)
    names = {"before": file.job.job.revision, "after": facts.job.job.revision}
    if found is None:
        yield Para(
            say(
                "Revision {before} cannot be computed by this version, so nothing is said of what "
                "moved.",
                before=names["before"],
            ),
            "missing",
        )
        return
    rows = [row for row in key_rows(found) if differs(found, row[0])]
    if rows:
        caption = say("Key figures that moved from revision {before} to {after}", **names)
        yield figure_table(caption, found.ways, rows)
    else:
        yield Para(say("No key figure moved from revision {before} to {after}.", **names))
    if found.differing:
        caption = say("Verdicts that moved from revision {before} to {after}", **names)
        yield check_table(caption, found, found.differing, list(names.values()))
    else:
        yield Para(say("No verdict moved from revision {before} to {after}.", **names))
    others = sum(differs(found, id) for id, _, _ in found.figures.index.tolist()) - len(rows)
    yield Para(
        many(
            "{count} further figure moved; riskdoc compare with both job files prints it.",
            "{count} further figures moved; riskdoc compare with both job files prints them.",
            others,
        ),
        "note",
    )


def _compared(facts: Facts, file: JobFile) -> Comparison | None:
    """An earlier revision beside this one; None where an equation does not hold for it."""
    from riskdoc.mitigation.compare import Way, compare  # noqa: PLC0415  (pandas is slow to load)

    try:
        earlier = assess(file)
    except (TooManyRangesError, ValueError):
        return None
    plans = (earlier, facts.assessment)
    return compare([Way(p.file.job.job.revision, p.file.job.job.title, p) for p in plans])
