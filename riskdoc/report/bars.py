"""A bar for each check: where the ratio of capacity to demand lies against what is required."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from markupsafe import Markup

from riskdoc.report import svg

if TYPE_CHECKING:
    from riskdoc.assess.records import Check

WIDE, HIGH = 50.0, 13.0
LEAST, MOST = 0.1, 10.0
"""Ends of the scale, as parts of what is required; it is logarithmic, with the requirement mid."""


def bar(check: Check) -> Markup:
    """The range of a check's ratio against its requirement, or nothing where there is no ratio.

    The upright stroke through the whole height is the requirement; left of it falls short.
    """
    if check.ratio is None or not check.required:
        return Markup("")
    low, mid, high = (
        _x(each / check.required)
        for each in (check.ratio.low, check.ratio.expected, check.ratio.high)
    )
    need = _x(1.0)
    parts = [
        svg.rect(need, 0.5, WIDE - need - 0.5, HIGH - 1, fill=svg.PALE, stroke="none"),
        svg.rect(low, 4, max(high - low, 1.5), 6, fill=svg.BLUE, stroke=svg.BLACK),
        svg.line(mid, 2, mid, HIGH - 2, stroke_width=2),
        svg.line(need, 0, need, HIGH, stroke_width=1.2, stroke_dasharray="2 1"),
        svg.rect(0.5, 0.5, WIDE - 1, HIGH - 1, fill="none", stroke=svg.GREY, stroke_width=0.6),
    ]
    return svg.element(
        "svg",
        svg.joined(parts),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {WIDE:g} {HIGH:g}",
        width=f"{WIDE:g}pt",
        height=f"{HIGH:g}pt",
        # The numbers beside it say the same; a reader of the screen need not hear it twice.
        aria_hidden="true",
    )


def _x(part: float) -> float:
    """Where a ratio, as a part of the required one, is drawn; beyond the ends at the end."""
    if math.isnan(part):
        return 2.0
    bounded = min(max(part, LEAST), MOST)
    share = math.log(bounded / LEAST) / math.log(MOST / LEAST)
    return 2.0 + share * (WIDE - 4.0)
