"""What could be done: what clears a stop, the proposal, working limits, what each change buys."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from riskdoc.assess.records import Verdict
from riskdoc.language.say import inside, mark, say
from riskdoc.language.units import exact, number, unit_of
from riskdoc.report.blocks import Block, Cell, Heading, Items, Para
from riskdoc.report.tables import columns, table, text_cell, verdict_cell
from riskdoc.report.units import figure_span, span

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.assess.records import Check
    from riskdoc.controls.buys import Buy, Effect
    from riskdoc.controls.limits import Limit
    from riskdoc.controls.study import Study
    from riskdoc.report.facts import Facts

NONE_KNOWN = mark("No known change clears it, alone or in a pair.")
PROPOSAL = mark(
    "It is a proposal: state it in the job file, as it is really done, and assess again."
)
LIMITS = mark(
    "Rounded to the safe side, to a step a crew can use. A limit is no leave to go there: the "
    "plan's own values hold until the document is revised, and other reasons to stop earlier "
    "remain."
)
ASIDE = mark(
    "Stops that a quantity does not move are left aside in the column of the plan as written."
)
NOT_ALL_TRIED = mark("No known change clears it alone; pairs were not all tried.")
SIDE_EFFECTS = 5
"""Side effects printed for a change, the greatest first; all of them are in the JSON."""
MOST_CHECKS, MOST_CHANGES = 20, 30
"""Checks and changes that are printed, the worst and the best first; the JSON has all of them."""
MATRIX = 5
"""Checks that stand beside one another in a table of changes."""
SMALL = 0.01
"""A ratio that moves by less than this share of itself is not printed as a side effect."""


def clearing(study: Study, check: Check) -> Cell:
    """What would clear a stop: the change with the least effort, computed; else what helps."""
    if check.id not in study.cheapest:
        return text_cell(check.remedy)
    buy = study.cheapest[check.id]
    if buy is None:
        none = NOT_ALL_TRIED if check.id in study.untried else NONE_KNOWN
        return text_cell(say(none), check.remedy)
    said = [say("{title} (computed).", title=buy.title)]
    if buy.brings:
        said.append(say("It brings: {brings}.", brings=_named(buy.brings)))
    return text_cell(" ".join(said), _asks(buy))


def _asks(buy: Buy) -> str:
    return "; ".join(change.asks for change in buy.changes)


def _named(effects: Sequence[Effect]) -> str:
    return ", ".join(f"{inside(each.title)} ({each.subject})" for each in effects)


def proposed(study: Study) -> Iterator[Block]:
    """The smallest set of changes that clears what can be cleared; nothing where nothing stops."""
    if not study.plan.stops:
        return
    found = study.proposal
    buy = found.buy
    left = ", ".join(f"{inside(check.title)} ({check.subject})" for check in found.left)
    bound = [say("The search ended at its bound: a smaller set may exist.")] if found.cut else []
    if buy is None:
        none = say(
            "Proposal: none. No set of known changes that was tried clears: {left}.", left=left
        )
        yield Para(" ".join([none, *bound]))
        return
    yield Para(" ".join([*_smallest(buy, left), *bound, say(PROPOSAL)]))
    yield Items(tuple(f"{change.title}: {change.asks}." for change in buy.changes), "ordered")


def _smallest(buy: Buy, left: str) -> Iterator[str]:
    """What the smallest set does, what it leaves and what it brings, a sentence each."""
    count = len(buy.changes)
    if not left:
        yield say(
            "Proposal: the smallest set of known changes that makes the plan adequate has {count} "
            "of them.",
            count=count,
        )
    else:
        yield say(
            "Proposal: the smallest set of known changes that clears what can be cleared has "
            "{count} of them.",
            count=count,
        )
        yield say(
            "It leaves: {left}; no set of known changes that was tried clears that.", left=left
        )
    if buy.brings:
        yield say("It brings: {brings}.", brings=_named(buy.brings))


def limits(facts: Facts) -> Iterator[Block]:
    """Working limits: how far each quantity may go, and the check that ends it there."""
    study = facts.study
    if not study.limits:
        return
    mended = {each.id: each for each in study.mended}
    heads = ["Quantity | 33", "As planned | 13", "May go to | 13", "Set by | 41"]
    if mended:
        heads = [
            "Quantity | 27", "As planned | 12", "May go to, plan as written | 13",
            "May go to, with the proposal | 13", "Set by | 35",
        ]  # fmt: skip
    yield table(
        say("Working limits, each alone, all else as planned"),
        columns(*heads),
        [_limit_row(each, mended.get(each.id)) for each in study.limits],
        note=" ".join(
            [say(LIMITS), *([say(ASIDE)] if any(limit.aside for limit in study.limits) else [])]
        ),
        css="wide",
    )


def _limit_row(limit: Limit, mended: Limit | None) -> Sequence[Cell]:
    cells = [Cell(limit.title), Cell(limit.planned), _reach(limit)]
    shown = limit
    if mended is not None:
        cells.append(_reach(mended))
        shown = mended
    return (*cells, text_cell(set_by(shown)))


def greatest(limit: Limit) -> str:
    """How far the quantity may go, in words."""
    if limit.greatest is None:
        return say("none holds")
    text = limit.most
    if limit.set_by is None and not limit.beyond:
        text = say("{most}, end of what was tried", most=text)
    if limit.least is not None and limit.least != limit.greatest:
        return say("{least} to {most}", least=limit.fewest, most=text)
    return text


def _reach(limit: Limit) -> Cell:
    loud = limit.greatest is None or not limit.kept
    return Cell(
        greatest(limit),
        "" if limit.kept else say("not kept by the plan"),
        css="flagged" if loud else "",
    )


def set_by(limit: Limit) -> str:
    """What sets a limit, in words."""
    if limit.beyond:
        return limit.beyond
    if limit.set_by is None:
        low, high = (exact(end, limit.unit, "down") for end in limit.tried)
        return say("none of these checks, from {low} to {high}", low=low, high=high)
    word = say(limit.set_by.verdict.value)
    what = f"{limit.set_by.title} ({limit.set_by.subject})"
    if limit.greatest is None:
        return say("{what}: {word} whatever was tried", what=what, word=word)
    return say("{what}: {word} one step further", what=what, word=word)


def bought(facts: Facts) -> Iterator[Block]:
    """What every change of use buys, check by check, and what it costs."""
    study = facts.study
    yield Heading(say("What changes to the plan would buy"))
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
            "the ratio at worst, to be compared with what is required, and the verdict; a dash "
            "where nothing moves, gone where the check is no longer asked. Changes stand in the "
            "order of the stops they clear on balance, then of the hierarchy of controls."
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
        say("What each change asks, and what else moves"),
        columns("Change | 32", "Asks | 28", "Side effects, ratio at worst | 40"),
        [_side_row(shown, each) for each in useful],
        css="wide dense",
    )


def _matrix(useful: Sequence[Buy], checks: Sequence[Check], start: int) -> Block:
    """Changes by checks: the ratio at worst after the change, and the verdict."""
    width = round(58 / max(len(checks), 3), 2)
    numbers = range(start + 1, start + 1 + len(checks))
    rest = round(100 - 12 - width * len(checks), 2)
    heads = [f"Change | {rest}", "Kind | 12", *(f"{n} | {width}" for n in numbers)]
    rows: list[Sequence[Cell]] = [
        (Cell(say("As planned")), Cell("–"), *(_state(each) for each in checks))
    ]
    for buy in useful:
        effects = {each.id: each for each in buy.effects}
        cells = [_after(effects.get(each.id)) for each in checks]
        rows.append((Cell(buy.title), Cell(say(buy.changes[0].level.value), _counts(buy)), *cells))
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
        return say("that the rule does not bite")
    return number(check.required, unit_of("1"), "up")


def _counts(buy: Buy) -> str:
    cleared, brought = len(buy.clears), len(buy.brings)
    if not brought:
        return say("clears {cleared}", cleared=cleared)
    return say("clears {cleared}, brings {brought}", cleared=cleared, brought=brought)


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


def _side_row(checks: Sequence[Check], buy: Buy) -> Sequence[Cell]:
    shown = {check.id for check in checks}
    side = [each for each in buy.effects if each.id not in shown and _worth(each)]
    side.sort(key=_size, reverse=True)
    more = len(side) - SIDE_EFFECTS
    said = [moved(each) for each in side[:SIDE_EFFECTS]]
    said += [say("{more} smaller ones", more=more)] if more > 0 else []
    return (Cell(buy.title), Cell(_asks(buy)), Cell("; ".join(said) or say("none")))


def alternatives(facts: Facts) -> Iterator[Block]:
    """The job's own alternatives beside the plan: what stands against each, and its kit."""
    ways = facts.study.alternatives
    if not ways:
        return
    titles = facts.job.alternatives
    plan = {check.id for check in facts.assessment.stops}
    rows = []
    for name, other in ways.items():
        stops = {check.id: check for check in other.stops}
        cleared = [c for c in facts.assessment.stops if c.id not in stops]
        brought = [check for id, check in stops.items() if id not in plan]
        rows.append(
            (
                Cell(titles[name].title, name),
                verdict_cell(other.status, say("{count} against it", count=len(stops))),
                Cell(_listed(cleared)),
                Cell(_listed(brought)),
                Cell(figure_span(other.figure("kit/mass"))),
            )
        )
    yield table(
        say("Alternatives the job states, each assessed whole"),
        columns(
            "Alternative | 26", "Status | 18", "Clears of the plan's stops | 22", "Brings | 20",
            "Ropes and devices | 14",
        ),
        rows,
        note=say("riskdoc compare puts their figures side by side."),
    )  # fmt: skip


def _listed(checks: Sequence[Check]) -> str:
    return "; ".join(f"{inside(each.title)} ({each.subject})" for each in checks) or say("none")


def _worth(effect: Effect) -> bool:
    factor = effect.factor
    return effect.clears or effect.brings or (factor is not None and abs(factor - 1) >= SMALL)


def _size(effect: Effect) -> float:
    if effect.brings or effect.clears:
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
