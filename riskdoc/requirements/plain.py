"""A dossier as plain data for machines: the most of what `check --json` prints."""

from __future__ import annotations

from typing import Any

from riskdoc.hazards.rated import Dropped, Listed, Rated
from riskdoc.mitigation.plain import plain_study
from riskdoc.requirements.dossier import Brief, Dossier
from riskdoc.requirements.items import Answered
from riskdoc.requirements.outcome import open_items, plain_outcome


def plain_dossier(dossier: Dossier) -> dict[str, Any]:
    """The study with its hazards and its requirement set, as the shipped schema has them."""
    register = dossier.register
    study = plain_study(dossier.study)
    return {
        **study,
        "package": {**study["package"], **_after(dossier.mended)},
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
    }  # fmt: skip


def _after(mended: Brief | None) -> dict[str, Any]:
    """How the plan comes out with its package, and the items that stay open then."""
    if mended is None:
        return {"outcome": None, "open_items": []}
    return {
        "outcome": plain_outcome(mended.outcome),
        "open_items": [each.item.id for each in open_items(mended.judged)],
    }


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
        "basis_after": hazard.basis_after,
        "controls": {level: list(said) for level, said in hazard.controls.items()},
        "chosen": hazard.chosen,
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
