"""EN 1891:1998: elongation between 50 kg and 150 kg (restated by a trade glossary).

The results are by hand from the definition of the modulus, standard g; the fall factor 0.3 and
the 100 kg of the peak-force test are from memory and only set the case.
"""

import pytest

from riskdoc.mechanics.fall import peak_force
from riskdoc.mechanics.loads import weight
from riskdoc.mechanics.stretch import modulus_static, own_weight_stretch, stretch


@pytest.mark.parametrize(("elongation", "kn"), [(0.05, "19.61"), (0.03, "32.69"), (0.02, "49.03")])
def test_modulus(agrees, elongation, kn):
    """K = 100 kg × 9.80665 m/s² / e."""
    agrees(modulus_static(elongation) / 1000, kn)


def test_stretch_under_a_person(agrees):
    """100 kg on 50 m of 5 % rope: 5 % of 50 m, by construction."""
    agrees(stretch(weight(100), 50, modulus_static(0.05)), "2.500")


def test_own_weight(agrees):
    """75 g/m over 50 m: w L²/(2 K) = 0.7355 × 2500/(2 × 19 613)."""
    agrees(own_weight_stretch(weight(0.075), 50, modulus_static(0.05)), "0.0469")


@pytest.mark.parametrize(
    ("elongation", "kn"),
    [(0.02, "6.44"), (0.025, "5.88"), (0.03, "5.47"), (0.04, "4.90"), (0.05, "4.52")],
)
def test_peak_force_from_elongation(agrees, elongation, kn):
    """100 kg, fall factor 0.3."""
    agrees(peak_force(100, modulus_static(elongation), 0.3) / 1000, kn)


def test_modulus_at_which_six_kilonewtons_are_reached(agrees):
    """K = 41.18 kN, e = 2.38 %, at f = 0.3: 6000 (6000 - 1961.33)/(2 × 980.665 × 0.3)."""
    agrees(peak_force(100, 41.18e3, 0.3) / 1000, "6.00")
    agrees(100 * weight(100) / 41.18e3, "2.38")
    agrees(modulus_static(0.0238) / 1000, "41.2")
