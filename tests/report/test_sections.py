"""Sections 3, 4, 6, 7 and 11: falls, heat, hauling and fit stand where they are looked for."""

from __future__ import annotations

import re

import pytest
from report.made import LONG, WORDS, Made, assessed, made_of, raw
from report.test_drawings import assert_sound

from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.quantities.ranges import Range, Sensitivity
from riskdoc.report.blocks import Figure, Section, Table, View
from riskdoc.report.facts import facts_of
from riskdoc.report.profile import profile
from riskdoc.report.reasons import deciding, outlook
from riskdoc.report.stack import clearance_stack


def section(view: View, id: str) -> Section:
    return next(each for each in view.sections if each.id == id)


def tables(view: View, id: str) -> dict[str, dict[str, list[str]]]:
    """Every table of a section by caption; rows by heading, cells as words."""
    return {
        block.caption.replace("\u00a0", " "): {
            row.head.text: [_words(cell.text, str(cell.mark)) for cell in row.cells]
            for row in block.rows
        }
        for block in section(view, id).blocks
        if isinstance(block, Table)
    }


def _words(text: str, mark: str) -> str:
    plain = re.sub("<[^>]*>", " ", mark)
    return f"{text} {plain}".replace("\u2007", "").replace("\u2008", "").strip()


def said(view: View, id: str) -> str:
    blocks = section(view, id).blocks
    return " ".join(getattr(each, "text", "") for each in blocks).replace("\u00a0", " ")


def test_clearance_is_told_for_the_ground_and_every_ledge():
    made = made_of("dam")
    facts = facts_of(made.dossier)
    fall = facts.job.lines["safety"].fall
    assert fall is not None
    assert fall.clear is not None
    rows = tables(made.view, "falls")["Line safety: clearance below the attachment point"]
    needed = facts.figures["line/safety/clearance/needed"].range.high
    stated = {"clear height": fall.clear, **{each.name: each.below for each in fall.ledges}}
    assert set(rows) == {*stated, "at the lowest place"}
    for name, height in stated.items():
        _, available, _, _, most, left, _ = rows[name]
        assert float(available) <= height.low < float(available) * 1.01
        assert float(most) >= needed > float(most) * 0.99
        assert float(left.replace("−", "-")) == pytest.approx(height.low - needed, abs=0.01)
        assert float(left.replace("−", "-")) <= height.low - needed
    lowest = facts.figures["line/safety/clearance/needed_at_lowest"].range.high
    clear = facts.job.sites["gate"].clear_below
    assert clear is not None
    _, available, _, _, most, left, verdict = rows["at the lowest place"]
    assert (available, float(most) >= lowest) == ("9.50", True)
    assert float(left) == pytest.approx(clear.low - lowest, abs=0.01)
    # 9.5 m less 7.8 m against 9 m less 7.5 m: least is left over at the place of work.
    assert verdict == "–"
    assert rows["clear height"][-1] == facts.checks["line/safety/clearance"].verdict.value
    sill = facts.checks["line/safety/clearance/ledges"]
    assert rows[fall.ledges[0].name][-1] == sill.verdict.value


def test_a_safety_line_without_a_stated_fall_is_not_demonstrated():
    made = made_of("bare")
    found = tables(made.view, "falls")
    assert found["Line safety: clearance below the attachment point"]["clear height"] == [
        "m", "not demonstrated", "–", "not demonstrated", "–", "–", "not demonstrated",
    ]  # fmt: skip
    assert "cannot be drawn, so it is not demonstrated" in said(made.view, "falls")
    assert clearance_stack(facts_of(made.dossier), "safety") is None


def test_every_arresting_line_has_its_stack_with_every_height_stated(made):
    facts = facts_of(made.dossier)
    titles = [b.title for b in section(made.view, "falls").blocks if isinstance(b, Figure)]
    for line, it in facts.job.lines.items():
        drawing = clearance_stack(facts, line)
        assert (drawing is not None) == (f"line/{line}/clearance/needed" in facts.figures)
        if drawing is None or it.fall is None:
            continue
        assert drawing.title.replace("\u00a0", " ") in [t.replace("\u00a0", " ") for t in titles]
        heights = len(it.fall.ledges) + (it.fall.clear is not None)
        assert drawing.markup.count("stroke-dasharray") == heights


