"""What a check of a whole job finds, before it has a place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from riskdoc.job.draft import UNSOUND, Unsound
from riskdoc.job.faults import Code
from riskdoc.job.model import Job
from riskdoc.job.nodes import Path

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Found:
    """One finding: its code, the path of the value it is about, what was found, what would do."""

    code: Code
    path: Path
    message: str
    tip: str


def sound(findings: Iterator[Found]) -> Iterator[Found]:
    """The findings of one check up to where it would have to look at something unsound."""
    try:
        yield from findings
    except Unsound:
        return


def recorded(job: Job) -> Iterator[tuple[Path, date]]:
    """The days in a job that tell of something done: ropes made and inspected, drills."""
    days: list[tuple[Path, date | None]] = []
    if job.rescue is not UNSOUND:
        days.append((("rescue", "drilled"), job.rescue.drilled))
    if job.ropes is not UNSOUND:
        for name, rope in job.ropes.items():
            if rope is not UNSOUND:
                days.append((("ropes", name, "made"), rope.made))
                days.append((("ropes", name, "inspected"), rope.inspected))
    yield from ((path, day) for path, day in days if day is not None and day is not UNSOUND)


def named(section: Mapping[str, T], name: str) -> T:
    """The part a name points to; `Unsound` when there is none, for that is told elsewhere."""
    if name not in section:
        raise Unsound
    return section[name]
