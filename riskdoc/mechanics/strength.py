"""What is left of a rope's strength at a knot, over an edge, wet or worn."""

from __future__ import annotations

import numpy as np

from riskdoc.mechanics.equation import Equation, Symbol, mark
from riskdoc.mechanics.values import (
    Values,
    plain,
    require_at_least,
    require_between,
    require_positive,
)


def bend_factor(
    edge_radius: Values,
    rope_diameter: Values,
    below_one: Values,
    at_one: Values,
    full_at: Values,
    full: Values = 1.0,
) -> Values:
    """Strength left over an edge, by D/d = 2 r/d: in a straight line from D/d = 1 to `full_at`.

    edge_radius r [m] >= 0;  rope_diameter d [m] > 0;  below_one factor [-] 0..1, for D/d < 1;
    at_one factor [-] 0..1, at D/d = 1;  full_at D/d [-] > 1, from where all that a bend leaves
    is left;  full factor [-] 0..1, from there on.  -> factor [-] 0..1
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   rope pulled slowly over a smooth edge; says nothing of cutting or abrasion. It steps
            at D/d = 1, and between `at_one` and `full` the straight line is ours.
    Source  form from a handbook rule, from memory; 29 CFR 1926 Subpart M App. C (h): down by as
            much as 70 % around a steel beam.

    >>> [round(bend_factor(r / 1000, 0.010, 0.4, 0.6, 4), 2) for r in (4, 5, 12.5, 20, 50)]
    [0.4, 0.6, 0.8, 1.0, 1.0]
    """
    require_at_least("edge_radius", edge_radius)
    require_positive("rope_diameter", rope_diameter)
    for name, factor in (("below_one", below_one), ("at_one", at_one), ("full", full)):
        require_between(name, factor, 0, 1)
    require_positive("full_at - 1", plain(np.subtract(full_at, 1)))
    ratio = np.divide(np.multiply(2, edge_radius), rope_diameter)
    line = at_one + np.subtract(full, at_one) * ((ratio - 1) / np.subtract(full_at, 1))
    return plain(np.where(ratio < 1, below_one, np.where(ratio >= full_at, full, line)))


def derated(strength: Values, *factors: Values) -> Values:
    """Strength left where several independent things weaken a rope: S = S0 f1 f2 ...

    strength S0 [N] >= 0;  factors f [-] each 0..1, those that act at one station.  -> S [N]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   causes independent of each other and at the same place; knots in series never
            multiply, see `least`.
    Source  product rule, DEVELOPERS.md, Definitions; wet factor 0.80: Flory, Hearle, Goksoy, MTS
            Conference 1990.

    >>> round(derated(30_000, 0.80, 0.66), 6)
    15840.0
    """
    require_at_least("strength", strength)
    left = strength
    for number, factor in enumerate(factors, start=1):
        require_between(f"factor {number}", factor, 0, 1)
        left = plain(np.multiply(left, factor))
    return left


def least(*stations: Values) -> Values:
    """Strength of parts in series: S = min(S1, S2, ...).

    stations S [N] each >= 0, one or more.  -> S [N]
    Raises  ValueError outside these bounds, without any station, and for NaN.
    Holds   parts in series, each carrying the whole tension.
    Source  a chain is as strong as its weakest link (statics of parts in series).

    >>> least(30_000 * 0.66, 30_000 * 0.55)
    16500.0
    """
    if not stations:
        raise ValueError("stations must be one or more, found none")
    for number, station in enumerate(stations, start=1):
        require_at_least(f"station {number}", station)
    smallest = np.asarray(stations[0], dtype=np.float64)
    for station in stations[1:]:
        smallest = np.minimum(smallest, station)
    return plain(smallest)


RATED_MARGIN = Equation(
    np.divide, "M", "1", "{S} / {T_static}",
    {"S": Symbol("N"), "T_static": Symbol("N", above=True)},
    mark("breaking strength over the greatest static tension; hanging counts no friction"),
)  # fmt: skip
DERATED_MARGIN = Equation(
    np.divide, "M", "1", "{S_left} / {T}",
    {"S_left": Symbol("N", sign="S′"), "T": Symbol("N", above=True)},
    mark("derated strength over tension at the same station, friction taken as never helping"),
    words=mark("the least over stations and cases"),
)  # fmt: skip
ARREST_MARGIN = Equation(
    np.divide, "M", "1", "{S_left} / {F}",
    {"S_left": Symbol("N", sign="S′"), "F": Symbol("N", above=True)},
    mark(
        "derated strength over the arrest-force limit, or over the greatest slip force of a "
        "device where that is less"
    ),
)  # fmt: skip
