"""What a job says does not apply, with its reason: `wind: {none: indoors}`.

Leaving a key out says nothing, and nothing that is not said is ever a pass. So a thing that does
not apply is stated, in the place of its key. Before the model sees the tree, each such statement
is moved into `ruled_out` of its part, so that the key itself is simply not there.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from pydantic.fields import FieldInfo

from riskdoc.job.model import RULED_OUT, Job, WithNone
from riskdoc.job.nodes import Path, Tree
from riskdoc.job.shapes import bare, fields_of, inside, is_part

NONE = "none"
"""The key under which the reason stands."""


@dataclass(slots=True)
class Settled:
    """A tree with its statements of what does not apply moved; `both` says none and more."""

    tree: Tree
    both: list[Path] = field(default_factory=list)


def settled(tree: Tree) -> Settled:
    """The tree of a job as the model reads it; what was written is left as it is.

    >>> from riskdoc.job.nodes import Written
    >>> wind = {"none": Written("indoors")}
    >>> settled({"sites": {"hall": {"wind": wind}}}).tree["sites"]["hall"][RULED_OUT]
    {'wind': 'indoors'}
    """
    done = Settled(tree)
    done.tree = _moved(Job, tree, (), done.both)
    return done


def written_path(path: Path) -> Path:
    """The path in the file of a path in the settled tree.

    >>> written_path(("sites", "hall", RULED_OUT, "wind"))
    ('sites', 'hall', 'wind', 'none')
    """
    if RULED_OUT not in path:
        return path
    at = path.index(RULED_OUT)
    return (*path[:at], *path[at + 1 :], NONE)


def may_be_none(found: FieldInfo | None) -> bool:
    """Whether a key may say that it does not apply."""
    extra = found.json_schema_extra if found is not None else None
    return isinstance(extra, dict) and bool(extra.get(NONE))


def _moved(annotation: Any, tree: Tree, path: Path, both: list[Path]) -> Tree:  # noqa: ANN401
    shape = bare(annotation)
    if isinstance(tree, list):
        return [_moved(inside(shape, n), each, (*path, n), both) for n, each in enumerate(tree)]
    if not isinstance(tree, dict):
        return tree
    known = fields_of(shape) if is_part(shape) and issubclass(shape, WithNone) else {}
    kept: dict[str, Tree] = {}
    reasons: dict[str, Tree] = {}
    for key, value in tree.items():
        if isinstance(value, dict) and NONE in value and may_be_none(known.get(key)):
            if len(value) == 1:
                reasons[key] = value[NONE]
            else:
                both.append((*path, key))
            continue
        kept[key] = _moved(inside(shape, key), value, (*path, key), both)
    if reasons:
        kept[RULED_OUT] = reasons
    return kept
