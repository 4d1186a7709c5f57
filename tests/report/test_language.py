"""The translations: German is whole, part by part. That all is said is `laws/test_said*`."""

from __future__ import annotations

import re
from string import Formatter

import polib
import pytest
from report.made import raw, studied

from riskdoc.i18n import collect
from riskdoc.i18n.say import FOLDER, translation
from riskdoc.report.html import to_html
from riskdoc.report.view import build


def test_a_translation_is_brought_up_and_a_new_one_begun(tmp_path):
    wanted = list(collect.texts())
    assert len(wanted) > 3_000
    old = polib.POFile()
    old.append(polib.POEntry(msgid=wanted[1], msgstr="kept"))
    old.append(polib.POEntry(msgid="no longer said", msgstr="gone"))
    old.save(str(tmp_path / "de.po"))

    collect.main(tmp_path, "fr", "de")

    german, french = (polib.pofile(str(tmp_path / f"{code}.po")) for code in ("de", "fr"))
    assert [each.msgid for each in german] == [each.msgid for each in french] == wanted
    assert [each.msgid for each in german if each.msgstr] == [wanted[1]]
    assert not any(each.msgstr for each in french)
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

    assert [each.msgid for each in entries] == list(collect.texts())
    assert [each.msgid for each in entries if not each.msgstr or each.fuzzy] == []
    apart = [each for each in entries if "{" in each.msgid and "^" not in each.msgid]
    assert [each.msgid for each in apart if parts(each.msgid) != parts(each.msgstr)] == []
    edges = [
        each.msgid
        for each in entries
        if (each.msgid[0] == " ", each.msgid[-1] == " ")
        != (each.msgstr[0] == " ", each.msgstr[-1] == " ")
    ]
    assert edges == []


NUMBER = re.compile(r"\d+(?:\.\d+)?")


def test_no_number_is_lost_or_altered_in_german():
    words = {"twice", "two", "one", "three"}  # which German may write as digits, or not at all
    wrong = [
        english
        for english, german in translation("de").items()
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
