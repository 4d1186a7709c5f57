"""The revisions before this one: job files that stand beside it, each named by the next."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from riskdoc.job.alike import alike
from riskdoc.job.faults import Code, Refused, shown
from riskdoc.job.files_beside import Beside, beside_bytes, why
from riskdoc.job.model import Job, JobInfo

if TYPE_CHECKING:
    from riskdoc.job.reading import JobFile, Reading

MAX_BYTES = 1024 * 1024
"""As much as a job file may hold; see `reading`."""
MOST = 20
"""Revisions that are followed back; judgement: a job with more is another job by now."""


def earlier(
    job: Job, beside: Beside | None, seen: tuple[str, ...], read: Callable[[bytes, str], Reading]
) -> JobFile | None:
    """The job file that a job replaces, read; None where it names none.

    `seen` are the names that were followed so far, the job's own first. Raises `Refused` where
    the file is not there, cannot be read as a job, or is no earlier revision of the same number.
    """
    if job.job.replaces is None:
        return None
    name = job.job.replaces.file
    if name in seen:
        raise _refused(f"the revisions lead back to {shown(name)}")
    if len(seen) > MOST:
        raise _refused(f"more than {MOST} revisions are named one by another")
    reading = read(_bytes(beside, name), name)
    if reading.file is None:
        first = reading.faults[0]
        raise _refused(
            f"{shown(name)} at {first.place.line}:{first.place.column}: {first.code} "
            f"{first.where}: {first.message}"
        )
    _apart(name, reading.file.job.job, job.job)
    return reading.file


def _bytes(beside: Beside | None, name: str) -> bytes:
    try:
        if beside is None:
            raise FileNotFoundError
        return beside_bytes(beside, name, MAX_BYTES)
    except FileNotFoundError as error:
        raise _refused(f"there is no file {shown(name)} beside the job file") from error
    except OSError as error:
        raise _refused(f"{shown(name)} cannot be read: {why(error)}") from error


def _apart(name: str, before: JobInfo, now: JobInfo) -> None:
    """Refuses another number, and a revision that is this one or looks like it."""
    if before.number != now.number:
        raise _refused(f"{shown(name)} has the number {shown(before.number)}")
    if before.revision == now.revision:
        raise _refused(f"{shown(name)} is revision {shown(before.revision)} too")
    if alike(before.revision, now.revision):
        raise _refused(
            f"{shown(name)} has the revision {shown(before.revision)}, which looks the same"
        )


def _refused(message: str) -> Refused:
    return Refused(
        Code.NO_EARLIER,
        message,
        "Keep the job file of the last revision beside this one, with the same number and another "
        "revision.",
    )
