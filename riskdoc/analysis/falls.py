"""The fall a line must arrest: effective length, peak force, stretch and slip."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from riskdoc.analysis.course import lengths
from riskdoc.analysis.figure import Figure
from riskdoc.analysis.figures import figure
from riskdoc.analysis.inputs import Missing, cached, counted, stated
from riskdoc.analysis.load_mass import Acting, mass_of
from riskdoc.analysis.resolve import Bend, RigLine
from riskdoc.analysis.stiffness import fall_modulus_figure, modulus_of_force, modulus_of_stretch
from riskdoc.analysis.strengths import share_of
from riskdoc.analysis.tension import friction_on, friction_worst, turn_at
from riskdoc.i18n.message import Text, message
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.by_count import stretching_length
from riskdoc.mechanics.equation import Equation
from riskdoc.mechanics.fall import (
    FALL_FACTOR,
    PEAK_FORCE,
    PEAK_KNOWN,
    PEAK_WITH_SLIP,
    SLIP,
    capped_peak,
    effective_length,
    fall_factor,
    peak_force,
    peak_stretch,
    slip_distance,
)
from riskdoc.mechanics.friction import capstan_ratio
from riskdoc.quantities.intervals import Interval, combine, exact, greatest, least


@dataclass(frozen=True, slots=True)
class Arrest:
    """Peak force of a fall: as it ranges, and as checks take it; and the numbers behind it.

    `stretch` and `slip` are how far the load goes on down from where the line comes tight; they
    expect the soft end of the rope's modulus, the peak the stiff end (`soft` and `numbers`).
    `effective` is the length of rope that stretches, with friction ranging as it may. `missing` is
    what the fall lacks; `slip_missing` what lacks to tell how far a device slips, without which
    the peak is an upper bound.
    """

    peak: Interval | None = None
    peak_against: Interval | None = None
    stretch: Interval | None = None
    slip: Interval | None = None
    one_strand: Interval | None = None
    missing: tuple[Text, ...] = ()
    slip_missing: tuple[str, ...] = ()
    untested: bool = False
    numbers: FallNumbers | None = None
    soft: FallNumbers | None = None
    effective: Interval | None = None


def _effective(
    file: JobFile, line: RigLine, mu: Callable[[Bend], Interval], below: Interval | None = None
) -> Interval:
    """The rope that stretches, with the rope below the last edge as stated, or as given."""
    parts = lengths(file, line, below)
    ratios = [combine(capstan_ratio, mu(bend), turn_at(file, bend)) for bend in line.bends[::-1]]
    count = len(parts)
    return combine(lambda *each: effective_length(each[:count], each[count:]), *parts, *ratios)


def effective_ranging(file: JobFile, line: RigLine, below: Interval | None = None) -> Interval:
    """The length of rope that stretches in a fall, friction ranging as it may."""
    return _effective(file, line, lambda b: friction_on(file, line, b, "fall"), below)


@cached
def slip_of(file: JobFile, line: RigLine, device: str) -> Interval | None:
    """The force at the load at which a device slips; None where it states none.

    Where one stands on each strand they slip when the most loaded one does.
    """
    if file.job.devices[device].slip is None:
        return None
    keys = ("devices", device, "slip")
    force = stated(file, keys, "F s", message("slip force of {name}", name=device))
    if not file.job.devices[device].each_strand:
        return force
    return combine(lambda f, share: f / share, force, share_of(file, line))


@cached
def slip_force(file: JobFile, line: RigLine) -> Interval | None:
    """The least slip force of the devices on the line; None where none is stated."""
    return _least_slip(file, line, line.line.devices)


def _least_slip(file: JobFile, line: RigLine, devices: Sequence[str]) -> Interval | None:
    slips = [force for name in devices if (force := slip_of(file, line, name)) is not None]
    return least(*slips) if slips else None


def slip_gaps(file: JobFile, line: RigLine) -> tuple[str, ...]:
    """What lacks to tell whether and at what force the devices on the line slip."""
    if not line.line.devices and line.line.why_not("devices") is None:
        return (f"lines.{line.id}.devices",)
    parts = {name: file.job.devices[name] for name in line.line.devices}
    return tuple(
        f"devices.{name}.slip"
        for name, part in parts.items()
        if part.slip is None and part.why_not("slip") is None
    )


def arrest(file: JobFile, line: RigLine) -> Arrest:
    """The fall of a line that can have to arrest one; empty where the job says it has none.

    A working line of which the job says neither lacks its fall like a safety line.
    """
    if line.no_fall is not None:
        return Arrest()
    if line.line.fall is None:
        return Arrest(missing=(f"lines.{line.id}.fall",), slip_missing=slip_gaps(file, line))
    try:
        stiff = modulus_of_force(file, line.line.rope)
    except Missing as gap:
        return Arrest(missing=(gap.key,), slip_missing=slip_gaps(file, line))
    free = stated(file, ("lines", line.id, "fall", "free"), "h", message("free fall"))
    mass = mass_of(file, line.line.load)
    ranging = effective_ranging(file, line)
    loading = _effective(file, line, lambda b: friction_worst(file, line, b, "high"))
    numbers = FallNumbers(mass, free, stiff, _strands(file, line), slip_force(file, line))
    soft = replace(numbers, stiffness=modulus_of_stretch(file, line.line.rope))
    return Arrest(
        peak=numbers.peak(ranging)[0],
        peak_against=numbers.peak(loading)[0],
        stretch=soft.stretched(ranging),
        slip=soft.slipped(ranging),
        one_strand=replace(numbers, strands=exact(1.0)).peak(ranging)[0],
        slip_missing=slip_gaps(file, line),
        untested=line.rope.peak is None,
        numbers=numbers,
        soft=soft,
        effective=ranging,
    )


def drop_peak(file: JobFile, line: RigLine, free: Interval) -> Interval:
    """Peak force, as checks take it, when the load falls freely and comes into the line again.

    The load is that of the line or of its rescue, the worse. Raises `Missing` where the job says
    nothing of how stiff the rope is.
    """
    return greatest(*(fall.peak(rope)[0] for fall, rope in _drops(file, line, free)))


def drop_worked(
    file: JobFile, line: RigLine, free: Interval
) -> tuple[Equation, dict[str, Interval]]:
    """The equation of that force with its inputs, of the load that gives more."""
    worse = max(_drops(file, line, free), key=lambda drop: drop[0].peak(drop[1])[0].expected)
    return worse[0].worked(worse[1])


def drop_on_body(file: JobFile, line: RigLine, free: Interval) -> Interval:
    """The same with the load of the line alone, as the arrest force on a body is judged."""
    fall, rope = next(_drops(file, line, free))
    return fall.peak(rope)[0]


def _drops(file: JobFile, line: RigLine, free: Interval) -> Iterator[tuple[FallNumbers, Interval]]:
    """A free fall of the load of the line, and of its rescue, with the rope that stretches."""
    stiffness, strands = modulus_of_force(file, line.line.rope), _strands(file, line)
    loading = _effective(file, line, lambda b: friction_worst(file, line, b, "high"))
    hung = [(line.line.load, line.line.devices)]
    if line.line.rescue is not None:
        hung.append((line.line.rescue.load, line.rescue_devices))
    for load, devices in hung:
        slip = _least_slip(file, line, devices)
        yield FallNumbers(mass_of(file, load), free, stiffness, strands, slip), loading


def _strands(file: JobFile, line: RigLine) -> Interval:
    return counted(file, ("lines", line.id, "strands"), line.line.strands, "k", message("strands"))


@dataclass(frozen=True, slots=True)
class FallNumbers:
    """The numbers of a fall, whatever the length of rope that stretches in it."""

    mass: Interval
    free: Interval
    stiffness: Interval
    strands: Interval
    slip: Interval | None

    def peak(self, effective: Interval) -> tuple[Interval, Interval]:
        """Peak force with the device slipping, and by the rope alone."""
        factor = combine(fall_factor, self.free, effective)
        alone = combine(peak_force, self.mass, self.stiffness, factor, self.strands)
        return (alone if self.slip is None else combine(capped_peak, alone, self.slip)), alone

    def worked(self, effective: Interval) -> tuple[Equation, dict[str, Interval]]:
        """The equation of the peak force with its inputs."""
        factor = combine(fall_factor, self.free, effective)
        inputs = {"m": self.mass, "K": self.stiffness, "f": factor, "k": self.strands}
        if self.slip is None:
            return PEAK_FORCE, inputs
        return PEAK_WITH_SLIP, inputs | {"F_s": self.slip}

    def stretched(self, effective: Interval) -> Interval:
        """How far the rope stretches at the peak."""
        return combine(
            peak_stretch, self.peak(effective)[0], effective, self.stiffness, self.strands
        )

    def slipped(self, effective: Interval) -> Interval | None:
        """How far the device slips."""
        if self.slip is None:
            return None
        numbers = (self.mass, self.free, self.slip, effective, self.stiffness, self.strands)
        return combine(slip_distance, *numbers)


def falling(peak: Interval, against: Interval | None) -> Acting:
    """What a fall puts on its line."""
    inputs = {"F": peak}
    return Acting(peak, -1.0, moving=False, worst=against, equation=PEAK_KNOWN, inputs=inputs)


def fall_figures(file: JobFile, line: RigLine, found: Arrest) -> Iterator[Figure]:
    """Modulus, effective length, factor, peak and slip of a fall; none where it is not known."""
    fall, effective = found.numbers, found.effective
    if fall is None or effective is None:
        return
    name = f"line/{line.id}/fall"
    yield fall_modulus_figure(file, line)
    yield figure(
        f"{name}/effective_length",
        message("Rope that stretches in the fall"),
        stretching_length(len(line.bends)),
        _stretching(file, line),
        effective,
    )
    title = message("Fall factor")
    yield figure(
        f"{name}/factor",
        title,
        FALL_FACTOR,
        {
            "h": fall.free,
            "L": effective,
        },
    )
    equation, inputs = fall.worked(effective)
    title = message("Peak force of the fall at the load")
    yield figure(f"{name}/peak", title, equation, inputs, fall.peak(effective)[0])
    soft = found.soft
    if found.slip is not None and soft is not None and soft.slip is not None:
        yield figure(
            f"{name}/slip",
            message("Slip of the device in the fall"),
            SLIP,
            {
                "m": soft.mass,
                "h": soft.free,
                "F_s": soft.slip,
                "L": effective,
                "K": soft.stiffness,
                "k": soft.strands,
            },
            found.slip,
        )


def _stretching(file: JobFile, line: RigLine) -> dict[str, Interval]:
    """Parts of the rope and what turns it between them, from the load upward."""
    found = {f"L{n}": each for n, each in enumerate(lengths(file, line), start=1)}
    for n, bend in enumerate(line.bends[::-1], start=1):
        found[f"μ{n}"] = friction_on(file, line, bend, "fall")
        found[f"θ{n}"] = turn_at(file, bend)
    return found
