"""Words that are given for a means: what names one, and what only says what there is not.

Written as a careful supervisor reads them (judgement).
"""

from __future__ import annotations

import pytest
from support.plan import as_json, check

NOTHING = (
    "no phone signal, no radio, nothing else",
    "none",
    "nobody can be called",
    "no signal",
    "No radio and no telephone.",
    "radio: none",
    "phone not available, radio not working",
    "neither radio nor telephone",
    "there is nothing",
    "kein Empfang, kein Funk",
    "weder Funk noch Telefon",
    "Funk: keiner; Telefon nicht möglich",
    "niemand erreichbar",
    "keine",
)
NAMED = (
    "radio",
    "radio; work stops when it fails",
    "no phone signal, but radio to the rim",
    "no phone signal: a runner goes to the farm",
    "no radio, hand signals within sight",
    "nobody works alone or out of earshot",
    "nobody leaves the sight of the other",
    "no more than 10 m apart",
    "nothing but calling out",
    "no other than the radio of the lock keeper",
    "satellite messenger, tested this morning",
    "kein Empfang, aber Funk zum Leitstand",
    "nicht über Telefon, sondern über Funk",
    "Rufkontakt; ohne Antwort wird abgebrochen",
    "noch ein Funkgerät am Einstieg",
)


@pytest.mark.parametrize("text", NOTHING)
def test_a_text_that_only_denies_is_no_way_to_call_or_to_talk(text):
    data = as_json(
        {"rescue": {"phone_signal": "none", "call": text}, "work": {"communications": text}}
    )

    assert check(data, "rescue/call")["verdict"] == "inadequate"
    assert check(data, "rescue/call")["missing"] == ["rescue.call"]
    assert check(data, "work/communications")["verdict"] == "not demonstrated"


@pytest.mark.parametrize("text", NAMED)
def test_a_text_that_names_a_means_stands(text):
    data = as_json(
        {"rescue": {"phone_signal": "none", "call": text}, "work": {"communications": text}}
    )

    assert check(data, "rescue/call")["verdict"] == "adequate"
    assert check(data, "work/communications")["verdict"] == "adequate"


def test_a_patchy_signal_and_nothing_else_is_not_demonstrated():
    data = as_json({"rescue": {"phone_signal": "patchy", "call": "no radio"}})

    assert check(data, "rescue/call")["verdict"] == "not demonstrated"
