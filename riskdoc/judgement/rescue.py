"""The rescue plan: what it states, by whom, how, on which line and in what time.

Whoever hangs on a line may be the casualty. What a method does to a line must be in the job as the
load and the case of that line, so that every check judges it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from riskdoc.analysis.inputs import sourced
from riskdoc.analysis.resolve import Rig, RigLine
from riskdoc.i18n.message import Placed, Text, filled, joined, message
from riskdoc.i18n.say import mark
from riskdoc.job.model import Job, RescuePlan
from riskdoc.job.words import names_nothing
from riskdoc.judgement.judge import JUDGED, Question, does_not_apply, not_demonstrated, rule
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.tables.loader import cell

PLANNED = mark(
    "Work at Height Regulations 2005, reg. 4(2): planning includes emergencies and rescue (from "
    "memory)"
)
ON_LINE: Mapping[str, str] = {"lower": "lower", "raise": "raise", "accompany": "lower"}
"""Methods that load a line, and what `lines.*.rescue.how` says of it then."""


def rescue_checks(rig: Rig, manned: Sequence[RigLine]) -> Iterator[Check]:
    """Every check of the rescue plan; with nobody on a rope only whether there is one."""
    job = rig.file.job
    yield _stated(job, manned)
    if not manned:
        return
    yield _by(job)
    yield _call(job.rescue)
    for line in manned:
        yield _time(job, line)
        yield _how(rig, line)
        yield _load(rig, line)


def asked(id: str, subject: str, title: Text) -> Question:
    """A question that no number answers."""
    return Question(id, subject, title, "", "", "1", "")


def _stated(job: Job, manned: Sequence[RigLine]) -> Check:
    """Whether a rescue plan is stated at all, from every line that people hang on."""
    question = asked("rescue/stated", "rescue", message("Rescue plan stated"))
    gaps = tuple(dict.fromkeys(_gaps(job, manned)))
    if gaps:
        return not_demonstrated(question, gaps, None)
    return rule(
        question.id,
        question.subject,
        question.title,
        Verdict.ADEQUATE,
        message(
            "Rescuers, method and time to the ground are stated; whether they are enough on the "
            "day is for those who sign."
        ),
        "",
        message(PLANNED),
    )


def _gaps(job: Job, manned: Sequence[RigLine]) -> Iterator[str]:
    """Keys that the plan lacks. A line without a plan of its own is left out by nobody's word."""
    plan = job.rescue
    yield from dict.fromkeys(key for line in manned if (key := _unsaid(plan, line.id)) is not None)
    parts = {_key(plan, line.id): plan.of_line(line.id) for line in manned} or {"rescue": plan}
    for key in ("who", "method", "time_to_ground"):
        for start, part in parts.items():
            if not getattr(part, key) and not (key == "who" and plan.by == "emergency services"):
                yield f"{'rescue' if key == 'who' else start}.{key}"


def _unsaid(plan: RescuePlan, line: str) -> str | None:
    """The key that would say whether this line has a plan of its own; None where one says it."""
    if plan.why_not("lines") is not None or line in plan.lines:
        return None
    return f"rescue.lines.{line}" if plan.lines else "rescue.lines"


def _key(plan: RescuePlan, line: str) -> str:
    """Where the rescue from a line is stated."""
    return f"rescue.lines.{line}" if line in plan.lines else "rescue"


def _by(job: Job) -> Check:
    """Emergency services alone are no rescue plan; nor are rescuers who were never trained."""
    plan = job.rescue
    id, subject, title = "rescue/by", "rescue", message("Rescue by the job's own people")
    if plan.by == "emergency services":
        return rule(
            id, subject, title, Verdict.INADEQUATE,
            message(
                "Nobody but the emergency services is to rescue: they may come too late, and "
                "without rope skills."
            ),
            message("People of the job's own, trained and equipped to rescue."), message(JUDGED),
        )  # fmt: skip
    unready = [job.people[id].name for id in plan.everybody if not job.people[id].rescue]
    if unready:
        return rule(
            id, subject, title, Verdict.INADEQUATE,
            message(
                "{unready} are to rescue and not trained to.",
                unready=joined(unready, message(" and ")),
            ),
            message("Train them, or name others."), message(JUDGED),
        )  # fmt: skip
    gaps = (*(() if plan.by else ("rescue.by",)), *(() if plan.everybody else ("rescue.who",)))
    if gaps:
        return not_demonstrated(asked(id, subject, title), gaps, None)
    trained = message("Everybody who is to rescue is stated to be trained to.")
    return rule(id, subject, title, Verdict.ADEQUATE, trained, "", message(JUDGED))


