"""An anchor with its legs and their forces to scale, and beside it with its worst leg lost."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.quantities.printing import amount, exact, number, unit_of, with_unit
from riskdoc.report.drawings import forces, symbols
from riskdoc.report.drawings.scene import OUTLINE, ROPE, THIN, WIDE, Drawing, Sheet
from riskdoc.report.svg import Box

if TYPE_CHECKING:
    from collections.abc import Iterator

    from riskdoc.job.model import Anchor, Leg
    from riskdoc.report.drawings.placement import Point
    from riskdoc.report.facts import Facts

HIGH, HALF = 196.0, 246.0
LONGEST, FORCE = 62.0, 46.0
"""The longest leg and the greatest force on paper, in points."""


@dataclass(frozen=True, slots=True)
class _Force:
    """The greatest force in a leg [N], the case that makes it, and its part of the strength."""

    size: float
    case: str
    used: float | None


@dataclass(frozen=True, slots=True)
class _Scene:
    facts: Facts
    id: str
    anchor: Anchor
    lines: tuple[str, ...]
    whole: dict[int, _Force]
    lost: int | None
    left: dict[int, _Force]
    pull: forces.Greatest | None
    lengths: list[float] | None
    """Lengths of the legs, where all are stated [m]."""
    kilo: float
    """Points for each newton."""


def anchor(facts: Facts, id: str) -> Drawing:
    """The drawing of one anchor; one of a single leg takes half the width."""
    scene = _scene(facts, id)
    several = len(scene.anchor.legs) > 1
    sheet = Sheet(WIDE if several else HALF, HIGH)
    _legs(sheet, scene, (HALF / 2, HIGH - 78), scene.whole, None, Box(2, 14, HALF - 2, HIGH - 16))
    if several:
        sheet.tag((4, 11), "A", say("All legs"))
        name = say("Leg {number} lost", number=(scene.lost or 0) + 1)
        sheet.tag((HALF + 8, 11), "B", name)
        if scene.left:
            room = Box(HALF + 8, 14, WIDE - 2, HIGH - 16)
            _legs(sheet, scene, (HALF * 1.5 + 6, HIGH - 78), scene.left, scene.lost, room)
        else:
            sheet.words(HALF + 8, 30, say("A leg lost: not demonstrated"))
    _force_bar(sheet, scene)
    sheet.finish()
    title, message = _title(scene), _message(scene, sheet.lost)
    n = list(facts.job.anchors).index(id) + 1
    return sheet.drawing(f"anchor-{n}", title, message, _text(scene))


def _scene(facts: Facts, id: str) -> _Scene:
    anchor = facts.job.anchors[id]
    lines = tuple(
        name for name, line in facts.job.lines.items()
        if line.anchor == id or any(each.anchor == id for each in line.redirects)
    )  # fmt: skip
    whole = _forces(facts, anchor, f"anchor/{id}/leg/{{leg}}/")
    lost = _worst_lost(facts, id, anchor)
    left = (
        _forces(facts, anchor, f"anchor/{id}/leg_lost/{lost + 1}/{{leg}}/")
        if lost is not None
        else {}
    )
    pulls = [each for line in lines for each in _pulls(facts, id, line)]
    pull = max(pulls, key=lambda each: each[0], default=None)
    whole = {n: each for n, leg in enumerate(anchor.legs)
             if (each := _judged(facts, id, n, leg, whole.get(n), pull)) is not None}  # fmt: skip
    sizes = [each.size for each in (*whole.values(), *left.values())]
    most = max([*sizes, pull[0] if pull else 0.0], default=0.0)
    stated = [leg.length.expected for leg in anchor.legs if leg.length is not None]
    lengths = stated if len(stated) == len(anchor.legs) else None
    kilo = FORCE / most if most > 0 else 0.0
    return _Scene(facts, id, anchor, lines, whole, lost, left, pull, lengths, kilo)


def _pulls(facts: Facts, id: str, line: str) -> Iterator[forces.Greatest]:
    """What a line pulls on an anchor with: where it ends, and at its redirects."""
    it = facts.job.lines[line]
    if it.anchor == id and (found := forces.at_anchor(facts, line)) is not None:
        yield found
    for n, each in enumerate(it.redirects, start=1):
        figure = facts.figures.get(f"line/{line}/redirect/{n}/force")
        if each.anchor == id and figure is not None:
            yield figure.range.high, ""


def _judged(
    facts: Facts, id: str, n: int, leg: Leg, force: _Force | None, pull: forces.Greatest | None
) -> _Force | None:
    """The force in a leg, or what its check takes where that is more: no relief by friction."""
    check = facts.checks.get(f"anchor/{id}/leg/{n + 1}")
    if check is None or check.demand is None or (force and force.size >= check.demand.high):
        return force
    strength = leg.strength.low if leg.strength is not None else None
    used = check.demand.high / strength if strength and leg.evidence != "unknown" else None
    return _Force(check.demand.high, pull[1] if pull else "", used)


def _forces(facts: Facts, anchor: Anchor, start: str) -> dict[int, _Force]:
    """The greatest force in each leg, over lines and cases."""
    found = {}
    for n, leg in enumerate(anchor.legs):
        prefix = start.format(leg=n + 1)
        figure = facts.greatest(prefix)
        if figure is None:
            continue
        tail = figure.id.removeprefix(prefix).split("/")
        strength = leg.strength.low if leg.strength is not None else None
        used = figure.range.high / strength if strength and leg.evidence != "unknown" else None
        found[n] = _Force(figure.range.high, tail[1] if len(tail) > 1 else "", used)
    return found


def _worst_lost(facts: Facts, id: str, anchor: Anchor) -> int | None:
    """The leg whose loss loads the others most, by its check."""
    if len(anchor.legs) < 2:
        return None
    checks = {n: facts.checks.get(f"anchor/{id}/leg_lost/{n + 1}") for n in range(len(anchor.legs))}
    known = {n: check for n, check in checks.items() if check is not None}
    return max(known, key=lambda n: known[n].against, default=0)


def _directions(anchor: Anchor) -> list[tuple[float, float]]:
    """Where each leg goes on paper from the joint, as part of its length; the pull goes down."""
    legs = anchor.legs
    if len(legs) == 1:
        return [(0.0, -1.0)]
    if len(legs) == 2:
        turns = [leg.angle.expected if leg.angle else 0.0 for leg in legs]
        return [
            (-math.sin(turns[0]), -math.cos(turns[0])),
            (math.sin(turns[1]), -math.cos(turns[1])),
        ]
    return _projected(anchor)


def _projected(anchor: Anchor) -> list[tuple[float, float]]:
    """Directions in space as they are seen square to the pull, from where they spread most."""
    units = [_unit(leg.direction or (0.0, 0.0, 1.0)) for leg in anchor.legs]
    up = _unit(tuple(-each for each in anchor.pull) if anchor.pull else _sum(units))
    flat = [_less(each, up) for each in units]
    across = _unit(max(flat, key=lambda each: math.hypot(*each)))
    return [(_dot(each, across), -_dot(each, up)) for each in units]


Vector = tuple[float, ...]


def _dot(one: Vector, other: Vector) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))


def _less(one: Vector, along: Vector) -> Vector:
    far = _dot(one, along)
    return tuple(a - far * b for a, b in zip(one, along, strict=True))


def _sum(vectors: list[Vector]) -> Vector:
    return tuple(sum(each) for each in zip(*vectors, strict=True))


def _unit(vector: Vector) -> Vector:
    far = math.hypot(*vector)
    return tuple(each / far for each in vector) if far > 1e-9 else (0.0, 0.0, 1.0)


# What is drawn.


def _legs(
    sheet: Sheet, scene: _Scene, joint: Point, found: dict[int, _Force], lost: int | None, room: Box
) -> None:
    ways = _directions(scene.anchor)
    longest = max(scene.lengths) if scene.lengths else 1.0
    for n, (dx, dy) in enumerate(ways):
        long = LONGEST * (scene.lengths[n] / longest if scene.lengths else 1.0)
        end = (joint[0] + dx * long, joint[1] + dy * long)
        look = {"stroke_dasharray": "2 2"} if n == lost else {}
        sheet.stroke([joint, end], THIN if n == lost else OUTLINE, **look)
        if n == lost:
            _cross(sheet, ((joint[0] + end[0]) / 2, (joint[1] + end[1]) / 2))
        elif scene.lengths is None:
            _broken(sheet, joint, end)
        symbols.anchor_mark(sheet, end)
        _angle_arc(sheet, scene, joint, n, (dx, dy), room, shown=lost is None)
    for n, (dx, dy) in enumerate(ways):
        if n in found and n != lost:
            far = found[n].size * scene.kilo
            tip = (joint[0] + dx * far, joint[1] + dy * far)
            if far > 1.5:
                sheet.arrow(joint, tip, ROPE, 7, class_="force", data_newton=f"{found[n].size:.1f}")
        _leg_label(sheet, scene, joint, n, (dx, dy), found.get(n), lost, room)
    _pull(sheet, scene, joint, room, lost)
    sheet.ring(joint, 3.2)


def _cross(sheet: Sheet, at: Point) -> None:
    for sign in (-1, 1):
        sheet.stroke([(at[0] - 5, at[1] - 5 * sign), (at[0] + 5, at[1] + 5 * sign)], OUTLINE)


def _broken(sheet: Sheet, joint: Point, end: Point) -> None:
    """The break mark of a leg whose length is not stated."""
    far = math.dist(joint, end)
    ux, uy = (end[0] - joint[0]) / far, (end[1] - joint[1]) / far
    for share in (0.84, 0.88):
        x, y = joint[0] + ux * far * share, joint[1] + uy * far * share
        sheet.stroke([(x - uy * 4 + ux * 2, y + ux * 4 + uy * 2),
                      (x + uy * 4 - ux * 2, y - ux * 4 - uy * 2)], THIN)  # fmt: skip


def _angle_arc(
    sheet: Sheet, scene: _Scene, joint: Point, n: int, way: Point, room: Box, *, shown: bool
) -> None:
    """The angle of one of two legs from the line of pull."""
    leg = scene.anchor.legs[n]
    if leg.angle is None or leg.angle.expected <= 0 or not shown or len(scene.anchor.legs) != 2:
        return
    if n == 0:
        sheet.stroke(
            [joint, (joint[0], joint[1] - LONGEST * 0.8)], THIN, stroke_dasharray="5 2 1 2"
        )
    turn = math.atan2(way[1], way[0])
    points = sheet.arc(joint, LONGEST * 0.68, -math.pi / 2, turn)
    sheet.head(points[-3], points[-1], 4)
    middle = points[len(points) // 2]
    sheet.label(middle, symbols.measured(leg.angle), (way[0] * 0.4, -1), room=room, first=True)


def _leg_label(
    sheet: Sheet, scene: _Scene, joint: Point, n: int, way: Point, force: _Force | None,
    lost: int | None, room: Box,
) -> None:  # fmt: skip
    leg = scene.anchor.legs[n]
    long = LONGEST * (scene.lengths[n] / max(scene.lengths) if scene.lengths else 1.0)
    end = (joint[0] + way[0] * long, joint[1] + way[1] * long)
    away = (way[0] + (0.3 if way[0] >= 0 else -0.3), -0.2)
    if n == lost:
        sheet.label(
            end, [say("leg {number}", number=n + 1), say("lost")], away, bold=True, room=room
        )
        return
    said = [_leg_name(leg, n)]
    said.append(forces.said((force.size, force.case)) if force else say("force not demonstrated"))
    said.append(_strength(leg))
    if force is not None and force.used is not None:
        said.append(say("{share} % of strength", share=_percent(force.used)))
    sheet.label(end, said, away, bold=True, room=room)


def _leg_name(leg: Leg, n: int) -> str:
    if leg.length is None:
        return say("leg {number}", number=n + 1)
    return say(
        "leg {number}, {length}", number=n + 1, length=exact(leg.length.expected, "m", "near")
    )


def _strength(leg: Leg) -> str:
    if leg.strength is None:
        return say("strength not demonstrated")
    return say("{strength} {evidence}", strength=amount(leg.strength.low, "N", "down"),
               evidence=say(leg.evidence))  # fmt: skip


def _percent(used: float) -> str:
    return number(used * 100, unit_of("1"), "up")


def _pull(sheet: Sheet, scene: _Scene, joint: Point, room: Box, lost: int | None) -> None:
    if scene.pull is None:
        sheet.label(joint, say("pull not demonstrated"), (0, 1), room=room)
        return
    far = scene.pull[0] * scene.kilo
    tip = (joint[0], joint[1] + far)
    sheet.arrow(joint, tip, ROPE, 7, class_="force", data_newton=f"{scene.pull[0]:.1f}")
    if lost is not None:
        return
    names = ", ".join(f"‘{line}’" for line in scene.lines)
    sheet.label(
        tip, [say("pull of line {lines}", lines=names), forces.said(scene.pull)], (1, 0), room=room
    )


def _force_bar(sheet: Sheet, scene: _Scene) -> None:
    """How long a force is drawn."""
    if scene.kilo <= 0:
        return
    unit = unit_of("N")
    most = 60 / scene.kilo * unit.factor
    power = 10.0 ** math.floor(math.log10(most))
    whole = next(each * power for each in (5, 2, 1) if each * power <= most)
    far = whole / unit.factor * scene.kilo
    y = sheet.high - 5
    sheet.arrow(
        (6, y), (6 + far, y), ROPE, 7, class_="force-bar", data_newton=f"{whole / unit.factor:.6g}"
    )
    sheet.words(6 + far + 5, y + 3, say("force {size}", size=with_unit(f"{whole:g}", unit)))


# Words.


def _title(scene: _Scene) -> str:
    used = {n: each.used for n, each in scene.whole.items() if each.used is not None}
    after = [each.used for each in scene.left.values() if each.used is not None]
    tail = (
        "" if scene.lengths or len(scene.anchor.legs) == 1 else say(" (leg lengths not to scale)")
    )
    if len(used) < len(scene.anchor.legs):
        return say("Anchor ‘{anchor}’: strength of a leg not demonstrated", anchor=scene.id) + tail
    worst = max(used, key=lambda n: used[n])
    first = say("Anchor ‘{anchor}’: leg {number} takes {share} % of its strength", anchor=scene.id,
                number=worst + 1, share=_percent(used[worst]))  # fmt: skip
    if after and scene.lost is not None:
        first = say("{first}, {share} % with leg {lost} lost", first=first,
                    share=_percent(max(after)), lost=scene.lost + 1)  # fmt: skip
    return first + tail


def _message(scene: _Scene, lost: list[str]) -> str:
    said = [say("Forces to scale, each the maximum of all cases and of the ranges.")]
    legs = scene.anchor.legs
    if len(legs) > 1:
        said.append(say("Legs slide to share the load.") if scene.anchor.equalised == "self"
                    else say("Legs are tied off."))  # fmt: skip
        said.append(say("With a leg lost the others are drawn where they were rigged."))
    if any(leg.length is not None and leg.length.ranged for leg in legs):
        said.append(say("Ranges are drawn at their expected value."))
    if len(legs) > 2:
        said.append(say("Legs are seen square to the pull; lengths and forces are foreshortened."))
    if lost:
        said.append(say("No room in the drawing for: {texts}.", texts="; ".join(lost)))
    return " ".join(said)


def _text(scene: _Scene) -> str:
    said = [_title(scene) + "."]
    for n, leg in enumerate(scene.anchor.legs):
        force = scene.whole.get(n)
        size = forces.said((force.size, force.case)) if force else say("force not demonstrated")
        said.append(f"{_leg_name(leg, n)}: {size}, {_strength(leg)}.")
    return " ".join(said)


def anchors(facts: Facts) -> tuple[Drawing, ...]:
    """Every anchor of the job."""
    return tuple(anchor(facts, id) for id in facts.job.anchors)
