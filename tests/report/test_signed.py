"""Who signed, how the document stands, and which one it is: on every page, and for a telephone."""

from __future__ import annotations

import io
import re
import subprocess
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from functools import cache
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pypdf
import pytest
import yaml
from report.made import made_of
from report.page import Page, assert_ours_only
from support.demos import PRINTED
from support.plan import BASE, COMPLETE, DAY, job_of, merged, over_edges
from support.shared import studied_once

from riskdoc.job.fields import LONGEST_MARK
from riskdoc.job.reading import JobFile, read
from riskdoc.report.attachments import Attachment, report_attachments
from riskdoc.report.blocks import Coded, Para, Section, Table, View
from riskdoc.report.card import build_card
from riskdoc.report.html import html_file, to_html
from riskdoc.report.pdf import print_page, to_pdf
from riskdoc.report.qr import qr_code
from riskdoc.report.view import build
from riskdoc.requirements.dossier import Dossier, brief_dossier
from riskdoc.signing.document_status import State
from riskdoc.signing.entries import Entry, Record
from riskdoc.signing.record_files import others, record_of
from riskdoc.signing.sign_off_state import Signed, SignOffState, stand
from riskdoc.signing.signing import MEANINGS, Deed, act

NOW = datetime(2027, 5, 30, 9, 0, tzinfo=UTC)
TYPED = "recorded name, not a verified signature"
ROUNDED = {"site": "wall", "surface": "granite", "radius": "15 mm", "turn": "80 deg"}
NAMES = {"prepared": "A. Lead", "authorised": "D. Fourth"}


@cache
def computed(*, accepted: bool = False, title: str = "Plain plan", day: date = DAY) -> Dossier:
    """The plain plan, or one whose borderline checks are all accepted."""
    changes: list[dict[str, Any]] = [COMPLETE, {"job": {"title": title}}]
    if accepted:
        changes.append(over_edges(ROUNDED))
        stops = brief_dossier(job_of(*changes, day=day)).plan.failed_checks
        accept = {"by": "lead", "reason": "looked at", "until": "2027-06-02"}
        deviations = [
            {"check": each.id, **accept, "conditions": ["The rope is dry.", "Nobody swings."]}
            for each in stops
        ]
        changes.append({"signoff": {"deviations": deviations}})
    return studied_once(job_of(*changes, day=day))


def done(path: Path, whole: Dossier, *acts: str, minutes: int = 0) -> Record:
    """The record of a job after some acts: the names of roles that sign, or how it ends."""
    for n, word in enumerate(acts):
        when = NOW.replace(minute=minutes + n)
        if word in NAMES:
            deed = Deed("sign", word, NAMES[word], MEANINGS[word])
        elif word == "withdraw":
            deed = Deed("withdraw", "authorised", NAMES["authorised"], "The wall is wet.")
        else:
            deed = Deed("supersede", "authorised", NAMES["authorised"], "New bolts.", "T-1, B")
        act(path, whole, deed, when)
    return record_of(path)


def unchained(**changed: str) -> Entry:
    """An entry as somebody else's program could have written it."""
    parts = {
        "act": "sign", "number": "T-1", "revision": "A", "role": "prepared", "name": "A. Lead",
        "meaning": "I wrote it.", "time": NOW.isoformat(), "digest": "0" * 64, "previous": "none",
    }  # fmt: skip
    return Entry(**(parts | changed))


BOTH = ("prepared", "authorised")
BANNERS = {
    "draft": "DRAFT: not signed, not for use",
    "partly signed": "DRAFT: 1 of 2 signed, not for use",
    "issued": "ISSUED: 2027-06-01 to 2027-06-02, no longer",
    "deviations": "ISSUED WITH 3 ACCEPTED EXCEPTIONS: 2027-06-01 to 2027-06-02, no longer",
    "superseded": "SUPERSEDED: not for use",
    "withdrawn": "WITHDRAWN: not for use",
    "expired": "EXPIRED on 2027-06-02: not for use",
    "changed since": "SIGN-OFF DOES NOT MATCH THIS CONTENT: not for use",
    "another content": "SIGN-OFF DOES NOT MATCH THIS CONTENT: not for use",
}


