"""Whether a working line and an arresting line of a person are separately anchored."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from riskdoc.analysis.resolve import RigLine, RigRedirect
from riskdoc.i18n.message import Text, message
from riskdoc.judgement.judge import rule
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.quantities.printing import Amount
from riskdoc.tables.loader import cell

NEAR = 1 - 1e-12
"""Angles are stated in degrees: one in radians may be off in the last digit."""


@dataclass(frozen=True, slots=True)
class PairOfLines:
    """A working line and one that can arrest a fall, on anchors of their own.

    `redirect` is the one with the greatest turn by which either is led over the other's anchor.
    """

    working: RigLine
    arresting: RigLine
    redirect: RigRedirect | None

    @property
    def verdict(self) -> Verdict:
        """Separate, or not while a redirect puts both lines on one anchor."""
        if self.redirect is None:
            return Verdict.ADEQUATE
        most = math.radians(cell("general", "redirect on the other anchor").expected)
        beyond = self.redirect.redirect.turn.high >= most * NEAR
        return Verdict.INADEQUATE if beyond else Verdict.BORDERLINE

    @property
    def said(self) -> Text:
        """What is not separate about the pair; it has a redirect then."""
        if self.redirect is None:
            return ""
        most = math.radians(cell("general", "redirect on the other anchor").expected)
        return message(
            "redirect {n} of line ‘{line}’ hangs on anchor ‘{anchor}’ of the other line and turns "
            "the rope by {turn}; from {most} on it puts the whole tension there",
            n=self.redirect.number,
            line=self.redirect.line,
            anchor=self.redirect.redirect.anchor,
            turn=Amount(self.redirect.redirect.turn.high, "rad", "up"),
            most=Amount(most, "rad", "near"),
        )


def pair_of(lines: Sequence[RigLine]) -> PairOfLines | None:
    """The pair that is best separated; None where there is none."""
    pairs = [
        PairOfLines(working, arresting, _crossing(working, arresting))
        for working in lines
        for arresting in lines
        if working is not arresting
        and working.line.role == "working"
        and arresting.arrests
        and working.line.anchor != arresting.line.anchor
    ]
    return min(pairs, key=lambda pair: pair.verdict.rank, default=None)


def _crossing(one: RigLine, other: RigLine) -> RigRedirect | None:
    """The redirect of either line on the anchor of the other that turns its rope most."""
    found = [
        redirect
        for line, against in ((one, other), (other, one))
        for redirect in line.redirects
        if redirect.redirect.anchor == against.line.anchor
    ]
    return max(found, key=lambda each: each.redirect.turn.high, default=None)


def crossed(
    id: str, subject: str, title: Text, who: Text, pair: PairOfLines, source: Text
) -> Check:
    """The check on a pair that a redirect does not leave separate."""
    reason = message("{who}: {what}.", who=who, what=pair.said)
    remedy = message("An anchor of its own for the redirect.")
    return rule(id, subject, title, pair.verdict, reason, remedy, source)
