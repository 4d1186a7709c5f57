"""WMO-No. 306, Manual on Codes, code table 1100: Beaufort, read in copies of the table."""

import numpy as np
import pytest

from riskdoc.mechanics.wind import beaufort

# force: from and to [m/s], as printed
SCALE = {
    0: (0, 0.2), 1: (0.3, 1.5), 2: (1.6, 3.3), 3: (3.4, 5.4), 4: (5.5, 7.9), 5: (8.0, 10.7),
    6: (10.8, 13.8), 7: (13.9, 17.1), 8: (17.2, 20.7), 9: (20.8, 24.4), 10: (24.5, 28.4),
    11: (28.5, 32.6), 12: (32.7, 90),
}  # fmt: skip

# knots, one nautical mile of 1852 m an hour, as printed beside it (Met Office marine table)
KNOTS = {
    0: (0, 0.5), 1: (1, 3), 2: (4, 6), 3: (7, 10), 4: (11, 16), 5: (17, 21), 6: (22, 27),
    7: (28, 33), 8: (34, 40), 9: (41, 47), 10: (48, 55), 11: (56, 63), 12: (64, 100),
}  # fmt: skip


@pytest.mark.parametrize("force", SCALE)
def test_both_ends_of_each_force(force):
    assert beaufort(np.array(SCALE[force])).tolist() == [force, force]


def test_edges():
    """10.7 is 5, 10.8 is 6, 13.8 is 6, 13.9 is 7; what lies between decimals belongs below."""
    assert [beaufort(v) for v in (10.7, 10.75, 10.8, 13.8, 13.9)] == [5, 5, 6, 6, 7]


@pytest.mark.parametrize("force", KNOTS)
def test_knots(force):
    """The middle of each force: its ends in knots and in m/s are rounded each on its own."""
    assert beaufort(sum(KNOTS[force]) / 2 * 1852 / 3600) == force
