"""What a person sees on the terminal. Plain lines that also read well in a pipe."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from riskdoc.analysis.figure import Figure
from riskdoc.cli.saying import columns, tell, tell_lines, wrapped
from riskdoc.i18n.say import many, mark, say, speaking
from riskdoc.judgement.verdicts import Acceptance, Assessment, Check, Verdict
from riskdoc.quantities.printing import Toward, amount, exact, rounded, some, unit_of, with_unit
from riskdoc.report.number_format import nothing
from riskdoc.requirements.changes import answer_words, package_words, step_words
from riskdoc.requirements.dossier import Dossier
from riskdoc.requirements.outcome import open_items
from riskdoc.signing.signing import own_words
from riskdoc.tables.loader import Table

if TYPE_CHECKING:
    from riskdoc.hazards.rated import Listed, Register
    from riskdoc.mitigation.combinations import Package
    from riskdoc.mitigation.compare import Comparison
    from riskdoc.mitigation.limits import Limit
    from riskdoc.mitigation.study import Study
    from riskdoc.requirements.dossier import Brief
    from riskdoc.requirements.items import Judged
    from riskdoc.signing.sign_off_state import SignOffState

MARKS = {
    Verdict.ADEQUATE: mark("[ ok ]"),
    Verdict.BORDERLINE: mark("[near]"),
    Verdict.NOT_DEMONSTRATED: mark("[ ?? ]"),
    Verdict.INADEQUATE: mark("[FAIL]"),
}
"""A mark beside each verdict word, so that the column can be scanned; the word says it all."""
MOVING = ("/exposure", "/sweep")
"""Ends of the ids of figures that are nought only where nothing moves."""
LEAST = 11
"""Characters at least for a number in the table of key figures."""


def _wrapped(text: str, indent: int = 0, first: str = "") -> list[str]:
    pad = " " * indent
    return wrapped(text, columns(), first or pad, pad)


def show(whole: Brief | Dossier, standing: SignOffState, *, everything: bool) -> None:
    """Prints a plan: its status, what is not met, and what was not judged.

    With its study, also the package of changes, the working limits, and the hazards by name. In
    the voice of the job.
    """
    with speaking(whole.plan.file.voice):
        for line in _lines(whole, standing, everything=everything):
            tell(line)


def summary(standing: SignOffState) -> Iterator[str]:
    """The status of a document in two lines: its words and digest, and its sentence.

    Beneath them stands who signed with a meaning of their own.
    """
    status = standing.status
    yield say(
        "status: {verdict}   state: {state}   digest {digest}",
        verdict=say(status.verdict.value),
        state=say(status.state.value),
        digest=standing.content.digest[:12],
    )
    yield from _wrapped(status.headline)
    yield from _wrapped(own_words(standing))


def _lines(whole: Brief | Dossier, standing: SignOffState, *, everything: bool) -> Iterator[str]:
    assessment = whole.plan
    job = assessment.file.job.job
    yield say(
        "{number} revision {revision}  {title}",
        number=job.number,
        revision=job.revision,
        title=job.title,
    )
    yield from summary(standing)
    yield ""
    shown = [c for c in _ordered(assessment.checks) if everything or not c.stands or c.accepted]
    package = whole.study.package if isinstance(whole, Dossier) else None
    for check in shown:
        yield from _check(check, package)
    hidden = len(assessment.checks) - len(shown)
    if hidden:
        yield say("{hidden} other checks are adequate; --all shows them.", hidden=hidden)
        yield ""
    yield from _requirements(whole.judged)
    if isinstance(whole, Dossier):
        yield from _package(whole)
        yield from _limits(whole.study)
        yield from _hazards(whole.register)
    else:
        yield say("{count} hazards are listed for this job.", count=len(whole.register.hazards))
        yield say("--controls shows them, the package of changes, and working limits.")
        yield ""
    yield from _key_figures(assessment)
    yield from _findings(assessment)
    yield from _wrapped(
        say(
            "Not judged by this version, whatever the status says: {listed}.",
            listed="; ".join(map(str, assessment.not_judged)),
        )
    )
    yield from _wrapped(
        say(
            "The permit issuer and the supervisor decide. Local codes, makers' instructions and "
            "licensed practice come first."
        )
    )


def _ordered(checks: tuple[Check, ...]) -> list[Check]:
    return sorted(checks, key=lambda each: -each.verdict.rank)


def _check(check: Check, package: Package | None) -> Iterator[str]:
    word = say(check.verdict.value)
    if check.accepted:
        word = say("{verdict} (accepted)", verdict=word)
    yield f"{say(MARKS[check.verdict])} {word:<12} {check.title}"
    yield f"       {check.id}"
    yield from _wrapped(str(check.reason), 7)
    remedy = check.remedy
    if package is not None and check.id in package.mended:
        remedy = say("Package: {answer}.", answer=answer_words(package, check))
    if remedy:
        yield from _wrapped(str(remedy), 10, first=" " * 7 + "→  ")
    if check.accepted:
        yield from _wrapped(accepted_words(check.accepted), 7)
        for each in check.accepted.conditions:
            yield from _wrapped(
                say("on condition: {condition}", condition=each), 11, " " * 9 + "- "
            )
    yield ""


def accepted_words(it: Acceptance) -> str:
    """Who accepts a borderline check, why, and until when."""
    return say(
        "Accepted by {by} until {until}: {reason}",
        by=it.by,
        until=it.until.isoformat(),
        reason=it.reason.rstrip("."),
    )


def _package(whole: Dossier) -> Iterator[str]:
    """The package of changes: each with the key and value to write, and what it leaves."""
    found = whole.study.package
    if not whole.plan.failed_checks:
        return
    if found.steps:
        yield from _wrapped(say("package of changes, each with the key and the value to write:"))
    for n, step in enumerate(found.steps, start=1):
        yield from _wrapped(f"{step_words(step)}: {step.change.asks}.", 5, first=f"  {n}. ")
        for each in step.writes:
            yield from _wrapped(str(each.text), 9, first="     = ")
    for sentence in package_words(whole):
        yield from _wrapped(sentence, 2)
    for check in found.missing:
        keys = ", ".join(map(str, check.missing))
        yield from _wrapped(say("{id}: state {keys}.", id=check.id, keys=keys), 4, "  ? ")
    yield ""


def _limits(study: Study) -> Iterator[str]:
    """Limits of the plan as written, and with the package where there is one."""
    mended = {each.id: each for each in study.mended}
    yield from _wrapped(
        say(
            "how far each quantity may go, each alone, all else as planned (the plan's own values "
            "are the limits of the crew):"
        )
    )
    for limit in study.limits:
        yield from _wrapped(f"{limit.title}: {_limit(limit)}.", 4, first="  - ")
        if limit.id in mended:
            yield from _wrapped(
                say("with the package: {limit}.", limit=_limit(mended[limit.id])), 6
            )
    yield ""


def _requirements(judged: Judged) -> Iterator[str]:
    yield from _wrapped(judged.sentence)
    for each in open_items(judged):
        yield from _wrapped(
            say(
                "{answer}: {asks} {reason} ({clause})",
                answer=say(each.answer.value),
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
    if not limit.bounded:
        low, high = (exact(end, limit.unit, "down") for end in limit.tried)
        return say(
            "planned {planned}; no check bounds it from {low} to {high}, the range tried",
            planned=limit.planned,
            low=low,
            high=high,
        )
    why = limit.beyond or (limit.set_by.id if limit.set_by else "")
    parts = {"planned": limit.planned, "most": limit.most, "why": why}
    if limit.greatest is None:
        return say("planned {planned}; not met at any value ({why})", **parts)
    if limit.least is None:
        return say("planned {planned}; at most {most} ({why})", **parts)
    return say(
        "planned {planned}; at least {least} and at most {most} ({why})",
        **parts,
        least=limit.fewest,
    )


def _key_figures(assessment: Assessment) -> Iterator[str]:
    shown = [f for line in assessment.file.job.lines for f in _key(assessment, f"line/{line}/")]
    numbers = {_called(figure): _numbers(figure) for figure in shown}
    heads = (say("low"), say("expected"), say("high"))
    whole = [row for row in (heads, *numbers.values()) if len(row) == len(heads)]
    wide = max(LEAST, *(len(each) + 1 for row in whole for each in row))
    left = columns() - 3 * wide
    yield from _row(say("key figures"), heads, left, wide)
    for id, row in numbers.items():
        # Words alone take the room of all the numbers of a row.
        yield from _row(id, row, left, wide if len(row) > 1 else wide * len(heads))
    yield ""


def _key(assessment: Assessment, start: str) -> Iterator[Figure]:
    for figure in assessment.figures:
        if not figure.id.startswith(start):
            continue
        ends = ("/rated", "/derated", "/arrest", "/peak", *MOVING)
        if figure.id.endswith(ends) or "/tension/anchor/" in figure.id:
            yield figure


def _called(figure: Figure) -> str:
    """The id of a figure, and what its ends are where they are not low and high."""
    return figure.id if figure.band is None else say("{id} (10 %, 90 %)", id=figure.id)


def _numbers(figure: Figure) -> tuple[str, ...]:
    toward: Toward = "down" if "/margin/" in figure.id else "up"
    if not figure.id.endswith(MOVING):
        ends = (figure.shown.low, figure.shown.expected, figure.shown.high)
        return tuple(amount(value, figure.unit, toward) for value in ends)
    if words := nothing(figure):
        return (words,)
    unit = unit_of(figure.unit)
    ends = (figure.shown.low, figure.shown.expected, figure.shown.high)
    digits = some(figure.shown, figure.unit, toward)
    return tuple(with_unit(d, unit) if end else d for d, end in zip(digits, ends, strict=True))


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
    """Prints plans side by side: how many checks each does not meet, and the figures that differ.

    In the voice of the first plan.
    """
    with speaking(found.ways[0].plan.file.voice):
        for line in _compared(found):
            tell(line)


def _compared(found: Comparison) -> Iterator[str]:
    for way in found.ways:
        yield say(
            "{name}: worst check {verdict}; {unmet}",
            name=way.name,
            verdict=say(way.plan.status.value),
            unmet=_unmet(len(way.plan.failed_checks)),
        )
        yield from _wrapped(str(way.title), 4)
    yield ""
    names = tuple(way.name for way in found.ways)
    rows = dict(_differing(found))
    verdicts = {
        id: tuple(str(found.verdict(name, id)) for name in names) for id, _, _ in found.differing
    }
    cells = [each for row in (*rows.values(), *verdicts.values()) for each in row]
    wide = max(14, *(len(name) + 2 for name in names), *(len(each) + 1 for each in cells))
    left = max(30, columns() - wide * len(names))
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
            "A comparison decides nothing by itself: each plan's own report says which checks it "
            "does not meet, and the permit issuer and the supervisor decide."
        )
    )


def _unmet(count: int) -> str:
    if not count:
        return say("all checks met")
    return many("{count} check not met", "{count} checks not met", count)


def _differing(found: Comparison) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Ids of the key figures that differ, each with its expected value in every plan."""
    for id, _, unit in found.key_figures.index:
        figures = [way.plan.figure(str(id)) for way in found.ways]
        ranges = [None if figure is None else figure.shown for figure in figures]
        if any(each is None or each != ranges[0] for each in ranges):
            yield str(id), tuple(_said(figure, str(unit)) for figure in figures)


def _said(figure: Figure | None, unit: str) -> str:
    if figure is None:
        return say("not demonstrated")
    toward: Toward = "down" if "/margin/" in figure.id or "available" in figure.id else "up"
    return amount(figure.shown.expected, unit, toward)


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
