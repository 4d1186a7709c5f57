"""Figures of an anchor: its angle, what pulls on it and how far that turns, forces in its legs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from riskdoc.analysis.anchor_load_cases import caught_pull, caught_worked, lost_pull, turned
from riskdoc.analysis.anchor_pulls import Hung, Pull, reach_over_rope, turn_of_pull
from riskdoc.analysis.extension import extension_of
from riskdoc.analysis.figure import Figure
from riskdoc.analysis.figures import figure
from riskdoc.analysis.inputs import Missing
from riskdoc.analysis.leg_forces import included, leg_angle, leg_forces, outermost, shares
from riskdoc.analysis.leg_workings import leg_worked
from riskdoc.i18n.message import Text, filled, joined, message
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.anchors import INCLUDED, INCLUDED_BY_TWO, LEG_LEFT
from riskdoc.mechanics.by_count import PULL, PULLS, of_several
from riskdoc.mechanics.turned import TURN_OF_FREE_ROPE, TURN_OVER_EDGES
from riskdoc.quantities.intervals import Interval, fitting, total
from riskdoc.quantities.printing import plain


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
    id = f"anchor/{anchor}/included"
    title = message("Angle between the outermost legs of anchor ‘{anchor}’", anchor=anchor)
    number = included(file, anchor)
    if len(file.job.anchors[anchor].legs) == 2:
        first, other = (leg_angle(file, anchor, n) for n in range(2))
        return figure(
            id,
            title,
            INCLUDED_BY_TWO,
            {
                "α1": first,
                "α2": other,
            },
            number,
        )
    one, two = outermost(file, anchor)
    parts = {
        f"{name}{n}": part
        for n, leg in ((1, one), (2, two))
        for name, part in zip("xyz", leg, strict=True)
    }
    return figure(id, title, INCLUDED, parts, number)


def _force(anchor: str, pull: Pull) -> Figure:
    cases = pull.by_case
    return figure(
        f"anchor/{anchor}/force/{pull.line.id}",
        message(
            "Greatest pull of {line} on {anchor}, as checks take it",
            line=pull.line.id,
            anchor=anchor,
        ),
        of_several(np.maximum, [filled("T {case}", case=message(case)) for case in cases], PULL),
        _counted(cases.values()),
        pull.most,
    )


def _sum(anchor: str, pulls: tuple[Hung, ...]) -> Figure:
    most = [pull.most for pull in pulls]
    return figure(
        f"anchor/{anchor}/sum",
        message("Sum of all that pulls on anchor ‘{anchor}’", anchor=anchor),
        of_several(np.add, [filled("T {pull}", pull=pull.words) for pull in pulls], PULLS),
        _counted(most),
        total(*fitting(*most)),
    )


def _counted(numbers: Iterable[Interval]) -> dict[str, Interval]:
    return {f"n{n}": number for n, number in enumerate(numbers, start=1)}


def _turn(file: JobFile, anchor: str, pull: Pull) -> Iterator[Figure]:
    try:
        turn, (reach, rope) = turn_of_pull(file, pull.line), reach_over_rope(file, pull.line)
    except Missing:
        return
    yield figure(
        f"anchor/{anchor}/turn/{pull.line.id}",
        message(
            "How far the reach turns the pull of line ‘{line}’ on anchor ‘{anchor}’, either side",
            line=pull.line.id,
            anchor=anchor,
        ),
        TURN_OVER_EDGES if pull.line.edges else TURN_OF_FREE_ROPE,
        {
            "x": reach,
            "L": rope,
        },
        turn,
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
    about: tuple[int, str, Text],
    forces: tuple[Interval, Interval],
) -> Figure:
    (n, case, turn), (force, tension) = about, forces
    equation, inputs = leg_worked(file, anchor, n, tension, pull.line)
    return figure(
        f"anchor/{anchor}/leg/{n + 1}/{pull.line.id}/{case}",
        message(
            "Force in leg {n} of anchor ‘{anchor}’, line ‘{line}’, {case}",
            n=n + 1,
            anchor=anchor,
            line=pull.line.id,
            case=joined([message(case), turn]),
        ),
        equation,
        inputs,
        force,
    )


def _extension(file: JobFile, anchor: str, pull: Hung) -> Iterator[Figure]:
    try:
        extension = extension_of(file, anchor)
        if extension is None:
            return
        caught = caught_pull(file, pull, extension)
    except Missing:
        return
    equation, inputs = caught_worked(file, pull, extension)
    yield figure(
        f"anchor/{anchor}/extension/{pull.id}",
        message(
            "Pull on anchor ‘{anchor}’ that catches the load when a leg goes, {what}",
            anchor=anchor,
            what=pull.words,
        ),
        equation,
        inputs,
        caught,
        where=message("free fall {h} m", h=plain(extension.expected)),
    )


def _lost(file: JobFile, anchor: str, pull: Hung) -> Iterator[Figure]:
    for lost in range(len(file.job.anchors[anchor].legs)):
        try:
            whole, why = lost_pull(file, pull, extension_of(file, anchor))
            forces = leg_forces(file, anchor, whole, pull.way, lost)
        except Missing:
            continue
        share = iter(shares(file, anchor, pull.way, lost))
        for left, force in enumerate(forces):
            if force is not None:
                inputs = {"T": whole, "s": next(share)}
                yield _left(anchor, pull, (lost, left), force, inputs, why)


def _left(
    anchor: str,
    pull: Hung,
    legs: tuple[int, int],
    force: Interval,
    inputs: dict[str, Interval],
    why: Text,
) -> Figure:
    lost, left = legs
    return figure(
        f"anchor/{anchor}/leg_lost/{lost + 1}/{left + 1}/{pull.id}",
        message(
            "Force in leg {left} of anchor ‘{anchor}’ when leg {lost} is lost, {what}: {why}",
            left=left + 1,
            anchor=anchor,
            lost=lost + 1,
            what=pull.words,
            why=why,
        ),
        LEG_LEFT,
        inputs,
        force,
    )
