"""A language in which every text of ours stands in brackets, so that what is not said shows."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

from riskdoc.job.reading import JobFile

OPEN, CLOSE = "«", "»"


class Bracketed(dict[str, str]):
    """A translation of everything into itself, in brackets."""

    def get(self, text: str, _default: Any = None) -> str:
        return f"{OPEN}{text}{CLOSE}"


def in_brackets(monkeypatch: Any, file: JobFile) -> JobFile:
    """The job file in the bracketed language."""
    monkeypatch.setattr("riskdoc.language.say.translation", lambda _language: Bracketed())
    form = file.job.report.model_copy(update={"language": "de"})
    return replace(file, job=file.job.model_copy(update={"report": form}))


def unsaid(text: str) -> str:
    """What of a text stands outside all brackets."""
    inner = re.compile(rf"{OPEN}[^{OPEN}{CLOSE}]*{CLOSE}")
    while inner.search(text):
        text = inner.sub(" ", text)
    return text


def words_of(value: Any) -> Iterator[str]:
    """Every text inside a record, however deep."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, each in value.items():
            yield from words_of(key)
            yield from words_of(each)
    elif isinstance(value, (tuple, list, set, frozenset)):
        for each in value:
            yield from words_of(each)
    elif is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            yield from words_of(getattr(value, field.name))
    elif hasattr(value, "model_fields"):
        for name in type(value).model_fields:
            yield from words_of(getattr(value, name))


def left_over(text: str, of_the_job: set[str]) -> set[str]:
    """Words of three letters and more outside the brackets that the job does not have either."""
    found = re.findall(r"[A-Za-zÀ-ž][A-Za-zÀ-ž'’]{2,}", unsaid(text))
    return {word for word in found if word.lower() not in of_the_job}


def job_words(file: JobFile) -> set[str]:
    """Every word that the job file writes, ids and keys among them."""
    return {word.lower() for word in re.findall(r"[A-Za-zÀ-ž'’]{2,}", file.text)}
