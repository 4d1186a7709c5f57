"""What the anchors feel: the pull of every line, the legs that carry it, and a leg lost."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from riskdoc.assess.figures import figure
from riskdoc.assess.inputs import Missing, default, stated
from riskdoc.assess.judge import Pair, Question, judge, not_shown
from riskdoc.assess.records import Check, Figure
from riskdoc.assess.rig import RigLine
from riskdoc.assess.spread import Spread, combine, exact, greatest, total
from riskdoc.assess.tension import Tensions
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.anchors import two_leg

SUPPORTED_LEGS = 2


@dataclass(frozen=True, slots=True)
class Pull:
    """The greatest pull of one line on its anchor, as checks take it; None where not known."""

    line: RigLine
    tensions: Tensions
    missing: tuple[str, ...]

    @property
    def most(self) -> Spread:
        """The greatest pull over every case that is known."""
        return greatest(*(profile["anchor"] for profile in self.tensions.against.values()))


def leg_forces(file: JobFile, anchor: str, pull: Spread) -> tuple[Spread, ...]:
    """Force in each leg under a pull. Raises `Missing` for what this cannot do."""
    legs = file.job.anchors[anchor].legs
    if len(legs) == 1:
        return (pull,)
    if len(legs) > SUPPORTED_LEGS:
        raise Missing(f"anchors.{anchor} with at most {SUPPORTED_LEGS} legs")
    angles = [_angle(file, anchor, n) for n in range(2)]
    first = combine(lambda t, a, b: two_leg(t, a, b)[0], pull, *angles)
    second = combine(lambda t, a, b: two_leg(t, a, b)[1], pull, *angles)
    return (first, second)


def _angle(file: JobFile, anchor: str, leg: int) -> Spread:
    return stated(file, ("anchors", anchor, "legs", leg, "angle"), "α", f"angle of leg {leg + 1}")


def anchor_figures(file: JobFile, anchor: str, pulls: tuple[Pull, ...]) -> Iterator[Figure]:
    """Pull of each line, force per leg in each case, and force per leg with another one lost."""
    for pull in pulls:
        yield figure(
            f"anchor/{anchor}/force/{pull.line.id}",
            f"Greatest pull of {pull.line.id} on {anchor}, friction never helping",
            pull.most,
            "N",
            "T = greatest over cases",
            " / ".join(
                f"{case} {profile['anchor'].expected:.5g}"
                for case, profile in pull.tensions.against.items()
            ),
            "tension at the anchor as checks take it",
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
            share = force.expected / profile["anchor"].expected
            yield figure(
                f"anchor/{anchor}/leg/{n}/{pull.line.id}/{case}",
                f"Force in leg {n} of {anchor}, {pull.line.id}, {case}",
                force,
                "N",
                "T leg = T sin β / sin(α + β)" if len(forces) > 1 else "T leg = T",
                "{T} · {s}",
                "law of sines on the triangle of forces; β is the angle of the other leg",
                T=profile["anchor"],
                s=share,
            )


def _lost(file: JobFile, anchor: str, pull: Pull) -> Iterator[Figure]:
    if len(file.job.anchors[anchor].legs) != SUPPORTED_LEGS:
        return
    for lost, left in ((1, 2), (2, 1)):
        yield figure(
            f"anchor/{anchor}/leg_lost/{lost}/{left}/{pull.line.id}",
            f"Force in leg {left} of {anchor} when leg {lost} is lost, {pull.line.id}",
            pull.most,
            "N",
            "T leg = T",
            "{T}",
            "the leg that is left turns into the line of pull and carries it all",
            T=pull.most,
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


def _strength(file: JobFile, anchor: str, leg: int) -> Spread:
    stated_leg = file.job.anchors[anchor].legs[leg]
    if stated_leg.evidence == "unknown":
        raise Missing(f"anchors.{anchor}.legs[{leg + 1}].evidence other than unknown")
    return stated(
        file, ("anchors", anchor, "legs", leg, "strength"), "S", f"strength of leg {leg + 1}"
    )


def _system(file: JobFile, anchor: str) -> Check:
    required = default("general", "anchor strength", "S required")
    question = Question(
        id=f"anchor/{anchor}/strength",
        subject=f"anchor/{anchor}",
        title="Anchor strength for one line",
        demanded="its share of the strength asked of an anchor,",
        held="A leg strength of",
        unit="N",
        remedy="A stronger anchor, a smaller angle between its legs, or a test of it.",
    )
    try:
        shares = leg_forces(file, anchor, required)
        pairs = [
            Pair(f"in leg {n + 1}", share, _strength(file, anchor, n))
            for n, share in enumerate(shares)
        ]
    except Missing as gap:
        return not_shown(question, (gap.key,), exact(1.0), required)
    return judge(question, pairs, exact(1.0), required)


def _leg(file: JobFile, anchor: str, leg: int, pulling: Spread, gaps: tuple[str, ...]) -> Check:
    required = default("general", "anchor margin", "required")
    question = Question(
        id=f"anchor/{anchor}/leg/{leg + 1}",
        subject=f"anchor/{anchor}",
        title=f"Leg {leg + 1} under the greatest pull",
        demanded="a force of",
        held="A leg strength of",
        unit="N",
        remedy="A stronger leg, a smaller angle, less friction while raising, or a shorter fall.",
    )
    try:
        force = leg_forces(file, anchor, pulling)[leg]
        strength = _strength(file, anchor, leg)
    except Missing as gap:
        return not_shown(question, (gap.key, *gaps), required)
    if gaps:
        return not_shown(question, gaps, required)
    return judge(question, [Pair("", force, strength)], required)


def _leg_lost(
    file: JobFile, anchor: str, lost: int, pulling: Spread, gaps: tuple[str, ...]
) -> Check:
    required = default("general", "leg lost margin", "required")
    question = Question(
        id=f"anchor/{anchor}/leg_lost/{lost + 1}",
        subject=f"anchor/{anchor}",
        title=f"Leg {lost + 1} lost",
        demanded="the whole pull of",
        held="A remaining leg of",
        unit="N",
        remedy="Legs that each hold the whole pull, or a further leg.",
    )
    if len(file.job.anchors[anchor].legs) > SUPPORTED_LEGS:
        key = f"anchors.{anchor} with at most {SUPPORTED_LEGS} legs"
        return not_shown(question, (key,), required)
    try:
        strength = _strength(file, anchor, 1 - lost)
    except Missing as gap:
        return not_shown(question, (gap.key, *gaps), required)
    if gaps:
        return not_shown(question, gaps, required)
    return judge(question, [Pair("", pulling, strength)], required)


def pulls_by_anchor(pulls: tuple[Pull, ...]) -> Mapping[str, tuple[Pull, ...]]:
    """Pulls grouped by the anchor they act on."""
    groups: dict[str, tuple[Pull, ...]] = {}
    for pull in pulls:
        name = pull.line.line.anchor
        groups[name] = (*groups.get(name, ()), pull)
    return groups
