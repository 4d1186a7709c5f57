"""The force in one leg of two, put together from the equations of anchors, turned and sliding.

α is the angle of the leg itself to the pull as stated, β that of the other, τ the turn of the pull
to either side.
"""

from __future__ import annotations

import numpy as np

from riskdoc.mechanics.anchors import BALANCE_AT_JOINT, parallel_shares, symmetric_leg, two_leg
from riskdoc.mechanics.equation import Equation, Symbol, mark
from riskdoc.mechanics.sliding import sliding_half_angle
from riskdoc.mechanics.turned import two_leg_turned
from riskdoc.mechanics.values import Values, plain

_SPLAY = Symbol("rad", high=np.pi / 2, below=True)
_ANGLES = {"α": _SPLAY, "β": _SPLAY}
_PULL = {"T": Symbol("N"), **_ANGLES, "τ": _SPLAY}
_BALANCE = "sin(min(90°, {β} + min({τ}, {α}))) / sin({α} + {β})"
_BESIDE = "{k} / ({k} + {k_other})"
_STIFF = {"k": Symbol("N/m", above=True), "k_other": Symbol("N/m", above=True)}
_HELD = "sin({β}) / sin({α} + {β})"


def _turned(pull: Values, own: Values, other: Values, turn: Values) -> Values:
    return two_leg_turned(pull, own, other, turn)[0]


LEG_BY_BALANCE = Equation(
    _turned, "T leg", "N", f"{{T}} · {_BALANCE}", _PULL, BALANCE_AT_JOINT
)  # fmt: skip
LEG_BESIDE = Equation(
    lambda pull, own, other: pull * parallel_shares(own, other)[0], "T leg", "N",
    f"{{T}} · {_BESIDE}", {"T": Symbol("N"), **_STIFF}, BALANCE_AT_JOINT,
    words=mark("k is the modulus of a leg over its length, or 1 over its length"),
)  # fmt: skip
LEG_NEARLY_BESIDE = Equation(
    lambda pull, a, b, turn, own, other: pull
    * np.maximum(two_leg_turned(1.0, a, b, turn)[0], parallel_shares(own, other)[0]),
    "T leg", "N", f"{{T}} · max({_BALANCE}, {_BESIDE})", _PULL | _STIFF, BALANCE_AT_JOINT,
    words=LEG_BESIDE.words,
)  # fmt: skip
LEG_UNKNOWN = Equation(
    lambda pull: pull, "T leg", "N", "{T}", {"T": Symbol("N")}, BALANCE_AT_JOINT,
    words=mark("of legs nearly side by side and of unknown length either may carry all"),
)  # fmt: skip


def _slid(
    pull: Values, own: Values, other: Values, turn: Values, length: Values, length_other: Values
) -> Values:
    first = plain(np.divide(length, np.add(length, length_other)))
    half = sliding_half_angle(own, other, first, turn)
    return symmetric_leg(pull, plain(np.multiply(2, half)))


def _slid_or_held(pull: Values, own: Values, other: Values, *numbers: Values) -> Values:
    held = two_leg(pull, own, other)[0]
    return plain(np.maximum(_slid(pull, own, other, *numbers), held))


def _slid_worst(pull: Values, own: Values, other: Values, turn: Values) -> Values:
    one, two = (sliding_half_angle(own, other, first, turn) for first in (0.0, 1.0))
    return symmetric_leg(pull, plain(np.multiply(2, np.maximum(one, two))))


def _slid_worst_or_held(pull: Values, own: Values, other: Values, turn: Values) -> Values:
    held = two_leg(pull, own, other)[0]
    return plain(np.maximum(_slid_worst(pull, own, other, turn), held))


_LENGTHS = {"L": Symbol("m", above=True), "L_other": Symbol("m", above=True)}
_PART = {"w": Symbol("1", high=1)}
_SIDES = {"p": Symbol("1", high=2), "q": Symbol("1", -1, 1)}
_STEPS = (
    Equation(
        lambda own, other: np.divide(own, np.add(own, other)), "w", "1", "{L} / ({L} + {L_other})",
        _LENGTHS, "",
    ),
    Equation(
        lambda w, a, b: w * np.sin(a) + (1 - w) * np.sin(b), "p", "1",
        "{w} · sin({α}) + (1 − {w}) · sin({β})", _PART | _ANGLES, "",
    ),
    Equation(
        lambda w, a, b: (1 - w) * np.cos(b) - w * np.cos(a), "q", "1",
        "(1 − {w}) · cos({β}) − {w} · cos({α})", _PART | _ANGLES, "",
    ),
    Equation(
        lambda p, q, turn: np.clip(np.arctan2(q, p), -turn, turn), "t", "rad",
        "max(−{τ}, min({τ}, arctan({q} / {p})))", {**_SIDES, "τ": _SPLAY}, "",
    ),
    Equation(
        lambda p, q, t: np.minimum(1, p * np.cos(t) + q * np.sin(t)), "y", "1",
        "min(1, {p} · cos({t}) + {q} · sin({t}))",
        {**_SIDES, "t": Symbol("rad", -np.pi / 2, np.pi / 2)}, "",
    ),
    Equation(np.arcsin, "u", "rad", "arcsin({y})", {"y": Symbol("1", high=1)}, ""),
)  # fmt: skip
"""u is the angle of both legs after the joint has slid to rest, at the worst turn t of the pull."""
_SLID, _WORST = "{T} / (2 · cos({u}))", "{T} / (2 · cos(min(90°, max({α}, {β}) + {τ})))"
_REST = mark("the joint slides to rest without friction, both legs at an angle of u")
_ANY_LENGTH = mark("the joint slides to rest without friction, the legs of any length")
_APART = f"{{T}} · {_HELD}"
LEG_SLID = Equation(
    _slid, "T leg", "N", _SLID, _PULL | _LENGTHS, BALANCE_AT_JOINT, _STEPS, _REST
)  # fmt: skip
LEG_SLID_OR_HELD = Equation(
    _slid_or_held, "T leg", "N", f"max({_SLID}, {_APART})", _PULL | _LENGTHS, BALANCE_AT_JOINT,
    _STEPS, _REST,
)  # fmt: skip
LEG_SLID_WORST = Equation(
    _slid_worst, "T leg", "N", _WORST, _PULL, BALANCE_AT_JOINT, words=_ANY_LENGTH
)
LEG_SLID_WORST_OR_HELD = Equation(
    _slid_worst_or_held, "T leg", "N", f"max({_WORST}, {_APART})", _PULL, BALANCE_AT_JOINT,
    words=_ANY_LENGTH,
)  # fmt: skip
"""Legs that are stated apart are those of a joint that something holds: the worse of both."""
