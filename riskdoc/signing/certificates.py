"""Certificates: an entry signed with a key of one's own, and what such a signature shows.

A signature is a detached CMS (RFC 5652) over the statement of an entry, with the attributes of a
CAdES baseline signature B-B (ETSI EN 319 122-1): the hash of the statement, the time, and the
hashes of the certificates that go with it, so that none of them can be changed for another. It has
one form, DER in every byte, and a signature in another form counts as damaged.

What comes with the extra `riskdoc[certificates]` is imported where it is needed: a document without
certificates is made without it. Nothing here asks the network.
"""

from __future__ import annotations

import asyncio
import base64
import hashlib
import importlib
import unicodedata
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import UTC
from typing import TYPE_CHECKING, Any, Literal

from riskdoc.i18n.say import mark, say
from riskdoc.job.alike import LONGEST, hidden, quoted
from riskdoc.job.faults import shown
from riskdoc.job.files_beside import TooLargeError, plain_bytes, why
from riskdoc.signing.trust import (
    CURVES,
    MAX_CHAIN,
    MIN_EXPONENT,
    MIN_RSA,
    chained,
    context_of,
    issued,
    quiet,
    short,
    signs,
    strong,
)

if TYPE_CHECKING:
    from collections.abc import Coroutine, Iterator, Sequence, Set
    from datetime import date, datetime
    from pathlib import Path

    from riskdoc.signing.entries import Entry

Kind = Literal["self-signed", "issued", "unchecked", "broken"]

EXTRA = "riskdoc[certificates]"
MAX_BYTES = 1024 * 1024
"""Greatest file of a key or of certificates; judgement: one has some kilobytes, a list of all the
public authorities a quarter of this."""
LAST_UTC_YEAR = 2049
"""Last year of the short form of a time (RFC 5652, 11.3)."""
ATTRIBUTES = frozenset({"content_type", "message_digest", "signing_time", "signing_certificate_v2"})
"""What is signed beside the statement, in the words of asn1crypto."""

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


class CertificateError(ValueError):
    """Why a certificate cannot be used, in a sentence for whoever wanted to sign with it."""


@dataclass(frozen=True, slots=True)
class Signer:
    """What signs: the key, and the certificates in DER, that of the key first."""

    key: Any
    certificates: tuple[bytes, ...]


@dataclass(frozen=True, slots=True)
class Certificate:
    """A certificate with its key.

    `subject` is the common name of whom it was made for, else all of the name, fit for print;
    `name` is the same as it stands there. `first` and `last`
    are the moments between which it is valid. `self_signed` is whether its own key signed it,
    computed and not merely said: such a certificate shows nothing of who somebody is.
    """

    subject: str
    issuer: str
    first: datetime
    last: datetime
    self_signed: bool
    signer: Signer = field(repr=False, compare=False)
    name: str = ""


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


@dataclass(frozen=True, slots=True)
class Bearer:
    """What a certificate says of whom it was made for.

    `name` is the name as it stands, `subject` and `issuer` are fit for print. `signs` is whether
    it is made for signing, `strong` whether its key can be one that signs here.
    """

    name: str
    subject: str
    issuer: str
    first: datetime
    last: datetime
    self_signed: bool
    signs: bool
    strong: bool

    def valid(self, when: datetime) -> bool:
        """Whether it is valid at a moment, its first and its last one included."""
        return self.first <= when <= self.last


def installed() -> bool:
    """Whether the extra is installed."""
    try:
        for name in ("asn1crypto", "cryptography", "pyhanko.sign", "pyhanko_certvalidator"):
            importlib.import_module(name)
    except ImportError:
        return False
    return True


def same_name(one: str, other: str) -> bool:
    """Whether two names are one but for capitals and the way accents are written.

    >>> same_name("Jo HALE", "jo hale"), same_name("Jo Hale", "J. Hale")
    (True, False)
    """
    return _folded(one) == _folded(other)


def _folded(name: str) -> str:
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())


def load(path: Path, passphrase: str | None) -> Certificate:
    """The certificate and key in a PKCS#12 file (RFC 7292; `.p12` or `.pfx`), opened.

    Its dates are looked at when it signs. Raises `CertificateError` where the file cannot be read
    or opened, holds no key with its certificate, or a key that cannot sign.
    """
    if not installed():
        raise CertificateError(
            f"signing with a certificate needs an extra that is not installed: install {EXTRA}"
        )
    raw = _read(path)
    _shape(raw, path.name)
    key, certificates = _opened(raw, path.name, passphrase)
    _able(key, path.name)
    chain = _chain(certificates)
    try:
        chained(chain)
    except ValueError as error:
        # A reader would set aside what is signed with it.
        raise CertificateError(f"{path.name} holds no chain that is read here: {error}") from error
    bearer = bearer_of(chain[0])
    if not bearer.signs:
        raise CertificateError(
            f"the certificate in {path.name} is not made for signing documents: its key usage "
            "allows no digital signature, or the purposes that it names are others"
        )
    return Certificate(
        bearer.subject, bearer.issuer, bearer.first, bearer.last, bearer.self_signed,
        Signer(key, chain), bearer.name,
    )  # fmt: skip


