"""Faults as values: what was found, what would do, where, and a code that has a page.

A code is a letter for the group and two digits: F file, Y YAML, K keys, V values,
R references, C consistency, P pictures, W warnings. A code never changes its meaning; its page in
`faults.yaml` is what `explain` prints.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from pathlib import Path

import yaml

from riskdoc.quantities.quantity import Place

PAGES = Path(__file__).with_name("faults.yaml")


class Severity(StrEnum):
    """A fault stops the run; a warning is told and carried into the report."""

    FAULT = "fault"
    WARNING = "warning"


class Code(StrEnum):
    """Every code there is, in the order of its pages."""

    NO_FILE = "F01"
    NOT_A_FILE = "F02"
    UNREADABLE = "F03"
    TOO_LARGE = "F04"
    NOT_UTF8 = "F05"
    EMPTY_FILE = "F06"
    NOT_YAML = "Y01"
    CONTROL_CHARACTER = "Y02"
    ANCHOR_OR_ALIAS = "Y03"
    TAG = "Y04"
    TOO_DEEP = "Y05"
    TOO_MANY_PARTS = "Y06"
    SECOND_DOCUMENT = "Y07"
    MERGE_KEY = "Y08"
    NOT_A_JOB = "Y09"
    UNKNOWN_KEY = "K01"
    MISSING_KEY = "K02"
    DUPLICATE_KEY = "K03"
    BAD_KEY = "K04"
    BAD_ID = "K05"
    NONE_AND_MORE = "K06"
    NO_REASON = "K07"
    MISSING_VALUE = "V01"
    WRONG_SHAPE = "V02"
    UNKNOWN_WORD = "V03"
    BAD_TEXT = "V04"
    NOT_A_QUANTITY = "V05"
    DECIMAL_COMMA = "V06"
    NO_UNIT = "V07"
    UNKNOWN_UNIT = "V08"
    WRONG_UNIT = "V09"
    UNIT_TWICE = "V10"
    RANGE_ORDER = "V11"
    OUT_OF_BOUNDS = "V12"
    NOT_PLAUSIBLE = "V13"
    NOT_A_COUNT = "V14"
    NOT_A_DATE = "V15"
    NOT_A_FLAG = "V16"
    WRONG_NUMBER_OF_ENTRIES = "V17"
    DANGLING = "R01"
    NO_SUCH_KEY = "R02"
    VALID_ORDER = "C01"
    ROPE_TOO_SHORT = "C03"
    LEG_GEOMETRY_UNUSED = "C04"
    LEG_ANGLE_MISSING = "C05"
    LEG_ANGLES_ZERO = "C06"
    LEG_DIRECTION_MISSING = "C07"
    LEG_SHARING_MISSING = "C08"
    NO_SITE = "C09"
    EDGE_TWICE = "C10"
    PROTECTOR_INCOMPLETE = "C11"
    ROPE_DATES = "C12"
    DATE_TOO_LATE = "C13"
    HAUL_WITHOUT_RAISE = "C14"
    CASE_TWICE = "C15"
    DEVICE_RANGE = "C16"
    SLIP_UNDER_WEIGHT = "C17"
    REDIRECT_TOO_FAR = "C18"
    ROPE_SHARED = "C19"
    NOBODY_CLIMBS = "C20"
    PEAK_TOO_LOW = "C21"
    TOO_FEW_NAMED = "C22"
    NO_SET_FILE = "C23"
    ACCEPTED_TOO_SHORT = "C24"
    NO_EARLIER = "C25"
    ROLE_TWICE = "C26"
    LEG_MISSING = "C30"
    SHARING_UNUSED = "C31"
    MODULUS_MISSING = "C32"
    WET_AT_DRY_SITE = "C47"
    LONGER_THAN_DROP = "C50"
    CLEAR_NOT_THERE = "C51"
    BELOW_THE_LOWEST = "C52"
    CLEAR_ABOVE_DROP = "C53"
    FALL_FACTOR = "C54"
    SAFETY_WITHOUT_FALL = "C55"
    PEAK_TOO_HIGH = "C56"
    SINGLE_OF_SEVERAL = "C57"
    NAMED_TWICE = "C40"
    SAME_PERSON = "C41"
    CONTACT_AFTER_GROUND = "C42"
    DAY_TOO_LONG = "C43"
    STOP_ABOVE_LIMIT = "C44"
    ROPE_OFF_STANDARD = "C45"
    UNUSED_EDGE_OR_LOAD = "C46"
    NO_PICTURE = "P01"
    PICTURE_OUTSIDE = "P02"
    PICTURE_UNREADABLE = "P03"
    PICTURE_TOO_LARGE = "P04"
    NOT_A_PICTURE = "P05"
    PICTURE_BROKEN = "P06"
    UNUSED_PROTECTOR = "W01"
    UNUSED_PART = "W02"
    PASSES_WITHOUT_REACH = "W03"
    LIGHT_PEOPLE = "W04"
    DATE_AHEAD = "W05"
    VALID_PAST = "W06"


class Refused(ValueError):  # noqa: N818  # it is a refusal of input and no error of the program
    """A value a field cannot take: code, what was found, what would do. The reader adds where."""

    def __init__(self, code: Code, message: str, tip: str) -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.tip = tip


@dataclass(frozen=True, slots=True)
class Fault:
    """One mistake, told once.

    >>> print(Fault(Code.UNKNOWN_KEY, Place("job.yaml", 7, 5), "edges.lip",
    ...             "unknown key 'fricton'", "Did you mean 'friction'?"))
    job.yaml:7:5: K01 edges.lip: unknown key 'fricton'. Did you mean 'friction'?
    """

    code: Code
    place: Place
    where: str
    message: str
    tip: str
    severity: Severity = Severity.FAULT

    def __post_init__(self) -> None:
        # Messages quote foreign text; wherever it came in, nothing of it may move a cursor.
        for name in ("message", "tip"):
            object.__setattr__(self, name, _printable(getattr(self, name)))

    def __str__(self) -> str:
        return f"{self.place}: {self.code} {self.where}: {self.message}. {self.tip}"

    @property
    def order(self) -> tuple[int, int, str]:
        """Sort key: down the file, then by code; equal ones keep the order they were found in."""
        return self.place.line, self.place.column, self.code


def shown(text: str, limit: int = 60) -> str:
    r"""Foreign text made safe to print: quoted, cut, and without anything that moves a cursor.

    >>> shown("0,35"), shown(chr(27) + "[2J")
    ("'0,35'", "'\\x1b[2J'")
    """
    cut = text if len(text) <= limit else text[: limit - 1] + "…"
    return f"'{_printable(cut)}'"


def _printable(text: str) -> str:
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)


def nearest(word: str, choices: list[str] | tuple[str, ...], close: float = 0.6) -> str | None:
    """The nearest spelling among the choices, to suggest and never to use.

    `close` is how like it must be, 0 to 1: words with a meaning of their own ask for more than
    keys do, or `stamped` would be answered with `tested`.

    >>> nearest("fricton", ["friction", "radius"])
    'friction'
    """
    plain = {_plain(choice): choice for choice in reversed(choices)}
    found = difflib.get_close_matches(_plain(word), plain, n=1, cutoff=close)
    return plain[found[0]] if found else None


def _plain(word: str) -> str:
    # Long words are cut: difflib takes time with the square of the length.
    return word[:80].casefold().replace("_", " ").replace("-", " ").strip()


class NoSuchCodeError(LookupError):
    """There is no fault code of this name; the text says which one may have been meant."""


def explain(code: str) -> str:
    """The page of a code. Raises `NoSuchCodeError` with the nearest codes where there is none.

    >>> print(explain("v06").splitlines()[0])
    V06: A comma where the decimal point belongs
    """
    pages = _pages()
    wanted = code.strip().upper()
    if wanted not in pages:
        near = difflib.get_close_matches(wanted, list(pages), n=3, cutoff=0.5)
        hint = f"Did you mean {' or '.join(near)}?" if near else f"Codes: {', '.join(pages)}."
        raise NoSuchCodeError(f"There is no code {shown(code)}. {hint}")
    page = pages[wanted]
    wrong, right = (_indented(page[part]) for part in ("wrong", "right"))
    return "\n".join(
        [f"{wanted}: {page['title']}", "", page["means"].strip(), "", "Wrong:", wrong,
         "Right:", right]
    )  # fmt: skip


def _indented(text: str) -> str:
    return "\n".join(f"    {line}" for line in text.strip("\n").splitlines()) + "\n"


@cache
def _pages() -> dict[str, dict[str, str]]:
    loaded: dict[str, dict[str, str]] = yaml.safe_load(PAGES.read_text("utf-8"))
    return loaded