def standing_of(name: str, folder: Path) -> tuple[Dossier, SignOffState]:
    """A small plan in each of the states."""
    path, whole = folder / "plan.yaml", computed()
    if name == "partly signed":
        return whole, stand(whole, done(path, whole, "prepared"))
    if name == "deviations":
        whole = computed(accepted=True)
    if name in ("issued", "deviations"):
        return whole, stand(whole, done(path, whole, *BOTH))
    if name in ("superseded", "withdrawn"):
        end = "supersede" if name == "superseded" else "withdraw"
        return whole, stand(whole, done(path, whole, *BOTH, end))
    if name == "expired":
        late = computed(day=date(2027, 6, 3))
        return late, stand(late, done(path, whole, *BOTH))
    if name == "changed since":
        other = computed(title="Another plan")
        return other, stand(other, done(path, whole, *BOTH))
    if name == "another content":
        done(folder / "copy.yaml", computed(title="Another plan"), "prepared")
        return whole, stand(whole, Record(), [each for _, each in others(path)])
    return whole, stand(whole, Record())


@dataclass(frozen=True)
class Stood:
    """A document in one of the states."""

    whole: Dossier
    standing: SignOffState
    view: View
    inside: tuple[Attachment, ...]

    @property
    def short(self) -> View:
        """The view with page 1 and appendix D alone: all that hangs on the state, printed soon."""
        return replace(self.view, sections=self.view.sections[-1:])


@cache
def stood(name: str) -> Stood:
    with TemporaryDirectory() as folder:
        whole, standing = standing_of(name, Path(folder))
    inside = report_attachments(whole, standing)
    return Stood(whole, standing, build(whole, standing), inside)


@cache
def printed(name: str) -> bytes:
    it = stood(name)
    return to_pdf(it.short, it.inside)


def pages_of(pdf: bytes) -> list[str]:
    """The words on each page as another program reads them: poppler's `pdftotext`."""
    command = ["pdftotext", "-layout", "-", "-"]
    said = subprocess.run(command, input=pdf, capture_output=True, check=True).stdout.decode()
    return [plain(page) for page in said.split("\f")[:-1]]


def plain(text: str) -> str:
    return " ".join(text.replace("\u00a0", " ").split())


def blocks(section: Section, caption: str) -> list[Table]:
    found = [each for each in section.blocks if isinstance(each, Table)]
    return [each for each in found if each.caption.startswith(caption)]


def paragraphs(view: View) -> list[str]:
    section = view.sections[-1]
    return [plain(each.text) for each in section.blocks if isinstance(each, Para)]


@pytest.mark.parametrize("name", BANNERS)
def test_every_page_says_how_the_document_stands_and_nothing_else(name):
    it, banner = stood(name), BANNERS[name]
    pages = pages_of(printed(name))
    other = {each for each in BANNERS.values() if each != banner}

    assert len(pages) >= 2
    for number, page in enumerate(pages, start=1):
        assert banner in page
        assert f"page {number} of {len(pages)}" in page
        assert not [each for each in other if each in page]
    screen = html_file(it.view, it.inside).decode()
    words = Page(screen).words
    assert_ours_only(Page(screen))
    assert banner in words
    assert f'@top-left {{ content: "{banner}";' in screen
    assert not [each for each in other if each in words]
    card = build_card(it.whole, it.standing)
    assert card.status == banner


def test_the_whole_of_a_document_that_may_not_be_used_says_so_on_every_page():
    it = stood("withdrawn")
    pages = pages_of(to_pdf(it.view, it.inside))

    assert len(pages) > 15
    assert [n for n, page in enumerate(pages) if BANNERS["withdrawn"] not in page] == []


