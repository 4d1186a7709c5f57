"""A small section for the crew card: one drawing across an A5 page, forces in words beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.quantities.printing import amount
from riskdoc.report.drawings import forces, symbols
from riskdoc.report.drawings.course import Course, by_site, course
from riskdoc.report.drawings.scene import (
    DASHES,
    LEADING,
    SIZE,
    Drawing,
    Sheet,
    View,
    fitted,
)
from riskdoc.report.svg import Box
from riskdoc.report.text import fitted as shortened

if TYPE_CHECKING:
    from riskdoc.report.facts import Facts

CARD_WIDE, CARD_HIGH = 352.0, 132.0
WORDS = 158.0
MOST = 2
"""Lines in the card's drawing; the report has all of them."""


def card_section(facts: Facts, high: float = CARD_HIGH) -> Drawing:
    """The first lines of the first site, to scale."""
    site_id, lines = by_site(facts, MOST)[0]
    site = facts.job.sites[site_id]
    runs = [course(facts.job, line) for line in lines]
    sheet = Sheet(CARD_WIDE, high)
    points = [each for run in runs for each in run.points]
    drop = site.drop.expected
    world = Box(min(x for x, _ in points), min(y for _, y in points),
                max(x for x, _ in points), max(drop, *(y for _, y in points)))  # fmt: skip
    view = fitted(world, Box(40, 12, WORDS - 48, high - 30), top=0.0)
    _drawn(sheet, facts, view, runs, drop)
    _beside(sheet, facts, runs)
    sheet.scale_bar(view, 8, high - 4, "card")
    sheet.finish()
    title = say("Section {scale}", scale=view.scale_words)
    shown = say("Lines {lines}.", lines=", ".join(f"‘{line}’" for line in lines))
    rest = len(facts.job.lines) - len(lines)
    if rest:
        shown += " " + say("{count} further lines: see the report.", count=rest)
    return sheet.drawing("card-section", title, shown, f"{title}. {shown}")


def _drawn(sheet: Sheet, facts: Facts, view: View, runs: list[Course], drop: float) -> None:
    for run in runs:
        for n in run.edges:
            symbols.wedge(sheet, view.at(run.points[n]), run.ways[n - 1], run.ways[n], 9.0)
    for n, run in enumerate(runs):
        by = 3.0 + 2.6 * n
        shifted = [(x + by, y - by) for x, y in view.all(run.points)]
        sheet.rope(shifted, run.line, DASHES[n], facts.job.lines[run.line].strands, "card")
        symbols.anchor_mark(sheet, shifted[0])
    load = facts.job.lines[runs[0].line].load
    symbols.people(sheet, view, (runs[0].load[0] + 3 / view.scale, runs[0].load[1]),
                   facts.job.loads[load].people)  # fmt: skip
    foot = view.at((0, drop))[1]
    symbols.ground(sheet, 6, WORDS - 14, foot)
    zero, end = view.at((0, 0)), view.at(runs[0].load)
    left = min(x for run in runs for x, _ in run.points)
    sheet.dimension(zero, (zero[0], foot), amount(drop, "m", "near"), left * view.scale - 14,
                    view="card")  # fmt: skip
    sheet.dimension((end[0], zero[1]), end, amount(runs[0].load[1], "m", "near"), 22, view="card")


def _beside(sheet: Sheet, facts: Facts, runs: list[Course]) -> None:
    """Each line with its rope, anchor, edges, protectors and greatest forces."""
    y, room = 9.0, CARD_WIDE - WORDS - 4
    for n, run in enumerate(runs):
        line = facts.job.lines[run.line]
        sheet.rope([(WORDS, y - 3), (WORDS + 22, y - 3)], f"key {run.line}", DASHES[n],
                   line.strands, "key")  # fmt: skip
        sheet.words(WORDS + 27, y, shortened(f"‘{run.line}’", 1, room - 28, SIZE), "SemiBold")
        y += LEADING
        said = [
            say("anchor {force}", force=forces.said(forces.at_anchor(facts, run.line))),
            say("load {force}", force=forces.said(forces.at_station(facts, run.line, "load"))),
            *(_edge(facts, over.edge) for over in line.over[:2]),
        ]
        for text in said:
            sheet.words(WORDS + 27, y, shortened(text, 1, room - 28, SIZE))
            y += LEADING
        y += 4


def _edge(facts: Facts, id: str) -> str:
    name = facts.job.edges[id].protection
    if name is None:
        return say("‘{edge}’: bare, no protector", edge=id)
    kit = facts.job.protection[name]
    held = say("secured") if kit.tied else say("loose")
    return say("‘{edge}’: {kind}, {held}", edge=id, kind=say(kit.kind), held=held)
