"""Keeps the printer to our own typefaces, so that a document looks the same on every machine."""

from __future__ import annotations

import os
from contextlib import contextmanager
from typing import TYPE_CHECKING

from riskdoc.report.folder import template_folder

if TYPE_CHECKING:
    from collections.abc import Iterator

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
