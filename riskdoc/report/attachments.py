"""What travels inside a report: all that is needed to check it years later."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Literal

from riskdoc.export.export import document_json
from riskdoc.signing.record_files import record_path

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from riskdoc.job.reading import JobFile
    from riskdoc.requirements.dossier import Dossier
    from riskdoc.signing.entries import Record
    from riskdoc.signing.sign_off_state import SignOffState

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


def report_attachments(dossier: Dossier, standing: SignOffState) -> tuple[Attachment, ...]:
    """The files in a report: all that is needed to check it, but for the pictures it shows.

    The job file, the content that is signed, its figures, the record of its sign-offs, its own
    requirement set, and the job files of earlier revisions with their records. The figures are
    what `riskdoc check --json` prints when it is called beside the job file.
    """
    file = dossier.study.plan.file
    stem = PurePath(file.name).stem

    def data(tail: str, raw: bytes, about: str) -> Attachment:
        return Attachment(f"{stem}-{tail}.json", raw, JSON, "Data", about, file.on)

    digest = f"The content that is signed, by RFC 8785; its SHA-256 is {standing.content.digest}"
    figures = document_json(dossier, standing).encode("utf-8", "backslashreplace")
    about = "What was computed and judged, for machines: the object of riskdoc check --json"
    found = [
        job_attachment(file),
        data("content", standing.content.raw, digest),
        data("figures", figures, about),
        *_records(standing, file),
    ]
    for each in file.pictures.values():
        if each.kind == "png":  # the printer writes its pixels anew; a JPEG goes in as it is
            about = f"Picture {each.id} as it is printed"
            name = f"{stem}-picture-{each.id}.png"
            ready = each.prepared.content
            found.append(Attachment(name, ready, "image/png", "Supplement", about, file.on))
    used = dossier.judged.set
    if used.own:
        about = "The requirement set of the job's own, as read"
        found.append(_beside(file.job.job.requirements, used.raw, about, file.on))
    return tuple(found)


def _records(standing: SignOffState, file: JobFile) -> Iterator[Attachment]:
    """The sign-offs of a job, and what there is of its earlier revisions."""
    if standing.record.entries:
        yield _record(file, standing.record, file.on)
    for each in standing.before:
        about = f"The job file of revision {each.file.job.job.revision}, as read"
        yield _beside(each.file.name, each.file.raw, about, file.on)
        if each.record.entries:
            yield _record(each.file, each.record, file.on)


def _record(file: JobFile, record: Record, day: date) -> Attachment:
    name = record_path(Path(PurePath(file.name).name)).name
    return _beside(name, record.text.encode(), f"The record of sign-offs of {file.name}", day)


def _beside(name: str, raw: bytes, about: str, day: date) -> Attachment:
    return Attachment(name, raw, YAML, "Supplement", about, day)


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
