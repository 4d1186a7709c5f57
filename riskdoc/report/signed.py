"""Who signed, on page 1 and in full: what each sign-off means, and what it shows."""

from __future__ import annotations

from typing import TYPE_CHECKING

import riskdoc
from riskdoc.i18n.say import many, mark, say
from riskdoc.report.blocks import Block, Cell, Coded, Items, Para, Section, Table
from riskdoc.report.qr import qr_code
from riskdoc.report.revised import known_of, revised
from riskdoc.report.tables import columns, table
from riskdoc.report.text import fitted
from riskdoc.signing.document_status import State
from riskdoc.signing.signing import own_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.judgement.verdicts import Acceptance
    from riskdoc.report.facts import Facts
    from riskdoc.signing.certificate_proof import Proof
    from riskdoc.signing.entries import Entry
    from riskdoc.signing.sign_off_state import Signed, SignOffState

UNSIGNED = mark("not signed")
TYPED = mark("recorded name, not a verified signature")
TEXT_SIZE = 8.5
QR_SIZE = 62.0
"""Width of the code on page 1 in points, 22 mm; judgement: a telephone reads it off paper."""


def coded(facts: Facts) -> Coded:
    """The QR code of page 1."""
    job = facts.job.job
    return Coded(qr_code(job.number, job.revision, facts.standing.content.digest, QR_SIZE))


def notes(facts: Facts) -> Iterator[Block]:
    """What page 1 says of a document that has ended, or whose sign-offs do not match."""
    it = facts.standing
    if it.ended is not None:
        yield Para(fitted(_ended(it.ended), 3, 490.0, 9.0), "finding")
    if it.state is State.MISMATCH:
        yield Para(fitted(_mismatch(it), 3, 490.0, 9.0), "finding")


def _ended(entry: Entry) -> str:
    parts = {"name": entry.name, "time": entry.clock, "reason": entry.meaning}
    if entry.act == "withdraw":
        return say("Withdrawn by {name}, {time}: {reason}", **parts)
    return say(
        "Superseded by {successor}; {name}, {time}: {reason}", successor=entry.successor, **parts
    )


def _mismatch(it: SignOffState) -> str:
    if not it.aside:
        return say(
            "Another job file with this number and revision was signed. Two contents cannot share "
            "number and revision."
        )
    entry, why = it.aside[0]
    text = say(
        "The entry of {name} as {role}, {time}, does not count: {why}",
        name=entry.name,
        role=entry.role,
        time=entry.clock,
        why=why,
    )
    more = len(it.aside) - 1
    if not more:
        return text
    return f"{text} " + many("{count} more does not.", "{count} more do not.", more)


def signatures(facts: Facts) -> Table:
    """The sign-off of page 1: every role, with room to sign on paper where nobody has."""
    return table(
        say("Sign-off"),
        columns("Role | 20", "Name | 24", "Signature or time | 26", "State | 30"),
        [_row(each) for each in facts.standing.signed],
        note=fitted(_said_of(facts.standing), 3, 490.0, TEXT_SIZE),
        css="stack signatures front",
    )


def _said_of(standing: SignOffState) -> str:
    return " ".join(filter(None, (standing.one_person, own_words(standing))))


def _row(signed: Signed) -> Sequence[Cell]:
    role = Cell(fitted(signed.role, 1, 80.0, TEXT_SIZE))
    entry = signed.entry
    if entry is None:
        return role, Cell(""), Cell(""), Cell(say(UNSIGNED), css="missing")
    state = fitted(_short(signed.proof), 2, 122.0, TEXT_SIZE)
    return role, Cell(fitted(entry.name, 1, 100.0, TEXT_SIZE)), Cell(entry.clock), Cell(state)


def _state(proof: Proof | None) -> str:
    """What a sign-off shows, whole."""
    return say(TYPED) if proof is None else proof.text


def _short(proof: Proof | None) -> str:
    """What a sign-off shows, in two short lines; appendix D has it whole."""
    if proof is None:
        return say(TYPED)
    if proof.trusted:
        return say("certificate, trusted here: {issuer}", issuer=proof.issuer)
    if proof.kind == "self-signed":
        return say("self-signed certificate: does not show who signed")
    if proof.kind == "issued":
        return say("certificate of an issuer not trusted here")
    return proof.text


