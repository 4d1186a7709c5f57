"""The files inside a PDF document and its pictures, taken out with a bound on all of them."""

from __future__ import annotations

import base64
import binascii
import io
import logging
import re
import zlib
from collections.abc import Iterator
from typing import Any

from riskdoc.verification.answers import ForeignError

_ASCII85, _FLATE = "/ASCII85Decode", "/FlateDecode"
MOST_IMAGES, LARGEST_IMAGE = 200, 8 * 1024 * 1024
"""Most JPEG files, and bytes of one; judgement: 24 are printed, of 1.3 million pixels at most."""
_JPEG, _HEAD = b"/DCTDecode", 2000
"""What marks a JPEG, and how far from it the dictionary of its stream reaches at most."""


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
    """The JPEG files in the document, as they stand in it.

    By one walk along the bytes: what is found counts only where its hash is the one that is looked
    for.
    """
    at, left = raw.find(_JPEG), MOST_IMAGES
    while at >= 0 and left:
        left -= 1
        head = raw[max(0, at - _HEAD) : at + _HEAD]
        start = raw.find(b"stream\n", at, at + _HEAD)
        length = re.search(rb"/Length (\d{1,9})\b", head[head.rfind(b" obj", 0, _HEAD) :])
        if start >= 0 and length and int(length[1]) <= LARGEST_IMAGE:
            begin = start + len(b"stream\n")
            yield raw[begin : begin + int(length[1])]
        at = raw.find(_JPEG, at + 1)


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
