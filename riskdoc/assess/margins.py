"""The three margins of a line, its tensions and strengths as figures, and the arrest force."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from riskdoc.assess.falls import Arrest, slip_force
from riskdoc.assess.figures import figure
from riskdoc.assess.inputs import Missing, default
from riskdoc.assess.judge import Pair, Question, does_not_apply, judge, not_demonstrated
from riskdoc.assess.records import Check, Figure
from riskdoc.assess.rig import RigLine
from riskdoc.assess.spread import Spread, combine, exact, greatest, least, product
from riskdoc.assess.strengths import (
    breaking_strength,
    knot_floors,
    share_of,
    station_factors,
    station_of,
    station_strengths,
)
from riskdoc.assess.tension import Tensions, friction_at, static
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say
from riskdoc.mechanics.by_count import WEAKEST, of_several, strength_left, tension_past
from riskdoc.mechanics.strength import ARREST_MARGIN, DERATED_MARGIN, RATED_MARGIN

PLACES = {"load": mark("at the load"), "anchor": mark("at the anchor")}


def place_words(station: str) -> str:
    """A station in words.

    >>> place_words("edge:coping:above"), place_words("redirect:2:below")
    ('at edge coping', 'at redirect 2')
    """
    if station in PLACES:
        return say(PLACES[station])
    kind, name = station.split(":")[:2]
    if kind == "redirect":
        return say("at redirect {n}", n=name)
    return say("at edge {edge}", edge=name)


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
                say("Tension {place}, {case}", place=place_words(station), case=say(case)),
                equation if station == "load" else tension_past(len(inputs) // 3),
                inputs,
                number,
            )
            if station == "load":
                inputs = {"T_load": number}


def _passed(
    file: JobFile, line: RigLine, station: str, acting: tuple[str, float], n: int
) -> dict[str, Spread]:
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
            say("Strength left {place}", place=place_words(station)),
            strength_left(len(factors), floor=bool(floor)),
            {
                **inputs,
                **floor,
            },
            strengths[station],
        )
    signs = [f"{WEAKEST.symbol} {place_words(station)}" for station in strengths]
    yield figure(
        f"line/{line.id}/strength",
        say("Strength left at the weakest station"),
        of_several(np.minimum, signs, WEAKEST),
        {f"n{n}": each for n, each in enumerate(strengths.values(), start=1)},
        least(*strengths.values()),
    )


def rated(file: JobFile, line: RigLine) -> Check:
    """Stated breaking strength of the rope over the greatest static tension.

    The devices on it are judged apart, by what they are made for (`devices.py`).
    """
    who = "person" if line.person else "load"
    required = default("general", f"margin rated {who}", "required")
    question = Question(
        id=f"line/{line.id}/margin/rated",
        subject=f"line/{line.id}",
        title=say("Rated margin"),
        demanded=mark("a static tension of {amount}"),
        held=mark("A breaking strength of {amount}"),
        unit="N",
        remedy=say(
            "Less load, less friction at the edge (a roller), a stronger rope or more strands."
        ),
        figures=(f"line/{line.id}/margin/rated",),
    )
    try:
        strength = breaking_strength(file, line)
    except Missing as gap:
        return not_demonstrated(question, (gap.key,), required)
    share = share_of(file, line)
    pairs = [
        Pair(f"{place_words(station)} ({say(case)})", product(tension, share), strength)
        for case, profile in static(file, line).items()
        for station, tension in profile.items()
    ]
    return judge(question, pairs, required)


def derated(file: JobFile, line: RigLine, found: Tensions, missing: tuple[str, ...]) -> Check:
    """Derated strength over the tension at the same station, over every case.

    `missing` is what one of the cases needs and the job does not state.
    """
    required = default("general", "margin derated", "required")
    question = Question(
        id=f"line/{line.id}/margin/derated",
        subject=f"line/{line.id}",
        title=say("Derated margin"),
        demanded=mark("a tension of {amount}"),
        held=mark("A strength left of {amount}"),
        unit="N",
        remedy=say("A stronger or better rope, a rounder edge, less load or a shorter fall."),
        figures=(f"line/{line.id}/margin/derated", f"line/{line.id}/strength"),
    )
    try:
        strengths = station_strengths(file, line)
    except Missing as gap:
        return not_demonstrated(question, (gap.key, *missing), required)
    if missing:
        return not_demonstrated(question, missing, required)
    return judge(question, list(_pairs(file, line, found, strengths)), required)


def _pairs(
    file: JobFile, line: RigLine, found: Tensions, strengths: Mapping[str, Spread]
) -> Iterator[Pair]:
    share = share_of(file, line)
    for case, profile in found.against.items():
        for station, tension in profile.items():
            yield Pair(
                f"{place_words(station)} ({say(case)})",
                product(tension, share),
                strengths[station_of(station)],
            )


def arrest_limit(file: JobFile, line: RigLine) -> Spread:
    """The greatest force of an arrest: the limit on the body, or less where a device slips."""
    limit, slip = default("general", "arrest force", "F limit"), slip_force(file, line)
    return limit if slip is None else least(limit, slip.pinned("high"))


def arrested(file: JobFile, line: RigLine, fall: Arrest) -> Check:
    """Derated strength over the greatest arrest force: is there enough left whatever the fall?"""
    required = default("general", "margin arrest", "required")
    question = Question(
        id=f"line/{line.id}/margin/arrest",
        subject=f"line/{line.id}",
        title=say("Arrest margin"),
        demanded=mark("an arrest force of at most {amount}"),
        held=mark("A strength left of {amount}"),
        unit="N",
        remedy=say("A stronger rope, a sewn eye, a knot counted by its name, or a rounder edge."),
        figures=(f"line/{line.id}/margin/arrest", f"line/{line.id}/strength"),
    )
    if line.no_fall is not None:
        return does_not_apply(question.id, question.subject, question.title, line.no_fall)
    if not line.arrests:
        return not_demonstrated(question, fall.missing, required)
    try:
        strengths = station_strengths(file, line)
    except Missing as gap:
        return not_demonstrated(question, (gap.key,), required)
    limit = product(arrest_limit(file, line), share_of(file, line))
    pairs = [Pair(place_words(station), limit, strength) for station, strength in strengths.items()]
    return judge(question, pairs, required)


def arrest_force(line: RigLine, fall: Arrest) -> Check:
    """Peak force of the stated fall against the arrest-force limit on the body."""
    question = Question(
        id=f"line/{line.id}/fall/peak",
        subject=f"line/{line.id}",
        title=say("Arrest force"),
        demanded=mark("a peak force of {amount}"),
        held=mark("An arrest-force limit of {amount}"),
        unit="N",
        remedy=say("Less slack, more rope in the system, or a rope that stretches more."),
        figures=(f"line/{line.id}/fall/peak",),
    )
    limit = default("general", "arrest force", "F limit")
    if line.no_fall is not None:
        return does_not_apply(question.id, question.subject, question.title, line.no_fall)
    if fall.peak_against is None:
        return not_demonstrated(question, fall.missing, exact(1.0), limit)
    return judge(question, [Pair("", fall.peak_against, limit)], exact(1.0), limit)


def margin_figures(
    file: JobFile, line: RigLine, found: Tensions, missing: tuple[str, ...]
) -> Iterator[Figure]:
    """The margins as numbers; one that cannot be computed is left out and its check says why."""
    name = f"line/{line.id}/margin"
    share = share_of(file, line)
    pulled = greatest(*(t for profile in static(file, line).values() for t in profile.values()))
    strength = breaking_strength(file, line)
    most = product(pulled, share)
    title = say("Rated margin")
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
        pairs = list(_pairs(file, line, found, strengths))
        worst = min(pairs, key=lambda p: p.capacity.expected / p.demand.expected)
        yield figure(
            f"{name}/derated",
            say("Derated margin"),
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
        title = say("Arrest margin")
        yield figure(
            f"{name}/arrest",
            title,
            ARREST_MARGIN,
            {
                "S_left": weakest,
                "F": limit,
            },
        )
