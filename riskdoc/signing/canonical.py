"""Plain data in one form of bytes: the JSON Canonicalization Scheme (RFC 8785), and SHA-256.

>>> canonical({"b": 1.50, "a": "edge"})
b'{"a":"edge","b":1.5}'
"""

from __future__ import annotations

import hashlib
import math
from typing import Any

import rfc8785

DIGITS = 6
"""Digits that a computed number keeps in a content; judgement: twice what is ever printed.

Two machines may differ in the last digits of a double, since their processors compute powers in
different ways; what is signed on one must be the same on the other.
"""
NIL = 1e-9
"""What is smaller counts as nothing, in SI units; judgement: what is left of a difference of
doubles that should be none is far smaller, and nothing here is measured in nanonewtons."""


def canonical(value: Any) -> bytes:  # noqa: ANN401  (any plain data)
    """Plain data as bytes by RFC 8785: equal data give equal bytes, whatever the order of keys.

    Raises ValueError for numbers that JSON cannot hold, and for keys that are no text.
    """
    return rfc8785.dumps(value)


def sha256(raw: bytes) -> str:
    """The SHA-256 of bytes (FIPS 180-4), in hexadecimal digits.

    >>> sha256(b"abc")[:16]
    'ba7816bf8f01cfea'
    """
    return hashlib.sha256(raw).hexdigest()


def kept(value: float | None) -> float | None:
    """A computed number with the digits a content keeps; None without bound.

    >>> kept(962.3456789), kept(1e-17), kept(float("inf"))
    (962.346, 0.0, None)
    """
    if value is None or not math.isfinite(value):
        return None
    return float(f"{value:.{DIGITS}g}") if abs(value) >= NIL else 0.0
