"""How the tests are shared out among processes, and which print whole documents."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from support.short import print_short

SHORT = ("commands", "record")
"""Folders whose tests print short documents, but for files that say `WHOLE = True`; a file of
another folder says `WHOLE = False`."""


@pytest.fixture(scope="module", autouse=True)
def printed_short(request: pytest.FixtureRequest) -> Iterator[None]:
    """What PDFs of this file of tests are like."""
    with pytest.MonkeyPatch.context() as patch:
        if not getattr(request.module, "WHOLE", request.path.parent.name not in SHORT):
            print_short(patch)
        yield


TOGETHER = {
    "archive": "printed", "card": "printed", "drawings": "printed", "exposed": "printed",
    "front": "printed", "html": "printed", "matrixview": "printed", "pdf": "printed",
    "pictures": "printed", "sections": "printed",
    "browser": "long", "elevation": "long", "hostile": "long", "language": "long",
    "scripts": "long",
}  # fmt: skip
"""Files of `tests/report` that run in one process.

The first read what is made of the demos, which takes minutes and is made once in each process. The
others take as long: together they are many tests, and what has most tests is started first.
"""


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """With `--dist loadfile`, keeps such files together; any other way is left as it is."""
    if config.getoption("dist") != "loadfile":
        return None
    from xdist.scheduler import LoadFileScheduling  # noqa: PLC0415  (may not be there)

    class Scheduling(LoadFileScheduling):
        def _split_scope(self, nodeid: str) -> str:
            file = super()._split_scope(nodeid)
            stem = file.removeprefix("tests/report/test_").removesuffix(".py")
            return TOGETHER.get(stem, file)

    return Scheduling(config, log)
