"""Items of the set `ca-ab-rope-access` that are decided in code."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import wraps

from riskdoc.i18n.say import say
from riskdoc.job.words import denies
from riskdoc.judgement.verdicts import Verdict
from riskdoc.quantities.printing import amount
from riskdoc.requirements.ask import Ask, Judge, attached, legs_hold, says, together
from riskdoc.requirements.items import Answer, Found
from riskdoc.requirements.shared_items import arrested, rated, rescue_planned

KILONEWTON = 1000.0
ANCHOR = 16.0 * KILONEWTON  # Alberta OHS Code s. 829, for each worker attached
METHODS = ("rope access", "rope descent")


def of_the_plan(judge: Callable[[Ask], Found]) -> Judge:
    """S. 809 is held to rope access; what other kinds of work are under a person decides."""

    @wraps(judge)
    def asked(ask: Ask) -> Found:
        if ask.method in METHODS:
            return judge(ask)
        said = say("work.method does not say whether this part is the one that counts")
        return Found(Answer.NOT_DEMONSTRATED, said, (), ("work.method",))

    return asked


@of_the_plan
def plan_hazards(ask: Ask) -> Found:
    """S. 809: the hazards."""
    told = [each for each in ask.hazards if each.how]
    if not told:
        return Found(Answer.NOT_DEMONSTRATED, say("no hazard is listed"))
    silent = [each.title for each in ask.hazards if not each.how]
    if silent:
        return Found(
            Answer.NOT_DEMONSTRATED,
            say("without how harm may come: {silent}", silent=", ".join(silent)),
        )
    return Found(Answer.AS_STATED, say("{count} hazards are listed", count=len(told)))


@of_the_plan
def plan_controls(ask: Ask) -> Found:
    """S. 809: how each is eliminated or controlled."""
    if not ask.hazards:
        return Found(Answer.NOT_DEMONSTRATED, say("no hazard is listed"))
    bare = [each.title for each in ask.hazards if not any(each.controls.values())]
    if bare:
        return Found(Answer.NOT_MET, say("without a control: {bare}", bare=", ".join(bare)))
    return Found(Answer.AS_STATED, say("every hazard listed has a control"))


@of_the_plan
def plan_rope_system(ask: Ask) -> Found:
    """S. 809: the rope system."""
    lacking = [f"lines.{line.id}.devices" for line in ask.manned if not line.line.devices]
    lacking += [
        f"anchors.{name}.description"
        for name in dict.fromkeys(line.line.anchor for line in ask.manned)
        if not says(ask.job.anchors[name].description)
    ]
    if lacking:
        return Found(
            Answer.NOT_DEMONSTRATED,
            say("not stated: {lacking}", lacking=", ".join(lacking)),
            (),
            tuple(lacking),
        )
    return Found(Answer.AS_STATED, say("lines, ropes, anchors, knots and devices are stated"))


@of_the_plan
def plan_sequence(ask: Ask) -> Found:
    """S. 809: procedures to assemble, use and dismantle."""
    steps = ask.job.work.steps if ask.job.work else ()
    if not says(steps):
        return Found(Answer.NOT_DEMONSTRATED, say("no steps are stated"), (), ("work.steps",))
    return Found(
        Answer.AS_STATED,
        say("{count} steps, {first} to {last}", count=len(steps), first=steps[0], last=steps[-1]),
    )


@of_the_plan
def plan_team(ask: Ask) -> Found:
    """S. 809: everyone with their duty."""
    lacking = tuple(f"loads.{load}.who" for load in ask.loads if not ask.job.loads[load].who)
    if lacking:
        return Found(
            Answer.NOT_DEMONSTRATED,
            say("not stated: {lacking}", lacking=", ".join(lacking)),
            (),
            lacking,
        )
    return Found(
        Answer.AS_STATED, say("{count} people with name and role", count=len(ask.job.people))
    )


@of_the_plan
def plan_ppe(ask: Ask) -> Found:
    """S. 809: personal protective equipment."""
    ppe = ask.job.work.ppe if ask.job.work else ()
    if not says(ppe):
        return Found(Answer.NOT_DEMONSTRATED, say("none is stated"), (), ("work.ppe",))
    return Found(Answer.AS_STATED, ", ".join(ppe))


@of_the_plan
def plan_emergency(ask: Ask) -> Found:
    """S. 809: emergency and rescue."""
    called = ask.worst(ask.matching("rescue/call"))
    return together([rescue_planned(ask, "who", "steps", "kit", "time_to_contact"), called])


def arrest_force(ask: Ask) -> Found:
    """S. 828: 6 kN at most, for every load with people."""
    return together(arrested(ask, Answer.NOT_DEMONSTRATED, "fall/peak"))


def anchor_strength(ask: Ask) -> Found:
    """S. 829: 16 kN for each worker, or twice the estimated force where that is not practicable."""
    found = []
    for name in dict.fromkeys(line.line.anchor for line in ask.manned):
        people = attached(ask, name, [line for line in ask.manned if line.line.anchor == name])
        holds = legs_hold(ask, name, ANCHOR * people)
        why = ask.job.anchors[name].not_practicable
        if holds is Verdict.ADEQUATE:
            found.append(
                Found(
                    Answer.MET,
                    say("{name} holds 16 kN for each of {people}", name=name, people=people),
                )
            )
        elif holds is Verdict.NOT_DEMONSTRATED:
            found.append(
                Found(
                    Answer.NOT_DEMONSTRATED,
                    say("the strength of {name} is not demonstrated", name=name),
                )
            )
        elif why:
            found.append(_second_limb(ask, name, people, why))
        elif holds is Verdict.BORDERLINE:
            found.append(
                Found(
                    Answer.NOT_DEMONSTRATED,
                    say("{name} holds 16 kN for each only as expected", name=name),
                )
            )
        else:
            key = f"anchors.{name}.not_practicable"
            said = say("{name} does not hold 16 kN for each of {people}", name=name, people=people)
            found.append(Found(Answer.NOT_MET, said, (), (key,)))
    return together(found)


def _second_limb(ask: Ask, name: str, people: int, why: str) -> Found:
    checks = [
        ask.plan.check(f"line/{line.id}/fall/peak")
        for line in ask.manned
        if line.line.anchor == name
    ]
    asked = [check for check in checks if check is not None]
    peaks = [check.demand.high for check in asked if check.demand]
    if not peaks or len(peaks) < len(asked):
        # The greatest of the falls is meant: one that is not known may be it.
        missing = tuple(str(key) for check in asked for key in check.missing)
        said = say("not every fall on {name} is computed, so the greatest is not known", name=name)
        return Found(Answer.NOT_DEMONSTRATED, said, (), missing)
    holds = legs_hold(ask, name, 2 * max(peaks) * people)
    said = say(
        "{name} against twice {peaks} for each; 16 kN: {why}",
        name=name,
        peaks=amount(max(peaks), "N", "up"),
        why=why,
    )
    if denies(why):
        return Found(Answer.NOT_MET, said, (), (f"anchors.{name}.not_practicable",))
    if holds is Verdict.ADEQUATE:
        # The force was computed; whether 16 kN cannot be had is for a person.
        return Found(Answer.TO_BE_ANSWERED, said)
    return Found(Answer.NOT_DEMONSTRATED if holds is Verdict.BORDERLINE else Answer.NOT_MET, said)


def rigging_person(ask: Ask) -> Found:
    """S. 292(1)(a): at most a tenth of the weakest part where a person is raised or lowered."""
    found = []
    for line in ask.manned:
        if not ({"raise", "lower"} & set(line.line.cases) or line.line.rescue is not None):
            continue
        found.append(rated(ask, line))
    return together(found, Found(Answer.NOT_APPLICABLE, say("nobody is raised or lowered")))


JUDGES: Mapping[str, Judge] = {
    each.__name__: each
    for each in (
        plan_hazards, plan_controls, plan_rope_system, plan_sequence, plan_team, plan_ppe,
        plan_emergency, arrest_force, anchor_strength, rigging_person,
    )
}  # fmt: skip
