"""OSHA, Guidance on Safe Sling Use, Table 1: Grade 80 chain, 1/2 in."""

from math import radians

import pytest

from riskdoc.mechanics.anchors import symmetric_leg, two_leg

# Horizontal angle [deg], rated load of a two-leg bridle [lb]; one leg: 12 000 lb. The table is
# rounded to hundreds of pounds.
TABLE = [(60, "2.08e4"), (45, "1.70e4"), (30, "1.20e4")]


@pytest.mark.parametrize(("horizontal", "printed"), TABLE)
def test_two_leg_bridle(agrees, horizontal, printed):
    """What loads each leg with 12 000 lb."""
    from_vertical = radians(90 - horizontal)
    agrees(12_000 / symmetric_leg(1.0, 2 * from_vertical), printed)
    for leg in two_leg(1.0, from_vertical, from_vertical):
        agrees(12_000 / leg, printed)


# Load-angle factor 1/sin(horizontal angle), the form of the tables in ASME B30.9; by hand.
FACTORS = [
    (90, "1.000"), (80, "1.015"), (70, "1.064"), (60, "1.155"), (50, "1.305"), (45, "1.414"),
    (40, "1.556"), (30, "2.000"), (20, "2.924"), (15, "3.864"), (10, "5.759"),
]  # fmt: skip


@pytest.mark.parametrize(("horizontal", "printed"), FACTORS)
def test_load_angle_factor(agrees, horizontal, printed):
    """Force in a leg over half the load."""
    agrees(symmetric_leg(2.0, radians(180 - 2 * horizontal)), printed)
