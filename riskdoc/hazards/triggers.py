"""Why a hazard of the catalogue belongs to this job, by the `when` of its entry.

Each clause of a trigger yields its reasons, each naming the part of the job; none is no hazard of
this job. What the job leaves unsaid is a reason wherever the hazard is common and serious.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from pydantic import TypeAdapter, ValidationError

from riskdoc.conditions.condition import Condition, holds
from riskdoc.conditions.filled_text import WITH, With, put
from riskdoc.conditions.load_checks import LoadChecker
from riskdoc.conditions.parts import Part, parts_at, whole
from riskdoc.conditions.plan import Asked, like
from riskdoc.conditions.vocabulary import Many, RefusedError, ScopePath, Template, Words, told
from riskdoc.hazards.matrices import load
from riskdoc.i18n.say import inside, say
from riskdoc.job.model import Case, Method, Near, Tool

Reasons = Iterator[str]


class Saying(Words):
    """A reason, and when it is one."""

    when: Condition | None = None
    say: Template
    with_: With = WITH


class Clause(Words):
    """Where reasons come from: parts of the job, or what is stated of its work and its sites.

    With `each` every part for which `when` holds, and of `cases` the first that holds for it. The
    other words list what is near a site, tools, kinds of work, and what is done with a line, each
    with a reason of its own; `unsaid` makes a reason of it that nothing is stated of them.
    """

    each: ScopePath = ()
    when: Condition | None = None
    cases: tuple[Saying, ...] = ()
    say: Template = ""
    with_: With = WITH
    near: tuple[Near, ...] = ()
    tools: tuple[Tool, ...] | None = None
    method: tuple[Method, ...] = ()
    done: tuple[Case, ...] = ()
    unmet: Many = ()
    unsaid: bool = False


@dataclass(frozen=True, slots=True)
class Trigger:
    """What proposes a hazard, the checks that belong to it, and whether it stands on every job."""

    clauses: tuple[Clause, ...]
    checks: tuple[str, ...]
    standing: bool


@cache
def triggers() -> Mapping[str, Trigger]:
    """What proposes each hazard of the catalogue."""
    raw = load("catalogue.yaml")
    named = raw["triggers"]
    return {
        id: Trigger(
            clauses_of(named[body["when"]] if isinstance(body["when"], str) else body["when"], id),
            tuple(body.get("checks", ())),
            bool(body.get("standing", False)),
        )
        for id, body in raw["hazards"].items()
    }


def clauses_of(raw: object, id: str) -> tuple[Clause, ...]:
    """The clauses of a trigger. Raises `RefusedError` with the hazard, the place and the word."""
    try:
        found = TypeAdapter(tuple[Clause, ...]).validate_python(raw)
        for n, clause in enumerate(found, start=1):
            _verify(clause, LoadChecker(f"[{n}]"))
    except ValidationError as error:
        raise RefusedError(f"hazard {id}: when{told(error)}") from error
    except RefusedError as error:
        raise RefusedError(f"hazard {id}: when{error}") from error
    return found


def _verify(clause: Clause, here: LoadChecker) -> None:
    """Looks at every key and word of a clause, so that none is asked for in vain."""
    inner = here.each(clause.each)
    inner.condition(clause.when, "when")
    if clause.say:
        inner.text(clause.say, clause.with_)
    for n, case in enumerate(clause.cases, start=1):
        under = inner.at(f"cases[{n}]")
        under.condition(case.when, "when")
        under.text(case.say, case.with_)


def reasons(ask: Asked, trigger: Trigger) -> Reasons:
    """Why a plan has a hazard; none where it has not."""
    for clause in trigger.clauses:
        yield from _reasons(ask, clause)


def _reasons(ask: Asked, clause: Clause) -> Reasons:
    yield from _near(ask, clause)
    yield from _tools(ask, clause)
    work = ask.job.work
    if work is not None and work.method in clause.method:
        yield say("the work is {method}", method=say(work.method))
    if clause.done:
        yield from _done(ask, clause.done)
    for check in ask.plan.failed_checks if clause.unmet else ():
        if like(check.id, clause.unmet):
            yield say("open: {check}", check=inside(check.title))
    if clause.say or clause.cases:
        for part in parts_at(ask, clause.each, whole(ask)):
            if holds(ask, clause.when, part):
                yield from _said(ask, clause, part)


def _said(ask: Asked, clause: Clause, part: Part) -> Reasons:
    if clause.say:
        yield put(ask, clause.say, part, clause.with_)
    case = next((each for each in clause.cases if holds(ask, each.when, part)), None)
    if case is not None:
        yield put(ask, case.say, part, case.with_)


def _near(ask: Asked, clause: Clause) -> Reasons:
    """Something stated near a site; `unsaid` also that nothing is stated at all."""
    if not clause.near:
        return
    for name, site in ask.job.sites.items():
        if not site.near and clause.unsaid and site.why_not("near") is None:
            yield say("the job does not say what is near {name}", name=name)
        for tag in site.near or ():
            if tag in clause.near:
                yield say("{tag} at {name}", tag=say(tag), name=name)


def _tools(ask: Asked, clause: Clause) -> Reasons:
    """A tool stated; `unsaid` also that no tools are stated."""
    if clause.tools is None:
        return
    stated = ask.job.work.tools if ask.job.work else None
    if stated is None and clause.unsaid:
        yield say("the job does not say which tools are used")
    for tool in stated or ():
        if tool in clause.tools:
            yield say("tool: {tool}", tool=say(tool))


def _done(ask: Asked, wanted: tuple[str, ...]) -> Reasons:
    """Something of this kind is done with a line, or in a rescue from it."""
    for line in ask.lines:
        done: list[str] = [say(case) for case in line.line.cases if case in wanted]
        rescue = line.line.rescue
        if rescue is not None and rescue.how in wanted:
            done.append(say("{how} in a rescue", how=say(rescue.how)))
        if done:
            yield f"{line.id}: {', '.join(done)}"
