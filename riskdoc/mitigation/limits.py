"""Working limits: how far one quantity may go, all else as planned, with every check it moves.

The assessment itself is asked, step by step: a limit is a step at which every check that the
quantity moves is met, and one step further one of them is not. A borderline check that a person
accepted was accepted at the planned values: beyond them it is not met, so it bounds the limit.
Where nothing fails up to the end of what is tried there is no limit, and none is named.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import partial

from riskdoc.analysis.resolve import rig_of
from riskdoc.analysis.wind_and_swing import fits
from riskdoc.i18n.message import Text, filled, message, plural
from riskdoc.job.consistency import GRAVITY, contradictions
from riskdoc.job.faults import Code, shown
from riskdoc.job.model import Job
from riskdoc.job.model_findings import Found
from riskdoc.job.reading import JobFile
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.mitigation.change import amend, exactly, number
from riskdoc.mitigation.site_changes import less_wind
from riskdoc.mitigation.variants import Variants
from riskdoc.quantities.intervals import TooManyRangesError
from riskdoc.quantities.printing import Amount, Exact
from riskdoc.quantities.quantity import Kind, Quantity


@dataclass(frozen=True, slots=True)
class Limit:
    """How far one quantity of the plan may go.

    `greatest` is in SI and a whole number of steps; None where no step of the range tried is met,
    and where nothing bounds it there (`bounded`). `least` is given for haulers alone, where fewer
    would not do. `stated` is the plan's own value, `kept` says whether all is met at it. `set_by`
    is the check that fails one step further, as it comes out there; None where nothing bounds, or
    where only an equation or the job's own sense (`beyond`) does. `aside` names the checks of the
    plan that are not met and that the quantity does not move.
    """

    id: str
    title: Text
    kind: str
    subject: str
    unit: str
    stated: tuple[float, float]
    greatest: float | None
    least: float | None
    kept: bool
    tried: tuple[float, float]
    step: float
    set_by: Check | None
    beyond: Text
    aside: tuple[str, ...]

    @property
    def planned(self) -> Text:
        """The plan's own value with its unit, as near as a job file states it, never lower."""
        low, high = (Exact(value, self.unit, "up", 6) for value in self.stated)
        return high if low == high else message("{low} to {high}", low=low, high=high)

    @property
    def most(self) -> Text:
        """How far the quantity may go, with its unit; empty where no limit was found."""
        return "" if self.greatest is None else Exact(self.greatest, self.unit, "down")

    @property
    def fewest(self) -> Text:
        """From where on it is met, with its unit; empty where it is from the first value on."""
        return "" if self.least is None else Exact(self.least, self.unit, "up")

    @property
    def bounded(self) -> bool:
        """Whether something ends it within what was tried: the end of a search is no limit."""
        return self.set_by is not None or bool(self.beyond)


@dataclass(frozen=True, slots=True)
class LimitParameter:
    """A quantity that can be turned: what it is called, its range, and the job at a value."""

    kind: str
    subject: str
    title: Text
    unit: str
    stated: tuple[float, float]
    at: Callable[[float], Job]
    row: str
    least_too: bool = False

    @property
    def id(self) -> str:
        """`limit/kind/subject`."""
        return f"limit/{self.kind}/{self.subject}"


def limit_parameters(file: JobFile) -> Iterator[LimitParameter]:
    """Every quantity of a plan that a crew can keep to."""
    job, rig = file.job, rig_of(file)
    for name in rig.by_load:
        load = job.loads[name]
        who = plural("one person", "{count} people", load.people)
        what = filled("{name} ({who})", name=name, who=who) if load.people else name
        yield LimitParameter(
            "mass", name, message("Mass of {what}, kit of {kit} not "
                              "counted", what=what, kit=load.kit.written), "kg",
            _ends(load.mass), partial(_mass, job, name), "limit mass",
        )  # fmt: skip
    for name in dict.fromkeys(line.site_id for line in rig.lines):
        site = job.sites[name]
        if site.reach_sideways is not None:
            yield LimitParameter(
                "reach", name, message("Reach to the side at {name}", name=name), "m",
                _ends(site.reach_sideways), partial(_reach, job, name), "limit reach",
            )  # fmt: skip
        if site.wind is not None:
            how = message(
                "{kind}, measured at {height}",
                kind=message(site.wind.measured_as),
                height=site.wind.height.written,
            )
            yield LimitParameter(
                "wind", name, message("Wind at {name} ({how})", name=name, how=how), "m/s",
                _ends(site.wind.stop_at), partial(less_wind, job, name), "limit wind",
            )  # fmt: skip
    for name, line in job.lines.items():
        if line.passes:
            yield LimitParameter(
                "passes", name, message("Passes on line {name} before its rope is "
                                    "inspected", name=name), "1",
                (line.passes, line.passes), partial(_passes, job, name), "limit passes",
            )  # fmt: skip
        if line.haul is not None:
            yield LimitParameter(
                "haulers", name, message("Haulers on line {name}", name=name), "1",
                (line.haul.haulers, line.haul.haulers), partial(_haulers, job, name),
                "limit haulers", least_too=True,
            )  # fmt: skip
        if line.fall is not None:
            yield LimitParameter(
                "free fall", name, message("Free fall on line {name}", name=name), "m",
                _ends(line.fall.free), partial(_free, job, name), "limit free fall",
            )  # fmt: skip


