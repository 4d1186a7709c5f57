"""Forces in the legs of an anchor when the pull turns aside, as a load off the fall line does."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from riskdoc.mechanics.anchors import fixed_shares, included_angle
from riskdoc.mechanics.directions import RANK, Vector, leaning, least_work, legs_of, unit_of
from riskdoc.mechanics.equation import Equation, Symbol, mark
from riskdoc.mechanics.values import (
    Values,
    plain,
    require_angle,
    require_at_least,
    require_positive,
)

SQUARE = np.pi / 2 * (1 + 1e-12)
"""[rad] Legs up to here stand within a right angle; rounding, nothing else."""


def turn_of_free_rope(reach: Values, rope: Values) -> Values:
    """How far a load off the fall line turns the pull of a free rope: sin τ = x/L.

    reach x [m] >= 0, below L, load off the fall line;  rope L [m] > 0, anchor to load.
    -> τ [rad] 0..below π/2
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   no edge and no redirect between anchor and load; a redirect lessens it.
    Source  geometry: the rope is a straight line of the length L.

    >>> round(float(np.degrees(turn_of_free_rope(5, 10))), 9)
    30.0
    """
    require_positive("rope", rope)
    require_at_least("reach", reach)
    require_positive("rope - reach", plain(np.subtract(rope, reach)))
    return plain(np.arcsin(np.divide(reach, rope)))


def turn_over_edges(reach: Values, rope: Values) -> Values:
    """How far a load off the fall line turns the pull above the first edge: tan τ = x/L = y/a.

    reach x [m] >= 0, load off the fall line;  rope L [m] > 0, all of it from the anchor to the
    load, square to the edges.  -> τ [rad] 0..below π/2
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   as `sweep.crossing`: the rope crosses the first edge at y = x a/L, a being the rope
            before it. Friction at an edge holds the rope back and lessens the turn.
    Source  geometry: all planes unfolded into one, the rope is a straight line.

    >>> round(float(np.degrees(turn_over_edges(2, 2))), 9)
    45.0
    """
    require_positive("rope", rope)
    require_at_least("reach", reach)
    return plain(np.arctan2(reach, rope))


def two_leg_turned(tension: Values, a: Values, b: Values, turn: Values) -> tuple[Values, Values]:
    """Greatest force in each of two fixed legs while the pull turns by up to τ to either side.

    T_a = T sin β/sin(a+b), where β is the angle between the other leg and the pull: the nearest
    to π/2 that it comes, at most b + τ. From β = a + b on the other leg would have to push: it
    is slack, and this one carries T.

    tension T [N] >= 0;  a a [rad] 0..below π/2;  b b [rad] 0..below π/2, as in `two_leg`, not
    both 0;  turn τ [rad] 0..below π/2, in the plane of the legs.  -> (T_a, T_b) [N]
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   feet and joint stay where they are. A pull that turns out of the plane of the legs
            swings that plane and changes neither force.
    Source  `two_leg` for every pull within the turn; sin β is greatest nearest to π/2.

    >>> [round(leg, 4) for leg in two_leg_turned(1, *np.radians((30, 30, 10)))]
    [0.7422, 0.7422]
    """
    require_at_least("tension", tension)
    require_angle("a", a, np.pi / 2)
    require_angle("b", b, np.pi / 2)
    require_angle("turn", turn, np.pi / 2)
    require_positive("a + b", plain(np.add(a, b)))
    between = np.sin(np.add(a, b))

    def most(own: Values, other: Values) -> Values:
        beta = np.minimum(np.pi / 2, np.add(other, np.minimum(turn, own)))
        return plain(tension * (np.sin(beta) / between))

    return most(a, b), most(b, a)


def any_way(included: Values) -> Values:
    """Greatest share of a leg of two, whichever way they are pulled: 1, beyond 90° 1/sin α.

    included α [rad] 0..below π, between the legs.  -> T_leg/T [-] >= 1
    Raises  ValueError outside these bounds, and for what is not a finite number.
    Holds   the legs pull in their plane, which swings with the pull. Up to 90° the worst pull
            is along a leg; beyond, it stands square to the other.
    Source  `two_leg`: sin β/sin α with β anything from 0 to α.

    >>> any_way(np.pi / 3), round(any_way(np.radians(120)), 4)
    (1.0, 1.1547)
    """
    require_angle("included", included, np.pi)
    wide = np.greater(included, np.pi / 2)
    return plain(np.where(wide, 1 / np.sin(np.where(wide, included, 1.0)), 1.0))


def fixed_shares_turned(
    pull: Vector, directions: Sequence[Vector], stiffnesses: Sequence[Values], turn: Values
) -> tuple[Values, ...]:
    """Greatest share of the pull in each leg of a fixed anchor while the pull turns by up to τ.

    `fixed_shares` for the pull as stated and for pulls that lean by τ/2 and τ to every side.
    Legs in one plane swing with the pull until it lies in their plane. A pull beyond what the
    legs hold moves the joint until they hold it; each of them then carries at most all of it, as
    long as no two legs stand more than 90° apart.

    pull p [-];  directions u [-];  stiffnesses k [N/m], all three as in `fixed_shares`;
    turn τ [rad] 0..below π/2.  -> T_i/T [-] >= 0 for each leg
    Raises  ValueError outside these bounds, where the pull as stated cannot be held, where a
            turned one cannot and legs stand more than 90° apart, and for what is not a finite
            number.
    Holds   as `fixed_shares`. With legs within 90°, T >= T_i + Σ T_j u_i·u_j >= T_i.
    Source  `fixed_shares`, pull by pull.

    >>> legs = [(3, 0, 4), (-3, 0, 4), (0, 3, 4), (0, -3, 4)]
    >>> straight, turned = (fixed_shares_turned((0, 0, -1), legs, [1] * 4, t)[0] for t in (0, 0.1))
    >>> round(straight, 4), round(turned, 4)
    (0.3125, 0.3969)
    """
    require_angle("turn", turn, np.pi / 2)
    straight = np.stack(
        np.broadcast_arrays(*fixed_shares(pull, directions, stiffnesses), turn)[:-1], axis=-1
    )
    if not np.any(turn):
        return tuple(plain(share) for share in np.moveaxis(straight, -1, 0))
    legs = legs_of(directions)
    root = np.sqrt(np.stack(np.broadcast_arrays(*stiffnesses), axis=-1))
    root = root / np.max(root, axis=-1, keepdims=True)
    weighed = np.swapaxes(legs, -1, -2) * root[..., np.newaxis, :]
    beyond = _beyond(directions)[..., np.newaxis]
    axis = np.broadcast_to(unit_of("pull", pull), (*straight.shape[:-1], 3))
    loads = _into_span(legs, leaning(axis, turn))
    shares = least_work(weighed, loads[..., np.newaxis]) * root
    turned = np.max(np.where(np.isnan(shares), beyond, shares), axis=0)
    worst = np.maximum(straight, turned)
    if np.isnan(worst).any():
        raise ValueError(
            "turn must be one at which legs hold by pulling alone, or legs within 90° of each "
            f"other, found {turn}"
        )
    return tuple(plain(share) for share in np.moveaxis(worst, -1, 0))


def most_of(directions: Sequence[Vector]) -> Values:
    """Greatest share of a leg whichever way the anchor is pulled: 1, for legs within 90°.

    directions u [-] as in `fixed_shares`, one or more.  -> T_i/T [-] 1
    Raises  ValueError outside these bounds, where two legs stand more than 90° apart (no bound
            is known for three and more then), and for what is not a finite number.
    Holds   the joint moves until the legs hold the pull by pulling alone.
    Source  T = Σ T_i u_i; along u_i: T >= T_i + Σ T_j u_i·u_j >= T_i where no product is below 0.

    >>> most_of([(1, 0, 1), (-1, 0, 1), (0, 0, 1)])
    1.0
    """
    found = _beyond(directions)
    if np.isnan(found).any():
        raise ValueError("directions must be within 90° of each other, found more")
    return plain(found)


def _beyond(directions: Sequence[Vector]) -> npt.NDArray[np.float64]:
    """1 where no two legs stand more than 90° apart, else NaN."""
    if len(directions) == 1:
        return np.ones(legs_of(directions).shape[:-2])
    return np.where(np.less_equal(included_angle(directions), SQUARE), 1.0, np.nan)


def _into_span(
    legs: npt.NDArray[np.float64], load: npt.NDArray[np.float64]
) -> npt.NDArray[np.float64]:
    """The load turned into the plane of legs that lie in one; what has three dimensions stays."""
    span = np.linalg.pinv(legs, rcond=RANK) @ legs
    inside = (span @ load[..., np.newaxis])[..., 0]
    size = np.linalg.norm(inside, axis=-1, keepdims=True)
    return np.where(size > RANK, inside / np.where(size > RANK, size, 1.0), load)


_ROPE = {"x": Symbol("m"), "L": Symbol("m", above=True)}
TURN_OF_FREE_ROPE = Equation(
    turn_of_free_rope, "τ", "rad", "arcsin({x} / {L})", _ROPE,
    mark("geometry: a free rope is a straight line"),
)  # fmt: skip
TURN_OVER_EDGES = Equation(
    turn_over_edges, "τ", "rad", "arctan({x} / {L})", _ROPE,
    mark("geometry: the rope lies straight in the unfolded planes, without friction"),
)  # fmt: skip
