"""The whole assessment of a job: a pure function of the job file and the tables."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from riskdoc.assess.air import air_figures, air_findings, swings
from riskdoc.assess.anchors import (
    Pull,
    anchor_checks,
    anchor_figures,
    redirect_checks,
    redirect_figures,
)
from riskdoc.assess.cautions import cautions
from riskdoc.assess.crew import crew_checks
from riskdoc.assess.exposures import (
    EdgeExposure,
    edge_exposure,
    exposure_check,
    exposure_figures,
)
from riskdoc.assess.falls import Arrest, arrest, fall_figures, modulus_figures
from riskdoc.assess.findings import (
    anchor_findings,
    edge_findings,
    line_findings,
    redirect_findings,
    rope_findings,
    warning_finding,
)
from riskdoc.assess.hauls import Hauling, haul_figures, hauling, jam, team_check
from riskdoc.assess.inputs import Missing
from riskdoc.assess.judge import worst
from riskdoc.assess.kit import kit_figures, line_kit_checks, rope_checks, rope_figures
from riskdoc.assess.margins import (
    arrest_force,
    arrested,
    derated,
    margin_figures,
    rated,
    strength_figures,
    tension_figures,
)
from riskdoc.assess.movements import covered_share
from riskdoc.assess.records import (
    Acceptance,
    Assessment,
    Caution,
    Check,
    Figure,
    Finding,
    Input,
    Range,
    Verdict,
)
from riskdoc.assess.rig import Rig, RigEdge, RigLine, grouped, rig_of
from riskdoc.assess.room import clearance_checks, clearance_figures, stretch_figures
from riskdoc.assess.rules import common_rules, edge_rules, load_rules
from riskdoc.assess.tension import Acting, Tensions, tensions, working
from riskdoc.assess.warmth import heat_checks, heat_figures
from riskdoc.job.model import Deviation
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say, speaking

NOT_JUDGED = (
    mark("whether controls, isolations and permits are really in place on the day"),
    mark("whether the rescue plan works where it is needed, and in its time"),
    mark("hidden damage, and what nobody put into the job file"),
)
"""What this version leaves to the people who sign. Printed wherever a verdict is printed."""


def assess(file: JobFile) -> Assessment:
    """Everything computed and judged about a job.

    Pure: the same job file gives the same assessment. Raises `TooManyRangesError` where a figure
    depends on more ranged inputs than its corners can be computed for.
    """
    with speaking(file.voice):
        return _assessed(file)


def _assessed(file: JobFile) -> Assessment:
    rig = rig_of(file)
    rigged = [rigged_line(file, line) for line in rig.lines]
    pulls = by_anchor(rigged)
    checks, unmatched = accepted(
        file,
        [
            *(check for each in rigged for check in line_checks(file, each)),
            *(check for name, group in pulls.items() for check in anchor_checks(file, name, group)),
            *job_checks(file, rig),
            *(check for name in ropes_of(rig) for check in rope_checks(file, name)),
        ],
    )
    figures = (
        *(figure for each in rigged for figure in _line_figures(file, each)),
        *(f for name, group in pulls.items() for f in anchor_figures(file, name, group)),
        *(figure for name in ropes_of(rig) for figure in rope_figures(file, name)),
        *kit_figures(file, rig),
    )
    findings = (
        *(finding for each in rigged for finding in _line_findings(file, each)),
        *(finding for name in pulls for finding in anchor_findings(file, name)),
        *(finding for name in ropes_of(rig) for finding in rope_findings(file, name)),
        *unmatched,
        *(warning_finding(n, each) for n, each in enumerate(file.warnings, start=1)),
    )
    return _whole(file, figures, checks, findings, cautions(rig, checks))


@dataclass(frozen=True, slots=True)
class Rigged:
    """A line with its tensions, its fall, its hauling system and its exposure at each edge."""

    line: RigLine
    tensions: Tensions
    fall: Arrest
    system: Hauling | None
    exposed: Mapping[str, EdgeExposure | Missing]

    @property
    def pull(self) -> Pull:
        """What the line puts on its anchor."""
        return Pull(self.line, self.tensions, self.fall.missing, self.system)


def rigged_line(file: JobFile, line: RigLine) -> Rigged:
    """A line with all that checks and figures share."""
    fall, system = arrest(file, line), hauling(file, line)
    acting = working(file, line)
    if fall.peak is not None:
        acting[mark("fall")] = Acting(fall.peak, -1.0, moving=False, worst=fall.peak_against)
    swinging = swings(file, line)
    if swinging is not None:
        acting[mark("swing")] = swinging
    if system is not None:
        acting[mark("jam")] = jam(file, line, system)
    found = tensions(file, line, acting)
    exposed = {edge.id: _exposed(file, line, edge, found) for edge in line.edges}
    return Rigged(line, found, fall, system, exposed)


def _exposed(
    file: JobFile, line: RigLine, edge: RigEdge, found: Tensions
) -> EdgeExposure | Missing:
    try:
        return edge_exposure(file, line, edge, found)
    except Missing as gap:
        return gap


def line_checks(file: JobFile, rigged: Rigged) -> list[Check]:
    """Every check of a line, of its edges and of its redirects."""
    line, found, fall = rigged.line, rigged.tensions, rigged.fall
    checks = [rated(file, line), derated(file, line, found, fall)]
    if line.arrests:
        checks += [arrested(file, line), arrest_force(line, fall)]
        checks += clearance_checks(file, line, fall)
    checks += [*heat_checks(file, line), *line_kit_checks(file, line)]
    if rigged.system is not None:
        checks.append(team_check(line, rigged.system, found))
    for edge in line.edges:
        checks.append(exposure_check(line, edge, rigged.exposed[edge.id]))
        checks += edge_rules(line, edge, _covered(file, line, edge))
    return [*checks, *redirect_checks(file, line, rigged.pull.most_anywhere)]


def by_anchor(rigged: Sequence[Rigged]) -> dict[str, tuple[Pull, ...]]:
    """The pulls of the lines by the anchor they hang on."""
    return grouped([each.pull for each in rigged], lambda pull: pull.line.line.anchor)


def ropes_of(rig: Rig) -> tuple[str, ...]:
    """Ropes that lines hang on, each once."""
    return tuple(dict.fromkeys(line.line.rope for line in rig.lines))


def job_checks(file: JobFile, rig: Rig) -> Iterator[Check]:
    """The checks of the job as a whole."""
    yield from load_rules(rig.by_load)
    yield from common_rules(rig.lines)
    yield from crew_checks(file, rig)


def _line_figures(file: JobFile, rigged: Rigged) -> Iterator[Figure]:
    line, found, fall = rigged.line, rigged.tensions, rigged.fall
    yield from tension_figures(line, found)
    yield from fall_figures(line, fall)
    for numbers in (
        margin_figures(file, line, found, fall),
        strength_figures(file, line),
        modulus_figures(file, line),
        clearance_figures(file, line, fall),
        stretch_figures(file, line, found),
        air_figures(file, line),
        heat_figures(file, line, found),
    ):
        yield from _where_known(numbers)
    if rigged.system is not None:
        yield from haul_figures(line, rigged.system, found)
    for edge in line.edges:
        exposed = rigged.exposed[edge.id]
        if isinstance(exposed, EdgeExposure):
            yield from exposure_figures(file, line, edge, exposed)
    yield from redirect_figures(file, line, rigged.pull.most_anywhere)


def _line_findings(file: JobFile, rigged: Rigged) -> Iterator[Finding]:
    line = rigged.line
    yield from line_findings(file, line, rigged.fall)
    yield from air_findings(file, line)
    for edge in line.edges:
        exposed = rigged.exposed[edge.id]
        known = exposed if isinstance(exposed, EdgeExposure) else None
        yield from edge_findings(file, line, edge, known)
    yield from redirect_findings(file, line, rigged.pull.most_anywhere)


def _where_known(numbers: Iterator[Figure]) -> Iterator[Figure]:
    """The figures that can be computed; what is missing is told by the check that needs it."""
    try:
        yield from numbers
    except Missing:
        return


def _covered(file: JobFile, line: RigLine, edge: RigEdge) -> Range | None:
    """What of the sweep is covered, whatever else of the exposure may be missing."""
    try:
        return covered_share(file, line, edge).range
    except Missing:
        return None


def accepted(file: JobFile, checks: list[Check]) -> tuple[tuple[Check, ...], tuple[Finding, ...]]:
    """Checks with their acceptances. Only a borderline check can be accepted."""
    wanted = {each.check: (n, each) for n, each in enumerate(file.job.signoff.deviations)}
    verdicts = {check.id: check.verdict for check in checks}
    findings = []
    for id, (n, _) in wanted.items():
        verdict = verdicts.get(id)
        if verdict is not Verdict.BORDERLINE:
            place = str(file.place("signoff", "deviations", n))
            findings.append(Finding(f"deviation/{id}", "signoff", _no_effect(id, verdict), place))
    done = [_with_acceptance(file, check, wanted) for check in checks]
    return tuple(done), tuple(findings)


def _no_effect(id: str, verdict: Verdict | None) -> str:
    if verdict is None:
        return say(
            "The accepted exception for {id} has no effect: there is no such check, and only a "
            "borderline check can be accepted.",
            id=id,
        )
    return say(
        "The accepted exception for {id} has no effect: it is {verdict}, and only a borderline "
        "check can be accepted.",
        id=id,
        verdict=say(verdict.value),
    )


def _with_acceptance(
    file: JobFile, check: Check, wanted: dict[str, tuple[int, Deviation]]
) -> Check:
    if check.id not in wanted or check.verdict is not Verdict.BORDERLINE:
        return check
    n, deviation = wanted[check.id]
    name = file.job.people[deviation.by].name
    place = str(file.place("signoff", "deviations", n))
    return replace(
        check,
        accepted=Acceptance(name, deviation.reason, deviation.until, deviation.conditions, place),
    )


def _whole(
    file: JobFile,
    figures: tuple[Figure, ...],
    checks: tuple[Check, ...],
    findings: tuple[Finding, ...],
    warned: tuple[Caution, ...],
) -> Assessment:
    status = worst([c.verdict for c in checks])
    used: dict[str, Input] = {each.id: each for f in figures for each in f.inputs}
    used |= {each.id: each for c in checks for each in c.inputs}
    ordered = sorted(used.values(), key=_order)
    return Assessment(
        file=file,
        status=status,
        figures=figures,
        checks=checks,
        findings=findings,
        cautions=warned,
        inputs=tuple(each for each in ordered if each.provenance == "stated"),
        defaults=tuple(each for each in ordered if each.provenance != "stated"),
        requirement_set=file.job.job.requirements,
        not_judged=tuple(map(say, NOT_JUDGED)),
    )


def _order(entry: Input) -> tuple[str, int, int]:
    """Stated inputs in the order of the file, defaults by table."""
    name, *numbers = entry.place.rsplit(":", maxsplit=2)
    if len(numbers) == 2 and all(each.isdigit() for each in numbers):
        return (name, int(numbers[0]), int(numbers[1]))
    return (entry.place, 0, 0)
