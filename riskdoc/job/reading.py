r"""Reading a job file: bytes, text, tree, model, checks; every fault in one run.

>>> from datetime import date
>>> reading = read_text("riskdoc: 1\nlines: []", "job.yaml", date(2026, 3, 1))
>>> print(reading.faults[0])
job.yaml:1:1: K02 job file: 'job' is missing. Add it: What the job is.
"""

from __future__ import annotations

import codecs
import hashlib
from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from types import MappingProxyType
from typing import Any

from riskdoc.i18n.say import Locale
from riskdoc.job.alternatives import SECTION, merged
from riskdoc.job.consistency import contradictions
from riskdoc.job.events import parse
from riskdoc.job.faults import Code, Fault, Refused, Severity, nearest, shown
from riskdoc.job.files_beside import (
    Beside,
    NotPlainError,
    OutsideError,
    TooLargeError,
    beside_bytes,
    plain_bytes,
    why,
)
from riskdoc.job.model import Form, Job
from riskdoc.job.model_findings import Found, sound
from riskdoc.job.nodes import Nodes, nearest_place, where
from riskdoc.job.pictures import PictureFile, pictured
from riskdoc.job.references import dangling, unborne
from riskdoc.job.revisions import earlier
from riskdoc.job.validation import validated
from riskdoc.job.warnings import cautions
from riskdoc.job.winds import stops_in_time
from riskdoc.quantities.quantity import Place

MAX_BYTES = 1024 * 1024  # a long job has some tens of kilobytes
_NONE: Mapping[str, PictureFile] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class JobFile:
    """A job that was read without a fault, with the text and the bytes it came from.

    `on` is the day for which dates were judged; `digest` is the SHA-256 of the file's bytes.
    `beside` is the folder it stands in, or the files of the document that it stands in; None for a
    text that stands in neither.
    `alternatives` are the same file with the keys of each set, by id. `pictures` are those that
    stand beside it, by id. `earlier` is the revision it replaces, read without its pictures and
    alternatives. `worked` is where later stages keep what they worked out from it; a
    copy with another job starts empty.
    """

    job: Job
    name: str
    text: str
    raw: bytes = field(repr=False)
    digest: str
    on: date
    warnings: tuple[Fault, ...]
    places: Mapping[tuple[str | int, ...], Place]
    alternatives: Mapping[str, JobFile] = field(default_factory=dict)
    beside: Beside | None = None
    pictures: Mapping[str, PictureFile] = field(default_factory=dict)
    earlier: JobFile | None = None
    worked: dict[Hashable, Any] = field(init=False, repr=False, compare=False, default_factory=dict)

    @property
    def voice(self) -> Locale:
        """The language and the units its report is written in."""
        return Locale(self.job.report.language, self.job.report.units)

    @property
    def expired(self) -> bool:
        """Whether the day it is judged on is past its last."""
        return self.on > self.job.job.valid.end

    def in_form(self, **choices: str) -> JobFile:
        """The same file with some choices about its report made anew; what is stated stays.

        Raises ValueError for what the job file itself could not state.
        """
        stated = {key: getattr(self.job.report, key) for key in Form.model_fields}
        form = Form.model_validate({**stated, **choices})
        return replace(
            self,
            job=self.job.model_copy(update={"report": form}),
            alternatives={id: each.in_form(**choices) for id, each in self.alternatives.items()},
        )

    def place(self, *keys: str | int) -> Place:
        """Where the value under these keys stands, or the nearest part around it."""
        return nearest_place(self.places, keys, self.name)


@dataclass(frozen=True, slots=True)
class Reading:
    """What came of reading: a job file, or None and the faults; and the warnings."""

    file: JobFile | None
    faults: tuple[Fault, ...] = ()
    warnings: tuple[Fault, ...] = ()


def read(path: Path, on: date) -> Reading:
    """Read a job file as of one day. Whatever is wrong comes back as faults."""
    name = str(path)
    try:
        if not path.is_file():
            return _refused(_no_file(path, name))
        raw = plain_bytes(path, MAX_BYTES)
    except NotPlainError:
        return _refused(_no_file(path, name))
    except TooLargeError:
        return _refused(_too_large(name))
    except OSError as error:
        message = f"the file cannot be read: {why(error)}"
        return _refused(_about_file(name, Code.UNREADABLE, message, "Check who may read it."))
    except ValueError:
        message = "the file cannot be read: bad name"
        return _refused(_about_file(name, Code.UNREADABLE, message, "Check who may read it."))
    return read_bytes(raw, name, on, path.parent)


