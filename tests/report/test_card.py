"""The crew card: what it says, and that it is one page whatever the names."""

from __future__ import annotations

import io
import re
from datetime import date

import pypdf
import pytest
from report.made import NAMES, Made, assessed, made_of, raw

from riskdoc.report.card import SIZE, build_card, card_html, card_pdf
from riskdoc.report.text import width

MILLIMETRES = 72 / 25.4


def everything(name: str) -> str:
    card = build_card(made_of(name).dossier)
    return " ".join([card.headline, *(entry for part in card.parts for entry in part.entries)])


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(("copies", "size"), [(1, (148, 210)), (2, (297, 210))])
def test_one_page_whatever_the_names(name, copies, size):
    """ISO 216: A5 is 148 by 210 mm, A4 210 by 297 mm."""
    pdf = card_pdf(build_card(made_of(name).dossier), copies=copies)
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages

    assert len(pages) == 1
    found = (float(pages[0].mediabox.width), float(pages[0].mediabox.height))
    assert found == pytest.approx([each * MILLIMETRES for each in size], abs=0.5)
    assert pages[0].extract_text().count("Digest") == copies


def test_the_card_has_the_headline_of_the_status(made: Made):
    card = build_card(made.dossier)

    assert " ".join(card.headline.split()) == made.standing.status.headline
    assert "DRAFT" in card.status


def test_limits_are_the_plans_own_values_and_nothing_computed():
    """How far checks would be met is no leave to go there, so it does not go on the rope."""
    parts = {each.title: each for each in build_card(made_of("lighthouse").dossier).parts}
    limits = [
        entry.replace("\u00a0", " ") for entry in parts["Do not go beyond, as planned"].entries
    ]

    assert "Wind at gallery (mean, measured at 30 m): 9 m/s" in limits
    assert "Free fall on line safety: 0.6 m" in limits
    stated = made_of("lighthouse").dossier.study.limits
    assert limits == [f"{each.title}: {each.planned}" for each in stated]


def test_conditions_of_accepted_exceptions_stand_on_the_card_in_their_own_words():
    job = raw("dam_b")
    conditions = ["The rope is inspected after every pass.", "Nobody over 85 kg hangs there."]
    job["signoff"]["deviations"][0]["conditions"] = conditions
    found = assessed(job, date(2027, 6, 7))
    part = next(p for p in build_card(found).parts if p.title == "Accepted only on condition")
    entry = " ".join(part.entries).replace("\u00a0", " ")

    assert "accepted by T. Brandal until 2027-06-18: " in entry
    for each in conditions:
        assert each.rstrip(".") in " ".join(entry.split())


def test_what_is_missing_is_loud():
    text = everything("bare")

    assert "NOT DEMONSTRATED" in text
    assert "NOBODY STATED" in text


def test_what_does_not_fit_is_counted():
    parts = build_card(made_of("extreme").dossier).parts
    page = card_html(build_card(made_of("extreme").dossier), for_print=False)

    assert any(part.more for part in parts)
    assert "more in the report" in page


def test_no_text_under_8_points():
    page = card_html(build_card(made_of("lighthouse").dossier), for_print=False)
    sizes = [float(each) for each in re.findall(r"font-size: ([0-9.]+)pt", page)]

    assert sizes
    assert min(sizes) >= 8
    assert SIZE >= 8
    assert width("a", SIZE) > 0


def test_the_screen_page_needs_nothing_else():
    page = card_html(build_card(made_of("lighthouse").dossier), for_print=False)

    assert not re.search(r"(src|href)=\"(?!#|data:)", page)
    assert "url(fonts/" not in page
