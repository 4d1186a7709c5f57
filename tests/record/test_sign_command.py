"""`sign` as somebody types it: what it prints, how it exits, and what it leaves behind."""

from __future__ import annotations

import json
import os
import re
import resource
import stat
import subprocess
import sys
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from support.plan import BASE, COPING, merged, over_edges
from support.signing import around_today, as_text, chained, environment, written
from typer.testing import CliRunner

from riskdoc.cli.main import app
from riskdoc.job.reading import read
from riskdoc.requirements.dossier import brief_dossier
from riskdoc.signing.content import content_of
from riskdoc.signing.record_files import record_of, record_path

NAME = "Ines Kolberg"
SINGLE = {"signoff": {"roles": ["prepared"]}}


@pytest.fixture
def job(tmp_path):
    """Writes the plain plan with changes, on days around today."""

    def write(*changes, name="plan.yaml", days=(-1, 2)) -> Path:
        whole = merged(BASE, around_today(*days))
        for change in changes:
            whole = merged(whole, change)
        path = tmp_path / name
        path.write_text(as_text(whole), "utf-8")
        return path

    return write


def typed(*words: object):
    """What a command does in this process."""
    found = CliRunner().invoke(app, ["sign", *map(str, words)])
    if found.exception is not None and not isinstance(found.exception, SystemExit):
        raise found.exception
    return found


def sign(path: Path, *words: object, role: str = "prepared", name: str | None = NAME):
    who = ["--name", name] if name is not None else []
    return typed(path, "--role", role, *who, *words)


def assert_refused(found, code: int, *words: str) -> str:
    """What is said where nothing is done: on standard error, in whole sentences, no traceback."""
    said = found.stderr
    assert found.exit_code == code, (found.exit_code, found.output)
    assert found.stdout == ""
    assert "Traceback" not in said
    for word in words:
        assert word in said, said
    return said


def files(folder: Path) -> dict[str, bytes]:
    """What stands in a folder, locks left out: they hold nothing."""
    return {
        path.name: path.read_bytes()
        for path in folder.iterdir()
        if path.is_file() and not path.name.endswith(".lock")
    }


# ---------------------------------------------------------------- what is printed


def test_a_sign_off_is_written_beside_the_job_and_told_with_its_digest(job):
    path = job()
    before = datetime.now().astimezone().replace(microsecond=0)
    found = sign(path)
    (entry,) = record_of(path).entries

    assert found.exit_code == 0, found.output
    assert found.stderr == ""
    lines = found.stdout.splitlines()
    assert lines[0] == f"{NAME} signed T-1, revision A, as prepared, {entry.time}."
    assert lines[1].startswith("It means: I wrote this assessment")
    assert entry.digest in lines[2]
    assert lines[3] == "This is a recorded name, not a verified signature."
    assert lines[-1] == f"written to {record_path(path)}"
    assert entry.meaning == lines[1].removeprefix("It means: ")
    assert before <= entry.when <= datetime.now().astimezone()
    assert entry.when.utcoffset() is not None


def test_the_digest_that_is_told_is_that_of_check_json(job):
    path = job()
    told = re.search(r"sha256 ([0-9a-f]{64})", sign(path).stdout).group(1)
    found = CliRunner().invoke(app, ["check", str(path), "--json"])
    plain = json.loads(found.stdout)

    assert plain["digest"] == told
    assert plain["document"]["entries"] == 1
    assert plain["document"]["signed"][0]["name"] == NAME


def test_a_whole_life_as_it_is_typed(job):
    path = job()
    new = job({"job": {"revision": "B"}}, name="plan_b.yaml")
    assert sign(path).exit_code == 0
    assert sign(path, role="authorised", name="Otto Marn").exit_code == 0
    found = sign(path, "--superseded-by", new, "--reason", "The wind")

    assert found.exit_code == 0, found.output
    assert f"{NAME} superseded T-1, revision A" in found.stdout
    assert "It means: The wind" in found.stdout
    last = record_of(path).entries[-1]
    assert (last.act, last.successor) == ("supersede", "T-1, B")
    assert_refused(sign(path), 2, "superseded", "Nothing was signed and nothing was written.")
    assert len(record_of(path).entries) == 3


def test_a_revision_is_withdrawn_for_a_reason(job):
    path = job()
    found = sign(path, "--withdraw", "--reason", "The ring has come loose")

    assert found.exit_code == 0, found.output
    assert f"{NAME} withdrew T-1, revision A" in found.stdout
    assert record_of(path).entries[0].meaning == "The ring has come loose"


