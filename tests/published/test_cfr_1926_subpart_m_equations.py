"""29 CFR 1926 Subpart M App. C (h), planning considerations, restated by copies of the rule."""

from math import radians

import pytest

from riskdoc.mechanics.anchors import symmetric_leg


@pytest.mark.parametrize(("sag", "about", "exact"), [(15, 2, "1.932"), (5, 6, "5.737")])
def test_horizontal_lifeline(agrees, sag, about, exact):
    """Sag 15 and 5 degrees: the line is loaded "about 2:1" and "about 6:1"; exact by hand."""
    amplification = symmetric_leg(1.0, radians(180 - 2 * sag))
    agrees(amplification, exact)
    assert amplification == pytest.approx(about, rel=0.05)  # "about": the rule rounds to a whole
