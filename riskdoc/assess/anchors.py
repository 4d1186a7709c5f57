"""What the anchors feel: the pull of every line, the legs that carry it, and a leg lost."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from riskdoc.assess.figures import figure
from riskdoc.assess.hauls import Hauling, anchor_pull
from riskdoc.assess.inputs import Missing, default, once, stated
from riskdoc.assess.judge import Pair, Question, judge, not_demonstrated
from riskdoc.assess.records import Check, Figure
from riskdoc.assess.rig import RigLine
from riskdoc.assess.spread import Array, Spread, combine, exact, greatest, product, total
from riskdoc.assess.tension import Tensions
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say
from riskdoc.mechanics.anchors import equalised_share, fixed_shares, two_leg


@dataclass(frozen=True, slots=True)
class Pull:
    """The greatest pull of one line on its anchor, as checks take it; None where not known."""

    line: RigLine
    tensions: Tensions
    missing: tuple[str, ...]
    system: Hauling | None = None

    @property
    def most(self) -> Spread:
        """The greatest pull over every case that is known."""
        return greatest(*self.by_case.values())

    @property
    def by_case(self) -> dict[str, Spread]:
        """The pull in each case; a hauling system adds its own strands to the line's tension."""
        return {
            case: self._of(case, profile["anchor"])
            for case, profile in self.tensions.against.items()
        }

    def _of(self, case: str, tension: Spread) -> Spread:
        hauled = case in ("raise", "jam") or (
            case == "rescue"
            and self.line.line.rescue is not None
            and self.line.line.rescue.how == "raise"
        )
        if self.system is None or not hauled:
            return tension
        return anchor_pull(self.system, case, tension)


def leg_forces(
    file: JobFile, anchor: str, pull: Spread, lost: int | None = None
) -> tuple[Spread | None, ...]:
    """Force in each leg under a pull; None for the one that is lost.

    Raises `Missing` for what the job does not state. A leg that would have to push carries 0.
    """
    legs = file.job.anchors[anchor].legs
    left = [n for n in range(len(legs)) if n != lost]
    if len(left) == 1:
        forces: tuple[Spread, ...] = (pull,)
    elif len(legs) == 2:
        angles = [_angle(file, anchor, n) for n in range(2)]
        forces = tuple(
            combine(lambda t, a, b, n=n: two_leg(t, a, b)[n], pull, *angles) for n in range(2)
        )
    else:
        shares = _shares(file, anchor, tuple(left), lost)
        forces = tuple(product(pull, share) for share in shares)
    found = iter(forces)
    return tuple(next(found) if n in left else None for n in range(len(legs)))


@once
def _shares(
    file: JobFile, anchor: str, left: tuple[int, ...], lost: int | None
) -> tuple[Spread, ...]:
    """Share of the pull in each remaining leg of three or more, as vectors.

    When a leg is lost and the others cannot hold the pull from where the joint is, the joint
    moves until they can; each of them then carries at most the whole pull, as long as no two
    stand more than 120° apart.
    """
    part = file.job.anchors[anchor]
    directions = [part.legs[n].direction for n in left]
    known = [tuple(float(c) for c in each) for each in directions if each is not None]
    if part.equalised == "self":
        share = exact(float(equalised_share(known)))
        return (share,) * len(left)
    if part.pull is None:
        raise Missing(f"anchors.{anchor}.pull")
    pull = tuple(float(c) for c in part.pull)
    lengths = [
        stated(
            file, ("anchors", anchor, "legs", n, "length"), "L", say("length of leg {n}", n=n + 1)
        )
        for n in left
    ]

    def shares(*each: Array) -> tuple[Array, ...]:
        stiffness = [1 / length for length in each]
        return tuple(np.asarray(s) for s in fixed_shares(pull, known, stiffness))

    try:
        return tuple(
            combine(lambda *each, n=n: shares(*each)[n], *lengths) for n in range(len(left))
        )
    except ValueError as error:
        if lost is not None and _within_120_degrees(known):
            return (exact(1.0),) * len(left)
        raise Missing(
            say("legs of anchors.{anchor} that can hold the pull stated", anchor=anchor)
        ) from error


def _within_120_degrees(directions: list[tuple[float, ...]]) -> bool:
    """Whether no two legs stand more than 120° apart, so that none carries more than the pull."""
    units = [np.array(each) / np.linalg.norm(each) for each in directions]
    return all(2 * float(a @ b) >= -1 for a in units for b in units)


def _angle(file: JobFile, anchor: str, leg: int) -> Spread:
    return stated(
        file, ("anchors", anchor, "legs", leg, "angle"), "α", say("angle of leg {leg}", leg=leg + 1)
    )


def anchor_figures(file: JobFile, anchor: str, pulls: tuple[Pull, ...]) -> Iterator[Figure]:
    """Pull of each line, force per leg in each case, and force per leg with another one lost."""
    for pull in pulls:
        yield figure(
            f"anchor/{anchor}/force/{pull.line.id}",
            say(
                "Greatest pull of {line} on {anchor}, as checks take it",
                line=pull.line.id,
                anchor=anchor,
            ),
            pull.most,
            "N",
            "T",
            say("greatest over cases"),
            " / ".join(
                f"{say(case)} {number.expected:.5g}" for case, number in pull.by_case.items()
            ),
            say("tension at the anchor as checks take it"),
        )
        yield from _legs_by_case(file, anchor, pull)
        yield from _lost(file, anchor, pull)


