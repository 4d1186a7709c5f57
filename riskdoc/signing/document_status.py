"""The status of a document: one answer from checks, requirement items, signatures and dates.

Every output reads it and none words its own: terminal, JSON, page 1, the edge of every page, the
card, the HTML and the exit code. The strictest of all wins. It never gives leave to work: the
permit issuer and the supervisor decide, and it says what is met, signed and valid.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from riskdoc.i18n.say import many, mark, say
from riskdoc.judgement.verdicts import Verdict
from riskdoc.requirements.outcome import checks_words, items_words, question_words

if TYPE_CHECKING:
    from datetime import date

    from riskdoc.requirements.outcome import Outcome


class State(StrEnum):
    """What a document is on a day; only one that is issued is in force."""

    DRAFT = mark("draft")
    ISSUED = mark("issued")
    SUPERSEDED = mark("superseded")
    WITHDRAWN = mark("withdrawn")
    EXPIRED = mark("expired")
    MISMATCH = mark("sign-off does not match")


ENDED: Mapping[State, str] = {
    State.SUPERSEDED: mark("Superseded: this document is not for use."),
    State.WITHDRAWN: mark("Withdrawn: this document is not for use."),
    State.EXPIRED: mark("Expired on {last}: this document is not for use."),
    State.MISMATCH: mark("The sign-off does not match this content: it is not for use."),
}
"""What is said first of a document that has ended, whatever its checks say."""
WORDS: Mapping[Verdict, str] = {
    Verdict.INADEQUATE: mark("Inadequate: {checks}; {items}."),
    Verdict.NOT_DEMONSTRATED: mark("Not demonstrated: {checks}; {items}."),
    Verdict.BORDERLINE: mark("Borderline: {checks}; {items}."),
}
EDGES: Mapping[Verdict, str] = {
    Verdict.INADEQUATE: mark("ISSUED, INADEQUATE: not for use"),
    Verdict.NOT_DEMONSTRATED: mark("ISSUED, NOT DEMONSTRATED: not for use"),
    Verdict.BORDERLINE: mark("ISSUED, BORDERLINE: not for use"),
}
"""The edge of every page of a document that is signed and not met."""


@dataclass(frozen=True, slots=True)
class DocumentStatus:
    """The status of a document.

    `outcome` is what its plan comes to, `state` what the document is on the day it was assessed
    for; `signed` of `roles` have signed. `start` and `end` are its first and its last day.
    """

    outcome: Outcome
    state: State
    signed: int
    roles: int
    start: date
    end: date

    @property
    def verdict(self) -> Verdict:
        """The strictest of its checks and items."""
        return self.outcome.verdict

    @property
    def passes(self) -> bool:
        """Whether everything computed is met and the document has not ended; the exit code."""
        return self.verdict is Verdict.ADEQUATE and self.state in (State.DRAFT, State.ISSUED)

    @property
    def headline(self) -> str:
        """One sentence that says no more than the strictest of all, in the voice that speaks."""
        if self.state in ENDED:
            return say(ENDED[self.state], last=self.end.isoformat())
        parts = {"checks": checks_words(self.outcome), "items": items_words(self.outcome)}
        if self.verdict in WORDS:
            return say(WORDS[self.verdict], **parts)
        whole = "; ".join([parts["checks"], parts["items"], *question_words(self.outcome)])
        if self.state is State.DRAFT:
            return say(
                "Not signed ({signed} of {roles}): {whole}.",
                signed=self.signed,
                roles=self.roles,
                whole=whole,
            )
        return say(
            "Checks met, signed ({signed} of {roles}), valid to {last}: {whole}.",
            signed=self.signed,
            roles=self.roles,
            last=self.end.isoformat(),
            whole=whole,
        )

    @property
    def banner(self) -> str:
        """What stands on every page. Nothing that a job says comes into it."""
        return _BANNERS[self.state](self)


def _draft(it: DocumentStatus) -> str:
    if not it.signed:
        return say("DRAFT: not signed, not for use")
    return say("DRAFT: {count} of {all} signed, not for use", count=it.signed, all=it.roles)


def _issued(it: DocumentStatus) -> str:
    if it.verdict in EDGES:
        return say(EDGES[it.verdict])
    days = {"first": it.start.isoformat(), "last": it.end.isoformat()}
    if it.outcome.accepted:
        return many(
            "ISSUED WITH {count} ACCEPTED EXCEPTION: {first} to {last}, no longer",
            "ISSUED WITH {count} ACCEPTED EXCEPTIONS: {first} to {last}, no longer",
            it.outcome.accepted,
            **days,
        )
    return say("ISSUED: {first} to {last}, no longer", **days)


_BANNERS: Mapping[State, Callable[[DocumentStatus], str]] = {
    State.DRAFT: _draft,
    State.ISSUED: _issued,
    State.SUPERSEDED: lambda _: say("SUPERSEDED: not for use"),
    State.WITHDRAWN: lambda _: say("WITHDRAWN: not for use"),
    State.EXPIRED: lambda it: say("EXPIRED on {day}: not for use", day=it.end.isoformat()),
    State.MISMATCH: lambda _: say("SIGN-OFF DOES NOT MATCH THIS CONTENT: not for use"),
}
