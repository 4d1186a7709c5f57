"""Every PDF is for the archive and for reading aloud, and holds what it was made from."""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import shutil
import subprocess
import sys
import zlib
from datetime import date
from functools import cache
from html import unescape
from pathlib import Path

import pdfua
import pypdf
import pytest
import weasyprint
import yaml
from page import validate_pdf_bytes
from pypdf.generic import NameObject
from report.archived import Read, faults
from report.made import DAYS, JOBS, made_of
from support.demos import PRINTED, SOAK
from support.mini import mini
from support.plan import BASE, merged
from support.shared import studied_once
from support.typed import typed

from riskdoc.job.reading import JobFile, read, read_bytes
from riskdoc.judgement.assess import assess
from riskdoc.mitigation.compare import compare, ways_of
from riskdoc.report import archive
from riskdoc.report.attachments import (
    Attachment,
    job_attachment,
    job_attachments,
    report_attachments,
)
from riskdoc.report.card import build_card, card_pdf
from riskdoc.report.compared import build_comparison
from riskdoc.report.html import to_html
from riskdoc.report.pdf import RenderError, print_page, to_pdf
from riskdoc.report.seal import seal_holds
from riskdoc.requirements.dossier import brief_dossier, dossier
from riskdoc.signing.content import content_of
from riskdoc.signing.sign_off_state import stand

THREE = ("oak", "two cards", "comparison")
DOCUMENTS = (*THREE, "bare", "card", *PRINTED) if SOAK else THREE
DAY = date(2027, 6, 1)
PAGE = "<!DOCTYPE html><html lang='en'><title>A title</title><body><h1>One</h1><h2>Two</h2>"
CLEAN = "No syntax or stream encoding errors found"


def job_named(name: str) -> JobFile:
    file = read(JOBS / f"{name}.yaml", DAYS[name]).file
    assert file is not None
    return file


@cache
def printed(name: str) -> bytes:
    if name == "comparison":
        file = job_named("lighthouse")
        others = {id: assess(each) for id, each in file.alternatives.items()}
        ways = ways_of(assess(file), others)
        return to_pdf(build_comparison(compare(ways)), job_attachments([file]))
    if "card" in name:
        oak = made_of("oak")
        inside = (job_attachment(oak.assessment.file),)
        return card_pdf(build_card(oak.dossier), inside, copies=2 if "two" in name else 1)
    return made_of(name).pdf


def qpdf(path: Path) -> list[str]:
    done = subprocess.run(["qpdf", "--check", path], capture_output=True, text=True, check=False)
    return [] if done.returncode == 0 and CLEAN in done.stdout else [done.stdout + done.stderr]


def checkers(pdf: bytes, folder: Path) -> list[str]:
    """What three programs of others say against a file: nothing where it is sound."""
    path = folder / "looked-at.pdf"
    path.write_bytes(pdf)
    said = qpdf(path)
    for profile in ("3a", "ua1"):
        report = validate_pdf_bytes(pdf, profile=profile)
        assert report.rules.total > 90
        said += [f"{each.rule_id}: {each.message}" for each in report.failures]
    report = pdfua.validate(str(path))
    said += [f"{each.rule_id}: {each.message}" for each in report.findings]
    # pdfua 0.1.3 cannot run this rule where a heading has several parts: it asks an array for the
    # key of a dictionary. `faults` looks for empty headings instead.
    skipped = {each.rule_id for each in report.outcomes if each.skipped_reason} - {"UA-14-001"}
    return [*said, *(f"{each} was not looked at" for each in skipped)]


@pytest.mark.parametrize("name", DOCUMENTS)
def test_nothing_is_found_by_any_checker(name, tmp_path):
    assert checkers(printed(name), tmp_path) == []
    assert faults(printed(name)) == []


def test_a_plain_file_has_faults_by_every_checker(tmp_path):
    """The checks can fail: the same helpers on what the printer writes when it is not asked."""
    page = f"{PAGE}<table><tr><th>Head<td>Cell</table>"
    plain = weasyprint.HTML(string=page).write_pdf()
    said = " ".join(checkers(plain, tmp_path))

    assert all(each in said for each in ("PDFA3A-", "PDFUA1-", "UA-"))
    assert {
        "no metadata", "no output intent", "not marked as tagged", "the title is not demonstrated",
        "page 1: ink that is neither tagged nor artifact",
    } <= set(faults(plain))  # fmt: skip


