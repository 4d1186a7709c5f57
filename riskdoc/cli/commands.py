"""What each command does, given its options. Returns the exit code."""

from __future__ import annotations

import contextlib
import difflib
import io
import json
import os
import sys
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from riskdoc.tables.loader import Table

if TYPE_CHECKING:
    from riskdoc.controls.compare import Way
    from riskdoc.job.reading import JobFile
    from riskdoc.requirements.dossier import Dossier

T = TypeVar("T")

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


def _read(path: Path, on: date) -> JobFile | None:
    """A job file; None after its faults were printed."""
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
    return reading.file


def _under_its_own_name(file: JobFile, path: Path) -> JobFile:
    """The same file, named as in its own folder.

    Faults name the path as it was typed, so that an editor can jump there; a document must not
    depend on where the file happens to stand.
    """
    from riskdoc.job.reading import read_bytes

    if file.name == path.name:
        return file
    return read_bytes(file.raw, path.name, file.on, file.beside, file.pictures).file or file


def _computed(path: Path, work: Callable[[], T]) -> T | None:
    """What a computation gives; None after it was said why it cannot."""
    from riskdoc.assess.spread import TooManyRangesError
    from riskdoc.requirements.sets import SetError

    try:
        return work()
    except (TooManyRangesError, SetError) as error:
        _complain(f"{path}: {error}")
    except ValueError as error:
        # An equation refuses numbers it does not hold for; each bound names its symbol.
        _complain(f"{path}: the job goes beyond what an equation holds for: {error}")
    return None


def check(path: Path, on: date, *, as_json: bool, everything: bool, controls: bool) -> int:
    """Prints the verdicts of a job, or all of it as JSON; with `controls` what could be done."""
    file = _read(path, on)
    if file is None:
        return FAULT
    from riskdoc.cli.screen import show
    from riskdoc.requirements.dossier import brief_dossier, dossier

    if not (controls or as_json):
        short = _computed(path, lambda: brief_dossier(file))
        if short is None:
            return FAULT
        show(*short, everything=everything)
        plan, judged, _ = short
        return STOPPED if plan.stops or judged.not_met else ADEQUATE
    whole = _computed(path, lambda: dossier(file))
    if whole is None:
        return FAULT
    if as_json:
        from riskdoc.requirements.plain import dossier_json

        _say(dossier_json(whole))
    else:
        plan = whole.study.plan
        show(plan, whole.judged, whole.register, whole.study, everything=everything)
    return ADEQUATE if whole.may_start else STOPPED


def render(
    path: Path, out: Path, form: str, on: date, *, card: bool, choices: Mapping[str, str]
) -> int:
    """Writes the report of a job, or its crew card. The exit code is the job's, as in `check`.

    `choices` go before what the job file says of its report: language, units, paper, direction.
    """
    both = choices.get("units") == "both"
    if both and not card:
        _complain("--units both is for the crew card: add --card, or choose metric or us.")
        return FAULT
    file = _read(path, on)
    if file is None:
        return FAULT
    form_of = {key: value for key, value in choices.items() if value != "both"}
    if out.exists() and not out.is_dir():
        _complain(f"--out: {out} is a file; name a folder.")
        return FAULT
    from riskdoc.requirements.dossier import dossier

    chosen_file = _under_its_own_name(file, path).in_form(**form_of)
    whole = _computed(path, lambda: dossier(chosen_file))
    if whole is None:
        return FAULT
    chosen = ("pdf", "html") if form == "both" else (form,)
    made = _card(whole, path.stem, both) if card else _report(whole, path.stem)
    makers = {name: make for name, make in made.items() if name.endswith(chosen)}
    if not _written(out, makers):
        return OUTSIDE
    _say(whole.study.plan.sentence)
    _say(whole.judged.sentence)
    return ADEQUATE if whole.may_start else STOPPED


def _report(whole: Dossier, stem: str) -> dict[str, Callable[[], bytes]]:
    from riskdoc.report import build
    from riskdoc.report.attachments import report_attachments
    from riskdoc.report.html import to_html
    from riskdoc.report.pdf import to_pdf

    view = build(whole)
    return {
        f"{stem}.pdf": lambda: to_pdf(view, report_attachments(whole)),
        f"{stem}.html": lambda: to_html(view, for_print=False).encode(),
    }


