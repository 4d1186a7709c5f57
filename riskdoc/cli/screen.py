"""What a person sees on the terminal. Plain lines that also read well in a pipe."""

from __future__ import annotations

import shutil
import sys
import textwrap
from collections.abc import Iterator
from typing import TYPE_CHECKING

from riskdoc.assess.records import Assessment, Check, Figure, Verdict
from riskdoc.language.say import say
from riskdoc.language.units import Toward, amount, rounded
from riskdoc.tables.loader import Table

if TYPE_CHECKING:
    from riskdoc.controls.compare import Comparison
    from riskdoc.controls.limits import Limit
    from riskdoc.controls.study import Study
    from riskdoc.hazards.records import Register
    from riskdoc.requirements.records import Judged

MARKS = {
    Verdict.ADEQUATE: "[ ok ]",
    Verdict.MARGINAL: "[near]",
    Verdict.NOT_SHOWN: "[ ?? ]",
    Verdict.INADEQUATE: "[STOP]",
}
"""A mark beside each verdict word, so that the column can be scanned; the word says it all."""


def _width() -> int:
    return max(60, min(shutil.get_terminal_size((100, 24)).columns, 120))


def _out(text: str = "") -> None:
    sys.stdout.write(text + "\n")


def _wrapped(text: str, indent: int = 0, first: str = "") -> str:
    pad = " " * indent
    return textwrap.fill(text, _width(), initial_indent=first or pad, subsequent_indent=pad)


def show(
    assessment: Assessment,
    judged: Judged,
    register: Register,
    study: Study | None = None,
    *,
    everything: bool,
) -> None:
    """Prints an assessment: the verdict, what stands against it, and what was not judged.

    With its study, also what would clear each stop, the proposal, the working limits, and the
    hazards by name.
    """
    for line in _lines(assessment, judged, register, study, everything=everything):
        _out(line)


def _lines(
    assessment: Assessment,
    judged: Judged,
    register: Register,
    study: Study | None,
    *,
    everything: bool,
) -> Iterator[str]:
    job = assessment.file.job.job
    yield f"{job.number} revision {job.revision}  {job.title}"
    digest = assessment.file.digest[:12]
    yield say(
        "status: {status}   draft, not signed   digest {digest}",
        status=assessment.status.value,
        digest=digest,
    )
    yield _wrapped(assessment.sentence)
    yield ""
    shown = [c for c in _ordered(assessment.checks) if everything or not c.stands or c.accepted]
    for check in shown:
        yield from _check(check, study)
    hidden = len(assessment.checks) - len(shown)
    if hidden:
        yield say("{hidden} other checks are adequate; --all shows them.", hidden=hidden)
        yield ""
    yield from _requirements(judged)
    if study is not None:
        yield from _proposal(study)
        yield from _limits(study)
        yield from _hazards(register)
    else:
        yield say("{count} hazards are listed for this job.", count=len(register.hazards))
        yield say("--controls shows them, what would clear each stop, and working limits.")
        yield ""
    yield from _key_figures(assessment)
    yield from _findings(assessment)
    yield _wrapped(say("Not judged by this version, whatever the status says: ")
                   + "; ".join(assessment.not_judged) + ".")  # fmt: skip
    yield _wrapped(
        say(
            "A competent person decides on site. Local codes, makers' instructions and licensed "
            "practice come first."
        )
    )


def _ordered(checks: tuple[Check, ...]) -> list[Check]:
    return sorted(checks, key=lambda each: -each.verdict.rank)


def _check(check: Check, study: Study | None) -> Iterator[str]:
    word = check.verdict.value + (say(" (accepted)") if check.accepted else "")
    yield f"{MARKS[check.verdict]} {word:<12} {check.title}"
    yield f"       {check.id}"
    yield _wrapped(check.reason, 7)
    if check.remedy:
        yield _wrapped(check.remedy, 10, first=" " * 7 + "→  ")
    if study is not None and check.id in study.cheapest:
        buy = study.cheapest[check.id]
        if buy is not None:
            said = say("Computed: {title}.", title=buy.title)
        elif check.id in study.untried:
            said = say("No known change clears it alone; pairs were not all tried.")
        else:
            said = say("No known change clears it, alone or paired.")
        yield _wrapped(said, 10, first=" " * 7 + "+  ")
    if check.accepted:
        yield _wrapped(
            say("Accepted by {by}: {reason}", by=check.accepted.by, reason=check.accepted.reason), 7
        )
    yield ""


def _proposal(study: Study) -> Iterator[str]:
    found = study.proposal
    if not study.plan.stops:
        return
    if found.buy is None:
        yield _wrapped(say("Proposal: none; no set of known changes that was tried clears a stop."))
    else:
        yield say(
            "Proposal, the smallest set of known changes found ({count}):",
            count=len(found.buy.changes),
        )
        for change in found.buy.changes:
            yield _wrapped(f"{change.title}: {change.asks}.", 4, first="  + ")
        for each in found.buy.brings:
            yield _wrapped(say("It brings {id}.", id=each.id), 4)
    if found.left:
        yield _wrapped(say("It leaves: ") + ", ".join(check.id for check in found.left) + ".", 4)
    if found.cut:
        yield say("    The search ended at its bound; a smaller set may exist.")
    yield ""


def _limits(study: Study) -> Iterator[str]:
    """Limits of the plan as written, and with the proposal where there is one."""
    mended = {each.id: each for each in study.mended}
    yield say("working limits, each alone, all else as planned (no leave to go there)")
    for limit in study.limits:
        yield _wrapped(f"{limit.title}: {_limit(limit)}.", 4, first="  - ")
        if limit.id in mended:
            yield _wrapped(say("with the proposal: {limit}.", limit=_limit(mended[limit.id])), 6)
    yield ""


