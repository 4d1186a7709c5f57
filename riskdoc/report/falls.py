"""Section 6: falls and clearance first, then stretch, swing, wind and heat."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.assess.records import Range
from riskdoc.language.say import say
from riskdoc.language.units import number, unit_of
from riskdoc.report.beside import besides
from riskdoc.report.blocks import Block, Cell, Figure, Heading, Para, Section
from riskdoc.report.rows import figures_table, three_or_not_demonstrated
from riskdoc.report.stack import clearance_stack
from riskdoc.report.tables import columns, table, verdict_cell
from riskdoc.report.units import NOT_DEMONSTRATED

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.assess.records import Check
    from riskdoc.job.quantity import Quantity
    from riskdoc.report.facts import Facts

_NEAR_FALLS = ("static_modulus", "strands")
"""Findings about the force of a fall; they also stand in section 12 with all others."""


def falls(facts: Facts) -> Section:
    """Section 6."""
    blocks: list[Block] = []
    caught = [line for line in facts.job.lines if facts.arrests(line)]
    for line in caught:
        blocks += _fall(facts, line)
    others = [line for line in facts.job.lines if line not in caught]
    if others:
        blocks.append(Para(say("Not meant to arrest a fall: {others}.", others=", ".join(others))))
    blocks.append(Heading(say("Stretch, swing, wind and heat")))
    for line in facts.job.lines:
        blocks += besides(facts, line)
    return Section("falls", "6", say("Falls, clearance, stretch, swing, wind, heat"), tuple(blocks))


def _fall(facts: Facts, line: str) -> Iterator[Block]:
    name, fall = f"line/{line}", facts.job.lines[line].fall
    rows = [
        (say("Fall factor"), f"{name}/fall/factor", ""),
        (say("Effective length: rope that stretches"), f"{name}/fall/effective_length", ""),
        (say("Modulus of the rope in the fall"), f"{name}/fall/modulus", ""),
        (say("Peak force"), f"{name}/fall/peak", f"{name}/fall/peak"),
        (say("Stretch at the peak"), f"{name}/fall/stretch", ""),
        (say("Slip of the device"), f"{name}/fall/slip", ""),
    ]
    caption = say("Line {line}, free fall not demonstrated: force of the fall", line=line)
    if fall:
        free = fall.free.written
        caption = say("Line {line}, free fall {free}: force of the fall", line=line, free=free)
    made = figures_table(facts, caption, rows)
    if made is not None:
        yield made
    if fall and f"{name}/fall/slip" not in facts.figures:
        yield Para(
            say("No device on line {line} states a slip force: no slip is counted.", line=line)
        )
    yield _clearances(facts, line)
    drawing = clearance_stack(facts, line)
    if drawing is None:
        yield Para(
            say(
                "Line {line}: the clearance cannot be drawn, so it is not demonstrated.", line=line
            ),
            "missing",
        )
    else:
        yield Figure(drawing.title, drawing.text, drawing.markup, drawing.key)
    for each in facts.assessment.findings:
        if each.id in {f"{name}/{end}" for end in _NEAR_FALLS}:
            yield Para(each.text, "finding")


def _clearances(facts: Facts, line: str) -> Block:
    """What is needed below the attachment point against what is stated, place by place."""
    name, fall = f"line/{line}", facts.job.lines[line].fall
    clear = fall.clear if fall else None
    rows = [_clearance_row(facts, line, say("clear height"), clear, f"{name}/clearance")]
    for n, ledge in enumerate(fall.ledges if fall else (), start=1):
        check = f"{name}/clearance/ledge/{n}"
        rows.append(_clearance_row(facts, line, ledge.name, ledge.below, check))
    return table(
        say("Line {line}: clearance below the attachment point", line=line),
        columns(
            "Down to | 22",
            "Unit | 8",
            "Available, least | 11 | number",
            "Needed, low | 10 | number",
            "Needed, expected | 11 | number",
            "Needed, high | 10 | number",
            "Left over at worst | 12 | number",
            "Verdict | 16",
        ),
        rows,
        note=say("The need holds the spare already. Below zero, so much is lacking at worst."),
        css="wide keys",
    )


def _clearance_row(
    facts: Facts, line: str, place: str, stated: Quantity | None, id: str
) -> Sequence[Cell]:
    check: Check | None = facts.checks.get(id)
    figure = facts.figures.get(f"line/{line}/clearance/needed")
    needed: Range | None = figure.range if figure else None
    metre = unit_of("m")
    available = number(stated.low, metre, "down") if stated else say(NOT_DEMONSTRATED)
    left = number(stated.low - needed.high, metre, "down") if stated and needed else "–"
    return (
        Cell(place),
        Cell(metre.name),
        Cell(available),
        *three_or_not_demonstrated(figure),
        Cell(left),
        verdict_cell(check.verdict) if check else Cell(say("no check")),
    )
