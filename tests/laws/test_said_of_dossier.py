"""Whatever reaches a reader of a report, a card, a screen or a comparison is said.

The demos are put into a language that brackets every piece of our own text and leaves what is put
into it outside, so that a word of ours that was never said stands bare, wherever it came from.
"""

from __future__ import annotations

import io
import re
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis.strategies import floats, sampled_from
from markupsafe import Markup
from practice.test_writing import PLANS, file_of
from support.apart import (
    CLOSE,
    OPEN,
    WORD,
    Apart,
    in_it,
    kept_apart,
    left_over,
    words_of_the_job,
)
from support.demos import DAYS, JOBS, SAID
from support.plan import assessed

import riskdoc.job.model as model
from riskdoc.cli.screen import show, show_comparison
from riskdoc.hazards.rated import Dropped, Listed, Register
from riskdoc.i18n.collect import literals, texts
from riskdoc.i18n.say import ISOLATES, Locale, Message, say, speaking
from riskdoc.job.reading import JobFile, read, read_text
from riskdoc.judgement.assess import assess
from riskdoc.judgement.verdicts import Assessment, Finding
from riskdoc.mitigation.change import Change
from riskdoc.mitigation.combinations import Package
from riskdoc.mitigation.compare import Comparison, compare, ways_of
from riskdoc.mitigation.effects import Effect, Result, applicable
from riskdoc.mitigation.job_edits import Write
from riskdoc.mitigation.limits import Limit, limit_parameters, limits
from riskdoc.mitigation.study import Study
from riskdoc.mitigation.variants import Variants
from riskdoc.quantities.printing import exact, unit_of
from riskdoc.quantities.quantity import Quantity
from riskdoc.report.blocks import View
from riskdoc.report.card import Card, build_card
from riskdoc.report.view import build
from riskdoc.report.workbook import to_xlsx
from riskdoc.requirements.dossier import Brief, Dossier, brief_dossier, dossier
from riskdoc.requirements.items import Answered, Judged
from riskdoc.signing.content import content_of
from riskdoc.signing.sign_off_state import stand

SETS = ("general", "gb-work-at-height", "us-rope-descent", "ca-ab-rope-access")
CLOSED = set(literals(Path(model.__file__).read_text("utf-8")))
"""Words of closed lists: a job writes them, and they are ours to say."""
UNPRINTED: Mapping[type, set[str]] = {
    # The job itself, ids, keys and enumerations; what is computed or assessed is looked at in
    # another test; sets and matrices are said where they are printed. Rows of the tables are for
    # what is signed.
    Study: {"plan", "alternatives", "effort"},
    Result: {"job"},
    Package: {"job", "mended", "left", "bounded", "missing"},
    Write: {"key", "value"},
    Change: {"id", "level", "parts", "apply"},
    Effect: {"id", "subject", "title", "before", "after"},
    Limit: {"id", "kind", "subject", "unit", "set_by", "aside"},
    Register: {"matrix", "rows"},
    Listed: {"id", "harmed", "before", "after", "changed", "checks", "stops", "provenance",
             "place", "reason", "owner", "due"},
    Dropped: {"id", "reason", "place"},
    Finding: {"id", "subject", "place"},
    Judged: {"set", "rows"},
    Answered: {"item", "answer", "checks", "missing"},
}  # fmt: skip
"""Fields that hold no text of ours to be said; every other one, a new one too, is looked at."""
OURS = {"kN", "mm", "kg", "lbf"}
"""Units, those of clauses among them."""
SYMBOLS = re.compile(r"[=·√]|\(\S+( \S+)?\)$")
"""Equations, and the symbol behind the title of an input, stand in every language."""
NO_WORDS = {"css", "template", "id", "href", "width", "digest", "address", "meta"}
"""Fields of a page that hold no words to read."""
NAMES = {"riskdoc", "compare", "kJ", "ltr", "people", "rescue", "signoff", "controls", "how", "set"}
# What is to be written into a job file stands as it is written, words of closed lists too.
KEYS = re.compile(
    r"[a-z]+(?:\.(?:\*|[a-z_]+)|\[\d+\])+(?:: moving)?|sha256 [0-9a-f]+"
    r"|[^,⟧]*\u00a0[SD]\d+[†‡]?|^xx$|\{[a-z_]+: [^⟦]*\}"
)


