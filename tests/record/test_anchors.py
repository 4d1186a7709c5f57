"""Who may vouch for whom: authorities alone, and a person for nobody but themselves.

RFC 5280: an issuer has basicConstraints with cA (4.2.1.9) and keyCertSign (4.2.1.3); purposes that
are named are all that a certificate is for (4.2.1.12).
"""

from __future__ import annotations

import base64
import hashlib
import time
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, ed25519, rsa
from cryptography.hazmat.primitives.serialization import Encoding
from support.certificates import FIRST, LAST, SECRET, Held, authority, called, key, made, office

from riskdoc.signing.certificate_proof import Proof, proof_of
from riskdoc.signing.certificates import CertificateError, Signer, bearer_of, load
from riskdoc.signing.cms_form import cms_over
from riskdoc.signing.entries import Entry

NAME = "D. Fourth"
EARLY = datetime(2027, 2, 1, tzinfo=UTC)
"""Before the entry, which is of the first of June."""
ISSUES = ("key_cert_sign", "crl_sign")
SERVER, MAIL, CLIENT, DOCUMENT, ANY, STAMPS = (
    "1.3.6.1.5.5.7.3.1", "1.3.6.1.5.5.7.3.4", "1.3.6.1.5.5.7.3.2", "1.3.6.1.5.5.7.3.36",
    "2.5.29.37.0", "1.3.6.1.5.5.7.3.8",
)  # fmt: skip


def entry(by: Held, name: str = NAME) -> Entry:
    """An entry that this key signs, without any of the questions that signing asks."""
    bare = Entry(
        act="sign", number="Q-17", revision="B", role="authorised", name=name, meaning="It.",
        time="2027-06-01T10:00:00+02:00", digest="a" * 64, previous="none",
    )  # fmt: skip
    chain = (by.der, *(each.public_bytes(Encoding.DER) for each in by.above))
    raw = cms_over(Signer(by.key, chain), hashlib.sha256(bare.statement).digest(), bare.when)
    return replace(bare, certificate=base64.b64encode(raw).decode())


def proof(by: Held, *roots: Held, name: str = NAME) -> Proof:
    found = proof_of(entry(by, name), tuple(each.der for each in roots))
    assert found is not None
    return found


def trusted(by: Held, *roots: Held, name: str = NAME) -> bool:
    return bool(proof(by, *roots, name=name).trusted)


