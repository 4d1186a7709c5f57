"""What a document of ours holds: the files inside it, and the pictures as they are printed."""

from __future__ import annotations

import codecs
import hashlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from riskdoc.job.faults import shown
from riskdoc.job.files_beside import plain_name
from riskdoc.verification import in_html, in_pdf
from riskdoc.verification.answers import ForeignError

MOST_BYTES = 128 * 1024 * 1024
"""Greatest file that is read; judgement: a report of a thousand pages has some 15 MB."""
MOST_FILES = 120
"""Most files inside one; judgement: 24 pictures, 20 earlier revisions with their records."""
MOST_INSIDE = 64 * 1024 * 1024
"""Most bytes of all files inside one; judgement: with 24 pictures as printed some 30 MB."""
CARD = (
    "it is a crew card, and a card cannot be verified: it does not hold what it was made from. "
    "Verify the report of the job, and compare the digest on the card (its first digits at the "
    "foot, whole in the QR code) with that of the report"
)
"""What is said of a crew card."""
_CARD = b'<section class="card"'
_PIECE = 1024 * 1024


@dataclass(frozen=True, slots=True)
class Holding:
    """A document, PDF or HTML, and the files in it by name."""

    kind: str
    files: Mapping[str, bytes]
    raw: bytes

    @property
    def lone_job(self) -> bool:
        """Whether it holds a job file alone, as a crew card does."""
        return len(self.files) == 1 and all(b"riskdoc" in each for each in self.files.values())

    @property
    def images(self) -> dict[str, bytes]:
        """Pictures as they are printed, and the files inside, by the SHA-256 of their bytes."""
        read = in_pdf.images_in if self.kind == "pdf" else in_html.images_in
        found = [*read(self.raw), *self.files.values()]
        return {hashlib.sha256(each).hexdigest(): each for each in found}

    def one(self, tail: str) -> tuple[str, bytes]:
        """The one file whose name ends so. Raises `ForeignError` where there is not one."""
        found = [(name, raw) for name, raw in self.files.items() if name.endswith(tail)]
        if len(found) != 1:
            raise ForeignError(
                f"the document holds {len(found)} files that end in {tail}, and a report of ours "
                "holds one: it was stripped, or it is of another make"
            )
        return found[0]


def held(raw: bytes) -> Holding:
    """What a PDF or an HTML file holds. Raises `ForeignError` for what cannot be read."""
    if raw.startswith(b"%PDF-"):
        kind, found = "pdf", _once(in_pdf.files_in(raw, MOST_INSIDE))
    else:
        kind, found = "html", _once(_in_html(raw))
    if not found and kind == "html" and _CARD in raw:
        raise ForeignError(CARD)
    if not found:
        raise ForeignError(
            "the document holds no files: it was printed anew or stripped, or it is of another "
            "make. Only the report that riskdoc wrote can be verified"
        )
    return Holding(kind, found, raw)


def _in_html(raw: bytes) -> Iterable[tuple[str, bytes]]:
    # Piece by piece: as one text it may take four times the room.
    reader = codecs.getincrementaldecoder("utf-8")()
    try:
        for start in range(0, len(raw), _PIECE):
            reader.decode(raw[start : start + _PIECE])
        reader.decode(b"", final=True)
    except UnicodeDecodeError as error:
        raise ForeignError("the file is neither a PDF nor an HTML file of ours") from error
    return in_html.files_in(raw)


def _once(files: Iterable[tuple[str, bytes]]) -> dict[str, bytes]:
    """Files by their names, which are plain and stand once; bounded in number and in bytes."""
    found: dict[str, bytes] = {}
    for name, content in _bounded(files):
        if not plain_name(name):
            raise ForeignError(
                f"a file in the document has the name {shown(name)}, which none of ours has"
            )
        if name in found:
            raise ForeignError(f"two files in the document have the name {shown(name)}")
        found[name] = content
    return found


def _bounded(files: Iterable[tuple[str, bytes]]) -> Iterator[tuple[str, bytes]]:
    left = MOST_INSIDE
    for number, (name, content) in enumerate(files, start=1):
        left -= len(content)
        if number > MOST_FILES or left < 0:
            raise ForeignError("the document holds more than any report of ours")
        yield name, content
