"""Signed PDF files: sound by checkers of others, still for the archive; every change is seen."""

from __future__ import annotations

import asyncio
import io
import logging
import re
import subprocess
import sys
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path

import pdfua
import pypdf
import pytest
from asn1crypto import x509 as asn1
from cryptography.hazmat.primitives.serialization import Encoding
from hypothesis import given, settings
from hypothesis import strategies as st
from page import validate_pdf_bytes
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import async_validate_pdf_signature
from pyhanko.sign.validation.settings import KeyUsageConstraints
from pyhanko_certvalidator import ValidationContext
from report.archived import faults
from support.certificates import (
    AUTHORITY,
    FIRST,
    LAST,
    SIGNER,
    Held,
    authority,
    made,
    office,
)

from riskdoc.report.attachments import Attachment
from riskdoc.report.pdf import print_page
from riskdoc.signing import pades
from riskdoc.signing.certificates import Certificate, CertificateError, Signer
from riskdoc.signing.pades import BROKEN, PdfSignature, sign_pdf, signatures_in, unsigned

WHEN = datetime(2027, 6, 1, 8, tzinfo=UTC)
PAGE = "<!DOCTYPE html><html lang='en'><title>A title</title><body><h1>One</h1><h2>Two</h2><p>It"
CLEAN = "No syntax or stream encoding errors found"
OF_LINKS = {"a link outside the tree", "a link that does not say where it leads"}
"""What our own check says where it takes the field for a link; the field is looked at by itself."""
OVER_ALL = "PDFA3A-SIGNATURE-BYTERANGE-001"
"""The rule that a signature covers the file, which the checker holds the first of two to as well.

ISO 19005-3, 6.4.3 speaks of the file as it is when it is signed."""


@cache
def page() -> bytes:
    """A small document with a file in it, as `to_pdf` finishes it."""
    inside = Attachment("it.txt", b"it", "text/plain", "Data", "A text", date(2027, 6, 1))
    return print_page(PAGE, "0" * 64, attachments=[inside])


@cache
def held(kind: str) -> Held:
    if kind == "issued":
        return made("Otto Marn", "p256", office(), number=20)
    return made(kind=kind)


def certificate(kind: str = "p256") -> Certificate:
    by = held(kind)
    certificates = (by.der, *(each.public_bytes(Encoding.DER) for each in by.above))
    return Certificate(SIGNER, "", FIRST, LAST, kind != "issued", Signer(by.key, certificates))


@cache
def once(kind: str = "p256") -> bytes:
    return sign_pdf(certificate(kind), page(), reason="I wrote it.", when=WHEN)


@cache
def twice() -> bytes:
    return sign_pdf(certificate("issued"), once(), reason="I checked it.", when=WHEN)


def checkers(pdf: bytes, folder: Path) -> list[str]:
    """What three programs of others, and our own check, say against a file."""
    path = folder / "looked-at.pdf"
    path.write_bytes(pdf)
    done = subprocess.run(["qpdf", "--check", path], capture_output=True, text=True, check=False)
    said = [] if done.returncode == 0 and CLEAN in done.stdout else [done.stdout + done.stderr]
    for profile in ("3a", "ua1"):
        report = validate_pdf_bytes(pdf, profile=profile)
        assert report.rules.total > 90
        said += [each.rule_id for each in report.failures]
    said += [each.rule_id for each in pdfua.validate(str(path)).findings]
    return said + [each for each in faults(pdf) if each not in OF_LINKS]


def pdfsig(pdf: bytes, folder: Path) -> list[str]:
    """What poppler's `pdfsig` says of each signature: the lines under it."""
    path = folder / "signed.pdf"
    path.write_bytes(pdf)
    done = subprocess.run(
        ["pdfsig", "-nocert", path], capture_output=True, text=True, check=False,
        env={"HOME": str(folder), "PATH": "/usr/bin:/bin", "TZ": "UTC"},
    )  # fmt: skip
    return re.split(r"Signature #\d+:", done.stdout)[1:]


@dataclass(frozen=True)
class Found:
    """What pyHanko's own check says of a signature."""

    sound: bool
    trusted: bool
    all: bool
    changes: str


def pyhanko(pdf: bytes) -> list[Found]:
    """Asked with its own defaults, and with the authority trusted on the day."""
    logging.getLogger("pyhanko").setLevel(logging.CRITICAL + 1)
    roots = [asn1.Certificate.load(each.der) for each in (authority(), held("p256"))]
    found = []
    for each in PdfFileReader(io.BytesIO(pdf)).embedded_signatures:
        context = ValidationContext(trust_roots=roots, moment=WHEN, allow_fetching=False)
        usage = KeyUsageConstraints(key_usage={"digital_signature"})
        status = asyncio.run(async_validate_pdf_signature(each, context, key_usage_settings=usage))
        found.append(
            Found(
                status.intact and status.valid,
                status.trusted,
                status.coverage.name == "ENTIRE_FILE",
                status.modification_level.name,
            )
        )
    return found


