"""Updates of a signed PDF: only what our own signing writes may come after what was printed.

Every file here carries a sound signature of a stranger over all of it.
"""

from __future__ import annotations

import io
from datetime import UTC, datetime
from decimal import Decimal
from functools import cache

import pytest
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign import fields, signers
from pypdf import PdfReader, PdfWriter
from support.certificates import made
from support.papers import DAY, answers, folder, holder, issued
from support.updates import WHEN, Update, forged

from riskdoc.report.pdf import print_page
from riskdoc.signing import pades
from riskdoc.signing.pades import later_agree, sign_pdf, signatures_in
from riskdoc.verification import update as updates
from riskdoc.verification.pdftokens import TokenError, as_written, value_of
from riskdoc.verification.update import only_signed
from riskdoc.verification.verify import Answer, verified

pytestmark = pytest.mark.usefixtures("computed_once")
PAGES = "What can be read in the document"
STAMP = (
    b"<<\n/Type /XObject\n/Subtype /Form\n/BBox [ 0 0 595 842 ]\n/Length 0\n>>\nstream\n\nendstream"
)


@cache
def stranger():
    return holder(made("S. Stranger", number=9))


@cache
def before() -> bytes:
    """A small document, as our printer makes it."""
    page = "<!DOCTYPE html><html lang='en'><title>A title</title><body><h1>One</h1><p>It is so."
    return print_page(page, "0" * 64, attachments=issued().inside[:1])


def stamped(it: Update, keys: bytes) -> None:
    number = it.more(STAMP)
    it.add("field", keys % number)


def annotated(it: Update) -> None:
    number = it.more(
        b"<<\n/Type /Annot\n/Subtype /FreeText\n/Rect [ 0 0 500 500 ]\n/Contents (OK)\n>>"
    )
    it.put("page", b"0 R ]\n", b"0 R %d 0 R ]\n" % number)


def another_generation(it: Update) -> None:
    it.generations[it.page] = 1


def shadowed(it: Update) -> None:
    """Two objects of one number: the table names the first, a reader that searches the last."""
    it.between = b"%d 0 obj\n<<\n/Type /Page\n>>\nendobj\n" % it.page


