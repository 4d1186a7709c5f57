"""A document as plain data for machines: what `check --json` prints, and a report carries."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from riskdoc.i18n.say import Message, speaking
from riskdoc.requirements.outcome import plain_outcome
from riskdoc.requirements.plain import plain_dossier
from riskdoc.signing.content import pictured

if TYPE_CHECKING:
    from riskdoc.requirements.dossier import Dossier
    from riskdoc.signing.sign_off_state import Before, Signed, SignOffState


def document_json(dossier: Dossier, standing: SignOffState) -> str:
    """The document as one line of JSON, without the line's end."""
    plain = plain_document(dossier, standing)
    with speaking(dossier.plan.file.voice):
        return json.dumps(plain, ensure_ascii=False, allow_nan=False, default=_in_words)


def _in_words(value: object) -> str:
    """A message of the document, in the language and the units of the job."""
    if isinstance(value, Message):
        return str(value)
    raise TypeError(f"{value!r} is no plain data")


def plain_document(dossier: Dossier, standing: SignOffState) -> dict[str, Any]:
    """The dossier with its digest, its form, and how it stands, as the shipped schema has them."""
    form = dossier.study.plan.file.job.report
    status = standing.status
    return {
        **plain_dossier(dossier),
        # In place of the worst of the checks alone, which the assessment gives by this name.
        "status": status.verdict.value,
        "state": status.state.value,
        "headline": status.headline,
        "exit": 0 if status.passes else 1,
        "outcome": plain_outcome(status.outcome),
        "digest": standing.content.digest,
        "machine": dict(standing.machine),
        "pictures": [
            {"id": each.id, "file": each.name, **pictured(each)}
            for each in dossier.study.plan.file.pictures.values()
        ],
        "form": {
            "language": form.language,
            "units": form.units,
            "paper": form.paper,
            "direction": form.direction,
        },
        "document": {
            "from": standing.start.isoformat(),
            "to": standing.end.isoformat(),
            "signed": [_signed(each) for each in standing.signed],
            "one_person": bool(standing.alone),
            "entries": len(standing.record.entries),
            "last": standing.record.last,
            "before": [_before(each) for each in standing.before],
        },
    }


def _before(before: Before) -> dict[str, Any]:
    """An earlier revision, with the last that is known of its record."""
    job = before.file.job.job
    return {
        "file": before.file.name,
        "number": job.number,
        "revision": job.revision,
        "sha256": before.file.digest,
        "state": before.state.value if before.state else None,
        "entries": len(before.record.entries),
        "last": before.record.last,
    }


def _signed(signed: Signed) -> dict[str, Any]:
    entry = signed.entry
    return {
        "role": signed.role,
        "name": entry.name if entry else None,
        "time": entry.time if entry else None,
        "meaning": entry.meaning if entry else None,
        "hash": entry.hash if entry else None,
    }
