"""Section 5: the abrasion exposure of the edges, by scenario and movement, and what it equals."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from riskdoc.analysis.movements import CREEPS, SCENARIOS
from riskdoc.analysis.reference_day import day_row, padded_day, what_of
from riskdoc.i18n.say import mark, say
from riskdoc.quantities.printing import amount, far, some, span
from riskdoc.report.blocks import Block, Cell, Figure, Para, Section
from riskdoc.report.exposure_page import BANDS, SEVERE, exposed
from riskdoc.report.facts import MOVEMENTS, movement_words
from riskdoc.report.links import worked_place
from riskdoc.report.number_format import NOT_DEMONSTRATED, nothing, side_of
from riskdoc.report.tables import columns, table

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.analysis.figure import Figure as Number
    from riskdoc.report.facts import Facts
    from riskdoc.report.svg import Drawing

WHOLE = {
    CREEPS: mark("All movements, rope creeps"),
    "held": mark("All movements, rope held by friction"),
}
"""The sum of each scenario."""


def exposure(facts: Facts) -> Section:
    """Section 5: per line and edge the part of each movement, their sum and its word."""
    blocks: list[Block] = []
    for line, it in facts.job.lines.items():
        for over in it.over:
            drawing = exposed(facts, line, over.edge)
            blocks += [_figure(drawing)] if drawing is not None else []
            blocks += _exposed(facts, line, over.edge)
    if not blocks:
        blocks = [Para(say("No line runs over an edge in this job."))]
    else:
        blocks = [*(Para(text) for text in _read()), *blocks]
    return Section("exposure", "5", say("Abrasion exposure of the edges"), tuple(blocks))


def _figure(drawing: Drawing) -> Block:
    return Figure(drawing.title, drawing.text, drawing.markup, drawing.key)


def _read() -> Iterator[str]:
    """How the section is read."""
    yield say(
        "The index ranks plans. It is not a life of a rope. One reference sweep is a single 11 mm "
        "polyamide strand under 1 kN, drawn 1 m sideways across a bare square edge of smooth "
        "concrete with 5 mm radius. Slight below 0.1, moderate below 0.5, high below 1, severe "
        "from 1. How a sheath is built cannot be judged from outside, so the index says nothing "
        "about it."
    )
    yield say(
        "Two scenarios are worked out apart: the rope creeps to the straight line, or friction "
        "holds it at its resting place. The worse is judged. Each ranged input is drawn from the "
        "triangle between its low, expected and high value, the same draws in every plan. The "
        "value at 90 % is the one that nine draws in ten do not exceed. A check is adequate where "
        "the value at 90 % is within the limit, borderline where only the expected value is, "
        "inadequate otherwise. The corners, where every input is at its worst at once, are in the "
        "workings."
    )
    yield say(
        "{day} It has {count} reference sweeps.",
        day=_day_words(),
        count=span(padded_day().band, "1", "near"),
    )


def _day_words() -> str:
    """What the day is, in words."""
    hours = day_row("hours").expected / 3600
    return say(
        "A day over a padded coping is one person of {mass} with kit on a dry {diameter} "
        "{sheath} strand over a secured {protector}, wider than the sweep, on a {surface} coping "
        "of {radius}, {above} from the anchor: {below} down and up again, {passes} passes at a "
        "reach of {reach} and {hours:g} hours on the rope.",
        mass=_amount("mass"),
        diameter=_amount("diameter", "mm"),
        sheath=say(what_of("sheath")),
        protector=say(what_of("protector")),
        surface=say(what_of("surface")),
        radius=_amount("radius", "mm"),
        above=_amount("above"),
        below=_amount("below"),
        passes=f"{day_row('passes').expected:g}",
        reach=_amount("reach"),
        hours=hours,
    )


def _amount(row: str, unit: str = "") -> str:
    found = day_row(row)
    return amount(found.expected, unit or found.unit, "near")


def _exposed(facts: Facts, line: str, edge: str) -> Iterator[Block]:
    start = f"line/{line}/edge/{edge}"
    if f"{start}/exposure" not in facts.figures:
        check = facts.checks.get(f"{start}/exposure")
        said = say("Edge {edge}, line {line}: exposure not demonstrated.", edge=edge, line=line)
        yield Para(f"{said} {check.reason}" if check else said, "missing")
        return
    yield table(
        say("Edge {edge}, line {line}: exposure in reference sweeps", edge=edge, line=line),
        columns(
            "Movement | 40",
            "At 10 % | 14 | number",
            "Expected | 14 | number",
            "At 90 % | 14 | number",
            "Class | 18",
        ),
        [row for scenario in SCENARIOS for row in _scenario(facts, start, scenario)],
        note=_note(facts, start),
        css="wide dense",
    )
    if text := " ".join(_compared(facts, start)):
        yield Para(text)


def _scenario(facts: Facts, start: str, scenario: str) -> Iterator[Sequence[Cell]]:
    """The movements of one scenario and their sum; the sum that is judged says so."""
    own = start if scenario == CREEPS else f"{start}/{scenario}"
    whole = facts.figures[f"{own}/exposure"]
    prefix = f"{own}/exposure/"
    for id, each in facts.figures.items():
        if id.startswith(prefix):
            yield (Cell(movement_words(id.removeprefix(prefix))), *_three(each), Cell(""))
    check = facts.checks.get(f"{start}/exposure")
    name = say(WHOLE[scenario])
    if check is not None and whole.id in check.figures:
        name = say("{movements} (judged)", movements=name)
    yield (
        Cell(name, css="sum", href=worked_place(whole.id)),
        *_three(whole),
        Cell("" if nothing(whole) else band(whole)),
    )


def _three(figure: Number) -> tuple[Cell, Cell, Cell]:
    if words := nothing(figure):
        return Cell("–"), Cell(words), Cell("–")
    low, expected, high = some(figure.shown, figure.unit, side_of(figure.id))
    return Cell(low), Cell(expected), Cell(high)


def _compared(facts: Facts, start: str) -> Iterator[str]:
    """The judged exposure against the bare edge, and in days over a padded coping."""
    bare, days = facts.figures.get(f"{start}/against_bare"), facts.figures.get(f"{start}/days")
    if bare is not None and not nothing(bare):
        yield say(
            "Against the same edge bare: {ratio} times the exposure.",
            ratio=span(bare.shown, "1", "up"),
        )
    if days is not None and not nothing(days):
        yield say("It equals {days} days over a padded coping.", days=span(days.shown, "1", "up"))


def band(figure: Number) -> str:
    """The word of an exposure at its expected value, and at 90 % where it is another."""
    expected, high = word(figure.shown.expected), word(figure.shown.high)
    if expected == high:
        return expected
    return say("{expected}, at 90 % {high}", expected=expected, high=high)


def word(index: float) -> str:
    """The word for an exposure index. What is not a number is not demonstrated.

    >>> word(0.05), word(0.1), word(1.0), word(float("nan"))
    ('slight', 'moderate', 'severe', 'not demonstrated')
    """
    if math.isnan(index):
        return say(NOT_DEMONSTRATED)
    return say(next((name for end, name in BANDS if index < end), SEVERE))


def _note(facts: Facts, start: str) -> str:
    """Sweep, cover and slides behind the exposures, for the scenario that each belongs to."""
    said: list[str] = []
    protected = facts.job.edges[start.rsplit("/", maxsplit=1)[-1]].protection is not None
    names = ("sweep", *(["covered"] if protected else []), "sideways")
    kinds = [f"{own}{name}" for name in names for own in ("", "held/")]
    for kind in (*kinds, *MOVEMENTS[1:]):
        for id, figure in facts.figures.items():
            if id == f"{start}/{kind}" or id.startswith(f"{start}/{kind}/"):
                said.append(f"{figure.title}: {_moved(figure)}")
    return ". ".join(said) + "." if said else ""


def _moved(figure: Number) -> str:
    if figure.id.endswith("/covered"):
        return span(figure.range, figure.unit, side_of(figure.id))
    return nothing(figure) or far(figure.range, figure.unit, side_of(figure.id))
