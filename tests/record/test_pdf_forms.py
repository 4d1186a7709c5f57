"""Signatures of a PDF in another form than ours: nothing may ride in them unseen.

What is signed beside the file is its hash and the certificates, and nothing else (the time stands
in the file: ETSI EN 319 142-1, 6.3). Every other byte of the signature is given by those.
"""

from __future__ import annotations

import io
import re
import time
from collections.abc import Callable
from datetime import UTC, date, datetime
from functools import cache
from types import SimpleNamespace
from typing import Any

import pytest
from asn1crypto import cms, core
from asn1crypto import x509 as asn1
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, utils
from cryptography.hazmat.primitives.serialization import Encoding
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from support import updates
from support.certificates import FIRST, LAST, Held, authority, made
from support.updates import WHEN

from riskdoc.report.attachments import Attachment
from riskdoc.report.pdf import print_page
from riskdoc.signing import pades
from riskdoc.signing.certificates import Certificate, CertificateError, Signer
from riskdoc.signing.cms_form import _attributes
from riskdoc.signing.pades import BROKEN, sign_pdf, signatures_in, unsigned
from riskdoc.verification.answers import Answer
from riskdoc.verification.signers import file_signatures
from riskdoc.verification.update import only_signed

NAME = "D. Fourth"
PAGE = "<!DOCTYPE html><html lang='en'><title>A title</title><body><h1>One</h1><p>It"
ROOTS = (authority().der,)
BACK = datetime(2027, 1, 15, tzinfo=UTC)
DAY = date(2027, 6, 1)


@cache
def page() -> bytes:
    inside = Attachment("it.txt", b"it", "text/plain", "Data", "A text", date(2027, 6, 1))
    return print_page(PAGE, "0" * 64, attachments=[inside])


def opened(held: Held) -> Certificate:
    """Without the questions that signing asks."""
    chain = (held.der, *(each.public_bytes(Encoding.DER) for each in held.above))
    return Certificate(NAME, "", FIRST, LAST, False, Signer(held.key, chain))


@cache
def fourth() -> Held:
    return made(NAME, by=authority(), number=2)


@cache
def rogue() -> Held:
    return made(NAME, number=6)


@cache
def sound() -> bytes:
    return sign_pdf(opened(fourth()), page(), when=WHEN)


def built(
    held: Held, monkeypatch: pytest.MonkeyPatch,
    attributes: Callable[[list[Any]], list[Any] | None], when: datetime | None = None,
) -> bytes:  # fmt: skip
    """A signed file whose signature has other signed attributes, over which it is sound."""

    def over(signer: Signer, digest: bytes, _: object) -> bytes:
        held_now = [asn1.Certificate.load(each) for each in signer.certificates]
        ours = attributes(list(_attributes(signer.certificates, digest, when)))
        own = held_now[0]
        sid = {"issuer": own.issuer, "serial_number": own.serial_number}
        info: dict[str, Any] = {
            "version": "v1",
            "sid": cms.SignerIdentifier({"issuer_and_serial_number": sid}),
            "digest_algorithm": {"algorithm": "sha256"},
            "signature_algorithm": {"algorithm": "sha256_ecdsa"},
        }
        if ours is None:
            how = ec.ECDSA(utils.Prehashed(hashes.SHA256()))
            info["signature"] = signer.key.sign(digest, how)
        else:
            signed = cms.CMSAttributes(ours)
            info["signature"] = signer.key.sign(signed.dump(), ec.ECDSA(hashes.SHA256()))
            info["signed_attrs"] = cms.CMSAttributes.load(signed.dump())
        data = {
            "version": "v1",
            "digest_algorithms": [{"algorithm": "sha256"}],
            "encap_content_info": {"content_type": "data"},
            "certificates": [cms.CertificateChoices({"certificate": each}) for each in held_now],
            "signer_infos": [cms.SignerInfo(info)],
        }
        content = cms.SignedData(data)
        raw: bytes = cms.ContentInfo({"content_type": "signed_data", "content": content}).dump()
        return raw

    monkeypatch.setattr(updates, "cms_over", over)
    return updates.forged(opened(held), page())


def of(raw: bytes) -> Any:
    (found,) = signatures_in(raw, ROOTS)
    return found


