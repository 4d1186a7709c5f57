"""The clearance stack: what a fall takes below the attachment point, against what is clear."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.report import svg
from riskdoc.report.labels import Label, column
from riskdoc.report.svg import Drawing, Drawn
from riskdoc.report.units import amount

if TYPE_CHECKING:
    from riskdoc.report.facts import Facts

LEFT, TOP, WIDE, HIGH = 60.0, 16.0, 70.0, 190.0
LABELS, ROOM = 210.0, 280.0
FILLS = ("#FFFFFF", "#E6E6E6", "#FFFFFF", "#E6E6E6", "#FFFFFF")
"""Parts differ by neighbour: white, grey, white; each also has its label."""


def clearance_stack(facts: Facts, line: str) -> Drawing | None:
    """The stack of one line at its greatest, to scale; None where the fall is not known."""
    parts = _parts(facts, line)
    if not parts:
        return None
    needed = sum(value for _, value in parts)
    marks = _marks(facts, line)
    deepest = max(needed, *(value for _, value in marks)) if marks else needed
    scale = HIGH / deepest
    drawn, labels, at = [], [], 0.0
    for (name, value), fill in zip(parts, FILLS, strict=True):
        y = TOP + at * scale
        drawn.append(Drawn(svg.rect(LEFT, y, WIDE, value * scale, fill=fill)))
        labels.append(Label(LEFT + WIDE, y + value * scale / 2, name, amount(value, "m", "up")))
        at += value
    labels.append(Label(LEFT + WIDE, TOP + needed * scale, "Needed", amount(needed, "m", "up")))
    for name, value in marks:
        y = TOP + value * scale
        stroke = svg.line(
            LEFT - 24, y, LEFT + WIDE + 24, y, stroke_width=2.0, stroke_dasharray="6 3"
        )
        drawn.append(Drawn(stroke))
        labels.append(Label(LEFT + WIDE + 24, y, name, amount(value, "m", "down")))
    placed = column(labels, LABELS, ROOM, TOP, TOP + HIGH)
    return _picture(facts, line, [*drawn, *placed.parts], max(placed.bottom, TOP + HIGH) + 8)


def _parts(facts: Facts, line: str) -> list[tuple[str, float]]:
    stretch = facts.figures.get(f"line/{line}/fall/stretch")
    needed = facts.figures.get(f"line/{line}/clearance/needed")
    fall = facts.job.lines[line].fall
    if stretch is None or needed is None or fall is None:
        return []
    slip = facts.figures.get(f"line/{line}/fall/slip")
    defaults = {each.id: each.range.high for each in facts.assessment.defaults}
    return [
        ("Free fall", fall.free.high),
        ("Stretch at the peak", stretch.range.high),
        ("Slip of the device", slip.range.high if slip else 0.0),
        ("Attachment to feet", defaults["work/body below attachment/value"]),
        ("Spare", defaults["work/spare clearance/value"]),
    ]


def _marks(facts: Facts, line: str) -> list[tuple[str, float]]:
    fall = facts.job.lines[line].fall
    if fall is None:
        return []
    marks = [(f"Stated: {ledge.name}", ledge.below.low) for ledge in fall.ledges]
    return [("Stated clear height", fall.clear.low), *marks] if fall.clear else marks


def _picture(facts: Facts, line: str, parts: list[Drawn], high: float) -> Drawing:
    title = f"Clearance below a fall on line {line}"
    text = (
        "Each part at its greatest, from the attachment point down, to scale; dashed strokes are "
        "the heights stated, at their least."
    )
    name = f"stack-{list(facts.job.lines).index(line) + 1}"
    markup = svg.picture(parts, svg.PAGE_WIDTH, high, name, title, text)
    boxes = tuple(box for part in parts for box in part.boxes)
    return Drawing(markup, title, text, svg.PAGE_WIDTH, high, boxes)
