"""Beer & Johnston, Vector Mechanics: Statics, belt friction (edition not visible)."""

from math import pi

from riskdoc.mechanics.friction import capstan_ratio, equivalent_friction


def test_hawser_on_a_bollard(agrees):
    """Two turns, 80 lbf holds 5000 lbf: µ = 0.329."""
    agrees(equivalent_friction(5000 / 80, 2 * 2 * pi), "0.329")


def test_hawser_with_the_printed_friction(agrees):
    """The same the other way: 80 lbf at µ 0.329. µ ± 0.0005 over 4 π is ± 0.63 % of 5000 lbf."""
    agrees(80 * capstan_ratio(0.329, 4 * pi), "5000", within=5000 * 0.0005 * 4 * pi)
