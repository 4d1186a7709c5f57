"""Anchors and edges of a section: forces, lengths along the rope, bend angles, protectors."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.quantities.printing import exact
from riskdoc.report.drawings import forces, symbols
from riskdoc.report.drawings.arrangement import (
    COLUMN,
    DETAIL_FOOT,
    FIRST,
    MAIN,
    draw_rope,
    draw_structure,
    last_edge_at,
    shifted,
    torn_end,
)
from riskdoc.report.drawings.scene import OUTLINE, THIN, WIDE, Sheet, View
from riskdoc.report.svg import Box

if TYPE_CHECKING:
    from riskdoc.report.drawings.arrangement import Scene
    from riskdoc.report.drawings.course import Course
    from riskdoc.report.drawings.placement import Point
    from riskdoc.report.facts import Facts


def detail(sheet: Sheet, scene: Scene, view: View) -> None:
    """The view of anchors and edges."""
    sheet.tag((COLUMN, 11), "A", say("Anchors and edges {scale}", scale=view.scale_words))
    draw_structure(sheet, scene, view, 34.0, protect=True)
    foot = view.at((0, scene.detail_world.bottom))[1]
    for n, each in enumerate(scene.courses):
        last = each.edges[-1] if each.edges else 0
        points = view.all(each.points[: last + 1])
        points.append((points[-1][0], foot))
        draw_rope(sheet, scene, view, n, points, "A")
        torn_end(sheet, shifted(points[-1], n))
        symbols.anchor_mark(sheet, shifted(view.at(each.anchor), n))
        anchor(sheet, scene, view, each, n)
        parts(sheet, scene, view, each, n, "A")
        redirects(sheet, scene, view, each, n, below=False)
    edge_labels(sheet, scene, view)
    sheet.scale_bar(view, COLUMN, DETAIL_FOOT + 14, "A")


def anchor(sheet: Sheet, scene: Scene, view: View, course: Course, n: int) -> None:
    """An anchor with its force, an arrow along the rope."""
    x, y = shifted(view.at(course.anchor), n)
    way = course.ways[0]
    up = (math.sin(way), -math.cos(way))
    start = (x + up[0] * 6, y + up[1] * 6)
    sheet.arrow(start, (start[0] + 24 * math.cos(way), start[1] + 24 * math.sin(way)), OUTLINE, 6)
    force = forces.said(forces.at_anchor(scene.facts, course.line))
    said = [say("anchor ‘{anchor}’", anchor=scene.line(course).anchor), force]
    away = (-0.5, -1.0) if n % 2 == 0 else (-0.5, 1.0)
    sheet.label((x, y), said, away, bold=True, room=_room(scene))


def _room(scene: Scene) -> Box | None:
    """The part of the sheet for the labels of the detail."""
    return Box(MAIN + 6, 14, WIDE - 2, DETAIL_FOOT) if scene.detail else None


def parts(sheet: Sheet, scene: Scene, view: View, course: Course, n: int, name: str) -> None:
    """The length of each part above the last edge, as a dimension line along it."""
    line = scene.line(course)
    stops = [0, *course.edges]
    for k, (one, other) in enumerate(pairwise(stops)):
        ends = [shifted(view.at(course.points[each]), n) for each in (one, other)]
        if any(place.kind == "redirect" and not course.straight(m)
               for m, place in enumerate(course.places[one:other], one)):  # fmt: skip
            continue
        text = symbols.measured(line.over[k].after)
        if not _same_part(scene, n, k):
            sheet.dimension(ends[0], ends[1], text, 24 + 15 * n, view=name)


def _same_part(scene: Scene, n: int, k: int) -> bool:
    """Whether a line before this one has the same part at the same place."""
    own = scene.courses[n]
    ends = (0, *own.edges)[k : k + 2]
    for each in scene.courses[:n]:
        stops = (0, *each.edges)
        if len(stops) > k + 1 and all(
            math.dist(own.points[a], each.points[b]) < 1e-6
            for a, b in zip(ends, stops[k : k + 2], strict=True)
        ):
            return True
    return False


def redirects(
    sheet: Sheet, scene: Scene, view: View, course: Course, n: int, *, below: bool
) -> None:
    """The redirects of a line, above or below its last edge."""
    line = scene.line(course)
    for m in course.redirects:
        place = course.places[m]
        if (place.at > last_edge_at(course)) != below and scene.detail is not None:
            continue
        at = shifted(view.at(course.points[m]), n)
        sheet.ring(at, 3.0)
        redirect = line.redirects[place.index]
        force = scene.facts.at_most(f"line/{course.line}/redirect/{place.index + 1}/force")
        turn = exact(redirect.turn.expected, "rad", "near")
        sheet.label(at, [say("redirect at ‘{anchor}’", anchor=redirect.anchor),
                         say("{turn}, pull {force}", turn=turn, force=force)], (-1, 0))  # fmt: skip


def edge_labels(sheet: Sheet, scene: Scene, view: View) -> None:
    """Edges that lie at one place in the drawing have one label."""
    places: dict[tuple[int, int], list[str]] = {}
    at: dict[tuple[int, int], Point] = {}
    bends: list[tuple[int, ...]] = []
    for course in scene.courses:
        for n in course.edges:
            x, y = view.at(course.points[n])
            key = (round(x), round(y))
            edge = scene.line(course).over[course.places[n].index].edge
            ways = course.ways[n - 1], course.ways[n]
            bend = (*key, *(round(math.degrees(way)) for way in ways))
            if bend not in bends:
                bends.append(bend)
                # Bends of another angle at the same place have an arc of their own further out.
                out = 30.0 + 11.0 * sum(each[:2] == key for each in bends[:-1])
                turn = scene.facts.job.edges[edge].turn.expected
                _angle(sheet, (x, y), ways, out, exact(turn, "rad", "near"))
            at.setdefault(key, (x, y))
            if edge not in places.setdefault(key, []):
                places[key].append(edge)
    for key, edges in places.items():
        alike: dict[tuple[str, str], list[str]] = {}
        for edge in edges:
            alike.setdefault(_edge_words(scene.facts, edge), []).append(edge)
        said: list[str] = []
        for (radius, words), names in alike.items():
            quoted = ", ".join(f"‘{name}’" for name in names)
            said += [say("edge {names}, radius {radius}", names=quoted, radius=radius), words]
        heads = range(0, len(said), 2)
        sheet.label(at[key], said, (-0.8, 1.0), heads=heads, room=_room(scene))


def _edge_words(facts: Facts, id: str) -> tuple[str, str]:
    """The radius of an edge, and its surface and protector."""
    edge = facts.job.edges[id]
    radius = exact(edge.radius.expected, "mm", "near")
    if edge.protection is None:
        return radius, say("{surface}, bare, no protector", surface=say(edge.surface))
    kit = facts.job.protection[edge.protection]
    return radius, say(
        "{surface}, {kind}, {held}",
        surface=say(edge.surface),
        kind=say(kit.kind),
        held=say("secured") if kit.tied else say("loose"),
    )


def _angle(sheet: Sheet, at: Point, ways: tuple[float, float], far: float, text: str) -> None:
    """The bend of the rope, between the way it came and the way it goes."""
    x, y = at[0] + FIRST, at[1] - FIRST
    before, after = ways
    end = (x + (far + 6) * math.cos(before), y + (far + 6) * math.sin(before))
    if not (3 < end[0] < sheet.wide - 3 and 14 < end[1] < sheet.high - 3):
        sheet.label((x, y), say("bend {angle}", angle=text), (1, -1))
        return
    sheet.stroke([(x, y), end], THIN, stroke_dasharray="5 2 1 2")
    points = sheet.arc((x, y), far, before, after)
    sheet.head(points[-3], points[-1], 4.5)
    middle = points[len(points) // 2]
    sheet.label(middle, text, (middle[0] - x, middle[1] - y), first=True)
