"""Items that several sets share: rescue, competence, who is left, rated margins, falls."""

from __future__ import annotations

from riskdoc.assess.rig import RigLine
from riskdoc.assess.tension import static
from riskdoc.language.say import say
from riskdoc.language.units import amount
from riskdoc.requirements.ask import Ask, together
from riskdoc.requirements.records import Answer, Found
from riskdoc.tables.loader import cell

PLAN = ("who", "method", "kit", "steps", "time_to_contact", "time_to_ground")


def rescue_planned(ask: Ask, *keys: str) -> Found:
    """A rescue plan with everything in it, by people who are trained to rescue."""
    plan = ask.job.rescue
    lacking = tuple(f"rescue.{key}" for key in (keys or PLAN) if not getattr(plan, key))
    untrained = [ask.job.people[id].name for id in plan.everybody if not ask.job.people[id].rescue]
    found = [ask.worst(ask.matching("rescue/stated", "rescue/by"))]
    if untrained:
        found.append(
            Found(
                Answer.NOT_MET,
                say("not trained to rescue: {untrained}", untrained=", ".join(untrained)),
            )
        )
    if lacking:
        said = say("not stated: {lacking}", lacking=", ".join(lacking))
        found.append(Found(Answer.NOT_DEMONSTRATED, said, (), lacking))
    else:
        found.append(
            Found(Answer.AS_STATED, say("rescuers, method, kit, steps and times are stated"))
        )
    return together(found)


def rescuers_left(ask: Ask) -> Found:
    """Somebody trained is left whoever hangs helpless."""
    return ask.worst(ask.matching("rescue/team/*", "rescue/by"))


def competent(ask: Ask) -> Found:
    """Everybody on a rope or in the rescue is competent to the last day."""
    job = ask.job
    named = {id for load in ask.loads for id in job.loads[load].who} | set(job.rescue.everybody)
    if any(not job.loads[load].who for load in ask.loads):
        named = set(job.people)
    found = []
    for id in sorted(named):
        person = job.people[id]
        if person.expires is None:
            key = f"people.{id}.expires"
            found.append(
                Found(
                    Answer.NOT_DEMONSTRATED,
                    say("{person}: no expiry stated", person=person.name),
                    (),
                    (key,),
                )
            )
        elif person.expires < job.job.valid.end:
            found.append(
                Found(
                    Answer.NOT_MET,
                    say("{person}: expires {expires}", person=person.name, expires=person.expires),
                )
            )
        else:
            found.append(Found(Answer.AS_STATED, f"{person.name}: {person.competence}"))
    return together(found, Found(Answer.NOT_DEMONSTRATED, say("nobody is named")))


def trained_with_rescue(ask: Ask) -> Found:
    """The user and enough others are trained for the work and its rescue."""
    found = [competent(ask), rescuers_left(ask)]
    for load in ask.loads:
        if not ask.job.loads[load].who:
            key = f"loads.{load}.who"
            found.append(
                Found(
                    Answer.NOT_DEMONSTRATED,
                    say("who hangs on {load} is not stated", load=load),
                    (),
                    (key,),
                )
            )
    return together(found)


def rated(ask: Ask, line: RigLine) -> Found:
    """The rated margin of a line and of the devices on it, of which one may be its weakest part."""
    return together([
        ask.worst(ask.matching(f"line/{line.id}/margin/rated")),
        *(_device_rated(ask, line, name) for name in line.line.devices),
    ])  # fmt: skip


def _device_rated(ask: Ask, line: RigLine, name: str) -> Found:
    """The strength of a device over the greatest static tension, whatever the strands."""
    strength = ask.job.devices[name].strength
    parts = {"line": line.id, "name": name}
    if strength is None:
        key = f"devices.{name}.strength"
        return Found(
            Answer.NOT_DEMONSTRATED, say("{line}: {name} states no strength", **parts), (), (key,)
        )
    ratio = cell("general", "margin rated person").high
    pulled = [t for profile in static(ask.plan.file, line).values() for t in profile.values()]
    most = max(tension.range.high for tension in pulled)
    said = say(
        "{line}: {name} holds {times} times the static tension",
        times=amount(strength.low / most, "1", "down"),
        **parts,
    )
    if strength.low >= ratio * most:
        return Found(Answer.MET, said)
    expected = strength.expected >= ratio * max(tension.expected for tension in pulled)
    return Found(Answer.NOT_DEMONSTRATED if expected else Answer.NOT_MET, said)


def arrested(ask: Ask, without: Answer, *shapes: str) -> list[Found]:
    """Checks of the falls of every load with people, by shapes of ids under the line.

    `without` is the answer for a load of which no line can arrest a fall: what another load's line
    shows stands for nobody else.
    """
    found = []
    for load, lines in ask.loads.items():
        arresting = [line for line in lines if line.arrests]
        if not arresting:
            found.append(Found(without, say("{load}: no line of it can arrest a fall", load=load)))
        found += [of_line(ask, line, *shapes) for line in arresting]
    return found


def of_line(ask: Ask, line: RigLine, *shapes: str) -> Found:
    """The worst of some checks of one line; none of them there is not demonstrated."""
    checks = ask.matching(*(f"line/{line.id}/{shape}" for shape in shapes))
    if not checks:
        return Found(
            Answer.NOT_DEMONSTRATED, say("{line}: no such check could be made", line=line.id)
        )
    return ask.worst(checks)
