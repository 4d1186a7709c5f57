"""Taking a document apart: all that is read of foreign bytes, before anything is computed.

Nothing is written to the disk: the job is read among the files inside the document.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import PurePath
from typing import Any

from riskdoc.job.decoding import decoder
from riskdoc.job.faults import shown
from riskdoc.job.pictures import PictureFile
from riskdoc.job.preparing import PRINTED_HEIGHT, PRINTED_WIDTH, Prepared, most_pixels
from riskdoc.job.reading import JobFile, read_bytes
from riskdoc.verification.answers import ForeignError
from riskdoc.verification.holding import CARD, Holding, held
from riskdoc.verification.plainjson import plain_json
from riskdoc.verification.stated import Stated, StatedPicture, stated_in

FIGURES, CONTENT = "-figures.json", "-content.json"


@dataclass(frozen=True, slots=True)
class Taken:
    """A document taken apart: what it holds, what it states, and the job in it as it was read.

    `content` is the content that travels, `plain` what it says.
    """

    holding: Holding
    stated: Stated
    file: JobFile
    content: bytes
    plain: Mapping[str, Any]


def taken(raw: bytes) -> Taken:
    """A document of ours taken apart.

    Raises `ForeignError` where it is none of ours or too damaged to be read at all.
    """
    holding = held(raw)
    if holding.lone_job:  # a page of a comparison or a report that was stripped may be so too
        raise ForeignError(f"it holds a job file and no figures. If it is not stripped, {CARD}")
    name, figures = holding.one(FIGURES)
    _, content = holding.one(CONTENT)
    stated = stated_in(figures)
    file = _job(holding, stated, name.removesuffix(FIGURES))
    return Taken(holding, stated, file, content, _content(content))


def _content(raw: bytes) -> Mapping[str, Any]:
    try:
        plain = plain_json(raw)
    except ValueError as error:
        raise ForeignError(f"the content in the document is damaged: {error}") from error
    if not isinstance(plain, dict):
        raise ForeignError("the content in the document is not that of a report of ours")
    return plain


def _job(holding: Holding, stated: Stated, stem: str) -> JobFile:
    source = stated.file
    if PurePath(source).stem != stem or source not in holding.files:
        raise ForeignError(f"the document holds no job file of the name {stem}: it was stripped")
    for each in stated.before:
        if each.file not in holding.files:
            raise ForeignError(
                f"the job file {shown(each.file)} of an earlier revision is missing from the "
                "document"
            )
    known = _pictures(holding, stated)
    reading = read_bytes(holding.files[source], source, stated.on, holding.files, known)
    if reading.file is None:
        raise ForeignError(
            f"the job file in the document was changed or is damaged: {reading.faults[0]}"
        )
    return reading.file.in_form(**stated.form)


def _pictures(holding: Holding, stated: Stated) -> Mapping[str, PictureFile]:
    """Pictures as they are printed, in place of the files they came from, which do not travel."""
    images = holding.images if stated.pictures else {}
    known = {}
    for each in stated.pictures:
        content = images.get(each.printed)
        if content is None:
            raise ForeignError("a picture in the document was changed or taken out")
        known[each.id] = _printed(each, content)
    return known


def _printed(about: StatedPicture, content: bytes) -> PictureFile:
    made = PictureFile(
        about.id, about.file, b"", about.sha256, about.kind, *about.pixels,
        about.keeps, about.exif, about.spot,
    )  # fmt: skip
    # What `prepared` would make of the file is what is printed.
    made.__dict__["prepared"] = Prepared(content, *_size(about, content))
    return made


def _size(about: StatedPicture, content: bytes) -> tuple[int, int]:
    """Pixels of a picture, by its own bytes, and no more than print takes: it is decoded later."""
    try:
        with decoder(content, about.kind) as image:
            wide, high = image.size
            if wide <= most_pixels(PRINTED_WIDTH) and high <= most_pixels(PRINTED_HEIGHT):
                image.load()
    except Exception as error:  # over broken bytes a decoder raises anything
        raise ForeignError("a picture in the document is damaged") from error
    if (wide, high) != about.printed_pixels:
        raise ForeignError("a picture in the document has another size than is stated")
    if wide > most_pixels(PRINTED_WIDTH) or high > most_pixels(PRINTED_HEIGHT):
        raise ForeignError("a picture in the document is larger than any that we print")
    return wide, high
