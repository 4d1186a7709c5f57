"""A page of HTML read back: nesting, elements, words."""

from __future__ import annotations

import re
from html.parser import HTMLParser

VOID = {"meta", "col", "br", "img", "input", "link", "hr"}
ALLOWED = {
    *("html", "head", "meta", "title", "style", "body", "div", "strong", "span", "header", "p"),
    *("h1", "h2", "h3", "dl", "dt", "dd", "nav", "ul", "ol", "li", "a", "main", "aside", "section"),
    *("table", "caption", "colgroup", "col", "thead", "tbody", "tr", "th", "td"),
    *("figure", "figcaption", "img", "svg", "desc", "text", "line", "polyline", "polygon", "rect"),
    *("circle", "path"),
}
ATTRIBUTES = {
    *("lang", "dir", "charset", "name", "content", "class", "id", "href", "aria-label", "role"),
    *("aria-labelledby", "aria-hidden", "tabindex", "http-equiv", "scope", "xmlns", "viewbox"),
    *("data-head", "data-place", "download"),
    *(
        "alt",
        "src",
        "width",
        "height",
        "font-family",
        "font-size",
        "font-weight",
        "text-anchor",
        "fill",
    ),
    *("stroke", "stroke-width", "stroke-dasharray", "stroke-linejoin", "points", "d", "rx"),
    *("x", "y", "x1", "x2", "y1", "y2", "cx", "cy", "r"),
}
PICTURE = r"data:image/(jpeg|png);base64,[A-Za-z0-9+/]+=*|picture:[0-9a-f]{64}"
"""Where a picture comes from: the file itself on screen, our own printer in print."""
FILE = r"data:(application/(yaml|json)|image/png);base64,[A-Za-z0-9+/]+=*"
"""A file that can be saved out of the page."""


class Page(HTMLParser):
    """Every tag in order, nesting checked on the way."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text: list[str] = []
        self.feed(page)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        assert len(dict(attrs)) == len(attrs), f"an attribute twice in {tag}"
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open, f"</{tag}> closes nothing"
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] != "style":
            self.text.append(data)

    @property
    def words(self) -> str:
        return " ".join(" ".join(self.text).split())


def assert_ours_only(page: Page) -> None:
    for tag, attributes in page.tags:
        assert tag in ALLOWED, tag
        assert set(attributes) <= ATTRIBUTES, (tag, attributes)
        address = attributes.get("href") or "#"
        if "download" in attributes:
            assert tag == "a"
            assert re.fullmatch(FILE, address), address[:60]
        else:
            assert address.startswith("#")
        source = attributes.get("src")
        if source is not None:
            assert tag == "img"
            assert re.fullmatch(PICTURE, source), source[:60]
        if "style" in attributes:
            assert re.fullmatch(r"width: [\d.]+%", attributes["style"] or "")
