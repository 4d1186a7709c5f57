"""Text in scripts of every direction: printed, measured, and turning nothing around it."""

from __future__ import annotations

import io
from collections.abc import Iterator

import pypdf
import pytest
from fontTools.ttLib import TTFont
from playwright.sync_api import Browser
from report.browser import CUT, OVERLAPS, WIDER, WRITTEN_OVER, browser, opened
from report.made import assessed, part_of, raw, texts

from riskdoc.i18n.say import ISOLATES, say
from riskdoc.report.folder import template_folder
from riskdoc.report.html import faces_for, to_html
from riskdoc.report.pdf import print_page, to_pdf
from riskdoc.report.scripts import face_of, scripts, used_in
from riskdoc.report.text import clean, width
from riskdoc.report.view import build

ARABIC, HEBREW = "فحص أقواس الشرفة", "בדיקת סוגרי הגלריה"
HAN, KANA, HANGUL = "灯塔走廊支架腐蚀检查", "ランプのさび", "등대 부식 조사"
ALL = f"{ARABIC}, {HEBREW} {HAN} {KANA} {HANGUL}"


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as started:
        yield started


def test_every_script_is_printed_in_our_own_typefaces(chromium, tmp_path):
    job = raw("lighthouse")
    texts(job, lambda key: f"{key} {ALL}")
    view = build(assessed(job))
    page = tmp_path / "page.html"
    page.write_text(to_html(view, for_print=False), encoding="utf-8")
    reader = pypdf.PdfReader(io.BytesIO(to_pdf(part_of(view, "decision"))))
    fonts = {
        str(font.get_object()["/BaseFont"])
        for sheet in reader.pages
        for font in sheet["/Resources"]["/Font"].values()
    }

    assert view.notes == ()
    assert fonts
    assert all("Riskdoc" in name for name in fonts), fonts
    for family in ("Han", "Hangul", "Arabic", "Hebrew"):
        assert any(family in name for name in fonts)
    for width_of_window in (360, 800, 1600):
        with opened(chromium, page, width_of_window) as it:
            assert it.run(WIDER) == 0
            assert it.run(OVERLAPS) == []
            assert it.run(WRITTEN_OVER) == []
            assert it.run(CUT) == []
            ours = it.run("() => document.fonts.check('12px \"Riskdoc Han\"', '灯')")
            assert ours


MEASURED = """text => {
  const svg = document.createElementNS('http://www.w3.org/2000/svg', 'svg');
  const node = document.createElementNS('http://www.w3.org/2000/svg', 'text');
  node.setAttribute('font-size', '100');
  node.textContent = text;
  svg.appendChild(node);
  document.body.appendChild(svg);
  return node.getComputedTextLength();
}"""


@pytest.mark.parametrize("text", [ARABIC, HEBREW, HAN, KANA, HANGUL, f"edge {ARABIC} 12 m"])
def test_a_text_is_no_wider_in_a_browser_than_measured_here(chromium, tmp_path, text):
    faces = "".join(face_of(each, text) for each in used_in(text))
    page = tmp_path / "page.html"
    page.write_text(
        f"<!DOCTYPE html><meta charset=utf-8><style>{faces} svg {{ font-family: 'Riskdoc Han', "
        f"'Riskdoc Hangul', 'Riskdoc Arabic', 'Riskdoc Hebrew' }}</style><p style='font-family: "
        f'"Riskdoc Han", "Riskdoc Hangul", "Riskdoc Arabic", "Riskdoc Hebrew"\'>{text}</p>',
        encoding="utf-8",
    )
    with opened(chromium, page, 800) as it:
        inside = "".join(char for char in text if used_in(char) or char == " ")
        measured = it.run(MEASURED, inside)

    # A space is the main typeface's, which this page has not: it is left out of both.
    spaces = inside.count(" ") * 100
    assert 0.5 * width(inside, 100) < measured <= width(inside, 100) + spaces


def test_widths_are_those_of_the_typefaces():
    seen = 0
    for script in scripts():
        font = TTFont(template_folder() / "fonts" / script.file)
        cmap, metrics, em = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
        for char, wide in script.widths.items():
            own = metrics[cmap[ord(char)]][0] / em
            assert wide >= own - 1e-9 or wide == 0  # 0: marks that stand over a letter
            seen += 1
    assert seen > 15_000


def test_a_file_takes_in_only_what_it_shows():
    small = face_of(scripts()[0], "灯塔")

    assert len(small) < 6_000
    assert small == face_of(scripts()[0], "塔灯灯x")
    assert used_in("plain text, Ærø, αβ, Жук") == ()


def test_a_part_that_runs_the_other_way_is_set_apart():
    first, last = ISOLATES

    assert say("{name}: {count} m", name=HEBREW, count=12) == f"{first}{HEBREW}{last}: 12 m"
    assert say("{name}: {count} m", name="coping", count=12) == "coping: 12 m"
    assert clean(f"{first}{HEBREW}{last}") == f"{first}{HEBREW}{last}"
    # What turns text around is still written out.
    assert clean("a\u202eb") == "a[U+202E]b"


def order_in_print(text: str) -> list[str]:
    """The pieces of a printed line from left to right, as the file draws them."""
    page = (
        '<!DOCTYPE html><html lang="en" dir="ltr"><head><title>A page</title>'
        f"{faces_for(text, for_print=True)}</head><body><p>{text}</p></body></html>"
    )
    pieces: list[str] = []
    sheet = pypdf.PdfReader(io.BytesIO(print_page(page, "0" * 64))).pages[0]
    sheet.extract_text(visitor_text=lambda piece, *_: pieces.append(piece))
    return " ".join(pieces).split()


@pytest.mark.parametrize("name", [ARABIC, HEBREW], ids=["Arabic", "Hebrew"])
def test_a_name_in_such_letters_moves_no_number_of_its_line(name):
    """By UAX 9 a number after such letters stands to the left of them, unless they are isolated."""
    said, bare = (
        order_in_print(text)
        for text in (say("{name}: {count} m", name=name, count=12), f"{name}: 12 m")
    )

    assert said[-2:] == ["12", "m"]
    assert bare[-1] == "m"
    assert bare[0] == "12"  # so the line above can fail
    if name == HEBREW:  # the printed forms of Arabic letters are other characters
        assert said[: len(HEBREW.split())] == HEBREW.split()
