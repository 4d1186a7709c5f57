"""A day over a padded coping: what everybody in the trade knows, in reference sweeps.

The day is defined row by row in `tables/day.yaml` and worked out by the equations and the default
rows of every other exposure. It shares their draws, so that an exposure in such days has a range
of its own, narrower than that of the two alone.
"""

from __future__ import annotations

from functools import cache

from riskdoc.analysis.abrasion import Touch, Way, wet_wear, worn
from riskdoc.analysis.inputs import from_table
from riskdoc.analysis.load_mass import dynamic_of
from riskdoc.analysis.movements import bounce_of, bounces_of, step_of
from riskdoc.mechanics.loads import weight
from riskdoc.mechanics.movement import sawing_distance, sideways_distance
from riskdoc.mechanics.stretch import modulus_static
from riskdoc.mechanics.sweep import crossing, sweep
from riskdoc.quantities.intervals import Interval, combine, exact, product, total
from riskdoc.tables.loader import Cell, Rows, cell, note, noted, said_of


def padded_day() -> Interval:
    """The exposure of a day over a padded coping, kept for the next time."""
    day, rows = _kept_day()
    note(rows)
    return day


@cache
def _kept_day() -> tuple[Interval, Rows]:
    with noted() as rows:
        return _worked_day(), rows


def _worked_day() -> Interval:
    rope, touch = _rope(), _touch()
    across = combine(crossing, _of("reach", "x"), _of("above", "a"), _of("below", "d"))
    passed = combine(sideways_distance, combine(sweep, across), _of("passes", "N"))
    parts = [worn(Way(passed), touch, "sideways", rope)]
    for case in ("hold", "descend", "ascend"):
        pulled = {**rope, "T": product(rope["T"], dynamic_of(case))}
        parts.append(worn(Way(_sawn(rope["T"], case)), touch, "along", pulled))
    return total(*(each.index for each in parts))


def _of(row: str, symbol: str) -> Interval:
    return from_table("day", row, symbol)


def day_row(row: str) -> Cell:
    """A row of the day as its table has it, for what is said of it in words."""
    return cell("day", row)


def what_of(key: str) -> str:
    """What the rope of the day runs over, or is made of, as the tables call it."""
    return str(said_of("day", "what", key))


def _rope() -> dict[str, Interval]:
    """The numbers of the rope in the equation, under its load at rest."""
    return {
        "T": combine(weight, _of("mass", "m")),
        "s": exact(1.0),
        "θ": _of("turn", "θ"),
        "d": _of("diameter", "d"),
        "fibre": from_table("fibres", what_of("sheath"), "fibre", "wear"),
        "wet": wet_wear(what_of("sheath"), wet=False),
        "k": exact(1.0),
    }


def _touch() -> Touch:
    wear = from_table("surfaces", what_of("surface"), "s", "wear")
    credit = from_table("protections", what_of("protector"), "c", "credit")
    return Touch(_of("radius", "r"), wear, credit)


def _sawn(pull: Interval, case: str) -> Interval:
    least = product(_of("diameter", "d"), from_table("abrasion", "least contact", "λ"))
    return combine(
        sawing_distance,
        bounce_of(),
        pull,
        _of("above", "a"),
        combine(modulus_static, _of("stretch", "e")),
        _of("radius", "r"),
        _of("turn", "θ"),
        _steps(case),
        exact(1.0),
        least,
    )


def _steps(case: str) -> Interval:
    if case == "hold":
        return combine(lambda t, n: t / 3600 * n, _of("hours", "t"), bounces_of(case))
    climb = combine(lambda h, step: h / step, _of("below", "h"), step_of())
    if case == "descend":
        climb = product(climb, bounces_of(case))
    return product(climb, _of("runs", "runs"))
