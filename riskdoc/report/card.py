"""The crew card: one A5 page to carry, cut from the dossier; the report has all of it in full."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from markupsafe import Markup

from riskdoc.i18n.say import mark, say, speaking
from riskdoc.report.facts import line_name
from riskdoc.report.front import exception, planned, status_words, valid_days
from riskdoc.report.html import faces_for, meta, page_style, template
from riskdoc.report.pdf import print_page
from riskdoc.report.policy import policy
from riskdoc.report.qr import qr_code
from riskdoc.report.text import fitted, wrap
from riskdoc.report.view import sheet_of
from riskdoc.signing.sign_off_state import stand

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from riskdoc.report.attachments import Attachment
    from riskdoc.requirements.dossier import Dossier
    from riskdoc.signing.sign_off_state import SignOffState

ROOM = 352.0
"""Width of a line of text on the card, in points."""
SIZE, TITLE = 8.5, 11.0
QR_SIZE = 50.0
"""Width of the code in points, 18 mm; judgement: a telephone reads it off paper."""
STYLES = ("card.css",)
LOUD = mark("NOT DEMONSTRATED")
SHEETS = {1: "single", 2: "double"}


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the card: its heading, its entries, and a line on those that did not fit."""

    title: str
    entries: tuple[str, ...]
    more: str = ""


@dataclass(frozen=True, slots=True)
class Card:
    """The card as finished text."""

    language: str
    name: str
    title: str
    document: str
    number: str
    place: str
    status: str
    digest: str
    codes: tuple[Markup, ...]
    valid: str
    headline: str
    meta: tuple[tuple[str, str], ...]
    parts: tuple[Part, ...]
    foot: str


def build_card(
    dossier: Dossier, standing: SignOffState | None = None, *, both_units: bool = False
) -> Card:
    """The card of a dossier. Entries are shortened, and counted where they do not fit.

    `both_units` puts the limits in metric and in US units, side by side.
    """
    voice = dossier.study.plan.file.voice
    with speaking(replace(voice, units="both") if both_units else voice):
        return _built(dossier, standing or stand(dossier))


def _built(dossier: Dossier, standing: SignOffState) -> Card:
    plan = dossier.study.plan
    job = plan.file.job
    info = job.job
    sheet = sheet_of(job.report)
    return Card(
        language=sheet.language,
        name=say("Crew card"),
        title=fitted(info.title, 2, ROOM - QR_SIZE - 6, TITLE),
        document=fitted(
            say("{number}, revision {revision}", number=info.number, revision=info.revision),
            1,
            130.0,
            8.0,
        ),
        number=info.number,
        place=info.location.place,
        status=standing.status.banner,
        digest=standing.content.digest,
        codes=tuple(
            qr_code(info.number, info.revision, standing.content.digest, QR_SIZE, name)
            for name in ("qr", "qr-2")
        ),
        valid=valid_days(info),
        headline=fitted(standing.status.headline, 3, ROOM, SIZE),
        meta=meta(standing),
        parts=(
            *_exceptions(dossier),
            _part(say("Do not go beyond, as planned"), _limits(dossier), 8),
            _part(say("Stop work when"), job.work.stop_work if job.work else (), 5),
            _part(say("Lines and edges"), _edges(dossier), 6),
            _part(say("Rescue"), _rescue(dossier), 7),
            _part(say("Who and how"), _contacts(dossier), 6),
        ),
        foot=say(
            "Verdict, state: {status}. For {days}. Digest {digest}. Work on ropes can kill: the "
            "permit issuer and the supervisor decide; local codes, makers' instructions and "
            "licensed practice come first. This card is not a permit.",
            status=status_words(standing.status),
            days=valid_days(info),
            digest=standing.content.digest[:12],
        ),
    )


def _exceptions(dossier: Dossier) -> Iterator[Part]:
    """Accepted exceptions with their conditions, which bind the crew; none takes no room."""
    found = [exception(each) for each in dossier.plan.checks if each.accepted is not None]
    if found:
        yield _part(say("Accepted only on condition"), found, 6, most=4)


