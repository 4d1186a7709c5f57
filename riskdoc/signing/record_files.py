"""Where records of sign-offs stand, and how an entry is added so that none is ever lost."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

from riskdoc.job.files_beside import plain_bytes, why
from riskdoc.signing.entries import MAX_BYTES, Entry, Record, RecordError, record_from
from riskdoc.signing.files import write_whole
from riskdoc.signing.locks import HeldError, locked

TAIL = ".signoff.yaml"
PATIENCE = 30.0
"""Seconds to wait for another process that is signing; judgement: signing itself takes a few."""


def record_path(job: Path) -> Path:
    """Where the sign-offs of a job file stand.

    >>> record_path(Path("jobs/gallery.yaml")).as_posix()
    'jobs/gallery.signoff.yaml'
    """
    return job.with_name(job.stem + TAIL)


def record_of(job: Path) -> Record:
    """The sign-offs of a job file; none where there is no record.

    Raises `RecordError` where the record cannot be relied on.
    """
    path = record_path(job)
    raw = _bytes(path)
    return Record() if raw is None else record_from(raw, path.name)


def _bytes(path: Path) -> bytes | None:
    try:
        return plain_bytes(path, MAX_BYTES)
    except FileNotFoundError:
        return None
    except OSError as error:
        raise RecordError(f"{path.name} cannot be read: {why(error)}") from error


def add(job: Path, make: Callable[[Record], Entry]) -> Entry:
    """Adds the entry that `make` gives for the record as it stands, and returns it with its hash.

    One process at a time; the file holds the record with the entry or without it, never half.
    Raises `RecordError`, whatever `make` raises, and OSError where nothing can be written.
    """
    path = record_path(job)
    try:
        with locked(path.with_name(f".{path.name}.lock"), PATIENCE):
            record = record_of(job)
            made = make(record)
            entry = replace(made, hash=made.computed)
            whole = Record((*record.entries, entry))
            raw = whole.text.encode()
            record_from(raw, path.name)  # what cannot be read again is not written
            write_whole(path, raw)
            return entry
    except HeldError as error:
        raise RecordError(
            f"{path.name} is held by another process for more than {PATIENCE:g} s; try again"
        ) from error


def others(job: Path) -> Iterator[tuple[str, Record]]:
    """The other records in the folder of a job file that can be read, by name."""
    for name, found in _others(job):
        if isinstance(found, Record):
            yield name, found


def unread(job: Path) -> Iterator[str]:
    """Why the other records in the folder that cannot be relied on cannot."""
    for _, found in _others(job):
        if isinstance(found, RecordError):
            yield str(found)


def _others(job: Path) -> Iterator[tuple[str, Record | RecordError]]:
    own = record_path(job)
    for path in sorted(own.parent.glob(f"*{TAIL}")):
        if path.name == own.name:
            continue
        try:
            raw = _bytes(path)
            if raw is not None:
                yield path.name, record_from(raw, path.name)
        except RecordError as error:
            yield path.name, error
