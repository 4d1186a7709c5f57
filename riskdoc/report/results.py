"""Sections 2 to 4: the plan drawn, margins, friction."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.quantities.printing import number, three, unit_of
from riskdoc.report import along
from riskdoc.report.bars import bar
from riskdoc.report.blocks import Block, Cell, Figure, Heading, Para, Section
from riskdoc.report.edgeview import edge_view
from riskdoc.report.elevation import elevation
from riskdoc.report.facts import CASES
from riskdoc.report.number_format import NOT_DEMONSTRATED, side_of
from riskdoc.report.pictures import pictures
from riskdoc.report.profile import profile
from riskdoc.report.reasons import reasons
from riskdoc.report.tables import columns, table, text_cell, verdict_cell

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.analysis.figure import Figure as Number
    from riskdoc.judgement.verdicts import Check
    from riskdoc.report.facts import Facts
    from riskdoc.report.svg import Drawing


def drawn(facts: Facts) -> Section:
    """Section 2."""
    blocks: list[Block] = []
    own = pictures(facts)
    for line in facts.job.lines:
        blocks.append(Heading(say("Line {line}", line=line)))
        blocks.append(_figure(elevation(facts, line)))
        blocks.extend(_edge_views(facts, line))
        blocks.extend(own.lines[line])
    if own.others:
        blocks.extend((Heading(say("Pictures")), *own.others))
    return Section("plan", "2", say("The plan drawn"), tuple(blocks))


def _edge_views(facts: Facts, line: str) -> Iterator[Block]:
    for over in facts.job.lines[line].over:
        view = edge_view(facts, line, over.edge)
        crossing = facts.figures.get(f"line/{line}/edge/{over.edge}/crossing")
        if view is not None:
            yield _figure(view)
        elif crossing is None:
            yield Para(
                say(
                    "Edge {edge}, line {line}: sideways movement not demonstrated.",
                    edge=over.edge,
                    line=line,
                ),
                "missing",
            )
        else:
            yield Para(
                say(
                    "Edge {edge}, line {line}: no sideways movement by the job file.",
                    edge=over.edge,
                    line=line,
                )
            )


def _figure(drawing: Drawing) -> Figure:
    return Figure(drawing.title, drawing.text, drawing.markup, drawing.key)


def margins(facts: Facts) -> Section:
    """Section 3: every check, numbers first, then the rules that no number overrides."""
    checks = facts.assessment.checks
    compared = [each for each in checks if each.ratio is not None or each.required is not None]
    rules = [each for each in checks if each.ratio is None and each.required is None]
    blocks: list[Block] = [
        Para(
            say(
                "Ratio is capacity over demand. Adequate: even the worst corner of the ranges "
                "meets what is required. Borderline: only the expected values meet it. The "
                "abrasion exposure is judged by the value that nine draws in ten do not exceed "
                "instead of its corners, and stands here at 10 %, as expected and at 90 %. In the "
                "bars the dashed stroke is the requirement; short of it is left, and each end is "
                "ten times."
            )
        ),
        *([_compared(compared)] if compared else []),
        *([_rules(rules)] if rules else []),
        *([reasons(checks)] if checks else []),
    ]
    return Section("margins", "3", say("Margins and checks"), tuple(blocks))


def _compared(checks: Sequence[Check]) -> Block:
    return table(
        say("Checks that compare numbers"),
        columns(
            "Check | 16.5",
            "Unit | 5",
            "Greatest demand | 9.5 | number",
            "Least capacity | 9 | number",
            "Ratio, low | 8 | number",
            "Ratio, expected | 9.5 | number",
            "Ratio, high | 8 | number",
            "Ratio required | 8.5 | number",
            "Bar, dashed: required | 12 | bar",
            "Verdict | 14",
        ),
        [_compared_row(each) for each in checks],
        css="wide dense",
    )


def _compared_row(check: Check) -> Sequence[Cell]:
    unit = unit_of(check.unit)
    demand = number(check.demand.high, unit, "up") if check.demand else say(NOT_DEMONSTRATED)
    capacity = number(check.capacity.low, unit, "down") if check.capacity else say(NOT_DEMONSTRATED)
    ratios = three(check.ratio, "1", "down") if check.ratio else ("–", say(NOT_DEMONSTRATED), "–")
    required = number(check.required, unit_of("1"), "up") if check.required is not None else "–"
    return (
        Cell(str(check.title), check.subject),
        Cell(unit.name or "–"),
        Cell(demand),
        Cell(capacity),
        *(Cell(each) for each in ratios),
        Cell(required),
        Cell("", mark=bar(check)),
        verdict_cell(check.verdict),
    )


def _rules(checks: Sequence[Check]) -> Block:
    return table(
        say("Rules that no number overrides"),
        columns("Rule | 30", "Verdict | 15", "Reason | 35", "Source | 20"),
        [
            (
                Cell(str(each.title), each.subject),
                verdict_cell(each.verdict),
                text_cell(str(each.reason)),
                Cell(str(each.source)),
            )
            for each in checks
        ],
    )


def friction(facts: Facts) -> Section:
    """Section 4: the tension at every station of every line, case by case."""
    blocks: list[Block] = []
    for line in facts.job.lines:
        drawing = profile(facts, line)
        blocks += [_figure(drawing)] if drawing else []
        blocks.append(_profile(facts, line))
    note = Para(
        say(
            "Each edge and each redirect changes the tension by exp(μ · turn): it loads the anchor "
            "while raising and relieves it while lowering. Demands are rounded up."
        )
    )
    return Section("friction", "4", say("Friction: tension along each line"), (note, *blocks))


def _profile(facts: Facts, line: str) -> Block:
    nodes = along.nodes(facts.job, line)
    rows: list[Sequence[Cell]] = []
    for upper, lower in pairwise(nodes):
        rows += _part_rows(
            facts,
            line,
            say(
                "{n}: {first} to {last}",
                n=f"{upper.number}–{lower.number}",
                first=_place(facts, line, upper),
                last=_place(facts, line, lower),
            ),
            along.station(facts.job, line, upper, "below"),
        )
    return table(
        say(
            "Line {line}: tension in each part of the rope, from the anchor to the load", line=line
        ),
        columns(
            "Part of the rope | 37",
            "Case | 18",
            "Low, {N} | 15 | number",
            "Expected, {N} | 15 | number",
            "High, {N} | 15 | number",
        ),
        rows,
        css="wide dense",
    )


def _place(facts: Facts, line: str, node: along.Node) -> str:
    """A place of a line, as a part of the rope is named by it."""
    if node.kind == "edge":
        return facts.job.lines[line].over[node.index].edge
    if node.kind == "redirect":
        return say("redirect {n}", n=node.index + 1)
    return say("the anchor") if node.kind == "anchor" else say("the load")


def _part_rows(facts: Facts, line: str, name: str, station: str) -> Iterator[Sequence[Cell]]:
    """A row a case; the tension is the same at both ends of a part."""
    found = False
    for case in CASES:
        figure = facts.figures.get(f"line/{line}/tension/{station}/{case}")
        if figure is not None:
            found = True
            yield (Cell(name), Cell(say(case)), *_three(figure))
    if not found:
        yield (
            Cell(name),
            Cell(say("every case")),
            Cell("–"),
            Cell(say(NOT_DEMONSTRATED)),
            Cell("–"),
        )


def _three(figure: Number) -> tuple[Cell, Cell, Cell]:
    low, expected, high = three(figure.range, figure.unit, side_of(figure.id))
    return Cell(low), Cell(expected), Cell(high)
