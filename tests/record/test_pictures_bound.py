"""Pictures are signed as they are printed: one that was swapped is found, whoever states what."""

from __future__ import annotations

import base64
import hashlib
import io
import json
from functools import cache

import pytest
from PIL import Image
from support.papers import DAY, Paper, answers, folder, paper, put, signed, with_files, words

from riskdoc.report.seal import sealed_html
from riskdoc.verification.answers import ForeignError
from riskdoc.verification.holding import held
from riskdoc.verification.verify import Answer, verified

PICTURES = "Pictures"
WHOLE = True  # pictures are printed on the pages between
GPS = {1: "N", 2: (51.0, 13.0, 15.6), 3: "W", 4: (3.0, 24.0, 7.56)}


def picture(kind: str, colour: str, size: tuple[int, int] = (60, 40)) -> bytes:
    out = io.BytesIO()
    exif = Image.Exif()
    exif.get_ifd(0x8825).update(GPS)
    Image.new("RGB", size, colour).save(out, kind, exif=exif)
    return out.getvalue()


@cache
def shown() -> Paper:
    """The plain plan with a photograph that keeps its metadata and a drawing, signed."""
    where = folder()
    (where / "coping.jpg").write_bytes(picture("JPEG", "grey"))
    (where / "plan.png").write_bytes(picture("PNG", "white"))
    path = put(where, {"pictures": {
        "coping": {"file": "coping.jpg", "shows": "the coping", "keep_metadata": "true"},
        "drawing": {"file": "plan.png", "shows": "the tower"},
    }})  # fmt: skip
    signed(path)
    return paper(path)


def listed() -> list[dict[str, object]]:
    return json.loads(shown().file("-figures.json"))["pictures"]


def with_picture(id: str, new: bytes, **stated: object) -> bytes:
    """The page with another picture, and all that is stated of it stated of the new one."""
    about = next(each for each in listed() if each["id"] == id)
    old = held(shown().html).images[about["printed"]]
    page = shown().html.replace(base64.b64encode(old), base64.b64encode(new))
    with Image.open(io.BytesIO(new)) as image:
        size = list(image.size)

    def restated(raw: bytes) -> bytes:
        plain = json.loads(raw)
        its = next(each for each in plain["pictures"] if each["id"] == id)
        its |= {"printed": hashlib.sha256(new).hexdigest(), "printed_pixels": size, **stated}
        return json.dumps(plain, ensure_ascii=False).encode()

    return with_files(page, {"-figures.json": restated})


def test_a_document_with_pictures_holds():
    told = answers(shown().html)
    assert told[PICTURES] is Answer.HOLDS
    assert verified(shown().html, DAY).holds


def test_a_pdf_with_pictures_holds():
    assert verified(shown().pdf, DAY).holds


@pytest.mark.parametrize(("id", "kind"), [("coping", "JPEG"), ("drawing", "PNG")])
def test_a_swapped_picture_is_found_and_named(id, kind):
    forged = with_picture(id, picture(kind, "red"))

    assert answers(forged)[PICTURES] is Answer.BROKEN
    assert f"‘{id}’" in words(forged)


def test_pictures_swapped_with_each_other_are_found():
    """Each is in the document; only their places changed."""

    def exchanged(raw: bytes) -> bytes:
        plain = json.loads(raw)
        one, other = plain["pictures"]
        for key in ("printed", "printed_pixels", "kind", "exif", "spot"):
            one[key], other[key] = other[key], one[key]
        return json.dumps(plain).encode()

    forged = with_files(shown().html, {"-figures.json": exchanged})
    assert answers(forged)[PICTURES] is Answer.BROKEN


@pytest.mark.parametrize(
    "change", [{"spot": [1.0, 2.0]}, {"pixels": [6000, 4000]}, {"sha256": "0" * 64}]
)
def test_what_is_stated_of_a_picture_is_bound_too(change):
    """A place that is printed, a size, the file it came from."""
    about = next(each for each in listed() if each["id"] == "coping")
    same = held(shown().html).images[about["printed"]]
    forged = with_picture("coping", same, **change)

    assert answers(forged)[PICTURES] is Answer.BROKEN


def test_a_picture_with_more_pixels_than_stated_is_refused_before_it_is_decoded():
    wide = picture("PNG", "white", (9000, 9000))
    with pytest.raises(ForeignError, match="picture"):
        verified(with_picture("drawing", wide), DAY)
    with pytest.raises(ForeignError, match="picture"):
        verified(with_picture("drawing", wide, printed_pixels=[60, 40]), DAY)


def test_a_picture_that_was_taken_out_is_told():
    about = next(each for each in listed() if each["id"] == "coping")
    old = base64.b64encode(held(shown().html).images[about["printed"]])
    with pytest.raises(ForeignError, match="picture"):
        verified(sealed_html(shown().html.replace(old, b"")), DAY)
