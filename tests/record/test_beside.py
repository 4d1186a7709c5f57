"""What stands beside a job: earlier revisions that were changed, and records that end a revision.

Each was passed over once, and the answer was that the document holds.
"""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import pytest
from support.certificates import authority, made
from support.papers import (
    DAY,
    NOW,
    answers,
    folder,
    holder,
    in_json,
    paper,
    put,
    signed,
    with_files,
    words,
)

from riskdoc.job.reading import read
from riskdoc.requirements.dossier import brief_dossier
from riskdoc.signing import sign_off_state as module
from riskdoc.signing.canonical import canonical
from riskdoc.signing.cms_form import signed as sealed
from riskdoc.signing.document_status import State
from riskdoc.signing.entries import Record
from riskdoc.signing.record_files import record_path
from riskdoc.signing.sign_off_state import stand
from riskdoc.signing.signing import Deed, RefusedError, act
from riskdoc.verification.answers import Answer
from riskdoc.verification.verify import Verified, verified_job

EARLIER, DATES = "Earlier revisions", "Dates and states"
NAMES = {"prepared": "A. Lead", "authorised": "D. Fourth"}


@cache
def keys() -> dict[str, object]:
    """A certificate of the crew's authority for each who signs."""
    return {role: made(name, by=authority(), number=20 + n)
            for n, (role, name) in enumerate(NAMES.items())}  # fmt: skip


def of_job(path: Path, roots: tuple[bytes, ...] = ()) -> Verified:
    file = read(path, DAY).file
    assert file is not None
    return verified_job(path, file, roots)


def answer(found: Verified, what: str) -> tuple[Answer, str]:
    (it,) = [each for each in found.points if each.what == what]
    return it.answer, it.text


def withdrawn(path: Path) -> None:
    file = read(path, NOW.date()).file
    assert file is not None
    deed = Deed("withdraw", "authorised", "D. Fourth", "The beam is cracked.")
    act(path, brief_dossier(file), deed, NOW.replace(hour=12))


def revised(where: Path, *, changed: bool, **by: object) -> Path:
    """Revision A, signed, and changed after that or not; and revision B, signed."""
    first = put(where, name="plan_a.yaml")
    signed(first)
    if changed:
        put(where, {"job": {"title": "Another plan"}}, name="plan_a.yaml")
    replaces = {"file": "plan_a.yaml", "reason": "longer ropes"}
    path = put(where, {"job": {"revision": "B", "replaces": replaces}}, name="plan_b.yaml")
    signed(path, **by)
    return path


def test_an_earlier_revision_that_was_changed_after_its_sign_off_is_not_shown():
    path = revised(folder(), changed=True)
    page = paper(path).html

    assert answers(page)[EARLIER] is Answer.NOT_DEMONSTRATED
    assert "entry 1 of its record does not count for this job file" in words(page)
    assert answer(of_job(path), EARLIER)[0] is Answer.NOT_DEMONSTRATED


def test_an_earlier_revision_as_it_was_signed_holds():
    path = revised(folder(), changed=False)

    assert answers(paper(path).html)[EARLIER] is Answer.HOLDS
    assert answer(of_job(path), EARLIER)[0] is Answer.HOLDS


def test_with_trust_a_job_file_asks_for_the_certificates_of_earlier_revisions_too():
    path = revised(folder(), changed=False, by=keys())
    found = of_job(path, (authority().der,))

    assert answer(found, EARLIER)[0] is Answer.NOT_DEMONSTRATED
    assert answer(found, "Sign-off of “D. Fourth” as “authorised”")[0] is Answer.HOLDS
    record_path(path.with_name("plan_a.yaml")).unlink()
    assert answer(of_job(path, (authority().der,)), EARLIER)[0] is Answer.NOT_DEMONSTRATED


def copied(where: Path, name: str, *, record: bool) -> Path:
    """A signed plan of which a copy was made before it was withdrawn."""
    path = put(where)
    signed(path)
    other = where / name
    shutil.copy(path, other)
    if record:
        shutil.copy(record_path(path), record_path(other))
    withdrawn(path)
    return other


@pytest.mark.parametrize("name", ["copy.yaml", ".copy.yaml"])
def test_a_copy_of_what_was_withdrawn_is_not_issued(name):
    other = copied(folder(), name, record=True)
    found = of_job(other)

    assert answer(found, DATES)[0] is Answer.BROKEN
    assert paper(other).standing.state is State.MISMATCH


def test_a_copy_of_what_was_withdrawn_is_not_signed_again():
    other = copied(folder(), "copy.yaml", record=False)

    with pytest.raises(RefusedError, match=r"was withdrawn by D\. Fourth .* in plan\.signoff"):
        signed(other, now=NOW.replace(hour=14))
    assert not record_path(other).exists()


def test_a_record_with_a_hidden_name_counts():
    where = folder()
    hidden = put(where, {"job": {"title": "Another plan"}}, name=".plan.yaml")
    signed(hidden)

    with pytest.raises(RefusedError, match="another content"):
        signed(put(where))


def test_an_entry_that_ended_a_revision_says_what_shows_it():
    path = put(folder())
    signed(path)
    withdrawn(path)

    assert "by 'D. Fourth' as 'authorised' (shown by nothing)" in words(paper(path).html)


def test_more_than_libraries_under_libraries_is_no_content_of_ours():
    path = put(folder())
    raw = paper(path).html

    def more(content: bytes) -> bytes:
        changed = in_json("libraries", "checked by", to="the ministry")(content)
        return canonical(json.loads(changed))

    forged = with_files(raw, {"-content.json": more})
    assert answers(forged)["Figures and verdicts, computed again"] is Answer.BROKEN


def test_after_so_many_entries_that_do_not_count_no_certificate_is_looked_at(monkeypatch):
    """Each of them took a tenth of a second: 400 a quarter of a minute."""
    path = put(folder())
    file = read(path, NOW.date()).file
    assert file is not None
    whole, other = brief_dossier(file), made("Z. Other", by=authority(), number=30)
    looked = []
    proof = module.proof_of
    monkeypatch.setattr(module, "proof_of", lambda *of: looked.append(of) or proof(*of))
    entry = act(put(folder()), whole, Deed("sign", "prepared", "A. Lead", "So."),
                datetime(2027, 5, 30, 9, tzinfo=UTC))  # fmt: skip
    certificate = sealed(holder(other), entry.statement, entry.when)
    entries = []
    for _ in range(60):
        it = replace(entry, previous=entries[-1].hash if entries else entry.previous,
                     certificate=certificate)  # fmt: skip
        entries.append(replace(it, hash=it.computed))
    found = stand(whole, Record(tuple(entries)))

    assert len(found.aside) == 60
    assert len(looked) <= module.MOST_ASIDE + len(found.signed)
    assert "not looked at" in found.aside[-1][1]
