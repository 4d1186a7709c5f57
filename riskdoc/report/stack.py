"""The clearance stack: what a fall takes below the attachment point, against what is clear."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import cycle
from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.quantities.printing import Toward, amount
from riskdoc.report import svg
from riskdoc.report.facts import line_name
from riskdoc.report.labels import Label, column, height, in_order
from riskdoc.report.svg import Drawing, Drawn

if TYPE_CHECKING:
    from collections.abc import Iterator

    from riskdoc.report.facts import Facts

LEFT, TOP, WIDE, HIGH = 60.0, 16.0, 70.0, 170.0
LABELS, ROOM = 210.0, 280.0
OUT = 24.0
"""How far a stated height reaches out on both sides of the stack."""
DEEPEST = 2.0
"""A height below this many times the need is drawn at the foot, else the stack would be thin."""

MOST_HIGH = 560.0
"""Labels that need more height than this become numbers with a key."""
MOST_MARKS = 12
"""Stated heights that are drawn: the nearest ones, which a fall strikes first."""


@dataclass(frozen=True, slots=True)
class _Part:
    name: str
    size: float


@dataclass(frozen=True, slots=True)
class _Stack:
    """The parts from above to below, what is needed in all, and the nearest heights stated."""

    parts: tuple[_Part, ...]
    needed: float
    marks: tuple[_Part, ...]
    stated: int

    @property
    def deepest(self) -> float:
        sizes = [sum(each.size for each in self.parts), self.needed]
        within = [each.size for each in self.marks if each.size <= DEEPEST * self.needed]
        beyond = len(within) < len(self.marks)
        return max(*sizes, *within, self.needed * 1.15 if beyond else 0.0)


def clearance_stack(facts: Facts, line: str) -> Drawing | None:
    """The stack of one line at its greatest, to scale; None where the fall is not known."""
    stack = _stack(facts, line)
    if stack is None or stack.needed <= 0:
        return None
    scale = HIGH / stack.deepest
    bars, labels = _bars(stack, scale)
    strokes, heights = _strokes(stack, scale)
    written, key = keyed([*labels, *heights])
    placed = column(written, LABELS, ROOM, TOP, TOP + HIGH)
    high = max(placed.bottom, TOP + HIGH) + 8
    drawn = [*bars, *strokes, *placed.parts]
    return replace(_picture(facts, line, stack, drawn, high), key=key)


def keyed(labels: list[Label]) -> tuple[list[Label], tuple[tuple[str, str, str], ...]]:
    """The labels as they are where they fit a page, else numbers and the key to them."""
    if height(labels, ROOM) <= MOST_HIGH:
        return labels, ()
    ordered = in_order(labels)
    short = [replace(each, title=str(n), text="") for n, each in enumerate(ordered, start=1)]
    key = tuple((str(n), each.title, each.text) for n, each in enumerate(ordered, start=1))
    return short, key


def _stack(facts: Facts, line: str) -> _Stack | None:
    stretch = facts.figures.get(f"line/{line}/fall/stretch")
    needed = facts.figures.get(f"line/{line}/clearance/needed")
    body = facts.default("work/body below attachment/value")
    spare = facts.default("work/spare clearance/value")
    fall = facts.job.lines[line].fall
    if stretch is None or needed is None or fall is None or body is None or spare is None:
        return None
    slip = facts.figures.get(f"line/{line}/fall/slip")
    parts = (
        _Part(say("Free fall"), fall.free.high),
        _Part(say("Stretch at the peak"), stretch.range.high),
        _Part(say("Slip of the device"), slip.range.high if slip else 0.0),
        _Part(say("Attachment to feet"), body.high),
        _Part(say("Spare"), spare.high),
    )
    shown = tuple(each for each in parts if each.size > 0)
    marks = sorted(_marks(facts, line), key=lambda each: each.size)
    return _Stack(shown, needed.range.high, tuple(marks[:MOST_MARKS]), len(marks))


def _marks(facts: Facts, line: str) -> Iterator[_Part]:
    fall = facts.job.lines[line].fall
    if fall is None:
        return
    clear = facts.clear_height(line)
    if clear is not None:
        yield _Part(say("Clear height at the place of work"), clear)
    for ledge in fall.ledges:
        yield _Part(say("{ledge}, as stated", ledge=ledge.name), ledge.below.low)


def _bars(stack: _Stack, scale: float) -> tuple[list[Drawn], list[Label]]:
    """The parts one under the other, white and grey by turns, and the foot of the need."""
    drawn, labels, at = [], [], 0.0
    for part, fill in zip(stack.parts, cycle((svg.WHITE, svg.PALE)), strict=False):
        y, size = TOP + at * scale, part.size * scale
        drawn.append(Drawn(svg.rect(LEFT, y, WIDE, size, fill=fill)))
        labels.append(_label(LEFT + WIDE, y + size / 2, part.name, part.size, "up"))
        at += part.size
    y = TOP + stack.needed * scale
    drawn.append(Drawn(svg.line(LEFT, y, LEFT + WIDE, y, stroke_width=2.4)))
    labels.append(_label(LEFT + WIDE, y, say("Needed in all"), stack.needed, "up"))
    return drawn, labels


def _strokes(stack: _Stack, scale: float) -> tuple[list[Drawn], list[Label]]:
    """The heights stated, as dashed strokes; what lies deeper than the drawing at its foot."""
    drawn, labels = [], []
    for mark in stack.marks:
        beyond = mark.size > stack.deepest
        y = TOP + min(mark.size, stack.deepest) * scale
        dash = "2 4" if beyond else "6 3"
        ends = (LEFT - OUT, LEFT + WIDE + OUT)
        drawn.append(Drawn(svg.line(ends[0], y, ends[1], y, stroke_width=2, stroke_dasharray=dash)))
        name = say("{mark}, deeper than drawn", mark=mark.name) if beyond else mark.name
        labels.append(_label(LEFT + WIDE, y, name, mark.size, "down"))
    return drawn, labels


def _label(x: float, y: float, name: str, size: float, toward: Toward) -> Label:
    return Label(x, y, name, amount(size, "m", toward))


def _text(stack: _Stack) -> str:
    said = [
        say(
            "From the attachment point of the person at the place of work down, to scale, each "
            "part at its greatest."
        )
    ]
    if stack.marks:
        said.append(say("Dashed: clear height and ledges, at their least."))
    if not stack.marks:
        said.append(say("No clear height and no ledge is stated, so none is drawn."))
    if stack.stated > MOST_MARKS:
        said.append(
            say(
                "Drawn are the nearest {count} of {stated}; the table has all.",
                count=MOST_MARKS,
                stated=stack.stated,
            )
        )
    if sum(each.size for each in stack.parts) > stack.needed * 1.005:
        said.append(
            say("No one fall has every part at its greatest: the thick stroke is what it needs.")
        )
    return " ".join(said)


def _picture(facts: Facts, line: str, stack: _Stack, parts: list[Drawn], high: float) -> Drawing:
    title = say("Clearance below a fall on line {line}", line=line_name(facts.job, line))
    text = _text(stack)
    name = f"stack-{list(facts.job.lines).index(line) + 1}"
    markup = svg.picture(parts, svg.PAGE_WIDTH, high, name, title, text)
    boxes = tuple(box for part in parts for box in part.boxes)
    return Drawing(markup, title, text, svg.PAGE_WIDTH, high, boxes)
