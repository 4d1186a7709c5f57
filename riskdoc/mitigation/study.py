"""A plan with everything that could be done about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from riskdoc.job.reading import JobFile
from riskdoc.judgement.assess import assess
from riskdoc.judgement.verdicts import Assessment, Check
from riskdoc.mitigation.combinations import Package, Search
from riskdoc.mitigation.effects import Result, watched
from riskdoc.mitigation.limits import Limit, limits
from riskdoc.mitigation.variants import Variants


@dataclass(frozen=True, slots=True)
class Effort:
    """What a study cost: whole assessments, jobs judged for it, lines worked out for those."""

    assessed: int
    judged: int
    lines: int


@dataclass(frozen=True, slots=True)
class Study:
    """An assessment, and what could be done about it.

    `results` is what each change does alone, the best first; `package` the one set of changes that
    is proposed. `limits` are those of the plan as written, `mended` those of the plan with the
    package carried out, empty where nothing is proposed. `alternatives` are the assessments of the
    job's own alternatives, by id.
    """

    plan: Assessment
    results: tuple[Result, ...]
    package: Package
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
    def useful(self) -> tuple[Result, ...]:
        """The changes that better a check that is watched."""
        shown = {check.id for check in self.watched}
        return tuple(
            result
            for result in self.results
            if any(each.better and each.id in shown for each in result.effects)
        )


def study(plan: Assessment) -> Study:
    """Everything that could be done about a plan. Pure, as `assess` is."""
    variants = Variants(plan.file)
    search = Search(plan, variants)
    results = search.singles
    package = search.package()
    mended: tuple[Limit, ...] = ()
    if package.result is not None:
        mended = limits(replace(plan.file, job=package.job), variants)
    ways = {name: assess(file) for name, file in plan.file.alternatives.items()}
    return Study(
        plan=plan,
        results=results,
        package=package,
        limits=limits(plan.file, variants),
        mended=mended,
        alternatives=ways,
        effort=Effort(1 + len(ways), variants.judged, variants.lines_worked),
    )


def studied(file: JobFile) -> Study:
    """A job file assessed and studied."""
    return study(assess(file))
