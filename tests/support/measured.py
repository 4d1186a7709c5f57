"""Runs a command and measures what it used: time of the processor and memory, of all its processes.

A machine under load is no fault of a command, so the time on the clock is not looked at.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from support.signing import environment

LETTERS = 40_000
"""Most letters a command may say of a hostile file: one with seventy faults tells each of them."""
# A small process between: what the one of the tests has used would be counted with what it starts.
_BETWEEN = """
import json, os, sys
pid = os.posix_spawn(sys.argv[1], sys.argv[1:], os.environ)
_, status, used = os.wait4(pid, 0)
seconds = used.ru_utime + used.ru_stime
print("\\n" + json.dumps([os.waitstatus_to_exitcode(status), seconds, used.ru_maxrss]))
"""


def measured(*words: str | bytes | Path, **env: str) -> tuple[int, list[str], str, str, float, int]:
    """Exit code, lines of output, output, standard error, seconds and KiB at most."""
    command = [sys.executable, "-S", "-c", _BETWEEN, sys.executable, "-m", "riskdoc.cli"]
    found = subprocess.run(
        [*command, *words],
        stdin=subprocess.DEVNULL, capture_output=True, check=True,
        env={**environment(), **env},
    )  # fmt: skip
    said, _, last = found.stdout.decode().rstrip("\n").rpartition("\n")
    code, seconds, kib = json.loads(last)
    return code, said.splitlines(), said, found.stderr.decode(), seconds, kib
