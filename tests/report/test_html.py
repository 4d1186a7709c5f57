"""The HTML file: well formed, closed, outlined, and complete."""

from __future__ import annotations

import base64
import itertools
import json
import re
from hashlib import sha256
from pathlib import Path

import pytest
from report.page import Page, assert_ours_only

from riskdoc.judgement.verdicts import Verdict
from riskdoc.report.blocks import Table, Warned
from riskdoc.report.html import to_html
from riskdoc.report.marks import chip
from riskdoc.report.seal import seal_holds
from riskdoc.report.text import width
from riskdoc.requirements.changes import answer_words


def test_only_elements_of_ours_and_well_nested(made):
    for page in (made.html, to_html(made.view, for_print=True)):
        assert_ours_only(Page(page))


def test_ids_are_unique_and_links_lead_somewhere(made):
    tags = Page(made.html).tags
    ids = [attributes["id"] for _, attributes in tags if "id" in attributes]
    assert len(ids) == len(set(ids)) > 10
    for _, attributes in tags:
        for name in (attributes.get("aria-labelledby") or "").split():
            assert name in ids
        if "href" in attributes and "download" not in attributes:
            assert (attributes["href"] or "").removeprefix("#") in ids


def test_headings_form_an_outline(made):
    levels = [int(tag[1]) for tag, _ in Page(made.html).tags if tag in {"h1", "h2", "h3"}]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in itertools.pairwise(levels))


def test_every_header_cell_has_a_scope_and_every_scroll_box_a_name(made):
    tags = Page(made.html).tags
    heads = [attributes for tag, attributes in tags if tag == "th"]
    assert heads
    assert all(each.get("scope") in {"row", "col"} for each in heads)
    boxes = [a for _, a in tags if "scroll" in (a.get("class") or "").split()]
    assert boxes
    assert all(a["role"] == "group" and a["tabindex"] == "0" and a["aria-label"] for a in boxes)


def test_a_cell_that_stands_alone_on_a_phone_says_the_head_of_its_column(made):
    """There the heads are not demonstrated: a ratio would stand without a word."""
    fronts = [block for block in made.view.front if isinstance(block, Table)]
    assert fronts
    heads = [
        column.title
        for block in fronts
        for row in block.rows
        for column, _ in zip(block.columns[1:], row.cells, strict=True)
    ]
    said = [each["data-head"] for tag, each in Page(made.html).tags if "data-head" in each]

    assert said[: len(heads)] == heads


def test_every_drawing_names_our_typeface_and_says_what_it_shows(made):
    tags = Page(made.html).tags
    drawings = [attributes for tag, attributes in tags if tag == "svg"]
    code = [each for each in drawings if each.get("aria-labelledby") == "qr-title"]
    drawings = [each for each in drawings if each not in code]
    told = [each for each in drawings if each.get("role") == "img"]
    assert len(told) >= len(made.assessment.file.job.lines)
    assert all(each["font-family"].startswith("'Riskdoc Sans'") for each in told)
    assert all(each.get("aria-hidden") == "true" for each in drawings if each not in told)
    # The QR code has no text in it; what it says is told in words all the same.
    assert len(code) == 1
    drawn = re.search(r'<svg [^>]*aria-labelledby="qr-title".*?</svg>', made.html)
    assert drawn is not None
    assert "<text" not in drawn[0]
    assert f"sha256:{made.view.digest}</title>" in drawn[0]


def test_files_inside_come_out_as_they_went_in_and_the_seal_is_that_of_the_file(made):
    tags = Page(made.html).tags
    saved = {
        each["download"]: base64.b64decode(each["href"].partition("base64,")[2])
        for tag, each in tags
        if tag == "a" and "download" in each
    }
    stem = Path(made.assessment.file.name).stem
    assert saved[f"{stem}.yaml"] == made.assessment.file.raw
    assert sha256(saved[f"{stem}-content.json"]).hexdigest() == made.view.digest
    assert json.loads(saved[f"{stem}-figures.json"])["digest"] == made.view.digest
    pictures = made.assessment.file.pictures.values()
    drawn = {f"{stem}-picture-{each.id}.png" for each in pictures if each.kind == "png"}
    assert len(saved) == 3 + len(drawn)
    assert drawn <= set(saved)
    assert sum(each.get("id") == "files" for _, each in tags) == 1

    (seal,) = re.findall(r'<meta name="seal" content="sha256:([0-9a-f]{64})">', made.html)
    blank = made.html.replace(seal, "0" * 64).encode()
    assert sha256(blank).hexdigest() == seal
    assert seal_holds(made.html.encode())
    assert not seal_holds(made.html.replace("DRAFT", "DRAFTY").encode())


