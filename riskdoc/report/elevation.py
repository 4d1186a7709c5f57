"""One elevation per line: anchor legs, edges, protectors, load, lengths and tensions."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from riskdoc.report import labels, svg
from riskdoc.report.facts import Facts
from riskdoc.report.geometry import Course, course
from riskdoc.report.labels import Label
from riskdoc.report.svg import Drawing, Drawn

if TYPE_CHECKING:
    from riskdoc.job.model import Anchor, Line

LEFT, TOP = 62.0, 50.0
ROOM_WIDE, ROOM_HIGH = 120.0, 205.0
COLUMN = 236.0
LEG = 40.0
MOST_HIGH = 600.0
"""Higher than this a drawing does not fit a page: its labels become numbers with a key below."""


@dataclass(frozen=True, slots=True)
class _Scene:
    facts: Facts
    id: str
    line: Line
    anchor: Anchor
    course: Course


def elevation(facts: Facts, id: str) -> Drawing:
    """The elevation of one line."""
    line = facts.job.lines[id]
    lengths = [each.after.expected for each in line.over] + [line.below.expected]
    turns = [facts.job.edges[each.edge].turn.expected for each in line.over]
    shape = course(lengths, turns, ROOM_WIDE, ROOM_HIGH)
    moved = tuple((x + LEFT, y + TOP) for x, y in shape.points)
    placed = Course(moved, shape.directions, shape.to_scale)
    scene = _Scene(facts, id, line, facts.job.anchors[line.anchor], placed)
    return _composed(scene, _labels(scene))


def _composed(scene: _Scene, wanted: list[Label]) -> Drawing:
    room = svg.PAGE_WIDTH - COLUMN
    key: tuple[tuple[str, str, str], ...] = ()
    if labels.height(wanted, room) > MOST_HIGH:
        ordered = labels.in_order(wanted)
        key = tuple((str(n), each.title, each.text) for n, each in enumerate(ordered, start=1))
        wanted = [Label(each.x, each.y, str(n), "") for n, each in enumerate(ordered, start=1)]
    lowest = max(y for _, y in scene.course.points) + 34
    column = labels.column(wanted, COLUMN, room, 4, lowest)
    high = max(lowest, column.bottom) + 6
    parts = [*_edges(scene), _rope(scene), _legs(scene), _load(scene), *column.parts]
    title = f"Elevation of line {scene.id}"
    text = _description(scene)
    name = f"elevation-{list(scene.facts.job.lines).index(scene.id) + 1}"
    markup = svg.picture(parts, svg.PAGE_WIDTH, high, name, title, text)
    boxes = tuple(box for part in column.parts for box in part.boxes)
    return Drawing(markup, title, text, svg.PAGE_WIDTH, high, boxes, key)


def _description(scene: _Scene) -> str:
    scale = (
        "Angles and lengths to scale."
        if scene.course.to_scale
        else "Angles to scale; lengths drawn closer to each other than they are."
    )
    edges = ", ".join(each.edge for each in scene.line.over) or "no edge"
    return (
        f"From anchor {scene.line.anchor} over {edges} to load {scene.line.load}. {scale} "
        "All turns are drawn the same way. Tensions are the greatest of their range."
    )


def _labels(scene: _Scene) -> list[Label]:
    return [
        _anchor_label(scene),
        *_part_labels(scene),
        *_edge_labels(scene),
        _load_label(scene),
    ]


def _anchor_label(scene: _Scene) -> Label:
    x, y = scene.course.points[0]
    legs = "; ".join(
        scene.facts.leg(scene.line.anchor, scene.id, n)
        for n, _ in enumerate(scene.anchor.legs, start=1)
    )
    force = scene.facts.at_most(f"anchor/{scene.line.anchor}/force/{scene.id}")
    text = f"Force {force}. {legs}."
    return Label(x, y, f"Anchor {scene.line.anchor}", text)


def _part_labels(scene: _Scene) -> list[Label]:
    names = [
        f"anchor {scene.line.anchor}",
        *(each.edge for each in scene.line.over),
        f"load {scene.line.load}",
    ]
    stations = ["anchor", *(f"edge:{each.edge}:below" for each in scene.line.over)]
    lengths = [*(each.after for each in scene.line.over), scene.line.below]
    made = []
    for part, (station, length) in enumerate(zip(stations, lengths, strict=True)):
        x, y = scene.course.middle(part)
        title = f"Rope, {names[part]} to {names[part + 1]}: {length.written}"
        made.append(Label(x, y, title, scene.facts.tensions(scene.id, station)))
    return made


def _edge_labels(scene: _Scene) -> list[Label]:
    made = []
    for position, over in enumerate(scene.line.over, start=1):
        edge = scene.facts.job.edges[over.edge]
        x, y = scene.course.points[position]
        text = f"{edge.surface}, turn {edge.turn.written}, radius {edge.radius.written}; "
        text += scene.facts.protector(over.edge)
        made.append(Label(x, y, f"Edge {over.edge}", text))
    return made


def _load_label(scene: _Scene) -> Label:
    x, y = scene.course.points[-1]
    load = scene.facts.job.loads[scene.line.load]
    people = "1 person" if load.people == 1 else f"{load.people} people"
    text = f"{people}, {load.mass.written} and kit {load.kit.written}"
    return Label(x, y + 10, f"Load {scene.line.load}", text)


def _rope(scene: _Scene) -> Drawn:
    thick = 2.2 if scene.line.strands > 1 else 1.6
    return Drawn(svg.path(list(scene.course.points), stroke=svg.BLACK, stroke_width=thick))


def _legs(scene: _Scene) -> Drawn:
    x, y = scene.course.points[0]
    back = scene.course.directions[0] + math.pi
    parts = []
    for angle in _leg_angles(scene.anchor):
        ex, ey = x + LEG * math.cos(back + angle), y + LEG * math.sin(back + angle)
        parts.append(svg.line(x, y, ex, ey, stroke_width=1.2))
        parts.append(svg.rect(ex - 3, ey - 3, 6, 6, fill=svg.BLACK))
    parts.append(svg.circle(x, y, 2.6, stroke_width=1.2))
    return Drawn(svg.joined(parts))


def _leg_angles(anchor: Anchor) -> list[float]:
    legs = anchor.legs
    if len(legs) == 1:
        return [0.0]
    if len(legs) == 2 and all(leg.angle is not None for leg in legs):
        first, second = (leg.angle.expected if leg.angle else 0.0 for leg in legs)
        return [first, -second]
    # Directions in space do not fit one plane: they are fanned out, and the labels give them.
    step = 2.0 / (len(legs) - 1)
    return [-1.0 + step * n for n in range(len(legs))]


def _edges(scene: _Scene) -> list[Drawn]:
    return [
        _edge(scene, position, scene.facts.job.edges[over.edge].protection is not None)
        for position, over in enumerate(scene.line.over, start=1)
    ]


def _edge(scene: _Scene, position: int, protected: bool) -> Drawn:
    x, y = scene.course.points[position]
    before = scene.course.directions[position - 1] + math.pi
    after = scene.course.directions[position]
    size = 22.0
    back = (x + size * math.cos(before), y + size * math.sin(before))
    on = (x + size * math.cos(after), y + size * math.sin(after))
    corner = svg.path([back, (x, y), on, back], fill=svg.PALE, stroke=svg.GREY)
    if not protected:
        return Drawn(corner)
    near = 0.6
    cover = svg.path(
        [
            (x + (back[0] - x) * near, y + (back[1] - y) * near),
            (x, y),
            (x + (on[0] - x) * near, y + (on[1] - y) * near),
        ],
        stroke=svg.BLUE,
        stroke_width=6,
        stroke_linejoin="round",
    )
    return Drawn(svg.joined((corner, cover)))


def _load(scene: _Scene) -> Drawn:
    x, y = scene.course.points[-1]
    people = scene.facts.job.loads[scene.line.load].people
    if people == 0:
        return Drawn(svg.rect(x - 9, y, 18, 18, stroke_width=1.4))
    parts = []
    for n in range(people):
        at = x + (n - (people - 1) / 2) * 13
        parts.append(svg.circle(at, y + 5, 4, stroke_width=1.4))
        parts.append(svg.rect(at - 5, y + 9, 10, 16, stroke_width=1.4, rx=3))
    return Drawn(svg.joined(parts))
