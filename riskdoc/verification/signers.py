"""Who signed, as far as it can be shown: sign-offs of the record, and signatures of the PDF file.

A typed name is recorded and shows nobody. A certificate shows who signed only where somebody said
whom to trust. Then nothing less counts: what is typed, not listed, or signed by another than those
who signed the content is not demonstrated.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC
from typing import TYPE_CHECKING

from riskdoc.job.alike import quoted
from riskdoc.signing.certificate_proof import proof_of
from riskdoc.signing.certificates import CertificateError, same_name
from riskdoc.signing.pades import signatures_in
from riskdoc.verification.answers import Answer, Point
from riskdoc.verification.told import act_word, meaning, numbered, places

if TYPE_CHECKING:
    from datetime import date, datetime

    from riskdoc.signing.entries import Entry
    from riskdoc.signing.pades import PdfSignature
    from riskdoc.signing.sign_off_state import SignOffState

FILE = "Signature of the PDF file"


def sign_offs(standing: SignOffState, roots: Sequence[bytes], on: date) -> Iterator[Point]:
    """Each entry of this revision: does it count, and what does it show on a day?"""
    place = places(standing) if standing.aside else {}
    for entry, why in standing.aside:
        text = f"{numbered(entry, place[entry.hash])} does not count: {why}"
        yield Point(_who(entry), Answer.BROKEN, text)
    for each in standing.signed:
        if each.entry is not None:
            yield replace(_sign_off(each.entry, roots, on), details=meaning(each.entry))


def _sign_off(entry: Entry, roots: Sequence[bytes], on: date) -> Point:
    what, bound = _who(entry), f"It is bound to this content, {entry.time}."
    proof = proof_of(entry, roots)
    if (proof is None or proof.kind != "broken") and entry.when.date() > on:
        return Point(what, Answer.NOT_DEMONSTRATED, f"{bound} {_later(on)}")
    if proof is None:
        typed = f"{bound} A recorded name, not a verified signature."
        return Point(what, Answer.NOT_DEMONSTRATED if roots else Answer.RECORDED, typed)
    if proof.kind == "broken":
        return Point(what, Answer.BROKEN, proof.text)
    if proof.kind == "unchecked":
        return Point(what, Answer.NOT_DEMONSTRATED, proof.text)
    return Point(what, _shown(roots, trusted=bool(proof.trusted)), f"{bound} {proof.text}")


def _shown(roots: Sequence[bytes], *, trusted: bool) -> Answer:
    """What a sound certificate shows of who signed."""
    if not roots:
        return Answer.RECORDED
    return Answer.HOLDS if trusted else Answer.NOT_DEMONSTRATED


def _who(entry: Entry) -> str:
    return f"{act_word(entry).capitalize()} of {quoted(entry.name)} as {quoted(entry.role)}"


def _later(on: date) -> str:
    return f"That time lies after the day of this look, {on.isoformat()}: a clock was wrong."


def file_signatures(
    pdf: bytes, standing: SignOffState, roots: Sequence[bytes], on: date
) -> Iterator[Point]:
    """Each signature of a PDF file, the oldest first, on the day of the look."""
    try:
        found = signatures_in(pdf, roots)
    except CertificateError as error:
        yield Point(FILE, Answer.NOT_DEMONSTRATED, str(error))
        return
    for n, each in enumerate(found, start=1):
        yield _file_signature(each, standing, roots, on, last=n == len(found))


def _file_signature(
    it: PdfSignature, standing: SignOffState, roots: Sequence[bytes], on: date, *, last: bool
) -> Point:
    if not it.intact or not it.whole or it.kind == "broken" or (last and not it.last):
        return Point(FILE, Answer.BROKEN, it.text)
    untimely = _untimely(it.when, standing, on)
    if untimely:
        return Point(FILE, Answer.NOT_DEMONSTRATED, f"{it.text}. {untimely}")
    answer = _shown(roots, trusted=bool(it.trusted))
    if answer is Answer.HOLDS and not _signed_too(it, standing, roots):
        text = f"{it.text}. Nobody of that name signed the content by a certificate trusted here."
        return Point(FILE, Answer.NOT_DEMONSTRATED, text)
    return Point(FILE, answer, it.text)


def _untimely(when: datetime | None, standing: SignOffState, on: date) -> str:
    """Why a file cannot have been signed at the time it states; empty where it can."""
    if when is None:
        return "It states no time."
    stated = f"It states the time {when.isoformat(timespec='seconds')}"
    entries = [each.when.astimezone(UTC) for each in standing.record.entries]
    if entries and when < max(entries):
        return f"{stated}, before the newest sign-off that stands in the file."
    if when.date() > on:
        return f"{stated}, after the day of this look, {on.isoformat()}."
    return ""


def _signed_too(it: PdfSignature, standing: SignOffState, roots: Sequence[bytes]) -> bool:
    """Whether who signed the file signed the content too, by a certificate that is trusted."""
    entries = [each.entry for each in standing.signed if each.entry is not None]
    named = [each for each in entries if same_name(it.name, each.name)]
    proofs = [proof_of(each, roots) for each in named]
    return any(each is not None and each.trusted for each in proofs)
