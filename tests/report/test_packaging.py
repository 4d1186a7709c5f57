"""What the report needs at run time is in the wheel."""

from __future__ import annotations

import tomllib
from pathlib import Path

from riskdoc.report.folder import template_folder

TOP = Path(__file__).parents[2]


def test_every_file_of_the_template_folder_is_package_data():
    project = tomllib.loads((TOP / "pyproject.toml").read_text())
    patterns = project["tool"]["setuptools"]["package-data"]["riskdoc.templates"]
    folder = template_folder()
    given = {path for pattern in patterns for path in folder.glob(pattern) if path.is_file()}
    needed = {path for path in folder.rglob("*") if path.is_file()}
    assert len(needed) > 10
    assert needed - given == set()