CALLS = {
    "good": (Verdict.ADEQUATE, Verdict.ADEQUATE),
    "patchy": (Verdict.ADEQUATE, Verdict.NOT_DEMONSTRATED),
    "none": (Verdict.ADEQUATE, Verdict.INADEQUATE),
}
"""The verdict by telephone signal: with another way to call help named, and without.

A text that only says what there is not names none.
"""


def _call(plan: RescuePlan) -> Check:
    """Whether help can be called from the place; without a signal there must be another way."""
    id, subject, title = "rescue/call", "rescue", message("Help can be called")
    if plan.phone_signal is None:
        return not_demonstrated(asked(id, subject, title), ("rescue.phone_signal",), None)
    call = None if plan.call is None or names_nothing(plan.call) else plan.call
    verdict = CALLS[plan.phone_signal][call is None]
    parts = {"signal": message(plan.phone_signal), "call": call}
    reason = (
        message("Telephone signal: {signal}; help is called by: {call}", **parts)
        if call is not None
        else message("Telephone signal: {signal}; no other way to call help is stated.", **parts)
    )
    good = verdict is Verdict.ADEQUATE
    remedy = (
        "" if good else message("State in rescue.call how help is called from the place of work.")
    )
    found = rule(id, subject, title, verdict, reason, remedy, message(PLANNED))
    return found if good else replace(found, missing=("rescue.call",))


def _time(job: Job, line: RigLine) -> Check:
    """Time until a casualty on this line is on the ground; a long one needs its reason.

    With its reason it is borderline, for a named person to accept: no reason makes it short.
    """
    plan = job.rescue.of_line(line.id)
    id, subject = f"line/{line.id}/rescue/time", f"line/{line.id}"
    title, limit = message("Time until a casualty is on the ground"), cell("general", "rescue time")
    time, why, start = plan.time_to_ground, plan.why_longer, _key(job.rescue, line.id)
    gaps = [_unsaid(job.rescue, line.id), *([f"{start}.time_to_ground"] if time is None else [])]
    if time is None or any(gaps):
        return not_demonstrated(asked(id, subject, title), tuple(filter(None, gaps)), None)
    short = time.high <= limit.expected
    return rule(
        id,
        subject,
        title,
        Verdict.ADEQUATE if short else Verdict.BORDERLINE if why else Verdict.INADEQUATE,
        _time_words(line.id, time.written, None if short else limit.expected / 60, why),
        ""
        if short
        else message("A faster way down.")
        if why
        else message("A faster way down, or the reason in {key}.", key=f"{start}.why_longer"),
        sourced(limit),
    )


def _time_words(line: str, time: str, limit: float | None, why: str | None) -> Text:
    """What is planned from a line; `limit` in minutes where it is longer than that."""
    if limit is None:
        return message(
            "{time} are planned from {line}; that is no safe limit, and help comes as fast as it "
            "can.",
            time=time,
            line=line,
        )
    if why is None:
        return message(
            "{time} are planned from {line}, more than {limit:g} min, and no reason.",
            time=time,
            line=line,
            limit=limit,
        )
    return message(
        "{time} are planned from {line}, more than {limit:g} min: {why}",
        time=time,
        line=line,
        limit=limit,
        why=why,
    )


def _how(rig: Rig, line: RigLine) -> Check:
    """Whether the method has the line, the load and the haul that it cannot do without."""
    plan, start = rig.file.job.rescue, _key(rig.file.job.rescue, line.id)
    own = plan.of_line(line.id)
    id, subject = f"line/{line.id}/rescue/how", f"line/{line.id}"
    title = message("Rescue method has what it needs")
    gaps = [_unsaid(plan, line.id), *([f"{start}.how"] if own.how is None else [])]
    if own.how is None or any(gaps):
        return not_demonstrated(asked(id, subject, title), tuple(filter(None, gaps)), None)
    if own.how == "self":
        return rule(
            id, subject, title, Verdict.INADEQUATE,
            message("A casualty on line ‘{line}’ who cannot move does not get down alone.",
                line=line.id),
            message("Rescuers who lower, raise or accompany the casualty."), message(JUDGED),
        )  # fmt: skip
    if own.how == "from below":
        if own.kit is None:
            return not_demonstrated(asked(id, subject, title), (f"{start}.kit",), None)
        reason = message("Rescuers come from below, with: {kit}", kit=own.kit.rstrip("."))
        return rule(
            id,
            subject,
            title,
            Verdict.ADEQUATE,
            filled("{reason}.", reason=reason),
            "",
            message(JUDGED),
        )
    return _on_a_line(rig, line, own.how, asked(id, subject, title))