def test_a_damaged_file_is_seen(tmp_path):
    pdf, path = printed("card"), tmp_path / "damaged.pdf"
    at = pdf.rindex(b"startxref\n") + len(b"startxref\n")
    path.write_bytes(pdf[:at] + b"7" + pdf[at:])

    assert "xref" in qpdf(path)[0]


@pytest.mark.filterwarnings("ignore::ResourceWarning")
def test_the_printers_own_archive_file_has_faults_that_are_mended_here():
    rows = "".join(f"<tr><th scope='row'>{n}<td>cell" for n in range(90))
    page = f"{PAGE}<table><thead><tr><th>No.<th>What<tbody>{rows}</table>"
    theirs = weasyprint.HTML(string=page).write_pdf(pdf_variant="pdf/a-3a")
    said = " ".join(faults(theirs))

    for each in ("cannot be read in the file", "'ua': None", "does not say what it heads"):
        assert each in said
    assert faults(print_page(page, "0" * 64)) == []


@pytest.mark.parametrize(
    "key", ["/Metadata", "/OutputIntents", "/MarkInfo", "/Lang", "/ViewerPreferences", "/Outlines",
            "/AF", "/StructTreeRoot"],
)  # fmt: skip
def test_each_part_that_is_taken_away_is_missed(key):
    writer = pypdf.PdfWriter(clone_from=io.BytesIO(printed("card")))
    same = io.BytesIO()
    writer.write(same)
    del writer.root_object[NameObject(key)]
    less = io.BytesIO()
    writer.write(less)

    assert faults(same.getvalue()) == []
    assert faults(less.getvalue()) != []


@pytest.mark.parametrize("name", sorted({"oak", *(PRINTED if SOAK else ())}))
def test_the_tags_count_as_the_page_does(name):
    """A part of the page is one part of the tree, over however many sheets it runs."""
    page = to_html(made_of(name).view, for_print=True)
    tags = Read(printed(name)).tags()
    pairs = {"table": "Table", "thead": "THead", "tbody": "TBody", "tr": "TR", "th": "TH",
             "td": "TD", "main": "Part", "section": "Sect", "h1": "H1", "h2": "H2", "h3": "H3",
             "p": "P", "figcaption": "Caption"}  # fmt: skip
    wanted = {tag: len(re.findall(rf"<{html}[ >]", page)) for html, tag in pairs.items()}
    wanted["Caption"] += len(re.findall("<caption", page))
    # One title is that of the page; pictures have a text of their own.
    wanted["Figure"] = page.count("<title") - 1 + page.count("<img ")
    items = len(re.findall(r"<(?:li|dt)[ >]", page))

    assert wanted["TR"] > 100
    assert {tag: tags[f"/{tag}"] for tag in wanted} == wanted
    assert tags["/LI"] == items
    assert tags["/LBody"] == items


@pytest.mark.parametrize("key", ["/Contents", "/StructParent"])
def test_a_link_that_lost_its_words_or_its_place_is_missed(key):
    page = f"{PAGE}<p><a href='#here'>There</a><p id='here'>Here"
    writer = pypdf.PdfWriter(clone_from=io.BytesIO(print_page(page, "0" * 64)))
    whole, less = io.BytesIO(), io.BytesIO()
    writer.write(whole)
    del writer.pages[0]["/Annots"][0].get_object()[NameObject(key)]
    writer.write(less)

    assert faults(whole.getvalue()) == []
    assert len(faults(less.getvalue())) == 1


def test_a_link_says_what_it_reads():
    page = to_html(made_of("oak").view, for_print=True)
    links = re.findall(r'<a href="#([^"]+)">([^<]+)</a>', page)
    read = Read(printed("oak"))
    notes = [note.get_object() for page in read.reader.pages for note in page.get("/Annots", ())]

    assert len(links) == page.count("<a ") > 15
    # The page number after an entry of the contents has a room of its own that can be clicked.
    said = {(str(each["/Dest"]), " ".join(each["/Contents"].split())) for each in notes}
    assert said == {(to, " ".join(unescape(words).split())) for to, words in links}
    inside = [parent["/S"] for parent, each in read.elements() if each["/S"] == "/Link"]
    assert len(inside) >= len(links)  # one that runs over two lines is two
    assert "/Link" not in inside


