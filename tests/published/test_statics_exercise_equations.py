"""A published exercise on rope friction: "Engineering mechanics 1, exercise 27"."""

from math import pi

from riskdoc.mechanics.friction import signed_ratio
from riskdoc.mechanics.loads import weight


def test_lowering_over_a_pole(agrees):
    """100 kg, g 9.81, µ 0.2, three quarters of a turn: 382.26 N."""
    agrees(weight(100, 9.81) * signed_ratio(0.2, 3 * pi / 2, -1), "382.26")
