"""Entries signed with a certificate: what each signature shows, and that nothing slips through."""

from __future__ import annotations

import asyncio
import base64
import subprocess
import sys
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, pkcs12
from cryptography.x509.oid import NameOID
from hypothesis import given, settings
from hypothesis import strategies as st
from support.certificates import (
    AUTHORITY,
    FIRST,
    LAST,
    SECRET,
    SIGNER,
    Held,
    authority,
    called,
    key,
    made,
    office,
)

from riskdoc.signing import certificate_proof, certificates
from riskdoc.signing.certificate_proof import Proof, proof_of
from riskdoc.signing.certificates import Certificate, CertificateError, load, roots_in
from riskdoc.signing.cms_form import signed
from riskdoc.signing.entries import Entry

WHEN = "2027-06-01T10:00:00+02:00"
HOLDS = "it holds from 2027-01-01 to 2028-12-31, and the day of signing is"
KINDS = ("rsa2048", "p256", "p384", "p521")


def entry(**changed: str) -> Entry:
    whole = {
        "act": "sign", "number": "Q-17", "revision": "B", "role": "prepared", "name": SIGNER,
        "meaning": "I wrote it.", "time": WHEN, "digest": "a" * 64, "previous": "none",
    }  # fmt: skip
    return Entry(**(whole | changed))


@cache
def _held(kind: str, levels: int) -> Held:
    return made(kind=kind, by=(None, authority(), office())[levels])


def held(kind: str = "p256", levels: int = 0) -> Held:
    """The signer: signed by itself, or issued over so many levels; the same one every time."""
    return _held(kind, levels)


def opened(held: Held, folder: Path) -> Certificate:
    return load(held.file(folder), SECRET)


def certified(held: Held, folder: Path, **changed: str) -> Entry:
    whole = entry(**changed)
    certificate = opened(held, folder)
    return replace(whole, certificate=signed(certificate, whole.statement, whole.when))


def proof(it: Entry, roots: tuple[bytes, ...] = ()) -> Proof:
    found = proof_of(it, roots)
    assert found is not None
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_a_certificate_that_signed_itself_shows_that_nothing_changed(kind, tmp_path):
    certificate = opened(held(kind), tmp_path)
    found = proof(certified(held(kind), tmp_path))

    assert (certificate.subject, certificate.issuer) == (SIGNER, SIGNER)
    assert (certificate.first, certificate.last) == (FIRST, LAST)
    assert certificate.self_signed
    assert found == Proof("self-signed", SIGNER, SIGNER, FIRST.date(), LAST.date())
    assert found.trouble == ""
    assert found.text == (
        f"certificate of “{SIGNER}”, signed by itself: shows that nothing was changed since, not "
        "who signed"
    )


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("levels", [1, 2])
def test_a_certificate_of_an_authority_names_it_and_says_whether_it_is_trusted(
    kind, levels, tmp_path
):
    it = certified(held(kind, levels), tmp_path)
    issuer = (AUTHORITY, "Quarry Lane Test Office")[levels - 1]
    other = made("Someone Else", authority=True, usage=("key_cert_sign",), number=5)

    assert not opened(held(kind, levels), tmp_path).self_signed
    assert [proof(it, roots).trusted for roots in ((), (other.der,), (authority().pem,))] == [
        None, False, True
    ]  # fmt: skip
    assert {proof(it, roots).kind for roots in ((), (other.der,))} == {"issued"}
    assert proof(it).text == (
        f"certificate of “{SIGNER}”, issued by “{issuer}”, whom nobody here was told to trust"
    )
    assert proof(it, (other.der,)).text.endswith(
        f"issued by “{issuer}”, who is not among those trusted here"
    )
    assert f"issued by “{issuer}”, who is trusted here" in proof(it, (authority().der,)).text


def test_roots_are_pem_or_der_and_what_is_neither_trusts_nobody(tmp_path):
    it = certified(held("p256", 1), tmp_path)
    own = certified(held(), tmp_path)
    bundle = made("Another Root", authority=True, number=6).pem + authority().pem

    assert proof(it, (bundle,)).trusted is True
    assert proof(it, (b"", b"\x30\x80no", b"-----BEGIN CERTIFICATE-----\nx")).trusted is False
    assert proof(it, (b"rubbish", authority().der)).trusted is True
    assert proof(own, (held().pem,)).trusted is True
    assert proof(own, (held().pem,)).text.endswith("signed by itself and trusted here")
    assert proof(own, (authority().pem,)).trusted is False


