"""The way of a casualty: from the place of work to the ground or up, over which edges."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.quantities.printing import amount
from riskdoc.report.drawings import symbols
from riskdoc.report.drawings.course import Course, course
from riskdoc.report.drawings.scene import (
    LEADING,
    OUTLINE,
    ROPE,
    SIZE,
    WIDE,
    Drawing,
    Sheet,
    View,
    fitted,
)
from riskdoc.report.number_format import NOT_DEMONSTRATED
from riskdoc.report.svg import Box
from riskdoc.report.text import fitted as shortened

if TYPE_CHECKING:
    from riskdoc.job.model import LineRescue, RescuePlan
    from riskdoc.report.drawings.placement import Point
    from riskdoc.report.facts import Facts

HIGH = 240.0
WORDS = 226.0
"""Left end of what is said beside the way."""
ASIDE = 9.0
"""How far the way is drawn beside the rope, in points."""
STEP_LINES, MOST_STEPS = 2, 6


@dataclass(frozen=True, slots=True)
class _Scene:
    facts: Facts
    line: str
    carried: LineRescue
    plan: RescuePlan
    course: Course
    drop: float
    view: View

    @property
    def raised(self) -> bool:
        return self.carried.how == "raise"


def rescues(facts: Facts) -> tuple[Drawing, ...]:
    """The way of a casualty on every line that carries a rescue."""
    return tuple(
        _rescue(facts, id, line.rescue)
        for id, line in facts.job.lines.items()
        if line.rescue is not None
    )


def _rescue(facts: Facts, line: str, carried: LineRescue) -> Drawing:
    run = course(facts.job, line)
    drop = facts.job.sites[facts.site_of(line)].drop.expected
    xs, ys = [x for x, _ in run.points], [y for _, y in run.points]
    world = Box(min(xs), min(ys), max(xs), max(drop, *ys))
    view = fitted(world, Box(40, 32, WORDS - 96, HIGH - 34), top=0.0)
    scene = _Scene(facts, line, carried, facts.job.rescue.of_line(line), run, drop, view)
    sheet = Sheet(WIDE, HIGH)
    sheet.tag((4, 11), "", say("Way of the casualty {scale}", scale=view.scale_words))
    _rigging(sheet, scene)
    _way(sheet, scene)
    _steps(sheet, scene)
    sheet.scale_bar(view, 8, HIGH - 5, "rescue")
    sheet.finish()
    n = list(facts.job.lines).index(line) + 1
    title, message = _title(scene), _message(scene, sheet.lost)
    return sheet.drawing(f"rescue-{n}", title, message, f"{title}. {message}")


def _rigging(sheet: Sheet, scene: _Scene) -> None:
    view, run = scene.view, scene.course
    it = scene.facts.job.lines[scene.line]
    for n in run.edges:
        at = view.at(run.points[n])
        symbols.wedge(sheet, at, run.ways[n - 1], run.ways[n], 13.0)
    sheet.rope(view.all(run.points), scene.line, "none", it.strands, "rescue")
    symbols.anchor_mark(sheet, view.at(run.anchor))
    people = scene.facts.job.loads[it.load].people
    symbols.people(sheet, view, run.load, people)
    symbols.ground(sheet, 10, WORDS - 24, view.at((0, scene.drop))[1])
    sheet.label(view.at(run.anchor), say("anchor ‘{anchor}’", anchor=it.anchor), (-0.6, -1))
    for n in run.edges:
        edge = it.over[run.places[n].index].edge
        sheet.label(view.at(run.points[n]), say("edge ‘{edge}’", edge=edge), (-1, 0.8))
    middle = view.at((run.load[0], run.load[1] + symbols.feet_below() / 2))
    sheet.label(middle, say("casualty"), (-1, 0.2), bold=True)


def _way(sheet: Sheet, scene: _Scene) -> None:
    """An arrow beside the rope, from the casualty down to the ground, or up to the anchor."""
    view, run = scene.view, scene.course
    if scene.raised:
        points = [_beside(view.at(each)) for each in reversed(run.points)]
        height = run.load[1] - min(0.0, run.points[run.edges[-1]][1] if run.edges else 0.0)
        said = say("raised {height}", height=amount(height, "m", "near"))
    else:
        x, y = view.at((run.load[0], run.load[1] + symbols.feet_below()))
        foot = view.at((0, scene.drop))[1]
        points = [(x + ASIDE, min(y - 2, foot - 8)), (x + ASIDE, foot - 1)]
        height = max(scene.drop - run.load[1], 0.0)
        said = say("lowered {height}", height=amount(height, "m", "near"))
    sheet.stroke(points, ROPE, stroke_dasharray="6 2.5", class_="way")
    sheet.head(points[-2], points[-1], 8)
    one, other = points[0], points[1]
    sheet.label(((one[0] + other[0]) / 2, (one[1] + other[1]) / 2), said, (1, 0), bold=True)


def _beside(at: Point) -> Point:
    return at[0] + ASIDE, at[1] - ASIDE


def _steps(sheet: Sheet, scene: _Scene) -> None:
    """Load, times and steps, in words beside the way."""
    plan, room = scene.plan, WIDE - WORDS - 4
    load = scene.facts.job.loads[scene.carried.load]
    y = 11.0
    y = sheet.block(WORDS, y, say("Line ‘{line}’, load ‘{load}’", line=scene.line,
                                  load=scene.carried.load), room, "SemiBold")  # fmt: skip
    mass = say(
        "{mass} and kit {kit}", mass=symbols.measured(load.mass), kit=symbols.measured(load.kit)
    )
    y = sheet.block(WORDS, y, mass, room)
    y = sheet.block(WORDS, y, _times(plan), room) + 4
    if not plan.steps:
        sheet.block(WORDS, y, say("Steps not demonstrated."), room)
    for n, step in enumerate(plan.steps[:MOST_STEPS], start=1):
        sheet.ring((WORDS + 6, y - 3), 6.2, thick=OUTLINE)
        sheet.words(WORDS + 6, y, str(n), "SemiBold", "middle")
        text = shortened(step, STEP_LINES, room - 20, SIZE)
        y = max(sheet.block(WORDS + 18, y, text, room - 20), y + LEADING) + 5
    if len(plan.steps) > MOST_STEPS:
        sheet.block(WORDS + 18, y, say("further steps: see the rescue plan"), room - 20)


def _times(plan: RescuePlan) -> str:
    contact, ground = plan.time_to_contact, plan.time_to_ground
    return say(
        "contact after {contact}, on the ground after {ground}",
        contact=_minutes(contact.high) if contact else say(NOT_DEMONSTRATED),
        ground=_minutes(ground.high) if ground else say(NOT_DEMONSTRATED),
    )


def _minutes(seconds: float) -> str:
    """A time in whole minutes, up."""
    return say("{count} min", count=math.ceil(seconds / 60 - 1e-9))


def _title(scene: _Scene) -> str:
    ground = scene.plan.time_to_ground
    when = _minutes(ground.high) if ground else say(NOT_DEMONSTRATED)
    if scene.raised:
        return say("Rescue: the casualty is raised on line ‘{line}’; on the ground after {time}",
                   line=scene.line, time=when)  # fmt: skip
    return say("Rescue: the casualty is lowered on line ‘{line}’; on the ground after {time}",
               line=scene.line, time=when)  # fmt: skip


def _message(scene: _Scene, lost: list[str]) -> str:
    over = [each.edge for each in scene.facts.job.lines[scene.line].over]
    said = []
    if scene.raised and over:
        names = ", ".join(f"‘{each}’" for each in reversed(over))
        said.append(say("The casualty goes up over edge {edges}.", edges=names))
    elif over:
        names = ", ".join(f"‘{each}’" for each in over)
        said.append(say("The loaded rope runs over edge {edges}.", edges=names))
    said.append(say("To scale; dashed arrow: the way of the casualty from the place of work."))
    if lost:
        said.append(say("No room in the drawing for: {texts}.", texts="; ".join(lost)))
    return " ".join(said)
