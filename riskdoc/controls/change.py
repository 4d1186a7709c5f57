"""What a change to a plan is: a function from a job to a job, and what a crew must know of it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from riskdoc.job.model import Job, Part, Reasons
from riskdoc.job.quantity import Kind, Place, Quantity
from riskdoc.tables.loader import cell, table

NOWHERE = Place("proposed", 1, 1)
"""Where a number of a changed job stands: in no file."""

BESIDE = " beside "
"""Marks the copy of a part that a line gets of its own: `coping beside safety`."""


class Level(StrEnum):
    """The hierarchy of controls, strongest first (ISO 45001:2018, 8.1.2, from memory)."""

    ELIMINATE = "eliminate"
    SUBSTITUTE = "substitute"
    ENGINEER = "engineer"
    ORGANISE = "organise"
    WEAR = "wear"

    @property
    def rank(self) -> int:
        """0 for the strongest."""
        return list(Level).index(self)


@dataclass(frozen=True, slots=True)
class Change:
    """A control as a change to the job.

    `id` is `kind/target`; `parts` are the parts of the job it writes to, so that two changes that
    write the same part the same way are not tried together. `asks` is what the crew must do.
    """

    id: str
    title: str
    level: Level
    asks: str
    parts: tuple[str, ...]
    apply: Callable[[Job], Job]

    @property
    def kind(self) -> str:
        """The kind of change, as the table of controls names it."""
        return self.id.partition("/")[0]

    @property
    def effort(self) -> int:
        """What it asks of the crew, from 1 (a number in the plan) to 5 (a new anchor)."""
        return int(table("controls").properties[self.kind]["effort"])


def plan_id(id: str) -> str:
    """The id a check has in the plan as written, whatever copies of parts a change made.

    >>> plan_id("line/safety/edge/coping beside safety/exposure")
    'line/safety/edge/coping/exposure'
    """
    return re.sub(rf"{BESIDE}[^/]+", "", id)


def put(job: Job, section: str, id: str, part: Part) -> Job:
    """The job with one part of a section set."""
    return job.model_copy(update={section: {**getattr(job, section), id: part}})


def without(reasons: Mapping[str, str], key: str) -> Reasons:
    """What a part says does not apply, less one key: the changed job states that one."""
    return Reasons({each: why for each, why in reasons.items() if each != key})


def amend(job: Job, section: str, id: str, **values: object) -> Job:
    """The job with some values of one part changed."""
    return put(job, section, id, getattr(job, section)[id].model_copy(update=values))


def scaled(value: Quantity, factor: float) -> Quantity:
    """A quantity times a number, its range with it.

    >>> scaled(Quantity(1, 2, 3, Kind.LENGTH, "1 / 2 / 3 m", NOWHERE), 0.5).high
    1.5
    """
    return replace(
        value,
        low=value.low * factor,
        expected=value.expected * factor,
        high=value.high * factor,
        written=f"{factor:.4g} × ({value.written})",
        place=NOWHERE,
    )


def exactly(value: float, kind: Kind, written: str = "") -> Quantity:
    """One value as a quantity."""
    text = written or f"{value:.6g} {kind.si}".removesuffix(" 1")
    return Quantity(value, value, value, kind, text, NOWHERE)


def number(row: str, column: str = "value") -> float:
    """A number of the table of controls.

    >>> number("reach kept")
    0.5
    """
    return cell("controls", row, column).expected
