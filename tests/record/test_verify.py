"""A report is computed again from what is inside it: what was changed is found.

A small German plan that is issued is changed in every part; an attacker who knows the seal makes a
new one.
"""

from __future__ import annotations

import base64
import hashlib
import io
import re
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader, PdfWriter
from pypdf.generic import DecodedStreamObject, NameObject
from support.certificates import SECRET
from support.certificates import made as certificate
from support.demos import JOBS
from support.mini import mini

from riskdoc.cli import commands
from riskdoc.cli.verify_command import verify as verify_command
from riskdoc.job.reading import read
from riskdoc.report.seal import seal_holds, sealed_html, sealed_pdf
from riskdoc.signing import content
from riskdoc.signing.certificates import load
from riskdoc.signing.pades import sign_pdf
from riskdoc.verification import makes, verify
from riskdoc.verification.answers import ForeignError
from riskdoc.verification.differing import moved
from riskdoc.verification.holding import held
from riskdoc.verification.update import only_signed
from riskdoc.verification.verify import Answer, verified, verified_job

WITHIN = date(2027, 6, 1)
NAME = "plan.yaml"
PAGES = "What can be read in the document"
quick = settings(
    max_examples=200, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True
)


def job() -> Path:
    """The job file of the plan that is issued, with its record beside it."""
    return mini("de").path


@cache
def documents() -> tuple[bytes, bytes]:
    """It as PDF and as HTML."""
    return mini("de").pdf, mini("de").html


pytestmark = pytest.mark.usefixtures("computed_once")


def found_out(raw: bytes) -> bool:
    try:
        return not verified(raw, WITHIN).holds
    except ForeignError:
        return True


def answers(raw: bytes, on: date = WITHIN) -> dict[str, Answer]:
    return {each.what: each.answer for each in verified(raw, on).points}


def changed(raw: bytes, at: int, by: int) -> bytes:
    at %= len(raw)
    return raw[:at] + bytes([(raw[at] + 1 + by) % 256]) + raw[at + 1 :]


def with_file(page: bytes, tail: str, content: bytes) -> bytes:
    """The HTML document with another file in it, sealed anew."""
    pattern = rf'(<a download="[^"]*{re.escape(tail)}" href="data:[^;"]*;base64,)[^"]*'
    new, count = re.subn(
        pattern.encode(), lambda m: m[1] + base64.b64encode(content), page, count=1
    )
    assert count == 1
    return sealed_html(new)


@pytest.mark.parametrize("form", [0, 1], ids=["pdf", "html"])
def test_an_issued_document_holds_whole_and_needs_no_folder(form, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    found = verified(documents()[form], WITHIN)

    recorded = [each.what for each in found.points if each.answer is Answer.RECORDED]
    assert all(each.startswith("Sign-off of ") for each in recorded)
    assert len(recorded) == 2
    rest = [each for each in found.points if each.what not in recorded]
    assert {each.answer for each in rest} == {Answer.HOLDS}
    assert found.holds
    assert len(found.points) == 6 + len(recorded)
    assert (
        found.digest
        == hashlib.sha256(
            next(v for k, v in held(documents()[form]).files.items() if k.endswith("-content.json"))
        ).hexdigest()
    )
    assert verified(documents()[form], date(2027, 6, 2)) == found


@given(st.integers(0, 2**40), st.integers(0, 254))
@quick
def test_a_changed_byte_anywhere_in_the_html_is_found(at, by):
    assert found_out(changed(documents()[1], at, by))


@given(st.integers(0, 2**40), st.integers(0, 254))
@settings(quick, max_examples=30)
def test_a_changed_byte_anywhere_in_the_pdf_is_found(at, by):
    assert found_out(changed(documents()[0], at, by))


@pytest.mark.parametrize("tail", ["-content.json", "-figures.json", ".signoff.yaml"])
def test_a_changed_byte_in_a_file_inside_is_found_though_sealed_anew(tail):
    page = documents()[1]
    name = next(each for each in held(page).files if each.endswith(tail))
    raw = held(page).files[name]

    @given(st.integers(0, 2**40), st.integers(0, 254))
    @settings(quick, max_examples=40)
    def each(at, by):
        forged = with_file(page, tail, changed(raw, at, by))
        assert seal_holds(forged)
        assert found_out(forged)

    each()


def test_a_changed_byte_in_the_job_inside_is_found_though_sealed_anew():
    page = documents()[1]
    raw = held(page).files[NAME]

    @given(st.integers(0, 2**40), st.integers(0, 254))
    @settings(quick, max_examples=25)
    def each(at, by):
        assert found_out(with_file(page, NAME, changed(raw, at, by)))

    each()


def test_a_digit_of_the_job_is_found_as_such():
    page = documents()[1]
    raw = held(page).files[NAME]
    assert b'"mass": "80 kg"' in raw
    told = answers(with_file(page, NAME, raw.replace(b'"80 kg"', b'"81 kg"')))

    assert told["Figures and verdicts, computed again"] is Answer.BROKEN
    assert told["Content and digest"] is Answer.HOLDS


def test_changed_words_on_the_page_are_found_though_sealed_anew():
    page = documents()[1]
    old = b"AUSGEGEBEN: 2027-06-01 bis 2027-06-02"
    assert old in page
    forged = sealed_html(page.replace(old, b"AUSGEGEBEN: 2027-06-01 bis 2027-07-02"))

    assert seal_holds(forged)
    assert answers(forged)[PAGES] is Answer.BROKEN


def written(change) -> bytes:
    """The PDF changed by another program."""
    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(documents()[0])))
    change(writer)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def white_page(writer: PdfWriter) -> None:
    stream = DecodedStreamObject()
    stream.set_data(b"BT ET")
    writer.pages[0][NameObject("/Contents")] = writer._add_object(stream)


