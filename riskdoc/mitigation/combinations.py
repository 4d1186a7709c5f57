"""The package: one set of changes that mends what known changes can mend, the most practicable.

A check comes out otherwise only if something it rests on changes. So a set that mends a check
holds one of the changes that can touch it, and the search branches over those alone: what it
leaves out cannot help. Sets are taken in the order of their cost, so the first that does is the
least. Groups of checks that no change links are searched one by one.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from riskdoc.job.model import Job
from riskdoc.judgement.verdicts import Assessment, Check, Verdict
from riskdoc.mitigation.change import Change, number
from riskdoc.mitigation.effects import Result, applicable, by_plan_id, result_of
from riskdoc.mitigation.job_edits import Write, names_of, spelled, writes
from riskdoc.mitigation.variants import Variants, touched

Chosen = frozenset[int]


@dataclass(frozen=True, slots=True)
class Step:
    """A change of the package, and what it writes into the job file after those before it."""

    change: Change
    writes: tuple[Write, ...]


@dataclass(frozen=True, slots=True)
class Package:
    """The changes that are proposed for a plan, together, and what they leave.

    `result` is None where no check is mended; `job` is then the plan's own, else the changed one
    with ids that a job file can write. `mended` has for each check that is mended the numbers of
    the steps that do it. `left` are checks that no set tried mends; for those in
    `bounded` the search ended at its bound, and not for want of changes. `missing` are checks that
    need what the job does not state: no change states it. `cut` says that a lesser package may
    exist, since the search for the least ended at its bound. `tried` counts the sets.
    """

    result: Result | None
    job: Job
    steps: tuple[Step, ...]
    mended: Mapping[str, tuple[int, ...]]
    left: tuple[Check, ...]
    bounded: frozenset[str]
    missing: tuple[Check, ...]
    cut: bool
    tried: int


@dataclass(slots=True)
class Search:
    """All changes of a plan, each tried once, and sets of them as they are asked for."""

    plan: Assessment
    variants: Variants
    changes: tuple[Change, ...] = ()
    before: dict[str, Check] = field(default_factory=dict)
    _tried: dict[Chosen, Result | None] = field(default_factory=dict)
    _ranking: dict[int, int] | None = None
    _touches: list[frozenset[str]] = field(default_factory=list)
    _relevant: dict[str, list[int]] = field(default_factory=dict)
    _ways: dict[str, Chosen] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Finds the changes that apply, and what each of them touches."""
        self.before = by_plan_id(self.plan.checks)
        self.changes = applicable(self.plan)
        job = self.plan.file.job
        self._touches = [touched(job, c.apply(job), self.plan.file) for c in self.changes]

    @property
    def singles(self) -> tuple[Result, ...]:
        """What each change does alone, the best first."""
        found = [self.result(frozenset([n])) for n in range(len(self.changes))]
        return tuple(sorted((each for each in found if each), key=lambda each: each.order))

    def result(self, chosen: Chosen) -> Result | None:
        """What a set of changes does, in the order in which they are made; None if nothing."""
        if chosen not in self._tried:
            changes = [self.changes[n] for n in sorted(chosen)]
            self._tried[chosen] = result_of(self.plan, self.variants, changes, self.before)
        return self._tried[chosen]

    def unmet(self, chosen: Chosen, goals: Iterable[str]) -> list[str] | None:
        """Goals not mended and checks made unmet; None where the set cannot be made."""
        if not chosen:
            return list(goals)
        found = self.result(chosen)
        if found is None:
            return None
        mended = {each.id for each in found.mends}
        brought = [each.id for each in found.brings]
        return [*(goal for goal in goals if goal not in mended), *brought]

    def cost(self, chosen: Iterable[int]) -> int:
        """What a set costs: costs of changes add up."""
        return sum(self.changes[n].cost for n in chosen)

    def strength(self, chosen: Chosen) -> list[int]:
        """Where the changes of a set stand among all, the strongest first: what breaks a tie."""
        ranked = self._ranked()
        return sorted(ranked[n] for n in chosen)

    def relevant(self, check: str) -> list[int]:
        """The changes that can touch a check, the strongest first."""
        if check not in self._relevant:
            self._relevant[check] = [n for n in self._ranked() if self._reaches(n, check)]
        return self._relevant[check]

    def ways(self, check: str) -> Chosen:
        """The changes that can touch a check, as a set."""
        if check not in self._ways:
            self._ways[check] = frozenset(self.relevant(check))
        return self._ways[check]

    @property
    def tried(self) -> int:
        """How many sets were tried, single changes not counted."""
        return max(0, len(self._tried) - len(self.changes))

    @property
    def spent(self) -> bool:
        """Whether as many sets were tried as a job is given."""
        return self.tried >= number("sets tried in all")

    def _ranked(self) -> dict[int, int]:
        """The changes of use, the strongest first, each with its place."""
        if self._ranking is None:
            found = {n: self.result(frozenset([n])) for n in range(len(self.changes))}
            useful = [(n, result) for n, result in found.items() if result]
            ordered = sorted(useful, key=lambda each: each[1].order)
            self._ranking = {n: place for place, (n, _) in enumerate(ordered)}
        return self._ranking

    def _reaches(self, n: int, check: str) -> bool:
        kind, name, what = (*check.split("/"), "")[:3]
        if kind == "line" and what != "rescue":
            # The rescue from a line rests on the plan for it, and on other lines as well.
            return f"line/{name}" in self._touches[n]
        if kind == "anchor":
            # Its strength for one line is asked of the anchor alone, whatever hangs on it.
            return f"{'anchor' if what == 'strength' else 'pull'}/{name}" in self._touches[n]
        alone = self.result(frozenset([n]))
        # A rule about what lines share moves with the parts; a new one may be anybody's.
        return check not in self.before or (
            alone is not None and any(each.id == check for each in alone.effects)
        )

    def fits(self, chosen: Iterable[int]) -> bool:
        """Whether no two changes write the same part."""
        parts = [part for n in chosen for part in self.changes[n].parts]
        return len(parts) == len(set(parts))

    def package(self) -> Package:
        """The package: groups of checks searched one by one, then taken together and checked."""
        missing = [each for each in self.before.values() if _lacks(each)]
        hunts = [_Hunt(self, group) for group in self._groups()]
        chosen, cut = frozenset[int](), False
        mended, unmended, bounded = list[str](), list[str](), set[str]()
        for hunt in hunts:
            found = hunt.run()
            cut = cut or hunt.cut
            its = [goal for goal in hunt.group if goal not in hunt.left]
            if self.fits(chosen | found) and self.unmet(chosen | found, [*mended, *its]) == []:
                chosen |= found
                mended += its
                unmended += hunt.left
                bounded |= hunt.bounded
            else:  # each by itself does, and both together do not: the later group stays
                cut = True
                unmended += hunt.group
                bounded |= set(hunt.group)
        left = tuple(self.before[id] for id in unmended)
        whole = self.result(chosen) if chosen else None
        job, steps = self._written(chosen)
        return Package(
            whole, job, steps, self._needed(chosen), left,
            frozenset(bounded), tuple(missing), cut, self.tried,
        )  # fmt: skip

    def _groups(self) -> list[list[str]]:
        """Checks that are not met, and that changes could mend, in groups that no change links."""
        groups: list[tuple[list[str], Chosen]] = []
        goals = (id for id, check in self.before.items() if not (check.stands or _lacks(check)))
        for goal in goals:
            ways = self.ways(goal)
            linked = [each for each in groups if each[1] & ways]
            groups = [each for each in groups if not each[1] & ways]
            goals_of = [id for old, _ in linked for id in old]
            groups.append(([*goals_of, goal], ways.union(*(each[1] for each in linked))))
        return [found for found, _ in groups]

    def _written(self, chosen: Chosen) -> tuple[Job, tuple[Step, ...]]:
        """The changed job with ids a file can have, and what each change writes on the way."""
        jobs = [self.plan.file.job]
        for n in sorted(chosen):
            jobs.append(self.changes[n].apply(jobs[-1]))
        names = names_of(jobs[-1])
        steps = [
            Step(self.changes[n], writes(jobs[at], jobs[at + 1], names))
            for at, n in enumerate(sorted(chosen))
        ]
        return spelled(jobs[-1], names), tuple(steps)

    def _needed(self, chosen: Chosen) -> dict[str, tuple[int, ...]]:
        """For each check that is mended, the numbers of the steps that mend it.

        Those without which it is not; where any of several would do, the first that does alone.
        """
        found = self.result(chosen) if chosen else None
        if found is None:
            return {}
        order = sorted(chosen)
        without = [self.unmet(chosen - {n}, self._goals) for n in order]
        alone = [self.unmet(frozenset([n]), self._goals) for n in order]
        needed: dict[str, tuple[int, ...]] = {}
        for id in (effect.id for effect in found.mends):
            steps = [n for n, unmet in enumerate(without, start=1) if unmet is None or id in unmet]
            ways = [
                n for n, unmet in enumerate(alone, start=1) if unmet is not None and id not in unmet
            ]
            touching = [n for n, change in enumerate(order, start=1) if self._reaches(change, id)]
            needed[id] = tuple(steps or ways[:1] or touching)
        return needed

    @property
    def _goals(self) -> list[str]:
        return [id for id, check in self.before.items() if not check.stands]


