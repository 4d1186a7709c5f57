"""The shape of the model, walked by the path of a value in the file."""

from __future__ import annotations

import types
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic.fields import FieldInfo

from riskdoc.job.model import Part
from riskdoc.job.nodes import Path


def bare(annotation: Any) -> Any:  # noqa: ANN401  # annotations have no common type
    """An annotation without `Annotated` and without `None`.

    >>> bare(Annotated[int, "at least one"] | None)
    <class 'int'>
    """
    origin = get_origin(annotation)
    if origin is Annotated:
        return bare(get_args(annotation)[0])
    if origin in (Union, types.UnionType):
        return bare(next(arg for arg in get_args(annotation) if arg is not type(None)))
    return annotation


def is_part(annotation: Any) -> bool:  # noqa: ANN401
    """Whether this is one of the model's classes."""
    return isinstance(annotation, type) and issubclass(annotation, Part)


def fields_of(part: type[Part]) -> dict[str, FieldInfo]:
    """The fields of a part by the key that is written in the file.

    >>> from riskdoc.job.model import Validity
    >>> list(fields_of(Validity))
    ['from', 'to']
    """
    return {
        field.alias or name: field
        for name, field in part.model_fields.items()
        if field.validation_alias == field.alias  # what only the reader writes is no key
    }


def inside(annotation: Any, key: str | int) -> Any:  # noqa: ANN401
    """The annotation of one entry of a part, a list or a mapping by ids; None outside of it."""
    shape = bare(annotation)
    if is_part(shape):
        field = fields_of(shape).get(str(key))
        return None if field is None else field.rebuild_annotation()
    arguments = get_args(shape)
    if get_origin(shape) is dict:
        return arguments[1]
    if get_origin(shape) is tuple and isinstance(key, int):
        # A list of any length has one shape; in a direction each place has its own.
        return arguments[0 if arguments[-1] is Ellipsis else min(key, len(arguments) - 1)]
    return None


def at(root: Any, path: Path) -> Any:  # noqa: ANN401
    """The annotation at a path below a root, or None.

    >>> from riskdoc.job.model import Job
    >>> choices(at(Job, ("job", "matrix")))
    ('mil-std-882e', 'npsa-2008', 'none')
    """
    for key in path:
        root = None if root is None else inside(root, key)
    return root


def choices(annotation: Any) -> tuple[str, ...]:  # noqa: ANN401
    """The words of a closed list; empty for anything else."""
    shape = bare(annotation)
    return get_args(shape) if get_origin(shape) is Literal else ()