def test_the_form_of_ours_is_taken(monkeypatch):
    raw = built(fourth(), monkeypatch, lambda ours: ours)

    for each in (raw, sound()):
        assert (of(each).kind, of(each).trusted, of(each).last) == ("issued", True, True)
        assert of(each).when == WHEN
        assert only_signed(page(), each)


# ---------------------------------------------------------------- the time


def test_a_time_signed_beside_the_file_is_refused(monkeypatch):
    """An expired certificate, a time in the file at which it had expired, and one set back."""
    expired = made(NAME, by=authority(), number=91, last=datetime(2027, 2, 1, tzinfo=UTC))

    for held in (expired, fourth()):
        raw = built(held, monkeypatch, lambda ours: ours, BACK)
        assert only_signed(page(), raw)
        assert of(raw) == BROKEN
    assert of(built(expired, monkeypatch, lambda ours: ours)).kind == "broken"


@pytest.mark.parametrize(
    "said", [b"D\\07220270630120000", b"D\\07220279999999999Z", b"D\\072", b"soon"]
)
def test_a_time_that_is_none_or_without_its_offset_is_no_time(said):
    def change(update: updates.Update) -> None:
        old = update.objects[update.signature]
        update.objects[update.signature] = re.sub(
            rb"/M \(D\\072[^)]*\)", lambda _: b"/M (" + said + b")", old
        )

    assert of(updates.forged(opened(fourth()), page(), change)) == BROKEN


def point(raw: bytes, newest: str, on: date, roots: Any = ROOTS) -> tuple[Answer, str]:
    entries = [SimpleNamespace(when=datetime.fromisoformat(newest), name=NAME, certificate="")]
    record = SimpleNamespace(entries=entries)
    standing: Any = SimpleNamespace(signed=[], record=record)
    (found,) = file_signatures(raw, standing, roots, on)
    return found.answer, found.text


@pytest.mark.parametrize("roots", [(), ROOTS])
def test_a_file_is_signed_after_its_sign_offs_and_before_the_day_it_is_looked_at_has_ended(roots):
    """Signed on 30 May 2027, 12:00 UTC."""
    for newest, on in (("2027-05-30T14:00:01+02:00", DAY), ("2027-05-30T09:00:00+00:00",
                       date(2027, 5, 29))):  # fmt: skip
        answer, text = point(sound(), newest, on, roots)
        assert answer is Answer.NOT_DEMONSTRATED
        assert "2027-05-30" in text
    for newest in ("2027-05-30T14:00:00+02:00", "2027-05-30T09:00:00+00:00"):
        answer, text = point(sound(), newest, date(2027, 5, 30), roots)
        assert "before" not in text
        assert "after" not in text
        assert answer is (Answer.NOT_DEMONSTRATED if roots else Answer.RECORDED)


# ---------------------------------------------------------------- what rides along


def attribute(kind: str, value: object) -> Any:
    return cms.CMSAttribute({"type": kind, "values": [value]})


LESS: dict[str, Callable[[list[Any]], list[Any] | None]] = {
    "no certificate": lambda ours: [
        each for each in ours if each["type"].native != "signing_certificate_v2"
    ],
    "nothing signed": lambda _: None,
    "a second hash": lambda ours: [*ours, attribute("message_digest", bytes(32))],
    "a text": lambda ours: [*ours, attribute("1.3.6.1.4.1.99999.1", core.UTF8String("Seen"))],
}


@pytest.mark.parametrize("how", LESS)
def test_other_signed_attributes_are_refused(how, monkeypatch):
    raw = built(fourth(), monkeypatch, LESS[how])

    assert of(raw) == BROKEN


def with_cms(change: Callable[[Any], bytes]) -> bytes:
    """The file that is sound, with another signature in the room of its own."""
    hole = re.search(rb"/Contents <([0-9A-F]+)>", sound()[len(page()) :])
    assert hole is not None
    at, room = len(page()) + hole.start(1), len(hole[1])
    new = change(cms.ContentInfo.load(bytes.fromhex(hole[1].decode()))["content"])
    filled = new.hex().upper().ljust(room, "0").encode()
    assert len(filled) == room, "no room for it"
    return sound()[:at] + filled + sound()[at + room :]


def again(data: Any, **changed: Any) -> bytes:
    names = ("version", "digest_algorithms", "certificates", "signer_infos")
    held = {each: data[each] for each in names}
    whole = cms.SignedData({**held, "encap_content_info": {"content_type": "data"}, **changed})
    raw: bytes = cms.ContentInfo({"content_type": "signed_data", "content": whole}).dump()
    return raw