def test_roots_are_read_from_a_file(tmp_path):
    path = tmp_path / "roots.pem"
    path.write_bytes(authority().pem + office().pem)
    assert roots_in(path) == (authority().der, office().der)
    path.write_bytes(authority().der)
    assert roots_in(path) == (authority().der,)
    path.write_bytes(held().key_pem())
    with pytest.raises(CertificateError, match=r"roots\.pem holds no certificate"):
        roots_in(path)


def test_an_entry_without_a_certificate_has_no_proof():
    assert proof_of(entry()) is None


def test_the_key_stands_in_no_print_of_a_certificate(tmp_path):
    certificate = opened(held(), tmp_path)

    assert "Signer" not in repr(certificate)
    assert "object at" not in repr(certificate)


def test_a_signature_is_one_line_and_goes_through_the_form_of_the_record(tmp_path):
    text = certified(held("rsa2048", 2), tmp_path).certificate

    assert set(text) <= set("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/=")
    assert base64.b64decode(text)[0] == 0x30


def wrong(name: str) -> bytes:
    """Files that are no PKCS#12 file with a key that signs, by what is the matter."""
    good = held().p12()
    plain = NoEncryption()
    files = {
        "pem": lambda: held().key_pem() + held().pem,
        "text": lambda: b"my certificate",
        "empty": lambda: b"",
        "only a certificate": lambda: held().der,
        "cut off": lambda: good[: len(good) // 2],
        "longer": lambda: good + b"\0",
        "damaged": lambda: good[:40] + b"\xff\xff\xff\xff" + good[44:],
        "damaged inside": lambda: good[:-200] + bytes([good[-200] ^ 1]) + good[-199:],
        "no key": lambda: pkcs12.serialize_java_truststore(
            [pkcs12.PKCS12Certificate(held().certificate, b"it")], plain
        ),
        "no certificate": lambda: pkcs12.serialize_key_and_certificates(
            b"it", held().key, None, None, plain
        ),
        "another's certificate": lambda: pkcs12.serialize_key_and_certificates(
            b"it", held().key, None, [authority().certificate], plain
        ),
        "weak": lambda: made(kind="rsa1024").p12(None),
        "another curve": lambda: made(kind="k256").p12(None),
        "not for signing": lambda: made(usage=("key_encipherment",)).p12(None),
        "too large": lambda: b"\x30" * (certificates.MAX_BYTES + 1),
    }
    return files[name]()


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("pem", "signer.p12 is in PEM"),
        ("text", "is no PKCS#12 file"),
        ("empty", "is no PKCS#12 file"),
        ("only a certificate", "is no PKCS#12 file"),
        ("cut off", "its end is missing"),
        ("longer", "damaged"),
        ("damaged", "damaged"),
        ("damaged inside", "damaged"),
        ("no key", "holds no private key"),
        ("no certificate", "holds no certificate"),
        ("another's certificate", "holds no certificate for its private key"),
        ("weak", "RSA of 1024 bits, and 2048 are the least"),
        ("another curve", "of a kind that cannot sign here"),
        ("not for signing", "not made for signing"),
        ("too large", "is larger than"),
    ],
)
def test_a_file_that_cannot_be_used_is_refused_with_why(name, said, tmp_path):
    path = tmp_path / "signer.p12"
    path.write_bytes(wrong(name))
    secret = SECRET if "damaged" in name else None

    with pytest.raises(CertificateError, match=said) as caught:
        load(path, secret)
    assert str(tmp_path) not in str(caught.value)


def test_a_key_that_signs_in_another_way_is_refused(tmp_path):
    """Ed25519 goes with SHA-512 in CMS (RFC 8419, 3.1), and this is SHA-256 throughout."""
    own, name = key("ed25519"), called(SIGNER)
    built = x509.CertificateBuilder().subject_name(name).issuer_name(name)
    built = built.public_key(own.public_key()).serial_number(5)
    built = built.not_valid_before(FIRST).not_valid_after(LAST)
    whole = Held(own, built.sign(own, None))

    with pytest.raises(CertificateError, match="of a kind that cannot sign here"):
        opened(whole, tmp_path)


@pytest.mark.parametrize(
    ("locked", "secret", "said"),
    [
        (SECRET, "grey granite", "the password does not open signer.p12"),
        (SECRET, None, "signer.p12 needs its password"),
        (SECRET, "", "the password does not open"),
        (SECRET, "\udcff", "the password does not open"),
    ],
)
def test_a_wrong_password_is_told(locked, secret, said, tmp_path):
    with pytest.raises(CertificateError, match=said) as caught:
        load(held().file(tmp_path, locked), secret)
    assert "gneiss" not in str(caught.value)
    assert "granite" not in str(caught.value)


