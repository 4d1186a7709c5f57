"""The view as HTML: one file that needs nothing else, or the page the PDF is printed from."""

from __future__ import annotations

import base64
import re
from functools import cache
from typing import TYPE_CHECKING

import jinja2
from markupsafe import Markup

from riskdoc.report.blocks import Table
from riskdoc.report.folder import template_folder
from riskdoc.report.policy import policy
from riskdoc.report.scripts import face, face_of, used_in
from riskdoc.report.seal import NO_SEAL, sealed_html
from riskdoc.report.text import FAMILY

if TYPE_CHECKING:
    from collections.abc import Sequence

    from riskdoc.report.attachments import Attachment
    from riskdoc.report.blocks import Picture, View
    from riskdoc.signing.sign_off_state import SignOffState

PAPERS = {"A4": "A4", "Letter": "Letter"}
"""What CSS calls the papers that a job file may name; there are no others."""
FONTS = (("400", "Inter-Regular.woff2"), ("600", "Inter-SemiBold.woff2"))

_NOT_IN_CSS = re.compile(r"[^\w .,:()/–-]")


def html_file(view: View, inside: Sequence[Attachment]) -> bytes:
    """The document as an HTML file with files inside it, sealed."""
    return sealed_html(to_html(view, for_print=False, inside=inside).encode())


def to_html(view: View, *, for_print: bool, inside: Sequence[Attachment] = ()) -> str:
    """The document as HTML; `inside` are files that a reader can save out of it.

    For the screen everything is inside the file: styles, drawings and the typeface. For print
    the styles are left out, since `to_pdf` gives them to the printer from the template folder, and
    pictures stand as addresses that only our own printer answers.
    """
    faces = faces_for(repr(view), for_print=for_print)
    own = _paper(view) + _widths(view)
    style = own + faces if for_print else _style() + own + _edges(view) + faces
    sources = {each.address: each.address if for_print else _data(each) for each in view.pictures}
    files = [(each.name, each.text, _carried(each)) for each in inside]
    return template("report.html").render(
        view=view,
        style=style,
        sources=sources,
        files=files,
        seal="" if for_print else NO_SEAL,
        policy="" if for_print else policy(style),
    )


def meta(standing: SignOffState) -> tuple[tuple[str, str], ...]:
    """The status of a document for machines that read its HTML: the words of `check --json`."""
    status = standing.status
    return (
        ("riskdoc-status", status.verdict.value),
        ("riskdoc-state", status.state.value),
        ("riskdoc-digest", standing.content.digest),
        ("riskdoc-exit", "0" if status.passes else "1"),
    )


def _carried(file: Attachment) -> str:
    return f"data:{file.mime};base64,{base64.b64encode(file.content).decode('ascii')}"


def _data(picture: Picture) -> str:
    return f"data:{picture.mime};base64,{base64.b64encode(picture.content).decode('ascii')}"


def faces_for(text: str, *, for_print: bool) -> Markup:
    """Typefaces for scripts that only some documents have; for the screen with the file inside."""
    chars = set(text)
    rules = [face(each) if for_print else face_of(each, chars) for each in used_in(chars)]
    return Markup("<style>" + "\n".join(rules) + "</style>") if rules else Markup("")  # noqa: S704


def _paper(view: View) -> Markup:
    return Markup(f"<style>@page {{ size: {PAPERS[view.sheet.paper]}; }}</style>")  # noqa: S704


def _widths(view: View) -> Markup:
    """The widths of the columns of its tables."""
    blocks = (*view.front, *(block for section in view.sections for block in section.blocks))
    tables = [block for block in blocks if isinstance(block, Table)]
    widths = {column.sized: column.width for each in tables for column in each.columns}
    rules = "\n".join(f".{name} {{ width: {width}; }}" for name, width in sorted(widths.items()))
    return Markup(f"<style>{rules}</style>")  # noqa: S704  (our numbers alone)


def _edges(view: View) -> Markup:
    """Status and page at the edges of every page, for a browser that prints the file.

    Only our own words come in here: of a job nothing ever does, and as text alone.
    """
    look = f'font-family: "{FAMILY}"; font-size: 8pt;'
    words = view.labels
    page, of = (css_text(f"{each} ") for each in (words.page, f" {words.of}"))
    count = f"{page} counter(page) {of} counter(pages)"
    rules = (
        f"@page {{ @top-left {{ content: {css_text(view.status)}; {look} }} "
        f"@bottom-right {{ content: {count}; {look} }} }}"
    )
    return Markup(f"<style>{rules}</style>")  # noqa: S704


def css_text(text: str) -> str:
    r"""A text as a string of CSS in which nothing ends the string, the rule or the style.

    >>> css_text('DRAFT: 1 of 2'), css_text('"}</style>')
    ('"DRAFT: 1 of 2"', '"\\22 \\7d \\3c /style\\3e "')
    """
    return '"' + _NOT_IN_CSS.sub(lambda found: f"\\{ord(found[0]):x} ", text) + '"'


@cache
def template(name: str) -> jinja2.Template:
    """One of our templates."""
    # Every name ends in .html, yet the choice must not hang on names: text is escaped everywhere.
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(template_folder()),
        undefined=jinja2.StrictUndefined,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template(name)


def _style() -> Markup:
    return page_style("report.css", "screen.css")


@cache
def page_style(*names: str) -> Markup:
    """Our own styles and typeface, inside the file; nothing of a job's ever comes in here.

    Faces that a style names for print by address are left out: the file carries its own.
    """
    folder = template_folder()
    parts = [_face(weight, (folder / "fonts" / name).read_bytes()) for weight, name in FONTS]
    for name in names:
        text = (folder / name).read_text(encoding="utf-8")
        parts.append("\n".join(row for row in text.split("\n") if "src: url(fonts/" not in row))
    return Markup("<style>\n" + "\n".join(parts) + "</style>")  # noqa: S704  (our files only)


def _face(weight: str, font: bytes) -> str:
    data = base64.b64encode(font).decode("ascii")
    return (
        f'@font-face {{ font-family: "{FAMILY}"; font-weight: {weight}; '
        f'src: url("data:font/woff2;base64,{data}") format("woff2"); }}'
    )
