"""The files inside an HTML document and its pictures, found by one walk along its bytes."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Iterator
from html import unescape

from riskdoc.verification.answers import ForeignError

_FILE, _THEN, _DATA, _END = b'<a download="', b'" href="data:', b";base64,", b'">'
_IMAGES = (b' src="data:image/jpeg;base64,', b' src="data:image/png;base64,')
LONGEST_NAME, LONGEST_TYPE = 4096, 100
"""Bytes of a name, with its letters written as codes, and of a media type."""


def files_in(raw: bytes) -> Iterator[tuple[str, bytes]]:
    """The files that the document offers to save, by name."""
    at = raw.find(_FILE)
    while at >= 0:
        name, at = _until(raw, at + len(_FILE), _THEN, LONGEST_NAME)
        _, at = _until(raw, at, _DATA, LONGEST_TYPE)
        data, at = _until(raw, at, _END, len(raw))
        yield unescape(name.decode("utf-8")), _decoded(data)
        at = raw.find(_FILE, at)


def images_in(raw: bytes) -> Iterator[bytes]:
    """The pictures of the document, JPEG and PNG."""
    for start in _IMAGES:
        at = raw.find(start)
        while at >= 0:
            data, at = _until(raw, at + len(start), b'"', len(raw))
            yield _decoded(data)
            at = raw.find(start, at)


def _until(raw: bytes, start: int, mark: bytes, most: int) -> tuple[bytes, int]:
    """What stands up to a mark, and where what follows the mark begins."""
    end = raw.find(mark, start, start + most + len(mark))
    if end < 0:
        raise ForeignError("a file in the document is cut off or of another make")
    return raw[start:end], end + len(mark)


def _decoded(data: bytes) -> bytes:
    try:
        return base64.b64decode(data, validate=True)
    except binascii.Error as error:
        raise ForeignError(f"a file in the document is damaged: {error}") from error