def changed(pdf: bytes, place: int, change: int = 1) -> bytes:
    return pdf[:place] + bytes([pdf[place] ^ change]) + pdf[place + 1 :]


@pytest.mark.parametrize("kind", ["p256", "p384", "rsa2048", "issued"])
def test_a_signed_file_is_sound_by_three_readers(kind, tmp_path):
    pdf = once(kind)
    (ours,) = signatures_in(pdf, [authority().der])
    (theirs,) = pdfsig(pdf, tmp_path)
    (status,) = pyhanko(pdf)
    name = "Otto Marn" if kind == "issued" else SIGNER

    assert pdf[: len(page())] == page()
    assert (ours.intact, ours.whole, ours.last) == (True, True, True)
    assert (ours.subject, ours.trusted) == (name, kind == "issued")
    assert ours.kind == ("issued" if kind == "issued" else "self-signed")
    for line in (f"Common Name: {name}", "Signing Time: Jun 01 2027 08:00:00",
                 "Signing Hash Algorithm: SHA-256", "Signature Type: ETSI.CAdES.detached",
                 "Total document signed", "Signature Validation: Signature is Valid."):  # fmt: skip
        assert line in theirs
    assert "Not total" not in theirs
    assert (status.sound, status.all, status.changes) == (True, True, "NONE")
    assert status.trusted is (kind in ("issued", "p256"))


@pytest.mark.parametrize("kind", ["p256", "rsa2048", "issued"])
def test_a_signed_file_is_still_for_the_archive_and_for_reading_aloud(kind, tmp_path):
    assert checkers(page(), tmp_path) == []
    assert checkers(once(kind), tmp_path) == []


def test_the_field_lies_beside_the_page_and_is_printed(tmp_path):
    """ISO 19005-3, 6.3.2 and 6.3.3; ISO 14289-1, 7.18.1 and 7.18.3."""
    reader = pypdf.PdfReader(io.BytesIO(twice()))
    first = reader.pages[0]
    fields = [each.get_object() for each in first["/Annots"]]
    own = [each for each in fields if each["/Subtype"] == "/Widget"]

    assert [each["/T"] for each in own] == ["Signature1", "Signature2"]
    for each in own:
        left, low, right, high = (float(value) for value in each["/Rect"])
        assert (left, low) == (right, high)
        assert right < 0
        assert high < 0
        assert int(each["/F"]) & 0b100111 == 0b100
        assert each["/TU"] == "Signature of this document"
    assert first["/Tabs"] == "/S"
    assert [each["/V"]["/Reason"] for each in own] == ["I wrote it.", "I checked it."]
    assert {each["/V"]["/SubFilter"] for each in own} == {"/ETSI.CAdES.detached"}


def test_a_page_that_does_not_say_how_it_is_gone_through_does_so_after(tmp_path):
    writer, without = pypdf.PdfWriter(clone_from=io.BytesIO(page())), io.BytesIO()
    del writer.pages[0]["/Tabs"]
    writer.write(without)
    pdf = sign_pdf(certificate(), without.getvalue(), reason="It.", when=WHEN)

    assert "/Tabs" not in pypdf.PdfReader(without).pages[0]
    assert pypdf.PdfReader(io.BytesIO(pdf)).pages[0]["/Tabs"] == "/S"
    assert [each.sound for each in pyhanko(pdf)] == [True]


def test_nothing_of_the_document_changes_but_the_field(tmp_path):
    """Metadata above all, which say what the file is, and carry no clock."""
    before, after = (pypdf.PdfReader(io.BytesIO(each)) for each in (page(), twice()))

    assert before.metadata == after.metadata
    assert before.trailer["/Root"]["/Metadata"].get_data() == (
        after.trailer["/Root"]["/Metadata"].get_data()
    )
    assert after.attachments == before.attachments == {"it.txt": [b"it"]}
    new = twice()[len(page()) :]
    assert set(re.findall(rb"D:\d{14}|D\\072\d{14}", new)) == {rb"D\07220270601080000"}