def test_a_changed_page_of_the_pdf_is_found():
    assert answers(written(white_page))[PAGES] is Answer.BROKEN


def test_a_pdf_without_its_files_is_refused_in_words():
    def strip(writer: PdfWriter) -> None:
        del writer._root_object["/Names"]

    with pytest.raises(ForeignError, match="holds no files"):
        verified(written(strip), WITHIN)


def test_a_pdf_of_another_make_is_refused_in_words():
    writer = PdfWriter()
    writer.add_blank_page(100, 100)
    out = io.BytesIO()
    writer.write(out)
    with pytest.raises(ForeignError, match="another make"):
        verified(out.getvalue(), WITHIN)
    writer.add_attachment("notes.txt", b"hello")
    out = io.BytesIO()
    writer.write(out)
    with pytest.raises(ForeignError, match="another make"):
        verified(out.getvalue(), WITHIN)


@pytest.mark.parametrize("raw", [b"", b"%PDF-1.7", b"\xff\xfe", b"<html></html>", b"riskdoc: 1"])
def test_what_is_no_document_is_refused(raw):
    with pytest.raises(ForeignError):
        verified(raw, WITHIN)


def test_a_document_that_was_cut_off_is_refused_or_found():
    for raw in documents():
        for part in (0.2, 0.5, 0.9, 0.9999):
            assert found_out(raw[: int(len(raw) * part)])


def test_a_name_that_leads_out_of_the_folder_is_refused():
    page = documents()[1].replace(b'download="plan.yaml"', b'download="../plan.yaml"')
    with pytest.raises(ForeignError, match="none of ours"):
        verified(page, WITHIN)


def test_a_record_of_another_job_is_found():
    other = (JOBS / "dam_b.signoff.yaml").read_bytes()
    forged = with_file(documents()[1], ".signoff.yaml", other)
    assert answers(forged)["Record of sign-offs"] is Answer.BROKEN


def test_after_its_last_day_it_does_not_hold_and_all_else_does():
    told = answers(documents()[1], date(2027, 6, 3))
    passed = (Answer.HOLDS, Answer.RECORDED)
    assert [what for what, each in told.items() if each not in passed] == ["Dates and states"]


def test_another_version_says_what_moved_and_why_that_can_be(monkeypatch):
    page = documents()[1]
    real = verify.content_of

    def newer(whole):
        found = real(whole)
        plain = {**found.plain, "version": "9.9.9"}
        figures = dict(found.plain["figures"])
        figures["kit/mass"] = {"value": [2500.0, 2600.0, 2700.0], "unit": "kg"}
        plain["figures"] = figures
        raw = content.canonical(plain)
        return content.Content(plain, raw, content.sha256(raw))

    monkeypatch.setattr(makes, "__version__", "9.9.9")
    monkeypatch.setattr(verify, "content_of", newer)
    points = {each.what: each for each in verified(page, WITHIN).points}
    point = points["Figures and verdicts, computed again"]

    assert point.answer is Answer.NOT_DEMONSTRATED
    assert "change log" in point.text
    assert any("kit/mass" in line and "2700" in line for line in point.details)
    assert points[PAGES].answer is Answer.NOT_DEMONSTRATED
    assert "seal holds" in points[PAGES].text


