"""PDF files signed with a certificate (PAdES B-B, ETSI EN 319 142-1), and what is signed in one.

A signature is added at the end of the file: the bytes before it stay as they are, so that the
document as we made it can be taken out again, and a second signature may follow. Its field is a
box beside the page, printed but with nothing in it, since PDF/A takes no hidden field
(ISO 19005-3, 6.3.2) and PDF/UA asks for a place in the structure for every field on the page
(ISO 14289-1, 7.18.1).
"""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import islice
from typing import TYPE_CHECKING, Any

from riskdoc.i18n.say import say
from riskdoc.job.alike import quoted
from riskdoc.signing.certificate_proof import kind_of, text_of, usage, waited_for
from riskdoc.signing.certificates import (
    EXTRA,
    CertificateError,
    bearer_of,
    installed,
    roots_of,
    timely,
)
from riskdoc.signing.cms_form import ATTRIBUTES, cms_over, opened_cms
from riskdoc.signing.trust import context_of, quiet

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.signing.certificate_proof import Kind
    from riskdoc.signing.certificates import Certificate

REASON = "Issued as this file"
"""Why a file is signed, as it stands in a signature. `verify` takes no other for one of ours."""
SIGNED = ATTRIBUTES - {"signing_time"}
"""What is signed beside the file: its time stands in the file (ETSI EN 319 142-1, 6.3), and in no
second place that a reader could take instead."""
MOST_SIGNATURES = 20
"""Most signatures of a file; judgement: a job has at most 8 roles."""
TRIES = 8
SPARE = 64
"""Bytes kept free for a signature beside those of a first one; those of a curve differ by a few."""
_UNCLEAR = b"\r\nendstream"
"""Data that end in CR: their end could be read another way (see `report.archive`)."""
_RANGE = re.compile(rb"/ByteRange\s*\[\s*(\d{1,15})\s+(\d{1,15})\s+(\d{1,15})\s+(\d{1,15})\s*\]")
_END = re.compile(rb"startxref\s+(\d{1,15})\s+%%EOF[ \t]*(?:\r\n|\n|\r)?")
_XREF = re.compile(rb"\s*(?:xref\b|\d+\s+\d+\s+obj\b)")
_HEX = re.compile(rb"<[0-9A-Fa-f\s]*>")


@dataclass(frozen=True, slots=True)
class PdfSignature:
    """A signature in a PDF file.

    `intact` is whether what it covers is as it was signed, `whole` whether it covers all but itself
    to the end of its revision, and `last` whether nothing comes after that. `name` is that of its
    certificate as it stands there, `subject` the same fit for print. `kind` and `trusted`
    are as in `Proof`; `when`, at which the certificate has to be valid, is the time that the file
    states, for which nobody vouches.
    """

    kind: Kind
    subject: str
    issuer: str
    trusted: bool | None
    intact: bool
    whole: bool
    last: bool
    name: str = ""
    when: datetime | None = None

    @property
    def text(self) -> str:
        """What it shows, in words.

        >>> PdfSignature("broken", "", "", None, False, False, False).text
        'signature of this file: broken; the file was changed or damaged after it was signed, or \
it is not in the form in which riskdoc signs'
        """
        if not self.intact:
            return say(
                "signature of this file: broken; the file was changed or damaged after it was "
                "signed, or it is not in the form in which riskdoc signs"
            )
        if self.kind == "broken":
            return say(
                "signature of this file by {subject}: its certificate was not valid at the time it "
                "states, or is not made for signing, or its key is too weak",
                subject=quoted(self.subject),
            )
        shows = text_of(self.kind, self.subject, self.issuer, trusted=self.trusted)
        if not self.whole:
            return say("signature of a part of this file alone: {shows}", shows=shows)
        if not self.last:
            return say(
                "signature of an earlier state of this file, to which something was added since: "
                "{shows}",
                shows=shows,
            )
        return say("signature of this file as it is: {shows}", shows=shows)


BROKEN = PdfSignature("broken", "", "", None, intact=False, whole=False, last=False)


