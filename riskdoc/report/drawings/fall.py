"""What a fall takes below the attachment point, part by part, down to what it could strike."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.quantities.printing import amount
from riskdoc.report import svg
from riskdoc.report.drawings import symbols
from riskdoc.report.drawings.scene import (
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
from riskdoc.report.text import wrap

if TYPE_CHECKING:
    from collections.abc import Iterator

    from riskdoc.report.facts import Facts

HIGH = 250.0
STACK, BAR = 168.0, 46.0
"""Left end of the stack of parts and its width, in points."""
DEEPEST = 3.0
"""A stated height below this many times the need is drawn at the foot, with a break mark."""
MOST_MARKS = 6


@dataclass(frozen=True, slots=True)
class _Part:
    name: str
    size: float


@dataclass(frozen=True, slots=True)
class _Scene:
    facts: Facts
    line: str
    parts: tuple[_Part, ...]
    needed: float
    heights: tuple[_Part, ...]
    """Stated heights, the nearest first."""
    more: int

    @property
    def deepest(self) -> float:
        within = [each.size for each in self.heights if each.size <= DEEPEST * self.needed]
        parts = sum(each.size for each in self.parts)
        return max([parts, self.needed, *within]) * (1.0 if within else 1.12)

    def beyond(self, height: float) -> bool:
        """Whether a height lies deeper than is drawn."""
        return height > self.deepest


def fall(facts: Facts, line: str) -> Drawing | None:
    """The fall of one line at its maximum; None where it is not demonstrated."""
    scene = _scene(facts, line)
    if scene is None or scene.needed <= 0:
        return None
    sheet = Sheet(WIDE, HIGH)
    view = fitted(Box(0, -0.35, 1, scene.deepest), Box(0, 26, WIDE, HIGH - 40), top=0.0)
    view = View((0, view.origin[1]), view.scale, view.ratio)
    sheet.tag((4, 11), "", say("Fall {scale}", scale=view.scale_words))
    _person_and_datum(sheet, view)
    foot = _stack(sheet, scene, view)
    _heights(sheet, scene, view, foot)
    sheet.scale_bar(view, 8, HIGH - 5, "fall")
    sheet.finish()
    n = list(facts.job.lines).index(line) + 1
    title, message = _title(scene), _message(scene, sheet.lost)
    return sheet.drawing(f"fall-{n}", title, message, _text(scene))


def _scene(facts: Facts, line: str) -> _Scene | None:
    stretch = facts.figures.get(f"line/{line}/fall/stretch")
    needed = facts.figures.get(f"line/{line}/clearance/needed")
    body = facts.default("work/body below attachment/value")
    spare = facts.default("work/spare clearance/value")
    it = facts.job.lines[line].fall
    if stretch is None or needed is None or it is None or body is None or spare is None:
        return None
    slip = facts.figures.get(f"line/{line}/fall/slip")
    parts = (
        _Part(say("free fall"), it.free.high),
        _Part(say("stretch at the peak force"), stretch.range.high),
        _Part(say("slip of the device"), slip.range.high if slip else 0.0),
        _Part(say("attachment point to feet"), body.high),
        _Part(say("to spare"), spare.high),
    )
    heights = sorted(_stated(facts, line), key=lambda each: each.size)
    return _Scene(facts, line, tuple(each for each in parts if each.size > 0), needed.range.high,
                  tuple(heights[:MOST_MARKS]), len(heights[MOST_MARKS:]))  # fmt: skip


def _stated(facts: Facts, line: str) -> Iterator[_Part]:
    it = facts.job.lines[line].fall
    clear = facts.clear_height(line)
    if clear is not None:
        yield _Part(say("clear height at the place of work"), clear)
    for ledge in it.ledges if it is not None else ():
        yield _Part(say("ledge ‘{ledge}’", ledge=ledge.name), ledge.below.low)


def _person_and_datum(sheet: Sheet, view: View) -> None:
    """Who falls, and the level from which all is measured."""
    symbols.person(sheet, view, (STACK / view.scale - 60 / view.scale, 0))
    x, y = STACK - 60, view.at((0, 0))[1]
    sheet.stroke([(x, 18), (x, y)], OUTLINE * 1.9, class_="rope")
    sheet.stroke([(28, y), (STACK + BAR + 20, y)], THIN, stroke_dasharray="8 2 2 2")
    sheet.area([(40, y), (36, y - 7), (44, y - 7)], svg.WHITE)
    sheet.label((40, y - 7), [say("datum: attachment point"), say("when the fall starts")], (0, -1),
                room=Box(2, 2, STACK - 64, HIGH))  # fmt: skip


def _stack(sheet: Sheet, scene: _Scene, view: View) -> float:
    """The parts one below the other; the depth at which they end on paper."""
    depth = 0.0
    for n, part in enumerate(scene.parts):
        top, foot = view.at((0, depth))[1], view.at((0, depth + part.size))[1]
        corners = [(STACK, top), (STACK + BAR, top), (STACK + BAR, foot), (STACK, foot)]
        sheet.area(corners, svg.PALE if n % 2 else svg.WHITE)
        text = say("{part} {size}", part=part.name, size=amount(part.size, "m", "up"))
        sheet.dimension((STACK + BAR, top), (STACK + BAR, foot), text, 12, view="fall")
        depth += part.size
    return view.at((0, depth))[1]


def _heights(sheet: Sheet, scene: _Scene, view: View, foot: float) -> None:
    """What is needed in all, and each stated height with what is left above it."""
    zero, need = view.at((0, 0))[1], view.at((0, scene.needed))[1]
    sheet.stroke([(STACK - 14, need), (STACK + BAR + 4, need)], OUTLINE * 1.9)
    text = say("needed {size}", size=amount(scene.needed, "m", "up"))
    sheet.dimension((STACK, zero), (STACK, need), text, -16, view="fall")
    for n, each in enumerate(scene.heights):
        deeper = scene.beyond(each.size)
        y = view.at((0, scene.deepest if deeper else each.size))[1]
        x, said = WIDE - 122, [*wrap(each.name, 104, SIZE), amount(each.size, "m", "down")]
        if n:
            sheet.stroke([(STACK - 50, y), (WIDE - 60, y)], OUTLINE, stroke_dasharray="6 3")
            sheet.label((WIDE - 70, y), said, (0, 1))
            continue
        symbols.ground(sheet, STACK - 60, WIDE - 60, y)
        look = "" if deeper else "fall"
        sheet.dimension((x, zero), (x, y), said, 0.5, view=look)
        if deeper:
            _break(sheet, (x, (y + zero) / 2 + 30))
        elif each.size > scene.needed:
            left = amount(each.size - scene.needed, "m", "down")
            rest = say("left {size}", size=left)
            sheet.dimension((STACK - 30, need), (STACK - 30, y), rest, -0.5, view="fall")
        elif each.size < scene.needed:
            short = amount(scene.needed - each.size, "m", "up")
            sheet.dimension((STACK - 30, y), (STACK - 30, need), say("short by {size}", size=short),
                            -0.5, view="fall")  # fmt: skip


def _break(sheet: Sheet, at: tuple[float, float]) -> None:
    """The break mark of a dimension that is not to scale."""
    x, y = at
    sheet.area([(x - 4, y - 4), (x + 4, y - 2), (x + 4, y + 2), (x - 4, y)], svg.WHITE, 0)
    for down in (-4, 0):
        sheet.stroke([(x - 5, y + down), (x + 5, y + down + 2)], THIN)


def _title(scene: _Scene) -> str:
    needed = amount(scene.needed, "m", "up")
    if not scene.heights:
        return say("Line ‘{line}’: a fall needs {needed}; no clear height is stated",
                   line=scene.line, needed=needed)  # fmt: skip
    first = scene.heights[0]
    rest = first.size - scene.needed
    clear = amount(first.size, "m", "down")
    parts = {"line": scene.line, "needed": needed, "name": first.name, "clear": clear}
    if rest < 0:
        text = say(
            "Line ‘{line}’: a fall needs {needed}; {clear} are clear ({name}), short by {rest}",
            rest=amount(-rest, "m", "up"),
            **parts,
        )
    else:
        text = say(
            "Line ‘{line}’: a fall needs {needed}; {clear} are clear ({name}), {rest} left",
            rest=amount(rest, "m", "down"),
            **parts,
        )
    deeper = any(scene.beyond(each.size) for each in scene.heights)
    return text + (say(" (height not to scale)") if deeper else "")


def _message(scene: _Scene, lost: list[str]) -> str:
    said = [say("To scale, every part at its maximum, stated heights at their minimum.")]
    if sum(each.size for each in scene.parts) > scene.needed * 1.005:
        said.append(
            say("No one fall has every part at its maximum: the thick stroke is what is needed.")
        )
    if scene.more:
        said.append(say("Of the stated heights the nearest {count} are drawn.", count=MOST_MARKS))
    if lost:
        said.append(say("No room in the drawing for: {texts}.", texts="; ".join(lost)))
    return " ".join(said)


def _text(scene: _Scene) -> str:
    parts = [f"{each.name} {amount(each.size, 'm', 'up')}" for each in scene.parts]
    heights = [f"{each.name} {amount(each.size, 'm', 'down')}" for each in scene.heights]
    return f"{_title(scene)}. {', '.join(parts)}; {', '.join(heights)}."


def falls(facts: Facts) -> tuple[Drawing, ...]:
    """The fall of every line for which one is demonstrated."""
    found = (fall(facts, line) for line in facts.job.lines)
    return tuple(each for each in found if each is not None)
