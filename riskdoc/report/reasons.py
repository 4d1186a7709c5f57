"""What each verdict rests on: the inputs that decide it, and what knowing one better could do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.judgement.verdicts import Verdict
from riskdoc.quantities.printing import number, unit_of
from riskdoc.report.blocks import Block, Cell
from riskdoc.report.tables import columns, table, text_cell, verdict_cell

if TYPE_CHECKING:
    from collections.abc import Sequence

    from riskdoc.judgement.verdicts import Check
    from riskdoc.quantities.ranges import Sensitivity

NEAR = 1.2
"""A check whose worst ratio is within a fifth of what is required is worth measuring better for."""


def reasons(checks: Sequence[Check]) -> Block:
    """Every check that is not adequate, or is so by less than a fifth."""
    return table(
        say("What each verdict rests on"),
        columns(
            "Check | 17",
            "Verdict | 14",
            "Reason | 23",
            "What decides, in order; ratio with it alone at its low end, at its high end | 27",
            "What would change it | 19",
        ),
        [
            (
                Cell(str(each.title), each.subject),
                verdict_cell(each.verdict, _accepted(each)),
                text_cell(str(each.reason), missing_words(each)),
                Cell(deciding(each), outlook(each)),
                Cell(str(each.remedy or "–")),
            )
            for each in checks
            if each.verdict.rank > 0 or _near(each)
        ],
        note=say(
            "Checks that are adequate by more than a fifth are not repeated here. While one input "
            "goes to its ends all others stay as expected."
        ),
    )


def missing_words(check: Check) -> str:
    """What is missing, where the reason does not name it already."""
    reason = str(check.reason)
    unnamed = [key for key in map(str, check.missing) if key not in reason]
    return say("Missing: {keys}", keys=", ".join(unnamed)) if unnamed else ""


def _accepted(check: Check) -> str:
    if check.accepted is None:
        return ""
    return say(
        "accepted by {by}: {reason} ({place})",
        by=check.accepted.by,
        reason=check.accepted.reason,
        place=check.accepted.place,
    )


def _near(check: Check) -> bool:
    if check.ratio is None or check.required is None:
        return False
    return check.ratio.low < NEAR * check.required


def deciding(check: Check) -> str:
    """Inputs that decide, in order, with what each alone makes of the ratio."""
    return "; ".join(_ends(each) for each in check.decides) or "–"


def _ends(each: Sensitivity) -> str:
    unit = unit_of("1")
    low, high = (number(end, unit, "down") for end in (each.at_low, each.at_high))
    return f"{each.title}: {low}, {high}"


def outlook(check: Check) -> str:
    """In words: whether one input alone can lift the check, or take it below."""
    if check.ratio is None or check.required is None or check.verdict is Verdict.ADEQUATE:
        return ""
    if not check.decides:
        return say(
            "No input has a range: knowing one better changes nothing, only another plan does."
        )
    if check.verdict is Verdict.BORDERLINE:
        return _worse_ends(check.decides, check.required)
    return _better_ends(check.decides, check.required)


def _better_ends(decides: Sequence[Sensitivity], need: float) -> str:
    lifting = [each.title for each in decides if max(each.at_low, each.at_high) >= need]
    if lifting:
        return say(
            "At its better end this alone meets what is required: {lifting}.",
            lifting=", ".join(map(str, lifting)),
        )
    return say("None of these alone lifts it to what is required.")


def _worse_ends(decides: Sequence[Sensitivity], need: float) -> str:
    taking = [each.title for each in decides if min(each.at_low, each.at_high) < need]
    if taking:
        return say(
            "At its worse end this alone makes it fall short: {taking}.",
            taking=", ".join(map(str, taking)),
        )
    return say("None of these alone makes it fall short; several together do.")