def _lacks(check: Check) -> bool:
    """Whether a check needs what the job does not state: no change to the rig states it."""
    return check.verdict is Verdict.NOT_DEMONSTRATED


@dataclass(slots=True)
class _Hunt:
    """The search for the least set that mends one group of checks and makes no other unmet.

    Nothing is dropped silently: `left` holds the checks that no set tried mends, `bounded` those
    of them for which sets remained that were not tried; `cut` is set where a lesser set than the
    one found may remain.
    """

    search: Search
    group: list[str]
    left: list[str] = field(default_factory=list)
    bounded: set[str] = field(default_factory=set)
    cut: bool = False
    _ended: bool = False
    _least: dict[str, int] = field(default_factory=dict)

    def run(self) -> Chosen:
        """The set, empty where nothing can be mended.

        Each check is hunted alone first: one that no set mends would make the search for all of
        them together endless. The sets of the single checks taken together are a set that does;
        then a lesser one is looked for.
        """
        alone: dict[str, Chosen] = {}
        for goal in self.group:
            found = self._least_set([goal], "alone")
            if found is not None:
                alone[goal] = found
            else:
                self.left.append(goal)
                self.bounded |= {goal} if self._ended else set()
        goals = [goal for goal in self.group if goal in alone]
        if len(goals) < 2:
            return alone[goals[0]] if goals else frozenset()
        joined, mended = self._joined(goals, alone)
        most = self.search.cost(joined) if mended == goals else None
        together = self._least_set(goals, "together", most)
        if together is not None:
            return together
        self.cut = self._ended
        self.left += [goal for goal in goals if goal not in mended]
        self.bounded |= set(goals) - set(mended)
        return joined

    def _joined(
        self, goals: Sequence[str], alone: Mapping[str, Chosen]
    ) -> tuple[Chosen, list[str]]:
        """The sets of single checks put together as far as they go together, no change too many.

        With it the goals that it mends.
        """
        done: Chosen = frozenset()
        for goal in goals:
            with_it = done | alone[goal]
            if self.search.fits(with_it) and self.search.unmet(with_it, ()) == []:
                done = with_it
        unmet = self.search.unmet(done, goals) or ()
        mended = [goal for goal in goals if goal not in unmet]
        for n in sorted(done, key=lambda each: -self.search.changes[each].cost):
            if self.search.unmet(done - {n}, mended) == []:
                done -= {n}
        return done, mended

    def _least_set(self, goals: Sequence[str], way: str, most: int | None = None) -> Chosen | None:
        """The least of the sets that mend these checks, and that cost less than `most` if given.

        The first that comes off the heap is the least: what stands before a set is a bound that no
        set which holds it can go under. `_ended` says whether sets remained untried. `way` says how
        large a set may be and how many are tried.
        """
        largest, sets = number(f"largest set {way}"), number(f"sets tried {way}")
        self._ended, tried, seen = False, 0, {frozenset[int]()}
        heap: list[tuple[int, list[int], Chosen]] = [(0, [], frozenset())]
        while heap:
            if tried >= sets or self.search.spent:
                self._ended = True
                return None
            *_, chosen = heapq.heappop(heap)
            tried += 1
            unmet = self.search.unmet(chosen, goals)
            if unmet is None:
                continue
            self._note(chosen, goals, unmet)
            if not unmet:
                return chosen
            if len(chosen) >= largest:
                self._ended = True
                continue
            for more in self._grown(chosen, unmet):
                bound = self.search.cost(more) + self._remaining(more, goals)
                if more not in seen and (most is None or bound < most):
                    seen.add(more)
                    heapq.heappush(heap, (bound, self.search.strength(more), more))
        return None

    def _grown(self, chosen: Chosen, unmet: Sequence[str]) -> Iterator[Chosen]:
        """The set with one change more that can touch the check with the fewest ways."""
        for n in min((self.search.relevant(check) for check in unmet), key=len):
            if n not in chosen and self.search.fits([*chosen, n]):
                yield chosen | {n}

    def _note(self, chosen: Chosen, goals: Sequence[str], unmet: Sequence[str]) -> None:
        """Keeps what mending a check alone costs at least, whatever it makes unmet besides."""
        if len(goals) == 1 and goals[0] not in unmet and goals[0] not in self._least:
            self._least[goals[0]] = self.search.cost(chosen)

    def _remaining(self, chosen: Chosen, goals: Sequence[str]) -> int:
        """What mending the goals costs at least beyond a set.

        Only changes that touch a check mend it, so at least its own least set is in any set that
        does; checks that no change touches together add up.
        """
        if len(goals) == 1:
            return 0
        short = []
        for goal in goals:
            ways = self.search.ways(goal)
            lacking = self._least.get(goal, 0) - self.search.cost(chosen & ways)
            if lacking > 0:
                short.append((lacking, ways))
        total, taken = 0, frozenset[int]()
        for lacking, ways in sorted(short, key=lambda each: -each[0]):
            if not taken & ways:
                total, taken = total + lacking, taken | ways
        return total
