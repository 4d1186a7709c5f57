"""Where the parts of a line lie in metres: x outward, y down, the last edge at the origin."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from riskdoc.report import along

if TYPE_CHECKING:
    from riskdoc.job.model import Job
    from riskdoc.report.drawings.placement import Point
    from riskdoc.report.facts import Facts

DEVIATION = math.radians(30)
"""A redirect up to this turn is drawn straight: the job does not say to which side it turns."""


@dataclass(frozen=True, slots=True)
class Course:
    """A line in its own plane, every quantity at its expected value.

    `points` run from the anchor to the load, one for each of `places`. `ways` are the directions of
    the parts between them [rad, clockwise from outward]; the last part hangs straight down.
    """

    line: str
    places: tuple[along.Node, ...]
    points: tuple[Point, ...]
    ways: tuple[float, ...]

    @property
    def anchor(self) -> Point:
        """Where the line ends."""
        return self.points[0]

    @property
    def load(self) -> Point:
        """The attachment point of the load at the place of work."""
        return self.points[-1]

    @property
    def edges(self) -> tuple[int, ...]:
        """The places that are edges."""
        return tuple(n for n, each in enumerate(self.places) if each.kind == "edge")

    @property
    def redirects(self) -> tuple[int, ...]:
        """The places that are redirects."""
        return tuple(n for n, each in enumerate(self.places) if each.kind == "redirect")

    def straight(self, n: int) -> bool:
        """Whether a place is drawn without the turn it makes."""
        place = self.places[n]
        return place.kind == "redirect" and 0 < place.turn <= DEVIATION


def course(job: Job, line: str) -> Course:
    """The course of a line; all turns that are drawn go the same way."""
    places = along.nodes(job, line)
    turns = [
        0.0 if each.kind == "redirect" and each.turn <= DEVIATION else each.turn
        for each in places[1:-1]
    ]
    ways = [math.pi / 2]
    for turn in reversed(turns):
        ways.insert(0, ways[0] - turn)
    points = [(0.0, 0.0)]
    for far, way in zip(along.lengths(places), ways, strict=True):
        x, y = points[-1]
        points.append((x + far * math.cos(way), y + far * math.sin(way)))
    last = max((n for n, each in enumerate(places) if each.kind == "edge"), default=0)
    dx, dy = points[last]
    return Course(line, places, tuple((x - dx, y - dy) for x, y in points), tuple(ways))


def by_site(facts: Facts, most: int = 4) -> list[tuple[str, tuple[str, ...]]]:
    """The lines of each site, at most so many together, those of one load side by side."""
    groups: dict[str, list[str]] = {}
    loads = list(facts.job.loads)
    for id in sorted(facts.job.lines, key=lambda line: loads.index(facts.job.lines[line].load)):
        groups.setdefault(facts.site_of(id), []).append(id)
    return [
        (site, tuple(ids[n : n + most]))
        for site, ids in groups.items()
        for n in range(0, len(ids), most)
    ]


def ranged(facts: Facts, lines: tuple[str, ...]) -> bool:
    """Whether a length or a turn of these lines is a range."""
    job = facts.job
    for id in lines:
        it = job.lines[id]
        lengths = [it.below, *(each.after for each in it.over), *(r.after for r in it.redirects)]
        turns = [job.edges[each.edge].turn for each in it.over]
        if any(each.ranged for each in (*lengths, *turns)):
            return True
    return False
