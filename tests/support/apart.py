"""A language that keeps our words and the job's apart, so that what is not said shows.

Every text comes back with its words in brackets and its parts outside them. What is left outside
all brackets is what was put in: names and quantities of the job, or words that nobody said.
"""

from __future__ import annotations

import gettext
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from string import Formatter
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel

from riskdoc.i18n.message import Phrase
from riskdoc.i18n.say import translation
from riskdoc.job.reading import JobFile
from riskdoc.quantities.quantity import Quantity

LANGUAGE = "xx"
OPEN, CLOSE = "⟦", "⟧"
INSIDE = re.compile(f"{OPEN}[^{OPEN}{CLOSE}]*{CLOSE}")
ID = re.compile(r"\S+/\S+|\S+\.yaml:\d+:\d+|[a-z_0-9]+(?:(?:\.|\.…\.)[a-z_0-9]+|\[\d+\])+")
"""Ids of figures, rows of tables and places; keys of the job file."""
LINES = re.compile("people.….supervises: true|rescue.by: emergency services")
"""Lines of a job file, which stand as they are to be written."""
WORD = re.compile("[A-Za-zÀ-ɏ]{2,}")
UNITS = {"kN", "mm", "kg", "min", "deg", "degC", "kPa", "rad", "arcsin", "arccos", "arctan"}
"""Units and names of functions, which are the same in every language."""


class Apart(gettext.NullTranslations):
    """Translates everything into itself in brackets, and keeps what it was asked for."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: set[str] = set()

    def gettext(self, message: str) -> str:
        self.asked.add(message)
        return apart(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)

    def made(
        self, key: str, parts: tuple[tuple[str, object], ...] = (), several: str = ""
    ) -> Phrase:
        """A message, which is asked for when it is made: which of them are printed is chosen."""
        self.asked.add(several if several and dict(parts)["count"] != 1 else key)
        return Phrase(key, parts, several)


def apart(text: str) -> str:
    """A text in brackets, its places for parts outside them.

    >>> apart("{count} checks of {line}")
    '{count}⟦ checks of ⟧{line}'
    """
    whole = ""
    for words, name, form, conversion in Formatter().parse(text):
        whole += f"{OPEN}{words}{CLOSE}" if words else ""
        if name is not None:
            whole += "{" + name + (f"!{conversion}" if conversion else "")
            whole += (f":{form}" if form else "") + "}"
    return whole


@contextmanager
def kept_apart(monkeypatch: Any) -> Iterator[Apart]:
    """Within it texts in the language `xx` are kept apart."""
    own = Apart()
    with monkeypatch.context() as patch:
        patch.setattr(
            "riskdoc.i18n.say.translation",
            lambda language: own if language == LANGUAGE else translation(language),
        )
        patch.setattr("riskdoc.i18n.message.Phrase", own.made)
        yield own


def in_it(file: JobFile) -> JobFile:
    """The job file in that language."""
    form = file.job.report.model_copy(update={"language": LANGUAGE})
    return replace(file, job=file.job.model_copy(update={"report": form}))


def left_over(text: str, known: set[str] | frozenset[str] = frozenset()) -> set[str]:
    """Words outside all brackets that are neither ids, nor keys, nor units, nor known.

    >>> left_over("⟦Slide, ⟧sawing⟦ at ⟧coping, line/red/margin, 3 kN", {"coping"})
    {'sawing'}
    """
    outside = ID.sub(" ", LINES.sub(" ", INSIDE.sub(" ", text)))
    return set(WORD.findall(outside)) - UNITS - known


def words_of_the_job(file: JobFile) -> set[str]:
    """Words that the job's people chose: ids, names, free texts, quantities as written.

    Not keys, and not words of closed lists: those are ours, and are said.
    """
    return {word for text in _texts(file.job) for word in WORD.findall(text)}


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, BaseModel):
        for name, field in type(value).model_fields.items():
            if not _closed(field.annotation):
                yield from _texts(getattr(value, name))
    elif isinstance(value, dict):
        for id, part in value.items():
            yield id
            yield from _texts(part)
    elif isinstance(value, tuple):
        for part in value:
            yield from _texts(part)
    elif isinstance(value, Quantity):
        yield value.written
    elif isinstance(value, str):
        yield value


def _closed(annotation: Any) -> bool:
    """Whether a field takes words of a closed list."""
    inner = get_args(annotation)
    return get_origin(annotation) is Literal or any(_closed(each) for each in inner)
