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


def test_the_wheel_carries_the_licence_of_the_code_and_that_of_the_typefaces():
    project = tomllib.loads((TOP / "pyproject.toml").read_text())
    named = project["project"].get("license-files", [])
    texts = [(TOP / each).read_text("utf-8") for each in named]

    assert any("MIT License" in text and "WITHOUT WARRANTY" in text for text in texts)
    assert any("SIL OPEN FONT LICENSE" in text for text in texts)


def test_what_builds_the_wheel_is_pinned():
    project = tomllib.loads((TOP / "pyproject.toml").read_text())
    assert all("==" in each for each in project["build-system"]["requires"])
