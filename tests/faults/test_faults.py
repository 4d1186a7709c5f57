"""One folder per mistake: what somebody wrote, and exactly what the reader says to it.

A folder with a `job.yaml` and an `expect.txt` is a test; no code goes with it. Pictures stand in
the folder beside the job.
"""

import hashlib
import os
from datetime import date
from pathlib import Path

import pytest
import yaml
from PIL import Image, ImageFile

from riskdoc.job import pictures
from riskdoc.job.faults import PAGES, Code, NoSuchCodeError, Severity, explain
from riskdoc.job.reading import MAX_BYTES, read, read_bytes, read_text

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
    Code.PICTURE_UNREADABLE,
}


def reading_of(folder):
    return read_text((folder / "job.yaml").read_text("utf-8"), "job.yaml", ON, folder)


def told(folder):
    reading = reading_of(folder)
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
        reading = reading_of(case)
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

    monkeypatch.setattr(os, "open", refuse)
    fault = only_fault(read(tmp_path / "job.yaml", ON))
    assert (fault.code, fault.message) == (
        Code.UNREADABLE,
        "the file cannot be read: Permission denied",
    )


def with_picture(name="photos/coping.jpg"):
    return f"{BASE}pictures: {{coping: {{file: {name}, shows: a stone edge}}}}\n"


@pytest.fixture
def beside(tmp_path):
    """A folder with a small sound picture in it."""
    (tmp_path / "photos").mkdir()
    Image.linear_gradient("L").resize((48, 32)).save(tmp_path / "photos" / "coping.jpg")
    return tmp_path


def test_a_sound_picture_is_read_with_the_digest_of_its_file(beside):
    picture = read_text(with_picture(), "job.yaml", ON, beside).file.pictures["coping"]
    raw = (beside / "photos" / "coping.jpg").read_bytes()
    assert (picture.raw, picture.sha256) == (raw, hashlib.sha256(raw).hexdigest())
    assert (picture.kind, picture.width, picture.height) == ("jpeg", 48, 32)


def test_a_text_in_no_folder_can_have_no_pictures(beside):
    fault = only_fault(read_text(with_picture(), "job.yaml", ON))
    assert (fault.code, fault.where) == (Code.NO_PICTURE, "pictures")
    assert fault.message.startswith("the job stands in no folder")
    (beside / "job.yaml").write_text(with_picture())
    assert read(beside / "job.yaml", ON).faults == ()


def test_a_picture_the_system_refuses_is_a_fault(beside, monkeypatch):
    def refuse(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "open", refuse)
    fault = only_fault(read_text(with_picture(), "job.yaml", ON, beside))
    assert (fault.code, fault.message) == (
        Code.PICTURE_UNREADABLE,
        "the picture cannot be read: Permission denied",
    )


def test_links_in_a_ring_and_names_no_system_takes_are_faults(beside):
    (beside / "ring.jpg").symlink_to("ring.jpg")
    for name in ("ring.jpg", "a" * 300):
        fault = only_fault(read_text(with_picture(name), "job.yaml", ON, beside))
        assert fault.code is Code.PICTURE_UNREADABLE


def test_a_pipe_for_a_picture_is_not_waited_for(beside):
    os.mkfifo(beside / "pipe.jpg")
    fault = only_fault(read_text(with_picture("pipe.jpg"), "job.yaml", ON, beside))
    assert fault.message == "'pipe.jpg' is not a plain file"


def test_a_link_that_stays_inside_is_followed(beside):
    (beside / "link.jpg").symlink_to("photos/coping.jpg")
    assert read_text(with_picture("link.jpg"), "job.yaml", ON, beside).faults == ()


def test_a_link_to_a_folder_outside_shows_no_names_of_it(beside, tmp_path_factory):
    other = tmp_path_factory.mktemp("other")
    (other / "copinx.jpg").write_bytes(b"")
    (beside / "out").symlink_to(other)
    missing = only_fault(read_text(with_picture("out/coping.jpg"), "job.yaml", ON, beside))
    assert missing.code is Code.NO_PICTURE
    assert "copinx" not in str(missing)
    there = only_fault(read_text(with_picture("out/copinx.jpg"), "job.yaml", ON, beside))
    assert there.code is Code.PICTURE_OUTSIDE


def test_bytes_and_pixels_are_bounded_at_the_bound(beside, monkeypatch):
    size = (beside / "photos" / "coping.jpg").stat().st_size
    for bytes_, pixels, code in (
        (size, 48 * 32, None),
        (size - 1, 48 * 32, Code.PICTURE_TOO_LARGE),
        (size, 48 * 32 - 1, Code.PICTURE_TOO_LARGE),
    ):
        monkeypatch.setattr(pictures, "MOST_BYTES", bytes_)
        monkeypatch.setattr(pictures, "MOST_PIXELS", pixels)
        faults = read_text(with_picture(), "job.yaml", ON, beside).faults
        assert [fault.code for fault in faults] == ([code] if code else [])


def test_the_page_says_the_bounds_there_are():
    said = explain("P04")
    assert f"{pictures.MOST_BYTES // 1024**2} MiB" in said
    assert f"{pictures.MOST_PIXELS // 1_000_000} million" in said


def test_a_picture_cut_anywhere_is_refused_also_after_the_printer_was_loaded(beside, monkeypatch):
    path = beside / "photos" / "coping.jpg"
    raw = path.read_bytes()
    # WeasyPrint sets this for the whole process when it is imported.
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    for length in (*range(3, len(raw), 40), len(raw) - 1):
        path.write_bytes(raw[:length])
        fault = only_fault(read_text(with_picture(), "job.yaml", ON, beside))
        assert fault.code is Code.PICTURE_BROKEN, length
    assert ImageFile.LOAD_TRUNCATED_IMAGES


def test_pictures_read_before_are_not_read_again(beside):
    first = read_text(with_picture(), "job.yaml", ON, beside).file
    (beside / "photos" / "coping.jpg").unlink()
    again = read_bytes(first.raw, "other.yaml", ON, beside, first.pictures).file
    assert again.pictures["coping"] is first.pictures["coping"]


def test_a_picture_whose_name_cannot_be_read_is_told_once(beside):
    text = f"{BASE}pictures: {{coping: {{file: [], shows: a stone edge}}}}\n"
    assert only_fault(read_text(text, "job.yaml", ON, beside)).code is Code.WRONG_SHAPE


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
