"""Tensions, strengths and margins of a line as figures, and the pairs that checks compare."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from riskdoc.analysis.falls import slip_force
from riskdoc.analysis.figure import Figure
from riskdoc.analysis.figures import figure
from riskdoc.analysis.inputs import from_table
from riskdoc.analysis.resolve import RigLine
from riskdoc.analysis.strengths import (
    breaking_strength,
    knot_floors,
    share_of,
    station_factors,
    station_of,
    station_strengths,
)
from riskdoc.analysis.tension import Tensions, friction_at, static
from riskdoc.i18n.message import Text, filled, message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.by_count import WEAKEST, of_several, strength_left, tension_past
from riskdoc.mechanics.strength import ARREST_MARGIN, DERATED_MARGIN, RATED_MARGIN
from riskdoc.quantities.intervals import Interval, combine, greatest, least, product

PLACES = {"load": mark("at the load"), "anchor": mark("at the anchor")}


def place_words(station: str) -> Text:
    """A station in words.

    >>> str(place_words("edge:coping:above")), str(place_words("redirect:2:below"))
    ('at edge coping', 'at redirect 2')
    """
    if station in PLACES:
        return message(PLACES[station])
    kind, name = station.split(":")[:2]
    if kind == "redirect":
        return message("at redirect {n}", n=name)
    return message("at edge {edge}", edge=name)


def tension_figures(file: JobFile, line: RigLine, found: Tensions) -> Iterator[Figure]:
    """Tension at every station in every case, from what acts at the load up to the anchor."""
    for case, profile in found.free.items():
        acting = found.acting[case]
        equation, inputs = acting.equation, dict(acting.inputs)
        for station, number in profile.items():
            if station.endswith(":above"):
                inputs |= _passed(file, line, station, (case, acting.sense), len(inputs) // 3 + 1)
            if equation is None:
                raise AssertionError(f"nothing says what acts in {case}")
            yield figure(
                f"line/{line.id}/tension/{station}/{case}",
                message("Tension {place}, {case}", place=place_words(station), case=message(case)),
                equation if station == "load" else tension_past(len(inputs) // 3),
                inputs,
                number,
            )
            if station == "load":
                inputs = {"T_load": number}


def _passed(
    file: JobFile, line: RigLine, station: str, acting: tuple[str, float], n: int
) -> dict[str, Interval]:
    """What a bend does to the tension, the n-th from the load."""
    bend = next(each for each in line.bends if f"{each.station}:above" == station)
    way, mu, turn = friction_at(file, line, bend, *acting)
    return {f"σ{n}": way, f"μ{n}": mu, f"θ{n}": turn}


def strength_figures(file: JobFile, line: RigLine) -> Iterator[Figure]:
    """Derated strength of one strand at each station, and the least of them."""
    whole, floors = breaking_strength(file, line), knot_floors(file, line)
    strengths = station_strengths(file, line)
    for station, factors in station_factors(file, line).items():
        inputs = {"S": whole} | {f"f{n}": each for n, each in enumerate(factors, start=1)}
        floor = {"S_knot": floors[station]} if station in floors else {}
        yield figure(
            f"line/{line.id}/strength/{station}",
            message("Strength left {place}", place=place_words(station)),
            strength_left(len(factors), floor=bool(floor)),
            {
                **inputs,
                **floor,
            },
            strengths[station],
        )
    signs = [
        filled("{sign} {place}", sign=WEAKEST.symbol, place=place_words(station))
        for station in strengths
    ]
    yield figure(
        f"line/{line.id}/strength",
        message("Strength left at the weakest station"),
        of_several(np.minimum, signs, WEAKEST),
        {f"n{n}": each for n, each in enumerate(strengths.values(), start=1)},
        least(*strengths.values()),
    )


def arrest_limit(file: JobFile, line: RigLine) -> Interval:
    """The greatest force of an arrest: the limit on the body, or less where a device slips."""
    limit, slip = from_table("general", "arrest force", "F limit"), slip_force(file, line)
    return limit if slip is None else least(limit, slip.pinned("high"))


@dataclass(frozen=True, slots=True)
class Pair:
    """One demand against one capacity, and where that is; a check takes the least of several."""

    where: Text
    demand: Interval
    capacity: Interval


def station_pairs(
    file: JobFile, line: RigLine, found: Tensions, strengths: Mapping[str, Interval]
) -> Iterator[Pair]:
    """What each station feels in every case against what its strand still holds."""
    share = share_of(file, line)
    for case, profile in found.against.items():
        for station, tension in profile.items():
            yield Pair(
                filled("{place} ({case})", place=place_words(station), case=message(case)),
                product(tension, share),
                strengths[station_of(station)],
            )


def margin_figures(
    file: JobFile, line: RigLine, found: Tensions, missing: tuple[Text, ...]
) -> Iterator[Figure]:
    """The margins as numbers; one that cannot be computed is left out and its check says why."""
    name = f"line/{line.id}/margin"
    share = share_of(file, line)
    pulled = greatest(*(t for profile in static(file, line).values() for t in profile.values()))
    strength = breaking_strength(file, line)
    most = product(pulled, share)
    title = message("Rated margin")
    yield figure(
        f"{name}/rated",
        title,
        RATED_MARGIN,
        {
            "S": strength,
            "T_static": most,
        },
    )
    strengths = station_strengths(file, line)
    if not missing:
        pairs = list(station_pairs(file, line, found, strengths))
        worst = min(pairs, key=lambda p: p.capacity.expected / p.demand.expected)
        yield figure(
            f"{name}/derated",
            message("Derated margin"),
            DERATED_MARGIN,
            {
                "S_left": worst.capacity,
                "T": worst.demand,
            },
            least(*(combine(np.divide, p.capacity, p.demand) for p in pairs)),
            where=worst.where,
        )
    if line.arrests:
        limit = product(arrest_limit(file, line), share)
        weakest = least(*strengths.values())
        title = message("Arrest margin")
        yield figure(
            f"{name}/arrest",
            title,
            ARREST_MARGIN,
            {
                "S_left": weakest,
                "F": limit,
            },
        )
