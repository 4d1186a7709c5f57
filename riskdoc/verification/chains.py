"""The records of sign-offs in a document against what it states of them.

A record whose end was cut off is whole by itself. The document states how many entries there were
when it was made, the hash of the last one, and what state they made; so a record that was cut off,
exchanged, added to or taken out is told apart. Whoever changes all of it alike is not found here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from riskdoc.job.alike import quoted
from riskdoc.requirements.dossier import brief_dossier
from riskdoc.signing.certificate_proof import Proof, proof_of
from riskdoc.signing.document_status import State
from riskdoc.signing.entries import NONE, Record, RecordError, record_from
from riskdoc.signing.entry_rules import terms_of
from riskdoc.signing.record_files import record_path
from riskdoc.signing.sign_off_state import Before, SignOffState, aside_of
from riskdoc.verification.answers import Answer, Point
from riskdoc.verification.stated import StatedBefore
from riskdoc.verification.taking import Taken

RECORD, EARLIER = "Record of sign-offs", "Earlier revisions"
MOST_EARLIER = 50
"""Most entries of the record of an earlier revision; judgement: each of 8 roles signs once, and one
entry ends it."""


def held_record(taken: Taken, job: str) -> Record:
    """The record of a job file among the files in a document; none where there is no record.

    Raises `RecordError` where it cannot be relied on.
    """
    name = record_path(Path(job)).name
    raw = taken.holding.files.get(name)
    return Record() if raw is None else record_from(raw, name)


def earlier_record(taken: Taken, job: str) -> Record:
    """The same for an earlier revision, as it was when the document was made: broken, or whole."""
    if any(each.file == job and each.state is None for each in taken.stated.before):
        raise RecordError("it could not be relied on when the document was made")
    return held_record(taken, job)


def own_record(taken: Taken) -> tuple[Record, Point]:
    """The record of the document itself, and whether it is the one that the document states."""
    stated = taken.stated
    was = f"When the document was made its state was: {stated.state}."
    try:
        found = held_record(taken, taken.file.name)
    except RecordError as error:
        made = f"The document was made with {_stated(stated.entries, stated.last)}."
        text = f"{str(error).removesuffix('.')}. {made} {was}"
        return Record(), Point(RECORD, Answer.BROKEN, text)
    trouble = _differs(found, stated.entries, stated.last)
    if trouble:
        return found, Point(RECORD, Answer.BROKEN, f"{trouble} {was}")
    if not found.entries:
        return found, Point(RECORD, Answer.HOLDS, "Nobody had signed, and the document says so.")
    text = f"The chain of {len(found.entries)} entries is whole."
    return found, Point(RECORD, Answer.HOLDS, text)


def _differs(found: Record, entries: int, last: str) -> str:
    """What became of a record that had so many entries and this last hash; empty for nothing."""
    if (len(found.entries), found.last) == (entries, last):
        return ""
    made = f"the document was made with {_stated(entries, last)}"
    if not found.entries:
        return f"The record is missing: {made}."
    hashes = [each.hash for each in found.entries]
    if last == NONE or (last in hashes and hashes.index(last) + 1 == entries):
        return f"To the record entries were added: it has {len(hashes)}, and {made}."
    if len(hashes) < entries:
        return f"The end of the record was cut off: it has {_entries(len(hashes))}, and {made}."
    return f"It is another record: it has {_entries(len(hashes))}, and {made}."


def _stated(entries: int, last: str) -> str:
    return f"{_entries(entries)}, the last with the hash {last}"


def _entries(count: int) -> str:
    return "1 entry" if count == 1 else f"{count} entries"


def earlier_revisions(
    taken: Taken, standing: SignOffState, roots: Sequence[bytes]
) -> Iterator[Point]:
    """Each earlier revision: its job file as it was signed, its record as the document states.

    Where somebody said whom to trust, every entry of that record has to be shown too.
    """
    signed = _signed(taken.plain.get("replaces"))
    for n, before in enumerate(standing.before):
        stated = taken.stated.before[n] if n < len(taken.stated.before) else None
        digest = signed[n] if n < len(signed) else None
        yield _earlier(before, stated, digest, roots)
    for missing in taken.stated.before[len(standing.before) :]:
        yield Point(EARLIER, Answer.BROKEN, f"Revision {missing.revision} is missing.")


def _signed(replaces: Any) -> list[str]:  # noqa: ANN401  (of the content, which is plain data)
    """The hashes of the job files of earlier revisions, as they were signed."""
    found: list[str] = []
    while isinstance(replaces, Mapping):
        found.append(str(replaces.get("sha256")))
        replaces = replaces.get("replaces")
    return found


def _earlier(
    before: Before, stated: StatedBefore | None, digest: str | None, roots: Sequence[bytes]
) -> Point:
    name, revision = before.file.name, before.file.job.job.revision
    if stated is None:
        text = f"Of revision {revision}, in {name}, the document states nothing."
        return Point(EARLIER, Answer.BROKEN, text)
    if before.file.digest != digest:
        text = f"The job file {name} of revision {revision} was changed after this one was signed."
        return Point(EARLIER, Answer.BROKEN, text)
    trouble = _differs(before.record, stated.entries, stated.last)
    if trouble and before.state is not None:
        text = f"Revision {revision}, in {name}: {trouble} Its state was: {stated.state}."
        return Point(EARLIER, Answer.BROKEN, text)
    state = before.state.value if before.state else None
    if state != stated.state:
        text = f"Revision {revision} is stated as {stated.state}, and by its record it is {state}."
        return Point(EARLIER, Answer.BROKEN, text)
    if before.state is None:
        text = f"The record of revision {revision} could not be relied on when this was made."
        return Point(EARLIER, Answer.NOT_DEMONSTRATED, text)
    return _looked_at(before, before.state, roots)


def earlier_of_job(standing: SignOffState, roots: Sequence[bytes]) -> Iterator[Point]:
    """Each earlier revision of a job file with its record, as they stand in its folder."""
    for before in standing.before:
        if before.state is None:
            text = f"Revision {before.file.job.job.revision}: {before.trouble}"
            yield Point(EARLIER, Answer.NOT_DEMONSTRATED, text)
        else:
            yield _looked_at(before, before.state, roots)


def _looked_at(before: Before, state: State, roots: Sequence[bytes]) -> Point:
    """An earlier revision with its record by themselves: what its entries sign, and who."""
    return (
        _shown(before, roots)
        or _not_its_content(before)
        or Point(EARLIER, Answer.HOLDS, _as_it_was(before, state))
    )


def _not_its_content(before: Before) -> Point | None:
    """Which entry of an earlier revision does not count for its job file; None for nothing.

    Its content is computed here: where another version signed it, nobody can tell one from the
    other.
    """
    where = f"Revision {before.file.job.job.revision}, in {before.file.name}"
    if not before.record.entries:
        return None
    try:
        aside = aside_of(before.record, terms_of(brief_dossier(before.file)))
    except ValueError as error:  # too many ranges, or a set that cannot be used
        return Point(EARLIER, Answer.NOT_DEMONSTRATED, f"{where}, cannot be computed: {error}")
    if not aside:
        return None
    place = before.record.entries.index(aside[0][0]) + 1
    text = (
        f"{where}: entry {place} of its record does not count for this job file: {aside[0][1]} "
        "Either of the two was changed before this revision was signed, or another version signed."
    )
    return Point(EARLIER, Answer.NOT_DEMONSTRATED, text)


def _as_it_was(before: Before, state: State) -> str:
    job = before.file.job.job
    return (
        f"Revision {job.revision}, in {before.file.name}: its record, by which it is "
        f"{state.value}, is for this job file: {_entries(len(before.record.entries))}. Whether "
        "entries were taken off its end is not seen."
    )


def _shown(before: Before, roots: Sequence[bytes]) -> Point | None:
    """What the certificates of an earlier revision's entries leave open; None for nothing."""
    where, entries = f"Revision {before.file.job.job.revision}", before.record.entries
    if len(entries) > MOST_EARLIER:
        text = f"{where} has {len(entries)} entries, more than any of ours."
        return Point(EARLIER, Answer.NOT_DEMONSTRATED, text)
    # Of a record that was taken out, nothing less is shown than of one that is typed.
    left = f"{where} has no entry that a certificate shows." if roots and not entries else ""
    for n, entry in enumerate(entries, start=1):
        proof, which = proof_of(entry, roots), f"{where}, entry {n}, of {quoted(entry.name)}"
        if proof is not None and proof.kind == "broken":
            return Point(EARLIER, Answer.BROKEN, f"{which}: {proof.text}")
        left = left or _left_open(proof, which, roots)
    return Point(EARLIER, Answer.NOT_DEMONSTRATED, left) if left else None


def _left_open(proof: Proof | None, which: str, roots: Sequence[bytes]) -> str:
    """Why an entry is not shown; empty where it is, or where nobody asks."""
    if proof is not None and (proof.kind == "unchecked" or (roots and not proof.trusted)):
        return f"{which}: {proof.text}."
    if proof is None and roots:
        return f"{which}: a recorded name, not a verified signature."
    return ""
