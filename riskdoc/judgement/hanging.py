"""Who hangs on which lines: rules on loads, and on every person by name.

A load is what hangs at one time. Two people who are written as one hang on one pair of lines
unseen; so whatever can hide a second person is asked about, and the answer stands in the job.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from riskdoc.analysis.inputs import rests_on, sourced
from riskdoc.analysis.resolve import Rig, RigLine
from riskdoc.i18n.message import Placed, Text, joined, message, plural
from riskdoc.i18n.say import mark
from riskdoc.job.model import Job, Load, Person
from riskdoc.job.words import denies
from riskdoc.judgement.judge import JUDGED, does_not_apply, rule
from riskdoc.judgement.separate_lines import PairOfLines, crossed, pair_of
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.quantities.printing import Amount
from riskdoc.tables.loader import cell

BY_NAME = mark(
    "Work at Height Regulations 2005, Sch. 5 Part 3 para. 1: two separately anchored lines for the "
    "user, as read in its twin instruments"
)


def hanging_checks(rig: Rig) -> Iterator[Check]:
    """Every check of what hangs on which lines, and of who does."""
    job = rig.file.job
    for load, lines in rig.by_load.items():
        yield _lines_of_people(load, lines) if lines[0].person else _lines_of_thing(load, lines)
    if not any(line.person for line in rig.lines):
        return
    for load in rig.by_load:
        if job.loads[load].people:
            yield _named(job, load)
        if job.loads[load].people > 1:
            yield _together(job, load)
    for load, part in job.loads.items():
        if part.people:
            yield _weight(load, part)
    for id, person in job.people.items():
        yield _by_name(rig, id, person)


def answered(id: str, subject: str, title: Text, key: str, why: Text | None, asks: Text) -> Check:
    """A question that a key of the job answers; not demonstrated without it."""
    if why is not None:
        reason = message("As stated: {why}.", why=Placed(why, "unstopped"))
        return rule(id, subject, title, Verdict.ADEQUATE, reason, "", message(JUDGED))
    remedy = message("State {keys}.", keys=key)
    open_one = rule(id, subject, title, Verdict.NOT_DEMONSTRATED, asks, remedy, message(JUDGED))
    return replace(open_one, missing=(key,))


def alone(lines: Sequence[RigLine]) -> Text | None:
    """Why one person hangs on one line alone, and what is done instead; None unless both stand.

    It makes a check borderline and never adequate: a named person accepts it. It stands for one
    person alone; beside a second line it is a fault of the job file.
    """
    part = lines[0].load
    why = part.single_line
    if part.people != 1 or why is None:
        return None
    measures = [each for each in why.measures if not denies(each)]
    if denies(why.second_line_riskier) or not measures:
        return None
    return message(
        "One line alone, as stated: {why}; instead: {measures}.",
        why=why.second_line_riskier.rstrip("."),
        measures=", ".join(measures).rstrip("."),
    )


def _lines_of_people(load: str, lines: tuple[RigLine, ...]) -> Check:
    """Two lines, separately anchored, for people, one of them judged for an arrest."""
    wanted, part = cell("general", "lines for a person"), lines[0].load
    id, subject = f"load/{load}/lines", f"load/{load}"
    title = message("Two lines, separately anchored")
    pair = pair_of(lines)
    if pair is not None and pair.verdict is Verdict.INADEQUATE:
        return _not_separate(load, pair)
    if pair is not None and len(lines) > wanted.expected * part.people:
        asked = answered(
            id,
            subject,
            title,
            f"loads.{load}.more_lines",
            part.more_lines,
            plural(
                "Load ‘{load}’ of {count} person hangs on {lines} lines: are there more people?",
                "Load ‘{load}’ of {count} people hangs on {lines} lines: are there more people?",
                part.people,
                load=load,
                lines=len(lines),
            ),
        )
        if asked.verdict is not Verdict.ADEQUATE or pair.redirect is None:
            return asked
    if pair is not None and pair.redirect is not None:
        return _not_separate(load, pair)
    return _pair_check(load, lines)


def _not_separate(load: str, pair: PairOfLines) -> Check:
    title, who = message("Two lines, separately anchored"), message("Load ‘{load}’", load=load)
    source = sourced(cell("general", "redirect on the other anchor"))
    return crossed(f"load/{load}/lines", f"load/{load}", title, who, pair, source)


def _pair_check(load: str, lines: tuple[RigLine, ...]) -> Check:
    wanted = cell("general", "lines for a person")
    anchors = {line.line.anchor for line in lines}
    enough = pair_of(lines) is not None
    parts: dict[str, object] = {
        "load": load,
        "lines": plural("{count} line", "{count} lines", len(lines)),
        "names": ", ".join(line.id for line in lines),
        "anchors": plural("{count} separate anchor", "{count} separate anchors", len(anchors)),
        "wanted": f"{wanted.expected:g}",
    }
    if any(line.arrests for line in lines):
        reason = message(
            "{load} hangs on {lines} ({names}) from {anchors}; {wanted} lines, separately "
            "anchored, are asked for a person: a working line and one that can arrest a fall.",
            **parts,
        )
    else:
        reason = message(
            "{load} hangs on {lines} ({names}) from {anchors}, none of which is a safety line or "
            "states a fall; {wanted} lines, separately anchored, are asked for a person, one of "
            "them able to arrest a fall.",
            **parts,
        )
    verdict = Verdict.ADEQUATE if enough else Verdict.INADEQUATE
    why = None if enough else alone(lines)
    return rule(
        f"load/{load}/lines",
        f"load/{load}",
        message("Two lines, separately anchored"),
        verdict if why is None else Verdict.BORDERLINE,
        joined([reason, why or ""], " "),
        "" if enough else message("A working and a safety line, each from an anchor of its own."),
        sourced(wanted),
    )


def _lines_of_thing(load: str, lines: tuple[RigLine, ...]) -> Check:
    """A thing on one line, or on one anchor, falls when that goes: what happens then is asked."""
    id, subject, title = f"load/{load}/lines", f"load/{load}", message("A second line, or why not")
    names = ", ".join(line.id for line in lines)
    anchors = len({line.line.anchor for line in lines})
    if min(len(lines), anchors) > 1:
        reason = message(
            "Load ‘{load}’ hangs on {count} lines ({names}) from {anchors} anchors.",
            load=load,
            count=len(lines),
            names=names,
            anchors=anchors,
        )
        return rule(id, subject, title, Verdict.ADEQUATE, reason, "", message(JUDGED))
    asks = message(
        "Load ‘{load}’ falls when one line or one anchor fails ({names}): what is hit then?",
        load=load,
        names=names,
    )
    return answered(id, subject, title, f"loads.{load}.one_line", lines[0].load.one_line, asks)


def _named(job: Job, load: str) -> Check:
    """Who hangs there, by name; more names than people take turns, and that is stated."""
    part = job.loads[load]
    id, subject, title = f"load/{load}/who", f"load/{load}", message("Who hangs there")
    if len(part.who) > part.people:
        asks = plural(
            "Load ‘{load}’ names {names} and has {count} person: never two at once?",
            "Load ‘{load}’ names {names} and has {count} people: never more at once?",
            part.people,
            load=load,
            names=_names(job, part.who),
        )
        return answered(id, subject, title, f"loads.{load}.in_turn", part.in_turn, asks)
    asks = message("Load ‘{load}’ does not name who hangs there.", load=load)
    who = message("{names} on load ‘{load}’", names=_names(job, part.who), load=load)
    return answered(id, subject, title, f"loads.{load}.who", who if part.who else None, asks)


def _together(job: Job, load: str) -> Check:
    """Several people on the same lines fall together; a rescue cannot do without."""
    part = job.loads[load]
    rescue = job.work is not None and job.work.method == "rescue"
    return answered(
        f"load/{load}/together",
        f"load/{load}",
        message("Several people on the same lines"),
        f"loads.{load}.together",
        part.together or (message("the work is a rescue") if rescue else None),
        message(
            "{count} people hang on the same lines as load ‘{load}’: why not each on lines of "
            "their own?",
            count=part.people,
            load=load,
        ),
    )


def _weight(load: str, part: Load) -> Check:
    """A mass that is that of more people than are counted."""
    most = cell("general", "mass of one person")
    each = (part.mass.high + part.kit.high) / part.people
    id, subject, title = f"load/{load}/mass", f"load/{load}", message("Mass for so many people")
    parts = {
        "load": load,
        "each": Amount(each, "kg", "up"),
        "most": Amount(most.expected, "kg", "near"),
    }
    if each <= most.expected:
        reason = message("Load ‘{load}’: {each} with kit for each person, up to {most}.", **parts)
        return rule(id, subject, title, Verdict.ADEQUATE, reason, "", sourced(most))
    asks = message(
        "Load ‘{load}’: {each} with kit for each person, more than {most}: are there more people?",
        **parts,
    )
    return replace(
        answered(id, subject, title, f"loads.{load}.heavy", part.heavy, asks), source=sourced(most)
    )


def _by_name(rig: Rig, id: str, person: Person) -> Check:
    """Whoever hangs has a working and an arresting line, on every load that names them."""
    job, name = rig.file.job, f"people/{id}/lines"
    title = message("Two lines for {person}", person=person.name)
    loads = {load: lines for load, lines in rig.by_load.items() if lines[0].person}
    mine = [load for load in loads if id in job.loads[load].who]
    source = rests_on(message(BY_NAME), "published")
    gaps = [
        found
        for load in mine
        if (found := _unpaired(name, person, load, loads[load], source)) is not None
    ]
    if gaps:
        # Two loads at one time may be worse than one line with its reason.
        asked = [*gaps, _once(job, id, person, mine, source)]
        return max(asked, key=lambda check: check.verdict.rank)
    unnamed = tuple(f"loads.{load}.who" for load in loads if not job.loads[load].who)
    if not mine and unnamed:
        reason = message("It is not stated whether {person} hangs on a line.", person=person.name)
        remedy = message("State {keys}.", keys=", ".join(unnamed))
        found = rule(name, f"people/{id}", title, Verdict.NOT_DEMONSTRATED, reason, remedy, source)
        return replace(found, missing=unnamed)
    if not mine:
        return does_not_apply(
            name,
            f"people/{id}",
            title,
            message("no load of a line names {person}", person=person.name),
        )
    return _once(job, id, person, mine, source)


def _unpaired(
    id: str, person: Person, load: str, lines: Sequence[RigLine], source: Text
) -> Check | None:
    """A person on a load without a working and an arresting line that are separate; else None."""
    title, pair = message("Two lines for {person}", person=person.name), pair_of(lines)
    if pair is not None:
        row = sourced(cell("general", "redirect on the other anchor"))
        subject = id.removesuffix("/lines")
        apart = pair.verdict is not Verdict.INADEQUATE
        return None if apart else crossed(id, subject, title, person.name, pair, row)
    why = alone(lines)
    reason = message(
        "{person} hangs on load ‘{load}’ ({lines}): {gap}.",
        person=person.name,
        load=load,
        lines=", ".join(line.id for line in lines),
        gap=_gap(lines),
    )
    return rule(
        id,
        id.removesuffix("/lines"),
        title,
        Verdict.INADEQUATE if why is None else Verdict.BORDERLINE,
        reason if why is None else joined([reason, why], " "),
        message("A working and a safety line, each from an anchor of its own."),
        source,
    )


def _once(job: Job, id: str, person: Person, mine: Sequence[str], source: Text) -> Check:
    """One person cannot hang on two loads at the same time: all but one say when not."""
    name, title = f"people/{id}/lines", message("Two lines for {person}", person=person.name)
    silent = [load for load in mine if job.loads[load].in_turn is None]
    if len(silent) > 1:
        keys = tuple(f"loads.{load}.in_turn" for load in silent[1:])
        reason = message(
            "{person} hangs on loads {loads}: never at the same time?",
            person=person.name,
            loads=joined((f"‘{load}’" for load in silent), message(" and ")),
        )
        remedy = message("State {keys}.", keys=", ".join(keys))
        found = rule(name, f"people/{id}", title, Verdict.NOT_DEMONSTRATED, reason, remedy, source)
        return replace(found, missing=keys)
    reason = message(
        "{person} hangs on load {loads}: a working line and one that can arrest a fall, separately "
        "anchored.",
        person=person.name,
        loads=joined((f"‘{load}’" for load in mine), message(" and ")),
    )
    return rule(name, f"people/{id}", title, Verdict.ADEQUATE, reason, "", source)


def _gap(lines: Sequence[RigLine]) -> Text:
    """What is missing of a working and an arresting line on anchors of their own."""
    if not any(line.line.role == "working" for line in lines):
        return message("no working line")
    if len(lines) == 1 or not any(line.arrests for line in lines):
        return message("no second line that can arrest a fall")
    return message("the two lines hang on one anchor")


def _names(job: Job, who: Sequence[str]) -> Text:
    return joined((job.people[id].name for id in who), message(" and "))
