"""The command line. Each command reads its options, calls one function, prints and exits.

Exit codes: 0 all is met (or nothing to judge), 1 it is not, or the document has ended, 2 a fault in
what was given, 3 something outside failed (disk, fonts).
"""

from __future__ import annotations

import gc
from datetime import UTC, date, datetime
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from riskdoc import __version__
from riskdoc.cli.saying import complain, guarded, tell

app = typer.Typer(
    name="riskdoc",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help=(
        "Computes and prints risk assessments for work on ropes, from one YAML file per job.\n\n"
        "Work on ropes can kill. riskdoc does not replace a competent person. Local codes, makers' "
        "instructions and licensed practice come first; a risk assessment is no permit.\n\n"
        "Exit codes: 0 all checks and items met and the document not ended, 1 not so, 2 a fault "
        "in what was given, 3 something outside failed (disk, fonts)."
    ),
)

JobPath = Annotated[Path, typer.Argument(metavar="JOB", help="The job file, YAML.")]
OnDay = Annotated[
    str | None,
    typer.Option(
        "--on",
        metavar="YYYY-MM-DD",
        help="The day the assessment is made; today when left out. A job whose last day is before "
        "it has expired.",
    ),
]


CertificatePath = Annotated[
    Path | None,
    typer.Option(
        "--certificate",
        metavar="FILE.p12",
        help="Your certificate with its key (PKCS#12); needs the extra riskdoc[certificates].",
    ),
]
PassphrasePath = Annotated[
    Path | None,
    typer.Option(
        "--passphrase-file",
        metavar="FILE",
        help="A file whose first line is the passphrase; else it is asked for.",
    ),
]


class Form(StrEnum):
    """What `render` writes."""

    PDF = "pdf"
    HTML = "html"
    BOTH = "both"


class Units(StrEnum):
    """Units of what is computed; both only on the crew card."""

    METRIC = "metric"
    US = "us"
    BOTH = "both"


class Paper(StrEnum):
    """Size of the pages."""

    A4 = "A4"
    LETTER = "Letter"


class Language(StrEnum):
    """Languages that the report speaks."""

    EN = "en"
    DE = "de"


class Sheet(StrEnum):
    """What `compare` writes besides what it prints."""

    PDF = "pdf"
    HTML = "html"
    CSV = "csv"
    XLSX = "xlsx"


def _version(wanted: bool) -> None:
    if wanted:
        tell(f"riskdoc {__version__}")
        raise typer.Exit


@app.callback()
def root(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_version, is_eager=True, help="Print the version."),
    ] = False,
) -> None:
    """Holds the options that stand before any command."""


@app.command()
def check(
    job: JobPath,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON object instead.")] = False,
    all_checks: Annotated[
        bool, typer.Option("--all", help="Show the adequate checks too, with their figures.")
    ] = False,
    controls: Annotated[
        bool,
        typer.Option("--controls", help="Show the package of changes, and how far limits go."),
    ] = False,
    on: OnDay = None,
) -> None:
    """Compute and judge a job; print its status and what is not met."""
    gc.disable()  # a check is over before there is garbage worth collecting
    from riskdoc.cli import commands

    raise typer.Exit(
        commands.printed(
            lambda: commands.check(
                job, _day(on), as_json=json, everything=all_checks, controls=controls
            )
        )
    )


@app.command()
def render(
    job: JobPath,
    out: Annotated[
        Path, typer.Option("--out", metavar="FOLDER", help="Where the report is written.")
    ] = Path("output"),
    form: Annotated[Form, typer.Option("--as", help="pdf, html or both.")] = Form.BOTH,
    card: Annotated[
        bool,
        typer.Option("--card", help="Write the crew card instead: A5, and two on an A4 sheet."),
    ] = False,
    units: Annotated[
        Units | None,
        typer.Option("--units", help="metric or us; with --card also both, side by side."),
    ] = None,
    language: Annotated[Language | None, typer.Option("--language", help="en or de.")] = None,
    paper: Annotated[Paper | None, typer.Option("--paper", help="A4 or Letter.")] = None,
    certificate: CertificatePath = None,
    passphrase: PassphrasePath = None,
    on: OnDay = None,
) -> None:
    """Compute and judge a job, and write its risk assessment as PDF and HTML.

    Units, language and paper are those of the job file unless an option says otherwise.
    """
    from riskdoc.cli import commands

    form_choices = {
        "units": units and units.value,
        "language": language and language.value,
        "paper": paper and paper.value,
    }
    choices = {key: value for key, value in form_choices.items() if value}
    raise typer.Exit(
        commands.printed(
            lambda: commands.render(
                job,
                _day(on),
                commands.Wanted(out, form.value, card, choices, certificate, passphrase),
            )
        )
    )