def read_text(text: str, name: str, on: date, beside: Beside | None = None) -> Reading:
    """Read a job from text, as if it stood in a file of that name in a folder."""
    return read_bytes(text.encode("utf-8", "surrogatepass"), name, on, beside)


def read_bytes(
    raw: bytes,
    name: str,
    on: date,
    beside: Beside | None = None,
    known: Mapping[str, PictureFile] = _NONE,
) -> Reading:
    """Read a job from bytes, as if they were a file of that name in a folder.

    `known` are pictures that were read from there a moment before; they are taken as they were.
    """
    nodes = _parsed(raw, name)
    if isinstance(nodes, Reading):
        return nodes
    return _checked(nodes, raw, on, beside, known)


def _parsed(raw: bytes, name: str) -> Nodes | Reading:
    """The tree in the bytes of a file, or a reading of nothing but faults."""
    if len(raw) > MAX_BYTES:
        return _refused(_too_large(name))
    try:
        nodes = parse(_text(raw), name)
    except UnicodeDecodeError as error:
        return _refused(_not_utf8(error, name))
    if nodes.root is None:
        return _refused(*(nodes.faults or [_empty(name)]))
    return nodes


def _text(raw: bytes) -> str:
    return raw.removeprefix(codecs.BOM_UTF8).decode("utf-8")


def _checked(
    nodes: Nodes,
    raw: bytes,
    on: date,
    beside: Beside | None,
    known: Mapping[str, PictureFile],
) -> Reading:
    text, digest = _text(raw), hashlib.sha256(raw).hexdigest()
    job, faults = _judged(nodes, on)
    if job is not None:
        faults += _placed(nodes, sound(_set_file(job, beside)))
        pictures, unfit = pictured(job, beside, known)
        faults += _placed(nodes, unfit)
    if job is None or faults:
        return _refused(*faults)
    before, faults = _earlier(job, nodes, on, beside, (Path(nodes.name).name,))
    others: dict[str, JobFile] = {}
    spent = sum(each.pixels for each in pictures.values())
    places = MappingProxyType(nodes.places)
    for name in job.alternatives:
        way = merged(nodes, name)
        other, wrong = _judged(way.nodes, on)
        faults += [*way.faults, *(_of_alternative(nodes, fault, name) for fault in wrong)]
        if other is not None:
            its = MappingProxyType(way.nodes.places)
            own, unfit = pictured(other, beside, pictures, spent)
            spent += sum(each.pixels for id, each in own.items() if each is not pictures.get(id))
            told = _placed(way.nodes, unfit)
            faults += [_of_alternative(nodes, fault, name) for fault in told]
            others[name] = JobFile(
                other, nodes.name, text, raw, digest, on, (), its, {}, beside, own
            )
    ways = [each.job for each in others.values()]
    if not faults:
        faults += _placed(nodes, unborne(job, ways))
    if faults:
        return _refused(*faults)
    warnings = _sorted(_placed(nodes, cautions(job, on, ways), Severity.WARNING))
    frozen, seen = MappingProxyType(others), MappingProxyType(pictures)
    file = JobFile(
        job, nodes.name, text, raw, digest, on, warnings, places, frozen, beside, seen, before
    )
    return Reading(file, (), warnings)


def _earlier(
    job: Job, nodes: Nodes, on: date, beside: Beside | None, seen: tuple[str, ...]
) -> tuple[JobFile | None, list[Fault]]:
    """The revision before a job, and the fault of naming it where there is one."""

    def read_before(raw: bytes, name: str) -> Reading:
        return _alone(raw, name, on, beside, (*seen, name))

    try:
        return earlier(job, beside, seen, read_before), []
    except Refused as wrong:
        found = Found(wrong.code, ("job", "replaces", "file"), wrong.message, wrong.tip)
        return None, _placed(nodes, [found])


def _alone(
    raw: bytes, name: str, on: date, beside: Beside | None, seen: tuple[str, ...]
) -> Reading:
    """A job file without what stands beside it, but for the revisions before."""
    nodes = _parsed(raw, name)
    if isinstance(nodes, Reading):
        return nodes
    job, faults = _judged(nodes, on)
    if job is None or faults:
        return _refused(*faults)
    before, faults = _earlier(job, nodes, on, beside, seen)
    if faults:
        return _refused(*faults)
    text, digest = _text(raw), hashlib.sha256(raw).hexdigest()
    places = MappingProxyType(nodes.places)
    return Reading(JobFile(job, name, text, raw, digest, on, (), places, {}, beside, {}, before))


