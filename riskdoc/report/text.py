"""Text as it can be printed: only characters the typeface has, measured by its own widths."""

from __future__ import annotations

import json
import re
import unicodedata
from bisect import bisect_right
from functools import cache
from typing import Literal

from riskdoc.i18n.say import ISOLATES
from riskdoc.quantities.printing import PRINTED
from riskdoc.quantities.units import UNITS
from riskdoc.report.folder import template_folder
from riskdoc.report.scripts import width_of

Weight = Literal["Regular", "SemiBold"]

FAMILY = "Riskdoc Sans"
"""The name our styles give the shipped typeface, so that no font of a machine can answer to it."""

FAMILIES = f"'{FAMILY}', 'Riskdoc Han', 'Riskdoc Hangul', 'Riskdoc Arabic', 'Riskdoc Hebrew'"
"""All our typefaces, in the order in which they are asked for a character."""
_UNITS = {*UNITS, *PRINTED, "Pa", "J", "W", "K", "°C", "ft/s"}
"""Those of a job file, those of a figure in print, and those that only words of ours have."""
_NUMBER_AND_UNIT = re.compile(rf"(?<=\d) (?=(?:{'|'.join(map(re.escape, _UNITS))})(?!\w))")


@cache
def _widths() -> tuple[float, dict[str, dict[str, int]]]:
    raw = json.loads((template_folder() / "fonts" / "widths.json").read_text(encoding="utf-8"))
    tables = {
        weight: {char: int(width) for width, chars in raw[weight].items() for char in chars}
        for weight in ("Regular", "SemiBold")
    }
    return float(raw["units_per_em"]), tables


def printable(char: str) -> bool:
    """Whether a typeface here draws the character and it cannot hide or turn text around."""
    # Cf holds the marks that reverse or join text unseen: a name must not read as another one.
    # Isolates only keep what is around a text as it was.
    if char in ISOLATES:
        return True
    if unicodedata.category(char) in {"Cc", "Cf"}:
        return False
    return char in _widths()[1]["Regular"] or width_of(char) is not None


def clean(text: str) -> str:
    r"""Text with every character that cannot be printed written out as its code.

    >>> clean("caf\u00e9 \U0001F600")
    'café [U+1F600]'
    """
    composed = unicodedata.normalize("NFC", text)
    flat = composed.replace("\r\n", " ").replace("\n", " ").replace("\t", " ")
    return "".join(c if printable(c) else f"[U+{ord(c):04X}]" for c in flat)


def unprintable(text: str) -> tuple[str, ...]:
    r"""The characters of a text that `clean` writes out as codes, as codes.

    >>> unprintable("ok \u202e!")
    ('U+202E',)
    """
    flat = unicodedata.normalize("NFC", text)
    found = {c for c in flat if c not in "\r\n\t" and not printable(c)}
    return tuple(sorted(f"U+{ord(c):04X}" for c in found))


def bound(text: str) -> str:
    r"""Text in which a number stays on one line with its unit.

    >>> bound("at most 2.02 kN over 14 m") == "at most 2.02\u00a0kN over 14\u00a0m"
    True
    """
    return _NUMBER_AND_UNIT.sub("\u00a0", text)


def width(text: str, size: float, weight: Weight = "Regular") -> float:
    """Width of a line of text, in the unit of `size`, from the typeface's own advance widths."""
    em, tables = _widths()
    table = tables[weight]
    return sum(_advance(char, table, em) for char in text) * size / em


def _advance(char: str, table: dict[str, int], em: float) -> float:
    known = table.get(char)
    if known is not None:
        return known
    if char in ISOLATES:
        return 0.0
    other = width_of(char)
    return em if other is None else other * em


def wrap(text: str, room: float, size: float, weight: Weight = "Regular") -> tuple[str, ...]:
    """Lines no wider than `room`; a word that is wider is broken, never cut.

    >>> wrap("aaaa bb", 25, 10)
    ('aaaa', 'bb')
    """
    lines: list[str] = []
    line = ""
    for word in bound(clean(text)).split(" "):
        tried = f"{line} {word}" if line else word
        if width(tried, size, weight) <= room:
            line = tried
            continue
        if line:
            lines.append(line)
        *full, line = _broken(word, room, size, weight)
        lines.extend(full)
    return (*lines, line) if line else tuple(lines)


def shortened(text: str, room: float, size: float) -> str:
    """Text for a running head: where it is wider than `room` it ends in an ellipsis.

    Only for what stands in full elsewhere on the same document.

    >>> shortened("SP-014", 100, 8), shortened("a" * 50, 30, 8)
    ('SP-014', 'aaaaa…')
    """
    whole = clean(text)
    if width(whole, size) <= room:
        return whole
    # Halved, not shortened letter by letter: a text may be as long as somebody likes.
    too_long = bisect_right(range(len(whole)), room, key=lambda n: width(f"{whole[:n]}…", size))
    return f"{whole[: max(0, too_long - 1)].rstrip()}…"


def fitted(text: str, lines: int, room: float, size: float) -> str:
    """A text that takes so many lines at most, broken at words as the printer breaks it.

    Only for what stands in full elsewhere on the same document, as `shortened` is.

    >>> fitted("one two three four five", 2, 60, 10)
    'one two three four…'
    """
    whole, share = clean(text), 1.0
    shown = shortened(whole, room * lines, size)
    while len(wrap(shown, room, size)) > lines:
        share -= 0.05
        shown = shortened(whole, room * lines * share, size)
    return bound(shown)


def _broken(word: str, room: float, size: float, weight: Weight) -> list[str]:
    parts = [""]
    for char in word:
        if parts[-1] and width(parts[-1] + char, size, weight) > room:
            parts.append("")
        parts[-1] += char
    return parts
