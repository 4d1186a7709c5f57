"""Prints the first page and the last section of a document alone: a tenth of the time of all of it.

For tests of what is signed, carried, verified or written where, which ask nothing of the pages
between. Whole documents are printed by `tests/report`, by `record/test_hostile` in a process of its
own, and by `tests/bench/soak.py`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from riskdoc.report import pdf
from riskdoc.report.blocks import View
from riskdoc.report.html import to_html


def _short(view: View, **options: Any) -> str:
    return to_html(replace(view, sections=view.sections[-1:]), **options)


def is_short() -> bool:
    """Whether PDFs are short at the moment."""
    return pdf.to_html is _short


def print_short(put: Callable[[Any, str, Any], None] = setattr) -> None:
    """From now on every PDF of this process is a short one; `put` may undo it again."""
    put(pdf, "to_html", _short)
