"""The tension profile of a line: the tension at every station, for every case.

Two profiles are kept. `free` lets friction range over everything it may be. `against` takes
friction as a check must: where it relieves, at the low end of its range; where it loads, at the
high end; in an arrest, no relief at all. Friction never helps.
Where part of a sweep may lie beside a protector, the rope is on either, and the worse counts.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from riskdoc.analysis.course import redirect_friction, redirect_turn
from riskdoc.analysis.edge_crossing import beside
from riskdoc.analysis.inputs import cached, from_table, stated
from riskdoc.analysis.load_mass import Acting, dynamic_of, weight_of
from riskdoc.analysis.resolve import Bend, RigEdge, RigLine, RigRedirect
from riskdoc.i18n.message import Text, message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.friction import equivalent_friction, signed_ratio
from riskdoc.mechanics.loads import HANGING
from riskdoc.quantities.intervals import (
    Array,
    Interval,
    combine,
    exact,
    given,
    greatest,
    least,
    product,
)
from riskdoc.quantities.ranges import Input, Range

SENSE = {"hold": 0.0, "raise": 1.0, "lower": -1.0, "descend": -1.0, "ascend": -1.0}
"""Which way the rope slides at its edges: +1 toward the anchor, -1 toward the load."""

Profile = Mapping[str, Interval]


@dataclass(frozen=True, slots=True)
class Tensions:
    """Tension by case and station. Stations run from the load to the anchor.

    `acting` is what each case puts on the line.
    """

    weight: Interval
    stations: tuple[str, ...]
    free: Mapping[str, Profile]
    against: Mapping[str, Profile]
    acting: Mapping[str, Acting]


def stations(line: RigLine) -> tuple[str, ...]:
    """Station ids from the load to the anchor."""
    found = ["load"]
    for bend in reversed(line.bends):
        found += [f"{bend.station}:below", f"{bend.station}:above"]
    return (*found, "anchor")


@cached
def turn_of(file: JobFile, edge: RigEdge) -> Interval:
    """The angle through which an edge turns the rope."""
    return stated(file, ("edges", edge.id, "turn"), "θ", message("turn at {edge}", edge=edge.id))


@cached
def friction_of(file: JobFile, edge: RigEdge) -> Interval:
    """Friction of the rope on a protector that counts, else on the edge: measured or the table's.

    Where part of the sweep may lie beside the protector, `friction_on` and `friction_worst` count
    the bare edge as well.
    """
    protector = edge.protector
    if protector is not None and edge.protected and protector.friction is not None:
        keys = ("protection", str(edge.protector_id), "friction")
        return stated(
            file, keys, "μ", message("friction on {protector}", protector=edge.protector_id)
        )
    if edge.roller:
        ratio = from_table("protections", "roller set", "r", "ratio")
        return combine(lambda r: equivalent_friction(r, math.pi / 2), ratio)
    if edge.replaced and protector is not None:
        return from_table("surfaces", str(protector.surface), "μ", "friction")
    return friction_bare(file, edge)


def friction_bare(file: JobFile, edge: RigEdge) -> Interval:
    """Friction of the rope on the bare edge: measured, else the table's."""
    if edge.edge.friction is not None:
        return stated(
            file, ("edges", edge.id, "friction"), "μ", message("friction on {edge}", edge=edge.id)
        )
    return from_table("surfaces", edge.edge.surface, "μ", "friction")


def friction_on(file: JobFile, line: RigLine, bend: Bend, occasion: str) -> Interval:
    """Friction of a line's rope at an edge or redirect on one occasion, ranging as it may.

    Beside a protector it ranges over both surfaces; in the mean each counts by its share of the
    sweep.
    """
    if isinstance(bend, RigRedirect):
        return redirect_friction(file, bend).on_axis(f"friction@{occasion}")
    return _mixed(file, line, bend, friction_of(file, bend), occasion)