def test_a_second_signature_follows_the_first(tmp_path):
    one, two = signatures_in(twice(), [authority().pem])
    first, second = pdfsig(twice(), tmp_path)

    assert twice().startswith(once())
    assert (one.subject, one.whole, one.last) == (SIGNER, True, False)
    assert (two.subject, two.whole, two.last) == ("Otto Marn", True, True)
    assert "Not total document signed" in first
    assert "Total document signed" in second
    assert all("Signature is Valid." in each for each in (first, second))
    assert [(each.sound, each.all) for each in pyhanko(twice())] == [(True, False), (True, True)]
    # A field filled in is all that was added, by pyHanko's own comparison of the two states.
    assert pyhanko(twice())[0].changes == "FORM_FILLING"
    assert checkers(twice(), tmp_path) == [OVER_ALL]


def test_the_file_as_it_was_made_comes_out_again():
    assert unsigned(page()) == page()
    assert unsigned(once()) == page()
    assert unsigned(twice()) == page()
    assert unsigned(b"") == b""
    assert unsigned(b"no pdf at all") == b"no pdf at all"


def test_what_only_looks_like_a_signature_or_an_end_misleads_nothing():
    """In a title and in a file inside, which stand in the document as they are."""
    traps = "/ByteRange [0 9 12 4] startxref 9 %%EOF"
    inside = Attachment("a.pdf", once(), "application/pdf", "Data", "A", date(2027, 6, 1))
    pdf = print_page(PAGE.replace("A title", traps), "0" * 64, attachments=[inside])
    assert b"%%EOF</" in pdf
    with_it = sign_pdf(certificate(), pdf, reason=traps, when=WHEN)

    assert unsigned(pdf) == pdf
    assert signatures_in(pdf) == ()
    assert unsigned(with_it) == pdf
    assert [each.last for each in signatures_in(with_it)] == [True]


def test_a_file_that_was_signed_as_it_was_made_has_nothing_before():
    text = b"/ByteRange [0 30 34 6] <12>end"
    with pytest.raises(CertificateError, match="signed as it was made"):
        unsigned(b"/ByteRange [0 26 30 10]   <ab>" + b"0123456789")
    assert unsigned(text) == text


def test_an_unsigned_file_has_no_signatures():
    assert signatures_in(page()) == ()
    assert signatures_in(b"") == ()
    assert signatures_in(b"%PDF-1.7 and no more") == ()


def ranges(pdf: bytes) -> tuple[int, int, int, int]:
    found = re.search(rb"/ByteRange \[(\d+) (\d+) (\d+) (\d+)\]", pdf)
    assert found is not None
    return tuple(int(each) for each in found.groups())


@pytest.mark.parametrize("kind", ["p256", "rsa2048"])
@pytest.mark.parametrize("where", ["metadata", "contents", "reason"])
def test_a_changed_byte_is_found_by_all(where, kind, tmp_path):
    pdf = once(kind)
    places = {
        "metadata": pdf.index(b"A title"),
        "contents": ranges(pdf)[1] + 900,
        "reason": pdf.index(b"I wrote it"),
    }
    bad = changed(pdf, places[where], 0x01)
    (ours,) = signatures_in(bad)
    (theirs,) = pdfsig(bad, tmp_path)

    assert not ours.intact
    assert (ours.kind, ours.whole, ours.subject) == ("broken", False, "")
    assert "Signature is Valid" not in theirs
    if where != "contents":
        assert [each.sound for each in pyhanko(bad)] == [False]
        assert "Signature Validation: Digest Mismatch." in theirs


def test_what_stands_in_the_room_left_by_a_signature_is_told():
    """No reader asks about it, since nothing signs it; some bytes could be hidden there."""
    end = ranges(once())[2] - 2
    (ours,) = signatures_in(once()[:end] + b"7" + once()[end + 1 :])

    assert once()[end : end + 2] == b"0>"
    assert (ours.intact, ours.whole, ours.last) == (True, False, False)
    assert "of a part of this file alone" in ours.text


@settings(max_examples=100, deadline=None)
@given(st.integers(0, 10**9), st.integers(1, 255))
def test_every_changed_byte_that_is_signed_is_found(place, change):
    pdf = once()
    _, before, after, rest = ranges(pdf)
    at = place % (before + rest)
    at = at if at < before else at - before + after
    found = signatures_in(changed(pdf, at, change))

    assert not any(each.intact for each in found)


def test_bytes_that_come_after_are_told(tmp_path):
    for tail in (b"\n", b"% more\n", b"1 0 obj\n<<>>\nendobj\n"):
        (ours,) = signatures_in(once() + tail)
        (theirs,) = pdfsig(once() + tail, tmp_path)

        assert (ours.intact, ours.last) == (True, False)
        assert "to which something was added since" in ours.text
        assert "Not total document signed" in theirs


