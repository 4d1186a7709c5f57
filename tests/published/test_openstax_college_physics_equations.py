"""OpenStax, College Physics 2e (Urone, Hinrichs et al.). The book's g is 9.80."""

from math import pi, radians

import pytest

from riskdoc.mechanics.anchors import symmetric_leg
from riskdoc.mechanics.fall import peak_force
from riskdoc.mechanics.loads import weight
from riskdoc.mechanics.stretch import stretch

G = 9.80


def test_tightrope(agrees):
    """The tightrope of University Physics, 70.0 kg and 5.0 degrees; here printed 3900 N.

    Two digits are significant: half of the second is 50 N.
    """
    agrees(symmetric_leg(weight(70.0, G), radians(170)), "3.9e3")


def test_nylon_climbing_rope(agrees):
    """Sec. 5.3: 65.0 kg on 35.0 m of 0.800 cm, Y = 5e9 Pa: 9 cm."""
    modulus = 5e9 * pi / 4 * 0.00800**2
    agrees(100 * stretch(weight(65.0, G), 35.0, modulus), "9")


@pytest.mark.parametrize(("stiffness", "printed_cm"), [(1.40e4, 50.2), (7.0e3, 71.0)])
def test_stretch_without_gravity_is_not_ours(agrees, stiffness, printed_cm):
    """Sec. 16.5, b and c: 50.2 and 71.0 cm leave out gravity during the stretch: √(2 m g h/k).

    Ours must count it: longer by the energy of m g over the stretch, x² = 50.2² + 2 (m g/k) x.
    """
    x = 100 * peak_force(90.0, stiffness, 2.00, g=G) / stiffness
    sag = 100 * 90.0 * G / stiffness
    assert x > printed_cm + sag
    # x ± half a printed digit moves the left side by 2 x 0.05 cm
    assert x**2 - 2 * sag * x == pytest.approx(printed_cm**2, abs=2 * printed_cm * 0.05)
