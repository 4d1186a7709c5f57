"""Each equation says in its formula what its function does, within its bounds and in its units.

The formulas are worked out by their text (`worked.py`), once with numbers and once with units.
"""

from __future__ import annotations

import importlib
import inspect
import math
import pkgutil
import random
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import numpy as np
import pint
import pytest
from support.worked import NUMBERS, evaluated, worked_out

import riskdoc.mechanics
from riskdoc.mechanics import anchors, by_count
from riskdoc.mechanics.equation import Equation, Symbol
from riskdoc.mechanics.fall import PEAK_FORCE
from riskdoc.mechanics.strength import RATED_MARGIN
from riskdoc.mechanics.sweep import CROSSING

ABOUT = ("WEAKEST", "WHOLE", "PULL", "PULLS")
"""What `of_several` takes symbol, unit and source from: no equations by themselves."""
SIGNS = ("a", "b", "c")


def modules() -> Iterator[Any]:
    for module in pkgutil.iter_modules(riskdoc.mechanics.__path__, "riskdoc.mechanics."):
        yield importlib.import_module(module.name)


def found() -> Iterator[tuple[str, Equation]]:
    """Every equation of `mechanics`: those that stand there, and of each count some."""
    for module in modules():
        for name, value in vars(module).items():
            if isinstance(value, Equation) and name not in ABOUT:
                yield name, value
    yield from ((f"LEG_OF_FAN {kind}", each) for kind, each in anchors.LEG_OF_FAN.items())
    for count in (0, 1, 3):
        yield f"tension_past {count}", by_count.tension_past(count)
        yield f"tension_at_snag {count}", by_count.tension_at_snag(count)
        yield f"stretching_length {count}", by_count.stretching_length(count)
    for count in (1, 3):
        for floor in (False, True):
            yield f"strength_left {count} {floor}", by_count.strength_left(count, floor=floor)
        yield f"stretch_of {count}", by_count.stretch_of(count)
        yield f"kit_mass {count}", by_count.kit_mass(count, count - 1)
        yield f"kit_volume {count}", by_count.kit_volume(count)
        for work, about in (
            (np.minimum, by_count.WEAKEST),
            (np.maximum, by_count.PULL),
            (np.add, by_count.PULLS),
            (np.add, by_count.WHOLE),
        ):
            several = by_count.of_several(work, SIGNS[:count], about)
            yield f"of_several {work.__name__} {about.symbol} {count}", several
    for stages in ([(1, False)], [(4, True)], [(3, False), (2, True)]):
        yield f"hauling_advantage {stages}", by_count.hauling_advantage(stages)


EQUATIONS = dict(found())
of_each = pytest.mark.parametrize("equation", EQUATIONS.values(), ids=EQUATIONS)


def drawn(equation: Equation, chance: random.Random) -> list[float]:
    """A number within the bounds for each argument; at times one at its bound."""
    return [_within(equation.symbols[name], chance) for name in equation.arguments]


def _within(symbol: Symbol, chance: random.Random) -> float:
    if chance.random() < 0.05 and symbol.takes(symbol.low):
        return symbol.low
    if chance.random() < 0.05 and symbol.takes(symbol.high):
        return symbol.high
    if math.isfinite(symbol.low) and math.isfinite(symbol.high):
        return chance.uniform(symbol.low, min(symbol.high, 2 * math.pi))
    size = 10 ** chance.uniform(*SIZES.get(symbol.unit, (-2, 2)))
    return symbol.low + size if math.isfinite(symbol.low) else size * chance.choice((-1, 1))


FLAT = 1e3
"""A leg that carries more pulls than this is so flat that its angle has too few digits."""
SIZES = {"1": (-1, 0.8), "N": (2, 5), "kg": (1, 2.5), "m": (-4.5, 2)}
"""Powers of ten between which amounts without a bound are drawn."""


@of_each
def test_the_formula_gives_what_the_function_gives(equation):
    """Drawn within the bounds; what no function takes together is passed over."""
    chance, tried = random.Random(1), 0
    for _ in range(120):
        numbers = drawn(equation, chance)
        try:
            result = equation(*numbers)
        except ValueError:
            continue
        if equation.symbol == "T leg" and result > FLAT * numbers[0]:
            continue
        named = dict(zip(equation.arguments, numbers, strict=True))
        try:
            for text, known in texts(equation, named, result):
                assert evaluated(text) == pytest.approx(known, rel=1e-9, abs=1e-9), named
        except ZeroDivisionError:
            assert 0 in numbers, named
            continue
        tried += 1
    assert tried > 12


def texts(
    equation: Equation, numbers: dict[str, float], result: float
) -> Iterator[tuple[str, float]]:
    """What is printed of an equation and of its steps, each with what it must come to."""
    yield equation.in_numbers(numbers, 17), result
    known = equation.with_steps(numbers)
    for step in equation.steps:
        yield (
            step.in_numbers({name: known[name] for name in step.arguments}, 17),
            known[step.symbol],
        )


UNITS = pint.UnitRegistry()


def _plain(work: Callable[..., Any]) -> Callable[..., Any]:
    """A function of numbers without a dimension; it refuses any other."""
    return lambda each: float(work(float(UNITS.Quantity(each).to("").magnitude)))


def _same(work: Callable[..., Any]) -> Callable[..., Any]:
    """The least or greatest of numbers of one dimension; 0 is of any."""

    def of(*each: Any) -> Any:
        known = [one for one in each if isinstance(one, UNITS.Quantity)]
        if not known:
            return work(each)
        others = [one.to(known[0].units) for one in known]
        return work(others) if len(known) == len(each) else max(others)

    return of


