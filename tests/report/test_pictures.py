"""Pictures of the user's own: what is printed of them, where, and what is not."""

from __future__ import annotations

import base64
import io
import math
import re
import struct
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pypdf
import pytest
import yaml
from PIL import ExifTags, Image, PngImagePlugin
from report.made import DAYS, JOBS, made_of, raw
from report.page import Page

from riskdoc.job.pictures import PictureFile
from riskdoc.job.preparing import PRINTED_HEIGHT, PRINTED_WIDTH, RESOLUTION, prepare
from riskdoc.job.reading import read, read_text
from riskdoc.judgement.assess import assess
from riskdoc.report.blocks import Heading, Picture, View
from riskdoc.report.folder import template_folder
from riskdoc.report.html import to_html
from riskdoc.report.pdf import to_pdf
from riskdoc.report.view import build

PLACE = {1: "N", 2: (51.0, 13.0, 15.6), 3: "W", 4: (3.0, 24.0, 7.56)}


def photo(width: int = 64, height: int = 48) -> Image.Image:
    """A picture no side of which is like another."""
    rows, columns = np.mgrid[0:height, 0:width]
    red, green = rows * 255 // max(1, height - 1), columns * 255 // max(1, width - 1)
    return Image.fromarray(np.stack([red, green, (red + 2 * green) // 3], -1).astype("uint8"))


def encoded(image: Image.Image, form: str = "JPEG", **options: Any) -> bytes:
    file = io.BytesIO()
    image.save(file, form, **options)
    return file.getvalue()


def exif(orientation: int | None = None) -> Image.Exif:
    """Metadata with a place, a text and a thumbnail's whereabouts."""
    found = Image.Exif()
    found[ExifTags.Base.ImageDescription] = "secret of the camera"
    if orientation:
        found[ExifTags.Base.Orientation] = orientation
    found.get_ifd(ExifTags.IFD.GPSInfo).update(PLACE)
    return found


def opened(content: bytes) -> Image.Image:
    image = Image.open(io.BytesIO(content))
    image.load()
    return image


def view_of(job: dict[str, Any], folder: Path) -> View:
    """Section 2 of the demo, assessed once, as if this were its job: pictures change no figure."""
    whole = made_of("lighthouse").dossier
    text = yaml.safe_dump(job, sort_keys=False, width=10_000)
    reading = read_text(text, "made.yaml", DAYS["lighthouse"], folder)
    assert reading.file is not None, "\n".join(str(each) for each in reading.faults)
    plan = replace(whole.study.plan, file=reading.file)
    view = build(replace(whole, study=replace(whole.study, plan=plan)))
    return replace(view, sections=tuple(each for each in view.sections if each.id == "plan"))


def view_with(folder: Path, files: dict[str, bytes], **changes: dict[str, Any]) -> View:
    """The view of a plan with pictures of these files, an id for each, and changes to them."""
    job = raw("lighthouse")
    job["pictures"] = {}
    for name, content in files.items():
        (folder / name).write_bytes(content)
        id = name.partition(".")[0]
        job["pictures"][id] = {"file": name, "shows": f"what {id} shows", **changes.get(id, {})}
    return view_of(job, folder)


def blocks(view: View, kind: Any = object) -> list[Any]:
    plan = next(each for each in view.sections if each.id == "plan")
    return [block for block in plan.blocks if isinstance(block, kind)]


def in_html(page: str) -> list[bytes]:
    found = re.findall(r'src="data:image/(?:jpeg|png);base64,([^"]*)"', page)
    return [base64.b64decode(each) for each in found]


def in_pdf(pdf: bytes) -> list[tuple[int, float, float, Any]]:
    """Every drawing of a picture: page from 1, width and height in mm, the object."""
    drawn = []
    for number, page in enumerate(pypdf.PdfReader(io.BytesIO(pdf)).pages, start=1):
        objects = page["/Resources"].get("/XObject", {})
        if not objects:
            continue  # nothing a page could draw as a picture; to read it takes long

        def before(op: bytes, args: Any, cm: Any, _tm: Any, n=number, objects=objects) -> None:
            if op == b"Do" and objects[args[0]]["/Subtype"] == "/Image":
                sides = math.hypot(cm[0], cm[1]), math.hypot(cm[2], cm[3])
                mm = [side / 72 * 25.4 for side in sides]
                drawn.append((n, *mm, objects[args[0]].get_object()))

        page.extract_text(visitor_operand_before=before)
    return drawn


# --- where they stand and what is said ---


def test_the_demo_shows_its_pictures_under_their_line_each_once_and_the_rest_at_the_end():
    order = [
        block.text if isinstance(block, Heading) else block.title
        for block in blocks(made_of("lighthouse").view, (Heading, Picture))
    ]
    assert order == [
        "Line working",
        "Picture coping: edge coping",
        "Picture rings: anchor ring_pair",
        "Line safety",
        "Pictures",
        "Picture barrier: site gallery",
    ]


def test_alt_text_and_caption():
    made = made_of("lighthouse")
    stated = made.assessment.file.job.pictures
    page = Page(made.html)
    told = [attributes["alt"] for tag, attributes in page.tags if tag == "img"]
    assert told == [each.shows for each in stated.values()]
    words = page.words.replace("\u00a0", " ")
    assert "Picture coping: edge coping. Outer coping with the plate in place" in words
    assert all(each.caption in words for each in stated.values())


def test_without_pictures_there_is_no_heading_for_them():
    assert "Pictures" not in [each.text for each in blocks(made_of("oak").view, Heading)]


def test_each_kind_of_part_has_its_place(tmp_path):
    one = encoded(photo())
    parts = {
        "a.jpg": "anchors.mast_step",
        "b.jpg": "lines.safety",
        "c.jpg": "ropes.red",
        "d.jpg": "protection.plate",
        "e.jpg": None,
        "f.jpg": "edges.coping",
    }
    changes = {name[0]: {"of": of} if of else {} for name, of in parts.items()}
    view = view_with(tmp_path, dict.fromkeys(parts, one), **changes)
    order = [
        block.text if isinstance(block, Heading) else block.title
        for block in blocks(view, (Heading, Picture))
    ]
    assert order == [
        "Line working",
        "Picture f: edge coping",
        "Line safety",
        "Picture a: anchor mast_step",
        "Picture b: line safety",
        "Pictures",
        "Picture c: rope red",
        "Picture d: protector plate",
        "Picture e",
    ]


def test_an_anchor_that_only_turns_a_line_is_used_by_it(tmp_path):
    job = raw("lighthouse")
    job["lines"]["safety"]["redirects"] = [
        {"anchor": "mast", "turn": "20 deg", "after": "1 m", "over": "pulley"}
    ]
    job["anchors"]["mast"] = {"legs": [{"strength": "22 kN", "evidence": "tested"}]}
    job["pictures"] = {"a": {"file": "a.jpg", "of": "anchors.mast", "shows": "a mast"}}
    (tmp_path / "a.jpg").write_bytes(encoded(photo()))
    last = blocks(view_of(job, tmp_path), (Heading, Picture))
    assert [type(each) for each in last[-2:]] == [Heading, Picture]
    assert last[-2].text == "Line safety"


def test_digests_stand_in_appendix_d_and_file_names_nowhere():
    made = made_of("lighthouse")
    words = Page(made.html).words.replace("\u00a0", " ")
    printed = "".join(made.pages)
    for id, each in made.assessment.file.pictures.items():
        assert f"Picture {id} sha256 {each.sha256}" in words
        name = Path(made.assessment.file.job.pictures[id].file).name
        assert name not in made.html
        assert name not in printed
    rows = next(each for each in made.view.sections if each.id == "inputs").blocks[1].rows
    by_key = {row.head.text: row.cells[0].text for row in rows}
    assert by_key["pictures.coping.file"].startswith("sha256 ")
    assert by_key["pictures.coping.of"] == "edges.coping"


# --- what goes into the files ---


def test_html_holds_the_prepared_bytes_and_print_an_address():
    made = made_of("lighthouse")
    prepared = [each.prepared.content for each in made.assessment.file.pictures.values()]
    assert in_html(made.html) == prepared
    assert "data:image" not in to_html(made.view, for_print=True)


def test_the_pdf_draws_each_picture_once_with_its_alt_text():
    made = made_of("lighthouse")
    drawn = in_pdf(made.pdf)
    assert len(drawn) == 3
    assert all(each["/Interpolate"].value is False for *_, each in drawn)
    assert all("/SMask" not in each for *_, each in drawn)
    reader = pypdf.PdfReader(io.BytesIO(made.pdf))
    told = {
        each["/Alt"]
        for number in range(1, reader.trailer["/Size"])
        if isinstance(each := reader.get_object(number), dict) and "/Alt" in each
    }
    assert {each.shows for each in made.assessment.file.job.pictures.values()} <= told


def test_no_metadata_of_the_demo_photograph_is_in_either_file():
    source = (JOBS / "photos" / "coping.jpg").read_bytes()
    assert opened(source).getexif().get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude]
    assert b"Exif" in source
    made = made_of("lighthouse")
    drawn = [each.get_data() for *_, each in in_pdf(made.pdf)]
    for content in (*in_html(made.html), made.pdf, *drawn):
        for trace in (b"Exif", b"GPS", b"invented demo picture", b"ns.adobe.com/xap"):
            assert trace not in content


def linear_rgb() -> bytes:
    """A colour profile (ICC.1) of the primaries of sRGB with a straight line for its tone curve."""
    s15 = lambda *values: b"".join(struct.pack(">i", round(v * 65536)) for v in values)  # noqa: E731
    tags = {b"wtpt": b"XYZ \0\0\0\0" + s15(0.9642, 1.0, 0.8249)}
    # Columns of the matrix of sRGB adapted to D50 (IEC 61966-2-1 with ICC.1, annex E; rounded).
    columns = ((0.4361, 0.2225, 0.0139), (0.3851, 0.7169, 0.0971), (0.1431, 0.0606, 0.7141))
    for colour, xyz in zip((b"r", b"g", b"b"), columns, strict=True):
        tags[colour + b"XYZ"] = b"XYZ \0\0\0\0" + s15(*xyz)
        tags[colour + b"TRC"] = b"curv\0\0\0\0" + struct.pack(">I", 0)
    at, table, data = 128 + 4 + 12 * len(tags), struct.pack(">I", len(tags)), b""
    for name, body in tags.items():
        padded = body + b"\0" * (-len(body) % 4)
        table += name + struct.pack(">II", at + len(data), len(body))
        data += padded
    head = struct.pack(
        ">I4sI4s4s4s", at + len(data), b"lcms", 0x02100000, b"mntr", b"RGB ", b"XYZ "
    )
    head += b"\0" * 12 + b"acsp" + b"\0" * 28 + s15(0.9642, 1.0, 0.8249)
    return head.ljust(128, b"\0") + table + data


def segments(jpeg: bytes) -> set[int]:
    """The markers of a JPEG file up to its data."""
    found, at = set(), 2
    while jpeg[at + 1] != 0xDA:
        found.add(jpeg[at + 1])
        at += 2 + int.from_bytes(jpeg[at + 2 : at + 4], "big")
    return found


def chunks(png: bytes) -> set[bytes]:
    found, at = set(), 8
    while at < len(png):
        found.add(png[at + 4 : at + 8])
        at += 12 + int.from_bytes(png[at : at + 4], "big")
    return found


def test_nothing_but_pixels_is_left_of_a_jpeg():
    source = encoded(
        photo(),
        exif=exif(),
        comment=b"by hand",
        icc_profile=linear_rgb(),
        xmp=b"<x/>",
        dpi=(300, 300),
    )
    assert {0xE1, 0xE2, 0xFE} <= segments(source)
    # JFIF, quantisation, frame, Huffman tables (ITU-T T.81, table B.1; JFIF is T.871).
    assert segments(prepare(source, "jpeg").content) == {0xE0, 0xDB, 0xC0, 0xC4}


def test_nothing_but_pixels_is_left_of_a_png():
    info = PngImagePlugin.PngInfo()
    info.add_text("Author", "somebody")
    info.add_itxt("XML:com.adobe.xmp", "<x/>", zip=True)
    source = encoded(
        photo(), "PNG", pnginfo=info, exif=exif(), icc_profile=linear_rgb(), dpi=(300, 300)
    )
    assert {b"tEXt", b"iTXt", b"eXIf", b"iCCP", b"pHYs"} <= chunks(source)
    assert chunks(prepare(source, "png").content) == {b"IHDR", b"IDAT", b"IEND"}


# --- how they are prepared ---


UPRIGHT = {
    # Where the first row and the first column belong, by Exif tag 274.
    1: lambda a: a,  # top, left
    2: lambda a: a[:, ::-1],  # top, right
    3: lambda a: a[::-1, ::-1],  # bottom, right
    4: lambda a: a[::-1],  # bottom, left
    5: lambda a: a.swapaxes(0, 1),  # left, top
    6: lambda a: a.swapaxes(0, 1)[:, ::-1],  # right, top
    7: lambda a: a.swapaxes(0, 1)[::-1, ::-1],  # right, bottom
    8: lambda a: a.swapaxes(0, 1)[::-1],  # left, bottom
}


@pytest.mark.parametrize("held", UPRIGHT)
def test_a_picture_stands_upright_however_it_was_held(held):
    stored = photo(8, 5)
    made = prepare(encoded(stored, "PNG", exif=exif(held)), "png")
    expected = UPRIGHT[held](np.asarray(stored))
    assert np.array_equal(np.asarray(opened(made.content)), expected)
    assert (made.height, made.width) == expected.shape[:2]
    jpeg = prepare(encoded(stored, exif=exif(held)), "jpeg")
    assert (jpeg.width, jpeg.height) == (made.width, made.height)


def test_a_photograph_of_12_megapixels_ends_small():
    grain = np.random.default_rng(7).normal(128, 25, (3000, 4000, 3)).clip(0, 255)
    source = encoded(Image.fromarray(grain.astype("uint8")), quality=90)
    assert len(source) > 4_000_000
    made = prepare(source, "jpeg")
    # 4 by 3 in a box of 170 by 120 mm is 160 by 120 mm: 1260 by 945 dots at 200 to the inch.
    assert (made.width, made.height) == (1259, 944)
    assert len(made.content) < 400_000


@pytest.mark.parametrize("size", [(5000, 100), (100, 5000), (3000, 3000), (1338, 944), (9000, 1)])
def test_in_print_no_picture_has_more_dots_than_the_bound_nor_is_larger(tmp_path, size):
    view = view_with(tmp_path, {"a.png": encoded(photo(*size), "PNG")})
    ((_, wide, high, drawn),) = in_pdf(to_pdf(view))
    assert wide <= PRINTED_WIDTH + 0.01
    assert high <= PRINTED_HEIGHT + 0.01
    assert drawn["/Width"] / wide * 25.4 <= RESOLUTION * 1.001
    across, down = drawn["/Width"] / size[0], drawn["/Height"] / size[1]
    assert across == pytest.approx(down, rel=0.02) or 1 in (drawn["/Width"], drawn["/Height"])


def test_a_small_picture_keeps_its_pixels():
    made = prepare(encoded(photo(64, 48), "PNG"), "png")
    assert np.array_equal(np.asarray(opened(made.content)), np.asarray(photo(64, 48)))


def test_the_same_bytes_come_out_every_time():
    for source, kind in ((encoded(photo(3000, 2000)), "jpeg"), (encoded(photo(), "PNG"), "png")):
        assert prepare(source, kind) == prepare(source, kind)


@pytest.mark.parametrize(
    ("mode", "colour", "printed", "seen"),
    [
        ("1", 255, "L", 255),
        ("L", 90, "L", 90),
        ("LA", (0, 0), "L", 255),
        ("LA", (10, 255), "L", 10),
        ("I;16", 90 * 257, "L", 90),
        ("I;16", 65535, "L", 255),
        ("RGB", (9, 80, 200), "RGB", (9, 80, 200)),
        ("RGBA", (9, 80, 200, 0), "RGB", (255, 255, 255)),
        ("RGBA", (0, 0, 0, 51), "RGB", (204, 204, 204)),  # a fifth of black on white
    ],
)
def test_png_comes_out_in_8_bits_opaque_on_white(mode, colour, printed, seen):
    made = opened(prepare(encoded(Image.new(mode, (9, 7), colour), "PNG"), "png").content)
    assert (made.format, made.mode, made.getpixel((4, 3))) == ("PNG", printed, seen)


def test_a_transparent_entry_of_a_palette_is_white():
    image = Image.new("P", (9, 7), 0)
    image.putpalette([200, 0, 0, 0, 0, 200])
    made = opened(prepare(encoded(image, "PNG", transparency=0), "png").content)
    assert (made.mode, made.getpixel((4, 3))) == ("RGB", (255, 255, 255))


def test_cmyk_comes_out_in_rgb():
    source = encoded(Image.new("CMYK", (16, 16), (0, 255, 255, 0)))
    made = opened(prepare(source, "jpeg").content)
    assert (made.format, made.mode) == ("JPEG", "RGB")
    assert made.getpixel((8, 8)) == pytest.approx((255, 0, 0), abs=3)


def test_a_colour_profile_is_worked_in():
    """Half the light is 0.735 of the signal by the curve of sRGB (IEC 61966-2-1)."""
    half = 128 / 255
    expected = round(255 * (1.055 * half ** (1 / 2.4) - 0.055))
    plain = Image.new("RGB", (9, 7), (128, 128, 128))
    made = opened(prepare(encoded(plain, "PNG", icc_profile=linear_rgb()), "png").content)
    assert expected == 188
    assert made.getpixel((4, 3)) == pytest.approx((expected,) * 3, abs=1)
    broken = opened(prepare(encoded(plain, "PNG", icc_profile=b"no profile"), "png").content)
    assert broken.getpixel((4, 3)) == (128, 128, 128)


def test_an_assessment_prepares_nothing_and_a_view_everything():
    file = read(JOBS / "lighthouse.yaml", DAYS["lighthouse"]).file
    assert [each.kind for each in file.pictures.values()] == ["jpeg", "png", "jpeg"]
    assess(file)
    assert all("prepared" not in vars(each) for each in file.pictures.values())
    shown = made_of("lighthouse").assessment.file
    assert all("prepared" in vars(each) for each in shown.pictures.values())


# --- metadata kept on purpose ---


def notes(view: View) -> list[str]:
    return [note.replace("\u00a0", " ") for each in blocks(view, Picture) for note in each.notes]


def test_metadata_is_kept_only_where_asked_and_then_said(tmp_path):
    files = {f"{id}.jpg": encoded(photo(), exif=exif(6)) for id in "ab"}
    view = view_with(tmp_path, files, a={"keep_metadata": "true"})
    place = "latitude 51.22100°, longitude −3.40210°, north and east positive."
    assert notes(view) == [
        f"The metadata of this picture was kept on purpose. It names the place: {place}"
    ]
    kept, other = in_html(to_html(view, for_print=False))
    found = opened(kept).getexif()
    assert found[ExifTags.Base.ImageDescription] == "secret of the camera"
    assert found[ExifTags.Base.Orientation] == 1, "its pixels were turned upright"
    assert found.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude] == (51.0, 13.0, 15.6)
    assert opened(kept).size == (48, 64)
    assert b"Exif" not in other
    inside = sorted(b"secret of the camera" in each.get_data() for *_, each in in_pdf(to_pdf(view)))
    assert inside == [False, True]


def test_what_is_said_of_other_metadata_that_is_kept(tmp_path):
    placeless = Image.Exif()
    placeless[ExifTags.Base.ImageDescription] = "secret of the camera"
    nonsense = exif()
    nonsense.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitude] = (99.0, 0.0, 0.0)
    files = {
        "a.jpg": encoded(photo()),
        "b.jpg": encoded(photo(), exif=placeless),
        "c.jpg": encoded(photo(), exif=nonsense),
        "d.png": encoded(photo(), "PNG", exif=placeless),
        "e.png": encoded(photo(), "PNG", exif=exif()),
    }
    keep = {name[0]: {"keep_metadata": "true"} for name in files}
    view = view_with(tmp_path, files, **keep)
    nowhere = "The metadata of this picture was kept on purpose. It names no place."
    html = "The metadata of this picture was kept on purpose, in the HTML file only."
    place = "latitude 51.22100°, longitude −3.40210°, north and east positive."
    assert notes(view) == [
        "The metadata of this picture was to be kept; it has none.",
        nowhere,
        nowhere,
        html,
        f"{html} It names the place: {place}",
    ]
    pages = in_html(to_html(view, for_print=False))
    assert [b"secret of the camera" in each for each in pages] == [False, True, True, True, True]
    assert b"secret of the camera" not in b"".join(
        each.get_data() for *_, each in in_pdf(to_pdf(view)) if each["/Filter"] == "/FlateDecode"
    )


