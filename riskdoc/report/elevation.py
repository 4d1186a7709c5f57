"""One elevation per line: anchor legs, edges, redirects, protectors, load, lengths, tensions.

Places are numbered from the anchor to the load; the numbers stand in the drawing and before what
is said of each place beside it. Labels stand where nothing is drawn.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from riskdoc.i18n.say import many, say
from riskdoc.quantities.printing import amount
from riskdoc.report import along, svg
from riskdoc.report.facts import CASES, Facts, line_name
from riskdoc.report.geometry import Course, Point, course
from riskdoc.report.label_placement import Canvas, Spot
from riskdoc.report.listing import Entry, height, listing
from riskdoc.report.number_format import NOT_DEMONSTRATED
from riskdoc.report.svg import LEADING, SIZE, Box, Drawing, Drawn
from riskdoc.report.text import clean, width

if TYPE_CHECKING:
    from collections.abc import Iterator

    from markupsafe import Markup

    from riskdoc.job.model import Anchor, Line

SHEET = 232.0
"""Width of the drawing itself; what is said of its places stands right of it."""
COLUMN = 246.0
ROOM_WIDE, ROOM_HIGH = 112.0, 215.0
LEG, SLING = 40.0, 18.0
FEW = 6
"""With more places than these, lengths in the drawing say between which places they lie."""
LEAST_TURN = math.radians(2)
"""A smaller turn of the pull cannot be told from none in a drawing."""
LEG_LABELS = 6
"""Anchors with more legs have them labelled beside the drawing only."""
OWN_DEPTH = 60.0
"""Height of the fall clearance where lengths are not to scale."""
MOST_HIGH = 600.0
"""Higher than this a drawing does not fit a page: what is said of it becomes a key below."""
RING = 7.0
TRIES = 6
"""How often the numbers are placed anew where one has no room."""
MOST_NUMBERS = 16
"""With more places than these only every second, third and so on is numbered in the drawing."""


@dataclass(frozen=True, slots=True)
class _Below:
    """What a fall needs below the load, and the nearest height that is stated."""

    needed: float
    stated: tuple[str, float] | None

    @property
    def drawn(self) -> float:
        """How deep the drawing goes: the stated height, unless it lies far below the need."""
        most = self.needed * 1.3
        return max(self.needed, min(self.stated[1], most) if self.stated else 0.0)


@dataclass(frozen=True, slots=True)
class _Scene:
    facts: Facts
    id: str
    line: Line
    anchor: Anchor
    places: tuple[along.Node, ...]
    course: Course
    below: _Below | None
    depth: float
    """Points for each metre below the load."""


def elevation(facts: Facts, id: str) -> Drawing:
    """The elevation of one line."""
    line = facts.job.lines[id]
    places, below = along.nodes(facts.job, id), _below(facts, id)
    deep = below.drawn if below else 0.0
    lengths, turns = along.lengths(places), along.turns(places)
    shape = course(lengths, turns, ROOM_WIDE, ROOM_HIGH, deep)
    depth = shape.scale
    if deep and not shape.to_scale:
        shape = course(lengths, turns, ROOM_WIDE, ROOM_HIGH - OWN_DEPTH)
        depth = OWN_DEPTH / deep
    scene = _Scene(facts, id, line, facts.job.anchors[line.anchor], places, shape, below, depth)
    return _composed(_centred(scene))


def _below(facts: Facts, id: str) -> _Below | None:
    needed, fall = facts.figures.get(f"line/{id}/clearance/needed"), facts.job.lines[id].fall
    if needed is None or fall is None or not 0 < needed.range.high < math.inf:
        return None
    stated = [(ledge.name, ledge.below.low) for ledge in fall.ledges]
    clear = facts.clear_height(id)
    if clear is not None:
        stated.append((say("clear height"), clear))
    return _Below(needed.range.high, min(stated, key=lambda each: each[1], default=None))


def _centred(scene: _Scene) -> _Scene:
    """The scene in the middle of its sheet, with room above and below for labels."""
    spots = _extent(scene)
    left, right = min(x for x, _ in spots), max(x for x, _ in spots)
    top = min(y for _, y in spots)
    moved = scene.course.moved((SHEET - left - right) / 2, 26 - top)
    return _Scene(
        scene.facts, scene.id, scene.line, scene.anchor, scene.places, moved, scene.below,
        scene.depth,
    )  # fmt: skip


def _extent(scene: _Scene) -> list[Point]:
    """The outermost points of everything that is drawn."""
    found = [*scene.course.points, *scene.course.starts]
    found += [end for _, end in _leg_ends(scene)]
    found += [_sling(scene, n) for n, node in enumerate(scene.places) if node.kind == "redirect"]
    x, y = scene.course.points[-1]
    half = _load_half(scene)
    found += [(x - half, y), (x + half, y + 26)]
    if scene.below:
        found.append((x + half + 12, y + scene.below.drawn * scene.depth))
    return found


def _composed(scene: _Scene) -> Drawing:
    lowest = max(y for _, y in _extent(scene)) + 24
    canvas = Canvas(Box(2, 2, SHEET, lowest))
    shapes = [
        *(_edge(scene, canvas, n) for n, node in enumerate(scene.places) if node.kind == "edge"),
        _fall(scene, canvas),
        _rope(scene, canvas),
        *(_pulley(scene, canvas, n) for n, each in enumerate(scene.places)
          if each.kind == "redirect"),
        _legs(scene, canvas),
        _load(scene, canvas),
    ]  # fmt: skip
    numbers, lost = _numbers(scene, canvas)
    tags = [
        *numbers,
        *_part_tags(scene, canvas),
        *_leg_tags(scene, canvas),
        *_fall_tags(scene, canvas),
    ]
    entries = _entries(scene)
    key: tuple[tuple[str, str, str], ...] = ()
    room = svg.PAGE_WIDTH - COLUMN
    if height(entries, room) > MOST_HIGH:
        key, entries = tuple((e.number, e.title, e.text) for e in entries), []
    beside = listing(entries, COLUMN, room, 4)
    high = max(lowest, beside.bottom) + 4
    parts = [*shapes, *tags, *beside.parts]
    title = say("Elevation of line {line}", line=line_name(scene.facts.job, scene.id))
    text = _description(scene, lost)
    name = f"elevation-{list(scene.facts.job.lines).index(scene.id) + 1}"
    markup = svg.picture(parts, svg.PAGE_WIDTH, high, name, title, text)
    boxes = tuple(box for part in parts for box in part.boxes)
    return Drawing(markup, title, text, svg.PAGE_WIDTH, high, boxes, key)


def _description(scene: _Scene, lost: list[int]) -> str:
    said = [
        say(
            "From anchor {anchor} over {edges} to load {load}.",
            anchor=scene.line.anchor,
            edges=_over(scene),
            load=scene.line.load,
        ),
        say("Angles and lengths to scale.")
        if scene.course.to_scale
        else say("Angles to scale; lengths drawn closer to each other than they are."),
        say("All turns are drawn the same way."),
    ]
    if scene.course.starts[1:] != scene.course.points[1:-1]:
        said.append(say("Where the rope turns back, its strands are drawn apart."))
    if len(scene.anchor.legs) > 1 and not _plane(scene.anchor):
        said.append(say("Legs are fanned out: their directions are not those of the drawing."))
    if _turned_ends(scene):
        said.append(say("Dotted beside the line of the pull: how far the reach turns it."))
    if scene.below is not None and not scene.course.to_scale:
        said.append(say("What a fall needs is drawn to a scale of its own."))
    if _every(scene) > 1:
        shown = ", ".join(str(n + 1) for n in _numbered(scene))
        said.append(say("Numbered in the drawing: {numbers}.", numbers=shown))
    if lost:
        numbers = ", ".join(str(each) for each in lost)
        said.append(say("No room in the drawing for the numbers {numbers}.", numbers=numbers))
    said.append(say("Forces are the greatest of their range."))
    return " ".join(said)


def _over(scene: _Scene) -> str:
    names = [each.edge for each in scene.line.over]
    if len(names) > FEW:
        return many("{count} edge", "{count} edges", len(names))
    return ", ".join(names) or say("no edge")


# What is said beside the drawing.


def _entries(scene: _Scene) -> list[Entry]:
    """Places and parts of the rope in turn, from the anchor to the load, and the fall."""
    entries = []
    for n, node in enumerate(scene.places):
        entries.append(_place_entry(scene, node))
        entries += _part_entry(scene, n)
    entries += _fall_entry(scene)
    return entries


def _place_entry(scene: _Scene, node: along.Node) -> Entry:
    texts = {
        "anchor": _anchor_text,
        "edge": _edge_text,
        "redirect": _redirect_text,
        "load": _load_text,
    }
    name = along.name(scene.facts.job, scene.id, node)
    return Entry(str(node.number), name, texts[node.kind](scene, node))


def _anchor_text(scene: _Scene, _node: along.Node) -> str:
    legs = "; ".join(
        scene.facts.leg(scene.line.anchor, scene.id, n)
        for n, _ in enumerate(scene.anchor.legs, start=1)
    )
    force = scene.facts.at_most(f"anchor/{scene.line.anchor}/force/{scene.id}")
    turn = scene.facts.figures.get(f"anchor/{scene.line.anchor}/turn/{scene.id}")
    if turn is None:
        return say("Force {force}. {legs}.", force=force, legs=legs)
    return say(
        "Force {force}, turned to either side by up to {turn}. {legs}.",
        force=force,
        turn=amount(turn.range.high, "rad", "up"),
        legs=legs,
    )


def _edge_text(scene: _Scene, node: along.Node) -> str:
    id = scene.line.over[node.index].edge
    edge = scene.facts.job.edges[id]
    return say(
        "{surface}, turn {turn}, radius {radius}; {protector}",
        surface=say(edge.surface),
        turn=edge.turn.written,
        radius=edge.radius.written,
        protector=scene.facts.protector(id),
    )


def _redirect_text(scene: _Scene, node: along.Node) -> str:
    redirect = scene.line.redirects[node.index]
    pull = scene.facts.at_most(f"line/{scene.id}/redirect/{node.index + 1}/force")
    return say(
        "{over}, turn {turn}, {after} along the rope from the anchor; pull on it {pull}",
        over=say(redirect.over),
        turn=redirect.turn.written,
        after=redirect.after.written,
        pull=pull,
    )


def _load_text(scene: _Scene, _node: along.Node) -> str:
    load = scene.facts.job.loads[scene.line.load]
    return many(
        "{count} person, {mass} and kit {kit}",
        "{count} people, {mass} and kit {kit}",
        load.people,
        mass=load.mass.written,
        kit=load.kit.written,
    )


def _part_entry(scene: _Scene, n: int) -> Iterator[Entry]:
    """The rope from a place to the next, with its length."""
    if n + 1 == len(scene.places):
        return
    ends = f"{scene.places[n].number}–{scene.places[n + 1].number}"
    title = say("{ends}: {length} of rope", ends=ends, length=_length(scene, n))
    yield Entry("", title, _tensions(scene, n))


def _length(scene: _Scene, n: int) -> str:
    """The length of a part: as the job states it, beside a redirect the rest, as expected."""
    upper, lower = scene.places[n], scene.places[n + 1]
    if lower.kind == "redirect" and upper.kind == "anchor":
        return scene.line.redirects[lower.index].after.written
    if "redirect" in (upper.kind, lower.kind):
        return amount(lower.at - upper.at, "m", "near")
    return (
        scene.line.over[lower.index].after if lower.kind == "edge" else scene.line.below
    ).written


def _station(scene: _Scene, n: int) -> str:
    return along.station(scene.facts.job, scene.id, scene.places[n], "below")


def _tensions(scene: _Scene, n: int) -> str:
    return scene.facts.tensions(scene.id, _station(scene, n))


def _fall_entry(scene: _Scene) -> Iterator[Entry]:
    if not scene.facts.arrests(scene.id):
        return
    title = say("Fall clearance")
    if scene.below is None:
        yield Entry("", title, say(NOT_DEMONSTRATED))
        return
    needed = amount(scene.below.needed, "m", "up")
    if scene.below.stated is None:
        text = say("needs at most {needed} below the attachment point (thick stroke); "
                   "no height is stated", needed=needed)  # fmt: skip
    else:
        name, low = scene.below.stated
        text = say(
            "needs at most {needed} below the attachment point (thick stroke); nearest height "
            "stated (dashed): {name}, {height}",
            needed=needed,
            name=name,
            height=amount(low, "m", "down"),
        )
    yield Entry("", title, text)


# What is drawn.


def _rope(scene: _Scene, canvas: Canvas) -> Drawn:
    thick = 2.4 if scene.line.strands > 1 else 1.6
    points: list[Point] = [scene.course.starts[0]]
    for n, end in enumerate(scene.course.points[1:], start=1):
        points.append(end)
        if n < len(scene.course.starts):
            points += _bulge(scene.course, n)
    canvas.stroke(points, thick)
    return Drawn(svg.path(points, stroke=svg.BLACK, stroke_width=thick, stroke_linejoin="round"))


def _bulge(course: Course, n: int) -> list[Point]:
    """Where the rope turns back on itself: the way round, and the start of the other strand."""
    (x1, y1), (x2, y2) = course.points[n], course.starts[n]
    if (x1, y1) == (x2, y2):
        return []
    way = course.directions[n - 1]
    out = math.hypot(x2 - x1, y2 - y1) / 2
    middle = ((x1 + x2) / 2 + out * math.cos(way), (y1 + y2) / 2 + out * math.sin(way))
    return [middle, (x2, y2)]


def _legs(scene: _Scene, canvas: Canvas) -> Drawn:
    x, y = scene.course.points[0]
    back = scene.course.directions[0] + math.pi
    parts = []
    if len(scene.anchor.legs) > 1 and _plane(scene.anchor):
        # The line of the pull, from which the angles of the legs are measured.
        far = (x + LEG * 0.8 * math.cos(back), y + LEG * 0.8 * math.sin(back))
        parts.append(svg.line(x, y, *far, stroke=svg.GREY, stroke_dasharray="2 2"))
        canvas.stroke([(x, y), far])
        for end in _turned_ends(scene):
            parts.append(svg.line(x, y, *end, stroke=svg.GREY, stroke_dasharray="0.8 1.6"))
            canvas.stroke([(x, y), end])
    for _, (ex, ey) in _leg_ends(scene):
        parts.append(svg.line(x, y, ex, ey, stroke_width=1.2))
        parts.append(svg.rect(ex - 3, ey - 3, 6, 6, fill=svg.BLACK))
        canvas.stroke([(x, y), (ex, ey)], 1.2)
        canvas.boxes.append(Box(ex - 3.4, ey - 3.4, ex + 3.4, ey + 3.4))
    parts.append(svg.circle(x, y, 2.6, stroke_width=1.2))
    canvas.boxes.append(Box(x - 3.2, y - 3.2, x + 3.2, y + 3.2))
    return Drawn(svg.joined(parts))


def _turned_ends(scene: _Scene) -> list[Point]:
    """Where the line of the pull lies when the reach turns it furthest, to either side.

    The turn is sideways; it is drawn in the plane of the legs, in which it is computed.
    """
    turn = scene.facts.figures.get(f"anchor/{scene.line.anchor}/turn/{scene.id}")
    if turn is None or turn.range.high < LEAST_TURN or not _plane(scene.anchor):
        return []
    x, y = scene.course.points[0]
    back = scene.course.directions[0] + math.pi
    return [
        (x + LEG * 0.8 * math.cos(back + lean), y + LEG * 0.8 * math.sin(back + lean))
        for lean in (turn.range.high, -turn.range.high)
    ]


def _leg_ends(scene: _Scene) -> list[tuple[int, Point]]:
    x, y = scene.course.points[0]
    back = scene.course.directions[0] + math.pi
    return [
        (n, (x + LEG * math.cos(back + angle), y + LEG * math.sin(back + angle)))
        for n, angle in enumerate(_leg_angles(scene.anchor))
    ]


def _plane(anchor: Anchor) -> bool:
    """Whether the legs lie in one plane by what is stated, so that their angles can be drawn."""
    legs = anchor.legs
    return len(legs) == 1 or (len(legs) == 2 and all(leg.angle is not None for leg in legs))


def _leg_angles(anchor: Anchor) -> list[float]:
    legs = anchor.legs
    if len(legs) == 1:
        return [0.0]
    if _plane(anchor):
        first, second = (leg.angle.expected if leg.angle else 0.0 for leg in legs)
        return [first, -second]
    # Directions in space do not fit one plane: they are fanned out, and the labels give them.
    step = 2.0 / (len(legs) - 1)
    return [-1.0 + step * n for n in range(len(legs))]


def _edge(scene: _Scene, canvas: Canvas, n: int) -> Drawn:
    """What the rope lies on, inside its bend, and the protector between them."""
    course = scene.course
    one, other = course.points[n], course.starts[n]
    size = min(22.0, *(0.6 * each for each in _beside(course, n)))
    before, after = course.directions[n - 1] + math.pi, course.directions[n]
    back = (one[0] + size * math.cos(before), one[1] + size * math.sin(before))
    on = (other[0] + size * math.cos(after), other[1] + size * math.sin(after))
    bend = [one, *_bulge(course, n)]
    canvas.stroke([back, on])
    parts = [svg.path([back, *bend, on, back], fill=svg.PALE, stroke=svg.GREY)]
    if scene.facts.job.edges[scene.line.over[scene.places[n].index].edge].protection is not None:
        near = [_between(one, back, 0.6), *bend, _between(other, on, 0.6)]
        for colour, thick in ((svg.BLACK, 7.0), (svg.SKY, 5.0)):
            parts.append(svg.path(near, stroke=colour, stroke_width=thick, stroke_linejoin="round"))
        canvas.stroke(near, 7.0)
    return Drawn(svg.joined(parts))


def _between(one: Point, other: Point, share: float) -> Point:
    return one[0] + (other[0] - one[0]) * share, one[1] + (other[1] - one[1]) * share


def _beside(course: Course, n: int) -> tuple[float, float]:
    """The drawn lengths of the parts of the rope before and after a place."""
    return math.dist(course.starts[n - 1], course.points[n]), math.dist(
        course.starts[n], course.points[n + 1]
    )


def _outward(course: Course, n: int) -> Point:
    """The direction out of the bend at a place, away from both strands."""
    before, after = course.directions[n - 1], course.directions[n]
    x, y = math.cos(before) - math.cos(after), math.sin(before) - math.sin(after)
    far = math.hypot(x, y)
    if far < 1e-9:
        return math.sin(after), -math.cos(after)
    return x / far, y / far


def _sling(scene: _Scene, n: int) -> Point:
    """Where the anchor of a redirect stands: against the pull of both strands."""
    x, y = scene.course.points[n]
    dx, dy = _outward(scene.course, n)
    return x + SLING * dx, y + SLING * dy


def _pulley(scene: _Scene, canvas: Canvas, n: int) -> Drawn:
    x, y = scene.course.points[n]
    ex, ey = _sling(scene, n)
    canvas.stroke([(x, y), (ex, ey)])
    canvas.boxes += [
        Box(ex - 3.4, ey - 3.4, ex + 3.4, ey + 3.4),
        Box(x - 4.2, y - 4.2, x + 4.2, y + 4.2),
    ]
    parts = [
        svg.line(x, y, ex, ey, stroke_width=1.2, stroke_dasharray="3 1.5"),
        svg.rect(ex - 3, ey - 3, 6, 6, fill=svg.BLACK),
        svg.circle(x, y, 3.6, stroke_width=1.2),
        svg.circle(x, y, 1.0, fill=svg.BLACK),
    ]
    return Drawn(svg.joined(parts))


def _people(scene: _Scene) -> int:
    return scene.facts.job.loads[scene.line.load].people


def _load_half(scene: _Scene) -> float:
    return max(9.0, _people(scene) * 6.5)


def _load(scene: _Scene, canvas: Canvas) -> Drawn:
    x, y = scene.course.points[-1]
    people, half = _people(scene), _load_half(scene)
    canvas.boxes.append(Box(x - half - 1, y, x + half + 1, y + 26))
    if people == 0:
        return Drawn(svg.rect(x - 9, y, 18, 18, stroke_width=1.4))
    parts = []
    for n in range(people):
        at = x + (n - (people - 1) / 2) * 13
        parts.append(svg.circle(at, y + 5, 4, stroke_width=1.4))
        parts.append(svg.rect(at - 5, y + 9, 10, 16, stroke_width=1.4, rx=3))
    return Drawn(svg.joined(parts))


def _fall(scene: _Scene, canvas: Canvas) -> Drawn:
    """What a fall needs below the load, and the nearest height stated, dashed."""
    if scene.below is None:
        return Drawn(svg.joined([]))
    x, y = scene.course.points[-1]
    half = _load_half(scene) + 12
    foot = y + scene.below.needed * scene.depth
    strokes: list[tuple[list[Point], dict[str, str | float]]] = []
    strokes.append(([(x + half, y), (x + half, foot)], {"stroke_width": 0.8}))
    strokes.append(([(x + half - 4, y), (x + half + 4, y)], {"stroke_width": 0.8}))
    strokes.append(([(x - half, foot), (x + half + 4, foot)], {"stroke_width": 2.4}))
    if scene.below.stated is not None:
        at = y + min(scene.below.stated[1], scene.below.drawn) * scene.depth
        deeper = scene.below.stated[1] > scene.below.drawn
        look: dict[str, str | float] = {"stroke_dasharray": "2 4" if deeper else "6 3"}
        look["stroke_width"] = 1.6
        strokes.append(([(x - half - 6, at), (x + half + 10, at)], look))
    for points, _ in strokes:
        canvas.stroke(points, 2.4)
    return Drawn(svg.joined([svg.path(points, **look) for points, look in strokes]))


# Labels in the drawing.


def _numbers(scene: _Scene, canvas: Canvas) -> tuple[list[Drawn], list[int]]:
    """The number of each place in a ring, outside the bend where there is room.

    And the numbers for which there is none. Where one has no room, it is placed before the others.
    """
    order = _numbered(scene)
    free, spots = canvas.copy(), dict[int, Spot | None]()
    for _ in range(TRIES if _every(scene) == 1 else 1):
        canvas.reset(free)
        spots = {n: _number_spot(scene, canvas, n) for n in order}
        lost = [n for n in order if spots[n] is None]
        if not lost:
            break
        order = [*lost, *(n for n in order if n not in lost)]
    drawn = [
        numbered(str(scene.places[n].number), spot) for n in sorted(spots) if (spot := spots[n])
    ]
    return drawn, [scene.places[n].number for n in sorted(spots) if spots[n] is None]


def _numbered(scene: _Scene) -> list[int]:
    """The places whose numbers are drawn: all; of many, both ends and every so many."""
    last = len(scene.places) - 1
    return sorted({*range(0, last, _every(scene)), last})


def _every(scene: _Scene) -> int:
    return math.ceil(len(scene.places) / MOST_NUMBERS)


def _number_spot(scene: _Scene, canvas: Canvas, n: int) -> Spot | None:
    x, y = scene.course.points[n]
    away = _outward(scene.course, n) if 0 < n < len(scene.places) - 1 else (0.0, -1.0)
    if scene.places[n].kind == "load":
        x, y, away = x - _load_half(scene), y + 13, (-1.0, 0.0)
    return canvas.place((x, y), _ring(str(scene.places[n].number)) + 1, 2 * RING + 1, away)


def _ring(text: str) -> float:
    return max(2 * RING, width(text, SIZE, "SemiBold") + 7)


def numbered(text: str, spot: Spot) -> Drawn:
    """A number in a ring, with a line to its place where it stands far from it."""
    said = svg.words(spot.x, spot.y + 3.1, text, "SemiBold", "middle")
    wide = _ring(text)
    ring = svg.rect(spot.x - wide / 2, spot.y - RING, wide, 2 * RING, rx=RING, stroke_width=0.9)
    return Drawn(svg.joined([_led(spot), ring, said.markup]), said.boxes)


def _led(spot: Spot) -> Markup:
    if spot.leader is None:
        return svg.joined([])
    (x1, y1), (x2, y2) = spot.leader
    return svg.line(x1, y1, x2, y2, stroke=svg.GREY, stroke_width=0.5)


def _part_tags(scene: _Scene, canvas: Canvas) -> Iterator[Drawn]:
    """Length and greatest tension at each part of the rope, where there is room beside it."""
    for n in range(len(scene.places)):
        if n + 1 == len(scene.places) or _every(scene) > 1:
            continue
        found = _greatest(scene, n)
        lines = [_shown_length(scene, n), *([found] if found else [])]
        for share in (0.5, 0.35, 0.65, 0.2, 0.8):
            tag = _tag(canvas, scene.course.along(n, share), lines, near=True)
            if tag is not None:
                yield tag
                break


def _shown_length(scene: _Scene, n: int) -> str:
    """The length of a part; with its ends where it could be taken for another's."""
    length = _length(scene, n)
    if len(scene.places) <= FEW:
        return length
    return f"{scene.places[n].number}–{scene.places[n + 1].number}: {length}"


