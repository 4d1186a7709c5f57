"""What somebody writes into a text of a job stays text."""

from __future__ import annotations

import builtins
import io
import os
import socket
from typing import Any, get_args

import pypdf
import pytest
import yaml
from pydantic import BaseModel
from report.made import assessed, from_texts, raw, texts
from report.page import Page, assert_ours_only

from riskdoc.job.model import Job
from riskdoc.report import pdf as printing
from riskdoc.report.html import to_html
from riskdoc.report.pdf import to_pdf
from riskdoc.report.view import build

PAYLOADS = (
    "<script>alert(1)</script>",
    '"><img src=http://192.0.2.1/x.png onerror=alert(1)>',
    "file:///etc/passwd",
    "{{7*7}} {% include '/etc/passwd' %}",
    "url(http://192.0.2.1/x) ; } @import 'http://192.0.2.1/y';",
    "</style></svg></title><link rel=stylesheet href=file:///etc/passwd>",
    "<!-- ]]> <svg><image href='http://192.0.2.1/z'/></svg> &lt;b&gt;",
    "' onmouseover='x' style='background:url(http://192.0.2.1/q)",
)


GUARDED = ("number", "revision", "name")
"""Texts that are refused where they hold letters that show nothing or two scripts."""


def text_fields(part: type[BaseModel], parts: dict[str, Any]) -> set[str]:
    """Every free-text field of the model, by part and name; `parts` are those of its schema."""
    found: set[str] = set()
    for name, info in part.model_fields.items():
        schema = parts.get(part.__name__, {})
        told = str(schema.get("properties", {}).get(info.alias or name, {}))
        if "maxLength" in told:
            found.add(f"{part.__name__}.{name}")
        for inner in parts_in(info.annotation):
            found |= text_fields(inner, parts)
    return found


def parts_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [part for each in get_args(annotation) for part in parts_in(each)]


def filled(value: Any) -> set[str]:
    """Text fields of a job that hold a payload."""
    found: set[str] = set()
    if isinstance(value, BaseModel):
        for name in type(value).model_fields:
            inner = getattr(value, name)
            flat = inner if isinstance(inner, tuple) else (inner,)
            if any(isinstance(each, str) and "PAYLOAD" in each for each in flat):
                found.add(f"{type(value).__name__}.{name}")
            found |= filled(inner)
    elif isinstance(value, dict | tuple):
        for each in value.values() if isinstance(value, dict) else value:
            found |= filled(each)
    return found


def test_the_tests_below_reach_every_text_field_there_is():
    job = from_texts(lambda _: "PAYLOAD").study.plan.file.job
    expected = text_fields(Job, Job.model_json_schema()["$defs"])
    assert len(expected) > 25
    # These are a known word or a file beside the job; anything else is a fault. Why a revision
    # came needs such a file too, and is tried in `test_signed`.
    assert expected - filled(job) == {
        "JobInfo.requirements", "Picture.file", "Replaced.file", "Replaced.reason",
    }  # fmt: skip


@pytest.mark.parametrize("payload", PAYLOADS)
def test_no_markup_comes_through(payload):
    # Changes and limits name parts by their ids alone: the search is run once, not eight times.
    whole = from_texts(lambda key: f"{key} {payload}", searched=payload == PAYLOADS[0])
    view = build(whole)
    for page in (to_html(view, for_print=False), to_html(view, for_print=True)):
        read = Page(page)
        assert_ours_only(read)
        assert not any(name.startswith("on") for _, attrs in read.tags for name in attrs)
        shown = " ".join(payload.split())
        assert read.words.replace("\u00a0", " ").count(shown) > 25
    assert "{{7*7}}" not in payload or "title 49" not in page


@pytest.fixture
def watched(monkeypatch):
    """What is asked of the fetcher, opened on disk, or called over the network."""
    asked: list[str] = []
    opened: list[str] = []
    give, real_open, real_os_open = printing.allowed, builtins.open, os.open

    def allowed(url: str) -> Any:
        asked.append(url)
        return give(url)

    def opening(real: Any) -> Any:
        def open_(path: Any, *args: Any, **kwargs: Any) -> Any:
            opened.append(str(path))
            return real(path, *args, **kwargs)

        return open_

    def refuse(*_args: Any, **_kwargs: Any) -> Any:
        raise AssertionError("the network was called")

    monkeypatch.setattr(printing, "allowed", allowed)
    monkeypatch.setattr(builtins, "open", opening(real_open))
    monkeypatch.setattr(io, "open", opening(real_open))
    monkeypatch.setattr(os, "open", opening(real_os_open))
    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    return asked, opened


def test_nothing_is_fetched_opened_or_called(watched):
    asked, opened = watched
    every = " ".join(PAYLOADS)
    pdf = to_pdf(build(from_texts(lambda key: f"{key} {every}")))
    assert {url.rpartition("/")[2] for url in asked} == {
        "Inter-Regular.woff2",
        "Inter-SemiBold.woff2",
    }
    assert not [path for path in opened if "passwd" in path]
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    links = [
        note.get_object().get("/A", {}).get("/URI")
        for page in reader.pages
        for note in page.get("/Annots", ())
    ]
    assert not [each for each in links if each]
    assert "alert(1)" in reader.pages[0].extract_text().replace("\n", "")


def test_characters_without_a_glyph_are_written_out_and_said(watched):
    strange = "smile \U0001f600, joined \u200d, Thai \u0e01"
    whole = from_texts(lambda key: key if key in GUARDED else f"{key} {strange}")
    view = build(whole)
    page = Page(to_html(view, for_print=False))
    assert "smile [U+1F600], joined [U+200D], Thai [U+0E01]" in page.words
    assert "cannot be printed and stand as codes: U+0E01, U+1F600, U+200D" in page.words
    assert to_pdf(view).startswith(b"%PDF")


def test_a_plain_job_has_no_such_note():
    job = raw("lighthouse")
    texts(job, lambda key: key if key in GUARDED else f"{key} Ærø Łódź αβ ≤ 5 ½ °C")
    assert build(assessed(job)).notes == ()
    assert yaml.__version__
