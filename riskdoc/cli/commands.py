"""What each command does, given its options. Returns the exit code."""

from __future__ import annotations

import contextlib
import difflib
import io
import json
import os
import sys
from collections.abc import Callable
from datetime import date
from importlib import resources
from pathlib import Path
from typing import Any

from riskdoc.assess.records import Assessment
from riskdoc.tables.loader import Table

ADEQUATE, STOPPED, FAULT, OUTSIDE = 0, 1, 2, 3


def printed(command: Callable[[], int]) -> int:
    """Runs a command, then prints all it said at once; its exit code.

    A reader that hangs up early changes nothing about the job; a full disk is told.
    """
    with contextlib.redirect_stdout(io.StringIO()) as said:
        code = command()
    try:
        sys.stdout.write(said.getvalue())
        sys.stdout.flush()
    except OSError as error:
        # What is still buffered would raise again when the interpreter closes the stream.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if not isinstance(error, BrokenPipeError):
            _complain(f"the output could not be written: {error.strerror}")
            return OUTSIDE
    return code


def _say(text: str) -> None:
    sys.stdout.write(text + "\n")


def _complain(text: str) -> None:
    sys.stderr.write(text + "\n")


def _assessed(path: Path, on: date) -> Assessment | None:
    """The assessment of a job file; None after its faults were printed."""
    from riskdoc.assess.assess import assess
    from riskdoc.assess.spread import TooManyRangesError
    from riskdoc.job.reading import read

    reading = read(path, on)
    for each in (*reading.faults, *reading.warnings):
        _complain(str(each))
    if reading.file is None:
        count = len(reading.faults)
        codes = ", ".join(dict.fromkeys(each.code for each in reading.faults))
        _complain(
            f"{count} fault{'s' if count != 1 else ''}; nothing was computed and nothing was "
            f"written. `riskdoc explain CODE` says more ({codes})."
        )
        return None
    try:
        return assess(reading.file)
    except TooManyRangesError as error:
        _complain(f"{path}: {error}")
    except ValueError as error:
        # An equation refuses numbers it does not hold for; each bound names its symbol.
        _complain(f"{path}: the job goes beyond what an equation holds for: {error}")
    return None


def check(path: Path, on: date, *, as_json: bool, everything: bool) -> int:
    """Prints the verdicts of a job, or all of it as JSON."""
    assessment = _assessed(path, on)
    if assessment is None:
        return FAULT
    if as_json:
        from riskdoc.assess.plain import plain_assessment

        _say(json.dumps(plain_assessment(assessment), ensure_ascii=False, allow_nan=False))
    else:
        from riskdoc.cli.screen import show

        show(assessment, everything=everything)
    return STOPPED if assessment.stops else ADEQUATE


def render(path: Path, out: Path, form: str, on: date) -> int:
    """Writes the report of a job. The exit code is the job's, as in `check`."""
    assessment = _assessed(path, on)
    if assessment is None:
        return FAULT
    if out.exists() and not out.is_dir():
        _complain(f"--out: {out} is a file; name a folder.")
        return FAULT
    from riskdoc.report import build
    from riskdoc.report.files import write_whole
    from riskdoc.report.html import to_html
    from riskdoc.report.pdf import RenderError, to_pdf

    view = build(_under_its_own_name(assessment, path))
    made: dict[Path, bytes] = {}
    try:
        if form in ("pdf", "both"):
            made[out / f"{path.stem}.pdf"] = to_pdf(view)
        if form in ("html", "both"):
            made[out / f"{path.stem}.html"] = to_html(view, for_print=False).encode()
        out.mkdir(parents=True, exist_ok=True)
        for target, content in made.items():
            write_whole(target, content)
            _say(f"wrote {target}")
    except (RenderError, OSError) as error:
        _complain(f"the report could not be written: {error}")
        return OUTSIDE
    _say(assessment.sentence)
    return STOPPED if assessment.stops else ADEQUATE


def _under_its_own_name(assessment: Assessment, path: Path) -> Assessment:
    """The same assessment with the file named as in its own folder.

    Faults name the path as it was typed, so that an editor can jump there; a document must not
    depend on where the file happens to stand.
    """
    from riskdoc.assess.assess import assess
    from riskdoc.job.reading import read_text

    file = assessment.file
    if file.name == path.name:
        return assessment
    again = read_text(file.text, path.name, file.on).file
    return assess(again) if again is not None else assessment


def explain(code: str) -> int:
    """Prints the page of a fault code."""
    from riskdoc.job.faults import explain as page

    try:
        _say(page(code))
    except LookupError as error:
        _complain(str(error))
        return FAULT
    return ADEQUATE


def tables(name: str | None, *, as_json: bool) -> int:
    """Prints the tables, or one of them."""
    from riskdoc.tables.loader import NAMES, table

    if name is not None and name not in NAMES:
        near = difflib.get_close_matches(name, NAMES, n=1)
        hint = f" Did you mean {near[0]}?" if near else ""
        _complain(f"there is no table {name!r}.{hint} There are: {', '.join(NAMES)}.")
        return FAULT
    chosen = [table(each) for each in ([name] if name else NAMES)]
    if as_json:
        _say(json.dumps({each.name: _rows(each) for each in chosen}, ensure_ascii=False))
        return ADEQUATE
    from riskdoc.cli.screen import show_table

    for each in chosen:
        show_table(each)
    return ADEQUATE


def _rows(table: Table) -> dict[str, Any]:
    return {
        row: {
            column: {
                "low": cell.low,
                "expected": cell.expected,
                "high": cell.high,
                "unit": cell.unit,
                "provenance": cell.provenance,
                "source": cell.source,
            }
            for column, cell in cells.items()
        }
        for row, cells in table.rows.items()
    }


def schema(of: str) -> int:
    """Prints a JSON Schema."""
    if of == "job":
        from riskdoc.job.schema import job_schema

        _say(json.dumps(job_schema(), indent=2, ensure_ascii=False))
        return ADEQUATE
    if of == "check":
        _say(resources.files("riskdoc.cli").joinpath("check.schema.json").read_text("utf-8"))
        return ADEQUATE
    _complain(f"there is no schema {of!r}. There are: job, check.")
    return FAULT
