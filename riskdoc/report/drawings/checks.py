"""The governing checks as bars: the ratio of each to what is required, on one logarithmic scale."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from riskdoc.i18n.say import mark, say
from riskdoc.quantities.printing import number, unit_of
from riskdoc.report import svg
from riskdoc.report.drawings.scene import OUTLINE, SIZE, THIN, WIDE, Drawing, Sheet
from riskdoc.report.text import fitted

if TYPE_CHECKING:
    from riskdoc.judgement.verdicts import Check
    from riskdoc.report.facts import Facts

LEFT, RIGHT = 222.0, 402.0
"""Ends of the scale on paper; names stand left of it, numbers right."""
LEAST, MOST = 0.1, 10.0
STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)
TOP, ROW = 34.0, 25.0
GOVERNING = 12


def governing(facts: Facts, most: int = GOVERNING) -> list[Check]:
    """The checks with a ratio that are nearest to their requirement or short of it, worst first."""
    compared = [
        each for each in facts.checks.values()
        if each.ratio is not None and each.required and not math.isnan(each.ratio.low)
    ]  # fmt: skip
    return sorted(compared, key=lambda each: each.against, reverse=True)[:most]


def checks(facts: Facts, most: int = GOVERNING) -> Drawing | None:
    """The governing checks; None where none compares numbers."""
    shown = governing(facts, most)
    if not shown:
        return None
    high = TOP + ROW * len(shown) + 20
    sheet = Sheet(WIDE, high)
    _axis(sheet, high - 18)
    for n, each in enumerate(shown):
        _row(sheet, each, TOP + ROW * n + ROW / 2)
    title, message = _title(shown), _message(facts, shown)
    return sheet.drawing("checks", title, message, _text(shown))


def _x(part: float) -> float:
    """Where a part of the requirement stands; beyond the ends at the end."""
    share = math.log(min(max(part, LEAST), MOST) / LEAST) / math.log(MOST / LEAST)
    return LEFT + share * (RIGHT - LEFT)


def _axis(sheet: Sheet, foot: float) -> None:
    sheet.words(4, 11, say("Check"), "SemiBold")
    sheet.words((LEFT + RIGHT) / 2, 11, say("Ratio to the requirement"), "SemiBold", "middle")
    sheet.words(WIDE - 2, 11, say("Ratio (required)"), "SemiBold", "end")
    for step in STEPS:
        x = _x(step)
        thick = OUTLINE if step == 1 else THIN
        look = {} if step == 1 else {"stroke_dasharray": "1 2"}
        sheet.stroke([(x, TOP - 6), (x, foot)], thick, **look)
        text = f"{step:g}"
        sheet.words(x, TOP - 9, text, "SemiBold" if step == 1 else "Regular", "middle")
    sheet.words(_x(1.0) - 4, foot + 12, say("not met"), anchor="end")
    sheet.words(_x(1.0) + 4, foot + 12, say("met"))


def _row(sheet: Sheet, check: Check, y: float) -> None:
    ratio, required = check.ratio, check.required
    if ratio is None or required is None:
        return
    title = fitted(str(check.title), 1, LEFT - 18, SIZE)
    sheet.words(4, y - 1.5, title, "SemiBold" if not check.stands else "Regular")
    sheet.words(4, y + 8.5, fitted(_subject(check), 1, LEFT - 18, SIZE))
    low, mid, high = (_x(each / required) for each in (ratio.low, ratio.expected, ratio.high))
    sheet.stroke([(low, y), (max(high, low + 0.5), y)], 3.0, class_="range", data_check=check.id)
    for end, value, way in ((low, ratio.low, -1), (high, ratio.high, 1)):
        beyond = value / required < LEAST if way < 0 else value / required > MOST
        if beyond:
            sheet.head((end - way * 8, y), (end + way * 3, y), 6)
        else:
            sheet.stroke([(end, y - 4), (end, y + 4)], OUTLINE)
    if LEAST <= ratio.expected / required <= MOST:
        sheet.ring((mid, y), 3.4, svg.WHITE if check.stands else svg.BLACK, 1.2)
    said = say("{ratio} ({required})", ratio=_range(ratio.low, ratio.expected),
               required=number(required, unit_of("1"), "up").rstrip("0").rstrip("."))  # fmt: skip
    sheet.words(WIDE - 2, y - 1.5, said, anchor="end")
    sheet.words(WIDE - 2, y + 8.5, say(check.verdict.value),
                "SemiBold" if not check.stands else "Regular", "end")  # fmt: skip


_KINDS = {
    "line": mark("line ‘{id}’"),
    "edge": mark("edge ‘{id}’"),
    "anchor": mark("anchor ‘{id}’"),
    "rope": mark("rope ‘{id}’"),
    "site": mark("site ‘{id}’"),
    "load": mark("load ‘{id}’"),
    "people": mark("person ‘{id}’"),
    "protection": mark("protector ‘{id}’"),
    "device": mark("device ‘{id}’"),
}


def _subject(check: Check) -> str:
    """What a check is about, by kind and name."""
    parts = check.subject.split("/")
    pairs = list(zip(parts[::2], parts[1::2], strict=False))
    if len(parts) % 2 or any(kind not in _KINDS for kind, _ in pairs):
        return check.subject
    return ", ".join(say(_KINDS[kind], id=id) for kind, id in pairs)


def _range(low: float, expected: float) -> str:
    worst = number(low, unit_of("1"), "down")
    mid = number(expected, unit_of("1"), "down")
    return worst if worst == mid else f"{worst}, {mid}"


def _title(shown: list[Check]) -> str:
    failed = [each for each in shown if not each.stands]
    if not failed:
        worst = shown[0]
        return say("Of these checks all are met; nearest to its requirement: {check}, {subject}",
                   check=worst.title, subject=_subject(worst))  # fmt: skip
    if len(failed) == 1:
        return say("One of these checks is not met: {check}, {subject}", check=failed[0].title,
                   subject=_subject(failed[0]))  # fmt: skip
    return say("{count} of these checks are not met; furthest from it: {check}, {subject}",
               count=len(failed), check=failed[0].title, subject=_subject(failed[0]))  # fmt: skip


def _message(facts: Facts, shown: list[Check]) -> str:
    rest = sum(each.ratio is not None and bool(each.required) for each in facts.checks.values())
    said = [
        say(
            "Line: range (of the abrasion exposure 10 to 90 %); dot: expected value, black where "
            "the check is not met; arrow: beyond the scale. Numbers: worst case, expected value, "
            "in brackets what is required."
        )
    ]
    if rest > len(shown):
        said.append(say("{count} further checks that compare numbers are not drawn.",
                        count=rest - len(shown)))  # fmt: skip
    return " ".join(said)


def _text(shown: list[Check]) -> str:
    return " ".join(
        say(
            "{check}, {subject}: {low} in the worst case, {required} required, {verdict}.",
            check=each.title,
            subject=_subject(each),
            low=number(each.ratio.low, unit_of("1"), "down") if each.ratio else "",
            required=number(each.required or 0.0, unit_of("1"), "up"),
            verdict=say(each.verdict.value),
        )
        for each in shown
    )
