"""What a person sees on the terminal. Plain lines that also read well in a pipe."""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from riskdoc.assess.records import Assessment, Check, Figure, Verdict
from riskdoc.cli.saying import tell, tell_lines, wrapped
from riskdoc.language.say import many, mark, say, speaking
from riskdoc.language.units import Toward, amount, rounded
from riskdoc.tables.loader import Table

if TYPE_CHECKING:
    from riskdoc.controls.compare import Comparison
    from riskdoc.controls.limits import Limit
    from riskdoc.controls.study import Study
    from riskdoc.hazards.records import Listed, Register
    from riskdoc.requirements.records import Judged
    from riskdoc.signoff.standing import Standing

MARKS = {
    Verdict.ADEQUATE: mark("[ ok ]"),
    Verdict.BORDERLINE: mark("[near]"),
    Verdict.NOT_DEMONSTRATED: mark("[ ?? ]"),
    Verdict.INADEQUATE: mark("[STOP]"),
}
"""A mark beside each verdict word, so that the column can be scanned; the word says it all."""
LEAST = 11
"""Characters at least for a number in the table of key figures."""


def _width() -> int:
    return max(60, min(shutil.get_terminal_size((100, 24)).columns, 120))


def _wrapped(text: str, indent: int = 0, first: str = "") -> list[str]:
    pad = " " * indent
    return wrapped(text, _width(), first or pad, pad)


def show(
    assessment: Assessment,
    judged: Judged,
    register: Register,
    study: Study | None = None,
    standing: Standing | None = None,
    *,
    everything: bool,
) -> None:
    """Prints an assessment: the verdict, what stands against it, and what was not judged.

    With its study, also what would clear each stop, the proposal, the working limits, and the
    hazards by name; with its sign-offs, how it stands by them. In the voice of the job.
    """
    with speaking(assessment.file.voice):
        for line in _lines(assessment, judged, register, study, standing, everything=everything):
            tell(line)


def _lines(
    assessment: Assessment,
    judged: Judged,
    register: Register,
    study: Study | None,
    standing: Standing | None,
    *,
    everything: bool,
) -> Iterator[str]:
    job = assessment.file.job.job
    yield say(
        "{number} revision {revision}  {title}",
        number=job.number,
        revision=job.revision,
        title=job.title,
    )
    if standing is None:
        digest = assessment.file.digest[:12]
        yield say(
            "status: {status}   draft, not signed   digest {digest}",
            status=say(assessment.status.value),
            digest=digest,
        )
    else:
        yield say(
            "status: {verdict}   state: {state}   digest {digest}",
            verdict=say(assessment.status.value),
            state=say(standing.state.value),
            digest=standing.content.digest[:12],
        )
        yield standing.banner
    yield from _wrapped(assessment.sentence)
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
    yield from _wrapped(
        say(
            "Not judged by this version, whatever the status says: {listed}.",
            listed="; ".join(assessment.not_judged),
        )
    )
    yield from _wrapped(
        say(
            "A competent person decides on site. Local codes, makers' instructions and licensed "
            "practice come first."
        )
    )


def _ordered(checks: tuple[Check, ...]) -> list[Check]:
    return sorted(checks, key=lambda each: -each.verdict.rank)


def _check(check: Check, study: Study | None) -> Iterator[str]:
    word = say(check.verdict.value)
    if check.accepted:
        word = say("{verdict} (accepted)", verdict=word)
    yield f"{say(MARKS[check.verdict])} {word:<12} {check.title}"
    yield f"       {check.id}"
    yield from _wrapped(check.reason, 7)
    if check.remedy:
        yield from _wrapped(check.remedy, 10, first=" " * 7 + "→  ")
    if study is not None and check.id in study.cheapest:
        buy = study.cheapest[check.id]
        if buy is not None:
            said = say("Computed: {title}.", title=buy.title)
        elif check.id in study.untried:
            said = say("No known change clears it alone; pairs were not all tried.")
        else:
            said = say("No known change clears it, alone or paired.")
        yield from _wrapped(said, 10, first=" " * 7 + "+  ")
    if check.accepted:
        yield from _wrapped(
            say("Accepted by {by}: {reason}", by=check.accepted.by, reason=check.accepted.reason), 7
        )
    yield ""


def _proposal(study: Study) -> Iterator[str]:
    found = study.proposal
    if not study.plan.stops:
        return
    if found.buy is None:
        yield from _wrapped(
            say("Proposal: none; no set of known changes that was tried clears a stop.")
        )
    else:
        yield say(
            "Proposal, the smallest set of known changes found ({count}):",
            count=len(found.buy.changes),
        )
        for change in found.buy.changes:
            yield from _wrapped(f"{change.title}: {change.asks}.", 4, first="  + ")
        for each in found.buy.brings:
            yield from _wrapped(say("It brings {id}.", id=each.id), 4)
    if found.left:
        left = ", ".join(check.id for check in found.left)
        yield from _wrapped(say("It leaves: {left}.", left=left), 4)
    if found.cut:
        yield from _wrapped(say("The search ended at its bound; a smaller set may exist."), 4)
    yield ""


def _limits(study: Study) -> Iterator[str]:
    """Limits of the plan as written, and with the proposal where there is one."""
    mended = {each.id: each for each in study.mended}
    yield say("working limits, each alone, all else as planned (no leave to go there)")
    for limit in study.limits:
        yield from _wrapped(f"{limit.title}: {_limit(limit)}.", 4, first="  - ")
        if limit.id in mended:
            yield from _wrapped(
                say("with the proposal: {limit}.", limit=_limit(mended[limit.id])), 6
            )
    yield ""