@pytest.fixture
def bracketed(monkeypatch: pytest.MonkeyPatch) -> Iterator[Apart]:
    monkeypatch.setattr("riskdoc.cli.screen.columns", lambda: 10_000)  # no id is broken in two
    with kept_apart(monkeypatch) as voice:
        yield voice


def by_set(file: JobFile, used: str, method: str) -> JobFile:
    """The job by another requirement set, its work stated to be of a kind that the set reaches."""
    about = file.job.job.model_copy(update={"requirements": used})
    work = file.job.work
    assert work is not None
    work = work.model_copy(update={"method": method})
    return replace(file, job=file.job.model_copy(update={"job": about, "work": work}))


@cache
def demo(name: str) -> JobFile:
    file = read(JOBS / f"{name}.yaml", DAYS[name]).file
    assert file is not None
    return file


@dataclass(frozen=True)
class Printed:
    """A demo in that language, what is printed of it, and what was asked for; it takes seconds."""

    whole: Dossier
    view: View
    card: Card
    asked: frozenset[str]


@cache
def in_brackets(name: str) -> Printed:
    file = replace(demo(name), name=f"{name}.yaml")  # as a document of its folder names it
    with pytest.MonkeyPatch.context() as patch, kept_apart(patch) as voice:
        patch.setattr("riskdoc.report.text.ISOLATES", ISOLATES + OPEN + CLOSE)
        whole = dossier(in_it(file))
        return Printed(whole, build(whole), build_card(whole), frozenset(voice.asked))


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
    return re.findall(r"[A-Za-zÀ-ž]{2,}", text)


def bare(text: str, known: set[str]) -> list[str]:
    """Words outside all brackets that are neither the job's nor part of an id or a key.

    What the job wrote is taken away as it was written and not word by word: its prose knows most
    of our words.
    """
    sections = "job|loads|ropes|devices|anchors|lines|edges|protection|rescue|work|people|sites"
    keys = rf"(?<!\w)(?:{sections})(\.[\w…*]+)+"
    outside = re.sub(r"⟦[^⟦⟧]*⟧", "|", text)
    outside = re.sub(r"\{[a-z_]+: [^⟦⟧]*\}", "|", outside)  # a part as a job file writes it
    # A line to be written into the job file stands as it is to be written.
    outside = re.sub(r"(?m)^ +(?:= )?[a-z_]+\.[\w.\[\]]+: .*$", "|", outside)
    outside = wholly(frozenset(each for each in known if " " in each)).sub("|", outside)
    outside = re.sub(rf"{keys}|[^\s(|]+/[^\s)|]+", "|", outside)
    return words(wholly(frozenset(known)).sub("|", outside))


@cache
def wholly(known: frozenset[str]) -> re.Pattern[str]:
    """Any of these texts, the longest first, as a whole."""
    longest = sorted(filter(None, known), key=len, reverse=True) or ["|"]
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, longest))})(?!\w)")


def known_of(file: JobFile, plan: Assessment) -> set[str]:
    """What may stand bare: the texts of the job, and the parts of it that checks are about."""
    found = {text.strip().rstrip(".") for text in of_the_job(file.job)}
    return found | {check.subject for check in plan.checks} | OURS | {file.digest[:12]}


def printed(value: Any, where: str = "") -> Iterator[tuple[str, str]]:
    """Every text of a record that is printed, with the field it stands in."""
    if isinstance(value, str | Message):
        yield where, str(value)
        return
    for name, each in inside(value):
        yield from printed(each, name or where)


def inside(value: Any) -> Iterator[tuple[str, Any]]:
    """What is inside a record, with its field, or inside a tuple or a mapping."""
    if isinstance(value, Mapping):
        yield from (("", each) for each in value.values())
    elif isinstance(value, tuple):
        yield from (("", each) for each in value)
    elif is_dataclass(value):
        names = {field.name for field in fields(value)} - UNPRINTED.get(type(value), set())
        names |= {"planned", "most", "fewest"} & set(dir(value))
        yield from ((f"{type(value).__name__}.{name}", getattr(value, name)) for name in names)


def unsaid(whole: Any, known: set[str]) -> dict[str, list[str]]:
    """What stands bare in the printed texts of records, by field, with the text it stands in."""
    found: dict[str, list[str]] = {}
    for where, text in printed(whole):
        left = bare(text, known)
        if left:
            found.setdefault(where, []).append(f"{left} in {text!r}")
    return found


