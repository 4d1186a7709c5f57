"""Checks of our own on a PDF: what PDF/A-3a and PDF/UA-1 ask for and the checkers may not see."""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Iterator
from typing import Any
from xml.etree import ElementTree

import pypdf
from pypdf.generic import ContentStream

IDS = {
    "part": "{http://www.aiim.org/pdfa/ns/id/}part",
    "conformance": "{http://www.aiim.org/pdfa/ns/id/}conformance",
    "ua": "{http://www.aiim.org/pdfua/ns/id/}part",
}
SHOWING = {b"Tj", b"TJ", b"f", b"f*", b"S", b"s", b"B", b"b", b"B*", b"b*", b"Do", b"sh"}
"""Operators that put ink on the page."""


class Read:
    """A PDF read back."""

    def __init__(self, pdf: bytes) -> None:
        self.reader = pypdf.PdfReader(io.BytesIO(pdf))
        self.root: Any = self.reader.trailer["/Root"]

    def elements(self) -> Iterator[tuple[Any, Any]]:
        """Every structure element with its parent, in the order of reading."""
        tree = self.root.get("/StructTreeRoot")
        left = [(tree, kid) for kid in kids(tree)] if tree else []
        while left:
            parent, element = left.pop(0)
            yield parent, element
            left[:0] = [(element, kid) for kid in kids(element)]

    def tags(self) -> Counter[str]:
        """How often each tag stands in the tree."""
        return Counter(str(element["/S"]) for _, element in self.elements())

    def associated(self) -> list[Any]:
        return [each.get_object() for each in self.root.get("/AF", ())]


def kids(element: Any) -> list[Any]:
    """The elements under an element."""
    found = [each.get_object() for each in listed(element.get("/K"))]
    return [each for each in found if isinstance(each, dict) and "/S" in each]


def marks(element: Any) -> list[int]:
    """The marked content that an element stands for itself."""
    return [int(each) for each in listed(element.get("/K")) if isinstance(each, int)]


def listed(value: Any) -> list[Any]:
    value = value.get_object() if value is not None else []
    return list(value) if isinstance(value, list) else [value]


def faults(pdf: bytes) -> list[str]:
    """What is wrong, in words; nothing where all is well."""
    read = Read(pdf)
    checks = (_metadata, _catalog, _fonts, _files, _headings, _cells, _content)
    return [fault for check in checks for fault in check(read)]


def _metadata(read: Read) -> Iterator[str]:
    stream = read.root.get("/Metadata")
    if stream is None:
        yield "no metadata"
        return
    if "/Filter" in stream.get_object():
        yield "metadata that cannot be read in the file"
    xml = ElementTree.fromstring(stream.get_object().get_data())
    said: dict[str, str] = {}
    for each in xml.iter():
        said |= dict(each.attrib) | {each.tag: each.text or ""}
    found = {key: said.get(name) for key, name in IDS.items()}
    if found != {"part": "3", "conformance": "A", "ua": "1"}:
        yield f"metadata say {found}"
    titles = [each for each in xml.iter() if each.tag.endswith("elements/1.1/}title")]
    words = ["".join(each.itertext()) for each in titles]
    info = read.reader.metadata
    if info is None or not info.title or words != [info.title]:
        yield "no title, or two different ones"


def _catalog(read: Read) -> Iterator[str]:
    intents = [each.get_object() for each in read.root.get("/OutputIntents", ())]
    if [each["/S"] for each in intents if "/DestOutputProfile" in each] != ["/GTS_PDFA1"]:
        yield "no output intent"
    if not read.root.get("/MarkInfo", {}).get("/Marked"):
        yield "not marked as tagged"
    if not read.root.get("/Lang"):
        yield "no language"
    if not read.root.get("/ViewerPreferences", {}).get("/DisplayDocTitle"):
        yield "the title is not demonstrated"
    if not read.reader.outline:
        yield "no bookmarks"


def _fonts(read: Read) -> Iterator[str]:
    seen = 0
    for page in read.reader.pages:
        for font in page["/Resources"].get("/Font", {}).values():
            whole = font.get_object()
            for each in whole.get("/DescendantFonts", [whole]):
                seen += 1
                described = each.get_object().get("/FontDescriptor", {})
                if not {"/FontFile", "/FontFile2", "/FontFile3"} & set(described):
                    yield f"{whole['/BaseFont']} is not in the file"
            if "/ToUnicode" not in whole:
                yield f"{whole['/BaseFont']} cannot be read as text"
    if not seen:
        yield "no font was looked at"