AMOUNTS: dict[str, Callable[..., Any]] = {
    **{name: _plain(work) for name, work in NUMBERS.items()},
    "sqrt": lambda each: each**0.5,
    "min": _same(min),
    "max": _same(max),
    "abs": abs,
}


@of_each
def test_the_formula_gives_the_unit_of_the_equation(equation):
    """Each symbol stands for an amount in its unit; unlike ones cannot be added or compared."""
    known: dict[str, Any] = {
        name: float(number) if equation.symbols[name].unit == "1"
        else UNITS.Quantity(number, equation.symbols[name].unit)
        for name, number in _that_fit(equation).items()
    }  # fmt: skip
    for name, symbol in equation.symbols.items():
        if symbol.value is not None:
            known[name] = UNITS.Quantity(symbol.value, symbol.unit)
    for each in (*equation.steps, equation):
        places = {name: f"v{n}" for n, name in enumerate(known)}
        named = {places[name]: value for name, value in known.items()}
        text = each.formula.format_map(places)
        result = worked_out(text, {"e": math.e, "pi": math.pi, **named}, AMOUNTS, float)
        if each.unit == "1":
            known[each.symbol] = float(UNITS.Quantity(result).to("").magnitude)
        elif result == 0:  # nothing is of any unit
            known[each.symbol] = UNITS.Quantity(0, each.unit)
        else:
            known[each.symbol] = UNITS.Quantity(result).to(each.unit)
    assert equation.symbol in known


def _that_fit(equation: Equation) -> dict[str, float]:
    chance = random.Random(2)
    for _ in range(1000):
        numbers = drawn(equation, chance)
        try:
            equation(*numbers)
        except ValueError:
            continue
        if all(numbers):
            return dict(zip(equation.arguments, numbers, strict=True))
    raise AssertionError("no numbers fit")


@of_each
def test_every_symbol_is_in_the_formula_or_in_a_step(equation):
    texts = [each.formula for each in (equation, *equation.steps)]
    named = {name for text in texts for name in re.findall(r"\{([^}]+)\}", text)}
    steps = {step.symbol for step in equation.steps}

    assert named - steps <= set(equation.symbols)
    if equation.formula not in ("0", "1", "(1)"):  # nothing at all, or all, or one strand
        assert set(equation.symbols) | steps <= named


def test_every_equation_has_a_source():
    assert [n for n, each in EQUATIONS.items() if not each.source and not n.startswith("_")] == []


BRICKS = {
    name: each
    for name, each in EQUATIONS.items()
    if inspect.isfunction(each.function) and not each.function.__name__.startswith(("_", "<"))
    and each.function.__module__ != by_count.__name__ and "." not in each.function.__qualname__
}  # fmt: skip
of_bricks = pytest.mark.parametrize("equation", BRICKS.values(), ids=BRICKS)


def test_there_are_bricks():
    assert len(BRICKS) > 20


@of_bricks
def test_the_function_refuses_what_is_out_of_the_bounds(equation):
    """The bounds of the symbols are those that the function enforces."""
    inside = list(_that_fit(equation).values())
    for n, name in enumerate(equation.arguments):
        symbol = equation.symbols[name]
        outside = [symbol.low if symbol.above else symbol.low - 1e-6]
        outside += [symbol.high if symbol.below else symbol.high * (1 + 1e-6)]
        for value in outside:
            if math.isfinite(value):
                with pytest.raises(ValueError, match="found"):
                    equation.function(*inside[:n], value, *inside[n + 1 :])


@of_bricks
def test_units_are_those_of_the_page_of_the_function(equation):
    page = inspect.getdoc(equation.function)
    assert page is not None
    arguments = " ".join(page.split("->")[0].split("\n\n", 1)[1].split())
    taken = list(inspect.signature(equation.function).parameters)
    for name, symbol in zip(taken, equation.arguments, strict=False):
        unit = re.search(rf"(?:^|[;.:] ){name}(?: \S+)? \[([^\]]+)\]", arguments)
        assert unit is not None, name
        assert UNITS.Unit(_read(unit[1])) == UNITS.Unit(_read(equation.symbols[symbol].unit)), name
    back = re.search(r"-> [^\n]*?\[([^\]]+)\]", page)
    assert back is not None
    assert UNITS.Unit(_read(back[1])) == UNITS.Unit(_read(equation.unit))


def _read(unit: str) -> str:
    text = {"-": "", "1": "", "J/(kg K)": "J/(kg*K)"}.get(unit, unit)
    return text.replace("²", "^2").replace("³", "^3")


@pytest.mark.parametrize(
    "seeded",
    [
        replace(CROSSING, formula="{x} · {a} / ({a} − {d})"),
        replace(PEAK_FORCE, formula=PEAK_FORCE.formula.replace("√", "")),
        replace(RATED_MARGIN, formula="{T_static} / {S}"),
        replace(CROSSING, function=lambda x, a, d: np.maximum(x * a / (a + d), 0.01)),
    ],
    ids=["a sign", "a root", "upside down", "a clamp that is not printed"],
)
def test_a_formula_that_is_not_the_function_is_seen(seeded):
    with pytest.raises(AssertionError):
        test_the_formula_gives_what_the_function_gives(seeded)


@pytest.mark.parametrize(
    "seeded",
    [
        replace(CROSSING, unit="N"),
        replace(CROSSING, formula="{x} · {a} + {d}"),
        replace(PEAK_FORCE, symbols={**PEAK_FORCE.symbols, "K": Symbol("m", above=True)}),
    ],
    ids=["another unit", "an area and a length", "a modulus in metres"],
)
def test_a_formula_whose_units_do_not_fit_is_seen(seeded):
    with pytest.raises((AssertionError, pint.DimensionalityError)):
        test_the_formula_gives_the_unit_of_the_equation(seeded)
