"""Verdicts of many changed jobs, each part of the rig worked out once.

A change touches few lines of a job. What a line's checks rest on is its own part of the job:
`_rests_on` names it, and two jobs in which it is equal share the work. A test judges every
change of every demo both ways and compares the checks.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Hashable, Iterator
from dataclasses import dataclass, field, replace
from typing import Generic, TypeVar

from riskdoc.analysis.analyse import Rigged, by_anchor, rigged_line
from riskdoc.analysis.resolve import RigLine, rig_of
from riskdoc.job.model import Job, Line
from riskdoc.job.reading import JobFile
from riskdoc.judgement.anchors import anchor_checks
from riskdoc.judgement.assess import accepted, job_checks, line_checks
from riskdoc.judgement.kit import rope_checks
from riskdoc.judgement.verdicts import Check
from riskdoc.quantities.intervals import brief

V = TypeVar("V")
ROOM = 64
"""Results kept beyond two for each line. The corners of a line take megabytes, and a search comes
back to what it tried last: with so many kept it works out one line in sixteen twice, in a sixth of
the memory (the gorge, measured)."""


class _Kept(Generic[V]):
    """The results used last, so many of them."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._found: OrderedDict[Hashable, V] = OrderedDict()

    def get(self, key: Hashable) -> V | None:
        """The result of this key, if it is still kept."""
        if key in self._found:
            self._found.move_to_end(key)
        return self._found.get(key)

    def put(self, key: Hashable, value: V) -> V:
        """Keeps a result, and lets go of the one that was not used for longest."""
        self._found[key] = value
        if len(self._found) > self._most:
            self._found.popitem(last=False)
        return value


@dataclass(slots=True)
class Variants:
    """Judges changed versions of one job file.

    `judged` counts the jobs asked for, `lines_worked` the lines that had to be computed for them.
    """

    file: JobFile
    judged: int = 0
    lines_worked: int = 0
    _lines: _Kept[tuple[Rigged, list[Check]]] = field(init=False)
    _same: _Kept[tuple[tuple[object, ...], tuple[Rigged, list[Check]]]] = field(init=False)
    _anchors: _Kept[tuple[tuple[Rigged, ...], list[Check]]] = field(init=False)
    _ropes: _Kept[list[Check]] = field(init=False)

    def __post_init__(self) -> None:
        """Makes room for the lines of the plan itself, however many, and for those tried last."""
        most = ROOM + 2 * len(self.file.job.lines)
        self._lines, self._same, self._anchors = _Kept(most), _Kept(most), _Kept(most)
        self._ropes = _Kept(most)

    def checks(self, job: Job) -> tuple[Check, ...]:
        """Every check of the changed job, in the order of an assessment.

        `decides` and what a remedy says of knowing better are left empty. Raises what `assess`
        raises where the job goes beyond an equation.
        """
        self.judged += 1
        file = replace(self.file, job=job)
        with brief():
            return accepted(file, list(self._all(file)))[0]

    def _all(self, file: JobFile) -> Iterator[Check]:
        rig = rig_of(file)
        lines = [self._line(file, line) for line in rig.lines]
        for _, checks in lines:
            yield from checks
        rigged = [each for each, _ in lines]
        for name, pulls in by_anchor(file, rigged).items():
            on_it = tuple(each for each in rigged if name in anchors_of(each.line.line))
            key = (name, file.job.anchors[name], tuple(map(id, on_it)))
            found = self._anchors.get(key)
            if found is None:  # lines are kept with it, so that no id is given twice
                found = self._anchors.put(key, (on_it, list(anchor_checks(file, name, pulls))))
            yield from found[1]
        yield from job_checks(file, rig)
        for name in dict.fromkeys(line.line.rope for line in rig.lines):
            rope = (name, file.job.ropes[name])
            yield from self._ropes.get(rope) or self._ropes.put(rope, list(rope_checks(file, name)))

    def _line(self, file: JobFile, line: RigLine) -> tuple[Rigged, list[Check]]:
        # The very same parts need no comparing: most lines of a changed job have them.
        parts = _parts(file.job, line)
        same = tuple(map(id, parts))
        known = self._same.get(same)
        if known is not None:
            return known[1]
        key = _rests_on(file.job, line)
        found = self._lines.get(key)
        if found is None:
            self.lines_worked += 1
            rigged = rigged_line(file, line)
            found = self._lines.put(key, (rigged, line_checks(file, rigged)))
        return self._same.put(same, (parts, found))[1]  # parts are kept, so that no id comes twice


def _parts(job: Job, line: RigLine) -> tuple[object, ...]:
    """The parts of a job that `_rests_on` is made of."""
    it = line.line
    return (
        *(it, line.rope, line.anchor, line.load, line.site),
        *(each for edge in line.edges for each in (edge.edge, edge.protector)),
        *(job.devices[name] for name in line.all_devices),
        *(job.anchors[each.anchor] for each in it.redirects),
        None if it.rescue is None else job.loads[it.rescue.load],
    )


def _rests_on(job: Job, line: RigLine) -> Hashable:
    """Everything of a job that the checks of one line can depend on."""
    it = line.line
    return (
        line,
        tuple(job.devices[name] for name in line.all_devices),
        tuple(job.anchors[each.anchor] for each in it.redirects),
        None if it.rescue is None else job.loads[it.rescue.load],
    )


def touched(plan: Job, changed: Job, file: JobFile) -> frozenset[str]:
    """What can come out otherwise in a changed job: `line/…`, `anchor/…`, and `pull/…` on one."""
    before, after = (
        {line.id: (anchors_of(line.line), _rests_on(job, line)) for line in _lines(file, job)}
        for job in (plan, changed)
    )
    lines = [id for id, (_, rests) in before.items() if after[id][1] != rests]
    anchors = [name for name, part in plan.anchors.items() if changed.anchors[name] != part]
    pulled = [name for state in (before, after) for id in lines for name in state[id][0]]
    return frozenset(
        [f"line/{id}" for id in lines]
        + [f"anchor/{name}" for name in anchors]
        + [f"pull/{name}" for name in (*anchors, *pulled)]
    )


def anchors_of(line: Line) -> tuple[str, ...]:
    """The anchors that a line pulls on: where it ends, and those of its redirects."""
    return (line.anchor, *(each.anchor for each in line.redirects))


def _lines(file: JobFile, job: Job) -> tuple[RigLine, ...]:
    return rig_of(replace(file, job=job)).lines
