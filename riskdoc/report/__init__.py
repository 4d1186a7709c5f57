"""From an assessment to a document: view (printable strings), drawings, HTML, PDF."""

from __future__ import annotations

from riskdoc.report.blocks import View
from riskdoc.report.view import build

__all__ = ["View", "build"]
