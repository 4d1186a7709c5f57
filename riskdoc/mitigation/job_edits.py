"""What a change writes into the job file: keys and their values, read off the changed job itself.

A key is spelled as in `alternatives`: with dots, list entries counted from 1. Where it is set, the
rest of the file stays as it is; a part that a change adds is written whole. A test writes the keys
of every change into the file, reads it again and compares the jobs.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeAlias

from pydantic import WithJsonSchema

from riskdoc.i18n.message import Text, message
from riskdoc.job.model import Job, Part, WithNone
from riskdoc.job.references import SECTIONS
from riskdoc.job.ruled_out import NONE
from riskdoc.quantities.quantity import Quantity

Plain: TypeAlias = "str | int | float | list[Plain] | dict[str, Plain]"
"""A value as a job file has it."""
SPELLED = re.compile(r"[a-z][a-z0-9_]{0,39}")
LONGEST = 40
"""Characters of an id at most."""


@dataclass(frozen=True, slots=True)
class Write:
    """A key of the job file and the value to write there; None for a part to take out."""

    key: str
    value: Plain | None

    @property
    def text(self) -> Text:
        """Key and value on one line, as YAML takes them.

        >>> Write("lines.working.over", [{"edge": "sill", "after": "2 m"}]).text
        'lines.working.over: [{edge: sill, after: 2 m}]'
        """
        if self.value is None:
            return message("{key}: take it out", key=self.key)
        return f"{self.key}: {_flow(self.value)}"

    @property
    def short(self) -> Text:
        """The same, without what is in a part that is added.

        >>> Write("edges.sill", {"site": "wall"}).short
        'edges.sill: {…}'
        """
        return f"{self.key}: {{…}}" if isinstance(self.value, dict) else self.text


def names_of(job: Job) -> Mapping[str, str]:
    """An id that a job file can write for each id of a changed job that none can.

    The same for every section, so that a copy is called alike wherever it stands.
    """
    ids = [id for section in SECTIONS for id in getattr(job, section)]
    taken, found = set(ids), {}
    for id in ids:
        if not SPELLED.fullmatch(id) and id not in found:
            found[id] = _fresh(id, taken)
            taken.add(found[id])
    return found


def _fresh(id: str, taken: set[str]) -> str:
    stem = re.sub(r"[^a-z0-9]+", "_", id.replace(" beside ", "_"))
    name, n = stem[:LONGEST], 1
    while name in taken:
        n += 1
        name = f"{stem[: LONGEST - len(str(n)) - 1]}_{n}"
    return name


def spelled(job: Job, names: Mapping[str, str]) -> Job:
    """The job with these ids in place of those that no file can write, wherever they stand."""
    if not names:
        return job
    done = {}
    for section in SECTIONS:
        parts: Mapping[str, Part] = getattr(job, section)
        done[section] = {names.get(id, id): _spelled(part, names) for id, part in parts.items()}
    return job.model_copy(update=done)


def _spelled(part: Part, names: Mapping[str, str]) -> Part:
    changed = {}
    for name, field in type(part).model_fields.items():
        value = getattr(part, name)
        extra = field.json_schema_extra
        new = _named(value, names, refers=isinstance(extra, dict) and "ref" in extra)
        if new != value:
            changed[name] = new
    return part.model_copy(update=changed) if changed else part


def _named(value: Any, names: Mapping[str, str], *, refers: bool) -> Any:  # noqa: ANN401
    if isinstance(value, Part):
        return _spelled(value, names)
    if isinstance(value, tuple):
        return tuple(_named(each, names, refers=refers) for each in value)
    return names.get(value, value) if refers and isinstance(value, str) else value


def writes(before: Job, after: Job, names: Mapping[str, str] | None = None) -> tuple[Write, ...]:
    """What has to be written into the file of one job to make it another.

    `names` are ids for copies of parts; without them the changed job gets its own.
    """
    known = names_of(after) if names is None else names
    found = _part(spelled(before, known), spelled(after, known), "")
    return tuple(Write(key, value) for key, value in found)


def _part(old: Part, new: Part, at: str) -> Iterator[tuple[str, Plain | None]]:
    for name, field in type(new).model_fields.items():
        was, value = getattr(old, name), getattr(new, name)
        if value is was or value == was or name == "ruled_out":
            continue
        key = f"{at}.{field.alias or name}" if at else (field.alias or name)
        reason = new.why_not(name) if isinstance(new, WithNone) else None
        if reason is not None:
            yield key, {NONE: reason}
        else:
            yield from _value(was, value, key, field.metadata)


def _value(
    was: Any,  # noqa: ANN401
    value: Any,  # noqa: ANN401
    key: str,
    kind: Any,  # noqa: ANN401
) -> Iterator[tuple[str, Plain | None]]:
    if value is was or value == was:
        return
    if isinstance(value, dict) and isinstance(was, dict):
        for id, each in value.items():
            yield from _value(was.get(id), each, f"{key}.{id}", ())
        yield from ((f"{key}.{id}", None) for id in was if id not in value)
    elif isinstance(value, Part) and isinstance(was, Part):
        yield from _part(was, value, key)
    elif isinstance(value, tuple) and isinstance(was, tuple) and len(value) == len(was):
        for n, (one, each) in enumerate(zip(was, value, strict=True), start=1):
            yield from _value(one, each, f"{key}[{n}]", ())
    else:
        yield key, _plain(value, kind)


def _plain(value: Any, kind: Any = ()) -> Plain:  # noqa: ANN401  (any value of a part)
    """A value as a job file states it. Raises TypeError where it has no such form."""
    if isinstance(value, Quantity):
        return value.written
    if isinstance(value, Part):
        return _whole(value)
    if isinstance(value, tuple):
        return [_plain(each) for each in value]
    if isinstance(value, date):
        return f"{value:%Y-%m}" if _is_month(kind) else value.isoformat()
    if isinstance(value, str | int | float):
        return value
    raise TypeError(f"nothing in a job file says {value!r}")


def _whole(part: Part) -> dict[str, Plain]:
    """A whole entry: what differs from what is taken where a key is left out."""
    done: dict[str, Plain] = {}
    for name, field in type(part).model_fields.items():
        value, key = getattr(part, name), field.alias or name
        if name == "ruled_out":
            done |= {key: {NONE: reason} for key, reason in value.items()}
        elif field.is_required() or value != field.get_default(call_default_factory=True):
            done[key] = _plain(value, (*field.metadata, field.annotation))
    return done


def _is_month(kind: Any) -> bool:  # noqa: ANN401
    """Whether a day stands for its month: its schema has the pattern of one."""
    return any("pattern" in each for each in _schemas(kind))


def _schemas(kind: Any) -> Iterator[Mapping[str, Any]]:  # noqa: ANN401
    for each in kind:
        if isinstance(each, WithJsonSchema) and each.json_schema is not None:
            yield each.json_schema
        for inner in getattr(each, "__args__", ()):
            yield from _schemas(getattr(inner, "__metadata__", ()))


_BARE = re.compile(r"[A-Za-z0-9][A-Za-z0-9_ ./%+-]*")


def _flow(value: Plain) -> str:
    """A value in the flow style of YAML."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {_flow(each)}" for key, each in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_flow, value)) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str) and not _BARE.fullmatch(value):
        return "'" + value.replace("'", "''") + "'"
    return str(value)
