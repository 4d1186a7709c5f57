"""Looks at a foreign file in a process of its own, so that none can take this one down."""

from __future__ import annotations

import base64
import json
import os
import signal
import subprocess
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

PATIENCE = 3600.0
"""Seconds on the clock after which a process that waits for something is ended; judgement: its
bound is the time of the processor, and a machine may have much else to do."""
_START = "from riskdoc.verification.looking import main; main()"


def looked(path: Path, on: date, roots: Sequence[bytes]) -> dict[str, Any]:
    """What was found of a file, as plain data: `verified`, `faults`, or `refused` with why."""
    asked = {
        "path": str(path),
        "on": on.isoformat(),
        "roots": [base64.b64encode(each).decode("ascii") for each in roots],
    }
    with TemporaryDirectory(prefix="riskdoc-", ignore_cleanup_errors=True) as folder:
        return _looked(json.dumps(asked).encode(), folder)


def _looked(asked: bytes, folder: str) -> dict[str, Any]:
    """What a process found that was asked so; what it left in its folder goes with that."""
    # Without the folder it is called in among the places where Python looks for modules.
    process = subprocess.Popen(  # noqa: S603  (our own interpreter and our own words)
        [sys.executable, "-P", "-c", _START],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        env={**os.environ, "TMPDIR": folder, "TEMP": folder, "TMP": folder},
    )  # fmt: skip
    code: int | None = None
    with process:
        try:
            assert process.stdin is not None  # noqa: S101  (a pipe was asked for)
            process.stdin.write(asked + b"\n")
            process.stdin.flush()
            # It ends when this end of the pipe is closed, so it is left open until it has spoken.
            assert process.stdout is not None  # noqa: S101
            said = [json.loads(line) for line in process.stdout]
            code = process.wait(PATIENCE)
        except (OSError, ValueError, subprocess.TimeoutExpired):
            said, code = [], process.poll()
        finally:
            process.kill()
    result = said[-1] if said and "taken" not in said[-1] else None
    return result if result is not None else {"refused": _ended(code, taken=bool(said))}


def _ended(code: int | None, *, taken: bool) -> str:
    """Why a process ended before it had spoken."""
    what = "computed and printed again" if taken else "read"
    if code is not None and code == -getattr(signal, "SIGXCPU", 0):
        return f"it takes longer to be {what} than any report of ours."
    if code is not None and code < 0:
        return f"it cannot be {what}: the process that did so was ended by the system ({-code})."
    return f"it cannot be {what}."