def _set_file(job: Job, beside: Beside | None) -> Iterator[Found]:
    """A requirement set of the job's own is a plain file in the folder of the job file."""
    name = job.job.requirements
    if not name.endswith((".yaml", ".yml")):
        return
    found = f"there is no file {shown(name)} beside the job file"
    try:
        if beside is not None:
            beside_bytes(beside, name, MAX_BYTES)
            return
    except FileNotFoundError:
        pass  # told as where there is no folder
    except OSError as error:
        if isinstance(error, OutsideError | NotPlainError | TooLargeError):
            found = f"{shown(name)} cannot be taken: {why(error)}"
        else:
            found = f"{shown(name)} cannot be read: {why(error)}"
    yield Found(
        Code.NO_SET_FILE,
        ("job", "requirements"),
        found,
        "Put it there, by its plain name, or name a set that is known: general.",
    )


def _judged(nodes: Nodes, on: date) -> tuple[Job | None, list[Fault]]:
    """The job in a tree, with everything that is wrong with it."""
    job, faults = validated(nodes)
    faults += nodes.faults
    if job is not None:
        faults += _placed(nodes, sound(dangling(job)))
        faults += _placed(nodes, contradictions(job, on))
        # Only what was written: where a change lowers the limit, the crew stop is written anew.
        faults += _placed(nodes, sound(stops_in_time(job)))
    return job, faults


def _of_alternative(nodes: Nodes, fault: Fault, name: str) -> Fault:
    """A fault that an alternative makes, at its own lines wherever in the job it shows."""
    start = (SECTION, name)
    own = {place for path, place in nodes.places.items() if path[:2] == start}
    place = fault.place if fault.place in own else nodes.place((*start, "change"))
    return replace(fault, place=place, where=f"alternative {name}, {fault.where}")


def _placed(
    nodes: Nodes, findings: Iterable[Found], severity: Severity = Severity.FAULT
) -> list[Fault]:
    return [
        Fault(f.code, nodes.place(f.path), where(f.path), f.message, f.tip, severity)
        for f in findings
    ]


def _sorted(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    return tuple(sorted(faults, key=lambda fault: fault.order))


def _refused(*faults: Fault) -> Reading:
    return Reading(None, _sorted(faults))


def _about_file(name: str, code: Code, message: str, tip: str) -> Fault:
    return Fault(code, Place(name, 1, 1), "job file", message, tip)


def _too_large(name: str) -> Fault:
    message = f"the file is larger than {MAX_BYTES} bytes"
    return _about_file(name, Code.TOO_LARGE, message, "Is this the right file?")


def _no_file(path: Path, name: str) -> Fault:
    if path.is_dir():
        tip = "Name the file inside it, like jobs/gallery.yaml."
        return _about_file(name, Code.NOT_A_FILE, "this is a directory, not a job file", tip)
    if path.exists():
        message = "this is not a plain file"
        return _about_file(name, Code.NOT_A_FILE, message, "Name a YAML file.")
    return _about_file(name, Code.NO_FILE, "there is no such file", _neighbour(path))


def _neighbour(path: Path) -> str:
    folder = path.parent
    names = [p.name for p in folder.iterdir() if p.is_file()] if folder.is_dir() else []
    near = nearest(path.name, names)
    return f"Did you mean {shown(near)} in the same folder?" if near else "Check the path."


def _empty(name: str) -> Fault:
    tip = "Start with the line 'riskdoc: 1'."
    return _about_file(name, Code.EMPTY_FILE, "the file holds no job", tip)


def _not_utf8(error: UnicodeDecodeError, name: str) -> Fault:
    before = error.object[: error.start]
    line = before.count(b"\n") + 1
    column = len(before[before.rfind(b"\n") + 1 :].decode("utf-8")) + 1
    return Fault(
        Code.NOT_UTF8,
        Place(name, line, column),
        "job file",
        f"the byte 0x{error.object[error.start]:02X} is not UTF-8",
        "Save the file as UTF-8; it may have been saved as Latin-1 or UTF-16.",
    )
