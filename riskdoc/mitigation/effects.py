"""What a change does: every check before and after, those it mends and those it makes unmet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from riskdoc.i18n.message import Text, joined
from riskdoc.job.consistency import contradictions
from riskdoc.job.model import Job
from riskdoc.judgement.verdicts import Assessment, Check, Verdict
from riskdoc.mitigation.change import Change, number, plan_id
from riskdoc.mitigation.edge_changes import edge_changes
from riskdoc.mitigation.line_changes import line_changes
from riskdoc.mitigation.site_changes import around_changes
from riskdoc.mitigation.variants import Variants
from riskdoc.quantities.draws import band_of
from riskdoc.quantities.intervals import TooManyRangesError
from riskdoc.quantities.ranges import Range


@dataclass(frozen=True, slots=True)
class Effect:
    """One check before and after a change; None where it is not asked then.

    `id`, `title` and `subject` are those of the plan as written.
    """

    id: str
    title: Text
    subject: str
    before: Check | None
    after: Check | None

    @property
    def mends(self) -> bool:
        """Whether it was not met and now is, or is no longer asked."""
        return _unmet(self.before) and not _unmet(self.after)

    @property
    def brings(self) -> bool:
        """Whether it is not met now and was before; or accepted, and further off than accepted."""
        return (_unmet(self.after) and not _unmet(self.before)) or self._beyond_acceptance

    @property
    def _beyond_acceptance(self) -> bool:
        accepted = self.before is not None and self.before.accepted is not None
        again = self.after is not None and self.after.accepted is not None
        return accepted and again and self._gain < 0

    @property
    def better(self) -> bool:
        """Whether the check came out better: in its verdict, else in its ratio at worst."""
        return self._gain > 0

    @property
    def worse(self) -> bool:
        """Whether the check came out worse."""
        return self._gain < 0

    @property
    def factor(self) -> float | None:
        """The ratio at worst after the change over that before it; None where one has none."""
        before, after = _low(self.before), _low(self.after)
        return after / before if before and after is not None else None

    @property
    def compared(self) -> Range | None:
        """The demand after the change over that before it, at the same draws of their inputs.

        None where one of the two was not drawn, or where there was none before.
        """
        before, after = self.before, self.after
        if before is None or after is None or before.demand is None or after.demand is None:
            return None
        if before.drawn is None or after.drawn is None or before.demand.low <= 0:
            return None
        expected = after.demand.expected / before.demand.expected
        return band_of(after.drawn / before.drawn, expected)

    @property
    def _gain(self) -> float:
        rank = _rank(self.before) - _rank(self.after)
        if rank:
            return rank
        factor = self.factor
        return 0.0 if factor is None else factor - 1.0


@dataclass(frozen=True, slots=True)
class Result:
    """One change, or several together, the job they make, and every check that differs in it."""

    changes: tuple[Change, ...]
    job: Job
    effects: tuple[Effect, ...]

    @property
    def mends(self) -> tuple[Effect, ...]:
        """The checks that were not met and now are."""
        return tuple(each for each in self.effects if each.mends)

    @property
    def brings(self) -> tuple[Effect, ...]:
        """The checks that are not met now and were before."""
        return tuple(each for each in self.effects if each.brings)

    @property
    def effort(self) -> int:
        """What it asks of the crew, all changes together."""
        return sum(change.effort for change in self.changes)

    @property
    def practicability(self) -> int:
        """That of the least practicable change."""
        return max(change.practicability for change in self.changes)

    @property
    def title(self) -> Text:
        """The control in words."""
        return joined((change.title for change in self.changes), "; ")

    @property
    def order(self) -> tuple[int, int, int, int]:
        """By checks mended on balance, then by the hierarchy of controls, then by effort."""
        net = len(self.brings) - len(self.mends)
        level = max(change.level.rank for change in self.changes)
        return (len(self.changes), net, level, self.effort)


def _unmet(check: Check | None) -> bool:
    return check is not None and not check.stands


def _rank(check: Check | None) -> int:
    """By how much it is not met; an accepted one and one not asked are met."""
    return check.verdict.rank if check is not None and not check.stands else 0


def _low(check: Check | None) -> float | None:
    return check.ratio.low if check is not None and check.ratio is not None else None


def applicable(plan: Assessment) -> tuple[Change, ...]:
    """Every known change that can be made to a plan: the changed job has no contradiction."""
    known = (*edge_changes(plan), *line_changes(plan), *around_changes(plan))
    return tuple(each for each in known if sound(plan, each.apply(plan.file.job)))


def sound(plan: Assessment, job: Job) -> bool:
    """Whether a changed job holds together as a job file must."""
    return next(iter(contradictions(job, plan.file.on)), None) is None


def result_of(
    plan: Assessment, variants: Variants, changes: Iterable[Change], before: Mapping[str, Check]
) -> Result | None:
    """What changes do together; None where the changed job cannot be assessed."""
    changes, job = tuple(changes), plan.file.job
    for change in changes:
        job = change.apply(job)
    if not sound(plan, job):
        return None
    try:
        after = by_plan_id(variants.checks(job))
    except (TooManyRangesError, ValueError):
        return None  # beyond what an equation holds for: nothing is claimed of it
    return Result(changes, job, tuple(_effects(before, after)))


def _effects(before: Mapping[str, Check], after: Mapping[str, Check]) -> Iterator[Effect]:
    for id in dict.fromkeys((*before, *after)):
        old, new = before.get(id), after.get(id)
        either = old or new
        if either is not None and not _same(old, new):
            yield Effect(id, either.title, plan_id(either.subject), old, new)


def _same(old: Check | None, new: Check | None) -> bool:
    if old is None or new is None:
        return False
    return (old.verdict, old.ratio, old.stands) == (new.verdict, new.ratio, new.stands)


def by_plan_id(checks: Iterable[Check]) -> dict[str, Check]:
    """Checks by the id they have in the plan; of copies of one, the worst."""
    found: dict[str, Check] = {}
    for check in checks:
        id = plan_id(check.id)
        if id not in found or _weight(check) > _weight(found[id]):
            found[id] = check
    return found


def _weight(check: Check) -> tuple[int, float]:
    low = _low(check)
    return (check.verdict.rank, -low if low is not None else 0.0)


def watched(check: Check) -> bool:
    """Whether a check is shown with the changes: not adequate, or within a fifth of it."""
    if check.verdict is not Verdict.ADEQUATE:
        return True
    low = _low(check)
    if low is None or check.required is None:
        return False
    return low < check.required * number("near")
