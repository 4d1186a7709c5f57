"""Says a text in the language, and an amount in the units, of the report that is being made."""

from __future__ import annotations

import unicodedata
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

Language = Literal["en", "de"]
System = Literal["metric", "us", "both"]

SOURCE: Language = "en"
"""The language of the texts as they stand in the code and the tables."""
ISOLATES = "\u2068\u2069"
"""Marks that keep a text of another direction from turning what is around it (UAX 9)."""
RTL = {"R", "AL"}
FOLDER = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class Locale:
    """What texts are said in: a language and a system of units."""

    language: Language = SOURCE
    units: System = "metric"


_voice: ContextVar[Locale] = ContextVar("voice", default=Locale())  # noqa: B039  (frozen)


def voice() -> Locale:
    """The voice that is speaking now."""
    return _voice.get()


@contextmanager
def speaking(voice: Locale) -> Iterator[None]:
    """Everything said inside is said in this voice.

    >>> with speaking(Locale("de")):
    ...     say("adequate")
    'ausreichend'
    """
    token = _voice.set(voice)
    try:
        yield
    finally:
        _voice.reset(token)


def say(text: str, /, **parts: object) -> str:
    """A text in the language that is speaking, with its parts put in by name.

    Only our own texts go in here; what a job says is a part, and stands as it was written. A text
    that the translation does not have is said in English rather than not at all.

    >>> say("{count} checks of {line}", count=3, line="red")
    '3 checks of red'
    """
    found = _translated(text)
    return found.format(**{name: _apart(each) for name, each in parts.items()}) if parts else found


def _apart(part: object) -> object:
    """A part that runs from right to left, set apart so that it turns nothing around it."""
    if not isinstance(part, str) or part.isascii():
        return part
    if any(unicodedata.bidirectional(char) in RTL for char in part):
        return f"{ISOLATES[0]}{part}{ISOLATES[1]}"
    return part


def many(one: str, more: str, count: int, /, **parts: object) -> str:
    """A text for one or for several, chosen by the rule of the language; `{count}` is the number.

    >>> many("{count} check", "{count} checks", 1), many("{count} check", "{count} checks", 0)
    ('1 check', '0 checks')
    """
    # English and German both take the singular for one alone.
    return say(one if count == 1 else more, count=count, **parts)


def mark(text: str, /) -> str:
    """Marks a text that is said later, so that it is found for translation.

    >>> mark("as written")
    'as written'
    """
    return text


def inside(title: str, /) -> str:
    """A title that was said, as it stands inside a sentence: small in English, as it is elsewhere.

    >>> inside("Abrasion exposure")
    'abrasion exposure'
    """
    return title.lower() if _voice.get().language == "en" else title


def _translated(text: str) -> str:
    language = _voice.get().language
    return text if language == SOURCE else translation(language).get(text, text)


@cache
def translation(language: Language) -> Mapping[str, str]:
    """Every text of a translation, by its English."""
    import polib  # noqa: PLC0415  (only a report in another language needs it)

    entries = polib.pofile(str(FOLDER / f"{language}.po"), encoding="utf-8")
    return {each.msgid: each.msgstr for each in entries if each.msgstr and not each.fuzzy}
