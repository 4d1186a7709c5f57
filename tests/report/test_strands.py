"""A line on two strands is called so wherever a crew or a permit issuer reads its name."""

from __future__ import annotations

from typing import Any

import pytest
from report.made import assessed, raw

from riskdoc.report.blocks import Table
from riskdoc.report.card import build_card
from riskdoc.report.decision import decision
from riskdoc.report.edgeview import edge_view
from riskdoc.report.elevation import elevation
from riskdoc.report.facts import Facts, facts_of
from riskdoc.report.profile import profile
from riskdoc.report.stack import clearance_stack
from riskdoc.requirements.dossier import Dossier

WORDS = {"1": "", "2": "two strands", "3": "three strands", "4": "four strands"}


def made(strands: str, **line: Any) -> tuple[Dossier, Facts]:
    job = raw("lighthouse")
    for each in job["lines"].values():
        each.update(strands=strands, **line)
    for rope in job["ropes"].values():
        rope["length"] = "200 m"
    found = assessed(job)
    return found, facts_of(found)


@pytest.mark.parametrize("strands", WORDS)
def test_every_drawing_of_a_line_names_its_strands(strands):
    _, facts = made(strands)
    drawings = [
        elevation(facts, "safety"),
        profile(facts, "safety"),
        edge_view(facts, "safety", "coping"),
        clearance_stack(facts, "safety"),
    ]

    for drawing in drawings:
        assert drawing is not None
        assert "safety" in drawing.title
        assert ("strands" in drawing.title) == (strands != "1")
        assert WORDS[strands] in drawing.title


def entries(dossier: Dossier) -> str:
    card = build_card(dossier)
    return " ".join(entry for part in card.parts for entry in part.entries)


@pytest.mark.parametrize("strands", ["1", "2"])
def test_the_card_names_the_strands_at_every_edge(strands):
    dossier, _ = made(strands)

    assert entries(dossier).count("two strands over coping") == (2 if strands == "2" else 0)


def test_the_card_names_the_strands_of_a_line_over_no_edge():
    assert "working, two strands" in entries(over_no_edge("2"))
    assert "working" not in entries(over_no_edge("1"))


def over_no_edge(strands: str) -> Dossier:
    """The job without its edge, and without all that is stated of it."""
    job = raw("lighthouse")
    for key in ("edges", "protection", "alternatives"):
        del job[key]
    del job["pictures"]["coping"]
    for line in job["lines"].values():
        line.update(strands=strands, over=[], site="gallery")
    for rope in ("red", "blue"):
        job["ropes"][rope]["length"] = "200 m"
    job["ropes"] = {rope: job["ropes"][rope] for rope in ("red", "blue")}
    return assessed(job)


def test_the_weakest_points_name_the_strands():
    """On page 1 they stand where no check stops the plan, as they stand in section 1."""
    _, facts = made("2")
    rows = [
        row.head.text
        for block in decision(facts).blocks
        if isinstance(block, Table) and block.caption.startswith("Weakest point")
        for row in block.rows
    ]

    assert sorted(rows) == ["safety, two strands", "working, two strands"]
