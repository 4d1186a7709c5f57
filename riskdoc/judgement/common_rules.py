"""Rules that no number overrides, for what lines share."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.analysis.resolve import RigLine
from riskdoc.i18n.message import joined, message
from riskdoc.i18n.say import mark
from riskdoc.judgement.judge import JUDGED, rule
from riskdoc.judgement.verdicts import Check, Verdict

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
                message(title),
                Verdict.BORDERLINE,
                message(reason, names=joined(names, message(" and ")), id=id),
                message(remedy),
                message(JUDGED),
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