def sign_pdf(
    certificate: Certificate, pdf: bytes, *, reason: str = REASON, when: datetime | None = None
) -> bytes:
    """A PDF file with a signature added at its end; its first bytes are the file as it was.

    It stays PDF/A-3a and PDF/UA-1 where it was. `when` is now where it is left out. Raises
    `CertificateError` where the certificate is not valid then, or the file cannot be added to.
    """
    moment = (datetime.now(UTC) if when is None else when).replace(microsecond=0)
    timely(certificate, moment)
    for spare in range(TRIES):
        try:
            whole = _signed(certificate, pdf, reason, moment, spare)
        except Exception as error:  # a damaged file fails in many ways
            raise CertificateError("the PDF file is damaged and cannot be signed") from error
        if _UNCLEAR not in whole[len(pdf) :]:
            return whole
    raise CertificateError(f"no file with clear ends of its streams in {TRIES} tries")


def _signed(certificate: Certificate, pdf: bytes, reason: str, when: datetime, spare: int) -> bytes:
    """The file with a signature, by the library's steps and not by its `PdfSigner`.

    That takes the time from the clock and makes a CMS of its own, where ours has one form; and
    `verification.update` holds an update to the bytes that these steps write.
    """
    from pyhanko.pdf_utils.generic import (  # noqa: PLC0415  (the extra, and only who signs)
        NameObject,
        NullObject,
        TextStringObject,
    )
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter  # noqa: PLC0415
    from pyhanko.sign import fields  # noqa: PLC0415
    from pyhanko.sign.signers import cms_embedder  # noqa: PLC0415
    from pyhanko.sign.signers.constants import ESIC_EXTENSION_1  # noqa: PLC0415
    from pyhanko.sign.signers.pdf_byterange import PdfSignedData  # noqa: PLC0415

    class Writer(IncrementalPdfFileWriter):
        """Leaves the metadata as they are: they are ours, and the archive form rests on them."""

        def _update_meta(self) -> None:
            pass

    writer = Writer(io.BytesIO(pdf))
    # Says that a signature of this kind may be met in a file of PDF 1.7 (ETSI EN 319 142-1, 5.6).
    writer.register_extension(ESIC_EXTENSION_1)
    for _ in range(spare):
        writer.add_object(NullObject())
    name = _free_name(writer)
    field = fields.SigFieldSpec(
        name,
        invis_sig_settings=fields.InvisSigSettings(box_out_of_bounds=True),
        readable_field_name=say("Signature of this document"),
    )
    steps: Any = cms_embedder.PdfCMSEmbedder(field).write_cms(name, writer)
    next(steps)
    _in_order(writer)
    room = len(cms_over(certificate.signer, bytes(32), None)) + SPARE
    value = PdfSignedData(
        NameObject("/Sig"),
        subfilter=fields.SigSeedSubFilter.PADES,
        timestamp=when,
        bytes_reserved=2 * room,
    )
    value[NameObject("/Reason")] = TextStringObject(reason)
    steps.send(cms_embedder.SigObjSetup(sig_placeholder=value))
    prepared, output = steps.send(cms_embedder.SigIOSetup(md_algorithm="sha256"))
    steps.send(cms_over(certificate.signer, prepared.document_digest, None))
    whole: bytes = output.getvalue()
    if not whole.startswith(pdf):
        raise ValueError("the file was written anew")
    return whole


def _free_name(writer: Any) -> str:  # noqa: ANN401  (of the extra)
    """A name that no field of the file has."""
    from pyhanko.sign.fields import enumerate_sig_fields  # noqa: PLC0415

    taken = {name for name, _, _ in enumerate_sig_fields(writer)}
    return next(name for n in range(1, len(taken) + 2) if (name := f"Signature{n}") not in taken)


def _in_order(writer: Any) -> None:  # noqa: ANN401  (of the extra)
    """The page of the field is gone through by structure (ISO 14289-1, 7.18.3)."""
    from pyhanko.pdf_utils.generic import NameObject  # noqa: PLC0415

    reference, _ = writer.find_page_for_modification(0)
    page = reference.get_object()
    if page.get("/Tabs") != "/S":
        page[NameObject("/Tabs")] = NameObject("/S")
        writer.mark_update(reference)


