"""The last known hash and state of each record stand in the document: what was cut off is told.

What a forger changed everywhere alike no file can show, and the words of the answer say so.
"""

from __future__ import annotations

import base64
import json
import re
from functools import cache

import pytest
from support.certificates import authority
from support.papers import (
    DAY,
    NOW,
    Paper,
    answers,
    folder,
    issued,
    paper,
    put,
    signed,
    with_files,
    words,
)

from riskdoc.job.reading import read
from riskdoc.report.seal import sealed_html
from riskdoc.requirements.dossier import brief_dossier
from riskdoc.signing.entries import Record, record_from
from riskdoc.signing.record_files import record_of
from riskdoc.signing.signing import Deed, act
from riskdoc.verification.answers import ForeignError
from riskdoc.verification.verify import Answer, verified

pytestmark = pytest.mark.usefixtures("computed_once")
RECORD, EARLIER = "Record of sign-offs", "Earlier revisions"


def ended(path, how: str = "withdraw", successor: str = "") -> None:
    """Ends a document an hour after it was signed."""
    file = read(path, NOW.date()).file
    assert file is not None
    deed = Deed(how, "authorised", "D. Fourth", "The ring is loose.", successor)
    act(path, brief_dossier(file), deed, NOW.replace(hour=12))


@cache
def withdrawn() -> Paper:
    path = put(folder())
    signed(path)
    ended(path)
    return paper(path)


@cache
def second(how: str = "withdraw") -> Paper:
    """A revision that replaces one which was signed and then withdrawn or superseded."""
    where = folder()
    first = put(where, name="plan_a.yaml")
    signed(first)
    ended(first, how, "T-1, B" if how == "supersede" else "")
    replaces = {"file": "plan_a.yaml", "reason": "longer ropes"}
    path = put(where, {"job": {"revision": "B", "replaces": replaces}}, name="plan_b.yaml")
    signed(path)
    return paper(path)


def shorter(entries: int):
    """A record cut to so many entries, its last line written anew: its chain is whole."""

    def cut(raw: bytes) -> bytes:
        held = record_from(raw, "plan.signoff.yaml")
        return Record(held.entries[:entries]).text.encode()

    return cut


def without(page: bytes, name: str) -> bytes:
    """The page without one of its files."""
    pattern = rf'<li><a download="{re.escape(name)}"[^\n]*\n'
    new, count = re.subn(pattern.encode(), b"", page)
    assert count == 1
    return sealed_html(new)


def text_of(page: bytes) -> str:
    """What the page says, without its files and marks."""
    return re.sub(
        r"<[^>]*>", " ", re.sub(r"<style>.*?</style>", "", page.decode(), flags=re.DOTALL)
    )


# ---------------------------------------------------------------- its own record


def test_the_last_hash_and_the_state_of_the_record_stand_in_the_document():
    last = record_of(withdrawn().path).last
    said = text_of(withdrawn().html)

    assert re.search(rf"withdrawn; 3 entries, the last with the hash {last}", said)
    assert "draft; no entries" in text_of(paper(put(folder())).html)


@pytest.mark.parametrize(("kept", "word"), [(2, "cut off"), (1, "cut off"), (0, "cut off")])
def test_a_withdrawal_that_was_cut_off_is_told_as_such(kept, word):
    forged = with_files(withdrawn().html, {".signoff.yaml": shorter(kept)})

    assert answers(forged)[RECORD] is Answer.BROKEN
    assert word in words(forged)
    assert "withdrawn" in words(forged)


def test_a_record_that_is_missing_is_told_as_missing():
    forged = without(withdrawn().html, "plan.signoff.yaml")

    assert answers(forged)[RECORD] is Answer.BROKEN
    assert "missing" in words(forged)


