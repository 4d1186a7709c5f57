"""The view as PDF, for reading, for reading aloud and for the archive.

Every file is PDF/A-3a (ISO 19005-3) and PDF/UA-1 (ISO 14289-1) at once. Whatever the printer
complains of is a failure; it may read our fonts only, and what it is handed of pictures.
"""

from __future__ import annotations

import gc
import logging
from contextlib import contextmanager
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote, urlsplit

from riskdoc.report.errors import RenderError
from riskdoc.report.folder import template_folder
from riskdoc.report.html import to_html
from riskdoc.report.typefaces import own_typefaces, unpacked

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from riskdoc.report.attachments import Attachment
    from riskdoc.report.blocks import View

__all__ = ["STYLES", "RenderError", "allowed", "print_page", "to_pdf"]

STYLES = ("report.css", "print.css")
NONE: Mapping[str, bytes] = MappingProxyType({})
_LOGGERS = ("weasyprint", "fontTools")


def to_pdf(view: View, attachments: Sequence[Attachment] = ()) -> bytes:
    """The document as PDF bytes with files inside it, the same bytes for the same input.

    No date in it comes from a clock: the document has none, its attachments carry the day the
    assessment was made for. Raises `RenderError` where anything is missing, refused or not
    understood.
    """
    page = to_html(view, for_print=True)
    pictures = {each.address: each.content for each in view.pictures}
    return print_page(page, view.digest, attachments=attachments, pictures=pictures)


def print_page(
    page: str,
    digest: str,
    styles: tuple[str, ...] = STYLES,
    most: int | None = None,
    attachments: Sequence[Attachment] = (),
    pictures: Mapping[str, bytes] = NONE,
) -> bytes:
    """A page of HTML as PDF bytes, in our styles; its language is that of the `html` element.

    `pictures` are what the addresses of its pictures stand for; nothing else is given.

    Raises `RenderError` on any complaint, and where it takes more than `most` pages.
    """
    import weasyprint  # here and not above: half a second to load, and only a PDF needs it
    from weasyprint.text.fonts import FontConfiguration

    from riskdoc.report.archive import finished

    fetch = _fetcher(pictures)
    folder = template_folder()
    base = f"{folder.as_uri()}/"
    with _complaints() as said, _few_collections(), own_typefaces():
        fonts = FontConfiguration()
        sheets = [
            weasyprint.CSS(
                string=(folder / name).read_text(encoding="utf-8"),
                base_url=base,
                url_fetcher=fetch,
                font_config=fonts,
            )
            for name in styles
        ]
        options = {
            "stylesheets": sheets,
            # A fixed identifier: the default one is new in every run.
            "pdf_identifier": digest.encode("ascii", "replace")[-32:],
        }
        whole = weasyprint.HTML(string=page, base_url=base, url_fetcher=fetch)
        document = whole.render(font_config=fonts, **options)
        if most is not None and len(document.pages) > most:
            raise RenderError((f"it takes {len(document.pages)} pages and not {most}",))
        pdf = finished(document, attachments, **options)
    if said:
        raise RenderError(tuple(said))
    return pdf


def allowed(url: str) -> Path:
    """The file of the template folder that an address names.

    Raises ValueError for every other address, whatever its scheme.
    """
    parts = urlsplit(url)
    if parts.scheme != "file" or parts.netloc:
        raise ValueError(f"refused: {parts.scheme or 'no scheme'}")
    path = Path(unquote(parts.path)).resolve()
    fonts = template_folder().resolve() / "fonts"
    if path.parent != fonts or path.suffix != ".woff2":
        raise ValueError("refused: not a font of the template folder")
    return path


def _fetcher(pictures: Mapping[str, bytes]) -> Any:  # noqa: ANN401  (WeasyPrint ships no types)
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class Fetcher(URLFetcher):  # type: ignore[misc]  # WeasyPrint ships no types
        """Gives the pictures and the fonts of the template folder; refuses everything else."""

        def fetch(self, url: str, headers: object = None) -> Any:  # noqa: ANN401
            if url in pictures:
                return URLFetcherResponse(url, pictures[url])
            return URLFetcherResponse(url, unpacked(allowed(url)))

    return Fetcher()


class _Listener(logging.Handler):
    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.said: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.said.append(f"{record.name}: {record.getMessage()}")


@contextmanager
def _complaints() -> Iterator[list[str]]:
    """Collects what the printer logs at warning or above. It writes the file all the same."""
    listener = _Listener()
    loggers = [logging.getLogger(name) for name in _LOGGERS]
    before = [(each.propagate, each.level) for each in loggers]
    for each in loggers:
        each.addHandler(listener)
        each.propagate = False
        each.setLevel(logging.WARNING)
    try:
        yield listener.said
    finally:
        for each, (propagate, level) in zip(loggers, before, strict=True):
            each.removeHandler(listener)
            each.propagate, each.level = propagate, level


@contextmanager
def _few_collections() -> Iterator[None]:
    """Lets the collector run seldom while pages are laid out, which makes many long-lived boxes."""
    before = gc.get_threshold()
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 50, 1000)
    try:
        yield
    finally:
        gc.set_threshold(*before)
        gc.unfreeze()
