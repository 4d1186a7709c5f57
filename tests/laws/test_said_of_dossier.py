"""Whatever reaches a reader of controls, hazards, requirements and the screen is said.

The demos are put into a language that brackets every piece of our own text and leaves what is put
into it outside, so that a word of ours that was never said stands bare, wherever it came from.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest

import riskdoc.job.model as model
from riskdoc.assess.records import Assessment, Finding
from riskdoc.cli.screen import show
from riskdoc.controls.buys import Buy, Effect
from riskdoc.controls.change import Change
from riskdoc.controls.limits import Limit
from riskdoc.controls.sets import Proposal
from riskdoc.controls.study import Study
from riskdoc.hazards.records import Dropped, Listed, Register
from riskdoc.job.quantity import Quantity
from riskdoc.job.reading import JobFile, read
from riskdoc.language.collect import literals
from riskdoc.language.say import speaking
from riskdoc.requirements.dossier import Dossier, dossier
from riskdoc.requirements.records import Answered, Judged

JOBS = Path(__file__).parents[2] / "jobs"
DAYS = {
    "lighthouse": date(2027, 3, 1),
    "gorge": date(2027, 5, 1),
    "dam": date(2027, 6, 1),
    "oak": date(2027, 3, 10),
}
SETS = ("general", "gb-work-at-height", "us-rope-descent", "ca-ab-rope-access")
CLOSED = set(literals(Path(model.__file__).read_text("utf-8")))
"""Words of closed lists: a job writes them, and they are ours to say."""
UNPRINTED: Mapping[type, set[str]] = {
    # The job itself, ids, keys and enumerations; what is computed or assessed is looked at in
    # another test; sets and matrices are said where they are printed.
    Study: {"plan", "alternatives", "effort", "cheapest"},
    Buy: {"job"},
    Proposal: {"left"},
    Change: {"id", "level", "parts", "apply"},
    Effect: {"id", "subject", "title", "before", "after"},
    Limit: {"id", "kind", "subject", "unit", "set_by", "aside"},
    Register: {"matrix"},
    Listed: {"id", "harmed", "before", "after", "changed", "checks", "stops", "provenance",
             "place", "reason", "owner", "due"},
    Dropped: {"id", "reason", "place"},
    Finding: {"id", "subject", "place"},
    Judged: {"set"},
    Answered: {"item", "answer", "checks", "missing"},
}  # fmt: skip
"""Fields that hold no text of ours to be said; every other one, a new one too, is looked at."""
OURS = {"lbf"}
"""Units of clauses, which are compared in them."""


class Pieces(dict[str, str]):
    """A language in which each piece of a text stands in brackets, and what is put in does not."""

    def get(self, text: str, _default: Any = None) -> str:
        parts = re.split(r"(\{\{.*?\}\}|\{[^{}]*\})", text)
        return "".join(p if n % 2 else p and f"⟦{p}⟧" for n, p in enumerate(parts))


@pytest.fixture
def bracketed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("riskdoc.language.say.translation", lambda _language: Pieces())


def in_pieces(file: JobFile, requirements: str = "") -> JobFile:
    """The job file in that language; a language of its own, since some texts are kept by voice."""
    form = file.job.report.model_copy(update={"language": "xx"})
    about = file.job.job
    if requirements:
        about = about.model_copy(update={"requirements": requirements})
    return replace(file, job=file.job.model_copy(update={"report": form, "job": about}))


@cache
def demo(name: str) -> JobFile:
    file = read(JOBS / f"{name}.yaml", DAYS[name]).file
    assert file is not None
    return file


def of_the_job(part: Any) -> Iterator[str]:
    """What a job writes itself: ids, quantities and texts, but no word of a closed list."""
    if isinstance(part, str):
        if part not in CLOSED:
            yield part
    elif isinstance(part, Quantity):
        yield part.written
    elif isinstance(part, dict):
        yield from part
        for each in part.values():
            yield from of_the_job(each)
    elif isinstance(part, tuple):
        for each in part:
            yield from of_the_job(each)
    elif isinstance(part, model.Part):
        for name in type(part).model_fields:
            yield from of_the_job(getattr(part, name))


def words(text: str) -> list[str]:
    return re.findall(r"[A-Za-zÀ-ž]{3,}", text)


def bare(text: str, known: set[str]) -> list[str]:
    """Words outside all brackets that are neither the job's nor part of an id or a key."""
    outside = re.sub(r"⟦[^⟦⟧]*⟧", " ", text)
    outside = re.sub(r"[^\s(]+/[^\s)]+|\w+(\.[\w…*]+)+", " ", outside)
    return [word for word in words(outside) if word not in known]


