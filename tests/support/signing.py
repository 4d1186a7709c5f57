"""Records, plans and canonical bytes for the tests of sign-offs, and processes that add entries.

Run as `python -m support.signing` it is such a process: see `main`. Nothing of pytest is in it,
so that it starts at once and may fork.
"""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import yaml

import riskdoc
from riskdoc.job.reading import read
from riskdoc.requirements.dossier import brief_dossier
from riskdoc.signing.content import content_of
from riskdoc.signing.entries import NONE, Entry, Record
from riskdoc.signing.record_files import add
from support.demos import JOBS, SEARCHED

TESTS = Path(__file__).parents[1]
WHEN = datetime(2027, 6, 1, 8, tzinfo=UTC)
DIGEST = "0123456789abcdef" * 4


# ---------------------------------------------------------------- canonical bytes, a second way


def jcs(value: Any) -> bytes:
    """RFC 8785 for plain data, written for the tests: it shares nothing with what it judges."""
    return _jcs(value).encode("utf-8")


def _jcs(value: Any) -> str:
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return '"' + "".join(map(_letter, value)) + '"'
    if isinstance(value, int | float):
        return _number(float(value))
    if isinstance(value, list | tuple):
        return "[" + ",".join(map(_jcs, value)) + "]"
    # 3.2.3: sorted by UTF-16 code units.
    keys = sorted(value, key=lambda key: key.encode("utf-16-be"))
    return "{" + ",".join(f"{_jcs(key)}:{_jcs(value[key])}" for key in keys) + "}"


def _letter(char: str) -> str:
    """3.2.2.2: what must be escaped, in its shortest form."""
    short = {"\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r"}
    if char in '"\\':
        return "\\" + char
    return short.get(char) or (f"\\u{ord(char):04x}" if char < " " else char)


def _number(value: float) -> str:
    """ECMA-262, Number::toString: the shortest digits, which `repr` gives, in its own layout."""
    if value != value or value in (float("inf"), float("-inf")):
        raise ValueError("JSON has no such number")
    if value == 0:
        return "0"
    if value < 0:
        return "-" + _number(-value)
    mantissa, _, power = repr(value).partition("e")
    whole, _, part = mantissa.partition(".")
    part = "" if part == "0" else part
    digits = (whole + part).lstrip("0")
    # The value is 0.DIGITS times ten to the `n`.
    n = len(whole + part) - len(part) - (len(whole + part) - len(digits)) + int(power or 0)
    digits = digits.rstrip("0")
    k = len(digits)
    if k <= n <= 21:
        return digits + "0" * (n - k)
    if 0 < n <= 21:
        return digits[:n] + "." + digits[n:]
    if -6 < n <= 0:
        return "0." + "0" * -n + digits
    sign = "+" if n - 1 >= 0 else "-"
    rest = "." + digits[1:] if k > 1 else ""
    return f"{digits[0]}{rest}e{sign}{abs(n - 1)}"


# ---------------------------------------------------------------- entries and records


def made(previous: str = NONE, **change: str) -> Entry:
    """An entry of an invented person with its right hash."""
    stated = {
        "act": "sign",
        "number": "T-1",
        "revision": "A",
        "role": "prepared",
        "name": "Ines Kolberg",
        "meaning": "I wrote it.",
        "time": WHEN.isoformat(),
        "digest": DIGEST,
        "previous": previous,
    }
    entry = Entry(**{**stated, **change})
    return replace(entry, hash=entry.computed)


def chained(*changes: dict[str, str]) -> Record:
    """A record whose chain is right, whoever wrote it: an entry for each change."""
    entries: list[Entry] = []
    for change in changes:
        entries.append(made(entries[-1].hash if entries else NONE, **change))
    return Record(tuple(entries))


def written(path: Path, record: Record) -> Path:
    """A record as a file, put there by other means than ours."""
    path.write_bytes(record.text.encode())
    return path


# ---------------------------------------------------------------- plans of today


def around_today(first: int = -1, last: int = 2) -> dict[str, Any]:
    """The change that puts the plain plan on days around today, in days from it."""
    today = datetime.now().astimezone().date()

    def day(days: int) -> str:
        return (today + timedelta(days)).isoformat()

    rope = {
        "made": day(-700)[:7],
        "retire_by": day(3000)[:7],
        "inspected": day(min(first, 0) - 30),
    }
    return {
        "job": {"valid": {"from": day(first), "to": day(last)}},
        "people": {id: {"expires": day(400)} for id in ("lead", "second", "third")},
        "ropes": {"main": rope, "second": rope},
        "rescue": {"drilled": day(min(first, 0) - 12)},
    }


