"""What stands in several drawings: structure under a rope, protectors, anchors, people, ground."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.quantities.printing import exact
from riskdoc.report import svg
from riskdoc.report.drawings.scene import OUTLINE, THIN
from riskdoc.report.svg import Box
from riskdoc.tables.loader import cell

if TYPE_CHECKING:
    from collections.abc import Sequence

    from riskdoc.quantities.quantity import Quantity
    from riskdoc.report.drawings.placement import Point
    from riskdoc.report.drawings.scene import Sheet, View

BESIDE = 0.45
"""How far people on one load are drawn beside each other [m]."""
BAND = 2.6
"""Thickness of a protector on paper: how thick it is is not stated."""

# A person seen from the side, in parts of the height from the attachment point to the feet, the
# attachment point at the origin. A picture of a person, not a measure: only the feet are to scale.
_HEAD, _HEAD_RADIUS = (0.10, -0.07), 0.075
_BODY = [
    (0.03, 0.02), (0.10, 0.01), (0.17, 0.03), (0.19, 0.10), (0.17, 0.36), (0.29, 0.55),
    (0.25, 0.72), (0.27, 0.97), (0.34, 1.0), (0.19, 1.0), (0.18, 0.72), (0.19, 0.58),
    (0.07, 0.46), (0.05, 0.30), (-0.03, 0.17), (0.0, 0.05),
]  # fmt: skip


def feet_below() -> float:
    """Height from the attachment point of a person down to the feet [m]."""
    return cell("work", "body below attachment").expected


def person(sheet: Sheet, view: View, at: Point) -> None:
    """A person who hangs from an attachment point [m], to scale."""
    tall = feet_below()

    def placed(points: Sequence[Point]) -> list[Point]:
        return view.all([(at[0] + x * tall, at[1] + y * tall) for x, y in points])

    body = placed(_BODY)
    head = placed([_HEAD])[0]
    small = view.scale * tall < 30
    fill = svg.BLACK if small else svg.PALE
    sheet.area(body, fill, THIN if small else OUTLINE)
    sheet.ring(head, _HEAD_RADIUS * tall * view.scale, fill, THIN if small else OUTLINE)
    xs, ys = [x for x, _ in body], [y for _, y in body]
    sheet.canvas.boxes.append(Box(min(xs), min(ys), max(xs), max(ys)))


def people(sheet: Sheet, view: View, at: Point, count: int) -> None:
    """What hangs on a line: people one beside the other, or a thing, whose size is not stated."""
    if count == 0:
        x, y = view.at(at)
        sheet.area([(x - 6, y), (x + 6, y), (x + 6, y + 12), (x - 6, y + 12)])
        return
    for n in range(count):
        person(sheet, view, (at[0] + BESIDE * n, at[1]))


def person_above(sheet: Sheet, at: Point, turned: float = 0.0) -> None:
    """A person seen from above, as a symbol."""
    x, y = at
    wide, deep = 6.0, 3.0
    cos, sin = math.cos(turned), math.sin(turned)
    outline = [
        (x + wide * math.cos(t) * cos - deep * math.sin(t) * sin,
         y + wide * math.cos(t) * sin + deep * math.sin(t) * cos)
        for t in (n * math.pi / 10 for n in range(20))
    ]  # fmt: skip
    sheet.area(outline, svg.PALE)
    sheet.ring(at, 2.4, svg.WHITE)


def anchor_mark(sheet: Sheet, at: Point) -> None:
    """An anchor, as a symbol."""
    x, y = at
    sheet.area([(x - 3.2, y - 3.2), (x + 3.2, y - 3.2), (x + 3.2, y + 3.2), (x - 3.2, y + 3.2)],
               svg.BLACK)  # fmt: skip
    sheet.canvas.boxes.append(Box(x - 3.6, y - 3.6, x + 3.6, y + 3.6))


def wedge(sheet: Sheet, at: Point, before: float, after: float, size: float) -> None:
    """The structure inside a bend, hatched; where it ends is not known, so it is broken off."""
    back = (at[0] - size * math.cos(before), at[1] - size * math.sin(before))
    on = (at[0] + size * math.cos(after), at[1] + size * math.sin(after))
    x, y = inward(before, after)
    inner = (at[0] + x * size * 1.05, at[1] + y * size * 1.05)
    broken = [*_torn(on, inner), *_torn(inner, back)]
    sheet.hatch([back, at, on, *broken])
    sheet.stroke([*broken, back], THIN)
    sheet.stroke([back, at, on], OUTLINE)


def inward(before: float, after: float) -> Point:
    """The direction into the structure inside a bend."""
    x, y = math.cos(after) - math.cos(before), math.sin(after) - math.sin(before)
    far = math.hypot(x, y)
    if far < 1e-6:
        return -math.sin(after), math.cos(after)
    return x / far, y / far


def _torn(one: Point, other: Point) -> list[Point]:
    """A way between two places as a broken edge is drawn."""
    far = math.dist(one, other)
    steps = max(2, round(far / 4))
    if far < 1e-6:
        return [one]
    nx, ny = -(other[1] - one[1]) / far, (other[0] - one[0]) / far
    return [
        (
            one[0] + (other[0] - one[0]) * n / steps + nx * (1.3 if n % 2 else -1.3) * (n > 0),
            one[1] + (other[1] - one[1]) * n / steps + ny * (1.3 if n % 2 else -1.3) * (n > 0),
        )
        for n in range(steps)
    ]


def protector_band(sheet: Sheet, at: Point, before: float, after: float, size: float) -> None:
    """A protector between edge and rope, as a symbol: its length along the rope is not stated."""
    back = (at[0] - size * math.cos(before), at[1] - size * math.sin(before))
    on = (at[0] + size * math.cos(after), at[1] + size * math.sin(after))
    x, y = inward(before, after)
    lifted = [(px - x * BAND, py - y * BAND) for px, py in (on, at, back)]
    sheet.area([back, at, on, *lifted], svg.SKY)


def ground(sheet: Sheet, left: float, right: float, y: float) -> None:
    """The ground or water at the foot of a drop, hatched below."""
    sheet.stroke([(left, y), (right, y)], OUTLINE)
    sheet.hatch([(left, y), (right, y), (right, y + 7), (left, y + 7)])


WATER = {"moving water", "still water", "tide"}


def foot(near: tuple[str, ...] | None) -> str:
    """What is at the foot of a drop, as far as the job says."""
    if WATER & set(near or ()):
        return say("ground or water")
    return say("ground")


def measured(quantity: Quantity) -> str:
    """A stated quantity in the units of the report, with its range where it has one."""
    si = quantity.kind.si
    if not quantity.ranged:
        return exact(quantity.expected, si, "near")
    return say(
        "{expected} ({low} to {high})",
        expected=exact(quantity.expected, si, "near"),
        low=exact(quantity.low, si, "down"),
        high=exact(quantity.high, si, "up"),
    )
