"""JSON of foreign make, read so that it can be neither deep nor double nor beyond numbers."""

from __future__ import annotations

import json
import math
from typing import Any, NoReturn

DEEPEST = 40
"""Levels inside each other; judgement: what we write has some ten."""
MOST_PARTS = 2_000_000
"""Most commas and brackets, those in texts too; judgement: the figures of a long report have some
twenty thousand, and each becomes up to a hundred bytes."""


def plain_json(raw: bytes) -> Any:  # noqa: ANN401  (any plain data)
    """The data in bytes of JSON.

    Raises ValueError, with why in a few words, for what no program of ours writes: a key that
    stands twice, numbers beyond those of JSON, halves of letters, more levels than `DEEPEST`, more
    parts than `MOST_PARTS`.

    >>> plain_json(b'{"a": [1, 2.5]}')
    {'a': [1, 2.5]}
    """
    if sum(raw.count(each) for each in (b",", b"[", b"{")) > MOST_PARTS:
        raise ValueError("it has more parts than any of ours")
    try:
        found = json.loads(
            raw.decode("utf-8"),
            object_pairs_hook=_once,
            parse_float=_finite,
            parse_constant=_no_number,
        )
    except RecursionError as error:
        raise ValueError("it is nested too deep") from error
    except UnicodeDecodeError as error:
        raise ValueError("it is not UTF-8") from error
    except json.JSONDecodeError as error:
        raise ValueError(f"{error.msg} at line {error.lineno}") from error
    _bounded(found)
    return found


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise ValueError("a key stands twice")
    return found


def _finite(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise ValueError("a number is too large")
    return value


def _no_number(_: str) -> NoReturn:
    raise ValueError("it holds what is no number of JSON")


def _bounded(found: Any) -> None:  # noqa: ANN401
    """Level by level, since a walk that calls itself would fall into the depth it looks for."""
    level = [found]
    for _ in range(DEEPEST):
        if not level:
            return
        level = [part for each in level for part in _parts(each)]
    raise ValueError("it is nested too deep")


def _parts(value: Any) -> list[Any]:  # noqa: ANN401
    if isinstance(value, dict):
        return [*value, *value.values()]
    if isinstance(value, list):
        return value
    if isinstance(value, str) and not value.isascii():
        try:
            value.encode("utf-8")
        except UnicodeEncodeError as error:
            raise ValueError("it holds half a letter") from error
    return []
