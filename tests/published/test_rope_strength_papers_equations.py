"""Strength left at knots and in wet rope, from papers; the products are by hand."""

from riskdoc.mechanics.strength import derated, least


def test_best_of_five_anchor_knots(agrees):
    """Saez, Carrion, Ferrer, Garcia, Monge, Symmetry 16(2) 167 (2024): mean efficiency 61.82 %.

    Of 22 kN: 13.60 kN, which is 2.27 times 6 kN.
    """
    left = derated(22_000, 0.6182)
    agrees(left / 1000, "13.60")
    agrees(left / 6000, "2.27")


def test_wet_and_knotted(agrees):
    """Flory, Hearle, Goksoy, MTS Conference 1990: wet polyamide 0.80; with a knot of 0.66.

    30 kN × 0.80 × 0.66 = 15.84 kN: independent causes multiply.
    """
    agrees(derated(30_000, 0.80, 0.66), "15840.0")


def test_knots_in_series():
    """Two knots, 0.66 and 0.55, one at each end of 30 kN: 16.5 kN, the lesser; not 10.9 kN.

    Efficiencies of knots in series do not multiply (Simon & Ftorek, Symmetry 14(9) 1926, 2022, on
    how such values are formed; the minimum is the principle of parts in series).
    """
    assert least(derated(30_000, 0.66), derated(30_000, 0.55)) == 16_500
