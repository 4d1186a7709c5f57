"""What a sign-off is bound to: the resolved job, what judged it, and what came out.

A content is a JSON object in the canonical form of RFC 8785, and its digest the SHA-256 of those
bytes. The order of keys, comments, places in the file, defaults written out or left out, and the
way an amount is spelled change nothing in it; a digit of an amount and a letter of a text do. So
does what judged it: the rows of the tables that were used, the hazards of the catalogue that are
listed, the matrix, the requirement set, the version of riskdoc. A row that nothing of the job uses
does not. Language, units and paper of the report are left out: they say the same in
other words. So is the day of the assessment, which the figures do not hang on, and what could be
done about the plan: changes and limits follow from the rest, and nobody signs them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any

from riskdoc import __version__
from riskdoc.hazards.catalogue import Entry, catalogue
from riskdoc.hazards.matrices import Matrix
from riskdoc.i18n.message import Text
from riskdoc.i18n.say import english
from riskdoc.job.model import Job, Part
from riskdoc.quantities.quantity import Quantity
from riskdoc.signing.canonical import canonical, kept, sha256
from riskdoc.signing.libraries import packages
from riskdoc.tables.loader import Cell

if TYPE_CHECKING:
    from riskdoc.analysis.figure import Figure
    from riskdoc.hazards.rated import Listed, Rated
    from riskdoc.job.pictures import PictureFile
    from riskdoc.job.reading import JobFile
    from riskdoc.judgement.verdicts import Check
    from riskdoc.quantities.ranges import Range
    from riskdoc.requirements.dossier import Brief, Dossier

FORM = 3
"""Version of the form of a content."""
KEYS = re.compile(rf"\b(?:{'|'.join(Job.model_fields)})(?:\.[\w…*-]+|\[\d+\])+")
"""Keys of a job file as checks name them."""


@dataclass(frozen=True, slots=True)
class Content:
    """A content: as plain data, as canonical bytes, and the SHA-256 of those in hexadecimal."""

    plain: Mapping[str, Any]
    raw: bytes
    digest: str


def content_of(dossier: Brief | Dossier) -> Content:
    """The content of a dossier, worked out once for each."""
    file = dossier.plan.file
    if "content" not in file.worked:
        file.worked["content"] = _content_of(dossier)
    found: Content = file.worked["content"]
    return found


def _content_of(dossier: Brief | Dossier) -> Content:
    plain = _plain(dossier)
    raw = canonical(plain)
    return Content(plain, raw, sha256(raw))


def _plain(dossier: Brief | Dossier) -> dict[str, Any]:
    plan, register, judged = dossier.plan, dossier.register, dossier.judged
    file = plan.file
    taken = {**plan.rows, **register.rows, **judged.rows}
    listed = sorted([each.id for each in register.hazards] + [each.id for each in register.dropped])
    return {
        "content": FORM,
        "format": file.job.riskdoc,
        "version": __version__,
        "libraries": dict(packages()),
        "job": resolved(file.job),
        "alternatives": {
            id: {"title": file.job.alternatives[id].title, "job": resolved(each.job)}
            for id, each in file.alternatives.items()
        },
        "pictures": {id: pictured(each) for id, each in file.pictures.items()},
        "replaces": _before(file.earlier),
        "rows": {id: _row(taken[id]) for id in sorted(taken)},
        "catalogue": {id: _entry(catalogue()[id]) for id in listed if id in catalogue()},
        "matrix": None if register.matrix is None else _matrix(register.matrix),
        "set": {file.job.job.requirements: sha256(judged.set.raw)},
        "verdict": dossier.outcome.verdict.value,
        "figures": {each.id: _figure(each) for each in plan.figures},
        "checks": {each.id: _check(each) for each in plan.checks},
        # Warnings of the reader hang on the day, as that of a day that has passed does.
        "findings": sorted(each.id for each in plan.findings if not each.id.startswith("warning/")),
        "hazards": {each.id: _hazard(each) for each in register.hazards},
        "dropped": sorted(each.id for each in register.dropped),
        "refused": sorted(each.id for each in register.findings),
        "requirements": {each.item.id: each.answer.value for each in judged.answers},
    }


def resolved(job: Job) -> dict[str, Any]:
    """A job as plain data: amounts as low, expected and high in SI, whole, with every default.

    Without what the report looks like, and without alternatives, which stand by themselves.
    """
    return {
        key: _value(getattr(job, key))
        for key in type(job).model_fields
        if key not in ("report", "alternatives")
    }


def _value(value: Any) -> Any:  # noqa: ANN401  (a walk over a model)
    if isinstance(value, Quantity):
        return [value.low, value.expected, value.high]
    if isinstance(value, Part):
        fields = type(value).model_fields
        return {(fields[key].alias or key): _value(getattr(value, key)) for key in fields}
    if isinstance(value, Mapping):
        return {key: _value(each) for key, each in value.items()}
    if isinstance(value, tuple | list):
        return [_value(each) for each in value]
    if isinstance(value, date):
        return value.isoformat()
    return value


def pictured(file: PictureFile) -> dict[str, Any]:
    """A picture as it was read and as it is printed, with what is printed of its metadata."""
    ready = file.prepared
    return {
        "sha256": file.sha256,
        "kind": file.kind,
        "pixels": [file.width, file.height],
        "keeps": file.keeps,
        "exif": file.exif.hex(),
        "spot": list(file.spot) if file.spot else None,
        "printed": sha256(ready.content),
        "printed_pixels": [ready.width, ready.height],
    }


def _before(earlier: JobFile | None) -> dict[str, Any] | None:
    """The revision that is replaced, by the bytes of its job file, and those before it."""
    if earlier is None:
        return None
    job = earlier.job.job
    return {
        "number": job.number,
        "revision": job.revision,
        "sha256": earlier.digest,
        "replaces": _before(earlier.earlier),
    }


def _row(row: Cell | Any) -> Any:  # noqa: ANN401  (a number of a table, or a property of a row)
    """A number with what it rests on; its source in words is of the report."""
    if isinstance(row, Cell):
        return [row.low, row.expected, row.high, row.unit, row.provenance]
    return row


def _entry(entry: Entry) -> str:
    """SHA-256 of a hazard of the catalogue, with its causes, controls and ratings."""
    return sha256(canonical(asdict(entry)))


def _matrix(used: Matrix) -> str:
    """SHA-256 of a matrix, cell by cell."""
    cells = [[*place, *used.cells[place]] for place in sorted(used.cells)]
    return sha256(canonical({**asdict(replace(used, cells={})), "cells": cells}))


def _range(value: Range | None) -> list[float | None] | None:
    if value is None:
        return None
    return [kept(each) for each in (value.low, value.expected, value.high)]


def _figure(figure: Figure) -> dict[str, Any]:
    value = {"value": _range(figure.range), "unit": figure.unit}
    return value if figure.band is None else {**value, "band": _range(figure.band)}


def _check(check: Check) -> dict[str, Any]:
    return {
        "verdict": check.verdict.value,
        "demand": _range(check.demand),
        "capacity": _range(check.capacity),
        "ratio": _range(check.ratio),
        "required": kept(check.required),
        "accepted": check.accepted is not None,
        "missing": sorted(map(_keys, check.missing)),
    }


def _keys(missing: Text) -> str:
    """The keys in what is missing, without the words around them, which are of the report.

    >>> _keys("legs of anchors.one within 90° of each other"), _keys("lines.red.devices")
    ('anchors.one', 'lines.red.devices')
    """
    text = english(missing)
    return text if not re.search(r"\s", text) else " ".join(sorted(KEYS.findall(text)))


def _hazard(hazard: Listed) -> dict[str, Any]:
    return {
        "fatal": hazard.fatal,
        "before": _rated(hazard.before),
        "after": _rated(hazard.after),
        "stops": sorted(hazard.stops),
    }


def _rated(rated: Rated | None) -> list[str] | None:
    return None if rated is None else [rated.severity, rated.likelihood]
