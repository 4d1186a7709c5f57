"""A certificate whose name cannot stand in the record is refused before anything is written."""

from __future__ import annotations

import warnings

import pytest
from cryptography import x509
from cryptography.x509.oid import NameOID
from support.certificates import SECRET, made
from support.papers import folder, put
from support.signing import around_today
from typer.testing import CliRunner

from riskdoc.cli.main import app
from riskdoc.signing import certificate_proof, certificates, cms_form
from riskdoc.signing.record_files import record_of, record_path

COMMON, SERIAL = NameOID.COMMON_NAME, NameOID.SERIAL_NUMBER
NAMES = {
    "64 letters and one more": "A" * 65,
    "a thousand letters": "A" * 1000,
    "an invisible letter": "Ines\u200b Kolberg",
    "a soft hyphen": "Ines Kol\u00adberg",
    "a letter that joins": "Ines\u2060Kolberg",
    "a turned name": "\u202eInes Kolberg",
    "a line end": "Ines\nKolberg",
    "blanks alone": "   ",
    "blanks around": " Ines Kolberg ",
    "a filler that shows nothing": "\u3164",
}


def subject(text: str) -> x509.Name:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library warns of what is too long
        return x509.Name([x509.NameAttribute(COMMON, text, _validate=False)])


def sign(text: str | x509.Name, *words: str):
    path = put(folder(), around_today())
    name = subject(text) if isinstance(text, str) else text
    key = made(name).file(path.parent)
    secret = path.with_name("secret")
    secret.write_text(SECRET)
    options = ["--role", "prepared", "--certificate", str(key), "--passphrase-file", str(secret)]
    found = CliRunner().invoke(app, ["sign", str(path), *options, *words])
    assert found.exception is None or isinstance(found.exception, SystemExit)
    return path, found


@pytest.fixture(autouse=True)
def any_day(monkeypatch):
    """The certificates of the tests are of 2027, and it is signed today."""
    monkeypatch.setattr(cms_form, "timely", lambda *_: None)
    monkeypatch.setattr(certificates.Bearer, "valid", lambda *_: True)


@pytest.mark.parametrize("how", NAMES)
def test_a_name_that_will_not_match_is_refused_and_nothing_is_written(how):
    path, found = sign(NAMES[how])

    assert found.exit_code == 2, found.output
    assert "Nothing was signed and nothing was written." in found.stderr
    assert "name" in found.stderr
    assert not record_path(path).exists()


@pytest.mark.parametrize(
    "name", [x509.Name([]), x509.Name([x509.NameAttribute(SERIAL, "1" * 70)])], ids=["no", "long"]
)
def test_a_certificate_without_a_common_name_is_refused_where_its_name_will_not_match(name):
    path, found = sign(name)

    assert found.exit_code == 2, found.output
    assert not record_path(path).exists()


@pytest.mark.parametrize("text", ["Ines Kolberg", "Zoë Kovač", "שרה", "A" * 64])
def test_a_plain_name_is_bound(text):
    path, found = sign(text)

    assert found.exit_code == 0, found.output
    (entry,) = record_of(path).entries
    proof = certificate_proof.proof_of(entry)
    assert entry.name == text
    assert proof is not None
    assert proof.kind == "self-signed"


def test_whatever_would_break_the_entry_is_refused(monkeypatch):
    """The entry is looked at as a reader will look at it, before it is written."""
    monkeypatch.setattr(certificate_proof, "same_name", lambda *_: False)
    path, found = sign("Ines Kolberg")

    assert found.exit_code == 2
    assert not record_path(path).exists()
