"""Items of the set `general` that are decided in code."""

from __future__ import annotations

from collections.abc import Mapping

from riskdoc.language.say import say
from riskdoc.requirements.ask import Ask, Judge, together
from riskdoc.requirements.people import rescue_planned
from riskdoc.requirements.records import Answer, Found
from riskdoc.tables.loader import cell


def device_fit(ask: Ask) -> Found:
    """Every device takes the rope it is on; what hangs on it and falls onto it is another item."""
    parts = 4  # line, its id, device, its id; its limits have one more
    fits = [c for c in ask.matching("line/*/device/*") if len(c.id.split("/")) == parts]
    return ask.worst(fits)


def one_cause(ask: Ask) -> Found:
    """Nothing that lines share; one line alone shares nothing, and is no better for it."""
    if len(ask.lines) < 2:
        return Found(Answer.NOT_APPLICABLE, say("there is one line alone"))
    shared = ask.matching("edge/*/common", "protection/*/common", "rope/*/common")
    return (
        ask.worst(shared)
        if shared
        else Found(Answer.MET, say("no edge, protector or rope is shared"))
    )


def rescue_load(ask: Ask) -> Found:
    """A line is computed with rescuer and casualty on it."""
    if not ask.manned:
        return Found(Answer.NOT_APPLICABLE, say("nobody hangs on a rope"))
    stated = [line for line in ask.manned if line.line.rescue is not None]
    pairs = [line for line in ask.manned if line.load.people > 1]
    checks = [
        check
        for line in stated or pairs
        for check in ask.matching(f"line/{line.id}/margin/*", f"anchor/{line.line.anchor}/leg/*")
    ]
    found = ask.worst(checks)
    if not stated and found.answer is not Answer.NOT_MET:
        # What does not hold two at work holds no rescue; what does is no rescue looked at.
        said = say("no line states a rescue")
        return Found(Answer.NOT_DEMONSTRATED, said, (), ("lines.….rescue",))
    return found


def rescue_time(ask: Ask) -> Found:
    """Both times stated; more than ten minutes is for a person to accept."""
    plan, limit = ask.job.rescue, cell("general", "rescue time").expected
    lacking = tuple(
        f"rescue.{key}"
        for key in ("time_to_contact", "time_to_ground")
        if getattr(plan, key) is None
    )
    if lacking or plan.time_to_ground is None:
        return Found(
            Answer.NOT_DEMONSTRATED,
            say("not stated: {lacking}", lacking=", ".join(lacking)),
            (),
            lacking,
        )
    times = [plan.time_to_ground, *(each.time_to_ground for each in plan.lines.values())]
    longest = max((each for each in times if each is not None), key=lambda each: each.high)
    if longest.high > limit:
        said = say(
            "{longest} to the ground is more than {limit:g} min: who accepts it, and why?",
            longest=longest.written,
            limit=limit / 60,
        )
        return Found(Answer.NOT_DEMONSTRATED, said)
    return Found(Answer.MET, say("{longest} to the ground at the longest", longest=longest.written))


def rescue_drilled(ask: Ask) -> Found:
    """Drilled before the work."""
    day = ask.job.rescue.drilled
    if day is None:
        return Found(Answer.NOT_DEMONSTRATED, say("no drill is stated"), (), ("rescue.drilled",))
    good = day <= ask.job.job.valid.start
    return Found(Answer.MET if good else Answer.NOT_MET, say("drilled {day}", day=day))


def stopper(ask: Ask) -> Found:
    """A stopper in the end of every line with people, or a rope that reaches the ground."""
    found = []
    for line in ask.manned:
        check = ask.plan.check(f"line/{line.id}/rope_length")
        if line.line.stopper:
            found.append(Found(Answer.MET, say("{line}: a stopper is stated", line=line.id)))
        elif check is not None and check.stands:
            # Without a stopper the check stands on the length of the rope alone.
            found.append(Found(Answer.MET, say("{line}: it reaches the ground", line=line.id)))
        elif line.line.stopper is False:
            found.append(
                Found(Answer.NOT_MET, say("{line}: no stopper, and too short", line=line.id))
            )
        else:
            key = f"lines.{line.id}.stopper"
            found.append(
                Found(
                    Answer.NOT_DEMONSTRATED,
                    say("{line}: no stopper stated", line=line.id),
                    (),
                    (key,),
                )
            )
    return together(found)


JUDGES: Mapping[str, Judge] = {
    "device_fit": device_fit,
    "one_cause": one_cause,
    "rescue_planned": rescue_planned,
    "rescue_load": rescue_load,
    "rescue_time": rescue_time,
    "rescue_drilled": rescue_drilled,
    "stopper": stopper,
}
