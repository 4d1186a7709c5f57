"""A QR code (ISO/IEC 18004) that names the document: number, revision and digest.

Whoever holds a page can scan it and compare the digest with that of any other copy.
"""

from __future__ import annotations

import segno
from markupsafe import Markup

from riskdoc.i18n.say import say
from riskdoc.report import svg
from riskdoc.report.text import clean

QUIET = 4
"""Modules kept clear around the code: ISO/IEC 18004, 4 modules (from memory)."""
LONGEST = 60
"""Characters of number and of revision that go in; judgement: more makes it too fine to scan.

The digest goes in whole and tells documents apart by itself.
"""


def qr_text(number: str, revision: str, digest: str) -> str:
    r"""What the code says: three lines.

    >>> qr_text("SP-014", "A", "3b5b")
    'SP-014\nA\nsha256:3b5b'
    """
    return "\n".join((_cut(number), _cut(revision), f"sha256:{digest}"))


def _cut(text: str) -> str:
    return text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"


def qr_code(number: str, revision: str, digest: str, size: float, name: str = "qr") -> Markup:
    """The code as inline SVG, `size` points wide and high with the clear room around it.

    `name` makes the id of its title unique in the page.

    Error correction level M: 15 % of it may be dirt (ISO/IEC 18004, from memory).
    """
    text = qr_text(number, revision, digest)
    code = segno.make(
        text,
        error="m",
        boost_error=False,
        micro=False,
        encoding="utf-8",
        eci=not text.isascii(),  # else a reader has to guess the letters
    )
    rows = [list(row) for row in code.matrix_iter(border=QUIET)]
    wide = len(rows)
    runs = "".join(_runs(row, y) for y, row in enumerate(rows))
    said = say("QR code: {text}", text=clean(text.replace("\n", ", ")))
    parts = [
        svg.element("title", said, id=f"{name}-title"),
        svg.rect(0, 0, wide, wide, stroke="none"),
        svg.element("path", d=runs, fill=svg.BLACK),
    ]
    return svg.element(
        "svg",
        svg.joined(parts),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {wide} {wide}",
        width=f"{size:g}pt",
        height=f"{size:g}pt",
        role="img",
        aria_labelledby=f"{name}-title",
    )


def _runs(row: list[int], y: int) -> str:
    """The dark modules of a row as one rectangle for each run of them."""
    parts, start = [], None
    for x, dark in enumerate([*row, 0]):
        if dark and start is None:
            start = x
        elif not dark and start is not None:
            parts.append(f"M{start} {y}h{x - start}v1h-{x - start}z")
            start = None
    return "".join(parts)