def test_the_file_needs_nothing_else(made):
    assert "<script" not in made.html
    assert "<link" not in made.html
    assert "@import" not in made.html
    addresses = re.findall(r"url\(([^)]{0,30})", made.html)
    styles = made.html[: made.html.index("</style>")]
    assert len(re.findall(r'url\("data:font/woff2;base64,', styles)) == 2
    assert len(addresses) == 2


def test_every_figure_stands_in_the_workings(made):
    workings = next(each for each in made.view.sections if each.id == "workings")
    printed = {
        row.head.small.partition(". Source")[0]
        for block in workings.blocks
        if isinstance(block, Table)
        for row in block.rows
    }
    assert made.assessment.figures
    assert printed == {each.id for each in made.assessment.figures}


def test_every_check_is_printed_with_its_verdict_as_a_word(made):
    margins = next(each for each in made.view.sections if each.id == "margins")
    printed = {
        (row.head.text.replace("\u00a0", " "), row.head.small): " ".join(
            re.sub("<text.*?</text>|<[^>]*>", " ", cell.mark) for cell in row.cells
        ).split()
        for block in margins.blocks[:3]
        if isinstance(block, Table) and not block.caption.startswith("What each")
        for row in block.rows
    }
    for check in made.assessment.checks:
        assert " ".join(printed[str(check.title), check.subject]) == check.verdict.value


def test_every_check_not_met_is_on_the_decision_page_with_reason_and_one_answer(made):
    """What the package mends has its changes named; what it does not, the remedy of the check."""
    text = Page(made.html).words.replace("\u00a0", " ")
    package = made.dossier.study.package
    assert made.standing.status.headline in text
    for check in made.assessment.failed_checks:
        assert str(check.reason) in text
        answer = answer_words(package, check)
        assert answer[:1].upper() + answer[1:] in text
        if check.id not in package.mended:
            assert str(check.remedy) in text


def test_everything_the_job_file_states_is_printed_with_its_place(made):
    inputs = next(each for each in made.view.sections if each.id == "inputs")
    table = next(each for each in inputs.blocks if isinstance(each, Table))
    keys = {row.head.text for row in table.rows}
    for stated in made.assessment.inputs:
        # The weight of a count is stated like any quantity; sums and choices have ids of their own.
        if stated.place.startswith(made.assessment.file.name):
            assert stated.id in keys, stated.id
    assert all(re.fullmatch(r"\d+:\d+", row.cells[1].text) for row in table.rows)


def test_defaults_that_nobody_has_seen_or_that_are_ours_are_marked(made):
    inputs = next(each for each in made.view.sections if each.id == "inputs")
    defaults = [each for each in inputs.blocks if isinstance(each, Table)][1]
    words = [row.cells[2].text for row in defaults.rows]
    assert len(words) == len(made.assessment.defaults)
    for word, default in zip(words, made.assessment.defaults, strict=True):
        mark = {"from memory": "† ", "judgement": "‡ "}.get(default.provenance, "")
        assert word == mark + default.provenance


@pytest.mark.parametrize("verdict", list(Verdict))
def test_each_verdict_has_a_mark_of_its_own_and_its_word(verdict):
    marks = {
        re.sub(r' (fill|stroke)="[^"]*"', "", chip(each).split("<span>")[0]) for each in Verdict
    }
    assert len(marks) == len(Verdict), "shapes that differ by colour only"
    assert f"<span>{verdict.value}</span>" in chip(verdict)


def test_notice_never_carries_the_alert_sign_and_the_others_always_do(made):
    cautions = next(each for each in made.view.sections if each.id == "cautions")
    warned = [each for each in cautions.blocks if isinstance(each, Warned)]
    cautioned = made.assessment.cautions
    assert len(warned) == len({(each.word, each.text) for each in cautioned})
    told = " ".join(each.because for each in warned).replace("\u00a0", " ")
    assert all(str(each.because) in told for each in cautioned)
    for each in warned:
        assert bool(each.alert) == (each.word in {"DANGER", "WARNING", "CAUTION"})


def test_column_widths_add_up_and_hold_every_word_of_their_heading(made):
    page = 178 / 25.4 * 72
    for section in made.view.sections:
        for block in section.blocks:
            if not isinstance(block, Table):
                continue
            shares = [float(column.width.rstrip("%")) for column in block.columns]
            assert sum(shares) == pytest.approx(100), block.caption
            for column, share in zip(block.columns, shares, strict=True):
                room = share / 100 * page - (9 if "number" in column.css else 8)
                for word in column.title.split():
                    assert width(word, 8, "SemiBold") <= room, (block.caption, column.title)
