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


LONGEST = (
    "record/test_hostile", "laws/test_workings", "report/test_archive", "record/test_verify",
    "record/test_mutation", "report/test_browser", "practice/test_limits_and_package",
)  # fmt: skip
"""Files that take longest. They are started first, so that no worker is left with one at the end;
a file stays in one process, which keeps what its tests share (`--dist loadfile`)."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Puts the files that take longest first, in this order."""

    def rank(item: pytest.Item) -> int:
        name = f"{item.path.parent.name}/{item.path.stem}"
        return LONGEST.index(name) if name in LONGEST else len(LONGEST)

    items.sort(key=rank)
