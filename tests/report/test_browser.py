"""The HTML in a real browser, at the width of a phone, a tablet and a desk."""

from __future__ import annotations

import io
import itertools
import shutil
import subprocess
from collections.abc import Iterator
from importlib import resources
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Browser
from report.browser import CUT, OVERLAPS, WIDER, WRITTEN_OVER, browser, opened
from report.made import NAMES, made_of

from riskdoc.judgement.verdicts import Verdict
from riskdoc.report.marks import chip

WIDTHS = (360, 800, 1600)
AXE = resources.files("axe_playwright_python").joinpath("axe.min.js").read_text("utf-8")
VNU = Path(__file__).parents[2] / ".venv/node/node_modules/vnu-jar/build/dist/vnu.jar"


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as started:
        yield started


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("pages")
    found = {}
    for name in NAMES:
        found[name] = folder / f"{name}.html"
        found[name].write_text(made_of(name).html, encoding="utf-8")
    return found


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_scrolled_for_covered_cut_or_fetched(chromium, files, name, width):
    with opened(chromium, files[name], width) as it:
        assert it.run(WIDER) == 0
        assert it.run(OVERLAPS) == []
        assert it.run(WRITTEN_OVER) == []
        assert it.run(CUT) == []
        assert it.said == []
        assert [url for url in it.asked if not url.startswith(("file:", "data:"))] == []
        assert it.run("() => document.querySelectorAll('svg[role=img]').length") > 0


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", ["lighthouse", "bare"])
def test_an_accessibility_checker_finds_nothing(chromium, files, name, scheme):
    with opened(chromium, files[name], 800, scheme) as it:
        it.run(AXE)
        result = it.run("() => axe.run(document, {resultTypes: ['violations']})")
        found = [(each["id"], each["nodes"][0]["html"][:200]) for each in result["violations"]]

    assert len(result["passes"]) > 20
    assert found == []


def test_the_checks_in_the_browser_can_fail(chromium, tmp_path):
    bad = tmp_path / "bad.html"
    bad.write_text(
        "<!DOCTYPE html><html><body><div style='width:3000px'>x</div><img src='http://127.0.0.1:9/x'>"
        "<svg role=img width=100 height=20><text y=15>one one</text><text y=15>two</text></svg>"
        "<p style='width:10px'>wwwwwwwwwwwwwwwwww</p><script>console.error('no')</script>"
        "<p style='height:1px; margin:0'>over</p><p style='margin:0'>under</p>"
    )
    with opened(chromium, bad, 360) as it:
        it.run(AXE)
        result = it.run("() => axe.run(document)")

        assert it.run(WIDER) > 0
        assert it.run(OVERLAPS) != []
        assert it.run(WRITTEN_OVER) == ["over / under"]
        assert it.run(CUT) != []
        assert it.said != []
        assert [url for url in it.asked if url.startswith("http:")]
        assert result["violations"]


def test_keys_alone_reach_every_part(chromium, files):
    """Tab goes to the contents and to every box that scrolls, and Enter follows a link."""
    with opened(chromium, files["lighthouse"], 800) as it:
        reached = set()
        for _ in range(30):
            it.page.keyboard.press("Tab")
            reached.add(it.run("() => document.activeElement.tagName"))
        it.page.focus("nav a[href='#workings']")
        it.page.keyboard.press("Enter")

        assert {"A", "DIV"} <= reached
        assert it.page.url.endswith("#workings")


def test_a_figure_leads_to_its_working_and_back(chromium, files):
    with opened(chromium, files["lighthouse"], 1600) as it:
        forward = it.run("() => [...document.querySelectorAll('th a')].map(a => a.hash)")
        missing = it.run(
            "links => links.filter(each => !document.getElementById(each.slice(1)))", forward
        )
        assert len([each for each in forward if each.startswith("#working:")]) > 20
        assert len([each for each in forward if each.startswith("#used:")]) > 20
        assert missing == []


def test_in_grey_every_verdict_has_a_shape_of_its_own(chromium, tmp_path):
    """Without colour the four marks still differ, and each stands beside its word."""
    page = tmp_path / "marks.html"
    marks = "".join(f"<p id={v.name}>{chip(v)}</p>" for v in Verdict)
    style = "svg { width: 96px; height: 96px } html { filter: grayscale(1) }"
    page.write_text(f"<!DOCTYPE html><meta charset=utf-8><style>{style}</style>{marks}", "utf-8")
    with opened(chromium, page, 800) as it:
        shots = {
            v: Image.open(io.BytesIO(it.page.locator(f"#{v.name} svg").screenshot())).convert("L")
            for v in Verdict
        }
        words = {v: it.page.locator(f"#{v.name}").inner_text().strip() for v in Verdict}

    assert words == {v: v.value for v in Verdict}
    for one, other in itertools.combinations(Verdict, 2):
        pair = zip(shots[one].tobytes(), shots[other].tobytes(), strict=True)
        differing = sum(abs(a - b) > 64 for a, b in pair) / (96 * 96)
        assert differing > 0.1, (one, other, differing)


def test_dark_is_dark_and_print_is_not(chromium, files):
    ground = "() => getComputedStyle(document.documentElement).backgroundColor"
    with opened(chromium, files["bare"], 800, "dark") as it:
        assert it.run(ground) == "rgb(20, 20, 20)"
        it.page.emulate_media(media="print", color_scheme="dark")
        assert it.run(ground) == "rgb(255, 255, 255)"


@pytest.mark.skipif(not shutil.which("java") or not VNU.exists(), reason="no Java, or no checker")
def test_the_html_checker_finds_nothing(files, tmp_path):
    bad = tmp_path / "bad.html"
    bad.write_text("<!DOCTYPE html><html><body><p id=a><p id=a></body></html>")
    found = [
        subprocess.run(
            ["java", "-jar", str(VNU), "--format", "gnu", *map(str, paths)],
            capture_output=True, text=True, check=False,
        ).stderr
        for paths in ([bad], files.values())
    ]  # fmt: skip

    assert "Duplicate ID" in found[0]
    # The checker hashes a style by other bytes than a browser does, and knows no image from `data:`
    # under a policy; the browser says nothing of either above, and is asked in `test_policy`.
    told = [each for each in found[1].splitlines() if "Content Security Policy" not in each]
    assert told == []
