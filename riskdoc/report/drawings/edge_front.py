"""An edge from the front: the rope at rest and at both ends of its sweep, protector, bare edge."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.quantities.printing import amount
from riskdoc.report import svg
from riskdoc.report.drawings import symbols
from riskdoc.report.drawings.course import course
from riskdoc.report.drawings.scene import ROPE, THIN, WIDE, Drawing, Sheet, View, fitted
from riskdoc.report.svg import Box

if TYPE_CHECKING:
    from riskdoc.report.facts import Facts

HIGH = 178.0
EDGE = 84.0
"""Height of the edge on paper, in points from the top."""
SIDE = 92.0


@dataclass(frozen=True, slots=True)
class _Cover:
    """What lies on the edge [m] and counts; `words` say why nothing counts, or all of it.

    `shown` is the width that is drawn: what does not count stays in the drawing.
    """

    width: float
    shown: float
    words: str = ""
    ends: bool = False


@dataclass(frozen=True, slots=True)
class _Scene:
    facts: Facts
    line: str
    edge: str
    sweep: float | None
    """How far the rope can go to either side at most [m]; None where not demonstrated."""
    held: float | None
    cover: _Cover

    @property
    def beyond(self) -> float:
        """How far the sweep goes past what covers the edge [m]."""
        return max((self.sweep or 0.0) - self.cover.width / 2, 0.0)


def edge_front(facts: Facts, line: str, edge: str) -> Drawing:
    """The front of one edge with one line over it."""
    scene = _scene(facts, line, edge)
    sheet = Sheet(WIDE, HIGH)
    half = max(scene.sweep or 0.0, scene.cover.shown / 2, 0.1)
    view = fitted(Box(-half, 0, half, 0.01), Box(SIDE, EDGE, WIDE - SIDE, HIGH))
    view = View((WIDE / 2, EDGE), view.scale, view.ratio)
    _structure(sheet, scene)
    _protector(sheet, scene, view)
    _ropes(sheet, scene, view)
    _dimensions(sheet, scene, view)
    sheet.tag((4, 11), "", say("Front of the edge {scale}", scale=view.scale_words))
    sheet.scale_bar(view, 8, HIGH - 5, "front")
    sheet.finish()
    lines, edges = list(facts.job.lines), list(facts.job.edges)
    name = f"front-{lines.index(line) + 1}-{edges.index(edge) + 1}"
    title, message = _title(scene), _message(scene, sheet.lost)
    return sheet.drawing(name, title, message, f"{title}. {message}")


def _scene(facts: Facts, line: str, edge: str) -> _Scene:
    held = facts.figures.get(f"line/{line}/edge/{edge}/held/crossing")
    cover = _cover(facts, line, edge)
    still = held.range.high if held is not None else None
    if still is not None and cover.ends:
        still = min(still, cover.width / 2)
    return _Scene(facts, line, edge, sweep_at(facts, line, edge), still, cover)


def sweep_at(facts: Facts, line: str, edge: str) -> float | None:
    """How far a rope can go to either side at an edge at most [m]; side guards end it."""
    crossing = facts.figures.get(f"line/{line}/edge/{edge}/crossing")
    cover = _cover(facts, line, edge)
    if crossing is None:
        return None
    return min(crossing.range.high, cover.width / 2) if cover.ends else crossing.range.high


def _cover(facts: Facts, line: str, edge: str) -> _Cover:
    name = facts.job.edges[edge].protection
    if name is None:
        return _Cover(0.0, 0.0, say("No protector: all of it is on the bare edge."))
    kit = facts.job.protection[name]
    width = kit.width.expected if kit.width is not None else 0.0
    if not (kit.tied or kit.grips):
        return _Cover(
            0.0, width, say("The protector is loose and can move away: it does not count.")
        )
    share = facts.figures.get(f"line/{line}/edge/{edge}/covered")
    if share is not None and share.range.high == 0 and kit.width is not None:
        return _Cover(0.0, width, say("So sharp an edge is not covered by it: it does not count."))
    if kit.width is None:
        if share is not None and share.range.low >= 1:
            return _Cover(
                math.inf, 0.0, say("The protector goes with the rope and covers all of it.")
            )
        return _Cover(0.0, 0.0, say("The width of the protector is not stated: it does not count."))
    return _Cover(kit.width.low, width, ends=kit.guards)


def _structure(sheet: Sheet, scene: _Scene) -> None:
    """The edge as a line across the sheet, its front face hatched below."""
    sheet.hatch([(30, EDGE), (WIDE - 30, EDGE), (WIDE - 30, EDGE + 9), (30, EDGE + 9)])
    sheet.stroke([(30, EDGE), (WIDE - 30, EDGE)])
    edge = scene.facts.job.edges[scene.edge]
    sheet.label((WIDE - 60, EDGE), [say("edge ‘{edge}’", edge=scene.edge), say(edge.surface)],
                (0, -1), bold=True)  # fmt: skip


def _protector(sheet: Sheet, scene: _Scene, view: View) -> None:
    name, shown = scene.facts.job.edges[scene.edge].protection, scene.cover.shown
    if name is None or shown <= 0:
        return
    left, right = view.at((-shown / 2, 0))[0], view.at((shown / 2, 0))[0]
    counts = scene.cover.width > 0
    sheet.area([(left, EDGE - 5), (right, EDGE - 5), (right, EDGE + 9), (left, EDGE + 9)],
               svg.SKY if counts else svg.WHITE)  # fmt: skip
    if scene.cover.ends:
        for x in (left, right):
            sheet.stroke([(x, EDGE - 12), (x, EDGE + 9)], ROPE)
    kit = scene.facts.job.protection[name]
    held = say("secured") if kit.tied else say("loose")
    text = say("‘{protector}’: {kind}, {held}", protector=name, kind=say(kit.kind), held=held)
    sheet.label((left + 4, EDGE - 5), text, (-1, -1.4))


def _ropes(sheet: Sheet, scene: _Scene, view: View) -> None:
    """The rope at rest, and at both ends of its sweep as it runs from its anchor to the load."""
    sheet.rope([(WIDE / 2, 20), (WIDE / 2, EDGE + 38)], scene.line, "none",
               scene.facts.job.lines[scene.line].strands, "front")  # fmt: skip
    if not scene.sweep:
        return
    job = scene.facts.job
    run = course(job, scene.line)
    at = next(run.places[n].at for n in run.edges
              if job.lines[scene.line].over[run.places[n].index].edge == scene.edge)  # fmt: skip
    for side in (-1.0, 1.0):
        x = view.at((side * scene.sweep, 0))[0]
        # In the unfolded planes the rope is one straight line from the anchor.
        lean = (x - WIDE / 2) / (max(at, 1e-6) * view.scale)
        points = [(x - lean * (EDGE - 24), 24.0), (x, EDGE), (x + lean * 38, EDGE + 38)]
        sheet.stroke(points, ROPE, stroke_dasharray="4 2.5", class_="sweep", data_view="front")


def _dimensions(sheet: Sheet, scene: _Scene, view: View) -> None:
    middle = (WIDE / 2, EDGE)
    foot = EDGE + 48
    if scene.cover.shown > 0 and math.isfinite(scene.cover.shown):
        half = scene.cover.shown / 2
        a, b = view.at((-half, 0)), view.at((half, 0))
        kit = scene.facts.job.protection[scene.facts.job.edges[scene.edge].protection or ""]
        if kit.width is not None:
            sheet.dimension((b[0], foot + 4), (a[0], foot + 4), symbols.measured(kit.width), -22,
                            view="front")  # fmt: skip
    if not scene.sweep:
        return
    for side in (-1.0, 1.0):
        end = view.at((side * scene.sweep, 0))
        text = amount(scene.sweep, "m", "up")
        sheet.dimension((middle[0], foot), (end[0], foot), text, 0.5, view="front")
        if scene.beyond > 0:
            start = view.at((side * scene.cover.width / 2, 0))
            bare = say("{far} bare", far=amount(scene.beyond, "m", "up"))
            sheet.dimension(
                (start[0], EDGE - 16), (end[0], EDGE - 16), bare, 0.5 * side, view="front"
            )
    if scene.held:
        for side in (-1.0, 1.0):
            x = view.at((side * scene.held, 0))[0]
            sheet.stroke([(x, EDGE + 11), (x, EDGE + 30)], THIN)
        x = view.at((scene.held, 0))[0]
        text = say("held by friction: {far}", far=amount(scene.held, "m", "up"))
        sheet.label((x, EDGE + 24), text, (1, 0.2))


def _title(scene: _Scene) -> str:
    start = {"edge": scene.edge, "line": scene.line}
    if scene.sweep is None:
        return say("Edge ‘{edge}’: sweep of line ‘{line}’ not demonstrated", **start)
    if scene.sweep <= 0:
        return say("Edge ‘{edge}’: line ‘{line}’ does not move sideways by the job file", **start)
    if scene.cover.width <= 0:
        far = amount(scene.sweep, "m", "up")
        return say(
            "Edge ‘{edge}’: line ‘{line}’ can swing {far} over the bare edge", far=far, **start
        )
    if scene.beyond > 0:
        far = amount(scene.beyond, "m", "up")
        return say(
            "Edge ‘{edge}’: line ‘{line}’ can swing {far} past the protector", far=far, **start
        )
    return say("Edge ‘{edge}’: line ‘{line}’ stays on the protector", **start)


def _message(scene: _Scene, lost: list[str]) -> str:
    said = [say("Seen from the front, to scale; solid: at rest, dashed: at both ends of the sweep, "
                "at their maximum. Heights are cut off.")]  # fmt: skip
    if scene.cover.words:
        said.append(scene.cover.words)
    if scene.cover.ends:
        said.append(say("Side guards stop the rope at the width of the protector."))
    if scene.held is not None:
        said.append(
            say("Where friction holds the rope, it goes {far} at most.",
                far=amount(scene.held, "m", "up"))
            if scene.held > 0
            else say("Where friction holds the rope, it stays at rest.")
        )  # fmt: skip
    if lost:
        said.append(say("No room in the drawing for: {texts}.", texts="; ".join(lost)))
    return " ".join(said)


def edge_fronts(facts: Facts) -> tuple[Drawing, ...]:
    """The front of every edge of every line."""
    return tuple(
        edge_front(facts, id, over.edge)
        for id, line in facts.job.lines.items()
        for over in line.over
    )
