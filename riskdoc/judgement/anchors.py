"""Checks of anchors: angle, strength, every leg under all that pulls, and each leg lost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from riskdoc.analysis.anchor_load_cases import forces_for_one, lost_pull, turned
from riskdoc.analysis.anchor_pulls import Hung
from riskdoc.analysis.extension import extension_of
from riskdoc.analysis.inputs import Missing, from_table
from riskdoc.analysis.leg_forces import included, leg_forces, leg_strength, limit_angle
from riskdoc.analysis.margins import Pair
from riskdoc.i18n.message import Text, filled, joined, message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.judgement.anchor_drop import drop_checks
from riskdoc.judgement.judge import Question, graded, judge, not_demonstrated
from riskdoc.judgement.verdicts import Check
from riskdoc.quantities.intervals import Interval, exact, fitting, total


def anchor_checks(file: JobFile, anchor: str, pulls: tuple[Hung, ...]) -> Iterator[Check]:
    """Strength for one line, angle, each leg under all that pulls, and each leg lost in turn."""
    legs = range(len(file.job.anchors[anchor].legs))
    yield _system(file, anchor, pulls)
    if len(legs) > 1:
        yield _angle(file, anchor)
    for n in legs:
        yield _leg(file, anchor, n, pulls)
    if len(legs) > 1:
        for n in legs:
            yield _leg_lost(file, anchor, n, pulls)
    yield from drop_checks(file, anchor, pulls)


def _system(file: JobFile, anchor: str, pulls: tuple[Hung, ...]) -> Check:
    required = from_table("general", "anchor strength", "S required")
    question = Question(
        id=f"anchor/{anchor}/strength",
        subject=f"anchor/{anchor}",
        title=message("Anchor strength for one line"),
        demanded=mark("its share of the strength asked of an anchor, {amount}"),
        held=mark("A leg strength of {amount}"),
        unit="N",
        remedy=message("A stronger anchor, a smaller angle between its legs, or a test of it."),
    )
    try:
        found = forces_for_one(file, anchor, required, (pull.way for pull in pulls))
        pairs = [
            Pair(message("in leg {n}", n=n + 1), share, leg_strength(file, anchor, n))
            for n, share in enumerate(found)
            if share.range.high > 0
        ]
    except Missing as gap:
        return not_demonstrated(question, (gap.key,), exact(1.0), required)
    return judge(question, pairs, exact(1.0), required)


def _angle(file: JobFile, anchor: str) -> Check:
    question = Question(
        id=f"anchor/{anchor}/angle",
        subject=f"anchor/{anchor}",
        title=message("Angle between the outermost legs"),
        demanded=mark("An angle of {amount}"),
        held="",
        unit="rad",
        remedy=message("Lengthen the legs, or use anchors that stand closer together."),
        figures=(f"anchor/{anchor}/included",),
    )
    good = limit_angle(from_table("general", "included angle good", "α"))
    most = limit_angle(from_table("general", "included angle most", "α"))
    return graded(question, included(file, anchor), good, most)


def _leg(file: JobFile, anchor: str, leg: int, pulls: tuple[Hung, ...]) -> Check:
    required = from_table("general", "anchor margin", "required")
    question = Question(
        id=f"anchor/{anchor}/leg/{leg + 1}",
        subject=f"anchor/{anchor}",
        title=message("Leg {leg} under the greatest pull", leg=leg + 1),
        demanded=mark("a force of {amount}"),
        held=mark("A leg strength of {amount}"),
        unit="N",
        remedy=message(
            "A stronger leg, a smaller angle, less friction while raising, or a shorter fall."
        ),
    )
    gaps = _gaps(pulls)
    try:
        forces = [_force(file, anchor, leg, pull, pull.most) for pull in pulls]
        strength = leg_strength(file, anchor, leg)
        where = _said([_governs(file, anchor, leg, pull) for pull in pulls])
    except Missing as gap:
        return not_demonstrated(question, (gap.key, *gaps), required)
    if gaps:
        return not_demonstrated(question, gaps, required)
    return judge(question, [Pair(where, total(*fitting(*forces)), strength)], required)


def _leg_lost(file: JobFile, anchor: str, lost: int, pulls: tuple[Hung, ...]) -> Check:
    required = from_table("general", "leg lost margin", "required")
    question = Question(
        id=f"anchor/{anchor}/leg_lost/{lost + 1}",
        subject=f"anchor/{anchor}",
        title=message("Leg {lost} lost", lost=lost + 1),
        demanded=mark("a force of {amount}"),
        held=mark("A remaining leg of {amount}"),
        unit="N",
        remedy=message("Legs that each hold the whole pull, less extension, or a further leg."),
        figures=tuple(f"anchor/{anchor}/extension/{pull.id}" for pull in pulls)
        if file.job.anchors[anchor].extension is not None
        else (),
    )
    gaps = _gaps(pulls)
    try:
        pairs = list(_left(file, anchor, lost, pulls))
    except Missing as gap:
        return not_demonstrated(question, (gap.key, *gaps), required)
    if gaps:
        return not_demonstrated(question, gaps, required)
    return judge(question, pairs, required)


def _left(file: JobFile, anchor: str, lost: int, pulls: tuple[Hung, ...]) -> Iterator[Pair]:
    """Each leg that is left, under the pull and, where the joint drops, under what catches it."""
    extension = extension_of(file, anchor)
    for n in range(len(file.job.anchors[anchor].legs)):
        if n == lost:
            continue
        forces: list[Interval] = []
        said: list[Text] = []
        for pull in pulls:
            force, why = lost_pull(file, pull, extension)
            forces.append(_force(file, anchor, n, pull, force, lost))
            said.append(message("{what}: {why}", what=pull.words, why=why))
        why_not = file.job.anchors[anchor].why_not("extension")
        said += [message("no drop, as stated: {why}", why=why_not)] if why_not else []
        where = message("in leg {n} {said}", n=n + 1, said=_said(said))
        yield Pair(where, total(*fitting(*forces)), leg_strength(file, anchor, n))


def _force(
    file: JobFile, anchor: str, leg: int, pull: Hung, most: Interval, lost: int | None = None
) -> Interval:
    force = leg_forces(file, anchor, most, pull.way, lost)[leg]
    if force is None:
        raise AssertionError("a leg that is lost carries nothing")
    return force


def _gaps(pulls: tuple[Hung, ...]) -> tuple[Text, ...]:
    return tuple(dict.fromkeys(key for pull in pulls for key in pull.missing))


def _said(parts: Sequence[Text]) -> Text:
    return filled("({parts})", parts=joined(parts, "; "))


def _governs(file: JobFile, anchor: str, leg: int, pull: Hung) -> Text:
    """What governs a leg: the case of each pull, and how far that has turned."""
    case, turn = message(pull.case), turned(file, anchor, leg, pull.way)
    if not turn:
        return message("{what}: {why}", what=pull.words, why=case)
    return message("{what}: {why}, {turn}", what=pull.words, why=case, turn=turn)