def _limits(dossier: Dossier) -> Iterator[str]:
    """The plan's own values, which are the limits of the crew; nothing computed stands here."""
    return map(planned, dossier.study.limits)


def _edges(dossier: Dossier) -> Iterator[str]:
    job, plan = dossier.study.plan.file.job, dossier.study.plan
    for id, line in job.lines.items():
        name = line_name(job, id)
        if not line.over and line.strands > 1:
            yield name
        for over in line.over:
            kit = job.edges[over.edge].protection
            check = plan.check(f"line/{id}/edge/{over.edge}/exposure")
            verdict = say(check.verdict.value) if check is not None else say("not judged")
            held = say("NO PROTECTOR")
            if kit is not None:
                part = job.protection[kit]
                held = f"{kit} ({say(part.kind)}), {say('tied') if part.tied else say('NOT TIED')}"
            yield say(
                "{name} over {edge}: {held}; exposure {verdict}",
                name=name,
                edge=over.edge,
                held=held,
                verdict=verdict,
            )


def _rescue(dossier: Dossier) -> Iterator[str]:
    job = dossier.study.plan.file.job
    plan = job.rescue
    who = ", ".join(job.people[id].name for id in plan.who) or say("NOBODY STATED")
    ground = plan.time_to_ground.written if plan.time_to_ground else say(LOUD)
    yield say("{who}; on the ground in {ground}", who=who, ground=ground)
    yield say("How: {method}", method=plan.method or say(LOUD))
    yield say("Kit: {kit}", kit=plan.kit or say(LOUD))
    yield from (f"{n}. {step}" for n, step in enumerate(plan.steps, start=1))


def _contacts(dossier: Dossier) -> Iterator[str]:
    job = dossier.study.plan.file.job
    plan, work = job.rescue, job.work
    phones = [f"{each.name} {each.phone}" for each in job.people.values() if each.phone]
    if phones:
        yield say("Phones: {phones}", phones=", ".join(phones))
    yield say("Signal: {signal}", signal=say(plan.phone_signal or LOUD))
    if plan.call:
        yield say("Help is called by: {means}", means=plan.call)
    yield say(
        "Crew talk by: {means}",
        means=(work.communications if work else None) or say(LOUD),
    )
    yield say("First aid: {help}", help=plan.first_aid or say(LOUD))
    yield say("Emergency services met at: {place}", place=plan.rendezvous or say(LOUD))
    yield say("Hospital: {hospital}", hospital=plan.hospital or say(LOUD))


def _part(title: str, said: Iterable[str], lines: int, most: int = 2) -> Part:
    """As many entries as fit into so many lines, `most` for each; the rest is counted."""
    kept: list[str] = []
    used = 0
    entries = list(said) or [say("NOT DEMONSTRATED: the job states none")]
    for n, entry in enumerate(entries):
        text = fitted(entry, most, ROOM, SIZE)
        takes = len(wrap(text, ROOM, SIZE))
        if used + takes > lines:
            more = say("{count} more in the report", count=len(entries) - n)
            return Part(title, tuple(kept), more)
        kept.append(text)
        used += takes
    return Part(title, tuple(kept))


def card_html(card: Card, *, for_print: bool, copies: int = 1) -> str:
    """The card as HTML, once, or twice beside one another."""
    style = Markup("") if for_print else page_style("card.css", "card-screen.css")
    style += faces_for(repr(card), for_print=for_print)
    page = template("card.html")
    return page.render(
        card=card,
        style=style,
        cards=(card,) * copies,
        sheet=SHEETS[copies],
        policy="" if for_print else policy(style),
    )


def card_pdf(card: Card, attachments: Sequence[Attachment] = (), *, copies: int = 1) -> bytes:
    """The card as PDF with files inside it: one A5 page, or two cards on an A4 sheet to be cut.

    Raises `RenderError` where it takes more than one page.
    """
    page = card_html(card, for_print=True, copies=copies)
    return print_page(page, card.digest, STYLES, most=1, attachments=attachments)
