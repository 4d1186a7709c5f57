"""Who may vouch for whom: the chain of a certificate, its key, what it is made for, and anchors.

The library that builds paths from a certificate to what is trusted tries every order of what it is
given, and takes whatever it is told to trust for an authority. So what it is given is looked at
here before: one chain, each certificate of it issued by the next, and as anchors only authorities
and the signer's own certificate. No setting of the library asks this of a chain or of an anchor, so
these guards stay ours; the signatures of the certificates and the path are checked by libraries.
"""

from __future__ import annotations

import logging
import warnings
from collections import Counter
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC
from itertools import pairwise
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

MAX_CHAIN = 8
"""Most certificates above that of the signer; judgement: authorities have two or three levels."""
MOST_OF_ONE_NAME = 2
"""Most authorities of one name in a chain; judgement: one that changed its key has two."""
MIN_RSA = 2048
"""Least bits of an RSA key; NIST SP 800-131A Rev. 2, clause 3 (from memory)."""
MIN_EXPONENT = 65537
"""Least public exponent of an RSA key; FIPS 186-5, A.1.1 (from memory)."""
MIN_CURVE = 256
"""Least bits of the curve of an authority, whatever curve it is; its strength is that of P-256."""
CURVES = ("secp256r1", "secp384r1", "secp521r1")
"""Curves that sign: P-256, P-384 and P-521 of NIST SP 800-186, which other programs know too."""
PURPOSES = {
    "1.3.6.1.5.5.7.3.4",  # mail
    "1.3.6.1.5.5.7.3.36",  # documents (RFC 9336)
    "1.3.6.1.5.5.7.3.2",  # persons who log in
    "2.5.29.37.0",  # everything
}
"""Purposes of which one is asked for where a certificate names its purposes (RFC 5280, 4.2.1.12);
the choice is judgement: they are those that certificates of persons have."""


def issued(one: bytes, by: bytes) -> bool:
    """Whether the key of a certificate signed another, or its own."""
    from cryptography import x509  # noqa: PLC0415  (the extra, and only where it is asked for)

    try:
        with quiet():
            below = x509.load_der_x509_certificate(one)
            below.verify_directly_issued_by(x509.load_der_x509_certificate(by))
    except Exception:  # noqa: BLE001, RUF100  (whatever it is, it does not hold)
        return False
    return True


def short(certificates: Sequence[bytes]) -> None:
    """Raises ValueError where more certificates stand in a signature than one chain has."""
    if not 1 <= len(certificates) <= MAX_CHAIN + 1:
        raise ValueError("no certificate, or more than a chain has")


def chained(certificates: Sequence[bytes]) -> None:
    """Raises ValueError unless each certificate was issued by the next, and the chain is short.

    Authorities of one name that all issue each other would be tried in every order.
    """
    from asn1crypto import x509  # noqa: PLC0415

    short(certificates)
    names = Counter(x509.Certificate.load(each).subject.hashable for each in certificates[1:])
    if any(count > MOST_OF_ONE_NAME for count in names.values()):
        raise ValueError("many certificates of one name")
    if not all(issued(*pair) for pair in pairwise(certificates)):
        raise ValueError("a certificate that did not issue the one before")


def strong(it: Any, *, authority: bool = False) -> bool:  # noqa: ANN401  (a certificate)
    """Whether the key of a certificate is of a kind that signs, and strong enough.

    An authority may have what other programs sign with too: its key signs no document.
    """
    from cryptography.hazmat.primitives.asymmetric import ec, ed448, ed25519, rsa  # noqa: PLC0415

    try:
        key = it.public_key()
    except Exception:  # noqa: BLE001, RUF100  (one of a kind that is not known here)
        return False
    if isinstance(key, rsa.RSAPublicKey):
        return key.key_size >= MIN_RSA and key.public_numbers().e >= MIN_EXPONENT
    if isinstance(key, ec.EllipticCurvePublicKey):
        return key.key_size >= MIN_CURVE if authority else key.curve.name in CURVES
    return authority and isinstance(key, ed25519.Ed25519PublicKey | ed448.Ed448PublicKey)


