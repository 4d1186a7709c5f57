"""The triangular distribution: how a stated range is drawn from."""

from __future__ import annotations

import numpy as np

from riskdoc.mechanics.values import Values, plain, require_at_least, require_between


def triangular_quantile(share: Values, low: Values, mode: Values, high: Values) -> Values:
    """Value below which this share of a triangular distribution lies.

    a + √(u (b − a)(c − a)) up to the share (c − a)/(b − a), then b − √((1 − u)(b − a)(b − c)).

    share u [-] 0..1;  low a [-];  mode c [-] a..b;  high b [-].  -> value, a..b [-]
    [-] of low, mode, high and value stands for any unit, the same for all four.
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   one number with a least, a most likely and a greatest value, and nothing else known.
    Source  geometry: the density is a triangle of area 1 over a..b with its top at c; the share
            below a value is the area left of it, solved for the value.

    >>> [triangular_quantile(u, 0, 1, 2) for u in (0, 0.125, 0.5, 0.875, 1)]
    [0.0, 0.5, 1.0, 1.5, 2.0]
    """
    require_between("share", share, 0, 1)
    require_at_least("mode - low", plain(np.subtract(mode, low)))
    require_at_least("high - mode", plain(np.subtract(high, mode)))
    wide, up, down = np.subtract(high, low), np.subtract(mode, low), np.subtract(high, mode)
    rising = low + np.sqrt(share * wide * up)
    falling = high - np.sqrt(np.subtract(1, share) * wide * down)
    return plain(np.where(np.multiply(share, wide) <= up, rising, falling))
