"""Writes a file whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path


def write_whole(path: Path, content: bytes) -> None:
    """Writes `content` to `path` so that a reader finds the old file or the new one, never half.

    Raises OSError where the folder cannot be written; the old file then stands as it was.
    """
    # In the same folder, since a rename is whole only inside one file system.
    number, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    part = Path(name)
    try:
        with os.fdopen(number, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        part.chmod(0o666 & ~_umask())
        part.replace(path)
    except BaseException:
        # KeyboardInterrupt too: what is not whole must not be left lying about.
        part.unlink(missing_ok=True)
        raise
    _settle(path.parent)


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
