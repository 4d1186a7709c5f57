"""Two documents that have one number and revision to the eye are not two documents."""

from __future__ import annotations

import re

import pytest
from support.papers import DAY, NOW, folder, paper, put, signed
from support.plan import BASE, merged
from support.signing import around_today, as_text, chained, written
from typer.testing import CliRunner

from riskdoc.cli.main import app
from riskdoc.job.alike import alike, plain_mark
from riskdoc.job.faults import Code, Refused
from riskdoc.job.reading import read, read_text
from riskdoc.requirements.dossier import brief_dossier
from riskdoc.signing.record_files import record_path
from riskdoc.signing.sign_off_state import State, stand
from riskdoc.signing.signing import RefusedError
from riskdoc.verification.verify import Answer, verified_job

SAME = [
    ("A", "a"), ("A", "\u0410"), ("B", "\u0392"), ("0", "O"), ("1", "l"), ("1", "I"), ("I", "l"),
    ("T-1", "T\u20101"), ("T-1", "T\u20131"), ("T-1", "T\u22121"), ("T-1", "\u0422-1"),
    ("T-1", "T-\u0661"), ("T-1", "\uff34-1"), ("T-1", "T\u200b-1"), ("T-1", "T-1\ufe0f"),
    ("T 1", "T\u00a01"), ("T 1", " T  1 "), ("ss", "\u00df"), ("\u00e9", "e\u0301"),
    ("T-1", "T-\u2160"), ("x", "\u0445"), ("V", "\u2164"),
]  # fmt: skip
OTHER = [("A", "B"), ("I", "L"), ("i", "l"), ("T-1", "T-2"), ("T-1", "T-11"), ("T-1", "T1"),
         ("A", "\u00c4"), ("\u0416", "X"), ("\u7532", "\u4e59"), ("A.1", "A.11"),
         ("O", "Q")]  # fmt: skip


@pytest.mark.parametrize(("one", "other"), SAME, ids=ascii)
def test_what_looks_or_reads_the_same_is_the_same(one, other):
    assert alike(one, other)
    assert alike(other, one)


@pytest.mark.parametrize(("one", "other"), OTHER, ids=ascii)
def test_what_is_told_apart_by_eye_is_not_the_same(one, other):
    assert not alike(one, other)


@pytest.mark.parametrize("key", ["number", "revision"])
@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("T\u200b1", "U\\+200B"), ("T\u00ad1", "U\\+00AD"), ("T\u20131", "U\\+2013"),
        ("T\u22121", "U\\+2212"), ("\u0422T", "mixed"), ("A\u0391", "mixed"),
        ("T\u00a01", "U\\+00A0"), ("\uff34", "U\\+FF34"), ("T\u3164", "U\\+3164"),
        ("T\ufe0f", "U\\+FE0F"), ("T  1", "blanks"), ("\u2160", "U\\+2160"),
    ],
)  # fmt: skip
def test_a_number_or_revision_that_does_not_look_like_what_it_is_is_a_fault(key, text, said):
    whole = as_text(merged(BASE, {"job": {key: text}}))
    (fault,) = read_text(whole, "plan.yaml", DAY).faults

    assert (fault.code, fault.where) == (Code.BAD_TEXT, f"job.{key}")
    assert re.search(said, fault.message)


@pytest.mark.parametrize("text", ["HV-041", "B", "2", "\u0410-1", "\u03a9", "\u7532\u7b2c1\u53f7A",
                                  "Pr\u00fcfung 7", "a.b/c_d", "\u05d0-1"])  # fmt: skip
def test_a_plain_number_is_taken(text):
    assert plain_mark(text) == text
    with pytest.raises(Refused):
        plain_mark(f"{text}\u2060")


# ---------------------------------------------------------------- sign


CYRILLIC = {"job": {"revision": "\u0410", "title": "Another plan"}}
"""Revision A as it looks, with another content."""


