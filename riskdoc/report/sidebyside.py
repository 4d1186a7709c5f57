"""Tables of plans side by side: figures with a chart of each, and checks."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from markupsafe import Markup

from riskdoc.i18n.message import Text
from riskdoc.i18n.say import say
from riskdoc.quantities.printing import number, three, unit_of
from riskdoc.report import svg
from riskdoc.report.blocks import Cell, Table
from riskdoc.report.number_format import NOT_DEMONSTRATED, side_of
from riskdoc.report.rows import limit_of
from riskdoc.report.tables import columns, table, text_cell, verdict_cell

if TYPE_CHECKING:
    from collections.abc import Sequence

    from riskdoc.analysis.figure import Figure
    from riskdoc.judgement.verdicts import Check
    from riskdoc.mitigation.compare import Comparison, Way
    from riskdoc.quantities.ranges import Range

CHART_WIDE, CHART_STEP = 66.0, 12.0


def key_rows(found: Comparison) -> list[tuple[str, str, str]]:
    """Id, title and unit of every key figure."""
    return [(str(id), str(title), str(unit)) for id, title, unit in found.key_figures.index]


def differs(found: Comparison, id: str) -> bool:
    """Whether a figure is not the same in all plans."""
    ranges = [each.shown if (each := way.plan.figure(id)) else None for way in found.ways]
    return any(each != ranges[0] for each in ranges)


def subject_of(id: str) -> str:
    """What a figure is about, short: its line and edge, or its anchor.

    >>> subject_of("line/working/edge/coping/exposure"), subject_of("kit/mass")
    ('working, coping', 'all lines')
    """
    kind, name, *rest = id.split("/")
    if kind == "kit":
        return say("all lines")
    return f"{name}, {rest[1]}" if rest and rest[0] == "edge" else name


def figure_table(caption: str, ways: Sequence[Way], rows: Sequence[tuple[str, str, str]]) -> Table:
    """Figures (id, title, unit) of some plans, side by side."""
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
        Cell(f"{title}{f', {name}' if name else ''}", subject_of(id)),
        Cell(asked),
        *(_value(f, c) for f, c in zip(figures, checks, strict=True)),
        Cell("", mark=chart([f.shown if f else None for f in figures], _need(id, checks))),
    )


def _check_of(id: str) -> str:
    """The check that judges a figure: most have its id."""
    for figure, check in (("/clearance/needed", "/clearance"), ("/haul/effort", "/haul/team")):
        if id.endswith(figure):
            return id.removesuffix(figure) + check
    return id


def _value(figure: Figure | None, check: Check | None) -> Cell:
    if figure is None:
        return text_cell(say(NOT_DEMONSTRATED) if check is not None else say("not asked"))
    low, expected, high = three(figure.shown, figure.unit, side_of(figure.id))
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


def check_table(
    caption: str, found: Comparison, rows: Sequence[tuple[str, Text, str]], names: Sequence[str]
) -> Table:
    """Checks (id, title, subject) of some plans, side by side."""
    body = [(Cell(str(title), subject), *(_check(found, name, id) for name in names))
            for id, title, subject in rows]  # fmt: skip
    heads = ["Check | 34", *(f"{name} | {66 / len(names):.4g}" for name in names)]
    return table(caption, columns(*heads), body)


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
