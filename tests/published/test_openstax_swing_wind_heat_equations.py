"""OpenStax, University Physics vol. 1 and 2 (Ling, Sanny, Moebs et al.): swing, drag, heat, legs.

The book's g is 9.80.
"""

from math import radians, sin, sqrt

from riskdoc.mechanics.anchors import fixed_shares
from riskdoc.mechanics.heat import descent_energy, temperature_rise
from riskdoc.mechanics.loads import weight
from riskdoc.mechanics.swing import swing_speed
from riskdoc.mechanics.wind import wind_force

G = 9.80


def test_simple_pendulum(agrees):
    """Vol. 1, sec. 8.3, example: 1.0 m, let go at 30 degrees: 1.62 m/s at the bottom."""
    agrees(swing_speed(1.0, 1.0 * sin(radians(30)), g=G), "1.62")


def test_child_held_aside_by_vectors(agrees):
    """Vol. 1, sec. 6.1, problem: 30.0 kg, ropes 30 degrees from vertical: 170 N each, 170 N aside.

    The pull is the weight; the ropes are one leg, the hand that holds the child aside the other.
    """
    ropes = (-0.5, 0, sqrt(3) / 2)
    pulled, aside = fixed_shares((0, 0, -1), [ropes, (1, 0, 0)], [1, 1])
    agrees(pulled * weight(30.0, G) / 2, "170", within=0.5)  # its zero is a digit
    agrees(aside * weight(30.0, G), "170", within=0.5)


def test_different_tensions_at_different_angles_by_vectors(agrees):
    """Vol. 1, sec. 6.1, example: 15.0 kg, wires 30 and 45 degrees above horizontal: 108, 132 N."""
    legs = [(-sqrt(3), 0, 1), (1, 0, 1)]
    for stiffnesses in ([1, 1], [1, 7]):
        t1, t2 = fixed_shares((0, 0, -1), legs, stiffnesses)
        agrees(t1 * weight(15.0, G), "108")
        agrees(t2 * weight(15.0, G), "132")


def test_terminal_speed(agrees):
    """Vol. 1, sec. 6.4: 85 kg, C 1.0, A 0.70 m², ρ 1.21: drag is the weight at 44 m/s.

    Solved back from the law: v = √(m g/(drag at 1 m/s)); the printed speed alone stands for a
    whole digit, so the drag is held to the weight at its two ends.
    """
    load = weight(85, G)
    agrees(sqrt(load / wind_force(1, 1.0 * 0.70, 1.21)), "44")
    assert wind_force(43.5, 0.70, 1.21) < load < wind_force(44.5, 0.70, 1.21)


def test_brakes_down_a_hill(agrees):
    """Vol. 2, sec. 1.4: 10 000 kg, 75.0 m: 7.35e6 J; a tenth of it in 10 kg at 800 J/(kg K): 92."""
    energy = descent_energy(10_000, 75.0, g=G)
    agrees(energy, "7.35e6")
    agrees(temperature_rise(energy, 0.10, 10, 800), "92")
