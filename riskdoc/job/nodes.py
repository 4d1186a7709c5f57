"""The tree of a job file in which every scalar is still what somebody wrote, with its place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

from riskdoc.job.faults import Fault, shown
from riskdoc.quantities.quantity import Place

Path: TypeAlias = tuple[str | int, ...]
Tree: TypeAlias = "Written | list[Tree] | dict[str, Tree]"


_NOWHERE = Place("text", 1, 1)  # of a text that was handed in by a program


class Written(str):
    """A scalar exactly as written, and where. `missing` marks one that was left empty."""

    place: Place
    missing: bool

    def __new__(cls, text: str, place: Place = _NOWHERE, missing: bool = False) -> Written:
        """A text with its place; without one it came from a program and not from a file."""
        new = super().__new__(cls, text)
        new.place = place
        new.missing = missing
        return new


@dataclass
class Nodes:
    """The tree of one file, where its parts stand, and what was wrong with it.

    `places` holds where a value stands (for a list or mapping: its key), `keys` where a key
    stands. `broken` are values that were refused, `holes` mappings of which a part was refused:
    what is missing from them has been told already.
    """

    name: str
    root: Tree | None = None
    places: dict[Path, Place] = field(default_factory=dict)
    keys: dict[Path, Place] = field(default_factory=dict)
    broken: set[Path] = field(default_factory=set)
    holes: set[Path] = field(default_factory=set)
    faults: list[Fault] = field(default_factory=list)

    def place(self, path: Path) -> Place:
        """Where the value at a path stands, or the nearest part around it.

        >>> Nodes("job.yaml", places={("job",): Place("job.yaml", 2, 1)}).place(("job", "title"))
        Place(file='job.yaml', line=2, column=1)
        """
        return nearest_place(self.places, path, self.name)


def nearest_place(places: Mapping[Path, Place], path: Path, name: str) -> Place:
    """The place of a path, of the nearest part around it, or the start of the file.

    >>> nearest_place({}, ("job",), "job.yaml")
    Place(file='job.yaml', line=1, column=1)
    """
    for end in range(len(path), 0, -1):
        if path[:end] in places:
            return places[path[:end]]
    return Place(name, 1, 1)


def where(path: Path) -> str:
    """A path as a reader says it, list entries counted from 1.

    >>> where(("anchors", "pair", "legs", 0, "angle")), where(())
    ('anchors.pair.legs[1].angle', 'job file')
    """
    text = "".join(
        f"[{part + 1}]" if isinstance(part, int) else f".{shown(part)[1:-1]}" for part in path
    )
    return text.removeprefix(".") or "job file"