def _on_a_line(rig: Rig, line: RigLine, how: str, question: Question) -> Check:
    """A method that loads a line: a line at the casualty's site states that rescue and holds it."""
    there = [
        each
        for each in rig.lines
        if each.line.rescue is not None
        and each.line.rescue.how == ON_LINE[how]
        and each.site_id == line.site_id
    ]
    short = [_short(rig.file.job, line, each, how) for each in there]
    if None in short:
        fits = there[short.index(None)]
        assert fits.line.rescue is not None  # noqa: S101  (only such are there)
        reason = message(
            "{how}: line ‘{fits}’ states it with load ‘{load}’, and is judged with it.",
            how=Placed(message(how), "alone"),
            fits=fits.id,
            load=fits.line.rescue.load,
        )
        return rule(
            question.id,
            question.subject,
            question.title,
            Verdict.ADEQUATE,
            reason,
            "",
            message(JUDGED),
        )
    none = message("no line at site ‘{site}’ states such a rescue", site=line.site_id)
    key, lacking = next((each for each in short if each), ("lines.….rescue", none))
    found = rule(
        question.id,
        question.subject,
        question.title,
        Verdict.NOT_DEMONSTRATED,
        message("{how}: {lacking}.", how=Placed(message(how), "alone"), lacking=lacking),
        message("State the rescue on a line at the site: its load, and how it moves."),
        message(JUDGED),
    )
    return replace(found, missing=(key,))


def _short(job: Job, line: RigLine, rescue: RigLine, how: str) -> tuple[Text, Text] | None:
    """What a rescue line lacks for the casualty of a line, with its key; None where it has all."""
    stated = rescue.line.rescue
    assert stated is not None  # noqa: S101  (only such come here)
    load, people = job.loads[stated.load], line.load.people
    wanted = max(2, people) if how == "accompany" else people
    if load.people < wanted:
        return f"loads.{stated.load}.people", message(
            "load ‘{load}’ on line ‘{line}’ counts {count} of {wanted} people",
            load=stated.load,
            line=rescue.id,
            count=load.people,
            wanted=wanted,
        )
    more = load.people > people
    if load.mass.high < line.load.mass.high or (more and load.mass.high == line.load.mass.high):
        return f"loads.{stated.load}.mass", message(
            "load ‘{load}’ on line ‘{line}’ is lighter than those who are rescued",
            load=stated.load,
            line=rescue.id,
        )
    if how == "raise" and rescue.line.haul is None:
        return f"lines.{rescue.id}.haul", message(
            "line ‘{line}’ has no hauling system", line=rescue.id
        )
    return None


def _load(rig: Rig, line: RigLine) -> Check:
    """Whether a line that people hang on states what it carries in a rescue, and on what.

    A device that no line names may be the one that the rescue hangs on: nobody can tell.
    """
    id, subject = f"line/{line.id}/rescue/load", f"line/{line.id}"
    title, why = message("Load in a rescue"), line.line.why_not("rescue")
    if line.line.rescue is None:
        if why is not None:
            return does_not_apply(id, subject, title, why)
        return not_demonstrated(asked(id, subject, title), (f"lines.{line.id}.rescue",), None)
    named = {device for each in rig.lines for device in each.all_devices}
    if not line.line.rescue.devices and set(rig.file.job.devices) - named:
        key = f"lines.{line.id}.rescue.devices"
        return not_demonstrated(asked(id, subject, title), (key,), None)
    reason = message(
        "Line ‘{line}’ carries load ‘{load}’ in a rescue ({how}), and is judged with it.",
        line=line.id,
        load=line.line.rescue.load,
        how=message(line.line.rescue.how),
    )
    return rule(id, subject, title, Verdict.ADEQUATE, reason, "", message(JUDGED))
