"""A genuine document is never told to be forged: what cannot be shown here is not demonstrated."""

from __future__ import annotations

import json
import sys
from contextlib import contextmanager
from pathlib import Path

import pytest
from support.certificates import authority, made
from support.mini import RULES, mini, put_mini
from support.papers import (
    DAY,
    NAMES,
    Paper,
    answers,
    folder,
    holder,
    in_json,
    issued,
    paper,
    put,
    signed,
    with_files,
    words,
)
from support.updates import WHEN

from riskdoc.cli.verify_command import verify as verify_command
from riskdoc.report.seal import sealed_html
from riskdoc.signing import libraries
from riskdoc.signing.pades import sign_pdf
from riskdoc.verification.holding import held
from riskdoc.verification.verify import Answer, verified

pytestmark = pytest.mark.usefixtures("computed_once")
COMPUTED, CONTENT = "Figures and verdicts, computed again", "Content and digest"
PAGES, FILE = "What can be read in the document", "Signature of the PDF file"
LEAD, FOURTH = (f"Sign-off of “{NAMES[role]}” as “{role}”" for role in ("prepared", "authorised"))


def certified() -> Paper:
    path = put(folder())
    by = {
        role: made(name, by=authority(), number=n) for n, (role, name) in enumerate(NAMES.items())
    }
    signed(path, by=by)
    return paper(path)


@contextmanager
def without_the_extra():
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(sys.modules, "pyhanko.sign", None)
        yield


@contextmanager
def elsewhere(**versions: str):
    """A machine and packages of other versions, on which a document is made."""
    with pytest.MonkeyPatch.context() as patch:
        for each in (libraries.packages, libraries.machine):
            known = {**each(), **{k: v for k, v in versions.items() if k in each()}}
            for name in ("content.packages", "sign_off_state.machine"):
                if name.endswith(each.__name__):
                    patch.setattr(f"riskdoc.signing.{name}", lambda known=known: known)
        if "riskdoc" in versions:
            for name in ("signing.content", "export.export"):
                patch.setattr(f"riskdoc.{name}.__version__", versions["riskdoc"])
            patch.setattr("riskdoc.__version__", versions["riskdoc"])
        path = put(folder())
        signed(path)
        yield paper(path)


# ---------------------------------------------------------------- without the extra


def test_without_the_extra_a_document_signed_by_certificates_is_not_demonstrated():
    page = certified().html
    with without_the_extra():
        told = answers(page)

    assert (told[LEAD], told[FOURTH]) == (Answer.NOT_DEMONSTRATED, Answer.NOT_DEMONSTRATED)
    assert told[PAGES] is Answer.NOT_DEMONSTRATED
    assert Answer.BROKEN not in told.values()


def test_without_the_extra_a_signed_pdf_is_not_demonstrated_and_its_pages_hold():
    raw = sign_pdf(holder(made("S. Stranger", number=9)), issued().pdf, when=WHEN)
    with without_the_extra():
        told = answers(raw)

    assert told[FILE] is Answer.NOT_DEMONSTRATED
    assert told[PAGES] is Answer.HOLDS
    assert Answer.BROKEN not in told.values()


# ---------------------------------------------------------------- other versions


@pytest.mark.parametrize("versions", [{"weasyprint": "99.1"}, {"jinja2": "0.1", "numpy": "9"}])
def test_with_other_packages_the_figures_hold_and_the_pages_are_not_demonstrated(versions):
    with elsewhere(**versions) as it:
        page = it.html
    # As another printer would have written it.
    page = sealed_html(page.replace(b"Plain plan</h1>", b"Plain plan </h1>"))
    told = answers(page)

    assert told[COMPUTED] is Answer.HOLDS
    assert told[PAGES] is Answer.NOT_DEMONSTRATED
    assert Answer.BROKEN not in told.values()
    assert not verified(page, DAY).holds
    name, version = next(iter(versions.items()))
    assert f"{name} {version} (here {libraries.packages()[name]})" in words(page)


def test_with_other_packages_that_print_the_same_bytes_all_of_it_holds():
    with elsewhere(pillow="99.1") as it:
        page = it.html
    assert verified(page, DAY).holds