def test_a_file_without_a_password_is_opened_without_one(tmp_path):
    assert load(held().file(tmp_path, None), None).subject == SIGNER


def test_a_file_that_is_not_there_is_told(tmp_path):
    with pytest.raises(CertificateError, match=r"none\.p12 cannot be read: No such file"):
        load(tmp_path / "none.p12", None)
    with pytest.raises(CertificateError, match="cannot be read: Is a directory"):
        load(tmp_path, None)


@pytest.mark.parametrize(
    ("when", "said"),
    [
        (LAST + timedelta(days=1), f"has expired: {HOLDS} 2029-01-01"),
        (LAST + timedelta(seconds=1), f"has expired: {HOLDS} 2029-01-01"),
        (FIRST - timedelta(seconds=1), f"is not valid yet: {HOLDS} 2026-12-31"),
        (FIRST - timedelta(days=400), "is not valid yet"),
    ],
)  # fmt: skip
def test_nobody_signs_outside_the_days_of_the_certificate(when, said, tmp_path):
    certificate = opened(held(), tmp_path)

    with pytest.raises(CertificateError, match=said):
        signed(certificate, b"it", when)
    assert signed(certificate, b"it", FIRST)
    assert signed(certificate, b"it", LAST)


@pytest.mark.parametrize(
    "changed",
    [{"digest": "b" * 64}, {"number": "Q-18"}, {"revision": "C"}, {"role": "checked"},
     {"meaning": "I wrote it"}, {"time": "2027-06-01T10:00:01+02:00"}, {"previous": "c" * 64},
     {"name": SIGNER.upper()}, {"act": "withdraw"}, {"successor": "Q-19"}],
)  # fmt: skip
def test_a_signature_moved_to_another_entry_is_broken(changed, tmp_path):
    it = certified(held(), tmp_path)
    found = proof(entry(**changed, certificate=it.certificate))

    assert found.kind == "broken"
    assert found.trouble == "The certificate signature is not over this entry."
    assert found.trusted is None


def test_the_hash_of_an_entry_is_no_part_of_what_is_signed(tmp_path):
    """The hash is over the signature, so the signature cannot be over the hash."""
    it = certified(held(), tmp_path)

    assert proof(replace(it, hash=it.computed)).kind == "self-signed"


@pytest.mark.parametrize(
    ("subject", "name", "same"),
    [
        (SIGNER, SIGNER.upper(), True),
        ("Zoë Straße", "ZOË STRASSE", True),
        ("Zoe\u0308 Hale", "Zo\u00eb Hale", True),
        (SIGNER, "Ines  Kolberg", False),
        (SIGNER, "Ines Kolber", False),
        (f"{SIGNER}\u202e", SIGNER, False),
    ],
)
def test_the_name_of_the_certificate_is_that_of_the_entry(subject, name, same, tmp_path):
    found = proof(certified(made(subject), tmp_path, name=name))

    assert (found.kind == "self-signed") is same
    assert ("names somebody else" in found.trouble) is not same
    assert "\u202e" not in found.text


def test_of_two_common_names_neither_is_the_name(tmp_path):
    both = x509.Name(
        [x509.NameAttribute(NameOID.COMMON_NAME, each) for each in (SIGNER, "Otto Marn")]
    )
    none = x509.Name([
        x509.NameAttribute(NameOID.GIVEN_NAME, "Ines"),
        x509.NameAttribute(NameOID.ORGANIZATION_NAME, "Quarry Lane Ropes"),
    ])  # fmt: skip
    for name in (SIGNER, "Otto Marn"):
        assert proof(certified(made(both), tmp_path, name=name)).kind == "broken"
    assert "O=Quarry Lane Ropes" in opened(made(none), tmp_path).subject


def forced(held: Held, it: Entry, folder: Path) -> Entry:
    """Signed by somebody who does not ask whether the certificate is valid."""
    certificate = opened(held, folder)
    free = replace(
        certificate, first=datetime(1990, 1, 1, tzinfo=UTC), last=datetime(2090, 1, 1, tzinfo=UTC)
    )
    return replace(it, certificate=signed(free, it.statement, it.when))


