"""Rules that no number overrides: at edges, for the people on the lines, for what lines share."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.assess.inputs import sourced
from riskdoc.assess.judge import rule
from riskdoc.assess.records import Check, Range, Verdict
from riskdoc.assess.rig import RigEdge, RigLine
from riskdoc.job.model import Protector
from riskdoc.language.say import mark, say
from riskdoc.language.units import amount
from riskdoc.tables.loader import cell

JUDGED = mark("rule of this requirement set (judgement)")


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


SHARP = {
    "fall": (
        mark(
            "{line} can have to arrest a fall over {edge}, and nothing there would stay in place "
            "in a fall. Bare, its radius is {radius}; under {least} a loaded rope can be cut at "
            "once."
        ),
        mark(
            "{line} can have to arrest a fall over {edge}, and part of its sweep lies beside "
            "{protector}. Bare, its radius is {radius}; under {least} a loaded rope can be cut at "
            "once."
        ),
    ),
    "swing": (
        mark(
            "{line} can swing over {edge}, and nothing there would stay in place in a fall. Bare, "
            "its radius is {radius}; under {least} a loaded rope can be cut at once."
        ),
        mark(
            "{line} can swing over {edge}, and part of its sweep lies beside {protector}. Bare, "
            "its radius is {radius}; under {least} a loaded rope can be cut at once."
        ),
    ),
}
"""What a line does over a sharp edge: with nothing that stays, and beside a protector."""


def _sharp(line: RigLine, edge: RigEdge, covered: Range | None) -> Iterator[Check]:
    name = f"line/{line.id}/edge/{edge.id}"
    least = cell("general", "bare radius fall")
    beside = edge.held_in_fall and covered is not None and covered.low < 1
    open_edge = not edge.held_in_fall or beside
    reach = line.site.reach_sideways
    swinging = line.person and reach is not None and reach.high > 0
    if not (line.arrests or swinging) or not open_edge or edge.edge.radius.low >= least.expected:
        return
    yield rule(
        f"{name}/rule/sharp",
        name,
        say("Fall or swing over a sharp edge"),
        Verdict.INADEQUATE,
        say(
            SHARP["fall" if line.arrests else "swing"][beside],
            line=line.id,
            edge=edge.id,
            protector=edge.protector_id,
            radius=amount(edge.edge.radius.low, "mm", "down"),
            least=amount(least.expected, "mm", "near"),
        ),
        say("A tied plate, roller or pad as wide as the sweep, or an anchor below this edge."),
        sourced(least),
    )


def _shifted(line: RigLine, edge: RigEdge) -> Iterator[Check]:
    name = f"line/{line.id}/edge/{edge.id}"
    if not line.arrests or edge.protector is None or edge.held_in_fall:
        return
    yield rule(
        f"{name}/rule/cover",
        name,
        say("Cover that a fall would shift"),
        Verdict.INADEQUATE,
        say(
            "{protector} ({kind}) is all that lies between {line} and {edge}; it cannot be relied "
            "on in a fall.",
            protector=edge.protector_id,
            kind=_kind(edge.protector),
            line=line.id,
            edge=edge.id,
        ),
        say("A tied plate, roller or pad."),
        say(JUDGED),
    )


def _blade(line: RigLine, edge: RigEdge) -> Iterator[Check]:
    name = f"line/{line.id}/edge/{edge.id}"
    least = cell("general", "bare radius blade")
    if not line.person or edge.stays or edge.edge.radius.low >= least.expected:
        return
    yield rule(
        f"{name}/rule/blade",
        name,
        say("Person over a bare blade"),
        Verdict.INADEQUATE,
        say(
            "Somebody hangs on {line} over {edge}, bare and of radius {radius}: so sharp an edge "
            "cuts, whatever the strands.",
            line=line.id,
            edge=edge.id,
            radius=amount(edge.edge.radius.low, "mm", "down"),
        ),
        say("A tied plate, roller or pad, or an anchor below this edge."),
        sourced(least),
    )


def _kind(protector: Protector) -> str:
    kind = say(protector.kind)
    return kind if protector.tied else say("{kind}, untied", kind=kind)


BARE = {
    "rough": (
        mark("Somebody hangs on the single strand of {line} over {edge}, which is bare and rough."),
        mark(
            "Somebody hangs on the single strand of {line} over {edge}, which, beside "
            "{protector}, is bare and rough."
        ),
    ),
    "sharp": (
        mark(
            "Somebody hangs on the single strand of {line} over {edge}, which is bare and of "
            "radius under {least}."
        ),
        mark(
            "Somebody hangs on the single strand of {line} over {edge}, which, beside "
            "{protector}, is bare and of radius under {least}."
        ),
    ),
}
"""What a bare edge is: with nothing that stays, and beside a protector."""


def _bare(line: RigLine, edge: RigEdge, covered: Range | None) -> Iterator[Check]:
    name = f"line/{line.id}/edge/{edge.id}"
    least = cell("general", "bare radius person")
    hard = edge.rough or edge.edge.radius.low < least.expected
    beside = edge.stays and covered is not None and covered.expected < 1
    if not line.person or line.line.strands > 1 or not hard or (edge.stays and not beside):
        return
    yield rule(
        f"{name}/rule/bare",
        name,
        say("Person on one strand over a bare edge"),
        Verdict.BORDERLINE,
        say(
            BARE["rough" if edge.rough else "sharp"][beside],
            line=line.id,
            edge=edge.id,
            protector=edge.protector_id,
            least=amount(least.expected, "mm", "near"),
        ),
        say(
            "A tied plate, roller or pad as wide as the sweep, or two strands that share the load."
        ),
        sourced(least),
    )


SHARED = {
    "edge": (
        mark("One edge for several lines"),
        mark("{names} share the edge {id}: what damages one line there can damage the others."),
        mark(
            "A place of its own for each line, apart along the edge, or two edges in the job file."
        ),
    ),
    "protector": (
        mark("One protector for several lines"),
        mark(
            "{names} share the protector {id}: what damages one line there can damage the others."
        ),
        mark("A protector of its own for each line."),
    ),
    "rope": (
        mark("One rope for several lines"),
        mark("{names} share the rope {id}: what damages one line there can damage the others."),
        mark("A rope of its own for each line."),
    ),
}
"""What several lines may share at the cost of falling together: title, reason, what mends it."""


def common_rules(lines: tuple[RigLine, ...]) -> Iterator[Check]:
    """One edge, one protector or one rope under several lines: one cause takes them all."""
    for what, (title, reason, remedy) in SHARED.items():
        for id, names in _users(lines, what).items():
            if len(names) < 2:
                continue
            yield rule(
                f"{'protection' if what == 'protector' else what}/{id}/common",
                f"{'protection' if what == 'protector' else what}/{id}",
                say(title),
                Verdict.BORDERLINE,
                say(reason, names=say(" and ").join(names), id=id),
                say(remedy),
                say(JUDGED),
            )


def _users(lines: tuple[RigLine, ...], what: str) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for line in lines:
        for id in _shared_ids(line, what):
            found[id] = (*found.get(id, ()), line.id)
    return found


def _shared_ids(line: RigLine, what: str) -> tuple[str, ...]:
    """What a line has of a kind, each once, from the anchor on."""
    if what == "rope":
        return (line.line.rope,)
    if what == "edge":
        return tuple(dict.fromkeys(edge.id for edge in line.edges))
    return tuple(dict.fromkeys(edge.protector_id for edge in line.edges if edge.protector_id))
