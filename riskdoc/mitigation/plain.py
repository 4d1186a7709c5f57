"""A study as plain data for machines: what `check --json` prints beside the assessment."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from riskdoc.job.model import Job
from riskdoc.judgement.plain import plain_assessment
from riskdoc.judgement.verdicts import Check
from riskdoc.mitigation.change import Change
from riskdoc.mitigation.combinations import Package
from riskdoc.mitigation.effects import Effect, Result
from riskdoc.mitigation.job_edits import Write, writes
from riskdoc.mitigation.limits import Limit
from riskdoc.mitigation.study import Study
from riskdoc.quantities.ranges import Range


def plain_study(study: Study) -> dict[str, Any]:
    """The assessment with its changes, its package and its limits, as the schema has them."""
    job = study.plan.file.job
    return {
        **plain_assessment(study.plan),
        "controls": [_result(each, job) for each in study.results],
        "package": _package(study.package),
        "limits": [_limit(each, "plan") for each in study.limits]
        + [_limit(each, "package") for each in study.mended],
    }


def _result(result: Result, job: Job) -> dict[str, Any]:
    return {
        "changes": [_change(each, writes(job, each.apply(job))) for each in result.changes],
        **_effects(result),
    }


def _package(found: Package) -> dict[str, Any]:
    nothing: dict[str, Any] = {"effort": 0, "mends": [], "brings": [], "effects": []}
    return {
        "changes": [_change(each.change, each.writes) for each in found.steps],
        **(_effects(found.result) if found.result else nothing),
        "mended": {id: list(steps) for id, steps in found.mended.items()},
        "left": [each.id for each in found.left],
        "bounded": sorted(found.bounded),
        "missing": {each.id: list(each.missing) for each in found.missing},
        "cut": found.cut,
    }


def _change(change: Change, written: Sequence[Write]) -> dict[str, Any]:
    return {
        "id": change.id,
        "title": change.title,
        "level": change.level.value,
        "asks": change.asks,
        "effort": change.effort,
        "practicability": change.practicability,
        "writes": [{"key": each.key, "value": each.value} for each in written],
    }


def _effects(result: Result) -> dict[str, Any]:
    return {
        "effort": result.effort,
        "mends": [each.id for each in result.mends],
        "brings": [each.id for each in result.brings],
        "effects": [_effect(each) for each in result.effects],
    }


def _effect(effect: Effect) -> dict[str, Any]:
    return {
        "check": effect.id,
        "before": _state(effect.before),
        "after": _state(effect.after),
        "compared": _compared(effect.compared),
    }


def _compared(range: Range | None) -> dict[str, float] | None:
    """A demand after over before, draw by draw; None where it is not drawn."""
    if range is None:
        return None
    return {"low": range.low, "expected": range.expected, "high": range.high}


def _state(check: Check | None) -> dict[str, Any] | None:
    """A verdict and its ratio at worst; None where the check is not asked."""
    if check is None:
        return None
    ratio = check.ratio.low if check.ratio is not None else None
    finite = ratio if ratio is not None and ratio != float("inf") else None
    return {"verdict": check.verdict.value, "ratio": finite}


def _limit(limit: Limit, of: str) -> dict[str, Any]:
    return {
        "id": limit.id,
        "of": of,
        "title": limit.title,
        "unit": limit.unit,
        "stated": list(limit.stated),
        "greatest": limit.greatest,
        "least": limit.least,
        "bounded": limit.bounded,
        "tried": list(limit.tried),
        "step": limit.step,
        "kept": limit.kept,
        "set_by": limit.set_by.id if limit.set_by else None,
        "beyond": limit.beyond or None,
        "aside": list(limit.aside),
    }