def test_with_another_machine_too():
    with elsewhere(pango="99.1") as it:
        page = it.html
    assert verified(page, DAY).holds
    changed = sealed_html(page.replace(b"Plain plan</h1>", b"Plain plan </h1>"))
    assert answers(changed)[PAGES] is Answer.NOT_DEMONSTRATED
    assert "pango 99.1 (here" in words(changed)


def test_another_version_of_riskdoc_is_not_demonstrated_and_its_sign_offs_stand():
    with elsewhere(riskdoc="9.9.9") as it:
        page = it.html
    told = answers(page)

    assert (told[LEAD], told[FOURTH]) == (Answer.RECORDED, Answer.RECORDED)
    assert told[PAGES] is Answer.NOT_DEMONSTRATED
    assert told[CONTENT] is Answer.HOLDS
    assert Answer.BROKEN not in told.values()


def test_a_version_in_the_figures_that_is_not_that_of_the_content_does_not_hold():
    """Else any change of the pages could be put down to another version."""
    page = with_files(issued().html, {"-figures.json": in_json("version", to="9.9.9")})

    assert answers(page)[CONTENT] is Answer.BROKEN
    assert answers(page)[PAGES] is Answer.BROKEN


def test_libraries_that_are_stated_otherwise_in_the_content_end_the_sign_offs():
    page = with_files(issued().html, {"-content.json": in_json("libraries", "weasyprint", to="99")})
    told = answers(page)

    assert Answer.BROKEN in (told[CONTENT], told[LEAD])


@pytest.mark.parametrize(
    "machine",
    [{}, {"pango": "1"}, {"pango": "<b>", "harfbuzz": "1", "unicode": "1", "zlib": "1"}, []],
)
def test_a_machine_that_is_none_is_refused(machine):
    page = with_files(issued().html, {"-figures.json": in_json("machine", to=machine)})
    with pytest.raises(Exception, match="machine"):
        verified(page, DAY)


def test_a_machine_that_is_claimed_makes_no_changed_page_hold():
    def claimed(raw: bytes) -> bytes:
        plain = json.loads(raw)
        plain["machine"]["pango"] = "99.1"
        return json.dumps(plain, ensure_ascii=False).encode()

    page = issued().html.replace(b"Plain plan</h1>", b"Other plan</h1>")
    assert not verified(with_files(page, {"-figures.json": claimed}), DAY).holds


# ---------------------------------------------------------------- names of files


@pytest.mark.usefixtures("looked_here")
@pytest.mark.parametrize("name", ["PLAN.YAML", "plan", "plan.Yml", "plan.txt", "a:b.yaml", "pl an"])
def test_a_job_of_any_ending_verifies_and_so_does_its_document(name, tmp_path, capsys):
    path = put_mini(tmp_path, name=name)
    signed(path)

    assert verify_command(path, None, DAY) == 0, capsys.readouterr().err
    page = tmp_path / "made"
    page.write_bytes(paper(path).html)
    assert verify_command(page, None, DAY) == 0, capsys.readouterr().out


@pytest.mark.usefixtures("looked_here")
def test_a_document_may_have_any_name(tmp_path, capsys):
    for name, raw in (("report.yaml", mini().html), ("REPORT", mini().html)):
        (tmp_path / name).write_bytes(raw)
        assert verify_command(tmp_path / name, None, DAY) == 0, capsys.readouterr().err


def test_a_record_is_told_to_be_one(tmp_path, capsys):
    path = tmp_path / "plan.signoff.yaml"
    path.write_bytes(held(issued().html).one(".signoff.yaml")[1])
    assert verify_command(path, None, DAY) == 2
    assert "name the job file" in capsys.readouterr().err


def test_a_set_of_ones_own_of_the_same_stem_does_not_hide_the_job(tmp_path):
    (tmp_path / "plan.yml").write_text(RULES)
    path: Path = put(tmp_path, {"job": {"requirements": "plan.yml"}})
    signed(path)
    assert verified(paper(path).html, DAY).holds
