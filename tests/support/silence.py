"""What is said of a job, and what is said of it with one thing left out.

What is compared: how far the whole job is from adequate, every check, and every item of its set.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any
from zlib import crc32

import yaml

from riskdoc.job.reading import read_text
from riskdoc.judgement.verdicts import Assessment, Check, Verdict
from riskdoc.quantities.intervals import TooManyRangesError, brief
from riskdoc.requirements.dossier import brief_dossier
from riskdoc.requirements.items import Judged
from riskdoc.requirements.outcome import word_of
from riskdoc.requirements.sets import SetError
from support.demos import DAYS, JOBS
from support.leaving_out import Path as Keys
from support.leaving_out import at, dotted, paths, without

ADEQUATE, BORDERLINE, AGAINST, REFUSED = 0, 1, 2, 9
"""How far from adequate. Not demonstrated and inadequate are one: neither is ever a pass."""


@dataclass(frozen=True)
class Said:
    """What is said of a job as a whole, of each check and each item: how far from adequate."""

    level: int
    checks: Mapping[str, int] = field(default_factory=dict)
    items: Mapping[str, int] = field(default_factory=dict)

    @property
    def refused(self) -> bool:
        """Whether the job is refused, so that nothing else is said of it."""
        return self.level == REFUSED


def said_of(tree: Any, day: date, beside: Path | None = None) -> Said:
    """What is said of a job that is written as this tree."""
    text = yaml.safe_dump(tree, sort_keys=False, allow_unicode=True, default_style='"')
    file = read_text(text, "job.yaml", day, beside).file
    if file is None:
        return Said(REFUSED)
    try:
        with brief():
            found = brief_dossier(file)
    except (TooManyRangesError, SetError):
        return Said(REFUSED)
    return Said(_of(found.outcome.verdict), _of_checks(found.plan), _of_items(found.judged))


def _of_checks(plan: Assessment) -> dict[str, int]:
    found: dict[str, int] = {}
    for check in plan.checks:
        found[check.id] = max(_level(check), found.get(check.id, ADEQUATE))
    return found


def _level(check: Check) -> int:
    return ADEQUATE if check.stands else _of(check.verdict)


def _of(verdict: Verdict) -> int:
    return {Verdict.ADEQUATE: ADEQUATE, Verdict.BORDERLINE: BORDERLINE}.get(verdict, AGAINST)


def _of_items(judged: Judged) -> dict[str, int]:
    """An item that waits for a person's answer keeps no verdict down, so it is at its best."""
    return {each.item.id: _of(word_of(each)) for each in judged.answers}


@dataclass(frozen=True)
class Better:
    """A thing that is better left out: what gets better without it, and which checks vanish."""

    keys: Keys
    before: Said
    after: Said

    @property
    def level(self) -> bool:
        """Whether the whole job gets better."""
        return self.after.level < self.before.level

    @property
    def better(self) -> tuple[str, ...]:
        """The checks and items that are nearer to adequate."""
        return (
            *_nearer(self.before.checks, self.after.checks),
            *(f"item {id}" for id in _nearer(self.before.items, self.after.items)),
        )

    @property
    def gone(self) -> tuple[str, ...]:
        """The checks that are no longer in the list."""
        return tuple(sorted(self.before.checks.keys() - self.after.checks.keys()))

    def __str__(self) -> str:
        said = [f"level {self.before.level} -> {self.after.level}"] if self.level else []
        said += [f"better: {', '.join(self.better)}"] if self.better else []
        said += [f"gone: {', '.join(self.gone)}"] if self.gone else []
        return f"{dotted(self.keys)}: {'; '.join(said)}"


def _nearer(before: Mapping[str, int], after: Mapping[str, int]) -> list[str]:
    return sorted(id for id, level in after.items() if level < before.get(id, ADEQUATE))


