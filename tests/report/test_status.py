"""One status: every output says the same word, state, sentence and digest, and exits the same."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import jsonschema
import pypdf
import pytest
from support.plan import BASE, COMPLETE, COPING, DAY, assessed, job_of, merged, over_edges
from support.shared import studied_once
from support.signing import as_text

from riskdoc.cli import commands
from riskdoc.export.schema import check_schema
from riskdoc.job.reading import read
from riskdoc.judgement.verdicts import Verdict
from riskdoc.requirements.dossier import brief_dossier
from riskdoc.requirements.items import Answer, Answered, Judged
from riskdoc.requirements.outcome import Outcome, outcome_of
from riskdoc.signing.document_status import DocumentStatus, State
from riskdoc.signing.record_files import record_path
from riskdoc.signing.signing import Deed, act

WHOLE = False  # page 1 and what stands on every page
NOW = datetime(2027, 5, 30, 9, tzinfo=UTC)
LATE = date(2027, 6, 3)
ROLES = ("prepared", "authorised")
ROUNDED = over_edges({**COPING, "radius": "15 mm"})
BORDERLINE = ("line/working/edge/edge_working/exposure",
              "line/working/edge/edge_working/rule/bare",
              "line/safety/edge/edge_safety/rule/bare")  # fmt: skip
CONDITION = "The rope is inspected after each descent."
ACCEPTED = merged(
    ROUNDED,
    {
        "signoff": {
            "deviations": [
                {"check": id, "by": "lead", "reason": "Looked at.", "until": "2027-06-02",
                 "conditions": [CONDITION]}
                for id in BORDERLINE
            ]
        }
    },
)  # fmt: skip
WEAK = {"ropes": {"main": {"strength": "6 kN"}}}
"""6 kN over 98 kg · g = 0.961 kN is 6.2, and 10 is required: inadequate."""

UNDRILLED = {"rescue": {"drilled": None}}
"""An item of the set is not demonstrated, and every check is met."""

WANTED: dict[str, tuple[dict[str, Any], str, str, str, int]] = {
    # The change to the complete plan, what is done to its record, status, state, exit code.
    "draft": ({}, "", "adequate", "draft", 0),
    "partly signed": ({}, "sign 1", "adequate", "draft", 0),
    "issued": ({}, "sign 2", "adequate", "issued", 0),
    "accepted": (ACCEPTED, "sign 2", "adequate", "issued", 0),
    "borderline": (ROUNDED, "", "borderline", "draft", 1),
    "missing": (UNDRILLED, "", "not demonstrated", "draft", 1),
    "missing and signed": (UNDRILLED, "sign 2", "not demonstrated", "issued", 1),
    "inadequate": (WEAK, "", "inadequate", "draft", 1),
    "withdrawn": ({}, "sign 2, withdraw", "adequate", "withdrawn", 1),
    "superseded": ({}, "sign 2, supersede", "adequate", "superseded", 1),
    "expired": ({}, "sign 2, late", "adequate", "expired", 1),
    "changed since": ({"loads": {"worker": {"kit": "19 kg"}}}, "sign before", "adequate",
                      "sign-off does not match", 1),
}  # fmt: skip
FIRST_WORDS = {
    "draft": "Not signed (0 of 2): all",
    "partly signed": "Not signed (1 of 2): all",
    "issued": "Checks met, signed (2 of 2), valid to 2027-06-02: all",
    "accepted": "Checks met, signed (2 of 2), valid to 2027-06-02: all",
    "borderline": "Borderline: of",
    "missing": "Not demonstrated: all",
    "missing and signed": "Not demonstrated: all",
    "inadequate": "Inadequate: of",
    "withdrawn": "Withdrawn: this document is not for use.",
    "superseded": "Superseded: this document is not for use.",
    "expired": "Expired on 2027-06-02: this document is not for use.",
    "changed since": "The sign-off does not match this content: it is not for use.",
}


def placed(folder: Path, name: str) -> tuple[Path, date]:
    """The job of a row with its record beside it, and the day it is judged on."""
    change, deeds, *_ = WANTED[name]
    path = folder / "plan.yaml"
    whole = merged(merged(BASE, COMPLETE), change)
    first = merged(BASE, COMPLETE) if "before" in deeds else whole
    path.write_text(as_text(first), "utf-8")
    file = read(path, NOW.date()).file
    assert file is not None
    found = brief_dossier(file)
    count = {"sign 1": 1}.get(deeds, 2 if "sign" in deeds else 0)
    for n, role in enumerate(ROLES[:count]):
        act(path, found, Deed("sign", role, f"A. {role}", "I say so."), NOW + timedelta(hours=n))
    for what in ("withdraw", "supersede"):
        if what in deeds:
            deed = Deed(what, "prepared", "A. Lead", "The ring is loose.", successor="T-1, B")
            act(path, found, deed, NOW + timedelta(hours=5))
    path.write_text(as_text(whole), "utf-8")
    return path, LATE if "late" in deeds else DAY


def flat(text: str) -> str:
    return " ".join(text.replace("\u00a0", " ").split())


def metas(page: str) -> dict[str, str]:
    return dict(re.findall(r'<meta name="(riskdoc-[a-z]+)" content="([^"]*)">', page))


def seen(page: str) -> str:
    return flat(re.sub(r"<[^>]+>", " ", re.sub(r"(?s)<style.*?</style>|<svg.*?</svg>", " ", page)))


@pytest.fixture
def once(monkeypatch):
    """A job is studied once for all the commands that ask for it: the search takes most time."""
    return lambda: monkeypatch.setattr("riskdoc.requirements.dossier.dossier", studied_once)


@pytest.mark.parametrize("name", WANTED)
def test_every_output_says_the_same(name, tmp_path, capsys, once):
    path, day = placed(tmp_path, name)
    if name != "accepted":  # one row in full, as it is typed
        once()
    _, _, status, state, code = WANTED[name]
    out = tmp_path / "out"

    def said(run: Any) -> tuple[int, str]:
        capsys.readouterr()
        return run(), capsys.readouterr().out

    def check(*, as_json: bool = False, controls: bool = False) -> tuple[int, str]:
        return said(
            lambda: commands.check(path, day, as_json=as_json, everything=False, controls=controls)
        )

    exit_of_json, text = check(as_json=True)
    data = json.loads(text)
    jsonschema.validate(data, check_schema())
    headline, digest = data["headline"], data["digest"]

    assert (data["status"], data["state"], data["exit"]) == (status, state, code)
    assert headline.startswith(FIRST_WORDS[name])

    screens = [check(), check(controls=True)]
    wanted = commands.Wanted(out, "html", card=False, choices={})
    screens.append(said(lambda: commands.render(path, day, wanted)))
    screens.append(said(lambda: commands.render(path, day, replace(wanted, card=True))))
    assert {exit_of_json, *(each for each, _ in screens)} == {code}
    for _, screen in screens:
        assert f"status: {status} state: {state} digest {digest[:12]}" in flat(screen)
        assert headline in flat(screen)
    for page in ("plan.html", "plan-card.html"):
        html = (out / page).read_text("utf-8")
        assert metas(html) == {
            "riskdoc-status": status, "riskdoc-state": state, "riskdoc-digest": digest,
            "riskdoc-exit": str(code),
        }  # fmt: skip
        assert headline in seen(html)
        assert digest[:12] in seen(html)
        assert f"{status}, {state}" in seen(html)
        assert "may start" not in seen(html).lower()


@pytest.mark.parametrize("name", ["accepted", "missing and signed"])
def test_page_1_and_the_edge_of_every_page_say_it_in_print(name, tmp_path):
    path, day = placed(tmp_path, name)
    out = tmp_path / "out"
    commands.render(path, day, commands.Wanted(out, "pdf", card=False, choices={}))
    commands.render(path, day, commands.Wanted(out, "pdf", card=True, choices={}))
    pages = [flat(page.extract_text()) for page in pypdf.PdfReader(out / "plan.pdf").pages]
    card = flat(pypdf.PdfReader(out / "plan-card.pdf").pages[0].extract_text())
    banner = {
        "accepted": "ISSUED WITH 3 ACCEPTED EXCEPTIONS: 2027-06-01 to 2027-06-02, no longer",
        "missing and signed": "ISSUED, NOT DEMONSTRATED: not for use",
    }[name]

    for page in (*pages, card):
        assert banner in page
    for page in (pages[0], card):
        assert FIRST_WORDS[name] in page
        assert (CONDITION.rstrip(".") in page) == (name == "accepted")
    assert ("Valid 2027-06-01 to 2027-06-02" in pages[0]) == (name == "accepted")
    assert ("Not valid: not demonstrated." in pages[0]) == (name != "accepted")


# ---------------------------------------------------------------- the strictest wins


def test_a_verdict_has_a_level():
    assert [each.level for each in Verdict] == [0, 1, 2, 2]
    assert [each.value for each in Verdict] == [
        "adequate", "borderline", "not demonstrated", "inadequate"
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("answers", "verdict"),
    [
        ((), "adequate"),
        ((("computed", Answer.MET), ("declared", Answer.AS_STATED)), "adequate"),
        ((("computed", Answer.BY_ACCEPTANCE),), "adequate"),
        ((("computed", Answer.NOT_DEMONSTRATED),), "not demonstrated"),
        ((("computed", Answer.NOT_DEMONSTRATED), ("declared", Answer.NOT_MET)), "inadequate"),
        ((("asked", Answer.TO_BE_ANSWERED),), "adequate"),
        ((("asked", Answer.NOT_DEMONSTRATED),), "not demonstrated"),  # what it rests on is open
        ((("asked", Answer.NOT_MET),), "inadequate"),
    ],
)
def test_items_count_and_questions_for_a_person_are_named(answers, verdict):
    plan = assessed()
    item = brief_dossier(job_of()).judged.answers[0].item
    judged = Judged(
        brief_dossier(job_of()).judged.set, True, "",
        tuple(Answered(replace(item, test=test), answer, "") for test, answer in answers),
    )  # fmt: skip
    found = outcome_of(plan, judged)

    assert plan.failed_checks == ()
    assert found.verdict.value == verdict
    assert found.questions == sum(answer is Answer.TO_BE_ANSWERED for _, answer in answers)


def outcome(verdict: str, accepted: int = 0) -> Outcome:
    word = Verdict(verdict)
    unmet = {} if word is Verdict.ADEQUATE else {word: 1}
    return Outcome(word, 40, unmet, accepted, 30, {}, 11)


def status(verdict: str, state: str, signed: int = 0, accepted: int = 0) -> DocumentStatus:
    days = (date(2027, 6, 1), date(2027, 6, 2))
    return DocumentStatus(outcome(verdict, accepted), State(state), signed, 2, *days)


@pytest.mark.parametrize("verdict", [each.value for each in Verdict])
@pytest.mark.parametrize("state", [each.value for each in State])
def test_only_what_is_adequate_and_in_force_or_a_draft_passes(verdict, state):
    found = status(verdict, state, 2)
    open_state = state in ("draft", "issued")

    assert found.passes == (verdict == "adequate" and open_state)
    assert found.headline.endswith(".")
    assert found.headline.count(". ") == 0
    assert re.fullmatch(r"[A-Za-z0-9 :,.;()-]+", found.headline)
    assert ("Checks met" in found.headline) == (verdict == "adequate" and state == "issued")
    assert ("valid to" in found.headline) == (verdict == "adequate" and state == "issued")
    if not open_state:
        assert "not for use" in found.headline
    if open_state and verdict != "adequate":
        assert found.headline.lower().startswith(verdict)
        assert "not for use" in found.banner


def test_a_headline_names_exceptions_and_questions():
    text = status("adequate", "issued", 2, accepted=1).headline

    assert text == (
        "Checks met, signed (2 of 2), valid to 2027-06-02: all 40 checks met, 1 of them "
        "borderline and accepted; all 30 requirement items met; 11 questions are left to a person."
    )


def test_a_record_that_cannot_be_read_is_told_and_nothing_is_said_of_the_plan(tmp_path, capsys):
    path, day = placed(tmp_path, "issued")
    record = record_path(path)
    record.write_text(record.read_text("utf-8").replace("prepared", "Prepared"), "utf-8")
    code = commands.check(path, day, as_json=False, everything=False, controls=False)
    told = capsys.readouterr()

    assert code == commands.FAULT
    assert told.out == ""
    assert "plan.signoff.yaml" in told.err
