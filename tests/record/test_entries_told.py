"""What stands in a record is said by `verify`: entries that do not count, meanings of one's own."""

from __future__ import annotations

import pytest
from support.papers import DAY, folder, paper, put, signed
from support.signing import chained, written

from riskdoc.cli.screen import summary
from riskdoc.i18n.say import Locale, say, speaking
from riskdoc.job.reading import read
from riskdoc.signing.entries import Entry
from riskdoc.signing.record_files import record_of, record_path
from riskdoc.signing.signing import MEANINGS, usual_words
from riskdoc.verification.verify import Answer, verified, verified_job

NO = "Ich lehne das ab. NICHT FREIGEGEBEN."


def with_entries(*changes: dict[str, str]):
    """A job whose record has these entries, each with a right hash."""
    path = put(folder())
    signed(path)
    digest = record_of(path).entries[0].digest
    hours = ({"time": f"2027-05-30T09:{n % 60:02}:00+00:00"} for n in range(len(changes)))
    both = ({"digest": digest, **hour, **each} for hour, each in zip(hours, changes, strict=True))
    written(record_path(path), chained(*both))
    return path


SIGNED = tuple({"role": role, "meaning": MEANINGS[role]} for role in ("prepared", "authorised"))
GONE = {"act": "withdraw", "role": "authorised", "name": "D. Fourth", "meaning": "No."}


def of_job(path):
    file = read(path, DAY).file
    assert file is not None
    return verified_job(path, file)


def said(found) -> str:
    lines = [" ".join((each.what, each.text, *each.details)) for each in found.points]
    return " ".join(lines)


def record_point(found):
    (point,) = [each for each in found.points if each.what == "Record of sign-offs"]
    return point


@pytest.mark.parametrize("form", ["job", "html"])
def test_a_withdrawal_of_another_revision_is_named(form):
    path = with_entries(*SIGNED, {**GONE, "revision": "B"})
    found = of_job(path) if form == "job" else verified(paper(path).html, DAY)
    point = record_point(found)

    assert found.holds
    assert "chain of 3 entries is whole" in point.text
    assert "1 of them does not count here" in point.text
    (line,) = point.details
    assert all(word in line for word in ("entry 3", "withdrawal", "'B'", "D. Fourth", "'A'"))


def test_a_sign_off_of_the_revision_before_in_one_record_is_named():
    """A job file that is edited into its next revision keeps its record."""
    path = with_entries(*({**each, "revision": "0"} for each in SIGNED), *SIGNED)
    found = of_job(path)
    assert found.holds
    assert [line.split(":")[0] for line in record_point(found).details] == ["entry 1", "entry 2"]


def test_an_entry_of_another_number_is_named_with_its_place():
    found = of_job(with_entries(*SIGNED, {**GONE, "number": "T-2"}))
    (point,) = [each for each in found.points if each.answer is Answer.BROKEN][:1]

    assert point.what == "Withdrawal of “D. Fourth” as “authorised”"
    assert point.text.startswith("Entry 3 of the record (withdrawal of 'T-2', revision 'A', by 'D.")
    assert "another document" in point.text


def test_a_plain_record_has_nothing_to_name():
    point = record_point(of_job(with_entries(*SIGNED)))
    assert (point.text, point.details) == ("The chain of 2 entries is whole.", ())


# ---------------------------------------------------------------- meanings


@pytest.mark.parametrize("form", ["job", "html"])
def test_a_meaning_in_their_own_words_is_quoted(form):
    path = with_entries(SIGNED[0], {**SIGNED[1], "meaning": NO})
    found = of_job(path) if form == "job" else verified(paper(path).html, DAY)
    told = [each for each in found.points if each.what.startswith("Sign-off of")]

    assert [each.details for each in told] == [(), (f"meaning in their own words: '{NO}'",)]


def test_a_long_meaning_is_shortened_and_nothing_of_it_moves_a_line():
    path = with_entries(SIGNED[0], {**SIGNED[1], "meaning": "No. \u200f" + "a" * 1900})
    line = next(line for each in of_job(path).points for line in each.details)
    assert line.startswith("meaning in their own words: 'No. \\u200f")
    assert line.endswith("…' (1905 characters)")
    assert len(line) < 500


def entry(role: str, meaning: str) -> Entry:
    return chained({"role": role, "meaning": meaning}).entries[0]


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("role", MEANINGS)
def test_the_usual_sentence_of_a_role_is_usual_in_every_language(language, role):
    with speaking(Locale(language)):
        words, name = say(MEANINGS[role]), say(role)
    assert usual_words(entry(role, words))
    assert usual_words(entry(name, words))
    assert not usual_words(entry(role, f"{words} Not."))


def test_the_sentence_of_another_role_is_not_usual():
    assert not usual_words(entry("authorised", MEANINGS["prepared"]))
    assert not usual_words(entry("rope chief", MEANINGS["authorised"]))


def test_page_1_and_the_terminal_name_who_signed_in_their_own_words():
    own, plain = (
        paper(with_entries(SIGNED[0], each)) for each in ({**SIGNED[1], "meaning": NO}, SIGNED[1])
    )
    words = "Signed with a meaning in their own words: authorised."
    for looked_at in (front, terminal):
        assert words in looked_at(own)
        assert words not in looked_at(plain)


def front(it) -> str:
    return it.html.decode()


def terminal(it) -> str:
    return " ".join(summary(it.standing))


def test_an_entry_that_ended_the_document_is_named_with_its_reason():
    point = record_point(of_job(with_entries(*SIGNED, {**GONE, "meaning": "The ring is loose."})))
    (line,) = point.details
    assert point.text == "The chain of 3 entries is whole."
    assert line.startswith("entry 3: withdrawal of 'T-1', revision 'A', by 'D. Fourth' as")
    assert line.endswith("'The ring is loose.'")


def test_of_very_many_entries_the_withdrawals_come_first_and_the_rest_is_counted():
    old = [{**SIGNED[0], "revision": "0", "time": "2027-05-29T09:00:00+00:00"}] * 150
    gone = {**GONE, "revision": "B", "time": "2027-05-29T10:00:00+00:00"}
    point = record_point(of_job(with_entries(*old, gone, *SIGNED)))

    assert "151 of them do not count here" in point.text
    assert point.details[0].startswith("entry 151: withdrawal of 'T-1', revision 'B'")
    assert point.details[1].startswith("entry 1: sign-off")
    assert point.details[-1] == "and 51 more"
    assert len(point.details) == 101
