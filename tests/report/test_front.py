"""Page 1 alone answers the permit issuer, whatever the job, the paper and the language."""

from __future__ import annotations

import io
from dataclasses import replace

import pypdf
import pytest
from report.made import assessed, made_of, part_of, raw, studied
from support.demos import PRINTED

from riskdoc.judgement.verdicts import Check
from riskdoc.report.blocks import Items, Para, Table
from riskdoc.report.facts import facts_of
from riskdoc.report.front import LEAST, ROOM
from riskdoc.report.pdf import to_pdf
from riskdoc.report.view import build
from riskdoc.report.weakest import weakest
from riskdoc.requirements.changes import answer_words


def plain(text: str) -> str:
    return " ".join(text.replace("\u00a0", " ").split())


@pytest.mark.parametrize("name", [*PRINTED, "bare"])
def test_page_1_says_what_a_permit_issuer_asks(name):
    made = made_of(name)
    first, second = map(plain, made.pages[:2])
    job = made.assessment.file.job

    # What is the status, what is not met, and what is to be changed?
    assert made.standing.status.headline in first
    package = made.dossier.study.package
    for check in made.assessment.failed_checks[: ROOM["A4"] - LEAST]:
        assert str(check.title).split(",")[0] in first
        assert check.verdict.value in first
        assert answer_words(package, check)[:20] in first
    for step in package.steps[:LEAST]:
        assert plain(str(step.change.title)) in first
        assert step.writes[0].key in first
    # What stays extreme, what may the crew not exceed, who signed, until when?
    extreme = made.dossier.register.extreme
    assert f"{len(extreme)} hazards stay " in first
    assert sum(each.title in first for each in extreme) >= 2
    for limit in made.dossier.study.limits[:4]:
        assert str(limit.planned) in first
    for role in job.signoff.roles:
        assert role in first
    assert first.count("not signed") >= len(job.signoff.roles) + 1
    assert f"Not valid: {made.standing.status.verdict.value}." in first
    # It is one page: the contents stand at the top of the next.
    assert "Contents" not in first
    assert "Contents 1 Decision in full" in second


@pytest.mark.parametrize(
    "form", [{"paper": "Letter", "language": "de"}, {"language": "de"}, {"units": "us"}]
)
def test_page_1_stays_one_page_in_another_form(form):
    job = raw("lighthouse")
    job["report"] = form
    view = build(studied(job))
    pages = pypdf.PdfReader(io.BytesIO(to_pdf(part_of(view, "decision")))).pages
    first, second = (plain(page.extract_text()) for page in pages[:2])

    assert view.labels.contents not in first
    assert view.labels.contents in second[:80]


def test_german_table_heads_are_broken_as_german_is():
    """Ein-heit, Ver-hält-nis, ge-for-dert: by syllables (common practice), with a hyphen."""
    job = raw("oak")
    job["report"] = {"language": "de"}
    view = build(assessed(job))
    pdf = pypdf.PdfReader(io.BytesIO(to_pdf(part_of(view, "margins"))))
    heads = (" ".join(page.extract_text().split()) for page in pdf.pages)
    broken = next(text for text in heads if "Nachweise, die Zahlen vergleichen" in text)

    for word in ("Ein‐ heit", "Verhält‐ nis", "ge‐ fordert"):
        assert word in broken
    assert "Einh eit" not in broken
    assert "geforder t" not in broken


def test_the_title_block_has_the_eight_fields_of_iso_7200(lighthouse_facts):
    """Owner, number, issue, sheet, title, approver, author, kind (ISO 7200:2004, from memory)."""
    view = made_of("lighthouse").view
    words = dict(view.facts)

    assert words["Owner of the document"] == "Saltmarsh Harbour Trust"
    assert words["Number, revision"] == "SP-014, A"
    assert words["Issued"] == "2027-03-01"
    assert (words["Author"], words["To be approved by"]) == ("M. Orde", "M. Orde")
    assert view.labels.kind == "Risk assessment for work on ropes"
    assert view.labels.sheet == "Sheet"
    assert view.title


@pytest.fixture
def lighthouse_facts():
    return facts_of(made_of("lighthouse").dossier)


def test_the_weakest_line_is_that_of_the_worst_check(lighthouse_facts):
    """Of two lines that fail alike, the one that falls short further stands first."""
    checks = {line: weakest(lighthouse_facts, line) for line in lighthouse_facts.job.lines}
    table = next(
        block
        for block in made_of("lighthouse").view.sections[0].blocks
        if isinstance(block, Table) and block.caption.startswith("Weakest")
    )
    order = [row.head.text for row in table.rows]

    # 1.00 over 0.0594 is further short than a rule that is broken without a number.
    assert order == ["working", "safety"]
    assert all(isinstance(check, Check) and not check.stands for check in checks.values())


def test_a_check_without_any_capacity_is_the_weakest_of_all(lighthouse_facts):
    check = next(c for c in lighthouse_facts.checks.values() if c.ratio is not None and c.required)
    nothing = replace(check, ratio=replace(check.ratio, low=0.0))

    assert nothing.against[1] == float("inf")


def test_what_page_1_has_no_room_for_is_counted():
    view = made_of("lighthouse").view
    table = next(b for b in view.front if isinstance(b, Table))
    unmet = len(made_of("lighthouse").assessment.failed_checks)
    room = ROOM["A4"] - LEAST

    assert len(table.rows) == room
    assert table.note == f"{unmet - room} more checks that are not met stand in section 1."
    assert any(isinstance(b, Items) for b in view.front)
    assert any(isinstance(b, Para) and "not met" in b.text for b in view.front)
