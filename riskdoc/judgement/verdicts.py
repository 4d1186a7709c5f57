"""The frozen records of an assessment: verdicts, checks, findings, cautions, and the whole."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import Any

import numpy as np
import numpy.typing as npt

from riskdoc.analysis.figure import Figure
from riskdoc.i18n.message import Text
from riskdoc.job.reading import JobFile
from riskdoc.quantities.ranges import Input, Range, Sensitivity


class Verdict(StrEnum):
    """The answer of a check. `NOT_DEMONSTRATED`: something needed is missing; never a pass."""

    ADEQUATE = "adequate"
    BORDERLINE = "borderline"
    NOT_DEMONSTRATED = "not demonstrated"
    INADEQUATE = "inadequate"

    @property
    def rank(self) -> int:
        """0 for adequate, rising: borderline, not demonstrated, inadequate."""
        return list(Verdict).index(self)

    @property
    def level(self) -> int:
        """0 for adequate, 1 for borderline, 2 for both words that are no pass.

        A plan of which something is left out may go from inadequate to not demonstrated, and is
        no better for it.
        """
        return min(self.rank, 2)


@dataclass(frozen=True, slots=True)
class Acceptance:
    """A borderline check that a named person accepts, at the values as planned.

    `conditions` are in that person's own words, `until` is the last day of the acceptance.
    """

    by: str
    reason: str
    until: date
    conditions: tuple[str, ...]
    place: str


@dataclass(frozen=True, slots=True)
class Check:
    """A judged comparison, or a rule that no number overrides.

    `demand`, `capacity`, `ratio` are None for rules and where something is missing.
    `ratio` is capacity / demand, to be compared with `required`. `drawn` are the draws of the
    demand where a band was judged: two checks of one id are compared draw by draw.
    """

    id: str
    subject: str
    title: Text
    verdict: Verdict
    reason: Text
    remedy: Text
    demand: Range | None
    capacity: Range | None
    ratio: Range | None
    required: float | None
    unit: str
    source: Text
    decides: tuple[Sensitivity, ...] = ()
    missing: tuple[Text, ...] = ()
    figures: tuple[str, ...] = ()
    inputs: tuple[Input, ...] = ()
    accepted: Acceptance | None = None
    drawn: npt.NDArray[np.float64] | None = field(default=None, repr=False, compare=False)

    @property
    def against(self) -> tuple[int, float]:
        """How far it is from being met: by verdict, then by how short it falls at worst."""
        if self.ratio is None or not self.required:
            return self.verdict.rank, 0.0
        worst = self.ratio.low
        return self.verdict.rank, self.required / worst if worst > 0 else math.inf

    @property
    def stands(self) -> bool:
        """Whether the check is met: adequate, or borderline and accepted."""
        return self.verdict is Verdict.ADEQUATE or (
            self.verdict is Verdict.BORDERLINE and self.accepted is not None
        )


@dataclass(frozen=True, slots=True)
class Finding:
    """Something the reader must know that is not a comparison, with its place in the job."""

    id: str
    subject: Text
    text: Text
    place: str


@dataclass(frozen=True, slots=True)
class Caution:
    """A warning with an ANSI Z535.6 signal word; `because` names what in the job calls for it."""

    id: str
    word: str
    text: Text
    because: Text


@dataclass(frozen=True, slots=True)
class Assessment:
    """Everything computed and judged about one job file.

    `status` is the worst of the checks, acceptances left aside; what a reader is told of a plan is
    its outcome, in which items of its set count too. `defaults` lists every table row that a
    figure rests on; `inputs` every stated value used.
    `not_judged` names what this version leaves to the people who sign: no verdict covers it.
    `rows` is what was taken from the tables for any of it, by table, row and column.
    """

    file: JobFile
    status: Verdict
    figures: tuple[Figure, ...]
    checks: tuple[Check, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]
    inputs: tuple[Input, ...]
    defaults: tuple[Input, ...]
    requirement_set: str
    not_judged: tuple[Text, ...]
    rows: Mapping[str, Any]

    def figure(self, id: str) -> Figure | None:
        """The figure with this id, or None where it could not be computed."""
        return next((each for each in self.figures if each.id == id), None)

    def check(self, id: str) -> Check | None:
        """The check with this id, or None."""
        return next((each for each in self.checks if each.id == id), None)

    @property
    def failed_checks(self) -> tuple[Check, ...]:
        """The checks that are not met, worst first."""
        return tuple(
            sorted((c for c in self.checks if not c.stands), key=lambda c: -c.verdict.rank)
        )
