"""Names that point from one part of a job to another: whether they point anywhere."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from riskdoc.job.draft import UNSOUND
from riskdoc.job.faults import Code, nearest, shown
from riskdoc.job.fields import PICTURED
from riskdoc.job.model import Job, Part, Picture
from riskdoc.job.model_findings import Found
from riskdoc.job.nodes import Path

SECTIONS = {
    "people": "person",
    "sites": "site",
    "anchors": "anchor",
    "edges": "edge",
    "protection": "protector",
    "ropes": "rope",
    "loads": "load",
    "devices": "device",
    "lines": "line",
}
BEARING = {
    "edges": "Name it in the 'over' of the line that runs over it",
    "loads": "Name it in the 'load' of the line it hangs on",
}
"""Sections of which an unused part is a fault, with what would do: what it bears is not judged."""


@dataclass(frozen=True, slots=True)
class Reference:
    """A name that stands at a path and points into a section."""

    path: Path
    section: str
    name: str


def references(part: Part, path: Path = ()) -> Iterator[Reference]:
    """Every reference in a part and below it, in the order of the model."""
    for name, field in type(part).model_fields.items():
        value, here = getattr(part, name), (*path, field.alias or name)
        extra = field.json_schema_extra
        section = extra.get("ref") if isinstance(extra, dict) else None
        for spot, item in _items(value, here):
            if isinstance(item, Part):
                yield from references(item, spot)
            elif section and isinstance(item, str):
                yield Reference(spot, str(section), item)


def _items(value: Any, path: Path) -> Iterator[tuple[Path, Any]]:  # noqa: ANN401
    if value is UNSOUND or value is None:
        return
    if isinstance(value, dict):
        yield from (((*path, key), item) for key, item in value.items())
    elif isinstance(value, tuple):
        yield from (((*path, index), item) for index, item in enumerate(value))
    else:
        yield path, value


def dangling(job: Job) -> Iterator[Found]:
    """A finding for each name that points nowhere; sections that are unsound are passed over."""
    for reference in references(job):
        names = getattr(job, reference.section)
        if names is UNSOUND or reference.name in names:
            continue
        kind = SECTIONS[reference.section]
        yield Found(
            Code.DANGLING,
            reference.path,
            f"there is no {kind} {shown(reference.name)}",
            _tip(job, reference, list(names)),
        )


def _tip(job: Job, reference: Reference, names: list[str]) -> str:
    near = nearest(reference.name, names)
    if near:
        return f"Did you mean {shown(near)}?"
    elsewhere = [
        kind
        for section, kind in SECTIONS.items()
        if getattr(job, section) is not UNSOUND and reference.name in getattr(job, section)
    ]
    other = f"That is the id of {_a(elsewhere[0])}. " if elsewhere else ""
    known = ", ".join(shown(name)[1:-1] for name in names[:12]) or "none"
    return f"{other}Ids under {reference.section}: {known}."


def unused(job: Job, others: Sequence[Job]) -> Iterator[tuple[str, str]]:
    """Section and id of every part that nothing names, in the job or in its alternatives."""
    used = {(each.section, each.name) for one in (job, *others) for each in references(one)}
    for section in SECTIONS:
        if section in ("people", "lines", "sites"):
            continue  # they need nobody to name them
        for name in getattr(job, section):
            if (section, name) not in used:
                yield section, name


def unborne(job: Job, others: Sequence[Job]) -> Iterator[Found]:
    """An edge that no rope runs over, or a load that hangs on nothing: a line was left out."""
    for section, name in unused(job, others):
        if section in BEARING:
            kind = SECTIONS[section]
            yield Found(
                Code.UNUSED_EDGE_OR_LOAD,
                (section, name),
                f"no line names the {kind} {shown(name)}, so nothing of it is judged",
                f"{BEARING[section]}, or take the {kind} out.",
            )


def _a(kind: str) -> str:
    return f"an {kind}" if kind[0] in "ae" else f"a {kind}"


def pictured_part(job: Job, on: date, path: Path, picture: Picture) -> Iterator[Found]:
    """A picture shows a part that is there, named by its section and id."""
    if picture.of is None:
        return
    section, _, name = picture.of.partition(".")
    if section in PICTURED and name in getattr(job, section):
        return
    parts = [
        f"{each}.{id}"
        for each in PICTURED
        if getattr(job, each) is not UNSOUND
        for id in getattr(job, each)
    ]
    near = nearest(picture.of, parts)
    hint = f"Did you mean {shown(near)}? " if near else ""
    known = ", ".join(shown(part)[1:-1] for part in parts[:12])
    yield Found(
        Code.DANGLING,
        (*path, "of"),
        f"there is no {shown(picture.of)} that a picture can show",
        f"{hint}Parts by section and id: {known}.",
    )
