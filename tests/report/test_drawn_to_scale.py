"""Drawings measured with a ruler: their strokes against what the job states, by their scale bars.

What is expected comes from the job file and from the texts of the drawing; points for each metre
come from the scale bar and its number. Nothing of the code that draws is asked.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Callable, Iterator
from datetime import date
from functools import cache
from typing import Any

import pytest
from report.made import assessed, extreme, raw
from report.paper import METRES, POINT, Paper, Stroke, assert_readable
from support.demos import DAYS

from riskdoc.i18n.say import Locale, speaking
from riskdoc.report.drawings import Drawing
from riskdoc.report.drawings.anchor import anchors
from riskdoc.report.drawings.card import card_section
from riskdoc.report.drawings.checks import checks
from riskdoc.report.drawings.edge_front import edge_fronts
from riskdoc.report.drawings.fall import falls
from riskdoc.report.drawings.plan import plans
from riskdoc.report.drawings.rescue import rescues
from riskdoc.report.drawings.section import sections
from riskdoc.report.drawings.tension import tensions
from riskdoc.report.facts import Facts, facts_of

DEMOS = {**DAYS, "dam_b": date(2027, 6, 5), "wasserturm": date(2027, 4, 6)}
VOICES = {"en": Locale("en", "metric"), "de": Locale("de", "us")}
EVERY = [(name, "en") for name in DEMOS] + [("lighthouse", "de"), ("gorge", "de"), ("oak", "de")]
ROUNDED = 0.006
"""Half of the third digit: how far a printed number may be from what is drawn."""
FINE = 0.35
"""How far a stroke may be off, in points: a third of the thinnest rope."""


@cache
def facts(name: str, voice: str) -> Facts:
    with speaking(VOICES[voice]):
        return facts_of(assessed(raw(name), DEMOS[name]))


@cache
def drawn(name: str, voice: str) -> dict[str, tuple[Drawing, ...]]:
    with speaking(VOICES[voice]):
        return dict(_drawn(facts(name, voice)))


def _drawn(it: Facts) -> Iterator[tuple[str, tuple[Drawing, ...]]]:
    yield "section", sections(it)
    yield "plan", plans(it)
    yield "anchor", anchors(it)
    yield "front", edge_fronts(it)
    yield "fall", falls(it)
    yield "tension", tensions(it)
    bars = checks(it)
    yield "checks", (bars,) if bars else ()
    yield "rescue", rescues(it)
    yield "card", (card_section(it),)


def papers(name: str, voice: str, kind: str | None = None) -> list[Paper]:
    found = drawn(name, voice)
    return [Paper(each) for key, many in found.items() if kind in (None, key) for each in many]


@pytest.mark.parametrize(("name", "voice"), EVERY)
def test_every_text_can_be_read(name: str, voice: str) -> None:
    """Inside the sheet, 8 points or more, on no stroke and on no other text; nothing left out."""
    found = papers(name, voice)
    assert len(found) > 8
    for paper in found:
        assert_readable(paper)
        assert paper.drawing.width_mm == pytest.approx(paper.wide * POINT)
        assert paper.drawing.height_mm == pytest.approx(paper.high * POINT)


@pytest.mark.parametrize("name", DEMOS)
def test_no_label_of_a_demo_is_left_out(name: str) -> None:
    for paper in papers(name, "en"):
        assert "No room" not in paper.drawing.message, paper.drawing.title


@pytest.mark.parametrize(("name", "voice"), EVERY)
def test_scale_bars_are_as_long_as_the_stated_scale_says(name: str, voice: str) -> None:
    """A bar of so many metres is so long on paper, divided by the n of 1:n."""
    seen = 0
    for paper in papers(name, voice):
        bars = [each.own["data-view"] for each in paper.named("scale-bar")]
        if not bars:
            continue
        ratios = paper.ratio() or [float(paper.drawing.title.split("1:")[1])]
        stated = [1000 / ratio / POINT for ratio in ratios]
        for view in bars:
            seen += 1
            assert any(paper.scale(view) == pytest.approx(each, rel=0.005) for each in stated)
    assert seen > 4


@pytest.mark.parametrize(("name", "voice"), EVERY)
def test_dimension_lines_are_as_long_as_their_numbers(name: str, voice: str) -> None:
    seen = 0
    for paper in papers(name, voice):
        for line in paper.named("dimension"):
            view, said = line.own["data-view"], line.own["data-value"]
            found = re.search(r"([\d.]+)\s(m|ft)\b", said)
            if not view or found is None:
                continue
            seen += 1
            metres = float(found[1]) * METRES[found[2]]
            drawn = line.length / paper.scale(view)
            slack = FINE / paper.scale(view) + metres * ROUNDED
            assert drawn == pytest.approx(metres, abs=slack), (paper.drawing.title, said)
    assert seen >= 4


@pytest.mark.parametrize("name", DEMOS)
def test_each_part_of_a_rope_is_as_long_as_the_job_states(name: str) -> None:
    job = facts(name, "en").job
    (paper,) = papers(name, "en", "section")
    ropes = paper.named("rope", "main")
    assert {each.own["data-line"] for each in ropes} == set(job.lines)
    for rope in ropes:
        line = job.lines[rope.own["data-line"]]
        stated = [*(each.after.expected for each in line.over), line.below.expected]
        lengths = [math.dist(a, b) / paper.scale("main") for a, b in _pairs(rope)]
        for redirect in line.redirects:  # stands on the last part, which is in two then
            assert redirect.after.expected > sum(stated[:-1])
            lengths[-2:] = [sum(lengths[-2:])]
        assert lengths == pytest.approx(stated, abs=0.1 / paper.scale("main") * 10)


@pytest.mark.parametrize("name", DEMOS)
def test_ropes_bend_by_the_stated_angle_and_hang_straight_down(name: str) -> None:
    job = facts(name, "en").job
    (paper,) = papers(name, "en", "section")
    for rope in paper.named("rope", "main"):
        line = job.lines[rope.own["data-line"]]
        ways = [math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in _pairs(rope)]
        assert ways[-1] == pytest.approx(math.pi / 2, abs=1e-3)
        bends = [b - a for a, b in itertools.pairwise(ways)][: len(line.over)]
        stated = [job.edges[each.edge].turn.expected for each in line.over]
        # A part of a few points has its ends on hundredths of a point.
        assert bends == pytest.approx(stated, abs=0.02)


@pytest.mark.parametrize("name", ["lighthouse", "gorge"])
def test_legs_stand_at_their_stated_angles_and_forces_are_to_scale(name: str) -> None:
    job = facts(name, "en").job
    found = 0
    for paper, (_, anchor) in zip(papers(name, "en", "anchor"), job.anchors.items(), strict=True):
        (bar,) = paper.named("force-bar")
        label = next(each.said for each in paper.texts if each.said.startswith("force "))
        kilonewton = bar.length / float(label.split()[1])
        arrows = paper.named("force")
        for arrow in arrows:
            size = float(arrow.own["data-newton"]) / 1000
            assert arrow.length == pytest.approx(size * kilonewton, abs=0.05)
            printed = f"{_up(size)} kN"
            assert any(printed in each.said for each in paper.texts), printed
        if len(anchor.legs) == 2:
            found += 1
            turns = [math.atan2(a[1] - b[1], b[0] - a[0]) for a, b in map(_ends, arrows[:2])]
            stated = [math.pi / 2 + anchor.legs[0].angle.expected,  # type: ignore[union-attr]  # two legs state angles
                      math.pi / 2 - anchor.legs[1].angle.expected]  # type: ignore[union-attr]  # fmt: skip
            assert turns == pytest.approx(stated, abs=0.01)
    assert found == 1


def _up(size: float) -> str:
    """Three digits, the last one up."""
    places = 2 - math.floor(math.log10(size))
    return f"{math.ceil(size * 10**places - 1e-6) / 10**places:.{places}f}"


@pytest.mark.parametrize("name", ["lighthouse", "dam", "gorge"])
def test_the_zone_reaches_as_far_as_the_job_states(name: str) -> None:
    it = facts(name, "en").job
    (paper,) = papers(name, "en", "plan")
    (zone,) = paper.named("zone")
    ys = [y for _, y in zone.points]
    stated = next(site.zone.size.expected for site in it.sites.values() if site.zone)
    assert (max(ys) - min(ys)) / 2 / paper.scale("B") == pytest.approx(stated, rel=0.01)


def test_a_stated_distance_between_lines_is_drawn_and_no_longer_assumed() -> None:
    job = raw("dam")
    job["lines"]["safety"]["beside"] = "1.4 m"
    it = facts_of(assessed(job, DEMOS["dam"]))
    (paper,) = [Paper(each) for each in plans(it)]
    ropes = {each.own["data-line"]: each.points[0][0] for each in paper.named("rope", "A")}
    apart = (ropes["safety"] - ropes["working"]) / paper.scale("A")
    assert apart == pytest.approx(1.4, rel=0.01)
    assert "beside each other" not in paper.drawing.message
    (before,) = papers("dam", "en", "plan")
    assert "beside each other is not stated" in before.drawing.message


def test_side_guards_end_the_sweep_in_every_drawing() -> None:
    """Gorge: guards of the roller set of 300 mm end a sweep of 0.249 m at 150 mm."""
    (plan,) = papers("gorge", "en", "plan")
    assert any(each.said == "‘main_line’ sweeps ±0.150 m" for each in plan.texts)
    front = next(
        each for each in papers("gorge", "en", "front") if "lip_west" in each.drawing.title
    )
    middle = front.wide / 2
    ends = sorted(
        (each.points[1][0] - middle) / front.scale("front") for each in front.named("sweep")
    )
    assert ends == pytest.approx([-0.15, 0.15], abs=0.001)


def test_one_protector_under_two_lines_is_drawn_once() -> None:
    (plan,) = papers("lighthouse", "en", "plan")
    plates = [each for each in plan.texts if "plate" in each.said]
    assert len(plates) == 1


def test_sweeps_past_a_protector_are_the_finding() -> None:
    """Lighthouse, by hand: y = x a/(a + d) = 2.2 · 2.6/16.6 = 0.3446 m, less half of 500 mm."""
    first = drawn("lighthouse", "en")["front"][0]
    assert first.title == "Edge ‘coping’: line ‘working’ can swing 0.0946 m past the protector"


def test_a_job_of_long_names_and_many_edges_is_still_readable() -> None:
    it = facts_of(assessed(extreme()))
    for drawing in (d for _, many in _drawn(it) for d in many):
        assert_readable(Paper(drawing))


def _four_people(job: dict[str, Any]) -> None:
    job["loads"]["technician"] |= {"people": "4", "mass": "400 kg"}
    del job["loads"]["technician"]["who"]


def _eight_lines(job: dict[str, Any]) -> None:
    for n in range(6):
        job["ropes"][f"rope_{n}"] = dict(job["ropes"]["red"])
        job["lines"][f"line_{n}"] = {**job["lines"]["safety"], "rope": f"rope_{n}"}


def _redirect_back(job: dict[str, Any]) -> None:
    job["anchors"]["top"] = {"legs": [{"strength": "20 kN", "evidence": "tested"}]}
    job["lines"]["working"]["redirects"] = [
        {"anchor": "top", "turn": "180 deg", "after": "1 m", "over": "pulley"}
    ]


def _nothing_known(job: dict[str, Any]) -> None:
    for key in ("zone", "reach_sideways"):
        del job["sites"]["gallery"][key]
    for line in job["lines"].values():
        line.pop("passes")
    job["protection"]["plate"]["tied"] = "false"


def _short_drop(job: dict[str, Any]) -> None:
    for line in job["lines"].values():
        line["below"] = "1 m"
    job["sites"]["gallery"]["drop"] = "14 m"


@pytest.mark.parametrize(
    "change", [_four_people, _eight_lines, _redirect_back, _nothing_known, _short_drop]
)
def test_plans_unlike_the_demos_can_be_read_and_are_to_scale(
    change: Callable[[dict[str, Any]], None],
) -> None:
    job = raw("lighthouse")
    change(job)
    it = facts_of(assessed(job))
    for drawing in (d for _, many in _drawn(it) for d in many):
        assert_readable(Paper(drawing))
    line = it.job.lines["working"]
    for paper in map(Paper, sections(it)):
        for rope in paper.named("rope", "main"):
            if rope.own["data-line"] == "working":
                whole = sum(each.after.expected for each in line.over) + line.below.expected
                assert rope.length / paper.scale("main") == pytest.approx(whole, rel=0.01)


def _pairs(stroke: Stroke) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    return list(itertools.pairwise(stroke.points))


def _ends(stroke: Stroke) -> tuple[tuple[float, float], tuple[float, float]]:
    return stroke.points[0], stroke.points[-1]
