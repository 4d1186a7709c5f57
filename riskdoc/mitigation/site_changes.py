"""Changes around the lines: how far aside the work lies, the wind, the legs of an anchor."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from typing import cast

import numpy as np

from riskdoc.i18n.message import message
from riskdoc.job.model import Anchor, Job, Leg
from riskdoc.job.winds import kept_to_limits
from riskdoc.judgement.verdicts import Assessment
from riskdoc.mitigation.change import Change, Level, amend, amounts, exactly, number, scaled
from riskdoc.quantities.printing import Exact
from riskdoc.quantities.quantity import Kind, Quantity

Direction = tuple[float, float, float]
PLACES = 6
"""Decimals of a direction that a change works out; a job file takes up to nine."""


def less_reach(job: Job, site: str, share: float) -> Job:
    """The job with a share of the sideways reach at a site."""
    reach = job.sites[site].reach_sideways
    return job if reach is None else amend(job, "sites", site, reach_sideways=scaled(reach, share))


def less_wind(job: Job, site: str, speed: float) -> Job:
    """The job with work at a site stopped at this wind [m/s], measured as before.

    A crew stop that names more wind than that is lowered with it.
    """
    wind = job.sites[site].wind
    if wind is None:
        return job
    lower = wind.model_copy(update={"stop_at": exactly(speed, Kind.SPEED)})
    calmer = amend(job, "sites", site, wind=lower)
    if calmer.work is None:
        return calmer
    work = calmer.work.model_copy(update={"stop_work": kept_to_limits(calmer)})
    return calmer.model_copy(update={"work": work})


def longer_bridle(job: Job, anchor: str, times: float) -> Job:
    """The job with the joint of an anchor's legs so many times as far from their feet.

    The feet stay where they are: tan α goes down by the factor, for every leg; directions in
    space are stretched along the pull, and lengths grow as the legs do. A sliding joint then has
    so many times as far to drop.
    """
    part = job.anchors[anchor]
    axis = _axis(part)
    legs = tuple(_longer(leg, times, axis) for leg in part.legs)
    drop = None if part.extension is None else scaled(part.extension, times)
    return amend(job, "anchors", anchor, legs=legs, extension=drop)


def _axis(part: Anchor) -> np.ndarray | None:
    """The line of the pull: as stated, else the middle of the legs."""
    if any(leg.direction is None for leg in part.legs):
        return None
    if part.pull is not None:
        whole = np.array(part.pull, dtype=float)
    else:
        legs = [np.array(leg.direction, dtype=float) for leg in part.legs]
        whole = np.sum([leg / np.linalg.norm(leg) for leg in legs], axis=0)
    size = float(np.linalg.norm(whole))
    return whole / size if size > 0 else None


def _longer(leg: Leg, times: float, axis: np.ndarray | None) -> Leg:
    if leg.direction is None or axis is None:
        return leg if leg.angle is None else _steeper(leg, leg.angle, times)
    old = np.array(leg.direction, dtype=float)
    new = old + (times - 1) * float(old @ axis) * axis
    direction = cast(Direction, tuple(round(float(each), PLACES) for each in new))
    grown = float(np.linalg.norm(new) / np.linalg.norm(old))
    length = None if leg.length is None else scaled(leg.length, grown)
    return leg.model_copy(update={"direction": direction, "length": length})


def _steeper(leg: Leg, angle: Quantity, times: float) -> Leg:
    flat = _flat(angle, times)
    grown = times * math.cos(angle.expected) / math.cos(flat.expected)
    length = None if leg.length is None else scaled(leg.length, grown)
    return leg.model_copy(update={"angle": flat, "length": length})


def _flat(angle: Quantity, times: float) -> Quantity:
    ends = (angle.low, angle.expected, angle.high)
    return amounts([math.atan(math.tan(each) / times) for each in ends], angle.kind, "deg", "up")


def around_changes(plan: Assessment) -> Iterator[Change]:
    """Every change to sites and anchors of a plan that could be made."""
    work = plan.file.job.work
    # A casualty hangs where they hang: less reach would not get there.
    chosen = work is None or work.method != "rescue"
    for name, site in plan.file.job.sites.items():
        reach, kept = site.reach_sideways, number("reach kept")
        if chosen and reach is not None and reach.high > 0:
            yield Change(
                f"reach/{name}",
                message(
                    "More drops at site ‘{name}’, no work further than {reach} to the side",
                    name=name,
                    reach=Exact(reach.high * kept, "m", "down"),
                ),
                Level.ENGINEER,
                message("rig the lines anew for each drop, over edges looked at as the first ones"),
                (f"sites.{name}.reach_sideways",),
                partial(less_reach, site=name, share=kept),
            )
        if site.wind is not None:
            yield from _calmer(name, site.wind.stop_at.low)
    for name, anchor in plan.file.job.anchors.items():
        if len(anchor.legs) > 1 and not _side_by_side(anchor):
            times = number("bridle height")
            yield Change(
                f"bridle/{name}",
                message(
                    "Bridle of anchor ‘{name}’ {times:g} times as long, legs closer together",
                    name=name,
                    times=times,
                ),
                Level.ENGINEER,
                message("longer slings, with the joint still short of the edge"),
                (f"anchors.{name}.legs", f"anchors.{name}.extension"),
                partial(longer_bridle, anchor=name, times=times),
            )


def _side_by_side(anchor: Anchor) -> bool:
    """Whether two legs stand along the pull, which no length of theirs changes."""
    return all(leg.angle is not None and leg.angle.high == 0 for leg in anchor.legs)


def _calmer(site: str, speed: float) -> Iterator[Change]:
    """Down to the next step that a meter on site can tell, never up."""
    step = number("limit wind", "step")
    lower = math.floor(speed * number("wind kept") / step) * step
    if lower >= number("limit wind", "low"):
        yield Change(
            f"wind/{site}",
            message(
                "Work at site ‘{site}’ stops at {lower} instead of {speed}",
                site=site,
                lower=Exact(lower, "m/s", "down"),
                speed=Exact(speed, "m/s", "up", 6),
            ),
            Level.ORGANISE,
            message("one named person measures, at the height that the job states"),
            (f"sites.{site}.wind.stop_at",),
            partial(less_wind, site=site, speed=lower),
        )
