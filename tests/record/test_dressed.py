"""A job file that opens as a document is none: what is seen in it, nobody computed or signed."""

from __future__ import annotations

import pytest
from support.papers import DAY, folder, put, signed

from riskdoc.cli.verify_command import verify as verify_command
from riskdoc.signing.dressed import dressed
from riskdoc.signing.record_files import record_path
from riskdoc.signing.signing import RefusedError

PAGE = b"# <!DOCTYPE html><html><body><h1>ISSUED</h1>A safe working load of 900 kg.</body></html>\n"
PAPER = b"# %PDF-1.7\n# 1 0 obj << /Type /Catalog >> endobj\n"


def job(name: str, head: bytes = b"", tail: bytes = b""):
    """A signed job of this name, with comments put about it that its digest does not know."""
    plain = put(folder(), name="plain.yaml")
    signed(plain)
    path = plain.with_name(name)
    record_path(plain).rename(record_path(path))
    path.write_bytes(head + plain.read_bytes() + tail)
    plain.unlink()
    return path


@pytest.mark.parametrize(
    ("name", "head"),
    [("x.html", PAGE), ("x.pdf", PAPER), ("x.html", b""), ("x.yaml", PAGE), ("x.txt", PAPER)],
)
def test_a_job_file_dressed_as_a_document_is_refused(name, head, capsys):
    path = job(name, head)

    assert verify_command(path, None, DAY) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "job file" in said.err


@pytest.mark.parametrize(
    "name", ["a.html", "a.HTM", "a.xhtml", "a.pdf", "a.svg", "a.md", "a.Pdf. "]
)
def test_a_name_by_which_a_reader_opens_a_document_is_refused(name):
    assert "name" in dressed(name, b"riskdoc: 1\n")


@pytest.mark.parametrize(
    "mark", ["<html", "<HTML lang=en>", "<!DocType svg>", "<script", "<BODY>", "<svg ", "%PDF-1.4",
             "%pdf-"]
)  # fmt: skip
def test_a_mark_of_a_document_anywhere_in_the_bytes_is_refused(mark):
    for raw in (f"# {mark}\nriskdoc: 1\n", "riskdoc: 1\n" + "#\n" * 99_999 + mark):
        assert "bytes" in dressed("a.yaml", raw.encode())


@pytest.mark.parametrize("name", ["a.yaml", "a.yml", "a", "html.yaml", "a.html.yaml", "a.txt"])
def test_a_plain_job_is_taken(name):
    assert dressed(name, b"# a < b, 5 % more, html, pdf\nriskdoc: 1\n") == ""


def test_a_job_file_is_told_as_such_in_the_first_line(capsys):
    assert verify_command(job("plan.yaml"), None, DAY) == 0
    first = capsys.readouterr().out.split("T-1")[0]

    assert first.startswith("A job file with its record of sign-offs, no document")
    assert "only a document shows what is printed" in " ".join(first.split())


@pytest.mark.parametrize(("name", "head"), [("x.html", b""), ("x.yaml", PAGE), ("x.yaml", PAPER)])
def test_what_verify_would_refuse_is_not_signed_either(name, head):
    path = put(folder(), name=name)
    path.write_bytes(head + path.read_bytes())

    with pytest.raises(RefusedError, match="cannot be signed"):
        signed(path)
    assert not record_path(path).exists()
