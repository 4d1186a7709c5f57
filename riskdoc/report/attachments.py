"""What travels inside a PDF: the job file as read, its figures for machines, a set of its own."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING, Literal

from riskdoc.requirements.plain import dossier_json

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from riskdoc.job.reading import JobFile
    from riskdoc.requirements.dossier import Dossier

YAML, JSON = "application/yaml", "application/json"
"""Media types by RFC 9512 and RFC 8259."""

Relationship = Literal["Source", "Data", "Supplement"]
"""What a file is to the document, in the words of ISO 19005-3:2012, 6.8 (AFRelationship)."""


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file inside the document.

    `name` is its plain name, `mime` its media type, `text` one line on what it is. `day` is the
    day the assessment was made for; it stands as the date of the file, at 00:00 UTC, since the
    clock and the dates on the disk must not come into a document that is the same for the same
    input.
    """

    name: str
    content: bytes
    mime: str
    relationship: Relationship
    text: str
    day: date


def report_attachments(dossier: Dossier) -> tuple[Attachment, ...]:
    """The files in a report: the job file, its figures, and its own requirement set if it has one.

    The figures are what `riskdoc check --json` prints when it is called beside the job file.
    """
    file = dossier.study.plan.file
    stem = PurePath(file.name).stem
    figures = dossier_json(dossier).encode("utf-8", "backslashreplace")
    about = "What was computed and judged, for machines: the object of riskdoc check --json"
    found = [
        job_attachment(file),
        Attachment(f"{stem}-figures.json", figures, JSON, "Data", about, file.on),
    ]
    own = dossier.judged.set.raw
    if own:
        name, about = file.job.job.requirements, "The requirement set of the job's own, as read"
        found.append(Attachment(name, own, YAML, "Supplement", about, file.on))
    return tuple(found)


def job_attachment(file: JobFile, name: str = "") -> Attachment:
    """A job file byte for byte as it was read, under a name; its own when left out."""
    plain = name or PurePath(file.name).name
    about = f"The job file as read; its SHA-256 begins {file.digest[:12]}"
    return Attachment(plain, file.raw, YAML, "Source", about, file.on)


def job_attachments(files: Sequence[JobFile]) -> tuple[Attachment, ...]:
    """Several job files, each once; all are numbered where two have one name."""
    once = list({file.digest: file for file in files}.values())
    names = [PurePath(file.name).name for file in once]
    if len(set(names)) < len(names):
        names = [f"{number}-{name}" for number, name in enumerate(names, start=1)]
    return tuple(map(job_attachment, once, names))
