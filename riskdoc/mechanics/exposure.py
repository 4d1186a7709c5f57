"""The abrasion exposure of a rope at an edge, counted in reference sweeps: a ranking, not a life.

One reference sweep: a single 11 mm polyamide strand under 1 kN, drawn 1 m sideways across a bare
square edge of smooth concrete with 5 mm radius.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from riskdoc.mechanics.equation import Equation, Symbol, mark
from riskdoc.mechanics.values import (
    Values,
    plain,
    require_at_least,
    require_between,
    require_positive,
)

REFERENCE_TENSION = 1000.0
"""[N] Definition of the reference sweep, DEVELOPERS.md, Definitions."""
REFERENCE_DISTANCE = 1.0
"""[m] Definition of the reference sweep, DEVELOPERS.md, Definitions."""
REFERENCE_TURN = np.pi / 2
"""[rad] A square edge. Definition of the reference sweep, DEVELOPERS.md, Definitions."""
REFERENCE_RADIUS = 0.005
"""[m] Definition of the reference sweep, DEVELOPERS.md, Definitions."""
REFERENCE_DIAMETER = 0.011
"""[m] Definition of the reference sweep, DEVELOPERS.md, Definitions."""


def exposure(
    tension: Values,
    share: Values,
    distance: Values,
    turn: Values,
    radius: Values,
    surface: Values,
    movement: Values,
    credit: Values,
    diameter: Values,
    fibre: Values,
    wet: Values,
    strands: Values,
    n: Values,
    q: Values,
    p: Values,
) -> Values:
    """Exposure of one movement over an edge: E = load^n · way · wrap · edge^q · wear/(rope^p φ k).

    With load = s T/1 kN, way = distance/1 m, wrap = sin(β/2)/sin 45°, edge = 5 mm/r,
    wear = surface · movement · wet · (1 - credit), rope = d/11 mm.

    tension T [N] >= 0;  share s [-] above 0, at most 1;  distance [m] >= 0, slid in contact;
    turn β [rad] 0..π;  radius r [m] > 0;  surface [-] >= 0;  movement [-] >= 0;
    credit [-] 0..1, of the protection;  diameter d [m] > 0;  fibre φ [-] > 0;  wet w [-] > 0, wear
    of the wet sheath over that of the dry one;  strands k [-] >= 1;  n n [-] >= 0;  q q [-] >= 0;
    p p [-] >= 0, the exponents.
    -> E [-], reference sweeps; the sum over the movements is the exposure of the edge
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   ranks plans against each other. Not a cutting law: rules on sharp edges must stand
            beside it. Knows nothing of the sheath's construction, grit or melting.
    Source  DEVELOPERS.md, Definitions (judgement, and common practice for n and p); more
            tension, more way, a sharper edge wear more: Tsuruta & Tanaka, J. Japan Inst.
            Navigation 75 (1986) 87; wear in proportion to force and way: Archard 1953.

    >>> exposure(1000, 1, 1, np.pi / 2, 0.005, 1, 1, 0, 0.011, 1, 1, 1, 1.5, 0.5, 2.5)
    1.0
    """
    _require(distance=distance, surface=surface, movement=movement, n=n, q=q, p=p)
    require_between("turn", turn, 0, np.pi)
    require_between("credit", credit, 0, 1)
    require_positive("fibre", fibre)
    require_positive("wet", wet)
    require_at_least("strands", strands, 1)
    wrap = np.sin(np.divide(turn, 2)) / np.sin(REFERENCE_TURN / 2)
    way = np.divide(distance, REFERENCE_DISTANCE)
    wear = np.multiply(surface, movement) * wet * np.subtract(1, credit)
    bearing = _load(tension, share) ** n * _edge(radius) ** q
    return plain(bearing * way * wrap * wear / (_rope(diameter) ** p * fibre * strands))


def _require(**values: Values) -> None:
    for name, value in values.items():
        require_at_least(name, value)


def _load(tension: Values, share: Values) -> Values:
    require_at_least("tension", tension)
    require_positive("share", share)
    require_between("share", share, 0, 1)
    return plain(np.multiply(share, tension) / REFERENCE_TENSION)


def _edge(radius: Values) -> Values:
    require_positive("radius", radius)
    return plain(np.divide(REFERENCE_RADIUS, radius))


def _rope(diameter: Values) -> Values:
    require_positive("diameter", diameter)
    return plain(np.divide(diameter, REFERENCE_DIAMETER))


_INDEX = mark("ranking index of this project (judgement), no life of a rope; exponents as listed")


def _exposure(way: str, ways: dict[str, Symbol], slid: Callable[..., Values]) -> Equation:
    """The index of a movement whose distance is a formula of further symbols."""
    count = len(ways)

    def worn(tension: Values, share: Values, *numbers: Values) -> Values:
        return exposure(tension, share, slid(*numbers[:count]), *numbers[count:])

    formula = (
        "({s} · {T} / {T0})^{n} · " + way + " / {l0} · sin({θ} / 2) / sin(45°) · "
        "({r0} / {r})^{q} · {surface} · {movement} · {wet} · (1 − {credit}) / "
        "(({d} / {d0})^{p} · {fibre} · {k})"
    )
    return Equation(worn, "E", "1", formula, {
        "T": Symbol("N"), "s": Symbol("1", high=1, above=True), **ways,
        "θ": Symbol("rad", high=np.pi), "r": Symbol("m", above=True), "surface": Symbol("1"),
        "movement": Symbol("1"), "credit": Symbol("1", high=1), "d": Symbol("m", above=True),
        "fibre": Symbol("1", above=True), "wet": Symbol("1", above=True), "k": Symbol("1", 1),
        "n": Symbol("1"), "q": Symbol("1"), "p": Symbol("1"),
        "T0": Symbol("N", value=REFERENCE_TENSION, sign="1 kN"),
        "l0": Symbol("m", value=REFERENCE_DISTANCE, sign="1 m"),
        "r0": Symbol("m", value=REFERENCE_RADIUS, sign="5 mm"),
        "d0": Symbol("m", value=REFERENCE_DIAMETER, sign="11 mm"),
    }, _INDEX)  # fmt: skip


_WAY = {"distance": Symbol("m")}
_PART = _WAY | {"covered": Symbol("1", high=1)}
EXPOSURE = _exposure("{distance}", _WAY, lambda d: d)
EXPOSURE_COVERED = _exposure("{distance} · {covered}", _PART, lambda d, c: d * c)
EXPOSURE_BESIDE = _exposure("{distance} · (1 − {covered})", _PART, lambda d, c: d * (1 - c))
"""Of all the way, of the share of it on a protector, and of the share on bare edge beside it."""

_BOTH = mark("both for the same draws of their inputs: one ratio with a band of its own")
_KNOWN = Symbol("1", above=True)
AGAINST_BARE = Equation(
    np.divide, "ratio", "1", "{E} / {E_bare}", {"E": Symbol("1"), "E_bare": _KNOWN}, _BOTH
)
AGAINST_DAY = Equation(
    np.divide, "ratio", "1", "{E} / {E_day}", {"E": Symbol("1"), "E_day": _KNOWN}, _BOTH
)
