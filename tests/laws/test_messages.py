"""Messages: what is computed and judged is in no language, and is put into words when printed."""

from __future__ import annotations

import ast
import gettext
import io
import pickle
from pathlib import Path

import polib
import pytest
from support.demos import DAYS, JOBS

import riskdoc
from riskdoc.i18n.message import filled, joined, message, plural
from riskdoc.i18n.say import Locale, Message, english, many, say, speaking
from riskdoc.job.reading import JobFile, read
from riskdoc.judgement.assess import assess
from riskdoc.mitigation.study import study
from riskdoc.quantities.printing import Amount

ROOT = Path(riskdoc.__file__).parent
WORDLESS = ("analysis", "judgement", "mitigation")
PUTS_INTO_WORDS = {"say", "many", "inside", "english", "speaking", "voice", "translation", "Locale"}
WRITES_A_JOB = {"mitigation/change.py"}
"""A text that a change writes into a job file is in the language of that job; there alone."""


def demo(name: str) -> JobFile:
    file = read(JOBS / f"{name}.yaml", DAYS[name]).file
    assert file is not None
    return file


def imported(code: str) -> set[str]:
    """What a module takes from `i18n` that puts messages into words."""
    return {
        name.name
        for node in ast.walk(ast.parse(code))
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("riskdoc.i18n")
        for name in node.names
    } & PUTS_INTO_WORDS


def test_nothing_that_computes_or_judges_puts_a_message_into_words():
    files = [path for folder in WORDLESS for path in sorted((ROOT / folder).glob("*.py"))]
    found = {str(path.relative_to(ROOT)) for path in files if imported(path.read_text("utf-8"))}

    assert len(files) > 70
    assert found == WRITES_A_JOB
    assert imported("from riskdoc.i18n.say import mark, say") == {"say"}


@pytest.fixture
def mute(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever asks for a text in a language fails."""

    def fails(_language: str) -> gettext.NullTranslations:
        raise AssertionError("a message is put into words")

    monkeypatch.setattr("riskdoc.i18n.say.translation", fails)


@pytest.mark.parametrize("name", DAYS)
def test_an_assessment_says_nothing(name: str, mute: None):
    plan = assess(demo(name))

    assert len(plan.checks) > 50
    with pytest.raises(AssertionError, match="into words"):
        str(plan.checks[0].title)


def test_the_search_for_changes_says_only_what_it_writes_into_the_job(
    monkeypatch: pytest.MonkeyPatch,
):
    asked: set[str] = set()

    class Heard(gettext.NullTranslations):
        def gettext(self, message: str) -> str:
            asked.add(message)
            return message

    monkeypatch.setattr("riskdoc.i18n.say.translation", lambda _language: Heard())
    found = study(assess(demo("oak")))

    assert found.results
    assert found.limits
    assert asked <= {"anchored below the edge", "one after another, as this change is meant"}


def test_one_assessment_is_printed_in_two_languages_and_two_systems_of_units():
    plan = assess(demo("lighthouse"))
    check = plan.check("line/working/margin/rated")
    assert check is not None
    said = {}
    for locale in (Locale("en"), Locale("de"), Locale("en", "us")):
        with speaking(locale):
            said[locale] = f"{check.title}. {check.reason}"
    english, german, us = said.values()

    assert english.startswith("Rated margin. A breaking strength of ")
    assert german.startswith("Sicherheitsfaktor")
    assert "Bruchkraft" in german
    for text in (english, german):
        assert " kN" in text
    assert " lbf" in us
    assert plan.check("line/working/margin/rated") is check  # and nothing was assessed again


def test_two_assessments_of_a_job_in_two_languages_say_the_same():
    plan = demo("oak")
    other = plan.in_form(language="de", units="us")
    one, two = assess(plan), assess(other)

    assert one.checks == two.checks
    assert one.findings == two.findings
    assert one.cautions == two.cautions
    assert [(each.id, each.title, each.formula, each.worked) for each in one.figures] == [
        (each.id, each.title, each.formula, each.worked) for each in two.figures
    ]
    assert (one.inputs, one.defaults) == (two.inputs, two.defaults)


def test_messages_are_equal_by_what_they_say():
    first = message("{what}: {why}", what=message("fall"), why=Amount(2.5, "m", "up"))
    again = message("{what}: {why}", what=message("fall"), why=Amount(2.5, "m", "up"))

    assert first == again == pickle.loads(pickle.dumps(first))
    assert {first, again} == {first}
    assert first != message("{what}: {why}", what=message("jam"), why=Amount(2.5, "m", "up"))
    assert first != message("{what}: {why}", what=message("fall"), why=Amount(2.6, "m", "up"))


def test_messages_inside_messages_are_said_in_the_language_of_the_whole():
    whole = filled(
        "{parts} ({case})",
        parts=joined(["red", message("fall")], message(" and ")),
        case=message("jam"),
    )

    assert str(whole) == "red and fall (jam)"
    with speaking(Locale("de")):
        assert str(whole) == "red und Sturz (Verklemmen)"
        assert english(whole) == "red and fall (jam)"
        assert f"{whole}" == say("{whole}", whole=whole) == str(whole)


def test_what_is_joined_of_words_of_the_job_stays_words():
    assert joined(["red", "", "blue"]) == "red, blue"
    assert joined([]) == ""
    assert joined([message("fall")]) == message("fall")
    assert isinstance(joined(["red", message("fall")]), Message)


THREE = """
msgid ""
msgstr ""
"Content-Type: text/plain; charset=UTF-8\\n"
"Plural-Forms: nplurals=3; plural=(n==1 ? 0 : "
"n%10>=2 && n%10<=4 && (n%100<10 || n%100>=20) ? 1 : 2);\\n"

msgid "{count} check"
msgid_plural "{count} checks"
msgstr[0] "{count} one"
msgstr[1] "{count} few"
msgstr[2] "{count} many"
"""
"""A language with three forms, by the rule that GNU gettext's manual gives for Polish."""


def test_the_language_chooses_the_form_for_a_number(monkeypatch: pytest.MonkeyPatch):
    made = gettext.GNUTranslations(io.BytesIO(polib.pofile(THREE).to_binary()))
    monkeypatch.setattr("riskdoc.i18n.say.translation", lambda _language: made)
    found = {count: many("{count} check", "{count} checks", count) for count in (1, 2, 5, 12, 22)}
    forms = {1: "1 one", 2: "2 few", 5: "5 many", 12: "12 many", 22: "22 few"}

    assert found == forms
    assert {n: str(plural("{count} check", "{count} checks", n)) for n in forms} == forms


def test_a_text_that_no_translation_has_is_said_in_english():
    with speaking(Locale("de")):
        assert say("no such text {n}", n=1) == "no such text 1"
        assert say("") == ""
