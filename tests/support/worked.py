"""Works out a printed formula as a reader would: by its text alone, and not with our functions."""

from __future__ import annotations

import ast
import operator
import re
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any

import mpmath

SPOKEN = {"·": "*", "−": "-", "^": "**", "√": "sqrt", "π": "pi", "°": "*pi/180"}  # fmt: skip
DOES: dict[type, Callable[..., Any]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
    ast.USub: operator.neg,
}
NUMBERS: dict[str, Callable[..., Any]] = {
    **{name: getattr(mpmath, name) for name in ("sin", "cos", "sqrt", "ceil")},
    **{f"arc{name}": getattr(mpmath, f"a{name}") for name in ("sin", "cos", "tan")},
    "min": min,
    "max": max,
    "abs": abs,
}
"""What the functions in a formula do with numbers."""


@lru_cache(maxsize=100_000)
def evaluated(text: str) -> float:
    """The value of a printed working.

    >>> evaluated("min(2 · 3, √(4^2)) − |1 − 2|"), evaluated("ceil(7 / 2) · (−1) · e^0")
    (3.0, -4.0)
    """
    with mpmath.workdps(30):
        return float(worked_out(text, {"e": +mpmath.e, "pi": +mpmath.pi}, NUMBERS))


def worked_out(
    text: str,
    names: Mapping[str, Any],
    does: Mapping[str, Callable[..., Any]],
    number: Callable[[str], Any] = mpmath.mpf,
) -> Any:
    """The value of a formula, of whatever its names stand for."""
    for printed, meant in SPOKEN.items():
        text = text.replace(printed, meant)
    text = re.sub(r"\|([^|]*)\|", r"abs(\1)", text)

    def value(node: ast.AST) -> Any:
        if isinstance(node, ast.Constant):
            return number(repr(node.value))
        if isinstance(node, ast.Name):
            return names[node.id]
        if isinstance(node, ast.BinOp):
            return DOES[type(node.op)](value(node.left), value(node.right))
        if isinstance(node, ast.UnaryOp):
            return DOES[type(node.op)](value(node.operand))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            return does[node.func.id](*map(value, node.args))
        raise AssertionError(f"a reader cannot work this out: {ast.dump(node)}")

    return value(ast.parse(text, mode="eval").body)
