"""The one form of a signature of ours: a detached CMS, made and taken apart again.

A signature is a detached CMS (RFC 5652) over the statement of an entry, with the attributes of a
CAdES baseline signature B-B (ETSI EN 319 122-1): the hash of the statement, the time, and the
hashes of the certificates that go with it, so that none of them can be changed for another. It has
one form, DER in every byte, and a signature in another form counts as damaged.

It is put together here and not by the signer of pyHanko, since what is read is held to it byte for
byte: pyHanko names the hash of the first certificate alone, and takes any order and any spelling
that means the same, in which an attacker can hide what no hash covers.
"""

from __future__ import annotations

import base64
import hashlib
from datetime import UTC
from typing import TYPE_CHECKING, Any

from riskdoc.signing.certificates import timely
from riskdoc.signing.trust import chained, short

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence, Set
    from datetime import datetime

    from riskdoc.signing.certificates import Certificate, Signer

LAST_UTC_YEAR = 2049
"""Last year of the short form of a time (RFC 5652, 11.3)."""
ATTRIBUTES = frozenset({"content_type", "message_digest", "signing_time", "signing_certificate_v2"})
"""What is signed beside the statement, in the words of asn1crypto."""


def signed(certificate: Certificate, statement: bytes, when: datetime) -> str:
    """A detached signature over a statement, made at a moment: DER in base64, on one line.

    Raises `CertificateError` where the certificate is not valid at that moment.
    """
    timely(certificate, when)
    digest = hashlib.sha256(statement).digest()
    return base64.b64encode(cms_over(certificate.signer, digest, when)).decode("ascii")


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
