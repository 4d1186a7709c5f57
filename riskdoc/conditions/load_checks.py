"""Looks at conditions and texts when they are loaded: every key and every word must be there.

A key that no job file can have would never be stated, and what rests on it never come to hold; so
it is refused by its name and place, and no less in a set of a user's own.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from riskdoc.conditions.condition import Condition, Selection
from riskdoc.conditions.filled_text import With
from riskdoc.conditions.job_values import measured, unknown_step
from riskdoc.conditions.part_facts import FACTS
from riskdoc.conditions.parts import KINDS, SCOPES
from riskdoc.conditions.vocabulary import Amount, RefusedError, template, words_in
from riskdoc.job.faults import shown
from riskdoc.quantities.quantity import Kind

KEYED = (
    *("stated", "unstated", "listed", "absent", "left_out", "is_", "on_or_before", "on_or_after"),
)
BOUNDED = ("at_least", "at_most", "between", "over", "reaches", "down_to")
CHECKED = ("adequate", "met", "unmet", "inadequate")
CHOICES = ("some", "every", "none", "count", "shared")


@dataclass(frozen=True)
class LoadChecker:
    """Where in a file one is, which kind of part is looked at there, and the words it gives.

    `items` are those of the set, which conditions may ask for.
    """

    place: str
    kind: str = "job"
    words: frozenset[str] = frozenset()
    items: frozenset[str] = field(default_factory=frozenset)

    def refuse(self, text: str) -> RefusedError:
        """What is wrong, with where it stands."""
        return RefusedError(f"{self.place}: {text}")

    def at(self, step: str) -> LoadChecker:
        """One step further in."""
        return replace(self, place=f"{self.place}.{step}" if self.place else step)

    def each(self, path: Iterable[str]) -> LoadChecker:
        """Within parts of a path of scopes."""
        here = self
        for n, name in enumerate(path):
            scope = SCOPES[name]
            if n and scope.within is None:
                raise here.refuse(f"{shown(name)} are not parts of a {here.kind}")
            if scope.within is not None and scope.within != here.kind:
                raise here.refuse(f"{shown(name)} are parts of one {scope.within}, not of a "
                                  f"{here.kind}")  # fmt: skip
            words = here.words | frozenset(KINDS[scope.kind].words)
            here = replace(here, kind=scope.kind, words=words)
        return here

    def key(self, key: str) -> None:
        """A key that a job file can have there."""
        step = unknown_step(self.kind, key)
        if step is not None:
            raise self.refuse(f"{shown(key)} is no key of a {self.kind}: {shown(step)} is unknown")

    def one(self, key: str) -> None:
        """A key of one value."""
        self.key(key)
        if "*" in key:
            raise self.refuse(f"{shown(key)} must name one value, without *")

    def bound(self, key: str, bound: Amount) -> None:
        """An amount of the kind that the key states."""
        self.key(key)
        kind = measured(self.kind, key)
        # A share is a plain number, and some are written in per cent.
        if kind is not bound.kind and {kind, bound.kind} != {Kind.RATIO, Kind.COUNT}:
            found = kind.value if kind else "no amount"
            raise self.refuse(f"{shown(key)} is {found}, and is compared with a {bound.kind.value}")

    def pattern(self, pattern: str) -> None:
        """A text or the shape of an id, whose words must be there."""
        try:
            template(pattern)
        except ValueError as error:
            raise self.refuse(str(error)) from error
        self._words(words_in(pattern), pattern)

    def _words(self, used: set[str], text: str) -> None:
        for word in sorted(used - self.words):
            known = ", ".join(sorted(self.words)) or "none"
            raise self.refuse(f"{shown(text)} has the unknown word {shown(word)}; known here are "
                              f"{known}")  # fmt: skip

    def text(self, text: str, words: With, *more: str) -> None:
        """A text, and the words defined beside it."""
        here = replace(self, words=self.words | set(more))
        for name, word in words.items():
            under = here.at(f"with.{name}")
            for key in (*word.keys, *filter(None, (word.entries,))):
                under.key(key)
            for choice in (word.names, word.count):
                if choice is not None:
                    under.selection(choice)
            under.pattern(word.figure)
            under.pattern(word.say)
            if word.attached is not None and here.kind != "anchor":
                raise under.refuse("people are attached to an anchor alone")
            here = replace(here, words=here.words | {name})
        here.pattern(text)

    def selection(self, it: Selection) -> None:
        """Parts that are chosen."""
        inner = self.each((it.of,))
        inner.condition(it.when, "when")
        if it.by:
            inner.one(it.by)

    def condition(self, it: Condition | None, step: str) -> None:
        """A condition, with all those in it."""
        if it is None:
            return
        here = self.at(step)
        if it.empty:
            raise here.refuse("asks nothing")
        for name in KEYED:
            for key in getattr(it, name):
                here.at(name.rstrip("_")).key(key)
        for name in BOUNDED:
            for key, bound in getattr(it, name).items():
                here.at(name).bound(key, bound)
        for name in CHECKED:
            for pattern in getattr(it, name):
                here.at(name).pattern(pattern)
        here.of_kind(it)
        here.inner(it)

    def inner(self, it: Condition) -> None:
        """The conditions within a condition."""
        for name in CHOICES:
            choice = getattr(it, name)
            if choice is not None:
                self.at(name).selection(choice)
        self.condition(it.not_, "not")
        for name in ("all_of", "any_of"):
            for n, each in enumerate(getattr(it, name), start=1):
                self.condition(each, f"{name}[{n}]")

    def of_kind(self, it: Condition) -> None:
        """Words that only parts of one kind can be asked, figures, and other items."""
        if it.fact is not None and FACTS[it.fact].of != self.kind:
            raise self.refuse(f"{shown(it.fact)} is a fact of a {FACTS[it.fact].of}, not of a "
                              f"{self.kind}")  # fmt: skip
        if it.legs is not None and self.kind != "anchor":
            raise self.refuse(f"legs are those of an anchor, not of a {self.kind}")
        if it.figure is not None:
            self.at("figure").pattern(it.figure.id)
        for day in (*it.on_or_before.values(), *it.on_or_after.values()):
            if isinstance(day, str) and day not in ("job.valid.from", "job.valid.to"):
                raise self.refuse(f"{shown(day)} is no day; write one like 2017-11-20, "
                                  "job.valid.from or job.valid.to")  # fmt: skip
        for id in it.item:
            if id not in self.items:
                raise self.refuse(f"there is no item {shown(id)} in this set")