def test_a_page_that_is_replaced_afterwards_is_told():
    writer = pypdf.PdfWriter(io.BytesIO(once()), incremental=True)
    writer.add_blank_page(100, 100)
    more = io.BytesIO()
    writer.write(more)
    (ours,) = signatures_in(more.getvalue())

    assert more.getvalue().startswith(once())
    assert (ours.intact, ours.last) == (True, False)
    assert unsigned(more.getvalue()) == page()


def test_a_signature_whose_field_is_taken_away_afterwards_is_told():
    writer = pypdf.PdfWriter(io.BytesIO(once()), incremental=True)
    del writer.root_object["/AcroForm"]
    more = io.BytesIO()
    writer.write(more)

    assert signatures_in(more.getvalue()) == (BROKEN,)
    assert unsigned(more.getvalue()) == page()


@pytest.mark.parametrize("share", [0.3, 0.9, 0.95, 0.99])
def test_a_file_that_is_cut_off_raises_nothing(share):
    cut = once()[: int(len(once()) * share)]
    found = signatures_in(cut)

    assert not any(each.intact for each in found)
    assert found == ((BROKEN,) if b"/ByteRange" in cut else ())


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=200), st.integers(0, 10**6))
def test_rubbish_raises_nothing(rubbish, place):
    at = place % len(once())

    assert not any(each.intact for each in signatures_in(once()[:at] + rubbish + once()[at + 50 :]))
    assert unsigned(rubbish) == rubbish


def test_a_certificate_that_is_not_valid_then_signs_nothing():
    for when, said in ((LAST + timedelta(1), "expired"), (FIRST - timedelta(1), "not valid yet")):
        with pytest.raises(CertificateError, match=said):
            sign_pdf(certificate(), page(), reason="It.", when=when)


def test_a_time_outside_the_days_of_the_certificate_is_found():
    early = made(first=WHEN + timedelta(1), last=LAST)
    free = Certificate(SIGNER, "", FIRST, LAST, True, Signer(early.key, (early.der,)))
    (ours,) = signatures_in(sign_pdf(free, page(), reason="It.", when=WHEN))

    assert (ours.kind, ours.intact) == ("broken", True)
    assert "was not valid at the time it states" in ours.text


def test_a_file_that_cannot_be_added_to_is_refused():
    for bad in (b"", b"no pdf", page()[:-200]):
        with pytest.raises(CertificateError, match="damaged and cannot be signed"):
            sign_pdf(certificate(), bad, reason="It.", when=WHEN)


def test_it_signs_now_where_no_time_is_given():
    today = datetime.now(UTC)
    own = made(first=today - timedelta(2), last=today + timedelta(2))
    now = Certificate(
        SIGNER, "", today - timedelta(2), today + timedelta(2), True, Signer(own.key, (own.der,))
    )
    (ours,) = signatures_in(sign_pdf(now, page(), reason="It."))

    assert (ours.kind, ours.last) == ("self-signed", True)


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (
            PdfSignature("issued", "A", "B", None, True, True, True),
            "signature of this file as it is",
        ),
        (PdfSignature("issued", "A", "B", None, True, False, False), "signature of a part of this"),
    ],
)
def test_what_a_signature_shows_is_said(one, said):
    assert one.text.startswith(said)
    assert one.text.endswith(
        "certificate of “A”, issued by “B”, whom nobody here was told to trust"
    )


def test_the_issuer_is_named():
    (ours,) = signatures_in(once("issued"))

    assert ours.issuer == "Quarry Lane Test Office"
    assert AUTHORITY not in ours.text
    assert ours.trusted is None


def test_without_the_extra_a_signed_file_is_not_passed_over(monkeypatch):
    pdf, plain = once(), page()
    monkeypatch.setitem(sys.modules, "pyhanko.sign", None)

    assert signatures_in(plain) == ()
    assert unsigned(pdf) == plain
    with pytest.raises(CertificateError, match=r"install riskdoc\[certificates\]"):
        signatures_in(pdf)


def test_a_file_with_an_unclear_end_is_signed_again(monkeypatch, tmp_path):
    """Data that end in CR and the LF after them read as one end of line; one in 256 do."""
    left, spares, real = 2, [], pades._signed

    def stubborn(*args):
        nonlocal left
        left -= 1
        spares.append(args[-1])
        return real(*args) + b"\r\nendstream" * (left >= 0)

    monkeypatch.setattr(pades, "_signed", stubborn)
    pdf = sign_pdf(certificate(), page(), reason="It.", when=WHEN)

    assert spares == [0, 1, 2]
    assert checkers(pdf, tmp_path) == []
    left = pades.TRIES
    with pytest.raises(CertificateError, match="clear ends"):
        sign_pdf(certificate(), page(), reason="It.", when=WHEN)
