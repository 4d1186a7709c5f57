"""Whether a signed PDF has nothing but signatures more than the file it was made from."""

from __future__ import annotations

import io
from typing import Any

from riskdoc.record.in_pdf import objects_of as _objects

_OF_SIGNING = {"/Catalog": {"/AcroForm", "/Extensions"}, "/Page": {"/Annots", "/Tabs"}}
"""Keys of an object that a signature adds to; whatever else moves is no signature."""


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
