"""What `verify` does, given its options. Returns the exit code."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from riskdoc.cli import commands
from riskdoc.cli.commands import ADEQUATE, FAULT, STOPPED
from riskdoc.cli.saying import columns, wrapped

if TYPE_CHECKING:
    from riskdoc.verification.verify import Verified

NOT_COVERED = """\
What no file shows:
Whether the plan is kept, and whether the clock of who signed was right.
Names: whether a typed name is that of who typed it. Whoever rewrites the record and the document \
whole is found only by certificates that are trusted, or by comparing the digest with another copy.
Cut ends: whether entries at the end of the record were taken out before this file was made, or \
whether the revision was withdrawn or superseded after.
Earlier revisions: only the bytes of their job files are signed; their sign-offs stand here as \
they were when this file was made.
Pictures: what is printed is signed; that it shows the place it says, and what the picture was \
before it was made ready for print, is not.
Form: language, units and paper are chosen when a file is made and are not signed.
Job file: what it says is signed, and not its bytes. The name of the job file, its comments, the \
order of its keys, another spelling of an amount and the day of assessment (on) can be changed: \
read what is printed, not what is remarked.
Other records: whether sign-offs of another content under this number and revision lay beside the \
job when this file was made.
"""
OF_JOB = """\
A job file with its record of sign-offs, no document: only a document shows what is printed.\
"""


def verify(path: Path, trust: Path | None, on: date) -> int:
    """Prints what holds of a report or of a job and its sign-offs.

    Which of the two it is, its bytes say and not its name. It is looked at in a process of its own.
    """
    from riskdoc.signing.certificates import CertificateError, roots_in
    from riskdoc.verification.answers import Verified
    from riskdoc.verification.bounded import looked

    try:
        roots = roots_in(trust) if trust is not None else ()
    except CertificateError as error:
        return _refuse(f"--trust: {error}")
    found = looked(path, on, roots)
    for each in (*found.get("faults", ()), *found.get("warnings", ())):
        commands.complain(each)
    if "faults" in found:
        return _refuse(commands.faulty(len(found["faults"]), found["codes"]))
    if "refused" in found:
        return _refuse(f"{path}: {found['refused']}")
    return _told(Verified.of(found["verified"]), on)


def _refuse(why: str) -> int:
    commands.complain(why)
    return FAULT


def _told(found: Verified, on: date) -> int:
    if found.of_job:
        commands.tell_lines(wrapped(OF_JOB, _width(), "", ""))
    # What is foreign in these wraps into no line that begins as one of ours.
    commands.tell_lines(wrapped(" ".join(found.document.split()), _width(), "", "    "))
    commands.tell(f"digest sha256 {found.digest}")
    commands.tell(f"judged for the day {on.isoformat()}")
    commands.tell()
    for each in found.points:
        commands.tell_lines(wrapped(f"[{each.answer.value}] {each.what}", _width(), "", "    "))
        commands.tell_lines(wrapped(each.text, _width(), "    ", "    "))
        for line in each.details:
            commands.tell_lines(_entry(line))
    commands.tell("")
    commands.tell(found.sum)
    head, *rest = NOT_COVERED.splitlines()
    commands.tell(head)
    for text in rest:
        commands.tell_lines(_entry(text))
    return ADEQUATE if found.holds else STOPPED


def _width() -> int:
    return min(columns(), 96)


def _entry(text: str) -> list[str]:
    return wrapped(text, _width(), "    - ", "      ")
