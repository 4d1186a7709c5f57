"""What goes wrong while a document is printed."""

from __future__ import annotations


class RenderError(Exception):
    """The document did not print cleanly; `complaints` are the printer's own words."""

    def __init__(self, complaints: tuple[str, ...]) -> None:
        super().__init__("the document did not print cleanly: " + "; ".join(complaints))
        self.complaints = complaints
