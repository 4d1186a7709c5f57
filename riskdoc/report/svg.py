"""Small drawings as escaped markup; every text measured, so that its box is known."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup, escape

from riskdoc.report.text import FAMILIES, Weight, clean, width

# Okabe–Ito, used only to repeat what a word or a shape says.
BLACK = "#000000"
BLUE = "#0072B2"
ORANGE = "#E69F00"
VERMILLION = "#D55E00"
SKY = "#56B4E9"
YELLOW = "#F0E442"
GREY = "#595959"
PALE = "#E6E6E6"
WHITE = "#FFFFFF"

SIZE = 8.5
"""Size of text in drawings, in points at the printed width."""
LEADING = 11.0
PAGE_WIDTH = 500.0
"""Width of a drawing as wide as the text of an A4 page, in points."""


@dataclass(frozen=True, slots=True)
class Box:
    """The room a line of text takes; y grows downward."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Box) -> bool:
        """Whether the two boxes share any room."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


@dataclass(frozen=True, slots=True)
class Drawn:
    """A piece of a drawing, with the boxes of the texts in it."""

    markup: Markup
    boxes: tuple[Box, ...] = ()


@dataclass(frozen=True, slots=True)
class Drawing:
    """A whole drawing: inline SVG, what it shows in words, and a key where labels were too many."""

    markup: Markup
    title: str
    text: str
    width: float
    height: float
    boxes: tuple[Box, ...]
    key: tuple[tuple[str, str, str], ...] = ()


def element(name: str, content: Markup | str = "", /, **attributes: str | float) -> Markup:
    """One SVG element; attributes and text are escaped, markup is kept.

    >>> str(element("text", "a<b", x=1.0, text_anchor="end"))
    '<text x="1" text-anchor="end">a&lt;b</text>'
    """
    parts = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(_plain(value))}"'
        for key, value in attributes.items()
    )
    inner = escape(content)
    # Names and keys are ours, values and content are escaped just above.
    return Markup(f"<{name}{parts}>{inner}</{name}>")  # noqa: S704


def _plain(value: str | float) -> str:
    return value if isinstance(value, str) else f"{value:.2f}".rstrip("0").rstrip(".")


def joined(parts: list[Markup] | tuple[Markup, ...]) -> Markup:
    """Pieces of markup, one after the other."""
    return Markup("").join(parts)


def line(x1: float, y1: float, x2: float, y2: float, **look: str | float) -> Markup:
    """A straight line."""
    look = {"stroke": BLACK, "stroke_width": 0.8, **look}
    return element("line", x1=x1, y1=y1, x2=x2, y2=y2, **look)


def path(points: list[tuple[float, float]], **look: str | float) -> Markup:
    """An open or closed run of straight lines."""
    text = " ".join(f"{_plain(x)},{_plain(y)}" for x, y in points)
    look = {"fill": "none", "stroke": BLACK, "stroke_width": 0.8, **look}
    return element("polyline", points=text, **look)


def rect(x: float, y: float, w: float, h: float, **look: str | float) -> Markup:
    """A rectangle."""
    look = {"fill": WHITE, "stroke": BLACK, "stroke_width": 0.8, **look}
    return element("rect", x=x, y=y, width=w, height=h, **look)


def circle(x: float, y: float, r: float, **look: str | float) -> Markup:
    """A circle."""
    look = {"fill": WHITE, "stroke": BLACK, "stroke_width": 0.8, **look}
    return element("circle", cx=x, cy=y, r=r, **look)


def words(
    x: float, y: float, text: str, weight: Weight = "Regular", anchor: str = "start"
) -> Drawn:
    """A line of text with its baseline at y, and its box."""
    shown = clean(text)
    wide = width(shown, SIZE, weight)
    left = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
    markup = element(
        "text",
        shown,
        x=x,
        y=y,
        font_size=SIZE,
        font_weight="600" if weight == "SemiBold" else "400",
        text_anchor=anchor,
        fill=BLACK,
    )
    return Drawn(markup, (Box(left, y - SIZE * 0.78, left + wide, y + SIZE * 0.24),))


def picture(
    parts: list[Drawn], wide: float, high: float, name: str, title: str, text: str
) -> Markup:
    """The outer `<svg>`; `name` makes the ids of its title and text unique in the page."""
    label = element("title", clean(title), id=f"{name}-title")
    described = element("desc", clean(text), id=f"{name}-text")
    body = joined([label, described, *(part.markup for part in parts)])
    return element(
        "svg",
        body,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {_plain(wide)} {_plain(high)}",
        width=f"{_plain(wide)}pt",
        height=f"{_plain(high)}pt",
        font_family=FAMILIES,
        role="img",
        aria_labelledby=f"{name}-title {name}-text",
    )
