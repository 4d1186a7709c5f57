"""Keys and certificates of invented people, made when they are asked for; none is kept."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, ed25519, rsa, x25519
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    NoEncryption,
    PrivateFormat,
    pkcs12,
)
from cryptography.x509.oid import AuthorityInformationAccessOID, NameOID

FIRST = datetime(2027, 1, 1, tzinfo=UTC)
LAST = datetime(2028, 12, 31, 23, 59, 59, tzinfo=UTC)
SIGNER = "Ines Kolberg"
AUTHORITY = "Quarry Lane Test Authority"
SECRET = "grey gneiss"


@cache
def key(kind: str, number: int = 0) -> Any:
    """A key of a kind; another one for another number."""
    del number
    if kind.startswith("rsa"):
        return rsa.generate_private_key(65537, int(kind.removeprefix("rsa")))
    made = {
        "p256": lambda: ec.generate_private_key(ec.SECP256R1()),
        "p384": lambda: ec.generate_private_key(ec.SECP384R1()),
        "p521": lambda: ec.generate_private_key(ec.SECP521R1()),
        "k256": lambda: ec.generate_private_key(ec.SECP256K1()),
        "ed25519": ed25519.Ed25519PrivateKey.generate,
        "x25519": x25519.X25519PrivateKey.generate,
    }
    return made[kind]()


def called(name: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])


@dataclass(frozen=True)
class Held:
    """A key with its certificate and those above it."""

    key: Any
    certificate: x509.Certificate
    above: tuple[x509.Certificate, ...] = ()

    @property
    def der(self) -> bytes:
        return self.certificate.public_bytes(Encoding.DER)

    @property
    def pem(self) -> bytes:
        return self.certificate.public_bytes(Encoding.PEM)

    def p12(self, secret: str | None = SECRET) -> bytes:
        lock = BestAvailableEncryption(secret.encode()) if secret else NoEncryption()
        return pkcs12.serialize_key_and_certificates(
            b"test", self.key, self.certificate, self.above, lock
        )

    def file(self, folder: Path, secret: str | None = SECRET) -> Path:
        path = folder / "signer.p12"
        path.write_bytes(self.p12(secret))
        return path

    def key_pem(self) -> bytes:
        return self.key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())


def made(
    name: str | x509.Name = SIGNER,
    kind: str = "p256",
    by: Held | None = None,
    *,
    first: datetime = FIRST,
    last: datetime = LAST,
    authority: bool = False,
    usage: tuple[str, ...] | None = ("digital_signature",),
    issuer: str | None = None,
    number: int = 0,
    address: str | None = None,
) -> Held:
    """A certificate of a name, issued by another or signed by its own key.

    `issuer` writes another issuer's name into a certificate than that of the key which signs it,
    `address` where to ask whether it was revoked.
    """
    own = key(kind, number)
    subject = called(name) if isinstance(name, str) else name
    above = by.certificate.subject if by else subject
    build = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(called(issuer) if issuer else above)
        .public_key(own.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(first)
        .not_valid_after(last)
        .add_extension(x509.BasicConstraints(ca=authority, path_length=None), critical=True)
    )
    if usage is not None:
        names = ("digital_signature", "content_commitment", "key_encipherment",
                 "data_encipherment", "key_agreement", "key_cert_sign", "crl_sign",
                 "encipher_only", "decipher_only")  # fmt: skip
        said = {each: each in usage for each in names}
        build = build.add_extension(x509.KeyUsage(**said), critical=True)
    if address is not None:
        place = x509.DistributionPoint([x509.UniformResourceIdentifier(address)], None, None, None)
        asked = x509.AccessDescription(
            AuthorityInformationAccessOID.OCSP, x509.UniformResourceIdentifier(address)
        )
        build = build.add_extension(x509.CRLDistributionPoints([place]), critical=False)
        build = build.add_extension(x509.AuthorityInformationAccess([asked]), critical=False)
    signing = by.key if by else own
    certificate = build.sign(signing, hashes.SHA256())
    return Held(own, certificate, (by.certificate, *by.above) if by else ())


@cache
def authority() -> Held:
    """An invented authority; its certificate is the root."""
    usage = ("key_cert_sign", "crl_sign")
    return made(AUTHORITY, "p384", authority=True, usage=usage, last=LAST + timedelta(days=3650))


@cache
def office() -> Held:
    """One that issues under the authority, so that there are three levels."""
    usage = ("key_cert_sign", "crl_sign")
    return made("Quarry Lane Test Office", "p256", authority(), authority=True, usage=usage,
                number=7)  # fmt: skip
