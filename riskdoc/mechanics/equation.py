"""What an equation is: a function, its symbols with units and bounds, its formula, its source.

All of it stands once. A figure prints the formula with the signs of the symbols, and again with
the numbers that went into the function; tests work the printed text out by another way.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

SUBSCRIPT = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")


def mark(text: str, /) -> str:
    """Marks words that a page says in its language; the collector of texts knows it by its name.

    >>> mark("as written")
    'as written'
    """
    return text


@dataclass(frozen=True, slots=True)
class Symbol:
    """A symbol of an equation: its SI unit and the bounds within which the equation takes it.

    `above` and `below` leave the low and the high bound itself out. A symbol with a `value` is a
    constant, and no argument of the function. `sign` is how it is printed where that is not its
    name: a text, or what becomes one when it is printed.
    """

    unit: str
    low: float = 0.0
    high: float = math.inf
    above: bool = False
    below: bool = False
    value: float | None = None
    sign: object = ""

    def takes(self, number: float) -> bool:
        """Whether a number is within the bounds.

        >>> Symbol("m", above=True).takes(0.0), Symbol("1", high=1).takes(1.0)
        (False, True)
        """
        over = number > self.low if self.above else number >= self.low
        under = number < self.high if self.below else number <= self.high
        return over and under and math.isfinite(number)


@dataclass(frozen=True, slots=True)
class Equation:
    """`symbol = formula`, what works it out, and where it comes from.

    `formula` has `{name}` for each of `symbols`: with their signs it is the formula of the page,
    with numbers its working. `function` takes the symbols that are no constants, in their order.
    `steps` are worked out first, of the same symbols and of the steps before them, and stand in
    the formula under their own symbol. `words` say what no sign does. Words and `source` are
    marked; they are said where they are printed.

    >>> twice = Equation(lambda x: 2 * x, "y", "m", "2 · {x1}", {"x1": Symbol("m")}, "")
    >>> twice.in_symbols, twice.in_numbers({"x1": 3.0}, 5), twice(3.0)
    ('2 · x₁', '2 · 3', 6.0)
    """

    function: Callable[..., Any]
    symbol: str
    unit: str
    formula: str
    symbols: Mapping[str, Symbol]
    source: str
    steps: tuple[Equation, ...] = ()
    words: str = ""

    @property
    def arguments(self) -> tuple[str, ...]:
        """Names of the symbols that the function takes, in its order."""
        return tuple(name for name, each in self.symbols.items() if each.value is None)

    @property
    def in_symbols(self) -> str:
        """The formula as it stands on a page, without its steps."""
        return self.formula.format_map(self.signs)

    @property
    def signs(self) -> dict[str, object]:
        """What stands in the formula of a page for each step and each symbol."""
        steps: dict[str, object] = {step.symbol: step.symbol for step in self.steps}
        return steps | {name: each.sign or signed(name) for name, each in self.symbols.items()}

    def __call__(self, *numbers: float) -> float:
        """The result for one set of numbers. Raises `ValueError` where one is out of bounds."""
        for name, number in zip(self.arguments, numbers, strict=True):
            if not self.symbols[name].takes(number):
                raise ValueError(f"{name} of {self.symbol} is out of its bounds, found {number!r}")
        return float(self.function(*numbers))

    def with_steps(self, numbers: Mapping[str, float]) -> dict[str, float]:
        """The numbers with the constants and the result of each step."""
        known = dict(numbers)
        known |= {name: each.value for name, each in self.symbols.items() if each.value is not None}
        for step in self.steps:
            known[step.symbol] = step(*(known[name] for name in step.arguments))
        return known

    def in_numbers(self, numbers: Mapping[str, float], digits: int) -> str:
        """The formula with numbers of so many digits; with one more for constants.

        >>> Equation(abs, "y", "m", "{x}^2", {"x": Symbol("m")}, "").in_numbers({"x": -2.0}, 5)
        '(−2)^2'
        """
        known = self.with_steps(numbers)
        return self.formula.format_map(
            {
                n: _printed(each, digits + (n in self.symbols and n not in numbers))
                for n, each in known.items()
            }
        )


def _printed(number: float, digits: int) -> str:
    """A number as it stands between signs: one below zero in brackets."""
    text = f"{number:.{digits}g}"
    return f"(−{text[1:]})" if number < 0 else text


def signed(name: str) -> str:
    """How a name is printed: digits as an index, a line below as a blank.

    >>> signed("L1"), signed("T_load")
    ('L₁', 'T load')
    """
    return name.translate(SUBSCRIPT).replace("_", " ")
