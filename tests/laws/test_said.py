"""What a reader reads is said: no English stands in the code outside `SAYING`.

The first half reads the code, the second listens to assessments in a language of brackets.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from support.apart import LANGUAGE, in_it, kept_apart, left_over, words_of_the_job
from support.many_plans import files

import riskdoc
from riskdoc.analysis.margins import Pair
from riskdoc.i18n.collect import of_code, texts
from riskdoc.i18n.message import Text
from riskdoc.i18n.say import Locale, speaking
from riskdoc.job.reading import JobFile
from riskdoc.judgement.assess import assess
from riskdoc.judgement.judge import Question, judge
from riskdoc.judgement.verdicts import Assessment
from riskdoc.quantities.intervals import MAX_AXES, TooManyRangesError, combine, exact, given
from riskdoc.quantities.ranges import Input, Range

ROOT = Path(riskdoc.__file__).parent
FOLDERS = ("analysis", "judgement")
"""Folders of the package that print only what is said."""

SAYING = {"say", "many", "mark", "message", "plural"}
LOOKING_UP = {"from_table", "_limit", "cell", "find", "has", "table", "ContextVar", "replace"}
"""What takes names of table rows and columns, and other names that are not printed."""
OF_THE_CODE = {"ValueError", "AssertionError", "TypeError", "KeyError", "LookupError"}
"""Exceptions that only a programmer sees."""
KEY_AND_VALUE = re.compile(r"[a-z_]+(?:\.[a-z_…]+)+: .*")
"""A line of a job file, which stands as it is in every language."""
PROSE = re.compile(r"[A-Za-z]{2,}[,;:.]? [A-Za-z]{2,}")
"""Two words side by side. An equation has signs between its symbols."""


def unsaid(code: str) -> list[str]:
    """Texts of two words and more that are written down in code and said by nobody."""
    return [f"{line}: {text}" for line, text in _unsaid(ast.parse(code))]


def _unsaid(node: ast.AST) -> Iterator[tuple[int, str]]:
    text = _written(node)
    if text is not None:
        if PROSE.search(text) and not KEY_AND_VALUE.fullmatch(text):
            yield getattr(node, "lineno", 0), text
    else:
        for child in _looked_at(node):
            yield from _unsaid(child)
    if isinstance(node, ast.JoinedStr):  # what is put into an f-string may hold texts of its own
        for part in node.values:
            if isinstance(part, ast.FormattedValue):
                yield from _unsaid(part.value)


def _written(node: ast.AST) -> str | None:
    """The text of a literal; what an f-string puts in is left open."""
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else None
    if isinstance(node, ast.JoinedStr):
        return "".join(_written(part) or "{}" for part in node.values)
    return None


def _looked_at(node: ast.AST) -> Iterator[ast.AST]:
    """The parts of a piece of code from which a text could come to be printed."""
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return  # a docstring
    if isinstance(node, (ast.Compare, ast.Subscript)):
        return  # words that are looked for, not printed
    if isinstance(node, ast.ClassDef) and any("Enum" in ast.unparse(it) for it in node.bases):
        return  # the collector finds their words, and they are said where they are printed
    if isinstance(node, ast.Dict):
        yield from node.values
        return
    if isinstance(node, ast.Call):
        name = getattr(node.func, "id", getattr(node.func, "attr", ""))
        if name in OF_THE_CODE or name in LOOKING_UP:
            return
        if name in SAYING:
            yield from (each.value for each in node.keywords)
            # Only what stands there as it is can be found for translation.
            yield from (each for each in node.args if not isinstance(each, ast.Constant))
            return
    yield from ast.iter_child_nodes(node)


@pytest.mark.parametrize("folder", FOLDERS)
def test_no_text_is_printed_that_is_not_said(folder: str):
    files = sorted((ROOT / folder).rglob("*.py"))
    found = [f"{file.name}:{text}" for file in files for text in unsaid(file.read_text("utf-8"))]

    assert files, f"nothing to look at in {folder}"
    assert found == []


@pytest.mark.parametrize(
    "code",
    [
        'rule(id, subject, "Two words", verdict, reason, "", source)',
        'Question(id, subject, title, remedy="A longer rope." if short else "")',
        'Finding(id, subject, f"{line} swings over {edge}", place)',
        'title = "Rated margin"',
        'yield not_demonstrated(question, ("a number that is missing",), None)',
        'say("{a} of {b}", b="two words")',
        'say(f"the {edge} is sharp")',
        'message(f"the {edge} is sharp")',
        'filled("the edge of {edge}", edge=edge)',
        'say("this one" if here else "that one")',
        'TEXTS = {"key": "two words"}',
        "f\"{say(word)} and {'so on'}\"",
        '", ".join(["first one", other])',
    ],
)
def test_a_text_that_nobody_says_is_seen(code: str):
    """The check can fail."""
    assert unsaid(code) != []


@pytest.mark.parametrize(
    "code",
    [
        '"""A docstring of some words."""',
        'say("Two words"), many("one line", "{count} lines", n), mark("so be it")',
        'message("Two words"), plural("one line", "{count} lines", n)',
        'filled("{place} ({case})", place=place, case=case)',
        'rule(f"line/{id}/margin", subject, say("Rated margin"), verdict, say(REASON), "", "")',
        'from_table("work", "drag area", "CdA")',
        'figure(id, say("Wind force"), n, "N", "F", "½ ρ v² CdA · sin(α) · share / fill", "")',
        'kind == "roller set" or kind in ("rigid plate", "rigid tube")',
        'raise ValueError("more than one axis")',
        '"rescue.by: emergency services"',
        'class Verdict(StrEnum):\n    NOT_DEMONSTRATED = "not demonstrated"',
    ],
)
def test_what_is_said_or_never_printed_is_let_be(code: str):
    assert unsaid(code) == []


SYMBOLS = {
    *("sin", "cos", "min", "max", "ceil"),
    *("load", "leg", "limit", "static", "ideal", "above", "below", "slow", "knot", "body", "spare"),
    *("distance", "surface", "movement", "credit", "fibre", "fill", "share", "runs", "sweep"),
    *("covered", "CdA", "wet", "ratio", "bare", "day", "step", "gust", "gusts", "line"),
}
"""Symbols of more than one letter, and what stands as an index beside one."""
NEVER_HEARD = {"calm", "a number that is not below zero"}
"""No job can state a wind at which work stops that is a calm, nor what makes a height, a speed or
an exposure less than nothing; `test_judging` shows that such a number never passes."""


def printed(plan: Assessment) -> Iterator[tuple[Text, set[str]]]:
    """Every text of an assessment that a reader can meet, and what else may stand in it."""
    yield from ((each, set()) for each in plan.not_judged)
    for figure in plan.figures:
        yield figure.title, set()
        yield figure.source, set()
        yield figure.formula, SYMBOLS
        yield figure.worked, SYMBOLS
    for check in plan.checks:
        whole = (check.title, check.reason, check.remedy, check.source, *check.missing)
        yield from ((each, set()) for each in whole)
    for each in (*plan.figures, *plan.checks):
        for entry in each.inputs:
            place = str(entry.place).replace(entry.id, "")  # a row of a table goes by its id
            whole = (entry.title, entry.written, place, entry.source)
            yield from ((text, set()) for text in whole)
        sensitivities = each.sensitivities if hasattr(each, "sensitivities") else each.decides
        yield from ((influence.title, set()) for influence in sensitivities)
    # What the reader of the job file warns of comes from another folder, as it says it.
    yield from ((it.text, set()) for it in plan.findings if not it.id.startswith("warning/"))
    for caution in plan.cautions:
        yield caution.text, set()
        yield caution.because, set()


@pytest.fixture(scope="module")
def heard() -> Iterator[Heard]:
    """Every plan assessed in a language that keeps our words and the job's apart."""
    with pytest.MonkeyPatch.context() as patch, kept_apart(patch) as voice:
        plans = [in_it(file) for file in files()]
        plain = [assess(file) for file in plans]
        with speaking(Locale(LANGUAGE)):  # type: ignore[arg-type]
            found = [
                (file, [(str(text), more) for text, more in printed(plan)])
                for file, plan in zip(plans, plain, strict=True)
            ]
            texts = [*_of_a_judgement_of_nothing(), *_of_too_many_ranges()]
        yield Heard(voice.asked, found, texts)


