"""The abrasion exposure of a rope at an edge, counted in reference sweeps: a ranking, not a life.

One reference sweep: a single 11 mm polyamide strand under 1 kN, drawn 1 m sideways across a bare
square edge of smooth concrete with 5 mm radius.
"""

from __future__ import annotations

import numpy as np

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
