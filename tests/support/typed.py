"""Commands as somebody types them, each in a process of its own that has everything loaded.

To start an interpreter and load riskdoc takes most of the time of a short command. So one process
loads it and does nothing else; each command is a fork of it, with the streams, the folder and the
environment of that command. What depends on a fresh interpreter (the encoding of its streams, what
it loads, its hash seed, a stream that is gone) starts one: see `fresh`.

Run as `python -m support.typed` it is the process that forks. Nothing of pytest is in it.
"""

from __future__ import annotations

import atexit
import gc
import importlib
import io
import json
import os
import pkgutil
import resource
import subprocess
import sys
import time
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NoReturn

import riskdoc
import riskdoc.requirements.dossier as searching
from support.shared import studied_once
from support.short import print_short
from support.signing import environment

Word = str | bytes | Path


@dataclass(frozen=True)
class Typed:
    """What came of a command: exit code, output, standard error, seconds used and KiB at most."""

    code: int
    raw: bytes
    raw_err: bytes
    seconds: float
    kib: int

    @property
    def out(self) -> str:
        """Standard output as text."""
        return self.raw.decode()

    @property
    def err(self) -> str:
        """Standard error as text."""
        return self.raw_err.decode(errors="backslashreplace")


def typed(*words: Word, cwd: Path | None = None, short: bool = False, **env: str) -> Typed:
    """Runs a command. `short` takes searches from `support.shared` and prints short documents."""
    return _typist().ask(words, cwd, {**environment(), **env}, short)


def fresh(*words: Word, cwd: Path | None = None, **env: str) -> subprocess.CompletedProcess[bytes]:
    """Runs a command by an interpreter of its own, which loads everything anew."""
    return subprocess.run(
        [sys.executable, "-m", "riskdoc.cli", *words],
        capture_output=True, check=False, cwd=cwd, env={**environment(), **env}, timeout=300,
    )  # fmt: skip


@cache
def _typist() -> Typist:
    found = Typist()
    atexit.register(found.end)
    return found


class Typist:
    """The process that has everything loaded, and the folder its commands say things into."""

    def __init__(self) -> None:
        self.folder = TemporaryDirectory(prefix="typed-")
        self.process = subprocess.Popen(
            [sys.executable, "-m", "support.typed"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=environment(),
        )  # fmt: skip

    def ask(
        self, words: tuple[Word, ...], cwd: Path | None, env: Mapping[str, str], short: bool
    ) -> Typed:
        """Has a command run, and returns what came of it."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        out, err = (Path(self.folder.name) / name for name in ("out", "err"))
        asked = {
            "words": [os.fsdecode(each) for each in words],
            "cwd": str(cwd or Path.cwd()),
            "env": dict(env), "out": str(out), "err": str(err), "short": short,
        }  # fmt: skip
        self.process.stdin.write(json.dumps(asked).encode() + b"\n")
        self.process.stdin.flush()
        code, seconds, kib = json.loads(self.process.stdout.readline())
        return Typed(code, out.read_bytes(), err.read_bytes(), seconds, kib)

    def end(self) -> None:
        """Lets the process end, which it does when nothing more is asked of it."""
        self.process.communicate()
        self.folder.cleanup()


def main() -> None:
    """Loads everything, then forks a process for each line of JSON that asks for one."""
    for each in pkgutil.walk_packages(riskdoc.__path__, "riskdoc."):
        if not each.name.endswith("__main__"):
            importlib.import_module(each.name)
    importlib.import_module("weasyprint")
    gc.collect()
    gc.freeze()
    for line in sys.stdin.buffer:
        child = os.fork()
        if not child:
            _run(json.loads(line))
        _, status, used = os.wait4(child, 0)
        seconds = used.ru_utime + used.ru_stime
        said = [os.waitstatus_to_exitcode(status), seconds, used.ru_maxrss]
        sys.stdout.write(json.dumps(said) + "\n")
        sys.stdout.flush()


def _run(asked: Mapping[str, Any]) -> NoReturn:
    """What the forked process does: it becomes the command, and ends with its exit code."""
    code = 70
    try:
        _become(asked)
        code = _exit_code()
    finally:
        for stream in (sys.stdout, sys.stderr):
            stream.flush()
        os._exit(code)


def _become(asked: Mapping[str, Any]) -> None:
    os.environ.clear()
    os.environ.update(asked["env"])
    time.tzset()
    os.chdir(asked["cwd"])
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    for number, name in ((1, "out"), (2, "err")):
        flags = os.O_WRONLY | os.O_CREAT | os.O_TRUNC
        os.dup2(os.open(asked[name], flags, 0o600), number)
    sys.stdin = io.TextIOWrapper(io.BufferedReader(io.FileIO(0)), "utf-8", "surrogateescape")
    sys.stdout = io.TextIOWrapper(io.BufferedWriter(io.FileIO(1, "w")), "utf-8", "strict")
    sys.stderr = io.TextIOWrapper(io.BufferedWriter(io.FileIO(2, "w")), "utf-8", "backslashreplace")
    sys.argv = ["riskdoc", *asked["words"]]
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    if asked["short"]:
        print_short()
        searching.dossier = studied_once  # each command imports it anew


def _exit_code() -> int:
    from riskdoc.cli.main import main as command  # noqa: PLC0415  (loaded already)

    try:
        command()
    except SystemExit as ended:
        return ended.code if isinstance(ended.code, int) else int(ended.code is not None)
    return 0


if __name__ == "__main__":
    main()
