"""How stiff a rope is: under slow loading, and in a fall.

Slow loading has the static stretch alone to go by. A fall sees a stiffer rope: that of its drop
test where one is stated, else the stiffest that its standard lets pass. Each is a range from the
static modulus up. A force is judged with the stiff end expected, a stretch with the soft end, so
that a drop test left out never helps.
"""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.analysis.figure import Figure
from riskdoc.analysis.figures import figure
from riskdoc.analysis.inputs import Missing, cached, from_table, stated
from riskdoc.analysis.resolve import RigLine
from riskdoc.i18n.message import message
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.stretch import (
    MODULUS_IN_FALL,
    MODULUS_SLOW,
    modulus_from_peak,
    modulus_static,
)
from riskdoc.quantities.intervals import Interval, combine, exact, given, greatest
from riskdoc.quantities.ranges import Input, Range
from riskdoc.tables.loader import find


@cached
def modulus_slow(file: JobFile, rope: str) -> Interval:
    """Rope modulus for slow loading, from the static stretch.

    Raises `Missing` where the job states no stretch: a test peak says nothing of slow loading.
    """
    e = stated(
        file, ("ropes", rope, "stretch"), "e", message("static stretch of {rope}", rope=rope)
    )
    return combine(modulus_static, e)


@cached
def modulus_quick(file: JobFile, rope: str) -> Interval:
    """Rope modulus at the stiff end: by the drop test, else by the standard; never below static.

    Raises `Missing` where no stretch is stated, and where no peak is and no standard limits it.
    """
    tested = file.job.ropes[rope].peak is not None
    return greatest(
        modulus_slow(file, rope), _from_peak(file, rope) if tested else _from_standard(file, rope)
    )


@cached
def modulus_of_force(file: JobFile, rope: str) -> Interval:
    """Rope modulus in a fall where it decides a force: the stiff end is expected."""
    return _between(file, rope, "modulus", 1.0)


@cached
def modulus_of_stretch(file: JobFile, rope: str) -> Interval:
    """Rope modulus in a fall where it decides how far the load goes down: the soft end."""
    return _between(file, rope, "modulus_soft", 0.0)


def _between(file: JobFile, rope: str, name: str, expected: float) -> Interval:
    slow, quick = modulus_slow(file, rope), modulus_quick(file, rope)
    # All ropes are stiff together: every result rises with all of them or falls with all.
    way = _way(file, rope, name, expected).on_axis("modulus@fall")
    return combine(lambda k, a, b: a + k * (b - a), way, slow, quick)


def _way(file: JobFile, rope: str, name: str, expected: float) -> Interval:
    """Where a rope stands between its static modulus, 0, and the one of a drop test, 1."""
    tested = file.job.ropes[rope].peak is not None
    return given(
        Input(
            id=f"ropes.{rope}.{name}",
            symbol="κ",
            title=message("static modulus or the one of the drop test")
            if tested
            else message("static modulus or the one of the standard's greatest peak"),
            range=Range(0.0, expected, 1.0),
            unit="1",
            written=message("0 (static) to 1 (drop test)"),
            place=str(file.place("ropes", rope)),
            provenance="judgement",
            source=message(
                "a fall is nearer the drop test; a stretch is judged with the softer rope"
            ),
        )
    )


def _from_peak(file: JobFile, rope: str) -> Interval:
    return combine(modulus_from_peak, *_test(file, rope)[:3])


def _test(file: JobFile, rope: str) -> tuple[Interval, Interval, Interval, Interval]:
    """Force, mass, fall factor and strands of the rope's drop test, else of its standard's."""
    if file.job.ropes[rope].peak is None:
        return _standard_test(file, rope)
    words = {
        "force": ("F₀", message("test peak of {rope}", rope=rope)),
        "mass": ("m₀", message("test mass of {rope}", rope=rope)),
        "factor": ("f₀", message("test fall factor of {rope}", rope=rope)),
    }
    force, mass, factor = (
        stated(file, ("ropes", rope, "peak", key), *said) for key, said in words.items()
    )
    return force, mass, factor, exact(1.0)


def _from_standard(file: JobFile, rope: str) -> Interval:
    """The stiffest rope that the standard's own drop test lets pass."""
    return combine(
        lambda force, mass, factor, strands: modulus_from_peak(force, mass, factor) / strands,
        *_standard_test(file, rope),
    )


def _standard_test(file: JobFile, rope: str) -> tuple[Interval, Interval, Interval, Interval]:
    standard = file.job.ropes[rope].standard
    if find("standards", standard, "peak_mass") is None:
        raise Missing(f"ropes.{rope}.peak")
    shared = find("standards", standard, "peak_strands") is not None
    return (
        from_table("standards", standard, "F₀", "peak"),
        from_table("standards", standard, "m₀", "peak_mass"),
        from_table("standards", standard, "f₀", "peak_factor"),
        from_table("standards", standard, "k₀", "peak_strands") if shared else exact(1.0),
    )


def modulus_figures(file: JobFile, line: RigLine) -> Iterator[Figure]:
    """The modulus of a line's rope as slow loading sees it. Raises `Missing` on the first step."""
    e = stated(file, ("ropes", line.line.rope, "stretch"), "e", message("static stretch"))
    title = message("Modulus of the rope under slow loading")
    yield figure(
        f"line/{line.id}/modulus", title, MODULUS_SLOW, {"e": e}, modulus_slow(file, line.line.rope)
    )


def fall_modulus_figure(file: JobFile, line: RigLine) -> Figure:
    """The modulus of a line's rope in a fall, as it decides the force."""
    rope = line.line.rope
    force, mass, factor, strands = _test(file, rope)
    return figure(
        f"line/{line.id}/fall/modulus",
        message("Modulus of the rope in the fall"),
        MODULUS_IN_FALL,
        {
            "K_slow": modulus_slow(file, rope),
            "κ": _way(file, rope, "modulus", 1.0),
            "F0": force,
            "m0": mass,
            "f0": factor,
            "k0": strands,
        },
        modulus_of_force(file, rope),
    )