def _stacked(**fall: object) -> str:
    job = raw("lighthouse")
    job["sites"]["gallery"]["drop"] = "120 m"
    job["lines"]["safety"]["fall"] = {"free": "0.6 m", **fall}
    for rope in job["ropes"].values():
        rope["length"] = "200 m"
    drawing = clearance_stack(facts_of(assessed(job)), "safety")
    assert drawing is not None
    return str(drawing.markup)


def test_the_stack_is_to_scale():
    drawn = _stacked(clear="6 m")
    highs = [float(h) for h in re.findall(r'<rect [^>]*?height="([\d.]+)"', drawn)]
    # No slip: free fall, stretch, 1.5 m to the feet, 1 m to spare.
    assert len(highs) == 4
    assert highs[2] / highs[0] == pytest.approx(1.5 / 0.6, rel=0.01)
    assert highs[3] / highs[0] == pytest.approx(1.0 / 0.6, rel=0.01)
    top = float(re.findall(r'<rect [^>]*?y="([\d.]+)"', drawn)[0])
    mark = float(re.findall(r'<line [^>]*?y1="([\d.]+)"[^>]*dasharray', drawn)[0])
    assert (mark - top) / highs[0] == pytest.approx(6 / 0.6, rel=0.01)


def test_a_height_far_below_is_said_to_be_deeper_than_drawn():
    assert "deeper than drawn" in _stacked(clear="90 m")
    assert "deeper than drawn" not in _stacked(clear="6 m")


def test_many_ledges_of_long_names_get_numbers_and_the_nearest_are_drawn():
    job = raw("lighthouse")
    ledges = [{"name": f"{n} {LONG} {WORDS}", "below": f"{n + 1} m"} for n in range(20)]
    job["lines"]["safety"]["fall"] = {"free": "0.6 m", "ledges": ledges}
    drawing = clearance_stack(facts_of(assessed(job)), "safety")
    assert drawing is not None
    assert drawing.height <= 680
    assert_sound(drawing)
    assert "nearest 12 of 20" in drawing.text
    names = [name for _, name, _ in drawing.key]
    assert [any(name.startswith(f"{n} {LONG}") for name in names) for n in (0, 11, 12)] == [
        True,
        True,
        False,
    ]


def test_no_stated_height_is_said_under_the_stack():
    assert "No clear height and no ledge is stated" in _stacked()


def test_what_is_not_computed_is_said_in_one_line():
    bare = said(made_of("bare").view, "falls")
    assert "wind not demonstrated, no wind is stated;" in bare
    assert "swing not demonstrated, no reach to the side is stated" in bare
    assert "no stretch of rope ‘red’ is stated" in bare


def test_the_haul_is_told_with_its_team():
    made = made_of("oak")
    facts = facts_of(made.dossier)
    haul, rescue = facts.job.lines["climbing"].haul, facts.job.lines["climbing"].rescue
    assert haul is not None
    assert rescue is not None
    found = tables(made.view, "rescue")
    how = {"raise": "raised", "lower": "lowered"}[rescue.how]
    rows = found[f"Line climbing: rescue, {rescue.load} {how}; haul"]
    # More advantage is safer, so it is printed down; all else that is asked of the team goes up.
    advantage = facts.figures["line/climbing/haul/advantage"].range
    assert float(rows["Advantage with friction"][2]) <= advantage.expected
    for name, id in (
        ("Effort of the team", "effort"),
        (f"Haulers needed, {haul.haulers} stated", "team"),
        ("Tension when the load snags (jam)", "jam"),
    ):
        figure = facts.figures[f"line/climbing/haul/{id}"]
        factor = 1e-3 if figure.unit == "N" else 1
        assert float(rows[name][3]) >= figure.range.high * factor
    team = facts.checks["line/climbing/haul/team"]
    assert rows["Effort of the team"][-1] == team.verdict.value
    # 225 N a hauler.
    most = float(rows["Effort of the team"][4].removeprefix("≤ "))
    assert 0.99 * 0.225 * haul.haulers < most <= 0.225 * haul.haulers + 1e-9
    assert any(name.startswith("Exposure at fork, running (rescue)") for name in rows)
    decided = found["Line climbing: checks that the rescue or the jam decides"]
    assert "Team on the haul" in decided


def test_no_rescue_load_and_no_haul_are_said():
    text = said(made_of("bare").view, "rescue")
    assert "Rescue load: not demonstrated" in text
    assert "No hauling system is stated" in text


