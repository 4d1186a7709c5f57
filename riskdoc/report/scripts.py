"""Typefaces for scripts that the main one does not draw: which there are, and who draws what.

They are large, so a document takes in only those it has characters of, and the HTML file only
those characters.
"""

from __future__ import annotations

import base64
import io
import json
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from riskdoc.report.folder import template_folder
from riskdoc.report.typefaces import unpacked

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping


@dataclass(frozen=True, slots=True)
class Script:
    """A typeface beside the main one: its name in our styles, its file, and widths by character.

    Widths are in parts of the type size, of the widest form a letter takes when it joins others.
    """

    family: str
    file: str
    widths: Mapping[str, float]


@cache
def scripts() -> tuple[Script, ...]:
    """The typefaces beside the main one, in the order in which they are asked.

    >>> [each.family for each in scripts() if "中" in each.widths]
    ['Riskdoc Han']
    """
    raw = json.loads((template_folder() / "fonts" / "scripts.json").read_text(encoding="utf-8"))
    return tuple(
        Script(each["family"], each["file"], _widths(each["widths"], each["units_per_em"]))
        for each in raw
    )


def _widths(ranges: str, em: float) -> dict[str, float]:
    """Widths by character, from `first-last:width` in hexadecimal and font units."""
    found = {}
    for each in ranges.split(" "):
        span, width = each.split(":")
        first, _, last = span.partition("-")
        for code in range(int(first, 16), int(last or first, 16) + 1):
            found[chr(code)] = int(width) / em
    return found


def width_of(char: str) -> float | None:
    """Width of a character in parts of the type size; None where no typeface here draws it."""
    return next((each.widths[char] for each in scripts() if char in each.widths), None)


def used_in(chars: Iterable[str]) -> tuple[Script, ...]:
    """The typefaces that draw some of these characters.

    >>> [each.family for each in used_in("שלום 12")]
    ['Riskdoc Hebrew']
    """
    wanted = set(chars)
    if max(wanted, default="") < "\u0590":
        return ()  # Latin, Greek and Cyrillic: the large tables need not be read
    return tuple(each for each in scripts() if not wanted.isdisjoint(each.widths))


def face(script: Script) -> str:
    """The rules that name the whole file, for the printer, who takes what is used.

    For both weights: a machine's own bold typeface would be asked for what stands in bold.
    """
    return "\n".join(_rule(script, f"fonts/{script.file}", weight) for weight in (400, 600))


def face_of(script: Script, chars: Iterable[str]) -> str:
    """The rule with just these characters inside it, for a file that needs nothing else."""
    from fontTools.subset import Options, Subsetter  # noqa: PLC0415  (slow to load)
    from fontTools.ttLib import TTFont  # noqa: PLC0415

    whole = unpacked(template_folder() / "fonts" / script.file)
    font = TTFont(io.BytesIO(whole), recalcTimestamp=False)
    options = Options(layout_features=["*"], notdef_outline=True)
    cutter = Subsetter(options)
    cutter.populate(unicodes=sorted(ord(char) for char in set(chars) & set(script.widths)))
    cutter.subset(font)
    font.flavor = "woff2"
    out = io.BytesIO()
    font.save(out)
    data = base64.b64encode(out.getvalue()).decode("ascii")
    return _rule(script, f"data:font/woff2;base64,{data}", 400)


def _rule(script: Script, address: str, weight: int) -> str:
    return (
        f'@font-face {{ font-family: "{script.family}"; font-weight: {weight}; '
        f'src: url("{address}") format("woff2"); }}'
    )
