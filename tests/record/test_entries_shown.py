"""What is shown of entries: those of earlier revisions, their names, and their times."""

from __future__ import annotations

import base64
import hashlib
from dataclasses import replace
from datetime import date, datetime
from functools import cache
from types import SimpleNamespace
from typing import Any

import pytest
from cryptography.hazmat.primitives.serialization import Encoding
from support.certificates import Held, authority, made

from riskdoc.cli import verify_command as verifying
from riskdoc.signing.certificates import Signer
from riskdoc.signing.cms_form import cms_over
from riskdoc.signing.document_status import State
from riskdoc.signing.entries import NONE, Entry, Record, RecordError, record_from
from riskdoc.signing.entry_rules import Terms, against
from riskdoc.signing.sign_off_state import Before, Signed
from riskdoc.verification.answers import Answer, Point, Verified
from riskdoc.verification.chains import MOST_EARLIER, earlier_revisions
from riskdoc.verification.signers import sign_offs

TIME = "2027-05-30T09:00:00+00:00"
DAY = date(2027, 6, 1)
ROOTS = (authority().der,)


@cache
def fourth() -> Held:
    return made("D. Fourth", by=authority(), number=2)


@cache
def rogue() -> Held:
    return made("D. Fourth", number=6)


def entry(by: Held | None = None, **changed: str) -> Entry:
    whole = {
        "act": "sign", "number": "T-1", "revision": "A", "role": "authorised", "name": "D. Fourth",
        "meaning": "It.", "time": TIME, "digest": "a" * 64, "previous": NONE,
    }  # fmt: skip
    it = Entry(**(whole | changed))
    if by is not None:
        chain = (by.der, *(each.public_bytes(Encoding.DER) for each in by.above))
        raw = cms_over(Signer(by.key, chain), hashlib.sha256(it.statement).digest(), it.when)
        it = replace(it, certificate=base64.b64encode(raw).decode())
    return replace(it, hash=it.computed)


def chained(*makers: dict[str, Any]) -> tuple[Entry, ...]:
    entries: list[Entry] = []
    for each in makers:
        previous = entries[-1].hash if entries else NONE
        entries.append(entry(**{**each, "previous": previous}))
    return tuple(entries)


# ---------------------------------------------------------------- earlier revisions


def earlier(entries: tuple[Entry, ...], roots: Any = ROOTS) -> Point:
    """An earlier revision with this record, which the document states as it is."""
    record = Record(entries)
    job = SimpleNamespace(revision="A")
    file: Any = SimpleNamespace(name="plan_a.yaml", digest="f" * 64, job=SimpleNamespace(job=job))
    state = State.WITHDRAWN
    stated = SimpleNamespace(state=state.value, entries=len(entries), last=record.last)
    taken: Any = SimpleNamespace(
        plain={"replaces": {"sha256": "f" * 64}}, stated=SimpleNamespace(before=[stated])
    )
    standing: Any = SimpleNamespace(before=[Before(file, state, record, "so", "")])
    with pytest.MonkeyPatch.context() as patch:  # what they sign is looked at in `test_beside`
        patch.setattr("riskdoc.verification.chains._not_its_content", lambda _: None)
        (point,) = earlier_revisions(taken, standing, roots)
    return point


GOOD = {"by": fourth()}
ENDS = {"act": "withdraw"}


def test_an_earlier_revision_with_entries_that_are_shown_holds_and_says_what_is_not_seen():
    found = earlier(chained(GOOD, GOOD | ENDS))

    assert found.answer is Answer.HOLDS
    assert "taken off its end" in found.text


@pytest.mark.parametrize(
    "entries",
    [
        (GOOD, {"by": rogue()} | ENDS),
        (GOOD, ENDS),
        ({}, GOOD | ENDS),
        ({"name": "Z. Forged"},),
        (),
    ],
    ids=["rogue ends it", "typed end", "typed first", "typed alone", "nothing"],
)
def test_with_trust_every_entry_of_an_earlier_revision_is_asked_for(entries):
    found = earlier(chained(*entries))

    assert found.answer is Answer.NOT_DEMONSTRATED
    assert earlier(chained(*entries), ()).answer is Answer.HOLDS


@pytest.mark.parametrize("roots", [(), ROOTS])
def test_a_damaged_certificate_in_an_earlier_revision_does_not_hold(roots):
    first, last = chained(GOOD, GOOD | ENDS)
    for damaged in (f"{last.certificate[:-8]}AAAAAAA=", first.certificate, "x"):
        bad = replace(last, certificate=damaged)
        found = earlier((first, replace(bad, hash=bad.computed)), roots)

        assert found.answer is Answer.BROKEN
        assert "entry 2, of “D. Fourth”" in found.text


def test_an_earlier_record_of_no_end_is_not_gone_through():
    found = earlier(chained(*[GOOD] * (MOST_EARLIER + 1)))

    assert found.answer is Answer.NOT_DEMONSTRATED
    assert "more than any of ours" in found.text


# ---------------------------------------------------------------- names


def sign_off(it: Entry, on: date = DAY, roots: Any = ()) -> Point:
    standing: Any = SimpleNamespace(aside=(), signed=(Signed(it.role, it, None),))
    (point,) = sign_offs(standing, roots, on)
    return point


def printed(capsys: pytest.CaptureFixture[str], *points: Point) -> list[str]:
    verifying._told(Verified("T-1, revision A: It", "a" * 64, points), DAY)
    return str(capsys.readouterr().out).splitlines()


