"""The fall a line must arrest: stiffness of the rope, effective length, peak force."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from riskdoc.assess.figures import figure
from riskdoc.assess.inputs import Missing, counted, once, stated
from riskdoc.assess.loads import mass_of
from riskdoc.assess.records import Figure, Input, Range
from riskdoc.assess.rig import RigEdge, RigLine
from riskdoc.assess.spread import Spread, combine, exact, given, least
from riskdoc.assess.tension import friction_on, friction_worst, turn_of
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say
from riskdoc.mechanics.fall import (
    capped_peak,
    effective_length,
    fall_factor,
    peak_force,
    peak_stretch,
    slip_distance,
)
from riskdoc.mechanics.friction import capstan_ratio
from riskdoc.mechanics.stretch import modulus_from_peak, modulus_static

ALONE = "{m} · 9.80665 + √(({m} · 9.80665)² + 2 · {m} · 9.80665 · {k} · {K} · {f})"
CAPPED = mark(
    "{m} · 9.80665 + √(({m} · 9.80665)² + 2 · {m} · 9.80665 · {k} · {K} · {f}) = {alone}, "
    "capped at {s}"
)
"""The peak force with numbers, by the rope alone and with a device that slips."""


@dataclass(frozen=True, slots=True)
class Arrest:
    """Peak force of a fall: as it ranges, and as checks take it; and the numbers behind it.

    `stretch` and `slip` are how far the load goes on down from where the line comes tight.
    `effective` is the length of rope that stretches, with friction ranging as it may.
    """

    peak: Spread | None = None
    peak_against: Spread | None = None
    stretch: Spread | None = None
    slip: Spread | None = None
    one_strand: Spread | None = None
    missing: tuple[str, ...] = ()
    static_only: bool = False
    numbers: FallNumbers | None = None
    effective: Spread | None = None


@once
def modulus_slow(file: JobFile, rope: str) -> Spread:
    """Rope modulus for slow loading: from static stretch, else from a test peak.

    Raises `Missing` where the job states neither.
    """
    if file.job.ropes[rope].stretch is not None:
        return _from_stretch(file, rope)
    if file.job.ropes[rope].peak is not None:
        return _from_peak(file, rope)
    raise Missing(f"ropes.{rope}.stretch")


@once
def modulus_fall(file: JobFile, rope: str) -> Spread:
    """Rope modulus in a fall: from a test peak, spanning to the static one where both are known.

    Static and dynamic modulus differ; where both are stated the range covers both and the one
    from the drop test is expected.
    """
    stretch, peak = file.job.ropes[rope].stretch, file.job.ropes[rope].peak
    if peak is None:
        return modulus_slow(file, rope)
    if stretch is None:
        return _from_peak(file, rope)
    kind = given(
        Input(
            id=f"ropes.{rope}.modulus",
            symbol="κ",
            title=say("static modulus or the one of the drop test"),
            range=Range(0.0, 1.0, 1.0),
            unit="1",
            written=say("0 (static) to 1 (drop test)"),
            place=str(file.place("ropes", rope, "peak")),
            provenance="judgement",
            source=say("a fall is nearer the drop test"),
        )
    )
    return combine(
        lambda k, slow, fast: slow + k * (fast - slow),
        kind,
        _from_stretch(file, rope),
        _from_peak(file, rope),
    )


def _from_stretch(file: JobFile, rope: str) -> Spread:
    e = stated(file, ("ropes", rope, "stretch"), "e", say("static stretch of {rope}", rope=rope))
    return combine(modulus_static, e)


def _from_peak(file: JobFile, rope: str) -> Spread:
    force = stated(
        file, ("ropes", rope, "peak", "force"), "F₀", say("test peak of {rope}", rope=rope)
    )
    mass = stated(
        file, ("ropes", rope, "peak", "mass"), "m₀", say("test mass of {rope}", rope=rope)
    )
    factor = stated(
        file, ("ropes", rope, "peak", "factor"), "f₀", say("test fall factor of {rope}", rope=rope)
    )
    return combine(modulus_from_peak, force, mass, factor)


def modulus_figures(file: JobFile, line: RigLine) -> Iterator[Figure]:
    """The modulus of a line's rope as slow loading sees it. Raises `Missing` on the first step."""
    number = modulus_slow(file, line.line.rope)
    if line.rope.stretch is not None:
        e = stated(file, ("ropes", line.line.rope, "stretch"), "e", say("static stretch"))
        yield figure(
            f"line/{line.id}/modulus",
            say("Modulus of the rope under slow loading"),
            number,
            "N",
            "K",
            "100 kg · g / e",
            "100 · 9.80665 / {e}",
            say("EN 1891: stretch between 50 kg and 150 kg; definition of modulus"),
            e=e,
        )
        return
    yield figure(
        f"line/{line.id}/modulus",
        say("Modulus of the rope under slow loading"),
        number,
        "N",
        "K",
        "F₀ (F₀ − 2 m₀ g) / (2 m₀ g f₀)",
        say("from the stated test peak"),
        say("energy balance of the fall, solved for K"),
    )


def _lengths(file: JobFile, line: RigLine) -> list[Spread]:
    """Rope lengths from the load upward."""
    below = stated(file, ("lines", line.id, "below"), "L", say("rope below the last edge"))
    afters = [
        stated(
            file,
            ("lines", line.id, "over", e.position, "after"),
            "a",
            say("rope before {id}", id=e.id),
        )
        for e in line.edges
    ]
    return [below, *reversed(afters)]