def _requirements(judged: Judged) -> Iterator[str]:
    yield from _wrapped(judged.sentence)
    for each in judged.not_met:
        yield from _wrapped(
            say(
                "not met: {asks} {reason} ({clause})",
                asks=judged.set.said(each.item.asks),
                reason=each.reason,
                clause=judged.set.said(each.item.clause),
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
        yield from _wrapped(f"{hazard.title} ({_bands(hazard)})", 4, "  - ")
    for finding in register.findings:
        yield from _wrapped(f"{finding.place}: {finding.text}", 4, "  • ")
    yield ""


def _bands(hazard: Listed) -> str:
    if hazard.before is None:
        return say("not rated")
    before = say(hazard.before.band)
    if hazard.after is None:
        return before
    return say("{before}, after {after}", before=before, after=say(hazard.after.band))


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
    shown = [f for line in assessment.file.job.lines for f in _key(assessment, f"line/{line}/")]
    numbers = {figure.id: _numbers(figure) for figure in shown}
    heads = (say("low"), say("expected"), say("high"))
    wide = max(LEAST, *(len(each) + 1 for row in (heads, *numbers.values()) for each in row))
    left = _width() - 3 * wide
    yield from _row(say("key figures"), heads, left, wide)
    for id, row in numbers.items():
        yield from _row(id, row, left, wide)
    yield ""


def _key(assessment: Assessment, start: str) -> Iterator[Figure]:
    for figure in assessment.figures:
        if not figure.id.startswith(start):
            continue
        ends = ("/rated", "/derated", "/arrest", "/peak", "/exposure", "/sweep")
        if figure.id.endswith(ends) or "/tension/anchor/" in figure.id:
            yield figure


def _numbers(figure: Figure) -> tuple[str, ...]:
    toward: Toward = "down" if "/margin/" in figure.id else "up"
    ends = (figure.range.low, figure.range.expected, figure.range.high)
    return tuple(amount(value, figure.unit, toward) for value in ends)


def _row(name: str, cells: Sequence[str], left: int, wide: int) -> Iterator[str]:
    """A row of a table; a name too long for its column stands on a line of its own."""
    values = "".join(f"{each:>{wide}}" for each in cells)
    if len(name) < left:
        yield f"{name:<{left}}{values}"
    else:
        yield name
        yield f"{'':<{left}}{values}"


def _findings(assessment: Assessment) -> Iterator[str]:
    for finding in assessment.findings:
        yield from _wrapped(f"{finding.place}: {finding.text}", 4, first="  • ")
    if assessment.findings:
        yield ""


def show_comparison(found: Comparison) -> None:
    """Prints plans side by side: what stands against each, and the key figures that differ.

    In the voice of the first plan.
    """
    with speaking(found.ways[0].plan.file.voice):
        for line in _compared(found):
            tell(line)


def _compared(found: Comparison) -> Iterator[str]:
    for way in found.ways:
        yield f"{way.name}: {say(way.plan.status.value)}, {_against(len(way.plan.stops))}"
        yield from _wrapped(way.title, 4)
    yield ""
    names = tuple(way.name for way in found.ways)
    rows = dict(_differing(found))
    verdicts = {
        id: tuple(found.verdict(name, id) for name in names) for id, _, _ in found.differing
    }
    cells = [each for row in (*rows.values(), *verdicts.values()) for each in row]
    wide = max(14, *(len(name) + 2 for name in names), *(len(each) + 1 for each in cells))
    left = max(30, _width() - wide * len(names))
    yield from _row(say("expected values that differ"), names, left, wide)
    for id, row in rows.items():
        yield from _row(id, row, left, wide)
    yield ""
    if not verdicts:
        yield say("No check comes out worse in one plan than in another.")
    else:
        yield from _row(say("verdicts that differ"), names, left, wide)
    for id, row in verdicts.items():
        yield from _row(id, row, left, wide)
    yield ""
    yield from _wrapped(
        say(
            "A comparison decides nothing by itself: each plan's own report says what stands "
            "against it, and a competent person decides."
        )
    )


def _against(stops: int) -> str:
    if not stops:
        return say("no check against it")
    return many("{count} check against it", "{count} checks against it", stops)


def _differing(found: Comparison) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Ids of the key figures that differ, each with its expected value in every plan."""
    for id, _, unit in found.key_figures.index:
        figures = [way.plan.figure(str(id)) for way in found.ways]
        ranges = [None if figure is None else figure.range for figure in figures]
        if any(each is None or each != ranges[0] for each in ranges):
            yield str(id), tuple(_said(figure, str(unit)) for figure in figures)


def _said(figure: Figure | None, unit: str) -> str:
    if figure is None:
        return say("not demonstrated")
    toward: Toward = "down" if "/margin/" in figure.id or "available" in figure.id else "up"
    return amount(figure.range.expected, unit, toward)


def show_table(table: Table) -> None:
    """Prints one table of defaults with its sources."""
    tell(f"{table.title} ({table.name})")
    for row, cells in table.rows.items():
        tell(f"  {row}")
        for column, cell in cells.items():
            values = " / ".join(rounded(v, "near") for v in (cell.low, cell.expected, cell.high))
            unit = "" if cell.unit == "1" else f" {cell.unit}"
            tell_lines(_wrapped(f"{column}: {values}{unit}   {cell.provenance}: {cell.source}", 6))
    tell()
