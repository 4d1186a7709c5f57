"""`check`, `render` and `verify` tell one state and one digest of a job, and exit alike.

`check` printed "draft, not signed" of a plan that was withdrawn, and exited 0.
"""

from __future__ import annotations

import json
import re
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from support.mini import put_mini as put
from support.papers import NAMES, NOW, signed
from typer.testing import CliRunner

from riskdoc.cli.main import app
from riskdoc.job.reading import read
from riskdoc.requirements.dossier import brief_dossier
from riskdoc.signing.content import content_of
from riskdoc.signing.record_files import record_of, record_path
from riskdoc.signing.signing import Deed, act

pytestmark = pytest.mark.usefixtures("looked_here")
ON = "2027-06-01"
STATES = {
    "draft": "draft",
    "half signed": "draft",
    "issued": "issued",
    "withdrawn": "withdrawn",
    "superseded": "superseded",
    "changed": "sign-off does not match",
    "signed elsewhere": "sign-off does not match",
    "expired": "expired",
}
BANNERS = {
    "draft": "DRAFT: ",
    "issued": "ISSUED: ",
    "withdrawn": "WITHDRAWN: ",
    "superseded": "SUPERSEDED: ",
    "sign-off does not match": "SIGN-OFF DOES NOT MATCH THIS CONTENT: ",
    "expired": "EXPIRED on ",
}
"""How the edge of every page begins."""
PASSES = {"draft", "half signed", "issued"}


def made(where: Path, kind: str) -> Path:
    """A job that came to a state."""
    path = put(where)
    if kind == "half signed":
        signed(path, "prepared")
    elif kind not in ("draft", "signed elsewhere"):
        signed(path)
    if kind in ("withdrawn", "superseded"):
        deed = "withdraw" if kind == "withdrawn" else "supersede"
        ended(path, deed)
    if kind == "changed":
        put(where, {"job": {"title": "Another plan"}})
    if kind == "signed elsewhere":
        signed(put(where, {"job": {"title": "Another plan"}}, name="other.yaml"))
    return path


def ended(path: Path, deed: str) -> None:
    file = read(path, NOW.date()).file
    assert file is not None
    role = "authorised"
    successor = "T-1 B" if deed == "supersede" else ""
    when: datetime = NOW + timedelta(hours=1)
    act(path, brief_dossier(file), Deed(deed, role, NAMES[role], "No longer.", successor), when)


def typed(*words: object):
    return CliRunner().invoke(app, [str(each) for each in words])


@pytest.mark.parametrize("kind", STATES)
def test_every_command_tells_the_same_state_and_digest_and_exits_alike(kind, tmp_path):
    path, on = made(tmp_path, kind), "2027-07-01" if kind == "expired" else ON
    file = read(path, NOW.date()).file
    assert file is not None
    digest, code = content_of(brief_dossier(file)).digest, 0 if kind in PASSES else 1
    check = typed("check", path, "--on", on)
    data = typed("check", path, "--on", on, "--json")
    render = typed("render", path, "--on", on, "--as", "html", "--out", tmp_path)
    verify = typed("verify", path, "--on", on)

    assert (check.exit_code, data.exit_code, render.exit_code) == (code, code, code)
    assert verify.exit_code == (0 if kind == "issued" else 1)
    plain = json.loads(data.stdout)
    assert (plain["state"], plain["digest"], plain["exit"]) == (STATES[kind], digest, code)
    assert f"digest sha256 {digest}" in verify.stdout
    page = (tmp_path / "plan.html").read_text("utf-8")
    assert digest in page
    found = {each for each in BANNERS.values() if re.search(rf">\s*{each}", page)}
    assert found == {BANNERS[STATES[kind]]}
    assert plain["headline"] in page
    for each in (check, render):
        assert f"state: {STATES[kind]}   digest {digest[:12]}" in each.stdout
        assert plain["headline"] in " ".join(each.stdout.split())


@pytest.mark.parametrize("words", [["check"], ["check", "--json"], ["render", "--as", "html"]])
def test_a_record_that_was_changed_never_passes(words, tmp_path):
    path = made(tmp_path, "issued")
    record = record_path(path)
    record.write_text(record.read_text().replace(NAMES["prepared"], "A. Leap"))
    out = ["--out", tmp_path / "out"] if words[0] == "render" else []
    found = typed(words[0], path, *words[1:], "--on", ON, *out)

    assert found.exit_code != 0
    assert "was changed" in found.output
    assert not (tmp_path / "out").exists()


def test_a_withdrawn_revision_stays_so_after_its_end(tmp_path):
    path = made(tmp_path, "withdrawn")
    assert len(record_of(path).entries) == 3
    assert "withdrawn" in typed("check", path, "--on", "2028-01-01").stdout