def until_when(facts: Facts, days: str) -> str:
    """The sentence at the foot of page 1 on how long the document is valid, if it is."""
    status = facts.standing.status
    if status.state not in (State.DRAFT, State.ISSUED):
        return say("Not valid: {state}.", state=say(status.state.value))
    if not status.passes:
        return say("Not valid: {verdict}.", verdict=say(status.verdict.value))
    if status.state is State.DRAFT:
        return say("Valid {days}, once every role has signed, and no longer.", days=days)
    return say("Valid {days}, and no longer.", days=days)


def made(facts: Facts) -> Section:
    """Appendix D: sign-offs, revisions, digest, how the document was made. It reads no clock."""
    blocks: list[Block] = [*_entries(facts), *revised(facts), _made(facts)]
    return Section(
        "made", "D", say("Sign-off, revisions, digest, and how this was made"), tuple(blocks)
    )


def _entries(facts: Facts) -> Iterator[Block]:
    it = facts.standing
    yield Para(say("State of this document: {state}.", state=say(it.state.value)))
    counted = [each for each in it.signed if each.entry is not None]
    if not counted:
        yield Para(say("Nobody has signed this content."), "missing")
    else:
        yield table(
            say("Sign-offs of this content"),
            columns("Role and name | 22", "Time | 18", "What it means | 34", "What it shows | 26"),
            [_entry_row(each) for each in counted],
            note=say(
                "Each sign-off holds the digest of what was signed and the hash of the entry "
                "before. The last entry has the hash {hash}.",
                hash=it.record.last,
            ),
        )
    if it.alone:
        yield Para(it.one_person, "finding")
    yield from notes(facts)
    if len(it.aside) > 1:
        yield Para(say("Entries that do not count:"))
        yield Items(
            tuple(f"{each.role}, {each.name}, {each.clock}: {why}" for each, why in it.aside)
        )
    accepted = [each for each in facts.assessment.checks if each.accepted is not None]
    if accepted:
        yield table(
            say("Accepted exceptions, at the planned values"),
            columns(
                "Check | 26", "Accepted by | 14", "Until | 12", "Reason | 22", "Conditions | 26"
            ),
            [
                (
                    Cell(str(each.title), each.id),
                    Cell(each.accepted.by),
                    Cell(each.accepted.until.isoformat()),
                    Cell(each.accepted.reason),
                    Cell(conditions_words(each.accepted)),
                )
                for each in accepted
                if each.accepted is not None
            ],
        )


def conditions_words(accepted: Acceptance) -> str:
    """The conditions of an accepted exception, in the words of who accepts it."""
    said = "; ".join(each.rstrip(".") for each in accepted.conditions)
    return said or say("no condition stated")


def _entry_row(signed: Signed) -> Sequence[Cell]:
    entry = signed.entry
    assert entry is not None  # noqa: S101  (only those that count come here)
    return (
        Cell(signed.role, entry.name),
        Cell(entry.clock),
        Cell(entry.meaning),
        Cell(_state(signed.proof)),
    )


def _made(facts: Facts) -> Block:
    file, job = facts.assessment.file, facts.job.job
    rows = (
        (
            say("Document"),
            say("{number}, revision {revision}", number=job.number, revision=job.revision),
        ),
        (say("Digest of the content, SHA-256"), facts.standing.content.digest),
        (
            say("Record of sign-offs"),
            known_of(facts.standing.state, facts.standing.record),
        ),
        (say("Job file"), file.name),
        (say("Digest of the job file, SHA-256"), file.digest),
        (say("Assessed as of"), file.on.isoformat()),
        (say("Made by"), f"riskdoc {riskdoc.__version__}"),
        (say("Requirement set"), facts.assessment.requirement_set),
        *(
            (say("Picture {picture}", picture=each.id), f"sha256 {each.sha256}")
            for each in file.pictures.values()
        ),
    )
    heads = columns("Point | 30", "Value | 70")
    body = [(Cell(name), Cell(value)) for name, value in rows]
    note = say(
        "The content is the resolved job with its figures and verdicts, in the canonical form of "
        "RFC 8785; it travels with this document, and its SHA-256 is the digest. riskdoc verify "
        "computes all of it again. The same job file, sign-offs, day and version give the same "
        "document, byte for byte."
    )
    return table(say("Digest, and how this was made"), heads, body, note, css="")
