"""Two ratios, each taken in one run on one machine. Prints; decides nothing.

check / word: `riskdoc check` of the larger demo against WeasyPrint writing a one-word PDF.
render / bare: `riskdoc render` of it as PDF against WeasyPrint alone on the same HTML.
Each is the median of the ratios of pairs run in turn, as whole processes.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
JOB, DAY = ROOT / "jobs" / "gorge.yaml", "2027-05-01"
RUNS = 7

WORD = "from weasyprint import HTML; HTML(string='<p>word').write_pdf({out!r})"
BARE = (
    "from weasyprint import HTML; from pathlib import Path; "
    "HTML(string=Path({page!r}).read_text('utf-8')).write_pdf({out!r}, pdf_tags=True)"
)
PAGE = (
    "import datetime; from pathlib import Path; from riskdoc.requirements.dossier import dossier; "
    "from riskdoc.job.reading import read; from riskdoc.report.view import build; "
    "from riskdoc.report.html import to_html; "
    "file = read(Path({job!r}), datetime.date.fromisoformat({day!r})).file; "
    "Path({page!r}).write_text(to_html(build(dossier(file)), for_print=True), 'utf-8')"
)


def seconds(*command: str) -> float:
    start = time.perf_counter()
    done = subprocess.run(command, capture_output=True, check=False)
    if done.returncode not in (0, 1):
        raise SystemExit(done.stderr.decode())
    return time.perf_counter() - start


def ratio(name: str, ours: list[str], theirs: list[str]) -> None:
    seconds(*ours), seconds(*theirs)
    pairs = [(seconds(*ours), seconds(*theirs)) for _ in range(RUNS)]
    found = [a / b for a, b in pairs]
    middle = statistics.median(found)
    sys.stdout.write(
        f"{name}: {middle:.2f}  ({min(found):.2f} to {max(found):.2f}; "
        f"medians {statistics.median(a for a, _ in pairs):.2f} s and "
        f"{statistics.median(b for _, b in pairs):.2f} s)\n"
    )


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        page, out = str(Path(folder) / "page.html"), str(Path(folder) / "out.pdf")
        python = [sys.executable, "-c"]
        subprocess.run([*python, PAGE.format(job=str(JOB), day=DAY, page=page)], check=True)
        ours = [sys.executable, "-m", "riskdoc.cli"]
        ratio(
            "check / word", [*ours, "check", str(JOB), "--on", DAY], [*python, WORD.format(out=out)]
        )
        ratio(
            "render / bare",
            [*ours, "render", str(JOB), "--on", DAY, "--as", "pdf", "--out", folder],
            [*python, BARE.format(page=page, out=out)],
        )


if __name__ == "__main__":
    main()
