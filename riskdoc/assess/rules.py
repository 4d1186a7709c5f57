"""Rules that no number overrides, at edges and for the people on the lines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from riskdoc.assess.inputs import default
from riskdoc.assess.judge import rule
from riskdoc.assess.records import Check, Verdict
from riskdoc.assess.rig import RigEdge, RigLine
from riskdoc.assess.words import say
from riskdoc.job.model import Protector
from riskdoc.tables.loader import cell

JUDGED = "rule of this requirement set (judgement)"


def edge_rules(line: RigLine, edge: RigEdge) -> Iterator[Check]:
    """Rules for one line at one edge; each yields only where it bites."""
    name = f"line/{line.id}/edge/{edge.id}"
    sharp = default("general", "bare radius fall", "r").expected
    if line.arrests and not edge.held_in_fall and edge.edge.radius.low < sharp:
        yield rule(
            f"{name}/rule/sharp", name, "Fall over a sharp edge", Verdict.INADEQUATE,
            f"{line.id} can have to arrest a fall over {edge.id}, where nothing that would stay in "
            f"place covers a radius of {say(edge.edge.radius.low * 1000, 'mm', 'down')}: "
            f"under {sharp * 1000:g} mm a loaded rope can be cut at once.",
            "A tied plate, roller or pad at this edge, or an anchor below it.",
            cell("general", "bare radius fall").source + " (judgement)",
        )  # fmt: skip
    if line.arrests and edge.protector is not None and not edge.held_in_fall:
        yield rule(
            f"{name}/rule/cover", name, "Cover that a fall would shift", Verdict.INADEQUATE,
            f"{edge.protector_id} ({_kind(edge.protector)}) "
            f"is all that lies between {line.id} and {edge.id}; it cannot be relied on in a fall.",
            "A tied plate, roller or pad.",
            JUDGED,
        )  # fmt: skip
    yield from _bare(line, edge, name)


def _kind(protector: Protector) -> str:
    return protector.kind if protector.tied else f"{protector.kind}, untied"


def _bare(line: RigLine, edge: RigEdge, name: str) -> Iterator[Check]:
    least = cell("general", "bare radius person")
    hard = edge.rough or edge.edge.radius.low < least.expected
    if line.person and line.line.strands == 1 and edge.protector is None and hard:
        what = "rough" if edge.rough else f"of radius under {least.expected * 1000:g} mm"
        yield rule(
            f"{name}/rule/bare", name, "Person on one strand over a bare edge", Verdict.MARGINAL,
            f"Somebody hangs on the single strand of {line.id} over {edge.id}, which is bare and "
            f"{what}.",
            "A tied plate, roller or pad, or two strands that share the load.",
            f"{least.source} ({least.provenance})",
        )  # fmt: skip


def load_rules(by_load: Mapping[str, tuple[RigLine, ...]]) -> Iterator[Check]:
    """Two lines, separately anchored, for a person; and no edge or protector under both."""
    for load, lines in by_load.items():
        if lines[0].load.people:
            yield _two_lines(load, lines)
        yield from _common(load, lines)


def _two_lines(load: str, lines: tuple[RigLine, ...]) -> Check:
    wanted = cell("general", "lines for a person")
    anchors = {line.line.anchor for line in lines}
    enough = len(lines) >= wanted.expected and len(anchors) >= wanted.expected
    names = ", ".join(line.id for line in lines)
    reason = (
        f"{load} hangs on {len(lines)} line{'s' if len(lines) > 1 else ''} ({names}) from "
        f"{len(anchors)} separate anchor{'s' if len(anchors) > 1 else ''}; "
        f"{wanted.expected:g} lines, separately anchored, are asked for a person."
    )
    return rule(
        f"load/{load}/lines", f"load/{load}", "Two lines, separately anchored",
        Verdict.ADEQUATE if enough else Verdict.INADEQUATE,
        reason, "" if enough else "A second line from an anchor of its own.",
        f"{wanted.source} ({wanted.provenance})",
    )  # fmt: skip


def _common(load: str, lines: tuple[RigLine, ...]) -> Iterator[Check]:
    for what, users in (("edge", _users(lines, "edge")), ("protector", _users(lines, "protector"))):
        for id, names in users.items():
            if len(names) < 2:
                continue
            yield rule(
                f"load/{load}/common/{what}/{id}", f"load/{load}", f"One {what} for several lines",
                Verdict.MARGINAL,
                f"{' and '.join(names)} all run over the one {what} {id}: what damages one line "
                "there can damage the others.",
                f"A place and a protector of its own for each line, apart along the {what}."
                if what == "edge" else "A protector of its own for each line.",
                JUDGED,
            )  # fmt: skip


def _users(lines: tuple[RigLine, ...], what: str) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for line in lines:
        for edge in line.edges:
            id = edge.id if what == "edge" else edge.protector_id
            if id is not None and line.id not in found.get(id, ()):
                found[id] = (*found.get(id, ()), line.id)
    return found
