"""Wind and swing: what moves the load sideways besides the worker, and how hard a swing ends."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.analysis.course import below_pivot
from riskdoc.analysis.figure import Figure
from riskdoc.analysis.figures import figure
from riskdoc.analysis.inputs import Missing, cached, from_table, stated
from riskdoc.analysis.load_mass import Acting, mass_of, weight_of
from riskdoc.analysis.resolve import RigLine
from riskdoc.i18n.message import Text, message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.swing import (
    SWING_DROP,
    SWING_SPEED,
    SWING_TENSION,
    swing_drop,
    swing_speed,
    swing_tension,
)
from riskdoc.mechanics.wind import BEAUFORT_FROM, WIND_FORCE, WIND_OFFSET, beaufort, wind_offset
from riskdoc.quantities.intervals import Interval, combine, exact, given, greatest
from riskdoc.quantities.ranges import Input, Range

BEAUFORT = (
    mark("calm"),
    mark("light air"),
    mark("light breeze"),
    mark("gentle breeze"),
    mark("moderate breeze"),
    mark("fresh breeze"),
    mark("strong breeze"),
    mark("near gale"),
    mark("gale"),
    mark("strong gale"),
    mark("storm"),
    mark("violent storm"),
    mark("hurricane"),
)
"""Words of the Beaufort scale, WMO-No. 306 code table 1100."""


@cached
def reach_of(file: JobFile, line: RigLine) -> Interval:
    """How far the load stands off the fall line: the reach, or the wind where that is more.

    The reach is stated as the most that the worker stands aside, holding on against the wind, so
    no wind carries him past it; where he does not reach that far the wind does. Raises `Missing`
    where the job says nothing of the reach, or nothing of the wind.
    """
    own = stated(file, ("sites", line.site_id, "reach_sideways"), "x", message("sideways reach"))
    offset = offset_of(file, line)
    return own if offset is None else greatest(own, offset)


def _blows(line: RigLine) -> bool:
    """Whether a wind is stated. Raises `Missing` where none is and none is ruled out."""
    if line.site.wind is None and line.site.why_not("wind") is None:
        raise Missing(f"sites.{line.site_id}.wind")
    return line.site.wind is not None


def stop_wind(file: JobFile, site: str) -> Interval:
    """The wind at which work stops, as it is measured. Raises `Missing` where none is stated."""
    return stated(
        file, ("sites", site, "wind", "stop_at"), "v", message("wind at which work stops")
    )


def mean_wind(file: JobFile, site: str) -> Interval:
    """The mean wind at which work stops; where gusts are measured, by the gust factor."""
    speed, wind = stop_wind(file, site), file.job.sites[site].wind
    if wind is None or wind.measured_as == "mean":
        return speed
    factor = (
        from_table("work", f"gust factor over {wind.over}", "G")
        if wind.over
        else from_table("work", "gust factor", "G")
    )
    return combine(lambda v, g: v / g, speed, factor)


@cached
def force_of(file: JobFile, line: RigLine) -> Interval | None:
    """Wind force on the load at the wind at which work stops; None where wind is ruled out."""
    if not _blows(line):
        return None
    area = from_table("work", "drag area", "CdA")
    density = from_table("work", "air density", "ρ")
    speed, people = stop_wind(file, line.site_id), exact(float(_bodies(line)))
    return combine(WIND_FORCE.function, speed, area, density, people)


def _bodies(line: RigLine) -> int:
    """How many bodies the wind blows on: the people of the load, or the load itself."""
    return max(line.load.people, 1)


@cached
def offset_of(file: JobFile, line: RigLine) -> Interval | None:
    """How far the wind holds the load off the fall line."""
    force = force_of(file, line)
    if force is None:
        return None
    return combine(wind_offset, force, weight_of(file, line.line.load), below_pivot(file, line))


@cached
def gust_passes(file: JobFile, line: RigLine) -> Interval | None:
    """Sweeps that gusts add, None where wind is ruled out.

    Raises `Missing` where the job says nothing of wind, and where wind is stated and not how long
    the load hangs in it.
    """
    if not _blows(line):
        return None
    if line.line.hours is None:
        raise Missing(f"lines.{line.id}.hours")
    hours = stated(file, ("lines", line.id, "hours"), "t", message("time on the line"))
    count = line.site.wind.gusts_per_hour if line.site.wind is not None else None
    if count is None:
        each = from_table("work", "gusts per hour", "gusts")
    else:
        keys = ("sites", line.site_id, "wind", "gusts_per_hour")
        each = given(
            Input(
                ".".join(keys), "gusts", message("gusts in an hour"), Range(count, count, count),
                "1/h", str(count), str(file.place(*keys)), "stated", message("job file"),
            )
        )  # fmt: skip
    return combine(lambda t, n: t / 3600 * n, hours, each)


def swings(file: JobFile, line: RigLine) -> Acting | None:
    """The load swings back under its pivot. None where nothing can swing, or it is not stated."""
    if not _swings(file, line):
        return None
    inputs = _swinging(file, line)
    tension = combine(swing_tension, *inputs.values())
    return Acting(tension, -1.0, moving=False, equation=SWING_TENSION, inputs=inputs)


def _swinging(file: JobFile, line: RigLine) -> dict[str, Interval]:
    """Mass, rope below the pivot and reach."""
    mass = mass_of(file, line.line.load)
    return {"m": mass, "d": below_pivot(file, line), "x": reach_of(file, line)}


def swing_missing(file: JobFile, line: RigLine) -> tuple[Text, ...]:
    """What the swing of a person needs and the job does not state."""
    reach = line.site.reach_sideways
    if not line.person or (reach is not None and reach.high == 0):
        return ()
    try:
        reach_of(file, line)
    except Missing as gap:
        return (gap.key,)
    return ()


def _swings(file: JobFile, line: RigLine) -> bool:
    reach = line.site.reach_sideways
    if not line.person or reach is None or reach.high == 0 or swing_missing(file, line):
        return False
    return fits(file, line)


def fits(file: JobFile, line: RigLine) -> bool:
    """Whether reach, or the wind where that is more, stays within the rope below the pivot.

    Where one of them is not stated nothing is known to go beyond it; the swing is not demonstrated.
    """
    try:
        reach = reach_of(file, line)
    except Missing:
        return True
    return reach.range.high < below_pivot(file, line).range.low


def air_figures(file: JobFile, line: RigLine) -> Iterator[Figure]:
    """Swing and wind as figures."""
    if _swings(file, line):
        yield from _swing_figures(file, line)
    force, offset = force_of(file, line), offset_of(file, line)
    if force is None or offset is None:
        return
    name, speed = f"line/{line.id}/wind", stop_wind(file, line.site_id)
    words = beaufort_words(mean_wind(file, line.site_id).range.high)
    yield figure(
        f"{name}/force",
        message("Wind force at the wind at which work stops ({words})", words=words),
        WIND_FORCE,
        {
            "v": speed,
            "CdA": from_table("work", "drag area", "CdA"),
            "ρ": from_table("work", "air density", "ρ"),
            "n": float(_bodies(line)),
        },
        force,
    )
    yield figure(
        f"{name}/offset",
        message("How far the wind holds the load off the fall line"),
        WIND_OFFSET,
        {
            "d": below_pivot(file, line),
            "F": force,
            "W": weight_of(file, line.line.load),
        },
        offset,
    )


def beaufort_words(speed: float) -> Text:
    """The Beaufort number of a mean wind [m/s], with its name.

    >>> str(beaufort_words(9.0))
    'Beaufort 5, fresh breeze'
    """
    number = int(beaufort(speed))
    return message("Beaufort {number}, {name}", number=number, name=message(BEAUFORT[number]))


def _swing_figures(file: JobFile, line: RigLine) -> Iterator[Figure]:
    name, inputs = f"line/{line.id}/swing", _swinging(file, line)
    pendulum = {key: inputs[key] for key in SWING_DROP.arguments}
    title = message("Height lost in a swing to the fall line")
    yield figure(f"{name}/drop", title, SWING_DROP, pendulum)
    title = message("Speed under the pivot after a swing")
    yield figure(f"{name}/speed", title, SWING_SPEED, pendulum)
    title = message("Tension under the pivot after a swing")
    yield figure(f"{name}/tension", title, SWING_TENSION, inputs)


def beaufort_from(number: int) -> float:
    """The mean wind [m/s] at which a Beaufort number from 1 to 12 begins."""
    return BEAUFORT_FROM[number - 1]


def swing_of(file: JobFile, line: RigLine) -> tuple[Interval, Interval]:
    """Height lost in a swing to the fall line, and the speed under the pivot."""
    pendulum = below_pivot(file, line), reach_of(file, line)
    return combine(swing_drop, *pendulum), combine(swing_speed, *pendulum)
