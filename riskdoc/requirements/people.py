"""Items that several sets share: rescue, competence, who is left."""

from __future__ import annotations

from riskdoc.requirements.ask import Ask, together
from riskdoc.requirements.records import Answer, Found

PLAN = ("who", "method", "kit", "steps", "time_to_contact", "time_to_ground")


def rescue_planned(ask: Ask, *keys: str) -> Found:
    """A rescue plan with everything in it, by people who are trained to rescue."""
    plan = ask.job.rescue
    lacking = tuple(f"rescue.{key}" for key in (keys or PLAN) if not getattr(plan, key))
    untrained = [ask.job.people[id].name for id in plan.who if not ask.job.people[id].rescue]
    found = [ask.worst(ask.matching("rescue/stated", "rescue/by"))]
    if untrained:
        found.append(Found(Answer.NOT_MET, f"not trained to rescue: {', '.join(untrained)}"))
    if lacking:
        said = f"not stated: {', '.join(lacking)}"
        found.append(Found(Answer.NOT_SHOWN, said, (), lacking))
    else:
        found.append(Found(Answer.AS_STATED, "rescuers, method, kit, steps and times are stated"))
    return together(found)


def rescuers_left(ask: Ask) -> Found:
    """Somebody trained is left whoever hangs helpless."""
    return ask.worst(ask.matching("rescue/team/*", "rescue/by"))


def competent(ask: Ask) -> Found:
    """Everybody on a rope or in the rescue is competent to the last day."""
    job = ask.job
    named = {id for load in ask.loads for id in job.loads[load].who} | set(job.rescue.who)
    if any(not job.loads[load].who for load in ask.loads):
        named = set(job.people)
    found = []
    for id in sorted(named):
        person = job.people[id]
        if person.expires is None:
            key = f"people.{id}.expires"
            found.append(Found(Answer.NOT_SHOWN, f"{person.name}: no expiry stated", (), (key,)))
        elif person.expires < job.job.valid.end:
            found.append(Found(Answer.NOT_MET, f"{person.name}: expires {person.expires}"))
        else:
            found.append(Found(Answer.AS_STATED, f"{person.name}: {person.competence}"))
    return together(found, Found(Answer.NOT_SHOWN, "nobody is named"))


def trained_with_rescue(ask: Ask) -> Found:
    """The user and enough others are trained for the work and its rescue."""
    found = [competent(ask), rescuers_left(ask)]
    for load in ask.loads:
        if not ask.job.loads[load].who:
            key = f"loads.{load}.who"
            found.append(Found(Answer.NOT_SHOWN, f"who hangs on {load} is not stated", (), (key,)))
    return together(found)
