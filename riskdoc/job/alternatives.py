"""Alternatives: the same job with some keys set otherwise, read by the same rules.

A key of an alternative is written with dots, list entries counted from 1, as messages print it:
`anchors.pair.legs[1].angle`. The part it stands in must be there, and the key must be one that
may stand in it; so a slip is a fault and never a key that nothing reads.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from riskdoc.job.faults import Code, Fault, nearest, shown
from riskdoc.job.model import Job
from riskdoc.job.nodes import Nodes, Path, Tree, where
from riskdoc.job.shapes import at, bare, fields_of, is_part

SECTION = "alternatives"
_STEP = re.compile(r"(?:^|\.)([^.\[\]]+)|\[([0-9]{1,3})\]")


@dataclass(slots=True)
class Merged:
    """The tree of a job with the keys of one alternative set, and what was wrong with the keys."""

    nodes: Nodes
    faults: list[Fault] = field(default_factory=list)


def merged(nodes: Nodes, name: str) -> Merged:
    """The job as one of its alternatives has it; the tree it comes from is left as it is."""
    root = nodes.root
    assert isinstance(root, dict)  # noqa: S101  (only a job that was read has alternatives)
    changes: Any = root[SECTION]
    tree: dict[str, Tree] = {key: value for key, value in root.items() if key != SECTION}
    done = Merged(Nodes(nodes.name, tree, dict(nodes.places), dict(nodes.keys)))
    for key, value in changes[name]["change"].items():
        written: Path = (SECTION, name, "change", key)
        path = _steps(key)
        wrong = _wrong(done.nodes.root, path, key)
        if path is None or wrong is not None:
            message, tip = wrong or ("", "")
            place = nodes.keys.get(written) or nodes.place(written)
            done.faults.append(Fault(Code.NO_SUCH_KEY, place, where(written[:2]), message, tip))
            continue
        done.nodes.root = _set(done.nodes.root, path, value)
        _move(nodes, done.nodes, written, path)
    return done


def _steps(key: str) -> Path | None:
    """A written key as a path, None where it is none.

    >>> _steps("anchors.pair.legs[1].angle"), _steps("anchors..pair")
    (('anchors', 'pair', 'legs', 0, 'angle'), None)
    """
    found: list[str | int] = []
    end = 0
    for match in _STEP.finditer(key):
        if match.start() != end:
            return None
        end = match.end()
        found.append(match[1] if match[1] is not None else int(match[2]) - 1)
    return tuple(found) if found and end == len(key) and -1 not in found else None


def _wrong(root: Any, path: Path | None, key: str) -> tuple[str, str] | None:  # noqa: ANN401
    """What is wrong with a key, and what would do; None where it may be set."""
    if path is None:
        return (
            f"{shown(key)} is no key of a job",
            "Write it with dots, list entries counted from 1, like anchors.pair.legs[1].angle.",
        )
    here: Any = root
    for n, step in enumerate(path):
        known = list(_known(here, path[:n], last=n == len(path) - 1))
        if step not in known:
            names = [str(each) for each in known if isinstance(each, str)]
            near = nearest(str(step), names)
            hint = f"Did you mean {shown(where((*path[:n], near)))}? " if near else ""
            return (
                f"there is no {where(path[: n + 1])} to change",
                f"{hint}{_listed(path[:n], known)}",
            )
        here = here[step] if step in _entries(here) else None
    return None


def _entries(here: Any) -> list[str | int]:  # noqa: ANN401
    if isinstance(here, dict):
        return list(here)
    return list(range(len(here))) if isinstance(here, list) else []


def _known(here: Any, path: Path, *, last: bool) -> Iterator[str | int]:  # noqa: ANN401
    """What may be named next: what stands here, and for the last step what may stand here."""
    yield from _entries(here)
    part = bare(at(Job, path)) if path else Job
    if last and isinstance(here, dict) and is_part(part):
        yield from (key for key in fields_of(part) if key not in here and key != SECTION)


def _listed(path: Path, known: list[str | int]) -> str:
    if not known:
        return f"{where(path)} is a single value."
    names = ", ".join(f"[{each + 1}]" if isinstance(each, int) else each for each in known[:12])
    return f"In {where(path)}: {names}."


def _set(tree: Any, path: Path, value: Tree) -> Any:  # noqa: ANN401
    """A copy of a tree along one path, with a value at its end."""
    if not path:
        return value
    first, rest = path[0], path[1:]
    if isinstance(tree, list):
        return [_set(each, rest, value) if n == first else each for n, each in enumerate(tree)]
    return {**tree, str(first): _set(tree.get(first), rest, value)}


def _move(old: Nodes, new: Nodes, written: Path, path: Path) -> None:
    """Places of what an alternative states, at the path it sets; those it replaces go."""
    for source, target in ((old.places, new.places), (old.keys, new.keys)):
        for stale in [each for each in target if each[: len(path)] == path]:
            del target[stale]
        for each, place in source.items():
            if each[: len(written)] == written:
                target[(*path, *each[len(written) :])] = place
