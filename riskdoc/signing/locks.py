"""A lock that one process holds at a time, and that leaves no file behind.

The system lets go of it when a process ends, however it ends. The file it stood on is taken away
by whoever holds it next.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

STEP = 0.02
"""Seconds between two tries; judgement."""


class HeldError(Exception):
    """Another process holds a lock for longer than one is ready to wait."""


@contextmanager
def locked(path: Path, patience: float) -> Iterator[None]:
    """Holds the lock that stands on this file, after waiting so many seconds at most.

    Raises `HeldError`, and OSError where no file can be made there.
    """
    try:
        import fcntl  # noqa: F401, PLC0415  (not on every system)
    except ImportError:
        with _elsewhere(path, patience):
            yield
        return
    number = _taken(path, time.monotonic() + patience)
    try:
        yield
    finally:
        # While it is held: who waits for the file that goes finds so, and makes another.
        path.unlink(missing_ok=True)
        os.close(number)


def _taken(path: Path, until: float) -> int:
    """The open file of a lock that was taken."""
    while True:
        number = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o600)
        if own(number) and _is_at(number, path):
            return number
        os.close(number)
        if time.monotonic() > until:
            raise HeldError
        time.sleep(STEP)


def own(number: int) -> bool:
    """Whether an open file is this process's own now: nobody else holds it."""
    try:
        import fcntl  # noqa: PLC0415
    except ImportError:
        return True
    try:
        fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _is_at(number: int, path: Path) -> bool:
    """Whether an open file is the one that stands there; it may have been taken away meanwhile."""
    try:
        there = path.stat()
    except FileNotFoundError:
        return False
    return os.path.samestat(os.fstat(number), there)


@contextmanager
def _elsewhere(path: Path, patience: float) -> Iterator[None]:
    """The same where the system has no such locks; the file stays, empty."""
    from filelock import FileLock, Timeout  # noqa: PLC0415

    try:
        with FileLock(path, timeout=patience):
            yield
    except Timeout as error:
        raise HeldError from error