def _card(whole: Dossier, stem: str, both: bool) -> dict[str, Callable[[], bytes]]:
    from riskdoc.report.attachments import job_attachment
    from riskdoc.report.card import build_card, card_html, card_pdf

    card = build_card(whole, both_units=both)
    inside = (job_attachment(whole.study.plan.file),)
    return {
        f"{stem}-card.pdf": lambda: card_pdf(card, inside),
        f"{stem}-card-a4.pdf": lambda: card_pdf(card, inside, copies=2),
        f"{stem}-card.html": lambda: card_html(card, for_print=False).encode(),
    }


def compare(paths: Sequence[Path], forms: Sequence[str], out: Path, on: date) -> int:
    """Prints plans side by side, and writes them in the forms asked for."""
    files = [_read(path, on) for path in paths]
    if any(file is None for file in files):
        return FAULT
    if forms and out.exists() and not out.is_dir():
        _complain(f"--out: {out} is a file; name a folder.")
        return FAULT
    from riskdoc.controls.compare import compare as side_by_side
    from riskdoc.controls.compare import to_csv, to_xlsx

    ways = _ways([file for file in files if file is not None], paths)
    if ways is None:
        return FAULT
    found = side_by_side(ways)
    from riskdoc.cli.screen import show_comparison

    show_comparison(found)
    if forms:
        from riskdoc.report.attachments import job_attachments
        from riskdoc.report.compared import build_comparison
        from riskdoc.report.html import to_html
        from riskdoc.report.pdf import to_pdf

        inside = job_attachments([way.plan.file for way in ways])
        makers: dict[str, Callable[[], bytes]] = {
            "pdf": lambda: to_pdf(build_comparison(found), inside),
            "html": lambda: to_html(build_comparison(found), for_print=False).encode(),
            "csv": lambda: to_csv(found),
            "xlsx": lambda: to_xlsx(found),
        }
        stem = "-".join([*dict.fromkeys(path.stem for path in paths), "compared"])
        if not _written(out, {f"{stem}.{form}": makers[form] for form in forms}):
            return OUTSIDE
    return ADEQUATE if any(not way.plan.stops for way in ways) else STOPPED


def _ways(files: Sequence[JobFile], paths: Sequence[Path]) -> list[Way] | None:
    """The plans to compare: a job and its alternatives, or several jobs; None after a complaint."""
    from riskdoc.assess.assess import assess
    from riskdoc.controls.compare import Way, ways_of

    if len(files) == 1:
        file = _under_its_own_name(files[0], paths[0])
        if not file.alternatives:
            _complain(
                f"{paths[0]} has no 'alternatives' to compare its plan with. Add some, or name a "
                "second job file."
            )
            return None
        return _computed(
            paths[0],
            lambda: list(
                ways_of(assess(file), {k: assess(each) for k, each in file.alternatives.items()})
            ),
        )
    stems = [path.stem for path in paths]
    if len(set(paths)) < len(paths):
        _complain("a job file is named twice; there is nothing to compare in it.")
        return None
    found = []
    for file, path in zip(files, paths, strict=True):
        own = _under_its_own_name(file, path)
        plan = _computed(path, lambda own=own: assess(own))  # type: ignore[misc]
        if plan is None:
            return None
        name = path.stem if stems.count(path.stem) == 1 else str(path)
        found.append(Way(name, plan.file.job.job.title, plan))
    return found


def _written(out: Path, makers: Mapping[str, Callable[[], bytes]]) -> bool:
    """Writes files whole, after all of them were made; whether that went well."""
    from riskdoc.report.files import write_whole
    from riskdoc.report.pdf import RenderError

    try:
        made = {out / name: make() for name, make in makers.items()}
        out.mkdir(parents=True, exist_ok=True)
        for target, content in made.items():
            write_whole(target, content)
            _say(f"wrote {target}")
    except (RenderError, OSError) as error:
        _complain(f"the report could not be written: {error}")
        return False
    return True


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