def _legs_by_case(file: JobFile, anchor: str, pull: Pull) -> Iterator[Figure]:
    for case, profile in pull.tensions.free.items():
        try:
            forces = leg_forces(file, anchor, profile["anchor"])
        except Missing:
            return
        for n, force in enumerate(forces, start=1):
            if force is None:
                continue
            share = force.expected / profile["anchor"].expected
            yield figure(
                f"anchor/{anchor}/leg/{n}/{pull.line.id}/{case}",
                say(
                    "Force in leg {n} of {anchor}, {line}, {case}",
                    n=n,
                    anchor=anchor,
                    line=pull.line.id,
                    case=say(case),
                ),
                force,
                "N",
                "T leg",
                _leg_formula(len(forces)),
                "{T} · {s}",
                say(
                    "balance of the forces at the joint (Baker & Haynes, Engineering Statics, ch. "
                    "3)"
                ),
                T=profile["anchor"],
                s=share,
            )


def _leg_formula(count: int) -> str:
    if count == 1:
        return "T"
    if count == 2:
        return say("T sin β / sin(α + β), β the angle of the other leg")
    return say("T times its share, from balance and, for fixed legs, equal give of the joint")


def _lost(file: JobFile, anchor: str, pull: Pull) -> Iterator[Figure]:
    count = len(file.job.anchors[anchor].legs)
    if count == 1:
        return
    for lost in range(count):
        try:
            forces = leg_forces(file, anchor, pull.most, lost)
        except Missing:
            continue
        for left, force in enumerate(forces):
            if force is None:
                continue
            yield figure(
                f"anchor/{anchor}/leg_lost/{lost + 1}/{left + 1}/{pull.line.id}",
                say(
                    "Force in leg {left} of {anchor} when leg {lost} is lost, {line}",
                    left=left + 1,
                    anchor=anchor,
                    lost=lost + 1,
                    line=pull.line.id,
                ),
                force,
                "N",
                "T leg",
                say("share of T in the legs that are left"),
                "{s} · {T}",
                say("a single leg that is left turns into the pull and carries it all"),
                T=pull.most,
                s=force.expected / pull.most.expected,
            )


def anchor_checks(file: JobFile, anchor: str, pulls: tuple[Pull, ...]) -> Iterator[Check]:
    """Strength for each line, each leg under the greatest pull, and each leg lost in turn."""
    pulling = total(*(pull.most for pull in pulls))
    gaps = tuple(dict.fromkeys(key for pull in pulls for key in pull.missing))
    legs = range(len(file.job.anchors[anchor].legs))
    yield _system(file, anchor)
    for n in legs:
        yield _leg(file, anchor, n, pulling, gaps)
    if len(legs) > 1:
        for n in legs:
            yield _leg_lost(file, anchor, n, pulling, gaps)


def leg_strength(file: JobFile, anchor: str, leg: int) -> Spread:
    """Stated strength of a leg. Raises `Missing` where its evidence is unknown."""
    stated_leg = file.job.anchors[anchor].legs[leg]
    if stated_leg.evidence == "unknown":
        raise Missing(
            say(
                "anchors.{anchor}.legs[{leg}].evidence other than unknown",
                anchor=anchor,
                leg=leg + 1,
            )
        )
    return stated(
        file,
        ("anchors", anchor, "legs", leg, "strength"),
        "S",
        say("strength of leg {leg}", leg=leg + 1),
    )


def _system(file: JobFile, anchor: str) -> Check:
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
        shares = leg_forces(file, anchor, required)
        pairs = [
            Pair(say("in leg {n}", n=n + 1), share, leg_strength(file, anchor, n))
            for n, share in enumerate(shares)
            if share is not None and share.range.high > 0
        ]
    except Missing as gap:
        return not_demonstrated(question, (gap.key,), exact(1.0), required)
    return judge(question, pairs, exact(1.0), required)


def _leg(file: JobFile, anchor: str, leg: int, pulling: Spread, gaps: tuple[str, ...]) -> Check:
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
    try:
        force = leg_forces(file, anchor, pulling)[leg]
        strength = leg_strength(file, anchor, leg)
        if force is None:
            raise AssertionError("no leg is lost here")
    except Missing as gap:
        return not_demonstrated(question, (gap.key, *gaps), required)
    if gaps:
        return not_demonstrated(question, gaps, required)
    return judge(question, [Pair("", force, strength)], required)


def _leg_lost(
    file: JobFile, anchor: str, lost: int, pulling: Spread, gaps: tuple[str, ...]
) -> Check:
    required = default("general", "leg lost margin", "required")
    question = Question(
        id=f"anchor/{anchor}/leg_lost/{lost + 1}",
        subject=f"anchor/{anchor}",
        title=say("Leg {lost} lost", lost=lost + 1),
        demanded=mark("a force of {amount}"),
        held=mark("A remaining leg of {amount}"),
        unit="N",
        remedy=say("Legs that each hold the whole pull, or a further leg."),
    )
    try:
        pairs = [
            Pair(say("in leg {n}", n=n + 1), force, leg_strength(file, anchor, n))
            for n, force in enumerate(leg_forces(file, anchor, pulling, lost))
            if force is not None
        ]
    except Missing as gap:
        return not_demonstrated(question, (gap.key, *gaps), required)
    if gaps:
        return not_demonstrated(question, gaps, required)
    return judge(question, pairs, required)