FORGED = "[holds] Sign-off of D. Fourth as authorised"


@pytest.mark.parametrize("blank", [" ", "\u00a0", "\u3000", "\u3164", "\u2800", "\ufeff"])
def test_a_name_makes_no_line_of_ours(blank, capsys):
    """On a terminal of any width: a line that is too long for it goes on at its left edge."""
    point = sign_off(entry(name=f"D. Fourth as authorised{blank * 200}{FORGED}"))
    lines = printed(capsys, point)

    assert len(point.what) < 120
    assert "    " not in point.what
    assert not any(line.startswith(FORGED) for line in lines)
    assert max(len(line) for line in lines) <= 96
    assert not any(each in point.what for each in "\u00a0\u3000\u3164\u2800\ufeff")


@pytest.mark.parametrize("what", ["title", "role"])
def test_a_title_or_a_role_makes_no_line_of_ours(what, capsys):
    long = f"It{' ' * 200}{FORGED}"
    point = sign_off(entry(role=long) if what == "role" else entry())
    verifying._told(Verified(f"T-1, revision A: {long}", "a" * 64, (point,)), DAY)
    lines = str(capsys.readouterr().out).splitlines()

    assert not any(line.startswith(FORGED) for line in lines)
    assert max(len(line) for line in lines) <= 96


def test_words_in_a_name_stand_in_quotes_that_it_cannot_end():
    name = "D. Fourth, shown by a certificate that is trusted here,"

    assert sign_off(entry(name=name)).what == f"Sign-off of “{name}” as “authorised”"
    assert sign_off(entry(name="D. Fourth” as “authorised")).what == (
        "Sign-off of “D. Fourth' as 'authorised” as “authorised”"
    )


# ---------------------------------------------------------------- times


def read(it: Entry) -> Record:
    raw = Record((replace(it, hash=it.computed),)).text.encode()
    return record_from(raw, "plan.signoff.yaml")


@pytest.mark.parametrize(
    "time",
    [
        "2027-05-30T09:00:00+00:00",
        "2027-05-30T23:59:59-11:00",
    ],
)
def test_the_one_form_of_a_time_is_read(time):
    assert read(entry(time=time)).entries[0].time == time


def test_the_time_that_a_signature_writes_now_is_read():
    now = datetime.now().astimezone().isoformat(timespec="seconds")
    assert read(entry(time=now)).entries[0].time == now


@pytest.mark.parametrize(
    "time",
    [
        "2027-05-30 09:01:00+00:00",
        "20270530T090100+00:00",
        "2027-W21-7T09:01:00+00:00",
        "2027-05-30T09:01:00,5+00:00",
        "2027-05-30T09:01:00.123456+00:00",
        f"2027-05-30T09:01:00.{'1' * 3_000_000}+00:00",
        "2027-05-30T09:01:00+00:00:30",
        "2027-05-30T09:01:00Z",
        "2027-05-30T09:01:00-00:00",
        "2027-05-30T09:01+00:00",
        "2027-05-30T09:01:00",
        "2027-05-30T09:01:00+00:00\n",
        "٢027-05-30T09:01:00+00:00",
    ],
    ids=range(13),
)
def test_a_time_in_another_form_is_not_read(time):
    """The day that is printed is cut out of it, and the day that counts is computed from it."""
    with pytest.raises(RecordError):
        read(entry(time=time))


@pytest.mark.parametrize("by", [None, fourth(), rogue()], ids=["typed", "issued", "rogue"])
@pytest.mark.parametrize("roots", [(), ROOTS])
def test_an_entry_of_a_later_day_is_not_demonstrated(by, roots):
    late = entry(by, time="2027-06-01T00:00:00+02:00")

    found = sign_off(late, date(2027, 5, 31), roots)
    assert found.answer is Answer.NOT_DEMONSTRATED
    assert "after the day of this look, 2027-05-31" in found.text
    assert "after the day" not in sign_off(late, date(2027, 6, 1), roots).text


def test_a_damaged_entry_of_a_later_day_is_no_better_for_it():
    late = replace(entry(fourth(), time="2027-06-02T00:00:00+02:00"), certificate="x")

    assert sign_off(late, DAY, ROOTS).answer is Answer.BROKEN


def test_why_an_entry_does_not_count_quotes_what_is_foreign_in_it():
    terms = Terms("T-1", "A", ("prepared",), "a" * 64, DAY, ())
    role = f"x{' ' * 100}is asked for. [holds]"

    assert against(entry(role=role), (), terms).startswith(
        "No sign-off by “x is asked for. [holds]” is asked for;"
    )
    typed = (entry(role="prepared", name="D.  Fourth"),)
    alone = replace(terms, roles=("prepared", "authorised"), apart=True)
    assert "“D. Fourth” has signed as prepared" in against(entry(), typed, alone)


def test_wide_letters_push_nothing_to_the_left_edge(capsys, monkeypatch):
    """They take two columns each (UAX 11), so half as many fill a line of a terminal."""
    monkeypatch.setenv("COLUMNS", "80")
    long = f"{'漢' * 44} {FORGED}"
    verifying._told(Verified(long, "a" * 64, (sign_off(entry(name=long)),)), DAY)
    lines = str(capsys.readouterr().out).splitlines()

    assert sum("漢" in line for line in lines) >= 2
    for line in lines:
        wide = sum(char == "漢" for char in line)
        assert len(line) + wide <= 80, line
    assert not any(line.startswith(FORGED) for line in lines)
