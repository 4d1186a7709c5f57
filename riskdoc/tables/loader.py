"""Reads the tables. A look-up is exact: what is not there raises, and nothing near is taken.

>>> cell("surfaces", "granite", "friction").expected
0.38
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import yaml

NAMES = (
    "surfaces",
    "protections",
    "terminations",
    "fibres",
    "standards",
    "dynamic",
    "abrasion",
    "day",
    "strength",
    "redirects",
    "work",
    "general",
    "controls",
    "hazards",
    "beaufort",
)
PROVENANCES = ("published", "common practice", "from memory", "judgement")


@dataclass(frozen=True, slots=True)
class Cell:
    """One number from the world: its range in SI, and what it rests on.

    `what` says what is measured, `of` the row it is measured of where the row has no title.
    """

    id: str
    what: str
    of: str
    low: float
    expected: float
    high: float
    unit: str
    provenance: str
    source: str

    @property
    def title(self) -> str:
        """What the number is, in one piece."""
        return f"{self.what}: {self.of}" if self.of else self.what


@dataclass(frozen=True, slots=True)
class Table:
    """A table: numbers by row and column, and plain properties of its rows."""

    name: str
    title: str
    rows: Mapping[str, Mapping[str, Cell]]
    properties: Mapping[str, Mapping[str, Any]]


class NoSuchCellError(LookupError):
    """A table has no such row or column."""


Rows = dict[str, Cell | Any]
"""What was taken from the tables, by table, row and column: numbers, and properties of rows."""
_TAKEN: ContextVar[Rows | None] = ContextVar("taken", default=None)


@contextmanager
def noted() -> Iterator[Rows]:
    """Within it everything that is taken from the tables is noted, for whoever is outside too.

    >>> with noted() as rows:
    ...     _ = cell("surfaces", "granite", "friction")
    >>> list(rows)
    ['surfaces/granite/friction']
    """
    rows: Rows = {}
    token = _TAKEN.set(rows)
    try:
        yield rows
    finally:
        _TAKEN.reset(token)
        note(rows)


def note(rows: Mapping[str, Cell | Any]) -> None:
    """Notes rows that were taken before, for what was kept and is now used again."""
    taken = _TAKEN.get()
    if taken is not None:
        taken.update(rows)


@cache
def table(name: str) -> Table:
    """The table with this name.

    >>> table("fibres").title
    'Fibres'
    """
    text = resources.files("riskdoc.tables").joinpath(f"{name}.yaml").read_text("utf-8")
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    raw = yaml.load(text, Loader=loader)  # noqa: S506  (a safe loader, the C one where there is one)
    rows = {row: _cells(name, row, body, raw["columns"]) for row, body in raw["rows"].items()}
    properties = {
        row: {key: value for key, value in body.items() if not isinstance(value, dict)}
        for row, body in raw["rows"].items()
    }
    return Table(name, raw["title"], rows, properties)


def _cells(name: str, row: str, body: dict[str, Any], columns: dict[str, Any]) -> dict[str, Cell]:
    cells = {}
    for column, value in body.items():
        if not isinstance(value, dict):
            continue
        about = columns[column]
        cells[column] = Cell(
            id=f"{name}/{row}/{column}",
            what=str(body.get("title", about["title"])),
            of="" if "title" in body else row,
            unit=str(body.get("unit", about["unit"])),
            low=float(value["low"]),
            expected=float(value["expected"]),
            high=float(value["high"]),
            provenance=str(value["provenance"]),
            source=str(value["source"]),
        )
    return cells


def cell(name: str, row: str, column: str = "value") -> Cell:
    """The number at this place of a table.

    Raises `NoSuchCellError` where there is none; the nearest one is never taken instead.
    """
    found = find(name, row, column)
    if found is None:
        raise NoSuchCellError(f"table {name} has no {column} for {row!r}")
    return found


def find(name: str, row: str, column: str = "value") -> Cell | None:
    """The number at this place of a table, or None where the table is silent."""
    found = table(name).rows.get(row, {}).get(column)
    if found is not None:
        note({found.id: found})
    return found


def said_of(name: str, row: str, key: str) -> Any:  # noqa: ANN401  (a word, or yes or no)
    """A property of a row, None where it has none.

    >>> said_of("protections", "rigid plate", "acts")
    'replace'
    """
    found = table(name).properties[row].get(key)
    note({f"{name}/{row}/{key}": found})
    return found


def has(name: str, row: str, key: str) -> bool:
    """Whether a yes-or-no property of a row is set.

    >>> has("surfaces", "brick", "rough"), has("surfaces", "granite", "rough")
    (True, False)
    """
    return bool(said_of(name, row, key))
