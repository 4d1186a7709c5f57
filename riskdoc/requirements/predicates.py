"""What decides items and needs code, by name, for every set.

Only what no words of YAML say stands here; numbers of clauses and lists of words come from the set.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import AfterValidator

from riskdoc.analysis.resolve import RigLine
from riskdoc.analysis.tension import static
from riskdoc.conditions.anchoring import attached, legs_hold
from riskdoc.conditions.condition import imperial
from riskdoc.conditions.job_values import says
from riskdoc.conditions.parts import Part, users
from riskdoc.conditions.vocabulary import CountBound, Many, MassBound, Template, Words
from riskdoc.i18n.say import say
from riskdoc.job.faults import nearest, shown
from riskdoc.job.model import Near, Tool
from riskdoc.job.words import denies
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.quantities.printing import amount, exact
from riskdoc.quantities.ranges import Range
from riskdoc.requirements.ask import Ask, at_most, not_stated, together
from riskdoc.requirements.items import Answer, Found
from riskdoc.tables.loader import cell

SHARED = ("who", "kit", "steps")
"""What a rescue plan says for all lines; everything else it says for each."""


class Nothing(Words):
    """A predicate that asks for no more than its name."""


class Rescue(Words):
    """Keys of the rescue plan that must be stated."""

    states: Many


def rescue_planned(ask: Ask, _: Part, using: Rescue) -> Found:
    """A rescue plan with everything in it, by people who are trained to rescue.

    What can be looked at was: who is trained, what the method does to lines, the times. Texts are
    read for whether they deny what they are asked for, and no further.
    """
    people = ask.job.people
    untrained = [people[id].name for id in ask.job.rescue.everybody if not people[id].rescue]
    found = [ask.worst(ask.matching(("rescue/stated", "rescue/by", "line/*/rescue/how")))]
    if untrained:
        said = say("not trained to rescue: {untrained}", untrained=", ".join(untrained))
        found.append(Found(Answer.NOT_MET, said))
    lacking = tuple(dict.fromkeys(_lacking(ask, using.states)))
    stated = Found(Answer.AS_STATED, say("rescuers, method, kit, steps and times are stated"))
    return together([*found, not_stated(*lacking) if lacking else stated])


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


def rescue_load_held(ask: Ask, _: Part, __: Nothing) -> Found:
    """Lines and anchors with the rescue load on them, where the method loads a line.

    What is not shown to hold two at work holds no rescue; what is is no rescue looked at.
    """
    found = [ask.worst(ask.matching(("line/*/rescue/load", "line/*/rescue/how")))]
    stated = [line for line in ask.manned if line.line.rescue is not None]
    checks: list[Check] = []
    for line in stated or [line for line in ask.manned if line.load.people > 1]:
        checks += ask.matching((f"line/{line.id}/margin/*", f"anchor/{line.line.anchor}/leg/*"))
    held = ask.worst(checks)
    return together([*found, held] if stated or held.answer is not Answer.MET else found)


class Permits(Words):
    """What is near that asks for a permit, what asks for isolation, and tools that do."""

    near: tuple[Near, ...]
    tools: tuple[Tool, ...]
    switched: tuple[Near, ...]


def permits(ask: Ask, _: Part, using: Permits) -> Found:
    """Permits and isolations by their numbers; that there is none must not contradict the job."""
    return together([_permits(ask, using), _isolations(ask, using)])


def _permits(ask: Ask, using: Permits) -> Found:
    info = ask.job.job
    why = info.why_not("permits")
    if why is not None and not denies(why):
        return _none_needed(ask, using, why)
    if not info.permits:
        return not_stated("job.permits")
    wordy = [each for each in info.permits if not any(char.isdigit() for char in each)]
    if wordy:
        said = say("without a number: {wordy}", wordy=", ".join(wordy))
        return Found(Answer.NOT_DEMONSTRATED, said, (), ("job.permits",))
    return Found(Answer.AS_STATED, say("permits {permits}", permits=", ".join(info.permits)))


def _none_needed(ask: Ask, using: Permits, why: str) -> Found:
    tools = ask.job.work.tools if ask.job.work else None
    silent = [*_silent_sites(ask), *(["work.tools"] if tools is None else [])]
    if silent:
        return not_stated(*silent)
    calling = [*_near(ask, using.near), *(say(each) for each in tools or () if each in using.tools)]
    if calling:
        said = say("no permit is stated, and there is: {what}", what=", ".join(calling))
        return Found(Answer.NOT_DEMONSTRATED, said, (), ("job.permits",))
    return Found(Answer.AS_STATED, say("no permit is needed: {why}", why=why))


def _isolations(ask: Ask, using: Permits) -> Found:
    """Everything near that can be switched on is isolated, by number, and proved dead."""
    key = "work.isolations"
    listed = ask.job.work.isolations if ask.job.work else None
    if listed is None:
        return not_stated(key)
    if not listed and _silent_sites(ask):
        return not_stated(*_silent_sites(ask))
    calling = _near(ask, using.switched)
    if not listed and calling:
        said = say("nothing is isolated, and there is: {what}", what=", ".join(calling))
        return Found(Answer.NOT_DEMONSTRATED, said, (), (key,))
    if not listed:
        return Found(Answer.AS_STATED, say("nothing is isolated, and nothing near asks for it"))
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


class Ratio(Words):
    """The ratio that is asked for."""

    ratio: CountBound


def device_over_static(ask: Ask, device: Part, using: Ratio) -> Found:
    """The strength of a device over the greatest static tension of its line, whatever the strands.

    It may be the weakest part of the line.
    """
    line = next(each for each in ask.lines if each.id == device.words["line"])
    strength, parts = device.model.strength, {"line": line.id, "name": device.id}
    if strength is None:
        said = say("{line}: {name} states no strength", **parts)
        return Found(Answer.NOT_DEMONSTRATED, said, (), (f"{device.key}.strength",))
    ratio = using.ratio.exactly
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


def independent_lines(ask: Ask, load: Part, _: Nothing) -> Found:
    """Lines of one load that share nothing which fails for both; then as their check has it."""
    lines = ask.loads[load.id]
    own = {line.id for line in lines}
    shared = [
        check
        for check in ask.matching(["*/common"])
        if own & {each.id for each in users(ask.lines, *check.id.split("/")[:2])}
    ]
    if shared or len({line.line.rope for line in lines}) < len(lines):
        said = ", ".join(check.subject for check in shared) or say("one rope")
        text = say("{load}: both lines share {said}", load=load.id, said=said)
        return Found(Answer.NOT_DEMONSTRATED, text)
    return ask.worst(ask.matching([f"load/{load.id}/lines"]))


def no_lower_level(ask: Ask, part: Part, _: Nothing) -> Found:
    """No contact with a lower level in a fall; the metre to spare of our own is not asked for."""
    spare, line = cell("work", "spare clearance").expected, part.rig
    needed = ask.plan.figure(f"line/{line.id}/clearance/needed")
    fall = line.line.fall
    if needed is None or fall is None or fall.clear is None:
        said = say("{line}: clearance is not demonstrated", line=line.id)
        return Found(Answer.NOT_DEMONSTRATED, said)
    there = min([fall.clear.low, *(ledge.below.low for ledge in fall.ledges)])
    ends = (needed.range.low, needed.range.expected, needed.range.high)
    reach = Range(*(each - spare for each in ends))
    said = say(
        "{line}: {reach} needed, {least} there",
        line=line.id,
        reach=amount(reach.high, "m", "up"),
        least=exact(there, "m", "down"),
    )
    return at_most(reach, there, said, Answer.NOT_DEMONSTRATED)


class Heavy(Words):
    """The mass that a test is made for, in the two units of the clause."""

    under: MassBound


def mass_with_kit(ask: Ask, part: Part, using: Heavy) -> Found:
    """A load with its kit below the mass that systems are tested for; else somebody is asked."""
    line: RigLine = part.rig
    load, most = line.load, line.load.mass.high + line.load.kit.high
    pounds = imperial(load.mass) and imperial(load.kit)
    limit = using.under.exactly if pounds else min(using.under.printed, using.under.exactly)
    parts = {"load": line.line.load, "most": exact(most, "kg", "up", 6)}
    if most < limit:
        return Found(Answer.MET, say("{load}: {most} with kit", **parts))
    said = say("{load}: {most} with kit; how was the system tested for it?", **parts)
    return Found(Answer.NOT_DEMONSTRATED, said)


class Twice(Words):
    """How many times the greatest arrest force is asked for, and what is said of it."""

    times: CountBound
    say: Template


def anchor_over_falls(ask: Ask, anchor: Part, using: Twice) -> Found:
    """The legs against the greatest arrest force for each person, where more is not practicable."""
    key = f"{anchor.key}.not_practicable"
    why = anchor.model.not_practicable
    if why is None:
        return not_stated(key)
    lines = [line for line in ask.manned if line.line.anchor == anchor.id]
    checks = [ask.plan.check(f"line/{line.id}/fall/peak") for line in lines]
    asked = [check for check in checks if check is not None]
    peaks = [check.demand.high for check in asked if check.demand]
    if not peaks or len(peaks) < len(asked):
        # The greatest of the falls is meant: one that is not known may be it.
        missing = tuple(str(key) for check in asked for key in check.missing)
        said = say("not every fall on {name} is computed, so the greatest is not known",
                   name=anchor.id)  # fmt: skip
        return Found(Answer.NOT_DEMONSTRATED, said, (), missing)
    people = attached(ask, anchor.id, "person whose line ends there")
    holds = legs_hold(ask, anchor.id, using.times.exactly * max(peaks) * people)
    force = amount(max(peaks), "N", "up")
    said = ask.said(using.say, name=anchor.id, peaks=force, why=why)
    if denies(why):
        return Found(Answer.NOT_MET, said, (), (key,))
    if holds is Verdict.ADEQUATE:
        # The force was computed; whether what is asked first cannot be had is for a person.
        return Found(Answer.TO_BE_ANSWERED, said)
    return Found(Answer.NOT_DEMONSTRATED if holds is Verdict.BORDERLINE else Answer.NOT_MET, said)


@dataclass(frozen=True)
class Predicate:
    """A named predicate: the kind of part it is about, what it is given, and what it finds."""

    of: str
    run: Callable[[Ask, Part, Any], Found]
    using: type[Words] = Nothing


PREDICATES: Mapping[str, Predicate] = {
    "rescue planned": Predicate("job", rescue_planned, Rescue),
    "rescue load held": Predicate("job", rescue_load_held),
    "permits and isolations": Predicate("job", permits, Permits),
    "device over static tension": Predicate("device", device_over_static, Ratio),
    "lines share nothing": Predicate("load", independent_lines),
    "no lower level": Predicate("line", no_lower_level),
    "mass with kit": Predicate("line", mass_with_kit, Heavy),
    "anchor over falls": Predicate("anchor", anchor_over_falls, Twice),
}
"""What `by` may name."""


def _known(name: str) -> str:
    if name not in PREDICATES:
        near = nearest(name, list(PREDICATES))
        hint = f"did you mean {near}?" if near else f"known are {', '.join(PREDICATES)}"
        raise ValueError(f"unknown predicate {shown(name)}; {hint}")
    return name


PredicateName = Annotated[str, AfterValidator(_known)]
