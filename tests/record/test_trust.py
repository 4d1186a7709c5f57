"""What a sign-off shows: a typed name is recorded, a stranger's certificate is not trusted.

With `--trust` only a certificate that is listed, valid at its time and of who signed shows who.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from functools import cache

import pytest
from support.certificates import authority, made
from support.papers import DAY, NAMES, Paper, answers, folder, holder, issued, paper, put, signed

from riskdoc.cli.verify_command import verify as verify_command
from riskdoc.signing import cms_form, pades
from riskdoc.signing.pades import sign_pdf
from riskdoc.verification.verify import Answer, verified

pytestmark = pytest.mark.usefixtures("computed_once", "looked_here")
DATES = "Dates and states"
FILE = "Signature of the PDF file"
WHEN = datetime(2027, 5, 30, 12, tzinfo=UTC)
LEAD, FOURTH = (f"Sign-off of “{NAMES[role]}” as “{role}”" for role in ("prepared", "authorised"))


def lead():
    return made(NAMES["prepared"], by=authority(), number=1)


def fourth():
    return made(NAMES["authorised"], by=authority(), number=2)


def alone():
    """Made by oneself."""
    return made(NAMES["authorised"], number=3)


@cache
def certified(prepared: str = "lead", authorised: str = "fourth") -> Paper:
    """Signed by certificates that are named here; none is a typed name."""
    makers = {"lead": lead, "fourth": fourth, "alone": alone}
    by = {"prepared": prepared, "authorised": authorised}
    path = put(folder())
    signed(path, by={role: makers[name]() for role, name in by.items() if name != "none"})
    return paper(path)


ROOTS = (authority().der,)


def sum_of(raw: bytes, roots=()) -> str:
    return verified(raw, DAY, roots).sum


# ---------------------------------------------------------------- without --trust


def test_a_typed_name_is_recorded_only_and_the_sum_says_that_who_signed_is_not_shown():
    found = verified(issued().html, DAY)
    told = answers(issued().html)

    assert (told[LEAD], told[FOURTH]) == (Answer.RECORDED, Answer.RECORDED)
    assert {each for what, each in told.items() if what not in (LEAD, FOURTH)} == {Answer.HOLDS}
    assert found.holds
    assert found.sum == "Nothing in this file contradicts itself; who signed is not shown."


@pytest.mark.parametrize("by", ["fourth", "alone"])
def test_a_certificate_that_nobody_was_told_to_trust_shows_no_more_than_a_name(by):
    page = certified(authorised=by).html

    assert answers(page)[FOURTH] is Answer.RECORDED
    assert "who signed is not shown" in sum_of(page)


# ---------------------------------------------------------------- with --trust


def test_trusted_certificates_show_who_signed():
    found = verified(certified().html, DAY, ROOTS)

    assert {each.answer for each in found.points} == {Answer.HOLDS}
    assert found.holds
    assert "not shown" not in found.sum
    assert "trusted" in found.sum


@pytest.mark.parametrize("authorised", ["none", "alone"])
def test_an_entry_without_a_certificate_or_with_one_not_listed_is_not_demonstrated(authorised):
    page = certified(authorised=authorised).html
    told = answers(page, roots=ROOTS)

    assert told[LEAD] is Answer.HOLDS
    assert told[FOURTH] is Answer.NOT_DEMONSTRATED
    assert not verified(page, DAY, ROOTS).holds


def test_a_document_of_typed_names_alone_exits_1_with_trust_and_0_without(tmp_path, capsys):
    path, pem = tmp_path / "plan.html", tmp_path / "roots.pem"
    path.write_bytes(issued().html)
    pem.write_bytes(authority().pem)

    assert verify_command(path, None, DAY) == 0
    assert "who signed is not shown" in capsys.readouterr().out
    assert verify_command(path, pem, DAY) == 1
    said = capsys.readouterr().out
    assert "[not demonstrated] Sign-off of “A. Lead” as “prepared”" in said
    assert "All of it holds" not in said


def test_a_certificate_not_valid_at_the_time_of_its_entry_never_holds(monkeypatch):
    early = made(
        NAMES["authorised"], by=authority(), number=4, last=datetime(2027, 2, 1, tzinfo=UTC)
    )
    path = put(folder())
    monkeypatch.setattr(cms_form, "timely", lambda *_: None)
    monkeypatch.setattr("riskdoc.signing.signing.proof_of", lambda _: None, raising=False)
    signed(path, by={"prepared": lead(), "authorised": early})
    page = paper(path).html

    for roots in ((), ROOTS):
        told = answers(page, roots=roots)
        assert told[FOURTH] is Answer.BROKEN
        assert not verified(page, DAY, roots).holds


# ---------------------------------------------------------------- the signature of the PDF


@cache
def signed_pdf(by: str) -> bytes:
    makers = {"lead": lead, "fourth": fourth, "alone": alone}
    makers["stranger"] = lambda: made("S. Stranger", by=authority(), number=5)
    return sign_pdf(holder(makers[by]()), certified().pdf, when=WHEN)


def test_a_file_signed_by_one_of_those_who_signed_holds_with_trust_and_is_recorded_without():
    raw = signed_pdf("fourth")

    assert answers(raw, roots=ROOTS)[FILE] is Answer.HOLDS
    assert verified(raw, DAY, ROOTS).holds
    assert answers(raw)[FILE] is Answer.RECORDED


@pytest.mark.parametrize("by", ["alone", "stranger"])
def test_a_file_signed_by_a_stranger_is_not_demonstrated_with_trust(by):
    raw = signed_pdf(by)

    assert answers(raw, roots=ROOTS)[FILE] is Answer.NOT_DEMONSTRATED
    assert not verified(raw, DAY, ROOTS).holds
    assert answers(raw)[FILE] is Answer.RECORDED


def test_a_file_signed_by_an_expired_certificate_never_holds(monkeypatch):
    late = made(
        NAMES["authorised"], by=authority(), number=4, last=datetime(2027, 2, 1, tzinfo=UTC)
    )
    monkeypatch.setattr(pades, "timely", lambda *_: None)
    raw = sign_pdf(holder(late), certified().pdf, when=WHEN)

    for roots in ((), ROOTS):
        assert answers(raw, roots=roots)[FILE] is Answer.BROKEN


# ---------------------------------------------------------------- dates and states


def test_dates_and_states_is_the_name_of_the_point():
    assert answers(issued().html, date(2027, 6, 3))[DATES] is Answer.BROKEN
    assert not verified(issued().html, date(2027, 6, 3)).holds
    assert "May it be used" not in answers(issued().html)


def test_what_no_file_shows_is_named(tmp_path, capsys):
    path = tmp_path / "plan.html"
    path.write_bytes(issued().html)
    verify_command(path, None, DAY)
    said = " ".join(capsys.readouterr().out.split())
    for word in (
        "Pictures",
        "Job file",
        "Cut ends",
        "Earlier revisions",
        "Form",
        "typed name",
        "clock",
    ):
        assert word in said, word
