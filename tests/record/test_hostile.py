"""Hostile files end in a sentence: exit code 2, within ten seconds and half a gibibyte.

Each file is made here and none is stored. What is measured is what the processes used by
themselves, since a machine under load is no fault of theirs.
"""

from __future__ import annotations

import json
import os
import struct
import zlib
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pytest
from support.measured import LETTERS, measured
from support.mini import RULES as SET
from support.mini import mini, put_mini
from support.papers import DAY, in_json, with_files
from support.signing import chained, made

from riskdoc.signing.record_files import record_path
from riskdoc.verification.answers import ForeignError
from riskdoc.verification.verify import verified

SECONDS, KIB = 10, 512 * 1024
WHOLE = True  # verified by a process of its own, which prints all of it
ON = ("--on", DAY.isoformat())


def assert_ended(
    *words: str | bytes | Path, code: int = 2, most: float = SECONDS, **env: str
) -> str:
    """What a command says, after its exit code and what it used were looked at."""
    on = () if words[0] == "sign" else ON
    exited, lines, said, told, seconds, kib = measured(*words, *on, **env)
    assert exited == code, told[:2000]
    assert "Traceback" not in told
    assert not (code == 2 and any(lines))
    assert len(told) + len(said) < LETTERS
    assert seconds <= most
    assert kib <= KIB
    return told + said


@pytest.mark.parametrize("form", ["html", "pdf"])
def test_a_document_of_ours_holds_in_that_process_and_nothing_is_left(form, tmp_path):
    path, rest = tmp_path / "report", tmp_path / "rest"
    rest.mkdir()
    path.write_bytes(getattr(mini(), form))
    told = assert_ended("verify", path, code=0, most=60, TMPDIR=str(rest))
    assert "[recorded only]" in told
    assert list(rest.iterdir()) == []


def assert_refused(path: Path, raw: bytes) -> str:
    """What `verify` says of a file with these bytes."""
    path.write_bytes(raw)
    return assert_ended("verify", path)


# ---------------------------------------------------------------- HTML


@pytest.mark.parametrize(
    "raw",
    [
        b"<img " * 50_000,
        b"<img " * 200_000,
        b'<a download="' * 80_000,
        b'<a download="a" href="data:' * 40_000,
        b'<a download="' + b"n" * 100_000 + b'" href="data:;base64,">',
        b'<a download="' + b"n" * 300 + b'" href="data:;base64,">',
        b'<a download="" href="data:;base64,">',
        b'<a download="' + b"&amp;" * 800 + b'" href="data:;base64,">',
        b"<" * 5_000_000,
        b"<a " + b"\xff" * 100_000,
        b'<a download="a" href="data:;base64,' + b"A" * 100_000_000 + b'">',
        b"".join(b'<a download="%d" href="data:;base64,">' % n for n in range(20_000)),
    ],
    ids=lambda raw: f"{raw[:12]!r} {len(raw)}",
)
def test_html_of_any_make_is_refused_in_a_sentence(raw, tmp_path):
    assert_refused(tmp_path / "report.html", raw)


# ---------------------------------------------------------------- PDF


def pdf_of(*objects: bytes, root: int = 1) -> bytes:
    """A PDF with these objects, numbered from 1."""
    raw, at = b"%PDF-1.7\n", []
    for number, body in enumerate(objects, start=1):
        at.append(len(raw))
        raw += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    start, size = len(raw), len(objects) + 1
    raw += b"xref\n0 %d\n0000000000 65535 f \n" % size
    raw += b"".join(b"%010d 00000 n \n" % each for each in at)
    return raw + b"trailer\n<< /Size %d /Root %d 0 R >>\nstartxref\n%d\n%%%%EOF\n" % (
        size, root, start,
    )  # fmt: skip


def stream(data: bytes, keys: bytes = b"") -> bytes:
    return b"<< /Length %d %s >>\nstream\n%s\nendstream" % (len(data), keys, data)


