"""Heat: what a descent puts into a device, and what running rope puts into an edge."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from riskdoc.assess.figures import figure
from riskdoc.assess.inputs import Missing, default, stated
from riskdoc.assess.judge import Pair, Question, judge, not_demonstrated
from riskdoc.assess.loads import mass_of
from riskdoc.assess.records import Check, Figure
from riskdoc.assess.rig import RUNNING, RigLine
from riskdoc.assess.spread import Spread, combine, exact, greatest
from riskdoc.assess.tension import Tensions
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say
from riskdoc.mechanics.heat import (
    EDGE_POWER,
    ENERGY,
    POWER,
    RISE,
    descent_energy,
    temperature_rise,
)
from riskdoc.mechanics.loads import weight

WARMING = ("descend", "lower")
"""Cases in which a device turns height into heat."""


def _goes_down(line: RigLine) -> bool:
    """Whether the load goes down at work."""
    return any(case in WARMING for case in line.cases)


def _lowers(line: RigLine) -> bool:
    """Whether the rescue load is lowered on the line."""
    return line.line.rescue is not None and line.line.rescue.how == "lower"


def _warms(line: RigLine, device: str) -> bool:
    """Whether a device takes the heat of going down, at work or in a rescue."""
    work = _goes_down(line) and device in line.line.devices
    return work or (_lowers(line) and device in line.rescue_devices)


def warmed(file: JobFile, line: RigLine) -> tuple[str, ...]:
    """Devices of the line that take the heat of going down, at work or in a rescue.

    A device that is stated to travel along with the user moves without a load.
    """
    return tuple(
        name
        for name in line.all_devices
        if _warms(line, name) and "travels" not in (file.job.devices[name].acts or ())
    )


@dataclass(frozen=True, slots=True)
class _WayDown:
    """A way down that a device takes the heat of; `key` is that of its figure."""

    key: str
    title: str
    mass: Spread
    height: Spread

    @property
    def energy(self) -> Spread:
        """What the device turns into heat."""
        return combine(descent_energy, self.mass, self.height)


def _ways_down(file: JobFile, line: RigLine, device: str | None = None) -> Iterator[_WayDown]:
    """At work as far down as the load hangs, in a rescue down the whole drop."""
    if _goes_down(line) and (device is None or device in line.line.devices):
        below = stated(file, ("lines", line.id, "below"), "h", say("height of the descent"))
        mass = mass_of(file, line.line.load)
        yield _WayDown("energy", say("Energy of one descent"), mass, below)
    rescued = device is None or device in line.rescue_devices
    if line.line.rescue is not None and _lowers(line) and rescued:
        drop = stated(file, ("sites", line.site_id, "drop"), "h", say("drop"))
        mass = mass_of(file, line.line.rescue.load)
        title = say("Energy of lowering the rescue load down the whole drop")
        yield _WayDown("energy_rescue", title, mass, drop)


def _energy(file: JobFile, line: RigLine, device: str) -> Spread:
    return greatest(*(way.energy for way in _ways_down(file, line, device)))


def _rise(file: JobFile, line: RigLine, device: str) -> Spread:
    return combine(temperature_rise, *_warming(file, line, device).values())


def _warming(file: JobFile, line: RigLine, device: str) -> dict[str, Spread]:
    """Energy, the share that stays in the device, its mass and heat capacity."""
    mass = stated(file, ("devices", device, "mass"), "M", say("mass of {device}", device=device))
    material = file.job.devices[device].material
    if material is None:
        raise Missing(f"devices.{device}.material")
    capacity = default("work", f"heat capacity {material}", "c")
    share = default("work", "heat share", "share")
    return {"E": _energy(file, line, device), "share": share, "M": mass, "c": capacity}


def _ambient(file: JobFile, line: RigLine) -> Spread:
    return stated(file, ("sites", line.site_id, "temperature"), "T air", say("air temperature"))


def heat_figures(file: JobFile, line: RigLine, found: Tensions) -> Iterator[Figure]:
    """Energy and power of the descent, rise of each device, and heat at each edge."""
    speed = default("work", "speed", "v")
    if warmed(file, line):
        for way in _ways_down(file, line):
            id = f"line/{line.id}/heat/{way.key}"
            yield figure(
                id,
                way.title,
                ENERGY,
                {
                    "m": way.mass,
                    "h": way.height,
                },
                way.energy,
            )
        hanging = greatest(*(combine(weight, way.mass) for way in _ways_down(file, line)))
        title = say("Power into the device")
        yield figure(
            f"line/{line.id}/heat/power",
            title,
            POWER,
            {
                "W": hanging,
                "v": speed,
            },
        )
        for device in warmed(file, line):
            yield figure(
                f"line/{line.id}/heat/rise/{device}",
                say("Temperature rise of {device}", device=device),
                RISE,
                _warming(file, line, device),
            )
    for case in (case for case in line.cases if case in RUNNING):
        for edge in line.edges:
            above, below = (
                found.free[case][f"edge:{edge.id}:{side}"] for side in ("above", "below")
            )
            yield figure(
                f"line/{line.id}/edge/{edge.id}/heat/{case}",
                say("Friction heat at {edge} ({case})", edge=edge.id, case=say(case)),
                EDGE_POWER,
                {
                    "T_above": above,
                    "T_below": below,
                    "v": speed,
                },
            )


def heat_checks(file: JobFile, line: RigLine) -> Iterator[Check]:
    """Rise of each device against what the sheath stands above the air's temperature."""
    for device in warmed(file, line):
        melts = default("fibres", line.rope.sheath, "T melt", "melts")
        question = Question(
            id=f"line/{line.id}/heat/{device}",
            subject=f"line/{line.id}",
            title=say("Heat of {device} against the sheath", device=device),
            demanded=mark("a rise of at most {amount}"),
            held=mark("Room up to the sheath's melting of {amount}"),
            unit="K",
            remedy=say("A heavier device, a shorter way down, or a fibre that stands more heat."),
            figures=(f"line/{line.id}/heat/rise/{device}",),
        )
        try:
            room = combine(lambda m, a: m - a, melts, _ambient(file, line))
            rise = _rise(file, line, device)
        except Missing as gap:
            yield not_demonstrated(question, (gap.key,), exact(1.0), melts)
            continue
        yield judge(question, [Pair("", rise, room)], exact(1.0), melts)
