"""What each command does, given its options. Returns the exit code."""

from __future__ import annotations

import difflib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from riskdoc.cli.saying import complain, printed, tell, tell_json, tell_lines
from riskdoc.tables.loader import Table

if TYPE_CHECKING:
    from riskdoc.job.reading import JobFile
    from riskdoc.mitigation.compare import Way
    from riskdoc.requirements.dossier import Brief, Dossier
    from riskdoc.signing.document_status import DocumentStatus
    from riskdoc.signing.sign_off_state import SignOffState

__all__ = ["complain", "printed", "tell", "tell_lines"]

T = TypeVar("T")

ADEQUATE, STOPPED, FAULT, OUTSIDE = 0, 1, 2, 3


def read_job(path: Path, on: date) -> JobFile | None:
    """A job file; None after its faults were printed."""
    from riskdoc.job.reading import read

    reading = read(path, on)
    for each in (*reading.faults, *reading.warnings):
        complain(str(each))
    if reading.file is None:
        codes = list(dict.fromkeys(each.code for each in reading.faults))
        complain(faulty(len(reading.faults), codes))
    return reading.file


def faulty(count: int, codes: Sequence[str]) -> str:
    """What is said after the faults of a job file."""
    return (
        f"{count} fault{'s' if count != 1 else ''}; nothing was computed and nothing was "
        f"written. `riskdoc explain CODE` says more ({', '.join(codes)})."
    )


def _under_its_own_name(file: JobFile, path: Path) -> JobFile:
    """The same file, named as in its own folder.

    Faults name the path as it was typed, so that an editor can jump there; a document must not
    depend on where the file happens to stand.
    """
    from riskdoc.job.files_beside import tidy_name
    from riskdoc.job.reading import read_bytes

    name = tidy_name(path.name)
    if file.name == name:
        return file
    return read_bytes(file.raw, name, file.on, file.beside, file.pictures).file or file


def computed(path: Path, work: Callable[[], T]) -> T | None:
    """What a computation gives; None after it was said why it cannot."""
    from riskdoc.quantities.intervals import TooManyRangesError
    from riskdoc.requirements.sets import SetError

    try:
        return work()
    except (TooManyRangesError, SetError) as error:
        complain(f"{path}: {error}")
    except ValueError as error:
        # An equation refuses numbers it does not hold for; each bound names its symbol.
        complain(f"{path}: the job goes beyond what an equation holds for: {error}")
    return None


def check(path: Path, on: date, *, as_json: bool, everything: bool, controls: bool) -> int:
    """Prints the verdicts of a job, or all of it as JSON; with `controls` what could be done."""
    file = read_job(path, on)
    if file is None:
        return FAULT
    from riskdoc.cli.screen import show
    from riskdoc.requirements.dossier import Dossier, brief_dossier, dossier

    # What a change would do takes a search, and neither the verdict nor the digest rests on it.
    whole: Brief | Dossier | None
    if controls or as_json:
        whole = computed(path, lambda: dossier(file))
    else:
        whole = computed(path, lambda: brief_dossier(file))
    standing = _standing(path, whole) if whole is not None else None
    if whole is None or standing is None:
        return FAULT
    if as_json and isinstance(whole, Dossier):
        from riskdoc.export.export import document_json

        tell_json(document_json(whole, standing))
    else:
        show(whole, standing, everything=everything)
    return _outcome(standing.status)


def _outcome(status: DocumentStatus) -> int:
    """The exit code: 0 where all that is computed is met and the document has not ended."""
    return ADEQUATE if status.passes else STOPPED


def _standing(path: Path, whole: Brief | Dossier) -> SignOffState | None:
    """How a job stands by the records in its folder; None after it was said why none can be told.

    An own record that cannot be relied on tells nothing, and a report must not pass it over.
    """
    from riskdoc.signing.certificates import installed
    from riskdoc.signing.entries import RecordError
    from riskdoc.signing.record_files import others, record_of
    from riskdoc.signing.sign_off_state import stand

    try:
        mine = record_of(path)
    except RecordError as error:
        complain(f"{str(error).rstrip('.')}. Nothing was computed from it or written.")
        return None
    if any(each.certificate for each in mine.entries) and not installed():
        # Unchecked, a broken signature would stand as a sign-off.
        complain(
            "the sign-offs of this job carry certificate signatures, and the extra that checks "
            "them is not here: install riskdoc[certificates]."
        )
        return None
    rest = [record for _, record in others(path)]
    return stand(whole, mine, rest, lambda name: record_of(path.with_name(name)))


