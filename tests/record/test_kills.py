"""Real processes that write one record at once, and real kills at any moment of it."""

from __future__ import annotations

import os
import subprocess
import sys
import time

import pytest
from support.plan import BASE, merged
from support.signing import around_today, as_text, chained, environment, made, writers
from support.signing import written as written_to

from riskdoc.signing.entries import Entry, Record
from riskdoc.signing.files import _part, write_whole
from riskdoc.signing.locks import HeldError, locked
from riskdoc.signing.record_files import add, others, record_of, record_path

SIGKILL = -9


@pytest.fixture(scope="module")
def hand():
    """A process that starts others and kills them."""
    with writers() as found:
        yield found


@pytest.fixture
def job(tmp_path):
    """A job file whose record is empty yet; no test here reads the job itself."""
    return tmp_path / "plan.yaml"


def names(record: Record) -> list[str]:
    return [each.name for each in record.entries]


def added(job, name: str) -> Entry:
    """An entry that this process adds, at once."""
    start = time.monotonic()
    entry = add(job, lambda record: made(record.last, name=name))
    assert time.monotonic() - start < 5, "the lock was still held"
    return entry


@pytest.mark.parametrize(("processes", "count"), [(2, 6), (8, 1), (8, 3)])
def test_processes_that_write_at_once_lose_no_entry(hand, job, tmp_path, processes, count):
    ended = hand.ask(do="together", job=str(job), acks=str(tmp_path / "acks"), who="hand",
                     processes=processes, count=count)  # fmt: skip

    record = record_of(job)
    expected = {f"hand {each} {number}" for each in range(processes) for number in range(count)}
    assert ended == [0] * processes
    assert len(record.entries) == processes * count
    assert set(names(record)) == expected
    for each in range(processes):
        own = [name for name in names(record) if name.startswith(f"hand {each} ")]
        assert own == [f"hand {each} {number}" for number in range(count)]


def test_nothing_is_left_beside_the_record(hand, job, tmp_path):
    hand.ask(do="together", job=str(job), acks=str(tmp_path / "acks"), who="hand",
             processes=4, count=2)  # fmt: skip

    left = {path.name for path in tmp_path.iterdir()} - {"acks"}
    assert left == {record_path(job).name}


def judged(job, acks, before: list[str], who: str) -> None:
    """The record holds what it held, and of the new entries all that were acknowledged."""
    found = names(record_of(job))
    told = acks.read_text().splitlines() if acks.exists() else []
    mine = [name for name in told if name.startswith(f"{who} ")]
    new = found[len(before) :]

    assert found[: len(before)] == before
    assert new == [f"{who} {number}" for number in range(len(new))]
    assert mine == new[: len(mine)]
    assert len(new) - len(mine) in (0, 1)  # the last may stand without having been told of


@pytest.mark.parametrize("series", range(6))
def test_a_process_killed_at_a_random_moment_loses_and_breaks_nothing(hand, job, tmp_path, series):
    acks = tmp_path / "acks"
    before: list[str] = []
    for number in range(8):
        who = f"hand {series} {number}"
        ended = hand.ask(
            do="loop", job=str(job), acks=str(acks), who=who, seed=100 * series + number
        )

        assert ended == SIGKILL
        judged(job, acks, before, who)
        added(job, f"after {number}")
        before = names(record_of(job))
    assert len(before) > 8, "nothing was written before any kill"


def test_a_process_killed_at_any_line_of_what_adds_an_entry_loses_and_breaks_nothing(
    hand, job, tmp_path
):
    acks = tmp_path / "acks"
    first = "first"
    kills = written = 0
    for line in range(1, 200):
        written_to(record_path(job), chained({"name": first}))
        who = f"hand {line}"
        ended = hand.ask(do="line", job=str(job), acks=str(acks), who=who, line=line)

        judged(job, acks, [first], who)
        if ended == 0:
            break
        assert ended == SIGKILL
        kills += 1
        written += len(record_of(job).entries) == 2
        assert names(record_of(job))[0] == first
        if not line % 3:
            added(job, "after")
    else:
        pytest.fail("the lines do not end")
    # Before the new file takes the place of the old one, and after it.
    assert kills > 20
    assert 0 < written < kills


def test_what_a_killed_process_left_does_not_count_as_a_record(hand, job, tmp_path):
    added(job, "first")
    for line in range(20, 40, 2):
        hand.ask(
            do="line", job=str(job), acks=str(tmp_path / "acks"), who=f"hand {line}", line=line
        )

    assert list(others(tmp_path / "another.yaml")) == [(record_path(job).name, record_of(job))]


def test_what_killed_processes_left_is_taken_away_by_the_next(hand, job, tmp_path):
    added(job, "first")
    kinds = set()
    for line in range(1, 60):
        who = f"hand {line}"
        hand.ask(do="line", job=str(job), acks=str(tmp_path / "acks"), who=who, line=line)
        kinds |= {path.suffix for path in tmp_path.glob(".*")}
    assert kinds == {".lock", ".part"}  # both were left at some line

    added(job, "last")
    assert list(tmp_path.glob(".*")) == []


def test_a_part_that_another_process_writes_now_is_left_alone(tmp_path):
    path = tmp_path / "report.pdf"
    number, part = _part(path)
    write_whole(path, b"whole")

    assert part.exists()
    os.close(number)
    write_whole(path, b"whole again")
    assert [each.name for each in tmp_path.iterdir()] == [path.name]


def test_a_lock_that_was_left_holds_nobody_up_and_one_that_is_held_does(tmp_path):
    path = tmp_path / ".lock"
    path.touch()
    with locked(path, 1), pytest.raises(HeldError), locked(path, 0.1):
        pass
    assert not path.exists()


def test_of_two_people_who_sign_for_one_role_at_once_one_is_refused(tmp_path):
    path = tmp_path / "plan.yaml"
    path.write_text(as_text(merged(BASE, around_today())), "utf-8")
    people = ("Ines Kolberg", "Otto Marn")
    started = [
        subprocess.Popen(
            [sys.executable, "-m", "riskdoc.cli", "sign", str(path), "--role", "prepared",
             "--name", name],
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment(),
        )
        for name in people
    ]  # fmt: skip
    said = [process.communicate(timeout=60) for process in started]
    codes = [process.returncode for process in started]

    assert sorted(codes) == [0, 2], said
    assert "has signed already" in said[codes.index(2)][1]
    assert names(record_of(path)) == [people[codes.index(0)]]
