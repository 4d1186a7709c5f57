"""The people: who is left to help, who supervises, who is competent, who hauls.

Whoever hangs on a line may be the casualty, and a casualty rescues nobody. Where the job does not
say who hangs there, it may be any of those who could help.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from riskdoc.analysis.inputs import sourced
from riskdoc.analysis.resolve import Rig, RigLine
from riskdoc.i18n.message import Text, joined, message, plural
from riskdoc.job.model import Job
from riskdoc.job.reading import JobFile
from riskdoc.judgement.judge import JUDGED, not_demonstrated, rule
from riskdoc.judgement.rescue import asked, rescue_checks
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.tables.loader import cell


def crew_checks(file: JobFile, rig: Rig) -> Iterator[Check]:
    """Every check of the rescue plan and of the people."""
    manned = [line for line in rig.lines if line.person]
    yield from rescue_checks(rig, manned)
    yield from _haulers(file.job, rig)
    yield _supervised(file.job)
    yield from _competent(file.job)
    if not manned:
        return
    for load in dict.fromkeys(line.line.load for line in manned):
        yield _rescuers_left(file.job, load, manned)
        first_aiders = {id for id, person in file.job.people.items() if person.first_aid}
        yield _left(file.job, load, "people/first_aid", message("First aider left"), first_aiders)
    yield _together(file.job)


def _rescuers_left(job: Job, load: str, manned: Sequence[RigLine]) -> Check:
    """Trained rescuers left on the worst of the lines that a load hangs on."""
    teams = [job.rescue.of_line(line.id).who for line in manned if line.line.load == load]
    title = message("Rescuers left besides the casualty")
    found = [
        _left(
            job,
            load,
            "rescue/team",
            title,
            {id for id in team if job.people[id].rescue},
        )
        # Nobody named is no rescuer too few: who rescues is what is missing.
        if team
        else not_demonstrated(
            asked(f"rescue/team/{load}", f"load/{load}", title), ("rescue.who",), None
        )
        for team in dict.fromkeys(teams)
    ]
    return max(found, key=lambda check: check.verdict.rank)


def _left(job: Job, load: str, id: str, title: Text, able: set[str]) -> Check:
    """How many can help when the worst placed of those on a load hang helpless."""
    part = job.loads[load]
    known = bool(part.who)
    # Where turns are taken, those who can help may be the very ones who hang there.
    lost = min(part.people, len(able & set(part.who))) if known else min(part.people, len(able))
    left = len(able) - lost
    name = f"{id}/{load}"
    if left < 1 and not known and able:
        key = f"loads.{load}.who"
        return not_demonstrated(asked(name, f"load/{load}", title), (key,), None)
    names = ", ".join(job.people[each].name for each in sorted(able)) or message("nobody")
    first_aid = id == "people/first_aid"
    text = _left_words(first_aid, known, left, people=part.people, load=load, names=names)
    wanted = (
        message("One more first aider who is not on the rope then.")
        if first_aid
        else message("One more trained rescuer who is not on the rope then.")
    )
    return rule(
        name,
        f"load/{load}",
        title,
        Verdict.ADEQUATE if left >= 1 else Verdict.INADEQUATE,
        text,
        "" if left >= 1 else wanted,
        message(JUDGED),
    )


def _left_words(first_aid: bool, known: bool, left: int, **parts: object) -> Text:
    """Who is left, by what they can do, and whether it is known who hangs there."""
    if first_aid and known:
        return plural(
            "With {people} on {load} helpless, {count} first aider of those named ({names}) is "
            "left.",
            "With {people} on {load} helpless, {count} first aiders of those named ({names}) are "
            "left.",
            left,
            **parts,
        )
    if first_aid:
        return plural(
            "With {people} on {load} helpless, {count} first aider of those named ({names}) is "
            "left, whoever hangs there.",
            "With {people} on {load} helpless, {count} first aiders of those named ({names}) are "
            "left, whoever hangs there.",
            left,
            **parts,
        )
    if known:
        return plural(
            "With {people} on {load} helpless, {count} trained rescuer of those named ({names}) is "
            "left.",
            "With {people} on {load} helpless, {count} trained rescuers of those named ({names}) "
            "are left.",
            left,
            **parts,
        )
    return plural(
        "With {people} on {load} helpless, {count} trained rescuer of those named ({names}) is "
        "left, whoever hangs there.",
        "With {people} on {load} helpless, {count} trained rescuers of those named ({names}) are "
        "left, whoever hangs there.",
        left,
        **parts,
    )


def _together(job: Job) -> Check:
    least, count = cell("general", "people at work"), len(job.people)
    enough = count >= least.expected
    return rule(
        "people/team",
        "people",
        message("Nobody works alone"),
        Verdict.ADEQUATE if enough else Verdict.INADEQUATE,
        plural(
            "{count} is named; {least:g} at least are asked.",
            "{count} are named; {least:g} at least are asked.",
            count,
            least=least.expected,
        ),
        "" if enough else message("A second person at least, able to rescue."),
        sourced(least),
    )


def _supervised(job: Job) -> Check:
    """Whether somebody is said to supervise; a role's name alone says it to nobody."""
    who = [person.name for person in job.people.values() if person.supervises]
    return rule(
        "people/supervisor",
        "people",
        message("Somebody supervises"),
        Verdict.ADEQUATE if who else Verdict.INADEQUATE,
        message("{who} supervise on the day.", who=joined(who, message(" and ")))
        if who
        else message("Of nobody it is stated that they supervise on the day."),
        "" if who else message("A competent person who supervises: supervises: true."),
        message("Work at Height Regulations 2005, reg. 4(1): supervised (from memory)"),
    )


