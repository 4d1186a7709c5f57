"""Heat: what a descent puts into a device, and what running rope puts into an edge."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from riskdoc.analysis.figure import Figure
from riskdoc.analysis.figures import figure
from riskdoc.analysis.inputs import Missing, from_table, stated
from riskdoc.analysis.load_mass import mass_of
from riskdoc.analysis.resolve import RUNNING, RigLine
from riskdoc.analysis.tension import Tensions
from riskdoc.i18n.message import Text, message
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.heat import (
    EDGE_POWER,
    ENERGY,
    POWER,
    RISE,
    descent_energy,
    temperature_rise,
)
from riskdoc.mechanics.loads import weight
from riskdoc.quantities.intervals import Interval, combine, greatest

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
    title: Text
    mass: Interval
    height: Interval

    @property
    def energy(self) -> Interval:
        """What the device turns into heat."""
        return combine(descent_energy, self.mass, self.height)


def _ways_down(file: JobFile, line: RigLine, device: str | None = None) -> Iterator[_WayDown]:
    """At work as far down as the load hangs, in a rescue down the whole drop."""
    if _goes_down(line) and (device is None or device in line.line.devices):
        below = stated(file, ("lines", line.id, "below"), "h", message("height of the descent"))
        mass = mass_of(file, line.line.load)
        yield _WayDown("energy", message("Energy of one descent"), mass, below)
    rescued = device is None or device in line.rescue_devices
    if line.line.rescue is not None and _lowers(line) and rescued:
        drop = stated(file, ("sites", line.site_id, "drop"), "h", message("drop"))
        mass = mass_of(file, line.line.rescue.load)
        title = message("Energy of lowering the rescue load down the whole drop")
        yield _WayDown("energy_rescue", title, mass, drop)


def _energy(file: JobFile, line: RigLine, device: str) -> Interval:
    return greatest(*(way.energy for way in _ways_down(file, line, device)))


def warming(file: JobFile, line: RigLine, device: str) -> dict[str, Interval]:
    """Energy, the share that stays in the device, its mass and heat capacity."""
    mass = stated(
        file, ("devices", device, "mass"), "M", message("mass of {device}", device=device)
    )
    material = file.job.devices[device].material
    if material is None:
        raise Missing(f"devices.{device}.material")
    capacity = from_table("work", f"heat capacity {material}", "c")
    share = from_table("work", "heat share", "share")
    return {"E": _energy(file, line, device), "share": share, "M": mass, "c": capacity}


def heat_figures(file: JobFile, line: RigLine, found: Tensions) -> Iterator[Figure]:
    """Energy and power of the descent, rise of each device, and heat at each edge."""
    speed = from_table("work", "speed", "v")
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
        title = message("Power into the device")
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
                message("Temperature rise of {device}", device=device),
                RISE,
                warming(file, line, device),
            )
    for case in (case for case in line.cases if case in RUNNING):
        for edge in line.edges:
            above, below = (
                found.free[case][f"edge:{edge.id}:{side}"] for side in ("above", "below")
            )
            yield figure(
                f"line/{line.id}/edge/{edge.id}/heat/{case}",
                message("Friction heat at {edge} ({case})", edge=edge.id, case=message(case)),
                EDGE_POWER,
                {
                    "T_above": above,
                    "T_below": below,
                    "v": speed,
                },
            )


def rise_of(file: JobFile, line: RigLine, device: str) -> Interval:
    """The rise in temperature of a device in the worst way down."""
    return combine(temperature_rise, *warming(file, line, device).values())
