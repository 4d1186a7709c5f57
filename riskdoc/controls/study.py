"""A plan with everything that could be done about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from riskdoc.assess.assess import assess
from riskdoc.assess.records import Assessment, Check
from riskdoc.controls.buys import Buy, watched
from riskdoc.controls.limits import Limit, limits
from riskdoc.controls.sets import Proposal, Search
from riskdoc.controls.variants import Variants
from riskdoc.job.reading import JobFile
from riskdoc.language.say import speaking


@dataclass(frozen=True, slots=True)
class Effort:
    """What a study cost: whole assessments, jobs judged for it, lines worked out for those."""

    assessed: int
    judged: int
    lines: int


@dataclass(frozen=True, slots=True)
class Study:
    """An assessment, and what could be done about it.

    `buys` is what each change buys alone, the best first; `cheapest` holds for each stop what
    clears it with the least effort, or None; `untried` names those stops for which not every pair
    was tried, since a job of many lines had spent its search. `limits` are those of the plan as
    written, `mended` those of the plan with the proposal carried out, empty where nothing is
    proposed. `alternatives` are the assessments of the job's own alternatives, by id.
    """

    plan: Assessment
    buys: tuple[Buy, ...]
    cheapest: Mapping[str, Buy | None]
    untried: frozenset[str]
    proposal: Proposal
    limits: tuple[Limit, ...]
    mended: tuple[Limit, ...]
    alternatives: Mapping[str, Assessment]
    effort: Effort

    @property
    def watched(self) -> tuple[Check, ...]:
        """The checks that are shown with the changes, the worst first."""
        found = [check for check in self.plan.checks if watched(check)]
        return tuple(sorted(found, key=lambda check: -check.verdict.rank))

    @property
    def useful(self) -> tuple[Buy, ...]:
        """The changes that better a check that is watched."""
        shown = {check.id for check in self.watched}
        return tuple(
            buy
            for buy in self.buys
            if any(each.better and each.id in shown for each in buy.effects)
        )


def study(plan: Assessment) -> Study:
    """Everything that could be done about a plan. Pure, as `assess` is."""
    with speaking(plan.file.voice):
        return _study(plan)


def _study(plan: Assessment) -> Study:
    variants = Variants(plan.file)
    search = Search(plan, variants)
    buys = search.singles
    proposal = search.smallest()
    cheapest = {check.id: search.cheapest(check.id) for check in plan.stops}
    mended: tuple[Limit, ...] = ()
    if proposal.buy is not None:
        mended = limits(replace(plan.file, job=proposal.buy.job), variants)
    ways = {name: assess(file) for name, file in plan.file.alternatives.items()}
    return Study(
        plan=plan,
        buys=buys,
        cheapest=cheapest,
        untried=frozenset(search.untried),
        proposal=proposal,
        limits=limits(plan.file, variants),
        mended=mended,
        alternatives=ways,
        effort=Effort(1 + len(ways), variants.judged, variants.lines_worked),
    )


def studied(file: JobFile) -> Study:
    """A job file assessed and studied."""
    return study(assess(file))
