"""Heat: what a descent puts into a device, and what running rope puts into an edge."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from riskdoc.assess.figures import figure
from riskdoc.assess.inputs import Missing, default, stated
from riskdoc.assess.judge import Pair, Question, judge, not_demonstrated
from riskdoc.assess.loads import mass_of
from riskdoc.assess.records import Check, Figure
from riskdoc.assess.rig import RUNNING, RigLine
from riskdoc.assess.spread import Array, Spread, combine, exact
from riskdoc.assess.tension import Tensions
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say
from riskdoc.mechanics.heat import descent_energy, edge_power, power, temperature_rise

WARMING = ("descend", "lower")
"""Cases in which a device turns height into heat."""


def warmed(file: JobFile, line: RigLine) -> tuple[str, ...]:
    """Devices of the line that take the heat of going down.

    A device that states a slip force is a back-up device: it moves along without a load.
    """
    if not any(case in WARMING for case in line.cases):
        return ()
    return tuple(name for name in line.line.devices if file.job.devices[name].slip is None)


def _energy(file: JobFile, line: RigLine) -> Spread:
    below = stated(file, ("lines", line.id, "below"), "h", say("height of the descent"))
    return combine(descent_energy, mass_of(file, line.line.load), below)


def _rise(file: JobFile, line: RigLine, device: str) -> Spread:
    mass = stated(file, ("devices", device, "mass"), "M", say("mass of {device}", device=device))
    material = file.job.devices[device].material
    if material is None:
        raise Missing(f"devices.{device}.material")
    capacity = default("work", f"heat capacity {material}", "c")
    share = default("work", "heat share", "share")
    return combine(temperature_rise, _energy(file, line), share, mass, capacity)


def _ambient(file: JobFile, line: RigLine) -> Spread:
    return stated(file, ("sites", line.site_id, "temperature"), "T air", say("air temperature"))


def heat_figures(file: JobFile, line: RigLine, found: Tensions) -> Iterator[Figure]:
    """Energy and power of the descent, rise of each device, and heat at each edge."""
    speed = default("work", "speed", "v")
    if warmed(file, line):
        energy = _energy(file, line)
        yield figure(
            f"line/{line.id}/heat/energy", say("Energy of one descent"), energy, "J", "E", "m g h",
            "m · 9.80665 · h", say("OpenStax University Physics vol. 2 §1.4"),
        )  # fmt: skip
        yield figure(
            f"line/{line.id}/heat/power", say("Power into the device"),
            combine(power, found.weight, speed),
            "W", "P", "W v", "{W} · {v}", say("OpenStax University Physics vol. 1 §7.4"),
            W=found.weight, v=speed,
        )  # fmt: skip
        for device in warmed(file, line):
            yield figure(
                f"line/{line.id}/heat/rise/{device}",
                say("Temperature rise of {device} as a bound", device=device),
                _rise(file, line, device), "K", "ΔT", "share · E / (M c)", "share · {E} / (M c)",
                say("OpenStax University Physics vol. 2 §1.4; all heat in the device"), E=energy,
            )  # fmt: skip
    for case in (case for case in line.cases if case in RUNNING):
        for edge in line.edges:
            sides = [found.free[case][f"edge:{edge.id}:{side}"] for side in ("above", "below")]
            heat = combine(_between, *sides, speed)
            yield figure(
                f"line/{line.id}/edge/{edge.id}/heat/{case}",
                say("Friction heat at {edge} ({case})", edge=edge.id, case=say(case)),
                heat, "W", "P", "(T high − T low) v", "|{a} − {b}| · {v}",
                say("work of friction; into rope and edge together"),
                a=sides[0], b=sides[1], v=speed,
            )  # fmt: skip


def _between(above: Array, below: Array, speed: Array) -> Array:
    """Heat at an edge, whichever side pulls more."""
    return np.asarray(edge_power(np.maximum(above, below), np.minimum(above, below), speed))


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
            remedy=say("A heavier device, a slower descent, or a fibre that stands more heat."),
            figures=(f"line/{line.id}/heat/rise/{device}",),
        )
        try:
            room = combine(lambda m, a: m - a, melts, _ambient(file, line))
            rise = _rise(file, line, device)
        except Missing as gap:
            yield not_demonstrated(question, (gap.key,), exact(1.0), melts)
            continue
        yield judge(question, [Pair("", rise, room)], exact(1.0), melts)
