"""How far one point of a rope slides in contact with an edge, by the kind of movement."""

from __future__ import annotations

import numpy as np

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
