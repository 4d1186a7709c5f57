"""Two jobs that would write one file: the second is refused, whatever the form of the document."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from support.mini import MINI
from support.plan import merged
from support.typed import Typed, typed

from riskdoc.cli.targets import Written, clash, jobs_in

ON = ("--on", "2027-06-01")
LESS = {"less": {"title": "less weight", "change": {"loads.worker.mass": "70 kg"}}}

WRITTEN = (0, 1)
"""Exit codes of a document that was written, however its plan comes out."""
ELSEWHERE = {"job": {"location": {"place": "Old mill"}}}


def riskdoc(*words: object, folder: Path) -> Typed:
    return typed(*map(str, words), cwd=folder, short=True)


@pytest.fixture
def job(tmp_path):
    def write(name: str, number: str, *changes) -> Path:
        whole = merged(MINI, {"job": {"number": number}})
        for change in changes:
            whole = merged(whole, change)
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(yaml.safe_dump(whole, default_style='"', sort_keys=False), "utf-8")
        return path

    return write


@pytest.mark.parametrize(
    ("options", "names"),
    [
        (["--as", "html"], ["plan.html"]),
        (["--as", "pdf"], ["plan.pdf"]),
        (["--card", "--as", "html"], ["plan-card.html"]),
        (["--card", "--as", "pdf"], ["plan-card-a4.pdf", "plan-card.pdf"]),
    ],
)
def test_a_document_of_another_number_is_not_written_over(job, tmp_path, options, names):
    first, second = job("a/plan.yaml", "T-1"), job("b/plan.yaml", "T-<2>")
    revised = job("c/plan.yaml", "T-1", {"job": {"revision": "B"}})
    out = tmp_path / "out"

    def render(path: Path):
        return riskdoc("render", path, *ON, *options, "--out", out, folder=tmp_path)

    assert render(first).code in WRITTEN
    before = {each.name: each.read_bytes() for each in out.iterdir()}
    refused = render(second)
    assert refused.code == 2
    assert "holds 'T-1', and this is 'T-<2>'" in refused.err
    assert {each.name: each.read_bytes() for each in out.iterdir()} == before
    assert sorted(before) == names
    # The same job again, and its next revision, take the place of the last.
    assert render(first).code in WRITTEN
    assert render(revised).code in WRITTEN
    assert {each.name: each.read_bytes() for each in out.iterdir()} != before


@pytest.mark.parametrize("options", [["--as", "html"], ["--as", "pdf"], ["--card", "--as", "html"]])
def test_a_job_of_one_number_at_another_place_is_not_written_over(job, tmp_path, options):
    here, there = job("a/plan.yaml", "T-1"), job("b/plan.yaml", "T-1", ELSEWHERE)
    out = tmp_path / "out"

    def render(path: Path):
        return riskdoc("render", path, *ON, *options, "--out", out, folder=tmp_path)

    assert render(here).code in WRITTEN
    before = {each.name: each.read_bytes() for each in out.iterdir()}
    refused = render(there)
    assert refused.code == 2
    assert "holds 'T-1' at 'Test tower', and this is 'T-1' at 'Old mill'" in refused.err
    assert {each.name: each.read_bytes() for each in out.iterdir()} == before


def test_a_place_is_the_same_however_it_is_spaced_and_where_a_document_names_none():
    assert Written("T-1", "Test  tower").same(Written("T-1", "test tower"))
    assert Written("T-1").same(Written("T-1", "Test tower"))
    assert not Written("T-1", "Old mill").same(Written("T-1", "Test tower"))
    assert not Written("T-2", "Test tower").same(Written("T-1", "Test tower"))


def test_a_number_with_marks_of_html_is_read_as_it_is(job, tmp_path):
    place = {"job": {"location": {"place": 'the "old" <tower>'}}}
    path = job("plan.yaml", 'T<&"1">', place)
    for form in ("html", "pdf"):
        found = riskdoc("render", path, *ON, "--as", form, "--out", "out", folder=tmp_path)
        assert found.code in WRITTEN, found.err
        raw = (tmp_path / "out" / f"plan.{form}").read_bytes()
        assert jobs_in(raw) == {Written('T<&"1">', 'the "old" <tower>')}


@pytest.mark.parametrize("raw", [b"%PDF-1.7 not one of ours", b"<html>mine</html>", b""])
def test_what_is_no_document_of_ours_is_not_written_over(job, tmp_path, raw):
    out = tmp_path / "out"
    out.mkdir()
    (out / "plan.html").write_bytes(raw)
    found = riskdoc("render", job("plan.yaml", "T-1"), *ON, "--as", "html", "--out", out,
                    folder=tmp_path)  # fmt: skip

    assert found.code == 2
    assert "no document of riskdoc" in found.err
    assert (out / "plan.html").read_bytes() == raw


def test_what_is_not_written_stands_in_nobodys_way(tmp_path):
    (tmp_path / "plan.pdf").write_bytes(b"mine")

    assert clash(tmp_path, ["plan.html"], frozenset({Written("T-1", "here")})) == ""
    assert clash(tmp_path, ["plan.pdf"], frozenset({Written("T-1", "here")})) != ""


def test_two_job_files_of_one_name_are_not_compared_into_one_file(job, tmp_path):
    first, second = job("a/plan.yaml", "T-1"), job("b/plan.yaml", "T-2")
    written = riskdoc("compare", first, second, *ON, "--as", "html", folder=tmp_path)
    told = riskdoc("compare", first, second, *ON, folder=tmp_path)

    assert written.code == 2
    assert "two of the job files have one name" in written.err
    assert not (tmp_path / "output").exists()
    assert told.code == 0, told.err  # nothing is written


def test_a_comparison_of_other_jobs_is_not_written_over(job, tmp_path):
    first = job("a/plan.yaml", "T-1", {"alternatives": LESS})
    second = job("b/plan.yaml", "T-2", {"alternatives": LESS})
    done = [riskdoc("compare", path, *ON, "--as", "html", folder=tmp_path)
            for path in (first, second, first)]  # fmt: skip

    assert [each.code for each in done] == [0, 2, 0]
    assert "holds 'T-1', and this is 'T-2'" in done[1].err