def looked_at(whole: Dossier) -> tuple[Any, ...]:
    return whole.study, whole.register, whole.judged


@pytest.mark.parametrize("name", SAID)
def test_every_text_of_a_dossier_is_said(name: str, bracketed: Apart) -> None:
    made = in_brackets(name)
    whole = made.whole
    file = whole.study.plan.file
    known = known_of(file, whole.study.plan)
    with speaking(file.voice):
        seen = list(printed(looked_at(whole)))

        assert unsaid(looked_at(whole), known) == {}
    fields_seen = {where for where, text in seen if text}
    assert fields_seen >= {
        "Change.title", "Change.asks", "Limit.title", "Listed.title", "Listed.group",
        "Listed.because", "Listed.who", "Listed.how", "Listed.causes", "Listed.controls",
        "Listed.basis", "Judged.sentence", "Answered.reason",
    }  # fmt: skip
    assert len(seen) > 1000
    asked = made.asked | bracketed.asked
    assert {text for text in asked if WORD.search(text)} - collected() == set()
    assert len(asked) > 1000


@pytest.mark.parametrize("name", [*DAYS, *PLANS])
def test_every_change_that_is_offered_is_said(name: str, bracketed: Apart) -> None:
    """Of plans that between them bring up every kind of change; the search takes most time."""
    file = in_it(file_of(name))
    plan = assess(file)
    with speaking(file.voice):
        changes = tuple(applicable(plan))
        assert unsaid(changes, known_of(file, plan)) == {}
    assert len(changes) >= 4


@pytest.mark.parametrize("name", SAID)
def test_every_word_of_a_report_and_a_card_is_said_or_the_jobs_own(name: str) -> None:
    made = in_brackets(name)
    file, content = made.whole.plan.file, content_of(made.whole).digest
    digests = f"{file.digest} sha256:{content} {content[:12]}"
    known = words_of_the_job(file) | NAMES | set(WORD.findall(digests))
    # Appendix B shows the job file as it is written, words of closed lists too.
    read_by = tuple(each for each in made.view.sections if each.id != "inputs")
    view = replace(made.view, sections=read_by)
    left = {
        text: words
        for text in (*on_paper(view), *on_paper(made.card))
        if (words := bare_on_paper(text.replace("\u2060", ""), known))
    }

    assert sum(OPEN in text for text in on_paper(made.view)) > 500
    assert left == {}, "\n".join(map(str, left.items()))


def on_paper(value: Any) -> Iterator[str]:
    """Every text of a view, those inside drawings too."""
    if isinstance(value, Markup):
        # The lines of one label are one text.
        yield " ".join(re.findall(r">([^<>]+)<", str(value)))
    elif isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for each in value:
            yield from on_paper(each)
    elif is_dataclass(value):
        for field in fields(value):
            if field.name not in NO_WORDS:
                yield from on_paper(getattr(value, field.name))


def bare_on_paper(text: str, known: set[str]) -> set[str]:
    """Words of a printed text that are ours and that nobody said."""
    if text.endswith("…") and text.rfind(OPEN) > text.rfind(CLOSE):
        text = text[: text.rfind(OPEN)]  # what was cut is no word, nor is its bracket closed
    return set() if SYMBOLS.search(text) else left_over(KEYS.sub("", text), known)


def test_a_word_on_paper_that_is_not_said_is_seen() -> None:
    assert bare_on_paper("Rated margin", set()) == {"Rated", "margin"}
    assert bare_on_paper(f"{OPEN}Rated margin{CLOSE} of working", {"working"}) == {"of"}


@cache
def collected() -> frozenset[str]:
    """What translators are given; whatever is said and is not there stays English for good."""
    return frozenset(texts())


@pytest.mark.parametrize("method", ["rope descent", "rope access", "canyon"])
@pytest.mark.parametrize("used", SETS)
@pytest.mark.parametrize("name", DAYS)
def test_every_text_of_each_set_is_said(
    name: str, used: str, method: str, bracketed: Apart
) -> None:
    file = in_it(by_set(demo(name), used, method))
    found = brief_dossier(file)
    plan, judged, register = found.plan, found.judged, found.register

    assert judged.set.id == used
    assert len(judged.answers) > 5
    assert unsaid((judged, register), known_of(file, plan)) == {}


