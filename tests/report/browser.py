"""Pages in a real browser: headless Chromium, from Debian's package."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page, sync_playwright

CHROMIUM = shutil.which("chromium")
# Without these a browser calls home at every start, and waits for an answer.
FLAGS = (
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-sandbox",
)


@contextmanager
def browser() -> Iterator[Browser]:
    """A browser of our own, closed at the end."""
    with sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield started
        started.close()


@dataclass
class Opened:
    """An open page, with what it asked for and complained of."""

    page: Page
    asked: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)

    def run(self, script: str, *given: Any) -> Any:
        return self.page.evaluate(script, *given)


@contextmanager
def opened(browser: Browser, path: Path, width: int, scheme: str = "light") -> Iterator[Opened]:
    """A file in a window of this width."""
    page = browser.new_page(viewport={"width": width, "height": 900}, color_scheme=scheme)
    it = Opened(page)
    page.on("request", lambda request: it.asked.append(request.url))
    page.on("console", lambda message: it.said.append(f"{message.type}: {message.text}"))
    page.on("pageerror", lambda error: it.said.append(str(error)))
    page.goto(path.as_uri())
    page.evaluate("() => document.fonts.ready")
    yield it
    page.close()


OVERLAPS = """() => {
  const found = [];
  for (const svg of document.querySelectorAll('svg[role=img]')) {
    const sheet = svg.getBoundingClientRect();
    const texts = [...svg.querySelectorAll('text')];
    const boxes = texts.map(each => each.getBoundingClientRect());
    boxes.forEach((a, i) => {
      if (a.left < sheet.left - 1 || a.right > sheet.right + 1 || a.top < sheet.top - 1 ||
          a.bottom > sheet.bottom + 1) found.push('outside: ' + texts[i].textContent);
      for (let j = i + 1; j < boxes.length; j++) {
        const b = boxes[j];
        const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        // Boxes of lines are as high as the typeface, a little more than its letters.
        if (wide > 0.5 && high > 0.25 * Math.min(a.height, b.height))
          found.push(texts[i].textContent + ' / ' + texts[j].textContent);
      }
    });
  }
  return found;
}"""
"""Texts of drawings that cover each other or leave their sheet."""

WRITTEN_OVER = """() => {
  const found = [], lines = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const node = walk.currentNode;
    if (!node.textContent.trim() || node.parentElement.closest('svg, style')) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const box of range.getClientRects())
      if (box.width > 0 && box.height > 0) lines.push({node, box});
  }
  lines.sort((a, b) => a.box.top - b.box.top);
  lines.forEach(({node, box: a}, i) => {
    for (let j = i + 1; j < lines.length && lines[j].box.top < a.bottom; j++) {
      const b = lines[j].box;
      const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
      const high = Math.min(a.bottom, b.bottom) - b.top;
      if (wide > 0.5 && high > 0.35 * Math.min(a.height, b.height))
        found.push(node.textContent.trim() + ' / ' + lines[j].node.textContent.trim());
    }
  });
  return found;
}"""
"""Lines of text outside drawings that are written over each other."""

CUT = """() => [...document.querySelectorAll('th, td, p, li, h1, h2, h3, dd, dt, caption')]
  .filter(each => each.scrollWidth > each.clientWidth + 1 && each.clientWidth > 0 &&
                  getComputedStyle(each).display !== 'inline')
  .map(each => each.tagName + ': ' + each.textContent.slice(0, 80))"""
"""Blocks whose text is wider than they are."""

WIDER = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
"""How far the page can be scrolled to the side, in pixels."""
