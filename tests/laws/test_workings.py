"""What a working prints is what was computed: each is evaluated again, as a reader would.

A small evaluator of its own reads the printed text of every figure at an edge (sums, products,
powers, roots, sines, least and greatest), and must come to the printed result.
"""

from __future__ import annotations

import ast
import math
import operator
import re
from collections.abc import Iterator

import pytest
from support.demos import DAYS, JOBS
from support.plan import COPING, PAD, PLATE, ROLLER, assessed, over_edges

from riskdoc.assess.assess import assess
from riskdoc.assess.records import Figure
from riskdoc.job.reading import read

SPOKEN = {"·": "*", "−": "-", "^": "**", "√": "sqrt", "{": "(", "}": ")"}
DOES = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
    ast.USub: operator.neg,
}
CALLED = {"sin": math.sin, "sqrt": math.sqrt, "min": min, "max": max}
LEFT = ("/heat/", "/strength/")
"""Figures with an edge in their id that are not of its exposure."""


def evaluated(text: str) -> float:
    """The value of a printed working.

    >>> evaluated("min(2 · 3, √(4^2)) − 1")
    3.0
    """
    for printed, meant in SPOKEN.items():
        text = text.replace(printed, meant)
    return _value(ast.parse(text, mode="eval").body)


def _value(node: ast.AST) -> float:
    if isinstance(node, ast.Constant):
        return float(node.value)
    if isinstance(node, ast.BinOp):
        return DOES[type(node.op)](_value(node.left), _value(node.right))
    if isinstance(node, ast.UnaryOp):
        return DOES[type(node.op)](_value(node.operand))
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        return CALLED[node.func.id](*map(_value, node.args))
    raise AssertionError(f"a reader cannot work this out: {ast.dump(node)}")


def agrees(figure: Figure) -> None:
    """The working comes to the printed result, and that is the expected value."""
    _, middle, result = re.split(r" = ", figure.worked, maxsplit=2)
    printed = float(result.split(" ")[0])
    assert evaluated(middle) == pytest.approx(printed, rel=5e-4, abs=1e-12), figure.worked
    assert printed == pytest.approx(figure.range.expected, rel=1e-4, abs=1e-12), figure.id


def at_edges(figures: tuple[Figure, ...]) -> Iterator[Figure]:
    for each in figures:
        if "/edge/" in each.id and not any(part in each.id for part in LEFT):
            yield each


@pytest.mark.parametrize("name", DAYS)
def test_every_working_at_an_edge_of_a_demo_comes_to_its_result(name):
    reading = read(JOBS / f"{name}.yaml", DAYS[name])
    assert reading.file is not None
    found = list(at_edges(assess(reading.file).figures))
    for each in found:
        agrees(each)
    assert len(found) > 20 or not reading.file.job.edges


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
}


@pytest.mark.parametrize("changes", PLANS.values(), ids=PLANS)
def test_every_working_at_an_edge_comes_to_its_result(changes):
    found = list(at_edges(assessed(*changes).figures))
    for each in found:
        agrees(each)
    assert len(found) > 15


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
    agrees(tenth)


def test_the_evaluator_sees_a_working_that_is_not_what_was_computed():
    figure = assessed(over_edges(passes="4"), REACH).figure(
        "line/working/edge/edge_working/exposure/sideways/hold"
    )
    assert figure is not None
    wrong = Figure(
        **{
            **{name: getattr(figure, name) for name in figure.__slots__},
            "worked": figure.worked.replace("^1.5", "^1.6"),
        }
    )
    with pytest.raises(AssertionError):
        agrees(wrong)
