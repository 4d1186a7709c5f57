"""A plan as conditions ask it: the job, its lines, its checks, and the hazards of its register."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import cached_property
from typing import Any

from riskdoc.analysis.resolve import RigLine, rig_of
from riskdoc.i18n.say import say
from riskdoc.job.model import Job
from riskdoc.judgement.verdicts import Assessment, Check


def _no_items(id: str) -> str:
    raise LookupError(f"there is no item {id!r}")


@dataclass(frozen=True)
class Asked:
    """A plan that conditions are put to.

    `hazards` are those of its register, `answers` what other items of the set are answered, by id.
    `own`: the texts are a user's and stand as written.
    """

    plan: Assessment
    hazards: Sequence[Any] = ()
    own: bool = False
    answers: Callable[[str], str] = _no_items

    @property
    def job(self) -> Job:
        """The job that was assessed."""
        return self.plan.file.job

    @cached_property
    def lines(self) -> tuple[RigLine, ...]:
        """All lines."""
        return rig_of(self.plan.file).lines

    @cached_property
    def manned(self) -> tuple[RigLine, ...]:
        """Lines people hang on."""
        return tuple(line for line in self.lines if line.person)

    @cached_property
    def loads(self) -> dict[str, tuple[RigLine, ...]]:
        """Loads with people, and their lines."""
        found: dict[str, tuple[RigLine, ...]] = {}
        for line in self.manned:
            found[line.line.load] = (*found.get(line.line.load, ()), line)
        return found

    @cached_property
    def descents(self) -> tuple[RigLine, ...]:
        """Lines people go down on, and every other line of the same load.

        Where no line says who goes down, everybody may: a case that was left out takes nobody out
        of a rule for descents.
        """
        loads = {line.line.load for line in self.manned if "descend" in line.line.cases}
        loads = loads or set(self.loads)
        return tuple(line for line in self.manned if line.line.load in loads)

    @property
    def method(self) -> str | None:
        """The kind of rope work stated."""
        return self.job.work.method if self.job.work else None

    def matching(
        self, patterns: Iterable[str], but: Iterable[str] = (), of: str = ""
    ) -> list[Check]:
        """Checks whose ids have one of these shapes; `of` people or things alone.

        Checks of lines and of loads are of people or of things; all others are of both.
        """
        lines = [line for line in self.lines if line.person == (of == "people")]
        wanted = {"line": {each.id for each in lines}, "load": {each.line.load for each in lines}}
        shapes, others = tuple(patterns), tuple(but)
        return [
            check
            for check in self.plan.checks
            if like(check.id, shapes)
            and not like(check.id, others)
            and (
                not of or _named(check.id) in wanted.get(check.id.split("/")[0], {_named(check.id)})
            )
        ]

    def said(self, text: str, /, **words: object) -> str:
        """A text with its words: one of ours is said, a user's stands as it was written."""
        if self.own or not re.search("[A-Za-z]", re.sub(r"\{.*?\}", "", text)):
            return text.format(**words)
        return say(text, **words)


def like(id: str, patterns: tuple[str, ...]) -> bool:
    """Whether an id of a check has one of these shapes."""
    return any(fnmatchcase(id, pattern) for pattern in patterns)


def _named(id: str) -> str:
    return id.split("/")[1] if "/" in id else ""
