"""Writes a file whole or not at all."""

from __future__ import annotations

import contextlib
import glob
import os
import tempfile
from pathlib import Path

from riskdoc.signing.locks import own

_NO_WAIT = getattr(os, "O_NONBLOCK", 0)


def write_whole(path: Path, content: bytes) -> None:
    """Writes `content` to `path` so that a reader finds the old file or the new one, never half.

    Raises OSError where the folder cannot be written; the old file then stands as it was.
    """
    _clean(path)
    number, part = _part(path)
    # Held until the part has its name, so that nobody takes it for one that was left.
    held = os.dup(number)
    try:
        with os.fdopen(number, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        part.chmod(0o666 & ~_umask())
        if os.name == "nt":  # no open file is renamed there, and none is taken away
            os.close(held)
            held = -1
        part.replace(path)
    except BaseException:
        # KeyboardInterrupt too: what is not whole must not be left lying about.
        part.unlink(missing_ok=True)
        raise
    finally:
        if held >= 0:
            os.close(held)
    _settle(path.parent)


def _part(path: Path) -> tuple[int, Path]:
    """A new file to write in, open and held by this process.

    It stands in the same folder, since a rename is whole only inside one file system.
    """
    while True:
        number, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
        try:
            free = own(number)
        except OSError:  # no locks on that file system: nothing is taken away there either
            free = True
        if free and os.fstat(number).st_nlink:
            return number, Path(name)
        os.close(number)  # taken for one that was left, in the moment before it was held


def _clean(path: Path) -> None:
    """Takes away what processes left that were killed while they wrote this file."""
    for left in path.parent.glob(f".{glob.escape(path.name)}.*.part"):
        # One that cannot be opened or taken away is no failure of writing.
        with contextlib.suppress(OSError):
            number = os.open(left, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | _NO_WAIT)
            try:
                if own(number):
                    left.unlink()
            finally:
                os.close(number)


def _umask() -> int:
    """The mask new files get; it can only be read by setting it."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _settle(folder: Path) -> None:
    """Puts the rename itself on disk, where the system lets a folder be opened."""
    try:
        number = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        # The file stands already; a folder that cannot be synced is no failure of writing.
        with contextlib.suppress(OSError):
            os.fsync(number)
    finally:
        os.close(number)
