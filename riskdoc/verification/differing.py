"""What differs between two pieces of plain data, place by place."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

NEAR = 1e-9
"""How far two doubles may be apart, relatively, and still be one number on two processors."""
NIL = 1e-9
"""What is nothing in SI units; see `signoff.canonical`."""


def moved(old: Any, new: Any) -> tuple[str, ...]:  # noqa: ANN401  (any plain data)
    """A line for each place where two pieces of data differ.

    >>> moved({"a": 1, "b": [2.0]}, {"a": 1, "b": [3.0], "c": True})
    ('b[1]: 2 became 3', 'c: nothing became true')
    """
    return tuple(_moved(old, new, ""))


def _moved(old: Any, new: Any, where: str) -> Iterator[str]:  # noqa: ANN401
    if isinstance(old, dict) and isinstance(new, dict):
        for key in sorted({*old, *new}):
            at = f"{where}.{key}" if where else str(key)
            yield from _moved(old.get(key, _NOTHING), new.get(key, _NOTHING), at)
    elif isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        for n, (one, other) in enumerate(zip(old, new, strict=True), start=1):
            yield from _moved(one, other, f"{where}[{n}]")
    elif not _equal(old, new):
        yield f"{where}: {_said(old)} became {_said(new)}"


_NOTHING = object()


def _equal(old: Any, new: Any) -> bool:  # noqa: ANN401
    numbers = (int, float)
    if isinstance(old, bool) or isinstance(new, bool) or type(old) is str:
        return type(old) is type(new) and bool(old == new)
    if isinstance(old, numbers) and isinstance(new, numbers):
        return math.isclose(old, new, rel_tol=NEAR, abs_tol=NIL)
    return bool(old == new)


def _said(value: Any) -> str:  # noqa: ANN401
    if value is _NOTHING:
        return "nothing"
    if isinstance(value, bool) or value is None:
        return {True: "true", False: "false", None: "none"}[value]
    if isinstance(value, float):
        return f"{value:.6g}"
    text = str(value)
    return text if len(text) <= 80 else text[:79] + "…"
