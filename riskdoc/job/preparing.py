"""Prepares pictures for the report: upright, no larger than print needs, and with no metadata."""

from __future__ import annotations

import io
import math
from dataclasses import dataclass, field

from PIL import Image, ImageCms

from riskdoc.job.decoding import decoder, orientation
from riskdoc.job.pictures import Kind

PRINTED_WIDTH = 170.0
"""Greatest width of a picture on the page, mm; judgement: the text is 178 mm wide on A4.

`templates/print.css` says it too, and a test holds the two together.
"""
PRINTED_HEIGHT = 120.0
"""Greatest height of a picture on the page, mm; judgement: two with their captions fit a page."""
RESOLUTION = 200.0
"""Greatest resolution in print, dots per inch; judgement: a photograph on paper shows no more to a
reader, and a report with many of them can still be sent."""
QUALITY = 85
"""Quality of JPEG by the encoder's own count, 1 to 95; judgement: no loss to see in print."""

_MILLIMETRES = 25.4  # in an inch, exact by definition (NIST SP 811, 2008, appendix B.8)
_TURNS = {
    # What brings a picture upright, by how it was held (Exif, tag 274; see `decoding`).
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


@dataclass(frozen=True, slots=True)
class Prepared:
    """A picture as it is printed: the bytes of a JPEG or PNG file, and its size in pixels."""

    content: bytes = field(repr=False)
    width: int
    height: int


def most_pixels(millimetres: float) -> int:
    """How many pixels a length on the page may have.

    >>> most_pixels(PRINTED_WIDTH), most_pixels(PRINTED_HEIGHT)
    (1338, 944)
    """
    return math.floor(millimetres / _MILLIMETRES * RESOLUTION)


def prepare(raw: bytes, kind: Kind, exif: bytes = b"") -> Prepared:
    """A picture made ready: the same bytes for the same picture, and of its metadata `exif` alone.

    8 bits a channel, grey or sRGB, nothing transparent: transparent parts stand on white. It is
    of the kind it was. Raises what `decoder` raises.
    """
    with decoder(raw, kind) as image:
        image.load()
        profile = image.info.get("icc_profile")
        turn = _TURNS.get(orientation(image))
        plain = _in_srgb(_opaque(_eight_bits(image)), profile)
    upright = plain if turn is None else plain.transpose(turn)
    small = _fitted(upright)
    # The encoders write out what they find here.
    small.info = {}
    return Prepared(_encoded(small, kind, exif), small.width, small.height)


def _eight_bits(image: Image.Image) -> Image.Image:
    """Grey of 16 bits as 8 bits; other modes have no more than 8 in this decoder."""
    if not image.mode.startswith("I"):
        return image
    # Straight conversion would cut all above 255 off to white.
    grey = image.convert("I").point(lambda value: value * (1 / 257) + 0.5).convert("L")
    grey.info = {}
    return grey


def _opaque(image: Image.Image) -> Image.Image:
    if not image.has_transparency_data:
        return image
    whole = image.convert("RGBA")
    white = Image.new("RGBA", whole.size, "white")
    white.alpha_composite(whole)
    return white.convert("L" if image.mode in ("1", "L", "LA", "La") else "RGB")


def _in_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    """Grey or sRGB; by the picture's own profile where it has one that fits."""
    mode = "L" if image.mode in ("1", "L") else "RGB"
    coloured = image if image.mode in ("L", "RGB", "CMYK") else image.convert(mode)
    if profile:
        try:
            own = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            target = ImageCms.createProfile("sRGB")
            turned = ImageCms.profileToProfile(coloured, own, target, outputMode="RGB")
        except (OSError, ImageCms.PyCMSError):
            turned = None  # a broken profile, or one of another kind of colour
        if turned is not None:
            return turned
    return coloured.convert(mode)


def _fitted(image: Image.Image) -> Image.Image:
    wide, high = most_pixels(PRINTED_WIDTH), most_pixels(PRINTED_HEIGHT)
    scale = min(1.0, wide / image.width, high / image.height)
    if scale == 1.0:
        return image
    size = max(1, round(image.width * scale)), max(1, round(image.height * scale))
    return image.resize(size, Image.Resampling.LANCZOS, reducing_gap=3.0)


def _encoded(image: Image.Image, kind: Kind, exif: bytes) -> bytes:
    file = io.BytesIO()
    if kind == "jpeg":
        image.save(file, "JPEG", quality=QUALITY, optimize=True, subsampling="4:2:0", exif=exif)
    else:
        image.save(file, "PNG", compress_level=9, **({"exif": exif} if exif else {}))
    return file.getvalue()