def chosen(*held: Held) -> list[Any]:
    return [
        cms.CertificateChoices({"certificate": asn1.Certificate.load(each.der)}) for each in held
    ]


def unsigned_attribute(data: Any, kind: str, value: object) -> bytes:
    info = data["signer_infos"][0].copy()
    info["unsigned_attrs"] = [attribute(kind, value)]
    # Room for it: the root is left out, which the listed hash of it would miss anyway.
    return again(data, signer_infos=[info], certificates=chosen(fourth()))


def counter(data: Any) -> Any:
    """A rogue signs the signature."""
    own = asn1.Certificate.load(rogue().der)
    over = data["signer_infos"][0]["signature"].native
    sid = {"issuer": own.issuer, "serial_number": own.serial_number}
    return cms.SignerInfo({
        "version": "v1",
        "sid": cms.SignerIdentifier({"issuer_and_serial_number": sid}),
        "digest_algorithm": {"algorithm": "sha256"},
        "signature_algorithm": {"algorithm": "sha256_ecdsa"},
        "signature": rogue().key.sign(over, ec.ECDSA(hashes.SHA256())),
    })  # fmt: skip


RIDERS: dict[str, Callable[[Any], bytes]] = {
    "a countersignature": lambda data: unsigned_attribute(data, "counter_signature", counter(data)),
    "a text": lambda data: unsigned_attribute(
        data, "1.3.6.1.4.1.99999.1", core.UTF8String("Seen by somebody else")
    ),
    "a certificate less": lambda data: again(data, certificates=chosen(fourth())),
    "another certificate": lambda data: again(data, certificates=chosen(fourth(), rogue())),
    "another version": lambda data: again(data, version="v3"),
}


@pytest.mark.parametrize("how", RIDERS)
def test_what_nobody_signed_is_found(how):
    assert of(with_cms(again)).trusted is True

    assert of(with_cms(RIDERS[how])) == BROKEN


# ---------------------------------------------------------------- time of the processor


def quickly(work: Callable[[], object], seconds: float = 5) -> object:
    start = time.process_time()
    found = work()
    assert time.process_time() - start < seconds
    return found


def test_thousands_of_byte_ranges_over_one_hole_are_not_gone_through():
    """Each is borne out by the file; every one goes through the hole."""
    tail, size, count = page()[page().rindex(b"startxref") :], 2_000_000, 5000
    hole, row = b"<" + b"0" * size + b">", b"/ByteRange[0 %010d %010d %010d]\n"
    start, rest = len(page()), len(row % (0, 0, 0)) * count
    rows = (row % (start, start + len(hole), rest)) * count
    raw = page() + hole + rows + tail

    assert quickly(lambda: signatures_in(raw)) == (BROKEN,)
    with pytest.raises(CertificateError, match="more signatures than any of ours"):
        quickly(lambda: unsigned(raw))
    assert not quickly(lambda: pades.later_agree(raw))


def with_fields(count: int) -> bytes:
    """More fields with the one signature."""
    writer = IncrementalPdfFileWriter(io.BytesIO(sound()))
    fields = writer.root["/AcroForm"]["/Fields"]
    value = fields.raw_get(0).get_object().raw_get("/V")
    name = generic.NameObject
    for n in range(count):
        keys = {"/FT": name("/Sig"), "/T": generic.TextStringObject(f"F{n}"), "/V": value}
        own = generic.DictionaryObject({name(key): it for key, it in keys.items()})
        fields.append(writer.add_object(own))
    writer.update_container(fields)
    writer.update_root()
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def test_thousands_of_fields_with_one_signature_are_not_gone_through():
    assert len(signatures_in(with_fields(2))) == 3
    assert quickly(lambda: signatures_in(with_fields(3000)), 10) == (BROKEN,)


def test_authorities_of_one_name_in_a_pdf_are_damage_before_a_path_is_built(monkeypatch):
    hub = [made("Hub", number=100, authority=True, usage=("key_cert_sign",)) for _ in range(7)]
    leaf = made(NAME, by=hub[0], number=7)
    many = Held(leaf.key, leaf.certificate, tuple(each.certificate for each in hub))
    monkeypatch.setattr(updates, "ROOM", 12000)
    raw = updates.forged(opened(many), page())

    assert quickly(lambda: signatures_in(raw, ROOTS)) == (BROKEN,)
