"""Numbers of section 7: the rescue load, its wear, and the haul."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.report.blocks import Block, Para
from riskdoc.report.facts import movement_words
from riskdoc.report.rows import Wanted, checks_table, figures_table
from riskdoc.report.units import NOT_SHOWN

if TYPE_CHECKING:
    from collections.abc import Iterator

    from riskdoc.report.facts import Facts

_HOW = {"lower": "lowered", "raise": "raised"}
_DECIDING = ("(rescue)", "(jam)")
"""Cases of this section, as the reason of a check names the one it speaks of."""


def rescue_numbers(facts: Facts) -> Iterator[Block]:
    """The rescue load and the hauling system of every line; what is not stated is said."""
    for line in facts.job.lines:
        yield from _line(facts, line)
    if any(line.rescue for line in facts.job.lines.values()):
        yield Para("Section 3 judges the rescue load with every case: margins, anchors, wear.")
    else:
        yield Para(f"Rescue load: {NOT_SHOWN}, no line states a rescue.", "missing")
    if not any(line.haul for line in facts.job.lines.values()):
        yield Para("No hauling system is stated on any line, so none is computed.")


def _line(facts: Facts, line: str) -> Iterator[Block]:
    it = facts.job.lines[line]
    rescue = f"rescue, {it.rescue.load} {_HOW[it.rescue.how]}" if it.rescue else ""
    what = "; ".join(each for each in (rescue, "haul" if it.haul else "") if each)
    rows = [*_rescue(facts, line), *_haul(facts, line)]
    made = figures_table(facts, f"Line {line}: {what}", rows)
    if made is not None:
        yield made
        yield _decided(facts, line)
    if it.rescue and f"line/{line}/tension/load/rescue" not in facts.figures:
        yield Para(f"Line {line}: tension of the rescue {NOT_SHOWN}.", "missing")
    if it.haul and f"line/{line}/haul/effort" not in facts.figures:
        yield Para(f"Line {line}: effort of the haul {NOT_SHOWN}.", "missing")


def _decided(facts: Facts, line: str) -> Block:
    """The checks whose worst case is one of this section, by what their reason names."""
    anchor = f"anchor/{facts.job.lines[line].anchor}"
    own = f"line/{line}/"
    found = [
        each
        for each in facts.checks.values()
        if (each.subject == anchor or f"{each.subject}/".startswith(own))
        and any(case in each.reason for case in _DECIDING)
    ]
    if found:
        return checks_table(f"Line {line}: checks that the rescue or the jam decides", found)
    return Para(f"Line {line}: no check that could be judged has these as its worst case.")


def _rescue(facts: Facts, line: str) -> Iterator[Wanted]:
    name = f"line/{line}"
    yield "Tension at the load, rescue", f"{name}/tension/load/rescue", ""
    yield "Tension at the anchor, rescue", f"{name}/tension/anchor/rescue", ""
    yield "Stretch under the rescue load", f"{name}/stretch/rescue", ""
    for over in facts.job.lines[line].over:
        start = f"{name}/edge/{over.edge}/exposure/"
        for id in facts.figures:
            if id.startswith(start) and id.endswith("/rescue"):
                yield f"Exposure at {over.edge}, {movement_words(id.removeprefix(start))}", id, ""


def _haul(facts: Facts, line: str) -> Iterator[Wanted]:
    name, haul = f"line/{line}/haul", facts.job.lines[line].haul
    if haul is None:
        return
    yield "Advantage with friction", f"{name}/advantage", ""
    yield "Effort of the team", f"{name}/effort", f"{name}/team"
    yield f"Haulers needed, {haul.haulers} stated", f"{name}/team", ""
    yield "Tension when the load snags (jam)", f"{name}/jam", ""
