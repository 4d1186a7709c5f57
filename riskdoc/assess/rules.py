"""Rules that no number overrides: for the people on the lines, and for what lines share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from riskdoc.assess.inputs import sourced
from riskdoc.assess.judge import rule
from riskdoc.assess.records import Check, Verdict
from riskdoc.assess.rig import RigLine
from riskdoc.language.say import many, mark, say
from riskdoc.tables.loader import cell

JUDGED = mark("rule of this requirement set (judgement)")


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
    parts = {
        "load": load,
        "lines": many("{count} line", "{count} lines", len(lines)),
        "names": names,
        "anchors": many("{count} separate anchor", "{count} separate anchors", len(anchors)),
        "wanted": f"{wanted.expected:g}",
    }
    reason = say(
        "{load} hangs on {lines} ({names}) from {anchors}; {wanted} lines, separately anchored, "
        "are asked for a person, one of them able to arrest a fall.",
        **parts,
    )
    if not arresting:
        reason = say(
            "{load} hangs on {lines} ({names}) from {anchors}, none of which is a safety line or "
            "states a fall; {wanted} lines, separately anchored, are asked for a person, one of "
            "them able to arrest a fall.",
            **parts,
        )
    return rule(
        f"load/{load}/lines",
        f"load/{load}",
        say("Two lines, separately anchored"),
        Verdict.ADEQUATE if enough else Verdict.INADEQUATE,
        reason,
        "" if enough else say("A safety line from an anchor of its own."),
        sourced(wanted),
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
