"""The three margins of a line, its tensions and strengths as figures, and the arrest force."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from riskdoc.assess.falls import Arrest
from riskdoc.assess.figures import figure
from riskdoc.assess.inputs import Missing, default, stated
from riskdoc.assess.judge import Pair, Question, judge, not_demonstrated
from riskdoc.assess.records import Check, Figure
from riskdoc.assess.rig import RigLine
from riskdoc.assess.spread import Spread, combine, exact, greatest, least, product
from riskdoc.assess.strengths import (
    breaking_strength,
    share_of,
    station_factors,
    station_of,
    station_strengths,
)
from riskdoc.assess.tension import Tensions, static
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say
from riskdoc.language.units import plain

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


def tension_figures(line: RigLine, found: Tensions) -> Iterator[Figure]:
    """Tension at every station in every case."""
    for case, profile in found.free.items():
        for station, number in profile.items():
            yield figure(
                f"line/{line.id}/tension/{station}/{case}",
                say("Tension {place}, {case}", place=place_words(station), case=say(case)),
                number,
                "N",
                *_tension_words(station, case, found, number),
            )


def _tension_words(
    station: str, case: str, found: Tensions, number: Spread
) -> tuple[str, str, str, str]:
    start = found.free[case]["load"]
    if station == "load" and case == "fall":
        return "T", "F", plain(number.expected), say("peak force of the fall")
    if station == "load":
        factor = start.expected / found.weight.expected
        worked = f"{plain(found.weight.expected)} · {plain(factor)}"
        return "T", "W φ", worked, say("weight times dynamic factor of the case")
    ratio = number.expected / start.expected
    worked = f"{plain(start.expected)} · {plain(ratio)}"
    source = say("Baker & Haynes, Engineering Statics, ch. 9 (capstan equation), edge by edge")
    return "T", "T load · Π e^(σ μ θ)", worked, source


def strength_figures(file: JobFile, line: RigLine) -> Iterator[Figure]:
    """Derated strength of one strand at each station, and the least of them."""
    whole = breaking_strength(file, line)
    strengths = station_strengths(file, line)
    for station, factors in station_factors(file, line).items():
        together = product(*factors) if factors else exact(1.0)
        yield figure(
            f"line/{line.id}/strength/{station}",
            say("Strength left {place}", place=place_words(station)),
            strengths[station],
            "N",
            "S′",
            say("S · Π factors"),
            "{S} · " + " · ".join(plain(each.expected) for each in factors),
            say("stated strength; factors as listed; knots in series never multiply"),
            S=whole,
            f=together,
        )
    yield figure(
        f"line/{line.id}/strength",
        say("Strength left at the weakest station"),
        least(*strengths.values()),
        "N",
        "S′",
        say("least of the stations"),
        " / ".join(plain(each.expected) for each in strengths.values()),
        say("in series the weakest station governs"),
    )


def rated(file: JobFile, line: RigLine) -> Check:
    """Stated breaking strength of the weakest part over the greatest static tension."""
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
        parts = _weakest_parts(file, line)
    except Missing as gap:
        return not_demonstrated(question, (gap.key,), required)
    share = share_of(file, line)
    pairs = [
        Pair(f"{place_words(station)} ({say(case)})", product(tension, share), strength)
        for case, profile in static(file, line).items()
        for station, tension in profile.items()
        for strength in parts
    ]
    return judge(question, pairs, required)


def _weakest_parts(file: JobFile, line: RigLine) -> list[Spread]:
    devices = [
        stated(file, ("devices", name, "strength"), "S", say("strength of {name}", name=name))
        for name in line.line.devices
        if file.job.devices[name].strength is not None
    ]
    return [breaking_strength(file, line), *devices]


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


def arrested(file: JobFile, line: RigLine) -> Check:
    """Derated strength over the arrest-force limit: is there enough left whatever the fall?"""
    required = default("general", "margin arrest", "required")
    question = Question(
        id=f"line/{line.id}/margin/arrest",
        subject=f"line/{line.id}",
        title=say("Arrest margin"),
        demanded=mark("the arrest-force limit of {amount}"),
        held=mark("A strength left of {amount}"),
        unit="N",
        remedy=say("A stronger rope, a sewn eye, a knot counted by its name, or a rounder edge."),
        figures=(f"line/{line.id}/margin/arrest", f"line/{line.id}/strength"),
    )
    try:
        strengths = station_strengths(file, line)
    except Missing as gap:
        return not_demonstrated(question, (gap.key,), required)
    limit = product(default("general", "arrest force", "F limit"), share_of(file, line))
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
    weakest = least(*_weakest_parts(file, line))
    most = product(pulled, share)
    yield figure(
        f"{name}/rated",
        say("Rated margin"),
        combine(lambda s, t: s / t, weakest, most),
        "1",
        "M",
        "S / T static",
        "{S} / {T}",
        say("weakest stated part over the greatest static tension; hanging counts no friction"),
        S=weakest,
        T=most,
    )
    strengths = station_strengths(file, line)
    if not missing:
        pairs = list(_pairs(file, line, found, strengths))
        yield figure(
            f"{name}/derated",
            say("Derated margin"),
            least(*(combine(lambda s, t: s / t, p.capacity, p.demand) for p in pairs)),
            "1",
            "M",
            say("least of S′ / T over stations and cases"),
            _worked_pair(pairs),
            say(
                "derated strength over tension at the same station, friction taken as never helping"
            ),
        )
    if line.arrests:
        limit = product(default("general", "arrest force", "F limit"), share)
        weakest = least(*strengths.values())
        yield figure(
            f"{name}/arrest",
            say("Arrest margin"),
            combine(lambda s, t: s / t, weakest, limit),
            "1",
            "M",
            "S′ / F limit",
            "{S} / {F}",
            say("derated strength over the arrest-force limit"),
            S=weakest,
            F=limit,
        )


def _worked_pair(pairs: list[Pair]) -> str:
    pair = min(pairs, key=lambda p: p.capacity.expected / p.demand.expected)
    numbers = f"{plain(pair.capacity.expected)} / {plain(pair.demand.expected)}"
    return f"{numbers} ({pair.where})"