def _files(read: Read) -> Iterator[str]:
    tree = read.root.get("/Names", {}).get("/EmbeddedFiles", {})
    names = [each.get_object() for each in tree.get("/Names", ())]
    if [str(each["/UF"]) for each in names[1::2]] != [str(each) for each in names[::2]]:
        yield "a file has two names"
    files, listed_files = read.associated(), names[1::2]
    if len(files) != len(listed_files) or any(file not in listed_files for file in files):
        yield "not every file inside is associated once"
    for file in files:
        stream = file["/EF"]["/F"].get_object()
        if file.get("/AFRelationship") not in ("/Source", "/Data", "/Supplement"):
            yield f"{file['/UF']} has no relationship"
        if "/" not in str(stream.get("/Subtype", ""))[1:]:
            yield f"{file['/UF']} has no media type"
        if not {"/F", "/UF", "/Desc"} <= set(file):
            yield f"{file['/UF']} lacks a name or what it is"


def _headings(read: Read) -> Iterator[str]:
    for _, element in read.elements():
        if str(element["/S"]) in ("/H1", "/H2", "/H3") and not _shows(element):
            yield "an empty heading"


def _shows(element: Any) -> bool:
    return bool(marks(element)) or any(_shows(kid) for kid in kids(element))


def _cells(read: Read) -> Iterator[str]:
    for parent, element in read.elements():
        if element["/S"] == "/TH" and element.get("/A", {}).get("/Scope") not in (
            "/Row",
            "/Column",
        ):
            yield "a header that does not say what it heads"
        if element["/S"] in ("/TH", "/TD") and parent["/S"] != "/TR":
            yield "a cell outside a row"


def _content(read: Read) -> Iterator[str]:
    """Tree and pages agree: each mark once in the tree, all ink tagged or artifact, none both."""
    owners: dict[tuple[int, int], Any] = {}
    for parent, element in read.elements():
        if element.raw_get("/P") != parent.indirect_reference:
            yield f"{element['/S']} hangs under another than it says"
        for mark in marks(element):
            place = (element.raw_get("/Pg").idnum, mark)
            if place in owners:
                yield f"mark {place} stands twice in the tree"
            owners[place] = element
    numbers = _parents(read)
    yield from _links(read, numbers)
    for number, page in enumerate(read.reader.pages):
        marked, wrong = _marked(ContentStream(page.get_contents(), read.reader))
        yield from (f"page {number + 1}: {each}" for each in wrong)
        at = page.indirect_reference.idnum
        if Counter(marked) != Counter(mark for place, mark in owners if place == at):
            yield f"page {number + 1}: marks and tree do not agree"
        parents = numbers.get(page.get("/StructParents"), [])
        leads = {mark: parents[mark] for mark in marked if mark < len(parents)}
        own = {mark: owners[at, mark].indirect_reference for mark in marked if (at, mark) in owners}
        if leads != own:
            yield f"page {number + 1}: a mark leads to another element than stands for it"


def _links(read: Read, numbers: dict[Any, Any]) -> Iterator[str]:
    """Each annotation hangs in a link of the tree, and leads back to it."""
    hung = {}
    for _, element in read.elements():
        for kid in listed(element.get("/K")):
            if isinstance(kid.get_object(), dict) and kid.get_object().get("/Type") == "/OBJR":
                hung[kid.get_object().raw_get("/Obj")] = element
    for page in read.reader.pages:
        for note in page.get("/Annots", ()):
            element = hung.get(note)
            if element is None or element["/S"] != "/Link":
                yield "a link outside the tree"
            elif numbers.get(note.get_object().get("/StructParent")) != element:
                yield "a link that leads to another element than stands for it"
            if not note.get_object().get("/Contents"):
                yield "a link that does not say where it leads"


def _parents(read: Read) -> dict[Any, Any]:
    """The elements that marks and annotations lead back to: a list for a page, else one."""
    tree = read.root.get("/StructTreeRoot")
    flat = list(tree["/ParentTree"]["/Nums"]) if tree else []
    found = {int(key): value.get_object() for key, value in zip(flat[::2], flat[1::2], strict=True)}
    return {key: list(each) if isinstance(each, list) else each for key, each in found.items()}


def _marked(content: ContentStream) -> tuple[list[int], list[str]]:
    """The marks of a page, and what is wrong with them."""
    found: list[int] = []
    wrong: dict[str, None] = {}
    inside: list[str] = []
    for operands, operator in content.operations:
        if operator in (b"BDC", b"BMC"):
            if inside:
                wrong["a mark inside a mark"] = None
            inside.append(str(operands[0]))
            if operator == b"BDC" and "/MCID" in operands[1]:
                found.append(int(operands[1]["/MCID"]))
            elif inside[-1] != "/Artifact":
                wrong["a mark that is neither content nor artifact"] = None
        elif operator == b"EMC":
            inside.pop()
        elif operator in SHOWING and not inside:
            wrong["ink that is neither tagged nor artifact"] = None
    return found, list(wrong)