# --- on the page ---


def test_styles_and_preparing_agree_on_the_printed_size():
    folder = template_folder()
    styles = "".join((folder / name).read_text() for name in ("report.css", "print.css"))
    rules = " ".join(re.findall(r"\.picture img \{([^}]*)\}", styles))
    assert f"max-width: {PRINTED_WIDTH:g}mm" in rules
    assert f"max-height: {PRINTED_HEIGHT:g}mm" in rules
    assert "image-rendering: crisp-edges" in rules


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_picture_and_its_caption_stand_on_one_page(tmp_path, paper):
    job = raw("lighthouse")
    job["report"] = {"paper": paper}
    job["pictures"] = {
        f"p{n}": {
            "file": f"{n}.jpg",
            "shows": "a tower",
            "caption": "W" * 590 + f" end{n}",
            "keep_metadata": "true",
        }
        for n in range(8)
    }
    for n in range(8):
        # Of several heights, so that some page ends where a caption would be parted.
        (tmp_path / f"{n}.jpg").write_bytes(encoded(photo(1338, 400 + 80 * n), exif=exif()))
    pdf = to_pdf(view_of(job, tmp_path))
    pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]
    drawn = [number for number, *_ in in_pdf(pdf)]
    assert len(drawn) == 8
    for n, number in enumerate(drawn):
        text = pages[number - 1].replace("\n", "")
        assert f"Picture p{n}." in text
        assert f"end{n}" in text
    # The heading is not left alone on the page before.
    assert "Pictures\n" in pages[drawn[0] - 1]


def test_a_record_hides_its_bytes_when_it_is_shown():
    one = PictureFile("a", "a.jpg", b"bytes of it", "0" * 64, "jpeg", 1, 1)
    assert "bytes of it" not in repr(one)