def turn_at(file: JobFile, bend: Bend) -> Interval:
    """The angle through which an edge or a redirect turns the rope."""
    return redirect_turn(file, bend) if isinstance(bend, RigRedirect) else turn_of(file, bend)


def friction_across(file: JobFile, line: RigLine, edge: RigEdge) -> Interval:
    """Friction that holds a line's rope back sideways, ranging as it may.

    A roller set does not roll sideways: it is a bar of polished metal there.
    """
    return _mixed(file, line, edge, _across(file, edge), "across")


def friction_across_least(file: JobFile, line: RigLine, edge: RigEdge) -> Interval:
    """The same held at its low end, on the worse of what the rope may lie on."""
    return _worst(file, line, edge, _across(file, edge), "low")


def friction_worst(file: JobFile, line: RigLine, bend: Bend, end: str) -> Interval:
    """Friction held at its `low` or `high` end, on the worse of what the rope may lie on."""
    if isinstance(bend, RigRedirect):
        return redirect_friction(file, bend).pinned(end)
    return _worst(file, line, bend, friction_of(file, bend), end)


def _across(file: JobFile, edge: RigEdge) -> Interval:
    if edge.roller:
        return from_table("surfaces", "polished metal", "μ", "friction")
    return friction_of(file, edge)


def _mixed(file: JobFile, line: RigLine, edge: RigEdge, mu: Interval, occasion: str) -> Interval:
    axis, share = f"friction@{occasion}", beside(file, line, edge)
    if share is None:
        return mu.on_axis(axis)
    bare = friction_bare(file, edge)
    # All edges of a line go to their rougher surface together, which is where the extremes are.
    together = share.on_axis("beside")
    rougher = together if bare.expected >= mu.expected else together.turned()
    return combine(_between, rougher, mu.on_axis(axis), bare.on_axis(axis))


def _between(share: Array, protected: Array, bare: Array) -> Array:
    return (1 - share) * protected + share * bare


def _worst(file: JobFile, line: RigLine, edge: RigEdge, mu: Interval, end: str) -> Interval:
    if beside(file, line, edge) is None:
        return mu.pinned(end)
    worse = greatest if end == "high" else least
    return worse(mu.pinned(end), friction_bare(file, edge).pinned(end))


def hold_sense(bend: Bend) -> Interval:
    """Which way friction acts while a load hangs still: anything between the two ways.

    All edges and redirects of a line go one way together, which is where the extremes are.
    """
    return given(
        Input(
            id=f"hold.{bend.id}.sense",
            symbol="σ",
            title=message(
                "which way friction acts at {edge} while hanging still", edge=_named(bend)
            ),
            range=Range(-1.0, 0.0, 1.0),
            unit="1",
            written="-1 / 0 / 1",
            place=message("statics"),
            provenance="published",
            source=message("Baker & Haynes, Engineering Statics, ch. 9: impending slip either way"),
        )
    )


def _named(bend: Bend) -> Text:
    return message("redirect {n}", n=bend.number) if isinstance(bend, RigRedirect) else bend.id


def ratio_free(file: JobFile, line: RigLine, bend: Bend, case: str, sense: float) -> Interval:
    """Tension above an edge or redirect over tension below it, friction ranging as it may."""
    way, mu, turn = friction_at(file, line, bend, case, sense)
    return combine(signed_ratio, mu, turn, way)


def friction_at(
    file: JobFile, line: RigLine, bend: Bend, case: str, sense: float
) -> tuple[Interval, Interval, Interval]:
    """Sense, friction and turn of a line's rope at an edge or redirect, ranging as they may."""
    way = exact(sense) if sense else hold_sense(bend).on_axis(f"sense@{case}")
    return way, friction_on(file, line, bend, case), turn_at(file, bend)


