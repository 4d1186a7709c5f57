"""Says a text in the language, and an amount in the units, of the report that is being made."""

from __future__ import annotations

import gettext
import io
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


class Message:
    """Words that are put together when they are printed: `str` of it is in the locale then set."""

    __slots__ = ()

    def __str__(self) -> str:
        raise NotImplementedError


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
    # The entry without a text is the head of a catalogue.
    return _filled(_translation().gettext(text) if text else "", parts)


def _filled(text: str, parts: Mapping[str, object]) -> str:
    return text.format(**{name: _apart(each) for name, each in parts.items()}) if parts else text


def _apart(part: object) -> object:
    """A part that runs from right to left, set apart so that it turns nothing around it."""
    if isinstance(part, Message):
        part = str(part)
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
    return _filled(_translation().ngettext(one, more, count), {"count": count, **parts})


def mark(text: str, /) -> str:
    """Marks a text that is said later, so that it is found for translation.

    >>> mark("as written")
    'as written'
    """
    return text


def inside(title: str | Message, /) -> str:
    """A title that was said, as it stands inside a sentence: small in English, as it is elsewhere.

    >>> inside("Abrasion exposure")
    'abrasion exposure'
    """
    said = str(title)
    return said.lower() if _voice.get().language == "en" else said


def english(text: str | Message, /) -> str:
    """A text in the language of the code, for what must be the same in every language."""
    with speaking(Locale()):
        return str(text)


def _translation() -> gettext.NullTranslations:
    return translation(_voice.get().language)


@cache
def translation(language: Language) -> gettext.NullTranslations:
    """The translation into a language: what it does not have comes back in English."""
    if language == SOURCE:
        return gettext.NullTranslations()
    import polib  # noqa: PLC0415  (only a report in another language needs it)

    # Entries without a translation, and those that nobody has confirmed, are not compiled.
    file = polib.pofile(str(FOLDER / f"{language}.po"), encoding="utf-8")
    return gettext.GNUTranslations(io.BytesIO(file.to_binary()))