def _competent(job: Job) -> Iterator[Check]:
    """Everybody named is competent to the last day, whatever they are named for."""
    source = message("Work at Height Regulations 2005, reg. 5: competence (from memory)")
    for id, person in job.people.items():
        name, title = (
            f"people/{id}/competence",
            message("Competence of {person}", person=person.name),
        )
        why = person.why_not("expires")
        if why is not None:
            said = message(
                "{competence}, without expiry: {why}", competence=person.competence, why=why
            )
            yield rule(name, f"people/{id}", title, Verdict.ADEQUATE, said, "", source)
            continue
        if person.expires is None:
            yield not_demonstrated(
                asked(name, f"people/{id}", title), (f"people.{id}.expires",), None
            )
            continue
        good = person.expires >= job.job.valid.end
        yield rule(
            name,
            f"people/{id}",
            title,
            Verdict.ADEQUATE if good else Verdict.INADEQUATE,
            message(
                "{competence}, expires {expires}; the job ends {end}.",
                competence=person.competence,
                expires=person.expires.isoformat(),
                end=job.job.valid.end.isoformat(),
            ),
            "" if good else message("Renew it, or somebody else."),
            source,
        )


def _haulers(job: Job, rig: Rig) -> Iterator[Check]:
    """A hauling team is of people who are named, less those who hang on the line."""
    for line in rig.lines:
        haul, stated = line.line.haul, line.line.rescue
        if haul is None:
            continue
        loads = [line.load, *([job.loads[stated.load]] if stated is not None else [])]
        free = max(0, len(job.people) - max(load.people for load in loads))
        found = rule(
            f"line/{line.id}/haul/crew",
            f"line/{line.id}",
            message("People for the haul"),
            Verdict.ADEQUATE if haul.haulers <= free else Verdict.NOT_DEMONSTRATED,
            message(
                "Line ‘{line}’ counts on {haulers} haulers; {free} of the people named would not "
                "hang on it.",
                line=line.id,
                haulers=haul.haulers,
                free=free,
            ),
            "" if haul.haulers <= free else message("Name the whole hauling team under people."),
            message(JUDGED),
        )
        yield found if haul.haulers <= free else replace(found, missing=("people.….name",))
