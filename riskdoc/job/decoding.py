"""Decodes pictures: whether they are whole, how large they are, and what their metadata say.

Exif is CIPA DC-008, Exchangeable image file format, version 2.3: tag 274 in 4.6.4, the place in
4.6.6 (from memory). Slow to load, so it is loaded only for a job that has pictures.
"""

from __future__ import annotations

import io
import math
import warnings
from collections.abc import Iterator
from contextlib import contextmanager

from PIL import ExifTags, Image, ImageFile
from PIL.JpegImagePlugin import JpegImageFile
from PIL.PngImagePlugin import PngImageFile

from riskdoc.job.pictures import Kind

Spot = tuple[float, float]
"""Latitude and longitude in degrees, north and east positive."""

_SEEN_UPRIGHT = 1  # the first row is the top and the first column the left (Exif, tag 274)


@contextmanager
def decoder(raw: bytes, kind: Kind) -> Iterator[Image.Image]:
    """A picture whose header was read; what is missing or broken in its data raises.

    Whatever the decoder stumbles over may raise any kind of exception.
    """
    before = ImageFile.LOAD_TRUNCATED_IMAGES
    # The printer, once loaded, lets pictures with missing data pass everywhere in the process.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        with warnings.catch_warnings():
            # Of metadata mostly, which are taken off; what is wrong with the picture raises.
            warnings.simplefilter("ignore")
            # By class, since by name a JPEG of several frames comes as something else.
            image = (JpegImageFile if kind == "jpeg" else PngImageFile)(io.BytesIO(raw))
            with image:
                yield image
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = before


def decode(raw: bytes, kind: Kind) -> None:
    """Decodes a whole picture and throws it away; raises where it is not whole."""
    if kind == "png":
        with decoder(raw, kind) as image:
            image.verify()  # the check sums of all chunks, which decoding does not look at
    with decoder(raw, kind) as image:
        # All data are read, and a JPEG is then put together at an eighth of its size, which saves
        # half the time.
        image.draft(image.mode, (image.width // 8, image.height // 8))
        image.load()


def orientation(image: Image.Image) -> int:
    """How the picture was held, 1 to 8 (Exif, tag 274); 1, upright, where nothing sound is said."""
    try:
        found = image.getexif().get(ExifTags.Base.Orientation, _SEEN_UPRIGHT)
    except Exception:
        # Broken metadata: what they would have said is not known, and the picture stands as it is.
        return _SEEN_UPRIGHT
    return found if found in range(1, 9) else _SEEN_UPRIGHT


def metadata(image: Image.Image) -> tuple[bytes, Spot | None]:
    """The EXIF of a picture to be kept, without thumbnail, and the place it names.

    Empty where there is none. The picture is turned upright when it is printed, so the kept
    metadata say upright. Raises where they cannot be written again.
    """
    exif = image.getexif()
    if not exif:
        return b"", None
    if ExifTags.Base.Orientation in exif:
        exif[ExifTags.Base.Orientation] = _SEEN_UPRIGHT
    return exif.tobytes(), _spot(exif.get_ifd(ExifTags.IFD.GPSInfo))


def _spot(gps: dict[int, object]) -> Spot | None:
    """The place in GPS metadata (Exif, tags 1 to 4), None where it is not there or makes no sense.

    >>> _spot({1: "S", 2: (51.0, 30.0, 0.0), 3: "E", 4: (3.0, 0.0, 36.0)})
    (-51.5, 3.01)
    """
    keys = ExifTags.GPS
    latitude = _degrees(gps.get(keys.GPSLatitude), gps.get(keys.GPSLatitudeRef), "NS", 90)
    longitude = _degrees(gps.get(keys.GPSLongitude), gps.get(keys.GPSLongitudeRef), "EW", 180)
    return None if latitude is None or longitude is None else (latitude, longitude)


def _degrees(parts: object, side: object, sides: str, most: float) -> float | None:
    """Degrees, minutes and seconds on the first, positive, or the second side."""
    if side not in tuple(sides) or not isinstance(parts, tuple) or len(parts) != 3:
        return None
    try:
        degrees, minutes, seconds = (float(each) for each in parts)
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    size = degrees + minutes / 60 + seconds / 3600
    if not (math.isfinite(size) and 0 <= size <= most):
        return None
    return size if side == sides[0] else -size
