"""Which way each text runs on a page that runs from right to left.

On such a page the parts are mirrored, and a text in Latin letters keeps its own order: else a
number at the end of a line would be read at its start. The printer orders every line by itself, so
the direction is that of the block and not of marks inside the text.
"""

from __future__ import annotations

import unicodedata
from dataclasses import fields, is_dataclass, replace
from typing import Any

from markupsafe import Markup

from riskdoc.i18n.say import RTL

TURNED = "rtl"
"""Class of a text that runs from right to left; all others run from left to right."""


def turned(value: Any) -> Any:  # noqa: ANN401  (a walk over blocks of any kind)
    """A copy in which every text that begins with a letter of the other direction is marked.

    >>> from riskdoc.report.blocks import Para
    >>> turned(Para("שלום 12 m")).css, turned(Para("at most 2.02 kN", "note")).css
    ('rtl', 'note')
    """
    if isinstance(value, Markup):
        return value
    if isinstance(value, tuple):
        return tuple(turned(each) for each in value)
    if not is_dataclass(value) or isinstance(value, type):
        return value
    made = replace(value, **{f.name: turned(getattr(value, f.name)) for f in fields(value)})
    text, css = getattr(made, "text", None), getattr(made, "css", None)
    if isinstance(text, str) and isinstance(css, str) and _begins_turned(text):
        return replace(made, css=f"{css} {TURNED}".strip())
    return made


def _begins_turned(text: str) -> bool:
    """Whether the first letter that has a direction runs from right to left (UAX 9, rule P2)."""
    kinds = (unicodedata.bidirectional(char) for char in text)
    first = next((kind for kind in kinds if kind == "L" or kind in RTL), "L")
    return first in RTL
