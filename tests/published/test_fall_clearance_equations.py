"""Fall clearance as regulators and codes sum it, in their own feet or metres.

OSHA Technical Manual, sec. V, ch. 4: the form and the geometry as others restate it; the manual
itself was not seen. From where the attachment point is at the start.
"""

import pytest

from riskdoc.mechanics.clearance import clearance_needed, height_left


@pytest.mark.parametrize(
    ("free", "total"),
    [
        (6, 17.5),  # 6 ft level with the D-ring: 6 + 3.5 + 1 + 5 + 2
        (2, 13.5),  # example 4, 6 ft from an anchor 4 ft above it: 2 + 3.5 + 1 + 5 + 2
        (4, 15.5),  # 4 ft level: 4 + 3.5 + 1 + 5 + 2
    ],
)
def test_osha_technical_manual(free, total):
    """Deceleration 3.5, shift of the D-ring 1, its height 5, margin 2 ft. The sums by hand."""
    assert clearance_needed(free, 3.5 + 1, 0, 5, 2) == total
    assert clearance_needed(free, 3.5, 1, 5, 2) == total


def test_below_the_floor():
    """17.5 ft from the D-ring is 12.5 ft below a floor it is 5 ft above."""
    assert clearance_needed(6, 3.5 + 1, 0, 5, 2) - 5 == 12.5


def test_classic_sum(agrees):
    """US guidance: lanyard 6, deceleration 3.5, worker 6, margin 3 ft: 18.5 ft, 5.64 m."""
    assert clearance_needed(6, 3.5, 0, 6, 3) == 18.5
    agrees(clearance_needed(6, 3.5, 0, 6, 3) * 0.3048, "5.64")


def test_australian_code_of_practice():
    """Safe Work Australia, Managing the Risk of Falls at Workplaces, 2015: 6.5 m.

    Restated by others; lanyard 2.0, absorber 1.7, worker 1.8, margin 1.0 from memory.
    """
    assert clearance_needed(2.0, 1.7, 0, 1.8, 1.0) == pytest.approx(6.5, rel=1e-12)


def test_a_sum_from_an_exercise():
    """A published how-to: free fall 4, deceleration 3, harness 1, elongation 3, margin 1: 12 ft."""
    assert clearance_needed(4, 3 + 3, 0, 1, 1) == 12
    assert clearance_needed(4, 3, 3, 1, 1) == 12


def test_what_a_drop_leaves():
    """30 m with 20 m of rope out leaves 10 m; rope that reaches the ground leaves nothing. By hand.

    Nothing is counted as 1 mm.
    """
    assert height_left(30, 20) == 10
    assert height_left(20, 20) == 0.001
