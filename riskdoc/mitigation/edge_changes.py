"""Changes at an edge: what lies on it, how near the anchor stands, who shares it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from riskdoc.analysis.resolve import RigEdge, RigLine, acts_alone, grouped, rig_of
from riskdoc.i18n.message import Placed, message
from riskdoc.job.model import Job, Protector
from riskdoc.judgement.verdicts import Assessment
from riskdoc.mitigation.change import (
    BESIDE,
    Change,
    Level,
    amend,
    exactly,
    number,
    put,
    rule_out,
    scaled,
    without,
    written,
)
from riskdoc.quantities.printing import Exact
from riskdoc.quantities.quantity import Kind


def protect(job: Job, edge: str, part: Protector) -> Job:
    """The job with a protector of its own at an edge."""
    name = f"{part.kind} at {edge}"
    stated = without(job.edges[edge].ruled_out, "protection")
    return amend(
        put(job, "protection", name, part), "edges", edge, protection=name, ruled_out=stated
    )


def widen(job: Job, edge: str, width: float) -> Job:
    """The job with the protector of an edge tied and at least this wide [m], at that edge only."""
    old = job.edges[edge].protection
    if old is None:
        return job
    part = job.protection[old]
    wide = part.width
    if wide is not None and wide.low < width:
        wide = exactly(width, Kind.LENGTH, "mm")
    wider = part.model_copy(update={"tied": True, "width": wide})
    if sum(each.protection == old for each in job.edges.values()) == 1:
        return put(job, "protection", old, wider)
    name = f"{old}{BESIDE}{edge}"  # the same piece, for this edge only
    return amend(put(job, "protection", name, wider), "edges", edge, protection=name)


def re_anchor(job: Job, line: str, site: str) -> Job:
    """The job with a line anchored below its last edge, at the same anchor's strength.

    An edge that no line runs over any more is taken out, and its pictures: a job file may hold
    neither.
    """
    reason = written(job, message("anchored below the edge"))
    left = rule_out(amend(job, "lines", line, site=site), "lines", line, "over", reason)
    used = {over.edge for each in left.lines.values() for over in each.over}
    gone = {over.edge for over in job.lines[line].over} - used
    kept = {id: part for id, part in left.edges.items() if id not in gone}
    unseen = {f"edges.{id}" for id in gone}
    shown = {id: each for id, each in left.pictures.items() if each.of not in unseen}
    return left.model_copy(update={"edges": kept, "pictures": shown})


def nearer(job: Job, line: str, share: float) -> Job:
    """The job with the first edge of a line at this share of its distance from the anchor."""
    first, *rest = job.lines[line].over
    moved = first.model_copy(update={"after": scaled(first.after, share)})
    return amend(job, "lines", line, over=(moved, *rest))


def apart(job: Job, edge: str) -> Job:
    """The job with a place of its own at an edge for every line, and a protector on each."""
    done, first = job, True
    for name, line in job.lines.items():
        if edge not in (over.edge for over in line.over):
            continue
        if not first:
            done = _own_place(done, edge, name)
        first = False
    return done


def _own_place(job: Job, edge: str, line: str) -> Job:
    place = f"{edge}{BESIDE}{line}"
    part = job.edges[edge]
    if part.protection is not None:
        own = f"{part.protection}{BESIDE}{line}"
        job = put(job, "protection", own, job.protection[part.protection])
        part = part.model_copy(update={"protection": own})
    over = tuple(
        each.model_copy(update={"edge": place}) if each.edge == edge else each
        for each in job.lines[line].over
    )
    return amend(put(job, "edges", place, part), "lines", line, over=over)


def own_protectors(job: Job, protector: str) -> Job:
    """The job with a copy of a protector at every edge that names it."""
    done, first = job, True
    for name, edge in job.edges.items():
        if edge.protection != protector:
            continue
        if not first:
            own = f"{protector}{BESIDE}{name}"
            done = put(done, "protection", own, job.protection[protector])
            done = amend(done, "edges", name, protection=own)
        first = False
    return done


def edge_changes(plan: Assessment) -> Iterator[Change]:
    """Every change at the edges of a plan that could be made."""
    lines = rig_of(plan.file).lines
    for edge, users in _users(lines):
        yield from _protections(plan, edge, users)
        if len(users) > 1:
            yield Change(
                f"apart/{edge.id}",
                message(
                    "A place of its own at edge ‘{edge}’ for each line, with a protector each",
                    edge=edge.id,
                ),
                Level.ENGINEER,
                message(
                    "lead the lines apart along the edge, so that one event cannot damage both"
                ),
                (f"edges.{edge.id}",),
                partial(apart, edge=edge.id),
            )
    yield from _shared_protectors(plan)
    for line in lines:
        yield from _anchored(line)


def _users(lines: tuple[RigLine, ...]) -> Iterator[tuple[RigEdge, tuple[str, ...]]]:
    """Edges that turn a rope, each once, with the lines that run over it."""
    over = grouped(
        ((edge, line.id) for line in lines for edge in line.edges), lambda each: each[0].id
    )
    for users in over.values():
        edge = users[0][0]
        if edge.edge.turn.high > 0:
            yield edge, tuple(line for _, line in users)


def _protections(plan: Assessment, edge: RigEdge, users: tuple[str, ...]) -> Iterator[Change]:
    width = _width(plan, edge.id, users)
    if width is None:
        return
    wide = Exact(width, "mm", "up")
    kind = edge.protector.kind if edge.replaced and edge.protector is not None else ""
    tied = message("secure it so that it cannot move, and inspect it before each descent")
    offered = [
        ("roller", "roller set", number("roller radius"), kind != "roller set"),
        ("rigid plate", "rigid plate", number("plate radius"), not kind),
        ("thick pad", "thick pad", None, edge.protector is None and not edge.blade),
    ]
    for name, what, radius, wanted in offered:
        if not wanted:
            continue
        part = Protector.model_construct(
            kind=what,
            tied=True,
            width=exactly(width, Kind.LENGTH, "mm"),
            radius=None if radius is None else exactly(radius, Kind.LENGTH, "mm"),
            surface="polished metal" if what == "rigid plate" else None,
        )
        yield Change(
            f"{name}/{edge.id}",
            message(
                "Secured {what} at edge ‘{edge}’, {wide} wide",
                what=message(what),
                edge=edge.id,
                wide=wide,
            ),
            Level.ENGINEER,
            tied,
            (f"edges.{edge.id}.protection",),
            partial(protect, edge=edge.id, part=part),
        )
    counts = edge.protector is not None and (not edge.blade or acts_alone(edge.protector))
    if edge.protector is not None and counts and _short(edge.protector, width):
        yield Change(
            f"wider/{edge.id}",
            message(
                "{kind} at edge ‘{edge}’ secured and {wide} wide",
                kind=Placed(message(edge.protector.kind), "start"),
                edge=edge.id,
                wide=wide,
            ),
            Level.ENGINEER,
            tied,
            (f"edges.{edge.id}.protection",),
            partial(widen, edge=edge.id, width=width),
        )


def _short(part: Protector, width: float) -> bool:
    return not part.tied or (part.width is not None and part.width.low < width)


def _width(plan: Assessment, edge: str, users: tuple[str, ...]) -> float | None:
    """The greatest sweep of any line at an edge, up to the next step; None where not known."""
    step, sweeps = number("width step"), []
    for line in users:
        found = plan.figure(f"line/{line}/edge/{edge}/sweep")
        if found is None:
            return None
        sweeps.append(found.range.high)
    # A sweep within a billionth of a step is that step: the last bits are the computer's.
    return max(1, math.ceil(max(sweeps) / step - 1e-9)) * step


def _shared_protectors(plan: Assessment) -> Iterator[Change]:
    job = plan.file.job
    for name in job.protection:
        edges = [id for id, edge in job.edges.items() if edge.protection == name]
        if len(edges) > 1:
            yield Change(
                f"own protector/{name}",
                message(
                    "A {kind} of its own at each of the edges {edges}",
                    kind=message(job.protection[name].kind),
                    edges=", ".join(f"‘{each}’" for each in edges),
                ),
                Level.ENGINEER,
                message("secure each by itself"),
                (f"protection.{name}",),
                partial(own_protectors, protector=name),
            )


def _anchored(line: RigLine) -> Iterator[Change]:
    """An anchor below the edge, or nearer to it; not where redirects are measured from it."""
    if not line.edges or line.line.redirects:
        return
    last, first = line.edges[-1], line.edges[0]
    yield Change(
        f"re-anchor/{line.id}",
        message(
            "Line ‘{line}’ anchored below edge ‘{last}’, so that it runs over no edge",
            line=line.id,
            last=last.id,
        ),
        Level.ELIMINATE,
        message(
            "find or make an anchor there as strong as ‘{anchor}’, and a way to it",
            anchor=line.line.anchor,
        ),
        (f"lines.{line.id}.over",),
        partial(re_anchor, line=line.id, site=line.site_id),
    )
    before = line.line.over[0].after
    if before.low * number("anchor distance kept") >= number("anchor distance least"):
        share = number("anchor distance kept")
        yield Change(
            f"nearer/{line.id}",
            message(
                "Anchor of line ‘{line}’ at {share:.0%} of its distance from edge ‘{first}’",
                line=line.id,
                share=share,
                first=first.id,
            ),
            Level.ENGINEER,
            message("an anchor as strong as ‘{anchor}’, nearer the edge", anchor=line.line.anchor),
            (f"lines.{line.id}.over",),
            partial(nearer, line=line.id, share=share),
        )