def test_two_links_to_one_place_each_say_their_own():
    page = f"{PAGE}<p><a href='#here'>One way</a> <a href='#here'>Another</a><p id='here'>Here"
    read = Read(print_page(page, "0" * 64))
    notes = [note.get_object() for note in read.reader.pages[0]["/Annots"]]

    assert [each["/Contents"] for each in notes] == ["One way", "Another"]


def long_table() -> bytes:
    rows = "".join(f"<tr><th scope='row'>row {n}<td>value {n}" for n in range(150))
    head = "<thead><tr><th>Number<th>Value</thead>"
    items = "".join(f"<li>item {n}" for n in range(150))
    page = f"{PAGE}<section><table><caption>Of numbers</caption>{head}"
    page += f"<tbody>{rows}</table><ol>{items}</ol></section>"
    return print_page(page, "0" * 64)


def test_a_table_over_pages_is_one_table_with_one_head():
    read = Read(long_table())
    tags, pages = read.tags(), read.reader.pages
    texts = [page.extract_text() for page in pages]

    assert len(pages) > 5
    assert sum("Number" in text for text in texts) > 2  # printed on every sheet of the table
    counted = {tag: tags[f"/{tag}"] for tag in ("Table", "Caption", "THead", "TBody", "TR", "L")}
    assert counted == {"Table": 1, "Caption": 1, "THead": 1, "TBody": 1, "TR": 151, "L": 1}
    assert tags["/LI"] == 150
    order = [str(kid["/S"]) for _, kid in read.elements()][:7]
    assert order == ["/Document", "/H1", "/Span", "/H2", "/Span", "/Sect", "/Table"]


def test_drawings_in_words_have_their_place_and_decoration_is_an_artifact():
    """The room of a figure is in points from the foot of the sheet (ISO 32000-1, 14.8.5.4.3)."""
    drawing = (
        "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 9 9' width='72pt' height='36pt' "
        "style='display: block'{}><rect width='9' height='9'/></svg>"
    )
    told = drawing.format("").replace("><rect", "><title>A square</title><rect")
    page = f"{PAGE}{told}{drawing.format(' aria-hidden=true')}"
    pdf = print_page(page, "0" * 64)
    figures = [each for _, each in Read(pdf).elements() if each["/S"] == "/Figure"]

    assert [each["/Alt"] for each in figures] == ["A square"]
    left, low, right, high = (float(each) for each in figures[0]["/A"]["/BBox"])
    assert (right - left, high - low) == pytest.approx((72, 36), abs=0.01)
    # A4 is 841.9 pt tall; the margin of 17 mm and a line of heading stand above the drawing.
    assert 841.9 - 17 * 72 / 25.4 - 90 < high < 841.9 - 17 * 72 / 25.4
    assert faults(pdf) == []


def inside(pdf: bytes) -> dict[str, bytes]:
    found = pypdf.PdfReader(io.BytesIO(pdf)).attachments
    assert all(len(each) == 1 for each in found.values())
    return {name: each[0] for name, each in found.items()}


def relationships(pdf: bytes) -> dict[str, tuple[str, str]]:
    return {
        str(file["/UF"]): (file["/AFRelationship"], file["/EF"]["/F"]["/Subtype"])
        for file in Read(pdf).associated()
    }


def unsigned_files(file: JobFile) -> dict[str, Attachment]:
    """The files in the report of a job that nobody has signed, by name."""
    whole = studied_once(file)
    return {each.name: each for each in report_attachments(whole, stand(whole))}


