"""The catalogue of hazards: what can go wrong on ropes, and what is done about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from riskdoc.hazards.matrices import load


@dataclass(frozen=True, slots=True)
class Entry:
    """A hazard of the catalogue. `severity` and `likelihood` are by id of the matrix.

    Its texts are in English; the register says them.
    """

    id: str
    group: str
    title: str
    causes: tuple[str, ...]
    how: str
    who: tuple[str, ...]
    fatal: bool
    severity: Mapping[str, str]
    likelihood: Mapping[str, str]
    controls: Mapping[str, tuple[str, ...]]
    source: str
    provenance: str


@cache
def catalogue() -> Mapping[str, Entry]:
    """Every hazard by its id, group by group.

    >>> catalogue()["both_lines_at_one_edge"].fatal
    True
    """
    raw = load("catalogue.yaml")
    return {
        id: Entry(
            id=id,
            group=raw["groups"][body["group"]],
            title=body["title"],
            causes=tuple(body["causes"]),
            how=body["how"],
            who=tuple(body["who"]),
            fatal=body["fatal"],
            severity=_levels(body["severity"]),
            likelihood=_levels(body["likelihood"]),
            controls={level: tuple(said) for level, said in body["controls"].items()},
            source=body["source"],
            provenance=body["provenance"],
        )
        for id, body in raw["hazards"].items()
    }


def _levels(raw: Mapping[str, object]) -> Mapping[str, str]:
    """Levels by the id of a matrix as a job file writes it."""
    return {id.replace("_", "-"): str(v) for id, v in raw.items()}
