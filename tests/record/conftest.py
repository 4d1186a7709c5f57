"""What the tests of documents share: what is made of the same job is the same, and made once."""

from __future__ import annotations

import base64
from collections.abc import Iterator

import pytest
from support.shared import known, printed, studied_once
from support.short import is_short

from riskdoc.report.view import build
from riskdoc.verification import bounded, looking, verify
from riskdoc.verification.answers import ForeignError


@pytest.fixture(scope="module")
def computed_once() -> Iterator[None]:
    """Within a file of tests, a verification computes and prints each document once."""
    patch = pytest.MonkeyPatch()
    found, built, set_once = {}, {}, {}

    def studied(file):
        key = known(file)
        if key not in found:
            found[key] = studied_once(file)
        return found[key]

    def build_once(whole, standing):
        key = (id(whole), standing.content.digest, standing.record.text, standing.state)
        key = (*key, str(standing.before), str([each.proof for each in standing.signed]))
        if key not in built:
            built[key] = build(whole, standing)
        return built[key]

    def print_once(view, inside):
        key = (id(view), inside, is_short())
        if key not in set_once:
            set_once[key] = printed(view, inside)
        return set_once[key]

    patch.setattr(verify, "dossier", studied)
    patch.setattr(verify, "build", build_once)
    patch.setattr(verify, "to_pdf", print_once)
    yield
    patch.undo()


@pytest.fixture
def looked_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """`verify` looks at a file in this process, without its bounds: those are `test_hostile`'s."""

    def looked(path, on, roots):
        keys = [base64.b64encode(each).decode("ascii") for each in roots]
        try:
            return looking._looked({"path": str(path), "on": on.isoformat(), "roots": keys})
        except ForeignError as error:
            return {"refused": f"{error}."}

    monkeypatch.setattr(bounded, "looked", looked)
    monkeypatch.setattr(looking, "bound", lambda *_: None)
    monkeypatch.setattr(looking, "_say", lambda _: None)
