"""Where the templates, styles and typeface are."""

from __future__ import annotations

from pathlib import Path


def template_folder() -> Path:
    """The template folder, of an installed wheel or of a source checkout.

    >>> (template_folder() / "fonts" / "OFL.txt").is_file()
    True
    """
    package = Path(__file__).resolve().parents[1]
    installed = package / "templates"
    # A wheel carries the folder inside the package; a checkout has it beside the package.
    return installed if installed.is_dir() else package.parent / "templates"
