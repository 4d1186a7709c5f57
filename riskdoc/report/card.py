"""The crew card: one A5 page to carry, cut from the dossier; the report has all of it in full."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import jinja2
from markupsafe import Markup

from riskdoc.report.controls import greatest
from riskdoc.report.folder import template_folder
from riskdoc.report.html import page_style
from riskdoc.report.pdf import print_page
from riskdoc.report.text import bound, clean, shortened, wrap
from riskdoc.report.view import DRAFT

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from riskdoc.controls.limits import Limit
    from riskdoc.report.attachments import Attachment
    from riskdoc.requirements.dossier import Dossier

ROOM = 352.0
"""Width of a line of text on the card, in points."""
SIZE, TITLE = 8.5, 11.0
STYLES = ("card.css",)
SHEETS = {1: "single", 2: "double"}


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the card: its heading, its entries, and how many did not fit."""

    title: str
    entries: tuple[str, ...]
    more: int = 0


@dataclass(frozen=True, slots=True)
class Card:
    """The card as finished text."""

    title: str
    document: str
    status: str
    digest: str
    valid: str
    may: str
    parts: tuple[Part, ...]


def build_card(dossier: Dossier) -> Card:
    """The card of a dossier. Entries are shortened, and counted where they do not fit."""
    plan = dossier.study.plan
    job = plan.file.job
    info = job.job
    return Card(
        title=_fitted(info.title, 2, TITLE),
        document=_fitted(f"{info.number}, revision {info.revision}", 1, 8.0, 130.0),
        status=DRAFT,
        digest=plan.file.digest[:12],
        valid=f"{info.valid.start.isoformat()} to {info.valid.end.isoformat()}",
        may=_may(dossier),
        parts=(
            _part("Do not go beyond", _limits(dossier), 10),
            _part("Stop when", job.work.stop_work if job.work else (), 5),
            _part("Edges", _edges(dossier), 6),
            _part("Rescue", _rescue(dossier), 7),
            _part("Who and how", _contacts(dossier), 6),
        ),
    )


def _may(dossier: Dossier) -> str:
    if not dossier.may_start:
        stops = len(dossier.study.plan.stops)
        return f"THIS PLAN MAY NOT START AS WRITTEN: {stops} checks stand against it. See page 1."
    return "May start once it is signed and its conditions hold."


def _limits(dossier: Dossier) -> Iterator[str]:
    """The plan's own value is the limit of the crew; beside it how far the checks would hold."""
    for limit in dossier.study.limits:
        yield f"{limit.title}: {limit.planned}; {_bound(limit)}"


def _bound(limit: Limit) -> str:
    if limit.greatest is None:
        return "NO VALUE HOLDS"
    if not limit.kept:
        return f"DOES NOT HOLD, only {greatest(limit)}"
    return f"checks hold to {greatest(limit)}"


def _edges(dossier: Dossier) -> Iterator[str]:
    job, plan = dossier.study.plan.file.job, dossier.study.plan
    for name, line in job.lines.items():
        for over in line.over:
            kit = job.edges[over.edge].protection
            check = plan.check(f"line/{name}/edge/{over.edge}/exposure")
            verdict = check.verdict.value if check is not None else "not judged"
            held = "NO PROTECTOR"
            if kit is not None:
                part = job.protection[kit]
                held = f"{kit} ({part.kind}), {'tied' if part.tied else 'NOT TIED'}"
            yield f"{name} over {over.edge}: {held}; exposure {verdict}"


def _rescue(dossier: Dossier) -> Iterator[str]:
    job = dossier.study.plan.file.job
    plan = job.rescue
    who = ", ".join(job.people[id].name for id in plan.who) or "NOBODY STATED"
    ground = plan.time_to_ground.written if plan.time_to_ground else "NOT SHOWN"
    yield f"{who}; on the ground in {ground}"
    yield f"How: {plan.method or 'NOT SHOWN'}"
    yield f"Kit: {plan.kit or 'NOT SHOWN'}"
    yield from (f"{n}. {step}" for n, step in enumerate(plan.steps, start=1))


def _contacts(dossier: Dossier) -> Iterator[str]:
    job = dossier.study.plan.file.job
    plan, work = job.rescue, job.work
    phones = [f"{each.name} {each.phone}" for each in job.people.values() if each.phone]
    if phones:
        yield f"Phones: {', '.join(phones)}"
    yield f"Signal: {plan.phone_signal or 'NOT SHOWN'}"
    yield f"Crew talk by: {(work.communications if work else None) or 'NOT SHOWN'}"
    yield f"First aid: {plan.first_aid or 'NOT SHOWN'}"
    yield f"Emergency services met at: {plan.rendezvous or 'NOT SHOWN'}"
    yield f"Hospital: {plan.hospital or 'NOT SHOWN'}"


def _part(title: str, said: Iterable[str], lines: int) -> Part:
    """As many entries as fit into so many lines, two lines each at most; the rest is counted."""
    kept: list[str] = []
    used = 0
    entries = list(said) or ["NOT SHOWN: the job states none"]
    for n, entry in enumerate(entries):
        text = _fitted(entry, 2)
        takes = len(wrap(text, ROOM, SIZE))
        if used + takes > lines:
            return Part(title, tuple(kept), len(entries) - n)
        kept.append(text)
        used += takes
    return Part(title, tuple(kept))


def _fitted(text: str, lines: int, size: float = SIZE, room: float = ROOM) -> str:
    """A text that takes so many lines at most, broken at words as the printer breaks it."""
    whole, share = clean(text), 1.0
    shown = shortened(whole, room * lines, size)
    while len(wrap(shown, room, size)) > lines:
        share -= 0.05
        shown = shortened(whole, room * lines * share, size)
    return bound(shown)


def card_html(card: Card, *, for_print: bool, copies: int = 1) -> str:
    """The card as HTML, once, or twice beside one another."""
    style = Markup("") if for_print else page_style("card.css", "card-screen.css")
    return _template().render(card=card, style=style, cards=(card,) * copies, sheet=SHEETS[copies])


def card_pdf(card: Card, attachments: Sequence[Attachment] = (), *, copies: int = 1) -> bytes:
    """The card as PDF with files inside it: one A5 page, or two cards on an A4 sheet to be cut.

    Raises `RenderError` where it takes more than one page.
    """
    page = card_html(card, for_print=True, copies=copies)
    return print_page(page, card.digest, STYLES, most=1, attachments=attachments)


@cache
def _template() -> jinja2.Template:
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(template_folder()),
        undefined=jinja2.StrictUndefined,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template("card.html")
