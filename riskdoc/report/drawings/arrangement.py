"""The arrangement of a section: which lines, at which scales, and what several views draw."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from riskdoc.report.drawings import course as courses_of
from riskdoc.report.drawings import symbols
from riskdoc.report.drawings.course import Course
from riskdoc.report.drawings.scene import DASHES, THIN, WIDE, Sheet, View, fitted
from riskdoc.report.svg import Box

if TYPE_CHECKING:
    from riskdoc.job.model import Line, Site
    from riskdoc.report.drawings.placement import Point
    from riskdoc.report.facts import Facts

APART = 2.6
"""How far apart lines that lie behind each other are drawn, in points."""
FIRST = 3.6
"""How far the first rope stands off the structure, in points: a protector lies between."""
MAIN = 196.0
"""Width of the view of the whole; the detail and the key stand right of it."""
CLOSER = 1.6
"""A detail is drawn where it comes out so many times as large as the whole."""
COLUMN = MAIN + 12
DETAIL_FOOT = 206.0
WORK_LEFT = 352.0
"""Left end of the view of the place of work; the key stands left of it."""
WORK_TEXT = 397.0
LARGE = 55.0
"""A person smaller than this in the whole, in points, is drawn again in a view of its own."""


@dataclass(frozen=True, slots=True)
class Scene:
    """The lines of a site, and the views of them; a view that would show nothing new is None."""

    facts: Facts
    site_id: str
    site: Site
    courses: tuple[Course, ...]
    main: View
    detail: View | None
    detail_world: Box
    work: View | None

    def line(self, course: Course) -> Line:
        """The line of a course, as the job states it."""
        return self.facts.job.lines[course.line]


def arranged(facts: Facts, site_id: str, lines: tuple[str, ...], high: float) -> Scene:
    """The scales at which the lines of a site fit the sheet."""
    site = facts.job.sites[site_id]
    courses = tuple(courses_of.course(facts.job, line) for line in lines)
    drop = site.drop.expected
    points = [each for course in courses for each in course.points]
    low, right = max(drop, *(y for _, y in points)), max(x for x, _ in points)
    top = min(y for _, y in points)
    left = min(x for x, _ in points)
    world = Box(left, top, right, low)
    main = fitted(world, Box(40, 30, MAIN - 72, high - 40), top=0.0)
    upper = [
        each for course in courses for each, place in zip(course.points, course.places, strict=True)
        if place.kind != "load" and (place.kind != "redirect" or place.at <= last_edge_at(course))
    ]  # fmt: skip
    box = Box(min(x for x, _ in upper) - 0.3, min(y for _, y in upper) - 0.5,
              max(x for x, _ in upper) + 0.3, max(y for _, y in upper) + 0.9)  # fmt: skip
    detail = fitted(box, Box(MAIN + 72, 52, WIDE - 44, DETAIL_FOOT - 52), top=0.3)
    shown = detail.scale > CLOSER * main.scale and any(each.edges for each in courses)
    top = DETAIL_FOOT if shown else 4.0
    count = max(1, facts.job.loads[facts.job.lines[lines[0]].load].people)
    work = fitted(Box(-0.3, -0.7, 0.8 + symbols.BESIDE * (count - 1), symbols.feet_below()),
                  Box(WORK_LEFT - 8, top + 30, WORK_LEFT + 60, high - 12))  # fmt: skip
    small = symbols.feet_below() * main.scale < LARGE
    return Scene(facts, site_id, site, courses, main, detail if shown else None, box,
                  work if small else None)  # fmt: skip


def last_edge_at(course: Course) -> float:
    """How much rope lies between the anchor and the last edge [m]."""
    return max((course.places[n].at for n in course.edges), default=0.0)


def shifted(at: Point, n: int) -> Point:
    """Lines behind each other are drawn apart by the same way in both directions."""
    by = FIRST + n * APART
    return at[0] + by, at[1] - by


def draw_rope(
    sheet: Sheet, scene: Scene, view: View, n: int, points: list[Point], name: str
) -> None:
    """The rope of one line, drawn apart from those it lies before."""
    line = scene.line(scene.courses[n])
    sheet.rope([shifted(each, n) for each in points], scene.courses[n].line,
               DASHES[n % len(DASHES)], line.strands, name)  # fmt: skip


def draw_structure(sheet: Sheet, scene: Scene, view: View, size: float, *, protect: bool) -> None:
    """What the ropes bear on; the same place of several lines is drawn once."""
    drawn: set[tuple[int, ...]] = set()
    bands = []
    for each in scene.courses:
        for n in each.edges:
            x, y = view.at(each.points[n])
            ways = each.ways[n - 1], each.ways[n]
            key = (round(x), round(y), *(round(math.degrees(way)) for way in ways))
            edge = scene.facts.job.edges[scene.line(each).over[each.places[n].index].edge]
            if edge.protection is not None:
                bands.append(((x, y), *ways))
            if key not in drawn:
                symbols.wedge(sheet, (x, y), *ways, size)
                drawn.add(key)
    if protect:
        for at, before, after in bands:
            symbols.protector_band(sheet, at, before, after, size * 0.6)


def torn_end(sheet: Sheet, at: Point) -> None:
    """The mark of a rope that goes on outside a view."""
    x, y = at
    sheet.stroke([(x - 4, y + 1), (x - 1, y - 2), (x + 1, y + 2), (x + 4, y - 1)], THIN)
