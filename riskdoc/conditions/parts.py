"""Parts of a job that conditions go over one by one: lines, sites, anchors, people and so on."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from riskdoc.analysis.resolve import RigEdge, RigLine
from riskdoc.conditions.plan import Asked
from riskdoc.job import model


@dataclass(frozen=True)
class Part:
    """A part of a job: `key` is where the job file has it, `words` are those that texts may use.

    `rig` is the line or edge with its names resolved.
    """

    kind: str
    id: str
    key: str
    model: Any
    words: Mapping[str, str] = field(default_factory=dict)
    rig: Any = None

    def within(self, outer: Part) -> Part:
        """The part with the words of what it was found in as well."""
        words = {**outer.words, **self.words}
        return Part(self.kind, self.id, self.key, self.model, words, self.rig)


@dataclass(frozen=True)
class Kind:
    """A kind of part: the words it gives to texts, and the model its keys are those of."""

    words: tuple[str, ...]
    models: tuple[type, ...]


KINDS: Mapping[str, Kind] = {
    "job": Kind((), (model.Job,)),
    "line": Kind(("line", "rope", "anchor", "load", "site"), (model.Line,)),
    "site": Kind(("name",), (model.Site,)),
    "anchor": Kind(("name",), (model.Anchor,)),
    "edge": Kind(("name",), (model.Edge,)),
    "edge of a line": Kind(("edge", "protector"), (model.Edge,)),
    "load": Kind(("load", "names", "lines"), (model.Load,)),
    "device": Kind(("name",), (model.Device,)),
    "redirect": Kind(("anchor",), (model.Redirect,)),
    "kit": Kind(("name",), (model.Rope, model.Device)),
    "rescue": Kind((), (model.RescuePlan,)),
    "person": Kind(("person",), (model.Person,)),
    "other work": Kind(("each",), ()),
    "shared part": Kind(("what", "id"), ()),
    "hazard": Kind(("hazard",), ()),
}
PLAIN: Mapping[str, tuple[str, ...]] = {
    "hazard": ("title", "who", "how", "controls", "harmed"),
    "shared part": ("kind",),
}
"""Keys of parts that are no part of a job file."""
Find = Callable[[Asked, Part], Iterable[Part]]


@dataclass(frozen=True)
class Scope:
    """What conditions go over: parts of one kind, found in the job or `within` one part of it."""

    kind: str
    find: Find
    within: str | None = None


def whole(ask: Asked) -> Part:
    """The whole job as a part."""
    return Part("job", "", "", ask.job)


def of_line(line: RigLine) -> Part:
    """A line."""
    stated = line.line if line.line.site else line.line.model_copy(update={"site": line.site_id})
    words = {"line": line.id, "rope": line.line.rope, "anchor": line.line.anchor,
             "load": line.line.load, "site": line.site_id}  # fmt: skip
    return Part("line", line.id, f"lines.{line.id}", stated, words, line)


def _named(kind: str, section: str, ids: Iterable[str], parts: Mapping[str, Any]) -> Iterator[Part]:
    for id in dict.fromkeys(ids):
        yield Part(kind, id, f"{section}.{id}", parts[id], {"name": id})


def anchors(ask: Asked, ids: Iterable[str]) -> Iterator[Part]:
    """Anchors, each once."""
    return _named("anchor", "anchors", ids, ask.job.anchors)


def _load(ask: Asked, id: str) -> Part:
    names = ", ".join(line.id for line in ask.loads[id])
    words = {"load": id, "names": names, "lines": names}
    return Part("load", id, f"loads.{id}", ask.job.loads[id], words)


def _edge(edge: RigEdge) -> Part:
    words = {"edge": edge.id, "protector": edge.protector_id or ""}
    return Part("edge of a line", edge.id, f"edges.{edge.id}", edge.edge, words, edge)


def _kit(ask: Asked, *, people: bool) -> Iterator[Part]:
    """Ropes, then devices, of the lines that carry people or things."""
    lines = [line for line in ask.lines if line.person is people]
    for id in dict.fromkeys(line.line.rope for line in lines):
        yield Part("kit", id, f"ropes.{id}", ask.job.ropes[id], {"name": f"ropes.{id}"})
    for id in dict.fromkeys(each for line in lines for each in line.all_devices):
        yield Part("kit", id, f"devices.{id}", ask.job.devices[id], {"name": f"devices.{id}"})


def _all_kit(ask: Asked) -> Iterable[Part]:
    parts = [*_kit(ask, people=True), *_kit(ask, people=False)]
    return {each.key: each for each in parts}.values()


def _rescue(ask: Asked, line: Part) -> Part:
    plan = ask.job.rescue
    key = f"rescue.lines.{line.id}" if line.id in plan.lines else "rescue"
    return Part("rescue", line.id, key, plan.of_line(line.id))


def _hazard(each: Any) -> Part:  # noqa: ANN401  (a hazard as the register hands it over)
    controls = tuple(text for texts in each.controls.values() for text in texts)
    held = {"title": each.title, "who": each.who, "how": each.how, "controls": controls,
            "harmed": getattr(each, "harmed", ())}  # fmt: skip
    return Part("hazard", each.title, "hazards", held, {"hazard": each.title})


def _shared(ask: Asked) -> Iterator[Part]:
    """What several lines share, as the checks of it name it."""
    for check in ask.matching(["*/common"]):
        what, id, _ = check.id.split("/")
        yield Part("shared part", id, f"{what}.{id}", {"kind": what}, {"what": what, "id": id})


def users(lines: Iterable[RigLine], what: str, id: str) -> tuple[RigLine, ...]:
    """The lines that use an edge, a protector (`protection`) or a rope, in the order of the job."""
    used: dict[str, Callable[[RigLine], set[str | None]]] = {
        "edge": lambda line: {edge.id for edge in line.edges},
        "protection": lambda line: {edge.protector_id for edge in line.edges},
        "rope": lambda line: {line.line.rope},
    }
    return tuple(line for line in lines if id in used[what](line))


def _others(ask: Asked) -> Iterator[Part]:
    for n, text in enumerate((ask.job.work.others if ask.job.work else None) or (), start=1):
        yield Part("other work", str(n), f"work.others[{n}]", None, {"each": text})


def _pulling(lines: Iterable[RigLine]) -> list[str]:
    """Anchors that lines end at, then those that their redirects hang on."""
    ends = list(lines)
    return [each.line.anchor for each in ends] + [
        redirect.anchor for each in ends for redirect in each.line.redirects
    ]


def _safety(ask: Asked) -> list[str]:
    return [line.line.anchor for line in ask.descents if line.line.role == "safety"]


SCOPES: Mapping[str, Scope] = {
    "lines": Scope("line", lambda ask, _: map(of_line, ask.lines)),
    "lines under people": Scope("line", lambda ask, _: map(of_line, ask.manned)),
    "lines under things": Scope(
        "line", lambda ask, _: (of_line(each) for each in ask.lines if not each.person)
    ),
    "lines of the descent": Scope("line", lambda ask, _: map(of_line, ask.descents)),
    "lines of the load": Scope(
        "line", lambda ask, load: map(of_line, ask.loads[load.id]), within="load"
    ),
    "lines that end at the anchor": Scope(
        "line",
        lambda ask, anchor: (of_line(each) for each in ask.lines if each.line.anchor == anchor.id),
        within="anchor",
    ),
    "lines that share it": Scope(
        "line",
        lambda ask, it: map(of_line, users(ask.lines, it.words["what"], it.id)),
        within="shared part",
    ),
    "loads with people": Scope("load", lambda ask, _: (_load(ask, id) for id in ask.loads)),
    "loads of the descent": Scope(
        "load",
        lambda ask, _: (
            _load(ask, id) for id in dict.fromkeys(each.line.load for each in ask.descents)
        ),
    ),
    "sites": Scope("site", lambda ask, _: _named("site", "sites", ask.job.sites, ask.job.sites)),
    "sites of the descent": Scope(
        "site",
        lambda ask, _: _named(
            "site", "sites", (each.site_id for each in ask.descents), ask.job.sites
        ),
    ),
    "anchors": Scope("anchor", lambda ask, _: anchors(ask, ask.job.anchors)),
    "anchors of lines": Scope(
        "anchor", lambda ask, _: anchors(ask, (each.line.anchor for each in ask.lines))
    ),
    "anchors of lines under people": Scope(
        "anchor", lambda ask, _: anchors(ask, (each.line.anchor for each in ask.manned))
    ),
    "anchors of the descent": Scope("anchor", lambda ask, _: anchors(ask, _pulling(ask.descents))),
    "anchors of safety lines of the descent": Scope(
        "anchor", lambda ask, _: anchors(ask, _safety(ask))
    ),
    "edges": Scope("edge", lambda ask, _: _named("edge", "edges", ask.job.edges, ask.job.edges)),
    "edges of the line": Scope(
        "edge of a line", lambda _, line: map(_edge, line.rig.edges), within="line"
    ),
    "devices of the line": Scope(
        "device",
        lambda ask, line: _named("device", "devices", line.rig.line.devices, ask.job.devices),
        within="line",
    ),
    "redirects of the line": Scope(
        "redirect",
        lambda _, line: (
            Part("redirect", str(n), f"{line.key}.redirects[{n}]", each, {"anchor": each.anchor})
            for n, each in enumerate(line.rig.line.redirects, start=1)
        ),
        within="line",
    ),
    "rescue from the line": Scope("rescue", lambda ask, line: [_rescue(ask, line)], within="line"),
    "kit under people": Scope("kit", lambda ask, _: _kit(ask, people=True)),
    "kit under things": Scope("kit", lambda ask, _: _kit(ask, people=False)),
    "kit of lines": Scope("kit", lambda ask, _: _all_kit(ask)),
    "people": Scope(
        "person",
        lambda ask, _: (
            Part("person", id, f"people.{id}", each, {"person": each.name})
            for id, each in ask.job.people.items()
        ),
    ),
    "other work": Scope("other work", lambda ask, _: _others(ask)),
    "what lines share": Scope("shared part", lambda ask, _: _shared(ask)),
    "hazards": Scope("hazard", lambda ask, _: map(_hazard, ask.hazards)),
}
"""What `each` and `of` may go over."""


def parts_of(ask: Asked, scope: str, outer: Part) -> Iterator[Part]:
    """The parts of a scope, with the words of what they are found in."""
    return (part.within(outer) for part in SCOPES[scope].find(ask, outer))


def parts_at(ask: Asked, path: Sequence[str], outer: Part) -> Iterator[Part]:
    """The parts at the end of a path of scopes, one within the other; `outer` itself without."""
    if not path:
        yield outer
        return
    for each in parts_of(ask, path[0], outer):
        yield from parts_at(ask, path[1:], each)
