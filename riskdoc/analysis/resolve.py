"""The rig: the job's lines with their names resolved, edges in order, and what is done with each.

Nothing is computed here. `rig_of` answers what a line is made of; later stages ask it only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from riskdoc.job.model import Anchor, Edge, Line, Load, Protector, Redirect, Rope, Site
from riskdoc.job.reading import JobFile
from riskdoc.tables.loader import cell, find, has, said_of

MOVING = ("descend", "ascend", "lower", "raise")
RUNNING = ("lower", "raise")


@dataclass(frozen=True, slots=True)
class RigEdge:
    """An edge of a line, with its protector; `position` counts from the anchor, from 0."""

    id: str
    edge: Edge
    position: int
    protector_id: str | None
    protector: Protector | None

    @property
    def station(self) -> str:
        """What stations of the tension profile at this edge are called after."""
        return f"edge:{self.id}"

    @property
    def rough(self) -> bool:
        """Whether the bare edge is rough."""
        return has("surfaces", self.edge.surface, "rough")

    @property
    def stays(self) -> bool:
        """Whether there is a protector that stays where it is: tied, or gripping the rope.

        Only what wraps or covers the rope can grip it; a plate or a roller set must be tied.
        """
        if self.protector is None:
            return False
        return self.protector.tied or (self.protector.grips and not acts_alone(self.protector))

    @property
    def blade(self) -> bool:
        """Whether the bare edge is so sharp that only what replaces it keeps a rope from it."""
        return self.edge.radius.low < cell("general", "bare radius blade").expected

    @property
    def protected(self) -> bool:
        """Whether a protector stays and counts: nothing laid over a blade counts."""
        return self.stays and (self.replaced or not self.blade)

    @property
    def replaced(self) -> bool:
        """Whether a protector's own radius and surface stand in for the edge's."""
        return self.stays and self.protector is not None and acts_alone(self.protector)

    @property
    def held_in_fall(self) -> bool:
        """Whether a protector can be relied on when the line arrests a fall."""
        if not self.protected or self.protector is None:
            return False
        if self.replaced:
            return True
        credit = find("protections", self.protector.kind, "credit_fall")
        return credit is not None and credit.low > 0

    @property
    def roller(self) -> bool:
        """Whether the rope runs over a roller set here."""
        return self.replaced and self.protector is not None and self.protector.kind == "roller set"


@dataclass(frozen=True, slots=True)
class RigRedirect:
    """A redirect of a line; `position` is its place in the line's list, from 0."""

    id: str
    line: str
    redirect: Redirect
    position: int

    @property
    def keys(self) -> tuple[str | int, ...]:
        """Where it stands in the job file."""
        return ("lines", self.line, "redirects", self.position)

    @property
    def number(self) -> int:
        """Its number as printed, from 1."""
        return self.position + 1

    @property
    def station(self) -> str:
        """What stations of the tension profile at this redirect are called after."""
        return f"redirect:{self.number}"


Bend = RigEdge | RigRedirect
"""What turns a rope on its way: an edge it bears on, or a redirect it is led over."""


def acts_alone(protector: Protector) -> bool:
    """Whether a protector's own radius and surface take the place of the edge's."""
    return bool(said_of("protections", protector.kind, "acts") == "replace")