def roots_in(path: Path) -> tuple[bytes, ...]:
    """The certificates in a file, in DER: one in DER or any number in PEM.

    Raises `CertificateError` where the file cannot be read or holds none.
    """
    if not installed():
        raise CertificateError(
            f"checking certificates needs an extra that is not installed: install {EXTRA}"
        )
    found = roots_of([_read(path)])
    if not found:
        raise CertificateError(f"{path.name} holds no certificate, neither PEM nor DER")
    return found


def bindable(name: str) -> str:
    """Why the name in a certificate cannot stand in a record, in words; empty where it can.

    >>> bindable("Jo Hale"), bindable(" ")
    ('', 'it is empty')
    """
    if not name.strip():
        return "it is empty"
    if len(name) > LONGEST:
        return f"it has {len(name)} letters, and {LONGEST} are the most that are printed"
    strange = next((char for char in name if hidden(char)), None)
    if strange is not None:
        return f"it holds U+{ord(strange):04X}, which shows nothing"
    return "" if name == name.strip() else "blanks stand around it"


def _read(path: Path) -> bytes:
    try:
        return plain_bytes(path, MAX_BYTES)
    except TooLargeError as error:
        raise CertificateError(
            f"{path.name} is larger than {MAX_BYTES} bytes: no certificate is"
        ) from error
    except OSError as error:
        raise CertificateError(f"{path.name} cannot be read: {why(error)}") from error


def _shape(raw: bytes, name: str) -> None:
    """Refuses what is no PKCS#12 file, before a password is tried on it."""
    from asn1crypto import parser, pkcs12  # noqa: PLC0415  (the extra, and only who signs)

    if b"-----BEGIN " in raw:
        raise CertificateError(
            f"{name} is in PEM, which is text. A PKCS#12 file (.p12 or .pfx) is asked for, with "
            "the key and the certificate in one"
        )
    if raw[:1] != b"\x30":
        raise CertificateError(f"{name} is no PKCS#12 file (.p12 or .pfx)")
    try:
        length = parser.peek(raw)
    except ValueError as error:
        raise CertificateError(f"{name} is damaged: its end is missing") from error
    try:
        version = pkcs12.Pfx.load(raw[:length])["version"].native
    except (ValueError, TypeError, KeyError) as error:
        raise CertificateError(
            f"{name} is no PKCS#12 file (.p12 or .pfx), or it is damaged"
        ) from error
    if version != "v3" or length != len(raw):
        raise CertificateError(f"{name} is no PKCS#12 file (.p12 or .pfx), or it is damaged")


def _opened(raw: bytes, name: str, passphrase: str | None) -> tuple[Any, list[bytes]]:
    """The key, and the certificates in DER, that of the key first."""
    from cryptography.exceptions import UnsupportedAlgorithm  # noqa: PLC0415
    from cryptography.hazmat.primitives.serialization import (  # noqa: PLC0415
        Encoding,
        PublicFormat,
        pkcs12,
    )

    secret = None if passphrase is None else passphrase.encode("utf-8", "surrogatepass")
    try:
        with quiet():
            found = pkcs12.load_pkcs12(raw, secret)
            held = [each.certificate for each in (found.cert, *found.additional_certs) if each]
            ders = [(each.public_bytes(Encoding.DER), each) for each in held]
    except UnsupportedAlgorithm as error:
        raise CertificateError(
            f"{name} is locked in a way, or holds a key of a kind, that is not known here. "
            "Write it again with the program it came from, in a newer form"
        ) from error
    except Exception as error:  # a damaged file fails in many ways
        if passphrase is None:
            raise CertificateError(f"{name} needs its password, or it is damaged") from error
        raise CertificateError(
            f"the password does not open {name}: it is wrong, or the file is damaged"
        ) from error
    if found.key is None:
        raise CertificateError(f"{name} holds no private key")
    if not held:
        raise CertificateError(f"{name} holds no certificate")

    def public(key: Any) -> bytes:  # noqa: ANN401  (a key of any kind)
        encoded: bytes = key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
        return encoded

    mine = public(found.key.public_key())
    own = [der for der, each in ders if public(each.public_key()) == mine]
    if not own:
        raise CertificateError(f"{name} holds no certificate for its private key")
    return found.key, [own[0], *(der for der, _ in ders if der != own[0])]


