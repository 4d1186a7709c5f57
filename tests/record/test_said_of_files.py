"""What `verify` says of a file is so: of cards, line ends, missing records and days."""

from __future__ import annotations

import subprocess
import sys

import pytest
from support.papers import DAY, answers, folder, in_json, issued, put, signed, with_files
from support.signing import environment

from riskdoc.cli.verify_command import NOT_COVERED
from riskdoc.cli.verify_command import verify as verify_command
from riskdoc.job.reading import read
from riskdoc.report.attachments import job_attachment
from riskdoc.report.card import build_card, card_html, card_pdf
from riskdoc.signing.record_files import record_path
from riskdoc.verification.answers import ForeignError
from riskdoc.verification.verify import Answer, Verified, verified, verified_job

PAGES = "What can be read in the document"
DATES, RECORD = "Dates and states", "Record of sign-offs"
pytestmark = pytest.mark.usefixtures("computed_once", "looked_here")


def point(found: Verified, what: str):
    (one,) = [each for each in found.points if each.what == what]
    return one


def of_job(path) -> Verified:
    file = read(path, DAY).file
    assert file is not None
    return verified_job(path, file)


def card(form: str) -> bytes:
    made = build_card(issued().whole, issued().standing)
    if form == "html":
        return card_html(made, for_print=False).encode()
    return card_pdf(made, (job_attachment(issued().whole.plan.file),))


@pytest.mark.parametrize("form", ["html", "pdf"])
def test_a_crew_card_is_told_to_be_one_and_what_to_compare(form):
    with pytest.raises(ForeignError) as found:
        verified(card(form), DAY)
    assert "crew card" in str(found.value)
    assert "digest" in str(found.value)
    assert "printed anew" not in str(found.value)


@pytest.mark.parametrize(
    "change",
    [
        lambda page: page.replace(b"\n", b"\r\n"),
        lambda page: page + b"\n",
        lambda page: page + b"\r\n\r\n",
        lambda page: page.rstrip(b"\n") + b"\r",
    ],
    ids=["all", "one more", "two more", "the last"],
)
def test_line_ends_alone_are_told_as_such(change):
    told = point(verified(change(issued().html), DAY), PAGES)

    assert told.answer is Answer.BROKEN
    assert "the bytes are not those this version writes" in told.text.lower()
    assert "line ends" in told.text
    assert "pictures" not in told.text


def test_a_trailing_line_end_of_a_pdf_is_told_as_such():
    told = point(verified(issued().pdf + b"\n", DAY), PAGES)
    assert told.answer is Answer.BROKEN
    assert "line ends" in told.text


def test_changed_words_are_no_line_ends():
    page = issued().html.replace(b"Plain plan</h1>", b"Other plan</h1>")
    told = point(verified(page + b"\n", DAY), PAGES)
    assert "pictures were changed" in told.text


def test_no_chain_is_said_to_be_whole_where_there_is_no_record():
    told = point(of_job(put(folder())), RECORD)
    assert told.answer is Answer.NOT_DEMONSTRATED
    assert "chain" not in told.text
    assert "no record" in told.text.lower()


def other_content(page: bytes) -> bytes:
    return with_files(page, {"-content.json": in_json("format", to=2)})


def other_record(page: bytes) -> bytes:
    def cut(raw: bytes) -> bytes:
        return raw.replace(b"A. Lead", b"A. Leap")

    return with_files(page, {".signoff.yaml": cut})


@pytest.mark.parametrize("forge", [other_content, other_record])
def test_dates_do_not_hold_where_content_or_record_do_not(forge):
    told = answers(forge(issued().html))
    assert Answer.BROKEN in told.values()
    assert told[DATES] in (Answer.NOT_DEMONSTRATED, Answer.BROKEN)


def test_dates_that_rest_on_a_broken_content_say_so():
    def stated(raw: bytes) -> bytes:
        return in_json("digest", to="0" * 64)(raw)

    told = point(verified(with_files(issued().html, {"-figures.json": stated}), DAY), DATES)
    assert told.answer is Answer.NOT_DEMONSTRATED
    assert "does not hold" in told.text


def test_dates_of_a_document_that_holds_hold():
    assert answers(issued().html)[DATES] is Answer.HOLDS


def test_a_name_and_a_comment_of_a_job_are_not_signed_and_that_is_said(capsys):
    path = put(folder())
    signed(path)
    lines = path.read_text("utf-8")
    other = path.with_name("other.yaml")
    other.write_text(f"# Another load is carried too.\n{lines}", "utf-8")
    record_path(path).rename(record_path(other))

    assert verify_command(other, None, DAY) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "judged for the day 2027-06-01" in said
    for words in ("name of the job file", "comments", "order of its keys", "day of assessment",
                  "another content"):  # fmt: skip
        assert words in " ".join(NOT_COVERED.split())
        assert words in said


def test_the_module_is_a_command():
    found = subprocess.run(
        [sys.executable, "-m", "riskdoc", "--help"],
        capture_output=True, text=True, check=False, env=environment(),
    )  # fmt: skip
    assert found.returncode == 0, found.stderr
    assert "verify" in found.stdout