def _fall_tags(scene: _Scene, canvas: Canvas) -> Iterator[Drawn]:
    """The depths of the need and of the nearest height stated, at their strokes."""
    if scene.below is None:
        return
    x, y = scene.course.points[-1]
    half = _load_half(scene) + 12
    needed, at = scene.below.needed, y + scene.below.needed * scene.depth / 2
    wanted = [((x + half, at), f"≤ {amount(needed, 'm', 'up')}", (1.0, 0.0))]
    if scene.below.stated is not None:
        low = scene.below.stated[1]
        stroke = y + min(low, scene.below.drawn) * scene.depth
        wanted.append(((x - half - 6, stroke), amount(low, "m", "down"), (-1.0, 0.0)))
    for point, text, away in wanted:
        tag = _tag(canvas, point, [text], away, near=True)
        if tag is not None:
            yield tag


def _greatest(scene: _Scene, n: int) -> str:
    ids = [f"line/{scene.id}/tension/{_station(scene, n)}/{case}" for case in CASES]
    known = [scene.facts.figures[id] for id in ids if id in scene.facts.figures]
    if not known:
        return ""
    return f"≤ {amount(max(each.range.high for each in known), 'N', 'up')}"


def _leg_tags(scene: _Scene, canvas: Canvas) -> Iterator[Drawn]:
    """Number, angle and greatest force of each leg at its end."""
    if len(scene.anchor.legs) > LEG_LABELS:
        return
    x, y = scene.course.points[0]
    for n, (ex, ey) in _leg_ends(scene):
        leg = scene.anchor.legs[n]
        most = scene.facts.greatest(f"anchor/{scene.line.anchor}/leg/{n + 1}/{scene.id}/")
        lines = [say("leg {number}", number=n + 1)]
        if leg.angle:
            lines.append(leg.angle.written)
        if most is not None:
            lines.append(f"≤ {amount(most.range.high, 'N', 'up')}")
        tag = _tag(canvas, (ex, ey), lines, (ex - x, ey - y))
        if tag is not None:
            yield tag


def _tag(
    canvas: Canvas,
    at: Point,
    lines: list[str],
    away: Point | None = None,
    *,
    near: bool = False,
) -> Drawn | None:
    """Lines of text near a point, or None where there is no room for them."""
    shown = [clean(each) for each in lines]
    wide = max(width(each, SIZE) for each in shown)
    spot = canvas.place(at, wide + 2, LEADING * len(shown), away, only_near=near)
    if spot is None:
        return None
    top = spot.y - LEADING * len(shown) / 2
    drawn = [
        svg.words(spot.x, top + LEADING * (n + 1) - 2.6, each, anchor="middle")
        for n, each in enumerate(shown)
    ]
    boxes = tuple(box for each in drawn for box in each.boxes)
    return Drawn(svg.joined([_led(spot), *(each.markup for each in drawn)]), boxes)