def _able(key: Any, name: str) -> None:  # noqa: ANN401  (a key of any kind)
    """Refuses a key that cannot sign, or that is too weak."""
    from cryptography.hazmat.primitives.asymmetric import ec, rsa  # noqa: PLC0415

    if isinstance(key, rsa.RSAPrivateKey):
        if key.key_size < MIN_RSA:
            raise CertificateError(
                f"the key in {name} is too weak: RSA of {key.key_size} bits, and {MIN_RSA} are the "
                "least"
            )
        if key.public_key().public_numbers().e < MIN_EXPONENT:
            raise CertificateError(
                f"the key in {name} is too weak: its public exponent is less than {MIN_EXPONENT}"
            )
    elif not isinstance(key, ec.EllipticCurvePrivateKey) or key.curve.name not in CURVES:
        raise CertificateError(
            f"the key in {name} is of a kind that cannot sign here: RSA of {MIN_RSA} bits and more "
            "can, and the curves P-256, P-384 and P-521"
        )


def _chain(certificates: Sequence[bytes]) -> tuple[bytes, ...]:
    """The first certificate and those above it, as far as they are there."""
    chain = [certificates[0]]
    while len(chain) <= MAX_CHAIN:
        above = [each for each in certificates if each not in chain and issued(chain[-1], each)]
        if not above:
            break
        chain.append(above[0])
    return tuple(chain)


def bearer_of(der: bytes) -> Bearer:
    """What a certificate in DER says of whom it was made for. Raises ValueError for no such."""
    from cryptography import x509  # noqa: PLC0415

    with quiet():
        it = x509.load_der_x509_certificate(der)
        name, issuer = _name(it.subject), _name(it.issuer)
        first, last = it.not_valid_before_utc, it.not_valid_after_utc
        made_for, able = signs(it), strong(it)
    return Bearer(
        name, readable(name), readable(issuer), first, last, issued(der, der), made_for, able
    )  # fmt: skip


def _name(name: Any) -> str:  # noqa: ANN401  (of the extra)
    """The common name where there is one, else the whole name (RFC 4514)."""
    from cryptography.x509.oid import NameOID  # noqa: PLC0415

    common = [str(each.value) for each in name.get_attributes_for_oid(NameOID.COMMON_NAME)]
    # Of two common names neither is the name.
    return common[0] if len(common) == 1 and common[0] else str(name.rfc4514_string())


def readable(name: str) -> str:
    """A foreign name made fit for print: cut, and without anything that turns or hides letters.

    >>> readable("Jo" + chr(0x202E) + "Hale")
    'Jo?Hale'
    """
    return quoted(name, LONGEST)[1:-1]


def signed(certificate: Certificate, statement: bytes, when: datetime) -> str:
    """A detached signature over a statement, made at a moment: DER in base64, on one line.

    Raises `CertificateError` where the certificate is not valid at that moment.
    """
    timely(certificate, when)
    digest = hashlib.sha256(statement).digest()
    return base64.b64encode(cms_over(certificate.signer, digest, when)).decode("ascii")


def timely(certificate: Certificate, when: datetime) -> None:
    """Raises `CertificateError` where a certificate is not valid at a moment."""
    if certificate.first <= when <= certificate.last:
        return
    day, first, last = (
        each.astimezone(UTC).date() for each in (when, certificate.first, certificate.last)
    )
    state = "is not valid yet" if when < certificate.first else "has expired"
    raise CertificateError(
        f"the certificate of {shown(certificate.subject)} {state}: it holds from {first} to "
        f"{last}, and the day of signing is {day}"
    )


def cms_over(signer: Signer, digest: bytes, when: datetime | None) -> bytes:
    """A detached CMS over what has a SHA-256, in DER.

    `when` is the time that is signed with it; in a PDF it stands elsewhere (ETSI EN 319 142-1, 6.3)
    and is None.
    """
    from asn1crypto import cms  # noqa: PLC0415
    from cryptography.hazmat.primitives import hashes  # noqa: PLC0415
    from cryptography.hazmat.primitives.asymmetric import ec, padding, rsa  # noqa: PLC0415

    attributes = cms.CMSAttributes(_attributes(signer.certificates, digest, when))
    payload: bytes = attributes.dump()
    if isinstance(signer.key, rsa.RSAPrivateKey):
        value = signer.key.sign(payload, padding.PKCS1v15(), hashes.SHA256())
    else:
        value = signer.key.sign(payload, ec.ECDSA(hashes.SHA256()))
    return _assembled(signer.certificates, cms.CMSAttributes.load(payload), value)


