"""Energy absorbers: the average-force method of ANSI Z359.6 and CSA Z259.16, and tests to EN 355.

Without rope (L_eff = 0) a device that slips is an absorber that opens at its average force.
"""

import numpy as np
import pytest

from riskdoc.mechanics.fall import capped_peak, slip_distance


def opened(average, free=4.0, length=0.0):
    return slip_distance(100, free, average, length, 30e3)


def test_opening_at_an_average_force(agrees):
    """100 kg, 4 m, 4.0 kN: m g h/(F - m g) = 3922.66/3019.335 = 1.299 m. By hand."""
    agrees(opened(4000), "1.299")


def test_opening_of_lanyards_in_drop_tests(agrees):
    """Average 87.5 % of the maximum: 6 kN gives 5.25 kN, so 4 m open 0.919 m.

    The ratio: Carrion, Saez, Pomares, Gonzalez, IJERPH 17(20) 7647 (2020), 20 drops, 10 models.
    The length by hand, 3922.66/4269.335.
    """
    average = 0.875 * 6000
    agrees(average / 1000, "5.25")
    agrees(opened(average), "0.919")


def test_no_rope_is_the_limit_of_little_rope():
    """Less and less of it: nothing jumps."""
    found = opened(4000, length=np.array([1e-3, 1e-6, 1e-9, 0.0]))
    assert found[:-1] == pytest.approx(found[-1], abs=1e-3)
    assert abs(found[2] - found[3]) < 1e-8


def test_energy_by_hand():
    """100 kg, g 10, 4 m free, 10 m of 30 kN rope, slip at 3 kN: x = 1 m.

    1000 × (4 + 1) - 3000 × 1/2 = 3500 J over 3000 - 1000 N: 1.75 m. At 0.2 m free and 6 kN,
    x = 2: 1000 × 2.2 against 6000: the rope alone.
    """
    assert slip_distance(100, 4, 3000, 10, 30e3, g=10) == 1.75
    assert slip_distance(100, 4, 3000, 20, 30e3, strands=2, g=10) == 1.75
    assert slip_distance(100, 0.2, 6000, 10, 30e3, g=10) == 0
    assert capped_peak(3001, 3000) == 3000
    assert capped_peak(2999, 3000) == 2999
