"""A dossier filled into the records of its JSON."""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING, TypeVar, cast

from riskdoc import __version__
from riskdoc.export import document as whole
from riskdoc.export import records
from riskdoc.i18n.say import Message, speaking
from riskdoc.mitigation.job_edits import writes
from riskdoc.requirements.outcome import open_items
from riskdoc.signing.content import pictured

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from riskdoc.analysis.figure import Figure
    from riskdoc.hazards.rated import Listed, Rated
    from riskdoc.job.model import Job
    from riskdoc.judgement.verdicts import Acceptance, Assessment, Check
    from riskdoc.mitigation.change import Change
    from riskdoc.mitigation.combinations import Package
    from riskdoc.mitigation.effects import Effect, Result
    from riskdoc.mitigation.job_edits import Write
    from riskdoc.mitigation.limits import Limit
    from riskdoc.quantities.ranges import Input, Range, Sensitivity
    from riskdoc.requirements.dossier import Brief, Dossier
    from riskdoc.requirements.items import Answered
    from riskdoc.requirements.outcome import Outcome
    from riskdoc.signing.sign_off_state import Before, Signed, SignOffState

Record = TypeVar("Record")


def document_json(dossier: Dossier, standing: SignOffState) -> str:
    """The document as one line of JSON, without the line's end."""
    return in_json(document(dossier, standing), dossier.plan)


def in_json(filled: whole.Document | whole.Assessment, plan: Assessment) -> str:
    """A filled record as one line of JSON, its messages in the language and units of the job."""
    with speaking(plan.file.voice):
        return json.dumps(filled, ensure_ascii=False, allow_nan=False, default=_in_words)


def _in_words(value: object) -> str:
    """A message of the document, in the language and the units of the job."""
    if isinstance(value, Message):
        return str(value)
    raise TypeError(f"{value!r} is no plain data")


def document(dossier: Dossier, standing: SignOffState) -> whole.Document:
    """The dossier with its digest, its form, and how it stands."""
    study, status = dossier.study, standing.status
    file, register = study.plan.file, dossier.register
    return _filled(
        whole.Document,
        status,
        **assessment(study.plan)
        # In place of the worst of the checks alone, which the assessment gives by this name.
        | {"status": status.verdict, "hazards": [_hazard(each) for each in register.hazards]},
        controls=[_result(each, file.job) for each in study.results],
        package=_package(study.package, dossier.mended),
        limits=[_limit(each, "plan") for each in study.limits]
        + [_limit(each, "package") for each in study.mended],
        matrix=register.matrix.id if register.matrix else None,
        dropped=_all(records.Dropped, register.dropped),
        refused=_all(records.Refused, register.findings),
        requirement_set=_filled(
            whole.RequirementSet,
            dossier.judged,
            id=dossier.judged.set.id,
            items=[_item(each) for each in dossier.judged.answers],
        ),
        exit=0 if status.passes else 1,
        outcome=_outcome(status.outcome),
        digest=standing.content.digest,
        machine=dict(standing.machine),
        pictures=[
            {"id": each.id, "file": each.name, **pictured(each)} for each in file.pictures.values()
        ],
        form=_filled(whole.Form, file.job.report),
        document=_standing(standing),
    )


def assessment(plan: Assessment) -> whole.Assessment:
    """What was computed and judged; what could be done about it is added later."""
    file = plan.file
    return _filled(
        whole.Assessment,
        plan,
        riskdoc=1,
        version=__version__,
        job=_filled(whole.JobFile, file.job.job, file=file.name, sha256=file.digest),
        on=file.on.isoformat(),
        requirements=plan.requirement_set,
        figures=[_figure(each) for each in plan.figures],
        checks=[_check(each) for each in plan.checks],
        findings=_all(records.Finding, plan.findings),
        inputs=[_input(each) for each in (*plan.inputs, *plan.defaults)],
        hazards=[],
    )


def _filled(record: type[Record], of: object, /, **given: object) -> Record:
    """A record with what is given, and of the rest what an object has by the same names."""
    names = record.__annotations__
    if unknown := given.keys() - names.keys():
        raise TypeError(f"{record.__name__} has no {sorted(unknown)}")
    values = {name: given[name] if name in given else getattr(of, name) for name in names}
    return cast("Record", values)


def _all(record: type[Record], of: Iterable[object]) -> list[Record]:
    return [_filled(record, each) for each in of]


def _figure(figure: Figure) -> records.Figure:
    return _filled(
        records.Figure,
        figure,
        **_range(figure.range),
        band=_maybe(figure.band),
        inputs=[each.id for each in figure.inputs],
        decides=_decides(figure.sensitivities),
    )


