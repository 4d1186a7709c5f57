"""What the tests of documents share: what is made of the same job is the same, and made once."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from riskdoc.report.pdf import to_pdf
from riskdoc.report.view import build
from riskdoc.requirements.dossier import dossier
from riskdoc.verification import verify


@pytest.fixture(scope="module")
def computed_once() -> Iterator[None]:
    """Within a file of tests, a verification computes and prints each document once."""
    patch = pytest.MonkeyPatch()
    found, built, printed = {}, {}, {}

    def once(file):
        held = file.beside if isinstance(file.beside, Path) else tuple((file.beside or {}).items())
        key = (file.raw, file.on, file.job.report, held, str(file.pictures))
        if key not in found:
            found[key] = dossier(file)
        return found[key]

    def build_once(whole, standing):
        key = (id(whole), standing.content.digest, standing.record.text, standing.state)
        key = (*key, str(standing.before), str([each.proof for each in standing.signed]))
        if key not in built:
            built[key] = build(whole, standing)
        return built[key]

    def print_once(view, inside):
        key = (id(view), inside)
        if key not in printed:
            printed[key] = to_pdf(view, inside)
        return printed[key]

    patch.setattr(verify, "dossier", once)
    patch.setattr(verify, "build", build_once)
    patch.setattr(verify, "to_pdf", print_once)
    yield
    patch.undo()
