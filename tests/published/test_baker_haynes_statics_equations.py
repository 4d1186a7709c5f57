"""Baker & Haynes, Engineering Statics: Open and Interactive, sec. 9.5 "Flexible Belts"."""

from math import pi

from riskdoc.mechanics.friction import capstan_ratio, signed_ratio


def test_rope_friction(agrees):
    """Example "Rope Friction": 100 lbf, µ 0.23, 4.5 turns, held by 0.15 lbf."""
    agrees(100 / capstan_ratio(0.23, 4.5 * 2 * pi), "0.15")
    agrees(100 * signed_ratio(0.23, 4.5 * 2 * pi, -1), "0.15")
