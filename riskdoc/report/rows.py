"""Rows that several sections share: a figure, its range, what is required, the verdict."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.judgement.verdicts import Verdict
from riskdoc.quantities.printing import number, three, unit_of
from riskdoc.report.blocks import Block, Cell
from riskdoc.report.links import worked_place
from riskdoc.report.number_format import NOT_DEMONSTRATED, nothing, side_of
from riskdoc.report.tables import columns, table, text_cell, verdict_cell

if TYPE_CHECKING:
    from collections.abc import Sequence

    from riskdoc.analysis.figure import Figure
    from riskdoc.judgement.verdicts import Check
    from riskdoc.report.facts import Facts

Wanted = tuple[str, str, str]
"""A row that is wanted: its name, the id of its figure, and that of its check or nothing."""

LIMITED = ("exposure", "fall/peak", "haul/team", "/angle", "swing")
"""Checks in which the figure is a demand with a greatest value, not a margin with a least one."""
LIMITED_PARTS = ("/clearance", "/heat/", "/redirect/", "/sink")
"""The same, for checks with a name of their own at the end."""


def figures_table(facts: Facts, caption: str, rows: Sequence[Wanted]) -> Block | None:
    """A table of figures: name, figure id, id of its check or nothing; None where none is known.

    A figure that is not known is left out, unless it has a check: then it is not demonstrated.
    """
    made = [
        figure_row(name, "", facts.figures.get(id), facts.checks.get(check))
        for name, id, check in rows
        if id in facts.figures or check in facts.checks
    ]
    if not made:
        return None
    return table(
        caption,
        columns(
            "Figure | 34",
            "Unit | 8",
            "Low | 9 | number",
            "Expected | 10 | number",
            "High | 9 | number",
            "Required | 14 | number",
            "Verdict | 16",
        ),
        made,
        css="wide keys",
    )


def checks_table(caption: str, checks: Sequence[Check]) -> Block:
    """Checks with verdict and reason, where they are read beside what they are about."""
    return table(
        caption,
        columns("Check | 30", "Verdict | 16", "Reason | 54"),
        [
            (
                Cell(str(each.title), each.subject),
                verdict_cell(each.verdict),
                text_cell(str(each.reason)),
            )
            for each in checks
        ],
        css="wide keys",
    )


def unasked(name: str, why: str) -> Sequence[Cell]:
    """A row for what this line is not asked."""
    empty = [Cell("–") for _ in range(5)]
    return (_named(name, why), *empty, Cell(say("not asked")))


def _named(name: str, detail: str, figure: Figure | None = None) -> Cell:
    text = f"{name} ({detail})" if detail else name
    return Cell(text, href=worked_place(figure.id) if figure else "")


def figure_row(name: str, small: str, figure: Figure | None, check: Check | None) -> Sequence[Cell]:
    """A figure with its range, what is required of it and the verdict."""
    judged = verdict_cell(check.verdict) if check else Cell(say("no check"))
    if figure is None:
        judged = verdict_cell(check.verdict if check else Verdict.NOT_DEMONSTRATED)
        blank = [Cell("–") for _ in range(2)]
        asked = Cell(limit_of(check))
        return (_named(name, small), Cell("–"), *blank, Cell(say(NOT_DEMONSTRATED)), asked, judged)
    low, expected, high = three(figure.shown, figure.unit, side_of(figure.id))
    if figure.band is not None:
        name = say("{name}, low at 10 %, high at 90 %", name=name)
        if words := nothing(figure):
            low, expected, high = "–", words, "–"
    unit = unit_of(figure.unit).name or "–"
    return (
        _named(name, small, figure),
        Cell(unit),
        Cell(low),
        Cell(expected),
        Cell(high),
        Cell(limit_of(check)),
        judged,
    )


def three_or_not_demonstrated(figure: Figure | None) -> tuple[Cell, Cell, Cell]:
    """Low, expected and high of a figure as cells."""
    if figure is None:
        return Cell("–"), Cell(say(NOT_DEMONSTRATED)), Cell("–")
    low, expected, high = three(figure.shown, figure.unit, side_of(figure.id))
    return Cell(low), Cell(expected), Cell(high)


def limit_of(check: Check | None) -> str:
    """What is asked: a least ratio, or a greatest demand where the ratio asked is one."""
    if check is None or check.required is None:
        return "–"
    if check.id.endswith(LIMITED) or any(part in check.id for part in LIMITED_PARTS):
        if check.capacity is None:
            return "–"
        unit = unit_of(check.unit)
        return f"≤ {number(check.capacity.low / check.required, unit, 'down')}"
    if check.id.startswith("anchor/"):
        # The figure is the pull on the whole; what is asked is the strength of one leg under it.
        if check.demand is None:
            return "–"
        return say(
            "leg ≥ {force}", force=number(check.demand.high * check.required, unit_of("N"), "up")
        )
    return f"≥ {number(check.required, unit_of('1'), 'up')}"
