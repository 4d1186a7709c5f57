"""Certificates: whom one was made for, with its key, and which are trusted.

What comes with the extra `riskdoc[certificates]` is imported where it is needed: a document without
certificates is made without it. Nothing here asks the network.
"""

from __future__ import annotations

import importlib
import unicodedata
from dataclasses import dataclass, field
from datetime import UTC
from typing import TYPE_CHECKING, Any

from riskdoc.job.alike import LONGEST, hidden, quoted
from riskdoc.job.faults import shown
from riskdoc.job.files_beside import TooLargeError, plain_bytes, why
from riskdoc.signing.trust import (
    CURVES,
    MAX_CHAIN,
    MIN_EXPONENT,
    MIN_RSA,
    chained,
    issued,
    quiet,
    signs,
    strong,
)

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime
    from pathlib import Path

EXTRA = "riskdoc[certificates]"
MAX_BYTES = 1024 * 1024
"""Greatest file of a key or of certificates; judgement: one has some kilobytes, a list of all the
public authorities a quarter of this."""


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


def roots_of(raws: Sequence[bytes]) -> tuple[bytes, ...]:
    """The certificates among what was given, in DER."""
    found: list[bytes] = []
    for raw in raws:
        try:
            parts = _parted(raw)
            for each in parts:
                bearer_of(each)
            found += parts
        except Exception:  # noqa: S112  (foreign bytes: what is no certificate trusts nobody)
            continue
    return tuple(found)


def _parted(raw: bytes) -> list[bytes]:
    if b"-----BEGIN " not in raw:
        return [raw]
    from cryptography import x509  # noqa: PLC0415
    from cryptography.hazmat.primitives.serialization import Encoding  # noqa: PLC0415

    with quiet():
        return [each.public_bytes(Encoding.DER) for each in x509.load_pem_x509_certificates(raw)]
