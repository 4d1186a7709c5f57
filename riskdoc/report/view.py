"""Builds the view: the whole document as printable text, with nothing left to decide."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from riskdoc.i18n.say import say, speaking
from riskdoc.judgement.verdicts import Verdict
from riskdoc.report import abrasion as wear
from riskdoc.report import carried, decision, front, hazards, required, results, signed, workings
from riskdoc.report import equipment as kit
from riskdoc.report import falls_page as falls
from riskdoc.report.blocks import Labels, Para, Section, Sheet, View
from riskdoc.report.facts import facts_of
from riskdoc.report.html import meta
from riskdoc.report.links import linked
from riskdoc.report.marks import sign
from riskdoc.report.text import bound, clean, shortened, unprintable
from riskdoc.signing.document_status import State

if TYPE_CHECKING:
    from riskdoc.job.model import Form
    from riskdoc.report.facts import Facts
    from riskdoc.requirements.dossier import Dossier
    from riskdoc.signing.document_status import DocumentStatus
    from riskdoc.signing.sign_off_state import SignOffState


def build(dossier: Dossier, standing: SignOffState | None = None) -> View:
    """The view of a plan, its hazards and what could be done about it, and of how it stands."""
    with speaking(dossier.study.plan.file.voice):
        return _built(dossier, standing)


def _built(dossier: Dossier, standing: SignOffState | None) -> View:
    facts = facts_of(dossier, standing)
    job, status = facts.job.job, facts.standing.status
    raw = View(
        title=job.title,
        document=say("{number}, revision {revision}", number=job.number, revision=job.revision),
        document_short=_short(job.number, job.revision),
        jobs=((job.number, job.location.place),),
        status=status.banner,
        digest=facts.standing.content.digest,
        digest_short=facts.short_digest,
        facts=front.title_block(facts),
        verdict=_mark(status),
        sentence=status.headline,
        front=front.front(facts),
        sections=linked(_sections(facts)),
        labels=labels(say("Risk assessment for work on ropes")),
        sheet=sheet_of(facts.job.report),
        meta=meta(facts.standing),
    )
    return with_notes(raw)


def _mark(status: DocumentStatus) -> Markup:
    """The mark before the headline, whose words say it all; none where it is not the verdict's.

    A plan that is adequate and not signed, or no longer in force, bears no mark of an adequate one.
    """
    ended = status.state not in (State.DRAFT, State.ISSUED)
    draft = status.verdict is Verdict.ADEQUATE and status.state is not State.ISSUED
    return Markup("") if ended or draft else sign(status.verdict)


def labels(kind: str) -> Labels:
    """The words of the templates, in the voice that is speaking."""
    return Labels(
        kind=kind,
        contents=say("Contents"),
        status=say("Status"),
        sheet=say("Sheet"),
        page=say("page"),
        of=say("of"),
        digest=say("digest"),
        drawing=say("drawing"),
        key=say("key"),
        key_title=say("Key to the numbers in the drawing"),
        key_number=say("No."),
        key_part=say("Part"),
        key_text=say("What it is"),
        called_for=say("Called for by:"),
        files=say("Files inside this document"),
    )


def sheet_of(form: Form) -> Sheet:
    """Language and paper as HTML and CSS name them."""
    return Sheet(form.language, form.paper)


def _short(number: str, revision: str) -> str:
    """Number and revision for the edge of every page, in points; page 1 has them in full."""
    return say(
        "{number}, revision {revision}",
        number=shortened(number, 150, 8),
        revision=shortened(revision, 60, 8),
    )


def _sections(facts: Facts) -> tuple[Section, ...]:
    makers = (
        decision.decision,
        results.drawn,
        results.margins,
        results.friction,
        wear.exposure,
        falls.falls,
        carried.rescue,
        hazards.hazards,
        required.requirements,
        carried.people,
        kit.kit,
        workings.cautions,
        carried.record,
        workings.workings,
        workings.inputs,
        workings.sources,
        signed.made,
    )
    return tuple(make(facts) for make in makers)


def with_notes(raw: View) -> View:
    """The view in printable characters; what had to be written as a code is said in the view."""
    lost: set[str] = set()
    view: View = _printable(raw, lost)
    if lost:
        note = say(
            "Some characters of the job file cannot be printed and stand as codes: {codes}.",
            codes=", ".join(sorted(lost)),
        )
        noted = tuple(_noted(section, note) for section in view.sections)
        view = replace(view, sections=noted, notes=(note,))
    return view


def _noted(section: Section, note: str) -> Section:
    if section.id != "cautions":
        return section
    return replace(section, blocks=(*section.blocks, Para(note, "finding")))


def _printable(value: Any, lost: set[str]) -> Any:  # noqa: ANN401  (a walk over blocks of any kind)
    """A copy in which every plain text can be printed. Markup was made printable when drawn."""
    if isinstance(value, Markup):
        return value
    if isinstance(value, str):
        lost.update(unprintable(value))
        return bound(clean(value))
    if isinstance(value, tuple):
        return tuple(_printable(each, lost) for each in value)
    if is_dataclass(value) and not isinstance(value, type):
        changed = {f.name: _printable(getattr(value, f.name), lost) for f in fields(value)}
        return replace(value, **changed)
    return value