def _attributes(
    certificates: Sequence[bytes], digest: bytes, when: datetime | None
) -> Iterator[Any]:
    from asn1crypto import cms, tsp  # noqa: PLC0415

    # The hash of each certificate (RFC 5035); SHA-256 is what stands there unsaid.
    ids = [tsp.ESSCertIDv2({"cert_hash": hashlib.sha256(each).digest()}) for each in certificates]
    values: dict[str, Any] = {
        "content_type": "data",
        "message_digest": digest,
        "signing_certificate_v2": tsp.SigningCertificateV2({"certs": ids}),
    }
    if when is not None:
        moment = when.astimezone(UTC).replace(microsecond=0)
        form = "utc_time" if moment.year <= LAST_UTC_YEAR else "generalized_time"
        values["signing_time"] = cms.Time({form: moment})
    for name, value in values.items():
        yield cms.CMSAttribute({"type": name, "values": [value]})


def _assembled(certificates: Sequence[bytes], attributes: Any, value: bytes) -> bytes:  # noqa: ANN401
    """The one form of a signature around what is signed, that of the signer's certificate first."""
    from asn1crypto import cms, core, x509  # noqa: PLC0415

    held = [x509.Certificate.load(each) for each in certificates]
    own = held[0]
    if own.public_key.algorithm == "rsa":
        # With its empty parameters, which ECDSA does not have (RFC 5754, 3.2 and 3.3).
        how = {"algorithm": "sha256_rsa", "parameters": core.Null()}
    else:
        how = {"algorithm": "sha256_ecdsa"}
    sid = cms.IssuerAndSerialNumber({"issuer": own.issuer, "serial_number": own.serial_number})
    info = cms.SignerInfo({
        "version": "v1",
        "sid": cms.SignerIdentifier({"issuer_and_serial_number": sid}),
        "digest_algorithm": cms.DigestAlgorithm({"algorithm": "sha256"}),
        "signed_attrs": attributes,
        "signature_algorithm": cms.SignedDigestAlgorithm(how),
        "signature": value,
    })  # fmt: skip
    data = cms.SignedData({
        "version": "v1",
        "digest_algorithms": [cms.DigestAlgorithm({"algorithm": "sha256"})],
        "encap_content_info": {"content_type": "data"},
        "certificates": [cms.CertificateChoices({"certificate": each}) for each in held],
        "signer_infos": [info],
    })  # fmt: skip
    whole: bytes = cms.ContentInfo({"content_type": "signed_data", "content": data}).dump()
    return whole


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


def opened_cms(raw: bytes, asked: Set[str]) -> tuple[Any, tuple[bytes, ...]]:
    """The signed data in a CMS, and the certificates in it in DER, that of who signed first.

    `asked` are the attributes that are signed with it. Raises ValueError unless every byte of it is
    as we write it or is signed, and the certificates are one chain.
    """
    from asn1crypto import cms  # noqa: PLC0415

    data = cms.ContentInfo.load(raw, strict=True)["content"]
    info = data["signer_infos"][0]
    attributes = info["signed_attrs"].untag()
    values = {each["type"].native: each["values"] for each in attributes}
    held = [each.chosen.dump() for each in data["certificates"]]
    listed = [each["cert_hash"].native for each in values["signing_certificate_v2"][0]["certs"]]
    short(held)
    short(listed)
    by_hash = {hashlib.sha256(each).digest(): each for each in held}
    certificates = [by_hash[each] for each in listed]
    again = _assembled(
        certificates, cms.CMSAttributes.load(attributes.dump()), info["signature"].native
    )
    if (
        again != raw
        or set(values) != asked
        or len(attributes) != len(asked)
        or any(len(each) != 1 for each in values.values())
    ):
        raise ValueError("a signature in another form than ours")
    chained(certificates)
    return data, tuple(certificates)


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


def roots_of(raws: Sequence[bytes]) -> tuple[bytes, ...]:
    """The certificates among what was given, in DER."""
    found: list[bytes] = []
    for raw in raws:
        try:
            parts = _unarmoured(raw)
            for each in parts:
                bearer_of(each)
            found += parts
        except Exception:  # noqa: S112  (foreign bytes: what is no certificate trusts nobody)
            continue
    return tuple(found)


def _unarmoured(raw: bytes) -> list[bytes]:
    from asn1crypto import pem  # noqa: PLC0415

    if not pem.detect(raw):
        return [raw]
    parts = pem.unarmor(raw, multiple=True)
    return [der for kind, _, der in parts if kind.endswith("CERTIFICATE")]


def waited_for(work: Coroutine[Any, Any, Any]) -> Any:  # noqa: ANN401
    """The outcome of a check, without what it says to a log on its way.

    In a thread of its own, since a loop that runs already in this one takes no other.
    """
    with quiet(), ThreadPoolExecutor(1) as own:
        return own.submit(asyncio.run, work).result()
