"""Working limits, the smallest set of changes, alternatives and comparisons, on whole jobs."""

from __future__ import annotations

import copy
import dataclasses
import io
import math
from collections.abc import Iterator

import pandas as pd
import pytest
from support.demos import DAYS, JOBS
from support.plan import BASE, COPING, PAD, PLATE, ROPE, assessed, job_of, merged, over_edges

from riskdoc.assess import assess as assess_module
from riskdoc.assess.assess import assess
from riskdoc.assess.records import Assessment, Check, Verdict
from riskdoc.controls import study as study_module
from riskdoc.controls.buys import applicable
from riskdoc.controls.compare import compare, to_csv, to_xlsx, ways_of
from riskdoc.controls.limits import Knob, Limit, knobs, limits
from riskdoc.controls.sets import Search
from riskdoc.controls.study import Study, studied
from riskdoc.controls.variants import Variants, touched
from riskdoc.job.consistency import contradictions
from riskdoc.job.reading import JobFile, read, read_text
from riskdoc.report import build
from riskdoc.requirements.dossier import dossier


def demo(name: str) -> JobFile:
    file = read(JOBS / f"{name}.yaml", DAYS[name]).file
    assert file is not None
    return file


@pytest.fixture(scope="module", params=list(DAYS))
def done(request: pytest.FixtureRequest) -> Study:
    return studied(demo(request.param))


def failing(knob: Knob, file: JobFile, value: float, aside: tuple[str, ...]) -> set[str]:
    """Checks that stand against the plan at a value, assessed anew and whole; `aside` left out.

    A job that contradicts itself, or that an equation refuses, fails by that.
    """
    job = knob.at(value)
    if next(iter(contradictions(job, file.on)), None) is not None:
        return {"contradiction"}
    try:
        found = assess(dataclasses.replace(file, job=job))
    except ValueError:
        return {"equation"}
    return {c.id for c in found.stops if c.id not in aside} | {
        finding.id for finding in found.findings if finding.id.endswith("/no_swing")
    }


def each_limit(study: Study) -> Iterator[tuple[Knob, Limit, JobFile]]:
    """Limits of the plan as written and of the plan with its proposal, with what turns them."""
    files = [(study.plan.file, study.limits)]
    if study.proposal.buy is not None:
        job = study.proposal.buy.job
        files.append((dataclasses.replace(study.plan.file, job=job), study.mended))
    for file, found in files:
        by_id = {limit.id: limit for limit in found}
        for knob in knobs(file):
            yield knob, by_id[knob.id], file


def test_at_a_limit_the_job_is_adequate_and_one_step_beyond_it_is_not(done):
    """The limit is asked of a whole new assessment, not of the one that found it."""
    told = 0
    for knob, limit, file in each_limit(done):
        if limit.greatest is None:
            continue
        told += 1
        assert failing(knob, file, limit.greatest, limit.aside) == set(), limit.id
        if limit.greatest < limit.tried[1]:
            beyond = round(limit.greatest + limit.step, 9)
            assert failing(knob, file, beyond, limit.aside), limit.id
        if limit.least is not None and limit.least > limit.tried[0]:
            assert failing(knob, file, limit.least - limit.step, limit.aside), limit.id
    assert told >= 2


def test_every_kind_of_limit_is_found_on_the_demos():
    kinds = {knob.kind for name in DAYS for knob in knobs(demo(name))}

    assert kinds == {"mass", "reach", "wind", "passes", "haulers", "free fall"}


def test_where_no_limit_is_found_nothing_holds_at_either_end_nor_as_planned(done):
    for knob, limit, file in each_limit(done):
        if limit.greatest is not None:
            continue
        low, high = limit.tried
        values = {low, high, max(low, math.floor(limit.stated[1] / limit.step) * limit.step)}
        assert all(failing(knob, file, value, limit.aside) for value in values), limit.id
        assert limit.set_by is not None or limit.beyond


def test_a_limit_is_a_whole_number_of_steps(done):
    for limit in (*done.limits, *done.mended):
        if limit.greatest is not None:
            steps = limit.greatest / limit.step
            assert math.isclose(steps, round(steps), abs_tol=1e-6)


@pytest.mark.parametrize(
    ("stated", "unit", "words"),
    [
        ((160.0, 160.0), "kg", "160 kg"),
        ((100.0, 100.0), "1", "100"),
        ((0.6, 2.0), "m", "0.6 m to 2 m"),
    ],
)
def test_the_plans_own_value_is_printed_whole(stated, unit, words):
    found = limits(demo("lighthouse"), Variants(demo("lighthouse")))
    limit = dataclasses.replace(found[0], stated=stated, unit=unit)

    assert limit.planned == words


def limit_of(plan: Assessment, id: str) -> Limit:
    return next(each for each in limits(plan.file, Variants(plan.file)) if each.id == id)