@pytest.mark.parametrize("name", SAID)
def test_every_line_of_the_screen_is_said(
    name: str, bracketed: Apart, capsys: pytest.CaptureFixture[str]
) -> None:
    whole = in_brackets(name).whole
    plan = whole.study.plan
    standing = stand(whole)
    show(whole, standing, everything=True)
    show(brief_dossier(plan.file), standing, everything=False)
    lines = capsys.readouterr().out

    assert lines.count("⟦") > 100
    known = known_of(plan.file, plan) | {standing.content.digest[:12]}
    assert bare(lines, known) == []


@pytest.mark.parametrize("name", ["lighthouse"])
def test_every_line_and_head_of_a_comparison_is_said(
    name: str, bracketed: Apart, capsys: pytest.CaptureFixture[str]
) -> None:
    found = compared(name)
    show_comparison(found)
    lines = capsys.readouterr().out
    file = found.ways[0].plan.file
    sheets = pd.read_excel(io.BytesIO(to_xlsx(found)), sheet_name=None)
    known = known_of(file, found.ways[0].plan) | {"kit", "mass", "packed", "volume"}

    assert len(found.ways) > 1
    assert lines.count("⟦") > 10
    assert bare(lines, known) == []
    assert [name for name in sheets if bare(name, set())] == []
    heads = {head for sheet in sheets.values() for head in sheet.columns} - {"id"}
    assert len(heads) > 12
    assert {head: left for head in heads if (left := bare(head, known))} == {}
    verdicts = sheets["⟦checks⟧"].filter(like="⟦verdict⟧")
    assert set(verdicts.stack()) >= {"⟦adequate⟧", "⟦borderline⟧", "⟦inadequate⟧"}


def compared(name: str) -> Comparison:
    file = in_it(demo(name))
    others = {
        id: replace(each, job=in_it(each).job) for id, each in demo(name).alternatives.items()
    }
    return compare(ways_of(assess(file), {id: assess(each) for id, each in others.items()}))


def test_a_word_that_is_not_said_is_seen(bracketed: Apart) -> None:
    """The look can fail: a bare word, a bare word put into a text, and a word of a closed list."""
    file = in_it(demo("lighthouse"))
    with speaking(file.voice):
        good = say("{tag} at {name}", tag=say("traffic"), name="coping")
        put_in = say("{tag} at {name}", tag="traffic", name="coping")

    assert bare(good, {"coping"}) == []
    assert bare(put_in, {"coping"}) == ["traffic"]
    assert bare(f"{good}, and more", {"coping"}) == ["and", "more"]
    assert "working" in CLOSED
    assert bare("line/coping/rule, rescue.who", set()) == []


def test_what_decides_reads_keys_and_not_what_was_said(bracketed: Apart) -> None:
    """Every answer, rating, verdict and id is that of the English job."""
    for name in DAYS:
        for used in SETS:
            english = by_set(demo(name), used, "rope descent")
            plain, other = (brief_dossier(f) for f in (english, in_it(english)))

            assert decided(plain) == decided(other)


def decided(found: Brief) -> tuple[Any, ...]:
    """All that is no text, and the numbers in what is counted."""
    plan, judged, register = found.plan, found.judged, found.register
    return (
        [(each.id, each.verdict) for each in plan.checks],
        [(a.item.id, a.answer, a.checks, a.missing) for a in judged.answers],
        [(a.item.id, re.findall(r"\d+", a.reason)) for a in judged.answers],
        re.findall(r"\d+", judged.sentence),
        [(h.id, h.before, h.after, h.fatal, h.stops, len(h.because)) for h in register.hazards],
        [each.id for each in register.dropped],
    )


