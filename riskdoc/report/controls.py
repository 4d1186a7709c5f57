"""What could be done: the package of changes, limits, and what each change does."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from riskdoc.i18n.say import inside, mark, say
from riskdoc.judgement.verdicts import Verdict
from riskdoc.quantities.printing import exact, number, span, unit_of
from riskdoc.report.blocks import Block, Cell, Heading, Items, Para
from riskdoc.report.number_format import figure_span
from riskdoc.report.tables import columns, table, text_cell, verdict_cell
from riskdoc.requirements.changes import answer_words, package_words, step_words

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.judgement.verdicts import Check
    from riskdoc.mitigation.effects import Effect, Result
    from riskdoc.mitigation.limits import Limit
    from riskdoc.report.facts import Facts

LIMITS = mark(
    "Rounded to the safe side, to a step a crew can use. It gives no leave to go there: the plan's "
    "own values are the limits until the document is revised, and other reasons to stop work "
    "earlier remain."
)
ASIDE = mark("Checks that are not met and that a quantity does not move are left aside.")
ACCEPTED = mark(
    "An accepted exception counts as met up to the planned values only, and on its conditions."
)
SIDE_EFFECTS = 5
"""Side effects printed for a change, the greatest first; all of them are in the JSON."""
MOST_CHECKS, MOST_CHANGES = 20, 30
"""Checks and changes that are printed, the worst and the best first; the JSON has all of them."""
MATRIX = 5
"""Checks that stand beside one another in a table of changes."""
SMALL = 0.01
"""A ratio that moves by less than this share of itself is not printed as a side effect."""


def answer(facts: Facts, check: Check) -> Cell:
    """What is to be done about a check that is not met: steps of the package, or what helps.

    A check that the package mends has one answer, and no other beside it.
    """
    package = facts.study.package
    remedy = "" if check.id in package.mended else check.remedy
    return text_cell(_capital(answer_words(package, check)) + ".", str(remedy))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def packaged(facts: Facts) -> Iterator[Block]:
    """The package of changes, each with the keys and values to write, and what it leaves."""
    found = facts.study.package
    if not facts.assessment.failed_checks:
        return
    if found.steps:
        yield table(
            say("Package of changes, applied together and assessed whole"),
            columns("Change | 42", "Write in the job file | 58"),
            [
                (
                    Cell(f"{n}. {step_words(step)}", str(step.change.asks)),
                    Cell("; ".join(str(each.text) for each in step.writes)),
                )
                for n, step in enumerate(found.steps, start=1)
            ],
            css="stack",
        )
    yield Para(" ".join(package_words(facts.dossier)))


def limits(facts: Facts) -> Iterator[Block]:
    """How far each quantity may go, and the check that ends it there."""
    study = facts.study
    if not study.limits:
        return
    mended = {each.id: each for each in study.mended}
    heads = ["Quantity | 33", "As planned | 13", "Checks met to | 13", "Set by | 41"]
    if mended:
        heads = [
            "Quantity | 27", "As planned | 12", "Checks met to, plan as written | 13",
            "Checks met to, with the package | 13", "Set by | 35",
        ]  # fmt: skip
    notes = [say(LIMITS)]
    notes += [say(ASIDE)] if any(limit.aside for limit in study.limits) else []
    notes += [say(ACCEPTED)] if any(check.accepted for check in study.plan.checks) else []
    yield table(
        say("How far each quantity may go, alone, all else as planned"),
        columns(*heads),
        [_limit_row(each, mended.get(each.id)) for each in study.limits],
        note=" ".join(notes),
        css="wide",
    )


def _limit_row(limit: Limit, mended: Limit | None) -> Sequence[Cell]:
    cells = [Cell(str(limit.title)), Cell(str(limit.planned)), _reach(limit)]
    shown = limit
    if mended is not None:
        cells.append(_reach(mended))
        shown = mended
    return (*cells, text_cell(set_by(shown)))


def greatest(limit: Limit) -> str:
    """How far the quantity may go, in words; the end of a search is no limit."""
    if not limit.bounded:
        return say("no limit found")
    if limit.greatest is None:
        return say("none met")
    if limit.least is not None and limit.least != limit.greatest:
        return say("{least} to {most}", least=limit.fewest, most=limit.most)
    return str(limit.most)


def _reach(limit: Limit) -> Cell:
    loud = limit.bounded and (limit.greatest is None or not limit.kept)
    return Cell(
        greatest(limit),
        "" if limit.kept else say("not kept by the plan"),
        css="flagged" if loud else "",
    )


def set_by(limit: Limit) -> str:
    """What sets a limit, in words."""
    if limit.beyond:
        return str(limit.beyond)
    if limit.set_by is None:
        low, high = (exact(end, limit.unit, "down") for end in limit.tried)
        return say("no check bounds it from {low} to {high}, the range tried", low=low, high=high)
    word = say(limit.set_by.verdict.value)
    what = f"{limit.set_by.title} ({limit.set_by.subject})"
    if limit.greatest is None:
        return say("{what}: {word} at every value tried", what=what, word=word)
    return say("{what}: {word} one step further", what=what, word=word)


def what_changes_do(facts: Facts) -> Iterator[Block]:
    """What every change of use does, check by check, and what it asks."""
    study = facts.study
    yield Heading(say("What each change to the plan does"))
    if not study.watched:
        yield Para(say("No check is short of its requirement or within a fifth of it."))
        return
    if not study.useful:
        yield Para(
            say("No known change betters a check that is short of its requirement or near it.")
        )
        return
    yield Para(
        say(
            "Each change was made to the job, and the job assessed again. The checks are those "
            "that are not adequate or within a fifth of what they require. In the tables stand "
            "the ratio in the worst case, to be compared with what is required, and the verdict; "
            "a dash where nothing changes, gone where the check is no longer asked. Changes stand "
            "in the order of the checks they mend on balance, then of the hierarchy of controls."
        )
    )
    shown, useful = study.watched[:MOST_CHECKS], study.useful[:MOST_CHANGES]
    if len(shown) < len(study.watched) or len(useful) < len(study.useful):
        yield Para(
            say(
                "Printed are the worst {shown} of {checks} checks and the best {printed} of "
                "{changes} changes; the figures inside the PDF have all of them.",
                shown=len(shown),
                checks=len(study.watched),
                printed=len(useful),
                changes=len(study.useful),
            ),
            "finding",
        )
    yield Items(
        tuple(
            say(
                "{title}, {subject}; required: {required}",
                title=c.title,
                subject=c.subject,
                required=_required(c),
            )
            for c in shown
        ),
        "ordered",
    )
    tables = -(-len(shown) // MATRIX)
    each = -(-len(shown) // tables)  # columns are shared out evenly between the tables
    for start in range(0, len(shown), each):
        yield _matrix(useful, shown[start : start + each], start)
    yield table(
        say("What each change asks, and what else it does"),
        columns("Change | 32", "Asks | 28", "Side effects, ratio in the worst case | 40"),
        [_side_row(shown, each) for each in useful],
        css="wide dense",
    )


def _matrix(useful: Sequence[Result], checks: Sequence[Check], start: int) -> Block:
    """Changes by checks: the ratio in the worst case after the change, and the verdict."""
    width = round(58 / max(len(checks), 3), 2)
    numbers = range(start + 1, start + 1 + len(checks))
    rest = round(100 - 12 - width * len(checks), 2)
    heads = [f"Change | {rest}", "Kind | 12", *(f"{n} | {width}" for n in numbers)]
    rows: list[Sequence[Cell]] = [
        (Cell(say("As planned")), Cell("–"), *(_state(each) for each in checks))
    ]
    for result in useful:
        effects = {each.id: each for each in result.effects}
        cells = [_after(effects.get(each.id)) for each in checks]
        level = say(result.changes[0].level.value)
        rows.append((Cell(str(result.title)), Cell(level, _counts(result)), *cells))
    return table(
        _numbered(start + 1, start + len(checks)),
        columns(*heads),
        rows,
        css="wide dense",
    )


def _numbered(first: int, last: int) -> str:
    if first == last:
        return say("What each change makes of check {number}", number=first)
    return say("What each change makes of checks {first} to {last}", first=first, last=last)


def _required(check: Check) -> str:
    if check.required is None:
        return say("that the rule is met")
    return number(check.required, unit_of("1"), "up")


def _counts(result: Result) -> str:
    mended, brought = len(result.mends), len(result.brings)
    if not brought:
        return say("mends {mended}", mended=mended)
    return say("mends {mended}, makes {brought} unmet", mended=mended, brought=brought)


def _state(check: Check) -> Cell:
    ratio = number(check.ratio.low, unit_of("1"), "down") if check.ratio else ""
    word = say(check.verdict.value)
    return Cell(ratio or word, word if ratio else "", css="" if check.stands else "flagged")


def _after(effect: Effect | None) -> Cell:
    if effect is None:
        return Cell("–")
    if effect.after is None:
        return Cell(say("gone"))
    cell, times = _state(effect.after), _times(effect)
    return replace(cell, small="; ".join(filter(None, (cell.small, times)))) if times else cell


def _times(effect: Effect) -> str:
    """The exposure after a change over that before it, at the same draws; else nothing."""
    if effect.compared is None:
        return ""
    return say("exposure {ratio} times", ratio=span(effect.compared, "1", "up"))


def _side_row(checks: Sequence[Check], result: Result) -> Sequence[Cell]:
    shown = {check.id for check in checks}
    side = [each for each in result.effects if each.id not in shown and _worth(each)]
    side.sort(key=_size, reverse=True)
    more = len(side) - SIDE_EFFECTS
    said = [moved(each) for each in side[:SIDE_EFFECTS]]
    said += [say("{more} smaller ones", more=more)] if more > 0 else []
    asks = "; ".join(str(change.asks) for change in result.changes)
    return (Cell(str(result.title)), Cell(asks), Cell("; ".join(said) or say("none")))


def alternatives(facts: Facts) -> Iterator[Block]:
    """The job's own alternatives beside the plan: which checks each does not meet, and its kit."""
    ways = facts.study.alternatives
    if not ways:
        return
    titles = facts.job.alternatives
    plan = {check.id for check in facts.assessment.failed_checks}
    rows = []
    for name, other in ways.items():
        stops = {check.id: check for check in other.failed_checks}
        mended = [c for c in facts.assessment.failed_checks if c.id not in stops]
        brought = [check for id, check in stops.items() if id not in plan]
        rows.append(
            (
                Cell(titles[name].title, name),
                verdict_cell(other.status, say("{count} not met", count=len(stops))),
                Cell(_listed(mended)),
                Cell(_listed(brought)),
                Cell(figure_span(other.figure("kit/mass"))),
            )
        )
    yield table(
        say("Alternatives the job states, each assessed whole"),
        columns(
            "Alternative | 26", "Worst check | 18", "Mends of the plan | 22", "Makes unmet | 20",
            "Ropes and devices | 14",
        ),
        rows,
        note=say("riskdoc compare puts their figures side by side."),
    )  # fmt: skip


