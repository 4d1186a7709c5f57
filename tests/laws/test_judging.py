"""What no job can state never passes: a value below zero, or one that is no number."""

from __future__ import annotations

import pytest

from riskdoc.judgement.judge import Question, graded, judge_band
from riskdoc.judgement.verdicts import Verdict
from riskdoc.quantities.intervals import exact, given
from riskdoc.quantities.ranges import Input, Range

QUESTION = Question("id", "subject", "title", "", "A limit of {amount}", "m", "")


def ranging(low: float, expected: float, high: float) -> Input:
    return Input("x", "x", "x", Range(low, expected, high), "m", "", "", "stated", "")


@pytest.mark.parametrize("ends", [(-1.0, 0.1, 0.2), (0.0, 0.1, float("inf"))])
def test_what_is_less_than_nothing_or_no_number_never_passes(ends):
    value = given(ranging(*ends))

    assert graded(QUESTION, value, exact(1.0), exact(2.0)).verdict is Verdict.NOT_DEMONSTRATED


def test_a_band_below_zero_never_passes():
    value = given(ranging(-3.0, -2.0, -1.0))

    assert judge_band(QUESTION, value, exact(1.0)).verdict is Verdict.NOT_DEMONSTRATED


def test_what_is_nothing_passes():
    """So the tests above can fail."""
    value = given(ranging(0.0, 0.0, 0.5))

    assert graded(QUESTION, value, exact(1.0), exact(2.0)).verdict is Verdict.ADEQUATE
    assert judge_band(QUESTION, value, exact(1.0)).verdict is Verdict.ADEQUATE
