"""Elevation and tension profile: places in order, redirects, lengths to scale, extremes."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace
from typing import Any

import pytest
from report.drawn import Shape, assert_readable, shapes, texts, through
from report.made import DAYS, LONG, assessed, drawn_of, extreme, long_id, made_of, raw

from riskdoc.report import along
from riskdoc.report.elevation import elevation
from riskdoc.report.facts import Facts, facts_of
from riskdoc.report.geometry import APART, course
from riskdoc.report.label_placement import Canvas
from riskdoc.report.profile import _MARKS, _STROKES, HIGH, LEFT, TOP, WIDE, profile
from riskdoc.report.svg import Box, Drawing, picture, words
from riskdoc.report.svg import line as stroke


def many_edges(count: int, turn: str) -> dict[str, Any]:
    job = raw("lighthouse")
    del job["pictures"]  # they show the edge that goes
    edge = job["edges"].pop("coping")
    job["edges"] = {long_id(f"e{n}"): {**edge, "turn": turn} for n in range(count)}
    for line in job["lines"].values():
        line["over"] = [
            {"edge": e, "after": f"{0.5 + n % 3} m"} for n, e in enumerate(job["edges"])
        ]
        line["cases"] = ["lower"]
    for rope in job["ropes"].values():
        rope["length"] = "900 m"
    del job["alternatives"]
    return job


def sixty(turn: float) -> Facts:
    """The lighthouse with sixty edges on its working line; tensions are those of one edge."""
    facts = facts_of(made_of("lighthouse").dossier)
    job, line = facts.job, facts.job.lines["working"]
    edge, over = job.edges["coping"], line.over[0]
    bent = replace(edge.turn, low=turn, expected=turn, high=turn)
    names = [long_id(f"e{n}") for n in range(60)]
    edges = {name: edge.model_copy(update={"turn": bent}) for name in names}
    lines = {
        **job.lines,
        "working": line.model_copy(
            update={"over": tuple(over.model_copy(update={"edge": name}) for name in names)}
        ),
    }
    job = job.model_copy(update={"edges": {**job.edges, **edges}, "lines": lines})
    study = facts.dossier.study
    plan = replace(study.plan, file=replace(study.plan.file, job=job))
    tension = facts.figures["line/working/tension/edge:coping:below/hold"]
    more = {f"line/working/tension/edge:{name}:below/hold": tension for name in names}
    dossier = replace(facts.dossier, study=replace(study, plan=plan))
    return Facts(dossier, {**facts.figures, **more}, facts.checks, facts.standing, facts.references)


def deviated(*redirects: dict[str, str]) -> Facts:
    job = raw("dam")
    job["lines"]["working"]["redirects"] = [
        {"anchor": "gate_lug", "over": "pulley", **each} for each in redirects
    ]
    return facts_of(assessed(job, DAYS["dam"]))


def rope(drawing: Drawing) -> Shape:
    """The rope: the thick black stroke that bends."""
    (found,) = [
        each
        for each in shapes(drawing)
        if each.name == "polyline" and each.attributes["stroke-width"] in {"1.6", "2.4"}
        and "stroke-dasharray" not in each.attributes
        and each.attributes.get("stroke-linejoin") == "round"
    ]  # fmt: skip
    return found


def bends(points: tuple[tuple[float, float], ...]) -> list[float]:
    ways = [math.atan2(d - b, c - a) for (a, b), (c, d) in itertools.pairwise(points)]
    return [math.degrees(after - before) for before, after in itertools.pairwise(ways)]


def test_the_checker_sees_a_stroke_through_a_text():
    said = words(50, 50, "rope")
    crossing = stroke(55, 40, 60, 60)
    drawing = Drawing(
        picture([type(said)(said.markup + crossing), said], 200, 100, "x", "x", "x"),
        "x", "x", 200, 100, (),
    )  # fmt: skip
    with pytest.raises(AssertionError):
        assert_readable(drawing)


def test_places_stand_in_order_along_the_rope():
    # The dam's line: 3 m to the crest, 48 m below it; redirects at 20 m, 2 m and 51 m.
    facts = deviated(
        {"turn": "12 deg", "after": "20 m"},
        {"turn": "5 deg", "after": "2 m"},
        {"turn": "7 deg", "after": "3 m"},
    )
    places = along.nodes(facts.job, "working")
    assert [(p.kind, p.index, p.at) for p in places] == [
        ("anchor", 0, 0.0), ("redirect", 1, 2.0), ("edge", 0, 3.0), ("redirect", 2, 3.0),
        ("redirect", 0, 20.0), ("load", 0, 51.0),
    ]  # fmt: skip
    assert along.lengths(places) == pytest.approx([2, 1, 0, 17, 31])
    assert sum(along.lengths(places)) == pytest.approx(51)
    stations = [along.station(facts.job, "working", place, "below") for place in places[:-1]]
    assert stations == [
        "anchor", "redirect:2:below", "edge:crest_west:below", "redirect:3:below",
        "redirect:1:below",
    ]  # fmt: skip


def test_a_redirect_is_drawn_with_its_turn_its_anchor_and_its_pull():
    drawing = elevation(facts_of(drawn_of("dam")), "working")
    points = rope(drawing).points
    assert bends(points) == pytest.approx([90, 12], abs=0.5)
    x, y = points[2]
    # Both strands pull to the inside of the bend; the sling holds on the outside, at half way.
    (sling,) = [s for s in shapes(drawing) if s.attributes.get("stroke-dasharray") == "3 1.5"]
    (_, _), (ex, ey) = sling.points
    assert math.degrees(math.atan2(ey - y, ex - x)) == pytest.approx(90 - 6 - 90, abs=0.5)
    said = " ".join(each.said for each in texts(drawing)).replace("\u00a0", " ")
    assert "Redirect 1 at gate_lug pulley, turn 12 deg, 20 m along the rope" in said
    assert "pull on it at most 0.569 kN" in said
    assert_readable(drawing)


@pytest.mark.parametrize("after", ["0 m", "3 m", "50.9 m"])
@pytest.mark.parametrize("turn", ["0 deg", "90 deg", "180 deg"])
def test_a_redirect_anywhere_with_any_turn_can_be_read(after, turn):
    drawing = elevation(deviated({"turn": turn, "after": after}), "working")
    assert_readable(drawing)
    numbers = [each.said for each in texts(drawing) if each.said in {"1", "2", "3", "4"}]
    # Each number twice: in the drawing and before what is said of its place.
    assert sorted(numbers) == sorted("1234" * 2)


def test_lengths_and_the_clearance_below_share_one_scale():
    facts = facts_of(drawn_of("gorge"))
    drawing = elevation(facts, "backup_line")
    assert "Angles and lengths to scale." in drawing.text
    points = rope(drawing).points
    long = [math.dist(*pair) for pair in itertools.pairwise(points)]
    assert [each / long[0] for each in long] == pytest.approx([1, 3.5 / 5, 22 / 5], rel=0.01)
    needed = facts.figures["line/backup_line/clearance/needed"].range.high
    (foot,) = [s for s in shapes(drawing) if s.attributes.get("stroke-width") == "2.4"]
    depth = foot.points[0][1] - points[-1][1]
    assert depth / long[2] == pytest.approx(needed / 22, rel=0.01)
    (clear,) = [s for s in shapes(drawing) if s.attributes.get("stroke-dasharray") == "6 3"]
    assert (clear.points[0][1] - points[-1][1]) / depth == pytest.approx(6 / needed, rel=0.01)


def test_strands_that_run_back_beside_each_other_are_drawn_apart():
    shape = course([4, 6], [math.pi], 120, 205)
    (_, top), (_, _), (_, foot) = shape.points
    assert shape.starts[1][0] - shape.points[1][0] == pytest.approx(APART)
    assert shape.points[0][0] == pytest.approx(shape.points[1][0])
    assert shape.points[2][0] == pytest.approx(shape.starts[1][0])
    assert (foot - shape.starts[1][1]) / (top - shape.points[1][1]) == pytest.approx(6 / 4)


@pytest.mark.parametrize(("count", "turn"), [(9, "20 deg"), (9, "179 deg")])
def test_many_edges_are_all_numbered_and_can_be_read(count, turn):
    facts = facts_of(assessed(many_edges(count, turn)))
    for line in facts.job.lines:
        drawing = elevation(facts, line)
        assert_readable(drawing)
        said = {each.said for each in texts(drawing)}
        assert {str(n) for n in range(1, count + 3)} <= said
        assert drawing.key
        other = profile(facts, line)
        assert other is not None
        assert_readable(other)


@pytest.mark.parametrize("turn", [0.0, 1.5, 20.0, 180.0])
def test_sixty_edges_fit_a_page_and_can_be_read(turn):
    facts = sixty(math.radians(turn))
    for drawing in (elevation(facts, "working"), profile(facts, "working")):
        assert drawing is not None
        assert_readable(drawing)
        assert drawing.height <= 680
        numbers = {str(n) for n in range(1, 63)}
        assert numbers <= {number for number, _, _ in drawing.key}
        assert any(long_id("e59") in title for _, title, _ in drawing.key)
    drawing = elevation(facts, "working")
    # 62 places and at most 16 numbers: every fourth, and the load.
    wanted = [*range(1, 62, 4), 62]
    assert f"Numbered in the drawing: {', '.join(map(str, wanted))}." in drawing.text
    lost = re.findall(r"\d+", drawing.text.partition("No room in the drawing")[2])
    shown = [each.said for each in texts(drawing) if each.said.isdigit()]
    assert sorted([*shown, *lost], key=int) == [str(n) for n in wanted]
    assert not lost or turn == 180


def test_sixty_labels_at_one_point_find_room_or_none():
    canvas = Canvas(Box(0, 0, 232, 300))
    canvas.stroke([(10, 150), (220, 150)], 2)
    boxes = []
    for _ in range(60):
        spot = canvas.place((116, 150), 15, 15)
        if spot is None:
            continue
        boxes.append(Box(spot.x - 7.5, spot.y - 7.5, spot.x + 7.5, spot.y + 7.5))
        if spot.leader:
            assert not [b for b in boxes[:-1] if through(*spot.leader, b)]
    assert len(boxes) >= 6
    for one, other in itertools.combinations(boxes, 2):
        assert not one.overlaps(other)
    for box in boxes:
        assert box.left >= 0
        assert box.right <= 232
        assert not through((10, 150), (220, 150), box)
    assert Canvas(Box(0, 0, 10, 10)).place((5, 5), 15, 15) is None


def test_a_crowd_on_the_line_stays_on_the_sheet():
    job = raw("lighthouse")
    for load in job["loads"].values():
        load["people"] = "4"
        load.pop("who", None)
    for line in job["lines"].values():
        line.pop("rescue", None)
    facts = facts_of(assessed(job))
    assert_readable(elevation(facts, "working"))


def steps(drawing: Drawing, case: str) -> Shape:
    dash, thick = _STROKES[case]
    (found,) = [
        each
        for each in shapes(drawing)
        if each.name == "polyline" and each.attributes.get("stroke-dasharray") == dash
        and float(each.attributes["stroke-width"]) == thick
    ]  # fmt: skip
    return found


@pytest.mark.parametrize("line", ["main_line", "backup_line"])
def test_the_profile_is_to_scale_along_the_rope_and_upward(line):
    facts = facts_of(drawn_of("gorge"))
    drawing = profile(facts, line)
    assert drawing is not None
    assert "Lengths to scale." in drawing.text
    first = {"main_line": 4.0, "backup_line": 5.0}[line]
    whole = first + 3.5 + 22
    edges = [over.edge for over in facts.job.lines[line].over]
    stations = ["anchor", *(f"edge:{edge}:below" for edge in edges)]
    tops = []
    for case in ("hold", "raise", "lower"):
        points = steps(drawing, case).points
        ends = [x for x, _ in points[1::2]]
        assert ends == pytest.approx(
            [LEFT + WIDE * each / whole for each in (first, first + 3.5, whole)], abs=0.02
        )
        for station, (_, y) in zip(stations, points[::2], strict=True):
            tension = facts.figures[f"line/{line}/tension/{station}/{case}"].range.high
            tops.append(tension / (TOP + HIGH - y))
    # Every height stands for the same tension a point.
    assert tops == pytest.approx([tops[0]] * len(tops), rel=2e-3)


def test_the_profile_says_what_is_not_done_and_what_is_compressed():
    drawing = profile(facts_of(drawn_of("dam")), "working")
    assert drawing is not None
    assert "Lengths drawn closer to each other than they are." in drawing.text
    assert "Not done with this line, so not computed: raise, lower." in drawing.text
    said = [each.said for each in texts(drawing)]
    assert [each for each in said if each.startswith("3: Redirect 1 at gate_lug")]


def test_the_steps_of_the_scale_are_numbered_as_they_stand():
    for dossier in (drawn_of("gorge"), drawn_of("dam"), assessed(extreme())):
        facts = facts_of(dossier)
        for line in facts.job.lines:
            drawing = profile(facts, line)
            assert drawing is not None
            ticks = [
                (float(t.said), (t.box.top + t.box.bottom) / 2)
                for t in texts(drawing)
                if t.box.right < LEFT and t.said[0].isdigit()
            ]
            assert 3 <= len(ticks) <= 9
            rise = {round((a - c) / (d - b), 6) for (a, b), (c, d) in itertools.pairwise(ticks)}
            assert max(rise) == pytest.approx(min(rise), rel=2e-3)
            most = max(
                e.range.high for id, e in facts.figures.items()
                if id.startswith(f"line/{line}/tension/")
            )  # fmt: skip
            assert ticks[-1][0] * 1000 >= most * (1 - 1e-9)


def test_cases_differ_without_colour():
    assert len(set(_STROKES.values())) == len(_STROKES)
    assert set(_MARKS) == set(_STROKES)
    looks = [(tuple(corners), fill) for corners, fill in _MARKS.values()]
    assert len(set(looks)) == len(looks)


def test_the_longest_names_are_whole_in_the_profile():
    facts = facts_of(made_of("extreme").dossier)
    line = next(iter(facts.job.lines))
    drawing = profile(facts, line)
    assert drawing is not None
    said = "".join(each.said for each in texts(drawing)).replace(" ", "")
    assert all(over.edge in said for over in facts.job.lines[line].over)
    assert LONG not in said