@pytest.mark.parametrize(
    "time", ["2026-12-31T23:59:59+00:00", "2029-01-01T00:00:00+00:00", "2055-01-01T00:00:00+00:00"]
)
def test_a_certificate_that_was_not_valid_at_the_time_of_the_entry_breaks_it(time, tmp_path):
    for each in (held(), held("rsa2048", 1)):
        found = proof(forced(each, entry(time=time), tmp_path), (authority().pem,))

        assert found.kind == "broken"
        assert found.trouble == (
            f"The certificate of “{SIGNER}” was not valid at the time of the entry; it holds from "
            "2027-01-01 to 2028-12-31."
        )


def test_a_certificate_for_something_else_than_signing_breaks_it(tmp_path):
    fine = opened(held(), tmp_path)
    other = made(usage=("key_agreement",))
    signer = certificates.Signer(other.key, (other.der,))
    it = entry()
    text = signed(replace(fine, signer=signer), it.statement, it.when)

    assert "not made for signing" in proof(replace(it, certificate=text)).trouble


def test_a_certificate_that_only_says_it_signed_itself_did_not(tmp_path):
    """Its issuer is its own name, written by the key of somebody else."""
    it = made(by=authority(), issuer=SIGNER, number=8)

    assert not opened(it, tmp_path).self_signed
    assert proof(certified(it, tmp_path)).kind == "issued"


@dataclass(frozen=True)
class Like:
    """What has a statement of any bytes, signed like an entry."""

    statement: bytes
    certificate: str
    name: str = SIGNER
    when: datetime = datetime(2027, 6, 1, 8, tzinfo=UTC)


@cache
def sound(kind: str, levels: int) -> Like:
    it, by = entry(), held(kind, levels)
    signer = certificates.Signer(
        by.key, (by.der, *(each.public_bytes(Encoding.DER) for each in by.above))
    )
    whole = Certificate(SIGNER, "", FIRST, LAST, False, signer)
    return Like(it.statement, signed(whole, it.statement, it.when))


SIGNED = st.sampled_from([("p256", 0), ("rsa2048", 0), ("p384", 2)])


@settings(max_examples=300, deadline=None)
@given(SIGNED, st.integers(0, 10**6), st.integers(1, 255))
def test_every_changed_byte_of_a_signature_is_found(which, place, change):
    it = sound(*which)
    raw = bytearray(base64.b64decode(it.certificate))
    raw[place % len(raw)] ^= change
    changed = replace(it, certificate=base64.b64encode(raw).decode())

    assert proof_of(it).kind in ("self-signed", "issued")
    assert proof_of(changed).kind == "broken"
    assert proof_of(changed).trouble != ""


@settings(max_examples=150, deadline=None)
@given(SIGNED, st.integers(0, 10**6), st.integers(1, 255))
def test_every_changed_byte_of_a_statement_is_found(which, place, change):
    it = sound(*which)
    raw = bytearray(it.statement)
    raw[place % len(raw)] ^= change

    assert proof_of(replace(it, statement=bytes(raw))).fault == certificate_proof.ELSEWHERE


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 10**6), st.characters())
def test_every_changed_letter_of_the_base64_is_found(place, letter):
    it = sound("p256", 0)
    at = place % len(it.certificate)
    changed = it.certificate[:at] + letter + it.certificate[at + 1 :]

    assert (proof_of(replace(it, certificate=changed)).kind == "broken") is (
        changed != it.certificate
    )


@settings(max_examples=100, deadline=None)
@given(st.text(min_size=1) | st.binary(min_size=1).map(lambda it: base64.b64encode(it).decode()))
def test_rubbish_is_broken_and_raises_nothing(text):
    found = proof_of(Like(b"it", text))

    assert (found.kind, found.trouble) == ("broken", "The certificate signature is damaged.")


@pytest.mark.parametrize("tail", ["\n", " ", "=", "AAAA"])
def test_nothing_may_follow_a_signature(tail):
    it = sound("p256", 0)

    assert proof_of(replace(it, certificate=it.certificate + tail)).kind == "broken"


def openssl(folder: Path, it: Entry, root: bytes) -> subprocess.CompletedProcess[str]:
    """What OpenSSL says of a signature, on the day of the entry, as of a CAdES signature."""
    (folder / "it.der").write_bytes(base64.b64decode(it.certificate))
    (folder / "it").write_bytes(it.statement)
    (folder / "root.pem").write_bytes(root)
    return subprocess.run(
        ["openssl", "cms", "-verify", "-binary", "-cades", "-inform", "DER", "-in", "it.der",
         "-content", "it", "-CAfile", "root.pem", "-purpose", "any", "-out", "out",
         "-attime", f"{it.when.timestamp():.0f}"],
        cwd=folder, capture_output=True, text=True, check=False,
    )  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("levels", [0, 2])