FOOT = {
    "draft": "Valid 2027-06-01 to 2027-06-02, once every role has signed, and no longer.",
    "issued": "Valid 2027-06-01 to 2027-06-02, and no longer.",
    "expired": "Not valid: expired.",
    "superseded": "Not valid: superseded.",
    "withdrawn": "Not valid: withdrawn.",
    "changed since": "Not valid: sign-off does not match.",
}


@pytest.mark.parametrize("name", FOOT)
def test_page_1_says_until_when_it_holds(name):
    first = pages_of(printed(name))[0]

    assert FOOT[name] in first
    assert [each for each in FOOT.values() if each in first] == [FOOT[name]]


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("draft", "Not signed (0 of 2): all"),
        ("issued", "Checks met, signed (2 of 2), valid to 2027-06-02: all"),
        ("expired", "Expired on 2027-06-02: this document is not for use."),
        ("superseded", "Superseded: this document is not for use."),
        ("withdrawn", "Withdrawn: this document is not for use."),
        ("another content", "The sign-off does not match this content: it is not for use."),
    ],
)
def test_the_crew_card_has_the_headline_of_the_status(name, said):
    card = build_card(stood(name).whole, stood(name).standing)

    assert plain(card.headline) == stood(name).standing.status.headline
    assert plain(card.headline).startswith(said)


def test_each_sign_off_stands_with_name_time_meaning_and_what_it_shows():
    """A typed name is never passed off as more."""
    first = pages_of(printed("issued"))[0]
    record = stood("issued").standing.record
    table = blocks(stood("issued").view.sections[-1], "Sign-offs of this content")[0]

    for n, role in enumerate(BOTH):
        assert role in first
        assert NAMES[role] in first
        row = table.rows[n]
        said = [row.head.text, row.head.small, *(cell.text for cell in row.cells)]
        assert [plain(each) for each in said] == [
            role, NAMES[role], f"2027-05-30 09:0{n}:00 +00:00", MEANINGS[role], TYPED,
        ]  # fmt: skip
    assert "not signed" not in first
    front = next(t for t in stood("issued").view.front if isinstance(t, Table) and len(t.rows) == 2
                 and t.caption == "Sign-off")  # fmt: skip
    assert [plain(row.cells[-1].text) for row in front.rows] == [TYPED, TYPED]
    assert len(record.last) == 64
    assert record.last in plain(table.note)


def test_a_role_that_has_not_signed_has_room_to_sign_on_paper():
    view = stood("partly signed").view
    front = next(t for t in view.front if isinstance(t, Table) and t.caption == "Sign-off")
    cells = [[plain(cell.text) for cell in row.cells] for row in front.rows]

    assert cells == [
        ["A. Lead", "2027-05-30 09:00:00 +00:00", TYPED],
        ["", "", "not signed"],
    ]
    assert "Nobody has signed this content." in paragraphs(stood("draft").view)
    assert "Nobody has signed this content." not in paragraphs(view)


def test_who_ended_a_document_and_why_stands_on_page_1_and_in_the_appendix():
    said = {
        "withdrawn": "Withdrawn by D. Fourth, 2027-05-30 09:02:00 +00:00: The wall is wet.",
        "superseded": "Superseded by T-1, B; D. Fourth, 2027-05-30 09:02:00 +00:00: New bolts.",
    }
    for name, sentence in said.items():
        assert sentence in pages_of(printed(name))[0]
        assert sentence in paragraphs(stood(name).view)


def test_a_sign_off_that_does_not_count_is_named_with_the_reason():
    why = "The entry of A. Lead as prepared, 2027-05-30 09:00:00 +00:00, does not count: "
    why += "It was made for another content than this."
    first = pages_of(printed("changed since"))[0]
    elsewhere = pages_of(printed("another content"))[0]

    assert why in first
    assert "1 more does not." in first
    assert first.count("not signed") == len(BOTH)
    assert TYPED not in first
    assert "Another job file with this number and revision was signed." in elsewhere


