"""Hauling systems of pulleys: what they gain, what they put on their anchor, and the jam."""

from __future__ import annotations

import numpy as np

from riskdoc.mechanics.equation import Equation, Symbol, mark
from riskdoc.mechanics.values import (
    Values,
    plain,
    require_at_least,
    require_between,
    require_positive,
)


def advantage(strands: Values, efficiency: Values, fixed_end: bool) -> Values:
    """Advantage of a simple n:1 system: A = 1 + η + ... + η^(n-1); times η off a fixed pulley.

    strands n [-] >= 1, whole, strands that draw on the load;  efficiency η [-] above 0, at most 1,
    tension out over tension in of each pulley;  fixed_end [-] true or false: the haulers' strand
    leaves a fixed pulley, which only turns it.
    -> A [-], tension at the load over effort; n without friction
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   parallel strands of one rope, equal pulleys, hauled at constant speed. In lowering
            the pulleys help instead.
    Source  sum of the tensions of the strands, each η times the one before; the geometric
            series. Held against observed tackles in Spon, Workshop Receipts, series 5, "Tackle".

    >>> round(advantage(3, 0.90, False), 3), round(advantage(3, 0.90, True), 3)
    (2.71, 2.439)
    """
    require_at_least("strands", strands, 1)
    whole = np.equal(strands, np.floor(strands))
    if not np.all(whole):
        found = float(np.asarray(strands, dtype=np.float64)[~np.asarray(whole)].flat[0])
        raise ValueError(f"strands must be a whole number, found {found!r}")
    require_positive("efficiency", efficiency)
    require_between("efficiency", efficiency, 0, 1)
    lost = np.subtract(1.0, efficiency)
    some = np.where(lost > 0, lost, 0.5)  # at η = 1 the sum is n; 0.5 only keeps from 0/0
    total = np.where(lost > 0, -np.expm1(strands * np.log1p(-some)) / some, strands)
    return plain(total * efficiency if fixed_end else total)


def compound(*advantages: Values) -> Values:
    """Advantage of stages that haul on one another: A = A1 A2 ...

    advantages A [-] each > 0, one or more.  -> A [-]
    Raises  ValueError outside these bounds, for no stage, and for what is not a finite number.
    Holds   each stage pulls on the hauled end of the one before, in line with it.
    Source  effort of one stage is the load of the next: A = (T/P1)(P1/P2) ...

    >>> compound(3, 2)
    6.0
    """
    if not advantages:
        raise ValueError("advantages must be one or more, found none")
    total = np.asarray(1.0)
    for number, stage in enumerate(advantages, start=1):
        require_positive(f"advantage {number}", stage)
        total = total * stage
    return plain(total)


def effort(tension: Values, advantage: Values) -> Values:
    """Pull that hauls a tension through a system: P = T/A.

    tension T [N] >= 0, of the hauled line where the system grips it;  advantage A [-] > 0, with
    the friction of its pulleys.  -> P [N]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   as `advantage`; friction over edges between load and system is in T.
    Source  definition of the advantage.

    >>> round(effort(1571.0, 2.710), 1)
    579.7
    """
    require_at_least("tension", tension)
    require_positive("advantage", advantage)
    return plain(np.divide(tension, advantage))


def haulers_needed(effort: Values, pull_each: Values) -> Values:
    """Fewest haulers whose pulls add up to the effort: least whole n with n p >= P.

    effort P [N] >= 0;  pull_each p [N] > 0, of one hauler.  -> n [-], whole
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   all pull at once, along the rope, with footing.
    Source  division, rounded up; the pull of one: Eastman Kodak, Ergonomic Design for People at
            Work vol. 2, 1986, in the tables.

    >>> haulers_needed(579.7, 225)
    3.0
    """
    require_at_least("effort", effort)
    require_positive("pull_each", pull_each)
    least = np.ceil(np.divide(effort, pull_each))
    return plain(least + (least * pull_each < effort))  # a quotient rounded down to whole


def system_anchor_force(tension: Values, effort: Values, fixed_end: bool) -> Values:
    """Force of a hauling system on its anchor while hauling: T - P, or T + P off a fixed pulley.

    tension T [N] >= 0, of the hauled line;  effort P [N] >= 0, at most T where the strand leaves
    a moving pulley;  fixed_end [-] true or false: the haulers' strand leaves a pulley on the
    anchor, back toward the load.
    -> force [N], of all the system's anchors together, along the haul
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   parallel strands; haulers stand apart from the anchor. Off a moving pulley they pull
            away from the load and carry P of it: when they let go onto a brake at the anchor,
            it takes all of T. A strand turned aside: `anchors.redirect_resultant`.
    Source  balance of forces on the system as one body: T one way, anchor and haulers the other
            (off a moving pulley), or T and haulers one way, anchor the other.

    >>> system_anchor_force(2710, 1000, False), system_anchor_force(2439, 1000, True)
    (1710.0, 3439.0)
    """
    require_at_least("tension", tension)
    require_at_least("effort", effort)
    if fixed_end:
        return plain(np.add(tension, effort))
    require_at_least("tension - effort", plain(np.subtract(tension, effort)))
    return plain(np.subtract(tension, effort))


def jam_force(haulers: Values, pull_each: Values, ideal_advantage: Values) -> Values:
    """Tension that a team can put into a line that has snagged: F = N p n.

    haulers N [-] >= 0;  pull_each p [N] >= 0, of one hauler;  ideal_advantage n [-] >= 1, of the
    system without friction.  -> F [N]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   p is what a hauler puts in at the snag: a jerk puts in more than can be kept up.
            Friction at the pulleys is left out, for it may be small.
    Source  DEVELOPERS.md, Definitions; work in is work out, OpenStax, College Physics 2e, sec. 9.5
            (simple machines).

    >>> jam_force(4, 225, 6)
    5400.0
    """
    require_at_least("haulers", haulers)
    require_at_least("pull_each", pull_each)
    require_at_least("ideal_advantage", ideal_advantage, 1)
    return plain(np.multiply(haulers, pull_each) * ideal_advantage)


EFFORT = Equation(
    effort, "P", "N", "{T} / {A}", {"T": Symbol("N"), "A": Symbol("1", above=True)},
    mark("definition of advantage"),
)  # fmt: skip
HAULERS = Equation(
    haulers_needed, "n", "1", "ceil({P} / {p})", {"P": Symbol("N"), "p": Symbol("N", above=True)},
    mark("Eastman Kodak, Ergonomic Design for People at Work vol. 2, 1986"),
    words=mark("ceil is the least whole number that is no less"),
)  # fmt: skip
JAM = Equation(
    jam_force, "F", "N", "{n} · {p} · {A_ideal}",
    {"n": Symbol("1"), "p": Symbol("N"), "A_ideal": Symbol("1", 1)},
    mark("pull of each in a jerk; no friction helps in a jam"),
)  # fmt: skip
