"""A study as plain data for machines: what `check --json` prints beside the assessment."""

from __future__ import annotations

from typing import Any

from riskdoc.assess.plain import plain_assessment
from riskdoc.assess.records import Check, Range
from riskdoc.controls.buys import Buy, Effect
from riskdoc.controls.limits import Limit
from riskdoc.controls.study import Study


def plain_study(study: Study) -> dict[str, Any]:
    """The assessment with its controls, its proposal and its limits, as the schema has them."""
    found = study.proposal
    return {
        **plain_assessment(study.plan),
        "controls": [_buy(each) for each in study.buys],
        "cheapest": {
            id: [each.id for each in buy.changes] if buy else None
            for id, buy in study.cheapest.items()
        },
        "proposal": {
            "changes": [_buy(found.buy)] if found.buy else [],
            "left": [each.id for each in found.left],
            "bounded": found.cut,
        },
        "limits": [_limit(each, "plan") for each in study.limits]
        + [_limit(each, "proposal") for each in study.mended],
    }


def _buy(buy: Buy) -> dict[str, Any]:
    return {
        "changes": [
            {"id": c.id, "title": c.title, "level": c.level.value, "asks": c.asks}
            for c in buy.changes
        ],
        "effort": buy.effort,
        "clears": [each.id for each in buy.clears],
        "brings": [each.id for each in buy.brings],
        "effects": [_effect(each) for each in buy.effects],
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
        "tried": list(limit.tried),
        "step": limit.step,
        "kept": limit.kept,
        "set_by": limit.set_by.id if limit.set_by else None,
        "beyond": limit.beyond or None,
        "aside": list(limit.aside),
    }
