"""Signing, withdrawing and superseding: the acts that add an entry to a record."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from riskdoc.i18n.say import Language, Locale, mark, say, speaking
from riskdoc.job.faults import shown
from riskdoc.signing.certificate_proof import proof_of
from riskdoc.signing.dressed import dressed
from riskdoc.signing.entries import Act, Entry, Record
from riskdoc.signing.entry_rules import Terms, against, terms_of
from riskdoc.signing.record_files import add, others
from riskdoc.signing.sign_off_state import counted_of

if TYPE_CHECKING:
    from riskdoc.requirements.dossier import Brief, Dossier
    from riskdoc.signing.sign_off_state import SignOffState

MEANINGS = {
    mark("prepared"): mark("I wrote this assessment, and to my knowledge what it states is so."),
    mark("checked"): mark(
        "I checked this assessment against the place and the plan, and found it fit."
    ),
    mark("authorised"): mark(
        "I authorise this work within the limits, conditions and days of this assessment."
    ),
}
"""What a sign-off means, by the usual roles; every other role says it itself."""


class RefusedError(ValueError):
    """An act that may not stand, with why. `stops` says whether the plan itself is why."""

    def __init__(self, why: str, *, stops: bool = False) -> None:
        super().__init__(why)
        self.stops = stops


@dataclass(frozen=True, slots=True)
class Deed:
    """What somebody does: the act, as whom, and what it means or why.

    `successor` is number and revision of what comes after a superseded revision. `certify` makes
    a detached signature over a statement, at a time.
    """

    act: Act
    role: str
    name: str
    meaning: str
    successor: str = ""
    certify: Callable[[bytes, datetime], str] | None = None


def meaning_of(role: str, stated: str | None) -> str:
    """What the sign-off of a role means: as stated, else by the usual words for the role.

    Raises `RefusedError` for a role that has no usual words.

    >>> meaning_of("rope chief", "I walked the edges.")
    'I walked the edges.'
    """
    if stated:
        return stated
    usual = {word: text for key, text in MEANINGS.items() for word in (key, say(key))}
    if role not in usual:
        raise RefusedError(
            f"what the sign-off of {role!r} means has to be said: --meaning 'I ...'. There are "
            f"usual words only for {', '.join(say(key) for key in MEANINGS)}."
        )
    return say(usual[role])


def usual_words(entry: Entry) -> bool:
    """Whether a sign-off means what its role usually means, in any language of ours."""
    for language in get_args(Language):
        with speaking(Locale(language)):
            if any(
                entry.role in (role, say(role)) and entry.meaning in (text, say(text))
                for role, text in MEANINGS.items()
            ):
                return True
    return False


def own_words(standing: SignOffState) -> str:
    """What is said where somebody signed with a meaning of their own; empty where nobody did."""
    entries = [each.entry for each in standing.signed if each.entry is not None]
    roles = [each.role for each in entries if not usual_words(each)]
    if not roles:
        return ""
    return say("Signed with a meaning in their own words: {roles}.", roles=", ".join(roles))


def act(job: Path, dossier: Brief | Dossier, deed: Deed, now: datetime) -> Entry:
    """Adds the entry of a deed to the record of a job file, and returns it.

    Raises `RefusedError` where it may not stand, `RecordError` where the record cannot be relied
    on, and OSError where nothing can be written. Whatever is raised, nothing was changed.
    """
    terms, raw = terms_of(dossier), dossier.plan.file.raw
    return add(job, lambda record: _entry(job, raw, terms, deed, now, record))


def _entry(job: Path, raw: bytes, terms: Terms, deed: Deed, now: datetime, record: Record) -> Entry:
    entry = Entry(
        act=deed.act,
        number=terms.number,
        revision=terms.revision,
        role=deed.role,
        name=deed.name,
        meaning=deed.meaning,
        time=now.isoformat(timespec="seconds"),
        digest=terms.digest,
        previous=record.last,
        successor=deed.successor,
    )
    _same_document(entry, record)
    if deed.act == "sign":
        if trouble := dressed(job.name, raw):
            raise RefusedError(f"this job file cannot be signed: {trouble}")
        _one_content(entry, record, "")
        for name, other in others(job):
            _one_content(entry, other, f" in {name}")
    why = against(entry, counted_of(record, terms), terms)
    if why:
        only_stops = not against(entry, counted_of(record, terms), replace(terms, stops=()))
        raise RefusedError(why, stops=only_stops)
    if deed.certify is None:
        return entry
    entry = replace(entry, certificate=deed.certify(entry.statement, entry.when))
    proof = proof_of(entry)
    if proof is not None and proof.trouble:
        # A reader would set the entry aside, and nothing is ever taken out of a record.
        raise RefusedError(f"the certificate cannot be bound to the name: {proof.trouble}")
    return entry


def _same_document(entry: Entry, record: Record) -> None:
    strange = next((each for each in record.entries if each.number != entry.number), None)
    if strange is not None:
        raise RefusedError(
            f"the record beside this job file is of {strange.number!r} and not of "
            f"{entry.number!r}: it belongs to another job"
        )
    if record.entries and entry.when < record.entries[-1].when:
        raise RefusedError(
            f"the last entry was written at {record.entries[-1].time}, and the clock of this "
            f"machine says {entry.time}: set the clock"
        )


def _one_content(entry: Entry, record: Record, where: str) -> None:
    for each in record.of(*entry.document):
        if where and each.act != "sign":
            ended = "withdrawn" if each.act == "withdraw" else "replaced"
            raise RefusedError(
                f"revision {entry.revision!r} was {ended} by {each.name} on {each.time}{where}: "
                "it is not signed again under another name. Give this one a new revision"
            )
        if each.act == "sign" and each.document != entry.document:
            raise RefusedError(
                f"{_codes(', '.join(each.document))} was signed by {each.name} on {each.time}"
                f"{where} and looks the same as {_codes(', '.join(entry.document))}: two documents "
                "cannot have one number and revision to the eye. Give this one another"
            )
        if each.act == "sign" and each.digest != entry.digest:
            raise RefusedError(
                f"revision {entry.revision!r} was signed by {each.name} on {each.time}{where} with "
                f"another content (digest {each.digest[:12]}; now {entry.digest[:12]}). Two "
                "contents cannot share number and revision: give what was changed a new revision"
            )


def _codes(text: str) -> str:
    """A text in quotes, with the code of each letter that is not one of the keyboard.

    >>> _codes("T-\u0410")
    "'T-\u0410 (U+0410)'"
    """
    return shown("".join(f"{each} (U+{ord(each):04X})" if each > "~" else each for each in text))
