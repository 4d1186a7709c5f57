"""The files inside a PDF document and its pictures, taken out with a bound on all of them."""

from __future__ import annotations

import base64
import binascii
import io
import logging
import zlib
from collections.abc import Iterator
from typing import Any

from riskdoc.record.answers import ForeignError

_ASCII85, _FLATE = "/ASCII85Decode", "/FlateDecode"
MOST_OBJECTS = 200_000
"""Most objects; judgement: a report of fifty pages has some ten thousand."""


def files_in(raw: bytes, most: int) -> Iterator[tuple[str, bytes]]:
    """The files of the document as a whole, by name; no more than so many bytes of all."""
    try:
        for name, stream in _streams(raw):
            content = _unpacked(stream, most)
            most -= len(content)
            yield name, content
    except ForeignError:
        raise
    except Exception as error:  # over a damaged file the reader raises anything
        raise _damaged(error) from error


def images_in(raw: bytes) -> Iterator[bytes]:
    """The JPEG files in the document, as they stand in it."""
    try:
        objects = objects_of(_reader(raw)).values()
    except ForeignError:
        raise
    except Exception as error:  # as above
        raise _damaged(error) from error
    for each in objects:
        image = hasattr(each, "_data") and each.get("/Subtype") == "/Image"
        if image and each.get("/Filter") == "/DCTDecode":
            yield each._data


def _damaged(error: Exception) -> ForeignError:
    return ForeignError(f"the PDF is damaged and cannot be read ({type(error).__name__})")


def _reader(raw: bytes) -> Any:  # noqa: ANN401
    from pypdf import PdfReader  # noqa: PLC0415  (slow to load)

    # It tells of every damaged object by itself; here one sentence is enough.
    logging.getLogger("pypdf").setLevel(logging.CRITICAL)
    return PdfReader(io.BytesIO(raw), strict=False)


def _streams(raw: bytes) -> Iterator[tuple[str, Any]]:
    """The streams of the files, by name: one list of pairs, as we write it."""
    catalog = _reader(raw).trailer["/Root"]
    tree = catalog.get("/Names", {}).get("/EmbeddedFiles", {})
    if "/Kids" in tree:
        raise ForeignError("the files in the PDF are listed as none of ours lists them")
    pairs = tree.get("/Names", [])
    for name, file in zip(pairs[::2], pairs[1::2], strict=True):
        entry = file.get_object()
        if not {"/UF", "/EF"} <= set(entry):
            raise ForeignError("the files in the PDF are listed as in one of another make")
        plain = _text_of(entry["/UF"])
        if plain != _text_of(name):
            raise ForeignError("a file in the PDF has two names")
        yield plain, entry["/EF"]["/UF"].get_object()


def _text_of(value: Any) -> str:  # noqa: ANN401
    if not isinstance(value, str):
        raise ForeignError("a file in the PDF has no name")
    return str(value)


def _unpacked(stream: Any, most: int) -> bytes:  # noqa: ANN401
    """The bytes of a stream, by the filters that we write and no others."""
    data, named = bytes(stream._data), stream.get("/Filter", [])
    filters = [str(each) for each in (named if isinstance(named, list) else [named])]
    if filters[:1] == [_ASCII85]:
        filters, data = filters[1:], _from_letters(data)
    if filters == [_FLATE]:
        unpack = zlib.decompressobj()
        data = unpack.decompress(data, most + 1)
    elif filters:
        raise ForeignError("a file in the PDF is packed as none of ours is")
    if len(data) > most:
        raise ForeignError("the files in the document are larger than those of any report of ours")
    return data


def _from_letters(data: bytes) -> bytes:
    try:
        return base64.a85decode(data.removesuffix(b"~>"))
    except (ValueError, binascii.Error) as error:
        raise ForeignError("a file in the PDF is damaged") from error


def objects_of(reader: Any) -> dict[int, Any]:  # noqa: ANN401
    """The objects of a file that was read, by number."""
    from pypdf.generic import IndirectObject  # noqa: PLC0415

    numbers = {*reader.xref_objStm, *(n for table in reader.xref.values() for n in table)}
    if len(numbers) > MOST_OBJECTS:
        raise ForeignError("the PDF has more objects than any report of ours")
    return {n: reader.get_object(IndirectObject(n, 0, reader)) for n in numbers if n}
