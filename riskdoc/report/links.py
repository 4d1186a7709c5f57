"""Links between a figure where it is used and its working, both ways."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from riskdoc.report.blocks import Cell, Row, Section, Table

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

WORKED, USED = "working:", "used:"


def worked_place(figure: str) -> str:
    """The place in appendix A where a figure is worked."""
    return f"{WORKED}{figure}"


def linked(sections: tuple[Section, ...]) -> tuple[Section, ...]:
    """Sections in which each working leads back to the first place where its figure is used."""
    worked = {cell.id for cell in _cells(sections) if cell.id.startswith(WORKED)}
    used: set[str] = set()
    forward = tuple(
        _each(section, lambda cell: _marked(cell, worked, used)) for section in sections
    )
    return tuple(_each(section, lambda cell: _back(cell, used)) for section in forward)


def _marked(cell: Cell, worked: set[str], used: set[str]) -> Cell:
    """A cell that leads to a working gets a place of its own, the first time."""
    if not cell.href.startswith(WORKED):
        return cell
    if cell.href not in worked:
        return replace(cell, href="")
    name = cell.href.removeprefix(WORKED)
    if name in used:
        return cell
    used.add(name)
    return replace(cell, id=f"{USED}{name}")


def _back(cell: Cell, used: set[str]) -> Cell:
    name = cell.id.removeprefix(WORKED)
    if not cell.id.startswith(WORKED) or name not in used:
        return cell
    return replace(cell, href=f"{USED}{name}")


def _cells(sections: tuple[Section, ...]) -> Iterator[Cell]:
    for section in sections:
        for block in section.blocks:
            for row in block.rows if isinstance(block, Table) else ():
                yield row.head
                yield from row.cells


def _each(section: Section, change: Callable[[Cell], Cell]) -> Section:
    """A section with every cell changed, in the order in which it is read."""
    blocks = tuple(
        replace(
            block,
            rows=tuple(Row(change(row.head), tuple(map(change, row.cells))) for row in block.rows),
        )
        if isinstance(block, Table)
        else block
        for block in section.blocks
    )
    return replace(section, blocks=blocks)