def test_the_words_of_a_user_are_never_said(bracketed: Apart, tmp_path: Path) -> None:
    """An item of a user's own set, and a hazard of the job's own, stand as they were written."""
    shutil.copytree(JOBS, tmp_path, dirs_exist_ok=True)  # the job has pictures beside it
    own = tmp_path / "own.yaml"
    own.write_text(
        "{id: own, title: traffic, edition: drill, about: rescue, scope: working, coverage: "
        "partial, items: {a: {clause: borderline, asks: adequate, test: computed, provenance: own, "
        "checks: ['line/*/margin/rated'], lines: people}}}"
    )
    text = demo("lighthouse").text.replace("gb-work-at-height", "own.yaml")
    text = text.replace("title: Cut off by the tide", "title: traffic").replace(
        "who: whole crew", "who: public"
    )
    again = read_text(text, "job.yaml", DAYS["lighthouse"], tmp_path)
    assert again.file is not None, again.faults
    file = in_it(again.file)
    found = brief_dossier(file)
    judged, register = found.judged, found.register
    with speaking(file.voice):
        told = judged.set.said(judged.set.items[0].asks)
    hazard = next(each for each in register.hazards if each.id == "cut_off_by_tide")

    assert told == "adequate"
    assert "own (partial)" in judged.sentence
    assert (hazard.title, hazard.who, hazard.harmed) == ("traffic", ("public",), ("public",))
    assert hazard.controls["organise"][0] == "leave by the time on the tide board"


def test_where_a_job_contradicts_itself_is_said(bracketed: Apart) -> None:
    """(m + 18 kg) g = 2.03 kN at 189.0 kg: at 190 kg the device slips under the weight alone."""
    device = {"kind": "back-up device", "diameter_from": "10 mm", "diameter_to": "12 mm",
              "standards": ["EN 1891 type A"], "slip": "2.03 kN"}  # fmt: skip
    weak = {
        "devices": {"backup": device},
        "sites": {"wall": {"drop": "300 m", "clear_below": "200 m"}},
        "lines": {"safety": {"devices": ["backup"], "below": "2 m",
                             "fall": {"free": "0 m", "clear": "200 m"}}},
        "ropes": {"main": {"strength": "60 kN"}, "second": {"strength": "60 kN"}},
        "anchors": {name: {"legs": [{"strength": "60 kN", "evidence": "tested"}]}
                    for name in ("one", "two")},
    }  # fmt: skip
    for change, words in ((lambda f: f, "slips at 2.03 kN"), (in_it, "⟦ slips at ⟧2.03 kN⟦")):
        file = change(assessed(weak).file)
        with speaking(file.voice):
            mass = next(e for e in limits(file, Variants(file)) if e.id == "limit/mass/worker")
            beyond = str(mass.beyond)

        assert mass.greatest == 185
        assert words in beyond
        assert "2.04 kN" in beyond  # 208 kg · 9.80665 m/s² = 2.0398 kN


@pytest.mark.parametrize(
    ("stated", "unit", "planned", "most"),
    [
        # 1 lb = 0.45359237 kg, 1 ft = 0.3048 m, 1 mph = 0.44704 m/s (NIST SP 811, 2008, B.8)
        ((160.0, 160.0), "kg", "352.74 lb", "352.7 lb"),
        ((79.84, 79.84), "kg", "176.018 lb", "176 lb"),
        ((176 * 0.45359237,) * 2, "kg", "176 lb", "176 lb"),
        ((0.6, 2.0), "m", "1.96851 ft to 6.56168 ft", "6.561 ft"),
        ((9.0, 9.0), "m/s", "20.1325 mph", "20.13 mph"),
        ((7.0, 7.0), "1", "7", "7"),
    ],
)
def test_a_limit_is_never_printed_past_what_was_found(
    stated: tuple[float, float], unit: str, planned: str, most: str
) -> None:
    """In US units the plan's own value is rounded up and a greatest one down."""
    first = next(limit_parameters(demo("lighthouse")))
    limit = Limit(
        first.id, "", "", "", unit, stated, stated[1], None, True, stated, 1.0, None, "", ()
    )  # fmt: skip
    with speaking(Locale(units="us")):
        assert (str(limit.planned), str(limit.most)) == (planned, most)


@settings(deadline=None)
@given(value=floats(1e-3, 1e4), si=sampled_from(["kg", "m", "m/s", "1", "mm"]),
       units=sampled_from(["metric", "us"]), digits=sampled_from([4, 6]))  # fmt: skip
def test_what_is_printed_exactly_is_never_past_its_value(
    value: float, si: str, units: Any, digits: int
) -> None:
    with speaking(Locale(units=units)):
        factor = unit_of(si).factor
        low, high = (float(exact(value, si, to, digits).split()[0]) for to in ("down", "up"))

    assert low <= value * factor * (1 + 1e-11)
    assert high >= value * factor * (1 - 1e-11)
    assert high - low <= value * factor * 10.0 ** (1 - min(digits, 4)) * 1.001
