"""Section 1: which checks are not met and why, the package, limits, key figures of each line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import mark, say
from riskdoc.report import controls
from riskdoc.report.blocks import Block, Cell, Para, Section
from riskdoc.report.facts import CASES
from riskdoc.report.number_format import figure_span
from riskdoc.report.reasons import missing_words
from riskdoc.report.rows import figure_row, unasked
from riskdoc.report.tables import columns, table, text_cell, verdict_cell
from riskdoc.report.weakest import weakest_points
from riskdoc.requirements.outcome import open_items

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.analysis.figure import Figure
    from riskdoc.judgement.verdicts import Check
    from riskdoc.report.blocks import Table
    from riskdoc.report.facts import Facts


ALL_MET = mark("All checks are met.")
MARGINS = {
    "rated": mark("Margin, rated"),
    "derated": mark("Margin, derated"),
    "arrest": mark("Margin, arrest"),
}


def decision(facts: Facts) -> Section:
    """Section 1."""
    blocks: list[Block] = [
        *_unmet(facts),
        *_not_met(facts),
        *controls.packaged(facts),
        *controls.limits(facts),
        *weakest_points(facts),
        *(key_figures(facts, line) for line in facts.job.lines),
        *_not_judged(facts),
    ]
    return Section("decision", "1", say("Decision in full"), tuple(blocks))


def _unmet(facts: Facts) -> Iterator[Block]:
    unmet = facts.assessment.failed_checks
    if not unmet:
        yield Para(say(ALL_MET), "stops")
        return
    yield table(
        say("Checks that are not met, and why"),
        columns("Check | 22", "Verdict | 14", "Reason | 35", "What to do | 29"),
        [
            (
                text_cell(str(each.title), each.subject),
                verdict_cell(each.verdict),
                text_cell(str(each.reason), missing_words(each)),
                controls.answer(facts, each),
            )
            for each in unmet
        ],
        css="stack",
    )


def _not_met(facts: Facts) -> Iterator[Block]:
    """Items of the set that are not met or not demonstrated; its summary in one sentence."""
    judged = facts.dossier.judged
    yield Para(judged.sentence)
    unmet, items = {check.id for check in facts.assessment.failed_checks}, open_items(judged)
    known = [each for each in items if unmet & set(each.checks)]
    if known:
        clauses = "; ".join(dict.fromkeys(judged.set.said(each.item.clause) for each in known))
        yield Para(
            say(
                "Not met for the checks above: {clauses}. Section 9 has each item.",
                clauses=clauses,
            )
        )
    rest = [each for each in items if each not in known]
    if rest:
        yield table(
            say("Not met or not demonstrated of the requirement set"),
            columns("What is asked | 34", "Clause | 20", "Answer | 14", "Because | 32"),
            [
                (
                    Cell(judged.set.said(each.item.asks)),
                    Cell(judged.set.said(each.item.clause)),
                    Cell(say(each.answer.value)),
                    text_cell(each.reason),
                )
                for each in rest
            ],
            css="stack",
        )


def key_figures(facts: Facts, line: str) -> Table:
    """The figures of a line that decide, each with its range and what is required."""
    it = facts.job.lines[line]
    what = {"line": line, "rope": it.rope, "anchor": it.anchor, "load": it.load}
    return table(
        say("Line {line}: safety line, rope {rope}, anchor {anchor}, load {load}", **what)
        if it.role == "safety"
        else say("Line {line}: working line, rope {rope}, anchor {anchor}, load {load}", **what),
        columns(
            "Key figure | 34",
            "Unit | 8",
            "Low | 9 | number",
            "Expected | 10 | number",
            "High | 9 | number",
            "Required | 14 | number",
            "Verdict | 16",
        ),
        list(_key_rows(facts, line)),
        css="wide keys",
    )


def _key_rows(facts: Facts, line: str) -> Iterator[Sequence[Cell]]:
    it = facts.job.lines[line]
    for station, name in (
        ("load", say("Tension at the load")),
        ("anchor", say("Tension at the anchor")),
    ):
        start = f"line/{line}/tension/{station}/"
        most = facts.greatest(start)
        case = most.id.rsplit("/", maxsplit=1)[-1] if most else ""
        yield figure_row(name, say(case) if case in CASES else "", most, None)
    force = facts.figures.get(f"anchor/{it.anchor}/force/{line}")
    name = f"anchor/{it.anchor}"
    worst = _worst(facts, f"{name}/strength", f"{name}/leg/")
    yield figure_row(say("Pull on the anchor"), it.anchor, force, worst)
    yield from _bridle_rows(facts, line)
    for kind in MARGINS:
        yield _margin_row(facts, line, kind)
    if facts.arrests(line):
        peak = f"line/{line}/fall/peak"
        yield figure_row(
            say("Peak force of a fall"), "", facts.figures.get(peak), facts.checks.get(peak)
        )
    yield _exposure_row(facts, line)
    yield from _more_rows(facts, line)


def _bridle_rows(facts: Facts, line: str) -> Iterator[Sequence[Cell]]:
    """Angle between the legs of the line's anchor, and what they carry when one is lost."""
    name = f"anchor/{facts.job.lines[line].anchor}"
    if f"{name}/angle" not in facts.checks:
        return
    wide = facts.figures.get(f"{name}/included")
    yield figure_row(
        say("Angle between the outermost legs"), "", wide, facts.checks[f"{name}/angle"]
    )
    left = facts.greatest(f"{name}/leg_lost/")
    yield figure_row(
        say("Force in a leg when another is lost"), "", left, _worst(facts, f"{name}/leg_lost/")
    )