def test_every_entry_that_does_not_count_is_listed_with_its_own_reason():
    listed = stood("changed since").view.sections[-1].blocks
    items = [plain(item) for each in listed for item in getattr(each, "items", ())]

    assert items == [
        f"{role}, {NAMES[role]}, 2027-05-30 09:0{n}:00 +00:00: "
        "It was made for another content than this."
        for n, role in enumerate(BOTH)
    ]


def test_accepted_exceptions_stand_with_who_why_until_when_and_on_what_conditions():
    it = stood("deviations")
    table = blocks(it.view.sections[-1], "Accepted exceptions")[0]

    assert {row.head.small for row in table.rows} == {
        "line/working/edge/edge_working/rule/bare", "line/safety/edge/edge_safety/rule/bare",
        "line/working/edge/edge_working/exposure",
    }  # fmt: skip
    for row in table.rows:
        assert [plain(cell.text) for cell in row.cells] == [
            "A. Lead", "2027-06-02", "looked at", "The rope is dry; Nobody swings"
        ]  # fmt: skip
    assert blocks(stood("issued").view.sections[-1], "Accepted exceptions") == []


@pytest.mark.parametrize("name", ["draft", "issued", "expired"])
def test_the_digest_that_is_printed_is_that_of_the_content_inside(name):
    pdf = printed(name)
    files = {key: each[0] for key, each in pypdf.PdfReader(io.BytesIO(pdf)).attachments.items()}
    digest = sha256(files["plan-content.json"]).hexdigest()
    pages = pages_of(pdf)

    assert all(f"digest {digest[:12]}" in page for page in pages)
    rows = {row.head.text: row.cells[0].text
            for row in blocks(stood(name).view.sections[-1], "Digest")[0].rows}  # fmt: skip
    assert rows["Digest of the content, SHA-256"] == digest
    assert rows["Digest of the job file, SHA-256"] == sha256(files["plan.yaml"]).hexdigest()
    assert digest in "".join(pages[-1].split())
    assert ("plan.signoff.yaml" in files) == (name != "draft")
    if name != "draft":
        assert f"digest: \"{digest}\"" in files["plan.signoff.yaml"].decode()  # fmt: skip


def test_neither_the_day_nor_a_signature_changes_the_digest_and_a_title_does():
    digests = {name: stood(name).view.digest for name in BANNERS}

    assert digests["draft"] == digests["issued"] == digests["expired"] == digests["withdrawn"]
    assert len(set(digests.values())) == 3  # with deviations, and with another title


def pictured(pdf: bytes, folder: Path, first: int = 1, last: int = 1, *how: str) -> list[str]:
    """What `zbarimg` reads off each page of a PDF that has a code, at 200 dots to the inch."""
    path = folder / "looked-at.pdf"
    path.write_bytes(pdf)
    words = ["pdftoppm", "-r", "200", "-f", f"{first}", "-l", f"{last}", "-gray", "-png"]
    subprocess.run([*words, path, folder / "page"], check=True, capture_output=True)
    shots = sorted(folder.glob("page-*.png"))
    assert shots
    command = ["zbarimg", "--quiet", "--raw", *how]
    done = [subprocess.run([*command, shot], capture_output=True, check=False) for shot in shots]
    for shot in shots:
        shot.unlink()
    return [each.stdout.decode().rstrip("\n") for each in done if each.stdout]


def test_a_telephone_reads_number_revision_and_digest_off_page_1(tmp_path):
    pdf = printed("issued")
    content = pypdf.PdfReader(io.BytesIO(pdf)).attachments["plan-content.json"][0]

    assert pictured(pdf, tmp_path) == [f"T-1\nA\nsha256:{sha256(content).hexdigest()}"]
    assert pictured(pdf, tmp_path, 2, 2) == []


NUMBERS = (
    "SP-014",
    "\"quoted\" 'twice' <&> \\ {{7*7}}",
    "Æble-Łódź ½",
    "Работа-7",
    "αβγ-7",
    "高所作業-7",
    "밧줄-7",
    "عمل-7",
    "עבודה-7",
    "\U0001f600-7",
    "7" * 60,
)


