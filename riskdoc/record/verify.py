"""Whether a document holds: everything in it computed again, and compared with what it says.

What a document holds is laid into a folder of its own and read as any job is. Then the content is
computed again, its digest compared with the one that was signed, every figure and verdict compared,
the chain of sign-offs and their certificates checked, and the document printed again and compared
with the file byte for byte. Each of these is a point, with an answer and a sentence.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from enum import StrEnum
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Any

from riskdoc import __version__
from riskdoc.job.pictures import PictureFile
from riskdoc.job.preparing import Prepared
from riskdoc.job.reading import JobFile, read_bytes
from riskdoc.record.differing import moved
from riskdoc.record.holding import ForeignError, Holding, held, only_signed
from riskdoc.report import build
from riskdoc.report.attachments import report_attachments
from riskdoc.report.html import html_file
from riskdoc.report.pdf import to_pdf
from riskdoc.report.seal import seal_holds
from riskdoc.requirements.dossier import Dossier, dossier
from riskdoc.signoff.canonical import canonical, sha256
from riskdoc.signoff.certificates import CertificateError, proof_of
from riskdoc.signoff.content import content_of
from riskdoc.signoff.entries import Record, RecordError
from riskdoc.signoff.pades import signatures_in, unsigned
from riskdoc.signoff.plain import document_json
from riskdoc.signoff.records import others, record_of
from riskdoc.signoff.standing import Standing, stand
from riskdoc.signoff.status import State

if TYPE_CHECKING:
    from riskdoc.signoff.entries import Entry

RECORD, PAGES = "Record of sign-offs", "What can be read in the document"
MOST_TOLD = 12
"""Things that moved which are told one by one."""


class Answer(StrEnum):
    """What was found on a point. Only `HOLDS` is a pass."""

    HOLDS = "holds"
    NOT_DEMONSTRATED = "not demonstrated"
    BROKEN = "does not hold"


@dataclass(frozen=True, slots=True)
class Point:
    """One thing that was looked at: what, the answer, and in words what was found."""

    what: str
    answer: Answer
    text: str
    details: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Verified:
    """What came of a verification: which document, and every point."""

    document: str
    digest: str
    points: tuple[Point, ...]

    @property
    def holds(self) -> bool:
        """Whether every point holds."""
        return all(each.answer is Answer.HOLDS for each in self.points)


@dataclass(frozen=True)
class _Case:
    """A document with what was computed from it again."""

    raw: bytes
    holding: Holding
    file: JobFile
    figures: Mapping[str, Any]
    stem: str
    folder: Path
    roots: Sequence[bytes] = ()
    worked: dict[str, Any] = field(default_factory=dict)

    @property
    def whole(self) -> Dossier:
        """The dossier, computed again."""
        if "whole" not in self.worked:
            self.worked["whole"] = dossier(self.file)
        found: Dossier = self.worked["whole"]
        return found

    @property
    def same_version(self) -> bool:
        """Whether the document was made by this version."""
        return self.figures.get("version") == __version__


def verified(raw: bytes, on: date, roots: Sequence[bytes] = ()) -> Verified:
    """A document of ours, PDF or HTML, looked at point by point; `on` is the day of the look.

    Nothing but its bytes is needed. Raises `ForeignError` where it is none of ours or too damaged
    to be read at all. `roots` are certificates to trust.
    """
    holding = held(raw)
    name, figures_raw = holding.one("-figures.json")
    stem = name.removesuffix("-figures.json")
    with tempfile.TemporaryDirectory() as folder:
        case = _case(raw, holding, stem, figures_raw, Path(folder), roots)
        points = tuple(_points(case, on))
        return Verified(_document(case.file), _digest_held(case), points)


def _document(file: JobFile) -> str:
    job = file.job.job
    return f"{job.number}, revision {job.revision}: {job.title}"


def verified_job(path: Path, file: JobFile, roots: Sequence[bytes] = ()) -> Verified:
    """A job file with the record of sign-offs in its folder, looked at on the day it was read for.

    Raises what a computation raises.
    """
    whole = dossier(file)
    try:
        record = record_of(path)
        text = f"The chain of {len(record.entries)} entries is whole."
        chain = Point(RECORD, Answer.HOLDS, text)
    except RecordError as error:
        record, chain = Record(), Point(RECORD, Answer.BROKEN, str(error))
    rest = [each for _, each in others(path)]
    standing = stand(whole, record, rest, lambda name: record_of(path.with_name(name)))
    points = (chain, *_sign_offs(standing, roots), _validity(standing, file))
    return Verified(_document(file), standing.content.digest, points)


def _case(
    raw: bytes,
    holding: Holding,
    stem: str,
    figures_raw: bytes,
    folder: Path,
    roots: Sequence[bytes],
) -> _Case:
    for name, content in holding.files.items():
        if PurePath(name).name != name or "\\" in name or name in (".", ".."):
            raise ForeignError(
                f"a file in the document has the name {name!r}, which none of ours has"
            )
        (folder / name).write_bytes(content)
    figures, name = _figures(figures_raw), f"{stem}.yaml"
    source = next((each for each in (name, f"{stem}.yml") if each in holding.files), None)
    if source is None:
        raise ForeignError(f"the document holds no job file {name}: it was stripped")
    on, form = _stated(figures)
    known = _pictures(holding, figures)
    reading = read_bytes(holding.files[source], source, on, folder, known)
    if reading.file is None:
        raise ForeignError(
            f"the job file in the document was changed or is damaged: {reading.faults[0]}"
        )
    return _Case(raw, holding, reading.file.in_form(**form), figures, stem, folder, roots)


def _figures(raw: bytes) -> dict[str, Any]:
    try:
        found = json.loads(raw)
    except ValueError as error:
        raise ForeignError(f"the figures in the document are damaged: {error}") from error
    if not isinstance(found, dict) or found.get("riskdoc") != 1:
        raise ForeignError("the figures in the document are not those of a report of ours")
    return found


def _stated(figures: Mapping[str, Any]) -> tuple[date, dict[str, str]]:
    """The day and the form of the document, as its figures state them."""
    try:
        form = figures["form"]
        return date.fromisoformat(figures["on"]), {
            key: str(form[key]) for key in ("language", "units", "paper", "direction")
        }
    except (KeyError, TypeError, ValueError) as error:
        raise ForeignError("the figures in the document lack its day or its form") from error


def _pictures(holding: Holding, figures: Mapping[str, Any]) -> dict[str, PictureFile]:
    """Pictures as they are printed, in place of the files they came from, which do not travel."""
    known = {}
    listed = figures.get("pictures", ())
    images = holding.images if listed else {}
    for each in listed:
        content = images.get(each["printed"])
        if content is None:
            raise ForeignError(f"the picture {each['id']} in the document was changed or taken out")
        known[each["id"]] = _printed(each, content)
    return known


def _printed(about: Mapping[str, Any], content: bytes) -> PictureFile:
    made = PictureFile(
        about["id"], about["file"], b"", about["sha256"], about["kind"],
        about["pixels"][0], about["pixels"][1], about["keeps"],
        bytes.fromhex(about["exif"]), tuple(about["spot"]) if about["spot"] else None,
    )  # fmt: skip
    # What `prepared` would make of the file is what is printed.
    made.__dict__["prepared"] = Prepared(
        content, about["printed_pixels"][0], about["printed_pixels"][1]
    )
    return made


def _digest_held(case: _Case) -> str:
    return sha256(case.holding.one("-content.json")[1])


def _points(case: _Case, on: date) -> Iterator[Point]:
    record, chain = _record(case)
    standing = stand(case.whole, record, (), _earlier(case.folder))
    yield _content(case)
    yield _computed(case)
    yield _figures_file(case, standing)
    yield chain
    yield from _sign_offs(standing, case.roots)
    yield _pages(case, standing)
    yield from _file_signatures(case)
    yield _validity(standing, replace(case.file, on=on))


def _content(case: _Case) -> Point:
    """The content that travels, and the digest that the document states."""
    what = "Content and digest"
    _, raw = case.holding.one("-content.json")
    try:
        plain = json.loads(raw)
        form = canonical(plain) == raw
    except ValueError:
        form = False
    if not form:
        return Point(what, Answer.BROKEN, "The content in the document is not in canonical form.")
    stated = case.figures.get("digest")
    if sha256(raw) != stated:
        return Point(
            what, Answer.BROKEN,
            f"The content has the digest {sha256(raw)}, and the document states {stated}.",
        )  # fmt: skip
    return Point(what, Answer.HOLDS, f"The content has the digest that is stated: {stated}.")


def _plain_content(case: _Case) -> object:
    try:
        return json.loads(case.holding.one("-content.json")[1])
    except ValueError:
        return None  # told as no canonical form


def _computed(case: _Case) -> Point:
    """The content as this version computes it from the job file in the document."""
    what = "Figures and verdicts, computed again"
    old = _plain_content(case)
    new = content_of(case.whole)
    if new.raw == case.holding.one("-content.json")[1]:
        return Point(
            what, Answer.HOLDS,
            f"All {len(new.plain['figures'])} figures and {len(new.plain['checks'])} verdicts come "
            "out as they were signed.",
        )  # fmt: skip
    told = moved(old, json.loads(new.raw))
    details = (
        *told[:MOST_TOLD],
        *([f"and {len(told) - MOST_TOLD} more"] if len(told) > MOST_TOLD else []),
    )
    if case.same_version:
        return Point(
            what, Answer.BROKEN,
            "The job file in the document does not give this content: one of them was changed.",
            details,
        )  # fmt: skip
    return Point(
        what, Answer.NOT_DEMONSTRATED,
        f"The document was made by riskdoc {case.figures.get('version')}, and this is "
        f"{__version__}: tables, rules or equations may have changed between them (the change log "
        "says which numbers moved). What comes out otherwise now:",
        details,
    )  # fmt: skip


def _figures_file(case: _Case, standing: Standing) -> Point:
    """The figures for machines, entry by entry; doubles may differ in their last digits."""
    what = "Figures in full"
    now = json.loads(document_json(case.whole, standing))
    told = moved(dict(case.figures), now)
    if not told:
        return Point(what, Answer.HOLDS, "Every entry of the figures is as it is computed now.")
    if not case.same_version:
        text = f"They are those of riskdoc {case.figures.get('version')}; this is {__version__}."
        return Point(what, Answer.NOT_DEMONSTRATED, text, told[:MOST_TOLD])
    return Point(what, Answer.BROKEN, f"{len(told)} entries were changed.", told[:MOST_TOLD])


def _record(case: _Case) -> tuple[Record, Point]:
    try:
        found = record_of(case.folder / f"{case.stem}.yaml")
    except RecordError as error:
        return Record(), Point(RECORD, Answer.BROKEN, str(error))
    stated = case.figures.get("document", {})
    if (len(found.entries), found.last) != (stated.get("entries"), stated.get("last")):
        return found, Point(
            RECORD, Answer.BROKEN,
            f"The record in the document has {len(found.entries)} entries, and the document was "
            f"made with {stated.get('entries')}.",
        )  # fmt: skip
    if not found.entries:
        return found, Point(RECORD, Answer.HOLDS, "Nobody had signed, and the document says so.")
    return found, Point(
        RECORD, Answer.HOLDS, f"The chain of {len(found.entries)} entries is whole."
    )


def _earlier(folder: Path) -> Any:  # noqa: ANN401  (a function)
    return lambda name: record_of(folder / PurePath(name).name)


def _sign_offs(standing: Standing, roots: Sequence[bytes]) -> Iterator[Point]:
    """Each entry of this revision: does it count, and what does it show?"""
    for entry, why in standing.aside:
        yield Point(_who(entry), Answer.BROKEN, f"The entry does not count: {why}")
    for each in standing.signed:
        if each.entry is not None:
            yield _sign_off(each.entry, roots)


def _sign_off(entry: Entry, roots: Sequence[bytes]) -> Point:
    what, bound = _who(entry), f"It is bound to this content, {entry.time}."
    proof = proof_of(entry, roots)
    if proof is None:
        return Point(what, Answer.HOLDS, f"{bound} A recorded name, not a verified signature.")
    answer = {"broken": Answer.BROKEN, "unchecked": Answer.NOT_DEMONSTRATED}.get(
        proof.kind, Answer.HOLDS
    )
    if roots and not proof.trusted and answer is Answer.HOLDS:
        answer = Answer.NOT_DEMONSTRATED
    return Point(what, answer, f"{bound if answer is Answer.HOLDS else ''} {proof.text}".strip())


def _who(entry: Entry) -> str:
    return f"Sign-off of {entry.name} as {entry.role}"


def _pages(case: _Case, standing: Standing) -> Point:
    """The document printed again from what it holds, byte for byte."""
    sealed = "its own seal holds" if seal_holds(_first(case.raw)) else "its own seal does not hold"
    if not case.same_version:
        return Point(
            PAGES, Answer.NOT_DEMONSTRATED,
            f"Only riskdoc {case.figures.get('version')} prints the same pages; {sealed}, which "
            "shows no more than that nobody changed it by accident.",
        )  # fmt: skip
    view, inside = build(case.whole, standing), report_attachments(case.whole, standing)
    if case.holding.kind == "html":
        return _page_point(html_file(view, inside) == case.raw, sealed)
    again = to_pdf(view, inside)
    if again != case.raw and case.raw.startswith(again):
        if _has_signatures(case.raw) and only_signed(again, case.raw):
            return Point(
                PAGES, Answer.HOLDS,
                "Every byte is as this version writes it; signatures of the file came after.",
            )  # fmt: skip
        return Point(PAGES, Answer.BROKEN, "Something besides signatures was added to the file.")
    return _page_point(again == case.raw, sealed)


def _has_signatures(raw: bytes) -> bool:
    try:
        return bool(signatures_in(raw))
    except CertificateError:
        return True  # they are there, and told as not demonstrated


def _first(raw: bytes) -> bytes:
    try:
        return unsigned(raw) if raw.startswith(b"%PDF") else raw
    except CertificateError:
        return raw


def _page_point(same: bool, sealed: str) -> Point:
    if same:
        return Point(PAGES, Answer.HOLDS, "Every byte is as this version writes it.")
    return Point(
        PAGES, Answer.BROKEN,
        f"The file is not what this version writes from what it holds: text, drawings or pictures "
        f"were changed, or it was written with other versions of the libraries; {sealed}.",
    )  # fmt: skip


def _file_signatures(case: _Case) -> Iterator[Point]:
    if case.holding.kind != "pdf":
        return
    what = "Signature of the PDF file"
    try:
        found = signatures_in(case.raw, case.roots)
    except CertificateError as error:
        yield Point(what, Answer.NOT_DEMONSTRATED, str(error))
        return
    for n, each in enumerate(found, start=1):
        sound = each.intact and each.whole and (each.last or n < len(found))
        yield Point(what, Answer.HOLDS if sound else Answer.BROKEN, each.text)


def _validity(standing: Standing, file: JobFile) -> Point:
    """Whether it is met, signed and in its days; no file gives leave to work."""
    what = "Met, signed and valid"
    days, status = f"{standing.start} to {standing.end}", standing.status
    if status.state not in (State.ISSUED, State.EXPIRED) or (
        status.state is State.ISSUED and not status.passes
    ):
        return Point(what, Answer.BROKEN, f"No: {status.headline}")
    if file.expired or status.state is State.EXPIRED:
        return Point(what, Answer.BROKEN, f"No: it was valid {days}, and that has passed.")
    return Point(
        what, Answer.HOLDS, f"It is issued and valid {days}; that the plan is kept, no file shows."
    )
