"""Pictures of the user's own: found beside the job file, bounded, and whole.

A picture stands in the folder of the job file or below it. It is judged by what it holds and
never by its name. What is wrong with it is a fault at the line of its `file`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import TYPE_CHECKING, Literal, TypeAlias

from riskdoc.job.draft import UNSOUND
from riskdoc.job.faults import Code, Refused, nearest, shown
from riskdoc.job.files_beside import Beside, NotPlainError, TooLargeError, plain_bytes, why
from riskdoc.job.model import Job, Picture
from riskdoc.job.model_findings import Found

if TYPE_CHECKING:
    from riskdoc.job.preparing import Prepared

MOST_BYTES = 20 * 1024 * 1024
"""Greatest file; judgement: a photograph of 50 megapixels as a telephone writes it takes less."""
MOST_PIXELS = 60_000_000
"""Most pixels; judgement: more than the cameras of a crew give, and 180 MB when it is decoded."""
MOST_IN_ALL = 480_000_000
"""Most pixels of all pictures of a job; judgement: 24 pictures of 20 million each, which takes
some seconds to be decoded."""

Kind: TypeAlias = Literal["jpeg", "png"]
_START: dict[Kind, bytes] = {"jpeg": b"\xff\xd8\xff", "png": b"\x89PNG\r\n\x1a\n"}
_OTHER = (
    (0, b"GIF8", "a GIF"),
    (0, b"%PDF", "a PDF"),
    (0, b"II*\0", "a TIFF"),
    (0, b"MM\0*", "a TIFF"),
    (0, b"BM", "a BMP"),
    (8, b"WEBP", "a WebP"),
    (4, b"ftyphei", "a HEIC"),
    (4, b"ftypmif", "a HEIC"),
    (4, b"ftypavi", "an AVIF"),
)
"""What people hand in besides, by where in the file which bytes stand."""


@dataclass(frozen=True)
class PictureFile:
    """A picture as it was read, found whole.

    `raw` are the bytes of its file and `sha256` is their digest. `name` is its path as the job
    writes it, which no report prints. `width` and `height` are in pixels, as it is stored: it may
    stand on its side. `exif` is what is kept of its metadata, which is nothing unless it `keeps`
    them, and `spot` the place they name then: latitude and longitude in degrees.
    """

    id: str
    name: str
    raw: bytes = field(repr=False)
    sha256: str
    kind: Kind
    width: int
    height: int
    keeps: bool = False
    exif: bytes = field(default=b"", repr=False)
    spot: tuple[float, float] | None = None

    @property
    def pixels(self) -> int:
        """How many there are to decode."""
        return self.width * self.height

    @cached_property
    def prepared(self) -> Prepared:
        """The picture as it is printed; made when it is first asked for."""
        from riskdoc.job.preparing import prepare  # noqa: PLC0415  (only a report needs it)

        return prepare(self.raw, self.kind, self.exif)


def pictured(
    job: Job, beside: Beside | None, known: Mapping[str, PictureFile], spent: int = 0
) -> tuple[dict[str, PictureFile], list[Found]]:
    """The pictures of a job by id, and what is wrong with them.

    `beside` is the folder of the job file. `known` are pictures that were read from it a moment
    before; they are taken as they were. `spent` are the pixels of pictures that were read for the
    same job before.
    """
    if beside is None:
        named = job.pictures is not UNSOUND and job.pictures
        return {}, [_no_folder()] if named else []
    files: dict[str, PictureFile] = {}
    wrong: list[Found] = []
    for id, picture in _sound(job):
        before = known.get(id)
        if before and (before.name, before.keeps) == (picture.file, picture.keep_metadata):
            files[id] = before
            continue
        try:
            if not isinstance(beside, Path):
                raise Refused(
                    Code.NO_PICTURE,
                    f"the document holds no picture {shown(picture.file)}",
                    "It was taken out, or the document is of another make.",
                )
            left = MOST_IN_ALL - spent
            files[id] = _read(id, picture.file, beside, left, keeps=picture.keep_metadata)
            spent += files[id].pixels
        except Refused as refused:
            wrong.append(
                Found(refused.code, ("pictures", id, "file"), refused.message, refused.tip)
            )
    return files, wrong


def _no_folder() -> Found:
    return Found(
        Code.NO_PICTURE,
        ("pictures",),
        "the job stands in no folder, so there are no pictures beside it",
        "Read it from its file, or leave 'pictures' out.",
    )


def _sound(job: Job) -> Iterator[tuple[str, Picture]]:
    """The pictures of which all that is needed to read them could be read itself."""
    for id, each in ({} if job.pictures is UNSOUND else job.pictures).items():
        if each is UNSOUND or each.file is UNSOUND or each.keep_metadata is UNSOUND:
            continue
        yield id, each


def _read(id: str, name: str, beside: Path, left: int, *, keeps: bool) -> PictureFile:
    raw = _bytes(_located(beside, name))
    kind = _kind(raw)
    width, height = _size(raw, kind)
    if width * height > left:
        most = MOST_IN_ALL // 1_000_000
        raise _too_large(f"the pictures of a job may have {most} million pixels in all")
    _decoded(raw, kind)
    exif, spot = _metadata(raw, kind) if keeps else (b"", None)
    digest = hashlib.sha256(raw).hexdigest()
    return PictureFile(id, name, raw, digest, kind, width, height, keeps, exif, spot)


def _located(beside: Path, name: str) -> Path:
    """The file a path names, inside the folder of the job file and with nothing leading out."""
    if _leads_out(name):
        raise _outside(f"{shown(name)} does not lead down from the folder of the job file")
    path = beside / name
    try:
        folder, real = beside.resolve(), path.resolve(strict=True)
    except (FileNotFoundError, NotADirectoryError):
        raise Refused(
            Code.NO_PICTURE, f"there is no picture {shown(name)}", _neighbour(beside, path)
        ) from None
    except (OSError, RuntimeError, ValueError) as error:
        raise _unreadable(error) from None
    if not real.is_relative_to(folder):
        raise _outside(f"{shown(name)} is a link that leads out of the folder of the job file")
    if not real.is_file():
        raise Refused(
            Code.NO_PICTURE, f"{shown(name)} is not a plain file", "Name a JPEG or PNG file."
        )
    return real


def _leads_out(name: str) -> bool:
    """Whether a path is absolute or goes up, as any system would read it.

    >>> _leads_out("photos/coping.jpg"), _leads_out("../coping.jpg"), _leads_out("C:/coping.jpg")
    (False, True, True)
    """
    paths = (PurePosixPath(name), PureWindowsPath(name))
    return any(path.root or path.drive or ".." in path.parts for path in paths)


def _outside(message: str) -> Refused:
    tip = "Put the picture beside the job file or in a folder there, like photos/coping.jpg."
    return Refused(Code.PICTURE_OUTSIDE, message, tip)


def _neighbour(beside: Path, path: Path) -> str:
    """The nearest name in the same folder, as long as that is inside the folder of the job."""
    folder = path.parent.resolve()
    inside = folder.is_relative_to(beside.resolve()) and folder.is_dir()
    names = [each.name for each in folder.iterdir() if each.is_file()] if inside else []
    near = nearest(path.name, names)
    if near:
        return f"Did you mean {shown(near)} in the same folder?"
    return "Write its path from the folder of the job file, like photos/coping.jpg."


def _unreadable(error: Exception) -> Refused:
    reason = why(error) if isinstance(error, OSError) else "bad name"
    return Refused(
        Code.PICTURE_UNREADABLE,
        f"the picture cannot be read: {reason}",
        "Check who may read it.",
    )


def _bytes(path: Path) -> bytes:
    try:
        return plain_bytes(path, MOST_BYTES)
    except TooLargeError:
        raise _too_large(f"the file is larger than {MOST_BYTES // 1024**2} MiB") from None
    except NotPlainError:
        raise Refused(
            Code.NO_PICTURE, "this is not a plain file", "Name a JPEG or PNG file."
        ) from None
    except OSError as error:
        raise _unreadable(error) from None


def _kind(raw: bytes) -> Kind:
    for kind, start in _START.items():
        if raw.startswith(start):
            return kind
    found = next((name for at, start, name in _OTHER if raw.startswith(start, at)), None)
    if not raw:
        message = "the file is empty"
    elif found:
        message = f"this is {found} file and neither JPEG nor PNG"
    else:
        message = "this is neither a JPEG nor a PNG file"
    raise Refused(
        Code.NOT_A_PICTURE,
        message,
        "Save it as JPEG (a photograph) or PNG (a drawing); a new name alone does not change it.",
    )


def _size(raw: bytes, kind: Kind) -> tuple[int, int]:
    from riskdoc.job.decoding import decoder  # noqa: PLC0415  (slow to load)

    try:
        with decoder(raw, kind) as image:
            width, height = image.size
    except Exception as error:
        raise _broken(kind) from error
    if width * height > MOST_PIXELS:
        most = MOST_PIXELS // 1_000_000
        raise _too_large(f"it has {width} by {height} pixels and may have {most} million")
    return width, height


def _decoded(raw: bytes, kind: Kind) -> None:
    from riskdoc.job.decoding import decode  # noqa: PLC0415

    try:
        decode(raw, kind)
    except Exception as error:
        # Over broken bytes a decoder raises anything.
        raise _broken(kind) from error


def _metadata(raw: bytes, kind: Kind) -> tuple[bytes, tuple[float, float] | None]:
    from riskdoc.job.decoding import decoder, metadata  # noqa: PLC0415

    try:
        with decoder(raw, kind) as image:
            return metadata(image)
    except Exception as error:
        message = "its metadata is damaged and cannot be kept"
        raise Refused(Code.PICTURE_BROKEN, message, "Leave 'keep_metadata' out.") from error


def _too_large(message: str) -> Refused:
    tip = "Save a smaller copy; the report prints far fewer pixels."
    return Refused(Code.PICTURE_TOO_LARGE, message, tip)


def _broken(kind: Kind) -> Refused:
    return Refused(
        Code.PICTURE_BROKEN,
        f"the {kind.upper()} file is damaged or not all there",
        "Copy it again from the camera, and open it once to see that it is whole.",
    )
