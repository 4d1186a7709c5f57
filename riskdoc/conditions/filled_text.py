"""Texts with words in braces: what a word stands for, and how it is printed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from riskdoc.conditions.anchoring import Per, attached
from riskdoc.conditions.condition import Selected, chosen
from riskdoc.conditions.job_values import printed
from riskdoc.conditions.parts import Part
from riskdoc.conditions.plan import Asked
from riskdoc.conditions.vocabulary import Many, Template, Words
from riskdoc.i18n.say import say
from riskdoc.quantities.printing import amount


class Word(Words):
    """What a word of a text stands for: one of these, with how several are put together.

    `keys` are values of the job file, `names` and `count` parts of it, `entries` how many a list
    has, `figure` the high end of one that was computed, `attached` the people at an anchor, `plain`
    a day of a clause, `say` a text of its own.
    """

    keys: Many = ()
    names: Selected | None = None
    count: Selected | None = None
    entries: str = ""
    figure: str = ""
    attached: Per | None = None
    say: Template = ""
    only: Many = ()
    but: Many = ()
    plain: date | None = None
    first: bool = False
    last: bool = False
    once: bool = False
    in_order: bool = False
    joined: Literal["comma", "and"] = "comma"


def _word(raw: object) -> object:
    return {"keys": raw} if isinstance(raw, str) else raw


With = Mapping[str, Annotated[Word, BeforeValidator(_word)]]
"""Words of a text by name; a plain value is the key of the job file that it prints."""
WITH: Any = Field(default={}, alias="with")


def put(ask: Asked, text: str, part: Part, words: With, **more: object) -> str:
    """A text with the words of its part, those defined beside it, and those handed in."""
    found: dict[str, object] = {**part.words, **more}
    for name, word in words.items():
        found[name] = _valued(ask, word, part, found)
    return ask.said(text, **found)


def _valued(ask: Asked, word: Word, part: Part, found: Mapping[str, object]) -> object:
    if word.say:
        return ask.said(word.say, **found)
    if word.names is not None:
        return _joined(word, ((each.id, each.id) for each in chosen(ask, word.names, part)))
    number = _counted(ask, word, part)
    if number is not None:
        return number
    return _joined(word, (each for key in word.keys for each in printed(ask.job, part, key)))


def _counted(ask: Asked, word: Word, part: Part) -> object | None:
    """A number or a day that a word stands for; None where it stands for texts."""
    if word.attached is not None:
        return attached(ask, part.id, word.attached)
    if word.count is not None:
        return sum(1 for _ in chosen(ask, word.count, part))
    if word.entries:
        return len(list(printed(ask.job, part, word.entries)))
    if word.figure:
        figure = ask.plan.figure(word.figure.format(**part.words))
        return "" if figure is None else amount(figure.shown.high, figure.unit, "up")
    return word.plain


def _joined(word: Word, entries: Iterable[tuple[str, str]]) -> str:
    """Entries as printed, put together; what chooses and orders them is how they are written."""
    found = [
        each for each in entries
        if (not word.only or each[0] in word.only) and each[0] not in word.but
    ]  # fmt: skip
    if word.once:
        found = list(dict.fromkeys(found))
    if word.in_order:
        found.sort()
    if word.first or word.last:
        found = found[:1] if word.first else found[-1:]
    join = say(" and ") if word.joined == "and" else ", "
    return join.join(text for _, text in found)
