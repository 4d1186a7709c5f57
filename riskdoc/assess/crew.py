"""The rescue plan and the people: rules on what the job states of them.

Whoever hangs on a line may be the casualty, and a casualty rescues nobody. Where the job does not
say who hangs there, it may be any of those who could help.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from riskdoc.assess.judge import Question, not_shown, rule
from riskdoc.assess.records import Check, Verdict
from riskdoc.assess.rig import Rig, RigLine
from riskdoc.job.model import Job
from riskdoc.job.reading import JobFile
from riskdoc.tables.loader import cell

PLANNED = (
    "Work at Height Regulations 2005, reg. 4(2): planning includes emergencies and rescue "
    "(from memory)"
)
JUDGED = "rule of this requirement set (judgement)"


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
        yield _left(file.job, load, "people/first_aid", "First aider left", first_aiders)
    yield _together(file.job)
    yield _supervised(file.job)
    yield from _competent(file.job)


def _asked(id: str, subject: str, title: str) -> Question:
    return Question(id, subject, title, "", "", "1", "")


def _stated(job: Job, manned: Sequence[RigLine]) -> Check:
    """Whether a rescue plan is stated at all, from every line that people hang on."""
    plan = job.rescue
    question = _asked("rescue/stated", "rescue", "Rescue plan stated")
    parts = [plan.of_line(line.id) for line in manned] or [plan]
    gaps = tuple(
        f"rescue.{key}"
        for key in ("who", "method", "time_to_ground")
        if not all(getattr(part, key) for part in parts)
        and not (key == "who" and plan.by == "emergency services")
    )
    if gaps:
        return not_shown(question, gaps, None)
    return rule(
        question.id,
        question.subject,
        question.title,
        Verdict.ADEQUATE,
        "Rescuers, method and time to the ground are stated; whether they are enough on the day is "
        "for those who sign.",
        "",
        PLANNED,
    )


def _by(job: Job) -> Iterator[Check]:
    """Emergency services alone are no rescue plan; nor are rescuers who were never trained."""
    plan = job.rescue
    if plan.by == "emergency services":
        yield rule(
            "rescue/by", "rescue", "Rescue by the job's own people", Verdict.INADEQUATE,
            "Nobody but the emergency services is to rescue: they may come too late, and without "
            "rope skills.",
            "People of the job's own, trained and equipped to rescue.", JUDGED,
        )  # fmt: skip
        return
    unready = [job.people[id].name for id in plan.everybody if not job.people[id].rescue]
    if plan.everybody:
        yield rule(
            "rescue/by", "rescue", "Rescue by the job's own people",
            Verdict.INADEQUATE if unready else Verdict.ADEQUATE,
            f"{' and '.join(unready)} are to rescue and not trained to."
            if unready
            else "Everybody who is to rescue is stated to be trained to.",
            "Train them, or name others." if unready else "", JUDGED,
        )  # fmt: skip


def _time(job: Job, line: RigLine) -> Check:
    """Time until a casualty on this line is on the ground; a long one needs its reason."""
    plan = job.rescue.of_line(line.id)
    id, subject = f"line/{line.id}/rescue/time", f"line/{line.id}"
    title, limit = "Time until a casualty is on the ground", cell("general", "rescue time")
    time, why = plan.time_to_ground, plan.why_longer
    if time is None:
        return not_shown(_asked(id, subject, title), ("rescue.time_to_ground",), None)
    short = time.high <= limit.expected
    text = f"{time.written} are planned from {line.id}"
    if short:
        text += "; that is no safe limit, and help comes as fast as it can."
    else:
        text += f", more than {limit.expected / 60:g} min" + (
            f": {why}" if why else ", and no reason"
        )
    return rule(
        id, subject, title, Verdict.ADEQUATE if short or why else Verdict.INADEQUATE, text,
        "" if short or why else "A faster way down, or the reason in rescue.why_longer.",
        f"{limit.source} ({limit.provenance})",
    )  # fmt: skip


def _rescuers_left(job: Job, load: str, manned: Sequence[RigLine]) -> Check:
    """Trained rescuers left on the worst of the lines that a load hangs on."""
    teams = [job.rescue.of_line(line.id).who for line in manned if line.line.load == load]
    found = [
        _left(job, load, "rescue/team", "Rescuers left besides the casualty",
              {id for id in team if job.people[id].rescue})
        for team in dict.fromkeys(teams)
    ]  # fmt: skip
    return max(found, key=lambda check: check.verdict.rank)


def _left(job: Job, load: str, id: str, title: str, able: set[str]) -> Check:
    """How many can help when the worst placed of those on a load hang helpless."""
    part = job.loads[load]
    known = bool(part.who)
    # Where turns are taken, those who can help may be the very ones who hang there.
    lost = min(part.people, len(able & set(part.who))) if known else min(part.people, len(able))
    left, what = len(able) - lost, "first aider" if "first_aid" in id else "trained rescuer"
    name = f"{id}/{load}"
    if left < 1 and not known and able:
        key = f"loads.{load}.who"
        return not_shown(_asked(name, f"load/{load}", title), (key,), None)
    names = ", ".join(job.people[each].name for each in sorted(able)) or "nobody"
    text = (
        f"With {part.people} on {load} helpless, {left} {what}{'' if left == 1 else 's'} of those "
        f"named ({names}) {'is' if left == 1 else 'are'} left"
        f"{'' if known else ', whoever hangs there'}."
    )
    return rule(
        name, f"load/{load}", title, Verdict.ADEQUATE if left >= 1 else Verdict.INADEQUATE, text,
        "" if left >= 1 else f"One more {what} who is not on the rope then.", JUDGED,
    )  # fmt: skip


def _together(job: Job) -> Check:
    least, count = cell("general", "people at work"), len(job.people)
    enough = count >= least.expected
    return rule(
        "people/team", "people", "Nobody works alone",
        Verdict.ADEQUATE if enough else Verdict.INADEQUATE,
        f"{count} {'is' if count == 1 else 'are'} named; {least.expected:g} at least are asked.",
        "" if enough else "A second person at least, able to rescue.",
        f"{least.source} ({least.provenance})",
    )  # fmt: skip


def _supervised(job: Job) -> Check:
    """Whether somebody is said to supervise; a role's name alone says it to nobody."""
    who = [person.name for person in job.people.values() if person.supervises]
    id, title = "people/supervisor", "Somebody supervises"
    if not who:
        return not_shown(_asked(id, "people", title), ("people.….supervises: true",), None)
    return rule(
        id, "people", title, Verdict.ADEQUATE, f"{' and '.join(who)} supervise on the day.", "",
        "Work at Height Regulations 2005, reg. 4(1): supervised (from memory)",
    )  # fmt: skip


def _competent(job: Job) -> Iterator[Check]:
    """Whoever hangs on a rope, rescues or supervises is competent to the last day."""
    on_ropes = {each for load in job.loads.values() for each in load.who}
    others = {id for id, person in job.people.items() if person.supervises}
    for id in job.people:
        if id not in on_ropes | set(job.rescue.everybody) | others:
            continue
        person = job.people[id]
        name, title = f"people/{id}/competence", f"Competence of {person.name}"
        if person.expires is None:
            yield not_shown(_asked(name, f"people/{id}", title), (f"people.{id}.expires",), None)
            continue
        good = person.expires >= job.job.valid.end
        yield rule(
            name, f"people/{id}", title, Verdict.ADEQUATE if good else Verdict.INADEQUATE,
            f"{person.competence}, expires {person.expires.isoformat()}; the job ends "
            f"{job.job.valid.end.isoformat()}.",
            "" if good else "Renew it, or somebody else.",
            "Work at Height Regulations 2005, reg. 5: competence (from memory)",
        )  # fmt: skip
