"""What a change to a plan is: a function from a job to a job, and what a crew must know of it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from riskdoc.i18n.message import Text
from riskdoc.i18n.say import Locale, Message, speaking
from riskdoc.job.model import Job, Part, Reasons, WithNone
from riskdoc.job.nodes import Written
from riskdoc.job.quantity_text import quantity
from riskdoc.job.ruled_out import may_be_none
from riskdoc.quantities.printing import Toward, rounded
from riskdoc.quantities.quantity import Kind, Place, Quantity
from riskdoc.quantities.units import UNITS, from_si, units_of
from riskdoc.tables.loader import cell

NOWHERE = Place("proposed", 1, 1)
"""Where a number of a changed job stands: in no file."""

BESIDE = " beside "
"""Marks the copy of a part that a line gets of its own: `coping beside safety`.

No job file can write such an id, so none is taken for it; `writing` gives it one that can be.
"""
DIGITS = 4
"""Digits of an amount that a change works out: what a crew can measure and write."""


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
    title: Text
    level: Level
    asks: Text
    parts: tuple[str, ...]
    apply: Callable[[Job], Job]

    @property
    def kind(self) -> str:
        """The kind of change, as the table of controls names it."""
        return self.id.partition("/")[0]

    @property
    def effort(self) -> int:
        """What it asks of the crew, from 1 (a number in the plan) to 5 (a new anchor)."""
        return int(number(self.kind, "effort"))

    @property
    def practicability(self) -> int:
        """1 what a crew can do on the day, 2 what may not be to be had, 3 what is theoretical."""
        return int(number(self.kind, "practicability"))

    @property
    def cost(self) -> int:
        """What is least of several ways: the more practicable first, then the lesser effort.

        Costs of several changes add up, and no sum of efforts reaches a step of practicability.
        """
        return (0, STEP, STEP**2)[self.practicability - 1] + self.effort


STEP = 100
"""A step of practicability, above every sum of efforts: a set has at most 6 changes, each of 5."""


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


def written(job: Job, text: Message) -> str:
    """A text that a change writes into the job file, in the language that its report is in."""
    with speaking(Locale(job.report.language, job.report.units)):
        return str(text)


def rule_out(job: Job, section: str, id: str, key: str, reason: str) -> Job:
    """The job with a key of a part emptied, and stated not to apply where the part can say so."""
    part: Part = getattr(job, section)[id]
    field = type(part).model_fields[key]
    values: dict[str, object] = {key: field.get_default()}
    if isinstance(part, WithNone) and may_be_none(field):
        values["ruled_out"] = Reasons({**part.ruled_out, key: reason})
    return amend(job, section, id, **values)


def scaled(value: Quantity, factor: float, toward: Toward = "near") -> Quantity:
    """A quantity times a number, its range with it, in the unit it was written in.

    It is what reading its own text gives, so that a job file can state it.

    >>> scaled(exactly(0.35, Kind.LENGTH, "mm"), 0.5).written
    '175 mm'
    """
    ends = [end * factor for end in (value.low, value.expected, value.high)]
    return amounts(ends, value.kind, _unit(value), toward)


def amounts(ends: Sequence[float], kind: Kind, unit: str, toward: Toward = "near") -> Quantity:
    """Low, expected and high in SI as a job file states them in a unit, with a few digits.

    >>> amounts([0.1, 0.1, 0.20004], Kind.LENGTH, "mm").written
    '100 / 100 / 200 mm'
    """
    text = [_trimmed(rounded(from_si(end, unit), toward, DIGITS)) for end in ends]
    return _read(" / ".join(text) if len(set(text)) > 1 else text[0], unit, kind)


def exactly(value: float, kind: Kind, unit: str = "") -> Quantity:
    """One value as a quantity, stated in a unit; in SI where none is named.

    >>> exactly(0.9, Kind.LENGTH, "mm").written, exactly(6.0, Kind.SPEED).written
    ('900 mm', '6 m/s')
    """
    unit = unit or kind.si
    return _read(_trimmed(f"{Decimal(f'{from_si(value, unit):.9g}'):f}"), unit, kind)


def _read(number: str, unit: str, kind: Kind) -> Quantity:
    return quantity(Written(f"{number} {unit}".strip(), NOWHERE), kind)


def _trimmed(digits: str) -> str:
    return digits.rstrip("0").rstrip(".") if "." in digits else digits


def _unit(value: Quantity) -> str:
    """The unit a quantity was written in, else the commonest of its kind."""
    found = re.search(r"[^\s0-9.,+/-][^\s0-9]*$", value.written.strip())
    return found[0] if found and found[0] in UNITS else units_of(value.kind)[0]


def number(row: str, column: str = "value") -> float:
    """A number of the table of controls.

    >>> number("reach kept")
    0.5
    """
    return cell("controls", row, column).expected