def code_of(number: str, revision: str = "A", digest: str = "5" * 64) -> bytes:
    """The code alone on a page, as wide as on page 1."""
    drawn = qr_code(number, revision, digest, 62.0)
    page = f"<!DOCTYPE html><html lang='en'><title>t</title><h1>t</h1><div class='qr'>{drawn}</div>"
    return print_page(page, "0" * 64)


@pytest.mark.parametrize("number", NUMBERS)
def test_any_number_is_read_back_letter_by_letter(number, tmp_path):
    """As bytes in UTF-8, and as a reader understands them who is told nothing about them."""
    code, said = code_of(number), f"{number}\nA\nsha256:{'5' * 64}"

    assert pictured(code, tmp_path, 1, 1, "-Sbinary") == [said]
    assert pictured(code, tmp_path) == [said]


def test_what_is_too_long_for_the_code_is_cut_and_the_digest_never(tmp_path):
    read_back = pictured(code_of("№" * 2000, "Ж" * 2000, "a" * 64), tmp_path)

    assert read_back == ["№" * 59 + "…\n" + "Ж" * 59 + "…\nsha256:" + "a" * 64]


def test_a_long_strange_number_is_in_the_code_of_the_document(tmp_path):
    number = ("縄\"'</svg></title>№ " * 200)[:LONGEST_MARK]
    whole = studied_once(job_of({"job": {"number": number}}))
    view = build(whole)
    short = replace(view, sections=view.sections[-1:])
    pdf = to_pdf(short, report_attachments(whole, stand(whole)))
    content = pypdf.PdfReader(io.BytesIO(pdf)).attachments["plan-content.json"][0]
    found = pictured(pdf, tmp_path, 1, 4)

    assert found == [f"{number[:59]}…\nA\nsha256:{sha256(content).hexdigest()}"]
    for for_print in (True, False):
        page = Page(to_html(view, for_print=for_print))
        assert_ours_only(page)
        assert sum(each.get("id") == "qr-title" for _, each in page.tags) == 1


def test_the_code_stands_once_and_is_no_decoration():
    codes = [each for each in stood("issued").view.front if isinstance(each, Coded)]

    assert len(codes) == 1
    assert 'role="img"' in codes[0].markup
    assert f"QR code: T-1, A, sha256:{stood('issued').view.digest}" in codes[0].markup


PAYLOAD = '"; } @page { size: 9in } body { background: url(http://192.0.2.1/q) } PAYLOAD </style>'


SHORT = '"; } body { background: url(http://192.0.2.1/q) } PAYLOAD </style>'
"""As much of it as a number takes."""


def styles(page: str) -> list[str]:
    return re.findall(r"<style>(.*?)</style>", page, re.DOTALL)


def test_texts_of_a_job_and_of_its_record_never_get_into_a_style(tmp_path):
    """Number, names and reasons reach the edges of no page but as text."""
    texts = {
        "job": {
            key: SHORT if key in ("number", "revision") else f"{key} {PAYLOAD}"
            for key in ("number", "revision", "title", "client")
        },
        "people": {"lead": {"name": PAYLOAD}},
        "signoff": {"roles": [PAYLOAD]},
    }
    whole, path = studied_once(job_of(texts)), tmp_path / "plan.yaml"
    for what in ("sign", "withdraw"):
        act(path, whole, Deed(what, PAYLOAD, PAYLOAD, PAYLOAD), NOW)
    standing = stand(whole, record_of(path))
    view = build(whole, standing)
    screen = html_file(view, report_attachments(whole, standing)).decode()
    clean = html_file(stood("withdrawn").view, ()).decode()

    assert standing.state is State.WITHDRAWN
    assert view.status == BANNERS["withdrawn"]
    assert Page(screen).words.count("PAYLOAD") > 10
    assert styles(screen) == styles(clean)
    for_print = [to_html(each, for_print=True) for each in (view, stood("withdrawn").view)]
    assert styles(for_print[0]) == styles(for_print[1])
    assert_ours_only(Page(screen))
    assert BANNERS["withdrawn"] in pages_of(to_pdf(replace(view, sections=view.sections[-1:])))[0]


