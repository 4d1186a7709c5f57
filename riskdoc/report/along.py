"""What stands along a line, in order from its anchor: edges and redirects, numbered."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from riskdoc.i18n.say import say

if TYPE_CHECKING:
    from riskdoc.job.model import Job

Kind = Literal["anchor", "edge", "redirect", "load"]


@dataclass(frozen=True, slots=True)
class Node:
    """A place on a line.

    `number` counts from 1 at the anchor; `index` is its place among the line's edges or its
    redirects, from 0. `at` is the rope from the anchor to it [m] and `turn` how far it turns the
    rope [rad], both as expected.
    """

    number: int
    kind: Kind
    index: int
    at: float
    turn: float


def nodes(job: Job, line: str) -> tuple[Node, ...]:
    """The places of a line from its anchor to its load. A redirect at an edge comes after it."""
    it = job.lines[line]
    found: list[tuple[float, int, Kind, int, float]] = [(0.0, 0, "anchor", 0, 0.0)]
    at = 0.0
    for n, over in enumerate(it.over):
        at += over.after.expected
        found.append((at, n + 1, "edge", n, job.edges[over.edge].turn.expected))
    last = len(it.over) + 1
    whole = at + it.below.expected
    for n, each in enumerate(it.redirects):
        place = min(each.after.expected, whole)
        found.append((place, last, "redirect", n, each.turn.expected))
    found.append((whole, last + 1, "load", 0, 0.0))
    # The second entry keeps edges in their own order, and the anchor and the load at the ends.
    found.sort(key=lambda each: (each[0], each[1], each[3]))
    return tuple(
        Node(number, kind, index, place, turn)
        for number, (place, _, kind, index, turn) in enumerate(found, start=1)
    )


def name(job: Job, line: str, node: Node) -> str:
    """A place in words."""
    it = job.lines[line]
    if node.kind == "anchor":
        return say("Anchor {anchor}", anchor=it.anchor)
    if node.kind == "edge":
        return say("Edge {edge}", edge=it.over[node.index].edge)
    if node.kind == "redirect":
        redirect = it.redirects[node.index]
        return say("Redirect {n} at {anchor}", n=node.index + 1, anchor=redirect.anchor)
    return say("Load {load}", load=it.load)


def station(job: Job, line: str, node: Node, side: Literal["above", "below"]) -> str:
    """The station of the tension profile at one side of a place."""
    if node.kind == "edge":
        return f"edge:{job.lines[line].over[node.index].edge}:{side}"
    return f"redirect:{node.index + 1}:{side}" if node.kind == "redirect" else node.kind


def lengths(places: tuple[Node, ...]) -> list[float]:
    """Rope between each place and the next [m], as expected."""
    return [after.at - before.at for before, after in pairwise(places)]


def turns(places: tuple[Node, ...]) -> list[float]:
    """The turns between anchor and load [rad]."""
    return [each.turn for each in places[1:-1]]
