"""A job of which some parts are unsound, so that the rest can be checked in the same run.

What could not be read stands in the draft as `UNSOUND`. Whoever looks into it raises
`Unsound`, and the check that did so is left out: a mistake is told once, where it was made.
A draft never leaves this folder and nothing is computed from it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, NoReturn

from pydantic import TypeAdapter

from riskdoc.job.model import RULED_OUT, Job, Part, Reasons
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
    __sub__ = __rsub__ = _raise

    def __eq__(self, other: object) -> NoReturn:
        raise Unsound

    def __hash__(self) -> NoReturn:
        raise Unsound


UNSOUND: Any = _UnsoundValue()


def draft(tree: Tree, bad: set[Path]) -> Job:
    """The job as far as it is sound; `bad` are the paths of what is not."""
    around = {path[:end] for path in bad for end in range(len(path) + 1)}
    job: Job = _Draft(bad, around).loose(Job, tree, ())
    return job


def _entries(tree: Tree) -> Iterator[tuple[str, Tree]]:
    yield from tree.items() if isinstance(tree, dict) else ()


@dataclass(frozen=True, slots=True)
class _Draft:
    """`bad` are the paths of what is unsound, `around` those with something unsound inside."""

    bad: set[Path]
    around: set[Path]

    def loose(self, annotation: Any, tree: Tree, path: Path) -> Any:  # noqa: ANN401
        """The value at a path, with `UNSOUND` for it or inside it where need be."""
        if path in self.bad:
            return UNSOUND
        shape = bare(annotation)
        if path not in self.around:
            sound = (
                shape.model_validate if is_part(shape) else TypeAdapter(annotation).validate_python
            )
            return sound(tree)
        if isinstance(tree, list):
            return tuple(self.loose(inside(shape, i), v, (*path, i)) for i, v in enumerate(tree))
        if is_part(shape) and isinstance(tree, dict):
            return self._part(shape, tree, path)
        if isinstance(tree, dict):
            return {k: self.loose(inside(shape, k), v, (*path, k)) for k, v in tree.items()}
        return UNSOUND

    def _part(self, shape: type[Part], tree: dict[str, Tree], path: Path) -> Part:
        values: dict[str, Any] = {}
        if RULED_OUT in tree:  # reasons that could not be read are told and not looked at
            reasons = _entries(tree[RULED_OUT])
            values["ruled_out"] = Reasons((key, str(each)) for key, each in reasons)
        for key, field in fields_of(shape).items():
            here = (*path, key)
            if key in tree:
                values[key] = self.loose(field.rebuild_annotation(), tree[key], here)
            elif field.is_required() or here in self.bad:
                values[key] = UNSOUND
        return shape.model_construct(**values)
