"""Whether a file that is to be written would take the place of another job's document.

Two job files of one name in two folders go to one name in the folder of the reports. The second
would replace the first unseen, and the crew would carry the paper of another job. A job is known
by its document number and its place: two that bear one number at two places are two jobs.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from html import unescape
from pathlib import Path

_MARK = re.compile(r'<meta name="document" content="([^"]*)"(?: data-place="([^"]*)")?>')


@dataclass(frozen=True, slots=True, order=True)
class Written:
    """A job that a document is of; an empty place is one that the document does not name."""

    number: str
    place: str = ""

    def same(self, other: Written) -> bool:
        """Whether two documents can be of one job; spelling of the place aside."""
        mine, theirs = _plain(self.place), _plain(other.place)
        return self.number == other.number and (mine == theirs or not mine or not theirs)


def _plain(place: str) -> str:
    return " ".join(place.casefold().split())


def clash(out: Path, names: Iterable[str], jobs: frozenset[Written]) -> str:
    """Why documents of these jobs may not be written under these names; empty where they may."""
    for name in names:
        target = out / name
        if target.suffix not in (".pdf", ".html") or not target.exists():
            continue
        there = jobs_in(target.read_bytes())
        if there is None:
            return (
                f"{target} is there already and is no document of riskdoc: move it away, or choose "
                "another folder with --out. Nothing was written."
            )
        if not (_within(there, jobs) and _within(jobs, there)):
            places = {job.number for job in there} == {job.number for job in jobs}
            return (
                f"{target} holds {_named(there, places=places)}, and this is "
                f"{_named(jobs, places=places)}: two jobs would "
                "write one file. Choose another folder with --out, or another name for one of the "
                "job files. Nothing was written."
            )
    return ""


def _within(these: Iterable[Written], those: Iterable[Written]) -> bool:
    return all(any(each.same(other) for other in those) for each in these)


def _named(jobs: Iterable[Written], *, places: bool) -> str:
    """Jobs by their numbers, and by their places where the numbers do not tell them apart."""
    named = (
        f"{job.number!r} at {job.place!r}" if places else repr(job.number) for job in sorted(jobs)
    )
    return " and ".join(dict.fromkeys(named))


def jobs_in(raw: bytes) -> frozenset[Written] | None:
    """The jobs in a PDF or HTML file; None where it is none of ours."""
    if not raw.startswith(b"%PDF-"):
        marked = _MARK.findall(raw.decode("utf-8", "replace"))
        if marked:
            return frozenset(Written(*map(unescape, each)) for each in marked)
    from riskdoc.verification.answers import ForeignError
    from riskdoc.verification.holding import held

    try:
        files = held(raw).files
    except ForeignError:
        return None
    found = {job for name, each in files.items() if (job := _job(name, each)) is not None}
    return frozenset(found) or None


def _job(name: str, raw: bytes) -> Written | None:
    """The number and the place in a job file; None where it is no job file."""
    import yaml

    if not name.endswith((".yaml", ".yml")):
        return None
    loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
    try:
        loaded = yaml.load(raw.decode("utf-8-sig"), Loader=loader)  # noqa: S506  (gives text alone)
    except (yaml.YAMLError, ValueError, RecursionError):
        return None
    job = loaded.get("job") if isinstance(loaded, dict) else None
    # A list of aliases would take all room as text; a number is a text already.
    number = _text_of(job, "number")
    if not number:
        return None
    location = job.get("location") if isinstance(job, dict) else None
    return Written(number, _text_of(location, "place"))


def _text_of(part: object, key: str) -> str:
    """A text of a mapping; empty where it is no mapping, or the value no text."""
    value = part.get(key) if isinstance(part, dict) else None
    return value.strip() if isinstance(value, str) else ""
