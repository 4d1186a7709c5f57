"""Inputs of figures: what the job states, and what the tables say where it states nothing."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, wraps
from typing import TYPE_CHECKING, Any, Concatenate, ParamSpec, TypeVar

from riskdoc.i18n.message import Text, message
from riskdoc.quantities.intervals import Interval, given, is_brief
from riskdoc.quantities.ranges import Input, Range
from riskdoc.tables.loader import Cell, cell, note, noted

if TYPE_CHECKING:
    from riskdoc.job.reading import JobFile
    from riskdoc.quantities.quantity import Quantity

P = ParamSpec("P")
T = TypeVar("T")


class Missing(Exception):  # noqa: N818  (not a fault: it becomes the verdict `not demonstrated`)
    """Something a figure needs is not in the job file; `key` is what to add."""

    def __init__(self, key: Text) -> None:
        super().__init__(key)
        self.key = key


def cached(work: Callable[Concatenate[JobFile, P], T]) -> Callable[Concatenate[JobFile, P], T]:
    """A number of a job file, worked out the first time it is asked for and kept with the file.

    Arguments are ids, or parts of the rig with an id of their own. What raises is not kept. The
    rows of the tables that it took are kept with it, and noted each time that it is used.
    """

    @wraps(work)
    def kept(file: JobFile, /, *args: P.args, **kwargs: P.kwargs) -> T:
        key = (work, is_brief(), *(getattr(each, "id", each) for each in args))
        if key not in file.worked:
            with noted() as rows:
                file.worked[key] = work(file, *args, **kwargs), rows
        found: T
        found, rows = file.worked[key]
        note(rows)
        return found

    return kept


def stated(file: JobFile, keys: tuple[str | int, ...], symbol: str, title: Text) -> Interval:
    """A quantity of the job file as a number.

    Raises `Missing` with the dotted key where the job file does not state it.
    """
    value: Any = file.job
    for key in keys:
        value = _inside(value, key)
        if value is None:
            raise Missing(dotted(keys))
    return given(_entry(value, keys, symbol, title))


def _inside(value: Any, key: str | int) -> Any:  # noqa: ANN401  (any part of a job)
    if isinstance(key, int) or isinstance(value, dict):
        return value[key]
    return getattr(value, key)


def _entry(value: Quantity, keys: tuple[str | int, ...], symbol: str, title: Text) -> Input:
    return Input(
        id=dotted(keys),
        symbol=symbol,
        title=title,
        range=Range(value.low, value.expected, value.high),
        unit=value.kind.si,
        written=value.written,
        place=str(value.place),
        provenance="stated",
        source=message("job file"),
    )


def counted(
    file: JobFile, keys: tuple[str | int, ...], value: int, symbol: str, title: Text
) -> Interval:
    """A whole number of the job file (passes, strands, runs) as a number."""
    return given(
        Input(
            id=dotted(keys),
            symbol=symbol,
            title=title,
            range=Range(value, value, value),
            unit="1",
            written=str(value),
            place=str(file.place(*keys)),
            provenance="stated",
            source=message("job file"),
        )
    )


def from_table(table: str, row: str, symbol: str, column: str = "value") -> Interval:
    """A number of the tables; the row must be there.

    >>> from_table("surfaces", "granite", "μ", "friction").range.high
    0.45
    """
    return from_cell(cell(table, row, column), symbol)


@cache
def from_cell(found: Cell, symbol: str) -> Interval:
    """A cell of a table as a number, kept for the next time."""
    low, expected, high = found.low, found.expected, found.high
    text = f"{expected:g}" if low == high else f"{low:g} / {expected:g} / {high:g}"
    return given(
        Input(
            id=found.id,
            symbol=symbol,
            title=message("{what}: {of}", what=message(found.what), of=message(found.of))
            if found.of
            else message(found.what),
            range=Range(low, expected, high),
            unit=found.unit,
            written=text if found.unit == "1" else f"{text} {found.unit}",
            place=message("table {row}", row=found.id),
            provenance=found.provenance,
            source=message(found.source),
        )
    )


def sourced(found: Cell) -> Text:
    """Where a number of the tables comes from, and how sure that is."""
    return rests_on(message(found.source), found.provenance)


def rests_on(source: Text, provenance: str) -> Text:
    """A source, and how sure it is.

    >>> str(rests_on("EN 355:2002", "published"))
    'EN 355:2002 (published)'
    >>> rests_on("job file", "stated")
    'job file'
    """
    if provenance == "stated":  # the job file is the source, and says no more
        return source
    return message("{source} ({provenance})", source=source, provenance=message(provenance))


def dotted(keys: tuple[str | int, ...]) -> str:
    """Keys as printed, list entries counted from 1.

    >>> dotted(("anchors", "ring", "legs", 0, "strength"))
    'anchors.ring.legs[1].strength'
    """
    text = ""
    for key in keys:
        text += f"[{key + 1}]" if isinstance(key, int) else f".{key}"
    return text.removeprefix(".")
