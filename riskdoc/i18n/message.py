"""Messages: a key and parts, put into words when they are printed and not before.

What is computed and judged returns messages, so it depends on no language and no units: one
assessment is printed in every language, and two are equal where they say the same. `str` of a
message is its words in the locale that is set.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from riskdoc.i18n.say import Message, inside, many, say

Text = str | Message
"""A text of a record: a message of ours, or words of the job as they were written."""


@dataclass(frozen=True, slots=True)
class Phrase(Message):
    """A text of the catalogue by its English, with its parts by name.

    `several` is the text for several, where `count` among the parts decides which is said.
    """

    key: str
    parts: tuple[tuple[str, object], ...] = ()
    several: str = ""

    def __str__(self) -> str:
        if not self.several:
            return say(self.key, **dict(self.parts))
        parts = dict(self.parts)
        count = parts.pop("count")
        if not isinstance(count, int):
            raise TypeError(f"{self.key!r} counts by a whole number, found {count!r}")
        return many(self.key, self.several, count, **parts)


@dataclass(frozen=True, slots=True)
class Filled(Message):
    """Parts in a text of signs alone, which no language changes: `{title} ({case})`."""

    form: str
    parts: tuple[tuple[str, object], ...]

    def __str__(self) -> str:
        return self.form.format_map({name: str(part) for name, part in self.parts})


@dataclass(frozen=True, slots=True)
class Joined(Message):
    """Texts one after another, with the same between each two."""

    texts: tuple[Text, ...]
    between: Text

    def __str__(self) -> str:
        return str(self.between).join(map(str, self.texts))


@dataclass(frozen=True, slots=True)
class Placed(Message):
    """A text as it stands inside a sentence, at its start, alone there, or before a full stop."""

    text: Text
    place: Literal["inside", "start", "alone", "unstopped"]

    def __str__(self) -> str:
        said = str(self.text)
        match self.place:
            case "inside":
                return inside(said)
            case "start":
                return said[:1].upper() + said[1:]
            case "alone":
                return said.capitalize()
            case "unstopped":
                return said.rstrip(".")


def message(key: str, /, **parts: object) -> Message:
    """A text of ours with its parts, to be said where it is printed.

    >>> str(message("{count} checks of {line}", count=3, line="red"))
    '3 checks of red'
    >>> message("adequate") == message("adequate"), message("adequate") == message("borderline")
    (True, False)
    """
    return Phrase(key, tuple(parts.items()))


def plural(one: str, several: str, count: int, /, **parts: object) -> Message:
    """A text for one or for several, chosen by the rule of the language; `{count}` is the number.

    >>> str(plural("{count} check", "{count} checks", 1))
    '1 check'
    """
    return Phrase(one, (("count", count), *parts.items()), several)


def filled(form: str, /, **parts: object) -> Message:
    """Parts in a text of signs alone.

    >>> str(filled("{place} ({case})", place=message("at the load"), case="hold"))
    'at the load (hold)'
    """
    return Filled(form, tuple(parts.items()))


def joined(texts: Iterable[Text], between: Text = ", ") -> Text:
    """Texts one after another; what is empty is left out.

    >>> str(joined(["red", "", "blue"], message(" and ")))
    'red and blue'
    """
    found = tuple(text for text in texts if text != "")
    if len(found) == 1:
        return found[0]
    as_written = [text for text in found if isinstance(text, str)]
    if isinstance(between, str) and len(as_written) == len(found):
        return between.join(as_written)
    return Joined(found, between)
