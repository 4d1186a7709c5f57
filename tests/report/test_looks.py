"""Colours, sizes and fonts, read out of the styles."""

from __future__ import annotations

import re
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riskdoc.report import svg
from riskdoc.report.folder import template_folder
from riskdoc.report.text import clean, fitted, shortened, width

STYLES = ("report.css", "print.css", "screen.css")


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.2)."""
    parts = [int(colour.lstrip("#")[n : n + 2], 16) / 255 for n in (0, 2, 4)]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one: str, other: str) -> float:
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize(
    ("one", "other", "printed"),
    [("#000000", "#FFFFFF", 21.00), ("#767676", "#FFFFFF", 4.54), ("#FF0000", "#FFFFFF", 4.00)],
)
def test_the_contrast_computed_here_is_the_known_one(one, other, printed):
    assert contrast(one, other) == pytest.approx(printed, abs=0.005)


DARK = "@media screen and (prefers-color-scheme: dark)"
PAPER, NIGHT = "#FFFFFF", "#141414"


def rules(*, dark: bool = False) -> list[tuple[str, str]]:
    """Selector and body of every rule of the light page, or of those that make it dark."""
    found = []
    for name in STYLES:
        text = re.sub(r"/\*.*?\*/", "", (template_folder() / name).read_text(), flags=re.DOTALL)
        light, _, night = text.partition(DARK)
        found += re.findall(r"([^{}]+)\{([^{}]*)\}", night if dark else light)
    assert len(found) > (8 if dark else 50)
    return found


def grounds() -> list[tuple[str, str, str]]:
    """Every rule with the ground its text stands on where it names none."""
    light = [(selector, body, PAPER) for selector, body in rules()]
    return light + [(selector, body, NIGHT) for selector, body in rules(dark=True)]


def test_every_text_colour_stands_out_from_its_ground():
    seen = 0
    for selector, body, around in grounds():
        for colour in re.findall(r"(?<![\w-])color:\s*(#\w{6})", body):
            ground = re.search(r"background:\s*(#\w{6})", body)
            assert contrast(colour, ground[1] if ground else around) >= 4.5, selector
            seen += 1
    assert seen > 5


def test_every_line_stands_out_from_its_ground():
    for selector, body, around in grounds():
        for colour in re.findall(r"border[\w-]*:[^;]*(#\w{6})", body):
            assert contrast(colour, around) >= 3, selector


def test_colours_in_drawings():
    assert contrast(svg.BLACK, svg.WHITE) >= 4.5
    assert contrast(svg.GREY, svg.WHITE) >= 3
    assert contrast(svg.BLUE, svg.WHITE) >= 3
    # These fills carry a black outline or lie on black, which is what stands out.
    for fill in (svg.ORANGE, svg.VERMILLION, svg.SKY):
        assert contrast(fill, svg.BLACK) >= 3
    assert contrast(svg.BLUE, svg.PALE) >= 3
    assert contrast(svg.BLACK, svg.PALE) >= 3


def test_no_text_under_8_points():
    for selector, body in rules():
        for size in re.findall(r"font-size:\s*([\d.]+)pt", body):
            assert float(size) >= 8, selector


def test_no_font_of_a_machine_is_named():
    named = [f for _, body in rules() for f in re.findall(r"font-family:\s*([^;]+)", body)]
    assert named
    assert all(name.strip().startswith('"Riskdoc ') for each in named for name in each.split(","))


def test_no_page_wide_flex_or_grid():
    assert not [s for s, body in rules() if re.search(r"display:\s*(flex|grid)", body)]


@given(st.text(max_size=60), st.floats(1, 200))
def test_a_text_is_cut_as_late_as_there_is_room(text, room):
    whole = clean(text)
    cut = shortened(text, room, 8)
    if width(whole, 8) <= room:
        assert cut == whole
    else:
        ends = (n for n in range(len(cut), len(whole) + 1) if not whole[n - 1].isspace())
        assert cut == "…" or width(cut, 8) <= room
        assert all(width(f"{whole[:n]}…", 8) > room for n in ends)


def test_a_text_without_end_is_cut_at_once():
    """10,000 letters took 5 s; a document may hold as many as somebody writes into it."""
    start = time.process_time()

    assert fitted("a" * 300_000, 2, 200, 8).endswith("…")
    assert fitted("a " * 150_000, 2, 200, 8).endswith("…")
    assert time.process_time() - start < 10


def test_the_templates_only_print():
    for path in template_folder().glob("*.html"):
        for inner in re.findall(r"\{\{(.*?)\}\}|\{%(.*?)%\}", path.read_text()):
            code = "".join(inner).strip()
            assert not re.search(
                r"[-+*/|()]|\bor\b|\bdefault\b", code.replace('"cell.html"', "")
            ), code
