"""The process in which a foreign file is read and looked at, under bounds that the system keeps.

Reading foreign bytes can take for ever, or all of the memory, whatever a reader is written for. So
it is done in a process of its own: one that ends by itself when it has used its time or room, that
writes nothing of what it reads, and that says what it found in lines of JSON. `bounded` starts it.
"""

from __future__ import annotations

import base64
import contextlib
import json
import os
import sys
import threading
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from riskdoc.job.faults import shown
from riskdoc.job.files_beside import TooLargeError, plain_bytes, why
from riskdoc.job.reading import read
from riskdoc.signing.dressed import dressed
from riskdoc.signing.entries import HEAD
from riskdoc.verification.answers import ForeignError
from riskdoc.verification.holding import MOST_BYTES
from riskdoc.verification.taking import taken

MIB = 1024 * 1024
ROOM = {"read": 512 * MIB, "look": 1536 * MIB}
"""Memory to take a document apart, and to compute and print it again."""
WRITES = {"read": 0, "look": 64 * MIB}
"""Bytes of a file it may write: none while it reads; the printer unpacks typefaces for itself."""
SECONDS = {"read": 8, "job": 60, "look": 300}
"""Seconds of the processor for the same, and to read a job with its pictures; judgement: a report
of fifty pages takes one to be taken apart and some thirty to be printed again."""


def main() -> None:
    """Reads what is asked for on standard input, and says what it found on standard output."""
    asked = json.loads(sys.stdin.buffer.readline())
    threading.Thread(target=_ends_with_its_parent, daemon=True).start()
    bound("read", "read")
    try:
        said = _looked(asked)
    except ForeignError as error:
        said = {"refused": f"{error}."}
    except ValueError as error:  # a set, ranges or numbers with which nothing can be computed
        said = {"refused": f"it cannot be read or computed: {shown(str(error), 500)[1:-1]}."}
    except MemoryError:
        said = {"refused": "it takes more memory than any report of ours."}
    except RecursionError:
        said = {"refused": "it is nested deeper than any report of ours."}
    except Exception as error:  # whatever foreign bytes lead to, it is said in a sentence
        said = {"refused": f"it cannot be read or computed ({type(error).__name__})."}
    _say(said)


def _ends_with_its_parent() -> None:
    sys.stdin.buffer.read()
    os._exit(1)


def bound(room: str, seconds: str) -> None:
    """Sets what this process may use from now on, where the system can."""
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource  # noqa: PLC0415  (not on every system)

        used = resource.getrusage(resource.RUSAGE_SELF)
        spent = int(used.ru_utime + used.ru_stime) + 1
        for kind, most in (
            (resource.RLIMIT_CORE, 0),
            (resource.RLIMIT_FSIZE, WRITES[room]),
            (resource.RLIMIT_AS, ROOM[room]),
            (resource.RLIMIT_CPU, spent + SECONDS[seconds]),
        ):
            _, hard = resource.getrlimit(kind)
            fits = hard == resource.RLIM_INFINITY or most <= hard
            resource.setrlimit(kind, (most if fits else hard, hard))


def _say(said: Mapping[str, Any]) -> None:
    sys.stdout.write(json.dumps(said) + "\n")
    sys.stdout.flush()


def _looked(asked: Mapping[str, Any]) -> dict[str, Any]:
    path, on = Path(asked["path"]), date.fromisoformat(asked["on"])
    roots = [base64.b64decode(each) for each in asked["roots"]]
    try:
        raw = plain_bytes(path, MOST_BYTES)
    except TooLargeError as error:
        raise ForeignError(f"it is larger than {MOST_BYTES // MIB} MiB") from error
    except OSError as error:
        raise ForeignError(f"it cannot be read: {why(error)}") from error
    if raw.startswith(HEAD.splitlines(keepends=True)[0].encode()):
        raise ForeignError("it is a record of sign-offs: name the job file beside it")
    if raw.startswith(b"%PDF-") or raw.lstrip()[:1] == b"<":
        return _document(raw, on, roots)
    trouble = dressed(path.name, raw)
    if trouble:
        raise ForeignError(f"it begins as no document does, and {trouble}")
    return _job(path, on, roots)


def _document(raw: bytes, on: date, roots: list[bytes]) -> dict[str, Any]:
    apart = taken(raw)
    _say({"taken": True})
    bound("look", "look")
    from riskdoc.verification.verify import looked_at  # noqa: PLC0415  (slow, and not for what is foreign)

    return {"verified": looked_at(apart, on, roots).plain}


def _job(path: Path, on: date, roots: list[bytes]) -> dict[str, Any]:
    bound("look", "job")
    reading = read(path, on)
    said = [str(each) for each in (*reading.faults, *reading.warnings)]
    if reading.file is None:
        codes = list(dict.fromkeys(str(each.code) for each in reading.faults))
        return {"faults": said, "codes": codes}
    _say({"taken": True})
    bound("look", "look")
    from riskdoc.verification.verify import verified_job  # noqa: PLC0415

    return {"warnings": said, "verified": verified_job(path, reading.file, roots).plain}
