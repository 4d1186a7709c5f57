"""What a person sees on the terminal. Plain lines that also read well in a pipe."""

from __future__ import annotations

import shutil
import sys
import textwrap
from collections.abc import Iterator

from riskdoc.assess.records import Assessment, Check, Figure, Verdict
from riskdoc.assess.words import Toward, rounded, say
from riskdoc.tables.loader import Table

MARKS = {
    Verdict.ADEQUATE: "[ ok ]",
    Verdict.MARGINAL: "[near]",
    Verdict.NOT_SHOWN: "[ ?? ]",
    Verdict.INADEQUATE: "[STOP]",
}
"""A mark beside each verdict word, so that the column can be scanned; the word says it all."""


def _width() -> int:
    return max(60, min(shutil.get_terminal_size((100, 24)).columns, 120))


def _out(text: str = "") -> None:
    sys.stdout.write(text + "\n")


def _wrapped(text: str, indent: int = 0, first: str = "") -> str:
    pad = " " * indent
    return textwrap.fill(text, _width(), initial_indent=first or pad, subsequent_indent=pad)


def show(assessment: Assessment, *, everything: bool) -> None:
    """Prints an assessment: the verdict, what stands against it, and what was not judged."""
    for line in _lines(assessment, everything=everything):
        _out(line)


def _lines(assessment: Assessment, *, everything: bool) -> Iterator[str]:
    job = assessment.file.job.job
    yield f"{job.number} revision {job.revision}  {job.title}"
    digest = assessment.file.digest[:12]
    yield f"status: {assessment.status.value}   draft, not signed   digest {digest}"
    yield _wrapped(assessment.sentence)
    yield ""
    shown = [c for c in _ordered(assessment.checks) if everything or not c.stands or c.accepted]
    for check in shown:
        yield from _check(check)
    hidden = len(assessment.checks) - len(shown)
    if hidden:
        yield f"{hidden} other checks are adequate; --all shows them."
        yield ""
    yield from _key_figures(assessment)
    yield from _findings(assessment)
    yield _wrapped("Not judged by this version, whatever the status says: "
                   + "; ".join(assessment.not_judged) + ".")  # fmt: skip
    yield _wrapped(
        "A competent person decides on site. Local codes, makers' instructions and licensed "
        "practice come first."
    )


def _ordered(checks: tuple[Check, ...]) -> list[Check]:
    return sorted(checks, key=lambda each: -each.verdict.rank)


def _check(check: Check) -> Iterator[str]:
    word = check.verdict.value + (" (accepted)" if check.accepted else "")
    yield f"{MARKS[check.verdict]} {word:<12} {check.title}"
    yield f"       {check.id}"
    yield _wrapped(check.reason, 7)
    if check.remedy:
        yield _wrapped(check.remedy, 10, first=" " * 7 + "→  ")
    if check.accepted:
        yield _wrapped(f"Accepted by {check.accepted.by}: {check.accepted.reason}", 7)
    yield ""


def _key_figures(assessment: Assessment) -> Iterator[str]:
    width = _width() - 3 * 11
    yield f"{'key figures':<{width}}{'low':>11}{'expected':>11}{'high':>11}"
    for line in assessment.file.job.lines:
        for figure in _key(assessment, f"line/{line}/"):
            yield from _row(figure, width)
    yield ""


def _key(assessment: Assessment, start: str) -> Iterator[Figure]:
    for figure in assessment.figures:
        if not figure.id.startswith(start):
            continue
        ends = ("/rated", "/derated", "/arrest", "/peak", "/exposure", "/sweep")
        if figure.id.endswith(ends) or "/tension/anchor/" in figure.id:
            yield figure


def _row(figure: Figure, width: int) -> Iterator[str]:
    """One figure; an id too long for its column stands on a line of its own."""
    toward: Toward = "down" if "/margin/" in figure.id else "up"
    values = (figure.range.low, figure.range.expected, figure.range.high)
    numbers = "".join(f"{say(value, figure.unit, toward):>11}" for value in values)
    if len(figure.id) < width:
        yield f"{figure.id:<{width}}{numbers}"
    else:
        yield figure.id
        yield f"{'':<{width}}{numbers}"


def _findings(assessment: Assessment) -> Iterator[str]:
    for finding in assessment.findings:
        yield _wrapped(f"{finding.place}: {finding.text}", 4, first="  • ")
    if assessment.findings:
        yield ""


def show_table(table: Table) -> None:
    """Prints one table of defaults with its sources."""
    _out(f"{table.title} ({table.name})")
    for row, cells in table.rows.items():
        _out(f"  {row}")
        for column, cell in cells.items():
            values = " / ".join(rounded(v, "near") for v in (cell.low, cell.expected, cell.high))
            unit = "" if cell.unit == "1" else f" {cell.unit}"
            _out(_wrapped(f"{column}: {values}{unit}   {cell.provenance}: {cell.source}", 6))
    _out()
