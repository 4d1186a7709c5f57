"""What a template prints: frozen blocks of finished text. Nothing here is computed further."""

from __future__ import annotations

from dataclasses import dataclass, field

from markupsafe import Markup

EMPTY = Markup("")


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell of a table: text, a smaller line under it, and a mark or small drawing before it.

    `href` is the id of the place in the document that the text leads to.
    """

    text: str = ""
    small: str = ""
    mark: Markup = EMPTY
    css: str = ""
    id: str = ""
    href: str = ""


@dataclass(frozen=True, slots=True)
class Column:
    """A column: heading with unit, width in per cent, and how its cells stand."""

    title: str
    width: str
    css: str = ""

    @property
    def sized(self) -> str:
        """The class that has its width: a page that allows no style of an element needs one.

        >>> Column("Check", "16.5%").sized
        'w16_5'
        """
        return f"w{self.width.removesuffix('%').replace('.', '_')}"


@dataclass(frozen=True, slots=True)
class Row:
    """A row; the first cell is its heading."""

    head: Cell
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A table with a caption. `css` says whether it needs a box that scrolls on a phone."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    note: str = ""
    css: str = "wide"
    template: str = "block_table.html"


@dataclass(frozen=True, slots=True)
class Para:
    """A paragraph."""

    text: str
    css: str = ""
    template: str = "block_para.html"


@dataclass(frozen=True, slots=True)
class Items:
    """A list; ordered where the order counts."""

    items: tuple[str, ...]
    css: str = ""
    template: str = "block_items.html"


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing with its title, what it shows, and the key of its numbers where it has one."""

    title: str
    text: str
    markup: Markup
    key: tuple[tuple[str, str, str], ...] = ()
    css: str = ""
    template: str = "block_figure.html"


@dataclass(frozen=True, slots=True)
class Warned:
    """A caution: signal word, with the safety alert sign where injury is possible, and text."""

    word: str
    alert: Markup
    text: str
    because: str
    css: str
    template: str = "block_caution.html"


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading inside a section."""

    text: str
    css: str = ""
    template: str = "block_heading.html"


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture of the user's own as it is printed, with its caption.

    `shows` is for those who cannot see it. `content` are the bytes of a file of the type `mime`;
    `address` is what the printer asks for them by, and says nothing about the file they came from.
    """

    title: str
    text: str
    notes: tuple[str, ...]
    shows: str
    mime: str
    content: bytes = field(repr=False)
    address: str
    template: str = "block_picture.html"


@dataclass(frozen=True, slots=True)
class Coded:
    """A code for a telephone to read, which says of itself what is in it."""

    markup: Markup
    template: str = "block_coded.html"


Block = Coded | Table | Para | Items | Figure | Warned | Heading | Picture


@dataclass(frozen=True, slots=True)
class Section:
    """A section: its number, title and blocks."""

    id: str
    number: str
    title: str
    blocks: tuple[Block, ...]
    css: str = ""


@dataclass(frozen=True, slots=True)
class Labels:
    """Our own words in the templates, in the language of the document."""

    kind: str
    contents: str
    status: str
    sheet: str
    page: str
    of: str
    digest: str
    drawing: str
    key: str
    key_title: str
    key_number: str
    key_part: str
    key_text: str
    called_for: str
    files: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the document is printed on, and in which language."""

    language: str
    paper: str


@dataclass(frozen=True, slots=True)
class View:
    """The whole document, printable strings only.

    `jobs` are the jobs in it, each by its document number and its place.
    """

    title: str
    document: str
    document_short: str
    status: str
    digest: str
    digest_short: str
    facts: tuple[tuple[str, str], ...]
    verdict: Markup
    sentence: str
    front: tuple[Block, ...]
    sections: tuple[Section, ...]
    labels: Labels
    sheet: Sheet
    notes: tuple[str, ...] = field(default=())
    jobs: tuple[tuple[str, str], ...] = field(default=())
    meta: tuple[tuple[str, str], ...] = field(default=())

    @property
    def pictures(self) -> tuple[Picture, ...]:
        """Every picture of the user's own in it."""
        blocks = (block for section in self.sections for block in section.blocks)
        return tuple(block for block in blocks if isinstance(block, Picture))