def test_the_greatest_mass_is_that_of_ten_to_one_by_hand():
    """Rated margin 10:1: 22 kN / 10 = 2.2 kN; over 9.80665 m/s² that is 224.3 kg, less 18 kg of kit
    206.3 kg, down to a step of 5 kg: 205 kg. The fall is short and slips at 2.5 kN."""
    slipping = {
        "devices": {"backup": {
            "kind": "back-up device", "diameter_from": "10 mm", "diameter_to": "12 mm",
            "standards": ["EN 1891 type A"], "slip": "4 kN",
        }},
        "lines": {"safety": {"devices": ["backup"], "fall": {"free": "0 m", "clear": "8 m"}}},
    }  # fmt: skip
    weak = {"ropes": {"main": {"strength": "22 kN"}, "second": {"strength": "60 kN"}},
            "anchors": {name: {"legs": [{"strength": "60 kN", "evidence": "tested"}]}
                        for name in ("one", "two")},
            "loads": {"worker": {"heavy": "one heavy person after another, by name"}}}  # fmt: skip
    by_hand = math.floor((22_000 / 10 / 9.80665 - 18) / 5) * 5
    found = limit_of(assessed(slipping, weak), "limit/mass/worker")

    assert by_hand == 205
    assert found.greatest == by_hand
    assert found.set_by is not None
    assert found.set_by.id == "line/working/margin/rated"


def test_haulers_have_a_least_and_a_greatest():
    """One pulls 225 N. To raise 98 kg through a 3:1 with sheaves of 1.0 takes 480 N
    at worst (1.5 · 98 g / 3): three people. No edge takes part."""
    hauled = {
        "lines": {"working": {
            "cases": ["raise"],
            "haul": {"stages": [{"strands": "3", "ends": "moving"}], "haulers": "3",
                     "efficiency": "1"},
        }},
        "people": {f"hand{n}": {**BASE["people"]["third"], "name": f"Hand {n}"} for n in range(4)},
    }  # fmt: skip
    dynamic = 1.5  # raise, at the high end
    need = math.ceil(98 * 9.80665 * dynamic / 3 / 225)
    found = limit_of(assessed(hauled), "limit/haulers/working")

    assert found.least == need
    assert found.greatest is not None
    assert found.greatest >= 3
    # Seven are named, and one of them hangs there.
    assert found.greatest == 7 - 1
    assert found.set_by is not None
    assert found.set_by.id == "line/working/haul/crew"


PAIR_PLAN = merged(
    over_edges(
        edge={**COPING, "radius": "2 mm"}, protector={**PLATE, "width": "100 mm", "tied": "false"}
    ),
    {"sites": {"wall": {"reach_sideways": "2 m"}},
     "lines": {"working": {"passes": "4"}, "safety": {"passes": "1"}}},
)  # fmt: skip


def only(search: Search, *kinds: str) -> Search:
    """The search with the changes of these kinds alone."""
    search.changes = tuple(c for c in search.changes if c.id in kinds)
    job = search.plan.file.job
    search._touches = [touched(job, c.apply(job), search.plan.file) for c in search.changes]
    search._tried.clear()
    return search


def test_where_only_one_pair_works_that_pair_is_found():
    """Both lines lie on a bare blade beside a loose plate: each needs its own plate tied."""
    plan = assessed(PAIR_PLAN)
    stops = {check.id.split("/")[1] for check in plan.stops}
    search = Search(plan, Variants(plan.file))
    clean = [
        {change.id for change in pair} for pair in _pairs(search) if not _stops_with(plan, pair)
    ]
    found = search.smallest()

    assert stops == {"working", "safety"}
    assert not any(not _stops_with(plan, (change,)) for change in search.changes)
    assert clean
    assert found.buy is not None
    assert found.left == ()
    assert {change.id for change in found.buy.changes} in clean


def _pairs(search: Search) -> Iterator[tuple]:
    changes = search.changes
    for i, first in enumerate(changes):
        for second in changes[i + 1 :]:
            if not set(first.parts) & set(second.parts):
                yield first, second


def _stops_with(plan: Assessment, changes: tuple) -> tuple[Check, ...]:
    job = plan.file.job
    for change in changes:
        job = change.apply(job)
    if next(iter(contradictions(job, plan.file.on)), None) is not None:
        return plan.stops
    return assess(dataclasses.replace(plan.file, job=job)).stops


def test_where_nothing_helps_it_is_said():
    """A rope past its day: no change to the rig makes it younger, and there is no other rope."""
    old = {"ropes": {"main": {"retire_by": "2027-05"}, "second": {"retire_by": "2027-05"}}}
    plan = assessed(old)
    found = Search(plan, Variants(plan.file)).smallest()

    assert {check.id for check in plan.stops} == {"rope/main/age", "rope/second/age"}
    assert {check.id for check in found.left} | _cleared(found) == {
        "rope/main/age", "rope/second/age"
    }  # fmt: skip


