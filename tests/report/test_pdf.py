"""The PDF, read back."""

from __future__ import annotations

import gc
import io
import logging
import os
import re
import subprocess
import sys
from hashlib import sha256
from pathlib import Path

import pypdf
import pytest
from report.made import made_of
from support.demos import SOAK
from support.shared import FOLDER

from riskdoc.report import pdf as printing
from riskdoc.report.pdf import RenderError, allowed, print_page
from riskdoc.signing.content import content_of

TOP = Path(__file__).parents[2]


@pytest.fixture
def reader(made):
    return pypdf.PdfReader(io.BytesIO(made.pdf))


def test_every_page_says_draft_which_document_and_which_page(made, reader):
    pages = len(reader.pages)
    digest = sha256(content_of(made.dossier).raw).hexdigest()
    assert pages == len(made.pages) > 5
    for number, text in enumerate(made.pages, start=1):
        assert "DRAFT: not signed, not for use" in text
        assert f"page {number} of {pages}" in text
        assert digest[:12] in text


def test_language_title_and_tags(made, reader):
    root = reader.trailer["/Root"]
    assert root["/Lang"] == "en"
    # A boolean of this reader is an object, and true whatever it says.
    assert root["/MarkInfo"]["/Marked"].value is True
    assert made.view.document in reader.metadata.title.replace("\n", " ")


def test_fonts_are_ours_and_embedded(reader):
    names = set()
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            names.add(font.get_object()["/BaseFont"].partition("+")[2])
    assert names
    assert all(name.startswith("Riskdoc-Sans") for name in names)


def test_no_clock_in_the_file(made):
    """The files inside bear the day of the assessment; where there are none there is no date."""
    day = f"(D:{made.assessment.file.on:%Y%m%d}000000Z)".encode()
    plain = print_page("<!DOCTYPE html><html lang='en'><title>t</title><p>word", "0" * 64)

    assert b"/CreationDate" not in made.pdf
    # Compressed bytes may hold "(D:" by chance, but hardly with the digits of a year behind it.
    assert set(re.findall(rb"\(D:\d{4}[^)]*\)", made.pdf)) == {day}
    assert made.pdf.count(b"/ModDate") == made.pdf.count(day) > 0
    assert b"/CreationDate" not in plain
    assert b"/ModDate" not in plain


SCRIPT = """
import hashlib, sys
sys.path.insert(0, "tests")
from report.made import Made
made = Made("lighthouse")
print(hashlib.sha256(made.pdf).hexdigest(), hashlib.sha256(made.html.encode()).hexdigest())
"""


@pytest.mark.skipif(not SOAK, reason="in each run `test_archive` asks it of the command")
def test_same_bytes_in_any_process_zone_and_hash_order():
    made = made_of("lighthouse")  # in this process, in its own hash order and zone
    said = {f"{sha256(made.pdf).hexdigest()} {sha256(made.html.encode()).hexdigest()}\n"}
    for seed, zone in (("0", "Pacific/Auckland"), ("77", "America/Lima")):
        ran = subprocess.run(
            [sys.executable, "-c", SCRIPT],
            cwd=TOP,
            env={
                **os.environ,
                "PYTHONHASHSEED": seed,
                "TZ": zone,
                "PYTHONPATH": str(TOP),
                FOLDER: "",
            },  # nothing of it is shared: it is made anew
            capture_output=True,
            text=True,
            check=True,
        )
        said.add(ran.stdout)
    assert len(said) == 1


@pytest.mark.parametrize(
    "page",
    [
        '<img src="missing.png" alt="">',
        '<img src="http://192.0.2.1/a.png" alt="">',
        '<img src="data:image/png;base64,iVBORw0KGgo=" alt="">',
        f'<img src="picture:{"0" * 64}" alt="">',
        '<p style="colour: red">x</p>',
        '<link rel="stylesheet" href="file:///etc/passwd">',
        '<svg viewBox="0 0 9 9"><image href="file:///etc/passwd" width="9" height="9"/></svg>',
    ],
)
def test_a_complaint_of_the_printer_is_a_failure(page):
    with pytest.raises(RenderError) as caught:
        print_page(f"<!DOCTYPE html><html lang='en'><title>t</title>{page}", "0" * 64)
    assert caught.value.complaints


@pytest.mark.parametrize(
    "url",
    [
        "http://192.0.2.1/",
        "https://192.0.2.1/Inter-Regular.woff2",
        "ftp://192.0.2.1/x",
        "data:text/css,p{}",
        "data:image/png;base64,iVBORw0KGgo=",
        f"picture:{'0' * 64}",
        "file:///etc/passwd",
        "file://host/etc/passwd",
        (TOP / "pyproject.toml").as_uri(),
        (TOP / "templates" / "report.css").as_uri(),
        (TOP / "templates" / "fonts" / "OFL.txt").as_uri(),
        (TOP / "templates" / "fonts").as_uri() + "/../../README.md",
        (TOP / "templates" / "fonts").as_uri() + "/%2e%2e/%2e%2e/README.md",
        "relative.png",
    ],
)
def test_every_address_but_our_fonts_is_refused(url):
    with pytest.raises(ValueError, match="refused"):
        allowed(url)


def test_our_fonts_are_given():
    font = TOP / "templates" / "fonts" / "Inter-Regular.woff2"
    assert allowed(font.as_uri()) == font


def test_the_printer_is_left_as_it_was():
    before = gc.get_threshold(), list(logging.getLogger("weasyprint").handlers)
    print_page("<!DOCTYPE html><html lang='en'><title>t</title><p>word", "0" * 64)
    assert (gc.get_threshold(), list(logging.getLogger("weasyprint").handlers)) == before


def test_styles_ask_for_nothing_but_the_fonts():
    asked = re.findall(
        r"url\(([^)]*)\)",
        "".join((TOP / "templates" / name).read_text() for name in printing.STYLES),
    )
    assert asked == ["fonts/Inter-Regular.woff2", "fonts/Inter-SemiBold.woff2"]