def _ends(value: Quantity) -> tuple[float, float]:
    return (value.low, value.high)


def _mass(job: Job, load: str, value: float) -> Job:
    return amend(job, "loads", load, mass=exactly(value, Kind.MASS))


def _reach(job: Job, site: str, value: float) -> Job:
    return amend(job, "sites", site, reach_sideways=exactly(value, Kind.LENGTH))


def _passes(job: Job, line: str, value: float) -> Job:
    return amend(job, "lines", line, passes=round(value))


def _haulers(job: Job, line: str, value: float) -> Job:
    haul = job.lines[line].haul
    if haul is None:
        return job
    return amend(job, "lines", line, haul=haul.model_copy(update={"haulers": round(value)}))


def _free(job: Job, line: str, value: float) -> Job:
    fall = job.lines[line].fall
    if fall is None:
        return job
    free = fall.model_copy(update={"free": exactly(value, Kind.LENGTH)})
    return amend(job, "lines", line, fall=free)


def limits(file: JobFile, variants: Variants) -> tuple[Limit, ...]:
    """The limit of every quantity of a plan that a crew can keep to, each alone."""
    plan = {check.id: check for check in variants.checks(file.job)}
    return tuple(
        _Scale(file, plan, variants, parameter).limit() for parameter in limit_parameters(file)
    )


@dataclass(frozen=True, slots=True)
class Point:
    """How the plan comes out at one value, and why it cannot be judged there."""

    checks: dict[str, Check]
    beyond: Text = ""


