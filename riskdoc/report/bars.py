"""A bar for each check: where the ratio of capacity to demand lies against what is required."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from markupsafe import Markup

from riskdoc.quantities.printing import number, unit_of
from riskdoc.report import svg
from riskdoc.report.text import FAMILIES, width

if TYPE_CHECKING:
    from riskdoc.judgement.verdicts import Check

WIDE, HIGH, BAR = 56.0, 24.0, 13.0
LEAST, MOST = 0.1, 10.0
"""Ends of the scale, as parts of what is required; it is logarithmic, with the requirement mid."""
TEXT = 8.0


def bar(check: Check) -> Markup:
    """The range of a check's ratio against its requirement, or nothing where there is no ratio.

    The dashed stroke through the whole height is the requirement, and the number under it the ratio
    that is required; left of it falls short. The other numbers are the ratios at both ends.
    """
    if check.ratio is None or not check.required:
        return Markup("")
    low, mid, high = (
        _x(each / check.required)
        for each in (check.ratio.low, check.ratio.expected, check.ratio.high)
    )
    need = _x(1.0)
    parts = [
        svg.rect(need, 0.5, WIDE - need - 0.5, BAR - 1, fill=svg.PALE, stroke="none"),
        svg.rect(low, 4, max(high - low, 1.5), 5, fill=svg.BLUE, stroke=svg.BLACK),
        svg.line(mid, 2, mid, BAR - 2, stroke_width=2),
        svg.line(need, 0, need, BAR, stroke_width=1.2, stroke_dasharray="2 1"),
        svg.rect(0.5, 0.5, WIDE - 1, BAR - 1, fill="none", stroke=svg.GREY, stroke_width=0.6),
        *_scale(check.required),
    ]
    return svg.element(
        "svg",
        svg.joined(parts),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {WIDE:g} {HIGH:g}",
        width=f"{WIDE:g}pt",
        height=f"{HIGH:g}pt",
        font_family=FAMILIES,
        # The numbers beside it say the same; a reader of the screen need not hear it twice.
        aria_hidden="true",
    )


def _scale(required: float) -> list[Markup]:
    """The ratios at both ends and, in the middle, the one required; as many as have room."""
    half = {value: width(_digits(value), TEXT) / 2 for value in _ends(required)}
    middle = _x(1.0)
    made = []
    for value, x in zip(half, (0.0, middle, WIDE), strict=True):
        at = min(max(x, half[value]), WIDE - half[value])
        if value != required and abs(at - middle) < half[value] + half[required] + 2.5:
            continue
        weight = "600" if value == required else "400"
        look: dict[str, str | float] = {"font_size": TEXT, "text_anchor": "middle"}
        text = _digits(value)
        made.append(svg.element("text", text, x=at, y=HIGH - 2, font_weight=weight, **look))
    return made


def _ends(required: float) -> tuple[float, float, float]:
    return required * LEAST, required, required * MOST


def _digits(ratio: float) -> str:
    """A ratio in few digits, up: a requirement is never printed less than it is.

    >>> _digits(2.0), _digits(0.1), _digits(1.0471)
    ('2', '0.1', '1.05')
    """
    text = number(ratio, unit_of("1"), "up")
    return text.rstrip("0").rstrip(".") if "." in text else text


def _x(part: float) -> float:
    """Where a ratio, as a part of the required one, is drawn; beyond the ends at the end."""
    if math.isnan(part):
        return 2.0
    bounded = min(max(part, LEAST), MOST)
    share = math.log(bounded / LEAST) / math.log(MOST / LEAST)
    return 2.0 + share * (WIDE - 4.0)
