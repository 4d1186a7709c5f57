"""Section 6: falls and clearance first, then stretch, swing, wind and heat."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.quantities.printing import number, unit_of
from riskdoc.report.blocks import Block, Cell, Figure, Heading, Para, Section
from riskdoc.report.line_numbers import besides
from riskdoc.report.number_format import NOT_DEMONSTRATED
from riskdoc.report.rows import checks_table, figures_table, three_or_not_demonstrated
from riskdoc.report.stack import clearance_stack
from riskdoc.report.tables import columns, table, verdict_cell

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.analysis.figure import Figure as Number
    from riskdoc.judgement.verdicts import Check
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
        said = "; ".join(f"{line}: {facts.no_fall(line)}" for line in others)
        blocks.append(Para(say("Stated to have no fall to arrest: {lines}.", lines=said)))
    blocks.append(Heading(say("Stretch, swing, wind and heat")))
    for line in facts.job.lines:
        blocks += besides(facts, line)
    sinking = [each for id, each in facts.checks.items() if id.endswith("/sink")]
    if sinking:
        blocks.append(checks_table(say("Sink of the load toward what is below"), sinking))
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
    yield from _slips(facts, line)
    yield _clearances(facts, line)
    why = fall.why_not("ledges") if fall else None
    if why is not None:
        yield Para(say("Line {line}, ledges: none; {why}.", line=line, why=why.rstrip(".")))
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
            yield Para(str(each.text), "finding")


def _slips(facts: Facts, line: str) -> Iterator[Block]:
    """What is stated of the slip of the devices on a line where no slip is computed."""
    if f"line/{line}/fall/slip" in facts.figures:
        return
    for name in facts.job.lines[line].devices:
        device = facts.job.devices[name]
        why = device.why_not("slip")
        said = say("does not slip, as stated: {why}", why=why) if why else say("slip not stated")
        if device.slip is None:
            yield Para(say("Line {line}, {device}: {said}.", line=line, device=name, said=said))


@dataclass(frozen=True, slots=True)
class _Height:
    """A height below the attachment point: what it goes down to, how much there is, the need."""

    place: str
    there: float | None
    needed: Number | None

    @property
    def left(self) -> float:
        """What is left over at worst; nothing can be said to be left where one is not known."""
        if self.there is None or self.needed is None:
            return -math.inf
        return self.there - self.needed.range.high


def _clearances(facts: Facts, line: str) -> Block:
    """What is needed below the attachment point against what is there, place by place."""
    name, fall = f"line/{line}", facts.job.lines[line].fall
    needed = facts.figures.get(f"{name}/clearance/needed")
    lowest = facts.figures.get(f"{name}/clearance/needed_at_lowest")
    clear = facts.job.sites[facts.site_of(line)].clear_below
    ground = [
        _Height(say("clear height"), facts.clear_height(line), needed),
        _Height(say("at the lowest place"), clear.low if clear else None, lowest),
    ]
    ledges = [_Height(each.name, each.below.low, needed) for each in (fall.ledges if fall else ())]
    if not ledges and (fall is None or fall.why_not("ledges") is None):
        ledges = [_Height(say("ledges"), None, needed)]
    rows = [
        *_clearance_rows(facts.checks.get(f"{name}/clearance"), ground),
        *_clearance_rows(facts.checks.get(f"{name}/clearance/ledges"), ledges),
    ]
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
        note=say(
            "All heights are counted from the attachment point of the person. The need holds the "
            "spare already. Below zero, so much is lacking at worst. A verdict stands where least "
            "is left over."
        ),
        css="wide keys",
    )


def _clearance_rows(check: Check | None, heights: Sequence[_Height]) -> Iterator[Sequence[Cell]]:
    """A row a height; the one with least left over has the verdict on all of them."""
    metre = unit_of("m")
    decides = min(heights, key=lambda each: each.left, default=None)
    for each in heights:
        there = say(NOT_DEMONSTRATED) if each.there is None else number(each.there, metre, "down")
        left = number(each.left, metre, "down") if math.isfinite(each.left) else "–"
        verdict = verdict_cell(check.verdict) if check else Cell(say("no check"))
        yield (
            Cell(each.place),
            Cell(metre.name),
            Cell(there),
            *three_or_not_demonstrated(each.needed),
            Cell(left),
            verdict if each is decides else Cell("–"),
        )
