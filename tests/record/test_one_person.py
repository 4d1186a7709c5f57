"""One person in all roles of a sign-off: said where it is so, refused where a set asks for another.

No source that was read asks for two people at a risk assessment, so no shipped set does; a set of a
user's own can.
"""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest
from support.plan import BASE, DAY, job_of, merged
from support.signing import WHEN, around_today, as_text
from typer.testing import CliRunner

from riskdoc.cli.main import app
from riskdoc.job.model import SETS
from riskdoc.job.reading import read
from riskdoc.report.html import to_html
from riskdoc.report.view import build
from riskdoc.requirements.dossier import brief_dossier, dossier
from riskdoc.requirements.sets import requirement_set
from riskdoc.signing.entry_rules import against, same_person, terms_of
from riskdoc.signing.record_files import record_of
from riskdoc.signing.sign_off_state import State, stand
from riskdoc.signing.signing import Deed, act

ONE, OTHER = "Ines Kolberg", "Otto Marn"
RULES = """
title: House rules
edition: "1"
about: Four eyes.
scope: all jobs
signers: different people
items:
  fit: {clause: rule 1, asks: Is everybody fit?, test: asked, applies: all, how: ask,
        provenance: judgement}
"""
OWN = {"job": {"requirements": "rules.yaml"}}


def roles(*names: str) -> dict[str, object]:
    return {"signoff": {"roles": list(names)}}


@pytest.fixture
def job(tmp_path):
    def write(*changes) -> Path:
        (tmp_path / "rules.yaml").write_text(RULES)
        whole = merged(BASE, around_today())
        for change in changes:
            whole = merged(whole, change)
        path = tmp_path / "plan.yaml"
        path.write_text(as_text(whole), "utf-8")
        return path

    return write


def sign(path: Path, role: str, name: str):
    return CliRunner().invoke(app, ["sign", str(path), "--role", role, "--name", name,
                                    "--meaning", "I say so."])  # fmt: skip


def test_no_shipped_set_asks_for_another():
    assert [name for name in SETS if requirement_set(name).signers_differ] == []


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("Ines Kolberg", "ines  KOLBERG", True),
        ("I. Kolberg", "I Kolberg", True),
        ("Ines Kolberg", "Otto Marn", False),
        ("Ines Kolberg", "Ines Kolberg-Marn", False),
    ],
)
def test_names_are_compared_as_people_read_them(one, other, same):
    assert same_person(one, other) is same


def test_it_is_said_when_one_person_has_signed_in_every_role(job):
    path = job(roles("prepared", "checked", "authorised"))
    said = [sign(path, role, ONE).stdout for role in ("prepared", "checked", "authorised")]

    assert ONE in said[0]
    assert "too" not in said[0]
    assert f"{ONE} has signed as prepared too." in said[1]
    assert f"One person signed in all 3 roles: {ONE}." in said[2]


def test_it_is_said_of_a_single_role_too(job):
    found = sign(job(roles("prepared")), "prepared", ONE)

    assert found.exit_code == 0
    assert f"One person alone signs: {ONE}." in found.stdout


def test_nothing_is_said_of_two_people(job):
    path = job()
    sign(path, "prepared", ONE)

    assert "One person" not in sign(path, "authorised", OTHER).stdout


def test_a_set_can_ask_for_another_person(job):
    path = job(OWN)
    first = sign(path, "prepared", ONE)
    again = sign(path, "authorised", "ines kolberg")
    other = sign(path, "authorised", OTHER)

    assert (first.exit_code, again.exit_code, other.exit_code) == (0, 2, 0)
    assert "“ines kolberg” has signed as prepared" in again.stderr
    assert "each role is signed by another person" in again.stderr
    assert [each.name for each in record_of(path).entries] == [ONE, OTHER]


def test_a_set_that_asks_for_two_people_is_not_met_by_one_role(job):
    found = sign(job(OWN, roles("prepared")), "prepared", ONE)

    assert found.exit_code == 2
    assert "names one role: prepared" in found.stderr


def test_an_entry_that_was_written_by_other_means_does_not_count(job):
    """The rule that refuses an entry is the rule by which one that is there counts."""
    path = job(roles("prepared", "authorised"))
    sign(path, "prepared", ONE)
    sign(path, "authorised", ONE)
    free = brief_dossier(read(path, datetime.now().astimezone().date()).file)
    terms = replace(terms_of(free), apart=True)
    first, second = record_of(path).entries

    assert against(first, (), terms) == ""
    assert "signed by another person" in against(second, (first,), terms)
    assert against(second, (first,), terms_of(free)) == ""


def test_the_report_says_it_on_page_1_and_in_full(tmp_path):
    whole = dossier(job_of(day=DAY))
    for role in ("prepared", "authorised"):
        act(tmp_path / "plan.yaml", whole, Deed("sign", role, ONE, "I say so."), WHEN)
    standing = stand(whole, record_of(tmp_path / "plan.yaml"))
    page = to_html(build(whole, standing), for_print=True)
    words = f"One person signed in all 2 roles: {ONE}."

    assert standing.state is State.ISSUED
    assert page.count(words) == 2
    assert words not in to_html(build(whole, stand(whole)), for_print=True)


def test_json_says_it(job):
    path = job()
    day = date.today().isoformat()  # noqa: DTZ011
    for role in ("prepared", "authorised"):
        sign(path, role, ONE)
    found = CliRunner().invoke(app, ["check", str(path), "--json", "--on", day])

    assert json.loads(found.stdout)["document"]["one_person"] is True
