"""The jobs that the tests of the report are run on."""

from __future__ import annotations

import pytest
from report.made import NAMES, Made, made_of


@pytest.fixture(params=NAMES)
def made(request: pytest.FixtureRequest) -> Made:
    name: str = request.param
    return made_of(name)
