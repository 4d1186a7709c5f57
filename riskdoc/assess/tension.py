"""The tension profile of a line: the tension at every station, for every case.

Two profiles are kept. `free` lets friction range over everything it may be. `against` takes
friction as a check must: where it relieves, at the low end of its range; where it loads, at the
high end; in an arrest, no relief at all. Friction never helps.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from riskdoc.assess.inputs import default, stated
from riskdoc.assess.records import Input, Range
from riskdoc.assess.rig import RigEdge, RigLine
from riskdoc.assess.spread import Spread, combine, exact, given, product
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.friction import equivalent_friction, signed_ratio
from riskdoc.mechanics.loads import weight

SENSE = {"raise": 1.0, "lower": -1.0, "descend": -1.0, "ascend": -1.0, "fall": -1.0}
"""Which side of an edge friction puts the larger tension on, seen from the load."""

Profile = Mapping[str, Spread]


@dataclass(frozen=True, slots=True)
class Tensions:
    """Tension by case and station. Stations run from the load to the anchor."""

    weight: Spread
    stations: tuple[str, ...]
    free: Mapping[str, Profile]
    against: Mapping[str, Profile]


def stations(line: RigLine) -> tuple[str, ...]:
    """Station ids from the load to the anchor."""
    found = ["load"]
    for edge in reversed(line.edges):
        found += [f"edge:{edge.id}:below", f"edge:{edge.id}:above"]
    return (*found, "anchor")


def weight_of(file: JobFile, load: str) -> Spread:
    """Weight of everything on the line, W = (m + kit) g."""
    mass = stated(file, ("loads", load, "mass"), "m", f"mass of {load}")
    kit = stated(file, ("loads", load, "kit"), "m kit", f"kit of {load}")
    return combine(lambda a, b: weight(a + b), mass, kit)


def mass_of(file: JobFile, load: str) -> Spread:
    """Mass of everything on the line."""
    mass = stated(file, ("loads", load, "mass"), "m", f"mass of {load}")
    kit = stated(file, ("loads", load, "kit"), "m kit", f"kit of {load}")
    return combine(lambda a, b: a + b, mass, kit)


def turn_of(file: JobFile, edge: RigEdge) -> Spread:
    """The angle through which an edge turns the rope."""
    return stated(file, ("edges", edge.id, "turn"), "θ", f"turn at {edge.id}")


def friction_of(file: JobFile, edge: RigEdge) -> Spread:
    """Friction of the rope on what it really touches at an edge: measured, else the table's."""
    protector = edge.protector
    if protector is not None and edge.stays and protector.friction is not None:
        keys = ("protection", str(edge.protector_id), "friction")
        return stated(file, keys, "μ", f"friction on {edge.protector_id}")
    if edge.roller:
        ratio = default("protections", "roller set", "r", "ratio")
        return combine(lambda r: equivalent_friction(r, math.pi / 2), ratio)
    if edge.replaced and protector is not None:
        return default("surfaces", str(protector.surface), "μ", "friction")
    if edge.edge.friction is not None:
        return stated(file, ("edges", edge.id, "friction"), "μ", f"friction on {edge.id}")
    return default("surfaces", edge.edge.surface, "μ", "friction")


def hold_sense(edge: RigEdge) -> Spread:
    """Which way friction acts while a load hangs still: anything between the two ways.

    All edges of a line go one way together, which is where the extremes are.
    """
    return given(
        Input(
            id=f"hold.{edge.id}.sense",
            symbol="σ",
            title=f"which way friction acts at {edge.id} while hanging still",
            range=Range(-1.0, 0.0, 1.0),
            unit="1",
            written="-1 / 0 / 1",
            place="statics",
            provenance="published",
            source="Baker & Haynes, Engineering Statics, ch. 9: impending slip either way",
        )
    )


def ratio_free(file: JobFile, edge: RigEdge, case: str) -> Spread:
    """Tension above an edge over tension below it, friction ranging as it may."""
    mu = friction_of(file, edge).on_axis(f"friction@{case}")
    sense = hold_sense(edge).on_axis("sense@hold") if case == "hold" else exact(SENSE[case])
    return combine(signed_ratio, mu, turn_of(file, edge), sense)


def ratio_against(file: JobFile, edge: RigEdge, case: str) -> Spread:
    """The same ratio as a check takes it.

    Hanging still counts no friction: a load left hanging at the tension that raised it is
    judged as `raise`.
    """
    mu, sense = friction_of(file, edge), 0.0
    if case == "raise":
        mu, sense = mu.pinned("high"), 1.0
    elif case in ("lower", "descend", "ascend"):
        mu, sense = mu.pinned("low"), -1.0
    return combine(signed_ratio, mu, turn_of(file, edge), exact(sense))


def _along(line: RigLine, at_load: Spread, ratios: Mapping[str, Spread]) -> dict[str, Spread]:
    tension, found = at_load, {"load": at_load}
    for edge in reversed(line.edges):
        found[f"edge:{edge.id}:below"] = tension
        tension = product(tension, ratios[edge.id])
        found[f"edge:{edge.id}:above"] = tension
    return {**found, "anchor": tension}


def profile(
    file: JobFile, line: RigLine, case: str, at_load: Spread, *, against: bool
) -> dict[str, Spread]:
    """Tension at every station of a line in one case."""
    ratios = {
        edge.id: (ratio_against(file, edge, case) if against else ratio_free(file, edge, case))
        for edge in line.edges
    }
    return _along(line, at_load, ratios)


def tensions(
    file: JobFile, line: RigLine, peak: Spread | None, peak_against: Spread | None
) -> Tensions:
    """Tension profiles of a line in every case; a fall where its peak force is known."""
    hanging = weight_of(file, line.line.load)
    at_load = {
        case: product(hanging, default("dynamic", case, "φ", "factor")) for case in line.cases
    }
    free = {case: profile(file, line, case, t, against=False) for case, t in at_load.items()}
    against = {case: profile(file, line, case, t, against=True) for case, t in at_load.items()}
    if peak is not None and peak_against is not None:
        free["fall"] = profile(file, line, "fall", peak, against=False)
        against["fall"] = profile(file, line, "fall", peak_against, against=True)
    return Tensions(hanging, stations(line), free, against)


def static_profiles(file: JobFile, line: RigLine) -> dict[str, dict[str, Spread]]:
    """Profiles without dynamic factor, as the rated margin takes them: hold, lower, raise."""
    hanging = weight_of(file, line.line.load)
    return {
        case: profile(file, line, case, hanging, against=True)
        for case in line.cases
        if case in ("hold", "lower", "raise")
    }
