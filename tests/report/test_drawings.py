"""Drawings: labels never cover each other, nothing leaves the sheet, text is measured rightly."""

from __future__ import annotations

import itertools
import math
import re

import pytest
from fontTools.ttLib import TTFont
from report.drawn import assert_readable, parsed
from report.made import LONG, Made, assessed, long_id, raw

from riskdoc.report import labels, svg
from riskdoc.report.bars import bar
from riskdoc.report.edgeview import edge_view
from riskdoc.report.elevation import MOST_HIGH, elevation
from riskdoc.report.exposure_page import exposed
from riskdoc.report.facts import facts_of
from riskdoc.report.folder import template_folder
from riskdoc.report.geometry import course
from riskdoc.report.labels import Label
from riskdoc.report.matrixview import matrix_view
from riskdoc.report.profile import profile
from riskdoc.report.stack import clearance_stack
from riskdoc.report.svg import Box, Drawing
from riskdoc.report.text import clean, width, wrap


def drawings(made: Made) -> list[Drawing]:
    facts = facts_of(made.dossier)
    found = [elevation(facts, line) for line in facts.job.lines]
    for line, it in facts.job.lines.items():
        for draw_edge in (edge_view, exposed):
            found += [v for over in it.over if (v := draw_edge(facts, line, over.edge))]
    for draw in (profile, clearance_stack):
        found += [drawn for line in facts.job.lines if (drawn := draw(facts, line))]
    matrix = matrix_view(facts)
    return [*found, matrix] if matrix else found


def assert_sound(drawing: Drawing) -> None:
    for one, other in itertools.combinations(drawing.boxes, 2):
        assert not one.overlaps(other)
    for box in drawing.boxes:
        assert box.left >= 0
        assert box.right <= drawing.width
        assert box.top >= 0
        assert box.bottom <= drawing.height


def test_no_label_covers_another_or_leaves_the_sheet(made):
    found = drawings(made)
    assert found
    for drawing in found:
        assert drawing.boxes
        assert_sound(drawing)


def test_no_label_lies_on_a_stroke_or_under_a_fill(made):
    for drawing in drawings(made):
        assert_readable(drawing)


def test_each_drawing_has_a_title_a_text_and_ids_of_its_own(made):
    names = []
    for drawing in drawings(made):
        root = parsed(drawing)
        ids = [each.attrib["id"] for each in root.iter() if "id" in each.attrib]
        assert root.attrib["aria-labelledby"].split() == ids
        title, text = list(root)[:2]
        assert title.text == clean(drawing.title)
        assert (text.text or "").startswith(clean(drawing.text))
        assert drawing.text
        names += ids
    assert len(names) == len(set(names))
    assert not [id for id in names if f'id="{id}"' not in made.html]


def test_boxes_are_those_of_the_texts_in_the_drawing(made):
    for drawing in drawings(made):
        assert drawing.markup.count("<text") == len(drawing.boxes)


def test_a_drawing_fits_a_page_and_its_text_is_not_under_8_points(made):
    for drawing in drawings(made):
        assert drawing.width <= 178 / 25.4 * 72
        assert drawing.height <= 680
        sizes = {float(size) for size in re.findall(r'font-size="([\d.]+)"', drawing.markup)}
        assert min(sizes) >= 8


@pytest.mark.parametrize("count", [1, 2, 7, 30])
@pytest.mark.parametrize("name", ["a", LONG, "many words " * 20])
def test_labels_at_one_point_stand_apart(count, name):
    wanted = [Label(50, 100, f"{n} {name}", name) for n in range(count)]
    placed = labels.column(wanted, 236, 264, 4, 300)
    boxes = [box for part in placed.parts for box in part.boxes]
    for one, other in itertools.combinations(boxes, 2):
        assert not one.overlaps(other)
    assert all(box.right <= 500 and box.top >= 4 for box in boxes)
    assert max(box.bottom for box in boxes) <= placed.bottom + svg.LEADING


