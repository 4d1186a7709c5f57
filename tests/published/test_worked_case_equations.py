"""A small worked case: its digits were worked apart from this code, from the equations named.

98 kg on one 10.5 mm strand, 2.6 m from anchor to an edge of 80 degrees, 14 m to the worker,
µ 0.30/0.40/0.55, stretch 3.4 %.
"""

from math import radians

import pytest

from riskdoc.mechanics.fall import effective_length, fall_factor, peak_force
from riskdoc.mechanics.friction import capstan_ratio, signed_ratio
from riskdoc.mechanics.loads import weight
from riskdoc.mechanics.stretch import modulus_static
from riskdoc.mechanics.sweep import crossing, held_crossing

TURN = radians(80)


def test_weight(agrees):
    """W."""
    agrees(weight(98), "961.05")


@pytest.mark.parametrize(("mu", "ratio"), [(0.30, "1.5203"), (0.40, "1.7481"), (0.55, "2.1553")])
def test_edge_ratio(agrees, mu, ratio):
    """Over 80 degrees."""
    agrees(capstan_ratio(mu, TURN), ratio)


@pytest.mark.parametrize(("sense", "newtons"), [(1, "2015.97"), (-1, "659.74")])
def test_anchor_side(agrees, sense, newtons):
    """Raise and lower, dynamic factor 1.2, µ 0.40."""
    agrees(1.2 * weight(98) * signed_ratio(0.40, TURN, sense), newtons)


def test_fall(agrees):
    """Free fall 0.6 m at µ 0.40."""
    modulus = modulus_static(0.034)
    effective = effective_length([14, 2.6], [capstan_ratio(0.40, TURN)])
    factor = fall_factor(0.6, effective)
    agrees(modulus / 1000, "28.843")
    agrees(effective, "15.487")
    agrees(factor, "0.03874")
    agrees(peak_force(98, modulus, factor), "2713.6")


def test_crossing_at_the_worker(agrees):
    """2.2 m aside: 0.34458 m free of friction; with µ 0.30 and more the rope stays."""
    agrees(crossing(2.2, 2.6, 14), "0.34458")
    assert held_crossing(2.2, 2.6, 14, 0.30, TURN) == 0
    assert held_crossing(2.2, 2.6, 14, 0.55, TURN) == 0


@pytest.mark.parametrize(("mu", "y"), [(0, "1.4717"), (0.30, "0.5360"), (0.40, "0.2225")])
def test_crossing_higher_up(agrees, mu, y):
    """6 m aside, 8 m below the edge."""
    agrees(held_crossing(6, 2.6, 8, mu, TURN), y)


def test_rope_that_stays_higher_up(agrees):
    """The same with µ 0.55: exactly 0; and free of friction 1.4717 m by the straight line."""
    assert held_crossing(6, 2.6, 8, 0.55, TURN) == 0
    agrees(crossing(6, 2.6, 8), "1.4717")