def test_another_content_under_a_revision_that_looks_the_same_is_not_signed():
    where = folder()
    signed(put(where))
    other = put(where, CYRILLIC, name="copy.yaml")

    with pytest.raises(RefusedError, match=r"looks the same.*U\+0410"):
        signed(other)
    assert not record_path(other).exists()


def test_the_same_holds_for_the_record_of_the_job_itself():
    path = put(folder())
    signed(path)
    put(path.parent, CYRILLIC)
    with pytest.raises(RefusedError, match="looks the same"):
        signed(path, now=NOW.replace(hour=12))


def test_a_number_in_other_letters_that_look_the_same_is_not_signed():
    where = folder()
    signed(put(where, {"job": {"number": "OA-041"}}))
    copy = {"job": {"number": "\u041e\u0410-041", "title": "Another plan"}}
    with pytest.raises(RefusedError, match="looks the same"):
        signed(put(where, copy, name="copy.yaml"))


def test_a_successor_that_looks_the_same_is_refused():
    where = folder()
    path = put(where, around_today())
    new = put(where, around_today(), CYRILLIC, name="new.yaml")
    words = ["--role", "prepared", "--name", "Ines", "--superseded-by", str(new), "--reason", "so"]
    found = CliRunner().invoke(app, ["sign", str(path), *words])

    assert found.exit_code == 2, found.output
    assert "same number and revision" in found.stderr


# ---------------------------------------------------------------- looked up in a folder


def test_a_sign_off_under_a_revision_that_looks_the_same_counts_against_a_document():
    where = folder()
    signed(put(where, CYRILLIC, name="copy.yaml"))

    assert paper(put(where)).standing.state is State.MISMATCH


def test_an_entry_of_a_revision_that_looks_the_same_does_not_sign_this_one():
    whole = brief_dossier(read(put(folder()), DAY).file)
    digest = stand(whole).content.digest
    forged = chained({"revision": "\u0410", "digest": digest})
    standing = stand(whole, forged)

    assert standing.state is State.MISMATCH
    assert standing.count == 0


def test_an_earlier_revision_that_looks_the_same_is_refused():
    where = folder()
    put(where, {"job": {"revision": "\u0410"}}, name="plan_a.yaml")
    replaces = {"replaces": {"file": "plan_a.yaml", "reason": "so"}}
    path = put(where, {"job": {"revision": "A", **replaces}})
    (fault,) = read(path, DAY).faults

    assert fault.code is Code.NO_EARLIER
    assert "looks the same" in fault.message


def test_an_earlier_revision_is_not_issued_by_entries_that_only_look_like_its_own():
    where = folder()
    old = put(where, name="plan_a.yaml")
    both = [{"role": role, "revision": "\u0410"} for role in ("prepared", "authorised")]
    written(record_path(old), chained(*both))
    replaces = {"replaces": {"file": "plan_a.yaml", "reason": "so"}}
    (before,) = paper(put(where, {"job": {"revision": "B", **replaces}})).standing.before

    assert before.state is State.DRAFT


def test_a_record_in_the_folder_that_cannot_be_read_is_told_by_verify():
    """It may hold a sign-off of the same number and revision with another content."""
    path = put(folder())
    signed(path)
    file = read(path, DAY).file
    assert file is not None
    assert verified_job(path, file).holds
    path.with_name("copy.signoff.yaml").write_bytes(b"signoff: 1\n")
    found = verified_job(path, file)

    assert not found.holds
    told = [each.answer for each in found.points if each.what == "Other records in the folder"]
    assert told == [Answer.NOT_DEMONSTRATED]


# ---------------------------------------------------------------- print


def test_letters_that_can_be_taken_for_others_are_named_on_page_1():
    path = put(folder(), {"job": {"revision": "\u0410"}})
    assert "T-1, \u0410 (Cyrillic letters)" in paper(path).html.decode()
    assert "letters)" not in paper(put(folder())).html.decode()
