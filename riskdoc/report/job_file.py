"""The job file value by value, as it was written, with the place of each."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from pydantic import BaseModel

from riskdoc.quantities.quantity import Quantity

if TYPE_CHECKING:
    from collections.abc import Iterator

    from riskdoc.job.reading import JobFile

_MONTHS = ("made", "first_used", "retire_by")
"""Dates that are written as a month only; the model holds the first day of it."""

Keys = tuple[str | int, ...]


def written(file: JobFile) -> tuple[tuple[str, str, str], ...]:
    """Key, text and place (line:column) of every value that the job file states."""
    found = []
    for keys, text in _leaves(file.job, ()):
        # What the model fills in was not written, and has no place.
        if keys in file.places:
            place = file.places[keys]
            shown = _digest(file, keys) or text
            found.append((_dotted(keys), shown, f"{place.line}:{place.column}"))
    return tuple(found)


def _digest(file: JobFile, keys: Keys) -> str | None:
    """What stands for the name of a picture's file: it says which, and not what it was called."""
    match keys:
        case ("pictures", str(id), "file") if id in file.pictures:
            return f"sha256 {file.pictures[id].sha256}"
    return None


def _leaves(value: object, keys: Keys) -> Iterator[tuple[Keys, str]]:
    if value is None:
        return
    if isinstance(value, BaseModel):
        for key, reason in getattr(value, "ruled_out", {}).items():
            yield (*keys, key, "none"), reason
        for name, info in type(value).model_fields.items():
            if name == "ruled_out":
                continue
            yield from _leaves(getattr(value, name), (*keys, info.alias or name))
    elif isinstance(value, dict):
        for key, each in value.items():
            yield from _leaves(each, (*keys, key))
    elif isinstance(value, tuple):
        for index, each in enumerate(value):
            yield from _leaves(each, (*keys, index))
    else:
        yield keys, _text(value, str(keys[-1]))


def _text(value: object, name: str) -> str:
    if isinstance(value, Quantity):
        return value.written
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, date):
        return f"{value:%Y-%m}" if name in _MONTHS else value.isoformat()
    return str(value)


def _dotted(keys: Keys) -> str:
    """Keys as one name; entries of lists count from 1.

    >>> _dotted(("anchors", "ring", "legs", 0, "angle"))
    'anchors.ring.legs[1].angle'
    """
    text = "".join(f"[{key + 1}]" if isinstance(key, int) else f".{key}" for key in keys)
    return text.removeprefix(".")
