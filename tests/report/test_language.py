"""The translations: German is whole, part by part. That all is said is `laws/test_said*`."""

from __future__ import annotations

import re
from string import Formatter

import polib
import pytest
from report.made import raw, studied

from riskdoc.i18n import collect
from riskdoc.i18n.say import FOLDER
from riskdoc.report.html import to_html
from riskdoc.report.view import build


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
