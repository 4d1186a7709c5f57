"""Rules that no number overrides: at edges, for the people on the lines, for what lines share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from riskdoc.assess.judge import rule
from riskdoc.assess.records import Check, Range, Verdict
from riskdoc.assess.rig import RigEdge, RigLine
from riskdoc.job.model import Protector
from riskdoc.language.units import amount
from riskdoc.tables.loader import cell

JUDGED = "rule of this requirement set (judgement)"


def edge_rules(line: RigLine, edge: RigEdge, covered: Range | None) -> Iterator[Check]:
    """Rules for one line at one edge; each yields only where it bites.

    `covered` is the share of the sweep within the protector's width, None where it is not known.
    A rope that is to arrest hangs slack and moves freely, so it may lie anywhere in its sweep.
    """
    if edge.edge.turn.high == 0:
        return
    yield from _sharp(line, edge, covered)
    yield from _shifted(line, edge)
    yield from _blade(line, edge)
    yield from _bare(line, edge, covered)


def _sharp(line: RigLine, edge: RigEdge, covered: Range | None) -> Iterator[Check]:
    name = f"line/{line.id}/edge/{edge.id}"
    least = cell("general", "bare radius fall")
    beside = edge.held_in_fall and covered is not None and covered.low < 1
    open_edge = not edge.held_in_fall or beside
    reach = line.site.reach_sideways
    swinging = line.person and reach is not None and reach.high > 0
    if not (line.arrests or swinging) or not open_edge or edge.edge.radius.low >= least.expected:
        return
    what = "can have to arrest a fall" if line.arrests else "can swing"
    where = (
        f"part of its sweep lies beside {edge.protector_id}"
        if beside
        else "nothing there would stay in place in a fall"
    )
    yield rule(
        f"{name}/rule/sharp",
        name,
        "Fall or swing over a sharp edge",
        Verdict.INADEQUATE,
        f"{line.id} {what} over {edge.id}, and {where}. Bare, its radius is "
        f"{amount(edge.edge.radius.low, 'mm', 'down')}; under "
        f"{amount(least.expected, 'mm', 'near')} a loaded rope can be cut at once.",
        "A tied plate, roller or pad as wide as the sweep, or an anchor below this edge.",
        f"{least.source} ({least.provenance})",
    )


def _shifted(line: RigLine, edge: RigEdge) -> Iterator[Check]:
    name = f"line/{line.id}/edge/{edge.id}"
    if not line.arrests or edge.protector is None or edge.held_in_fall:
        return
    yield rule(
        f"{name}/rule/cover",
        name,
        "Cover that a fall would shift",
        Verdict.INADEQUATE,
        f"{edge.protector_id} ({_kind(edge.protector)}) is all that lies between {line.id} and "
        f"{edge.id}; it cannot be relied on in a fall.",
        "A tied plate, roller or pad.",
        JUDGED,
    )


def _blade(line: RigLine, edge: RigEdge) -> Iterator[Check]:
    name = f"line/{line.id}/edge/{edge.id}"
    least = cell("general", "bare radius blade")
    if not line.person or edge.stays or edge.edge.radius.low >= least.expected:
        return
    yield rule(
        f"{name}/rule/blade",
        name,
        "Person over a bare blade",
        Verdict.INADEQUATE,
        f"Somebody hangs on {line.id} over {edge.id}, bare and of radius "
        f"{amount(edge.edge.radius.low, 'mm', 'down')}: so sharp an edge cuts, "
        "whatever the strands.",
        "A tied plate, roller or pad, or an anchor below this edge.",
        f"{least.source} ({least.provenance})",
    )


def _kind(protector: Protector) -> str:
    return protector.kind if protector.tied else f"{protector.kind}, untied"


def _bare(line: RigLine, edge: RigEdge, covered: Range | None) -> Iterator[Check]:
    name = f"line/{line.id}/edge/{edge.id}"
    least = cell("general", "bare radius person")
    hard = edge.rough or edge.edge.radius.low < least.expected
    beside = edge.stays and covered is not None and covered.expected < 1
    if not line.person or line.line.strands > 1 or not hard or (edge.stays and not beside):
        return
    what = "rough" if edge.rough else f"of radius under {amount(least.expected, 'mm', 'near')}"
    where = f", beside {edge.protector_id}," if beside else ""
    yield rule(
        f"{name}/rule/bare",
        name,
        "Person on one strand over a bare edge",
        Verdict.MARGINAL,
        f"Somebody hangs on the single strand of {line.id} over {edge.id}, which{where} is bare "
        f"and {what}.",
        "A tied plate, roller or pad as wide as the sweep, or two strands that share the load.",
        f"{least.source} ({least.provenance})",
    )


def load_rules(by_load: Mapping[str, tuple[RigLine, ...]]) -> Iterator[Check]:
    """Two lines, separately anchored, for a person, one of them judged for an arrest."""
    for load, lines in by_load.items():
        if lines[0].person:
            yield _two_lines(load, lines)


def _two_lines(load: str, lines: tuple[RigLine, ...]) -> Check:
    wanted = cell("general", "lines for a person")
    anchors = {line.line.anchor for line in lines}
    arresting = any(line.arrests for line in lines)
    enough = min(len(lines), len(anchors)) >= wanted.expected and arresting
    names = ", ".join(line.id for line in lines)
    reason = (
        f"{load} hangs on {_many(len(lines), 'line')} ({names}) from "
        f"{_many(len(anchors), 'separate anchor')}"
        f"{'' if arresting else ', none of which is a safety line or states a fall'}; "
        f"{wanted.expected:g} lines, separately anchored, are asked for a person, one of them "
        "able to arrest a fall."
    )
    return rule(
        f"load/{load}/lines",
        f"load/{load}",
        "Two lines, separately anchored",
        Verdict.ADEQUATE if enough else Verdict.INADEQUATE,
        reason,
        "" if enough else "A safety line from an anchor of its own.",
        f"{wanted.source} ({wanted.provenance})",
    )


def _many(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


SHARED = {
    "edge": "A place of its own for each line, apart along the edge, or two edges in the job file.",
    "protector": "A protector of its own for each line.",
    "rope": "A rope of its own for each line.",
}
"""What several lines may share at the cost of falling together, and what mends it."""


def common_rules(lines: tuple[RigLine, ...]) -> Iterator[Check]:
    """One edge, one protector or one rope under several lines: one cause takes them all."""
    for what, remedy in SHARED.items():
        for id, names in _users(lines, what).items():
            if len(names) < 2:
                continue
            yield rule(
                f"{'protection' if what == 'protector' else what}/{id}/common",
                f"{'protection' if what == 'protector' else what}/{id}",
                f"One {what} for several lines",
                Verdict.MARGINAL,
                f"{' and '.join(names)} share the {what} {id}: what damages one line there can "
                "damage the others.",
                remedy,
                JUDGED,
            )


def _users(lines: tuple[RigLine, ...], what: str) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for line in lines:
        for id in _shared_ids(line, what):
            found[id] = (*found.get(id, ()), line.id)
    return found


def _shared_ids(line: RigLine, what: str) -> set[str]:
    if what == "rope":
        return {line.line.rope}
    if what == "edge":
        return {edge.id for edge in line.edges}
    return {edge.protector_id for edge in line.edges if edge.protector_id is not None}
