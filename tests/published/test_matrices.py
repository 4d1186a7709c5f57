"""MIL-STD-882E Table III and the NPSA matrix of January 2008, cell by cell as printed."""

from __future__ import annotations

from itertools import pairwise

import pytest

from riskdoc.hazards.matrices import NoSuchLevelError, matrix

# MIL-STD-882E (11 May 2012), Table III, clause 4.3.3: rows A to F, columns 1 to 4.
MIL = {
    "A": ("High", "High", "Serious", "Medium"),
    "B": ("High", "High", "Serious", "Medium"),
    "C": ("High", "Serious", "Medium", "Low"),
    "D": ("Serious", "Medium", "Medium", "Low"),
    "E": ("Medium", "Medium", "Medium", "Low"),
    "F": ("Eliminated",) * 4,
}
# MIL-STD-882D Table A-III: ranks, 1 the worst; 1-5 High, 6-9 Serious, 10-17 Medium, 18-20 Low.
RANKS_882D = {
    "A": (1, 3, 7, 13),
    "B": (2, 5, 9, 16),
    "C": (4, 6, 11, 18),
    "D": (8, 10, 14, 19),
    "E": (12, 15, 17, 20),
}
# NPSA, A risk matrix for risk managers, January 2008: score is consequence times likelihood;
# 1-3 Low, 4-6 Moderate, 8-12 High, 15-25 Extreme. Rows are likelihood, columns consequence.
NPSA = {
    "5": ("Moderate", "High", "Extreme", "Extreme", "Extreme"),
    "4": ("Moderate", "High", "High", "Extreme", "Extreme"),
    "3": ("Low", "Moderate", "High", "High", "Extreme"),
    "2": ("Low", "Moderate", "Moderate", "High", "High"),
    "1": ("Low", "Low", "Low", "Moderate", "Moderate"),
}
CELLS = [
    (id, likelihood, str(severity), band)
    for id, rows in (("mil-std-882e", MIL), ("npsa-2008", NPSA))
    for likelihood, row in rows.items()
    for severity, band in enumerate(row, start=1)
]


@pytest.mark.parametrize(("id", "likelihood", "severity", "band"), CELLS)
def test_every_cell_is_the_printed_one(id, likelihood, severity, band):
    assert matrix(id).band(severity, likelihood) == band


def test_every_cell_there_is_was_looked_at():
    assert len(matrix("mil-std-882e").cells) == 24
    assert len(matrix("npsa-2008").cells) == 25
    assert len(CELLS) == 49


@pytest.mark.parametrize(("id", "likelihood", "severity", "band"), CELLS)
def test_no_cell_is_softer_than_its_source(id, likelihood, severity, band):
    """One-sided: copies of these tables err toward less risk."""
    grid = matrix(id)

    assert grid.rank(grid.band(severity, likelihood)) >= grid.rank(band)


def test_the_ranks_of_the_edition_before_give_the_same_twenty_cells():
    def banded(rank: int) -> str:
        ends = ((5, "High"), (9, "Serious"), (17, "Medium"), (20, "Low"))
        return next(name for end, name in ends if rank <= end)

    grid = matrix("mil-std-882e")
    for likelihood, row in RANKS_882D.items():
        for severity, rank in enumerate(row, start=1):
            assert grid.band(str(severity), likelihood) == banded(rank)


def test_npsa_scores_are_products():
    grid = matrix("npsa-2008")
    for likelihood in range(1, 6):
        for severity in range(1, 6):
            assert grid.score(str(severity), str(likelihood)) == likelihood * severity


@pytest.mark.parametrize("id", ["mil-std-882e", "npsa-2008"])
def test_no_band_falls_where_harm_or_chance_rises(id):
    grid = matrix(id)
    by_harm = sorted((level.key for level in grid.severities), key=grid.harm)
    by_chance = sorted((level.key for level in grid.likelihoods), key=grid.chance)
    for severity in by_harm:
        for less, more in pairwise(by_chance):
            ranks = [grid.rank(grid.band(severity, each)) for each in (less, more)]
            assert ranks == sorted(ranks)
    for likelihood in by_chance:
        for less, more in pairwise(by_harm):
            ranks = [grid.rank(grid.band(each, likelihood)) for each in (less, more)]
            assert ranks == sorted(ranks)


def test_death_judged_improbable_is_never_low():
    """882E E1 is Medium, NPSA 5 × 1 is Moderate: no score clears a fatal outcome."""
    assert matrix("mil-std-882e").band("1", "E") == "Medium"
    assert matrix("npsa-2008").band("5", "1") == "Moderate"


@pytest.mark.parametrize(("severity", "likelihood"), [("5", "A"), ("1", "G"), ("I", "A"), ("", "")])
def test_an_unknown_cell_raises_and_nothing_near_is_taken(severity, likelihood):
    with pytest.raises(NoSuchLevelError):
        matrix("mil-std-882e").band(severity, likelihood)
