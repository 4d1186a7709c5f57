"""Sets of changes: pairs where one change does not do, and the smallest set that mends a plan.

A stop goes only if something it rests on changes. So a set that clears a stop holds one of the
changes that can touch it, and the search branches over those alone: what it leaves out cannot
help. Groups of stops that no change links are searched one by one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations

from riskdoc.assess.records import Assessment, Check
from riskdoc.controls.buys import Buy, applicable, bought, by_plan_id
from riskdoc.controls.change import Change, number
from riskdoc.controls.variants import Variants, touched

Chosen = frozenset[int]


@dataclass(frozen=True, slots=True)
class Proposal:
    """The smallest set of known changes that clears what can be cleared.

    `buy` is None where no change is needed, or none is of use. `left` are the stops of the plan
    that no set tried clears. `cut` says that the search ended at its bound and not for want of
    sets; `tried` counts them.
    """

    buy: Buy | None
    left: tuple[Check, ...]
    cut: bool
    tried: int


@dataclass(slots=True)
class Search:
    """All changes of a plan, each tried once, and sets of them as they are asked for.

    `untried` holds the stops for which not every pair was tried, since the search was spent.
    """

    plan: Assessment
    variants: Variants
    changes: tuple[Change, ...] = ()
    before: dict[str, Check] = field(default_factory=dict)
    untried: set[str] = field(default_factory=set)
    _tried: dict[Chosen, Buy | None] = field(default_factory=dict)
    _ranking: list[int] | None = None
    _touches: list[frozenset[str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Finds the changes that apply, and what each of them touches."""
        self.before = by_plan_id(self.plan.checks)
        self.changes = applicable(self.plan)
        job = self.plan.file.job
        self._touches = [touched(job, c.apply(job), self.plan.file) for c in self.changes]

    @property
    def singles(self) -> tuple[Buy, ...]:
        """What each change buys alone, the best first."""
        found = [self.buy(frozenset([n])) for n in range(len(self.changes))]
        return tuple(sorted((each for each in found if each), key=lambda each: each.order))

    def buy(self, chosen: Chosen) -> Buy | None:
        """What a set of changes buys, in the order in which changes are made; None if nothing."""
        if chosen not in self._tried:
            changes = [self.changes[n] for n in sorted(chosen)]
            self._tried[chosen] = bought(self.plan, self.variants, changes, self.before)
        return self._tried[chosen]

    def relevant(self, stop: str) -> list[int]:
        """The changes that can touch a check, the strongest first."""
        return [n for n in self._ranked() if self._reaches(n, stop)]

    @property
    def spent(self) -> bool:
        """Whether as many sets were tried as a job is given, single changes not counted."""
        return len(self._tried) - len(self.changes) >= number("sets tried in all")

    def _ranked(self) -> list[int]:
        if self._ranking is None:
            found = {n: self.buy(frozenset([n])) for n in range(len(self.changes))}
            useful = [(n, buy) for n, buy in found.items() if buy]
            self._ranking = [n for n, _ in sorted(useful, key=lambda each: each[1].order)]
        return self._ranking

    def _reaches(self, n: int, stop: str) -> bool:
        kind, name, what = (*stop.split("/"), "")[:3]
        if kind == "line" and what != "rescue":
            # The rescue from a line rests on the plan for it, and on other lines as well.
            return f"line/{name}" in self._touches[n]
        if kind == "anchor":
            # Its strength for one line is asked of the anchor alone, whatever hangs on it.
            return f"{'anchor' if what == 'strength' else 'pull'}/{name}" in self._touches[n]
        alone = self.buy(frozenset([n]))
        # A rule about what lines share moves with the parts; a new one may be anybody's.
        return stop not in self.before or (
            alone is not None and any(each.id == stop for each in alone.effects)
        )

    def cheapest(self, stop: str) -> Buy | None:
        """What clears a stop with the least effort: one change, else a pair; None if neither."""
        ways = self.relevant(stop)
        for size in (1, 2):
            if size == 2 and self.spent:
                self.untried.add(stop)
                break
            sets = [self.buy(each) for each in self._sets(ways, size)]
            clearing = [b for b in sets if b and any(e.id == stop for e in b.clears)]
            if clearing:
                return min(clearing, key=_cost)
        return None

    def _sets(self, ways: Sequence[int], size: int) -> Iterator[Chosen]:
        for each in combinations(ways, size):
            if self.fits(each):
                yield frozenset(each)

    def fits(self, chosen: Iterable[int]) -> bool:
        """Whether no two changes write the same part."""
        parts = [part for n in chosen for part in self.changes[n].parts]
        return len(parts) == len(set(parts))

    def smallest(self) -> Proposal:
        """The smallest set that clears every stop that can be cleared."""
        done: Chosen = frozenset()
        left: list[Check] = []
        cut, tried = False, len(self._tried)
        for group in self._groups():
            hunt = _Hunt(self, group)
            found = hunt.run()
            cut = cut or hunt.cut
            done |= found
            left += [self.before[id] for id in hunt.left]
        buy = self.buy(done) if done else None
        return Proposal(buy, tuple(left), cut, len(self._tried) - tried)

    def _groups(self) -> list[list[str]]:
        """Stops of the plan in groups that no change links."""
        groups: list[tuple[list[str], set[int]]] = []
        for stop in (id for id, check in self.before.items() if not check.stands):
            ways = set(self.relevant(stop))
            linked = [each for each in groups if each[1] & ways]
            groups = [each for each in groups if not each[1] & ways]
            stops = [stop for old, _ in linked for stop in old]
            groups.append(([*stops, stop], ways.union(*(each[1] for each in linked))))
        return [stops for stops, _ in groups]