def _cleared(found) -> set[str]:
    return {each.id for each in found.buy.clears} if found.buy else set()


def test_a_missing_rescue_plan_is_cleared_by_nothing():
    plan = assessed({"rescue": {"who": None, "method": None, "time_to_ground": None}})
    done = studied(plan.file)

    stops = {check.id for check in plan.stops}

    assert {"rescue/stated", "line/working/rescue/time", "rescue/team/worker"} <= stops
    assert done.proposal.buy is None
    assert {check.id for check in done.proposal.left} == stops
    assert done.cheapest == dict.fromkeys(stops)


def test_the_proposal_of_each_demo_does_what_it_says(done):
    found, plan = done.proposal, done.plan
    assert found.buy is not None
    after = assess(dataclasses.replace(plan.file, job=found.buy.job))
    left = {check.id for check in found.left}

    assert {check.id for check in after.stops} == left
    for change in found.buy.changes:
        rest = tuple(each for each in found.buy.changes if each is not change)
        assert len(_stops_with(plan, rest)) > len(left), f"{change.id} is not needed"


def test_the_cheapest_control_of_a_stop_clears_it(done):
    for stop, buy in done.cheapest.items():
        if buy is not None:
            after = assess(dataclasses.replace(done.plan.file, job=buy.job))
            assert stop not in {check.id for check in after.stops}
    assert any(buy is not None for buy in done.cheapest.values())


def test_the_search_for_ten_lines_is_bounded():
    """Ten lines in five pairs, each over an edge of its own: counted, for clocks are noisy.

    A line costs some 6 ms and a set some 2 ms here: 300 of the one and 700 of the other stay well
    under 5 seconds. `tests/bench/scaling.py` takes the time.
    """
    job = {"edges": {}, "lines": {}, "ropes": {}, "anchors": {}, "loads": {}}
    for n in range(5):
        job["loads"][f"worker{n}"] = {"people": "1", "mass": "80 kg", "kit": "18 kg"}
        for role in ("working", "safety"):
            name = f"{role}{n}"
            job["edges"][name] = {**COPING, "radius": "8 mm"}
            job["ropes"][name] = copy.deepcopy(ROPE)
            job["anchors"][name] = {"legs": [{"strength": "22 kN", "evidence": "tested"}]}
            job["lines"][name] = {
                "role": role, "rope": name, "anchor": name, "below": "20 m",
                "over": [{"edge": name, "after": "0.8 m"}], "load": f"worker{n}", "passes": "1",
                "cases": ["descend"] if role == "working" else ["hold"],
                "redirects": {"none": "straight down"},
                "strands": "1",
                **{key: BASE["lines"][role][key] for key in ("knots", "fall", "devices")},
            }  # fmt: skip
    job["loads"]["worker"] = None
    plan = assessed({"lines": {"working": None, "safety": None}, "edges": None}, job)
    search = Search(plan, Variants(plan.file))
    found = search.smallest()

    assert len(plan.file.job.lines) == 10
    assert len(search.changes) >= 12
    assert len(plan.stops) >= 10
    assert found.buy is not None
    assert search.variants.lines_worked <= 300
    assert search.variants.judged <= 700


def test_one_render_assesses_once_and_judges_no_job_twice(monkeypatch):
    """The plan and each alternative are assessed once; every other job is judged in brief, once."""
    calls = []

    def counted(file: JobFile) -> Assessment:
        calls.append(file)
        return assess_module_assess(file)

    assess_module_assess = assess_module.assess
    monkeypatch.setattr(study_module, "assess", counted)
    whole = dossier(demo("lighthouse"))
    build(whole)
    study = whole.study

    assert len(calls) == 1 + len(study.alternatives) == study.effort.assessed
    assert len(study.alternatives) == 2
    assert study.effort.lines <= 2 * study.effort.judged


def lighthouse_ways() -> tuple[Assessment, dict[str, Assessment]]:
    file = demo("lighthouse")
    return assess(file), {name: assess(each) for name, each in file.alternatives.items()}


def test_a_comparison_equals_running_each_alternative_by_hand():
    """Each alternative is written out as a job file of its own, and read and assessed by itself."""
    plan, others = lighthouse_ways()
    found = compare(ways_of(plan, others))
    text = plan.file.text.partition("alternatives:")[0]
    for name, rope in (("green", "green"), ("sand", "sand")):
        alone = text.replace("    rope: red\n", f"    rope: {rope}\n")
        by_hand = read_text(alone, "by_hand.yaml", DAYS["lighthouse"], JOBS).file
        assert by_hand is not None
        whole = assess(by_hand)
        assert whole.checks
        for figure in whole.figures:
            row = found.figures.loc[figure.id].iloc[0]
            values = [row[name, end] for end in ("low", "expected", "high")]
            shown = figure.shown  # a band where there is one, else the corners
            assert values == [shown.low, shown.expected, shown.high]
        for check in whole.checks:
            assert found.verdict(name, check.id) == check.verdict.value