def ratio_against(file: JobFile, line: RigLine, bend: Bend, acting: Acting) -> Interval:
    """The same ratio as a check takes it: the worse of protector and bare edge beside it.

    Hanging still counts no friction: a load left hanging at the tension that raised it is
    judged as `raise`. A fall and a swing count none either.
    """
    if acting.sense == 0 or not acting.moving:
        mu = friction_worst(file, line, bend, "low")
        return combine(signed_ratio, mu, turn_at(file, bend), exact(0.0))
    mu = friction_worst(file, line, bend, "high" if acting.sense > 0 else "low")
    return combine(signed_ratio, mu, turn_at(file, bend), exact(acting.sense))


def profile(
    line: RigLine, at_load: Interval, ratios: Mapping[str, Interval]
) -> dict[str, Interval]:
    """Tension at every station of a line, from its load to its anchor; ratios by their place."""
    tension, found = at_load, {"load": at_load}
    for bend in reversed(line.bends):
        found[f"{bend.station}:below"] = tension
        tension = product(tension, ratios[bend.station])
        found[f"{bend.station}:above"] = tension
    return {**found, "anchor": tension}


def profile_free(file: JobFile, line: RigLine, case: str, acting: Acting) -> dict[str, Interval]:
    """A profile with friction ranging as it may."""
    ratios = {b.station: ratio_free(file, line, b, case, acting.sense) for b in line.bends}
    return profile(line, acting.at_load, ratios)


def profile_against(file: JobFile, line: RigLine, acting: Acting) -> dict[str, Interval]:
    """A profile with friction as checks take it."""
    ratios = {b.station: ratio_against(file, line, b, acting) for b in line.bends}
    return profile(line, acting.at_load if acting.worst is None else acting.worst, ratios)


def working(file: JobFile, line: RigLine) -> dict[str, Acting]:
    """What is done with the line, and the rescue with it: weight times dynamic factor."""
    found = {case: _acting(file, line, line.line.load, case) for case in line.cases}
    if line.line.rescue is not None:
        rescue = line.line.rescue
        found[mark("rescue")] = _acting(file, line, rescue.load, rescue.how)
    return found


def _acting(file: JobFile, line: RigLine, load: str, case: str) -> Acting:
    way = moved(line, case)
    inputs = {"W": weight_of(file, load), "φ": dynamic_of(way)}
    return Acting(product(*inputs.values()), SENSE[way], equation=HANGING, inputs=inputs)


def moved(line: RigLine, case: str) -> str:
    """What a case does to the line: one that is taken in by hand holds at most, never raises."""
    return "hold" if case == "raise" and line.by_hand else case


@cached
def steady(file: JobFile, line: RigLine) -> dict[str, Interval]:
    """Tension at the anchor by case without dynamic factor, friction ranging as it may."""
    return {
        case: profile_free(file, line, case, acting)["anchor"]
        for case, acting in _still(file, line).items()
    }


@cached
def static(file: JobFile, line: RigLine) -> dict[str, dict[str, Interval]]:
    """Profiles without dynamic factor, as the rated margin takes them."""
    return {
        case: profile_against(file, line, acting) for case, acting in _still(file, line).items()
    }


def _still(file: JobFile, line: RigLine) -> dict[str, Acting]:
    hanging = weight_of(file, line.line.load)
    found = {
        case: Acting(hanging, SENSE[moved(line, case)])
        for case in line.cases
        if case in ("hold", "lower", "raise")
    }
    if line.line.rescue is not None:
        two = weight_of(file, line.line.rescue.load)
        found["rescue"] = Acting(two, SENSE[moved(line, line.line.rescue.how)])
    return found


def tensions(file: JobFile, line: RigLine, acting: Mapping[str, Acting]) -> Tensions:
    """Tension profiles of a line in every case."""
    return Tensions(
        weight_of(file, line.line.load),
        stations(line),
        {case: profile_free(file, line, case, each) for case, each in acting.items()},
        {case: profile_against(file, line, each) for case, each in acting.items()},
        acting,
    )