def _cost(buy: Buy) -> tuple[bool, int, tuple[int, int, int, int]]:
    """No new stop first, then the least effort, then the order of the table."""
    return (bool(buy.brings), buy.effort, buy.order)


@dataclass(slots=True)
class _Hunt:
    """The search for the smallest set that clears one group of stops.

    Nothing is dropped silently: `left` holds the stops that no set tried clears, `cut` is set
    where the number of sets ended the search.
    """

    search: Search
    group: list[str]
    left: list[str] = field(default_factory=list)
    cut: bool = False
    _seen: set[Chosen] = field(default_factory=set)
    _tried: int = 0

    def run(self) -> Chosen:
        """The set, empty where nothing can be cleared.

        Each stop is hunted alone first: one that no set clears would make the search for all of
        them together endless. Where that search ends at its bound, the sets of the single stops
        are taken together, which is a set that does and perhaps not the smallest.
        """
        alone = {
            stop: self._deepen([stop], int(number("largest set alone"))) for stop in self.group
        }
        self.left = [stop for stop, found in alone.items() if found is None]
        goals = [stop for stop in self.group if stop not in self.left]
        if not goals:
            return frozenset()
        together = self._deepen(goals, int(number("largest set")))
        return together if together is not None else self._joined(goals, alone)

    def _joined(self, goals: Sequence[str], alone: dict[str, Chosen | None]) -> Chosen:
        """The sets of single stops put together, as far as they go together and clear them."""
        done: Chosen = frozenset()
        for stop in goals:
            with_it = done | (alone[stop] or frozenset())
            if self.search.fits(with_it) and not self._new(with_it):
                done = with_it
        done = self._pruned(done)
        self.left = list(self._stops(done, self.group) or ())
        return done

    def _pruned(self, chosen: Chosen) -> Chosen:
        """The set without each change that leaves no more stops when it goes.

        Two stops can pull against each other: a team that can move the load can overload the line.
        """
        for n in sorted(chosen):
            left, rest = (self._stops(each, self.group) for each in (chosen, chosen - {n}))
            if left is not None and rest is not None and len(rest) <= len(left):
                return self._pruned(chosen - {n})
        return chosen

    def _new(self, chosen: Chosen) -> bool:
        buy = self.search.buy(chosen)
        return buy is None or bool(buy.brings)

    def _deepen(self, goals: Sequence[str], largest: int) -> Chosen | None:
        self._tried = 0
        for size in range(1, largest + 1):
            self._seen = set()
            found = self._from(frozenset(), goals, size)
            if found is not None:
                return found
        return None

    def _from(self, chosen: Chosen, goals: Sequence[str], more: int) -> Chosen | None:
        """A set that holds `chosen` and at most so many changes more, and clears the goals."""
        if chosen in self._seen:
            return None
        if self._tried >= number("sets tried") or self.search.spent:
            self.cut = True
            return None
        self._seen.add(chosen)
        self._tried += 1
        stops = self._stops(chosen, goals)
        if stops is None or (stops and more == 0):
            return None
        if not stops:
            return chosen
        for n in min((self.search.relevant(stop) for stop in stops), key=len):
            if n not in chosen and self.search.fits([*chosen, n]):
                found = self._from(chosen | {n}, goals, more - 1)
                if found is not None:
                    return found
        return None

    def _stops(self, chosen: Chosen, goals: Sequence[str]) -> list[str] | None:
        """Goals not cleared, and stops the changes made; None where they cannot be made."""
        if not chosen:
            return list(goals)
        buy = self.search.buy(chosen)
        if buy is None:
            return None
        cleared = {each.id for each in buy.clears}
        brought = [each.id for each in buy.brings]
        return [*(stop for stop in goals if stop not in cleared), *brought]
