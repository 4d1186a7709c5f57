"""What `verify` does, given its options. Returns the exit code."""

from __future__ import annotations

import textwrap
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from riskdoc.cli import commands
from riskdoc.cli.commands import ADEQUATE, FAULT, STOPPED

if TYPE_CHECKING:
    from collections.abc import Sequence

    from riskdoc.record.verify import Verified

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
Form: language, units, paper and direction are chosen when a file is made and are not signed.
"""


def verify(path: Path, trust: Path | None, on: date) -> int:
    """Prints what holds of a report or of a job and its sign-offs."""
    from riskdoc.record.answers import ForeignError
    from riskdoc.record.holding import MOST_BYTES
    from riskdoc.record.verify import verified
    from riskdoc.signoff.certificates import CertificateError, roots_in

    try:
        roots = roots_in(trust) if trust is not None else ()
    except CertificateError as error:
        return _refuse(f"--trust: {error}")
    if path.suffix.lower() in (".yaml", ".yml"):
        return _job(path, on, roots)
    try:
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
    except OSError as error:
        return _refuse(f"{path} cannot be read: {error.strerror}")
    if len(raw) > MOST_BYTES:
        return _refuse(f"{path} is larger than {MOST_BYTES // 1024**2} MiB")
    try:
        found = commands.computed(path, lambda: verified(raw, on, roots))
    except ForeignError as error:
        return _refuse(f"{path}: {error}.")
    return FAULT if found is None else _told(found)


def _refuse(why: str) -> int:
    commands.complain(why)
    return FAULT


def _job(path: Path, on: date, roots: Sequence[bytes]) -> int:
    """A job file with the record of sign-offs beside it."""
    from riskdoc.record.verify import verified_job

    file = commands.read_job(path, on)
    found = commands.computed(path, lambda: verified_job(path, file, roots)) if file else None
    return FAULT if found is None else _told(found)


def _told(found: Verified) -> int:
    commands.tell(found.document)
    commands.tell(f"digest sha256 {found.digest}\n")
    for each in found.points:
        commands.tell(f"[{each.answer.value}] {each.what}")
        commands.tell(textwrap.indent(textwrap.fill(each.text, 92), "    "))
        for line in each.details:
            commands.tell(_entry(line))
    commands.tell("")
    commands.tell(found.sum)
    head, *rest = NOT_COVERED.splitlines()
    commands.tell(head)
    for text in rest:
        commands.tell(_entry(text))
    return ADEQUATE if found.holds else STOPPED


def _entry(text: str) -> str:
    return textwrap.fill(text, 92, initial_indent="    - ", subsequent_indent="      ")
