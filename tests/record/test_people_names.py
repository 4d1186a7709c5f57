"""Names of people: what looks like one name is one, and looks like what it is."""

from __future__ import annotations

import re

import pytest
from support.papers import DAY, folder, put
from support.plan import BASE, COMPLETE, merged
from support.signing import around_today, as_text, chained, written
from typer.testing import CliRunner

from riskdoc.cli.main import app
from riskdoc.job.alike import plain_name
from riskdoc.job.faults import Code, Refused
from riskdoc.job.reading import read_text
from riskdoc.signing.entries import RecordError
from riskdoc.signing.entry_rules import same_person
from riskdoc.signing.record_files import record_of, record_path

EVIL = [
    ("T\u200b. Ostby", "U\\+200B"), ("T. Ost\u00adby", "U\\+00AD"), ("T.\u00a0Ostby", "U\\+00A0"),
    ("T. Ostby\u3164", "U\\+3164"), ("\u0422. Ostby", "mixed"), ("T. \u039fstby", "mixed"),
    ("\uff34. Ostby", "U\\+FF34"), ("\U0001d413. Ostby", "U\\+1D413"),
]  # fmt: skip
PLAIN = [
    "T. Ostby", "Zoë Kovač", "Jean-Luc O’Hara", "Siobhán O'Neill", "Trần Thị Ánh",
    "Tra\u0302\u0300n", "Nuñez y Pérez", "Şebnem Yıldız", "Łukasz Żak", "Ana–Marie K.",
    "Тимур Остров", "Τάσος Ωρίων", "Արամ", "שרה לוי", "سارة", "王小明", "さとう 花子", "김민수",
    "राम", "J. R. R. Hale jr.", "Kaʻiulani", "T. Ostby (senior)", "Orde, M.",
]  # fmt: skip


@pytest.mark.parametrize(("name", "said"), EVIL, ids=ascii)
def test_a_name_that_does_not_look_like_what_it_is_is_a_fault(name, said):
    whole = as_text(merged(merged(BASE, COMPLETE), {"people": {"lead": {"name": name}}}))
    (fault,) = read_text(whole, "plan.yaml", DAY).faults

    assert (fault.code, fault.where) == (Code.BAD_TEXT, "people.lead.name")
    assert re.search(said, fault.message)


@pytest.mark.parametrize(("name", "said"), EVIL, ids=ascii)
def test_nobody_signs_under_such_a_name(name, said):
    path = put(folder(), around_today())
    found = CliRunner().invoke(app, ["sign", str(path), "--role", "prepared", "--name", name])

    assert found.exit_code == 2, found.output
    assert re.search(said, found.stderr)
    assert "--name" in found.stderr
    assert not record_path(path).exists()


@pytest.mark.parametrize(("name", "said"), EVIL, ids=ascii)
def test_a_record_that_holds_such_a_name_is_none_of_ours(name, said):
    path = put(folder())
    written(record_path(path), chained({"name": name}))
    with pytest.raises(RecordError, match="none of ours"):
        record_of(path)


@pytest.mark.parametrize("name", PLAIN)
def test_a_name_of_one_script_is_taken(name):
    assert plain_name(name) == name
    whole = as_text(merged(merged(BASE, COMPLETE), {"people": {"lead": {"name": name}}}))
    file = read_text(whole, "plan.yaml", DAY).file
    assert file is not None
    assert file.job.people["lead"].name == name
    with pytest.raises(Refused):
        plain_name(f"{name}\u2060")


def test_it_is_signed_under_a_name_of_another_script():
    path = put(folder(), around_today())
    words = ["--role", "prepared", "--name", "Тимур Остров"]
    assert CliRunner().invoke(app, ["sign", str(path), *words]).exit_code == 0
    assert [each.name for each in record_of(path).entries] == ["Тимур Остров"]


LOOK = [
    ("OTTO BAM", "ОТТО ВАМ"), ("A. Lee", "a lee"), ("A.Lee", "A. Lee"), ("Al Hale", "AI Hale"),
    ("Ana-Marie", "Ana–Marie"), ("Zo\u00eb", "Zoe\u0308"), ("O'Neill", "O’Neill"),
]  # fmt: skip
APART = [
    ("J. Hale senior", "J. Hale junior"), ("Zoe Hale", "Zoë Hale"), ("Ann Ali", "Anna Li"),
    ("राम", "रमा"), ("王小明", "王大明"),
]  # fmt: skip


def people(one: str, other: str):
    named = {"lead": {"name": one}, "second": {"name": other}}
    whole = as_text(merged(merged(BASE, COMPLETE), {"people": named}))
    return read_text(whole, "plan.yaml", DAY).faults


@pytest.mark.parametrize(("one", "other"), LOOK, ids=ascii)
def test_two_people_whose_names_look_the_same_are_a_fault(one, other):
    (fault,) = people(one, other)
    assert (fault.code, fault.where) == (Code.SAME_PERSON, "people.second.name")


@pytest.mark.parametrize(("one", "other"), APART, ids=ascii)
def test_two_people_told_apart_by_eye_are_two(one, other):
    assert people(one, other) == ()


@pytest.mark.parametrize(("one", "other"), LOOK, ids=ascii)
def test_who_signs_under_a_name_that_looks_the_same_is_one_person(one, other):
    assert same_person(one, other)
    assert same_person(other, one)


@pytest.mark.parametrize(
    ("one", "other"), [pair for pair in APART if pair != ("Ann Ali", "Anna Li")], ids=ascii
)
def test_who_signs_under_another_name_is_another_person(one, other):
    assert not same_person(one, other)
