"""Jobs with one thing left out: every key, entry and section, one at a time."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

Path = tuple[str | int, ...]


def paths(tree: Any, at: Path = ()) -> Iterator[Path]:
    """Every key of a mapping and every entry of a list, at any depth."""
    if isinstance(tree, dict):
        for key, value in tree.items():
            yield (*at, key)
            yield from paths(value, (*at, key))
    elif isinstance(tree, list):
        for n, value in enumerate(tree):
            yield (*at, n)
            yield from paths(value, (*at, n))


def without(tree: Any, path: Path) -> Any:
    """A copy of the tree without what stands at the path."""
    done = copy.deepcopy(tree)
    here = done
    for key in path[:-1]:
        here = here[key]
    del here[path[-1]]
    return done


def at(tree: Any, path: Path) -> Any:
    """What stands at a path of a tree."""
    for key in path:
        tree = tree[key]
    return tree


def dotted(path: Path) -> str:
    """A path as a reader says it."""
    return ".".join(str(each) for each in path)
