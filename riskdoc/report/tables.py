"""Makes tables of blocks: columns from short descriptions, numbers in line at the point."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.quantities.printing import unit_of
from riskdoc.report.blocks import Cell, Column, Row, Table
from riskdoc.report.marks import chip
from riskdoc.report.number_format import NOT_DEMONSTRATED, aligned

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from riskdoc.job.model import WithNone
    from riskdoc.judgement.verdicts import Verdict


_UNIT = re.compile(r"\{([^}]+)\}")


def columns(*described: str) -> tuple[Column, ...]:
    """Columns from `title | width in per cent | css`.

    The title is said, so it is our own text; `{N}` in it is the report's unit of a force.

    >>> column, = columns("Load, {N} | 20 | number")
    >>> column.title, column.width
    ('Load, kN', '20%')
    """
    made = []
    for each in described:
        title, width, *css = (part.strip() for part in each.split("|"))
        shown = _UNIT.sub(lambda found: unit_of(found[1]).name, say(title))
        made.append(Column(shown, f"{width}%", css[0] if css else ""))
    return tuple(made)


def verdict_cell(verdict: Verdict, small: str = "") -> Cell:
    """A cell with a verdict's mark and word."""
    return Cell("", small, chip(verdict))


def text_cell(text: str, small: str = "") -> Cell:
    """A cell of text; what is not demonstrated is set off as loudly as a verdict."""
    return Cell(
        text, small, css="missing" if say(NOT_DEMONSTRATED) in text and len(text) < 60 else ""
    )


def listed(words: Iterable[str]) -> str:
    """Words of a closed list, said, or that there is none."""
    return ", ".join(say(word) for word in words) or say("none")


def ruled_out(part: WithNone, key: str) -> str:
    """What stands where a key has no value: why it does not apply, or that nobody said."""
    why = part.why_not(key)
    return say(NOT_DEMONSTRATED) if why is None else say("none: {why}", why=why)


def yes_no(stated: bool | None) -> str:
    """A yes, a no, or that nobody said."""
    return say("not demonstrated") if stated is None else say("yes") if stated else say("no")


def table(
    caption: str,
    heads: tuple[Column, ...],
    rows: Iterable[Sequence[Cell]],
    note: str = "",
    css: str = "wide",
) -> Table:
    """A table in which every column marked `number` is aligned at the decimal point."""
    body = [list(row) for row in rows]
    for index, head in enumerate(heads):
        if "number" in head.css:
            _align(body, index)
    made = tuple(Row(row[0], tuple(row[1:])) for row in body)
    return Table(caption, heads, made, note, css)


def _align(body: list[list[Cell]], index: int) -> None:
    texts = aligned(tuple(row[index].text for row in body))
    for row, text in zip(body, texts, strict=True):
        old = row[index]
        css = "missing" if text == say(NOT_DEMONSTRATED) else old.css
        # A number is never broken; words that stand in its place may be, as any words.
        words = "" if any(char.isdigit() for char in text) else "words"
        row[index] = Cell(text, old.small, old.mark, " ".join(filter(None, ("number", words, css))))