def test_it_is_the_same_typed_in_a_shell(job):
    path = job()
    found = subprocess.run(
        [sys.executable, "-m", "riskdoc.cli", "sign", path.name, "--role", "prepared",
         "--name", "Zoë Kovač"],
        capture_output=True, text=True, check=False, cwd=path.parent, env=environment(), timeout=60,
    )  # fmt: skip

    assert found.returncode == 0, found.stderr
    assert found.stdout.startswith("Zoë Kovač signed T-1")
    assert "written to plan.signoff.yaml" in found.stdout
    assert record_of(path).entries[0].name == "Zoë Kovač"


def test_a_meaning_of_ones_own_is_recorded_as_it_is_said(job):
    path = job()
    found = sign(path, "--meaning", "I walked every edge: it is so.")

    assert found.exit_code == 0
    assert "It means: I walked every edge: it is so." in found.stdout


def test_a_role_without_usual_words_has_to_say_what_it_means(job):
    path = job({"signoff": {"roles": ["rope chief"]}})
    assert_refused(sign(path, role="rope chief"), 2, "--meaning")

    assert sign(path, "--meaning", "I agree.", role="rope chief").exit_code == 0


@pytest.mark.parametrize("role", ["erstellt", "geprüft", "genehmigt"])
def test_the_usual_german_roles_need_no_meaning_in_a_german_job(job, role):
    path = job({"report": {"language": "de"}, "signoff": {"roles": [role]}})
    found = sign(path, role=role)

    assert found.exit_code == 0, found.output
    meaning = record_of(path).entries[0].meaning
    assert re.search(r"\b[Ii]ch\b", meaning)
    assert "assessment" not in meaning


# ---------------------------------------------------------------- slips of the hand


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--rol", "prepared"], "--role"),
        (["--name", NAME], "--role"),
        (["--role", "prepared", "--withdrawn"], "--withdraw"),
        (["--role", "prepared", "--name"], "--name"),
        (["--role", "prepared", "--on", "2027-06-01"], "--on"),
        (["--role", "prepared", "more.yaml"], "more.yaml"),
    ],
    ids=lambda each: " ".join(each) if isinstance(each, list) else each,
)
def test_an_option_that_is_not_there_or_lacks_its_word_is_told(job, words, said):
    path = job()
    found = typed(path, *words)

    assert found.exit_code == 2
    assert said in found.stderr
    assert not record_path(path).exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--withdraw"], "--reason"),
        (["--withdraw", "--reason", ""], "--reason"),
        (["--superseded-by", "b.yaml"], "--reason"),
        (["--reason", "because"], "--meaning"),
        (["--withdraw", "--superseded-by", "b.yaml", "--reason", "so"], "choose one"),
    ],
    ids=lambda each: " ".join(each) if isinstance(each, list) else each,
)
def test_what_does_not_go_together_is_told_before_anything_is_computed(job, words, said):
    path = job()

    assert_refused(sign(path, *words), 2, said)
    assert not record_path(path).exists()


@pytest.mark.parametrize("name", [None, ""])
def test_without_a_name_and_a_certificate_nobody_signs(job, name):
    path = job()

    assert_refused(sign(path, name=name), 2, "--name")
    assert not record_path(path).exists()


@pytest.mark.parametrize("role", ["prepard", "authorized", "Prepared", "checked", ""])
def test_a_slip_in_a_role_names_the_roles_there_are(job, role):
    path = job()

    assert_refused(sign(path, role=role), 2, "prepared, authorised")
    assert not record_path(path).exists()


@pytest.mark.parametrize("role", ["prepard", "checked"])
def test_a_slip_in_a_role_names_the_roles_when_a_revision_is_withdrawn_too(job, role):
    assert_refused(
        sign(job(), "--withdraw", "--reason", "so", role=role), 2, "prepared, authorised"
    )


@pytest.mark.parametrize(
    "name",
    [" ", "two\nlines", "tab\there", "\x1b[31mred", "del\x7f", "c1\x85", "c1\x9b", "\u202egnal",
     "\u2066so", "\u2028line", "x" * 2001, "\ufffe", "\uffff", "\ud800", "half \udcff"],
    ids=ascii,
)  # fmt: skip
def test_a_name_that_no_job_file_may_hold_is_no_name(job, name):
    path = job()
    found = sign(path, name=name)

    if found.exit_code == 0:  # what is taken must at least be read again
        assert record_of(path).entries[0].name == name.strip()
    else:
        assert_refused(found, 2, "--name")
        assert not record_path(path).exists()


