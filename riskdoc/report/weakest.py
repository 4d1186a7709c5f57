"""The weakest point of each line: the check that is furthest from being met."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import many, say
from riskdoc.quantities.printing import number, unit_of
from riskdoc.report.blocks import Block, Cell, Para
from riskdoc.report.facts import line_name
from riskdoc.report.tables import columns, table, verdict_cell
from riskdoc.report.text import fitted

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.judgement.verdicts import Check
    from riskdoc.report.facts import Facts

TEXT_SIZE = 8.5


def weakest_points(facts: Facts, room: int | None = None) -> Iterator[Block]:
    """The check of each line that is furthest from being met, the weakest line first."""
    found = [(line, weakest(facts, line)) for line in facts.job.lines]
    judged = [(line, check) for line, check in found if check is not None]
    judged.sort(key=lambda each: each[1].against, reverse=True)
    if not judged:
        return
    shown = judged[:room]
    yield table(
        say("Weakest point of each line, the weakest line first"),
        columns(
            "Line | 22",
            "Check | 34",
            "Worst case | 15 | number",
            "Required | 13 | number",
            "Verdict | 16",
        ),
        [_weak_row(line_name(facts.job, line), check) for line, check in shown],
        note=_more_lines(len(judged) - len(shown)),
        css="stack front",
    )
    beyond = [line for line, _ in judged[len(shown) :] if facts.job.lines[line].strands > 1]
    if beyond:
        names = "; ".join(line_name(facts.job, line) for line in beyond)
        yield Para(fitted(say("Of the other lines: {names}.", names=names), 1, 490.0, 9.0), "note")


def _more_lines(count: int) -> str:
    if count <= 0:
        return ""
    return many(
        "{count} line more, none weaker than these.",
        "{count} lines more, none weaker than these.",
        count,
    )


def weakest(facts: Facts, line: str) -> Check | None:
    """The check of a line that is furthest from being met, those of all its anchors among them."""
    it = facts.job.lines[line]
    anchors = (it.anchor, *(redirect.anchor for redirect in it.redirects))
    starts = (f"line/{line}/", *(f"anchor/{name}/" for name in anchors))
    found = [each for id, each in facts.checks.items() if id.startswith(starts)]
    return max(found, key=lambda check: check.against, default=None)


def _weak_row(line: str, check: Check) -> Sequence[Cell]:
    return (
        Cell(fitted(line, 1, 105.0, TEXT_SIZE)),
        Cell(fitted(str(check.title), 1, 160.0, TEXT_SIZE)),
        *ratio_cells(check),
        verdict_cell(check.verdict),
    )


def ratio_cells(check: Check) -> tuple[Cell, Cell]:
    """The ratio in the worst case and the one required; a dash for a rule without numbers."""
    ratio = number(check.ratio.low, unit_of("1"), "down") if check.ratio else "–"
    required = number(check.required, unit_of("1"), "up") if check.required is not None else "–"
    return Cell(ratio), Cell(required)
