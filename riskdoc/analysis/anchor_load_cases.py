"""What pulls on the legs of an anchor, with all legs, with one lost, and caught."""

from __future__ import annotations

from collections.abc import Iterable

from riskdoc.analysis.anchor_pulls import Hung, Pull, Pulled, Way, turn_of_pull
from riskdoc.analysis.course import redirect_turn
from riskdoc.analysis.falls import drop_peak, drop_worked
from riskdoc.analysis.leg_forces import leg_forces, shares
from riskdoc.analysis.redirects import rope_freed
from riskdoc.i18n.message import Text, message
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.anchors import CAUGHT_BY_REDIRECT, wrapped_force
from riskdoc.mechanics.equation import Equation
from riskdoc.quantities.intervals import Interval, combine, greatest
from riskdoc.quantities.printing import Amount


def forces_for_one(
    file: JobFile, anchor: str, force: Interval, ways: Iterable[Pulled]
) -> tuple[Interval, ...]:
    """Force in each leg under one pull, whichever of the ways it takes. Raises `Missing`."""
    found = [leg_forces(file, anchor, force, way) for way in ways]
    return tuple(
        greatest(*(each for each in by_leg if each is not None))
        for by_leg in zip(*found, strict=True)
    )


def lost_pull(file: JobFile, pull: Hung, extension: Interval | None) -> tuple[Interval, Text]:
    """The pull when a leg goes, and what makes it: the greatest case, or the drop by extension."""
    if extension is None:
        return pull.most, message(pull.case)
    caught = caught_pull(file, pull, extension)
    drop = caught.range.high > pull.most.range.high
    return greatest(pull.most, caught), message("drop by the extension") if drop else message(
        pull.case
    )


def caught_pull(file: JobFile, pull: Hung, extension: Interval) -> Interval:
    """The pull that catches the load when the joint has dropped; no friction helps the anchor."""
    if isinstance(pull, Pull):
        return drop_peak(file, pull.line, extension)
    slack = rope_freed(file, extension, pull.redirect)
    turn = redirect_turn(file, pull.redirect)
    return combine(wrapped_force, drop_peak(file, pull.line, slack), turn)


def caught_worked(
    file: JobFile, pull: Hung, extension: Interval
) -> tuple[Equation, dict[str, Interval]]:
    """The equation of that pull with its inputs."""
    if isinstance(pull, Pull):
        return drop_worked(file, pull.line, extension)
    slack = rope_freed(file, extension, pull.redirect)
    turn = redirect_turn(file, pull.redirect)
    return CAUGHT_BY_REDIRECT, {"F_line": drop_peak(file, pull.line, slack), "θ": turn}


def turned(file: JobFile, anchor: str, leg: int, way: Pulled) -> Text:
    """The turn of the pull that loads a leg most, in words; nothing for a single leg."""
    legs = file.job.anchors[anchor].legs
    if len(legs) == 1:
        return ""
    if isinstance(way, Way):
        return message("pull in any direction")
    worst = shares(file, anchor, way)[leg].range.high
    if worst <= shares(file, anchor, Way.STRAIGHT)[leg].range.high * (1 + 1e-12):
        return message("pull straight")
    turn = Amount(turn_of_pull(file, way).range.high, "rad", "up")
    if len(legs) == 2 and file.job.anchors[anchor].equalised == "fixed":
        return message("pull turned by {turn} to the side of leg {leg}", turn=turn, leg=2 - leg)
    return message("pull turned by up to {turn}", turn=turn)
