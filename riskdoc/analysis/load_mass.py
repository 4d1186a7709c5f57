"""What hangs on a line: its mass, its weight, and what each case puts on the line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from riskdoc.analysis.inputs import cached, from_table, stated
from riskdoc.i18n.message import message
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.equation import Equation
from riskdoc.mechanics.loads import weight
from riskdoc.quantities.intervals import Interval, combine


@cached
def weight_of(file: JobFile, load: str) -> Interval:
    """Weight of everything on the line, W = (m + kit) g."""
    return combine(weight, mass_of(file, load))


@cached
def mass_of(file: JobFile, load: str) -> Interval:
    """Mass of everything on the line."""
    axis = f"load {load}"  # every result rises with both or falls with both
    mass = stated(file, ("loads", load, "mass"), "m", message("mass of {load}", load=load)).on_axis(
        axis
    )
    kit = stated(
        file, ("loads", load, "kit"), "m kit", message("kit of {load}", load=load)
    ).on_axis(axis)
    return combine(lambda a, b: a + b, mass, kit)


def dynamic_of(case: str) -> Interval:
    """Dynamic factor of a case. All cases are brisk together: every result rises with all."""
    return from_table("dynamic", case, "φ", "factor").on_axis("dynamic")


@dataclass(frozen=True, slots=True)
class Acting:
    """What a case puts on a line: tension at its load end, and which way the rope slides.

    `sense` is +1 where the rope slides toward the anchor, -1 toward the load, 0 where it hangs.
    In `moving` cases checks count friction; in a fall, a swing or a jam they count none. `worst`
    is the tension at the load as checks take it, where that differs. `equation` gives `at_load`
    from `inputs`; what is no figure has none.
    """

    at_load: Interval
    sense: float
    moving: bool = True
    worst: Interval | None = None
    equation: Equation | None = None
    inputs: Mapping[str, Interval] = field(default_factory=dict)