@pytest.mark.parametrize("name", ['"', "O'Dea", "a: b", "שרה", "Ås 😀", "# no", "null", "{x}"])
def test_a_name_of_any_letters_is_recorded_as_it_is_typed(job, name):
    path = job()

    assert sign(path, name=name).exit_code == 0
    assert record_of(path).entries[0].name == name


def test_a_missing_job_and_a_folder_are_told(tmp_path):
    assert_refused(sign(tmp_path / "nothing.yaml"), 2, "there is no such file")
    assert_refused(sign(tmp_path), 2, "directory")


def test_a_job_with_faults_is_not_signed_and_the_faults_are_told(job):
    path = job({"ropes": {"main": {"diameter": "11 kg"}}})

    assert_refused(sign(path), 2, "ropes.main.diameter", "nothing was written")
    assert not record_path(path).exists()


def test_a_successor_that_cannot_be_read_or_is_the_same_revision_is_refused(job):
    path = job()
    same = job(name="same.yaml")

    assert_refused(sign(path, "--superseded-by", "gone.yaml", "--reason", "so"), 2, "gone.yaml")
    assert_refused(
        sign(path, "--superseded-by", same, "--reason", "so"), 2, "same number and revision"
    )
    assert not record_path(path).exists()


def test_a_passphrase_file_that_is_no_text_is_told(job, tmp_path):
    secret, certificate = tmp_path / "secret", tmp_path / "who.p12"
    secret.write_bytes(b"gr\xfcn\n")
    certificate.write_bytes(b"\x30\x80")

    assert_refused(
        sign(job(), "--certificate", certificate, "--passphrase-file", secret), 2, "secret"
    )


def test_a_passphrase_file_that_is_not_there_is_told(job, tmp_path):
    assert_refused(
        sign(job(), "--certificate", tmp_path / "who.p12", "--passphrase-file", tmp_path / "gone"),
        2, "cannot be read",
    )  # fmt: skip


# ---------------------------------------------------------------- what is refused


def test_a_plan_with_stops_exits_1_names_them_and_writes_nothing(job):
    path = job(over_edges(COPING))
    found = assert_refused(sign(path), 1, "not met and not accepted", "Nothing was signed")

    assert "edge_working" in found
    assert not record_path(path).exists()


def test_who_is_not_due_exits_2(job):
    path = job()

    assert_refused(sign(path, role="authorised"), 2, "prepared signs before authorised")
    assert sign(path).exit_code == 0
    held = files(path.parent)
    assert_refused(sign(path, name="Otto Marn"), 2, "prepared has signed already")
    assert files(path.parent) == held


def test_a_job_that_has_run_out_exits_2(job):
    path = job(days=(-10, -1))

    assert_refused(
        sign(path), 2, (datetime.now().astimezone().date() - timedelta(1)).isoformat(), "has passed"
    )
    assert not record_path(path).exists()


def test_a_job_that_begins_later_can_be_signed_before(job):
    assert sign(job(days=(5, 6))).exit_code == 0


def test_a_job_that_was_changed_after_it_was_signed_exits_2(job):
    path = job()
    assert sign(path).exit_code == 0
    held = record_path(path).read_bytes()
    job({"ropes": {"main": {"length": "101 m"}}})

    assert_refused(sign(path, role="authorised"), 2, "another content", "new revision")
    assert record_path(path).read_bytes() == held


def test_a_comment_that_was_added_after_it_was_signed_changes_nothing(job):
    path = job()
    assert sign(path).exit_code == 0
    path.write_text("# Seen.\n" + path.read_text("utf-8"), "utf-8")

    assert sign(path, role="authorised").exit_code == 0
    assert len({entry.digest for entry in record_of(path).entries}) == 1


DAMAGES = {
    "cut off": lambda raw: raw[:-20],
    "a letter changed": lambda raw: raw.replace(b"Kolberg", b"Kolburg"),
    "other line ends": lambda raw: raw.replace(b"\n", b"\r\n"),
    "empty": lambda raw: b"",
    "another format": lambda raw: raw.replace(b"signoff: 1", b"signoff: 2"),
    "no text": lambda raw: b"\xff" * 50,
}


