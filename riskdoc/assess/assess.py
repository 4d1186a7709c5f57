"""The whole assessment of a job: a pure function of the job file and the tables."""

from __future__ import annotations

from collections.abc import Iterator
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
from riskdoc.assess.exposures import (
    EdgeExposure,
    edge_exposure,
    exposure_check,
    exposure_figures,
)
from riskdoc.assess.falls import Arrest, arrest, modulus_figures
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
from riskdoc.assess.judge import Question, not_shown, rule, worst
from riskdoc.assess.kit import line_kit_checks, rope_checks, rope_figures
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
from riskdoc.assess.rig import RigEdge, RigLine, grouped, rig_of
from riskdoc.assess.room import clearance_checks, clearance_figures, stretch_figures
from riskdoc.assess.rules import common_rules, edge_rules, load_rules
from riskdoc.assess.tension import Acting, Tensions, tensions, working
from riskdoc.assess.warmth import heat_checks, heat_figures
from riskdoc.job.model import Deviation
from riskdoc.job.reading import JobFile

NOT_JUDGED = (
    "hazards, people's competence, permits and weather other than the stated wind",
    "whether the rescue plan works and how long it takes",
    "ropes cut by a tool, falling objects, hot work",
)
"""What this version leaves to the people who sign. Printed wherever a verdict is printed."""


@dataclass(frozen=True, slots=True)
class _Part:
    """What one line, rope or anchor adds to the assessment."""

    figures: tuple[Figure, ...] = ()
    checks: tuple[Check, ...] = ()
    findings: tuple[Finding, ...] = ()


def assess(file: JobFile) -> Assessment:
    """Everything computed and judged about a job.

    Pure: the same job file gives the same assessment. Raises `TooManyRangesError` where a figure
    depends on more ranged inputs than its corners can be computed for.
    """
    rig = rig_of(file)
    rigged = [_rigged(file, line) for line in rig.lines]
    pulls = tuple(Pull(r.line, r.tensions, r.fall.missing, r.system) for r in rigged)
    parts = [
        *(_line(file, each) for each in rigged),
        *(_redirects(file, pull) for pull in pulls),
        *(
            _anchor(file, name, group)
            for name, group in grouped(pulls, lambda pull: pull.line.line.anchor).items()
        ),
        _Part(checks=(*load_rules(rig.by_load), *common_rules(rig.lines), _rescue(file))),
        *(_rope(file, name) for name in dict.fromkeys(line.line.rope for line in rig.lines)),
    ]
    checks, unmatched = _accepted(file, [c for part in parts for c in part.checks])
    figures = tuple(f for part in parts for f in part.figures)
    findings = (
        *(f for part in parts for f in part.findings),
        *unmatched,
        *(warning_finding(n, each) for n, each in enumerate(file.warnings, start=1)),
    )
    return _whole(file, figures, checks, findings, cautions(rig, checks))


@dataclass(frozen=True, slots=True)
class _Rigged:
    """A line with its tensions, its fall and its hauling system."""

    line: RigLine
    tensions: Tensions
    fall: Arrest
    system: Hauling | None


def _rigged(file: JobFile, line: RigLine) -> _Rigged:
    fall, system = arrest(file, line), hauling(file, line)
    acting = working(file, line)
    if fall.peak is not None:
        acting["fall"] = Acting(fall.peak, -1.0, moving=False, worst=fall.peak_against)
    swinging = swings(file, line)
    if swinging is not None:
        acting["swing"] = swinging
    if system is not None:
        acting["jam"] = jam(file, line, system)
    return _Rigged(line, tensions(file, line, acting), fall, system)


def _line(file: JobFile, rigged: _Rigged) -> _Part:
    line, found, fall = rigged.line, rigged.tensions, rigged.fall
    figures = [*tension_figures(line, found), *fall.figures]
    checks = [rated(file, line), derated(file, line, found, fall)]
    if line.arrests:
        checks += [arrested(file, line), arrest_force(line, fall)]
        checks += clearance_checks(file, line, fall)
    for numbers in (
        margin_figures(file, line, found, fall),
        strength_figures(file, line),
        modulus_figures(file, line),
        clearance_figures(file, line, fall),
        stretch_figures(file, line, found),
        air_figures(file, line),
        heat_figures(file, line, found),
    ):
        figures += _where_known(numbers)
    checks += [*heat_checks(file, line), *line_kit_checks(file, line)]
    if rigged.system is not None:
        figures += haul_figures(line, rigged.system, found)
        checks.append(team_check(line, rigged.system, found))
    findings = [*line_findings(file, line, fall), *air_findings(file, line)]
    for edge in line.edges:
        part = _edge(file, line, edge, found)
        figures += part.figures
        checks += part.checks
        findings += part.findings
    return _Part(tuple(figures), tuple(checks), tuple(findings))


def _redirects(file: JobFile, pull: Pull) -> _Part:
    return _Part(
        figures=tuple(redirect_figures(file, pull.line, pull.most_anywhere)),
        checks=tuple(redirect_checks(file, pull.line, pull.most_anywhere)),
        findings=tuple(redirect_findings(file, pull.line, pull.most_anywhere)),
    )


