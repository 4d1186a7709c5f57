"""Mends the tags of a PDF, so that a reading machine finds the document as it was written.

The printer tags page by page: a section over three pages comes as three, a table repeats its head
as rows of content, what stands in the margins is tagged and hangs nowhere. Here fragments of one
element are joined over pages; what only decorates or repeats becomes an artifact; header cells say
what they head, links what they read; terms and their descriptions become items of one list
(ISO 32000-1:2008, 14.7 and 14.8; ISO 14289-1:2014, clause 7).

A row too tall for a page stays two rows, each with all its cells.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import pydyf
from weasyprint.formatting_structure.boxes import LineBox

if TYPE_CHECKING:
    from collections.abc import Iterator

FIRST, LAST = 0, -1
POINTS = 0.75
"""A CSS pixel in points."""
_ONCE = ("/Caption", "/THead")
"""Parts that a table has once; those of its further fragments repeat them."""


class _Fragment(NamedTuple):
    """A box on a page, and the structure element that stands for it."""

    box: Any
    element: Any
    tag: str

    def continues(self, before: _Fragment) -> bool:
        """Whether both come from one element of the HTML."""
        source = self.box.element
        return source is not None and source is before.box.element and self.tag == before.tag


def object_of(pdf: Any, reference: bytes) -> Any:
    """The object that a reference names, of a PDF in the making."""
    return pdf.objects[int(reference.split()[0])]


def mend(document: Any, pdf: Any) -> None:
    """Mends the structure tree, and the marks on the pages that lead into it.

    What nothing in the tree stands for is an artifact. Where boxes and tags do not run in step,
    fragments stay apart, each whole in itself.
    """
    root = object_of(pdf, pdf.catalog["StructTreeRoot"])
    top = object_of(pdf, root["K"][0])
    _join_pages(document, pdf, top)
    moved: dict[bytes, bytes] = {}
    kept = _mend_tree(pdf, top, moved)
    _name_links(document)
    numbers = object_of(pdf, root["ParentTree"])["Nums"]
    numbers[1::2] = [moved.get(each, each) if isinstance(each, bytes) else each
                     for each in numbers[1::2]]  # fmt: skip
    for index, page in enumerate(pdf.page_references):
        marks = kept.get(page, set())
        parents = numbers[2 * index + 1]
        parents[:] = [moved.get(each, each) if mark in marks else b"null"
                      for mark, each in enumerate(parents)]  # fmt: skip
        _mark(object_of(pdf, object_of(pdf, page)["Contents"]), marks)


def _join_pages(document: Any, pdf: Any, top: Any) -> None:
    """Joins what page breaks parted: the last parts of a page with the first of the next."""
    joined: dict[int, Any] = {}
    before: list[_Fragment] = []
    for page, reference in zip(document.pages, pdf.page_references, strict=True):
        kids = [each for each in _kids(pdf, top) if each["Pg"] == reference]
        first, last = (list(_edge(pdf, _boxes(page), kids, end)) for end in (FIRST, LAST))
        pairs: list[tuple[Any, Any]] = []
        for upper, lower in zip(before, first, strict=False):
            if not lower.continues(upper):
                break
            pairs.append((joined.get(upper.element.number, upper.element), lower.element))
        _join(pdf, top, pairs)
        joined |= {lower.number: upper for upper, lower in pairs}
        before = last


def _kids(pdf: Any, element: Any) -> list[Any]:
    """The elements under an element; not its marks, nor what leads to an annotation."""
    found = [object_of(pdf, kid) for kid in element["K"] if isinstance(kid, bytes)]
    return [each for each in found if "S" in each]


def _boxes(page: Any) -> list[Any]:
    """The boxes of a page that its outermost tags stand for: those inside the body."""
    inside = [page._page_box]
    for tag in ("html", "body"):
        inside = [box for each in inside for box in each.children if box.element_tag == tag]
    return [box for each in inside for box in each.children]


def _edge(pdf: Any, boxes: list[Any], elements: list[Any], end: int) -> Iterator[_Fragment]:
    """Fragments along the upper (`FIRST`) or lower (`LAST`) edge of a page, outermost first.

    As deep as boxes and elements run in step; not into lines of text, nor into tables.
    """
    while boxes and len(boxes) == len(elements):
        box, element = boxes[end], elements[end]
        yield _Fragment(box, element, element["S"])
        boxes, elements = list(getattr(box, "children", ())), _kids(pdf, element)
        if element["S"] == "/Table" or any(isinstance(each, LineBox) for each in boxes):
            return


def _join(pdf: Any, top: Any, pairs: list[tuple[Any, Any]]) -> None:
    """Gives the parts of each lower fragment to its upper one, and takes the emptied ones out."""
    gone = {lower.reference for _, lower in pairs}
    for upper, lower in pairs:
        kids = [kid for kid in lower["K"] if kid not in gone]
        if upper["S"] == "/Table":
            kids = _without_rows(pdf, upper, kids)
        _give(pdf, upper, kids)
    top["K"][:] = [kid for kid in top["K"] if kid not in gone]
    for _, lower in pairs:
        lower.clear()


def _give(pdf: Any, element: Any, kids: list[bytes]) -> None:
    for kid in kids:
        part = object_of(pdf, kid)
        if "S" in part:
            part["P"] = element.reference
    element["K"].extend(kids)


def _without_rows(pdf: Any, table: Any, kids: list[bytes]) -> list[bytes]:
    """Puts the rows of a table's further fragment into its body; the parts that are left."""
    own = {each["S"]: each for each in _kids(pdf, table)}
    left = []
    for kid in kids:
        part = object_of(pdf, kid)
        there = own.get(part["S"])
        if there is None:
            left.append(kid)
            continue
        if part["S"] in _ONCE:
            _drop(pdf, part)
        else:
            _give(pdf, there, part["K"])
            part.clear()
    return left


