"""The equation of the force in a leg, by how the legs of its anchor share the pull of a line."""

from __future__ import annotations

from riskdoc.analysis.anchor_pulls import turn_of_pull
from riskdoc.analysis.leg_forces import (
    by_balance,
    leg_angle,
    leg_length,
    leg_stiffness,
    nearly_beside,
    shares,
    stated_alike,
    without_length,
)
from riskdoc.analysis.resolve import RigLine
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.anchors import LEG_OF_FAN, SINGLE_LEG
from riskdoc.mechanics.equation import Equation
from riskdoc.mechanics.pairs import (
    LEG_BESIDE,
    LEG_BY_BALANCE,
    LEG_NEARLY_BESIDE,
    LEG_SLID,
    LEG_SLID_OR_HELD,
    LEG_SLID_WORST,
    LEG_SLID_WORST_OR_HELD,
    LEG_UNKNOWN,
)
from riskdoc.quantities.intervals import Interval

Worked = tuple[Equation, dict[str, Interval]]


def leg_worked(file: JobFile, anchor: str, leg: int, pull: Interval, line: RigLine) -> Worked:
    """The equation of the force in a leg under the pull of a line, with its inputs."""
    part = file.job.anchors[anchor]
    inputs = {"T": pull}
    if len(part.legs) == 1 or part.equalised is None:
        return SINGLE_LEG, inputs
    together = (
        len(part.legs) == 2 and sum(leg_angle(file, anchor, n).expected for n in range(2)) == 0
    )
    if len(part.legs) == 2 and part.equalised == "fixed":
        return _tied(file, anchor, leg, inputs, line)
    if len(part.legs) == 2 and not together:
        return _sliding(file, anchor, leg, inputs, line)
    return LEG_OF_FAN[part.equalised], {**inputs, "s": shares(file, anchor, line)[leg]}


def _angles(file: JobFile, anchor: str, leg: int, line: RigLine) -> dict[str, Interval]:
    """Angle of the leg itself, that of the other, and the turn of the pull."""
    own, other = leg_angle(file, anchor, leg), leg_angle(file, anchor, 1 - leg)
    return {"α": own, "β": other, "τ": turn_of_pull(file, line)}


def _tied(
    file: JobFile, anchor: str, leg: int, inputs: dict[str, Interval], line: RigLine
) -> Worked:
    """Two legs tied off: by balance, by stiffness side by side, nearly so by the worse of both."""
    angles = _angles(file, anchor, leg, line)
    if by_balance(file, anchor):
        return LEG_BY_BALANCE, inputs | angles
    if without_length(file, anchor, (0, 1)):
        return LEG_UNKNOWN, inputs
    stiff = {
        "k": leg_stiffness(file, anchor, leg),
        "k_other": leg_stiffness(file, anchor, 1 - leg),
    }
    between = angles["α"].expected + angles["β"].expected
    if between == 0:
        return LEG_BESIDE, inputs | stiff
    if nearly_beside(between):
        return LEG_NEARLY_BESIDE, inputs | angles | stiff
    return LEG_BY_BALANCE, inputs | angles


def _sliding(
    file: JobFile, anchor: str, leg: int, inputs: dict[str, Interval], line: RigLine
) -> Worked:
    """Two legs that slide until they stand alike to the pull; those stated apart may be held."""
    inputs = inputs | _angles(file, anchor, leg, line)
    alike = stated_alike(file, anchor)
    if without_length(file, anchor, (0, 1)):
        return LEG_SLID_WORST if alike else LEG_SLID_WORST_OR_HELD, inputs
    lengths = {
        "L": leg_length(file, anchor, leg),
        "L_other": leg_length(file, anchor, 1 - leg),
    }
    return LEG_SLID if alike else LEG_SLID_OR_HELD, inputs | lengths