@dataclass(frozen=True, slots=True)
class Wanted:
    """What `render` is asked for.

    `choices` go before what the job file says of its report: language, units, paper.
    `certificate` and `passphrase` are files: with them the PDF is signed as well.
    """

    out: Path
    form: str
    card: bool
    choices: Mapping[str, str]
    certificate: Path | None = None
    passphrase: Path | None = None

    @property
    def both_units(self) -> bool:
        """Whether the card has metric and US units side by side."""
        return self.choices.get("units") == "both"

    @property
    def trouble(self) -> str:
        """What cannot be asked for together; empty where all can."""
        if self.both_units and not self.card:
            return "--units both is for the crew card: add --card, or choose metric or us."
        if self.certificate and (self.card or self.form == "html"):
            return "--certificate signs the PDF of the report: leave --card and --as html out."
        if self.out.exists() and not self.out.is_dir():
            return f"--out: {self.out} is a file; name a folder."
        return ""


def render(path: Path, on: date, wanted: Wanted) -> int:
    """Writes the report of a job, or its crew card. The exit code is the job's, as in `check`."""
    from riskdoc.cli.screen import summary
    from riskdoc.i18n.say import speaking

    if wanted.trouble:
        complain(wanted.trouble)
        return FAULT
    file = read_job(path, on)
    sign = _pdf_signer(wanted) if file is not None else None
    if file is None or sign is None:
        return FAULT
    from riskdoc.cli.targets import Written, clash

    chosen = ("pdf", "html") if wanted.form == "both" else (wanted.form,)
    tails = CARDS if wanted.card else REPORTS
    names = [f"{path.stem}{tail}" for tail in tails if tail.endswith(chosen)]
    info = file.job.job
    taken = clash(wanted.out, names, frozenset((Written(info.number, info.location.place),)))
    if taken:
        complain(taken)
        return FAULT
    found = _documented(path, file, wanted.choices)
    if found is None:
        return FAULT
    whole, standing = found
    make = _card if wanted.card else _report
    made = make(whole, standing, path.stem, wanted, sign)
    makers = {name: each for name, each in made.items() if name.endswith(chosen)}
    if not _written(wanted.out, makers):
        return OUTSIDE
    with speaking(whole.plan.file.voice):
        for line in summary(standing):
            tell(line)
    tell(whole.judged.sentence)
    return _outcome(standing.status)


def _documented(
    path: Path, file: JobFile, choices: Mapping[str, str]
) -> tuple[Dossier, SignOffState] | None:
    """A job computed under its own name, in its form, with how it stands."""
    from riskdoc.requirements.dossier import dossier

    form_of = {key: value for key, value in choices.items() if value != "both"}
    chosen = _under_its_own_name(file, path).in_form(**form_of)
    whole = computed(path, lambda: dossier(chosen))
    standing = _standing(path, whole) if whole is not None else None
    return None if whole is None or standing is None else (whole, standing)


def _pdf_signer(wanted: Wanted) -> Callable[[bytes], bytes] | None:
    """What signs the PDF: nothing where no certificate is named; None after a complaint."""
    if wanted.certificate is None:
        return lambda pdf: pdf
    from riskdoc.cli.sign_command import certificate_in

    holder = certificate_in(wanted.certificate, wanted.passphrase)
    if holder is None:
        return None
    from riskdoc.signing.pades import sign_pdf

    return lambda pdf: sign_pdf(holder, pdf)


Makers = dict[str, Callable[[], bytes]]
REPORTS = (".pdf", ".html")
CARDS = ("-card.pdf", "-card-a4.pdf", "-card.html")
"""What is written of a job, by the ends of the names that follow the name of its file."""


def _report(
    whole: Dossier, standing: SignOffState, stem: str, _: Wanted, sign: Callable[[bytes], bytes]
) -> Makers:
    from riskdoc.report.attachments import report_attachments
    from riskdoc.report.html import html_file
    from riskdoc.report.pdf import to_pdf
    from riskdoc.report.view import build

    view, inside = build(whole, standing), report_attachments(whole, standing)
    return {
        f"{stem}.pdf": lambda: sign(to_pdf(view, inside)),
        f"{stem}.html": lambda: html_file(view, inside),
    }


def _card(
    whole: Dossier, standing: SignOffState, stem: str, wanted: Wanted, _: Callable[[bytes], bytes]
) -> Makers:
    from riskdoc.report.attachments import job_attachment
    from riskdoc.report.card import build_card, card_html, card_pdf

    card = build_card(whole, standing, both_units=wanted.both_units)
    inside = (job_attachment(whole.study.plan.file),)
    return {
        f"{stem}-card.pdf": lambda: card_pdf(card, inside),
        f"{stem}-card-a4.pdf": lambda: card_pdf(card, inside, copies=2),
        f"{stem}-card.html": lambda: card_html(card, for_print=False).encode(),
    }


