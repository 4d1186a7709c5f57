"""What a document of ours holds: the files inside it, and the pictures as they are printed."""

from __future__ import annotations

import base64
import binascii
import hashlib
import io
import logging
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from html import unescape
from typing import Any

MOST_BYTES = 256 * 1024 * 1024
"""Greatest file that is read; judgement: a report of a thousand pages has some 15 MB."""
_FILE = re.compile(r'<a download="([^"]*)" href="data:[^;"]*;base64,([^"]*)">')
_IMAGE = re.compile(r'<img[^>]* src="data:image/(?:jpeg|png);base64,([^"]*)"')
_OF_SIGNING = {"/Catalog": {"/AcroForm", "/Extensions"}, "/Page": {"/Annots", "/Tabs"}}
"""Keys of an object that a signature adds to; whatever else moves is no signature."""


class ForeignError(Exception):
    """A file that is no report of ours, or too damaged to be read, with why in a sentence."""


@dataclass(frozen=True, slots=True)
class Holding:
    """A document, PDF or HTML, and the files in it by name."""

    kind: str
    files: Mapping[str, bytes]
    raw: bytes

    @property
    def images(self) -> dict[str, bytes]:
        """Pictures as they are printed, and the files inside, by the SHA-256 of their bytes."""
        found = [*_images(self.kind, self.raw), *self.files.values()]
        return {hashlib.sha256(each).hexdigest(): each for each in found}

    def one(self, tail: str) -> tuple[str, bytes]:
        """The one file whose name ends so. Raises `ForeignError` where there is not one."""
        found = [(name, raw) for name, raw in self.files.items() if name.endswith(tail)]
        if len(found) != 1:
            raise ForeignError(
                f"the document holds {len(found)} files that end in {tail}, and a report of ours "
                "holds one: it was stripped, or it is of another make"
            )
        return found[0]


def held(raw: bytes) -> Holding:
    """What a PDF or an HTML file holds. Raises `ForeignError` for what cannot be read."""
    found = _in_pdf(raw) if raw.startswith(b"%PDF-") else _in_html(raw)
    if not found.files:
        raise ForeignError(
            "the document holds no files: it was printed anew or stripped, or it is of another "
            "make. Only the report that riskdoc wrote can be verified"
        )
    return found


def _in_pdf(raw: bytes) -> Holding:
    from pypdf import PdfReader  # noqa: PLC0415  (slow to load)

    # It tells of every damaged object by itself; here one sentence is enough.
    logging.getLogger("pypdf").setLevel(logging.CRITICAL)
    try:
        reader = PdfReader(io.BytesIO(raw), strict=False)
        files: dict[str, bytes] = {}
        for name, contents in reader.attachments.items():
            if len(contents) != 1:
                raise ForeignError(f"two files in the PDF have the name {name}")
            files[name] = contents[0]
    except ForeignError:
        raise
    except Exception as error:  # over a damaged file the reader raises anything
        raise ForeignError(f"the PDF is damaged and cannot be read: {error}") from error
    return Holding("pdf", files, raw)


def _images(kind: str, raw: bytes) -> Iterator[bytes]:
    """Picture files as they stand in a document; of a PDF the JPEG files alone."""
    if kind == "html":
        found = _IMAGE.findall(raw.decode("utf-8", "replace"))
        yield from (base64.b64decode(each) for each in found)
        return
    from pypdf import PdfReader  # noqa: PLC0415  (slow to load)

    try:
        objects = _objects(PdfReader(io.BytesIO(raw))).values()
    except Exception as error:  # over a damaged file the reader raises anything
        raise ForeignError(f"the PDF is damaged and cannot be read: {error}") from error
    for each in objects:
        image = hasattr(each, "_data") and each.get("/Subtype") == "/Image"
        if image and each.get("/Filter") == "/DCTDecode":
            yield each._data


def _objects(reader: Any) -> dict[int, Any]:  # noqa: ANN401
    from pypdf.generic import IndirectObject  # noqa: PLC0415

    numbers = {*reader.xref_objStm, *(n for table in reader.xref.values() for n in table)}
    return {n: reader.get_object(IndirectObject(n, 0, reader)) for n in numbers if n}


def only_signed(before: bytes, after: bytes) -> bool:
    """Whether a signed PDF has nothing but signatures more than the file it was made from.

    A sound signature can stand over pages that were changed in the very update that it signs. So
    every object of the file before is looked for in the file after.
    """
    from pypdf import PdfReader  # noqa: PLC0415

    if not after.startswith(before):
        return False
    try:
        first, last = (PdfReader(io.BytesIO(each)) for each in (before, after))
        # Another root would stand for another document, with the old one left as it was.
        if _plain(first.trailer, "/Root") != _plain(last.trailer, "/Root"):
            return False
        new = _objects(last)
        return all(_same(each, new.get(number)) for number, each in _objects(first).items())
    except Exception:  # a damaged file shows nothing
        return False


def _same(old: Any, new: Any) -> bool:  # noqa: ANN401
    if getattr(old, "_data", None) != getattr(new, "_data", None):
        return False
    if not isinstance(old, dict) or not isinstance(new, dict):
        return _written(old) == _written(new)
    moved = {key for key in {*old, *new} if _plain(old, key) != _plain(new, key)}
    if old.get("/Type") in ("/XRef", "/ObjStm"):
        return True  # the table of the update is its own
    if not moved <= _OF_SIGNING.get(str(old.get("/Type")), set()):
        return False
    return "/Annots" not in moved or _only_fields(old, new)


def _plain(part: Any, key: str) -> bytes:  # noqa: ANN401
    """What stands under a key, references as they are."""
    return _written(part.raw_get(key)) if key in part else b""


def _written(value: Any) -> bytes:  # noqa: ANN401
    """A value as it stands in a file."""
    out = io.BytesIO()
    value.write_to_stream(out)
    return out.getvalue()


def _only_fields(old: Any, new: Any) -> bool:  # noqa: ANN401
    """Whether a page has only fields of signatures more than before, without room on the page."""
    kept = [_written(each) for each in old.get("/Annots", ())]
    now = list(new["/Annots"])
    if [_written(each) for each in now[: len(kept)]] != kept:
        return False
    added = [each.get_object() for each in now[len(kept) :]]
    return all(
        each.get("/Subtype") == "/Widget"
        and each.get("/FT") == "/Sig"
        and each["/Rect"][0] == each["/Rect"][2]
        and each["/Rect"][1] == each["/Rect"][3]
        for each in added
    )


def _in_html(raw: bytes) -> Holding:
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        raise ForeignError("the file is neither a PDF nor an HTML file of ours") from error
    try:
        files: dict[str, bytes] = {}
        for name, data in _FILE.findall(text):
            if unescape(name) in files:
                raise ForeignError(f"two files in the document have the name {unescape(name)}")
            files[unescape(name)] = base64.b64decode(data, validate=True)
    except binascii.Error as error:
        raise ForeignError(f"a file in the document is damaged: {error}") from error
    return Holding("html", files, raw)
