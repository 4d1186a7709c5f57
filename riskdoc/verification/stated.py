"""What a document states beside its content: its day, its form, its pictures, its record.

None of it is signed, so none of it is trusted: each value has its kind and its bounds, words come
from the closed lists of the job file, and a key more or less is refused.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, NoReturn

from riskdoc import __version__
from riskdoc.job.faults import shown
from riskdoc.job.model import Form
from riskdoc.job.pictures import Kind
from riskdoc.signing.document_status import State
from riskdoc.signing.entries import NONE
from riskdoc.signing.libraries import machine
from riskdoc.verification.answers import ForeignError
from riskdoc.verification.plainjson import plain_json

_HASH = re.compile(r"[0-9a-f]{64}")
LONGEST = 2000
"""Letters of a text that is taken; as long as a text of a job file may be."""
MOST_PICTURES = 100
MOST_REVISIONS = 100
MOST_ENTRIES = 10**6
LARGEST_SIDE = 100_000
"""Bounds of what is stated of pictures; far above those of the reader, which refuses by itself."""
LONGEST_EXIF = 256 * 1024


@dataclass(frozen=True, slots=True)
class StatedPicture:
    """What a document states of a picture that it prints."""

    id: str
    file: str
    sha256: str
    kind: Kind
    pixels: tuple[int, int]
    keeps: bool
    exif: bytes
    spot: tuple[float, float] | None
    printed: str
    printed_pixels: tuple[int, int]


@dataclass(frozen=True, slots=True)
class StatedBefore:
    """What a document states of an earlier revision; no state where its record was broken."""

    file: str
    revision: str
    sha256: str
    state: str | None
    entries: int
    last: str


@dataclass(frozen=True, slots=True)
class Stated:
    """What a document states; `plain` is all of it, to be compared and never to be trusted."""

    version: str
    file: str
    on: date
    digest: str
    form: Mapping[str, str]
    pictures: tuple[StatedPicture, ...]
    state: str
    entries: int
    last: str
    before: tuple[StatedBefore, ...]
    machine: Mapping[str, str]
    plain: Mapping[str, Any]


def stated_in(raw: bytes) -> Stated:
    """What the figures of a document state. Raises `ForeignError` for what none of ours states."""
    try:
        plain = plain_json(raw)
    except ValueError as error:
        raise ForeignError(f"the figures in the document are damaged: {error}") from error
    if not isinstance(plain, dict) or plain.get("riskdoc") != 1:
        raise ForeignError("the figures in the document are not those of a report of ours")
    try:
        return _stated(plain)
    except ForeignError as error:
        made = plain.get("version")
        if made == __version__ or not isinstance(made, str):
            raise
        raise ForeignError(
            f"{error}: it was made by riskdoc {shown(made, 30)}, and this is {__version__}"
        ) from error


def _stated(plain: Mapping[str, Any]) -> Stated:
    document = _mapping(plain.get("document"), "document")
    return Stated(
        version=_text(plain.get("version"), "version"),
        file=_text(_mapping(plain.get("job"), "job").get("file"), "job file"),
        on=_day(plain.get("on")),
        digest=_text(plain.get("digest"), "digest"),
        form=_form(plain.get("form")),
        pictures=_pictures(plain.get("pictures")),
        state=_state(plain.get("state")),
        entries=_count(document.get("entries"), "number of entries", MOST_ENTRIES),
        last=_last(document.get("last")),
        before=_before(document.get("before")),
        machine=_machine(plain.get("machine")),
        plain=plain,
    )


def _wrong(what: str) -> NoReturn:
    raise ForeignError(f"the {what} that the document states is none of a report of ours")


def _mapping(value: object, what: str) -> Mapping[str, Any]:
    return value if isinstance(value, dict) else _wrong(what)


def _text(value: object, what: str) -> str:
    return value if isinstance(value, str) and len(value) <= LONGEST else _wrong(what)


def _hash(value: object, what: str) -> str:
    return value if isinstance(value, str) and _HASH.fullmatch(value) else _wrong(what)


def _state(value: object) -> str:
    return value if isinstance(value, str) and value in list(State) else _wrong("state")


def _last(value: object) -> str:
    return NONE if value == NONE else _hash(value, "last hash")


def _before(value: object) -> tuple[StatedBefore, ...]:
    what = "list of earlier revisions"
    if not isinstance(value, list) or len(value) > MOST_REVISIONS:
        _wrong(what)
    return tuple(_one_before(_mapping(each, what)) for each in value)


def _one_before(about: Mapping[str, Any]) -> StatedBefore:
    what, state = "earlier revision", about.get("state")
    return StatedBefore(
        file=_text(about.get("file"), what),
        revision=_text(about.get("revision"), what),
        sha256=_hash(about.get("sha256"), what),
        state=None if state is None else _state(state),
        entries=_count(about.get("entries"), what, MOST_ENTRIES),
        last=_last(about.get("last")),
    )


def _machine(value: object) -> Mapping[str, str]:
    """Versions of what the machine brought along, by the names that we write."""
    found = _mapping(value, "machine")
    if set(found) != set(machine()) or not all(_is_version(each) for each in found.values()):
        _wrong("machine")
    return {key: str(found[key]) for key in machine()}


def _is_version(value: object) -> bool:
    return isinstance(value, str) and re.fullmatch(r"[0-9A-Za-z.+_-]{1,40}", value) is not None


def _count(value: object, what: str, most: int) -> int:
    whole = isinstance(value, int) and not isinstance(value, bool)
    return value if whole and 0 <= value <= most else _wrong(what)  # type: ignore[return-value, operator]


def _day(value: object) -> date:
    text = _text(value, "day")
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text, re.ASCII):
        _wrong("day")
    try:
        return date.fromisoformat(text)
    except ValueError:
        _wrong("day")


def _form(value: object) -> Mapping[str, str]:
    """Language, units and paper: words that a job file may state, and nothing more."""
    form = _mapping(value, "form")
    if set(form) != set(Form.model_fields) or not all(
        isinstance(each, str) for each in form.values()
    ):
        _wrong("form")
    try:
        Form.model_validate(form)
    except ValueError as error:
        said = ", ".join(f"{key} {shown(form[key])}" for key in sorted(form))
        raise ForeignError(
            f"the form that the document states ({said}) is none that a report of ours has"
        ) from error
    return form


def _pictures(value: object) -> tuple[StatedPicture, ...]:
    if not isinstance(value, list) or len(value) > MOST_PICTURES:
        _wrong("list of pictures")
    return tuple(_picture(_mapping(each, "picture")) for each in value)


def _picture(about: Mapping[str, Any]) -> StatedPicture:
    what = "picture"
    kind, keeps, spot = about.get("kind"), about.get("keeps"), about.get("spot")
    if kind not in ("jpeg", "png") or not isinstance(keeps, bool):
        _wrong(what)
    exif = about.get("exif")
    if not isinstance(exif, str) or len(exif) > 2 * LONGEST_EXIF:
        _wrong(what)
    if not re.fullmatch(r"(?:[0-9a-f]{2})*", exif):
        _wrong(what)
    return StatedPicture(
        id=_text(about.get("id"), what),
        file=_text(about.get("file"), what),
        sha256=_hash(about.get("sha256"), what),
        kind=kind,
        pixels=_sides(about.get("pixels")),
        keeps=keeps,
        exif=bytes.fromhex(exif),
        spot=None if spot is None else _spot(spot),
        printed=_hash(about.get("printed"), what),
        printed_pixels=_sides(about.get("printed_pixels")),
    )


def _sides(value: object) -> tuple[int, int]:
    if not isinstance(value, list) or len(value) != 2:
        _wrong("size of a picture")
    wide, high = (_count(each, "size of a picture", LARGEST_SIDE) for each in value)
    return wide, high


def _spot(value: object) -> tuple[float, float]:
    what = "place of a picture"
    if not isinstance(value, list) or len(value) != 2:
        _wrong(what)
    if not all(isinstance(each, float | int) and not isinstance(each, bool) for each in value):
        _wrong(what)
    north, east = (float(each) for each in value)
    return (north, east) if abs(north) <= 90 and abs(east) <= 180 else _wrong(what)