def _effective(file: JobFile, line: RigLine, mu: Callable[[RigEdge], Spread]) -> Spread:
    lengths = _lengths(file, line)
    ratios = [
        combine(capstan_ratio, mu(edge), turn_of(file, edge)) for edge in reversed(line.edges)
    ]
    count = len(lengths)
    return combine(lambda *each: effective_length(each[:count], each[count:]), *lengths, *ratios)


@once
def slip_force(file: JobFile, line: RigLine) -> Spread | None:
    """The least slip force stated for a device on the line; None where none is stated."""
    stated_slips = [
        stated(file, ("devices", name, "slip"), "F s", say("slip force of {name}", name=name))
        for name in line.line.devices
        if file.job.devices[name].slip is not None
    ]
    return least(*stated_slips) if stated_slips else None


def arrest(file: JobFile, line: RigLine) -> Arrest:
    """The fall of a line that can have to arrest one; empty where it cannot."""
    if not line.arrests:
        return Arrest()
    if line.line.fall is None:
        return Arrest(missing=(f"lines.{line.id}.fall",))
    try:
        stiffness = modulus_fall(file, line.line.rope)
    except Missing as gap:
        return Arrest(missing=(gap.key,))
    free = stated(file, ("lines", line.id, "fall", "free"), "h", say("free fall"))
    mass = mass_of(file, line.line.load)
    ranging = _effective(file, line, lambda e: friction_on(file, line, e, "fall"))
    loading = _effective(file, line, lambda e: friction_worst(file, line, e, "high"))
    numbers = FallNumbers(mass, free, stiffness, _strands(file, line), slip_force(file, line))
    peak = numbers.peak(ranging)[0]
    return Arrest(
        peak=peak,
        peak_against=numbers.peak(loading)[0],
        stretch=combine(peak_stretch, peak, ranging, stiffness, numbers.strands),
        slip=numbers.slipped(ranging),
        one_strand=replace(numbers, strands=exact(1.0)).peak(ranging)[0],
        static_only=line.rope.peak is None,
        numbers=numbers,
        effective=ranging,
    )


def _strands(file: JobFile, line: RigLine) -> Spread:
    return counted(file, ("lines", line.id, "strands"), line.line.strands, "k", say("strands"))


@dataclass(frozen=True, slots=True)
class FallNumbers:
    """The numbers of a fall, whatever the length of rope that stretches in it."""

    mass: Spread
    free: Spread
    stiffness: Spread
    strands: Spread
    slip: Spread | None

    def peak(self, effective: Spread) -> tuple[Spread, Spread]:
        """Peak force with the device slipping, and by the rope alone."""
        factor = combine(fall_factor, self.free, effective)
        alone = combine(peak_force, self.mass, self.stiffness, factor, self.strands)
        return (alone if self.slip is None else combine(capped_peak, alone, self.slip)), alone

    def slipped(self, effective: Spread) -> Spread | None:
        """How far the device slips."""
        if self.slip is None:
            return None
        numbers = (self.mass, self.free, self.slip, effective, self.stiffness, self.strands)
        return combine(slip_distance, *numbers)


def fall_figures(line: RigLine, found: Arrest) -> Iterator[Figure]:
    """Modulus, effective length, factor, peak and slip of a fall; none where it is not known."""
    fall, effective = found.numbers, found.effective
    if fall is None or effective is None:
        return
    name = f"line/{line.id}/fall"
    factor = combine(fall_factor, fall.free, effective)
    peak, alone = fall.peak(effective)
    yield from (
        figure(
            f"{name}/modulus",
            say("Modulus of the rope in the fall"),
            fall.stiffness,
            "N",
            "K",
            say("that of the drop test, else 100 kg · g / e; spanning both where both are stated"),
            say("from the stated stretch and test peak"),
            say("EN 1891 stretch; energy balance of the drop test solved for K"),
        ),
        figure(
            f"{name}/effective_length",
            say("Rope that stretches in the fall"),
            effective,
            "m",
            "L",
            "L₁ + L₂/r₁ + L₃/(r₁ r₂) + …",
            say("lengths from the load upward, r = e^(μ θ) at each edge"),
            say("capstan equation applied to the stretch beyond each edge"),
        ),
        figure(
            f"{name}/factor",
            say("Fall factor"),
            factor,
            "1",
            "f",
            "h / L",
            "{h} / {L}",
            say("definition"),
            h=fall.free,
            L=effective,
        ),
        figure(
            f"{name}/peak",
            say("Peak force of the fall at the load"),
            peak,
            "N",
            "F",
            say("m g + √((m g)² + 2 m g k K f), at most the slip force of a device"),
            say(CAPPED) if fall.slip else ALONE,
            say(
                "energy balance, gravity during the stretch included: OpenStax University Physics "
                "vol. 1 §15.2"
            ),
            m=fall.mass,
            k=fall.strands,
            K=fall.stiffness,
            f=factor,
            alone=alone,
            s=fall.slip or 0.0,
        ),
    )
    slipped = fall.slipped(effective)
    if slipped is not None and fall.slip is not None:
        yield figure(
            f"{name}/slip",
            say("Slip of the device in the fall"),
            slipped,
            "m",
            "s",
            "(m g (h + x) − F s x / 2) / (F s − m g), x = F s L / (k K)",
            say("with F s = {s}, h = {h}, L = {L}"),
            say("energy balance with the device slipping at a constant force"),
            s=fall.slip,
            h=fall.free,
            L=effective,
        )
