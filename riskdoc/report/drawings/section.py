"""General arrangement in section: all lines of a site from their anchors to the ground."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import many, say
from riskdoc.quantities.printing import amount, exact
from riskdoc.report.drawings import forces, symbols
from riskdoc.report.drawings.arrangement import (
    COLUMN,
    DETAIL_FOOT,
    FIRST,
    MAIN,
    WORK_LEFT,
    WORK_TEXT,
    arranged,
    draw_rope,
    draw_structure,
    shifted,
    torn_end,
)
from riskdoc.report.drawings.course import by_site, ranged
from riskdoc.report.drawings.scene import (
    DASHES,
    HIGH,
    LEADING,
    OUTLINE,
    SIZE,
    THIN,
    WIDE,
    Drawing,
    Sheet,
    View,
)
from riskdoc.report.drawings.upper import anchor, detail, edge_labels, parts, redirects
from riskdoc.report.svg import Box
from riskdoc.report.text import shortened

if TYPE_CHECKING:
    from riskdoc.report.drawings.arrangement import Scene
    from riskdoc.report.drawings.course import Course
    from riskdoc.report.drawings.placement import Point
    from riskdoc.report.facts import Facts
    from riskdoc.report.text import Weight


def sections(facts: Facts, high: float = HIGH) -> tuple[Drawing, ...]:
    """One section for each site; many lines of one site stand in several."""
    return tuple(
        _section(facts, n, site, lines, high) for n, (site, lines) in enumerate(by_site(facts), 1)
    )


def _section(facts: Facts, n: int, site_id: str, lines: tuple[str, ...], high: float) -> Drawing:
    sheet = Sheet(WIDE, high)
    scene = arranged(facts, site_id, lines, high)
    _whole(sheet, scene)
    if scene.detail is not None:
        detail(sheet, scene, scene.detail)
    if scene.work is not None:
        _work(sheet, scene, scene.work)
    _key(sheet, scene)
    sheet.finish()
    title, message = _title(scene), _message(scene, sheet.lost)
    return sheet.drawing(f"section-{n}", title, message, _text(scene))


def _whole(sheet: Sheet, scene: Scene) -> None:
    view = scene.main
    named = say("Section {scale}", scale=view.scale_words)
    sheet.tag((4, 11), "", named)
    draw_structure(sheet, scene, view, 12.0 if scene.detail else 20.0, protect=scene.detail is None)
    foot = view.at((0, scene.site.drop.expected))[1]
    symbols.ground(sheet, 6, MAIN - 14, foot)
    for n, each in enumerate(scene.courses):
        draw_rope(sheet, scene, view, n, view.all(each.points), "main")
        sheet.canvas.boxes.append(_around_anchor(view.at(each.anchor)))
        symbols.anchor_mark(sheet, shifted(view.at(each.anchor), n))
        redirects(sheet, scene, view, each, n, below=True)
    _loads(sheet, scene)
    _heights(sheet, scene, foot)
    if scene.detail is None:
        for n, each in enumerate(scene.courses):
            anchor(sheet, scene, view, each, n)
            parts(sheet, scene, view, each, n, "main")
        edge_labels(sheet, scene, view)
    else:
        _frame(sheet, scene, view)
    sheet.scale_bar(view, 8, sheet.high - 6, "main")


def _around_anchor(at: Point) -> Box:
    return Box(at[0] - 3, at[1] - 3, at[0] + 3, at[1] + 3)


def _loads(sheet: Sheet, scene: Scene) -> None:
    """Each load once at each height at which a line ends."""
    view = scene.main
    places: dict[tuple[str, int], list[Course]] = {}
    for each in scene.courses:
        at = (scene.line(each).load, round(view.at(each.load)[1]))
        places.setdefault(at, []).append(each)
    off = FIRST / view.scale
    for n, ((id, _), courses) in enumerate(places.items()):
        load = scene.facts.job.loads[id]
        x, y = courses[0].load
        symbols.people(sheet, view, (x + off, y - off), load.people)
        if scene.work is None:
            _pulled(sheet, scene, view, courses, (x, y), Box(2, 16, MAIN + 24, sheet.high - 40))
        elif n == 0:
            sheet.label(view.at((x, y + symbols.feet_below() / 2)), "B", (-1, 0), first=True)


def _pulled(
    sheet: Sheet,
    scene: Scene,
    view: View,
    courses: list[Course],
    at: Point,
    room: Box | None = None,
) -> None:
    """The weight of a load as an arrow, and the forces of its lines."""
    x, y = view.at(at)
    foot = y + symbols.feet_below() * view.scale
    sheet.arrow((x - 9, foot - 26), (x - 9, foot - 4), OUTLINE, 6)
    id = scene.line(courses[0]).load
    load = scene.facts.job.loads[id]
    said = [
        say("load ‘{load}’", load=id),
        many("{count} person", "{count} people", load.people) if load.people else say("a thing"),
    ]
    for each in courses:
        force = forces.said(forces.at_station(scene.facts, each.line, "load"))
        said += [f"‘{each.line}’", force]
    if room is not None:
        sheet.label((x + 14, y + (foot - y) / 3), said, (1, 0.1), bold=True, room=room)
        return
    last = at[0] + symbols.BESIDE * (load.people - 1) + 0.62
    left = max(view.at((last, 0))[0] + 5, WORK_TEXT)
    room_wide = WIDE - left - 3
    # As high as the head; with many lines higher, so that the last one is still on the sheet.
    baseline = min(y - 8, sheet.high - 6 - LEADING * len(said))
    for n, text in enumerate(said):
        # Names stand in full in the key and the tables; a force is never cut.
        shown = text if text.startswith("≤") else shortened(text, room_wide, SIZE)
        weight: Weight = "Regular" if n else "SemiBold"
        baseline = sheet.block(left, baseline, shown, room_wide, weight)


def _work(sheet: Sheet, scene: Scene, view: View) -> None:
    """The place of work of the first load, near enough to see it."""
    id = scene.line(scene.courses[0]).load
    courses = [each for each in scene.courses if scene.line(each).load == id]
    top = DETAIL_FOOT if scene.detail else -5.0
    sheet.tag((WORK_LEFT - 8, top + 16), "B", say("Place of work {scale}", scale=view.scale_words))
    symbols.people(sheet, view, (FIRST / view.scale, -FIRST / view.scale),
                   scene.facts.job.loads[id].people)  # fmt: skip
    for n, each in enumerate(scene.courses):
        if each not in courses:
            continue
        ends = [view.at((0, -0.65)), view.at((0, 0))]
        draw_rope(sheet, scene, view, n, ends, "B")
        torn_end(sheet, shifted(ends[0], n))
    _pulled(sheet, scene, view, courses, (0, 0))


def _heights(sheet: Sheet, scene: Scene, foot: float) -> None:
    """Dimensions of the drop, of the rope below the last edge, and of what is left below."""
    view, drop = scene.main, scene.site.drop
    left = min(x for course in scene.courses for x, _ in course.points)
    zero = view.at((0, 0))
    gap = (0 - left) * view.scale + 20
    sheet.dimension(zero, (zero[0], foot), symbols.measured(drop), -gap, view="main")
    done: set[float] = set()
    for each in scene.courses:
        below = scene.line(each).below
        if below.expected in done or not all(map(each.straight, each.redirects)):
            continue
        out = 30 + 26 * len(done)
        done.add(below.expected)
        end = view.at(each.load)
        start = (end[0], view.at((0, each.points[each.edges[-1]][1] if each.edges else 0.0))[1])
        sheet.dimension(start, end, symbols.measured(below), out, view="main")
        rest = drop.expected - below.expected
        if rest > 0 and len(done) == 1:
            sheet.dimension(end, (end[0], foot), amount(rest, "m", "near"), out, view="main")
    _lowest(sheet, scene)
    sheet.label((MAIN - 60, foot + 7), symbols.foot(scene.site.near), (0, 1))


def _lowest(sheet: Sheet, scene: Scene) -> None:
    """The lowest place of work, where the job states what is clear below it."""
    clear, view = scene.site.clear_below, scene.main
    if clear is None:
        return
    depth = scene.site.drop.expected - clear.expected
    if depth < max(course.load[1] for course in scene.courses) + 0.05:
        return
    x, y = view.at((scene.courses[0].load[0], depth))
    sheet.stroke([(x - 14, y), (x + 22, y)], THIN, stroke_dasharray="4 2")
    sheet.label((x + 22, y), [say("lowest place of work"),
                say("{clear} clear below", clear=symbols.measured(clear))], (1, 0.3))  # fmt: skip


def _frame(sheet: Sheet, scene: Scene, view: View) -> None:
    """Where the detail lies in the whole."""
    box = scene.detail_world
    (left, top), (right, bottom) = view.at((box.left, box.top)), view.at((box.right, box.bottom))
    left, right = max(left - 5, 3.0), min(right + 10, MAIN - 6)
    top, bottom = max(top - 9, 15.5), bottom + 3
    corners = [(left, top), (right, top), (right, bottom), (left, bottom), (left, top)]
    sheet.stroke(corners, THIN, stroke_dasharray="3 2")
    sheet.label((right, top), "A", (1, -1), first=True)


def _key(sheet: Sheet, scene: Scene) -> None:
    """Which stroke is which line, with its rope and its forces."""
    left, y = COLUMN, DETAIL_FOOT + 38
    for n, each in enumerate(scene.courses):
        line = scene.line(each)
        rope = scene.facts.job.ropes[line.rope]
        sheet.rope([(left, y - 3), (left + 26, y - 3)], f"key {each.line}",
                   DASHES[n % len(DASHES)], line.strands, "key")  # fmt: skip
        size = exact(rope.diameter.expected, "mm", "near")
        room = WORK_LEFT - left - 36
        name = shortened(say("line ‘{line}’", line=each.line), room, SIZE)
        sheet.words(left + 32, y, name, "SemiBold")
        y += LEADING
        said = say("{role}, ‘{rope}’, {size}", role=say(line.role), rope=line.rope, size=size)
        if line.strands > 1:
            strands = many("{count} strand", "{count} strands", line.strands)
            said = f"{say(line.role)}, {strands}, ‘{line.rope}’, {size}"
        sheet.words(left + 32, y, shortened(said, room, SIZE))
        y += LEADING + 5


def _title(scene: Scene) -> str:
    below = max(course.load[1] for course in scene.courses)
    rest = scene.site.drop.expected - below
    return say(
        "Section: place of work {below} below the {start}, {rest} above the ground",
        below=amount(below, "m", "near"),
        start=say("edge") if any(each.edges for each in scene.courses) else say("anchor"),
        rest=amount(max(rest, 0.0), "m", "near"),
    )


def _message(scene: Scene, lost: list[str]) -> str:
    said = [say("To scale; forces are the maximum of all cases, with the case in brackets.")]
    if len(scene.courses) > 1:
        said.append(say("Lines behind each other are drawn apart; that their last edges stand at "
                        "one height is assumed."))  # fmt: skip
    if any(each.edges for each in scene.courses):
        said.append(
            say("Structure is drawn only where a rope bears on it; the rest is not stated.")
        )
    if any(each.straight(n) for each in scene.courses for n in each.redirects):
        said.append(
            say("A redirect of small angle is drawn straight: its direction is not stated.")
        )
    elif any(each.redirects for each in scene.courses):
        said.append(say("That redirects turn the rope to the same side as edges is assumed."))
    if ranged(scene.facts, tuple(each.line for each in scene.courses)):
        said.append(say("Ranges are drawn at their expected value."))
    if lost:
        said.append(say("No room in the drawing for: {texts}.", texts="; ".join(lost)))
    return " ".join(said)


def _text(scene: Scene) -> str:
    said = []
    for each in scene.courses:
        line = scene.line(each)
        edges = ", ".join(f"‘{over.edge}’" for over in line.over) or say("no edge")
        said.append(
            say(
                "Line ‘{line}’ runs from anchor ‘{anchor}’ over {edges} to load ‘{load}’; force at "
                "the anchor {upper}, at the load {lower}.",
                line=each.line,
                anchor=line.anchor,
                edges=edges,
                load=line.load,
                upper=forces.said(forces.at_anchor(scene.facts, each.line)),
                lower=forces.said(forces.at_station(scene.facts, each.line, "load")),
            )
        )
    return " ".join(said)