@pytest.mark.parametrize("state", list(State))
def test_the_banner_is_made_of_our_own_words_and_of_days(state):
    banner = replace(stood("partly signed").standing, state=state).status.banner

    assert re.fullmatch(r"[A-Za-z0-9 :,-]+", banner)


def test_a_banner_counts_one_and_many():
    issued = stood("issued").standing

    def banner(accepted: int) -> str:
        found = replace(issued.outcome, accepted=accepted)
        return replace(issued, outcome=found).status.banner

    assert banner(1).startswith("ISSUED WITH 1 ACCEPTED EXCEPTION: ")
    assert banner(2).startswith("ISSUED WITH 2 ACCEPTED EXCEPTIONS: ")


# Revisions: the second job file names the first, which stands beside it.

SECOND = {"job": {"revision": "B", "replaces": {"file": "first.yaml", "reason": "New ladder."}}}


@pytest.fixture
def revised(tmp_path):
    """Writes both job files; gives the second one read, and how it stands beside the first."""

    def make(*changes: dict[str, Any], signed: bool = True) -> tuple[Dossier, SignOffState]:
        first = write(tmp_path / "first.yaml", BASE)
        whole = BASE
        for change in (SECOND, *changes):
            whole = merged(whole, change)
        second = write(tmp_path / "plan.yaml", whole)
        if signed:
            done(tmp_path / "first.yaml", brief_dossier(first), *BOTH)
        now = studied_once(second)
        return now, stand(now, Record(), (), lambda name: record_of(tmp_path / name))

    return make


def write(path: Path, whole: dict[str, Any]) -> JobFile:
    path.write_text(yaml.safe_dump(whole, default_style='"', sort_keys=False), "utf-8")
    reading = read(path, DAY)
    assert reading.file is not None, "\n".join(map(str, reading.faults))
    return reading.file


def rows(view: View, caption: str) -> dict[str, list[str]]:
    table = blocks(view.sections[-1], caption)[0]
    return {
        f"{row.head.text} {row.head.small}".strip(): [
            plain(f"{cell.text} {cell.small} {re.sub('<[^>]*>', ' ', str(cell.mark))}")
            for cell in row.cells
        ]
        for row in table.rows
    }


def test_the_history_says_why_each_revision_came_and_how_the_last_one_stands(revised):
    now, standing = revised()
    found = rows(build(now, standing), "Revisions, the latest first")

    assert list(found) == ["B", "A"]
    assert found["B"] == ["not demonstrated", "draft; no entries", "New ladder."]
    (before,) = standing.before
    known = f"issued; 2 entries, the last with the hash {before.record.last}"
    assert found["A"] == ["not demonstrated", known, "first revision stated job file first.yaml"]


def test_what_moved_stands_side_by_side(revised):
    """Twice the free fall: more clearance is needed by the 0.6 m more, and nothing moves else."""
    now, standing = revised({"lines": {"safety": {"fall": {"free": "1.2 m"}}}})
    view = build(now, standing)
    found = rows(view, "Key figures that moved from revision A to B")
    needed = next(cells for name, cells in found.items() if name.startswith("Clearance needed"))
    before, after = (float(re.match(r"[\d.]+", cell)[0]) for cell in needed[1:3])

    # The rope stretches further too, by less than a metre.
    assert 0.6 < after - before < 1.6
    assert all("safety" in name for name in found)
    moved = " ".join(paragraphs(view))
    assert "No key figure moved" not in moved
    assert re.search(r"\d+ further figures? moved; riskdoc compare", moved)


def test_a_verdict_that_moved_stands_with_both_words(revised):
    """Both lines on one anchor: what is adequate in A is not in B."""
    now, standing = revised({"lines": {"safety": {"anchor": "one"}}})
    found = rows(build(now, standing), "Verdicts that moved from revision A to B")
    both = [cells for cells in found.values() if cells == ["adequate", "inadequate"]]

    assert both


