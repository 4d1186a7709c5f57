"""Every equation carries its page: arguments with units, bounds, source and a running example."""

import importlib
import inspect
import pkgutil
import re

import pytest

import riskdoc.mechanics

CHECKS = {  # checks of bounds, and what equations share: no equations
    *("riskdoc.mechanics.values", "riskdoc.mechanics.directions"),
    *(f"riskdoc.mechanics.{name}" for name in ("equation", "by_count", "pairs")),
}  # fmt: skip
SIMPLE = {"-", "N", "m", "kg", "rad", "K", "m²", "m³", "J", "W"}
UNITS = SIMPLE | {"m/s", "m/s²", "N/m", "kg/m³", "J/(kg K)"}
ORDER = ["->", "Raises  ", "Holds   ", "Source  ", ">>> "]
LONGEST = 30  # lines of code in an equation, its page left out


def equations():
    """Public functions of `riskdoc.mechanics`, where they are defined."""
    found = []
    for module in pkgutil.iter_modules(riskdoc.mechanics.__path__, "riskdoc.mechanics."):
        if module.name in CHECKS:
            continue
        loaded = importlib.import_module(module.name)
        found += [
            function
            for name, function in inspect.getmembers(loaded, inspect.isfunction)
            if function.__module__ == module.name and not name.startswith("_")
        ]
    return found


EQUATIONS = equations()


def test_there_are_equations_to_look_at():
    """A check of nothing is no check."""
    assert len(EQUATIONS) >= 15


@pytest.mark.parametrize("equation", EQUATIONS, ids=lambda f: f.__name__)
def test_every_argument_is_named_with_its_unit(equation):
    """`name symbol [unit]`, at the start of a clause, before the returned value."""
    page = inspect.getdoc(equation).split("->")[0]
    arguments = " ".join(page.split("\n\n", 1)[1].split())
    for name in inspect.signature(equation).parameters:
        unit = re.search(rf"(?:^|[;.:] ){name}(?: \S+)? \[([^\]]+)\]", arguments)
        assert unit, f"{name}: no [unit]"
        assert unit[1] in UNITS, f"{name}: [{unit[1]}] is not one of ours"


@pytest.mark.parametrize("equation", EQUATIONS, ids=lambda f: f.__name__)
def test_the_page_is_complete_and_in_order(equation):
    """What comes back with its unit, what is refused, where it holds, source, example."""
    page = inspect.getdoc(equation)
    places = [page.find(word) for word in ORDER]
    assert -1 not in places, [word for word in ORDER if word not in page]
    assert places == sorted(places)
    assert re.search(r"-> [^\n]*\[[^\]]+\]", page), "no unit on what comes back"
    assert "ValueError" in page


@pytest.mark.parametrize("equation", EQUATIONS, ids=lambda f: f.__name__)
def test_equations_are_short(equation):
    """One equation, one function."""
    source = inspect.getsource(equation)
    code = re.sub(r'""".*?"""', "", source, count=1, flags=re.DOTALL)
    assert len(code.splitlines()) < LONGEST
