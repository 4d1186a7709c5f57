"""Figures of an anchor: its angle, what pulls on it and how far that turns, forces in its legs."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.assess.anchors import caught_pull, lost_pull, turned
from riskdoc.assess.extension import extension_of
from riskdoc.assess.figures import figure
from riskdoc.assess.inputs import Missing
from riskdoc.assess.legs import included, leg_forces
from riskdoc.assess.pulls import Hung, Pull, reach_over_rope, turn_of_pull
from riskdoc.assess.records import Figure
from riskdoc.assess.spread import Spread, fitting, total
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say

SHARE_FORMULAS = {
    ("self", True): mark(
        "T / (2 cos β), β after the joint has slid to rest without friction; legs that are stated "
        "apart take T sin β / sin(α + β) too"
    ),
    ("self", False): mark("T / |Σ u| after the joint has slid to rest without friction"),
    ("fixed", True): mark(
        "T sin β / sin(α + β), β the angle of the other leg; side by side T k / Σk as well"
    ),
    ("fixed", False): mark("T times its share, from balance and equal give of the joint"),
}
"""How the force in a leg is found, by how the legs share and whether there are two."""


def anchor_figures(file: JobFile, anchor: str, pulls: tuple[Hung, ...]) -> Iterator[Figure]:
    """Angle, pulls, turns, and force per leg in each case and with another one lost."""
    several = len(file.job.anchors[anchor].legs) > 1
    if several:
        yield _included(file, anchor)
    for pull in pulls:
        if isinstance(pull, Pull):
            yield _force(anchor, pull)
            if several:
                yield from _turn(file, anchor, pull)
            yield from _by_case(file, anchor, pull)
        if several:
            yield from _extension(file, anchor, pull)
            yield from _lost(file, anchor, pull)
    if len(pulls) > 1:
        yield _sum(anchor, pulls)


def _included(file: JobFile, anchor: str) -> Figure:
    return figure(
        f"anchor/{anchor}/included",
        say("Angle between the outermost legs of anchor ‘{anchor}’", anchor=anchor),
        included(file, anchor),
        "rad",
        "α",
        say("sum of the angles of two legs, else the greatest angle between any two directions"),
        say("from the angles or directions stated"),
        say("geometry"),
    )


def _force(anchor: str, pull: Pull) -> Figure:
    return figure(
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
        " / ".join(f"{say(case)} {number.expected:.5g}" for case, number in pull.by_case.items()),
        say("tension at the anchor as checks take it"),
    )


def _sum(anchor: str, pulls: tuple[Hung, ...]) -> Figure:
    most = [pull.most for pull in pulls]
    return figure(
        f"anchor/{anchor}/sum",
        say("Sum of all that pulls on anchor ‘{anchor}’", anchor=anchor),
        total(*fitting(*most)),
        "N",
        "ΣT",
        say("sum of the sizes; the directions are not known, and no sum of them is greater"),
        " + ".join(f"{each.expected:.5g}" for each in most),
        say("lines that end there and redirects that hang on it, each at its greatest"),
    )


def _turn(file: JobFile, anchor: str, pull: Pull) -> Iterator[Figure]:
    try:
        turn, (reach, rope) = turn_of_pull(file, pull.line), reach_over_rope(file, pull.line)
    except Missing:
        return
    over = bool(pull.line.edges)
    yield figure(
        f"anchor/{anchor}/turn/{pull.line.id}",
        say(
            "How far the reach turns the pull of line ‘{line}’ on anchor ‘{anchor}’, either side",
            line=pull.line.id,
            anchor=anchor,
        ),
        turn,
        "rad",
        "τ",
        "arctan(x / L)" if over else "arcsin(x / L)",
        "arctan({x} / {L})" if over else "arcsin({x} / {L})",
        say("geometry: the rope lies straight in the unfolded planes, without friction")
        if over
        else say("geometry: a free rope is a straight line"),
        x=reach,
        L=rope,
    )


def _by_case(file: JobFile, anchor: str, pull: Pull) -> Iterator[Figure]:
    for case, profile in pull.tensions.free.items():
        try:
            forces = leg_forces(file, anchor, profile["anchor"], pull.way)
        except Missing:
            return
        for n, force in enumerate(forces):
            if force is not None:
                turn = turned(file, anchor, n, pull.way)
                yield _leg(file, anchor, pull, (n, case, turn), (force, profile["anchor"]))


def _leg(
    file: JobFile,
    anchor: str,
    pull: Pull,
    about: tuple[int, str, str],
    forces: tuple[Spread, Spread],
) -> Figure:
    (n, case, turn), (force, tension) = about, forces
    part = file.job.anchors[anchor]
    return figure(
        f"anchor/{anchor}/leg/{n + 1}/{pull.line.id}/{case}",
        say(
            "Force in leg {n} of anchor ‘{anchor}’, line ‘{line}’, {case}",
            n=n + 1,
            anchor=anchor,
            line=pull.line.id,
            case=", ".join(filter(None, (say(case), turn))),
        ),
        force,
        "N",
        "T leg",
        "T" if part.equalised is None else say(SHARE_FORMULAS[part.equalised, len(part.legs) == 2]),
        "{T} · {s}",
        say(
            "balance of the forces at the joint (Baker & Haynes, Engineering Statics, ch. 3), at "
            "the worst turn of the pull"
        ),
        T=tension,
        s=force.expected / tension.expected,
    )


def _extension(file: JobFile, anchor: str, pull: Hung) -> Iterator[Figure]:
    try:
        extension = extension_of(file, anchor)
        if extension is None:
            return
        caught = caught_pull(file, pull, extension)
    except Missing:
        return
    yield figure(
        f"anchor/{anchor}/extension/{pull.id}",
        say("Pull on anchor ‘{anchor}’ that catches the load when a leg goes, {what}",
            anchor=anchor, what=pull.words),
        caught, "N", "F",
        say("m g + √((m g)² + 2 m g k K h / L), at most the slip force of a device; of a redirect "
            "2 F sin(θ/2), with h times 2 sin(θ/2)"),
        say("free fall h of the extension, {h}"),
        say("energy balance, as the peak force of a fall"), h=extension,
    )  # fmt: skip


def _lost(file: JobFile, anchor: str, pull: Hung) -> Iterator[Figure]:
    for lost in range(len(file.job.anchors[anchor].legs)):
        try:
            whole, why = lost_pull(file, pull, extension_of(file, anchor))
            forces = leg_forces(file, anchor, whole, pull.way, lost)
        except Missing:
            continue
        for left, force in enumerate(forces):
            if force is not None:
                yield _left(anchor, pull, (lost, left), (force, whole), why)


def _left(
    anchor: str, pull: Hung, legs: tuple[int, int], forces: tuple[Spread, Spread], why: str
) -> Figure:
    (lost, left), (force, whole) = legs, forces
    return figure(
        f"anchor/{anchor}/leg_lost/{lost + 1}/{left + 1}/{pull.id}",
        say(
            "Force in leg {left} of anchor ‘{anchor}’ when leg {lost} is lost, {what}: {why}",
            left=left + 1,
            anchor=anchor,
            lost=lost + 1,
            what=pull.words,
            why=why,
        ),
        force,
        "N",
        "T leg",
        say("share of T in the legs that are left"),
        "{s} · {T}",
        say("a single leg that is left turns into the pull and carries it all"),
        T=whole,
        s=force.expected / whole.expected,
    )
