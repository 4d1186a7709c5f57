"""What the tests share is what would be made anew, and is made once for the same input alone."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from datetime import date

import pytest
from support.mini import RULES, mini, put_mini
from support.shared import FOLDER, known, printed, shared_bytes, studied_once

from riskdoc.job.reading import JobFile, read
from riskdoc.report.attachments import report_attachments
from riskdoc.report.html import to_html
from riskdoc.report.pdf import to_pdf
from riskdoc.report.view import build
from riskdoc.requirements.dossier import dossier
from riskdoc.signing.sign_off_state import stand

DAY = date(2027, 6, 1)


@pytest.fixture
def file(tmp_path) -> JobFile:
    found = read(put_mini(tmp_path), DAY).file
    assert found is not None
    return found


def test_a_shared_dossier_prints_what_one_of_its_own_prints(file):
    studied_once(file)  # whoever made it first
    ours, shared = dossier(file), studied_once(file)
    pages = [to_html(build(each, stand(each)), for_print=True) for each in (ours, shared)]
    inside = [report_attachments(each, stand(each)) for each in (ours, shared)]

    assert shared is not studied_once(file)
    assert pages[0] == pages[1]
    assert inside[0] == inside[1]


def test_shared_bytes_of_a_pdf_are_those_that_are_printed_anew():
    assert printed(mini().view, mini().inside) == to_pdf(mini().view, mini().inside)


def test_any_other_input_is_another_dossier(file, tmp_path):
    same, other = read(tmp_path / "plan.yaml", DAY).file, read(tmp_path / "plan.yaml", DAY).file
    assert same is not None
    assert known(file) == known(same)
    late = read(tmp_path / "plan.yaml", date(2027, 6, 2)).file
    text = (tmp_path / "plan.yaml").read_text()
    (tmp_path / "plan.yaml").write_text(text + "# more\n")
    more = read(tmp_path / "plan.yaml", DAY).file
    found = {known(each) for each in (file, late, more, file.in_form(language="de"))}
    (tmp_path / "rules.yaml").write_text(RULES.replace("looked at", "seen"))
    found.add(known(other))

    assert len(found) == 5


def test_who_asks_at_once_waits_and_gets_what_was_made_once(tmp_path, monkeypatch):
    monkeypatch.setenv(FOLDER, str(tmp_path))
    calls = []

    def make() -> bytes:
        calls.append(1)
        time.sleep(0.2)
        return b"made"

    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(lambda _: shared_bytes("key", make), range(4)))

    assert (found, len(calls)) == ([b"made"] * 4, 1)


def test_what_failed_is_not_kept_and_without_a_folder_nothing_is(tmp_path, monkeypatch):
    def fail() -> bytes:
        raise ValueError("no")

    monkeypatch.setenv(FOLDER, str(tmp_path))
    with pytest.raises(ValueError, match="no"):
        shared_bytes("key", fail)
    assert shared_bytes("key", lambda: b"one") == b"one"
    monkeypatch.setenv(FOLDER, "")
    assert shared_bytes("key", lambda: b"two") == b"two"