ATTACKS = {
    "a rectangle twice": lambda it: it.put(
        "field", b"/P ", b"/Rect [ 0 0 595 842 ]\n/P "
    ),
    "a rectangle twice, the large one first": lambda it: it.put(
        "field", b"/Rect ", b"/Rect [ 0 0 595 842 ]\n/Rect "
    ),
    "a rectangle on the page": lambda it: it.put(
        "field", b"[ -9999 -9999 -9999 -9999 ]", b"[ 0 0 595 842 ]"
    ),
    "a zero rectangle with an appearance": lambda it: (
        it.put("field", b"[ -9999 -9999 -9999 -9999 ]", b"[ 0 0 0 0 ]"),
        stamped(it, b"/AP <<\n/N %d 0 R\n>>"),
    ),
    "an appearance": lambda it: stamped(it, b"/AP <<\n/N %d 0 R\n>>"),
    "an appearance under another spelling": lambda it: stamped(it, b"/A#50 <<\n/N %d 0 R\n>>"),
    "an action of the field": lambda it: it.add("field", b"/A <<\n/S /JavaScript\n/JS (x)\n>>"),
    "further actions": lambda it: it.add("field", b"/AA <<\n/E <<\n/S /Named\n>>\n>>"),
    "a look": lambda it: it.add("field", b"/MK <<\n/BG [ 0 1 0 ]\n>>"),
    "another kind of field": lambda it: it.put("field", b"/FT /Sig", b"/FT /Tx"),
    "no flags": lambda it: it.put("field", b"/F 132\n", b""),
    "another title": lambda it: it.put("field", b"Signature of", b"Approval of"),
    "another name": lambda it: it.put("field", b"(Signature1)", b"(Permit)"),
    "a form of its own": lambda it: it.add("form", b"/XFA [ (template) %d 0 R ]" % it.field),
    "appearances to be made": lambda it: it.add("form", b"/NeedAppearances true"),
    "resources of the form": lambda it: it.add("form", b"/DR <<\n>>"),
    "other flags": lambda it: it.put("form", b"/SigFlags 3", b"/SigFlags 1"),
    "a field more": lambda it: it.put("form", b"0 R ]", b"0 R %d 0 R ]" % it.signature),
    "an action when it is opened": lambda it: it.add("catalog", b"/OpenAction [ 7 0 R /Fit ]"),
    "actions of the document": lambda it: it.add("catalog", b"/AA <<\n/WC <<\n>>\n>>"),
    "rights": lambda it: it.add("catalog", b"/Perms <<\n>>"),
    "another version": lambda it: it.add("catalog", b"/Version /2.0"),
    "other pages": lambda it: it.put("catalog", b"/Pages 1 0 R", b"/Pages 4 0 R"),
    "a form twice": lambda it: it.add("catalog", b"/AcroForm %d 0 R" % it.form),
    "a note on the page": annotated,
    "other contents": lambda it: it.put("page", b"/Contents 6 0 R", b"/Contents [ 6 0 R 6 0 R ]"),
    "other resources": lambda it: it.put("page", b"/Resources 5 0 R", b"/Resources <<\n>>"),
    # To Python a reference to object 6 equals the number 6: such a page was blank, and held.
    "contents that are a number": lambda it: it.put("page", b"/Contents 6 0 R", b"/Contents 6"),
    "resources that are a number": lambda it: it.put("page", b"/Resources 5 0 R", b"/Resources 5"),
    "pages that are a number": lambda it: it.put("catalog", b"/Pages 1 0 R", b"/Pages 1"),
    "a field that is a number": lambda it: it.put(
        "form", b"%d 0 R ]" % it.field, b"%d ]" % it.field
    ),
    "a key in another spelling": lambda it: it.put("page", b"/Contents ", b"/#43ontents "),
    "a page turned": lambda it: it.add("page", b"/Rotate 180"),
    "a page cut": lambda it: it.add("page", b"/CropBox [ 0 0 10 10 ]"),
    "a page twice": lambda it: it.add("page", b"/Contents 5 0 R"),
    "an object more": lambda it: it.more(b"<<\n/S /JavaScript\n/JS (x)\n>>"),
    "nothing more at the end": lambda it: it.more(b"null"),
    "another object changed": lambda it: it.more(b"<<\n>>", number=6),
    "an object under another generation": another_generation,
    "two objects of one number": shadowed,
    "a comment": lambda it: it.put("page", b"/Type /Page\n", b"/Type /Page % >>\n"),
    "another spelling": lambda it: it.put("page", b"/Type /Page\n", b"/Type  /Page\n"),
    "a carriage return": lambda it: it.put("page", b"/Type /Page\n", b"/Type /Page\r\n"),
    "bytes between objects": lambda it: setattr(it, "between", b"\n"),
    "a comment between objects": lambda it: setattr(it, "between", b"% x\n"),
    "another reason": lambda it: it.put("signature", b"Issued as this file", b"Permit issued"),
    "a place in the signature": lambda it: it.add("signature", b"/Location (Office)"),
    "a reference in the signature": lambda it: it.add("signature", b"/Reference [ ]"),
    "another catalog": lambda it: it.trailer.update(Root=f"{it.page} 0 R"),
    "another title of the window": lambda it: it.trailer.update(Info=f"{it.form} 0 R"),
    "no title of the window": lambda it: it.trailer.pop("Info"),
    "another table before": lambda it: it.trailer.update(Prev="0"),
    "a lock": lambda it: it.trailer.update(Encrypt=f"{it.form} 0 R"),
    "a table beside the table": lambda it: it.trailer.update(XRefStm="0"),
    "a row for an object that is not there": lambda it: it.rows.update({6: b"\0" * 11}),
    "a row that leads elsewhere": lambda it: it.rows.update(
        {it.page: b"\1" + (9).to_bytes(8, "big") + b"\0\0"}
    ),
    "a table in letters": lambda it: setattr(it, "classic", True),
    "an end that is not signed": lambda it: setattr(it, "skipped", 6),
}  # fmt: skip


def test_the_update_that_our_signing_writes_is_taken_and_so_is_one_made_byte_by_byte():
    one = sign_pdf(stranger(), before(), when=WHEN)
    two = sign_pdf(stranger(), one, when=datetime(2027, 5, 31, tzinfo=UTC))
    for raw in (one, two, forged(stranger(), before())):
        assert only_signed(before(), raw)
        assert all(each.intact and each.whole for each in signatures_in(raw))


def test_the_spare_objects_of_a_second_try_are_taken():
    raw = pades._signed(stranger(), before(), pades.REASON, WHEN, 2)

    assert raw[len(before()) :].count(b" 0 obj\nnull\nendobj\n") == 2
    assert only_signed(before(), raw)