@dataclass(frozen=True, slots=True)
class RigLine:
    """A line with everything it names."""

    id: str
    line: Line
    rope: Rope
    anchor: Anchor
    load: Load
    site_id: str
    site: Site
    edges: tuple[RigEdge, ...]
    redirects: tuple[RigRedirect, ...] = ()

    @property
    def bends(self) -> tuple[Bend, ...]:
        """Edges and redirects in order from the anchor; a redirect at an edge comes after it."""
        at, places = 0.0, list[tuple[float, Bend]]()
        for edge, over in zip(self.edges, self.line.over, strict=True):
            at += over.after.expected
            places.append((at, edge))
        places += [(each.redirect.after.expected, each) for each in self.redirects]
        return tuple(each for _, each in sorted(places, key=lambda place: place[0]))

    @property
    def arrests(self) -> bool:
        """Whether the line can have to arrest a fall."""
        return self.line.role == "safety" or self.line.fall is not None

    @property
    def no_fall(self) -> str | None:
        """Why the line never has to arrest a fall, as the job says; None where it does not say."""
        return None if self.arrests else self.line.why_not("fall")

    @property
    def cases(self) -> tuple[str, ...]:
        """What is done with the line, hanging still first."""
        return ("hold", *(case for case in self.line.cases if case != "hold"))

    @property
    def raised(self) -> bool:
        """Whether something is hauled up on it, in the work or in a rescue."""
        rescue = self.line.rescue
        return "raise" in self.line.cases or (rescue is not None and rescue.how == "raise")

    @property
    def rescue_devices(self) -> tuple[str, ...]:
        """Devices that carry the rescue load: those stated for it, else every one of the line."""
        rescue = self.line.rescue
        if rescue is None:
            return ()
        return rescue.devices or self.line.devices

    @property
    def all_devices(self) -> tuple[str, ...]:
        """Devices of the line, then those that only its rescue uses."""
        return tuple(dict.fromkeys((*self.line.devices, *self.rescue_devices)))

    @property
    def by_hand(self) -> bool:
        """Whether a safety line is only taken in by hand, while another line raises the load."""
        return self.line.role == "safety" and self.line.why_not("haul") is not None

    @property
    def lowers(self) -> bool:
        """Whether a load is lowered on it, in the work or in a rescue."""
        rescue = self.line.rescue
        return "lower" in self.line.cases or (rescue is not None and rescue.how == "lower")

    @property
    def person(self) -> bool:
        """Whether people hang on it."""
        return self.load.people > 0

    @property
    def wet(self) -> bool:
        """Whether the rope counts as wet; where nothing is stated it does."""
        stated = self.line.wet if self.line.wet is not None else self.site.wet
        return stated is not False


@dataclass(frozen=True, slots=True)
class Rig:
    """All lines of a job, and which of them a load hangs on."""

    file: JobFile
    lines: tuple[RigLine, ...]

    @property
    def by_load(self) -> Mapping[str, tuple[RigLine, ...]]:
        """Lines by the load that hangs on them."""
        return grouped(self.lines, lambda each: each.line.load)


Item = TypeVar("Item")


def grouped(items: Iterable[Item], key: Callable[[Item], str]) -> dict[str, tuple[Item, ...]]:
    """Items by a name each of them has, in their order.

    >>> grouped(["red", "blue", "rose"], lambda word: word[0])
    {'r': ('red', 'rose'), 'b': ('blue',)}
    """
    groups: dict[str, tuple[Item, ...]] = {}
    for item in items:
        name = key(item)
        groups[name] = (*groups.get(name, ()), item)
    return groups


def rig_of(file: JobFile) -> Rig:
    """The rig of a job whose references have been checked."""
    return Rig(file, tuple(_line(file, id, line) for id, line in file.job.lines.items()))


def _line(file: JobFile, id: str, line: Line) -> RigLine:
    job = file.job
    edges = tuple(_edge(file, over.edge, i) for i, over in enumerate(line.over))
    site_id = line.site or edges[-1].edge.site
    return RigLine(
        id=id,
        line=line,
        rope=job.ropes[line.rope],
        anchor=job.anchors[line.anchor],
        load=job.loads[line.load],
        site_id=site_id,
        site=job.sites[site_id],
        edges=edges,
        redirects=tuple(
            RigRedirect(f"{id}.redirects[{n + 1}]", id, each, n)
            for n, each in enumerate(line.redirects)
        ),
    )


def _edge(file: JobFile, id: str, position: int) -> RigEdge:
    edge = file.job.edges[id]
    protector = file.job.protection[edge.protection] if edge.protection else None
    return RigEdge(id, edge, position, edge.protection, protector)
