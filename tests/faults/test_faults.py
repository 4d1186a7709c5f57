"""One folder per mistake: what somebody wrote, and exactly what the reader says to it.

A folder with a `job.yaml` and an `expect.txt` is a test; no code goes with it.
"""

import os
from datetime import date
from pathlib import Path

import pytest
import yaml

from riskdoc.job.faults import PAGES, Code, NoSuchCodeError, Severity, explain
from riskdoc.job.reading import MAX_BYTES, read, read_text

HERE = Path(__file__).parent
ON = date(2026, 3, 1)
CASES = sorted(path.parent for path in HERE.glob("*/job.yaml"))
BASE = (HERE / "base.yaml").read_text("utf-8")

# Made by the tests below: a folder of text files cannot hold them.
MADE_HERE = {
    Code.NO_FILE,
    Code.NOT_A_FILE,
    Code.UNREADABLE,
    Code.TOO_LARGE,
    Code.NOT_UTF8,
    Code.TOO_MANY_PARTS,
}


def told(folder):
    reading = read_text((folder / "job.yaml").read_text("utf-8"), "job.yaml", ON)
    return [*reading.faults, *reading.warnings]


def only_fault(reading):
    (fault,) = reading.faults
    assert reading.file is None
    return fault


def test_there_are_cases_and_each_is_whole():
    assert len(CASES) >= 34
    folders = {path for path in HERE.iterdir() if path.is_dir() and path.name != "__pycache__"}
    assert folders == set(CASES)
    assert all((case / "expect.txt").is_file() for case in CASES)


@pytest.mark.parametrize("case", CASES, ids=lambda path: path.name)
def test_mistake(case):
    assert (case / "expect.txt").read_text("utf-8") == "".join(f"{f}\n" for f in told(case))


@pytest.mark.parametrize("case", CASES, ids=lambda path: path.name)
def test_one_mistake_is_one_fault(case):
    assert len(told(case)) == (5 if case.name == "five_mistakes" else 1)


def test_a_warning_leaves_the_job_and_a_fault_does_not():
    for case in CASES:
        reading = read_text((case / "job.yaml").read_text("utf-8"), "job.yaml", ON)
        assert (reading.file is None) == bool(reading.faults)
        assert all(fault.severity is Severity.FAULT for fault in reading.faults)
        assert all(fault.severity is Severity.WARNING for fault in reading.warnings)


def test_the_base_job_reads_clean():
    reading = read(HERE / "base.yaml", ON)
    assert reading.faults == reading.warnings == ()
    assert reading.file.warnings == ()


def test_places_point_at_what_was_written():
    file = read_text(BASE, "job.yaml", ON).file
    place = file.place("ropes", "red", "diameter")
    assert BASE.splitlines()[place.line - 1][place.column - 1 :] == "10.5 mm"
    assert file.job.ropes["red"].diameter.place == place
    assert file.place("ropes", "red", "no such key") == file.place("ropes", "red")
    assert str(file.place()) == "job.yaml:1:1"


def test_every_code_has_a_page_in_order_and_every_page_a_code():
    pages = yaml.safe_load(PAGES.read_text("utf-8"))
    assert list(pages) == [code.value for code in Code]
    for code, page in pages.items():
        assert list(page) == ["title", "means", "wrong", "right"], code
        assert explain(code).startswith(f"{code}: ")


def test_every_code_is_told_by_a_folder_or_made_here():
    by_folders = {fault.code for case in CASES for fault in told(case)}
    assert by_folders.isdisjoint(MADE_HERE)
    assert by_folders | MADE_HERE == set(Code)


def test_an_unknown_code_is_answered_with_what_may_be_meant():
    with pytest.raises(NoSuchCodeError, match="V06"):
        explain("V66")
    with pytest.raises(NoSuchCodeError, match="There is no code 'what'"):
        explain("what")


def test_missing_file_suggests_its_neighbour(tmp_path):
    (tmp_path / "gallery.yaml").write_text(BASE)
    fault = only_fault(read(tmp_path / "galery.yaml", ON))
    assert fault.code is Code.NO_FILE
    assert fault.tip == "Did you mean 'gallery.yaml' in the same folder?"
    assert only_fault(read(tmp_path / "no" / "such", ON)).code is Code.NO_FILE


def test_directory(tmp_path):
    fault = only_fault(read(tmp_path, ON))
    assert (fault.code, fault.message) == (
        Code.NOT_A_FILE,
        "this is a directory, not a job file",
    )


def test_a_pipe_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "job.yaml")
    assert only_fault(read(tmp_path / "job.yaml", ON)).code is Code.NOT_A_FILE


def test_what_the_system_refuses_is_a_fault(tmp_path, monkeypatch):
    (tmp_path / "job.yaml").write_text(BASE)

    def refuse(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    fault = only_fault(read(tmp_path / "job.yaml", ON))
    assert (fault.code, fault.message) == (
        Code.UNREADABLE,
        "the file cannot be read: Permission denied",
    )


def test_a_name_no_system_takes_is_a_fault():
    assert only_fault(read(Path("job\0.yaml"), ON)).code in (Code.NO_FILE, Code.UNREADABLE)


def test_not_utf8_names_the_first_bad_byte(tmp_path):
    path = tmp_path / "job.yaml"
    path.write_bytes("riskdoc: 1\njob: {title: Brücke}".encode("latin-1"))
    fault = only_fault(read(path, ON))
    assert (fault.code, fault.place.line, fault.place.column) == (Code.NOT_UTF8, 2, 16)
    path.write_bytes(BASE.encode("utf-16"))
    assert only_fault(read(path, ON)).code is Code.NOT_UTF8


def test_a_byte_order_mark_is_tolerated(tmp_path):
    path = tmp_path / "job.yaml"
    path.write_bytes(BASE.encode("utf-8-sig"))
    reading = read(path, ON)
    assert reading.faults == ()
    assert reading.file.place("riskdoc").column == 10


def test_a_file_beyond_the_bound_is_not_parsed():
    fault = only_fault(read_text("#" * (MAX_BYTES + 1), "job.yaml", ON))
    assert fault.code is Code.TOO_LARGE


def test_too_many_parts():
    fault = only_fault(read_text(f"hazards: [{'a,' * 600}]", "job.yaml", ON))
    assert fault.code is Code.TOO_MANY_PARTS
    rows = ",".join(["[1,1,1,1,1,1,1,1]"] * 480)
    fault = only_fault(read_text("".join(f"{k}: [{rows}]\n" for k in "abcdefgh"), "job.yaml", ON))
    assert fault.code is Code.TOO_MANY_PARTS
