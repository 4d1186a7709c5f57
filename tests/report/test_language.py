"""The report in another language: nothing is left unsaid, and German is whole."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from string import Formatter
from typing import Any

import polib
import pytest
from markupsafe import Markup
from report.made import DAYS, JOBS, raw, studied
from support.apart import CLOSE, OPEN, WORD, in_it, kept_apart, left_over, words_of_the_job
from support.demos import SAID

from riskdoc.i18n import collect
from riskdoc.i18n.say import FOLDER, ISOLATES
from riskdoc.job.reading import JobFile, read
from riskdoc.report.card import build_card
from riskdoc.report.html import to_html
from riskdoc.report.view import build
from riskdoc.requirements.dossier import dossier
from riskdoc.signing.content import content_of

SYMBOLS = re.compile(r"[=·√]|\(\S+( \S+)?\)$")
"""Equations, and the symbol behind the title of an input, stand in every language."""
NO_WORDS = {"css", "template", "id", "href", "width", "digest", "address", "meta"}
"""Fields that hold no words to read."""
NAMES = {"riskdoc", "compare", "kJ", "ltr", "people", "rescue", "signoff", "controls", "how", "set"}
# What is to be written into a job file stands as it is written, words of closed lists too.
KEYS = re.compile(
    r"[a-z]+(?:\.(?:\*|[a-z_]+)|\[\d+\])+(?:: moving)?|sha256 [0-9a-f]+"
    r"|[^,⟧]*\u00a0[SD]\d+[†‡]?|^xx$|\{[a-z_]+: [^⟦]*\}"
)


def demo(name: str) -> JobFile:
    file = read(JOBS / f"{name}.yaml", DAYS[name]).file
    assert file is not None
    # A document is named as in its own folder.
    return replace(file, name=f"{name}.yaml")


def printed(value: Any) -> Iterator[str]:
    """Every text of a view, those inside drawings too."""
    if isinstance(value, Markup):
        # The lines of one label are one text.
        yield " ".join(re.findall(r">([^<>]+)<", str(value)))
    elif isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for each in value:
            yield from printed(each)
    elif is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            if field.name not in {
                "css",
                "template",
                "id",
                "href",
                "width",
                "digest",
                "address",
                "meta",
            }:
                yield from printed(getattr(value, field.name))


def unsaid(text: str, known: set[str]) -> set[str]:
    """Words of a printed text that are ours and that nobody said."""
    if text.endswith("…") and text.rfind(OPEN) > text.rfind(CLOSE):
        text = text[: text.rfind(OPEN)]  # what was cut is no word, nor is its bracket closed
    return set() if SYMBOLS.search(text) else left_over(KEYS.sub("", text), known)


@pytest.mark.parametrize("name", SAID)
def test_every_word_of_a_report_and_a_card_is_said_or_the_jobs_own(name, monkeypatch):
    monkeypatch.setattr("riskdoc.report.text.ISOLATES", ISOLATES + OPEN + CLOSE)
    with kept_apart(monkeypatch) as heard:
        file = in_it(demo(name))
        whole = dossier(file)
        view, card = build(whole), build_card(whole)
    # What is said is in the catalogue, or no translation could ever have it.
    assert {text for text in heard.asked if WORD.search(text)} <= set(collect.texts())
    content = content_of(whole).digest
    digests = f"{file.digest} sha256:{content} {content[:12]}"
    known = words_of_the_job(file) | NAMES | set(WORD.findall(digests))
    # Appendix B shows the job file as it is written, words of closed lists too.
    read_by = replace(view, sections=tuple(s for s in view.sections if s.id != "inputs"))
    left = {
        text: words
        for text in (*printed(read_by), *printed(card))
        if (words := unsaid(text.replace("\u2060", ""), known))
    }

    assert sum(OPEN in text for text in printed(view)) > 500
    assert left == {}, "\n".join(map(str, left.items()))


def test_the_test_above_can_fail():
    assert unsaid("Rated margin", set()) == {"Rated", "margin"}
    assert unsaid(f"{OPEN}Rated margin{CLOSE} of working", {"working"}) == {"of"}


def of(entry: polib.POEntry) -> tuple[str, str]:
    """The English of an entry: of one, and of several where a number decides."""
    return entry.msgid, entry.msgid_plural or ""


def translated(entry: polib.POEntry) -> list[str]:
    """Every form of an entry in the other language."""
    return [entry.msgstr_plural[n] for n in sorted(entry.msgstr_plural)] or [entry.msgstr]


def pairs(entry: polib.POEntry) -> list[tuple[str, str]]:
    """English and the other language; the first form is that of one alone in every language."""
    one, several = of(entry)
    return [(several if n else one, text) for n, text in enumerate(translated(entry))]


def test_a_translation_is_brought_up_and_a_new_one_begun(tmp_path):
    wanted = list(collect.entries())
    assert len(wanted) > 3_000
    old = polib.POFile()
    old.append(polib.POEntry(msgid=wanted[1][0], msgstr="kept"))
    old.append(polib.POEntry(msgid="no longer said", msgstr="gone"))
    old.save(str(tmp_path / "de.po"))

    collect.main(tmp_path, "fr", "de")

    german, french = (polib.pofile(str(tmp_path / f"{code}.po")) for code in ("de", "fr"))
    assert [of(each) for each in german] == [of(each) for each in french] == wanted
    assert [each.msgid for each in german if each.msgstr] == [wanted[1][0]]
    assert not any(text for each in french for text in translated(each))
    assert sum(bool(each.msgid_plural) for each in french) > 20
    assert french.metadata["Language"] == "fr"


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.po")), ids=lambda path: path.stem)
def test_a_translation_is_whole_and_keeps_every_part(path):
    entries = polib.pofile(str(path))

    def parts(text: str) -> list[tuple[str, str, str]]:
        return sorted(
            (name, form or "", conversion or "")
            for _, name, form, conversion in Formatter().parse(text)
            if name is not None
        )

    assert [of(each) for each in entries] == list(collect.entries())
    assert [each.msgid for each in entries if not all(translated(each)) or each.fuzzy] == []
    both = [pair for each in entries for pair in pairs(each)]
    apart = [pair for pair in both if "{" in pair[0] and "^" not in pair[0]]
    assert [english for english, other in apart if parts(english) != parts(other)] == []
    edges = [
        english
        for english, other in both
        if (english[0] == " ", english[-1] == " ") != (other[0] == " ", other[-1] == " ")
    ]
    assert edges == []


NUMBER = re.compile(r"\d+(?:\.\d+)?")


def test_no_number_is_lost_or_altered_in_german():
    words = {"twice", "two", "one", "three"}  # which German may write as digits, or not at all
    wrong = [
        english
        for each in polib.pofile(str(FOLDER / "de.po"))
        for english, german in pairs(each)
        if sorted(NUMBER.findall(english)) != sorted(NUMBER.findall(german))
        and not words & set(english.lower().split())
    ]

    assert wrong == []


def test_a_german_report_is_german():
    job = raw("lighthouse")
    job["report"] = {"language": "de"}
    page = to_html(build(studied(job)), for_print=False)

    assert '<html lang="de"' in page
    for words in (
        "Gefährdungsbeurteilung",
        "unzureichend",
        "Nachweise, die nicht erfüllt sind",
        "Seite",
    ):
        assert words in page
    for words in ("Checks that are not met", "inadequate<", "Requirement set"):
        assert words not in page
