"""How far and how hard a sliding joint drops what hangs on it when a leg of its anchor goes."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.analysis.anchor_pulls import Hung, Pull
from riskdoc.analysis.extension import extension_of
from riskdoc.analysis.falls import drop_on_body
from riskdoc.analysis.inputs import Missing, from_table, stated
from riskdoc.analysis.margins import Pair
from riskdoc.analysis.redirects import rope_freed
from riskdoc.analysis.resolve import RigLine
from riskdoc.i18n.message import filled, message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.judgement.judge import Question, does_not_apply, graded, judge, not_demonstrated
from riskdoc.judgement.verdicts import Check
from riskdoc.quantities.intervals import Interval, exact, greatest, least


def drop_checks(file: JobFile, anchor: str, pulls: tuple[Hung, ...]) -> Iterator[Check]:
    """The drop of a sliding joint, as a distance and as a force on the people who hang there."""
    part = file.job.anchors[anchor]
    if len(part.legs) < 2 or part.equalised != "self":
        return
    asked = [(_distance(anchor), _far)]
    if any(pull.line.person for pull in pulls):
        asked.append((_force(anchor), _hard))
    why = part.why_not("extension")
    for question, answer in asked:
        if why is not None:
            yield does_not_apply(question.id, question.subject, question.title, why)
        else:
            yield answer(file, anchor, pulls, question)


def _distance(anchor: str) -> Question:
    return Question(
        id=f"anchor/{anchor}/drop",
        subject=f"anchor/{anchor}",
        title=message("Drop of the sliding joint when a leg is lost"),
        demanded=mark("A drop of {amount}"),
        held="",
        unit="m",
        remedy=message("Knots in the arms that limit how far the joint slides, or shorter arms."),
    )


def _force(anchor: str) -> Question:
    return Question(
        id=f"anchor/{anchor}/drop_force",
        subject=f"anchor/{anchor}",
        title=message("Force on the body when the sliding joint drops"),
        demanded=mark("a peak force of {amount}"),
        held=mark("An arrest-force limit of {amount}"),
        unit="N",
        remedy=message(
            "Knots in the arms that limit how far the joint slides, or more rope below."
        ),
    )


def _slack(file: JobFile, anchor: str, pull: Hung) -> Interval:
    """How far the load of a line falls freely. Raises `Missing` where no extension is stated."""
    extension = extension_of(file, anchor)
    if extension is None:
        raise AssertionError("a joint that drops has an extension, or it is missing")
    if isinstance(pull, Pull):
        return extension
    return rope_freed(file, extension, pull.redirect)


def _far(file: JobFile, anchor: str, pulls: tuple[Hung, ...], question: Question) -> Check:
    good, most = (from_table("general", f"joint drop {end}", "h") for end in ("good", "most"))
    allowed, gaps = [], []
    for line in {pull.line.id: pull.line for pull in pulls}.values():
        try:
            allowed += list(_allowed(file, line))
        except Missing as gap:
            gaps.append(gap.key)
    try:
        drop = greatest(*(_slack(file, anchor, pull) for pull in pulls))
    except Missing as gap:
        gaps.insert(0, gap.key)
    if gaps:
        return not_demonstrated(question, tuple(dict.fromkeys(gaps)), exact(1.0), most)
    return graded(question, drop, least(good, *allowed), least(most, *allowed))


def _allowed(file: JobFile, line: RigLine) -> Iterator[Interval]:
    """The free falls that makers allow onto the devices of a line; `Missing` where not stated.

    Where a maker names none the limits of the joint stand alone: they are no more than the row.
    """
    if not line.line.devices and line.line.why_not("devices") is None:
        raise Missing(f"lines.{line.id}.devices")
    for device in line.line.devices:
        if file.job.devices[device].why_not("fall_at_most") is None:
            words = message("greatest free fall onto {device}", device=device)
            yield stated(file, ("devices", device, "fall_at_most"), "most", words)


def _hard(file: JobFile, anchor: str, pulls: tuple[Hung, ...], question: Question) -> Check:
    limit = from_table("general", "arrest force", "F limit")
    try:
        pairs = [
            Pair(filled("({pull})", pull=pull.words), drop_on_body(file, pull.line, slack), limit)
            for pull in pulls
            if pull.line.person
            for slack in (_slack(file, anchor, pull),)
        ]
    except Missing as gap:
        return not_demonstrated(question, (gap.key,), exact(1.0), limit)
    return judge(question, pairs, exact(1.0), limit)