def _where_known(numbers: Iterator[Figure]) -> list[Figure]:
    """The figures that can be computed; what is missing is told by the check that needs it."""
    found: list[Figure] = []
    try:
        found.extend(numbers)
    except Missing:
        return found
    return found


def _edge(file: JobFile, line: RigLine, edge: RigEdge, found: Tensions) -> _Part:
    exposed: EdgeExposure | Missing
    try:
        exposed = edge_exposure(file, line, edge, found)
    except Missing as gap:
        exposed = gap
    known = exposed if isinstance(exposed, EdgeExposure) else None
    return _Part(
        figures=tuple(exposure_figures(file, line, edge, known)) if known else (),
        checks=(
            exposure_check(line, edge, exposed),
            *edge_rules(line, edge, _covered(file, line, edge)),
        ),
        findings=tuple(edge_findings(file, line, edge, known)),
    )


def _covered(file: JobFile, line: RigLine, edge: RigEdge) -> Range | None:
    """What of the sweep is covered, whatever else of the exposure may be missing."""
    try:
        return covered_share(file, line, edge).range
    except Missing:
        return None


def _rescue(file: JobFile) -> Check:
    """Whether a rescue plan is stated at all; whether it is enough is for those who sign."""
    plan = file.job.rescue
    question = Question(
        id="rescue/stated",
        subject="rescue",
        title="Rescue plan stated",
        demanded="",
        held="",
        unit="1",
        remedy="",
    )
    gaps = tuple(
        f"rescue.{key}" for key in ("who", "method", "time_to_ground") if not getattr(plan, key)
    )
    if gaps:
        return not_shown(question, gaps, None)
    return rule(
        question.id,
        question.subject,
        question.title,
        Verdict.ADEQUATE,
        "Rescuers, method and time to the ground are stated; whether they are enough is not "
        "judged by this version.",
        "",
        "Work at Height Regulations 2005, reg. 4(1): planning includes emergencies and rescue "
        "(from memory)",
    )


def _anchor(file: JobFile, name: str, pulls: tuple[Pull, ...]) -> _Part:
    return _Part(
        figures=tuple(anchor_figures(file, name, pulls)),
        checks=tuple(anchor_checks(file, name, pulls)),
        findings=tuple(anchor_findings(file, name)),
    )


def _rope(file: JobFile, name: str) -> _Part:
    return _Part(
        figures=tuple(rope_figures(file, name)),
        checks=tuple(rope_checks(file, name)),
        findings=tuple(rope_findings(file, name)),
    )


def _accepted(file: JobFile, checks: list[Check]) -> tuple[tuple[Check, ...], tuple[Finding, ...]]:
    """Checks with their acceptances. Only a marginal check can be accepted."""
    wanted = {each.check: (n, each) for n, each in enumerate(file.job.signoff.deviations)}
    verdicts = {check.id: check.verdict for check in checks}
    findings = []
    for id, (n, _) in wanted.items():
        verdict = verdicts.get(id)
        if verdict is not Verdict.MARGINAL:
            said = f"it is {verdict.value}" if verdict else "there is no such check"
            findings.append(
                Finding(
                    f"deviation/{id}", "signoff",
                    f"The deviation for {id} has no effect: {said}, and only a marginal check can "
                    "be accepted.",
                    str(file.place("signoff", "deviations", n)),
                )
            )  # fmt: skip
    done = [_with_acceptance(file, check, wanted) for check in checks]
    return tuple(done), tuple(findings)


def _with_acceptance(
    file: JobFile, check: Check, wanted: dict[str, tuple[int, Deviation]]
) -> Check:
    if check.id not in wanted or check.verdict is not Verdict.MARGINAL:
        return check
    n, deviation = wanted[check.id]
    name = file.job.people[deviation.by].name
    place = str(file.place("signoff", "deviations", n))
    return replace(check, accepted=Acceptance(name, deviation.reason, place))


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
        sentence=_sentence(status, checks),
        figures=figures,
        checks=checks,
        findings=findings,
        cautions=warned,
        inputs=tuple(each for each in ordered if each.provenance == "stated"),
        defaults=tuple(each for each in ordered if each.provenance != "stated"),
        requirement_set=file.job.job.requirements,
        not_judged=NOT_JUDGED,
    )


def _order(entry: Input) -> tuple[str, int, int]:
    """Stated inputs in the order of the file, defaults by table."""
    name, *numbers = entry.place.rsplit(":", maxsplit=2)
    if len(numbers) == 2 and all(each.isdigit() for each in numbers):
        return (name, int(numbers[0]), int(numbers[1]))
    return (entry.place, 0, 0)


def _sentence(status: Verdict, checks: tuple[Check, ...]) -> str:
    stops = [c for c in checks if not c.stands]
    accepted = sum(c.accepted is not None for c in checks)
    if not stops:
        text = f"All {len(checks)} checks are adequate"
        if accepted:
            text = f"All {len(checks)} checks stand, {accepted} of them marginal and accepted"
        return text + "; the plan may start once it is signed and its conditions hold."
    counts = _counts(stops)
    return f"The plan may not start as written: {counts} of {len(checks)} checks stand against it."


def _counts(stops: list[Check]) -> str:
    words: Iterator[str] = (
        f"{n} {verdict.value}"
        for verdict in reversed(Verdict)
        if (n := sum(c.verdict is verdict for c in stops))
    )
    return ", ".join(words)
