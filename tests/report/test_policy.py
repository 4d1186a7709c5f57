"""The second wall of the HTML: a policy under which a browser runs, loads and styles nothing else.

In a real browser, with what an attacker could have got into the page.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import ClassVar

import pytest
from playwright.sync_api import Browser
from report.browser import browser, opened
from support.papers import issued

from riskdoc.report.card import build_card, card_html


def stamp(port: int) -> str:
    """What somebody would put on the page; whatever it loads comes from a port of this machine."""
    return STAMP.replace(":9/", f":{port}/")


STAMP = (
    '<div id="stamp" style="position:fixed;top:0;left:0">ALL CLEAR</div>'
    "<style>h1 { display: none }</style>"
    "<script>document.title = 'taken'</script>"
    '<img src="x" onerror="document.body.id = 1"><iframe src="data:text/html,x"></iframe>'
    '<img src="http://127.0.0.1:9/beacon.png"><link rel="stylesheet" href="data:text/css,h2{}">'
    '<form action="http://127.0.0.1:9/"><button>x</button></form>'
)
LOOK = """() => ({
  title: document.title,
  head: getComputedStyle(document.querySelector('h1')).display,
  at: document.querySelector('#stamp')
      && getComputedStyle(document.querySelector('#stamp')).position,
  column: document.querySelector('col')
      && document.querySelector('col').getBoundingClientRect().width > 0,
  font: document.fonts.check('12px "Riskdoc Sans"'),
  size: getComputedStyle(document.documentElement).fontSize,
})"""


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    with browser() as started:
        yield started


class Asked(BaseHTTPRequestHandler):
    """Writes down what is asked for."""

    paths: ClassVar[list[str]] = []

    def do_GET(self) -> None:
        self.paths.append(self.path)
        self.send_response(404)
        self.end_headers()

    def log_message(self, *_: object) -> None:
        pass


@pytest.fixture
def port() -> Iterator[int]:
    """Where somebody listens, for as long as a test takes."""
    Asked.paths.clear()
    with ThreadingHTTPServer(("127.0.0.1", 0), Asked) as server:
        Thread(target=server.serve_forever, daemon=True).start()
        yield server.server_address[1]
        server.shutdown()


@pytest.fixture
def page(tmp_path: Path):
    def write(text: str) -> Path:
        path = tmp_path / "page.html"
        path.write_text(text, "utf-8")
        return path

    return write


def test_the_document_itself_needs_nothing_that_the_policy_forbids(chromium, page):
    with opened(chromium, page(issued().html.decode()), 800) as it:
        found = it.run(LOOK)
        assert it.said == []
        assert found["font"]
        assert found["column"]
        assert found["head"] == "block"


def test_what_got_into_the_page_runs_nothing_loads_nothing_and_has_no_style(chromium, page, port):
    whole = issued().html.decode()
    forged = whole.replace("<main>", stamp(port) + "<main>", 1)
    assert forged != whole
    with opened(chromium, page(whole), 800) as it:
        genuine = it.run(LOOK)
    with opened(chromium, page(forged), 800) as it:
        found = it.run(LOOK)
        assert any("Content Security Policy" in each for each in it.said)
    assert Asked.paths == []
    assert found["title"] == genuine["title"]
    assert found["head"] == "block"
    assert found["at"] == "static"


def test_without_the_policy_it_would_do_all_of_it(chromium, page, port):
    """So the test before this one can fail."""
    whole = re.sub('<meta http-equiv="Content-Security-Policy"[^>]*>', "", issued().html.decode())
    with opened(chromium, page(whole.replace("<main>", stamp(port) + "<main>", 1)), 800) as it:
        found = it.run(LOOK)
    assert Asked.paths == ["/beacon.png"]
    assert (found["title"], found["head"], found["at"]) == ("taken", "none", "fixed")


def test_the_policy_comes_before_everything_that_it_is_for():
    whole = issued().html.decode()
    at = whole.index("Content-Security-Policy")
    assert at < min(whole.index(each) for each in ("<title", "<style", "<body"))
    assert "<script" not in whole
    assert " style=" not in whole
    assert not re.search(r"\son[a-z]+=", re.sub(r'"[^"]*"', '""', whole))


def test_a_file_inside_can_still_be_saved(chromium, page):
    with opened(chromium, page(issued().html.decode()), 800) as it:
        with it.page.expect_download() as found:
            it.page.click('a[download$="-content.json"]')
        saved = Path(found.value.path()).read_bytes()
    assert saved == issued().file("-content.json")


def test_the_card_has_the_policy_too(chromium, page):
    paper = issued()
    card = card_html(build_card(paper.whole, paper.standing), for_print=False)
    with opened(chromium, page(card), 500) as it:
        assert it.said == []
        assert it.run(LOOK)["font"]
    with opened(chromium, page(card.replace("<h1", STAMP + "<h1", 1)), 500) as it:
        found = it.run(LOOK)
    assert found["at"] == "static"
    assert found["title"] != "taken"