def test_entries_that_were_added_or_exchanged_are_told_apart():
    other = put(folder())
    signed(other, now=NOW.replace(hour=10))
    exchanged = with_files(
        issued().html, {".signoff.yaml": lambda _: record_of(other).text.encode()}
    )
    assert "another record" in words(exchanged)
    more = record_of(withdrawn().path)
    page = with_files(withdrawn().html, {".signoff.yaml": shorter(2)})

    def two(raw: bytes) -> bytes:
        plain = json.loads(raw)
        plain["document"] |= {"entries": 2, "last": more.entries[1].hash}
        return json.dumps(plain).encode()

    page = with_files(page, {"-figures.json": two})
    assert answers(page)[RECORD] is Answer.HOLDS  # it agrees with itself, and the pages do not
    page = with_files(page, {".signoff.yaml": lambda _: more.text.encode()})
    assert answers(page)[RECORD] is Answer.BROKEN
    assert "were added" in words(page)


# ---------------------------------------------------------------- earlier revisions


def test_a_revision_with_one_before_it_holds_and_prints_how_that_one_stood():
    page = second().html
    last = record_of(second().path.with_name("plan_a.yaml")).last

    assert answers(page)[EARLIER] is Answer.HOLDS
    assert verified(page, DAY).holds
    assert last in text_of(page)
    assert "withdrawn" in text_of(page)


def test_with_trust_an_earlier_revision_of_typed_names_is_not_demonstrated():
    told = answers(second().html, roots=(authority().der,))

    assert told[EARLIER] is Answer.NOT_DEMONSTRATED


def test_an_earlier_revision_that_was_changed_is_told_as_changed():
    """A comment alone: nothing else in the document comes from it."""
    forged = with_files(second().html, {"plan_a.yaml": lambda raw: raw + b"# more\n"})

    assert answers(forged)[EARLIER] is Answer.BROKEN
    assert "was changed" in words(forged)


def test_an_earlier_revision_that_is_missing_is_told_as_missing():
    with pytest.raises(ForeignError, match=r"plan_a\.yaml.*missing"):
        verified(without(second().html, "plan_a.yaml"), DAY)


@pytest.mark.parametrize("how", ["withdraw", "supersede"])
def test_a_withdrawal_of_an_earlier_revision_that_was_cut_off_is_told(how):
    forged = with_files(second(how).html, {"plan_a.signoff.yaml": shorter(2)})

    assert answers(forged)[EARLIER] is Answer.BROKEN
    assert "cut off" in words(forged)


def test_a_record_of_an_earlier_revision_that_is_missing_is_told():
    forged = without(second().html, "plan_a.signoff.yaml")

    assert answers(forged)[EARLIER] is Answer.BROKEN
    assert "missing" in words(forged)


def test_the_state_of_an_earlier_revision_cannot_be_stated_otherwise():
    def issued_still(raw: bytes) -> bytes:
        plain = json.loads(raw)
        plain["document"]["before"][0]["state"] = "issued"
        return json.dumps(plain).encode()

    told = answers(with_files(second().html, {"-figures.json": issued_still}))
    assert told[EARLIER] is Answer.BROKEN


def test_an_earlier_revision_two_back_is_signed_too():
    where = folder()
    put(where, name="plan_a.yaml")
    names = ("plan_a.yaml", "plan_b.yaml", "plan_c.yaml")
    for n, revision in ((1, "B"), (2, "C")):
        replaces = {"file": names[n - 1], "reason": "so"}
        put(where, {"job": {"revision": revision, "replaces": replaces}}, name=names[n])
    path = where / "plan_c.yaml"
    signed(path)
    page = paper(path).html
    assert answers(page)[EARLIER] is Answer.HOLDS

    forged = with_files(page, {"plan_a.yaml": lambda raw: raw + b"# more\n"})
    assert answers(forged)[EARLIER] is Answer.BROKEN
    assert "plan_a.yaml" in words(forged)


def test_a_document_made_while_an_earlier_record_was_damaged_says_so_and_is_no_false_alarm():
    where = folder()
    put(where, name="plan_a.yaml")
    (where / "plan_a.signoff.yaml").write_bytes(b"signoff: 1\n")
    replaces = {"file": "plan_a.yaml", "reason": "so"}
    path = put(where, {"job": {"revision": "B", "replaces": replaces}}, name="plan_b.yaml")
    signed(path)
    told = answers(paper(path).html)

    assert told[EARLIER] is Answer.NOT_DEMONSTRATED
    assert Answer.BROKEN not in told.values()
    assert base64.b64encode(b"signoff: 1\n") not in paper(path).html
