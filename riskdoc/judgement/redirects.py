"""Whether redirects are stated, and what they and their anchors hold."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.analysis.anchor_pulls import Way
from riskdoc.analysis.inputs import Missing, from_table
from riskdoc.analysis.leg_forces import leg_forces, leg_strength
from riskdoc.analysis.margins import Pair
from riskdoc.analysis.redirects import redirect_pull
from riskdoc.analysis.resolve import RigLine, RigRedirect
from riskdoc.analysis.tension import Tensions
from riskdoc.i18n.message import message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.judgement.judge import Question, does_not_apply, judge, not_demonstrated, rule
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.quantities.intervals import Interval


def redirect_checks(file: JobFile, line: RigLine, found: Tensions) -> Iterator[Check]:
    """Whether the redirects of a line are stated, and the anchor of each under its pull."""
    yield _stated(line)
    for redirect in line.redirects:
        yield _anchor(file, line, redirect, redirect_pull(file, redirect, found))


def _stated(line: RigLine) -> Check:
    """Whether the job says where the line is redirected, or that it is not."""
    id, subject = f"line/{line.id}/redirects", f"line/{line.id}"
    title = message("Redirects stated")
    why = line.line.why_not("redirects")
    if why is not None:
        return does_not_apply(id, subject, title, why)
    if not line.redirects:
        question = Question(id, subject, title, "", "", "1", "")
        return not_demonstrated(question, (f"lines.{line.id}.redirects",), None)
    return rule(
        id,
        subject,
        title,
        Verdict.ADEQUATE,
        message(
            "Stated: {count}. The anchor of each is judged by itself.", count=len(line.redirects)
        ),
        "",
        message("stated in the job"),
    )


def _anchor(file: JobFile, line: RigLine, redirect: RigRedirect, force: Interval) -> Check:
    required = from_table("general", "anchor margin", "required")
    anchor, n = redirect.redirect.anchor, redirect.number
    question = Question(
        id=f"line/{line.id}/redirect/{n}",
        subject=f"line/{line.id}",
        title=message("Anchor ‘{anchor}’ of redirect {n}", anchor=anchor, n=n),
        demanded=mark("a pull of {amount}"),
        held=mark("A leg strength of {amount}"),
        unit="N",
        remedy=message("A stronger anchor for the redirect, or a smaller turn."),
        figures=(f"line/{line.id}/redirect/{n}/force",),
    )
    try:
        pairs = [
            Pair(message("in leg {k}", k=k + 1), each, leg_strength(file, anchor, k))
            for k, each in enumerate(leg_forces(file, anchor, force, Way.ANY))
            if each is not None
        ]
    except Missing as gap:
        return not_demonstrated(question, (gap.key,), required)
    return judge(question, pairs, required)
