"""Numbers of section 7: the rescue load, its wear, and the haul."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.report.blocks import Block, Para
from riskdoc.report.facts import movement_words
from riskdoc.report.rows import Wanted, checks_table, figures_table

if TYPE_CHECKING:
    from collections.abc import Iterator

    from riskdoc.job.model import Line
    from riskdoc.report.facts import Facts

_DECIDING = ("rescue", "jam")
"""Cases of this section, which the reason of a check names in brackets."""


def rescue_numbers(facts: Facts) -> Iterator[Block]:
    """The rescue load and the hauling system of every line; what is not stated is said."""
    for line in facts.job.lines:
        yield from _line(facts, line)
    if any(line.rescue for line in facts.job.lines.values()):
        yield Para(say("Section 3 judges the rescue load with every case: margins, anchors, wear."))
    else:
        yield Para(say("Rescue load: not demonstrated, no line states a rescue."), "missing")
    if not any(line.haul for line in facts.job.lines.values()):
        yield Para(say("No hauling system is stated on any line, so none is computed."))


def _line(facts: Facts, line: str) -> Iterator[Block]:
    it = facts.job.lines[line]
    what = "; ".join(_what(it))
    rows = [*_rescue(facts, line), *_haul(facts, line)]
    made = figures_table(facts, say("Line {line}: {what}", line=line, what=what), rows)
    if made is not None:
        yield made
        yield _decided(facts, line)
    if it.rescue and f"line/{line}/tension/load/rescue" not in facts.figures:
        yield Para(
            say("Line {line}: tension of the rescue not demonstrated.", line=line), "missing"
        )
    if it.haul and f"line/{line}/haul/effort" not in facts.figures:
        yield Para(say("Line {line}: effort of the haul not demonstrated.", line=line), "missing")


def _what(line: Line) -> Iterator[str]:
    if line.rescue:
        lowered = line.rescue.how == "lower"
        yield (
            say("rescue, {load} lowered", load=line.rescue.load)
            if lowered
            else say("rescue, {load} raised", load=line.rescue.load)
        )
    if line.haul:
        yield say("haul")


def _decided(facts: Facts, line: str) -> Block:
    """The checks whose worst case is one of this section, by what their reason names."""
    anchor = f"anchor/{facts.job.lines[line].anchor}"
    own = f"line/{line}/"
    found = [
        each
        for each in facts.checks.values()
        if (each.subject == anchor or f"{each.subject}/".startswith(own))
        and any(f"({say(case)})" in str(each.reason) for case in _DECIDING)
    ]
    if found:
        return checks_table(
            say("Line {line}: checks that the rescue or the jam decides", line=line), found
        )
    return Para(
        say("Line {line}: no check that could be judged has these as its worst case.", line=line)
    )


def _rescue(facts: Facts, line: str) -> Iterator[Wanted]:
    name = f"line/{line}"
    yield say("Tension at the load, rescue"), f"{name}/tension/load/rescue", ""
    yield say("Tension at the anchor, rescue"), f"{name}/tension/anchor/rescue", ""
    yield say("Stretch under the rescue load"), f"{name}/stretch/rescue", ""
    for over in facts.job.lines[line].over:
        start = f"{name}/edge/{over.edge}/exposure/"
        for id in facts.figures:
            if id.startswith(start) and id.endswith("/rescue"):
                yield (
                    say(
                        "Exposure at {edge}, {movement}",
                        edge=over.edge,
                        movement=movement_words(id.removeprefix(start)),
                    ),
                    id,
                    "",
                )


def _haul(facts: Facts, line: str) -> Iterator[Wanted]:
    name, haul = f"line/{line}/haul", facts.job.lines[line].haul
    if haul is None:
        return
    yield say("Advantage with friction"), f"{name}/advantage", ""
    yield say("Effort of the team"), f"{name}/effort", f"{name}/team"
    yield say("Haulers needed, {haulers} stated", haulers=haul.haulers), f"{name}/team", ""
    yield say("Tension when the load snags (jam)"), f"{name}/jam", ""
