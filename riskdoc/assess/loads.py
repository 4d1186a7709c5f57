"""What hangs on a line: its mass, its weight, and what each case puts on the line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from riskdoc.assess.inputs import default, once, stated
from riskdoc.assess.spread import Spread, combine
from riskdoc.job.reading import JobFile
from riskdoc.language.say import say
from riskdoc.mechanics.equation import Equation
from riskdoc.mechanics.loads import weight


@once
def weight_of(file: JobFile, load: str) -> Spread:
    """Weight of everything on the line, W = (m + kit) g."""
    return combine(weight, mass_of(file, load))


@once
def mass_of(file: JobFile, load: str) -> Spread:
    """Mass of everything on the line."""
    axis = f"load {load}"  # every result rises with both or falls with both
    mass = stated(file, ("loads", load, "mass"), "m", say("mass of {load}", load=load)).on_axis(
        axis
    )
    kit = stated(file, ("loads", load, "kit"), "m kit", say("kit of {load}", load=load)).on_axis(
        axis
    )
    return combine(lambda a, b: a + b, mass, kit)


def dynamic_of(case: str) -> Spread:
    """Dynamic factor of a case. All cases are brisk together: every result rises with all."""
    return default("dynamic", case, "φ", "factor").on_axis("dynamic")


@dataclass(frozen=True, slots=True)
class Acting:
    """What a case puts on a line: tension at its load end, and which way the rope slides.

    `sense` is +1 where the rope slides toward the anchor, -1 toward the load, 0 where it hangs.
    In `moving` cases checks count friction; in a fall, a swing or a jam they count none. `worst`
    is the tension at the load as checks take it, where that differs. `equation` gives `at_load`
    from `inputs`; what is no figure has none.
    """

    at_load: Spread
    sense: float
    moving: bool = True
    worst: Spread | None = None
    equation: Equation | None = None
    inputs: Mapping[str, Spread] = field(default_factory=dict)
