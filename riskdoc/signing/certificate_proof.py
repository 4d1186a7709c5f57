"""What a certificate signature of an entry shows."""

from __future__ import annotations

import asyncio
import base64
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from riskdoc.i18n.say import mark, say
from riskdoc.job.alike import quoted
from riskdoc.signing.certificates import EXTRA, bearer_of, installed, roots_of, same_name
from riskdoc.signing.cms_form import ATTRIBUTES, opened_cms
from riskdoc.signing.trust import context_of, quiet

if TYPE_CHECKING:
    from collections.abc import Coroutine, Sequence
    from datetime import date

    from riskdoc.signing.certificates import Bearer
    from riskdoc.signing.entries import Entry

Kind = Literal["self-signed", "issued", "unchecked", "broken"]
DAMAGED = mark("The certificate signature is damaged.")
ELSEWHERE = mark("The certificate signature is not over this entry.")
UNTIMELY = mark(
    "The certificate of {subject} was not valid at the time of the entry; it holds from {first} to "
    "{last}."
)
ANOTHER = mark("The certificate is that of {subject}, and the entry names somebody else.")
UNFIT = mark("The certificate of {subject} is not made for signing documents.")
WEAK = mark(
    "The key of the certificate of {subject} is too weak, or of a kind that cannot sign here."
)


@dataclass(frozen=True, slots=True)
class Proof:
    """What the certificate signature of an entry shows.

    `first` and `last` are the days between which the certificate is valid. `trusted` is whether it
    was issued under one of the roots that were given, and None where none were. `fault` is what is
    wrong where it is broken, as it is said by `trouble`.
    """

    kind: Kind
    subject: str = ""
    issuer: str = ""
    first: date | None = None
    last: date | None = None
    trusted: bool | None = None
    fault: str = ""

    @property
    def trouble(self) -> str:
        """What is wrong with it in a sentence; empty unless it is broken."""
        if not self.fault:
            return ""
        days = {"first": self.first or "?", "last": self.last or "?"}
        return say(self.fault, subject=quoted(self.subject), **days)

    @property
    def text(self) -> str:
        """What it shows, in words for the table of sign-offs.

        >>> Proof("self-signed", "Jo Hale").text
        'certificate of “Jo Hale”, signed by itself: shows that nothing was changed since, not who \
signed'
        """
        return self.trouble or text_of(self.kind, self.subject, self.issuer, trusted=self.trusted)


def text_of(kind: Kind, subject: str, issuer: str, *, trusted: bool | None) -> str:
    """What a certificate signature that is not broken shows."""
    names = {"subject": quoted(subject), "issuer": quoted(issuer)}
    if kind == "unchecked":
        return say(
            "certificate signature, not checked here: the extra {extra} is not installed",
            extra=EXTRA,
        )
    if kind == "self-signed" and trusted:
        return say("certificate of {subject}, signed by itself and trusted here", **names)
    if kind == "self-signed":
        return say(
            "certificate of {subject}, signed by itself: shows that nothing was changed since, not "
            "who signed",
            **names,
        )
    if trusted:
        return say(
            "certificate of {subject}, issued by {issuer}, who is trusted here; whether it was "
            "revoked was not looked up",
            **names,
        )
    if trusted is None:
        return say(
            "certificate of {subject}, issued by {issuer}, whom nobody here was told to trust",
            **names,
        )
    return say(
        "certificate of {subject}, issued by {issuer}, who is not among those trusted here", **names
    )


def proof_of(entry: Entry, roots: Sequence[bytes] = ()) -> Proof | None:
    """What the certificate signature of an entry shows; None where it has none.

    `roots` are certificates to trust, in PEM or DER; what is no certificate among them trusts
    nobody. Bad data make a broken proof and raise nothing. No network is asked, so a certificate
    that its issuer has revoked since is not seen.

    The certificate has to be valid at the time that the entry states. That time is the word of the
    machine that wrote it: nobody else vouches for it, so whoever holds the key of a certificate
    that has expired can still write an entry of an earlier time.
    """
    if not entry.certificate:
        return None
    if not installed():
        return Proof("unchecked")
    try:
        return _proof(entry, roots)
    except Exception:  # whatever is wrong with foreign data, it proves nothing
        return Proof("broken", fault=DAMAGED)


def _proof(entry: Entry, roots: Sequence[bytes]) -> Proof:
    data, chain = _taken_apart(entry.certificate)
    bearer = bearer_of(chain[0])
    status = _status(data, entry, context_of(roots_of(roots), entry.when, chain))
    fault = _fault(entry, bearer, intact=bool(status.intact), valid=bool(status.valid))
    known = not fault or fault not in (DAMAGED, ELSEWHERE)
    return Proof(
        kind="broken" if fault else kind_of(bearer),
        subject=bearer.subject if known else "",
        issuer=bearer.issuer if known else "",
        first=bearer.first.date(),
        last=bearer.last.date(),
        trusted=bool(status.trusted) if roots and not fault else None,
        fault=fault,
    )


def kind_of(bearer: Bearer) -> Kind:
    """How a certificate came to be."""
    return "self-signed" if bearer.self_signed else "issued"


def _fault(entry: Entry, bearer: Bearer, *, intact: bool, valid: bool) -> str:
    if not valid:
        return DAMAGED
    if not intact:
        return ELSEWHERE
    if not bearer.signs:
        return UNFIT
    if not bearer.strong:
        return WEAK
    if not bearer.valid(entry.when):
        return UNTIMELY
    return "" if same_name(bearer.name, entry.name) else ANOTHER


def _taken_apart(text: str) -> tuple[Any, tuple[bytes, ...]]:
    """The signed data in a signature, and the certificates in it in DER, that of who signed first.

    Raises ValueError unless every byte of it is as we write it or is signed.
    """
    raw = base64.b64decode(text, validate=True)
    if base64.b64encode(raw).decode("ascii") != text:
        raise ValueError("base64 in another form than ours")
    return opened_cms(raw, ATTRIBUTES)


def _status(data: Any, entry: Entry, context: Any) -> Any:  # noqa: ANN401
    from pyhanko.sign.validation.generic_cms import async_validate_detached_cms  # noqa: PLC0415

    return waited_for(
        async_validate_detached_cms(entry.statement, data, context, key_usage_settings=usage())
    )


def usage() -> Any:  # noqa: ANN401
    """What the library asks of the use of a certificate: nothing, for `trust.signs` asks it.

    By itself it refuses those that name no use, which are for every one (RFC 5280, 4.2.1.3).
    """
    from pyhanko.sign.validation.settings import KeyUsageConstraints  # noqa: PLC0415

    return KeyUsageConstraints(key_usage=set())


def waited_for(work: Coroutine[Any, Any, Any]) -> Any:  # noqa: ANN401
    """The outcome of a check, without what it says to a log on its way.

    In a thread of its own, since a loop that runs already in this one takes no other.
    """
    with quiet(), ThreadPoolExecutor(1) as own:
        return own.submit(asyncio.run, work).result()