def signs(it: Any) -> bool:  # noqa: ANN401  (a certificate of the extra)
    """Whether a certificate is made for signing, by its key usage and by its purposes."""
    from cryptography import x509  # noqa: PLC0415

    usage = _extension(it, x509.KeyUsage)
    if usage is not None and not (usage.digital_signature or usage.content_commitment):
        return False
    purposes = _extension(it, x509.ExtendedKeyUsage)
    # What is not said is for everything (RFC 5280, 4.2.1.3 and 4.2.1.12).
    return purposes is None or any(each.dotted_string in PURPOSES for each in purposes)


def issues(der: bytes) -> bool:
    """Whether a certificate is that of an authority, which may issue others."""
    from cryptography import x509  # noqa: PLC0415

    with quiet():
        it = x509.load_der_x509_certificate(der)
        basic, usage = _extension(it, x509.BasicConstraints), _extension(it, x509.KeyUsage)
        return (
            basic is not None
            and bool(basic.ca)
            and usage is not None
            and bool(usage.key_cert_sign)
            and strong(it, authority=True)
        )


def _extension(it: Any, kind: Any) -> Any:  # noqa: ANN401  (of the extra)
    from cryptography import x509  # noqa: PLC0415

    try:
        return it.extensions.get_extension_for_class(kind).value
    except x509.ExtensionNotFound:
        return None


def context_of(roots: Sequence[bytes], when: datetime, chain: Sequence[bytes]) -> Any:  # noqa: ANN401
    """What is trusted at a moment for a chain: nothing from the machine or the network.

    `roots` are certificates in DER. Of them those count that are valid then and either authorities
    or the signer's own, the first of the chain: that of another person vouches for nobody.
    """
    from asn1crypto import x509  # noqa: PLC0415
    from pyhanko_certvalidator import ValidationContext  # noqa: PLC0415

    counted = [each for each in roots if _counts(each, when, chain)]
    anchors = [_anchor(x509.Certificate.load(each)) for each in counted]
    return ValidationContext(trust_roots=anchors, moment=when, allow_fetching=False)


def _counts(root: bytes, when: datetime, chain: Sequence[bytes]) -> bool:
    from cryptography import x509  # noqa: PLC0415

    with quiet():
        it = x509.load_der_x509_certificate(root)
        timely = it.not_valid_before_utc <= when.astimezone(UTC) <= it.not_valid_after_utc
    return timely and (root == chain[0] or all(issues(each) for each in (root, *chain[1:])))


def _anchor(certificate: Any) -> Any:  # noqa: ANN401  (of the extra)
    """A certificate as an anchor within its own bounds: length of path, names, days.

    Its policies are not asked of those below it: who trusts an authority trusts it as a whole.
    """
    from pyhanko_certvalidator.authority import (  # noqa: PLC0415
        CertTrustAnchor,
        derive_quals_from_cert,
    )

    bounds = derive_quals_from_cert(certificate)
    if bounds.standard_parameters is not None:
        free = replace(
            bounds.standard_parameters,
            user_initial_policy_set=frozenset({"any_policy"}),
            initial_explicit_policy=False,
        )
        bounds = replace(bounds, standard_parameters=free)
    return CertTrustAnchor(certificate, bounds)


@contextmanager
def quiet() -> Iterator[None]:
    """Keeps the libraries from warning of what is judged here anyway."""
    loggers = [logging.getLogger(name) for name in ("pyhanko", "pyhanko_certvalidator")]
    before = [each.level for each in loggers]
    for each in loggers:
        each.setLevel(logging.CRITICAL + 1)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        for each, level in zip(loggers, before, strict=True):
            each.setLevel(level)