@pytest.fixture(scope="module")
def holder(tmp_path_factory):
    return load(certificate().file(tmp_path_factory.mktemp("key")), SECRET)


def test_a_signed_pdf_holds_and_says_what_the_signature_shows(holder):
    signed = sign_pdf(holder, documents()[0], when=datetime(2027, 5, 31, tzinfo=UTC))
    found = verified(signed, WITHIN)

    assert found.holds
    assert "signed by itself" in found.points[-2].text


def test_pages_changed_under_a_signature_of_ones_own_are_found(holder):
    """The signature is sound, and what it stands over is not what riskdoc wrote."""
    writer = PdfWriter(io.BytesIO(documents()[0]), incremental=True)
    white_page(writer)
    out = io.BytesIO()
    writer.write(out)
    assert out.getvalue().startswith(documents()[0])
    when = datetime(2027, 5, 31, tzinfo=UTC)
    forged = sign_pdf(holder, out.getvalue(), when=when)

    assert answers(forged)["Signature of the PDF file"] is Answer.RECORDED
    assert answers(forged)[PAGES] is Answer.BROKEN
    assert not only_signed(documents()[0], forged)


def test_another_root_is_found_though_every_object_is_as_it_was():
    """The trailer of an update names another catalog, and so another document."""
    raw = documents()[0]
    trailer = PdfReader(io.BytesIO(raw)).trailer
    number, pages = int(trailer["/Size"]), trailer["/Root"].raw_get("/Pages").idnum
    catalog = f"{number} 0 obj\n<< /Type /Catalog /Pages {pages} 0 R >>\nendobj\n"
    before = int(raw.rsplit(b"startxref", 1)[1].split()[0])
    table = (
        f"xref\n{number} 1\n{len(raw):010} 00000 n \n"
        f"trailer\n<< /Size {number + 1} /Root {number} 0 R /Prev {before} >>\n"
        f"startxref\n{len(raw) + len(catalog)}\n%%EOF\n"
    )
    forged = raw + (catalog + table).encode()

    assert PdfReader(io.BytesIO(forged)).trailer.raw_get("/Root").idnum == number
    assert not only_signed(raw, forged)


def test_bytes_after_the_signature_are_found(holder):
    when = datetime(2027, 5, 31, tzinfo=UTC)
    signed = sign_pdf(holder, documents()[0], when=when)
    assert found_out(signed + b"\n% more\n")
    assert found_out(documents()[0] + b"\n% more\n")


def test_the_seal_of_a_pdf_holds_and_ends_with_a_byte():
    raw = documents()[0]
    assert seal_holds(raw)
    assert not seal_holds(changed(raw, len(raw) // 2, 0))
    assert sealed_pdf(raw) == raw


def test_a_job_file_with_its_record_holds():
    file = read(job(), WITHIN).file
    assert file is not None
    assert verified_job(job(), file).holds


@pytest.mark.usefixtures("looked_here")
def test_the_command_says_it_in_words(tmp_path, capsys):
    path = tmp_path / "report.html"
    path.write_bytes(documents()[1])
    assert verify_command(path, None, WITHIN) == commands.ADEQUATE
    said = capsys.readouterr().out
    assert "Nothing in this file contradicts itself; who signed is not shown." in said
    assert "recorded name, not a verified" in " ".join(said.split()).lower()
    assert "What no file shows" in said
    assert verify_command(path, None, date(2028, 1, 1)) == commands.STOPPED
    assert verify_command(tmp_path / "none.pdf", None, WITHIN) == commands.FAULT
    path.write_bytes(b"<p>plain</p>")
    assert verify_command(path, None, WITHIN) == commands.FAULT
    assert "another make" in capsys.readouterr().err


def test_doubles_of_two_processors_are_one_number_and_a_digit_more_is_not():
    assert moved({"a": 1.0}, {"a": 1.0 + 1e-12}) == ()
    assert moved({"a": 1.0}, {"a": 1.0001}) == ("a: 1 became 1.0001",)
    assert moved({"a": True}, {"a": 1}) != ()
