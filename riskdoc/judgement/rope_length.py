"""Whether the rope of a line is long enough for the way down."""

from __future__ import annotations

from dataclasses import replace

from riskdoc.analysis.course import above_of
from riskdoc.analysis.heights import lowest_of
from riskdoc.analysis.inputs import Missing, counted, from_table, stated
from riskdoc.analysis.margins import Pair
from riskdoc.analysis.resolve import RigLine
from riskdoc.i18n.message import Text, message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.judgement.judge import Question, judge, not_demonstrated, rule
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.quantities.intervals import Interval, exact, product, total


def length_check(file: JobFile, line: RigLine) -> Check:
    """Rope against the way down: the rope above, the whole drop and a tail.

    A stopper in its end stands for the last of the drop, but not where a load is lowered on it,
    and never above the lowest place of work.
    """
    question = Question(
        id=f"line/{line.id}/rope_length",
        subject=f"line/{line.id}",
        title=message("Rope long enough for the drop"),
        demanded=mark("a way to the ground, tail included, of {amount}"),
        held=mark("A rope of {amount}"),
        unit="m",
        remedy=message("A longer rope: a load is lowered to the ground on it.")
        if line.lowers
        else message("A longer rope, or a stopper tied in its end and a way off stated."),
    )
    tail = from_table("work", "tail", "tail")
    drop = stated(file, ("sites", line.site_id, "drop"), "H", message("drop"))
    check = judge(question, [_against(file, line, drop)], exact(1.0), tail)
    if check.verdict is Verdict.ADEQUATE:
        return _long_enough(question, check.reason, check.source)
    if line.lowers or not line.line.stopper:
        return check
    lowest = replace(
        question,
        demanded=mark("a way to the lowest place of work, tail included, of {amount}"),
        remedy=message("A longer rope, or a lowest place of work higher up."),
    )
    try:
        pairs = [_against(file, line, lowest_of(file, line))]
    except Missing as gap:
        return not_demonstrated(lowest, (gap.key,), exact(1.0), tail)
    check = judge(lowest, pairs, exact(1.0), tail)
    if check.verdict is not Verdict.ADEQUATE:
        return check
    stopped = message("The rope does not reach the ground; a stopper is stated in its end.")
    return _long_enough(question, stopped, check.source)


def _against(file: JobFile, line: RigLine, down: Interval) -> Pair:
    """The rope that a way down from the last edge takes, against the rope that is there."""
    strands = counted(
        file, ("lines", line.id, "strands"), line.line.strands, "k", message("strands")
    )
    whole = total(down, from_table("work", "tail", "tail"), *above_of(file, line))
    length = stated(file, ("ropes", line.line.rope, "length"), "L", message("length of the rope"))
    return Pair("", product(whole, strands), length)


def _long_enough(question: Question, reason: Text, source: Text) -> Check:
    return rule(question.id, question.subject, question.title, Verdict.ADEQUATE, reason, "", source)
