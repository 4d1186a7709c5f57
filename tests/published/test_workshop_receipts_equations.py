"""Spon, Workshop Receipts, series 5, table "Tackle": observed efficiency of rope tackles."""

import pytest

from riskdoc.mechanics.hauling import advantage, effort

# theoretical advantage: efficiency in percent, pull in parts of the load; as printed
TACKLE = {
    1: (90, "1.11"), 2: (81, "0.62"), 3: (75, "0.45"), 4: (68, "0.37"), 5: (61.5, "0.32"),
    6: (59, "0.28"),
}  # fmt: skip

# 1/(n × efficiency) to a digit more. By hand.
PULL = {2: "0.617", 3: "0.444", 4: "0.368", 5: "0.325", 6: "0.282"}


@pytest.mark.parametrize("strands", TACKLE)
def test_pull_behind_the_printed_efficiency(agrees, strands):
    """The two printed columns are one; the table rounds 0.444 up to 0.45 and 0.325 down to 0.32."""
    percent, printed = TACKLE[strands]
    pull = effort(1.0, strands * percent / 100)
    agrees(pull, printed, within=0.01 if strands in (3, 5) else None)
    if strands in PULL:
        agrees(pull, PULL[strands])


def test_one_pulley(agrees):
    """Theoretical 1 at 90 percent: a rope over one fixed pulley of that efficiency."""
    agrees(effort(1.0, advantage(1, 0.90, True)), "1.11")


@pytest.mark.parametrize("strands", [2, 3, 4, 5, 6])
def test_blocks_of_several_pulleys(agrees, strands):
    """Off a fixed block, one η of 0.857 for every pulley gives each printed pull to 0.01.

    0.857 was fitted to the five; a single number cannot follow five unless the law has their
    shape. 0.01 is the step of the column. The single pulley, at 0.90, ran better than blocks do:
    with 0.90 in all six the pull of six strands would be 0.237.
    """
    agrees(effort(1.0, advantage(strands, 0.857, True)), TACKLE[strands][1], within=0.01)


@pytest.mark.parametrize("strands", [2, 3, 4, 5, 6])
def test_each_printed_efficiency_is_between_pulleys_of_84_and_87_percent(strands):
    """By hand, e + ... + e^n = n × efficiency: e 0.867, 0.863, 0.852, 0.843, 0.851."""
    percent, _ = TACKLE[strands]
    observed = strands * percent / 100
    assert advantage(strands, 0.84, True) < observed < advantage(strands, 0.87, True)
