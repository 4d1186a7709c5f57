"""What is made once in a run of the tests, and shared by its workers.

To search the changes of a job takes seconds and to set a report half a minute, and what is made of
the same input is the same: tests of their own make it twice and compare. So both are kept in a
folder of this run, by the digest of everything they are made from and of the versions that make
them; whoever needs them first makes them, and the others wait. Nothing is kept between runs.

Nothing here is used unasked: a test that looks at how a document is made calls `dossier` and
`to_pdf` itself.
"""

from __future__ import annotations

import copyreg
import hashlib
import io
import os
import pickle
from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from filelock import FileLock

from riskdoc.job.reading import JobFile
from riskdoc.report import pdf
from riskdoc.report.attachments import Attachment
from riskdoc.report.blocks import View
from riskdoc.requirements.dossier import Dossier, dossier
from riskdoc.signing.libraries import machine, packages

_to_pdf = pdf.to_pdf  # as it is before any test puts `printed` in its place
FOLDER = "RISKDOC_TESTS_SHARED"
"""The variable that says where this run keeps what it shares; processes of a test inherit it."""
_studied: dict[str, bytes] = {}


def shared_bytes(key: str, make: Callable[[], bytes]) -> bytes:
    """What `make` makes, once in a run for a key; without a folder it is made here."""
    folder = os.environ.get(FOLDER)
    if not folder:
        return make()
    path = Path(folder) / key
    with FileLock(f"{path}.lock"):
        if not path.exists():
            made = path.with_suffix(".part")
            made.write_bytes(make())
            made.rename(path)
    return path.read_bytes()


def printed(view: View, inside: Sequence[Attachment] = ()) -> bytes:
    """What `to_pdf` gives, whole or short as this process prints at the moment."""
    page = pdf.to_html(view, for_print=True)  # all of a view that is printed, but its pictures
    pictures = [(each.address, each.content) for each in view.pictures]
    key = _key("pdf", page, view.digest, tuple(inside), pictures)
    return shared_bytes(key, lambda: _to_pdf(view, inside))


def studied_once(file: JobFile) -> Dossier:
    """What `dossier` gives; a copy each time, with which nothing that a test does is kept."""
    key = known(file)
    if key not in _studied:
        _studied[key] = shared_bytes(key, lambda: _pickled(dossier(file)))
    found: Dossier = pickle.loads(_studied[key])
    return found


def known(file: JobFile) -> str:
    """The digest of all that a dossier is made from."""
    return _key("dossier", *_all_of(file))


def _key(*parts: object) -> str:
    return hashlib.sha256(repr((_versions(), *parts)).encode()).hexdigest()


@cache
def _versions() -> tuple[object, ...]:
    return (sorted(packages().items()), sorted(machine().items()))


def _all_of(file: JobFile) -> tuple[object, ...]:
    """All that a dossier is made from; of the files beside a job that is a set of its own."""
    set_of_its_own, held = file.job.job.requirements, file.beside
    if isinstance(held, Path):
        path = held / set_of_its_own
        own = path.read_bytes() if path.is_file() else None
    else:
        own = held.get(set_of_its_own) if held else None
    before = None if file.earlier is None else _all_of(file.earlier)  # and so on, to the first
    pictures = tuple(file.pictures.items())
    # The job too: some tests put another one into a file that was read.
    return (file.name, file.raw, file.on, file.job, own, before, pictures)


class _Pickler(pickle.Pickler):
    """Writes read-only mappings too, and of a job file not what later stages kept with it."""

    dispatch_table = copyreg.dispatch_table.copy()
    dispatch_table[MappingProxyType] = lambda it: (_read_only, (dict(it),))
    dispatch_table[JobFile] = lambda it: (
        _job_file, ({each.name: getattr(it, each.name) for each in fields(it) if each.init},),
    )  # fmt: skip


def _read_only(held: dict[Any, Any]) -> Mapping[Any, Any]:
    return MappingProxyType(held)


def _job_file(held: dict[str, Any]) -> JobFile:
    return JobFile(**held)


def _pickled(whole: Dossier) -> bytes:
    out = io.BytesIO()
    _Pickler(out, pickle.HIGHEST_PROTOCOL).dump(whole)
    return out.getvalue()
