"""Hauling: what a system gains, what the team must pull, what its anchor feels, and the jam."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from riskdoc.analysis.figure import Figure
from riskdoc.analysis.figures import figure
from riskdoc.analysis.inputs import counted, from_table, stated
from riskdoc.analysis.load_mass import Acting
from riskdoc.analysis.resolve import RigLine
from riskdoc.analysis.tension import Tensions, friction_at, ratio_free, static, steady
from riskdoc.i18n.message import message
from riskdoc.job.model import Haul
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.by_count import hauling_advantage, tension_at_snag
from riskdoc.mechanics.hauling import (
    EFFORT,
    HAULERS,
    JAM,
    advantage,
    compound,
    effort,
    jam_force,
    system_anchor_force,
)
from riskdoc.quantities.intervals import Interval, combine, exact, greatest, product
from riskdoc.quantities.printing import plain


@dataclass(frozen=True, slots=True)
class Hauling:
    """A hauling system: advantage with friction, without, and the pull of the whole team.

    `each` and `team` are what can be kept up; `jerk` is what one hauler puts in when the load
    snags, and `jerk_team` what they all do.
    """

    actual: Interval
    ideal: Interval
    team: Interval
    haulers: Interval
    each: Interval
    jerk: Interval
    fixed_end: bool

    @property
    def jerk_team(self) -> Interval:
        """The pull of the whole team in a jerk."""
        return product(self.haulers, self.jerk)


def hauling(file: JobFile, line: RigLine) -> Hauling | None:
    """The hauling system of a line, None where it has none."""
    haul = line.line.haul
    if haul is None:
        return None
    each = from_table("work", "pull of one hauler", "p")
    keys = ("lines", line.id, "haul", "haulers")
    haulers = counted(file, keys, haul.haulers, "n", message("haulers"))
    return Hauling(
        actual=_advantage(file, line, haul, _efficiency(file, line)),
        ideal=_advantage(file, line, haul, exact(1.0)),
        team=product(haulers, each),
        haulers=haulers,
        each=each,
        jerk=from_table("work", "pull of one hauler in a jerk", "p"),
        fixed_end=haul.stages[-1].ends == "fixed",
    )


def _efficiency(file: JobFile, line: RigLine) -> Interval:
    if line.line.haul is not None and line.line.haul.efficiency is not None:
        keys = ("lines", line.id, "haul", "efficiency")
        return stated(file, keys, "η", message("efficiency of a sheave"))
    return from_table("work", "sheave efficiency", "η")


def _advantage(file: JobFile, line: RigLine, haul: Haul, efficiency: Interval) -> Interval:
    stages = []
    for n, stage in enumerate(haul.stages):
        keys = ("lines", line.id, "haul", "stages", n, "strands")
        strands = counted(file, keys, stage.strands, "n", message("strands of stage {n}", n=n + 1))
        fixed = stage.ends == "fixed"
        stages.append(combine(lambda s, e, f=fixed: advantage(s, e, f), strands, efficiency))
    return combine(compound, *stages)


def jam(file: JobFile, line: RigLine, system: Hauling) -> Acting:
    """The load snags and the team throws itself into the haul, with all the friction gone.

    The team's force stands at the anchor; edges and redirects lower it on the way to the snag. A
    check counts no such relief.
    """
    force = combine(jam_force, system.haulers, system.jerk, system.ideal)
    at_load, inputs = force, {"F": force}
    for n, bend in enumerate(line.bends, start=1):
        at_load = combine(lambda t, r: t / r, at_load, ratio_free(file, line, bend, "jam", 1.0))
        way, mu, turn = friction_at(file, line, bend, "jam", 1.0)
        inputs |= {f"σ{n}": way, f"μ{n}": mu, f"θ{n}": turn}
    equation = tension_at_snag(len(line.bends))
    return Acting(at_load, 1.0, moving=False, worst=force, equation=equation, inputs=inputs)


def anchor_pull(system: Hauling, case: str, tension: Interval) -> Interval:
    """What the anchor of a hauled line feels: the strands of the system on it, not the load.

    Never less than the line's own tension, which a progress-capture device hands over when the
    team lets go.
    """
    if not system.fixed_end:
        return tension
    pull = system.jerk_team if case == "jam" else combine(effort, tension, system.actual)
    both = combine(lambda t, p: system_anchor_force(t, p, True), tension, pull)
    return greatest(tension, both)


def haul_figures(
    file: JobFile, line: RigLine, system: Hauling, found: Tensions
) -> Iterator[Figure]:
    """Advantage, effort, haulers needed and the jam."""
    name = f"line/{line.id}/haul"
    stages = line.line.haul.stages if line.line.haul is not None else ()
    yield figure(
        f"{name}/advantage",
        message("Advantage of the hauling system, with friction"),
        hauling_advantage([(stage.strands, stage.ends == "fixed") for stage in stages]),
        {"η": _efficiency(file, line)},
        system.actual,
        where=message("without friction {ideal}", ideal=plain(system.ideal.expected)),
    )
    found_steady = steady(file, line)
    case = hauled_case(found_steady)
    tension = found_steady[case]
    pull = combine(effort, tension, system.actual)
    yield figure(
        f"{name}/effort",
        message("Steady effort of the team ({case})", case=message(case)),
        EFFORT,
        {
            "T": tension,
            "A": system.actual,
        },
    )
    title = message("Haulers needed")
    yield figure(
        f"{name}/team",
        title,
        HAULERS,
        {
            "P": pull,
            "p": system.each,
        },
    )
    yield figure(
        f"{name}/jam",
        message("Tension the team can put into the line when the load snags"),
        JAM,
        {
            "n": system.haulers,
            "p": system.jerk,
            "A_ideal": system.ideal,
        },
        found.free["jam"]["anchor"],
    )


def hauled_case(hauled: Mapping[str, Interval]) -> str:
    """The case in which the team pulls most."""
    cases = [case for case in ("raise", "rescue") if case in hauled]
    return max(cases, key=lambda case: hauled[case].expected)


def haul_missing(line: RigLine) -> tuple[str, ...]:
    """The hauling system that a raised line needs and does not state: its jam may load it most."""
    by_hand = line.line.role == "safety" and line.line.why_not("haul") is not None
    if not line.raised or line.line.haul is not None or by_hand:
        return ()
    return (f"lines.{line.id}.haul",)


def steady_effort(file: JobFile, line: RigLine, system: Hauling) -> tuple[str, Interval]:
    """The case of the hardest steady haul, and what the team must keep up in it."""
    case = hauled_case(steady(file, line))
    return case, combine(effort, static(file, line)[case]["anchor"], system.actual)
