"""Fall clearance as regulators and codes sum it, in their own feet or metres.

OSHA Technical Manual, sec. V, ch. 4: the form and the geometry as others restate it; the manual
itself was not seen. From where the attachment point is at the start.
"""

import pytest

from riskdoc.mechanics.clearance import clearance_needed, free_fall


@pytest.mark.parametrize(
    ("lanyard", "above", "free", "total"),
    [
        (6, 0, 6, 17.5),  # 6 ft level with the D-ring: 6 + 3.5 + 1 + 5 + 2
        (6, 4, 2, 13.5),  # example 4, anchor 4 ft above it: 2 + 3.5 + 1 + 5 + 2
        (4, 0, 4, 15.5),  # 4 ft level: 4 + 3.5 + 1 + 5 + 2
    ],
)
def test_osha_technical_manual(lanyard, above, free, total):
    """Deceleration 3.5, shift of the D-ring 1, its height 5, margin 2 ft. The sums by hand."""
    assert free_fall(lanyard, above) == free
    assert clearance_needed(free_fall(lanyard, above), 3.5 + 1, 0, 5, 2) == total
    assert clearance_needed(free_fall(lanyard, above), 3.5, 1, 5, 2) == total


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


@pytest.mark.parametrize(("above", "free"), [(1.5, 0.5), (0, 2.0), (-1.5, 3.5)])
def test_free_fall_from_the_anchor(above, free):
    """2 m of lanyard, anchor 1.5 m above, level, 1.5 m below. By hand. Only the third is > 1.8 m...

    ... and the second: 2.0. 29 CFR 1910.140: free fall at most 6 ft (1.8 m).
    """
    assert free_fall(2, above) == free
    assert (free > 1.8) == (above <= 0)


def test_a_foot_level_anchor_is_not_a_fall_of_the_lanyard():
    """6 ft tied 5 ft below the attachment point: 6 + 5 = 11 ft. By hand."""
    assert free_fall(6, -5) == 11
