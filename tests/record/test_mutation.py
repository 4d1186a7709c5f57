"""Documents changed at random: no traceback, nothing over the bounds, and none of them holds.

A few changes each time. For a long run: `RISKDOC_MUTATION=1800 python -m pytest -s
tests/record/test_mutation.py`, seconds; then each file goes through the command too, measured.
`RISKDOC_MUTATION_FROM` is the first seed, to go on or to look at one again.
"""

from __future__ import annotations

import json
import os
import random
import re
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from support.measured import LETTERS, measured
from support.mini import mini
from support.papers import DAY, with_files

from riskdoc.quantities.intervals import TooManyRangesError
from riskdoc.requirements.sets import SetError
from riskdoc.verification import looking
from riskdoc.verification.answers import ForeignError
from riskdoc.verification.taking import taken
from riskdoc.verification.verify import looked_at

pytestmark = pytest.mark.usefixtures("computed_once")
WHOLE = True  # verified by a process of its own too, which prints all of it
SHORT = 12
"""Seeds for each kind of file in the short run."""
SECONDS = float(os.environ.get("RISKDOC_MUTATION", "0"))
FIRST = int(os.environ.get("RISKDOC_MUTATION_FROM", "0"))
WORDS = [
    b"\0", b"\xff", b"\n", b"\x1b[2J", b"<", b">", b"<script>", b"'", b'"', b"&", b"*a", b"!!int ",
    b"{", b"}", b"[", b"]", b"[" * 500, b"{" * 500, b"null", b"true", b"-1", b"1e999", b"NaN",
    b"9" * 400, b"\\ud800", b"\xed\xa0\x80", b"../", b"%PDF-1.7\n", b"%%EOF\n", b"endobj\n",
    b"stream\n", b"endstream\n", b"/Prev 0 ", b"/Length 999999999 ", b"1 0 R", b"<<", b">>",
    "\u202e".encode(), "Ａ".encode(), b"---\n", b"? ", b": ", b"- ", b"#", b"x" * 5000,
]  # fmt: skip


def mutated(raw: bytes, by: random.Random) -> bytes:
    """The bytes with one to four changes at random."""
    for _ in range(by.randint(1, 4)):
        raw = by.choice(CHANGES)(raw, by) or b"x"
    return raw


def _flip(raw: bytes, by: random.Random) -> bytes:
    at = by.randrange(len(raw))
    return raw[:at] + bytes([raw[at] ^ (1 << by.randrange(8))]) + raw[at + 1 :]


def _cut(raw: bytes, by: random.Random) -> bytes:
    return raw[: by.randrange(len(raw))] if by.random() < 0.3 else _take(raw, by)


def _take(raw: bytes, by: random.Random) -> bytes:
    at = by.randrange(len(raw))
    return raw[:at] + raw[at + by.randint(1, 1 + len(raw) // 10) :]


def _put(raw: bytes, by: random.Random) -> bytes:
    at = by.randrange(len(raw))
    return raw[:at] + by.choice(WORDS) + raw[at:]


def _again(raw: bytes, by: random.Random) -> bytes:
    at = by.randrange(len(raw))
    part = raw[at : at + by.randint(1, 300)]
    return raw[:at] + part * by.choice([1, 2, 1000]) + raw[at:]


def _move(raw: bytes, by: random.Random) -> bytes:
    a, b = sorted((by.randrange(len(raw)), by.randrange(len(raw))))
    return raw[:a] + raw[b : b + 200] + raw[a:b] + raw[b + 200 :]


def _number(raw: bytes, by: random.Random) -> bytes:
    found = list(re.finditer(rb"\d+", raw[: 2 * 10**6]))
    if not found:
        return raw
    it = by.choice(found)
    new = by.choice([b"0", b"-1", b"99999999999999999999", str(by.randrange(10**6)).encode()])
    return raw[: it.start()] + new + raw[it.end() :]


def _value(raw: bytes, by: random.Random) -> bytes:
    """Something else in the place of one value of JSON, where it is JSON."""
    try:
        plain = json.loads(raw)
    except ValueError:
        return raw
    here, key = {"it": plain}, "it"
    for _ in range(by.randint(1, 6)):
        inner = here[key]
        if not isinstance(inner, dict | list) or not inner:
            break
        here = inner
        key = by.choice(list(here) if isinstance(here, dict) else range(len(here)))
    here[key] = by.choice(
        [None, 1, -1, 1.5, 10**30, "", "x", "\u202e", "x" * 3000, [], {}, [1], {"a": []}, True]
    )
    return json.dumps(plain, ensure_ascii=False).encode("utf-8", "replace")


CHANGES: list[Callable[[bytes, random.Random], bytes]] = [
    _flip, _cut, _take, _put, _put, _again, _move, _number, _value,
]  # fmt: skip
INSIDE = ("-figures.json", "-content.json", ".signoff.yaml", "plan.yaml", "rules.yaml")


def changed(kind: str, seed: int) -> bytes:
    """A document of which something was changed: its own bytes, or a file in it, sealed anew."""
    by = random.Random(f"{kind} {seed}")
    if kind == "html":
        return mutated(mini().html, by)
    if kind == "pdf":
        return mutated(mini().pdf, by)
    return with_files(mini().html, {kind: lambda raw: mutated(raw, by)})


class TooLongError(BaseException):
    """A file takes longer to be looked at than any report: the process that does so is ended."""


@contextmanager
def bounded(seconds: float) -> Iterator[None]:
    """Ends what takes longer than so many seconds of the processor, as `verify` does."""

    def end(*_: object) -> None:
        raise TooLongError

    before = signal.signal(signal.SIGVTALRM, end)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)


def assert_found(raw: bytes) -> None:
    """Looks at a document that was changed: it is refused in a sentence, or does not hold."""
    told = ""
    try:
        with bounded(looking.SECONDS["read"]):
            apart = taken(raw)
        told = "" if looked_at(apart, DAY).holds else "does not hold"
    except (ForeignError, SetError, TooManyRangesError) as error:
        told = str(error)
    except TooLongError:
        told = "it takes longer to be read than any report of ours"
    assert 0 < len(told) < LETTERS


@pytest.mark.parametrize("kind", ["html", "pdf", *INSIDE])
def test_a_document_that_was_changed_is_refused_or_does_not_hold(kind):
    same = mini().pdf if kind == "pdf" else mini().html
    for seed in range(FIRST, FIRST + SHORT):
        raw = changed(kind, seed)
        if raw != same:
            print(kind, seed)  # noqa: T201  (what to look at again)
            assert_found(raw)


@pytest.mark.skipif(not SECONDS, reason="a long run: see the top of this file")
def test_for_a_long_time(tmp_path):
    until, seed, path = time.monotonic() + SECONDS, FIRST, tmp_path / "report"
    kinds = ["html", "pdf", *INSIDE]
    while time.monotonic() < until:
        kind = kinds[seed % len(kinds)]
        raw = changed(kind, seed)
        path.write_bytes(raw)
        code, _, said, told, _, _ = measured("verify", path, "--on", DAY.isoformat())
        print(kind, seed, code)  # noqa: T201
        assert code in ((1, 2) if raw != mini().html and raw != mini().pdf else (0,)), told
        assert "Traceback" not in told
        assert len(said) + len(told) < LETTERS
        seed += 1
