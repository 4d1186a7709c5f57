"""Plan of the rigging: anchors, lines beside each other, edges, sweep, protectors, zone, reach."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.quantities.printing import amount
from riskdoc.report import svg
from riskdoc.report.drawings import symbols
from riskdoc.report.drawings.course import Course, by_site, course
from riskdoc.report.drawings.edge_front import sweep_at
from riskdoc.report.drawings.scene import (
    DASHES,
    HIGH,
    OUTLINE,
    SIZE,
    THIN,
    WIDE,
    Drawing,
    Sheet,
    View,
    fitted,
)
from riskdoc.report.svg import Box
from riskdoc.report.text import shortened

if TYPE_CHECKING:
    from riskdoc.job.model import Line, Site
    from riskdoc.report.drawings.placement import Point
    from riskdoc.report.facts import Facts

NEAR = 316.0
"""Width of the view of anchors and edges; the view of the zone stands right of it."""
SPREAD = 0.16
"""Lines whose distance is not stated are drawn apart by so much of the width of what is drawn."""
SHARED, CLEAR = 0.3, 1.15
"""Distances that are not stated, as parts of the width of a protector: shared, and two of them."""


@dataclass(frozen=True, slots=True)
class _Track:
    """A line as it is seen from above [m]: x along the edge, y outward.

    `fixes` are the places that hold it sideways, from the anchor on, `crossings` its edges with
    how far it can go to either side there; None where that is not demonstrated.
    """

    course: Course
    aside: float
    anchor: Point
    edges: tuple[tuple[str, float, float | None], ...]
    load: float


@dataclass(frozen=True, slots=True)
class _Scene:
    facts: Facts
    site_id: str
    site: Site
    tracks: tuple[_Track, ...]
    stated: bool
    near: View
    far: View

    def line(self, track: _Track) -> Line:
        return self.facts.job.lines[track.course.line]

    @property
    def reach(self) -> float:
        return self.site.reach_sideways.expected if self.site.reach_sideways else 0.0


def plans(facts: Facts, high: float = HIGH) -> tuple[Drawing, ...]:
    """One plan for each site; many lines of one site stand in several."""
    return tuple(
        _plan(facts, n, site, lines, high) for n, (site, lines) in enumerate(by_site(facts), 1)
    )


def _plan(facts: Facts, n: int, site_id: str, lines: tuple[str, ...], high: float) -> Drawing:
    scene = _arranged(facts, site_id, lines, high)
    sheet = Sheet(WIDE, high)
    _near(sheet, scene)
    _far(sheet, scene)
    sheet.finish()
    title, message = _title(scene), _message(scene, sheet.lost)
    return sheet.drawing(f"plan-{n}", title, message, f"{title}. {message}")


def _arranged(facts: Facts, site_id: str, lines: tuple[str, ...], high: float) -> _Scene:
    site = facts.job.sites[site_id]
    reach = site.reach_sideways.expected if site.reach_sideways else 0.0
    courses = [course(facts.job, line) for line in lines]
    deep = max((-x for each in courses for x, _ in each.points), default=0.0)
    besides = [facts.job.lines[line].beside for line in lines]
    stated = all(each is not None for each in besides[1:])
    gap = SPREAD * max(2 * reach, deep, 1.0)
    tracks: list[_Track] = []
    for n, each in enumerate(courses):
        beside = besides[n]
        # One that states nothing stands beside the one before it, as assumed.
        aside = 0.0
        if beside is not None:
            aside = beside.expected
        elif n:
            aside = tracks[-1].aside + _assumed(facts, courses[n - 1], each, gap)
        tracks.append(_track(facts, each, aside))
    out = max(reach, _widest(tracks), gap, 1.0)
    left = min(each.aside for each in tracks) - out
    right = max(each.aside for each in tracks) + out
    world = Box(left, -deep, right, max(0.06 * (right - left), *(each.load for each in tracks)))
    near = fitted(world, Box(34, 58, NEAR - 26, high - 84), top=0.4)
    zone = site.zone.size.expected if site.zone else 0.0
    outer = max(zone, reach, deep, 1.0)
    around = Box(left - outer, -max(outer, deep), right + outer, outer)
    far = fitted(around, Box(NEAR + 12, 40, WIDE - 8, high - 96), top=0.2)
    return _Scene(facts, site_id, site, tuple(tracks), stated, near, far)


def _assumed(facts: Facts, before: Course, course: Course, gap: float) -> float:
    """How far from the line before it a line is drawn that does not say so [m].

    Lines over one edge share its protector; protectors of two edges do not overlap.
    """
    job = facts.job
    one, other = (job.lines[each.line].over for each in (before, course))
    shared = {each.edge for each in one} & {each.edge for each in other}
    if shared:
        widths = [_width(facts, edge) for edge in shared]
        return min([gap, *(SHARED * each for each in widths if each > 0)])
    pairs = [
        (_width(facts, a.edge) + _width(facts, b.edge)) / 2
        for a, b in zip(one, other, strict=False)
    ]
    return max([gap, *(each * CLEAR for each in pairs)])


def _width(facts: Facts, edge: str) -> float:
    name = facts.job.edges[edge].protection
    kit = facts.job.protection[name] if name is not None else None
    return kit.width.expected if kit is not None and kit.width is not None else 0.0


def _widest(tracks: list[_Track]) -> float:
    return max((half or 0.0 for each in tracks for _, _, half in each.edges), default=0.0)


def _track(facts: Facts, course: Course, aside: float) -> _Track:
    edges = []
    for n in course.edges:
        id = facts.job.lines[course.line].over[course.places[n].index].edge
        edges.append((id, course.points[n][0], sweep_at(facts, course.line, id)))
    return _Track(course, aside, (aside, course.anchor[0]), tuple(edges), max(course.load[0], 0.0))


# Anchors and edges.


def _near(sheet: Sheet, scene: _Scene) -> None:
    view = scene.near
    sheet.tag((4, 11), "A", say("Anchors and edges {scale}", scale=view.scale_words))
    _edges(sheet, scene, view)
    for n, track in enumerate(scene.tracks):
        _swings(sheet, scene, view, track)
        _protectors(sheet, scene, view, track)
        _rope(sheet, scene, view, n, track)
        _anchor(sheet, scene, view, track)
    for n, track in enumerate(scene.tracks):
        _load(sheet, scene, view, n, track)
    _spacing(sheet, scene, view)
    _side_dimensions(sheet, scene, view)
    sheet.scale_bar(view, 8, sheet.high - 6, "A")


def _edges(sheet: Sheet, scene: _Scene, view: View) -> None:
    """Edges at one distance are one stroke; structure is hatched behind the last."""
    depths: dict[float, list[str]] = {}
    for track in scene.tracks:
        for id, y, _ in track.edges:
            named = depths.setdefault(round(y, 3), [])
            if id not in named:
                named.append(id)
    for y, ids in depths.items():
        at = view.at((0, y))[1]
        if y == 0:
            sheet.hatch([(10, at - 7), (NEAR - 8, at - 7), (NEAR - 8, at), (10, at)])
        sheet.stroke([(10, at), (NEAR - 8, at)], OUTLINE)
        said = ", ".join(f"‘{id}’" for id in ids)
        text = (
            say("edge {names}", names=said) if len(ids) == 1 else say("edges {names}", names=said)
        )
        sheet.label((NEAR - 40, at), text, (0.3, -1), room=Box(2, 14, NEAR, sheet.high - 20))


def _way(scene: _Scene, track: _Track, side: float) -> list[Point]:
    """The rope from its anchor over its edges to the load, swung to one side, or at rest at 0."""
    points = [track.anchor]
    for _, y, half in track.edges:
        points.append((track.aside + side * (half or 0.0), y))
    points.append((track.aside + side * scene.reach, track.load))
    return points


def _rope(sheet: Sheet, scene: _Scene, view: View, n: int, track: _Track) -> None:
    line = scene.line(track)
    points = [track.anchor, (track.aside, max(track.load, 0.0))]
    sheet.rope(view.all(points), track.course.line, DASHES[n % len(DASHES)], line.strands, "A")


def _swings(sheet: Sheet, scene: _Scene, view: View, track: _Track) -> None:
    """Where the rope lies at both ends of its sweep."""
    if not any(half for _, _, half in track.edges):
        return
    for side in (-1.0, 1.0):
        points = view.all(_way(scene, track, side)[:-1])
        sheet.stroke(points, THIN, stroke_dasharray="3 2", class_="sweep", data_view="A",
                     data_line=track.course.line)  # fmt: skip


def _protectors(sheet: Sheet, scene: _Scene, view: View, track: _Track) -> None:
    """Protectors over their stated width; how deep they are is not stated.

    One under several lines is drawn once, in the middle of them.
    """
    for id, y, _ in track.edges:
        name = scene.facts.job.edges[id].protection
        over = [each for each in scene.tracks if any(edge == id for edge, _, _ in each.edges)]
        if name is None or over[0] is not track:
            continue
        kit = scene.facts.job.protection[name]
        middle = sum(each.aside for each in over) / len(over)
        x, at = view.at((middle, y))
        if kit.width is None:
            continue
        half = kit.width.expected / 2 * view.scale
        sheet.area([(x - half, at - 4.5), (x + half, at - 4.5), (x + half, at + 3.5),
                    (x - half, at + 3.5)], svg.SKY)  # fmt: skip
        text = say("‘{protector}’ {width} wide", protector=name, width=symbols.measured(kit.width))
        first = track is scene.tracks[0]
        sheet.label(
            (x + (-half if first else half) * 0.5, at + 3.5), text, (-1 if first else 1, 1.2)
        )


def _anchor(sheet: Sheet, scene: _Scene, view: View, track: _Track) -> None:
    at = view.at(track.anchor)
    symbols.anchor_mark(sheet, at)
    line = scene.line(track)
    said = [
        say("anchor ‘{anchor}’", anchor=line.anchor),
        say("line ‘{line}’", line=track.course.line),
    ]
    first = track is scene.tracks[0]
    sheet.label(at, said, (-1, -0.4) if first else (1, -0.4), bold=True,
                room=Box(2, 14, NEAR, sheet.high - 20))  # fmt: skip


def _load(sheet: Sheet, scene: _Scene, view: View, n: int, track: _Track) -> None:
    """The load of a line once, with its reach to both sides."""
    line = scene.line(track)
    if any(scene.line(each).load == line.load for each in scene.tracks[:n]):
        return
    x, y = view.at((track.aside, track.load))
    y += 12
    people = scene.facts.job.loads[line.load].people
    if people:
        symbols.person_above(sheet, (x, y))
    else:
        sheet.area([(x - 5, y - 4), (x + 5, y - 4), (x + 5, y + 4), (x - 5, y + 4)])
    reach = scene.site.reach_sideways
    if reach is None or scene.reach <= 0:
        return
    foot = y + 16
    for side in (-1.0, 1.0):
        end = view.at((track.aside + side * scene.reach, 0))[0]
        if people:
            sheet.ring((end, y), 2.4)
        sheet.stroke([(end, y + 4), (end, foot + 3)], THIN)
        sheet.dimension((x, foot), (end, foot), symbols.measured(reach),
                        0.0, view="A")  # fmt: skip


def _spacing(sheet: Sheet, scene: _Scene, view: View) -> None:
    """How far beside each other lines run, where the job says so."""
    top = min(view.at(each.anchor)[1] for each in scene.tracks)
    for one, other in zip(scene.tracks, scene.tracks[1:], strict=False):
        a, b = view.at((one.aside, 0))[0], view.at((other.aside, 0))[0]
        beside = scene.line(other).beside
        if beside is None or one is not scene.tracks[0]:
            continue
        sheet.dimension((a, top - 8), (b, top - 8), symbols.measured(beside), 14, view="A")


def _side_dimensions(sheet: Sheet, scene: _Scene, view: View) -> None:
    """How far each line can go at its edges, and the width of what protects it."""
    for n, track in enumerate(scene.tracks):
        for _, y, half in track.edges:
            x, at = view.at((track.aside, y))
            line = track.course.line
            if half is None:
                text = say("‘{line}’: sweep not demonstrated", line=line)
                sheet.label((x, at), text, (-1 if n == 0 else 1, -1))
                continue
            if half <= 0:
                continue
            text = say("‘{line}’ sweeps ±{half}", line=line, half=amount(half, "m", "up"))
            end = view.at((track.aside + (half if n else -half), y))
            sheet.label(end, text, (1 if n else -1, -1.2), room=Box(2, 14, NEAR, sheet.high - 20))


# The zone.


def _far(sheet: Sheet, scene: _Scene) -> None:
    view = scene.far
    sheet.tag((NEAR + 8, 11), "B", say("Foot and zone {scale}", scale=view.scale_words))
    left, right = NEAR + 4, WIDE - 4
    at = view.at((0, 0))[1]
    if any(each.edges for each in scene.tracks):
        sheet.stroke([(left, at), (right, at)], OUTLINE)
        sheet.hatch([(left, at - 6), (right, at - 6), (right, at), (left, at)])
    for n, track in enumerate(scene.tracks):
        points = view.all([track.anchor, (track.aside, max(track.load, 0.0))])
        if math.dist(*points) > 1:
            sheet.rope(points, track.course.line, DASHES[n % len(DASHES)], 1, "B")
        symbols.anchor_mark(sheet, points[0])
    _zone(sheet, scene, view)
    sheet.scale_bar(view, NEAR + 10, sheet.high - 6, "B")


def _zone(sheet: Sheet, scene: _Scene, view: View) -> None:
    """The exclusion zone about the places where the loads can be, and its size."""
    zone = scene.site.zone
    left = min(each.aside for each in scene.tracks) - scene.reach
    right = max(each.aside for each in scene.tracks) + scene.reach
    one, other = view.at((left, 0)), view.at((right, 0))
    if scene.reach > 0:
        sheet.stroke([one, other], OUTLINE * 2)
    if zone is None:
        y = view.at((0, 0))[1] + 30
        sheet.label((NEAR + 80, y), say("exclusion zone not stated"), (0, 1))
        return
    far = zone.size.expected * view.scale
    look = {"stroke_dasharray": "7 3 1.5 3", "class_": "zone", "data_view": "B"}
    arc = [*_half(other, far, -math.pi / 2), *_half(one, far, math.pi / 2)]
    sheet.stroke([*arc, arc[0]], OUTLINE, **look)
    foot = (other[0] + one[0]) / 2
    sheet.dimension(
        (foot, one[1]), (foot, one[1] + far), symbols.measured(zone.size), 0.0, view="B"
    )
    size = symbols.measured(zone.size)
    text = say("Exclusion zone: {size} from the foot of the drop.", size=size)
    y = sheet.block(NEAR + 8, sheet.high - 72, text, WIDE - NEAR - 10)
    kept = shortened(say("Kept by: {who}", who=zone.kept_by), 2.6 * (WIDE - NEAR - 10), SIZE)
    sheet.block(NEAR + 8, y, kept, WIDE - NEAR - 10)


def _half(at: Point, far: float, start: float) -> list[Point]:
    turns = [start + math.pi * n / 40 for n in range(41)]
    return [(at[0] + far * math.cos(t), at[1] + far * math.sin(t)) for t in turns]


def _title(scene: _Scene) -> str:
    half = _widest(list(scene.tracks))
    if half > 0:
        return say("Plan: ropes can sweep up to {half} to either side at the edge",
                   half=amount(half, "m", "up"))  # fmt: skip
    return say("Plan: lines, anchors and exclusion zone")


def _message(scene: _Scene, lost: list[str]) -> str:
    said = [say("Seen from above, to scale. Dashed: the rope at both ends of its sweep.")]
    if len(scene.tracks) > 1 and not scene.stated:
        said.append(say("How far lines run beside each other is not stated and is assumed."))
    said.append(say("That anchors stand straight behind their edges is assumed."))
    if scene.site.reach_sideways is None:
        said.append(say("The reach sideways is not stated."))
    if lost:
        said.append(say("No room in the drawing for: {texts}.", texts="; ".join(lost)))
    return " ".join(said)
