"""Checks of a line: rated and derated margin, the margin in an arrest, and the arrest force."""

from __future__ import annotations

from riskdoc.analysis.falls import Arrest
from riskdoc.analysis.inputs import Missing, from_table
from riskdoc.analysis.margins import Pair, arrest_limit, place_words, station_pairs
from riskdoc.analysis.resolve import RigLine
from riskdoc.analysis.strengths import (
    breaking_strength,
    share_of,
    station_strengths,
)
from riskdoc.analysis.tension import Tensions, static
from riskdoc.i18n.message import Text, filled, message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.judgement.judge import Question, does_not_apply, judge, not_demonstrated
from riskdoc.judgement.verdicts import Check
from riskdoc.quantities.intervals import exact, product


def rated(file: JobFile, line: RigLine) -> Check:
    """Stated breaking strength of the rope over the greatest static tension.

    The devices on it are judged apart, by what they are made for (`devices.py`).
    """
    who = "person" if line.person else "load"
    required = from_table("general", f"margin rated {who}", "required")
    question = Question(
        id=f"line/{line.id}/margin/rated",
        subject=f"line/{line.id}",
        title=message("Rated margin"),
        demanded=mark("a static tension of {amount}"),
        held=mark("A breaking strength of {amount}"),
        unit="N",
        remedy=message(
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
        Pair(
            filled("{place} ({case})", place=place_words(station), case=message(case)),
            product(tension, share),
            strength,
        )
        for case, profile in static(file, line).items()
        for station, tension in profile.items()
    ]
    return judge(question, pairs, required)


def derated(file: JobFile, line: RigLine, found: Tensions, missing: tuple[Text, ...]) -> Check:
    """Derated strength over the tension at the same station, over every case.

    `missing` is what one of the cases needs and the job does not state.
    """
    required = from_table("general", "margin derated", "required")
    question = Question(
        id=f"line/{line.id}/margin/derated",
        subject=f"line/{line.id}",
        title=message("Derated margin"),
        demanded=mark("a tension of {amount}"),
        held=mark("A strength left of {amount}"),
        unit="N",
        remedy=message("A stronger or better rope, a rounder edge, less load or a shorter fall."),
        figures=(f"line/{line.id}/margin/derated", f"line/{line.id}/strength"),
    )
    try:
        strengths = station_strengths(file, line)
    except Missing as gap:
        return not_demonstrated(question, (gap.key, *missing), required)
    if missing:
        return not_demonstrated(question, missing, required)
    return judge(question, list(station_pairs(file, line, found, strengths)), required)


def arrested(file: JobFile, line: RigLine, fall: Arrest) -> Check:
    """Derated strength over the greatest arrest force: is there enough left whatever the fall?"""
    required = from_table("general", "margin arrest", "required")
    question = Question(
        id=f"line/{line.id}/margin/arrest",
        subject=f"line/{line.id}",
        title=message("Arrest margin"),
        demanded=mark("an arrest force of at most {amount}"),
        held=mark("A strength left of {amount}"),
        unit="N",
        remedy=message(
            "A stronger rope, a sewn eye, a knot counted by its name, or a rounder edge."
        ),
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
        title=message("Arrest force"),
        demanded=mark("a peak force of {amount}"),
        held=mark("An arrest-force limit of {amount}"),
        unit="N",
        remedy=message("Less slack, more rope in the system, or a rope that stretches more."),
        figures=(f"line/{line.id}/fall/peak",),
    )
    limit = from_table("general", "arrest force", "F limit")
    if line.no_fall is not None:
        return does_not_apply(question.id, question.subject, question.title, line.no_fall)
    if fall.peak_against is None:
        return not_demonstrated(question, fall.missing, exact(1.0), limit)
    return judge(question, [Pair("", fall.peak_against, limit)], exact(1.0), limit)
