"""Warnings: what can be meant, and is more often a slip. Told only of a job without faults."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from riskdoc.job.faults import Code, shown
from riskdoc.job.model import Job, Line
from riskdoc.job.model_findings import Found, recorded
from riskdoc.job.nodes import Path
from riskdoc.job.references import BEARING, SECTIONS, unused

LIGHT = 40.0  # kg; below this the mass given for several people is likely that of one


def cautions(job: Job, on: date, others: Sequence[Job] = ()) -> Iterator[Found]:
    """Every warning about a job that has no fault, judged on one day; `others` its alternatives."""
    for path, day in recorded(job):
        if day > on:
            yield Found(
                Code.DATE_AHEAD,
                path,
                f"{day} has not come yet; this is judged on {on}",
                "It counts only once it is done: look again on the day of the work.",
            )
    yield from _past(job, on)
    yield from _unused(job, others)
    for name, line in job.lines.items():
        yield from _passes(job, ("lines", name), line)
    for name, load in job.loads.items():
        if load.people and load.mass.low < LIGHT * load.people:
            yield Found(
                Code.LIGHT_PEOPLE,
                ("loads", name, "mass"),
                f"{load.mass.written} for {load.people} "
                f"{'person' if load.people == 1 else 'people'} is little",
                "The mass is that of all of them together.",
            )


def _past(job: Job, on: date) -> Iterator[Found]:
    end = job.job.valid.end
    if end < on:
        yield Found(
            Code.VALID_PAST,
            ("job", "valid", "to"),
            f"the last day {end} has passed; this is judged on {on}",
            "Go through the whole job again and write new days, in a new revision.",
        )


def _unused(job: Job, others: Sequence[Job]) -> Iterator[Found]:
    for section, name in unused(job, others):
        if section in BEARING:
            continue  # a fault
        spare = section == "protection"
        yield Found(
            Code.UNUSED_PROTECTOR if spare else Code.UNUSED_PART,
            (section, name),
            f"no {'edge' if spare else 'part of the job'} names the {SECTIONS[section]} "
            f"{shown(name)}",
            "It protects nothing: name it at its edge, or take it out."
            if spare
            else "Name it where it is used, or take it out.",
        )


def _passes(job: Job, path: Path, line: Line) -> Iterator[Found]:
    sites = {job.edges[over.edge].site for over in line.over} | ({line.site} - {None})
    reach = [job.sites[site].reach_sideways for site in sites if site is not None]
    if line.passes and all(way is None for way in reach):
        yield Found(
            Code.PASSES_WITHOUT_REACH,
            (*path, "passes"),
            f"{line.passes} sideways passes, and no 'reach_sideways' at the site",
            "Say at the site how far the worker goes, or no sweep can be computed.",
        )
