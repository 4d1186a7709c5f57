"""How stiff a rope is: under slow loading, and in a fall.

Slow loading has the static stretch alone to go by. A fall sees a stiffer rope: that of its drop
test where one is stated, else the stiffest that its standard lets pass. Each is a range from the
static modulus up. A force is judged with the stiff end expected, a stretch with the soft end, so
that a drop test left out never helps.
"""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.assess.figures import figure
from riskdoc.assess.inputs import Missing, default, once, stated
from riskdoc.assess.records import Figure, Input, Range
from riskdoc.assess.rig import RigLine
from riskdoc.assess.spread import Spread, combine, exact, given, greatest
from riskdoc.job.reading import JobFile
from riskdoc.language.say import say
from riskdoc.mechanics.stretch import modulus_from_peak, modulus_static
from riskdoc.tables.loader import find


@once
def modulus_slow(file: JobFile, rope: str) -> Spread:
    """Rope modulus for slow loading, from the static stretch.

    Raises `Missing` where the job states no stretch: a test peak says nothing of slow loading.
    """
    e = stated(file, ("ropes", rope, "stretch"), "e", say("static stretch of {rope}", rope=rope))
    return combine(modulus_static, e)


@once
def modulus_quick(file: JobFile, rope: str) -> Spread:
    """Rope modulus at the stiff end: by the drop test, else by the standard; never below static.

    Raises `Missing` where no stretch is stated, and where no peak is and no standard limits it.
    """
    tested = file.job.ropes[rope].peak is not None
    return greatest(
        modulus_slow(file, rope), _from_peak(file, rope) if tested else _from_standard(file, rope)
    )


@once
def modulus_of_force(file: JobFile, rope: str) -> Spread:
    """Rope modulus in a fall where it decides a force: the stiff end is expected."""
    return _between(file, rope, "modulus", 1.0)


@once
def modulus_of_stretch(file: JobFile, rope: str) -> Spread:
    """Rope modulus in a fall where it decides how far the load goes down: the soft end."""
    return _between(file, rope, "modulus_soft", 0.0)


def _between(file: JobFile, rope: str, name: str, expected: float) -> Spread:
    slow, quick = modulus_slow(file, rope), modulus_quick(file, rope)
    tested = file.job.ropes[rope].peak is not None
    way = given(
        Input(
            id=f"ropes.{rope}.{name}",
            symbol="κ",
            title=say("static modulus or the one of the drop test")
            if tested
            else say("static modulus or the one of the standard's greatest peak"),
            range=Range(0.0, expected, 1.0),
            unit="1",
            written=say("0 (static) to 1 (drop test)"),
            place=str(file.place("ropes", rope)),
            provenance="judgement",
            source=say("a fall is nearer the drop test; a stretch is judged with the softer rope"),
        )
    )
    # All ropes are stiff together: every result rises with all of them or falls with all.
    return combine(lambda k, a, b: a + k * (b - a), way.on_axis("modulus@fall"), slow, quick)


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


def _from_standard(file: JobFile, rope: str) -> Spread:
    """The stiffest rope that the standard's own drop test lets pass."""
    standard = file.job.ropes[rope].standard
    if find("standards", standard, "peak_mass") is None:
        raise Missing(f"ropes.{rope}.peak")
    shared = find("standards", standard, "peak_strands") is not None
    return combine(
        lambda force, mass, factor, strands: modulus_from_peak(force, mass, factor) / strands,
        default("standards", standard, "F₀", "peak"),
        default("standards", standard, "m₀", "peak_mass"),
        default("standards", standard, "f₀", "peak_factor"),
        default("standards", standard, "k₀", "peak_strands") if shared else exact(1.0),
    )


def modulus_figures(file: JobFile, line: RigLine) -> Iterator[Figure]:
    """The modulus of a line's rope as slow loading sees it. Raises `Missing` on the first step."""
    e = stated(file, ("ropes", line.line.rope, "stretch"), "e", say("static stretch"))
    yield figure(
        f"line/{line.id}/modulus",
        say("Modulus of the rope under slow loading"),
        modulus_slow(file, line.line.rope),
        "N",
        "K",
        "100 kg · g / e",
        "100 · 9.80665 / {e}",
        say("EN 1891: stretch between 50 kg and 150 kg; definition of modulus"),
        e=e,
    )


def fall_modulus_figure(file: JobFile, line: RigLine) -> Figure:
    """The modulus of a line's rope in a fall, as it decides the force."""
    return figure(
        f"line/{line.id}/fall/modulus",
        say("Modulus of the rope in the fall"),
        modulus_of_force(file, line.line.rope),
        "N",
        "K",
        "max(100 kg · g / e, F₀ (F₀ − 2 m₀ g) / (2 m₀ g f₀))",
        "max({slow}, {quick})",
        say(
            "EN 1891 stretch; energy balance of the drop test, or of the greatest peak of the "
            "standard, solved for K; the range goes down to the static modulus"
        ),
        slow=modulus_slow(file, line.line.rope),
        quick=modulus_quick(file, line.line.rope),
    )
