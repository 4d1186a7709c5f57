"""Numbers with ranges, carried through equations without losing what they rest on.

A `Interval` holds a result three ways: at the expected values, at every corner of the ranges it
depends on, and with each input alone at its low and at its high end. The corners are an array
with one axis of length 2 per ranged input, so a result that depends on few inputs stays small,
and two results that share an input share its axis: nothing is counted as independent that is not.

A `Interval` also knows how it came about, so that it can be worked out for draws of its inputs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt

from riskdoc.i18n.message import message
from riskdoc.quantities.draws import Drawn, band_of, draws_of
from riskdoc.quantities.ranges import Input, Range, Sensitivity

Array = npt.NDArray[np.float64]

MAX_AXES = 20
"""Corners double with every ranged input; 2**20 of them is what one figure may cost."""


_BRIEF: ContextVar[bool] = ContextVar("brief", default=False)


@contextmanager
def brief() -> Iterator[None]:
    """Within it no influences are worked out: every `alone` is empty, ranges are as ever.

    For assessing many changed jobs, of which only verdicts and ratios are asked.

    >>> a = given(Input("a", "a", "a", Range(1, 2, 4), "m", "", "", "stated", ""))
    >>> with brief():
    ...     combine(lambda x: 2 * x, a).alone
    {}
    """
    token = _BRIEF.set(True)
    try:
        yield
    finally:
        _BRIEF.reset(token)


def is_brief() -> bool:
    """Whether influences are left out at the moment."""
    return _BRIEF.get()


class TooManyRangesError(ValueError):
    """A figure depends on more ranged inputs than its corners can be computed for."""


@dataclass(frozen=True, slots=True)
class Interval:
    """A number under assessment.

    `axes` names the ranged inputs, sorted; `corners` has one axis of length 2 (low, high) for
    each. `alone` maps an input's id to the value with that input alone at (low, high).
    `inputs` are all inputs it rests on, ranged or not. `drawn` works it out for draws of them.
    """

    expected: float
    axes: tuple[str, ...]
    corners: Array
    alone: Mapping[str, tuple[float, float]]
    inputs: Mapping[str, Input]
    drawn: Drawn = field(repr=False, compare=False)

    @property
    def range(self) -> Range:
        """Low, expected and high; the extremes over all corners, with the expected value."""
        return Range(
            low=float(min(self.corners.min(), self.expected)),
            expected=self.expected,
            high=float(max(self.corners.max(), self.expected)),
        )

    @property
    def draws(self) -> Array:
        """The number at each draw of its inputs; one value where none of them has a range."""
        return self.drawn.values

    @property
    def band(self) -> Range:
        """The value with one draw in ten below it, the expected one, that with one in ten above."""
        return band_of(self.draws, self.expected)

    def sensitivities(self) -> tuple[Sensitivity, ...]:
        """What each ranged input alone does to the number, greatest first."""
        found = [
            Sensitivity(id, self.inputs[id].title, low, high)
            for id, (low, high) in self.alone.items()
            if low != high
        ]
        return tuple(sorted(found, key=lambda each: -each.spread))

    def pinned(self, end: str) -> Interval:
        """The same number held at its `low` or `high` end, as a check takes friction."""
        held = getattr(self.range, end)
        return held_at(held, self.inputs)

    def ends(self, name: str) -> Interval:
        """The same number from its low to its high end, on one axis of this name.

        What it shares with other numbers is no longer seen: results that rise or fall with all of
        them may lie further out than any corner, never further in.
        """
        if not self.axes:
            return self
        low, high = self.range.low, self.range.high
        return replace(self, axes=(name,), corners=np.array([low, high]))

    def on_axis(self, name: str) -> Interval:
        """The same number, of one ranged input at most, on an axis of this name.

        Numbers put on one axis go to their low and high ends together. Friction does, at all
        edges of a line on one occasion: every result rises with all of them or falls with all of
        them, so nothing is lost. Raising and lowering are two occasions, hence two axes: an edge
        may be dry in the one and wet in the other.
        """
        if len(self.axes) > 1:
            raise ValueError(f"{self.axes} are more than one axis")
        return replace(self, axes=(name,) * len(self.axes))

    def turned(self) -> Interval:
        """The same number, of one axis, with its low end where the others of its axis are high."""
        return replace(self, corners=np.flip(self.corners))


def held_at(value: float, inputs: Mapping[str, Input]) -> Interval:
    """A number held at one value, whatever the ranges of the inputs it rests on."""
    return Interval(value, (), np.asarray(value), {}, inputs, Drawn(lambda: value))


def exact(value: float) -> Interval:
    """A plain number with no range and nothing behind it."""
    return held_at(float(value), {})


def given(entry: Input) -> Interval:
    """An input as a number: one axis where it has a range, none where it is one value."""
    low, expected, high = entry.range.low, entry.range.expected, entry.range.high
    if low == high:
        return held_at(expected, {entry.id: entry})
    return Interval(
        expected,
        (entry.id,),
        np.array([low, high]),
        {entry.id: (low, high)},
        {entry.id: entry},
        Drawn(lambda: draws_of(entry)),
    )


def combine(function: Callable[..., Any], *numbers: Interval) -> Interval:
    """`function` of the numbers, at the expected values, at all corners, and input by input.

    `function` takes and gives floats or arrays (an equation of `mechanics`, or a lambda).
    Raises `TooManyRangesError` past `MAX_AXES`.

    >>> a = given(Input("a", "a", "a", Range(1, 2, 4), "m", "", "", "stated", ""))
    >>> combine(lambda x: x * x, a).range
    Range(low=1.0, expected=4.0, high=16.0)
    """
    return combine_all(lambda *each: (function(*each),), *numbers)[0]


def combine_all(function: Callable[..., Any], *numbers: Interval) -> tuple[Interval, ...]:
    """As `combine`, for a function that gives several results."""
    axes = tuple(sorted({axis for number in numbers for axis in number.axes}))
    if len(axes) > MAX_AXES:
        raise TooManyRangesError(
            message(
                "{count} ranged inputs meet in one figure, at most {most} can: write single values "
                "for some of {axes}",
                count=len(axes),
                most=MAX_AXES,
                axes=", ".join(axes),
            )
        )
    ids = [] if is_brief() else sorted({id for number in numbers for id in number.alone})
    if ids:
        singles = _of(function, (1 + 2 * len(ids),), [_one_by_one(each, ids) for each in numbers])
    else:  # plain numbers, which a search for changes asks for by the hundred thousand
        singles = _of(function, (1,), [np.float64(each.expected) for each in numbers])
    spread: list[Array] = [each[0] for each in singles]  # without axes every corner is expected
    if axes:
        spread = _of(function, (2,) * len(axes), [_spread_out(each, axes) for each in numbers])
    inputs: dict[str, Input] = {}
    for number in numbers:
        inputs.update(number.inputs)
    drawn = tuple(number.drawn for number in numbers)
    return tuple(
        Interval(
            float(single[0]), axes, corners, _alone(ids, single), inputs,
            Drawn(_nth(function, n), drawn),
        )
        for n, (single, corners) in enumerate(zip(singles, spread, strict=True))
    )  # fmt: skip


def _nth(function: Callable[..., Any], n: int) -> Callable[..., Any]:
    """What gives the one result of a function that gives several."""
    return lambda *each: function(*each)[n]


def _of(
    function: Callable[..., Any], shape: tuple[int, ...], values: Sequence[Array | np.float64]
) -> list[Array]:
    return [_filled(np.asarray(each, dtype=float), shape) for each in function(*values)]


def _alone(ids: list[str], single: Array) -> dict[str, tuple[float, float]]:
    return {id: (float(single[1 + 2 * i]), float(single[2 + 2 * i])) for i, id in enumerate(ids)}


def _filled(values: Array, shape: tuple[int, ...]) -> Array:
    """The values at a shape; looked at first, for NumPy takes long over broadcasting nothing."""
    return values if values.shape == shape else np.broadcast_to(values, shape)


def _spread_out(number: Interval, axes: tuple[str, ...]) -> Array:
    if number.axes == axes or not number.axes:  # one value is at every corner as it is
        return number.corners
    order, shape = _turned(number.axes, axes)
    return number.corners.transpose(order).reshape(shape)


@lru_cache(maxsize=4096)  # a job has hundreds of them, a long search of many jobs no end
def _turned(own: tuple[str, ...], axes: tuple[str, ...]) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """How axes of its own are put in the order of all, and the shape they then have."""
    order = sorted(range(len(own)), key=own.__getitem__)
    return tuple(order), tuple(2 if axis in own else 1 for axis in axes)


def _one_by_one(number: Interval, ids: list[str]) -> Array:
    values = np.full(1 + 2 * len(ids), number.expected)
    for i, id in enumerate(ids):
        if id in number.alone:
            values[1 + 2 * i : 3 + 2 * i] = number.alone[id]
    return values


def product(*numbers: Interval) -> Interval:
    """The product of the numbers."""
    return combine(_product, *numbers)


def total(*numbers: Interval) -> Interval:
    """The sum of the numbers."""
    return combine(lambda *each: sum(each), *numbers)


def least(*numbers: Interval) -> Interval:
    """The least of the numbers, corner by corner; see `_folded` for very many ranges."""
    if _axes(numbers) > MAX_AXES:
        return _folded(np.minimum, numbers)
    return combine(lambda *each: _reduce(np.minimum, each), *numbers)


def greatest(*numbers: Interval) -> Interval:
    """The greatest of the numbers, corner by corner; see `_folded` for very many ranges."""
    if _axes(numbers) > MAX_AXES:
        return _folded(np.maximum, numbers)
    return combine(lambda *each: _reduce(np.maximum, each), *numbers)


def _axes(numbers: tuple[Interval, ...]) -> int:
    return len({axis for number in numbers for axis in number.axes})


def _folded(function: np.ufunc, numbers: tuple[Interval, ...]) -> Interval:
    """The least (greatest) of numbers that have too many ranges between them for all corners.

    The end that a check judges is exact: the least of the lows, the greatest of the highs. The
    other end is taken from the ends of each number and may lie further out than any corner.
    """
    return combine(lambda *each: _reduce(function, each), *(n.ends("ends") for n in numbers))


def fitting(*numbers: Interval) -> tuple[Interval, ...]:
    """Numbers that can meet in one figure: where they have too many ranges, each by its ends."""
    if _axes(numbers) <= MAX_AXES:
        return numbers
    return tuple(number.ends(f"ends {n}") for n, number in enumerate(numbers))


def _product(*each: Array) -> Array:
    return _reduce(np.multiply, each)


def _reduce(function: np.ufunc, values: tuple[Array, ...]) -> Array:
    result = values[0]
    for value in values[1:]:
        result = function(result, value)
    return result
