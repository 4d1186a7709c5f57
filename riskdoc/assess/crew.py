"""The rescue plan and the people: rules on what the job states of them.

Whoever hangs on a line may be the casualty, and a casualty rescues nobody. Where the job does not
say who hangs there, it may be any of those who could help.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from riskdoc.assess.inputs import sourced
from riskdoc.assess.judge import Question, not_demonstrated, rule
from riskdoc.assess.records import Check, Verdict
from riskdoc.assess.rig import Rig, RigLine
from riskdoc.job.model import Job
from riskdoc.job.reading import JobFile
from riskdoc.language.say import many, mark, say
from riskdoc.tables.loader import cell

PLANNED = mark(
    "Work at Height Regulations 2005, reg. 4(2): planning includes emergencies and rescue (from "
    "memory)"
)
JUDGED = mark("rule of this requirement set (judgement)")


def crew_checks(file: JobFile, rig: Rig) -> Iterator[Check]:
    """Every check of the rescue plan and of the people."""
    manned = [line for line in rig.lines if line.person]
    yield _stated(file.job, manned)
    if not manned:
        return
    yield from _by(file.job)
    for line in manned:
        yield _time(file.job, line)
    for load in dict.fromkeys(line.line.load for line in manned):
        yield _rescuers_left(file.job, load, manned)
        first_aiders = {id for id, person in file.job.people.items() if person.first_aid}
        yield _left(file.job, load, "people/first_aid", say("First aider left"), first_aiders)
    yield _together(file.job)
    yield _supervised(file.job)
    yield from _competent(file.job)


def _asked(id: str, subject: str, title: str) -> Question:
    return Question(id, subject, title, "", "", "1", "")


def _stated(job: Job, manned: Sequence[RigLine]) -> Check:
    """Whether a rescue plan is stated at all, from every line that people hang on."""
    plan = job.rescue
    question = _asked("rescue/stated", "rescue", say("Rescue plan stated"))
    parts = [plan.of_line(line.id) for line in manned] or [plan]
    gaps = tuple(
        f"rescue.{key}"
        for key in ("who", "method", "time_to_ground")
        if not all(getattr(part, key) for part in parts)
        and not (key == "who" and plan.by == "emergency services")
    )
    if gaps:
        return not_demonstrated(question, gaps, None)
    return rule(
        question.id,
        question.subject,
        question.title,
        Verdict.ADEQUATE,
        say(
            "Rescuers, method and time to the ground are stated; whether they are enough on the "
            "day is for those who sign."
        ),
        "",
        say(PLANNED),
    )


def _by(job: Job) -> Iterator[Check]:
    """Emergency services alone are no rescue plan; nor are rescuers who were never trained."""
    plan = job.rescue
    if plan.by == "emergency services":
        yield rule(
            "rescue/by",
            "rescue",
            say("Rescue by the job's own people"),
            Verdict.INADEQUATE,
            say(
                "Nobody but the emergency services is to rescue: they may come too late, and "
                "without rope skills."
            ),
            say("People of the job's own, trained and equipped to rescue."),
            say(JUDGED),
        )
        return
    unready = [job.people[id].name for id in plan.everybody if not job.people[id].rescue]
    if plan.everybody:
        yield rule(
            "rescue/by",
            "rescue",
            say("Rescue by the job's own people"),
            Verdict.INADEQUATE if unready else Verdict.ADEQUATE,
            say("{unready} are to rescue and not trained to.", unready=say(" and ").join(unready))
            if unready
            else say("Everybody who is to rescue is stated to be trained to."),
            say("Train them, or name others.") if unready else "",
            say(JUDGED),
        )


def _time(job: Job, line: RigLine) -> Check:
    """Time until a casualty on this line is on the ground; a long one needs its reason."""
    plan = job.rescue.of_line(line.id)
    id, subject = f"line/{line.id}/rescue/time", f"line/{line.id}"
    title, limit = say("Time until a casualty is on the ground"), cell("general", "rescue time")
    time, why = plan.time_to_ground, plan.why_longer
    if time is None:
        return not_demonstrated(_asked(id, subject, title), ("rescue.time_to_ground",), None)
    short = time.high <= limit.expected
    return rule(
        id,
        subject,
        title,
        Verdict.ADEQUATE if short or why else Verdict.INADEQUATE,
        _time_words(line.id, time.written, None if short else limit.expected / 60, why),
        "" if short or why else say("A faster way down, or the reason in rescue.why_longer."),
        sourced(limit),
    )


def _time_words(line: str, time: str, limit: float | None, why: str | None) -> str:
    """What is planned from a line; `limit` in minutes where it is longer than that."""
    if limit is None:
        return say(
            "{time} are planned from {line}; that is no safe limit, and help comes as fast as it "
            "can.",
            time=time,
            line=line,
        )
    if why is None:
        return say(
            "{time} are planned from {line}, more than {limit:g} min, and no reason.",
            time=time,
            line=line,
            limit=limit,
        )
    return say(
        "{time} are planned from {line}, more than {limit:g} min: {why}",
        time=time,
        line=line,
        limit=limit,
        why=why,
    )


def _rescuers_left(job: Job, load: str, manned: Sequence[RigLine]) -> Check:
    """Trained rescuers left on the worst of the lines that a load hangs on."""
    teams = [job.rescue.of_line(line.id).who for line in manned if line.line.load == load]
    found = [
        _left(
            job,
            load,
            "rescue/team",
            say("Rescuers left besides the casualty"),
            {id for id in team if job.people[id].rescue},
        )
        for team in dict.fromkeys(teams)
    ]
    return max(found, key=lambda check: check.verdict.rank)


def _left(job: Job, load: str, id: str, title: str, able: set[str]) -> Check:
    """How many can help when the worst placed of those on a load hang helpless."""
    part = job.loads[load]
    known = bool(part.who)
    # Where turns are taken, those who can help may be the very ones who hang there.
    lost = min(part.people, len(able & set(part.who))) if known else min(part.people, len(able))
    left = len(able) - lost
    name = f"{id}/{load}"
    if left < 1 and not known and able:
        key = f"loads.{load}.who"
        return not_demonstrated(_asked(name, f"load/{load}", title), (key,), None)
    names = ", ".join(job.people[each].name for each in sorted(able)) or say("nobody")
    first_aid = id == "people/first_aid"
    text = _left_words(first_aid, known, left, people=part.people, load=load, names=names)
    wanted = (
        say("One more first aider who is not on the rope then.")
        if first_aid
        else say("One more trained rescuer who is not on the rope then.")
    )
    return rule(
        name,
        f"load/{load}",
        title,
        Verdict.ADEQUATE if left >= 1 else Verdict.INADEQUATE,
        text,
        "" if left >= 1 else wanted,
        say(JUDGED),
    )


def _left_words(first_aid: bool, known: bool, left: int, **parts: object) -> str:
    """Who is left, by what they can do, and whether it is known who hangs there."""
    if first_aid and known:
        return many(
            "With {people} on {load} helpless, {count} first aider of those named ({names}) is "
            "left.",
            "With {people} on {load} helpless, {count} first aiders of those named ({names}) are "
            "left.",
            left,
            **parts,
        )
    if first_aid:
        return many(
            "With {people} on {load} helpless, {count} first aider of those named ({names}) is "
            "left, whoever hangs there.",
            "With {people} on {load} helpless, {count} first aiders of those named ({names}) are "
            "left, whoever hangs there.",
            left,
            **parts,
        )
    if known:
        return many(
            "With {people} on {load} helpless, {count} trained rescuer of those named ({names}) is "
            "left.",
            "With {people} on {load} helpless, {count} trained rescuers of those named ({names}) "
            "are left.",
            left,
            **parts,
        )
    return many(
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
        say("Nobody works alone"),
        Verdict.ADEQUATE if enough else Verdict.INADEQUATE,
        many(
            "{count} is named; {least:g} at least are asked.",
            "{count} are named; {least:g} at least are asked.",
            count,
            least=least.expected,
        ),
        "" if enough else say("A second person at least, able to rescue."),
        sourced(least),
    )


def _supervised(job: Job) -> Check:
    """Whether somebody is said to supervise; a role's name alone says it to nobody."""
    who = [person.name for person in job.people.values() if person.supervises]
    id, title = "people/supervisor", say("Somebody supervises")
    if not who:
        return not_demonstrated(_asked(id, "people", title), ("people.….supervises: true",), None)
    return rule(
        id,
        "people",
        title,
        Verdict.ADEQUATE,
        say("{who} supervise on the day.", who=say(" and ").join(who)),
        "",
        say("Work at Height Regulations 2005, reg. 4(1): supervised (from memory)"),
    )


def _competent(job: Job) -> Iterator[Check]:
    """Whoever hangs on a rope, rescues or supervises is competent to the last day."""
    on_ropes = {each for load in job.loads.values() for each in load.who}
    others = {id for id, person in job.people.items() if person.supervises}
    for id in job.people:
        if id not in on_ropes | set(job.rescue.everybody) | others:
            continue
        person = job.people[id]
        name, title = f"people/{id}/competence", say("Competence of {person}", person=person.name)
        if person.expires is None:
            yield not_demonstrated(
                _asked(name, f"people/{id}", title), (f"people.{id}.expires",), None
            )
            continue
        good = person.expires >= job.job.valid.end
        yield rule(
            name,
            f"people/{id}",
            title,
            Verdict.ADEQUATE if good else Verdict.INADEQUATE,
            say(
                "{competence}, expires {expires}; the job ends {end}.",
                competence=person.competence,
                expires=person.expires.isoformat(),
                end=job.job.valid.end.isoformat(),
            ),
            "" if good else say("Renew it, or somebody else."),
            say("Work at Height Regulations 2005, reg. 5: competence (from memory)"),
        )
