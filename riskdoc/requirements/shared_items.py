"""Items that several sets share: rescue, competence, who is left, rated margins, falls."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from riskdoc.analysis.resolve import RigLine
from riskdoc.analysis.tension import static
from riskdoc.i18n.say import say
from riskdoc.judgement.verdicts import Verdict
from riskdoc.quantities.printing import amount
from riskdoc.requirements.ask import Ask, says, together
from riskdoc.requirements.items import Answer, Found
from riskdoc.tables.loader import cell

SHARED = ("who", "kit", "steps")
OF_LINES = ("method", "time_to_contact", "time_to_ground")
"""What a rescue plan says for all lines, and what it says for each."""


def rescue_planned(ask: Ask, *keys: str) -> Found:
    """A rescue plan with everything in it, by people who are trained to rescue.

    What can be looked at was: who is trained, what the method does to lines, the times. Texts are
    read for whether they deny what they are asked for, and no further.
    """
    plan = ask.job.rescue
    wanted = keys or (*SHARED, *OF_LINES)
    lacking = tuple(dict.fromkeys(_lacking(ask, wanted)))
    untrained = [ask.job.people[id].name for id in plan.everybody if not ask.job.people[id].rescue]
    found = [ask.worst(ask.matching("rescue/stated", "rescue/by", "line/*/rescue/how"))]
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


def _lacking(ask: Ask, wanted: Sequence[str]) -> Iterator[str]:
    """Keys of the rescue from every line that say nothing; the whole plan where nobody hangs."""
    plan = ask.job.rescue
    parts = {
        f"rescue.lines.{line.id}" if line.id in plan.lines else "rescue": plan.of_line(line.id)
        for line in ask.manned
    }
    for start, part in (parts or {"rescue": plan}).items():
        for key in wanted:
            if not says(getattr(part, key)):
                yield f"{'rescue' if key in SHARED else start}.{key}"


def rescuers_left(ask: Ask) -> Found:
    """Somebody trained is left whoever hangs helpless."""
    return ask.worst(ask.matching("rescue/team/*", "rescue/by"))


def competent(ask: Ask) -> Found:
    """Everybody named is competent to the last day, as the checks of their dates have it."""
    found = [
        Found(Answer.AS_STATED, str(check.reason), (check.id,))
        if check.verdict is Verdict.ADEQUATE
        else ask.of_check(check)
        for check in ask.matching("people/*/competence")
    ]
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