def _requirements(judged: Judged) -> Iterator[str]:
    yield _wrapped(judged.sentence)
    for each in judged.not_met:
        yield _wrapped(
            say(
                "not met: {asks} {reason} ({clause})",
                asks=each.item.asks,
                reason=each.reason,
                clause=each.item.clause,
            ),
            4,
            "  - ",
        )
    yield ""


def _hazards(register: Register) -> Iterator[str]:
    yield say(
        "{count} hazards are listed; the report has each with its controls",
        count=len(register.hazards),
    )
    for hazard in register.hazards:
        after = say(", after {band}", band=hazard.after.band) if hazard.after else ""
        band = f"{hazard.before.band}{after}" if hazard.before else say("not rated")
        yield _wrapped(f"{hazard.title} ({band})", 4, "  - ")
    for finding in register.findings:
        yield _wrapped(f"{finding.place}: {finding.text}", 4, "  • ")
    yield ""


def _limit(limit: Limit) -> str:
    why = limit.beyond or (limit.set_by.id if limit.set_by else say("the end of what was tried"))
    parts = {"planned": limit.planned, "most": limit.most, "why": why}
    if limit.greatest is None:
        return say("planned {planned}; no value holds ({why})", **parts)
    if limit.least is None:
        return say("planned {planned}; at most {most} ({why})", **parts)
    return say(
        "planned {planned}; at least {least} and at most {most} ({why})",
        **parts,
        least=limit.fewest,
    )


def _key_figures(assessment: Assessment) -> Iterator[str]:
    width = _width() - 3 * 11
    yield f"{'key figures':<{width}}{'low':>11}{'expected':>11}{'high':>11}"
    for line in assessment.file.job.lines:
        for figure in _key(assessment, f"line/{line}/"):
            yield from _row(figure, width)
    yield ""


def _key(assessment: Assessment, start: str) -> Iterator[Figure]:
    for figure in assessment.figures:
        if not figure.id.startswith(start):
            continue
        ends = ("/rated", "/derated", "/arrest", "/peak", "/exposure", "/sweep")
        if figure.id.endswith(ends) or "/tension/anchor/" in figure.id:
            yield figure


def _row(figure: Figure, width: int) -> Iterator[str]:
    """One figure; an id too long for its column stands on a line of its own."""
    toward: Toward = "down" if "/margin/" in figure.id else "up"
    values = (figure.range.low, figure.range.expected, figure.range.high)
    numbers = "".join(f"{amount(value, figure.unit, toward):>11}" for value in values)
    if len(figure.id) < width:
        yield f"{figure.id:<{width}}{numbers}"
    else:
        yield figure.id
        yield f"{'':<{width}}{numbers}"


def _findings(assessment: Assessment) -> Iterator[str]:
    for finding in assessment.findings:
        yield _wrapped(f"{finding.place}: {finding.text}", 4, first="  • ")
    if assessment.findings:
        yield ""


def show_comparison(found: Comparison) -> None:
    """Prints plans side by side: what stands against each, and the key figures that differ."""
    for way in found.ways:
        stops = len(way.plan.stops)
        against = (
            say("{stops} checks against it", stops=stops)
            if stops != 1
            else say("1 check against it")
        )
        _out(f"{way.name}: {way.plan.status.value}, {against if stops else 'no check against it'}")
        _out(_wrapped(way.title, 4))
    _out()
    names = [way.name for way in found.ways]
    width = max(14, *(len(name) + 2 for name in names))
    left = max(30, _width() - width * len(names))
    _out(f"{'expected values that differ':<{left}}" + "".join(f"{n:>{width}}" for n in names))
    for id, _, unit in found.key_figures.index:
        figures = [way.plan.figure(str(id)) for way in found.ways]
        if all(each is not None and each.range == figures[0].range for each in figures):  # type: ignore[union-attr]
            continue
        values = "".join(f"{_said(each, str(unit)):>{width}}" for each in figures)
        if len(str(id)) < left:
            _out(f"{id:<{left}}{values}")
        else:
            _out(str(id))
            _out(f"{'':<{left}}{values}")
    _out()
    _verdicts(found, names, left, width)
    _out(_wrapped(say("A comparison decides nothing by itself: each plan's own report says what "
                      "stands against it, and a competent person decides.")))  # fmt: skip


def _said(figure: Figure | None, unit: str) -> str:
    if figure is None:
        return say("not shown")
    toward: Toward = "down" if "/margin/" in figure.id or "available" in figure.id else "up"
    return amount(figure.range.expected, unit, toward)


def _verdicts(found: Comparison, names: list[str], left: int, width: int) -> None:
    """Checks that do not come to one verdict in all plans."""
    if not found.differing:
        _out(say("No check comes out worse in one plan than in another."))
    else:
        _out(f"{'verdicts that differ':<{left}}" + "".join(f"{n:>{width}}" for n in names))
    for id, _, _ in found.differing:
        values = "".join(f"{found.verdict(name, id):>{width}}" for name in names)
        _out(f"{id:<{left}}{values}" if len(id) < left else f"{id}\n{'':<{left}}{values}")
    _out()


def show_table(table: Table) -> None:
    """Prints one table of defaults with its sources."""
    _out(f"{table.title} ({table.name})")
    for row, cells in table.rows.items():
        _out(f"  {row}")
        for column, cell in cells.items():
            values = " / ".join(rounded(v, "near") for v in (cell.low, cell.expected, cell.high))
            unit = "" if cell.unit == "1" else f" {cell.unit}"
            _out(_wrapped(f"{column}: {values}{unit}   {cell.provenance}: {cell.source}", 6))
    _out()
