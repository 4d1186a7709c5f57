"""The whole assessment of a job: a pure function of the job file and the tables."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from riskdoc.assess.across import covered_share
from riskdoc.assess.against import against_figures
from riskdoc.assess.air import air_figures, swing_check, swing_missing, swings
from riskdoc.assess.anchor_figures import anchor_figures
from riskdoc.assess.anchor_findings import anchor_findings
from riskdoc.assess.anchors import anchor_checks
from riskdoc.assess.cautions import cautions
from riskdoc.assess.crew import crew_checks
from riskdoc.assess.devices import acting_checks, device_checks
from riskdoc.assess.edge_rules import edge_rules, line_edges
from riskdoc.assess.exposed import exposure_figures
from riskdoc.assess.exposures import EdgeExposure, edge_exposure, exposure_check
from riskdoc.assess.falls import Arrest, arrest, fall_figures, falling
from riskdoc.assess.findings import (
    edge_findings,
    line_findings,
    redirect_findings,
    warning_finding,
)
from riskdoc.assess.hanging import hanging_checks
from riskdoc.assess.hauls import (
    Hauling,
    haul_figures,
    haul_missing,
    hauling,
    jam,
    no_team,
    team_check,
)
from riskdoc.assess.heights import sink_check, sink_figures
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
from riskdoc.assess.method import work_checks
from riskdoc.assess.pulls import Hung, Pull
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
from riskdoc.assess.redirects import pulls_of_redirects, redirect_checks, redirect_figures
from riskdoc.assess.rig import Rig, RigEdge, RigLine, grouped, rig_of
from riskdoc.assess.room import clearance_checks, clearance_figures, stretch_figures
from riskdoc.assess.rules import common_rules
from riskdoc.assess.site import site_checks, wet_check
from riskdoc.assess.stiffness import modulus_figures
from riskdoc.assess.strands import strands_check
from riskdoc.assess.tension import Tensions, tensions, working
from riskdoc.assess.warmth import heat_checks, heat_figures
from riskdoc.job.model import Deviation
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say, speaking
from riskdoc.tables.loader import noted

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
    with speaking(file.voice), noted() as rows:
        return replace(_assessed(file), rows=rows)


def _assessed(file: JobFile) -> Assessment:
    rig = rig_of(file)
    rigged = [rigged_line(file, line) for line in rig.lines]
    pulls = by_anchor(file, rigged)
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
        *(f for name, group in pulls.items() for f in anchor_findings(file, name, group)),
        *unmatched,
        *(warning_finding(n, each) for n, each in enumerate(file.warnings, start=1)),
    )
    return _whole(file, figures, checks, findings, cautions(rig, checks))


@dataclass(frozen=True, slots=True)
class Rigged:
    """A line with its tensions, its fall, its hauling system and its exposure at each edge.

    `missing` is what a case that can load the line needs, and the job does not state.
    """

    line: RigLine
    tensions: Tensions
    fall: Arrest
    system: Hauling | None
    exposed: Mapping[str, EdgeExposure | Missing]
    missing: tuple[str, ...]

    @property
    def pull(self) -> Pull:
        """What the line puts on its anchor."""
        return Pull(self.line, self.tensions, self.missing, self.system)


def rigged_line(file: JobFile, line: RigLine) -> Rigged:
    """A line with all that checks and figures share."""
    fall, system = arrest(file, line), hauling(file, line)
    acting = working(file, line)
    if fall.peak is not None:
        acting[mark("fall")] = falling(fall.peak, fall.peak_against)
    swinging = swings(file, line)
    if swinging is not None:
        acting[mark("swing")] = swinging
    if system is not None:
        acting[mark("jam")] = jam(file, line, system)
    found = tensions(file, line, acting)
    exposed = {edge.id: _exposed(file, line, edge, found) for edge in line.edges}
    missing = (*fall.missing, *swing_missing(file, line), *haul_missing(line))
    return Rigged(line, found, fall, system, exposed, missing)


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
    checks = [rated(file, line), derated(file, line, found, rigged.missing)]
    checks += [arrested(file, line, fall), arrest_force(line, fall)]
    checks += [*clearance_checks(file, line, fall), *device_checks(file, line, fall)]
    if line.person:
        checks.append(sink_check(file, line))
    checks += [*heat_checks(file, line), *line_kit_checks(file, line), strands_check(file, line)]
    if line.person:
        checks.append(swing_check(file, line))
    if rigged.system is not None:
        checks.append(team_check(file, line, rigged.system))
    elif line.raised:
        checks.append(no_team(line))
    checks += [wet_check(line), line_edges(line)]
    for edge in line.edges:
        checks.append(exposure_check(line, edge, rigged.exposed[edge.id]))
        checks += edge_rules(line, edge, _covered(file, line, edge))
    return [*checks, *redirect_checks(file, line, found)]


def by_anchor(file: JobFile, rigged: Sequence[Rigged]) -> dict[str, tuple[Hung, ...]]:
    """What pulls on each anchor: lines that end there, then redirects that hang on it."""
    found: list[tuple[str, Hung]] = [(each.line.line.anchor, each.pull) for each in rigged]
    for each in rigged:
        for hung in pulls_of_redirects(file, each.line, each.tensions, each.missing):
            found.append((hung.redirect.redirect.anchor, hung))
    anchors = grouped(found, lambda pair: pair[0])
    return {name: tuple(hung for _, hung in pairs) for name, pairs in anchors.items()}


def ropes_of(rig: Rig) -> tuple[str, ...]:
    """Ropes that lines hang on, each once."""
    return tuple(dict.fromkeys(line.line.rope for line in rig.lines))


def job_checks(file: JobFile, rig: Rig) -> Iterator[Check]:
    """The checks of the job as a whole."""
    yield from hanging_checks(rig)
    yield from acting_checks(rig)
    yield from common_rules(rig.lines)
    yield from site_checks(file, rig)
    yield from work_checks(file.job)
    yield from crew_checks(file, rig)


def _line_figures(file: JobFile, rigged: Rigged) -> Iterator[Figure]:
    line, found, fall = rigged.line, rigged.tensions, rigged.fall
    yield from tension_figures(file, line, found)
    yield from fall_figures(file, line, fall)
    for numbers in (
        margin_figures(file, line, found, rigged.missing),
        strength_figures(file, line),
        modulus_figures(file, line),
        clearance_figures(file, line, fall),
        stretch_figures(file, line, found),
        sink_figures(file, line),
        air_figures(file, line),
        heat_figures(file, line, found),
    ):
        yield from _where_known(numbers)
    if rigged.system is not None:
        yield from haul_figures(file, line, rigged.system, found)
    for edge in line.edges:
        exposed = rigged.exposed[edge.id]
        if isinstance(exposed, EdgeExposure):
            yield from exposure_figures(file, line, edge, exposed)
            yield from against_figures(file, line, edge, exposed)
    yield from redirect_figures(file, line, found)


def _line_findings(file: JobFile, rigged: Rigged) -> Iterator[Finding]:
    line = rigged.line
    yield from line_findings(file, line, rigged.fall)
    for edge in line.edges:
        exposed = rigged.exposed[edge.id]
        known = exposed if isinstance(exposed, EdgeExposure) else None
        yield from edge_findings(file, line, edge, known)
    yield from redirect_findings(file, line, rigged.tensions)


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
        rows={},
    )


def _order(entry: Input) -> tuple[str, int, int]:
    """Stated inputs in the order of the file, defaults by table."""
    name, *numbers = entry.place.rsplit(":", maxsplit=2)
    if len(numbers) == 2 and all(each.isdigit() for each in numbers):
        return (name, int(numbers[0]), int(numbers[1]))
    return (entry.place, 0, 0)