def test_openssl_finds_the_same(kind, levels, tmp_path):
    it = certified(held(kind, levels), tmp_path)
    root = authority().pem if levels else held(kind).pem
    fine = openssl(tmp_path, it, root)
    moved = openssl(tmp_path, replace(it, digest="b" * 64), root)
    stranger = openssl(tmp_path, it, made("Someone Else", number=5).pem)

    assert (fine.returncode, fine.stderr) == (0, "CAdES Verification successful\n")
    assert moved.returncode != 0
    assert stranger.returncode != 0
    assert "verify error" in stranger.stderr


def test_openssl_reads_the_time_and_the_certificates_that_are_signed(tmp_path):
    certified(held("p256", 2), tmp_path)
    it = certified(held("p256", 2), tmp_path)
    (tmp_path / "it.der").write_bytes(base64.b64decode(it.certificate))
    said = subprocess.run(
        ["openssl", "cms", "-cmsout", "-print", "-inform", "DER", "-in", "it.der", "-noout"],
        cwd=tmp_path, capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip

    assert "UTCTIME:Jun  1 08:00:00 2027 GMT" in said
    assert "id-smime-aa-signingCertificateV2" in said
    assert "eContent: <ABSENT>" in said
    assert said.count("d.certificate:") == 3


def test_a_signature_that_another_program_made_in_another_form_does_not_count(tmp_path):
    """It may be sound; but bytes that nothing signs could be changed in it."""
    it = entry()
    (tmp_path / "it").write_bytes(it.statement)
    (tmp_path / "key.pem").write_bytes(held().key_pem())
    (tmp_path / "cert.pem").write_bytes(held().pem)
    made_by_it = subprocess.run(
        ["openssl", "cms", "-sign", "-binary", "-cades", "-md", "sha256", "-in", "it", "-signer",
         "cert.pem", "-inkey", "key.pem", "-outform", "DER"],
        cwd=tmp_path, capture_output=True, check=True,
    ).stdout  # fmt: skip
    other = replace(it, certificate=base64.b64encode(made_by_it).decode())

    assert openssl(tmp_path, other, held().pem).returncode == 0
    assert proof(other).kind == "broken"


def test_without_the_extra_nothing_is_checked_and_it_is_said(monkeypatch, tmp_path):
    it = certified(held(), tmp_path)
    path = held().file(tmp_path)
    for name in ("asn1crypto", "cryptography", "pyhanko.sign", "pyhanko_certvalidator"):
        with monkeypatch.context() as less:
            less.setitem(sys.modules, name, None)
            found = proof(it)
            assert (found.kind, found.trouble, found.subject) == ("unchecked", "", "")
            assert found.text == (
                "certificate signature, not checked here: the extra riskdoc[certificates] is not "
                "installed"
            )
            assert proof_of(entry()) is None
            for open_it in (lambda: load(path, SECRET), lambda: roots_in(path)):
                with pytest.raises(CertificateError, match=r"install riskdoc\[certificates\]"):
                    open_it()


def test_importing_the_module_imports_nothing_of_the_extra():
    code = (
        "import sys, riskdoc.signing.certificates, riskdoc.signing.pades;"
        "print([n for n in ('asn1crypto', 'cryptography', 'pyhanko.sign') if n in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "[]"


def test_nobody_is_asked_over_the_network(monkeypatch, tmp_path):
    def refuse(*_args, **_more):
        raise AssertionError("asked over the network")

    by = made(by=authority(), address="http://revoked.invalid/list", number=9)
    it = certified(by, tmp_path)
    for name in ("socket.getaddrinfo", "socket.create_connection", "socket.socket.connect"):
        monkeypatch.setattr(name, refuse)

    assert proof(it, (authority().pem,)).trusted is True


def test_the_same_entry_has_the_same_proof(tmp_path):
    it = certified(held("p384", 2), tmp_path)

    assert len({proof(it, (authority().pem,)) for _ in range(3)}) == 1
    assert proof(it).first == date(2027, 1, 1)


def test_an_entry_is_checked_inside_a_running_loop_too(tmp_path):
    it = certified(held(), tmp_path)

    async def inside() -> Proof:
        return proof(it)

    assert asyncio.run(inside()) == proof(it)


def test_nothing_is_said_to_a_log_or_the_terminal(tmp_path, capfd, caplog):
    it = certified(held("p256", 1), tmp_path)
    proof(it, (held().pem,))
    proof(replace(it, digest="b" * 64))

    assert capfd.readouterr() == ("", "")
    assert caplog.records == []
