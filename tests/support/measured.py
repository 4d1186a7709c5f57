"""Runs a command and measures what it used: time of the processor and memory, of all its processes.

A machine under load is no fault of a command, so the time on the clock is not looked at.
"""

from __future__ import annotations

from pathlib import Path

from support.typed import typed

LETTERS = 40_000
"""Most letters a command may say of a hostile file: one with seventy faults tells each of them."""
STARTED = 1.5
"""Seconds of the processor to load riskdoc, which is loaded already where these are measured."""


def measured(*words: str | bytes | Path, **env: str) -> tuple[int, list[str], str, str, float, int]:
    """Exit code, lines of output, output, standard error, seconds and KiB at most."""
    found = typed(*words, **env)
    said = found.out.rstrip("\n")
    return found.code, said.splitlines(), said, found.err, found.seconds + STARTED, found.kib
