"""What a working prints is what was computed: each is evaluated again, as a reader would.

The printed text of every figure is read and worked out in mpmath, at thirty digits (`worked.py`).
It must come to the printed result within its last digit; nothing is left out.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from support.demos import DAYS, JOBS
from support.plan import COPING, PAD, PLATE, ROLLER, assessed, over_edges
from support.random_plans import plans
from support.worked import evaluated

from riskdoc.analysis.figure import Figure
from riskdoc.analysis.figures import figure
from riskdoc.job.reading import read
from riskdoc.judgement.assess import assess
from riskdoc.mechanics.equation import Equation, Symbol
from riskdoc.mechanics.kit import ROPE_MASS
from riskdoc.quantities.intervals import brief, exact

ONE = Symbol("1")


def last_place(printed: str) -> float:
    """One in the last of five digits of a printed number, however many noughts stand after it.

    >>> last_place("0.0705"), round(last_place("15500"), 9)
    (1e-06, 1.0)
    """
    value = float(printed)
    return 10.0 ** (int(f"{value:e}".split("e")[1]) - 4) if value else 1e-12


def steps_of(figure: Figure) -> list[tuple[str, str]]:
    """The workings of a figure and of its steps: the expression and the printed result."""
    found = [part.split(" = ") for part in str(figure.worked).split("; ")]
    return [(each[1], each[2].split(" ")[0]) for each in found if len(each) == 3]


def disagreement(figure: Figure) -> str:
    """What is wrong with the working of a figure; nothing where it comes to its result."""
    (main, result), *steps = steps_of(figure)
    if abs(evaluated(main) - float(result)) > 1.001 * last_place(result):
        return f"{figure.id}: {figure.worked} ({evaluated(main)})"
    for text, printed in steps:
        if abs(evaluated(text) - float(printed)) > 1.001 * last_place(printed):
            return f"{figure.id}: {text} = {printed} ({evaluated(text)})"
    if abs(float(result) - figure.range.expected) > 0.5001 * last_place(result):
        return f"{figure.id}: {result} ({figure.range.expected})"
    return ""


def wrong(figures: tuple[Figure, ...]) -> list[str]:
    return [said for each in figures if (said := disagreement(each))]


DEMOS = {**DAYS, "dam_b": date(2027, 6, 7), "wasserturm": date(2027, 4, 12)}
"""All that stand in the folder of jobs: a second revision, and one in German, too."""


def test_no_demo_is_left_out():
    assert {each.stem for each in JOBS.glob("*.yaml") if ".signoff" not in each.name} == set(DEMOS)


@pytest.mark.parametrize("name", DEMOS)
def test_every_working_of_a_demo_comes_to_its_result(name):
    reading = read(JOBS / f"{name}.yaml", DEMOS[name])
    assert reading.file is not None
    found = assess(reading.file).figures

    assert len(found) > 50
    assert wrong(found) == []


@pytest.mark.parametrize("seed", range(4))
def test_every_working_of_500_random_jobs_comes_to_its_result(seed):
    formulas: set[str] = set()
    with brief():
        for file in plans(125, seed):
            found = assess(file).figures
            assert wrong(found) == []
            formulas |= {each.formula for each in found}

    assert len(formulas) > 100


REACH = {"sites": {"wall": {"reach_sideways": "6 m"}}, "lines": {"working": {"below": "8 m"}}}
BLOW = {"sites": {"wall": {"wind": {"stop_at": "25 m/s", "measured_as": "mean", "height": "10 m",
                                    "source": "crew"}}}}  # fmt: skip
PLANS = {
    "bare, held by friction short of the straight line": (over_edges(passes="4"), REACH),
    "a narrow plate": (over_edges(protector={**PLATE, "width": "200 mm"}, passes="4"), REACH),
    "a narrow pad in a storm": (
        over_edges(protector={**PAD, "width": "200 mm"}, passes="4"),
        {"sites": {"wall": {"reach_sideways": "1 m"}}},
        BLOW,
    ),
    "rollers with guards": (over_edges(protector=ROLLER, passes="4"), REACH),
    "a sleeve": (over_edges(protector={"kind": "sleeve", "tied": "true"}), REACH),
    "two strands, three runs": (
        over_edges(passes="4"),
        REACH,
        {"lines": {"working": {"strands": "2", "runs": "3", "cases": ["ascend", "lower"]}}},
    ),
    "an edge of 0.1 mm": (over_edges({**COPING, "radius": "0.1 mm"}, passes="4"), REACH),
    "full friction, which holds at any kink": (
        over_edges({**COPING, "friction": "1", "turn": "120 deg"}, passes="4"),
        REACH,
    ),
    "a rope led back over an edge": (over_edges({**COPING, "turn": "180 deg"}, passes="4"), REACH),
}


@pytest.mark.parametrize("changes", PLANS.values(), ids=PLANS)
def test_every_working_of_a_plan_at_its_limits_comes_to_its_result(changes):
    found = assessed(*changes).figures

    assert wrong(found) == []
    assert len([each for each in found if "/edge/" in each.id]) > 15


def test_at_an_edge_of_a_tenth_of_a_millimetre_the_printed_formula_is_what_was_computed():
    """The least radius a job can state is 0.01 mm; nothing is held at 0.25 mm any more.

    From 0.25 mm to 0.1 mm wear sideways rises by (0.25/0.1)^0.5 = 1.5811, as expected.
    """
    id = "line/working/edge/edge_working/exposure/sideways/hold"
    quarter, tenth = (
        assessed(over_edges({**COPING, "radius": size}, passes="4"), REACH).figure(id)
        for size in ("0.25 mm", "0.1 mm")
    )
    assert quarter is not None
    assert tenth is not None
    assert tenth.range.expected / quarter.range.expected == pytest.approx(1.5811, rel=1e-4)
    assert disagreement(tenth) == ""


@pytest.mark.parametrize(
    ("right", "other"), [("^1.5", "^1.51"), ("/ 1000", "/ 1001"), ("1 − 0", "1 + 0.001")]
)
def test_a_working_that_is_not_what_was_computed_is_seen(right, other):
    figure = assessed(over_edges(passes="4"), REACH).figure(
        "line/working/edge/edge_working/exposure/sideways/hold"
    )
    assert figure is not None
    assert right in figure.worked
    assert disagreement(replace(figure, worked=figure.worked.replace(right, other, 1))) != ""


def test_a_figure_whose_number_is_not_that_of_its_equation_is_refused():
    inputs = {"w": 0.075, "L": 20}

    assert figure("rope/a/mass", "", ROPE_MASS, inputs, exact(1.5)).worked.endswith("= 1.5 kg")
    with pytest.raises(AssertionError, match="another number"):
        figure("rope/a/mass", "", ROPE_MASS, inputs, exact(1.501))
    with pytest.raises(AssertionError, match="takes"):
        figure("rope/a/mass", "", ROPE_MASS, {**inputs, "m": 1.0})


def test_a_working_has_as_many_digits_as_it_takes():
    """1/3 of 300000 is 100000: with 0.33333 it would print 99999, one in the last digit is let be.

    (100000 / 99999)^1e6 = e^(1e6 · 0.00001000005) = 22027.6; ten times as much with 1.0001.
    """
    power = Equation(lambda x, n: x**n, "y", "1", "{x}^{n}", {"x": ONE, "n": ONE}, "")
    made = figure("a/b", "", power, {"x": 100000 / 99999, "n": 1e6})

    assert made.worked.startswith("y = 1.0000100001^")
    assert disagreement(made) == ""
