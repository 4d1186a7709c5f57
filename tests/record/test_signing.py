"""Who may sign what, in what order and until when; and how a document stands by its record."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from functools import cache

import pytest
from support.certificates import SECRET
from support.certificates import made as certificate
from support.plan import BASE, COMPLETE, COPING, DAY, job_of, merged, over_edges
from support.signing import WHEN, as_text, chained, made, written

from riskdoc.i18n.say import Locale, speaking
from riskdoc.job.reading import read
from riskdoc.requirements.dossier import Brief, brief_dossier
from riskdoc.signing.certificates import load
from riskdoc.signing.cms_form import signed
from riskdoc.signing.content import content_of
from riskdoc.signing.document_status import State
from riskdoc.signing.entries import NONE, Record, RecordError
from riskdoc.signing.entry_rules import terms_of
from riskdoc.signing.record_files import others, record_of, record_path
from riskdoc.signing.sign_off_state import stand
from riskdoc.signing.signing import MEANINGS, Deed, RefusedError, act, meaning_of

ROUNDED = {**COPING, "radius": "15 mm"}
BORDERLINE = over_edges(ROUNDED)
"""A coping that the rules find borderline for the bare rope."""
ACCEPTED = merged(
    BORDERLINE,
    {
        "signoff": {
            "deviations": [
                {
                    "check": check,
                    "by": "lead",
                    "reason": "Looked at from the ladder.",
                    "until": "2027-06-02",
                }
                for check in (
                    "line/working/edge/edge_working/exposure",
                    "line/working/edge/edge_working/rule/bare",
                    "line/safety/edge/edge_safety/rule/bare",
                )
            ]
        }
    },
)
PLANS = {
    "plain": {},
    "longer": {"ropes": {"main": {"length": "101 m"}}},
    "borderline": BORDERLINE,
    "accepted": ACCEPTED,
    "another": {"job": {"number": "T-2"}},
    "revised": {"job": {"revision": "B"}},
    "three": {"signoff": {"roles": ["prepared", "checked", "authorised"]}},
    "twice": {"signoff": {"roles": ["prepared", "prepared"]}},
}
HOUR = timedelta(hours=1)
FIRST, SECOND = "Ines Kolberg", "Otto Marn"


@cache
def of(plan: str, day: date = DAY) -> Brief:
    return brief_dossier(job_of(COMPLETE, PLANS[plan], day=day))


def digest(plan: str) -> str:
    return content_of(of(plan)).digest


@pytest.fixture
def job(tmp_path):
    return tmp_path / "plan.yaml"


def signs(job, role="prepared", name=FIRST, plan="plain", after=0.0, when=WHEN):
    return act(job, of(plan), Deed("sign", role, name, "I say so."), when + after * HOUR)


def withdraws(job, role="prepared", plan="plain", after=0.0):
    deed = Deed("withdraw", role, FIRST, "The ring has come loose.")
    return act(job, of(plan), deed, WHEN + after * HOUR)


def supersedes(job, role="prepared", plan="plain", after=0.0):
    deed = Deed("supersede", role, FIRST, "The wind.", successor="T-1, B")
    return act(job, of(plan), deed, WHEN + after * HOUR)


def issued(job, plan="plain"):
    signs(job, plan=plan)
    signs(job, "authorised", SECOND, plan=plan, after=1)


def state(job, plan="plain", day=DAY) -> State:
    return stand(of(plan, day), record_of(job)).state


def assert_refused(deed, *words: str) -> RefusedError:
    """What is said when a deed is refused; the record must be as it was."""
    with pytest.raises(RefusedError) as caught:
        deed()
    for word in words:
        assert word in str(caught.value), str(caught.value)
    return caught.value


@pytest.fixture(autouse=True)
def nothing_changes_where_something_is_refused(tmp_path, monkeypatch):
    """Around every act: what is raised leaves the bytes of every record as they were."""
    real = act

    def watched(job, whole, deed, now):
        before = {path: path.read_bytes() for path in tmp_path.glob("*.signoff.yaml")}
        try:
            return real(job, whole, deed, now)
        except Exception:
            after = {path: path.read_bytes() for path in tmp_path.glob("*.signoff.yaml")}
            assert after == before
            raise

    monkeypatch.setitem(globals(), "act", watched)


# ---------------------------------------------------------------- a whole life


def test_a_document_is_a_draft_then_issued_then_superseded(job):
    assert state(job) is State.DRAFT
    signs(job)
    assert state(job) is State.DRAFT
    signs(job, "authorised", SECOND, after=1)
    assert state(job) is State.ISSUED
    supersedes(job, after=2)
    assert state(job) is State.SUPERSEDED

    standing = stand(of("plain"), record_of(job))
    assert [each.entry.name for each in standing.signed] == [FIRST, SECOND]
    assert standing.ended.successor == "T-1, B"
    assert not standing.status.passes
    assert standing.aside == ()


def test_an_entry_says_who_did_what_when_and_to_which_content(job):
    entry = signs(job, after=0.5)

    assert (entry.act, entry.role, entry.name, entry.meaning) == (
        "sign", "prepared", FIRST, "I say so."
    )  # fmt: skip
    assert (entry.number, entry.revision) == ("T-1", "A")
    assert entry.time == "2027-06-01T08:30:00+00:00"
    assert entry.digest == digest("plain")
    assert entry.previous == NONE
    assert record_of(job).entries == (entry,)


def test_the_banner_says_how_a_document_stands(job):
    def banner(day=DAY):
        return stand(of("plain", day), record_of(job)).status.banner

    assert banner() == "DRAFT: not signed, not for use"
    signs(job)
    assert banner() == "DRAFT: 1 of 2 signed, not for use"
    signs(job, "authorised", SECOND, after=1)
    assert banner() == "ISSUED: 2027-06-01 to 2027-06-02, no longer"
    withdraws(job, after=2)
    assert banner() == "WITHDRAWN: not for use"


@pytest.mark.parametrize("end", [withdraws, supersedes])
@pytest.mark.parametrize("ready", [lambda job: None, signs, issued], ids=["none", "one", "all"])
def test_after_a_revision_was_withdrawn_or_superseded_there_is_nothing_more_to_do(job, end, ready):
    ready(job)
    end(job, after=2)
    ended = state(job)
    word = "withdrawn" if end is withdraws else "superseded"

    assert ended.value == word
    for deed in (signs, withdraws, supersedes):
        for role in ("prepared", "authorised"):
            assert_refused(
                lambda deed=deed, role=role: deed(job, role, after=3), word, "new revision"
            )
    assert state(job) is ended


# ---------------------------------------------------------------- who, in what order


@pytest.mark.parametrize("role", ["checked", "Prepared", "prepared ", "", "AUTHORISED", "prépared"])
@pytest.mark.parametrize("deed", [signs, withdraws, supersedes])
def test_a_role_that_is_not_asked_for_can_do_nothing(job, deed, role):
    assert_refused(lambda: deed(job, role), "prepared, authorised")


def test_roles_sign_in_the_order_of_the_job(job):
    assert_refused(
        lambda: signs(job, "authorised", plan="three"), "prepared signs before authorised"
    )
    signs(job, "prepared", plan="three")
    assert_refused(
        lambda: signs(job, "authorised", plan="three"), "checked signs before authorised"
    )
    signs(job, "checked", SECOND, plan="three", after=1)
    signs(job, "authorised", "Ana Vell", plan="three", after=2)

    assert state(job, "three") is State.ISSUED


@pytest.mark.parametrize("name", [FIRST, SECOND])
def test_no_role_signs_twice_whoever_it_is(job, name):
    signs(job)

    assert_refused(lambda: signs(job, name=name, after=1), "prepared has signed already")


def test_one_sign_off_does_not_count_for_two_roles_of_the_same_name(job):
    # Either such a job is no job, or each of its two roles wants its own sign-off.
    try:
        whole = of("twice")
    except AssertionError:
        return
    act(job, whole, Deed("sign", "prepared", FIRST, "I say so."), WHEN)

    assert stand(whole, record_of(job)).count == 1
    assert stand(whole, record_of(job)).state is State.DRAFT


def test_any_role_may_withdraw_before_anybody_has_signed(job):
    withdraws(job, "authorised")

    assert state(job) is State.WITHDRAWN


# ---------------------------------------------------------------- what, and until when


def test_a_plan_with_a_stop_that_nobody_accepts_is_not_signed_and_the_stops_are_named(job):
    stops = of("borderline").plan.failed_checks
    found = assert_refused(
        lambda: signs(job, plan="borderline"), *(str(each.title) for each in stops)
    )

    assert stops
    assert found.stops
    assert not record_path(job).exists()


def test_a_plan_whose_stops_are_accepted_as_deviations_is_signed_and_says_so(job):
    issued(job, "accepted")
    standing = stand(of("accepted"), record_of(job))

    assert standing.state is State.ISSUED
    assert standing.outcome.accepted == 3
    assert standing.status.banner == (
        "ISSUED WITH 3 ACCEPTED EXCEPTIONS: 2027-06-01 to 2027-06-02, no longer"
    )


def test_a_plan_with_stops_can_be_withdrawn(job):
    withdraws(job, plan="borderline")

    assert state(job, "borderline") is State.WITHDRAWN


def test_a_refusal_that_has_nothing_to_do_with_the_stops_does_not_blame_them(job):
    withdraws(job, plan="borderline")
    found = assert_refused(lambda: withdraws(job, plan="borderline", after=1), "withdrawn")

    assert not found.stops


def test_the_last_day_is_a_day_to_sign_and_the_day_after_is_not(job):
    last = datetime(2027, 6, 2, 23, 59, 59, tzinfo=WHEN.tzinfo)
    signs(job, when=last)

    assert_refused(
        lambda: signs(job, "authorised", when=last + timedelta(seconds=1)),
        "The last day, 2027-06-02, has passed",
    )


def test_the_last_day_is_that_of_the_clock_where_it_is_signed(job):
    # Just past midnight there, still the evening before in UTC.
    east = timezone(timedelta(hours=2))

    assert_refused(lambda: signs(job, when=datetime(2027, 6, 3, 0, 30, tzinfo=east)), "has passed")


def test_a_document_may_be_withdrawn_after_its_last_day(job):
    issued(job)
    withdraws(job, after=24 * 30)

    assert state(job, day=date(2027, 7, 1)) is State.WITHDRAWN


def test_an_issued_document_runs_out_after_its_last_day_and_not_before(job):
    issued(job)

    assert state(job, day=date(2027, 6, 2)) is State.ISSUED
    assert state(job, day=date(2027, 6, 3)) is State.EXPIRED


def test_a_draft_runs_out_too(job):
    assert state(job, day=date(2027, 6, 3)) is State.EXPIRED


def test_a_clock_that_stands_before_the_last_entry_is_told_to_be_set(job):
    signs(job, after=1)

    assert_refused(
        lambda: signs(job, "authorised", after=0.9), "set the clock", "2027-06-01T09:00:00"
    )
    assert_refused(lambda: withdraws(job, after=0), "set the clock")
    signs(job, "authorised", after=1)


def test_times_are_compared_as_moments_and_not_as_letters(job):
    signs(job)
    west = timezone(timedelta(hours=-5))  # 04:00 there is 09:00 in UTC

    signs(job, "authorised", when=datetime(2027, 6, 1, 4, tzinfo=west))
    assert state(job) is State.ISSUED


# ---------------------------------------------------------------- one content for one revision


def test_another_content_under_the_same_number_and_revision_is_refused_in_the_same_record(job):
    signs(job)

    assert_refused(
        lambda: signs(job, "authorised", SECOND, plan="longer", after=1),
        "another content", "new revision", FIRST, digest("plain")[:12], digest("longer")[:12],
    )  # fmt: skip


def test_another_content_under_the_same_number_and_revision_is_refused_beside_another_record(job):
    signs(job.with_name("copy.yaml"))

    assert_refused(
        lambda: signs(job, plan="longer", after=1), "copy.signoff.yaml", "another content"
    )


def test_the_same_content_under_another_file_name_may_be_signed(job):
    signs(job.with_name("copy.yaml"))
    signs(job)

    assert [name for name, _ in others(job)] == ["copy.signoff.yaml"]


def test_another_revision_or_another_number_beside_it_is_no_hindrance(job):
    signs(job.with_name("b.yaml"), plan="revised")
    signs(job.with_name("c.yaml"), plan="another")
    signs(job)

    assert state(job) is State.DRAFT


def test_another_record_that_is_damaged_is_no_hindrance(job):
    job.with_name("torn.signoff.yaml").write_bytes(b"signoff: 1\n")
    signs(job)

    assert list(others(job)) == []


def test_a_changed_job_may_still_be_withdrawn(job):
    signs(job)
    withdraws(job, plan="longer", after=1)

    assert state(job, "longer") is State.WITHDRAWN


def test_a_new_revision_is_signed_in_the_record_of_the_same_file(job):
    issued(job)
    signs(job, plan="revised", after=2)

    assert state(job, "revised") is State.DRAFT
    assert state(job) is State.ISSUED


def test_the_record_of_another_job_beside_it_is_not_written(job):
    signs(job, plan="another")

    assert_refused(lambda: signs(job, after=1), "belongs to another job", "T-2", "T-1")
    assert_refused(lambda: withdraws(job, after=1), "belongs to another job")


def test_a_damaged_record_is_not_written(job):
    record_path(job).write_bytes(b"signoff: 1\n")

    for deed in (signs, withdraws, supersedes):
        with pytest.raises(RecordError):
            deed(job)


# ---------------------------------------------------------------- what was put there otherwise


def stated(*changes: dict[str, str]) -> Record:
    """A record whose chain is right, with what a sign-off of the plain plan would have."""
    return chained(*({"digest": digest("plain"), **change} for change in changes))


GOOD = ({"role": "prepared"}, {"role": "authorised"})


def test_a_record_made_by_hand_that_breaks_no_rule_counts():
    # Nobody can tell it from ours: a typed name is a recorded name.
    assert stand(of("plain"), stated(*GOOD)).state is State.ISSUED


BREAKS = {
    "a role that is not asked for": (*GOOD, {"role": "checked"}),
    "the wrong order": tuple(reversed(GOOD)),
    "twice": (GOOD[0], GOOD[0], GOOD[1]),
    "another content": (GOOD[0], {**GOOD[1], "digest": "f" * 64}),
    "another number": ({"number": "T-9"}, *GOOD),
    "a time before that of the entry before it": (
        {**GOOD[0], "time": "2027-06-01T10:00:00+00:00"},
        {**GOOD[1], "time": "2027-06-01T09:00:00+00:00"},
    ),
    "a time before by its offset": (
        {**GOOD[0], "time": "2027-06-01T10:00:00+00:00"},
        {**GOOD[1], "time": "2027-06-01T11:00:00+02:00"},
    ),
    "after the last day": (GOOD[0], {**GOOD[1], "time": "2027-06-03T00:00:00+00:00"}),
    "withdrawn by nobody who may": (*GOOD, {"act": "withdraw", "role": "stranger"}),
    "a broken certificate": (GOOD[0], {**GOOD[1], "certificate": "AAAA"}),
}


@pytest.mark.parametrize("rule", BREAKS)
def test_an_entry_that_breaks_a_rule_does_not_count_though_its_chain_is_right(rule):
    standing = stand(of("plain"), stated(*BREAKS[rule]))

    assert standing.state is State.MISMATCH
    assert standing.status.banner == "SIGN-OFF DOES NOT MATCH THIS CONTENT: not for use"
    assert standing.aside
    assert all(why for _, why in standing.aside)


def test_entries_on_a_plan_with_stops_do_not_count():
    record = chained(*({"digest": digest("borderline"), **each} for each in GOOD))
    standing = stand(of("borderline"), record)

    assert standing.state is State.MISMATCH
    assert standing.count == 0


@pytest.mark.parametrize("end", ["withdraw", "supersede"])
def test_what_was_signed_after_the_end_does_not_bring_a_document_back(end):
    standing = stand(of("plain"), stated({"act": end}, *GOOD))

    assert standing.state in (State.WITHDRAWN, State.SUPERSEDED)
    assert standing.count == 0
    assert len(standing.aside) == 2


def test_a_change_of_the_plan_after_it_was_signed_shows(job):
    issued(job)

    assert state(job, "longer") is State.MISMATCH
    assert state(job) is State.ISSUED


def test_a_sign_off_of_another_content_in_another_record_counts_against_a_document(job):
    issued(job)
    elsewhere = stated({"digest": "f" * 64})

    assert stand(of("plain"), record_of(job), [elsewhere]).state is State.MISMATCH
    assert stand(of("plain"), record_of(job), [stated(*GOOD)]).state is State.ISSUED
    assert stand(of("plain"), record_of(job), [stated({"digest": "f" * 64, "revision": "B"})]
                 ).state is State.ISSUED  # fmt: skip


def test_a_time_at_the_ends_of_the_calendar_breaks_nothing():
    for time in ("0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00"):
        late = time.startswith("9")
        standing = stand(of("plain"), stated({"time": time}, GOOD[1]))
        assert (standing.state is State.MISMATCH) is late


def test_an_entry_that_does_not_count_is_no_reason_to_refuse_the_right_one(job):
    # It shows as a mismatch, and who withdraws the document can still do so.
    written(record_path(job), stated({"role": "checked"}))
    signs(job, after=1)
    withdraws(job, after=2)

    assert state(job) is State.WITHDRAWN


# ---------------------------------------------------------------- earlier revisions


def with_earlier(tmp_path, record: Record | None, day: date = DAY, raw: bytes = b""):
    (tmp_path / "plan_a.yaml").write_text(as_text(BASE), "utf-8")
    path = tmp_path / "plan_b.yaml"
    replaces = {"file": "plan_a.yaml", "reason": "The wind"}
    path.write_text(as_text(merged(BASE, {"job": {"revision": "B", "replaces": replaces}})))
    old = tmp_path / "plan_a.signoff.yaml"
    if record is not None:
        written(old, record)
    if raw:
        old.write_bytes(raw)
    file = read(path, day).file
    assert file is not None
    # What is judged here is the revision before; of the plan itself nothing is asked.
    it = of("plain")
    whole = replace(it, plan=replace(it.plan, file=file))
    standing = stand(whole, None, (), lambda name: record_of(path.with_name(name)))
    (before,) = standing.before
    return before


EARLIER = {
    "no record": (None, State.DRAFT),
    "one of two": (({"role": "prepared"},), State.DRAFT),
    "all": (GOOD, State.ISSUED),
    "superseded": ((*GOOD, {"act": "supersede", "successor": "T-1, B"}), State.SUPERSEDED),
    "withdrawn": ((*GOOD, {"act": "withdraw"}), State.WITHDRAWN),
    "those of another revision": (tuple({**e, "revision": "B"} for e in GOOD), State.DRAFT),
}


@pytest.mark.parametrize("how", EARLIER)
def test_an_earlier_revision_stands_by_its_own_record(tmp_path, how):
    changes, expected = EARLIER[how]
    before = with_earlier(tmp_path, stated(*changes) if changes else None)

    assert before.state is expected
    assert before.reason == "The wind"
    assert before.trouble == ""
    assert before.file.job.job.revision == "A"


def test_an_earlier_revision_that_has_run_out_is_said_to_have(tmp_path):
    assert with_earlier(tmp_path, stated(*GOOD), date(2027, 6, 3)).state is State.EXPIRED


def test_an_earlier_revision_whose_record_is_damaged_has_no_state_and_says_why(tmp_path):
    before = with_earlier(tmp_path, None, raw=b"signoff: 1\n")

    assert before.state is None
    assert "plan_a.signoff.yaml" in before.trouble


def test_a_document_without_an_earlier_revision_has_none():
    assert stand(of("plain")).before == ()


# ---------------------------------------------------------------- the rest


def test_the_terms_of_a_plan_are_its_roles_its_content_and_its_last_day():
    terms = terms_of(of("three"))

    assert terms.roles == ("prepared", "checked", "authorised")
    assert terms.digest == digest("three")
    assert terms.end == date(2027, 6, 2)
    assert terms.stops == ()


@pytest.mark.parametrize("role", MEANINGS)
def test_the_usual_roles_have_usual_words_that_say_i(role):
    assert meaning_of(role, None).startswith("I ")
    assert meaning_of(role, "I walked it.") == "I walked it."


def test_another_role_has_to_say_what_it_means():
    assert_refused(
        lambda: meaning_of("rope chief", None), "--meaning", "prepared, checked, authorised"
    )
    assert meaning_of("rope chief", "I walked it.") == "I walked it."


@pytest.mark.parametrize("role", ["erstellt", "geprüft", "genehmigt"])
def test_the_usual_german_roles_have_usual_german_words(role):
    with speaking(Locale("de")):
        assert re.match(r"Ich\b|Nach .* ich\b", meaning_of(role, None))


def test_a_certificate_is_asked_for_over_the_statement_at_the_time_of_the_entry(job, tmp_path):
    asked, given = [], []
    holder = load(certificate(FIRST).file(tmp_path), SECRET)

    def certify(statement: bytes, when: datetime) -> str:
        asked.append((statement, when))
        given.append(signed(holder, statement, when))
        return given[-1]

    entry = act(job, of("plain"), Deed("sign", "prepared", FIRST, "I.", "", certify), WHEN)

    assert asked == [(entry.statement, WHEN)]
    assert [entry.certificate] == given
    assert entry.hash == made(NONE, **{
        key: getattr(entry, key) for key in ("digest", "meaning", "certificate")}).hash  # fmt: skip


def test_an_entry_whose_certificate_would_be_found_broken_is_not_written(job):
    deed = Deed("sign", "prepared", FIRST, "I.", "", lambda *_: "AAAA")
    assert_refused(lambda: act(job, of("plain"), deed, WHEN), "damaged")
    assert record_of(job).entries == ()


def test_a_certificate_is_not_asked_for_where_the_entry_may_not_stand(job):
    def certify(statement: bytes, when: datetime) -> str:
        raise AssertionError("asked for nothing")

    deed = Deed("sign", "authorised", FIRST, "I.", "", certify)
    assert_refused(lambda: act(job, of("plain"), deed, WHEN), "prepared signs before")