def signatures_in(pdf: bytes, roots: Sequence[bytes] = ()) -> tuple[PdfSignature, ...]:
    """The signatures in a PDF file, the oldest first; none where it has none.

    `roots` are certificates to trust, in PEM or DER. A file that is damaged has one broken
    signature where there is a trace of one. Raises `CertificateError` only where the extra that
    checks them is not installed and there is a trace of one.
    """
    if not installed():
        if _RANGE.search(pdf):
            raise CertificateError(
                f"the PDF file is signed, and what checks that is not installed: install {EXTRA}"
            )
        return ()
    try:
        count = len(_ranges(pdf))
        found = tuple(_each(pdf, roots))
    except Exception:  # whatever is wrong with a foreign file, its signatures show nothing
        return (BROKEN,) if b"/ByteRange" in pdf else ()
    # One whose field was taken out of the file is still told.
    lost = count - len(found)
    return (*found, *(BROKEN for _ in range(lost)))


def _each(pdf: bytes, roots: Sequence[bytes]) -> Iterator[PdfSignature]:
    from pyhanko.pdf_utils.reader import PdfFileReader  # noqa: PLC0415
    from pyhanko.sign.fields import enumerate_sig_fields  # noqa: PLC0415

    with quiet():
        reader = PdfFileReader(io.BytesIO(pdf))
        if len(list(islice(enumerate_sig_fields(reader), MOST_SIGNATURES + 1))) > MOST_SIGNATURES:
            raise ValueError("more fields than a file of ours has")
        embedded = reader.embedded_signatures
    for each in embedded:
        try:
            yield _one(each, pdf, roots)
        except Exception:  # the others may be sound
            yield BROKEN


def _one(embedded: Any, pdf: bytes, roots: Sequence[bytes]) -> PdfSignature:  # noqa: ANN401
    from asn1crypto import parser  # noqa: PLC0415
    from pyhanko.sign.validation.pdf_embedded import async_validate_pdf_signature  # noqa: PLC0415
    from pyhanko.sign.validation.status import SignatureCoverageLevel  # noqa: PLC0415

    contents: bytes = embedded.pkcs7_content
    _, chain = opened_cms(contents[: parser.peek(contents)], SIGNED)
    bearer = bearer_of(chain[0])
    # With no time among what is signed beside the file, this is the one in the file.
    when: datetime | None = embedded.self_reported_timestamp
    if when is None or when.tzinfo is None:
        raise ValueError("no time, or one without its offset")
    context = context_of(roots_of(roots), when, chain)
    status = waited_for(
        async_validate_pdf_signature(embedded, context, key_usage_settings=usage(), skip_diff=True)
    )
    intact = bool(status.intact and status.valid)
    sound = intact and bearer.signs and bearer.strong and bearer.valid(when)
    start, before, after, rest = (int(each) for each in embedded.byte_range)
    gap = start == 0 and _fills(contents, pdf[before:after])
    covered = status.coverage in (
        SignatureCoverageLevel.ENTIRE_REVISION,
        SignatureCoverageLevel.ENTIRE_FILE,
    )
    return PdfSignature(
        kind=kind_of(bearer) if sound else "broken",
        subject=bearer.subject if intact else "",
        issuer=bearer.issuer if intact else "",
        trusted=bool(status.trusted) if roots and sound else None,
        intact=intact,
        whole=intact and gap and covered,
        last=intact and gap and after + rest == len(pdf),
        name=bearer.name if intact else "",
        when=when,
    )