def changed(tree: Any, base: Any) -> list[Keys]:
    """The paths at which a tree differs from its base, those that lead there with them."""
    there = {keys: at(base, keys) for keys in paths(base)}
    return [keys for keys in paths(tree) if keys not in there or there[keys] != at(tree, keys)]


def sampled(each: Iterable[Keys], one_in: int) -> list[Keys]:
    """One path in so many; which ones hangs on how they are written, not on chance."""
    return [keys for keys in each if crc32(dotted(keys).encode()) % one_in == 0]


def improvements(
    tree: Any, day: date, beside: Path | None = None, among: Iterable[Keys] | None = None
) -> Iterator[Better]:
    """What is better left out, of these paths or of all."""
    tree = json.loads(json.dumps(tree))  # nothing in it is one thing in two places
    before = said_of(tree, day, beside)
    assert not before.refused, "what is refused as it stands shows nothing"
    for keys in paths(tree) if among is None else among:
        found = Better(keys, before, said_of(without(tree, keys), day, beside))
        if not found.after.refused and (found.level or found.better or found.gone):
            yield found


def matches(pattern: str, text: str) -> bool:
    """Whether a path or an id is of a pattern: * stands for one name in it, ** for any more."""
    words = re.escape(pattern).replace(r"\*\*", ".*").replace(r"\*", r"[^./]*")
    return re.fullmatch(words, text) is not None


def demo(name: str) -> Any:
    """A demo as written, each value a text."""
    text = (JOBS / f"{name}.yaml").read_text("utf-8")
    return yaml.load(text, Loader=yaml.BaseLoader)


DEMOS = {**DAYS, "dam_b": DAYS["dam"], "wasserturm": DAYS["dam"]}
"""All demos, and for each a day."""


def own(tree: Any, keys: Keys) -> tuple[str, ...]:
    """Ids of the parts of a rig that are gone with what stands at a path.

    A check about such a part goes with it, and only then: a device that is taken off a line is not
    judged on that line, but everything else about the line still is.
    """
    return tuple(sorted(_parts(tree) - _parts(without(tree, keys))))


def _parts(tree: Any) -> set[str]:
    """What a rig is made of, by the ids that checks about it begin with."""
    found = {f"people/{name}" for name in _named(tree, "people")}
    edges = _named(tree, "edges")
    for name, line in _named(tree, "lines").items():
        at_line = f"line/{name}"
        found |= {at_line, f"rope/{line.get('rope')}", *_of_anchor(tree, line.get("anchor"))}
        found |= {f"{at_line}/haul/crew"} if _stated(line, "haul") else set()
        for device in _listed(line, "devices"):
            found |= {f"{at_line}/device/{device}", f"{at_line}/heat/{device}"}
        for n, redirect in enumerate(_listed(line, "redirects")):
            found |= {f"{at_line}/redirect/{n + 1}", *_of_anchor(tree, redirect.get("anchor"))}
        for over in _listed(line, "over"):
            edge = over.get("edge")
            found |= {f"{at_line}/edge/{edge}", f"edge/{edge}"}
            protector = edges.get(edge, {}).get("protection")
            found |= {f"protection/{protector}"} if isinstance(protector, str) else set()
    return found


def _of_anchor(tree: Any, anchor: Any) -> set[str]:
    legs = _listed(_named(tree, "anchors").get(anchor, {}), "legs")
    each = {f"anchor/{anchor}/{what}/{n + 1}" for n in range(len(legs))
            for what in ("leg", "leg_lost")}  # fmt: skip
    return {f"anchor/{anchor}", *each}


def _named(tree: Any, section: str) -> dict[str, Any]:
    found = tree.get(section, {})
    return found if isinstance(found, dict) and "none" not in found else {}


def _listed(part: Any, key: str) -> list[Any]:
    found = part.get(key, [])
    return found if isinstance(found, list) else []


def _stated(part: Any, key: str) -> bool:
    return isinstance(part.get(key), dict) and "none" not in part[key]
