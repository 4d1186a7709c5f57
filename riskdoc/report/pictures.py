"""Pictures of the user's own: under the line that uses what they show, or by themselves."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from riskdoc.i18n.say import mark, say
from riskdoc.report.blocks import Picture

if TYPE_CHECKING:
    from riskdoc.job.model import Job
    from riskdoc.job.pictures import PictureFile
    from riskdoc.report.facts import Facts

_TITLES = {
    "edges": mark("Picture {picture}: edge {part}"),
    "anchors": mark("Picture {picture}: anchor {part}"),
    "sites": mark("Picture {picture}: site {part}"),
    "lines": mark("Picture {picture}: line {part}"),
    "protection": mark("Picture {picture}: protector {part}"),
    "ropes": mark("Picture {picture}: rope {part}"),
}


@dataclass(frozen=True, slots=True)
class Pictures:
    """The pictures of a job, each in one place: by line, and those of no line."""

    lines: dict[str, tuple[Picture, ...]]
    others: tuple[Picture, ...]


def pictures(facts: Facts) -> Pictures:
    """Every picture, under the first line that uses what it shows, in the order of the job file."""
    placed: dict[str | None, list[Picture]] = {}
    files = facts.assessment.file.pictures
    for id in facts.job.pictures:
        placed.setdefault(_line_of(facts.job, id), []).append(_picture(facts.job, files[id]))
    lines = {line: tuple(placed.get(line, ())) for line in facts.job.lines}
    return Pictures(lines, tuple(placed.get(None, ())))


def _line_of(job: Job, picture: str) -> str | None:
    """The first line over the edge, at the anchor, or itself the line that a picture shows."""
    part = job.pictures[picture].of
    for name, line in job.lines.items():
        used = {f"lines.{name}", f"anchors.{line.anchor}"}
        used |= {f"edges.{over.edge}" for over in line.over}
        used |= {f"anchors.{redirect.anchor}" for redirect in line.redirects}
        if part in used:
            return name
    return None


def _picture(job: Job, file: PictureFile) -> Picture:
    stated = job.pictures[file.id]
    ready = file.prepared
    return Picture(
        _title(file.id, stated.of),
        stated.caption or "",
        (_kept(file),) if file.keeps else (),
        stated.shows,
        f"image/{file.kind}",
        ready.content,
        f"picture:{hashlib.sha256(ready.content).hexdigest()}",
    )


def _title(picture: str, of: str | None) -> str:
    if of is None:
        return say("Picture {picture}", picture=picture)
    section, _, part = of.partition(".")
    return say(_TITLES[section], picture=picture, part=part)


def _kept(file: PictureFile) -> str:
    """What is said of metadata that stay on purpose, and of the place they name."""
    if not file.exif:
        return say("The metadata of this picture was to be kept; it has none.")
    place = file.spot and {"latitude": _degrees(file.spot[0]), "longitude": _degrees(file.spot[1])}
    # The printer writes the pixels of a PNG anew; a JPEG goes into the PDF as it is.
    if file.kind == "png" and place:
        return say(
            "The metadata of this picture was kept on purpose, in the HTML file only. It names "
            "the place: latitude {latitude}, longitude {longitude}, north and east positive.",
            **place,
        )
    if file.kind == "png":
        return say("The metadata of this picture was kept on purpose, in the HTML file only.")
    if place:
        return say(
            "The metadata of this picture was kept on purpose. It names the place: latitude "
            "{latitude}, longitude {longitude}, north and east positive.",
            **place,
        )
    return say("The metadata of this picture was kept on purpose. It names no place.")


def _degrees(value: float) -> str:
    """A coordinate; five decimals are a metre.

    >>> _degrees(-3.4021)
    '−3.40210°'
    """
    return f"{value:.5f}°".replace("-", "−")
