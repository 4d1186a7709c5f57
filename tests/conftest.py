"""What the tests of one run share, and which print whole documents."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from support.shared import FOLDER
from support.short import print_short

SHORT = ("commands", "record")
"""Folders whose tests print short documents, but for files that say `WHOLE = True`; a file of
another folder says `WHOLE = False`."""


@pytest.fixture(scope="session", autouse=True)
def shared_in_this_run(
    tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest
) -> Iterator[None]:
    """A folder for what the workers of this run make once; see `support.shared`."""
    base = tmp_path_factory.getbasetemp()
    if hasattr(request.config, "workerinput"):  # the folder of a worker lies in that of the run
        base = base.parent
    folder = base / "shared"
    folder.mkdir(exist_ok=True)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(FOLDER, str(folder))
        yield


@pytest.fixture(scope="module", autouse=True)
def printed_short(request: pytest.FixtureRequest) -> Iterator[None]:
    """What PDFs of this file of tests are like."""
    with pytest.MonkeyPatch.context() as patch:
        if not getattr(request.module, "WHOLE", request.path.parent.name not in SHORT):
            print_short(patch.setattr)
        yield
