"""An assessment as plain data for machines: what `check --json` prints.

Numbers are in SI. A ratio without bound (a capacity against no demand) is `null`.
"""

from __future__ import annotations

import math
from typing import Any

from riskdoc import __version__
from riskdoc.analysis.figure import Figure
from riskdoc.judgement.verdicts import Assessment, Check, Finding
from riskdoc.quantities.ranges import Input, Range, Sensitivity


def plain_assessment(assessment: Assessment) -> dict[str, Any]:
    """The whole assessment as one object; what could be done about it is added to it later."""
    file = assessment.file
    return {
        "riskdoc": 1,
        "version": __version__,
        "job": {
            "file": file.name,
            "number": file.job.job.number,
            "revision": file.job.job.revision,
            "title": file.job.job.title,
            "sha256": file.digest,
        },
        "on": file.on.isoformat(),
        "requirements": assessment.requirement_set,
        "status": assessment.status.value,
        "not_judged": list(assessment.not_judged),
        "figures": [_figure(each) for each in assessment.figures],
        "checks": [_check(each) for each in assessment.checks],
        "findings": [_finding(each) for each in assessment.findings],
        "inputs": [_input(each) for each in (*assessment.inputs, *assessment.defaults)],
        "hazards": [],
    }


def _figure(figure: Figure) -> dict[str, Any]:
    return {
        "id": figure.id,
        "title": figure.title,
        **_range(figure.range),
        "band": _maybe(figure.band),
        "unit": figure.unit,
        "formula": figure.formula,
        "worked": figure.worked,
        "inputs": [each.id for each in figure.inputs],
        "decides": [_influence(each) for each in figure.sensitivities],
        "source": figure.source,
    }


def _check(check: Check) -> dict[str, Any]:
    return {
        "id": check.id,
        "subject": check.subject,
        "title": check.title,
        "verdict": check.verdict.value,
        "demand": _maybe(check.demand),
        "capacity": _maybe(check.capacity),
        "ratio": _maybe(check.ratio),
        "required": check.required,
        "unit": check.unit,
        "reason": check.reason,
        "remedy": check.remedy,
        "missing": list(check.missing),
        "decides": [_influence(each) for each in check.decides],
        "figures": list(check.figures),
        "accepted": (
            {
                "by": check.accepted.by,
                "reason": check.accepted.reason,
                "until": check.accepted.until.isoformat(),
                "conditions": list(check.accepted.conditions),
            }
            if check.accepted
            else None
        ),
        "source": check.source,
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "id": finding.id,
        "subject": finding.subject,
        "text": finding.text,
        "place": finding.place,
    }


def _input(entry: Input) -> dict[str, Any]:
    return {
        "id": entry.id,
        "title": entry.title,
        **_range(entry.range),
        "unit": entry.unit,
        "written": entry.written,
        "place": entry.place,
        "provenance": entry.provenance,
        "source": entry.source,
    }


def _influence(each: Sensitivity) -> dict[str, Any]:
    return {
        "input": each.input,
        "at_low": _finite(each.at_low),
        "at_high": _finite(each.at_high),
    }


def _maybe(value: Range | None) -> dict[str, float | None] | None:
    return None if value is None else _range(value)


def _range(value: Range) -> dict[str, float | None]:
    return {
        "low": _finite(value.low),
        "expected": _finite(value.expected),
        "high": _finite(value.high),
    }


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