def _check(check: Check) -> records.Check:
    return _filled(
        records.Check,
        check,
        demand=_maybe(check.demand),
        capacity=_maybe(check.capacity),
        ratio=_maybe(check.ratio),
        decides=_decides(check.decides),
        accepted=_accepted(check.accepted) if check.accepted else None,
    )


def _accepted(accepted: Acceptance) -> records.Acceptance:
    return _filled(records.Acceptance, accepted, until=accepted.until.isoformat())


def _input(entry: Input) -> records.Input:
    return _filled(records.Input, entry, **_range(entry.range))


def _decides(found: Iterable[Sensitivity]) -> list[records.Sensitivity]:
    return [
        {"input": each.input, "at_low": _finite(each.at_low), "at_high": _finite(each.at_high)}
        for each in found
    ]


def _maybe(value: Range | None) -> records.Range | None:
    return None if value is None else _range(value)


def _range(value: Range) -> records.Range:
    return {
        "low": _finite(value.low),
        "expected": _finite(value.expected),
        "high": _finite(value.high),
    }


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _hazard(hazard: Listed) -> records.Hazard:
    return _filled(
        records.Hazard,
        hazard,
        before=_rated(hazard.before),
        after=_rated(hazard.after),
        controls=dict(hazard.controls),
    )


def _rated(rated: Rated | None) -> records.Rated | None:
    return None if rated is None else _filled(records.Rated, rated)


def _result(result: Result, job: Job) -> records.Result:
    return _filled(
        records.Result,
        result,
        changes=[_change(each, writes(job, each.apply(job))) for each in result.changes],
        mends=[each.id for each in result.mends],
        brings=[each.id for each in result.brings],
        effects=[_effect(each) for each in result.effects],
    )


def _package(found: Package, mended: Brief | None) -> records.Package:
    result = found.result
    return _filled(
        records.Package,
        found,
        changes=[_change(each.change, each.writes) for each in found.steps],
        effort=result.effort if result else 0,
        mends=[each.id for each in result.mends] if result else [],
        brings=[each.id for each in result.brings] if result else [],
        effects=[_effect(each) for each in result.effects] if result else [],
        mended=dict(found.mended),
        left=[each.id for each in found.left],
        bounded=sorted(found.bounded),
        missing={each.id: each.missing for each in found.missing},
        # How the plan comes out with it, and the items that stay open then.
        outcome=_outcome(mended.outcome) if mended else None,
        open_items=[each.item.id for each in open_items(mended.judged)] if mended else [],
    )


def _change(change: Change, written: Sequence[Write]) -> records.Change:
    return _filled(records.Change, change, writes=_all(records.Write, written))


def _effect(effect: Effect) -> records.Effect:
    return _filled(
        records.Effect,
        effect,
        check=effect.id,
        before=_state(effect.before),
        after=_state(effect.after),
        compared=_maybe(effect.compared),
    )


def _state(check: Check | None) -> records.CheckState | None:
    """A verdict and its ratio at worst; None where the check is not asked."""
    if check is None:
        return None
    ratio = None if check.ratio is None else _finite(check.ratio.low)
    return {"verdict": check.verdict, "ratio": ratio}


def _limit(limit: Limit, of: str) -> records.Limit:
    return _filled(
        records.Limit,
        limit,
        of=of,
        set_by=limit.set_by.id if limit.set_by else None,
        beyond=limit.beyond or None,
    )


def _item(each: Answered) -> whole.Item:
    item = each.item
    return _filled(whole.Item, each, id=item.id, clause=item.clause, test=item.test)


def _outcome(outcome: Outcome) -> records.Outcome:
    return _filled(records.Outcome, outcome, unmet=dict(outcome.unmet), open=dict(outcome.open))


def _standing(standing: SignOffState) -> whole.Standing:
    return _filled(
        whole.Standing,
        None,
        **{"from": standing.start.isoformat()},
        to=standing.end.isoformat(),
        signed=[_signed(each) for each in standing.signed],
        one_person=bool(standing.alone),
        entries=len(standing.record.entries),
        last=standing.record.last,
        before=[_before(each) for each in standing.before],
    )


def _signed(signed: Signed) -> whole.Signed:
    entry = signed.entry
    if entry is None:
        return {"role": signed.role, "name": None, "time": None, "meaning": None, "hash": None}
    return _filled(whole.Signed, entry, role=signed.role)


def _before(before: Before) -> whole.Before:
    return _filled(
        whole.Before,
        before.file.job.job,
        file=before.file.name,
        sha256=before.file.digest,
        state=before.state,
        entries=len(before.record.entries),
        last=before.record.last,
    )
