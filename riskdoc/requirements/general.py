"""Items of the set `general` that are decided in code."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from riskdoc.i18n.say import say
from riskdoc.job.words import denies
from riskdoc.requirements.ask import Ask, Judge, in_time, together
from riskdoc.requirements.items import Answer, Found
from riskdoc.requirements.shared_items import rescue_planned
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


def two_lines(ask: Ask) -> Found:
    """Two lines for every load with people."""
    return ask.worst(ask.matching(*(f"load/{load}/lines" for load in ask.loads)))


def things_fall(ask: Ask) -> Found:
    """A second line for a thing, or what happens when the one fails."""
    things = dict.fromkeys(line.line.load for line in ask.lines if not line.person)
    return ask.worst(ask.matching(*(f"load/{load}/lines" for load in things)))


def rescue_load(ask: Ask) -> Found:
    """A line is computed with those who hang on it in a rescue, where the method loads a line."""
    if not ask.manned:
        return Found(Answer.NOT_APPLICABLE, say("nobody hangs on a rope"))
    stated = [line for line in ask.manned if line.line.rescue is not None]
    found = [ask.worst(ask.matching("line/*/rescue/load", "line/*/rescue/how"))]
    checks = [
        check
        for line in stated or [line for line in ask.manned if line.load.people > 1]
        for check in ask.matching(f"line/{line.id}/margin/*", f"anchor/{line.line.anchor}/leg/*")
    ]
    # What is not shown to hold two at work holds no rescue; what is is no rescue looked at.
    held = ask.worst(checks)
    if stated or held.answer is not Answer.MET:
        found.append(held)
    return together(found)


def rescue_time(ask: Ask) -> Found:
    """Both times from every line; more than ten minutes are for a named person to accept."""
    if not ask.manned:
        return Found(Answer.NOT_APPLICABLE, say("nobody hangs on a rope"))
    plan, found = ask.job.rescue, [ask.worst(ask.matching("line/*/rescue/time"))]
    for line in ask.manned:
        own = plan.of_line(line.id)
        if own.time_to_contact is None:
            start = f"rescue.lines.{line.id}" if line.id in plan.lines else "rescue"
            key = f"{start}.time_to_contact"
            found.append(
                Found(Answer.NOT_DEMONSTRATED, say("{key} is not stated", key=key), (), (key,))
            )
    return together(found)


def rescue_drilled(ask: Ask) -> Found:
    """Drilled before the work, and not too long before its end."""
    months = round(cell("general", "drill interval").expected)
    return in_time(
        ask.job, ask.job.rescue.drilled, months, "rescue.drilled", say("the drill of the rescue")
    )


PERMITTED = ("confined space", "live parts", "plant that can start", "power line", "helicopter")
HOT = "flame or welding"
SWITCHED = ("live parts", "plant that can start", "radio antenna")
"""What is near that is entered or worked beside by permit, a tool that asks for one, and what is
near that is switched off: common practice of permits to work."""


def permits(ask: Ask) -> Found:
    """Permits and isolations by their numbers; that there is none must not contradict the job."""
    return together([_permits(ask), _isolations(ask)])


def _permits(ask: Ask) -> Found:
    info = ask.job.job
    why = info.why_not("permits")
    if why is not None and not denies(why):
        silent = [*_silent_sites(ask), *(["work.tools"] if _tools(ask) is None else [])]
        if silent:
            return _not_stated(*silent)
        calling = [
            *_near(ask, PERMITTED),
            *(say(each) for each in _tools(ask) or () if each == HOT),
        ]
        if calling:
            said = say("no permit is stated, and there is: {what}", what=", ".join(calling))
            return Found(Answer.NOT_DEMONSTRATED, said, (), ("job.permits",))
        return Found(Answer.AS_STATED, say("no permit is needed: {why}", why=why))
    if not info.permits:
        return _not_stated("job.permits")
    wordy = [each for each in info.permits if not any(char.isdigit() for char in each)]
    if wordy:
        said = say("without a number: {wordy}", wordy=", ".join(wordy))
        return Found(Answer.NOT_DEMONSTRATED, said, (), ("job.permits",))
    return Found(Answer.AS_STATED, say("permits {permits}", permits=", ".join(info.permits)))


def _isolations(ask: Ask) -> Found:
    """Everything near that can be switched on is isolated, by number, and proved dead."""
    key = "work.isolations"
    listed = ask.job.work.isolations if ask.job.work else None
    if listed is None:
        return _not_stated(key)
    if not listed and _silent_sites(ask):
        return _not_stated(*_silent_sites(ask))
    calling = _near(ask, SWITCHED)
    if not listed:
        said = say("nothing is isolated, and there is: {what}", what=", ".join(calling))
        return (
            Found(Answer.NOT_DEMONSTRATED, said, (), (key,))
            if calling
            else Found(Answer.AS_STATED, say("nothing is isolated, and nothing near asks for it"))
        )
    lacking = [
        each.what
        for each in listed
        if each.number is None or each.proved is None or denies(each.number) or denies(each.proved)
    ]
    if lacking:
        said = say("without a number or a proof: {lacking}", lacking=", ".join(lacking))
        return Found(Answer.NOT_DEMONSTRATED, said, (), (key,))
    said = say("isolated: {what}", what=", ".join(each.what for each in listed))
    return Found(Answer.AS_STATED, said)


def _near(ask: Ask, words: Sequence[str]) -> list[str]:
    return [say(near) for site in ask.job.sites.values() for near in site.near or ()
            if near in words]  # fmt: skip


def _silent_sites(ask: Ask) -> list[str]:
    """Sites that say neither what is near nor why nothing is."""
    return [
        f"sites.{name}.near"
        for name, site in ask.job.sites.items()
        if site.near is None and site.why_not("near") is None
    ]


def _tools(ask: Ask) -> Sequence[str] | None:
    return ask.job.work.tools if ask.job.work else None


def _not_stated(*keys: str) -> Found:
    said = say("not stated: {lacking}", lacking=", ".join(keys))
    return Found(Answer.NOT_DEMONSTRATED, said, (), keys)


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
    "two_lines": two_lines,
    "things_fall": things_fall,
    "permits": permits,
    "rescue_planned": rescue_planned,
    "rescue_load": rescue_load,
    "rescue_time": rescue_time,
    "rescue_drilled": rescue_drilled,
    "stopper": stopper,
}