def _more_rows(facts: Facts, line: str) -> Iterator[Sequence[Cell]]:
    """Clearance and hauling, where the line has them."""
    name = f"line/{line}"
    haul, clear = facts.job.lines[line].haul, facts.figures.get(f"{name}/clearance/available")
    height = say("clear height {height}", height=figure_span(clear)) if clear else ""
    team = say("{count} hauling", count=haul.haulers) if haul else ""
    clearance = _worst(facts, f"{name}/clearance") if facts.arrests(line) else None
    for title, detail, id, check in (
        (say("Clearance needed"), height, "clearance/needed", clearance),
        (say("Effort of the team"), team, "haul/effort", facts.checks.get(f"{name}/haul/team")),
        (say("Haulers needed"), "", "haul/team", None),
        (say("Tension when the load snags"), say("jam"), "haul/jam", None),
    ):
        figure = facts.figures.get(f"{name}/{id}")
        if figure is not None or check is not None:
            yield figure_row(title, detail, figure, check)


def _worst(facts: Facts, *starts: str) -> Check | None:
    """The check furthest from being met, of those whose id starts so."""
    found = [each for id, each in facts.checks.items() if id.startswith(starts)]
    return max(found, key=lambda check: check.against, default=None)


def _margin_row(facts: Facts, line: str, kind: str) -> Sequence[Cell]:
    id = f"line/{line}/margin/{kind}"
    name = say(MARGINS[kind])
    if kind == "arrest" and not facts.arrests(line):
        return unasked(name, say("not meant to arrest a fall"))
    return figure_row(name, "", facts.figures.get(id), facts.checks.get(id))


def _exposure_row(facts: Facts, line: str) -> Sequence[Cell]:
    name = say("Abrasion exposure")
    edges = [over.edge for over in facts.job.lines[line].over]
    if not edges:
        return unasked(name, say("over no edge"))
    ids = [f"line/{line}/edge/{edge}/exposure" for edge in edges]
    # One edge that could not be computed may be the worst one: it goes before any number.
    lacking = [id for id in ids if id not in facts.figures]
    judged = {id: facts.judged(id) for id in ids}
    id = lacking[0] if lacking else max(ids, key=lambda each: _height(judged[each]))
    return figure_row(name, edges[ids.index(id)], judged[id], facts.checks.get(id))


def _height(figure: Figure | None) -> float:
    return 0.0 if figure is None else figure.shown.high


def _not_judged(facts: Facts) -> Iterator[Block]:
    if facts.assessment.not_judged:
        listed = "; ".join(map(str, facts.assessment.not_judged))
        yield Para(
            say(
                "Not judged by this version, so not demonstrated to be safe: {listed}.",
                listed=listed,
            ),
            "unjudged",
        )
