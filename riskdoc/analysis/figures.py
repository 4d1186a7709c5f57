"""Makes figures: an equation and its inputs give the number, the formula and its working."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from riskdoc.analysis.figure import Figure
from riskdoc.i18n.message import Text, filled, joined, message
from riskdoc.mechanics.equation import Equation
from riskdoc.quantities.intervals import Interval, combine, exact
from riskdoc.quantities.printing import plain

DIGITS, DIGITS_OVER_STEPS, MOST_DIGITS = 5, 7, 17
"""Digits of the numbers in a working: five, or as many as it takes to come to the result.

Where steps stand between, their roundings add up, and it is begun with more.
"""
SAME = 1e-9
"""How far a number may be off its equation at the expected inputs: rounding, nothing else."""


def figure(
    id: str,
    title: Text,
    equation: Equation,
    inputs: Mapping[str, Interval | float],
    number: Interval | None = None,
    where: Text = "",
) -> Figure:
    """A figure of the report: what the equation gives for its inputs, by name.

    A number that others share is handed in, with its ranges as they are there; that it is what the
    equation gives at the expected inputs is looked at. `where` says in words which of several
    places or cases the inputs are of.

    >>> from riskdoc.mechanics.kit import ROPE_MASS
    >>> made = figure("rope/a/mass", "Mass", ROPE_MASS, {"w": 0.075, "L": 20})
    >>> str(made.formula), made.worked
    ('m = w · L', 'm = 0.075 · 20 = 1.5 kg')
    """
    given = [_spread(inputs[name]) for name in equation.arguments]
    if len(given) != len(inputs):
        raise AssertionError(f"{id} takes {equation.arguments}, found {tuple(inputs)}")
    expected = {name: each.expected for name, each in zip(equation.arguments, given, strict=True)}
    if number is None:
        number = combine(equation.function, *given)
    elif not math.isclose(
        number.expected, equation(*expected.values()), rel_tol=SAME, abs_tol=1e-12
    ):
        raise AssertionError(f"{id} is {number.expected}, its equation gives another number")
    return Figure(
        id=id,
        title=title,
        subject=id.rsplit("/", maxsplit=1)[0],
        range=number.range,
        unit=equation.unit,
        symbol=equation.symbol,
        formula=joined(_formula(equation), "; "),
        worked=joined((*_worked(equation, expected, number.expected), where), "; "),
        inputs=tuple(number.inputs.values()),
        sensitivities=number.sensitivities(),
        source=message(equation.source) if equation.source else "",
    )


def _spread(number: Interval | float) -> Interval:
    return number if isinstance(number, Interval) else exact(number)


def _formula(equation: Equation) -> Iterator[Text]:
    """The equation, its steps, and its words."""
    for each in (equation, *equation.steps):
        yield filled(f"{each.symbol} = {each.formula}", **each.signs)
    if equation.words:
        yield message(equation.words)


def _worked(equation: Equation, numbers: dict[str, float], result: float) -> Iterator[str]:
    """The equation with numbers and its result, and each of its steps."""
    digits = _digits(equation, numbers, result)
    unit = "" if equation.unit == "1" else f" {equation.unit}"
    yield f"{equation.symbol} = {equation.in_numbers(numbers, digits)} = {plain(result)}{unit}"
    known = equation.with_steps(numbers)
    for step in equation.steps:
        own, value = {name: known[name] for name in step.arguments}, known[step.symbol]
        found = step.in_numbers(own, max(digits, _digits(step, own, value)))
        yield f"{step.symbol} = {found} = {value:.{digits}g}"


def _digits(equation: Equation, numbers: Mapping[str, float], result: float) -> int:
    """The fewest digits of the numbers with which the equation gives the printed result."""
    for digits in range(DIGITS_OVER_STEPS if equation.steps else DIGITS, MOST_DIGITS):
        rounded = [float(f"{each:.{digits}g}") for each in numbers.values()]
        try:
            found = equation(*rounded)
        except ValueError:  # rounded out of the bounds
            continue
        if abs(found - float(plain(result))) <= last_place(result):
            return digits
    return MOST_DIGITS


def last_place(value: float) -> float:
    """One in the last of the five digits that are printed of a value.

    >>> last_place(961.0517), last_place(0.0)
    (0.01, 1e-12)
    """
    if value == 0:
        return 1e-12
    return float(f"1e{math.floor(math.log10(abs(value))) - 4}")
