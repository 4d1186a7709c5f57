"""What a job states: the values under a key of its file, and whether they say anything."""

from __future__ import annotations

from collections.abc import Iterator
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from riskdoc.conditions.parts import KINDS, PLAIN, Part
from riskdoc.i18n.say import say
from riskdoc.job.measures import Measure
from riskdoc.job.model import Job, WithNone
from riskdoc.job.model import Part as Model
from riskdoc.job.words import denies
from riskdoc.quantities.quantity import Kind, Quantity

Held = tuple[str, Any, Any]
"""Where a value stands, the value, and the field of the model that it stands in."""


class RuledOut(str):
    """The reason why a key does not apply, in place of its value: it is stated all the same."""

    __slots__ = ()


def values(job: Job, part: Part, key: str) -> list[tuple[str, Any]]:
    """The values under a dotted key, with where each stands; None where one is not stated.

    `*` is every part by id, and every entry of a list. A key counts from the part, one that begins
    with `/` from the whole job file, and `.` is the part itself. An id that names another part is
    followed: `rope.strength` of a line.
    """
    return [(name, value) for name, value, _ in _held_at(job, part, key)]


def _held_at(job: Job, part: Part, key: str) -> list[Held]:
    if key == ".":
        return [(part.key, part.model, None)]
    here: list[Held] = [("", job, None) if key.startswith("/") else (part.key, part.model, None)]
    for step in key.lstrip("/").split("."):
        here = [each for held in here for each in _into(*_followed(job, *held), step)]
    return here


def _followed(job: Job, name: str, value: Any, info: Any) -> Held:  # noqa: ANN401  (part of a job)
    extra = getattr(info, "json_schema_extra", None) or {}
    section = extra.get("ref") if isinstance(value, str) else None
    return (f"{section}.{value}", getattr(job, section).get(value), None) if section else (
        name, value, info)  # fmt: skip


def _into(name: str, value: Any, info: Any, step: str) -> list[Held]:  # noqa: ANN401
    if step == "*" and isinstance(value, dict):
        return [(f"{name}.{id}", each, info) for id, each in value.items()]
    if step == "*" and isinstance(value, tuple):
        return [(f"{name}[{n}]", each, info) for n, each in enumerate(value, start=1)]
    under = f"{name}.{step}" if name else step
    if isinstance(value, dict):
        return [(under, value.get(step), info)]
    if isinstance(value, Model):
        # Only what a job file can state: a method of the model is no key of it.
        for field, about in type(value).model_fields.items():
            if step == (about.alias or field):
                why = value.why_not(field) if isinstance(value, WithNone) else None
                return [(under, getattr(value, field) if why is None else RuledOut(why), about)]
    return [(under, None, None)]


def says(value: Any) -> bool:  # noqa: ANN401  (any value of a job)
    """Whether a value states something: a text that denies it does not, and a list of such."""
    if isinstance(value, RuledOut):
        return True
    if isinstance(value, str):
        return not denies(value)
    if isinstance(value, tuple):
        return any(says(each) for each in value)
    return value is not None and value != {}


def printed(job: Job, part: Part, key: str) -> Iterator[tuple[str, str]]:
    """What is stated under a key, entry by entry: as written, and as a text prints it.

    Words of a closed list are said; amounts and what a job says itself stand as written.
    """
    for _, value, info in _held_at(job, part, key):
        closed = info is not None and _closed(info.annotation)
        for each in value if isinstance(value, tuple) else (value,):
            if each is not None:
                text = each.written if isinstance(each, Quantity) else str(each)
                yield text, say(text) if closed else text


def _closed(annotation: Any) -> bool:  # noqa: ANN401  (a type)
    """Whether a field holds words of a closed list."""
    return get_origin(annotation) is Literal or any(map(_closed, get_args(annotation)))


def unknown_step(kind: str, key: str) -> str | None:
    """The first step of a key that no job file can have there, None where all of it is known.

    >>> unknown_step("line", "rope.strength"), unknown_step("line", "rope.colour")
    (None, 'colour')
    """
    steps = [] if key == "." else key.lstrip("/").split(".")
    if kind in PLAIN:
        return next((step for step in steps if step not in PLAIN[kind]), None)
    found = [_walked(each, steps)[0] for each in _models(kind, key)]
    return None if None in found else (found[0] if found else key)


def measured(kind: str, key: str) -> Kind | None:
    """The kind of amount under a key, a count for whole numbers and lists; None for all else.

    >>> measured("line", "rope.strength"), measured("load", "people"), measured("site", "wet")
    (<Kind.FORCE: 'force'>, <Kind.COUNT: 'count'>, None)
    """
    for model in _models(kind, key):
        stray, here, info = _walked(model, key.lstrip("/").split("."))
        if stray is None:
            inside = [*getattr(info, "metadata", ()), *_noted(here)]
            of = [
                each.func.kind
                for each in inside
                if isinstance(getattr(each, "func", None), Measure)
            ]
            plain = _plain(here)
            counted = plain is int or get_origin(plain) is tuple
            return of[0] if of else Kind.COUNT if counted else None
    return None


def _models(kind: str, key: str) -> tuple[type, ...]:
    return (Job,) if key.startswith("/") else KINDS[kind].models


def _walked(here: Any, steps: list[str], info: Any = None) -> tuple[str | None, Any, Any]:  # noqa: ANN401
    """Steps into a type: the first that is not there, else the type and the field they lead to."""
    if not steps:
        return None, here, info
    step, *rest = steps
    here = _plain(here)
    origin, args = get_origin(here), get_args(here)
    if origin in (dict, tuple):
        inner = args[1] if origin is dict else args[0]
        return _walked(inner, rest, info) if step == "*" else (step, here, info)
    extra = getattr(info, "json_schema_extra", None) or {}
    if here is str and extra.get("ref"):
        here = get_args(Job.model_fields[extra["ref"]].annotation)[1]
    if isinstance(here, type) and issubclass(here, Model):
        for field, about in here.model_fields.items():
            if step == (about.alias or field):
                return _walked(about.annotation, rest, about)
    return step, here, info


def _plain(annotation: Any) -> Any:  # noqa: ANN401  (a type)
    """A type without what is noted beside it, and without None."""
    while get_origin(annotation) in (Annotated, Union, UnionType):
        annotation = next(each for each in get_args(annotation) if each is not type(None))
    return annotation


def _noted(annotation: Any) -> Iterator[Any]:  # noqa: ANN401
    """What is noted beside a type, at any depth."""
    yield from getattr(annotation, "__metadata__", ())
    if get_origin(annotation) in (Annotated, Union, UnionType):
        for each in get_args(annotation):
            yield from _noted(each)
