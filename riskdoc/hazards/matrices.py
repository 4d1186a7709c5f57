"""Risk matrices, cell by cell as their sources print them. A look-up is exact."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import yaml

from riskdoc.i18n.say import say


class NoSuchLevelError(LookupError):
    """A matrix has no such severity or likelihood; the nearest one is never taken."""


@dataclass(frozen=True, slots=True)
class Level:
    """A level of severity or of likelihood."""

    key: str
    name: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Matrix:
    """A risk matrix. Severities stand in the source's order, likelihoods from the most likely down.

    `bands` stand from the least to the worst.
    """

    id: str
    title: str
    edition: str
    source: str
    provenance: str
    severities: tuple[Level, ...]
    likelihoods: tuple[Level, ...]
    bands: tuple[str, ...]
    cells: Mapping[tuple[str, str], tuple[str, int | None]]
    notes: tuple[str, ...]

    def band(self, severity: str, likelihood: str) -> str:
        """The band of a cell.

        >>> matrix("mil-std-882e").band("3", "E")
        'Medium'
        """
        return self._cell(severity, likelihood)[0]

    def score(self, severity: str, likelihood: str) -> int | None:
        """The score of a cell, None in a matrix without scores."""
        return self._cell(severity, likelihood)[1]

    def _cell(self, severity: str, likelihood: str) -> tuple[str, int | None]:
        found = self.cells.get((severity, likelihood))
        if found is None:
            raise NoSuchLevelError(f"{self.id} has no cell {severity!r}, {likelihood!r}")
        return found

    def rank(self, band: str) -> int:
        """0 for the least band, rising."""
        return self.bands.index(band)

    def severity(self, key: str) -> Level:
        """A level of severity. Raises `NoSuchLevelError`."""
        return _level(self.severities, key)

    def likelihood(self, key: str) -> Level:
        """A level of likelihood. Raises `NoSuchLevelError`."""
        return _level(self.likelihoods, key)

    def harm(self, severity: str) -> int:
        """How bad a severity is: 0 for the least, rising, whichever way the source counts."""
        keys = [level.key for level in self.severities]
        place = keys.index(self.severity(severity).key)
        return len(keys) - 1 - place if self.id == "mil-std-882e" else place

    def chance(self, likelihood: str) -> int:
        """How likely a likelihood is: 0 for the least, rising."""
        keys = [level.key for level in self.likelihoods]
        return len(keys) - 1 - keys.index(self.likelihood(likelihood).key)


def _level(levels: tuple[Level, ...], key: str) -> Level:
    found = next((level for level in levels if level.key == key), None)
    if found is None:
        known = ", ".join(level.key for level in levels)
        raise NoSuchLevelError(
            say("there is no level {key}; there are {known}", key=repr(key), known=known)
        )
    return found


@cache
def matrix(id: str) -> Matrix:
    """The matrix with this id: `mil-std-882e` or `npsa-2008`."""
    raw = load("matrices.yaml")
    if id not in raw:
        raise NoSuchLevelError(f"there is no matrix {id!r}; there are {', '.join(raw)}")
    body = raw[id]
    return Matrix(
        id=id,
        title=body["title"],
        edition=body["edition"],
        source=body["source"],
        provenance=body["provenance"],
        severities=_levels(body["severity"]),
        likelihoods=_levels(body["likelihood"]),
        bands=tuple(body["bands"]),
        cells={
            (severity, likelihood): _cell(cell)
            for likelihood, row in body["cells"].items()
            for severity, cell in row.items()
        },
        notes=tuple(body["notes"]),
    )


def _levels(raw: dict[str, Any]) -> tuple[Level, ...]:
    return tuple(Level(key, each["name"], each["meaning"]) for key, each in raw.items())


def _cell(raw: str | dict[str, Any]) -> tuple[str, int | None]:
    return (raw, None) if isinstance(raw, str) else (raw["band"], int(raw["score"]))


def load(name: str) -> Any:  # noqa: ANN401  (any YAML of ours)
    """One of the data files of this folder."""
    text = resources.files("riskdoc.hazards").joinpath(name).read_text("utf-8")
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    return yaml.load(text, Loader=loader)  # noqa: S506  (a safe loader, the C one where there is one)
