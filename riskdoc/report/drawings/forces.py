"""The greatest force at the anchor and at the load of a line, and the case that makes it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.quantities.printing import amount
from riskdoc.report.facts import CASES
from riskdoc.report.number_format import NOT_DEMONSTRATED

if TYPE_CHECKING:
    from riskdoc.report.facts import Facts

Greatest = tuple[float, str]
"""A force [N] and its case."""


def at_station(facts: Facts, line: str, station: str) -> Greatest | None:
    """The greatest tension at a station of a line over all cases; the first case of equal ones."""
    found = [
        (figure.range.high, case)
        for case in CASES
        if (figure := facts.figures.get(f"line/{line}/tension/{station}/{case}")) is not None
    ]
    return max(found, key=lambda each: each[0], default=None)


def at_anchor(facts: Facts, line: str) -> Greatest | None:
    """The greatest pull on the anchor: the tension there, or what its check takes if more.

    The check takes no relief by friction, so its pull is that of the greatest case at the load.
    """
    found = [each for each in [at_station(facts, line, "anchor")] if each is not None]
    pull = facts.figures.get(f"anchor/{facts.job.lines[line].anchor}/force/{line}")
    load = at_station(facts, line, "load")
    if pull is not None and load is not None:
        found.append((pull.range.high, load[1]))
    return max(found, key=lambda each: each[0], default=None)


def said(force: Greatest | None) -> str:
    """A force in words."""
    if force is None:
        return say(NOT_DEMONSTRATED)
    if not force[1]:
        return f"≤ {amount(force[0], 'N', 'up')}"
    return say("≤ {force} ({case})", force=amount(force[0], "N", "up"), case=say(force[1]))
