"""The modulus of a rope and how far it stretches. Modulus: force per unit strain, per strand."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from riskdoc.mechanics.equation import Equation, Symbol, mark
from riskdoc.mechanics.loads import GRAVITY, STANDARD_GRAVITY, weight
from riskdoc.mechanics.values import (
    Values,
    plain,
    require_at_least,
    require_inside,
    require_positive,
)


def modulus_static(
    stretch: Values, mass_step: Values = 100.0, g: Values = STANDARD_GRAVITY
) -> Values:
    """Modulus from a rope's stated static stretch: K = Δm g/e.

    stretch e [-] above 0, below 1: 0.034 for 3.4 %;  mass_step Δm [kg] > 0, by default the
    100 kg between the 50 kg and the 150 kg of EN 1891;  g g [m/s²] > 0.  -> K [N]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   slow loading near working load; a fall sees a stiffer rope, 2 to 4 times.
    Source  definition of strain; the 50 to 150 kg step is EN 1891:1998 (elongation, at most
            5 %), restated by a trade glossary.

    >>> round(modulus_static(0.034))
    28843
    """
    require_inside("stretch", stretch, 0, 1)
    require_positive("mass_step", mass_step)
    require_positive("g", g)
    return plain(np.multiply(mass_step, g) / stretch)


def modulus_from_peak(
    force: Values, mass: Values, factor: Values, g: Values = STANDARD_GRAVITY
) -> Values:
    """Modulus from the peak force of a drop test: K = F0 (F0 - 2 m0 g)/(2 m0 g f0).

    force F0 [N] > 2 m0 g;  mass m0 [kg] > 0;  factor f0 [-] > 0, fall factor of the test;
    g g [m/s²] > 0.  -> K [N]
    Raises  ValueError outside these bounds: no spring gives a peak of 2 m0 g or less in a fall.
    Holds   as `fall.peak_force`, of which this is the inverse; dynamic, not static.
    Source  energy balance, OpenStax, University Physics vol. 1, sec. 15.2 (gravity during the
            stretch included), solved for K.

    >>> round(modulus_from_peak(9000, 80, 4.6 / 2.6) / 1000, 2)
    24.09
    """
    for name, value in (("force", force), ("mass", mass), ("factor", factor), ("g", g)):
        require_positive(name, value)
    sudden = 2 * np.multiply(mass, g)
    require_positive("force - 2 mass g", plain(np.subtract(force, sudden)))
    return plain(force * np.subtract(force, sudden) / (sudden * factor))


def stretch(tension: Values, length: Values, modulus: Values, strands: Values = 1.0) -> Values:
    """How far a length of rope stretches under one tension: x = T L/(k K).

    tension T [N] >= 0;  length L [m] >= 0;  modulus K [N] > 0, per strand;  strands k [-] >= 1.
    -> x [m]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   a straight load-strain line; equal strands.
    Source  OpenStax, University Physics vol. 1, sec. 12.3 (stress, strain and modulus), with
            K = Y A.

    >>> round(stretch(980.665, 50, 19613.3), 3)
    2.5
    """
    require_at_least("tension", tension)
    require_at_least("length", length)
    require_positive("modulus", modulus)
    require_at_least("strands", strands, 1)
    return plain(np.multiply(tension, length) / np.multiply(strands, modulus))


def own_weight_stretch(
    weight_per_metre: Values, length: Values, modulus: Values, strands: Values = 1.0
) -> Values:
    """How far a hanging rope stretches by itself: x = w L²/(2 k K).

    weight_per_metre w [N/m] >= 0, of all strands together;  length L [m] >= 0;
    modulus K [N] > 0, per strand;  strands k [-] >= 1.  -> x [m]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   hanging free from its top, a straight load-strain line; equal strands.
    Source  integral of w z/(k K) over the length; OpenStax, University Physics vol. 1, sec. 12.3
            for the modulus.

    >>> round(own_weight_stretch(0.075 * 9.80665, 50, 19613.3), 4)
    0.0469
    """
    require_at_least("weight_per_metre", weight_per_metre)
    require_at_least("length", length)
    hanging = np.multiply(weight_per_metre, length)
    return plain(np.divide(stretch(hanging, length, modulus, strands), 2))


def sink(
    tensions: Sequence[Values], lengths: Sequence[Values], modulus: Values, strands: Values = 1.0
) -> Values:
    """How far a load sinks as its rope comes under tension: x = (T1 L1 + T2 L2 + ...)/(k K).

    tensions T [N] each >= 0, of the segments between edges, one or more;  lengths L [m] each >= 0,
    of the same segments;  modulus K [N] > 0, per strand;  strands k [-] >= 1.  -> x [m]
    Raises  ValueError outside these bounds, for counts that do not fit, and for NaN.
    Holds   as `stretch`, segment by segment; own weight apart, `own_weight_stretch`. Under the
            tensions of a raise it is the rope taken in before the load moves.
    Source  sum of `stretch`; OpenStax, University Physics vol. 1, sec. 12.3.

    >>> round(sink([900, 600], [14, 2.6], 30_000), 3)
    0.472
    """
    if len(tensions) != len(lengths) or not len(tensions):
        raise ValueError(
            "tensions and lengths must be equally many, one or more, "
            f"found {len(tensions)} and {len(lengths)}"
        )
    total = np.asarray(0.0)
    for number, (tension, length) in enumerate(zip(tensions, lengths, strict=True), start=1):
        require_at_least(f"tension {number}", tension)
        require_at_least(f"length {number}", length)
        total = total + stretch(tension, length, modulus, strands)
    return plain(total)


MODULUS_SLOW = Equation(
    modulus_static, "K", "N", "{Δm} · {g} / {e}",
    {"e": Symbol("1", high=1, above=True, below=True), "g": GRAVITY,
     "Δm": Symbol("kg", value=100, sign="100 kg")},
    mark("EN 1891: stretch between 50 kg and 150 kg; definition of modulus"),
)  # fmt: skip


def _in_a_fall(
    slow: Values, way: Values, force: Values, mass: Values, factor: Values, strands: Values
) -> Values:
    tested = np.divide(modulus_from_peak(force, mass, factor), strands)
    return plain(slow + way * (np.maximum(slow, tested) - slow))


MODULUS_IN_FALL = Equation(
    _in_a_fall, "K", "N",
    "{K_slow} + {κ} · (max({K_slow}, "
    "{F0} · ({F0} − 2 · {m0} · {g}) / (2 · {m0} · {g} · {f0} · {k0})) − {K_slow})",
    {"K_slow": Symbol("N", above=True), "κ": Symbol("1", high=1), "F0": Symbol("N", above=True),
     "m0": Symbol("kg", above=True), "f0": Symbol("1", above=True), "k0": Symbol("1", 1),
     "g": GRAVITY},
    mark(
        "EN 1891 stretch; energy balance of the drop test, or of the greatest peak of the "
        "standard, solved for K; the range goes down to the static modulus"
    ),
)  # fmt: skip
"""From the static modulus (κ = 0) to that of the drop test (κ = 1), k₀ strands in the test."""


def _sunk(
    pull: Values, length: Values, above: Values, strands: Values, modulus: Values, mass: Values
) -> Values:
    own = own_weight_stretch(weight(mass), length, modulus)
    return plain(stretch(pull, np.add(length, above), modulus, strands) + own)


SINK = Equation(
    _sunk, "x", "m", "{W} · ({L} + {a}) / ({k} · {K}) + {w} · {g} · {L}^2 / (2 · {K})",
    {"W": Symbol("N"), "L": Symbol("m"), "a": Symbol("m"), "k": Symbol("1", 1),
     "K": Symbol("N", above=True), "w": Symbol("kg/m"), "g": GRAVITY},
    mark("definition of modulus; no friction at edges; own weight below the last edge"),
)  # fmt: skip
"""How far a load sinks: L of rope below the last edge, a above it, w of mass per metre."""
