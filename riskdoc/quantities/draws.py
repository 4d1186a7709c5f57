"""Draws: every ranged input at many values within its range, the same ones on every machine.

An input is drawn from the triangular distribution over its low, expected and high value. The draws
of an input hang on its id alone, so an input that two figures, two scenarios or two jobs share is
the same in both, draw by draw, and they can be compared draw by draw. Each input takes every part
of its distribution once (a Latin hypercube), in an order that a hash of its id makes.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt

from riskdoc.mechanics.triangular import triangular_quantile
from riskdoc.quantities.ranges import Input, Range

Array = npt.NDArray[np.float64]

COUNT = 1024
"""How often each input is drawn. The ends of a band are within about 5 % of those of many more."""
KEPT = 4096
"""Inputs of which the draws are kept at a time."""
SHARES = (1 / 10, 9 / 10)
"""The ends of a band: of ten draws one lies below it and one above."""


class Drawn:
    """How a number is worked out for draws of its inputs: a function of other such numbers.

    It holds nothing but that, and lets go even of that once the draws are known: a number keeps
    alive neither the corners of what it was made of nor their draws.
    """

    __slots__ = ("_function", "_parts", "_values")

    def __init__(self, function: Callable[..., Any], parts: tuple[Drawn, ...] = ()) -> None:
        self._function: Callable[..., Any] | None = function
        self._parts = parts
        self._values: Array | None = None

    @property
    def values(self) -> Array:
        """The number at each draw; one value where nothing behind it has a range."""
        if self._values is None and self._function is not None:
            found = self._function(*(each.values for each in self._parts))
            self._values = np.asarray(found, dtype=float)
            self._function, self._parts = None, ()
        assert self._values is not None  # noqa: S101  (tells the type checker)
        return self._values


@lru_cache(KEPT)
def shares(id: str) -> Array:
    """(k + ½)/n, each k of 0..n-1 once, in an order that hangs on the id alone.

    >>> found = shares("abrasion/n/value")
    >>> len(found), round(float(found.mean()), 12), bool((np.diff(np.sort(found)) > 0).all())
    (1024, 0.5, True)
    """
    bits = hashlib.shake_256(id.encode()).digest(8 * COUNT)
    order = np.argsort(np.frombuffer(bits, dtype="<u8"), kind="stable")
    return np.asarray((order + 0.5) / COUNT)


@lru_cache(KEPT)
def drawn(id: str, range: Range) -> Array:
    """The draws of an input."""
    return np.asarray(triangular_quantile(shares(id), range.low, range.expected, range.high))


def draws_of(entry: Input) -> Array:
    """The draws of an input; one value where it has no range.

    What a changed job copies for one line, `edges.coping beside safety.radius`, is drawn as the
    original is. Ids of a job have no blanks, so nothing else can look like that.
    """
    found = entry.range
    if found.low == found.high:
        return np.asarray(found.expected)
    return drawn(re.sub(" beside [a-z0-9_]+", "", entry.id), found)


def band_of(draws: Array, expected: float) -> Range:
    """The value that one draw in ten lies below, the expected one, and that one in ten lies above.

    The expected value lies within the band by definition: where a skewed input puts it outside,
    the band reaches as far as that value.

    >>> band_of(np.arange(0.0, 101.0), 40.0)
    Range(low=10.0, expected=40.0, high=90.0)
    """
    low, high = (float(each) for each in np.quantile(draws, SHARES))
    return Range(min(low, expected), expected, max(high, expected))