@pytest.mark.parametrize("how", ATTACKS)
def test_an_update_of_any_other_shape_is_refused(how):
    assert not only_signed(before(), forged(stranger(), before(), ATTACKS[how]))


@pytest.mark.parametrize("how", ["a zero rectangle with an appearance", "a note on the page"])
def test_what_was_put_over_page_1_does_not_hold_though_its_signature_is_sound(how):
    raw = forged(stranger(), issued().pdf, ATTACKS[how])
    (found,) = signatures_in(raw)

    assert found.intact
    assert answers(raw)[PAGES] is Answer.BROKEN
    assert not verified(raw, DAY).holds


def test_a_signature_that_shows_on_the_page_does_not_hold():
    """As any program for signing PDF makes it, with a box on page 1."""
    writer = IncrementalPdfFileWriter(io.BytesIO(before()))
    signer = signers.SimpleSigner.load_pkcs12(
        made("S. Stranger", number=9).file(folder()), passphrase=b"grey gneiss"
    )
    meta = signers.PdfSignatureMetadata(field_name="Permit", md_algorithm="sha256")
    spec = fields.SigFieldSpec("Permit", box=(50, 50, 500, 300))
    raw = signers.PdfSigner(meta, signer, new_field_spec=spec).sign_pdf(writer).getvalue()

    assert raw.startswith(before())
    assert not only_signed(before(), raw)


def test_an_update_without_a_signature_or_with_an_update_before_it_is_refused():
    writer = PdfWriter(io.BytesIO(before()), incremental=True)
    writer.pages[0].rotate(180)
    out = io.BytesIO()
    writer.write(out)
    turned = out.getvalue()

    assert turned.startswith(before())
    assert PdfReader(io.BytesIO(turned)).pages[0].rotation == 180
    assert not only_signed(before(), turned)
    assert not only_signed(before(), sign_pdf(stranger(), turned, when=WHEN))
    one = sign_pdf(stranger(), before(), when=WHEN)
    assert not only_signed(before(), one + turned[len(before()) :])
    assert not only_signed(before(), one + b"\n")
    assert not only_signed(before(), one[:-1])


def test_the_library_that_signs_takes_a_second_signature_of_ours_for_a_signature_alone():
    one = sign_pdf(stranger(), before(), when=WHEN)

    assert later_agree(one)
    assert later_agree(sign_pdf(stranger(), one, when=datetime(2027, 5, 31, tzinfo=UTC)))


@pytest.mark.parametrize("how", ["a note on the page", "other contents", "other pages"])
def test_the_library_that_signs_refuses_what_we_refuse(how):
    """A second opinion on updates after a first signature; it looks at less than we do."""
    one = sign_pdf(stranger(), before(), when=WHEN)
    change = ATTACKS[how] if how != "other pages" else ATTACKS["another object changed"]
    two = forged(stranger(), one, change)

    assert not only_signed(before(), two)
    assert not later_agree(two)


def test_a_file_that_the_library_refuses_is_refused_though_its_shape_is_ours(monkeypatch):
    two = sign_pdf(stranger(), sign_pdf(stranger(), before(), when=WHEN), when=WHEN)
    assert only_signed(before(), two)
    monkeypatch.setattr(updates, "later_agree", lambda _: False)
    assert not only_signed(before(), two)


@pytest.mark.parametrize(
    "raw",
    [b"<< /A 1 /A 2 >>", b"<< /A 1 /#41 2 >>", b"[ 1 % x\n]", b"7 1 R", b"<< A 1 >>", b"[ 1",
     b"<< /A >>", b"1 2", b"", b"(a", b"[ ]]", b"[" * 50 + b"]" * 50, b"<< /A 1\r\n>>", b"1\0"],
)  # fmt: skip
def test_what_two_readers_may_read_in_two_ways_is_no_object(raw):
    with pytest.raises(TokenError):
        value_of(raw)


def test_an_object_is_read_and_written_as_it_stands():
    raw = b"<<\n/A [ 1 -2.50 (x\\051\\n) <fEFF> ]\n/B <<\n/C /D#20E\n>>\n/F true\n/G null\n>>"
    assert as_written(raw) == raw
    assert value_of(raw) == {
        "A": [1, Decimal("-2.5"), b"x)\n", b"\xfe\xff"], "B": {"C": "D E"}, "F": True, "G": None,
    }  # fmt: skip