def _drop(pdf: Any, element: Any) -> None:
    """Empties an element and all under it; what they marked on the page becomes an artifact."""
    for kid in _kids(pdf, element):
        _drop(pdf, kid)
    element.clear()


def _mend_tree(pdf: Any, top: Any, moved: dict[bytes, bytes]) -> dict[bytes, set[int]]:
    """Mends each element under the top; the marks that elements stand for, by page.

    `moved` is told of elements that went into others.
    """
    kept: dict[bytes, set[int]] = {}
    left = [(top, False)]
    while left:
        element, heading = left.pop()
        tag = element["S"]
        if tag in ("/TH", "/TD"):
            _mend_cell(element, "/Column" if heading else "/Row")
        elif tag == "/L":
            _mend_terms(pdf, element)
        elif tag == "/Figure":
            _mend_box(pdf, element)
        elif tag == "/Link":
            _mend_link(pdf, element, moved)
        _take_decoration_out(pdf, element)
        marks = [kid for kid in element["K"] if isinstance(kid, int)]
        if marks:
            kept.setdefault(element["Pg"], set()).update(marks)
        left += [(kid, heading or tag == "/THead") for kid in _kids(pdf, element)]
    return kept


def _mend_cell(cell: Any, scope: str) -> None:
    """A header in the head of a table heads its column, any other its row.

    That says all of a table without spans; the printer's lists of headers do not outlive a join.
    """
    cell.pop("ID", None)
    cell["A"].pop("Headers", None)
    if cell["S"] == "/TH":
        cell["A"]["Scope"] = scope
    elif set(cell["A"]) == {"O"}:
        del cell["A"]


def _mend_terms(pdf: Any, list_: Any) -> None:
    """Turns a group of a term and its description into one item: its label and its body."""
    for group in _kids(pdf, list_):
        wraps = _kids(pdf, group)
        if group["S"] != "/Div" or any(each["S"] != "/LI" for each in wraps):
            continue
        parts = [kid for each in wraps for kid in each["K"]]
        group["S"], group["K"] = "/LI", pydyf.Array()
        _give(pdf, group, parts)
        if len(parts) > 1:
            object_of(pdf, parts[0])["S"] = "/Lbl"
        for each in wraps:
            each.clear()


def _mend_link(pdf: Any, link: Any, moved: dict[bytes, bytes]) -> None:
    """Takes a link inside a link, as a style makes by adding a page number, into the outer one."""
    for inner in _kids(pdf, link):
        if inner["S"] == "/Link":
            at = link["K"].index(inner.reference)
            for kid in _kids(pdf, inner):
                kid["P"] = link.reference
            link["K"][at : at + 1] = inner["K"]
            moved[inner.reference] = link.reference
            inner.clear()


def _mend_box(pdf: Any, figure: Any) -> None:
    """Gives the room of a figure in points from the foot of the page; it came in CSS pixels."""
    left, top, right, bottom = (POINTS * each for each in figure["A"]["BBox"])
    height = object_of(pdf, figure["Pg"])["MediaBox"][3]
    figure["A"]["BBox"] = pydyf.Array([left, height - bottom, right, height - top])


def _take_decoration_out(pdf: Any, element: Any) -> None:
    """A drawing without words for it only repeats a word beside it (`aria-hidden` on the page)."""
    decorates = {
        each.reference
        for each in _kids(pdf, element)
        if each["S"] == "/Figure" and "Alt" not in each
    }
    if decorates:
        element["K"][:] = [kid for kid in element["K"] if kid not in decorates]
        for each in decorates:
            object_of(pdf, each).clear()


def _name_links(document: Any) -> None:
    """Says of each link into the document what it reads, where the printer gives its address."""
    for page in document.pages:
        for kind, target, _, box in page.links:
            if kind == "internal":
                words = " ".join("".join(box.element.itertext()).split())
                box.link_annotation["Contents"] = pydyf.String(words or target)


def _mark(stream: Any, kept: set[int]) -> None:
    """Marks as artifacts what no element stands for (ISO 32000-1, 14.8.2.2)."""
    items = stream.stream
    for at, item in enumerate(items):
        if item == b"BDC" and items[at - 1].get("MCID") not in kept:
            kind = "/Layout" if items[at - 2] == "/Figure" else "/Pagination"
            items[at - 2 : at] = ["/Artifact", pydyf.Dictionary({"Type": kind})]
