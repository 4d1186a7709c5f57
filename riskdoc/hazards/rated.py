"""The frozen records a register of hazards is made of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from riskdoc.hazards.matrices import Matrix
from riskdoc.judgement.verdicts import Finding


@dataclass(frozen=True, slots=True)
class Rated:
    """A rating: the levels chosen, and what the matrix makes of them."""

    severity: str
    severity_name: str
    likelihood: str
    likelihood_name: str
    band: str
    score: int | None


@dataclass(frozen=True, slots=True)
class Listed:
    """A hazard of this job.

    `because` says why it is listed. `controls` are those this job chose (`chosen`), else proposals
    of the catalogue, on which no rating rests. `basis` says what the rating before controls rests
    on, `basis_after` what that after does. `checks` are those of the assessment that belong to it,
    `stops` those of them that are not met. `place` is where the job file speaks of it, else empty.
    `harmed` has who may be harmed as the catalogue writes it, or as the job does: what decides
    reads that, for `who` is said.
    """

    id: str
    group: str
    title: str
    causes: tuple[str, ...]
    how: str
    who: tuple[str, ...]
    harmed: tuple[str, ...]
    fatal: bool
    controls: Mapping[str, tuple[str, ...]]
    chosen: bool
    before: Rated | None
    after: Rated | None
    because: tuple[str, ...]
    proposed: bool
    changed: tuple[str, ...]
    reason: str
    owner: str
    due: str
    basis: str
    basis_after: str
    checks: tuple[str, ...]
    stops: tuple[str, ...]
    source: str
    provenance: str
    place: str


@dataclass(frozen=True, slots=True)
class Dropped:
    """A proposed hazard that the job says does not apply, with its reason."""

    id: str
    title: str
    reason: str
    because: tuple[str, ...]
    place: str


@dataclass(frozen=True, slots=True)
class Register:
    """The hazards of a job, those dropped, and what was refused of the job's own words on them.

    `rows` is what was taken from the tables for it, by table, row and column.
    """

    matrix: Matrix | None
    hazards: tuple[Listed, ...]
    dropped: tuple[Dropped, ...]
    findings: tuple[Finding, ...]
    rows: Mapping[str, Any] = field(default_factory=dict)

    @property
    def extreme(self) -> tuple[Listed, ...]:
        """The hazards that stay in the worst band of the matrix after control."""
        worst = self.matrix.bands[-1] if self.matrix else None
        return tuple(each for each in self.hazards if each.after and each.after.band == worst)

    @property
    def counts(self) -> Mapping[tuple[str, str], tuple[int, int]]:
        """Hazards in each cell (severity, likelihood): before, and after controls."""
        found: dict[tuple[str, str], tuple[int, int]] = {}
        for hazard in self.hazards:
            for end, rated in enumerate((hazard.before, hazard.after)):
                if rated is not None:
                    cell = (rated.severity, rated.likelihood)
                    old = found.get(cell, (0, 0))
                    found[cell] = (old[0] + (end == 0), old[1] + (end == 1))
        return found