def known_of(file: JobFile, plan: Assessment) -> set[str]:
    """Words that may stand bare: those of the job, and the parts of it that checks are about."""
    found = {word for text in of_the_job(file.job) for word in words(text)}
    return found | {check.subject for check in plan.checks} | OURS


def printed(value: Any, where: str) -> Iterator[tuple[str, str]]:
    """Every text of a record that is printed, with the field it stands in."""
    if isinstance(value, str):
        yield where, value
    elif isinstance(value, Mapping):
        for each in value.values():
            yield from printed(each, where)
    elif isinstance(value, tuple):
        for each in value:
            yield from printed(each, where)
    elif is_dataclass(value):
        skipped = UNPRINTED.get(type(value), set())
        for field in fields(value):
            if field.name not in skipped:
                yield from printed(
                    getattr(value, field.name), f"{type(value).__name__}.{field.name}"
                )
        for name, each in vars(type(value)).items():
            if isinstance(each, property) and name in ("planned", "most", "fewest"):
                yield f"{type(value).__name__}.{name}", getattr(value, name)


def unsaid(whole: Any, known: set[str]) -> dict[str, list[str]]:
    """What stands bare in the printed texts of records, by field, with the text it stands in."""
    found: dict[str, list[str]] = {}
    for where, text in printed(whole, ""):
        left = bare(text, known)
        if left:
            found.setdefault(where, []).append(f"{left} in {text!r}")
    return found


def looked_at(whole: Dossier) -> tuple[Any, ...]:
    return whole.study, whole.register, whole.judged


@pytest.mark.parametrize("name", DAYS)
def test_every_text_of_a_dossier_is_said(name: str, bracketed: None) -> None:
    file = in_pieces(demo(name))
    whole = dossier(file)
    known = known_of(file, whole.study.plan)
    with speaking(file.voice):
        seen = list(printed(looked_at(whole), ""))

        assert unsaid(looked_at(whole), known) == {}
    fields_seen = {where for where, text in seen if text}
    assert fields_seen >= {
        "Change.title", "Change.asks", "Limit.title", "Listed.title", "Listed.group",
        "Listed.because", "Listed.who", "Listed.how", "Listed.causes", "Listed.controls",
        "Listed.basis", "Judged.sentence", "Answered.reason",
    }  # fmt: skip
    assert len(seen) > 1000


@pytest.mark.parametrize("used", SETS)
@pytest.mark.parametrize("name", DAYS)
def test_every_text_of_each_set_is_said(name: str, used: str, bracketed: None) -> None:
    from riskdoc.requirements.dossier import brief_dossier

    file = in_pieces(demo(name), used)
    plan, judged, register = brief_dossier(file)

    assert judged.set.id == used
    assert len(judged.answers) > 5
    assert unsaid((judged, register), known_of(file, plan)) == {}


@pytest.mark.parametrize("name", DAYS)
def test_every_line_of_the_screen_is_said(
    name: str, bracketed: None, capsys: pytest.CaptureFixture[str]
) -> None:
    file = in_pieces(demo(name))
    whole = dossier(file)
    plan = whole.study.plan
    show(plan, whole.judged, whole.register, whole.study, everything=True)
    show(plan, whole.judged, whole.register, everything=False)
    lines = capsys.readouterr().out

    assert lines.count("⟦") > 300
    assert bare(lines, known_of(file, plan)) == []