def packed(size: int) -> bytes:
    """So many noughts, packed (RFC 1950, RFC 1951): one piece again and again, and their sum."""
    pack, mib = zlib.compressobj(9, wbits=-15), 1024 * 1024
    piece = pack.compress(bytes(mib)) + pack.flush(zlib.Z_FULL_FLUSH)
    adler = (size % 65521) << 16 | 1  # of noughts: one more for each byte, and 1
    return b"\x78\xda" + piece * (size // mib) + b"\x03\x00" + adler.to_bytes(4, "big")


def test_noughts_are_packed_as_another_program_packs_them():
    assert zlib.decompress(packed(3 * 1024 * 1024)) == bytes(3 * 1024 * 1024)


def holding(files: dict[bytes, bytes]) -> bytes:
    """A PDF that holds files, each a stream as it is written."""
    names, bodies = [], []
    for name, body in files.items():
        number = 3 + len(bodies)
        names.append(b"(%s) %d 0 R" % (name, number))
        bodies += [
            b"<< /Type /Filespec /UF (%s) /EF << /UF %d 0 R >> >>" % (name, number + 1),
            body,
        ]
    tree = b"<< /Names [%s] >>" % b" ".join(names)
    catalog = b"<< /Type /Catalog /Names << /EmbeddedFiles 2 0 R >> >>"
    return pdf_of(catalog, tree, *bodies)


def seventy(n: int) -> bytes:
    data = packed(70 * 1024 * 1024)
    return holding({b"%d" % k: stream(data, b"/Filter /FlateDecode") for k in range(n)})


def deep_tree() -> bytes:
    return pdf_of(b"<< /Names " + b"<< /EmbeddedFiles " * 50_000 + b">>" * 50_001)


def kids_in_a_circle() -> bytes:
    return pdf_of(b"<< /Names 2 0 R >>", b"<< /EmbeddedFiles 3 0 R >>", b"3 0 R")


def bomb_of_objects() -> bytes:
    """A table of objects that is itself a stream of 4 GiB when it is unpacked."""
    data = packed(4 * 1024**3)
    body = b"1 0 obj\n" + stream(
        data, b"/Type /XRef /W [1 8 2] /Size 100000000 /Root 1 0 R /Filter /FlateDecode"
    )
    return b"%PDF-1.7\n" + body + b"\nendobj\nstartxref\n9\n%%EOF\n"


HOSTILE_PDF: dict[str, Callable[[], bytes]] = {
    "60 files of 70 MB": lambda: seventy(60),
    "one of 4 GB": lambda: holding(
        {b"a": stream(packed(4 * 1024**3), b"/Filter /FlateDecode")}
    ),
    "a name of 100,000": lambda: holding({b"n" * 100_000: stream(b"x")}),
    "a name of 300": lambda: holding({b"n" * 300: stream(b"x")}),
    "no name": lambda: holding({b"": stream(b"x")}),
    "many": lambda: holding({b"%d" % n: stream(b"x") for n in range(20_000)}),
    "a file that is none": lambda: pdf_of(
        b"<< /Names << /EmbeddedFiles << /Names [(a) 7] >> >> >>"
    ),
    "an odd list": lambda: pdf_of(b"<< /Names << /EmbeddedFiles << /Names [(a)] >> >> >>"),
    "a number for a list": lambda: pdf_of(b"<< /Names << /EmbeddedFiles << /Names 7 >> >> >>"),
    "a circle": kids_in_a_circle,
    "a root that is itself": lambda: pdf_of(b"1 0 R"),
    "a tree of 50,000": deep_tree,
    "lists of 200,000": lambda: pdf_of(b"[" * 200_000),
    "a bomb of objects": bomb_of_objects,
    "a table of 10^9": lambda: pdf_of(b"<<>>").replace(b"0 2\n", b"0 1000000000\n"),
    "tables in a circle": lambda: pdf_of(b"<<>>").replace(b"/Size", b"/Prev 45 /Size"),
    "only its head": lambda: b"%PDF-1.7\n",
    "noise": lambda: b"%PDF-1.7\n" + bytes(range(256)) * 4000,
    "obj obj obj": lambda: b"%PDF-1.7\n" + b"1 0 obj " * 1_000_000,
    "stream stream": lambda: b"%PDF-1.7\n" + b"1 0 obj<</Length 9>>stream\n" * 100_000,
    "startxref": lambda: b"%PDF-1.7\n" + b"startxref\n0\n%%EOF\n" * 200_000,
    "signatures": lambda: b"%PDF-1.7\n" + b"/ByteRange [0 1 2 3] /Contents <00> " * 50_000,
    "letters": lambda: holding({b"a": stream(b"z" * 5_000_000, b"/Filter /ASCII85Decode")}),
    "filters": lambda: holding(
        {b"a": stream(b"x", b"/Filter [" + b"/FlateDecode " * 10_000 + b"]")}
    ),
}  # fmt: skip


@pytest.mark.parametrize("make", HOSTILE_PDF.values(), ids=HOSTILE_PDF)
def test_a_pdf_of_any_make_is_refused_in_a_sentence(make, tmp_path):
    assert_refused(tmp_path / "report.pdf", make())


# ---------------------------------------------------------------- what is no file


def test_a_pipe_a_device_and_a_folder_are_refused_at_once(tmp_path):
    os.mkfifo(tmp_path / "pipe.pdf")
    os.mkfifo(tmp_path / "pipe.yaml")
    for name in (tmp_path / "pipe.pdf", tmp_path / "pipe.yaml", Path("/dev/zero"), tmp_path):
        told = assert_ended("verify", name)
        assert len(told.splitlines()) == 1, told
    assert_ended("check", tmp_path / "pipe.yaml")
    assert_ended("render", tmp_path / "pipe.yaml", "--out", tmp_path)


def test_a_pipe_in_the_place_of_a_record_is_refused_at_once(tmp_path):
    path = put_mini(tmp_path)
    os.mkfifo(record_path(path))
    assert_ended("render", path, "--out", tmp_path)
    assert "it is not a plain file" in assert_ended("verify", path, code=1)


def test_a_name_of_any_bytes_is_refused_in_a_sentence(tmp_path):
    for name in (b"x" * 5000, b"\xff\xfe", b"a\nb"):
        assert_ended("verify", os.fsencode(tmp_path) + b"/" + name)


# ---------------------------------------------------------------- figures and content


DEEP = b'{"a":' * 100_000 + b"1" + b"}" * 100_000
JSON: dict[str, dict[str, Callable[[bytes], bytes]]] = {
    "-figures.json": {
        "pictures 1": in_json("pictures", to=1),
        "pictures of 1": in_json("pictures", to=[1]),
        "document []": in_json("document", to=[]),
        "no document": in_json("document", to=None),
        "deep": lambda _: DEEP,
        "deep lists": lambda _: b"[" * 1_000_000,
        "half a letter": lambda raw: raw.replace(b'"A"', b'"\\ud800"'),
        "a number of 5,000": lambda raw: raw.replace(b'"riskdoc": 1', b'"riskdoc": ' + b"9" * 5000),
        "nan": lambda raw: raw.replace(b"1", b"NaN", 1),
        "1e999": lambda raw: raw.replace(b"1", b"1e999", 1),
        "twice": lambda raw: raw.replace(b"{", b'{"job":1,"job":2,', 1),
        "a day": in_json("on", to="2027-06-31"),
        "a day of other digits": in_json("on", to="２０２７-06-01"),
        "a file": in_json("job", "file", to="../../etc/passwd"),
        "a file of a list": in_json("job", "file", to=["a"]),
        "entries": in_json("document", "entries", to=10**30),
        "entries of true": in_json("document", "entries", to=True),
        "last": in_json("document", "last", to="x" * 100_000),
        "before": in_json("document", "before", to=[{}] * 100_000),
        "nothing": lambda _: b"",
        "null": lambda _: b"null",
        "latin": lambda _: b'"\xff"',
    },
    "-content.json": {
        "deep": lambda _: DEEP,
        "list": lambda _: b"[]",
        "half a letter": lambda raw: raw.replace(b'"A"', b'"\\ud800"'),
        "twice": lambda raw: raw.replace(b"{", b'{"job":1,"job":2,', 1),
        "nothing": lambda _: b"",
    },
}  # fmt: skip
VAST: dict[str, Callable[[bytes], bytes]] = {
    "many": lambda _: b'{"a":[' + b"0," * 15_000_000 + b"0]}",
    "many lists": lambda _: b'{"a":[' + b"[]," * 10_000_000 + b"0]}",
    "deep": lambda _: DEEP,
}


@pytest.mark.parametrize(
    ("tail", "change"),
    [pytest.param(t, c, id=f"{t} {n}") for t, all in JSON.items() for n, c in all.items()],
)
def test_figures_and_content_of_any_shape_are_refused_in_a_sentence(tail, change):
    raw = mini().file(tail)
    assert change(raw) != raw
    with pytest.raises(ForeignError) as told:
        verified(with_files(mini().html, {tail: change}), DAY)
    assert len(str(told.value)) < 500


@pytest.mark.parametrize("change", VAST.values(), ids=VAST)
def test_content_beyond_all_bounds_takes_no_time_and_no_room(change, tmp_path):
    assert_refused(tmp_path / "report.html", with_files(mini().html, {"-content.json": change}))


# ---------------------------------------------------------------- records


def test_a_record_whose_texts_stand_for_each_other_does_not_hold(tmp_path):
    """A megabyte of YAML that would be two gigabytes of entries: none of ours has an alias."""
    path = put_mini(tmp_path)
    head = chained({}).text.split("entries:")[0]
    texts = {key: json.dumps(each) for key, each in asdict(made()).items() if each}
    texts |= {"role": f'&r "{"x" * 400_000}"', "name": "*r", "meaning": "*r"}
    entry = ", ".join(f"{key}: {each}" for key, each in texts.items())
    body = f"entries:\n  - &e {{{entry}}}\n" + "  - *e\n" * 60_000
    record_path(path).write_text(f"{head}{body}")
    assert_ended("verify", path, code=1)
    assert_ended("check", path, "--json")


def test_a_record_of_any_depth_does_not_hold(tmp_path):
    path = put_mini(tmp_path)
    head = chained({}).text.split("entries:")[0]
    for body in ("[" * 400_000, "{a: " * 100_000, "- " * 300_000):
        record_path(path).write_text(f"{head}entries: {body}\n")
        assert_ended("verify", path, code=1)


# ---------------------------------------------------------------- requirement sets


DOUBLED = "".join(f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]\n" for n in range(1, 30))
SETS: dict[str, str] = {
    "bomb": f"a0: &a0 [x]\n{DOUBLED}{SET}",
    "bomb in a text": SET.replace("about: a", "about: *a9").replace(
        "id: crew", "id: crew\nleft_out:\n  - &a0 [x]\n"
    )
    + "".join(f"  o{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]\n" for n in range(1, 10)),
    "a list of itself": SET.replace("about: a", "about: &x [*x]"),
    "excludes": SET.replace("about: a", "about: a\nexcludes: {" + "x: [y], " * 50_000 + "}"),
    "a word that is long": SET.replace("test: asked", f"test: {'x' * 800_000}"),
    "a key that is long": SET.replace("about: a", f"about: a\n? {'k' * 800_000}\n: b"),
    "a key that is a list": SET.replace("about: a", "about: a\n? [a, b]\n: c"),
    "a key that is a map": SET.replace("about: a", "about: a\n? {a: b}\n: c"),
    "tag of Python": SET.replace("about: a", "about: !!python/object/apply:os.system [id]"),
    "tag of nobody": SET.replace("about: a", "about: !mine a"),
    "tag of an integer": SET.replace("about: a", "about: !!int a"),
    "tag of a day": SET.replace("about: a", "about: !!timestamp 2027-99-99"),
    "tag of a set": SET.replace("about: a", "about: !!set {a, b}"),
    "tag of bytes": SET.replace("about: a", "about: !!binary a"),
    "tag of pairs": SET.replace("about: a", "about: !!omap [a]"),
    "a merge": SET.replace("about: a", "about: a\n<<: [a, b]"),
    "a merge of itself": "&x\n" + SET.replace("about: a", "about: a\n<<: *x"),
    "test is a list": SET.replace("test: asked", "test: [asked]"),
    "none is a list": SET.replace("test: asked", "test: asked, none: [met]"),
    "lines is a map": SET.replace("test: asked", "test: asked, lines: {a: b}"),
    "deep": SET.replace("about: a", "about: " + "[" * 200_000),
    "deep maps": SET.replace("about: a", "about: " + "{a: " * 100_000),
    "deep lines": "- " * 300_000,
    "a number of sixties": SET.replace("about: a", "about: " + ":".join(["59"] * 5000)),
    "a number that is long": SET.replace("about: a", "about: " + "9" * 100_000),
    "two documents": f"{SET}---\n{SET}",
    "a nought": SET.replace("about: a", "about: \0"),
    "nothing": "",
    "half a letter": SET.replace("about: a", 'about: "\\ud800"'),
}


@pytest.fixture
def with_set(tmp_path) -> Callable[[str], Path]:
    def write(text: str) -> Path:
        path = put_mini(tmp_path)
        (tmp_path / "rules.yaml").write_text(text)
        return path

    return write


@pytest.mark.parametrize("text", SETS.values(), ids=SETS)
def test_a_set_of_any_make_is_refused_in_a_sentence(text, with_set):
    path = with_set(text)
    assert_ended("check", path)
    assert_ended("verify", path)


def test_a_set_that_is_a_link_out_of_the_folder_is_refused(tmp_path, with_set):
    outside = tmp_path / "outside"
    outside.mkdir()
    path = with_set(SET)
    (tmp_path / "rules.yaml").rename(outside / "rules.yaml")
    inside = tmp_path / "inside"
    inside.mkdir()
    path = path.rename(inside / path.name)
    (inside / "rules.yaml").symlink_to(outside / "rules.yaml")
    assert "link that leads out" in assert_ended("check", path)
    assert "link that leads out" in assert_ended("verify", path)


# ---------------------------------------------------------------- jobs


JOBS: dict[str, bytes] = {
    "bomb": f"a0: &a0 [x]\n{DOUBLED}".encode(),
    "deep": b"a: " + b"[" * 500_000,
    "deep maps": b"{a: " * 200_000,
    "deep lines": b"- " * 300_000,
    "many keys": b"".join(b"k%d: 1\n" % n for n in range(90_000)),
    "no UTF-8": b"\xff" * 1000,
    "noughts": bytes(1000),
    "nothing": b"",
    "a megabyte more": b"#" * 5_000_000,
    "a word": b"x" * 1_000_000,
    "an archive": b"PK\x03\x04" + bytes(range(256)) * 1000,
}


@pytest.mark.parametrize("raw", JOBS.values(), ids=JOBS)
def test_a_job_of_any_make_is_refused_in_a_sentence(raw, tmp_path):
    path = tmp_path / "plan.yaml"
    path.write_bytes(raw)
    assert_ended("check", path)
    assert_ended("verify", path)


# ---------------------------------------------------------------- the machine


@pytest.mark.parametrize(
    "zone",
    ["../../etc/passwd", "No/Where", ":", "", "UTC+99:99:99", "/etc/passwd", "\udcff", "A"],
    ids=ascii,
)
def test_an_odd_time_zone_is_no_failure(zone, tmp_path):
    path = put_mini(tmp_path)
    assert_ended("check", path, code=0, TZ=zone)
    told = assert_ended(
        "sign", path, "--role", "prepared", "--name", "Ines Kolberg", code=0, TZ=zone
    )  # fmt: skip
    assert "SIGNED" in told or "signed" in told


# ---------------------------------------------------------------- pictures


def png(wide: int, high: int, shade: int = 0) -> bytes:
    """A grey PNG that is small as a file."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        crc = zlib.crc32(kind + data)
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", crc)

    head = struct.pack(">IIBBBBB", wide, high, 1, 0, 0, 0, 0)
    row = b"\0" + bytes([shade]) * ((wide + 7) // 8)
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(row * high, 9)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def pictures(where: Path, count: int, side: int) -> Path:
    named: dict[str, Any] = {}
    for n in range(count):
        (where / f"p{n}.png").write_bytes(png(side, side, n))
        named[f"p{n}"] = {"file": f"p{n}.png", "shows": "A place."}
    return put_mini(where, {"pictures": named})


def test_pictures_of_too_many_pixels_in_all_are_refused(tmp_path):
    """Twenty of 49 million pixels each: one by one they are within bounds."""
    told = assert_ended("check", pictures(tmp_path, 20, 7000))
    assert "in all" in told
    assert "P04" in told