def test_csv_and_workbook_hold_every_figure_and_check():
    plan, others = lighthouse_ways()
    found = compare(ways_of(plan, others))
    table = pd.read_csv(io.BytesIO(to_csv(found)))
    sheets = pd.read_excel(io.BytesIO(to_xlsx(found)), sheet_name=None)
    ids = {each.id for way in found.ways for each in way.plan.figures}
    checks = {each.id for way in found.ways for each in way.plan.checks}

    assert set(table[table.kind == "figure"].id) == ids
    assert set(table[table.kind == "check"].id) == checks
    assert set(sheets["figures"].id) == ids
    assert set(sheets["checks"].id) == checks
    row = sheets["figures"].set_index("id").loc["kit/mass"]
    pieces = 0.066 * 60 + 0.075 * 60 + 0.560 + 0.425  # ropes red and blue, descender, back-up
    assert row["as written: expected"] == pytest.approx(pieces)


def test_the_kit_of_many_ranged_ropes_is_added_up():
    """30 ropes of 100 m at 70 to 80 g/m: 210 to 240 kg; more ranges than corners can hold."""
    many = {f"r{n}": {**ROPE, "mass": "70 to 80 g/m", "diameter": "10.8 to 11.2 mm"}
            for n in range(30)}  # fmt: skip
    line = {"role": "safety", "anchor": "two", "site": "wall", "below": "20 m", "load": "worker",
            "cases": ["hold"], "passes": "0", "fall": {"free": "0.6 m", "clear": "8 m"},
            "strands": "1", "knots": dict(BASE["lines"]["safety"]["knots"])}  # fmt: skip
    plan = assessed({
        "ropes": {"main": None, "second": None, **many},
        "lines": {"working": {"rope": "r0"}, "safety": {"rope": "r1"},
                  **{f"l{n}": {**line, "rope": f"r{n}"} for n in range(2, 30)}},
    })  # fmt: skip
    mass = plan.figure("kit/mass")

    assert mass is not None
    assert mass.range.low == pytest.approx(210 + 1)  # two devices of 0.5 kg
    assert mass.range.high == pytest.approx(240 + 1)


def test_what_a_plan_does_not_have_is_missing_and_no_number():
    plan, others = lighthouse_ways()
    found = compare(ways_of(plan, others))

    assert math.isnan(found.figures.loc["rope/green/mass"].iloc[0]["as written", "expected"])
    assert found.verdict("as written", "rope/green/age") == "not asked"


def test_one_plan_alone_and_two_of_one_name_are_refused():
    plan, others = lighthouse_ways()
    ways = ways_of(plan, others)

    with pytest.raises(ValueError, match="nothing to be compared"):
        compare(ways[:1])
    with pytest.raises(ValueError, match="one name"):
        compare([ways[0], ways[0]])


def test_a_text_that_a_spreadsheet_would_run_stays_text():
    text = (JOBS / "lighthouse.yaml").read_text()
    text = text.replace("title: new 11.5 mm rope on the working line", "title: '=1+1'")
    file = read_text(text, "lighthouse.yaml", DAYS["lighthouse"], JOBS).file
    assert file is not None
    ways = ways_of(assess(file), {k: assess(each) for k, each in file.alternatives.items()})
    book = pd.read_excel(io.BytesIO(to_xlsx(compare(ways))), sheet_name="summary")

    assert list(book.title)[1] == "'=1+1"


def test_an_accepted_borderline_check_sets_a_limit_where_it_was_accepted():
    """What was accepted at one value is not accepted beyond it."""
    id = "line/working/edge/edge_working/exposure"
    exception = {"check": id, "by": "lead", "reason": "looked at often", "until": "2027-06-02"}
    plan = assessed(
        over_edges(protector=PAD, passes="25"),
        {"sites": {"wall": {"reach_sideways": "2.2 m"}}, "signoff": {"deviations": [exception]}},
    )
    accepted = [c for c in plan.checks if c.accepted]
    limit = limit_of(plan, "limit/passes/working")

    assert [c.verdict for c in accepted] == [Verdict.BORDERLINE]
    assert plan.stops == ()
    assert limit.greatest == 25 == limit.stated[1]
    assert limit.set_by is not None
    assert limit.set_by.id == id


def test_changes_that_do_not_hold_together_are_not_offered():
    plan = assess(job_of())
    for change in applicable(plan):
        assert list(contradictions(change.apply(plan.file.job), plan.file.on)) == []
