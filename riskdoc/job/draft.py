"""A job of which some parts are unsound, so that the rest can be checked in the same run.

What could not be read stands in the draft as `UNSOUND`. Whoever looks into it raises
`Unsound`, and the check that did so is left out: a mistake is told once, where it was made.
A draft never leaves this folder and nothing is computed from it.
"""

from __future__ import annotations

from typing import Any, NoReturn, get_origin

from pydantic import TypeAdapter

from riskdoc.job.model import Job, Part
from riskdoc.job.nodes import Path, Tree
from riskdoc.job.shapes import bare, fields_of, inside, is_part


class Unsound(AttributeError):  # noqa: N818  # it ends one check and is no error of the program
    """Something was looked at that could not be read.

    An AttributeError, so that `hasattr` answers as it should when tools look at a module.
    """


class _UnsoundValue:
    """Stands for a value that could not be read; only `is` may be asked of it."""

    def _raise(self, *_: object) -> NoReturn:
        raise Unsound

    __getattr__ = __getitem__ = __contains__ = __iter__ = __len__ = __bool__ = _raise
    __lt__ = __le__ = __gt__ = __ge__ = __add__ = __radd__ = __mul__ = __rmul__ = _raise

    def __eq__(self, other: object) -> NoReturn:
        raise Unsound

    def __hash__(self) -> NoReturn:
        raise Unsound


UNSOUND: Any = _UnsoundValue()


def draft(tree: Tree, bad: set[Path]) -> Job:
    """The job as far as it is sound; `bad` are the paths of what is not."""
    job: Job = _loose(Job, tree, (), bad)
    return job


def _loose(annotation: Any, tree: Tree, path: Path, bad: set[Path]) -> Any:  # noqa: ANN401
    if path in bad:
        return UNSOUND
    shape = bare(annotation)
    if is_part(shape) and isinstance(tree, dict):
        return _loose_part(shape, tree, path, bad)
    if get_origin(shape) is dict and isinstance(tree, dict):
        return {k: _loose(inside(shape, k), v, (*path, k), bad) for k, v in tree.items()}
    if any(other[: len(path)] == path for other in bad) and isinstance(tree, list):
        return tuple(_loose(inside(shape, i), v, (*path, i), bad) for i, v in enumerate(tree))
    return TypeAdapter(annotation).validate_python(tree)


def _loose_part(shape: type[Part], tree: dict[str, Tree], path: Path, bad: set[Path]) -> Part:
    if not any(other[: len(path)] == path for other in bad):
        return shape.model_validate(tree)
    values = {}
    for key, field in fields_of(shape).items():
        if key in tree:
            values[key] = _loose(field.rebuild_annotation(), tree[key], (*path, key), bad)
        elif field.is_required() or (*path, key) in bad:
            values[key] = UNSOUND
    return shape.model_construct(**values)