@pytest.mark.parametrize("how", DAMAGES)
def test_a_damaged_record_exits_2_and_stays_as_it_is(job, how):
    path = job()
    written(record_path(path), chained({"name": NAME}))
    record_path(path).write_bytes(DAMAGES[how](record_path(path).read_bytes()))
    held = files(path.parent)

    assert_refused(
        sign(path), 2, "plan.signoff.yaml", "Nothing was signed and nothing was written."
    )
    assert_refused(sign(path, "--withdraw", "--reason", "so"), 2, "plan.signoff.yaml")
    assert files(path.parent) == held


def test_a_folder_in_the_place_of_the_record_exits_2(job):
    path = job()
    record_path(path).mkdir()

    assert_refused(sign(path), 2, "plan.signoff.yaml cannot be read")


def test_a_record_of_another_job_exits_2_and_stays_as_it_is(job):
    path = job()
    written(record_path(path), chained({"number": "T-9"}))
    held = files(path.parent)

    assert_refused(sign(path), 2, "belongs to another job")
    assert files(path.parent) == held


def test_a_clock_that_stands_behind_exits_2(job):
    path = job()
    ahead = (datetime.now().astimezone() + timedelta(hours=1)).isoformat(timespec="seconds")
    written(record_path(path), chained({"time": ahead}))

    assert_refused(sign(path), 2, "set the clock")


def test_what_is_told_of_a_refusal_is_whole_sentences_each_with_its_end(job):
    path = job()
    told = [sign(path, role="authorised").stderr, sign(path, role="checked").stderr]
    record_path(path).mkdir()
    told.append(sign(path).stderr)
    record_path(path).rmdir()
    for raw in (b"signoff: 1\n", b"signoff: 2\n", b"[", b"", b"\xff"):
        record_path(path).write_bytes(raw)
        told.append(sign(path).stderr)
    for change in ({"number": "T-9"}, {"digest": "f" * 64}, {"time": "2150-01-01T00:00:00+00:00"}):
        written(record_path(path), chained(change))
        told.append(sign(path).stderr)

    # What comes before the last sentence has its own end.
    assert [text for text in told if not re.search(r"[.!?] Nothing was signed and ", text)] == []


# ---------------------------------------------------------------- what fails outside


def test_where_no_lock_can_be_taken_it_exits_3(job):
    path = job()
    path.with_name(f".{record_path(path).name}.lock").mkdir()

    assert_refused(sign(path), 3, "could not be written")
    assert not record_path(path).exists()


def test_a_full_disk_exits_3_and_leaves_the_record_as_it_was(job):
    path = job()
    assert sign(path).exit_code == 0
    held = files(path.parent)
    found = subprocess.run(
        [sys.executable, "-B", "-m", "riskdoc.cli", "sign", str(path), "--role", "authorised",
         "--name", NAME],
        capture_output=True, text=True, check=False, env=environment(), timeout=60,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0)),
    )  # fmt: skip

    assert found.returncode == 3, found.stderr
    assert "could not be written" in found.stderr
    assert "Traceback" not in found.stderr
    assert files(path.parent) == held


def test_a_failure_after_the_new_record_took_its_place_is_not_told_as_nothing_written(
    job, monkeypatch
):
    # Some file systems will not put a folder itself on disk; the record stands all the same.
    real = os.fsync

    def fsync(number: int) -> None:
        if stat.S_ISDIR(os.fstat(number).st_mode):
            raise OSError(22, "Invalid argument")
        real(number)

    monkeypatch.setattr(os, "fsync", fsync)
    path = job()
    found = sign(path)

    assert (found.exit_code == 0) == bool(record_of(path).entries)


def test_nothing_but_the_record_and_its_lock_is_left_behind(job):
    path = job()
    sign(path)

    assert set(files(path.parent)) == {path.name, record_path(path).name}


def test_the_record_may_be_read_by_whoever_may_read_other_new_files(job):
    path = job()
    sign(path)
    fresh = path.with_name("fresh")
    fresh.touch()

    assert record_path(path).stat().st_mode == fresh.stat().st_mode


def test_what_is_signed_is_the_content_of_the_job_as_it_stands(job):
    path = job(SINGLE)
    sign(path)
    file = read(path, datetime.now().astimezone().date()).file

    assert record_of(path).entries[0].digest == content_of(brief_dossier(file)).digest
