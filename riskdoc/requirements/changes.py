"""The package of changes in words: the same on the terminal, on page 1 and in the report."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from riskdoc.i18n.say import inside, mark, say
from riskdoc.mitigation.change import number
from riskdoc.requirements.outcome import checks_words, items_words

if TYPE_CHECKING:
    from riskdoc.judgement.verdicts import Check
    from riskdoc.mitigation.combinations import Package, Step
    from riskdoc.requirements.dossier import Dossier

PRACTICABLE = {
    1: mark("{title}"),
    2: mark("{title} (where it is to be had)"),
    3: mark("{title} (theoretical: seldom to be had)"),
}
"""A change by how practicable it is."""


def step_words(step: Step) -> str:
    """A change of the package, and whether it may be more than a crew can do."""
    return say(PRACTICABLE[step.change.practicability], title=step.change.title)


def package_words(dossier: Dossier) -> Iterator[str]:
    """What the package makes of the plan and what it leaves, a sentence each."""
    found = dossier.study.package
    if not found.steps:
        yield say("No known change mends a check that is not met.")
    elif dossier.mended is not None:
        outcome = dossier.mended.outcome
        yield say(
            "With all of it, assessed anew: {checks}; {items}.",
            checks=checks_words(outcome),
            items=items_words(outcome),
        )
    yield from _left(found)
    if found.cut:
        yield say("The search ended at its bound: a package of less effort may exist.")
    if found.steps:
        yield say("It is a proposal: write what is really done into the job file, and check again.")


def _left(found: Package) -> Iterator[str]:
    """The checks that nothing mends, by how the search for them ended."""
    untried = [check for check in found.left if check.id in found.bounded]
    none = [check for check in found.left if check.id not in found.bounded]
    if none and found.steps:
        yield say("No known change mends: {checks}.", checks=named(none))
    if untried:
        yield say(
            "Not mended by any set tried, of up to {most:g} changes: {checks}.",
            most=number("largest set alone"),
            checks=named(untried),
        )


def named(checks: Sequence[Check]) -> str:
    """Checks by title and subject."""
    return ", ".join(f"{inside(each.title)} ({each.subject})" for each in checks)


def answer_words(package: Package, check: Check) -> str:
    """What is to be done about a check that is not met, in one phrase."""
    steps = package.mended.get(check.id)
    if steps:
        listed = ", ".join(map(str, steps))
        return (
            say("change {steps}", steps=listed)
            if len(steps) == 1
            else say("changes {steps} together", steps=listed)
        )
    if check.missing:
        return say("state {keys}", keys=", ".join(map(str, check.missing)))
    if check.id in package.bounded:
        return say("no set of changes tried mends it")
    return say("no known change mends it")