def later_agree(pdf: bytes) -> bool:
    """Whether the library that signs, too, finds nothing but signatures after the first one.

    A second opinion, by its own rules for changes after a signature; it has none for what comes
    before the first. Only for a file whose first bytes are known to be ours. True where there is
    one signature, or where the extra is not installed.
    """
    if not installed():
        return True
    from pyhanko.sign.diff_analysis import (  # noqa: PLC0415
        DEFAULT_DIFF_POLICY,
        DiffResult,
        ModificationLevel,
    )

    try:
        if len(_ranges(pdf)) < 2:
            return True
        with quiet():
            reader = _quick_reader(pdf)
            first = reader.embedded_signatures[0]
            found = DEFAULT_DIFF_POLICY.review_file(reader, first.signed_revision)
    except Exception:  # what it cannot read it does not take for a signature
        return False
    # Where it suspects something, it gives what it suspects in place of a result.
    return (
        isinstance(found, DiffResult) and found.modification_level <= ModificationLevel.FORM_FILLING
    )


def _quick_reader(pdf: bytes) -> Any:  # noqa: ANN401  (of the extra)
    """A reader that knows where the objects of a list stand.

    The library's own looks for each from the start of its list, and an analysis asks for all of
    them: minutes for a report.
    """
    from pyhanko.pdf_utils import generic  # noqa: PLC0415
    from pyhanko.pdf_utils.reader import PdfFileReader  # noqa: PLC0415

    class Quick(PdfFileReader):
        def _get_object_from_stream(self, idnum: int, stmnum: int, idx: int) -> Any:  # noqa: ANN401
            lists = self.__dict__.setdefault("_lists", {})
            if stmnum not in lists:
                stream: Any = generic.Reference(stmnum, 0, self).get_object()
                first = int(stream["/First"])
                data: bytes = stream.data
                lists[stmnum] = (data[first:], [int(each) for each in data[:first].split()])
            data, heads = lists[stmnum]
            number, start = heads[2 * idx : 2 * idx + 2]
            if number != idnum:
                raise ValueError("an object stands in another place of its list")
            return generic.read_object(io.BytesIO(data[start:]), generic.Reference(idnum, 0, self))

    return Quick(io.BytesIO(pdf))


def _fills(contents: bytes, gap: bytes) -> bool:
    """Whether what is left out of a byte range is a signature, with nothing but noughts after."""
    from asn1crypto import parser  # noqa: PLC0415

    end = parser.peek(contents)
    return _HEX.fullmatch(gap) is not None and not any(contents[end:])


def unsigned(pdf: bytes) -> bytes:
    """A PDF file as it was before its first signature; the file itself where it has none.

    The first signature that its own byte range bears out is taken, and the file is cut at the last
    end of a revision before it. Nothing is said of whether the signature holds. Raises
    `CertificateError` where the file was signed as it was made, so that nothing comes before, or
    has more signatures than a file of ours.
    """
    first = next(iter(_ranges(pdf)), None)
    if first is None:
        return pdf
    ends = [each for each in _END.finditer(pdf, 0, first) if _ends(pdf, each)]
    if not ends:
        raise CertificateError("the PDF file was signed as it was made: nothing comes before")
    return pdf[: ends[-1].end()]


def _ranges(pdf: bytes) -> tuple[int, ...]:
    """Where byte ranges stand that the file bears out: they leave out a text of hexadecimals.

    Raises `CertificateError` for more than a file of ours has: each is gone through.
    """
    spans = list(islice(_spans(pdf), MOST_SIGNATURES + 1))
    if len(spans) > MOST_SIGNATURES:
        raise CertificateError("the PDF file has more signatures than any of ours")
    return tuple(at for at, before, after in spans if _HEX.fullmatch(pdf, before, after))


def _spans(pdf: bytes) -> Iterator[tuple[int, int, int]]:
    """Byte ranges that can be such, and what each leaves out, by its ends alone."""
    for found in _RANGE.finditer(pdf):
        start, before, after, rest = (int(each) for each in found.groups())
        covered = found.start() < before or after <= found.start() < after + rest
        if (
            start == 0
            and covered
            and before + 2 <= after
            and after + rest <= len(pdf)
            and pdf[before : before + 1] == b"<"
            and pdf[after - 1 : after] == b">"
        ):
            yield found.start(), before, after


def _ends(pdf: bytes, end: re.Match[bytes]) -> bool:
    """Whether a revision ends there: what it points at is a table of objects."""
    at = int(end.group(1))
    return at < end.start() and _XREF.match(pdf, at) is not None
