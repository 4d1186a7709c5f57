"""A comparison of plans as a document: what differs, side by side, with a chart for each figure."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from markupsafe import Markup

from riskdoc.language.say import mark, say, speaking
from riskdoc.language.units import number, unit_of
from riskdoc.report import svg
from riskdoc.report.blocks import Block, Cell, Items, Para, Section, View
from riskdoc.report.marks import chip
from riskdoc.report.rows import limit_of
from riskdoc.report.tables import columns, table, text_cell, verdict_cell
from riskdoc.report.units import NOT_SHOWN, side_of, three
from riskdoc.report.view import labels, sheet_of, with_notes

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.assess.records import Assessment, Check, Figure, Range
    from riskdoc.controls.compare import Comparison, Way

STATUS = mark("COMPARISON: decides nothing by itself, not for use on site")
CHART_WIDE, CHART_STEP = 66.0, 12.0
PLANS = 4
"""Plans that stand beside one another on a page; further ones go into a second table."""


def build_comparison(found: Comparison) -> View:
    """The view of a comparison, in the voice of its first plan."""
    with speaking(found.ways[0].plan.file.voice):
        return _built(found)


def _built(found: Comparison) -> View:
    first = found.ways[0].plan.file
    digest = "-".join(way.plan.file.digest[:12] for way in found.ways)
    worst = max((way.plan.status for way in found.ways), key=lambda verdict: verdict.rank)
    jobs = dict.fromkeys(_document(way) for way in found.ways)
    raw = View(
        title=say("Comparison of {count} plans", count=len(found.ways)),
        document="; ".join(jobs),
        document_short=say("Comparison, {number}", number=first.job.job.number),
        status=say(STATUS),
        digest=digest,
        digest_short=first.digest[:12],
        facts=(
            (say("Jobs"), "; ".join(jobs)),
            (say("Plans"), ", ".join(way.name for way in found.ways)),
            (say("Assessed for"), first.on.isoformat()),
            (say("Requirement set"), first.job.job.requirements),
        ),
        verdict=chip(worst),
        sentence=_sentence(found),
        front=(),
        labels=labels(say("Comparison of plans for work on ropes")),
        sheet=sheet_of(first.job.report),
        sections=(
            Section("plans", "1", say("The plans"), tuple(_plans(found))),
            Section("figures", "2", say("Key figures side by side"), tuple(_key(found))),
            Section("checks", "3", say("Checks that differ"), tuple(_checks(found))),
        ),
    )
    return with_notes(raw)


def _document(way: Way) -> str:
    job = way.plan.file.job.job
    return say(
        "{number}, revision {revision}: {title}",
        number=job.number,
        revision=job.revision,
        title=job.title,
    )


def _sentence(found: Comparison) -> str:
    start = [way.name for way in found.ways if not way.plan.stops]
    if not start:
        fewest = min(len(way.plan.stops) for way in found.ways)
        least = [way.name for way in found.ways if len(way.plan.stops) == fewest]
        return say(
            "No plan may start as written. Fewest checks ({fewest}) stand against {least}; the "
            "verdict shown is the worst of all.",
            fewest=fewest,
            least=say(" and ").join(least),
        )
    return say(
        "No check stands against {start}; the verdict shown is the worst of all.",
        start=say(" and ").join(start),
    )


def _plans(found: Comparison) -> Iterator[Block]:
    yield table(
        say("Plans"),
        columns(
            "Plan | 34", "Status | 17", "Checks against it | 17 | number",
            "Mass of ropes and devices, {kg} | 16 | number", "Packed volume, {m^3} | 16 | number",
        ),
        [_plan_row(way) for way in found.ways],
        note=say("Each plan was assessed whole, by the same rules; its own report has all of it."),
    )  # fmt: skip
    named = [{_stop(check) for check in way.plan.stops} for way in found.ways]
    shared = set.intersection(*named)
    if shared:
        yield Para(say("Against every one of them:"))
        yield Items(
            tuple(_stop(c) for c in found.ways[0].plan.stops if _stop(c) in shared), "tight"
        )
    for way in found.ways:
        own = tuple(_stop(c) for c in way.plan.stops if _stop(c) not in shared)
        if own:
            besides = say("Against {name} besides:", name=way.name)
            yield Para(besides if shared else say("Against {name}:", name=way.name))
            yield Items(own, "tight")


def _stop(check: Check) -> str:
    return f"{check.title}, {check.subject}: {say(check.verdict.value)}"


def _plan_row(way: Way) -> Sequence[Cell]:
    return (
        Cell(way.name, way.title),
        verdict_cell(way.plan.status),
        Cell(str(len(way.plan.stops))),
        *(Cell(_high(way.plan.figure(id))) for id in ("kit/mass", "kit/packed_volume")),
    )


def _high(figure: Figure | None) -> str:
    return number(figure.range.high, unit_of(figure.unit), "up") if figure else say(NOT_SHOWN)


def _key(found: Comparison) -> Iterator[Block]:
    yield Para(
        say(
            "Expected value, with low and high below it and the verdict of its check. In the "
            "charts a bar for each plan, from the top in the order of the columns: the bar is the "
            "range, the stroke the expected value, the dashed line what is required. Figures that "
            "are alike in all plans stand at the end."
        )
    )
    rows = [(str(id), str(title), str(unit)) for id, title, unit in found.key_figures.index]
    differ = [row for row in rows if _differs(found, row[0])]
    alike = [row for row in rows if row not in differ]
    for start in range(0, len(found.ways), PLANS):
        ways = found.ways[start : start + PLANS]
        if differ:
            yield _figures(say("Figures that differ"), ways, differ)
    if not differ:
        yield Para(say("No key figure differs between the plans."))
    if alike:
        first = found.ways[0].plan
        yield Para(say("Alike in all plans:"))
        yield Items(tuple(_alike(first, id, title) for id, title, _ in alike), "tight")


def _differs(found: Comparison, id: str) -> bool:
    ranges = [each.range if (each := way.plan.figure(id)) else None for way in found.ways]
    return any(each != ranges[0] for each in ranges)


def _alike(plan: Assessment, id: str, title: str) -> str:
    figure = plan.figure(id)
    if figure is None:
        return f"{title}, {_subject(id)}: {say(NOT_SHOWN)}"
    low, expected, high = three(figure.range, figure.unit, side_of(id))
    name = unit_of(figure.unit).name
    text = (
        expected
        if low == high
        else say("{expected} ({low} to {high})", expected=expected, low=low, high=high)
    )
    return f"{title}, {_subject(id)}: {text} {name}".rstrip()


def _subject(id: str) -> str:
    """What a figure is about, short: its line and edge, or its anchor.

    >>> _subject("line/working/edge/coping/exposure"), _subject("kit/mass")
    ('working, coping', 'all lines')
    """
    kind, name, *rest = id.split("/")
    if kind == "kit":
        return say("all lines")
    return f"{name}, {rest[1]}" if rest and rest[0] == "edge" else name


def _figures(caption: str, ways: Sequence[Way], rows: Sequence[tuple[str, str, str]]) -> Block:
    width = 48 / len(ways)
    heads = ["Figure | 24", "Required | 12 | number"]
    heads += [f"{way.name} | {width:.4g}" for way in ways]
    heads.append("Chart | 16 | bar")
    return table(
        caption, columns(*heads), [_figure_row(ways, *row) for row in rows], css="wide keys"
    )


def _figure_row(ways: Sequence[Way], id: str, title: str, unit: str) -> Sequence[Cell]:
    figures = [way.plan.figure(id) for way in ways]
    checks = [way.plan.check(_check_of(id)) for way in ways]
    asked = next((limit_of(check) for check in checks if check is not None), "–")
    name = unit_of(unit).name
    return (
        Cell(f"{title}{f', {name}' if name else ''}", _subject(id)),
        Cell(asked),
        *(_value(f, c) for f, c in zip(figures, checks, strict=True)),
        Cell("", mark=chart([f.range if f else None for f in figures], _need(id, checks))),
    )


def _check_of(id: str) -> str:
    """The check that judges a figure: most have its id."""
    for figure, check in (("/clearance/needed", "/clearance"), ("/haul/effort", "/haul/team")):
        if id.endswith(figure):
            return id.removesuffix(figure) + check
    return id


def _value(figure: Figure | None, check: Check | None) -> Cell:
    if figure is None:
        return text_cell(say(NOT_SHOWN) if check is not None else say("not asked"))
    low, expected, high = three(figure.range, figure.unit, side_of(figure.id))
    said = [] if low == high else [f"{low} to {high}"]
    short = check is not None and not check.stands
    if check is not None and short:
        said.append(say(check.verdict.value))
    return Cell(expected, "; ".join(said), css="flagged" if short else "")


def _need(id: str, checks: Sequence[Check | None]) -> float | None:
    """What is required of a figure, in its own unit, where its check has one number for it."""
    check = next((each for each in checks if each is not None), None)
    if check is None or check.required is None:
        return None
    if "/margin/" in id:
        return check.required
    return check.capacity.low / check.required if check.capacity is not None else None


def chart(ranges: Sequence[Range | None], need: float | None) -> Markup:
    """A bar for each plan on one scale from zero: range, expected value, and what is required.

    The numbers beside it say the same.
    """
    ends = [each.high for each in ranges if each is not None and math.isfinite(each.high)]
    most = max([*ends, need or 0.0], default=0.0)
    if most <= 0:
        return Markup("")
    tall = CHART_STEP * len(ranges)
    scale = (CHART_WIDE - 4) / most

    def x(value: float) -> float:
        return 2 + min(max(value, 0.0), most) * scale

    parts = [svg.line(2, 0, 2, tall, stroke=svg.GREY)]
    for n, each in enumerate(ranges):
        if each is None or not math.isfinite(each.expected):
            continue
        top = n * CHART_STEP + 3
        wide = max(x(each.high) - x(each.low), 1.5)
        parts.append(svg.rect(x(each.low), top, wide, 6, fill=svg.BLUE, stroke=svg.BLACK))
        parts.append(svg.line(x(each.expected), top - 2, x(each.expected), top + 8, stroke_width=2))
    if need is not None and math.isfinite(need):
        parts.append(svg.line(x(need), 0, x(need), tall, stroke_width=1.2, stroke_dasharray="2 1"))
    return svg.element(
        "svg",
        svg.joined(parts),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {CHART_WIDE:g} {tall:g}",
        width=f"{CHART_WIDE:g}pt",
        height=f"{tall:g}pt",
        aria_hidden="true",
    )


def _checks(found: Comparison) -> Iterator[Block]:
    names = [way.name for way in found.ways]
    if not found.differing:
        yield Para(say("No check comes out worse in one plan than in another."))
        return
    for start in range(0, len(names), PLANS):
        shown = names[start : start + PLANS]
        rows = [
            (Cell(title, subject), *(_check(found, name, id) for name in shown))
            for id, title, subject in found.differing
        ]
        heads = ["Check | 34", *(f"{name} | {66 / len(shown):.4g}" for name in shown)]
        yield table(say("Checks that do not come out alike"), columns(*heads), rows)


def _check(found: Comparison, name: str, id: str) -> Cell:
    way = next(each for each in found.ways if each.name == name)
    check = way.plan.check(id)
    if check is None:
        return Cell(say("not asked"))
    ratio = (
        say("{ratio} at worst", ratio=number(check.ratio.low, unit_of("1"), "down"))
        if check.ratio
        else ""
    )
    return verdict_cell(check.verdict, ratio)