def test_too_many_labels_become_numbers_with_a_key():
    job = raw("lighthouse")
    del job["pictures"]
    edge = job["edges"].pop("coping")
    job["edges"] = {long_id(f"e{n}"): {**edge, "turn": "9 deg"} for n in range(9)}
    for line in job["lines"].values():
        line["over"] = [{"edge": name, "after": "1 m"} for name in job["edges"]]
        line["cases"] = ["lower"]
    for each in job["edges"].values():
        each["protection"] = "plate"
    facts = facts_of(assessed(job))
    drawing = elevation(facts, "working")
    assert drawing.height <= MOST_HIGH
    assert_sound(drawing)
    assert len(drawing.key) == 9 * 2 + 3
    assert any(long_id("e8") in title for _, title, _ in drawing.key)


def test_wrapped_text_is_whole_and_fits():
    text = f"{LONG} and then some words {LONG}"
    lines = wrap(text, 120, 8.5)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(width(line, 8.5) <= 120 for line in lines)


@pytest.mark.parametrize("weight", ["Regular", "SemiBold"])
def test_the_width_table_is_the_font(weight):
    font = TTFont(template_folder() / "fonts" / f"Inter-{weight}.woff2")
    em, names, metrics = font["head"].unitsPerEm, font.getBestCmap(), font["hmtx"]
    assert len(names) > 900
    for code, name in names.items():
        # The table holds the wider of a figure's two forms, so a text is never wider than said.
        assert width(chr(code), em, weight) >= metrics[name][0]
    for char in "×·−≤≥±√µμαβθ°→≈…–—’“”½¼⅓†‡∞□ⁿ²₀Πσφ":
        assert ord(char) in names, char


def test_the_licence_stands_beside_the_fonts_and_they_are_small():
    fonts = template_folder() / "fonts"
    assert "SIL OPEN FONT LICENSE" in (fonts / "OFL.txt").read_text()
    text = (fonts / "OFL.txt").read_text()
    named = {
        "Inter": "Inter:",
        "NotoSansSC": "Noto Sans SC",
        "NotoSansKR": "Noto Sans KR",
        "NotoSansArabic": "Noto Sans Arabic",
        "NotoSansHebrew": "Noto Sans Hebrew",
    }
    files = list(fonts.glob("*.woff2"))
    assert {path.name.partition("-")[0] for path in files} == set(named)
    assert all(words in text for words in named.values())
    # Han and Hangul are thousands of characters; a document takes in those it has.
    assert sum(path.stat().st_size for path in files) < 2_000_000


def test_a_course_keeps_its_turns_and_ends_straight_down():
    turns = [math.radians(35), math.radians(55)]
    shape = course([4, 3.5, 22], turns, 120, 205)
    assert shape.to_scale
    assert shape.directions[-1] == pytest.approx(math.pi / 2)
    assert shape.directions[0] == pytest.approx(0)
    (x1, y1), (x2, y2) = shape.points[-2:]
    (a, b), (c, d) = shape.points[:2]
    assert math.hypot(x2 - x1, y2 - y1) / math.hypot(c - a, d - b) == pytest.approx(22 / 4)


@pytest.mark.parametrize("lengths", [[0.0, 0.0], [0.0, 5.0], [0.001, 80.0], [1.0, 1.0]])
def test_a_course_of_any_lengths_stays_in_its_room(lengths):
    shape = course(lengths, [math.pi], 120, 205)
    for x, y in shape.points:
        assert -0.01 <= x <= 120.01
        assert -0.01 <= y <= 205.01


def test_boxes_that_only_touch_do_not_overlap():
    assert not Box(0, 0, 1, 1).overlaps(Box(1, 0, 2, 1))
    assert Box(0, 0, 2, 2).overlaps(Box(1, 1, 3, 3))


def test_the_bar_of_a_check_lies_on_the_side_its_verdict_says(made):
    for check in made.assessment.checks:
        drawn = bar(check)
        if check.ratio is None or not check.required:
            assert drawn == ""
            continue
        expected, need = (float(x) for x in re.findall(r'<line x1="([\d.]+)"', drawn))
        (middle,) = re.findall(r'x="([\d.]+)"[^>]*font-weight="600"[^>]*>([\d.]+)<', drawn)
        assert float(middle[0]) == pytest.approx(need, abs=0.01)
        assert check.required <= float(middle[1]) <= check.required * 1.01
        assert (expected >= need) == (check.ratio.expected >= check.required)