@dataclass(frozen=True)
class Heard:
    """What was said, all that is printed of each job, and texts that no job can bring up."""

    asked: set[str]
    plans: list[tuple[JobFile, list[tuple[str, set[str]]]]]
    others: list[str]


def _of_a_judgement_of_nothing() -> Iterator[str]:
    question = Question("a/b", "a", "", "", "", "1", "")
    yield str(judge(question, [Pair("", exact(-1.0), exact(1.0))], exact(1.0)).reason)


def _of_too_many_ranges() -> Iterator[str]:
    ranged = [
        given(Input(f"n.{n}", "n", "", Range(1, 2, 3), "1", "", "", "stated", ""))
        for n in range(MAX_AXES + 1)
    ]
    with pytest.raises(TooManyRangesError) as caught:
        combine(lambda *each: sum(each), *ranged)
    yield str(caught.value)


def test_everything_printed_is_said(heard: Heard):
    found = {
        f"{text} (outside: {', '.join(sorted(left))})"
        for file, texts in heard.plans
        for known in (words_of_the_job(file),)
        for text, more in texts
        if (left := left_over(text, known | more))
    }

    assert sorted(found) == []
    assert [left_over(text) for text in heard.others] == [set(), set()]


def test_what_is_printed_and_not_said_is_heard(monkeypatch: pytest.MonkeyPatch):
    """The check can fail: one module forgets to say what it prints."""
    plan = next(files())
    known = words_of_the_job(plan)

    def titles() -> list[str]:
        said = [str(each.title) for each in assess(in_it(plan)).checks]
        return [each for each in said if left_over(each, known)]

    with kept_apart(monkeypatch), speaking(Locale(LANGUAGE)):  # type: ignore[arg-type]
        assert titles() == []
        monkeypatch.setattr(
            "riskdoc.judgement.margins.message", lambda text, **parts: text.format(**parts)
        )
        assert "Rated margin" in titles()


def test_every_text_of_the_code_was_heard(heard: Heard):
    """So no text escapes the test above for want of a plan that brings it up."""
    code = {
        text
        for folder in ("analysis", "judgement", "mechanics")
        for file in (ROOT / folder).glob("*.py")
        for text in of_code(file.read_text("utf-8"))
    }

    assert len(code) > 300
    assert code - heard.asked == NEVER_HEARD


def test_the_collector_finds_everything_that_is_said(heard: Heard):
    assert heard.asked - set(texts()) == set()
