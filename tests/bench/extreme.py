"""A job as large as a report will ever have to hold: how long it takes, and that it is whole.

Sixty lines over forty edges, more than 120 hazards, names of 120 characters in five scripts. Too
slow for every run of the tests; run it when a drawing, a table or the search is changed:
`python tests/bench/extreme.py FOLDER`.
"""

from __future__ import annotations

import copy
import io
import sys
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

import pypdf
from report.browser import CUT, OVERLAPS, WIDER, WRITTEN_OVER, browser, opened
from report.made import raw, studied, texts

from riskdoc.report.html import to_html
from riskdoc.report.pdf import to_pdf
from riskdoc.report.view import build

LINES, EDGES, OWN_HAZARDS = 60, 40, 70
SCRIPTS = "فحص أقواس الشرفة בדיקת סוגרי הגלריה 灯塔走廊支架腐蚀检查 등대 부식 조사"
TAIL = "with a name of a hundred and twenty characters that goes on and on until it is long enough"


def long_name(stem: str) -> str:
    return f"{stem} {SCRIPTS} {TAIL}"[:120]


def large() -> dict[str, Any]:
    """The job as a mapping."""
    job = raw("lighthouse")
    texts(job, long_name)
    del job["alternatives"], job["pictures"], job["rescue"]["lines"]
    edge, rope = job["edges"].pop("coping"), job["ropes"]["red"]
    kinds = job["lines"]["working"], job["lines"]["safety"]
    names = [f"edge_{n:02}_with_a_long_name_of_its_own"[:40] for n in range(EDGES)]
    job["edges"] = {name: {**edge, "turn": "14 deg"} for name in names}
    job["ropes"], job["lines"] = {}, {}
    for n in range(LINES):
        line, own = copy.deepcopy(kinds[n % 2]), f"rope_{n:02}_of_a_line_with_a_long_name"
        job["ropes"][own] = {**copy.deepcopy(rope), "length": "120 m"}
        over = [{"edge": names[(2 * n + k) % EDGES], "after": f"{k + 0.5} m"} for k in range(2)]
        job["lines"][f"line_{n:02}_with_a_rather_long_name"] = {**line, "rope": own, "over": over}
    job["hazards"] |= {f"own_{n}": copy.deepcopy(job["hazards"]["one"]) for n in range(OWN_HAZARDS)}
    return job


def say(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


def main(folder: Path) -> None:
    start = time.perf_counter()

    def told(what: str) -> None:
        nonlocal start
        say(f"{what}: {time.perf_counter() - start:.0f} s")
        start = time.perf_counter()

    whole = studied(large())
    told(f"studied, {len(whole.register.hazards)} hazards")
    view = build(whole)
    page = folder / "large.html"
    page.write_text(to_html(view, for_print=False), encoding="utf-8")
    told(f"HTML, {page.stat().st_size / 1e6:.1f} MB")
    pdf = to_pdf(view)
    (folder / "large.pdf").write_bytes(pdf)
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    fonts = {
        str(font.get_object()["/BaseFont"]).partition("+")[2]
        for sheet in reader.pages
        for font in sheet["/Resources"]["/Font"].values()
    }
    told(f"PDF, {len(reader.pages)} pages, typefaces {', '.join(sorted(fonts))}")
    say(f"characters written as codes: {view.notes or 'none'}")
    with browser() as started:
        for width in (360, 800, 1600):
            with opened(started, page, width) as it:
                found = it.run(WIDER), it.run(OVERLAPS) + it.run(WRITTEN_OVER), it.run(CUT)
            say(f"{width} px: {found[0]} too wide, covered {found[1][:3]}, cut {found[2][:3]}")
    told("looked at in a browser")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
