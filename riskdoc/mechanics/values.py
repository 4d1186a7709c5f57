"""What the equations take and give, and how they refuse a value outside its bounds."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Values = float | npt.NDArray[np.float64]
"""One number or an array of them; arguments of one call broadcast against each other."""


def require_positive(name: str, value: Values) -> None:
    """Refuse a value that is not finite and above 0; `name` is how the equation calls it.

    >>> require_positive("length", 0.0)
    Traceback (most recent call last):
    ValueError: length must be above 0, found 0.0
    """
    given = np.asarray(value, dtype=np.float64)
    _refuse(name, given, given > 0, "above 0")


def require_at_least(name: str, value: Values, low: float = 0.0) -> None:
    """Refuse a value that is not finite and at least `low`.

    >>> require_at_least("strands", np.array([1.0, 0.5]), 1)
    Traceback (most recent call last):
    ValueError: strands must be at least 1, found 0.5
    """
    given = np.asarray(value, dtype=np.float64)
    _refuse(name, given, given >= low, "at least {:g}", low)


def require_between(name: str, value: Values, low: float, high: float) -> None:
    """Refuse a value that is not within `low` to `high`, both ends allowed.

    >>> require_between("mu", float("nan"), 0, 1)
    Traceback (most recent call last):
    ValueError: mu must be between 0 and 1, found nan
    """
    given = np.asarray(value, dtype=np.float64)
    _refuse(name, given, (given >= low) & (given <= high), "between {:.15g} and {:.15g}", low, high)


def require_inside(name: str, value: Values, low: float, high: float) -> None:
    """Refuse a value that is not strictly between `low` and `high`.

    >>> require_inside("stretch", 5.0, 0, 1)
    Traceback (most recent call last):
    ValueError: stretch must be above 0 and below 1, found 5.0
    """
    given = np.asarray(value, dtype=np.float64)
    good = (given > low) & (given < high)
    _refuse(name, given, good, "above {:.15g} and below {:.15g}", low, high)


def require_angle(name: str, value: Values, high: float) -> None:
    """Refuse an angle [rad] outside 0 to below `high`.

    >>> require_angle("a", 1.6, np.pi / 2)
    Traceback (most recent call last):
    ValueError: a must be at least 0 and below 1.5707963267949, found 1.6
    """
    given = np.asarray(value, dtype=np.float64)
    _refuse(name, given, (given >= 0) & (given < high), "at least 0 and below {:.15g}", high)


def plain(value: npt.ArrayLike) -> Values:
    """A result as its caller wants it: a number where there is one, else the array.

    >>> float(plain(np.asarray(2.0))), plain(np.array([1.0, 2.0])).tolist()
    (2.0, [1.0, 2.0])
    """
    result = np.asarray(value, dtype=np.float64)
    return float(result) if result.ndim == 0 else result


def _refuse(
    name: str,
    given: npt.NDArray[np.float64],
    good: npt.NDArray[np.bool_],
    bound: str,
    *ends: float,
) -> None:
    # The words are put together only for a refusal: this runs a hundred times for each figure.
    fine = good & np.isfinite(given)  # not a number fails every comparison
    if np.count_nonzero(fine) < given.size:
        raise ValueError(
            f"{name} must be {bound.format(*ends)}, found {float(given[~fine].flat[0])!r}"
        )