def _listed(checks: Sequence[Check]) -> str:
    return "; ".join(f"{inside(each.title)} ({each.subject})" for each in checks) or say("none")


def _worth(effect: Effect) -> bool:
    factor = effect.factor
    return effect.mends or effect.brings or (factor is not None and abs(factor - 1) >= SMALL)


def _size(effect: Effect) -> float:
    if effect.brings or effect.mends:
        return float("inf")
    factor = effect.factor
    return 0.0 if not factor else max(factor, 1 / factor)


def moved(effect: Effect) -> str:
    """One check before and after: its ratios at worst, and its verdicts where they differ."""
    before, after = effect.before, effect.after
    what = f"{inside(effect.title)}, {effect.subject.removeprefix('line/')}"
    if after is None:
        return say("{what}: {verdict} → no longer asked", what=what, verdict=_verdict(before))
    if before is None:
        return say("{what}: not asked → {verdict}", what=what, verdict=_verdict(after))
    words = "" if before.verdict is after.verdict else f" ({_verdict(before)} → {_verdict(after)})"
    if before.ratio is None or after.ratio is None:
        return f"{what}:{words or say(' moves')}"
    ratios = (number(each.low, unit_of("1"), "down") for each in (before.ratio, after.ratio))
    times = _times(effect)
    return f"{what}: {' → '.join(ratios)}{words}{f', {times}' if times else ''}"


def _verdict(check: Check | None) -> str:
    return say((check.verdict if check else Verdict.NOT_DEMONSTRATED).value)
