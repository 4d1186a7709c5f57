"""What triggers ask of a plan: who hangs where, what the job says and what it leaves out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from riskdoc.analysis.resolve import Rig, RigLine, rig_of
from riskdoc.i18n.say import say
from riskdoc.job.model import Job
from riskdoc.judgement.verdicts import Assessment
from riskdoc.tables.loader import cell

Reasons = Iterator[str]


@dataclass(frozen=True)
class Look:
    """A plan as triggers look at it."""

    plan: Assessment

    @cached_property
    def rig(self) -> Rig:
        """The lines with their names resolved."""
        return rig_of(self.plan.file)

    @property
    def job(self) -> Job:
        """The job that was assessed."""
        return self.plan.file.job

    @cached_property
    def manned(self) -> tuple[RigLine, ...]:
        """The lines people hang on."""
        return tuple(line for line in self.rig.lines if line.person)

    def people(self) -> Reasons:
        """Somebody hangs on a rope at all."""
        if self.manned:
            names = ", ".join(dict.fromkeys(line.id for line in self.manned))
            yield say("people hang on {names}", names=names)

    def cases(self, *wanted: str) -> Reasons:
        """Something of this kind is done with a line, or in a rescue from it."""
        for line in self.rig.lines:
            done: list[str] = [say(case) for case in line.line.cases if case in wanted]
            rescue = line.line.rescue
            if rescue is not None and rescue.how in wanted:
                done.append(say("{how} in a rescue", how=say(rescue.how)))
            if done:
                yield f"{line.id}: {', '.join(done)}"

    def near(self, *tags: str, ask: bool = False) -> Reasons:
        """Something stated near a site; with `ask` also that nothing is stated at all."""
        for name, site in self.job.sites.items():
            if not site.near:
                if ask and site.why_not("near") is None:
                    yield say("the job does not say what is near {name}", name=name)
                continue
            for tag in site.near:
                if tag in tags:
                    yield say("{tag} at {name}", tag=say(tag), name=name)

    def tools(self, *wanted: str, ask: bool = False) -> Reasons:
        """A tool stated; with `ask` also that no tools are stated."""
        work = self.job.work
        if work is None or work.tools is None:
            if ask:
                yield say("the job does not say which tools are used")
            return
        for tool in work.tools:
            if tool in wanted:
                yield say("tool: {tool}", tool=say(tool))

    def method(self, *wanted: str) -> Reasons:
        """The kind of rope work."""
        work = self.job.work
        if work is not None and work.method in wanted:
            yield say("the work is {method}", method=say(work.method))

    def colder(self, row: str, *, wet: bool = False, ask: bool = True) -> Reasons:
        """Air down to a temperature of the table; with `ask` also that none is stated."""
        for name, site in self.job.sites.items():
            if wet and site.wet is False:
                continue
            if site.temperature is None:
                if ask:
                    yield say("no air temperature is stated for {name}", name=name)
            elif site.temperature.low <= number(row):
                where: dict[str, object] = {"temperature": site.temperature.written, "name": name}
                yield (
                    say("air down to {temperature} at {name}, wet", **where)
                    if wet
                    else say("air down to {temperature} at {name}", **where)
                )


def users(lines: Iterable[RigLine], what: str, id: str) -> tuple[RigLine, ...]:
    """The lines that use an edge, a protector (`protection`) or a rope, in the order of the job."""
    used: dict[str, Callable[[RigLine], set[str | None]]] = {
        "edge": lambda line: {edge.id for edge in line.edges},
        "protection": lambda line: {edge.protector_id for edge in line.edges},
        "rope": lambda line: {line.line.rope},
    }
    return tuple(line for line in lines if id in used[what](line))


def number(row: str) -> float:
    """A number of the table of triggers.

    >>> number("long drop")
    39.6
    """
    return cell("hazards", row).expected