@dataclass(slots=True)
class _Scale:
    """One quantity, tried at whole steps; `moved` are the checks that it moves."""

    file: JobFile
    plan: Mapping[str, Check]
    variants: Variants
    parameter: LimitParameter
    _points: dict[int, Point] = field(default_factory=dict)
    _moved: frozenset[str] = frozenset()

    @property
    def step(self) -> float:
        return number(self.parameter.row, "step")

    @property
    def first(self) -> int:
        return math.ceil(number(self.parameter.row, "low") / self.step - 1e-9)

    @property
    def last(self) -> int:
        most = max(number(self.parameter.row, "high"), self.parameter.stated[1])
        return math.floor(most / self.step + 1e-9)

    @property
    def planned(self) -> int:
        """The plan's own greatest value, down to a step of the range."""
        whole = math.floor(self.parameter.stated[1] / self.step + 1e-9)
        return min(max(whole, self.first), self.last)

    def value(self, n: int) -> float:
        # Decimal steps: 23 times 0.1 is 2.3 and no more.
        return round(n * self.step, 9)

    def limit(self) -> Limit:
        """The greatest step that is met, where one further is not; and the least for haulers."""
        points = [self.point(n) for n in (self.first, self.planned, self.last)]
        self._moved = frozenset(_moved([each.checks for each in points if not each.beyond]))
        top = self._top()
        bottom = self._bottom(top) if top is not None and self.parameter.least_too else None
        failing = self.planned if top is None else top + 1
        ended = failing > self.last
        point = None if ended else self.point(failing)
        return Limit(
            id=self.parameter.id,
            title=self.parameter.title,
            kind=self.parameter.kind,
            subject=self.parameter.subject,
            unit=self.parameter.unit,
            stated=self.parameter.stated,
            greatest=None if top is None or ended else self.value(top),
            least=None if bottom is None else self.value(bottom),
            kept=self._kept(top, bottom),
            tried=(self.value(self.first), self.value(self.last)),
            step=self.step,
            set_by=self._worst(failing) if point else None,
            beyond=point.beyond if point else "",
            aside=tuple(
                id for id, c in self.plan.items() if not c.stands and id not in self._moved
            ),
        )

    def _kept(self, top: int | None, bottom: int | None) -> bool:
        """Whether the plan's own values lie within what is met."""
        low, high = self.parameter.stated
        if top is None:
            return False
        if top < self.last and high > self.value(top):
            # Stated between two steps, the plan itself says whether all is met at its value.
            unmet = (id for id, check in self.plan.items() if not check.stands)
            return top == self.planned and self._moved.isdisjoint(unmet)
        return bottom is None or low >= self.value(bottom)

    def _top(self) -> int | None:
        """The greatest step that is met with what was tried below it, from the plan down."""
        start = self._start()
        if start is None:
            return None
        if all(self.met(n) for n in (self.last, *self._between(start, self.last))):
            return self.last
        low, high = start, self.last
        for n in sorted(self._between(start, self.last)):
            if not self.met(n):
                high = n
                break
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if self.met(middle) else (low, middle)
        return low

    def _start(self) -> int | None:
        """A step that is met: the plan's own, else the lowest, else one between; of haulers any."""
        found = [n for n in (self.planned, self.first) if self.met(n)]
        if found:
            return found[0]
        tries = self._between(self.first, self.planned)[::-1]
        if self.parameter.least_too:
            tries = list(range(self.first, self.last + 1))
        return next((n for n in tries if self.met(n)), None)

    def _between(self, low: int, high: int) -> list[int]:
        """Some steps between, so that a hole on the way to a far end is not stepped over."""
        return sorted({low + (high - low) * part // 8 for part in range(1, 8)} - {low, high})

    def _bottom(self, top: int) -> int:
        low = top
        while low > self.first and self.met(low - 1):
            low -= 1
        return low

    def met(self, n: int) -> bool:
        """Whether every check that the quantity moves is met at this step."""
        return not self.point(n).beyond and self._worst(n) is None

    def _worst(self, n: int) -> Check | None:
        """Of the checks that the quantity moves and that are not met, the one furthest off."""
        planned = self.point(self.planned).checks
        failing = [
            check
            for id, check in self.point(n).checks.items()
            if (id in self._moved or id not in planned) and not self._met(check, n)
        ]
        # Of two that fail alike the id decides, and not the order in which the job has them.
        return max(failing, key=lambda check: (_short(check), check.id), default=None)

    def _met(self, check: Check, n: int) -> bool:
        """Whether a check is met at a step; one that is accepted, up to the plan and no worse.

        Somebody accepted it for the planned values, on conditions that no computation reads.
        """
        if check.verdict is Verdict.ADEQUATE:
            return True
        accepted = self.plan.get(check.id)
        if not check.stands or accepted is None or n > self.planned:
            return False
        if accepted.ratio is None or check.ratio is None:
            return True
        return check.ratio.low >= accepted.ratio.low

    def point(self, n: int) -> Point:
        if n not in self._points:
            value = self.value(n)
            # At the plan's own value it is the plan, which has been worked out already.
            same = self.parameter.stated == (value, value)
            self._points[n] = self._judged(self.file.job if same else self.parameter.at(value))
        return self._points[n]

    def _judged(self, job: Job) -> Point:
        against = next(iter(contradictions(job, self.file.on)), None)
        if against is not None:
            return Point({}, _contradiction(job, against))
        changed = replace(self.file, job=job)
        for line in rig_of(changed).lines:
            # A swing that cannot be computed would be a check less, and that is never a pass.
            if not fits(changed, line):
                return Point(
                    {},
                    message(
                        "reach or wind goes beyond the rope below the pivot of {line}", line=line.id
                    ),
                )
        try:
            return Point({check.id: check for check in self.variants.checks(job)})
        except (TooManyRangesError, ValueError) as error:
            return Point(
                {}, message("beyond what an equation holds for: {error}", error=error.args[0])
            )


def _contradiction(job: Job, found: Found) -> Text:
    """Why a job contradicts itself at a value, in words of the report and not of a fault.

    A mass can be turned into one, by a device that slips under the load's own weight, and a free
    fall, by a fall factor over 2.
    """
    if found.code is Code.FALL_FACTOR:
        return message("the fall factor of line ‘{line}’ would be over 2", line=found.path[1])
    if found.code is not Code.SLIP_UNDER_WEIGHT:
        return message("the job contradicts itself there: {fault}", fault=found.message)
    _, line, _, index = found.path
    it = job.lines[str(line)]
    name, load = it.devices[int(index)], job.loads[it.load]
    slip = job.devices[name].slip
    return message(
        "{device} slips at {slip}; the load weighs {weight}",
        device=shown(name),
        slip=slip.written if slip is not None else message("not demonstrated"),
        weight=Amount((load.mass.high + load.kit.high) * GRAVITY, "N", "up"),
    )


def _moved(points: list[dict[str, Check]]) -> Iterator[str]:
    """Ids of checks that do not come out alike at every point."""
    for id in dict.fromkeys(id for point in points for id in point):
        states = [_state(point.get(id)) for point in points]
        if any(state != states[0] for state in states):
            yield id


def _state(check: Check | None) -> tuple[object, ...] | None:
    return None if check is None else (check.verdict, check.ratio)


def _short(check: Check) -> tuple[int, float]:
    if check.ratio is None or not check.ratio.low or check.required is None:
        return (check.verdict.rank, 0.0)
    return (check.verdict.rank, check.required / check.ratio.low)
