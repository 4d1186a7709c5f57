"""Checks of anchors: angle, strength, every leg under all that pulls, a leg lost, redirects."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from riskdoc.assess.extension import extension_of
from riskdoc.assess.falls import drop_peak
from riskdoc.assess.figures import figure
from riskdoc.assess.inputs import Missing, default, stated
from riskdoc.assess.judge import Pair, Question, graded, judge, not_demonstrated
from riskdoc.assess.legs import included, leg_forces, leg_strength, limit_angle, shares
from riskdoc.assess.pulls import Hung, Pull, Pulled, Way, turn_of_pull
from riskdoc.assess.records import Check, Figure
from riskdoc.assess.rig import RigLine
from riskdoc.assess.spread import Spread, combine, exact, fitting, greatest, total
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say
from riskdoc.language.units import amount
from riskdoc.mechanics.anchors import freed_rope, wrapped_force


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


def forces_for_one(
    file: JobFile, anchor: str, force: Spread, ways: Iterable[Pulled]
) -> tuple[Spread, ...]:
    """Force in each leg under one pull, whichever of the ways it takes. Raises `Missing`."""
    found = [leg_forces(file, anchor, force, way) for way in ways]
    return tuple(
        greatest(*(each for each in by_leg if each is not None))
        for by_leg in zip(*found, strict=True)
    )


def _system(file: JobFile, anchor: str, pulls: tuple[Hung, ...]) -> Check:
    required = default("general", "anchor strength", "S required")
    question = Question(
        id=f"anchor/{anchor}/strength",
        subject=f"anchor/{anchor}",
        title=say("Anchor strength for one line"),
        demanded=mark("its share of the strength asked of an anchor, {amount}"),
        held=mark("A leg strength of {amount}"),
        unit="N",
        remedy=say("A stronger anchor, a smaller angle between its legs, or a test of it."),
    )
    try:
        found = forces_for_one(file, anchor, required, (pull.way for pull in pulls))
        pairs = [
            Pair(say("in leg {n}", n=n + 1), share, leg_strength(file, anchor, n))
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
        title=say("Angle between the outermost legs"),
        demanded=mark("An angle of {amount}"),
        held="",
        unit="rad",
        remedy=say("Lengthen the legs, or use anchors that stand closer together."),
        figures=(f"anchor/{anchor}/included",),
    )
    good = limit_angle(default("general", "included angle good", "α"))
    most = limit_angle(default("general", "included angle most", "α"))
    return graded(question, included(file, anchor), good, most)


def _leg(file: JobFile, anchor: str, leg: int, pulls: tuple[Hung, ...]) -> Check:
    required = default("general", "anchor margin", "required")
    question = Question(
        id=f"anchor/{anchor}/leg/{leg + 1}",
        subject=f"anchor/{anchor}",
        title=say("Leg {leg} under the greatest pull", leg=leg + 1),
        demanded=mark("a force of {amount}"),
        held=mark("A leg strength of {amount}"),
        unit="N",
        remedy=say(
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
    required = default("general", "leg lost margin", "required")
    question = Question(
        id=f"anchor/{anchor}/leg_lost/{lost + 1}",
        subject=f"anchor/{anchor}",
        title=say("Leg {lost} lost", lost=lost + 1),
        demanded=mark("a force of {amount}"),
        held=mark("A remaining leg of {amount}"),
        unit="N",
        remedy=say("Legs that each hold the whole pull, less extension, or a further leg."),
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
        forces, said = [], []
        for pull in pulls:
            force, why = lost_pull(file, pull, extension)
            forces.append(_force(file, anchor, n, pull, force, lost))
            said.append(say("{what}: {why}", what=pull.words, why=why))
        why_not = file.job.anchors[anchor].why_not("extension")
        said += [say("no drop, as stated: {why}", why=why_not)] if why_not else []
        where = say("in leg {n} {said}", n=n + 1, said=_said(said))
        yield Pair(where, total(*fitting(*forces)), leg_strength(file, anchor, n))


def lost_pull(file: JobFile, pull: Hung, extension: Spread | None) -> tuple[Spread, str]:
    """The pull when a leg goes, and what makes it: the greatest case, or the drop by extension."""
    if extension is None:
        return pull.most, say(pull.case)
    caught = caught_pull(file, pull, extension)
    drop = caught.range.high > pull.most.range.high
    return greatest(pull.most, caught), say("drop by the extension") if drop else say(pull.case)


def caught_pull(file: JobFile, pull: Hung, extension: Spread) -> Spread:
    """The pull that catches the load when the joint has dropped; no friction helps the anchor."""
    if isinstance(pull, Pull):
        return drop_peak(file, pull.line, extension)
    slack = combine(freed_rope, extension, turn_of_redirect(file, pull.line, pull.n))
    return redirect_pull(file, pull.line, pull.n, drop_peak(file, pull.line, slack))


def _force(
    file: JobFile, anchor: str, leg: int, pull: Hung, most: Spread, lost: int | None = None
) -> Spread:
    force = leg_forces(file, anchor, most, pull.way, lost)[leg]
    if force is None:
        raise AssertionError("a leg that is lost carries nothing")
    return force


def _gaps(pulls: tuple[Hung, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(key for pull in pulls for key in pull.missing))


def _said(parts: list[str]) -> str:
    return f"({'; '.join(parts)})"


def _governs(file: JobFile, anchor: str, leg: int, pull: Hung) -> str:
    """What governs a leg: the case of each pull, and how far that has turned."""
    case, turn = say(pull.case), turned(file, anchor, leg, pull.way)
    if not turn:
        return say("{what}: {why}", what=pull.words, why=case)
    return say("{what}: {why}, {turn}", what=pull.words, why=case, turn=turn)


def turned(file: JobFile, anchor: str, leg: int, way: Pulled) -> str:
    """The turn of the pull that loads a leg most, in words; nothing for a single leg."""
    legs = file.job.anchors[anchor].legs
    if len(legs) == 1:
        return ""
    if isinstance(way, Way):
        return say("pull in any direction")
    worst = shares(file, anchor, way)[leg].range.high
    if worst <= shares(file, anchor, Way.STRAIGHT)[leg].range.high * (1 + 1e-12):
        return say("pull straight")
    turn = amount(turn_of_pull(file, way).range.high, "rad", "up")
    if len(legs) == 2 and file.job.anchors[anchor].equalised == "fixed":
        return say("pull turned by {turn} to the side of leg {leg}", turn=turn, leg=2 - leg)
    return say("pull turned by up to {turn}", turn=turn)


def redirect_checks(file: JobFile, line: RigLine, most: Spread) -> Iterator[Check]:
    """Anchors of redirects: the pull of both strands on them, with the line's greatest tension.

    The greatest tension of the line is taken on both sides: friction on a redirect never helps.
    """
    for n, redirect in enumerate(line.line.redirects):
        force = redirect_pull(file, line, n, most)
        yield _redirect(file, line, n, redirect.anchor, force)


def redirect_pull(file: JobFile, line: RigLine, n: int, most: Spread) -> Spread:
    """Pull of a redirect on its anchor."""
    return combine(wrapped_force, most, turn_of_redirect(file, line, n))


def turn_of_redirect(file: JobFile, line: RigLine, n: int) -> Spread:
    """The angle through which a redirect turns the line."""
    return stated(
        file, ("lines", line.id, "redirects", n, "turn"), "θ", say("turn of redirect {n}", n=n + 1)
    )


def redirect_figures(file: JobFile, line: RigLine, most: Spread) -> Iterator[Figure]:
    """Pull of each redirect on its anchor."""
    for n, redirect in enumerate(line.line.redirects):
        yield figure(
            f"line/{line.id}/redirect/{n + 1}/force",
            say(
                "Pull on {anchor} from redirect {n} of {line}",
                anchor=redirect.anchor,
                n=n + 1,
                line=line.id,
            ),
            redirect_pull(file, line, n, most),
            "N",
            "R",
            "2 T sin(θ/2)",
            "2 · {T} · sin(θ/2)",
            say("sum of the two strands as vectors, both at the line's greatest tension"),
            T=most,
        )


def _redirect(file: JobFile, line: RigLine, n: int, anchor: str, force: Spread) -> Check:
    required = default("general", "anchor margin", "required")
    question = Question(
        id=f"line/{line.id}/redirect/{n + 1}",
        subject=f"line/{line.id}",
        title=say("Anchor {anchor} of redirect {n}", anchor=anchor, n=n + 1),
        demanded=mark("a pull of {amount}"),
        held=mark("A leg strength of {amount}"),
        unit="N",
        remedy=say("A stronger anchor for the redirect, or a smaller turn."),
        figures=(f"line/{line.id}/redirect/{n + 1}/force",),
    )
    try:
        pairs = [
            Pair(say("in leg {k}", k=k + 1), each, leg_strength(file, anchor, k))
            for k, each in enumerate(leg_forces(file, anchor, force, Way.ANY))
            if each is not None
        ]
    except Missing as gap:
        return not_demonstrated(question, (gap.key,), required)
    return judge(question, pairs, required)
