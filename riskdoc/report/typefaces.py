"""Our own typefaces and no others, so that a document looks the same on every machine."""

from __future__ import annotations

import io
import os
from contextlib import contextmanager
from functools import cache
from typing import TYPE_CHECKING

from riskdoc.report.folder import template_folder

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

_KEY = "FONTCONFIG_FILE"


@contextmanager
def own_typefaces() -> Iterator[None]:
    """While this lasts, whoever asks the system for its typefaces finds none."""
    before = os.environ.get(_KEY)
    os.environ[_KEY] = str(template_folder() / "fonts" / "fonts.conf")
    try:
        yield
    finally:
        if before is None:
            del os.environ[_KEY]
        else:
            os.environ[_KEY] = before


@cache
def unpacked(path: Path) -> bytes:
    """A typeface of the template folder as it was before it was packed as WOFF2.

    That takes a second or more for the large ones, and a document asks for them several times.
    """
    from fontTools.ttLib import woff2  # noqa: PLC0415  (slow to load)

    out = io.BytesIO()
    woff2.decompress(io.BytesIO(path.read_bytes()), out)
    return out.getvalue()
