"""How a document stands on a day: who signed what, and what state that makes of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from riskdoc.i18n.say import many, mark, say, speaking
from riskdoc.job.alike import alike
from riskdoc.signing.certificate_proof import Proof, proof_of
from riskdoc.signing.content import Content, content_of
from riskdoc.signing.document_status import DocumentStatus, State
from riskdoc.signing.entries import Entry, Record, RecordError
from riskdoc.signing.entry_rules import Terms, against, same_person, terms_of
from riskdoc.signing.libraries import machine
from riskdoc.signing.record_files import record_path

if TYPE_CHECKING:
    from datetime import date

    from riskdoc.job.reading import JobFile
    from riskdoc.requirements.dossier import Brief, Dossier
    from riskdoc.requirements.outcome import Outcome

MOST_ASIDE = 20
"""Entries that do not count after which no certificate is looked at any more, for each takes its
time; judgement: records of ours have none or few."""
NOT_LOOKED_AT = mark("So many entries before it do not count that it was not looked at.")


@dataclass(frozen=True, slots=True)
class Signed:
    """A role that is to sign: the entry that counts for it, and what its certificate shows."""

    role: str
    entry: Entry | None
    proof: Proof | None


@dataclass(frozen=True, slots=True)
class Before:
    """An earlier revision: how it stands by its own record, and why the next one came.

    Where its record cannot be relied on, there is no state, and `trouble` says why.
    """

    file: JobFile
    state: State | None
    record: Record
    reason: str
    trouble: str


def _here() -> Mapping[str, str]:
    return machine()


@dataclass(frozen=True, slots=True)
class Made:
    """The content of a document, and the machine on which it was made: this one if left out."""

    content: Content
    machine: Mapping[str, str] = field(default_factory=_here)


@dataclass(frozen=True, slots=True)
class SignOffState:
    """How a document stands on the day `on`.

    `signed` has every role in order. `ended` is the entry that withdrew or superseded it.
    `aside` are entries that do not count, each with the reason. `outcome` is that of its plan.
    `before` are the earlier revisions, the latest first. `machine` has the versions of what the
    machine brought along on which the document was made.
    """

    state: State
    content: Content
    record: Record
    signed: tuple[Signed, ...]
    ended: Entry | None
    aside: tuple[tuple[Entry, str], ...]
    outcome: Outcome
    on: date
    start: date
    end: date
    before: tuple[Before, ...] = ()
    machine: Mapping[str, str] = field(default_factory=_here)

    @property
    def count(self) -> int:
        """How many roles have signed."""
        return sum(each.entry is not None for each in self.signed)

    @property
    def alone(self) -> str:
        """Who signed in every role, where that is one person; else empty."""
        names = [each.entry.name for each in self.signed if each.entry is not None]
        whole = bool(names) and len(names) == len(self.signed)
        return names[0] if whole and all(same_person(names[0], each) for each in names) else ""

    @property
    def one_person(self) -> str:
        """What is said where one person signed in every role; empty where it was not so."""
        if not self.alone:
            return ""
        return many(
            "One person alone signs: {name}. Nobody else has checked this assessment.",
            "One person signed in all {count} roles: {name}. Nobody else has checked this "
            "assessment.",
            len(self.signed),
            name=self.alone,
        )

    @property
    def status(self) -> DocumentStatus:
        """The one answer that every output prints."""
        return DocumentStatus(
            self.outcome, self.state, self.count, len(self.signed), self.start, self.end
        )


def stand(
    dossier: Brief | Dossier,
    record: Record | None = None,
    others: Iterable[Record] = (),
    record_of: Callable[[str], Record] | None = None,
    made: Made | None = None,
) -> SignOffState:
    """How a document stands on the day its job file was read for.

    `record` are its sign-offs. `others` are those of other job files: a sign-off in one of them
    for the same number and revision and another content counts against this one. `record_of`
    gives the sign-offs of an earlier revision by the name of its job file. `made` is what a
    document holds that was made before: sign-offs are held to its content, as they were then.
    """
    with speaking(dossier.plan.file.voice):
        return _stand(dossier, record, others, record_of, made or Made(content_of(dossier)))


def _stand(
    dossier: Brief | Dossier,
    record: Record | None,
    others: Iterable[Record],
    record_of: Callable[[str], Record] | None,
    made: Made,
) -> SignOffState:
    plan = dossier.plan
    terms, mine = replace(terms_of(dossier), digest=made.content.digest), record or Record()
    entries = _on(mine, terms)
    counted, aside = _sorted(entries, terms)
    elsewhere = [each for other in others for each in other.of(terms.number, terms.revision)]
    ended = next((each for each in counted if each.act != "sign"), None)
    signed = tuple(_signed(role, counted) for role in terms.roles)
    # What was ended in another record is not issued in this one.
    strange = any(
        each.act == "sign" and each.digest != terms.digest for each in (*entries, *elsewhere)
    ) or any(each.act != "sign" for each in elsewhere)
    return SignOffState(
        state=_state(signed, ended, plan.file, strange=strange or bool(aside)),
        content=made.content,
        record=mine,
        signed=signed,
        ended=ended,
        aside=aside,
        outcome=dossier.outcome,
        on=plan.file.on,
        start=plan.file.job.job.valid.start,
        end=plan.file.job.job.valid.end,
        before=tuple(_before(plan.file, record_of)),
        machine=made.machine,
    )


def counted_of(record: Record, terms: Terms) -> tuple[Entry, ...]:
    """The entries of a record that count for one document, in order."""
    return _sorted(_on(record, terms), terms)[0]


def aside_of(record: Record, terms: Terms) -> tuple[tuple[Entry, str], ...]:
    """The entries of a record that do not count for one document, each with the reason."""
    return _sorted(_on(record, terms), terms)[1]


def _on(record: Record, terms: Terms) -> tuple[Entry, ...]:
    """The entries of one revision, and those of other documents, which have no place there.

    One of a revision that only looks like this one is of another document.
    """
    return tuple(
        each
        for each in record.entries
        if each.number != terms.number or alike(each.revision, terms.revision)
    )


def _sorted(
    entries: Iterable[Entry], terms: Terms
) -> tuple[tuple[Entry, ...], tuple[tuple[Entry, str], ...]]:
    """Entries that count, in order, and those that do not with the reason."""
    counted: list[Entry] = []
    aside: list[tuple[Entry, str]] = []
    for entry in entries:
        why = against(entry, counted, terms)
        if not why:
            why = _broken(entry) if len(aside) < MOST_ASIDE else say(NOT_LOOKED_AT)
        if why:
            aside.append((entry, why))
        else:
            counted.append(entry)
    return tuple(counted), tuple(aside)


def _broken(entry: Entry) -> str:
    proof = proof_of(entry)
    return proof.trouble if proof is not None else ""


def _signed(role: str, counted: Iterable[Entry]) -> Signed:
    entry = next((each for each in counted if each.act == "sign" and each.role == role), None)
    return Signed(role, entry, proof_of(entry) if entry else None)


def _state(
    signed: tuple[Signed, ...], ended: Entry | None, file: JobFile, *, strange: bool
) -> State:
    if ended is not None:
        return State.WITHDRAWN if ended.act == "withdraw" else State.SUPERSEDED
    if strange:
        return State.MISMATCH
    if file.expired:
        return State.EXPIRED
    return State.ISSUED if all(each.entry for each in signed) else State.DRAFT


def _before(file: JobFile, record_of: Callable[[str], Record] | None) -> Iterable[Before]:
    """The revisions before a job file, the latest first."""
    while file.earlier is not None and file.job.job.replaces is not None:
        reason, file = file.job.job.replaces.reason, file.earlier
        yield _one_before(file, reason, record_of)


def _one_before(file: JobFile, reason: str, record_of: Callable[[str], Record] | None) -> Before:
    if record_of is None:
        return Before(file, None, Record(), reason, say("Its sign-offs are not here."))
    try:
        found = record_of(file.name)
    except RecordError:
        # What is wrong with it is told where its own job is asked for; a document says no more
        # than it can say again.
        name = record_path(Path(file.name)).name
        trouble = say("The record of sign-offs {name} cannot be relied on.", name=name)
        return Before(file, None, Record(), reason, trouble)
    info = file.job.job
    state = _state_before(file, found.of(info.number, info.revision))
    return Before(file, state, found, reason, "")


def _state_before(file: JobFile, entries: tuple[Entry, ...]) -> State:
    """How an earlier revision stands by its entries alone; its content is not computed again."""
    acts = {each.act for each in entries}
    if acts - {"sign"}:
        return State.WITHDRAWN if "withdraw" in acts else State.SUPERSEDED
    if file.expired:
        return State.EXPIRED
    info = file.job.job
    roles = {each.role for each in entries if each.document == (info.number, info.revision)}
    return State.ISSUED if set(file.job.signoff.roles) <= roles else State.DRAFT