def as_text(whole: dict[str, Any]) -> str:
    """A job as the text of a file."""
    return yaml.safe_dump(whole, default_style='"', sort_keys=False, allow_unicode=True)


# ---------------------------------------------------------------- processes


def environment() -> dict[str, str]:
    """Where a process of ours finds these helpers and the riskdoc that is tested."""
    root = Path(riskdoc.__file__).parents[1]
    return {**os.environ, "PYTHONPATH": f"{TESTS}{os.pathsep}{root}", "COLUMNS": "100"}


class Writers:
    """A process that starts others, which add entries, and kills them."""

    def __init__(self) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "support.signing", "writers"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=environment(),
        )  # fmt: skip

    def ask(self, **what: Any) -> Any:
        """Has it do something, and returns what came of it."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(json.dumps(what) + "\n")
        self.process.stdin.flush()
        return json.loads(self.process.stdout.readline())


@contextmanager
def writers() -> Iterator[Writers]:
    """Such a process, ended at the end."""
    found = Writers()
    try:
        yield found
    finally:
        found.process.communicate(timeout=60)


def main(words: list[str]) -> None:
    """`writers` obeys lines of JSON; `digests LANGUAGE` prints the digests of the demos."""
    if words[0] == "digests":
        sys.stdout.write(json.dumps(dict(digests(words[1]))))
        return
    for line in sys.stdin:
        asked = json.loads(line)
        do = {"loop": _killed_in_a_loop, "line": _killed_at_a_line, "together": _together}
        sys.stdout.write(json.dumps(do[asked.pop("do")](**asked)) + "\n")
        sys.stdout.flush()


def digests(language: str) -> Iterable[tuple[str, str]]:
    """The digests of demos in a language."""
    for name in (*SEARCHED, "wasserturm"):
        path = JOBS / f"{name}.yaml"
        file = read(path, date(2027, 3, 1)).file
        assert file is not None
        yield name, content_of(brief_dossier(file.in_form(language=language))).digest


def _child(work: Any) -> int:
    """The process that does some work and ends; it never returns here."""
    number = os.fork()
    if number:
        return number
    code = 1
    try:
        work()
        code = 0
    finally:
        os._exit(code)


def _adds(job: str, acks: str, who: str, count: int | None) -> None:
    """Adds entries, and writes down each that it was told of as added."""
    told = os.open(acks, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    number = 0
    while count is None or number < count:
        name = f"{who} {number}"
        add(Path(job), lambda record, name=name: made(record.last, name=name))
        os.write(told, f"{name}\n".encode())
        number += 1


def _killed_in_a_loop(job: str, acks: str, who: str, seed: int) -> int:
    """Kills a process that adds entries without end, at a random moment; how it ended."""
    child = _child(lambda: _adds(job, acks, who, None))
    if seed % 2:
        # Every second one is let live until it was told of an entry, however slow the disk is.
        told = Path(acks)
        while not (told.exists() and f"{who} 0\n" in told.read_text("utf-8")):
            time.sleep(0.001)
    time.sleep(random.Random(seed).uniform(0.001, 0.03))
    os.kill(child, signal.SIGKILL)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def _killed_at_a_line(job: str, acks: str, who: str, line: int) -> int:
    """Has a process kill itself at a line of what adds an entry, counted as they run."""

    def work() -> None:
        left = line

        def each(frame: Any, event: str, _: Any) -> Any:
            nonlocal left
            if Path(frame.f_code.co_filename).name not in ("records.py", "files.py"):
                return None
            if event == "line":
                left -= 1
                if not left:
                    os.kill(os.getpid(), signal.SIGKILL)
            return each

        sys.settrace(each)
        _adds(job, acks, who, 1)

    return os.waitstatus_to_exitcode(os.waitpid(_child(work), 0)[1])


def _together(job: str, acks: str, who: str, processes: int, count: int) -> list[int]:
    """Has several processes add entries at once; how each ended."""
    children = [
        _child(lambda number=number: _adds(job, acks, f"{who} {number}", count))
        for number in range(processes)
    ]
    return [os.waitstatus_to_exitcode(os.waitpid(each, 0)[1]) for each in children]


if __name__ == "__main__":
    main(sys.argv[1:])
