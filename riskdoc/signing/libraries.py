"""Versions of what decides the bytes of a document besides riskdoc itself.

The packages it is installed with stand in the content and are signed. What belongs to the machine
(the libraries that set the type, pack data and know letters) is stated beside it: two people who
sign one content may sit at two machines.
"""

from __future__ import annotations

import ctypes
import unicodedata
import zlib
from collections.abc import Mapping
from functools import cache
from importlib.metadata import PackageNotFoundError, version

PACKAGES = (
    "cssselect2", "fonttools", "jinja2", "numpy", "pillow", "pydyf", "pyphen", "segno",
    "tinycss2", "tinyhtml5", "weasyprint",
)  # fmt: skip
"""What lays out, breaks, draws and writes a page, prepares pictures, and computes doubles."""
NONE = "none"
_PANGO = ("libpango-1.0.so.0", "libpango-1.0-0.dll", "libpango-1.0-0", "libpango-1.0.dylib")
_HARFBUZZ = ("libharfbuzz.so.0", "libharfbuzz-0.dll", "libharfbuzz-0", "libharfbuzz.dylib")


@cache
def packages() -> Mapping[str, str]:
    """The versions of the packages that decide bytes, by name."""
    return {name: _package(name) for name in PACKAGES}


def _package(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return NONE


@cache
def machine() -> Mapping[str, str]:
    """The versions of what the machine brings along, by name; none where it is not there."""
    return {
        "harfbuzz": _said(_HARFBUZZ, "hb_version_string"),
        "pango": _said(_PANGO, "pango_version_string"),
        "unicode": unicodedata.unidata_version,
        "zlib": zlib.ZLIB_RUNTIME_VERSION,
    }


def _said(names: tuple[str, ...], function: str) -> str:
    """The version that a shared library says it has."""
    for name in names:
        try:
            ask = getattr(ctypes.CDLL(name), function)
        except (OSError, AttributeError):
            continue
        ask.restype = ctypes.c_char_p
        found = ask()
        return found.decode("ascii", "replace") if isinstance(found, bytes) else NONE
    return NONE
