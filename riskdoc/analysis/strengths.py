"""What the rope still holds at every station of a line, and its margins."""

from __future__ import annotations

from collections.abc import Mapping

from riskdoc.analysis.course import redirect_radius
from riskdoc.analysis.edge_crossing import beside
from riskdoc.analysis.inputs import Missing, cached, counted, from_table, stated
from riskdoc.analysis.resolve import RigEdge, RigLine
from riskdoc.i18n.message import message
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.loads import strand_share
from riskdoc.mechanics.strength import bend_factor
from riskdoc.quantities.intervals import Interval, combine, exact, greatest, least, product
from riskdoc.tables.loader import find, has


@cached
def breaking_strength(file: JobFile, line: RigLine) -> Interval:
    """Stated breaking strength of one strand. Raises `Missing` where it is not stated."""
    return stated(file, ("ropes", line.line.rope, "strength"), "S", message("breaking strength"))


@cached
def share_of(file: JobFile, line: RigLine) -> Interval:
    """Share of the load that the most loaded strand carries."""
    strands = counted(
        file, ("lines", line.id, "strands"), line.line.strands, "k", message("strands")
    )
    return combine(strand_share, strands, from_table("strength", "strand unevenness", "u"))


@cached
def station_factors(file: JobFile, line: RigLine) -> dict[str, tuple[Interval, ...]]:
    """Strength factors at each station: termination at the ends, bend at edges and redirects.

    The half rule covers wet rope and ordinary wear; a worn rope counts beside it too. What the
    half rule does not cover (named knots, eyes, wraps, bends) takes wet and condition on top.
    Raises `Missing` for a suspect rope: no factor makes one usable.
    """
    if line.rope.condition == "suspect":
        raise Missing(message("ropes.{rope}.condition other than suspect", rope=line.line.rope))
    condition = from_table("strength", f"condition {line.rope.condition}", "c")
    worn = (condition,) if line.rope.condition == "worn" else ()
    on_top = (_wet(line), condition)
    found = {
        "load": _end(line, line.line.knots.load, worn, on_top),
        "anchor": _end(line, line.line.knots.anchor, worn, on_top),
    }
    for edge in line.edges:
        found[f"edge:{edge.id}"] = (bend_of(file, line, edge), *on_top)
    for redirect in line.redirects:
        radius = redirect_radius(file, redirect)
        found[redirect.station] = (_bend_over(file, line, radius), *on_top)
    return found


def _end(
    line: RigLine, termination: str, worn: tuple[Interval, ...], on_top: tuple[Interval, ...]
) -> tuple[Interval, ...]:
    halved = has("terminations", termination, "knot") and line.line.knots.counted == "half rule"
    if halved:
        return (from_table("terminations", termination, "η", "half"), *worn)
    return (from_table("terminations", termination, "η", "named"), *on_top)


@cached
def knot_floors(file: JobFile, line: RigLine) -> dict[str, Interval]:
    """The least strength at each end that the standard of the rope has shown with such a knot.

    It holds for the figure-of-eight that the standard tests, in a rope in good condition that
    states at least the strength of its standard; wet rope takes its factor on top.
    """
    standard, strength = line.rope.standard, line.rope.strength
    knotted, least = (find("standards", standard, key) for key in ("knotted", "strength"))
    sound = line.rope.condition in ("new", "good")
    if knotted is None or least is None or strength is None or not sound:
        return {}
    if strength.low < least.high:
        return {}
    floor = product(from_table("standards", standard, "S knot", "knotted"), _wet(line))
    ends = {"load": line.line.knots.load, "anchor": line.line.knots.anchor}
    return {end: floor for end, knot in ends.items() if knot == "figure-of-eight"}


def _wet(line: RigLine) -> Interval:
    if not line.wet:
        return exact(1.0)
    fibres = {line.rope.sheath, line.rope.core}
    weakest = min(fibres, key=lambda f: from_table("fibres", f, "w", "wet").range.low)
    return from_table("fibres", weakest, "w", "wet")


def bend_radius(file: JobFile, edge: RigEdge) -> Interval:
    """Radius over which the rope bends: the edge's, a plate's own, or a padded edge's."""
    if edge.replaced:
        keys = ("protection", str(edge.protector_id), "radius")
        return stated(
            file, keys, "r", message("radius of {protector}", protector=edge.protector_id)
        )
    bare = bare_radius(file, edge)
    padding = None
    if edge.protected and edge.protector is not None:
        padding = find("protections", edge.protector.kind, "padding")
    if padding is None or edge.protector is None:
        return bare
    thick = from_table("protections", edge.protector.kind, "r pad", "padding")
    return combine(lambda a, b: a + b, bare, thick)


@cached
def bare_radius(file: JobFile, edge: RigEdge) -> Interval:
    """Radius of the bare edge."""
    return stated(
        file, ("edges", edge.id, "radius"), "r", message("radius of {edge}", edge=edge.id)
    )


def bend_of(file: JobFile, line: RigLine, edge: RigEdge) -> Interval:
    """Strength factor for the bend at an edge, the lesser where part of the sweep is bare."""
    over = _bend_over(file, line, bend_radius(file, edge))
    if beside(file, line, edge) is None:
        return over
    return least(over, _bend_over(file, line, bare_radius(file, edge)))


def _bend_over(file: JobFile, line: RigLine, radius: Interval) -> Interval:
    return combine(
        bend_factor,
        radius,
        stated(file, ("ropes", line.line.rope, "diameter"), "d", message("rope diameter")),
        from_table("strength", "bend below 1", "b₀"),
        from_table("strength", "bend at 1", "b₁"),
        from_table("strength", "bend full at", "D/d"),
        exact(1.0),
    )


@cached
def station_strengths(file: JobFile, line: RigLine) -> Mapping[str, Interval]:
    """Derated strength of one strand at each station. Raises `Missing` for a missing strength."""
    whole, floors = breaking_strength(file, line), knot_floors(file, line)
    found = {}
    for station, factors in station_factors(file, line).items():
        left = product(whole, *factors)
        found[station] = greatest(left, floors[station]) if station in floors else left
    return found


def station_of(place: str) -> str:
    """The strength station a tension station belongs to.

    >>> station_of("edge:coping:above"), station_of("redirect:1:below"), station_of("load")
    ('edge:coping', 'redirect:1', 'load')
    """
    return place.rsplit(":", maxsplit=1)[0] if ":" in place else place