def compare(paths: Sequence[Path], forms: Sequence[str], out: Path, on: date) -> int:
    """Prints plans side by side, and writes them in the forms asked for."""
    files = [read_job(path, on) for path in paths]
    if any(file is None for file in files):
        return FAULT
    from riskdoc.mitigation.compare import compare as side_by_side
    from riskdoc.report.workbook import to_csv, to_xlsx

    stem = "-".join([*(path.stem for path in paths), "compared"])
    taken = _taken(paths, [file for file in files if file is not None], forms, out / stem)
    if taken:
        complain(taken)
        return FAULT
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
        if not _written(out, {f"{stem}.{form}": makers[form] for form in forms}):
            return OUTSIDE
    return ADEQUATE if any(not way.plan.failed_checks for way in ways) else STOPPED


def _taken(
    paths: Sequence[Path], files: Sequence[JobFile], forms: Sequence[str], target: Path
) -> str:
    """Why a comparison may not be written there; empty where it may, or nothing is written."""
    from riskdoc.cli.targets import Written, clash

    out = target.parent
    if not forms:
        return ""
    if out.exists() and not out.is_dir():
        return f"--out: {out} is a file; name a folder."
    if len({path.stem for path in paths}) < len(paths):
        return (
            "two of the job files have one name, so two jobs would be written as one: rename one "
            "of them, or leave --as out."
        )
    infos = [file.job.job for file in files]
    jobs = frozenset(Written(info.number, info.location.place) for info in infos)
    return clash(out, [f"{target.name}.{form}" for form in forms], jobs)


def _ways(files: Sequence[JobFile], paths: Sequence[Path]) -> list[Way] | None:
    """The plans to compare: a job and its alternatives, or several jobs; None after a complaint."""
    from riskdoc.judgement.assess import assess
    from riskdoc.mitigation.compare import Way, ways_of

    if len(files) == 1:
        file = _under_its_own_name(files[0], paths[0])
        if not file.alternatives:
            complain(
                f"{paths[0]} has no 'alternatives' to compare its plan with. Add some, or name a "
                "second job file."
            )
            return None
        return computed(
            paths[0],
            lambda: list(
                ways_of(assess(file), {k: assess(each) for k, each in file.alternatives.items()})
            ),
        )
    stems = [path.stem for path in paths]
    if len(set(paths)) < len(paths):
        complain("a job file is named twice; there is nothing to compare in it.")
        return None
    found = []
    for file, path in zip(files, paths, strict=True):
        own = _under_its_own_name(file, path)
        plan = computed(path, lambda own=own: assess(own))  # type: ignore[misc]
        if plan is None:
            return None
        name = path.stem if stems.count(path.stem) == 1 else str(path)
        found.append(Way(name, plan.file.job.job.title, plan))
    return found


def _written(out: Path, makers: Mapping[str, Callable[[], bytes]]) -> bool:
    """Writes files whole, after all of them were made; whether that went well."""
    from riskdoc.report.pdf import RenderError
    from riskdoc.signing.certificates import CertificateError
    from riskdoc.signing.files import write_whole

    try:
        made = {out / name: make() for name, make in makers.items()}
        out.mkdir(parents=True, exist_ok=True)
        for target, content in made.items():
            write_whole(target, content)
            tell(f"wrote {target}")
    except (RenderError, CertificateError, OSError) as error:
        complain(f"the report could not be written: {error}")
        return False
    return True


def explain(code: str) -> int:
    """Prints the page of a fault code."""
    from riskdoc.job.faults import explain as page

    try:
        tell_lines(page(code).splitlines())
    except LookupError as error:
        complain(str(error))
        return FAULT
    return ADEQUATE


def tables(name: str | None, *, as_json: bool) -> int:
    """Prints the tables, or one of them."""
    from riskdoc.tables.loader import NAMES, table

    if name is not None and name not in NAMES:
        near = difflib.get_close_matches(name, NAMES, n=1)
        hint = f" Did you mean {near[0]}?" if near else ""
        complain(f"there is no table {name!r}.{hint} There are: {', '.join(NAMES)}.")
        return FAULT
    chosen = [table(each) for each in ([name] if name else NAMES)]
    if as_json:
        tell_json(json.dumps({each.name: _rows(each) for each in chosen}, ensure_ascii=False))
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

        tell_json(json.dumps(job_schema(), indent=2, ensure_ascii=False))
        return ADEQUATE
    if of == "check":
        from riskdoc.export.schema import check_schema

        tell_json(json.dumps(check_schema(), indent=2, ensure_ascii=False))
        return ADEQUATE
    complain(f"there is no schema {of!r}. There are: job, check.")
    return FAULT
