"""A dossier as plain data for machines: the most of what `check --json` prints."""

from __future__ import annotations

from typing import Any

from riskdoc.controls.plain import plain_study
from riskdoc.hazards.records import Dropped, Listed, Rated
from riskdoc.requirements.dossier import Dossier
from riskdoc.requirements.records import Answered


def plain_dossier(dossier: Dossier) -> dict[str, Any]:
    """The study with its hazards and its requirement set, as the shipped schema has them."""
    register = dossier.register
    return {
        **plain_study(dossier.study),
        "matrix": register.matrix.id if register.matrix else None,
        "hazards": [_hazard(each) for each in register.hazards],
        "dropped": [_dropped(each) for each in register.dropped],
        "refused": [{"id": each.id, "text": each.text, "place": each.place}
                    for each in register.findings],
        "requirement_set": {
            "id": dossier.judged.set.id,
            "applicable": dossier.judged.applicable,
            "sentence": dossier.judged.sentence,
            "items": [_item(each) for each in dossier.judged.answers],
        },
        "may_start": dossier.may_start,
    }  # fmt: skip


def _hazard(hazard: Listed) -> dict[str, Any]:
    return {
        "id": hazard.id,
        "group": hazard.group,
        "title": hazard.title,
        "fatal": hazard.fatal,
        "who": list(hazard.who),
        "how": hazard.how,
        "because": list(hazard.because),
        "before": _rated(hazard.before),
        "after": _rated(hazard.after),
        "basis": hazard.basis,
        "controls": {level: list(said) for level, said in hazard.controls.items()},
        "checks": list(hazard.checks),
        "stops": list(hazard.stops),
        "reason": hazard.reason,
        "owner": hazard.owner,
        "due": hazard.due,
        "source": hazard.source,
        "provenance": hazard.provenance,
    }


def _rated(rated: Rated | None) -> dict[str, Any] | None:
    if rated is None:
        return None
    return {
        "severity": rated.severity,
        "likelihood": rated.likelihood,
        "band": rated.band,
        "score": rated.score,
    }


def _dropped(each: Dropped) -> dict[str, Any]:
    return {"id": each.id, "title": each.title, "reason": each.reason}


def _item(each: Answered) -> dict[str, Any]:
    return {
        "id": each.item.id,
        "clause": each.item.clause,
        "test": each.item.test,
        "answer": each.answer.value,
        "reason": each.reason,
        "missing": list(each.missing),
    }