def issued(own: object, by: Held, *more: tuple[x509.ExtensionType, bool], name: str = NAME) -> Held:
    """A certificate of any key with any extensions, issued by whatever certificate."""
    build = (
        x509.CertificateBuilder()
        .subject_name(called(name))
        .issuer_name(by.certificate.subject)
        .public_key(own.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(FIRST)
        .not_valid_after(LAST)
    )
    for extension, critical in more:
        build = build.add_extension(extension, critical)
    return Held(own, build.sign(by.key, hashes.SHA256()), (by.certificate, *by.above))


def without_chain(held: Held) -> Held:
    return Held(held.key, held.certificate)


def root(number: int, **how: object) -> Held:
    how = {"authority": True, "usage": ISSUES, "last": LAST, **how}
    return made("Some Root", number=number, **how)


# ---------------------------------------------------------------- a listed person


@cache
def lead() -> Held:
    """Made by herself, not an authority; listed, since everybody of the firm is."""
    return made("A. Lead", number=31)


def test_a_listed_person_is_trusted_for_her_own_entries():
    assert trusted(lead(), lead(), name="A. Lead")
    assert trusted(lead(), authority(), lead(), name="A. Lead")


@pytest.mark.parametrize("carried", [True, False])
def test_a_listed_person_makes_nobody_else(carried):
    forger = made(NAME, by=lead(), number=32)
    forger = forger if carried else without_chain(forger)

    assert not trusted(forger, lead())
    assert not trusted(forger, lead(), authority())
    assert proof(forger, lead()).kind == "issued"


def test_a_listed_person_whom_an_authority_certified_is_trusted_and_makes_nobody_else():
    stranger = made("S. Stranger", by=authority(), number=33)
    forger = made(NAME, by=stranger, number=34)

    assert trusted(stranger, stranger, name="S. Stranger")
    assert not trusted(forger, stranger)
    assert not trusted(forger, authority())
    assert not trusted(without_chain(forger), stranger)


@pytest.mark.parametrize(
    ("is_authority", "usage"),
    [(True, None), (True, ("digital_signature",)), (False, ISSUES), (False, None)],
)
def test_an_issuer_is_an_authority_that_may_sign_certificates(is_authority, usage):
    """OpenSSL's own `req -x509` makes CA:TRUE of everybody, and no key usage."""
    it = root(35, authority=is_authority, usage=usage)

    assert not trusted(made(NAME, by=it, number=36), it)
    assert not trusted(without_chain(made(NAME, by=it, number=36)), it)


def test_one_between_that_is_no_authority_makes_nobody_though_its_root_is_trusted():
    between = root(37, by=authority(), usage=None)

    assert not trusted(made(NAME, by=between, number=38), authority())


def test_a_listed_person_whose_certificate_names_no_use_is_trusted():
    """For every use (RFC 5280, 4.2.1.3), but to issue: nobody said that it is an authority's."""
    it = made(NAME, usage=None, number=66)

    assert trusted(it, it)
    assert not trusted(made("A. Lead", by=it, number=67), it, name="A. Lead")


# ---------------------------------------------------------------- genuine chains


def test_genuine_chains_stay_trusted():
    for by, *roots in (
        (authority(), authority()),
        (office(), authority()),
        (office(), office()),
        (office(), lead(), authority()),
    ):
        it = made(NAME, by=by, number=39)
        assert trusted(it, *roots)
        assert trusted(without_chain(it), by, *roots)
    assert not trusted(made(NAME, by=authority(), number=39), office())


def test_a_root_with_policies_of_its_own_stays_trusted():
    policy = x509.CertificatePolicies([x509.PolicyInformation(x509.ObjectIdentifier("1.2.3"), [])])
    usage = x509.KeyUsage(False, False, False, False, False, True, True, False, False)
    own = key("p256", 61)
    name = called("A Root of Policies")
    build = x509.CertificateBuilder().subject_name(name).issuer_name(name)
    build = build.public_key(own.public_key()).serial_number(7)
    build = build.not_valid_before(FIRST).not_valid_after(LAST).add_extension(policy, False)
    build = build.add_extension(x509.BasicConstraints(True, None), True).add_extension(usage, True)
    it = Held(own, build.sign(own, hashes.SHA256()))

    assert trusted(made(NAME, by=it, number=62), it)


def test_the_greatest_length_of_path_that_a_root_names_binds_it():
    own, name = key("p256", 63), called("A Root of No Others")
    usage = x509.KeyUsage(False, False, False, False, False, True, True, False, False)
    build = x509.CertificateBuilder().subject_name(name).issuer_name(name)
    build = build.public_key(own.public_key()).serial_number(8)
    build = build.not_valid_before(FIRST).not_valid_after(LAST)
    build = build.add_extension(x509.BasicConstraints(True, 0), True).add_extension(usage, True)
    it = Held(own, build.sign(own, hashes.SHA256()))
    between = made("Between", by=it, authority=True, usage=ISSUES, number=64)

    assert trusted(made(NAME, by=it, number=65), it)
    assert not trusted(made(NAME, by=between, number=65), it)


# ---------------------------------------------------------------- days


def test_an_anchor_that_had_expired_vouches_for_nobody():
    it = root(40, last=EARLY)
    late = root(40, first=datetime(2027, 7, 1, tzinfo=UTC))

    assert not trusted(made(NAME, by=it, number=41), it)
    assert not trusted(made(NAME, by=late, number=41), late)
    assert trusted(made(NAME, by=root(40), number=41), root(40))


def test_an_expired_listed_person_does_not_vouch_for_a_newer_certificate_of_the_same_key():
    old = made(NAME, number=42, last=EARLY)
    new = made(NAME, number=42)

    assert not trusted(new, old)
    assert trusted(new, new)
    assert proof(old, old).kind == "broken"


# ---------------------------------------------------------------- chains


def hub(count: int, *, apart: bool, one_key: bool) -> Held:
    """A signer with authorities that could issue each other, in every order."""
    number = (lambda n: 70) if one_key else (lambda n: 70 + n)
    name = (lambda n: f"Hub {n}") if apart else (lambda n: "Hub")
    held = [
        made(name(n), number=number(n), authority=True, usage=ISSUES, issuer=name(n + 1))
        for n in range(count)
    ]
    leaf = made(NAME, by=held[0], number=99)
    return Held(leaf.key, leaf.certificate, tuple(each.certificate for each in held))


@pytest.mark.parametrize("one_key", [True, False])
def test_authorities_of_one_name_are_damage_before_a_path_is_built(one_key):
    """Of 20 there are 20! orders."""
    start = time.process_time()
    found = proof(hub(20, apart=False, one_key=one_key), authority())
    few = proof(hub(8, apart=False, one_key=one_key), authority())

    assert (found.kind, few.kind) == ("broken", "broken")
    assert time.process_time() - start < 5


def test_nobody_signs_with_a_chain_that_is_not_read(tmp_path):
    names = [made("Hub", number=75, authority=True, usage=ISSUES)]
    for n in (76, 77):
        names.append(made("Hub", by=names[-1], number=n, authority=True, usage=ISSUES))
    with pytest.raises(CertificateError, match="many certificates of one name"):
        load(made(NAME, by=names[-1], number=78).file(tmp_path), SECRET)


def test_a_certificate_beside_the_chain_is_damage():
    it = made(NAME, by=authority(), number=43)
    beside = Held(it.key, it.certificate, (*it.above, lead().certificate))

    assert trusted(it, authority())
    assert proof(beside, authority()).kind == "broken"
    assert proof(Held(it.key, it.certificate, (lead().certificate,))).kind == "broken"


def test_a_chain_has_a_greatest_length():
    """Eight above the signer, and no more."""
    chain = [root(80)]
    for n in range(1, 9):
        chain.append(made(f"Level {n}", by=chain[-1], authority=True, usage=ISSUES, number=80 + n))

    assert trusted(made(NAME, by=chain[7], number=98), chain[0])
    assert proof(made(NAME, by=chain[8], number=98), chain[0]).kind == "broken"


def test_an_authority_that_renewed_its_key_stays_trusted():
    """The new key is certified by the old one under the same name (RFC 4210, 4.4)."""
    old = root(44)
    new = made("Some Root", by=old, authority=True, usage=ISSUES, number=45)

    assert trusted(made(NAME, by=new, number=46), old)


# ---------------------------------------------------------------- purpose and strength


def purposes(*oids: str) -> tuple[x509.ExtensionType, bool]:
    return x509.ExtendedKeyUsage([x509.ObjectIdentifier(each) for each in oids]), False


@pytest.mark.parametrize("oids", [(MAIL,), (CLIENT,), (DOCUMENT,), (ANY,), (SERVER, CLIENT)])
def test_a_certificate_for_persons_or_documents_signs(oids):
    assert trusted(issued(key("p256", 50), authority(), purposes(*oids)), authority())


@pytest.mark.parametrize("oids", [(SERVER,), (STAMPS,), (SERVER, STAMPS)])
def test_a_certificate_for_something_else_does_not(oids, tmp_path):
    it = issued(key("p256", 50), authority(), purposes(*oids))
    found = proof(it, authority())

    assert (found.kind, found.trusted) == ("broken", None)
    assert "not made for signing documents" in found.trouble
    with pytest.raises(CertificateError, match="not made for signing documents"):
        load(it.file(tmp_path), SECRET)


WEAK = {
    "rsa 1024": lambda: rsa.generate_private_key(65537, 1024),
    "rsa 2048, e = 3": lambda: rsa.generate_private_key(3, 2048),
    "p192": lambda: ec.generate_private_key(ec.SECP192R1()),
    "p224": lambda: ec.generate_private_key(ec.SECP224R1()),
    "k256": lambda: ec.generate_private_key(ec.SECP256K1()),
}


@pytest.mark.parametrize("kind", WEAK)
def test_a_key_that_may_not_sign_here_is_not_read_either(kind, tmp_path):
    it = issued(WEAK[kind](), authority())
    found = proof(it, authority())

    assert (found.kind, found.trusted) == ("broken", None)
    assert "too weak, or of a kind that cannot sign here" in found.trouble
    with pytest.raises(CertificateError, match=r"too weak|cannot sign here"):
        load(it.file(tmp_path), SECRET)


@pytest.mark.parametrize("kind", ["rsa 1024", "rsa 2048, e = 3", "p192", "p224"])
def test_an_authority_with_a_weak_key_vouches_for_nobody(kind):
    own, name = WEAK[kind](), called("A Weak Root")
    usage = x509.KeyUsage(False, False, False, False, False, True, True, False, False)
    build = x509.CertificateBuilder().subject_name(name).issuer_name(name)
    build = build.public_key(own.public_key()).serial_number(9)
    build = build.not_valid_before(FIRST).not_valid_after(LAST)
    build = build.add_extension(x509.BasicConstraints(True, None), True).add_extension(usage, True)
    it = Held(own, build.sign(own, hashes.SHA256()))

    assert not trusted(issued(key("p256", 51), it), it)


def test_an_authority_may_sign_certificates_in_ways_in_which_nobody_signs_here():
    own, name = ed25519.Ed25519PrivateKey.generate(), called("An Edwards Root")
    usage = x509.KeyUsage(False, False, False, False, False, True, True, False, False)
    build = x509.CertificateBuilder().subject_name(name).issuer_name(name)
    build = build.public_key(own.public_key()).serial_number(9)
    build = build.not_valid_before(FIRST).not_valid_after(LAST)
    build = build.add_extension(x509.BasicConstraints(True, None), True).add_extension(usage, True)
    it = Held(own, build.sign(own, None))
    leaf = x509.CertificateBuilder().subject_name(called(NAME)).issuer_name(name)
    leaf = leaf.public_key(key("p256", 52).public_key()).serial_number(10)
    leaf = leaf.not_valid_before(FIRST).not_valid_after(LAST).sign(own, None)

    assert trusted(Held(key("p256", 52), leaf, (it.certificate,)), it)


def test_what_a_certificate_is_for_is_read_once_and_said():
    assert bearer_of(made(NAME, number=2).der).strong
    assert not bearer_of(issued(WEAK["k256"](), authority()).der).strong


# ---------------------------------------------------------------- names


def test_names_in_a_proof_stand_in_quotes_that_they_cannot_end():
    name = "D. Fourth, shown by a certificate that is trusted here,"
    other = made("Q” is trusted “here", authority=True, usage=ISSUES, number=53)

    assert proof(made(name, number=54), name=name).text.startswith(
        f"certificate of “{name}”, signed by itself: "
    )
    assert "issued by “Q' is trusted 'here”, whom" in proof(made(NAME, by=other, number=55)).text


def test_what_shows_nothing_in_a_name_is_told_and_blanks_are_one():
    found = bearer_of(made(f"D.{' ' * 30}Fo\u3164u\u2800rth", number=56).der)

    assert found.subject == "D. Fo?u?rth"
    assert found.name == f"D.{' ' * 30}Fo\u3164u\u2800rth"
