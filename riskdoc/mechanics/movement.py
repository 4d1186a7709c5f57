"""How far one point of a rope slides in contact with an edge, by the kind of movement."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from riskdoc.mechanics.equation import Equation, Symbol, mark
from riskdoc.mechanics.friction import MOST_TURN
from riskdoc.mechanics.stretch import stretch
from riskdoc.mechanics.values import (
    Values,
    plain,
    require_at_least,
    require_between,
    require_positive,
)


def sawing_distance(
    bounce: Values,
    weight: Values,
    above: Values,
    modulus: Values,
    radius: Values,
    turn: Values,
    steps: Values,
    strands: Values = 1.0,
    least: Values = 0.0,
) -> Values:
    """Sliding in contact while a person bounces: 2 min(b W a/(k K), max(r β, least)) · steps.

    bounce b [-] >= 0, change of tension over weight;  weight W [N] >= 0;  above a [m] >= 0,
    anchor to edge;  modulus K [N] > 0, per strand;  radius r [m] > 0;  turn β [rad] 0..20 π;
    steps N [-] >= 0, how often the person bounces;  strands k [-] >= 1;  least [m] >= 0, least
    length in contact.
    -> distance [m]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   rope above the edge stretches without friction, one bounce each step; a point is in
            contact along the arc r β only.
    Source  T L/(k K) as in `stretch`, OpenStax, University Physics vol. 1, sec. 12.3; the arc
            and the count of steps: DEVELOPERS.md, Definitions.

    >>> round(sawing_distance(0.4, 1000, 3, 30_000, 0.005, np.pi / 2, 50), 4)
    0.7854
    """
    require_at_least("bounce", bounce)
    require_at_least("weight", weight)
    require_at_least("above", above)
    require_at_least("steps", steps)
    amplitude = stretch(np.multiply(bounce, weight), above, modulus, strands)
    arc = running_distance(radius, turn, 1.0, least)
    return plain(2 * np.minimum(amplitude, arc) * steps)


def running_distance(radius: Values, turn: Values, runs: Values, least: Values = 0.0) -> Values:
    """Sliding in contact while a rope runs over an edge: max(r β, least) n, however far it runs.

    radius r [m] > 0;  turn β [rad] 0..20 π;  runs n [-] >= 0, each way counted;
    least [m] >= 0, least length in contact (a rope on a sharp edge bears on more than the arc).
    -> distance [m]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   each point of the rope passes the arc once in a run.
    Source  length of an arc; DEVELOPERS.md, Definitions.

    >>> round(running_distance(0.010, np.pi / 2, 2), 4)
    0.0314
    """
    require_positive("radius", radius)
    require_between("turn", turn, 0, MOST_TURN)
    require_at_least("runs", runs)
    require_at_least("least", least)
    return plain(np.maximum(np.multiply(radius, turn), least) * runs)


def sideways_distance(sweep: Values, passes: Values) -> Values:
    """Sliding in contact while a rope sweeps along an edge: sweep × passes.

    sweep [m] >= 0, of one pass;  passes n [-] >= 0.  -> distance [m]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   the same few millimetres of rope stay on the edge all the way.
    Source  geometry; DEVELOPERS.md, Definitions.

    >>> round(sideways_distance(1.6, 6), 6)
    9.6
    """
    require_at_least("sweep", sweep)
    require_at_least("passes", passes)
    return plain(np.multiply(sweep, passes))


_SIDEWAYS = {"sweep": Symbol("m"), "N": Symbol("1")}
SIDEWAYS = Equation(
    sideways_distance, "distance", "m", "{sweep} · {N}", _SIDEWAYS, mark("geometry")
)
SIDEWAYS_IN_WIND = Equation(
    lambda sweep, n, gust, count: sideways_distance(sweep, n) + sideways_distance(gust, count),
    "distance", "m", "{sweep} · {N} + {gust} · {gusts}",
    _SIDEWAYS | {"gust": Symbol("m"), "gusts": Symbol("1")},
    mark(
        "geometry; a gust is too short to creep: it sweeps where its push alone overcomes "
        "friction, taken at its low end"
    ),
)  # fmt: skip
"""`gust` is the sweep of one gust, `gusts` how many there are."""

_CONTACT = mark("a point of the rope slides only while it is in contact: the arc r θ, at least λ d")
_ARC = {"r": Symbol("m", above=True), "θ": Symbol("rad", high=MOST_TURN), "λ": Symbol("1"),
        "d": Symbol("m", above=True)}  # fmt: skip
_BOUNCE = {"b": Symbol("1"), "W": Symbol("N"), "a": Symbol("m"), "k": Symbol("1", 1),
           "K": Symbol("N", above=True), **_ARC}  # fmt: skip


def _run(radius: Values, turn: Values, least: Values, diameter: Values, runs: Values) -> Values:
    return running_distance(radius, turn, runs, np.multiply(least, diameter))


RUNNING_SLIDE = Equation(
    _run, "distance", "m", "max({r} · {θ}, {λ} · {d}) · {runs}",
    {**_ARC, "runs": Symbol("1")}, _CONTACT,
)  # fmt: skip


def _sawing(often: str, symbols: dict[str, Symbol], steps: Callable[..., Values]) -> Equation:
    """Sliding while a person bounces, as often as a formula of further symbols says."""

    def sawn(
        bounce: Values, weight: Values, above: Values, strands: Values, modulus: Values,
        radius: Values, turn: Values, part: Values, diameter: Values, *numbers: Values,
    ) -> Values:  # fmt: skip
        least, count = np.multiply(part, diameter), steps(*numbers)
        return sawing_distance(
            bounce, weight, above, modulus, radius, turn, count, strands, plain(least)
        )

    formula = "2 · min({b} · {W} · {a} / ({k} · {K}), max({r} · {θ}, {λ} · {d})) · " + often
    return Equation(sawn, "distance", "m", formula, _BOUNCE | symbols, _CONTACT)


_CLIMB = {"h": Symbol("m"), "step": Symbol("m", above=True), "runs": Symbol("1")}
SAWING_HANGING = _sawing(
    "{t} / {hour} · {ν}",
    {"t": Symbol("s"), "ν": Symbol("1"), "hour": Symbol("s", value=3600, sign="1 h")},
    lambda t, n: t / 3600 * n,
)
SAWING_UP = _sawing("{h} / {step} · {runs}", _CLIMB, lambda h, step, runs: h / step * runs)
SAWING_DOWN = _sawing(
    "{h} / {step} · {ν} · {runs}",
    {"h": _CLIMB["h"], "step": _CLIMB["step"], "ν": Symbol("1"), "runs": _CLIMB["runs"]},
    lambda h, step, part, runs: h / step * part * runs,
)
