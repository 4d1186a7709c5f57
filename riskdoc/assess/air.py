"""Swing and wind: what moves the load sideways besides the worker."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.assess.figures import figure
from riskdoc.assess.inputs import Missing, default, once, stated
from riskdoc.assess.loads import Acting, mass_of, weight_of
from riskdoc.assess.records import Figure, Finding, Input, Range
from riskdoc.assess.rig import RigLine
from riskdoc.assess.spread import Spread, combine, given, total
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say
from riskdoc.mechanics.swing import swing_drop, swing_speed, swing_tension
from riskdoc.mechanics.wind import beaufort, wind_force, wind_offset

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


@once
def reach_of(file: JobFile, line: RigLine) -> Spread:
    """How far the load stands off the fall line: the worker's reach and the wind together."""
    own = stated(file, ("sites", line.site_id, "reach_sideways"), "x", say("sideways reach"))
    offset = offset_of(file, line)
    return own if offset is None else total(own, offset)


def _below(file: JobFile, line: RigLine) -> Spread:
    return stated(file, ("lines", line.id, "below"), "d", say("rope below the pivot"))


def _speed(file: JobFile, line: RigLine) -> Spread:
    return stated(
        file, ("sites", line.site_id, "wind", "stop_at"), "v", say("wind at which work stops")
    )


@once
def force_of(file: JobFile, line: RigLine) -> Spread | None:
    """Wind force on the load at the wind at which work stops; None where no wind is stated."""
    if line.site.wind is None:
        return None
    area = default("work", "drag area", "CdA")
    people = max(line.load.people, 1)
    density = default("work", "air density", "ρ")
    return combine(lambda v, a, r: wind_force(v, a * people, r), _speed(file, line), area, density)


@once
def offset_of(file: JobFile, line: RigLine) -> Spread | None:
    """How far the wind holds the load off the fall line."""
    force = force_of(file, line)
    if force is None:
        return None
    return combine(wind_offset, force, weight_of(file, line.line.load), _below(file, line))


@once
def gust_passes(file: JobFile, line: RigLine) -> Spread | None:
    """Sweeps that gusts add, None where no wind is stated.

    Raises `Missing` where wind is stated and not how long the load hangs in it.
    """
    if line.site.wind is None:
        return None
    if line.line.hours is None:
        raise Missing(f"lines.{line.id}.hours")
    hours = stated(file, ("lines", line.id, "hours"), "t", say("time on the line"))
    if line.site.wind.gusts_per_hour is None:
        each = default("work", "gusts per hour", "gusts")
    else:
        count = line.site.wind.gusts_per_hour
        keys = ("sites", line.site_id, "wind", "gusts_per_hour")
        each = given(
            Input(
                ".".join(keys), "gusts", say("gusts in an hour"), Range(count, count, count), "1/h",
                str(count), str(file.place(*keys)), "stated", say("job file"),
            )
        )  # fmt: skip
    return combine(lambda t, n: t / 3600 * n, hours, each)


def swings(file: JobFile, line: RigLine) -> Acting | None:
    """The load swings back under its pivot. None where nothing can swing, or it is not stated."""
    if not _swings(file, line):
        return None
    numbers = (mass_of(file, line.line.load), _below(file, line), reach_of(file, line))
    return Acting(combine(swing_tension, *numbers), -1.0, moving=False)


def _swings(file: JobFile, line: RigLine) -> bool:
    reach = line.site.reach_sideways
    return bool(line.person and reach is not None and reach.high > 0 and fits(file, line))


def fits(file: JobFile, line: RigLine) -> bool:
    """Whether reach and wind together stay within the rope below the pivot."""
    if line.site.reach_sideways is None:
        return True
    return reach_of(file, line).range.high < line.line.below.low


def air_figures(file: JobFile, line: RigLine) -> Iterator[Figure]:
    """Swing and wind as figures."""
    if _swings(file, line):
        yield from _swing_figures(file, line)
    force, offset = force_of(file, line), offset_of(file, line)
    if force is None or offset is None:
        return
    name, speed = f"line/{line.id}/wind", _speed(file, line)
    yield figure(
        f"{name}/force",
        say("Wind force at the wind at which work stops ({words})", words=_words(speed)),
        force,
        "N",
        "F",
        "½ ρ v² CdA",
        "½ · {r} · {v}² · CdA",
        say("OpenStax University Physics vol. 1 §6.4, drag"),
        v=speed,
        r=default("work", "air density", "ρ"),
    )
    yield figure(
        f"{name}/offset",
        say("How far the wind holds the load off the fall line"),
        offset,
        "m",
        "x",
        "d F / W",
        "{d} · {F} / {W}",
        say("balance of a hanging load in a steady push"),
        d=_below(file, line),
        F=force,
        W=weight_of(file, line.line.load),
    )


def _words(speed: Spread) -> str:
    number = int(beaufort(speed.range.high))
    return say("Beaufort {number}, {name}", number=number, name=say(BEAUFORT[number]))


def _swing_figures(file: JobFile, line: RigLine) -> Iterator[Figure]:
    name = f"line/{line.id}/swing"
    below, reach = _below(file, line), reach_of(file, line)
    drop = combine(swing_drop, below, reach)
    source = say("energy balance of a pendulum: OpenStax University Physics vol. 1 §8.3")
    yield figure(
        f"{name}/drop", say("Height lost in a swing to the fall line"), drop, "m",
        "h", "d (1 − cos α), sin α = x / d", "{d} (1 − cos α), sin α = {x} / {d}", source,
        d=below, x=reach,
    )  # fmt: skip
    yield figure(
        f"{name}/speed", say("Speed under the pivot after a swing"),
        combine(swing_speed, below, reach), "m/s",
        "v", "√(2 g h)", "√(2 · 9.80665 · {h})", source, h=drop,
    )  # fmt: skip
    mass = mass_of(file, line.line.load)
    yield figure(
        f"{name}/tension", say("Tension under the pivot after a swing"),
        combine(swing_tension, mass, below, reach), "N", "T", "m g (3 − 2 cos α)",
        "{m} · 9.80665 · (3 − 2 cos α)", source, m=mass,
    )  # fmt: skip


def air_findings(file: JobFile, line: RigLine) -> Iterator[Finding]:
    """What to know of wind and swing."""
    subject = f"line/{line.id}"
    if line.site.wind is None:
        yield Finding(
            f"{subject}/no_wind", subject,
            say("No wind is stated for {site}: {line} is computed in still "
                "air.", site=line.site_id, line=line.id),
            str(file.place("sites", line.site_id)),
        )  # fmt: skip
    if not fits(file, line):
        yield Finding(
            f"{subject}/no_swing", subject,
            say("Reach and wind at {site} go beyond the rope below the pivot of {line}; no swing "
                "is computed.", site=line.site_id, line=line.id),
            str(file.place("sites", line.site_id, "reach_sideways")),
        )  # fmt: skip
