"""One person on one line with its reason: what a named person may accept, and what nobody may.

Work at Height Regulations 2005, Sch. 5 Part 3 para. 3: a single line where a second one is the
higher risk and measures are taken instead (published). That it is borderline is judgement.
"""

from __future__ import annotations

import json
from typing import Any

import pytest
from support.plan import DAY, as_json, check, tree_of

from riskdoc.job.reading import read_text

ALONE: dict[str, Any] = {"lines": {"safety": None}}
WHY = {
    "second_line_riskier": "a second line entangles in flowing water and holds a person under",
    "measures": ["brake from below", "anchor releasable under load"],
}


def single(**change: Any) -> dict[str, Any]:
    return {"loads": {"worker": {"single_line": {**WHY, **change}}}}


TWO = {"loads": {"worker": {"people": "2", "mass": "160 kg", "single_line": WHY}}}
ONE_ANCHOR = {"lines": {"safety": {"anchor": "one"}}}


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ((ALONE,), "inadequate"),
        ((ALONE, single()), "borderline"),
        ((ALONE, single(second_line_riskier="none")), "inadequate"),
        ((ALONE, single(measures=["tbc"])), "inadequate"),
        ((ALONE, TWO), "inadequate"),  # two people on one line have no reason
        ((ONE_ANCHOR,), "inadequate"),
        ((), "adequate"),
    ],
)
def test_a_single_line_with_its_reason_is_borderline(changes, verdict):
    data = as_json(*changes)

    assert check(data, "load/worker/lines")["verdict"] == verdict
    assert check(data, "people/second/lines")["verdict"] == verdict


@pytest.mark.parametrize(
    "beside", [(), (ONE_ANCHOR,), ({"lines": {"safety": {"fall": {"free": "4 m"}}}},)]
)
def test_a_reason_for_one_line_beside_a_second_is_refused(beside):
    """Else a second line that is too weak could be left out, and the plan were the better."""
    reading = read_text(json.dumps(tree_of(*beside, single())), "plan.json", DAY)

    assert [(fault.code, fault.message.split(",")[0]) for fault in reading.faults] == [
        ("C57", "one line alone is said to carry 'worker'")
    ]


def test_the_reason_does_not_hide_two_loads_at_one_time():
    other = {"loads": {"other": {"people": "1", "mass": "80 kg", "kit": "18 kg", "who": ["second"],
                                 "single_line": WHY},
                       "worker": {"in_turn": None, "who": ["second"], "single_line": WHY}},
             "lines": {"safety": {"load": "other"}}}  # fmt: skip

    assert check(as_json(other), "people/second/lines")["verdict"] == "not demonstrated"