def test_the_report_holds_the_job_file_and_what_check_prints(monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    Path("oak.yaml").write_bytes((JOBS / "oak.yaml").read_bytes())
    said = typed("check", "oak.yaml", "--json", "--on", DAYS["oak"].isoformat())
    file = read(Path("oak.yaml"), DAYS["oak"]).file
    assert file is not None
    files = unsigned_files(file)

    assert set(files) == {"oak.yaml", "oak-content.json", "oak-figures.json"}
    assert len(json.loads(said.raw)["figures"]) > 20
    assert files["oak-figures.json"].content == said.raw.rstrip(b"\n")


def test_files_come_out_as_they_went_in():
    pdf = printed("oak")
    file = made_of("oak").assessment.file
    found = inside(pdf)

    assert found["oak.yaml"] == (JOBS / "oak.yaml").read_bytes()
    assert hashlib.sha256(found["oak.yaml"]).hexdigest() == file.digest
    figures = json.loads(found["oak-figures.json"])
    assert figures["job"]["sha256"] == file.digest
    assert figures["digest"] == hashlib.sha256(found["oak-content.json"]).hexdigest()
    assert relationships(pdf) == {
        "oak.yaml": ("/Source", "/application/yaml"),
        "oak-content.json": ("/Data", "/application/json"),
        "oak-figures.json": ("/Data", "/application/json"),
    }
    assert set(inside(printed("card"))) == {"oak.yaml"}
    assert set(inside(printed("comparison"))) == {"lighthouse.yaml"}


@pytest.mark.parametrize("name", ["oak", "card", "comparison"])
def test_the_seal_is_that_of_the_file(name):
    """The second identifier is the SHA-256 of the file with noughts in its place, cut to 32."""
    pdf = printed(name)
    start, (second,) = pdf.rindex(b"/ID ["), re.findall(rb"/ID \[\([^)]*\) \((.*?)\)\]", pdf)
    at = pdf.index(second, start + pdf[start:].index(b") ("))

    assert re.fullmatch(rb"[0-9a-f]{32}", second)
    blank = pdf[:at] + b"0" * 32 + pdf[at + 32 :]
    assert hashlib.sha256(blank).hexdigest()[:32].encode() == second
    assert seal_holds(pdf)
    assert not seal_holds(pdf[:200] + bytes([pdf[200] ^ 1]) + pdf[201:])


def test_the_day_of_the_assessment_is_the_only_date_in_it():
    dates = set(re.findall(rb"\(D:\d{4}[^)]*\)", printed("oak")))

    assert dates == {b"(D:20270310000000Z)"}
    assert b"/CreationDate" not in printed("oak")


def test_a_requirement_set_of_ones_own_goes_with_the_job(tmp_path):
    own = (
        b"title: House rules\r\nedition: '1'\nabout: rope work\nscope: all\nitems:\n"
        b"  sober: {clause: rule 1, asks: Who drank?, test: asked, provenance: judgement}\n"
    )
    (tmp_path / "rules.yaml").write_bytes(own)
    whole = merged(BASE, {"job": {"requirements": "rules.yaml"}})
    (tmp_path / "plan.yaml").write_text(yaml.safe_dump(whole, default_style='"'))
    file = read(tmp_path / "plan.yaml", DAY).file
    assert file is not None
    judged = dossier(file)
    (tmp_path / "rules.yaml").write_bytes(b"changed since")
    files = {each.name: each for each in report_attachments(judged, stand(judged))}

    assert list(files) == ["plan.yaml", "plan-content.json", "plan-figures.json", "rules.yaml"]
    assert files["rules.yaml"].content == own
    assert files["rules.yaml"].relationship == "Supplement"


def test_the_bytes_on_disk_are_kept_and_no_others(tmp_path):
    """A mark of byte order and ends of line as some editors write them are part of the file."""
    text = yaml.safe_dump(BASE, default_style='"').replace("\n", "\r\n")
    raw = b"\xef\xbb\xbf" + text.encode() + b"# \xc3\xa9\r\n"
    path = tmp_path / "plän.yaml"
    path.write_bytes(raw)
    done = subprocess.run(
        [sys.executable, "-m", "riskdoc.cli", "render", path, "--card", "--as", "pdf", "--on",
         DAY.isoformat(), "--out", tmp_path],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode in (0, 1), done.stderr
    pdf = (tmp_path / "plän-card.pdf").read_bytes()

    assert inside(pdf) == {"plän.yaml": raw}
    file = read(path, DAY).file
    assert file is not None
    digest = hashlib.sha256(content_of(brief_dossier(file)).raw).hexdigest()
    assert digest[:12] in Read(pdf).reader.pages[0].extract_text()
    assert faults(pdf) == []


def test_a_file_is_read_from_its_bytes_as_from_the_disk():
    raw = (JOBS / "oak.yaml").read_bytes()
    again, file = read_bytes(raw, "oak.yaml", DAYS["oak"], JOBS).file, job_named("oak")

    assert again is not None
    assert (again.text, again.raw, again.digest) == (file.text, file.raw, file.digest)
    assert str(again.place("lines")) == str(file.place("lines")).replace(f"{JOBS}/", "")


def put_in(name: str, content: bytes = b"x") -> Attachment:
    return Attachment(name, content, "text/plain", "Data", "A text", DAY)


def test_names_stand_in_order_whatever_they_are():
    names = ["b.txt", "é.txt", "a(1).txt", "lone \udcff.txt", "中.txt"]
    pdf = print_page(f"{PAGE}", "0" * 64, attachments=[put_in(each) for each in names])

    assert faults(pdf) == []
    assert list(inside(pdf)) == ["a(1).txt", "b.txt", "lone ?.txt", "é.txt", "中.txt"]


def test_two_files_of_one_name_are_refused_or_told_apart():
    with pytest.raises(RenderError, match="one name"):
        print_page(f"{PAGE}", "0" * 64, attachments=[put_in("a"), put_in("a")])
    raw = (JOBS / "oak.yaml").read_bytes()
    pair = [read_bytes(raw + tail, "a/oak.yaml", DAYS["oak"]).file for tail in (b"", b"# two\n")]
    files = [each for each in pair if each is not None]

    assert [each.name for each in job_attachments(files)] == ["1-oak.yaml", "2-oak.yaml"]
    assert [each.name for each in job_attachments([files[0], files[0]])] == ["oak.yaml"]


def test_a_stream_that_ends_in_cr_is_written_so_that_its_end_is_clear(tmp_path):
    """The last byte of a compressed stream is that of its checksum (RFC 1950, 2.2)."""
    content = next(
        c for c in (b"%d" % n for n in range(10_000, 99_999)) if zlib.compress(c)[-1] == 0x0D
    )
    pdf = print_page(f"{PAGE}", "0" * 64, attachments=[put_in("a", content)])

    assert b"\r\nendstream" not in pdf
    assert inside(pdf) == {"a": content}
    assert checkers(pdf, tmp_path) == []


def test_language_and_title_are_those_of_the_page(tmp_path):
    page = PAGE.replace("'en'", "'de'").replace("A title", "Łódź &lt;&amp;&gt; 中")
    pdf = print_page(page, "0" * 64)
    read = Read(pdf)

    assert read.root["/Lang"] == "de"
    assert read.reader.metadata.title == "Łódź <&> 中"
    assert [each["/Title"] for each in read.reader.outline[:1]] == ["Two"]
    assert faults(pdf) == checkers(pdf, tmp_path) == []
    with pytest.raises(RenderError, match="lang"):
        print_page(PAGE.replace(" lang='en'", ""), "0" * 64)


class Stubborn:
    """A document whose last streams end in CR so many times."""

    def __init__(self, document: weasyprint.Document, times: int) -> None:
        self.document, self.left = document, times

    def write_pdf(self, **options):
        pdf = self.document.write_pdf(**options)
        self.left -= 1
        return pdf + b"\r\nendstream" * (self.left >= 0)


def test_a_file_with_an_unclear_end_is_made_again(tmp_path):
    page = weasyprint.HTML(string=f"{PAGE}<p>two")
    once = archive.finished(Stubborn(page.render(), 0), ())
    again = archive.finished(Stubborn(page.render(), 2), ())

    assert again != once
    assert checkers(again, tmp_path) == []
    with pytest.raises(RenderError, match="clear ends"):
        archive.finished(Stubborn(page.render(), archive.TRIES), ())


WHERE = (
    {"PYTHONHASHSEED": "0", "TZ": "UTC", "LC_ALL": "C"},
    {"PYTHONHASHSEED": "random", "TZ": "Pacific/Auckland", "LC_ALL": "C.UTF-8"},
)


def test_the_same_bytes_from_any_folder_zone_locale_and_process(tmp_path):
    """The job in its own folder, and a copy of it elsewhere, called in other words."""
    own = mini().path.parent
    shutil.copytree(own, tmp_path / "copy")
    calls = ((own, "plan.yaml"), (tmp_path, "copy/../copy/plan.yaml"))
    found = []
    for number, ((folder, path), env) in enumerate(zip(calls, WHERE, strict=True)):
        out = tmp_path / str(number)
        subprocess.run(
            [sys.executable, "-m", "riskdoc.cli", "render", path, "--on", DAY.isoformat(),
             "--as", "pdf", "--out", out],
            cwd=folder, env={**os.environ, **env}, capture_output=True, check=False,
        )  # fmt: skip
        found.append({each.name: each.read_bytes() for each in out.iterdir()})

    assert list(found[0]) == ["plan.pdf"]
    assert found[0] == found[1]
