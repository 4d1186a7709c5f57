"""Which entry may stand: who signs, in what order, what, and until when.

The same rules decide whether an entry is added and whether an entry that is there counts, so a
record that was written by other means gains nothing.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from riskdoc.i18n.say import many, say
from riskdoc.job.alike import forms, quoted
from riskdoc.requirements.dossier import Brief, Dossier
from riskdoc.signing.content import content_of
from riskdoc.signing.entries import Entry


@dataclass(frozen=True, slots=True)
class Terms:
    """What entries on one document are held to.

    `roles` sign in this order, `digest` is that of the content, `end` its last day; `stops` are
    what the plan does not meet and nobody accepted. `apart`: the requirement set asks that each
    role is signed by another person.
    """

    number: str
    revision: str
    roles: tuple[str, ...]
    digest: str
    end: date
    stops: tuple[str, ...]
    apart: bool = False


def terms_of(dossier: Brief | Dossier) -> Terms:
    """The terms of a dossier."""
    job = dossier.plan.file.job
    stops = [f"{each.title}, {each.subject}" for each in dossier.plan.failed_checks]
    stops += [str(each.item.clause) for each in dossier.judged.stops]
    return Terms(
        job.job.number,
        job.job.revision,
        job.signoff.roles,
        content_of(dossier).digest,
        job.job.valid.end,
        tuple(stops),
        dossier.judged.set.signers_differ,
    )


def same_person(one: str, other: str) -> bool:
    """Whether two typed names are one to the eye, however they are spaced, dotted and capitalised.

    >>> same_person("T. Brandal", "t brandal"), same_person("T. Brandal", "E. Sorley")
    (True, False)
    """
    return bool(_looks(one) & _looks(other))


def _looks(name: str) -> frozenset[tuple[str, str]]:
    """How a name reads and looks, of its letters and the marks on them alone."""
    whole = unicodedata.normalize("NFKC", name)
    kept = "".join(c for c in whole if c.isalnum() or unicodedata.category(c)[0] == "M")
    return forms(kept) if kept else forms(name)


def roles_of(name: str, entries: Iterable[Entry]) -> tuple[str, ...]:
    """The roles that a person has signed in, in order."""
    return tuple(e.role for e in entries if e.act == "sign" and same_person(e.name, name))


def against(entry: Entry, before: Iterable[Entry], terms: Terms) -> str:
    """Why an entry may not stand after those before it, in words; empty where it may.

    `before` are entries of the same document that count.
    """
    counted = tuple(before)
    if entry.document != (terms.number, terms.revision):
        return say("It is an entry of another document.")
    ended = next((each for each in counted if each.act != "sign"), None)
    if ended is not None:
        return _ended(ended)
    if counted and entry.when < counted[-1].when:
        return say("Its time is before that of the entry before it.")
    if entry.act != "sign":
        return "" if entry.role in terms.roles else _no_such_role(entry.role, terms)
    return next(_signing(entry, counted, terms), "")


def _ended(ended: Entry) -> str:
    if ended.act == "withdraw":
        return say("The revision was withdrawn; what comes after it is a new revision.")
    return say("The revision was superseded; what comes after it is a new revision.")


def _no_such_role(role: str, terms: Terms) -> str:
    return say(
        "No sign-off by {role} is asked for; the roles are, in order: {roles}.",
        role=quoted(role),
        roles=", ".join(terms.roles),
    )


def _alone(entry: Entry, before: Sequence[Entry], terms: Terms) -> Iterator[str]:
    """Why one person alone cannot sign where the set asks for different people."""
    if len(terms.roles) < 2:
        yield say(
            "The requirement set asks that different people sign, and the job names one role: "
            "{role}.",
            role=terms.roles[0],
        )
    taken = roles_of(entry.name, before)
    if taken:
        yield say(
            "{name} has signed as {roles}, and the requirement set asks that each role is signed "
            "by another person.",
            name=quoted(entry.name),
            roles=", ".join(taken),
        )


def _signing(entry: Entry, before: Sequence[Entry], terms: Terms) -> Iterator[str]:
    """Every reason against a sign-off."""
    signed = [each.role for each in before]
    due = next((role for role in terms.roles if role not in signed), entry.role)
    if entry.role not in terms.roles:
        yield _no_such_role(entry.role, terms)
    if entry.digest != terms.digest:
        yield say("It was made for another content than this.")
    if entry.role in signed:
        yield say("{role} has signed already.", role=entry.role)
    if entry.role != due:
        yield say("{due} signs before {role}.", due=due, role=entry.role)
    if terms.apart:
        yield from _alone(entry, before, terms)
    if entry.when.date() > terms.end:
        yield say("The last day, {day}, has passed.", day=terms.end.isoformat())
    if terms.stops:
        yield many(
            "{count} check or item is not met and not an accepted exception: {stops}.",
            "{count} checks or items are not met and not accepted exceptions: {stops}.",
            len(terms.stops),
            stops="; ".join(terms.stops),
        )
