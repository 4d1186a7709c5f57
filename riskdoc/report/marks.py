"""The mark of each verdict: four outlines that differ without colour, beside the word."""

from __future__ import annotations

from typing import TYPE_CHECKING

from markupsafe import Markup

from riskdoc.i18n.say import say
from riskdoc.judgement.verdicts import Verdict
from riskdoc.report.svg import BLACK, BLUE, ORANGE, SKY, VERMILLION, WHITE, element, joined

if TYPE_CHECKING:
    from collections.abc import Mapping


def _svg(*parts: Markup) -> Markup:
    return element(
        "svg",
        joined(parts),
        xmlns="http://www.w3.org/2000/svg",
        viewBox="0 0 12 12",
        width="8pt",
        height="8pt",
        class_="mark",
        aria_hidden="true",
    )


def _shape(points: str, **look: str | float) -> Markup:
    return element("polygon", points=points, stroke_width=1.4, **look)


# Full ring; lozenge filled to the waist; a square with its sides torn open; a block cut by a bar.
_MARKS: Mapping[Verdict, Markup] = {
    Verdict.ADEQUATE: _svg(
        element("circle", cx=6, cy=6, r=4.6, fill=WHITE, stroke=BLUE, stroke_width=2)
    ),
    Verdict.BORDERLINE: _svg(
        _shape("6,0.8 11.2,6 6,11.2 0.8,6", fill=WHITE, stroke=BLACK),
        element("polygon", points="0.8,6 11.2,6 6,11.2", fill=ORANGE, stroke=BLACK),
    ),
    Verdict.NOT_DEMONSTRATED: _svg(
        element("rect", x=0, y=0, width=12, height=12, fill=BLACK),
        element(
            "path",
            d="M4.4 1.6H1.6V4.4M7.6 1.6H10.4V4.4M4.4 10.4H1.6V7.6M7.6 10.4H10.4V7.6",
            fill="none",
            stroke=SKY,
            stroke_width=1.8,
        ),
    ),
    Verdict.INADEQUATE: _svg(
        element("rect", x=0, y=0, width=12, height=12, fill=BLACK),
        element("rect", x=1, y=1, width=10, height=10, fill=VERMILLION),
        element("path", d="M1 8.2L11 3.8", stroke=BLACK, stroke_width=2.4, fill="none"),
    ),
}

_CLASSES: Mapping[Verdict, str] = {
    Verdict.ADEQUATE: "verdict adequate",
    Verdict.BORDERLINE: "verdict borderline",
    Verdict.NOT_DEMONSTRATED: "verdict loud",
    Verdict.INADEQUATE: "verdict loud",
}


def chip(verdict: Verdict) -> Markup:
    """The verdict's mark and word, to be read and to be seen.

    >>> "not demonstrated" in chip(Verdict.NOT_DEMONSTRATED)
    True
    """
    word = element("span", say(verdict.value))
    return element("span", joined((_MARKS[verdict], word)), class_=_CLASSES[verdict])


def sign(verdict: Verdict) -> Markup:
    """The verdict's mark alone, before a sentence that says the word."""
    return _MARKS[verdict]


ALERT = element(
    "svg",
    joined(
        (
            element("polygon", points="6,0.6 11.6,11 0.4,11", fill=BLACK),
            element("rect", x=5.3, y=4, width=1.4, height=3.6, fill=WHITE),
            element("rect", x=5.3, y=8.4, width=1.4, height=1.4, fill=WHITE),
        )
    ),
    xmlns="http://www.w3.org/2000/svg",
    viewBox="0 0 12 12",
    width="9pt",
    height="9pt",
    aria_hidden="true",
)
"""The safety alert sign. It stands before words of injury and never before NOTICE."""
