"""Every number from the world names its source; the job's words and the tables' rows agree."""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import get_args

import pytest

from riskdoc.job import model
from riskdoc.tables.loader import NAMES, PROVENANCES, Cell, NoSuchCellError, cell, table

CELLS = [c for name in NAMES for row in table(name).rows.values() for c in row.values()]


def test_there_are_cells_to_look_at():
    assert len(CELLS) > 90


@pytest.mark.parametrize("found", CELLS, ids=lambda c: c.id)
def test_every_number_has_a_range_a_provenance_and_a_source(found: Cell):
    assert found.low <= found.expected <= found.high
    assert found.provenance in PROVENANCES
    assert found.source.strip()
    assert found.title.strip()
    assert found.unit


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("surfaces", get_args(model.Surface)),
        ("protections", get_args(model.ProtectorKind)),
        ("terminations", get_args(model.Termination)),
        ("fibres", get_args(model.Fibre)),
        ("standards", get_args(model.RopeStandard)),
        ("dynamic", get_args(model.Case)),
    ],
)
def test_the_words_of_the_job_file_are_the_rows_of_the_tables(name, words):
    assert set(table(name).rows) == set(words)


def test_an_unknown_row_raises_and_nothing_near_is_taken():
    with pytest.raises(NoSuchCellError, match="granit"):
        cell("surfaces", "granit", "friction")


def test_the_half_rule_is_a_half_and_covers_every_knot():
    """29 CFR 1926 Subpart M App. C (h): a knot can halve a rope."""
    halves = [row["half"].expected for row in table("terminations").rows.values() if "half" in row]

    assert halves == [0.5] * 6


@pytest.mark.parametrize(
    ("row", "column", "printed"),
    [
        ("EN 1891 type A", "strength", 22_000),
        ("EN 1891 type B", "strength", 18_000),
        ("EN 1891 type A", "knotted", 15_000),
        ("EN 1891 type B", "knotted", 12_000),
        ("EN 892 single", "peak", 12_000),
        ("EN 892 half", "peak", 8_000),
        ("NFPA 2500 general", "strength", 40_000),
        ("NFPA 2500 technical", "strength", 20_000),
    ],
)
def test_least_values_of_the_standards(row, column, printed):
    """EN 1891:1998, EN 892:2004, NFPA 1983/2500, as listed in the published values."""
    assert cell("standards", row, column).expected == printed


@pytest.mark.parametrize(("d", "printed"), [(4, 3.2), (5, 5.0), (6, 7.2), (7, 9.8), (8, 12.8)])
def test_cord_strength_law(d, printed):
    """EN 564: 0.2 kN times the square of the diameter in mm."""
    per_square = cell("standards", "EN 564", "strength_by_diameter").expected

    assert per_square * (d / 1000) ** 2 / 1000 == pytest.approx(printed)


def test_floating_and_sinking_fibres():
    """Bigon & Regazzoni, The Morrow Guide to Knots, p. 14: PP floats, PA, PET and aramid sink."""
    floats = {name for name, row in table("fibres").rows.items() if row["density"].high < 1000}

    assert floats == {"polypropylene", "HMPE"}


def test_no_number_from_the_world_stands_in_the_code_of_the_assessment():
    """No decimal number stands there but those of rounding and of a state (0, 0.25 … 1)."""
    allowed = {0.0, 0.25, 0.5, 0.75, 1.0, -1.0, 1e-3, 1e3, 1e-9, 1e-12, 10.0}
    folder = Path(model.__file__).parents[1]
    found, looked = [], 0
    for file in (*folder.glob("analysis/*.py"), *folder.glob("judgement/*.py")):
        looked += 1
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            decimal = isinstance(node, ast.Constant) and isinstance(node.value, float)
            if decimal and node.value not in allowed:
                found.append(f"{file.name}:{node.lineno}: {node.value}")

    assert looked > 10
    assert found == []


def test_what_is_from_memory_says_so():
    """A number nobody has seen printed is not called published."""
    unsure = [c.id for c in CELLS if re.search(r"remember|no page seen", c.source)]

    assert unsure
    assert all(cell(*id.split("/")).provenance == "from memory" for id in unsure)
