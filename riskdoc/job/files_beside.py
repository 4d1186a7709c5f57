"""Plain files, read with a bound, and the files that stand beside a job file.

A job stands in a folder of the disk, or among the files inside a document, which are never written
to the disk. What is foreign names a file by its plain name only: no path leads anywhere else, and a
link that leads out of the folder is refused. A pipe or a device is never waited for.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Mapping
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import TypeAlias

Beside: TypeAlias = "Path | Mapping[str, bytes]"
"""The folder of a job file: on the disk, or the files inside a document by their names."""
_TAIL = 40
"""Bytes kept free for what is put to the name of a job for the other files in its document."""
LONGEST_NAME = 255
"""Bytes of a file name; the bound of nearly all file systems (NAME_MAX, from memory)."""


class NotPlainError(OSError):
    """What was named is there and is no plain file: a folder, a pipe, a device."""

    def __init__(self) -> None:
        super().__init__(None, "it is not a plain file")


class TooLargeError(OSError):
    """A file is larger than what is asked for can be."""

    def __init__(self, most: int) -> None:
        super().__init__(None, f"it is larger than {most} bytes")


class OutsideError(OSError):
    """A link leads out of the folder."""

    def __init__(self) -> None:
        super().__init__(None, "it is a link that leads out of the folder of the job file")


def plain_bytes(path: Path, most: int) -> bytes:
    """What stands in a plain file of so many bytes at most.

    Raises OSError, `NotPlainError` and `TooLargeError` among them, with why in `strerror`.
    """
    try:
        # Without waiting for who writes into a pipe.
        number = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
    except ValueError as error:  # a name with a nought in it, or one that is no text
        raise OSError(None, "bad name") from error
    with os.fdopen(number, "rb") as file:
        if not stat.S_ISREG(os.fstat(number).st_mode):
            raise NotPlainError
        raw = file.read(most + 1)
    if len(raw) > most:
        raise TooLargeError(most)
    return raw


def plain_name(name: str) -> bool:
    r"""Whether a text can be the plain name of a file on any system: no path, nothing unprintable.

    >>> plain_name("rules.yaml"), plain_name("../rules.yaml"), plain_name("C:rules.yaml")
    (True, False, False)
    >>> plain_name("ru\nles.yaml"), plain_name("n" * 300), plain_name("")
    (False, False, False)
    """
    if not name.isprintable():
        return False
    if not 0 < len(name.encode("utf-8", "surrogatepass")) <= LONGEST_NAME:
        return False
    windows = PureWindowsPath(name)
    return bool(PurePosixPath(name).name == windows.name == name and not windows.drive)


def tidy_name(name: str) -> str:
    r"""The name of a file as a document can carry it to any system: the same wherever it can be.

    >>> tidy_name("gallery.yaml"), tidy_name("a:b\udcff.yaml")
    ('gallery.yaml', 'a_b_.yaml')
    """
    clean = "".join(each if each.isprintable() and each not in "/\\:" else "_" for each in name)
    ending = PurePosixPath(clean).suffix[:20]
    stem = clean.removesuffix(ending)
    while len(f"{stem}{ending}".encode()) > LONGEST_NAME - _TAIL:
        stem = stem[:-1]
    return f"{stem}{ending}"


def beside_bytes(beside: Beside, name: str, most: int) -> bytes:
    """What stands in a plain file of a folder, by its plain name.

    Raises FileNotFoundError where there is none of that name, `OutsideError` where it is a link
    that leads out, and what `plain_bytes` raises.
    """
    if not plain_name(name):
        raise FileNotFoundError(None, "there is no such plain name")
    if isinstance(beside, Path):
        path = beside / name
        try:
            real = path.resolve(strict=True)
        except RuntimeError as error:  # links that lead to each other
            raise OSError(None, "it is a link to itself") from error
        if not real.is_relative_to(beside.resolve()):
            raise OutsideError
        return plain_bytes(real, most)
    if name not in beside:
        raise FileNotFoundError(None, "there is no such file")
    if len(beside[name]) > most:
        raise TooLargeError(most)
    return beside[name]


def why(error: OSError) -> str:
    """Why a file could not be read, in a few words."""
    return error.strerror or "it cannot be opened"
