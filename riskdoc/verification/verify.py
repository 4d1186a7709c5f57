"""Whether a document holds: everything in it computed again, and compared with what it says.

What a document holds is taken apart and read as any job is, in memory alone. Then the content is
computed again, its digest compared with the one that was signed, every figure and verdict compared,
the chain of sign-offs and their certificates checked, and the document printed again and compared
with the file byte for byte. Each of these is a point, with an answer and a sentence.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any

from riskdoc.export.export import document_json
from riskdoc.job.faults import shown
from riskdoc.job.reading import JobFile
from riskdoc.report.attachments import report_attachments
from riskdoc.report.html import html_file
from riskdoc.report.pdf import to_pdf
from riskdoc.report.seal import seal_holds
from riskdoc.report.view import build
from riskdoc.requirements.dossier import Dossier, brief_dossier, dossier
from riskdoc.signing.canonical import canonical, sha256
from riskdoc.signing.certificates import CertificateError
from riskdoc.signing.content import Content, content_of, pictured
from riskdoc.signing.document_status import State
from riskdoc.signing.entries import Record, RecordError
from riskdoc.signing.pades import signatures_in, unsigned
from riskdoc.signing.record_files import others as other_records
from riskdoc.signing.record_files import record_of, unread
from riskdoc.signing.sign_off_state import Made, SignOffState, stand
from riskdoc.verification.answers import Answer, Point, Verified
from riskdoc.verification.chains import (
    RECORD,
    earlier_of_job,
    earlier_record,
    earlier_revisions,
    own_record,
)
from riskdoc.verification.differing import moved
from riskdoc.verification.makes import as_made, other_version, others
from riskdoc.verification.signers import file_signatures, sign_offs
from riskdoc.verification.taking import Taken, taken
from riskdoc.verification.told import with_entries
from riskdoc.verification.update import only_signed

__all__ = ["Answer", "Point", "Verified", "verified", "verified_job"]

PAGES = "What can be read in the document"
MOST_TOLD = 12
"""Things that moved which are told one by one."""


@dataclass(frozen=True)
class _Case:
    """A document taken apart, with what was computed from it again."""

    taken: Taken
    roots: Sequence[bytes] = ()
    worked: dict[str, Any] = field(default_factory=dict)

    @property
    def raw(self) -> bytes:
        """The bytes of the document."""
        return self.taken.holding.raw

    @property
    def whole(self) -> Dossier:
        """The dossier, computed again."""
        if "whole" not in self.worked:
            self.worked["whole"] = dossier(self.taken.file)
        found: Dossier = self.worked["whole"]
        return found

    @property
    def other(self) -> str:
        """What was of another version where it was made, in words; empty where nothing was."""
        return others(self.taken)


def verified(raw: bytes, on: date, roots: Sequence[bytes] = ()) -> Verified:
    """A document of ours, PDF or HTML, looked at point by point; `on` is the day of the look.

    Nothing but its bytes is needed. Raises `ForeignError` where it is none of ours or too damaged
    to be read at all. `roots` are certificates to trust.
    """
    return looked_at(taken(raw), on, roots)


def looked_at(apart: Taken, on: date, roots: Sequence[bytes] = ()) -> Verified:
    """The same of a document that was taken apart before."""
    case = _Case(apart, roots)
    points = _dates_last(_points(case, on))
    return Verified(_document(case.taken.file), sha256(case.taken.content), points)


def _dates_last(points: Iterable[Point]) -> tuple[Point, ...]:
    """Points of which the last, on dates and states, holds only where what it rests on does."""
    *rest, dates = points
    broken = list(dict.fromkeys(each.what for each in rest if each.answer is Answer.BROKEN))
    if dates.answer is not Answer.HOLDS or not broken:
        return (*rest, dates)
    text = f"By what it says it is issued and in its days, and this does not hold: {broken[0]}."
    return (*rest, replace(dates, answer=Answer.NOT_DEMONSTRATED, text=text))


def _document(file: JobFile) -> str:
    job = file.job.job
    return f"Number ‘{job.number}’, revision ‘{job.revision}’, title ‘{job.title}’"


def verified_job(path: Path, file: JobFile, roots: Sequence[bytes] = ()) -> Verified:
    """A job file with the record of sign-offs in its folder, looked at on the day it was read for.

    Raises what a computation raises.
    """
    whole = brief_dossier(file)
    try:
        record = record_of(path)
        chain = _chain(record)
    except RecordError as error:
        record, chain = Record(), Point(RECORD, Answer.BROKEN, str(error))
    rest = [each for _, each in other_records(path)]
    standing = stand(whole, record, rest, lambda name: record_of(path.with_name(name)))
    chain = with_entries(chain, standing)
    found = (
        chain,
        *_unread(path),
        *earlier_of_job(standing, roots),
        *sign_offs(standing, roots, file.on),
        _validity(standing, file),
    )
    points = _dates_last(found)
    return Verified(_document(file), standing.content.digest, points, of_job=True)


def _chain(record: Record) -> Point:
    if not record.entries:
        text = "There is no record of sign-offs beside it: nobody signed, or it was taken away."
        return Point(RECORD, Answer.NOT_DEMONSTRATED, text)
    text = f"The chain of {len(record.entries)} entries is whole."
    return Point(RECORD, Answer.HOLDS, text)


def _unread(path: Path) -> Iterator[Point]:
    """Records beside a job that may hold a sign-off for the same number and revision."""
    for trouble in unread(path):
        text = f"{trouble} Whether it signs this number and revision with another content is open."
        yield Point("Other records in the folder", Answer.NOT_DEMONSTRATED, text)


def _points(case: _Case, on: date) -> Iterator[Point]:
    taken = case.taken
    record, chain = own_record(taken)
    made = Made(Content(taken.plain, taken.content, sha256(taken.content)), taken.stated.machine)
    standing = stand(case.whole, record, (), lambda name: earlier_record(taken, name), made)
    yield _content(case)
    yield _computed(case)
    if case.taken.file.pictures:
        yield _pictures(case)
    yield _figures_file(case, standing)
    yield with_entries(chain, standing)
    yield from earlier_revisions(taken, standing, case.roots)
    yield from sign_offs(standing, case.roots, on)
    yield _pages(case, standing)
    if case.taken.holding.kind == "pdf":
        yield from file_signatures(case.raw, standing, case.roots, on)
    yield _validity(standing, replace(case.taken.file, on=on), case.other)


def _content(case: _Case) -> Point:
    """The content that travels, and the digest that the document states."""
    what, taken = "Content and digest", case.taken
    digest, stated = sha256(taken.content), taken.stated
    if not _is_canonical(taken):
        return Point(what, Answer.BROKEN, "The content in the document is not in canonical form.")
    if digest != stated.digest:
        text = f"The content has the digest {digest}, and the document states {stated.digest}."
        return Point(what, Answer.BROKEN, text)
    if taken.plain.get("version") != stated.version:
        text = "The document states another version of riskdoc than its content."
        return Point(what, Answer.BROKEN, text)
    return Point(what, Answer.HOLDS, f"The content has the digest that is stated: {digest}.")


def _is_canonical(taken: Taken) -> bool:
    try:
        return canonical(taken.plain) == taken.content
    except ValueError:  # numbers that the form does not know
        return False


def _computed(case: _Case) -> Point:
    """The content as it is computed here from the job file in the document."""
    what = "Figures and verdicts, computed again"
    new, held = content_of(case.whole), case.taken.plain
    if as_made(new, case.taken):
        text = (
            f"All {len(new.plain['figures'])} figures and {len(new.plain['checks'])} verdicts come "
            "out as they were signed."
        )
        return Point(what, Answer.HOLDS, text)
    told = moved(held, {**json.loads(new.raw), "libraries": held.get("libraries")})
    more = [f"and {len(told) - MOST_TOLD} more"] if len(told) > MOST_TOLD else []
    details = (*told[:MOST_TOLD], *more)
    if not case.other:
        text = "The job file in the document does not give this content: one of them was changed."
        return Point(what, Answer.BROKEN, text, details)
    text = (
        f"The document was made with {case.other}: tables, rules or equations may have changed "
        "between them (the change log says which numbers moved). What comes out otherwise now:"
    )
    return Point(what, Answer.NOT_DEMONSTRATED, text, details)


def _pictures(case: _Case) -> Point:
    """The pictures that are printed, by the hashes that were signed."""
    found = {id: pictured(each) for id, each in case.taken.file.pictures.items()}
    told = moved(case.taken.plain.get("pictures"), found)
    if told:
        ids = ", ".join(f"‘{id}’" for id in sorted(found))
        text = f"They are not the pictures that were signed; the job has {ids}."
        return Point("Pictures", Answer.BROKEN, text, told[:MOST_TOLD])
    return Point(
        "Pictures", Answer.HOLDS, f"{len(found)} pictures are printed as they were signed."
    )


def _figures_file(case: _Case, standing: SignOffState) -> Point:
    """The figures for machines, entry by entry; doubles may differ in their last digits."""
    what = "Figures in full"
    now = json.loads(document_json(case.whole, standing))
    told = moved(dict(case.taken.stated.plain), now)
    if not told:
        return Point(what, Answer.HOLDS, "Every entry of the figures is as it is computed now.")
    if case.other:
        text = f"They were made with {case.other}."
        return Point(what, Answer.NOT_DEMONSTRATED, text, told[:MOST_TOLD])
    return Point(what, Answer.BROKEN, f"{len(told)} entries were changed.", told[:MOST_TOLD])


def _pages(case: _Case, standing: SignOffState) -> Point:
    """The document printed again from what it holds, byte for byte."""
    sealed = "its own seal holds" if seal_holds(_first(case.raw)) else "its own seal does not hold"
    sealed += ", which shows no more than that nobody changed it by accident"
    if other_version(case.taken):
        text = f"It was made with {case.other}, which print other pages; {sealed}."
        return Point(PAGES, Answer.NOT_DEMONSTRATED, text)
    if any(each.proof and each.proof.kind == "unchecked" for each in standing.signed):
        text = f"What its certificates show is part of it, and is not known here; {sealed}."
        return Point(PAGES, Answer.NOT_DEMONSTRATED, text)
    view, inside = build(case.whole, standing), report_attachments(case.whole, standing)
    pdf = case.taken.holding.kind == "pdf"
    again = to_pdf(view, inside) if pdf else html_file(view, inside)
    if again == case.raw:
        return Point(PAGES, Answer.HOLDS, "Every byte is as this version writes it.")
    return _printed_otherwise(case, again, sealed)


def _printed_otherwise(case: _Case, again: bytes, sealed: str) -> Point:
    """What is said where the bytes are not those that are printed here."""
    pdf = case.taken.holding.kind == "pdf"
    if _without_line_ends(again, pdf=pdf) == _without_line_ends(case.raw, pdf=pdf):
        text = "The bytes are not those this version writes; they differ by line ends alone."
        return Point(PAGES, Answer.BROKEN, text)
    if pdf and case.raw.startswith(again):
        return _added(again, case.raw)
    if case.other:
        text = f"It was made with {case.other}, which may print other bytes; {sealed}."
        return Point(PAGES, Answer.NOT_DEMONSTRATED, text)
    return Point(
        PAGES, Answer.BROKEN,
        "The file is not what this version writes from what it holds: text, drawings or pictures "
        f"were changed; {sealed}.",
    )  # fmt: skip


def _without_line_ends(raw: bytes, *, pdf: bool) -> bytes:
    """Bytes without what comes of line ends: at the end, and in a page whichever they are."""
    whole = raw.rstrip(b"\r\n")
    return whole if pdf else whole.replace(b"\r\n", b"\n").replace(b"\r", b"\n")


def _added(printed: bytes, raw: bytes) -> Point:
    """What came after a file as we print it."""
    if _has_signatures(raw) and only_signed(printed, raw):
        text = "Every byte is as this version writes it; signatures of the file came after."
        return Point(PAGES, Answer.HOLDS, text)
    return Point(PAGES, Answer.BROKEN, "Something besides signatures was added to the file.")


def _has_signatures(raw: bytes) -> bool:
    try:
        return bool(signatures_in(raw))
    except CertificateError:
        return True  # they are there, and told as not demonstrated


def _first(raw: bytes) -> bytes:
    try:
        return unsigned(raw) if raw.startswith(b"%PDF") else raw
    except CertificateError:
        return raw


def _validity(standing: SignOffState, file: JobFile, other: str = "") -> Point:
    """Whether it is met, signed and in its days; no file gives leave to work.

    `other` names what was of another version where the document was made: that may judge otherwise.
    """
    what = "Dates and states"
    days, status = f"{standing.start} to {standing.end}", standing.status
    if status.state not in (State.ISSUED, State.EXPIRED):
        return Point(what, Answer.BROKEN, f"The document says {status.banner!r}. {status.headline}")
    if file.expired or status.state is State.EXPIRED:
        return Point(what, Answer.BROKEN, f"It was valid {days}, and that has passed.")
    signed, now = str(standing.content.plain.get("verdict")), status.verdict.value
    if signed != now:
        text = f"It is issued with the verdict {shown(signed)}, and {shown(now)} is computed here."
        return Point(what, Answer.NOT_DEMONSTRATED if other else Answer.BROKEN, text)
    if not status.passes:
        return Point(what, Answer.BROKEN, f"It is issued and not met. {status.headline}")
    return Point(
        what, Answer.HOLDS, f"It is issued and valid {days}; that the plan is kept, no file shows."
    )
