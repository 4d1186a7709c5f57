"""The whole assessment of a job: a pure function of the job file and the tables."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from riskdoc.analysis.abrasion import EdgeExposure
from riskdoc.analysis.analyse import Rigged, by_anchor, line_figures, rigged_line, ropes_of
from riskdoc.analysis.anchor_figures import anchor_figures
from riskdoc.analysis.edge_crossing import covered_share
from riskdoc.analysis.figure import Figure
from riskdoc.analysis.inputs import Missing
from riskdoc.analysis.kit import kit_figures, rope_figures
from riskdoc.analysis.resolve import Rig, RigEdge, RigLine, rig_of
from riskdoc.i18n.message import Phrase, Text, message
from riskdoc.i18n.say import Message
from riskdoc.job.model import Deviation
from riskdoc.job.reading import JobFile
from riskdoc.judgement.abrasion import exposure_check
from riskdoc.judgement.anchor_findings import anchor_findings
from riskdoc.judgement.anchors import anchor_checks
from riskdoc.judgement.cautions import cautions
from riskdoc.judgement.clearance import clearance_checks
from riskdoc.judgement.common_rules import common_rules
from riskdoc.judgement.devices import acting_checks, device_checks
from riskdoc.judgement.edge_rules import edge_rules, line_edges
from riskdoc.judgement.findings import (
    edge_findings,
    line_findings,
    redirect_findings,
    warning_finding,
)
from riskdoc.judgement.hanging import hanging_checks
from riskdoc.judgement.haul_team import no_team, team_check
from riskdoc.judgement.heat import heat_checks
from riskdoc.judgement.judge import worst
from riskdoc.judgement.kit import line_kit_checks, rope_checks
from riskdoc.judgement.margins import arrest_force, arrested, derated, rated
from riskdoc.judgement.method import work_checks
from riskdoc.judgement.personnel import crew_checks
from riskdoc.judgement.redirects import redirect_checks
from riskdoc.judgement.sink import sink_check
from riskdoc.judgement.site import site_checks, wet_check
from riskdoc.judgement.strands import strands_check
from riskdoc.judgement.swing import swing_check
from riskdoc.judgement.verdicts import Acceptance, Assessment, Caution, Check, Finding, Verdict
from riskdoc.quantities.ranges import Input, Range
from riskdoc.tables.loader import noted

NOT_JUDGED = (
    message("whether controls, isolations and permits are really in place on the day"),
    message("whether the rescue plan works where it is needed, and in its time"),
    message("hidden damage, and what nobody put into the job file"),
)
"""What this version leaves to the people who sign. Printed wherever a verdict is printed."""


def assess(file: JobFile) -> Assessment:
    """Everything computed and judged about a job.

    Pure: the same job file gives the same assessment. Raises `TooManyRangesError` where a figure
    depends on more ranged inputs than its corners can be computed for.
    """
    with noted() as rows:
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
        *(figure for each in rigged for figure in line_figures(file, each)),
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


def job_checks(file: JobFile, rig: Rig) -> Iterator[Check]:
    """The checks of the job as a whole."""
    yield from hanging_checks(rig)
    yield from acting_checks(rig)
    yield from common_rules(rig.lines)
    yield from site_checks(file, rig)
    yield from work_checks(file.job)
    yield from crew_checks(file, rig)


def _line_findings(file: JobFile, rigged: Rigged) -> Iterator[Finding]:
    line = rigged.line
    yield from line_findings(file, line, rigged.fall)
    for edge in line.edges:
        exposed = rigged.exposed[edge.id]
        known = exposed if isinstance(exposed, EdgeExposure) else None
        yield from edge_findings(file, line, edge, known)
    yield from redirect_findings(file, line, rigged.tensions)


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


def _no_effect(id: str, verdict: Verdict | None) -> Text:
    if verdict is None:
        return message(
            "The accepted exception for {id} has no effect: there is no such check, and only a "
            "borderline check can be accepted.",
            id=id,
        )
    return message(
        "The accepted exception for {id} has no effect: it is {verdict}, and only a borderline "
        "check can be accepted.",
        id=id,
        verdict=message(verdict.value),
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
        not_judged=NOT_JUDGED,
        rows={},
    )


def _order(entry: Input) -> tuple[str, int, int]:
    """Stated inputs in the order of the file, defaults by table."""
    if isinstance(entry.place, Phrase):  # not as it is said: the order is that of every language
        return (" ".join([entry.place.key, *(str(part) for _, part in entry.place.parts)]), 0, 0)
    if isinstance(entry.place, Message):
        return ("", 0, 0)
    name, *numbers = entry.place.rsplit(":", maxsplit=2)
    if len(numbers) == 2 and all(each.isdigit() for each in numbers):
        return (name, int(numbers[0]), int(numbers[1]))
    return (entry.place, 0, 0)