def test_the_kit_says_whether_it_goes_together(made):
    rows = [
        (row.head.text, row.head.small)
        for block in section(made.view, "kit").blocks
        if isinstance(block, Table) and block.caption == "Whether it goes together"
        for row in block.rows
    ]
    for id, check in facts_of(made.dossier).checks.items():
        if re.match(r"line/[^/]+/(device|rope_length|chemicals|paired)\b", id):
            assert (str(check.title), check.subject) in [
                (name.replace("\u00a0", " "), of) for name, of in rows
            ]


def test_the_greatest_tension_is_always_drawn(made: Made):
    facts = facts_of(made.dossier)
    for line in facts.job.lines:
        drawing = profile(facts, line)
        assert drawing is not None
        greatest = facts.greatest(f"line/{line}/tension/")
        assert greatest is not None
        case = greatest.id.rsplit("/", maxsplit=1)[-1]
        assert f">{case}</text>" in drawing.markup
        left = drawing.text.partition("only in the table: ")[2]
        assert not {"hold", "raise", "lower", case} & set(left.rstrip(".").split(", "))


def _check(verdict: Verdict, ratio: Range, *decides: Sensitivity) -> Check:
    return Check(
        "x", "x", "x", verdict, "", "", None, None, ratio, 2.0, "N", "", decides=decides
    )  # fmt: skip


def test_inputs_that_decide_stand_with_the_ratio_at_both_ends():
    one, two = Sensitivity("a", "mass", 2.567, 1.0), Sensitivity("b", "wear", 1.2, 1.9)
    check = _check(Verdict.INADEQUATE, Range(0.5, 1.5, 3.0), one, two)
    assert deciding(check) == "mass: 2.56, 1.00; wear: 1.20, 1.90"
    assert outlook(check) == "At its better end this alone meets what is required: mass."
    only = _check(Verdict.INADEQUATE, Range(0.5, 1.5, 1.9), two)
    assert outlook(only) == "None of these alone lifts it to what is required."
    assert outlook(_check(Verdict.INADEQUATE, Range(1, 1, 1))).startswith("No input has a range")


def test_a_borderline_check_says_what_alone_makes_it_fall_short():
    worse, fine = Sensitivity("a", "mass", 2.5, 1.9), Sensitivity("b", "wear", 2.1, 2.2)
    check = _check(Verdict.BORDERLINE, Range(1.8, 2.15, 3.0), worse, fine)
    assert outlook(check) == "At its worse end this alone makes it fall short: mass."
    several = _check(Verdict.BORDERLINE, Range(1.8, 2.15, 3.0), fine)
    assert outlook(several) == "None of these alone makes it fall short; several together do."
    assert outlook(_check(Verdict.ADEQUATE, Range(2.1, 2.2, 2.3), fine)) == ""


def test_the_decision_page_has_clearance_jam_and_team(made):
    listed = tables(made.view, "decision")
    rows = [name for caption, each in listed.items() if caption.startswith("Line") for name in each]
    names = " ".join(rows)
    for id in facts_of(made.dossier).figures:
        for end, words in (
            ("clearance/needed", "Clearance needed"),
            ("haul/jam", "Tension when the load snags (jam)"),
            ("haul/effort", "Effort of the team"),
            ("haul/team", "Haulers needed"),
        ):
            assert not id.endswith(end) or words in names


def printed(view: View, id: str) -> str:
    """Everything a section prints: paragraphs, captions and cells."""
    found = [said(view, id)]
    for block in section(view, id).blocks:
        if isinstance(block, Table):
            found.append(block.caption)
            for row in block.rows:
                found += [f"{cell.text} {cell.small}" for cell in (row.head, *row.cells)]
    return " ".join(found).replace("\u2060", "").replace("\u200b", "").replace("\u00a0", " ")


def test_alternatives_stand_beside_the_plan():
    text = printed(made_of("lighthouse").view, "hazards")

    assert "Alternatives the job states" in text
    assert "new stiff 11 mm rope on the working line" in text
    assert "Alternatives the job states" not in printed(made_of("oak").view, "hazards")


def test_every_hazard_stands_with_why_and_controls(made):
    text = printed(made.view, "hazards")
    for hazard in made.dossier.register.hazards:
        assert f"{hazard.title}." in text
        for sentences in hazard.controls.values():
            assert all(each in text for each in sentences)
    fatal = sum(each.fatal for each in made.dossier.register.hazards)
    assert text.count("Can kill.") == fatal


def test_every_item_of_the_set_stands_with_its_answer(made):
    text = printed(made.view, "requirements")
    for each in made.dossier.judged.answers:
        assert each.item.asks in text
        assert each.item.clause in text
    assert made.dossier.judged.sentence in text