@app.command()
def sign(
    job: JobPath,
    role: Annotated[
        str, typer.Option("--role", help="The role you sign as, of those the job asks.")
    ],
    name: Annotated[
        str | None, typer.Option("--name", help="Your name; that of the certificate if left out.")
    ] = None,
    meaning: Annotated[
        str | None,
        typer.Option("--meaning", help="What your sign-off means; the usual words if left out."),
    ] = None,
    withdraw: Annotated[
        bool, typer.Option("--withdraw", help="Withdraw this revision for good; needs --reason.")
    ] = False,
    superseded_by: Annotated[
        Path | None,
        typer.Option(
            "--superseded-by",
            metavar="JOB",
            help="The job file of the revision that takes its place; needs --reason.",
        ),
    ] = None,
    reason: Annotated[
        str | None, typer.Option("--reason", help="Why it is withdrawn or superseded.")
    ] = None,
    certificate: CertificatePath = None,
    passphrase: PassphrasePath = None,
) -> None:
    """Compute a job anew and sign what comes out: adds an entry to JOB.signoff.yaml beside it.

    A sign-off is bound to the job, its figures and its verdicts; a digit that changes ends it.
    Roles sign in the order of the job, and only a plan whose checks are met or accepted. A typed
    name is a recorded name, not a verified signature.
    """
    from riskdoc.cli import commands
    from riskdoc.cli import sign_command as signing

    asked = signing.Asked(
        role, name, meaning, withdraw, superseded_by, reason, certificate, passphrase
    )
    now = _now()
    raise typer.Exit(commands.printed(lambda: signing.sign(job, asked, now)))


@app.command()
def verify(
    file: Annotated[
        Path,
        typer.Argument(metavar="FILE", help="A report of riskdoc, PDF or HTML; or a job file."),
    ],
    trust: Annotated[
        Path | None,
        typer.Option("--trust", metavar="FILE.pem", help="Certificates you trust, PEM or DER."),
    ] = None,
    on: OnDay = None,
) -> None:
    """Compute a report again from what is inside it, and say what holds and what does not.

    Needs nothing but the file. Exits 0 when all of it holds, 1 when something does not or cannot
    be shown, 2 when the file is no report of ours. It cannot show that a plan is kept, nor who
    typed a name.
    """
    from riskdoc.cli import commands
    from riskdoc.cli import verify_command as verifying

    raise typer.Exit(commands.printed(lambda: verifying.verify(file, trust, _day(on))))


@app.command()
def compare(
    jobs: Annotated[
        list[Path],
        typer.Argument(
            metavar="JOB",
            help="One job file, to compare its plan with its own alternatives; or several.",
        ),
    ],
    forms: Annotated[
        list[Sheet] | None,
        typer.Option("--as", help="Also write it: pdf, html, csv or xlsx; may be repeated."),
    ] = None,
    out: Annotated[
        Path, typer.Option("--out", metavar="FOLDER", help="Where files are written.")
    ] = Path("output"),
    on: OnDay = None,
) -> None:
    """Put plans side by side: every key figure and check, and the mass of the kit.

    Exits 0 when at least one of them meets all checks, 1 when none does.
    """
    from riskdoc.cli import commands

    chosen = tuple(dict.fromkeys(each.value for each in forms or ()))
    raise typer.Exit(commands.printed(lambda: commands.compare(jobs, chosen, out, _day(on))))


@app.command()
def explain(
    code: Annotated[str, typer.Argument(help="The code of a fault, as printed with it.")],
) -> None:
    """Print the page of a fault code: what it means, and wrong and right examples."""
    from riskdoc.cli import commands

    raise typer.Exit(commands.printed(lambda: commands.explain(code)))


@app.command()
def tables(
    name: Annotated[
        str | None, typer.Argument(metavar="[TABLE]", help="One table; all when left out.")
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print one JSON object instead.")] = False,
) -> None:
    """List the default values with their ranges, provenance and sources."""
    from riskdoc.cli import commands

    raise typer.Exit(commands.printed(lambda: commands.tables(name, as_json=json)))


@app.command()
def schema(
    of: Annotated[
        str, typer.Argument(metavar="[job|check]", help="Of the job file, or of check --json.")
    ] = "job",
) -> None:
    """Print a JSON Schema: of the job file (for editors), or of what check --json prints."""
    from riskdoc.cli import commands

    raise typer.Exit(commands.printed(lambda: commands.schema(of)))


def _now() -> datetime:
    """The moment by the clock of the machine; in UTC where its time zone is none."""
    now = datetime.now(UTC)
    try:
        return now.astimezone()
    except (ValueError, OSError, OverflowError):
        return now


def _day(text: str | None) -> date:
    if text is None:
        return date.today()  # noqa: DTZ011  (the day on the crew's own calendar is meant)
    try:
        found = date.fromisoformat(text)
        if found.isoformat() == text:  # the library takes 20270309 and week numbers too
            return found
    except ValueError:
        pass
    complain(f"--on: {text!r} is not a day of the calendar. Write it as 2027-03-09.")
    raise typer.Exit(2)


def main() -> None:
    """The program: what it says comes as plain lines, and what fails within is no verdict."""
    guarded(lambda: app(prog_name="riskdoc"))