def test_why_a_revision_came_is_text_whatever_is_in_it(revised):
    plainly = {"file": "first.yaml", "reason": "so"}
    other = to_html(build(*revised({"job": {"replaces": plainly}}, signed=False)), for_print=False)
    replaces = {"file": "first.yaml", "reason": PAYLOAD}
    now, standing = revised({"job": {"replaces": replaces}}, signed=False)
    view = build(now, standing)
    page = to_html(view, for_print=False)

    assert_ours_only(Page(page))
    assert plain(Page(page).words).count(" ".join(PAYLOAD.split())) >= 1
    assert styles(page) == styles(other)


def test_nothing_that_moved_is_said_too(revised):
    now, standing = revised({"job": {"title": "The same with another name"}})
    said = paragraphs(build(now, standing))

    assert "No key figure moved from revision A to B." in said
    assert "No verdict moved from revision A to B." in said
    assert "No earlier revision is stated." not in said
    assert "No earlier revision is stated." in paragraphs(stood("draft").view)


def test_files_of_the_earlier_revision_travel_with_the_document(revised, tmp_path):
    now, standing = revised()
    files = {each.name: each.content for each in report_attachments(now, standing)}

    assert set(files) == {"plan.yaml", "plan-content.json", "plan-figures.json", "first.yaml",
                          "first.signoff.yaml"}  # fmt: skip
    for name in ("plan.yaml", "first.yaml", "first.signoff.yaml"):
        assert files[Path(name).name] == (tmp_path / name).read_bytes()


def test_a_broken_record_of_the_earlier_revision_is_said_and_no_state_guessed(revised, tmp_path):
    revised()
    path = tmp_path / "first.signoff.yaml"
    path.write_bytes(path.read_bytes().replace(b"D. Fourth", b"E. Fifth"))
    now, standing = revised(signed=False)
    row = rows(build(now, standing), "Revisions, the latest first")["A"]

    assert row[1].startswith("not demonstrated")
    assert "first.signoff.yaml" in row[1]
    assert "issued" not in row[1]


def test_sign_offs_of_a_revision_that_the_job_does_not_name_are_told(tmp_path):
    path = tmp_path / "plan.yaml"
    record = done(path, computed(), *BOTH)
    now = studied_once(job_of({"job": {"revision": "B"}}))
    said = " ".join(paragraphs(build(now, stand(now, record))))

    assert "also of the revisions A. The job does not say which job file it replaces" in said


# Page 1, signed by everybody, is one page still.

LONG_NAME = "Maximiliane-Aleksandra van der Unbrokenlongname-Somewhere of the Upper Valley " * 3


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("state", [State.ISSUED, State.MISMATCH, State.WITHDRAWN])
@pytest.mark.parametrize("name", PRINTED)
def test_page_1_stays_one_page_when_all_have_signed_with_long_names(name, state, paper):
    whole = made_of(name).dossier
    plan = whole.study.plan
    on_paper = replace(plan, file=plan.file.in_form(paper=paper))
    whole = replace(whole, study=replace(whole.study, plan=on_paper))
    entry = unchained(name=LONG_NAME, meaning=LONG_NAME * 5, time="2027-01-01T00:00:00+00:00")
    bare = stand(whole)
    standing = replace(
        bare,
        state=state,
        signed=tuple(Signed(each.role, replace(entry, role=each.role), None)
                     for each in bare.signed),
        ended=replace(entry, act="withdraw") if state is State.WITHDRAWN else None,
        aside=((entry, LONG_NAME * 5),) * 3 if state is State.MISMATCH else (),
    )  # fmt: skip
    view = build(whole, standing)
    first, second, *_ = pages_of(to_pdf(replace(view, sections=view.sections[-1:])))

    for signed in standing.signed:
        assert signed.role in first
    assert first.count("Maximili") >= len(standing.signed)
    assert "This is not a permit." in first
    assert "Contents" not in first
    assert "Contents D Sign-off, revisions" in second
