"""A comparison of plans as a document: what differs, side by side, with a chart for each figure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import mark, say, speaking
from riskdoc.quantities.printing import number, three, unit_of
from riskdoc.report.blocks import Block, Cell, Items, Para, Section, View
from riskdoc.report.marks import chip
from riskdoc.report.number_format import NOT_DEMONSTRATED, side_of
from riskdoc.report.sidebyside import check_table, differs, figure_table, key_rows, subject_of
from riskdoc.report.tables import columns, table, verdict_cell
from riskdoc.report.view import labels, sheet_of, with_notes

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.analysis.figure import Figure
    from riskdoc.judgement.verdicts import Assessment, Check
    from riskdoc.mitigation.compare import Comparison, Way

STATUS = mark("COMPARISON: decides nothing by itself, not for use on site")
PLANS = 4
"""Plans that stand beside one another on a page; further ones go into a second table."""


def build_comparison(found: Comparison) -> View:
    """The view of a comparison, in the voice of its first plan."""
    with speaking(found.ways[0].plan.file.voice):
        return _built(found)


def _built(found: Comparison) -> View:
    first = found.ways[0].plan.file
    digest = "-".join(way.plan.file.digest[:12] for way in found.ways)
    worst = max((way.plan.status for way in found.ways), key=lambda verdict: verdict.rank)
    jobs = dict.fromkeys(_document(way) for way in found.ways)
    infos = [way.plan.file.job.job for way in found.ways]
    raw = View(
        title=say("Comparison of {count} plans", count=len(found.ways)),
        document="; ".join(jobs),
        document_short=say("Comparison, {number}", number=first.job.job.number),
        jobs=tuple(dict.fromkeys((info.number, info.location.place) for info in infos)),
        status=say(STATUS),
        digest=digest,
        digest_short=first.digest[:12],
        facts=(
            (say("Jobs"), "; ".join(jobs)),
            (say("Plans"), ", ".join(way.name for way in found.ways)),
            (say("Assessed for"), first.on.isoformat()),
            (say("Requirement set"), first.job.job.requirements),
        ),
        verdict=chip(worst),
        sentence=_sentence(found),
        front=(),
        labels=labels(say("Comparison of plans for work on ropes")),
        sheet=sheet_of(first.job.report),
        sections=(
            Section("plans", "1", say("The plans"), tuple(_plans(found))),
            Section("figures", "2", say("Key figures side by side"), tuple(_key(found))),
            Section("checks", "3", say("Checks that differ"), tuple(_checks(found))),
        ),
    )
    return with_notes(raw)


def _document(way: Way) -> str:
    job = way.plan.file.job.job
    return say(
        "{number}, revision {revision}: {title}",
        number=job.number,
        revision=job.revision,
        title=job.title,
    )


def _sentence(found: Comparison) -> str:
    met = [way.name for way in found.ways if not way.plan.failed_checks]
    if not met:
        fewest = min(len(way.plan.failed_checks) for way in found.ways)
        least = [way.name for way in found.ways if len(way.plan.failed_checks) == fewest]
        return say(
            "No plan meets all checks as written. {least} has the fewest unmet ({fewest}); the "
            "verdict shown is the worst of all.",
            fewest=fewest,
            least=say(" and ").join(least),
        )
    return say(
        "All checks are met by {met}; the verdict shown is the worst of all.",
        met=say(" and ").join(met),
    )


def _plans(found: Comparison) -> Iterator[Block]:
    yield table(
        say("Plans"),
        columns(
            "Plan | 34", "Worst check | 17", "Checks not met | 17 | number",
            "Mass of ropes and devices, {kg} | 16 | number", "Packed volume, {m^3} | 16 | number",
        ),
        [_plan_row(way) for way in found.ways],
        note=say("Each plan was assessed whole, by the same rules; its own report has all of it."),
    )  # fmt: skip
    named = [{_stop(check) for check in way.plan.failed_checks} for way in found.ways]
    shared = set.intersection(*named)
    if shared:
        yield Para(say("Not met by any of them:"))
        yield Items(
            tuple(_stop(c) for c in found.ways[0].plan.failed_checks if _stop(c) in shared), "tight"
        )
    for way in found.ways:
        own = tuple(_stop(c) for c in way.plan.failed_checks if _stop(c) not in shared)
        if own:
            besides = say("Not met by {name} besides:", name=way.name)
            yield Para(besides if shared else say("Not met by {name}:", name=way.name))
            yield Items(own, "tight")


def _stop(check: Check) -> str:
    return f"{check.title}, {check.subject}: {say(check.verdict.value)}"


def _plan_row(way: Way) -> Sequence[Cell]:
    return (
        Cell(way.name, str(way.title)),
        verdict_cell(way.plan.status),
        Cell(str(len(way.plan.failed_checks))),
        *(Cell(_high(way.plan.figure(id))) for id in ("kit/mass", "kit/packed_volume")),
    )


def _high(figure: Figure | None) -> str:
    return (
        number(figure.shown.high, unit_of(figure.unit), "up") if figure else say(NOT_DEMONSTRATED)
    )


def _key(found: Comparison) -> Iterator[Block]:
    yield Para(
        say(
            "Expected value, with low and high below it and the verdict of its check. In the "
            "charts a bar for each plan, from the top in the order of the columns: the bar is the "
            "range, the stroke the expected value, the dashed line what is required. Figures that "
            "are alike in all plans stand at the end."
        )
    )
    rows = key_rows(found)
    differ = [row for row in rows if differs(found, row[0])]
    alike = [row for row in rows if row not in differ]
    for start in range(0, len(found.ways), PLANS):
        ways = found.ways[start : start + PLANS]
        if differ:
            yield figure_table(say("Figures that differ"), ways, differ)
    if not differ:
        yield Para(say("No key figure differs between the plans."))
    if alike:
        first = found.ways[0].plan
        yield Para(say("Alike in all plans:"))
        yield Items(tuple(_alike(first, id, title) for id, title, _ in alike), "tight")


def _alike(plan: Assessment, id: str, title: str) -> str:
    figure = plan.figure(id)
    if figure is None:
        return f"{title}, {subject_of(id)}: {say(NOT_DEMONSTRATED)}"
    low, expected, high = three(figure.shown, figure.unit, side_of(id))
    name = unit_of(figure.unit).name
    text = (
        expected
        if low == high
        else say("{expected} ({low} to {high})", expected=expected, low=low, high=high)
    )
    return f"{title}, {subject_of(id)}: {text} {name}".rstrip()


def _checks(found: Comparison) -> Iterator[Block]:
    names = [way.name for way in found.ways]
    if not found.differing:
        yield Para(say("No check comes out worse in one plan than in another."))
        return
    for start in range(0, len(names), PLANS):
        shown = names[start : start + PLANS]
        yield check_table(say("Checks that do not come out alike"), found, found.differing, shown)
