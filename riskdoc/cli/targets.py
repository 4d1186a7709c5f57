"""Whether a file that is to be written would take the place of another job's document.

Two job files of one name in two folders go to one name in the folder of the reports. The second
would replace the first unseen, and the crew would carry the paper of another job.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from html import unescape
from pathlib import Path

_NUMBER = re.compile(r'<meta name="document" content="([^"]*)">')


def clash(out: Path, names: Iterable[str], numbers: frozenset[str]) -> str:
    """Why documents of these numbers may not be written under these names; empty where they may."""
    for name in names:
        target = out / name
        if target.suffix not in (".pdf", ".html") or not target.exists():
            continue
        there = numbers_in(target.read_bytes())
        if there is None:
            return (
                f"{target} is there already and is no document of riskdoc: move it away, or choose "
                "another folder with --out. Nothing was written."
            )
        if there != numbers:
            return (
                f"{target} holds {_named(there)}, and this is {_named(numbers)}: two jobs would "
                "write one file. Choose another folder with --out, or another name for one of the "
                "job files. Nothing was written."
            )
    return ""


def _named(numbers: Iterable[str]) -> str:
    return " and ".join(repr(each) for each in sorted(numbers))


def numbers_in(raw: bytes) -> frozenset[str] | None:
    """The document numbers of the jobs in a PDF or HTML file; None where it is none of ours."""
    if not raw.startswith(b"%PDF-"):
        named = _NUMBER.findall(raw.decode("utf-8", "replace"))
        if named:
            return frozenset(map(unescape, named))
    from riskdoc.record.answers import ForeignError
    from riskdoc.record.holding import held

    try:
        files = held(raw).files
    except ForeignError:
        return None
    found = {number for name, each in files.items() if (number := _number(name, each))}
    return frozenset(found) or None


def _number(name: str, raw: bytes) -> str:
    """The document number in a job file; empty where it is no job file."""
    import yaml

    if not name.endswith((".yaml", ".yml")):
        return ""
    loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
    try:
        loaded = yaml.load(raw.decode("utf-8-sig"), Loader=loader)  # noqa: S506  (gives text alone)
    except (yaml.YAMLError, ValueError, RecursionError):
        return ""
    job = loaded.get("job") if isinstance(loaded, dict) else None
    number = job.get("number") if isinstance(job, dict) else None
    # A list of aliases would take all room as text; a number is a text already.
    return number.strip() if isinstance(number, str) else ""
