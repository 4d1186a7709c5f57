"""Documents of a small plan that was signed, and what somebody else makes of them.

Everything is made when it is asked for: no forged file is stored. Forgers here know the source, so
whatever they change they seal anew.
"""

from __future__ import annotations

import base64
import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cache, cached_property, partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from riskdoc.cli.commands import _under_its_own_name
from riskdoc.job.reading import read
from riskdoc.report.attachments import report_attachments
from riskdoc.report.html import html_file
from riskdoc.report.seal import sealed_html
from riskdoc.report.view import build
from riskdoc.requirements.dossier import Dossier, brief_dossier
from riskdoc.signing.certificates import Certificate, load
from riskdoc.signing.cms_form import signed as sealed
from riskdoc.signing.record_files import others, record_of
from riskdoc.signing.sign_off_state import SignOffState, stand
from riskdoc.signing.signing import MEANINGS, Deed, act
from riskdoc.verification.holding import held
from riskdoc.verification.verify import Answer, verified
from support.certificates import SECRET, Held
from support.plan import BASE, COMPLETE, merged
from support.shared import printed, studied_once
from support.short import is_short
from support.signing import as_text

DAY = date(2027, 6, 1)
"""The first day of the plan, on which it is looked at."""
NOW = datetime(2027, 5, 30, 9, 0, tzinfo=UTC)
WHOLE = merged(BASE, COMPLETE)
NAMES = {"prepared": "A. Lead", "authorised": "D. Fourth"}
_kept: list[TemporaryDirectory[str]] = []


def folder() -> Path:
    """A folder that is there until the process ends."""
    _kept.append(TemporaryDirectory())
    return Path(_kept[-1].name)


def put(
    where: Path, *changes: dict[str, Any], name: str = "plan.yaml", base: dict[str, Any] = WHOLE
) -> Path:
    """A plan that is met, with changes, as a file in a folder."""
    whole = base
    for change in changes:
        whole = merged(whole, change)
    path = where / name
    path.write_text(as_text(whole), "utf-8")
    return path


def holder(held: Held) -> Certificate:
    """A certificate with its key, as it is opened from its file."""
    return load(held.file(folder()), SECRET)


def signed(
    path: Path, *roles: str, now: datetime = NOW, by: Mapping[str, Held] | None = None
) -> None:
    """Has these roles sign what a job file says, one minute after another, some by certificate."""
    file = read(path, now.date()).file
    assert file is not None
    whole = brief_dossier(file)
    for n, role in enumerate(roles or tuple(NAMES)):
        when = now.replace(minute=now.minute + n)
        own = by.get(role) if by else None
        certify = None if own is None else partial(sealed, holder(own))
        act(path, whole, Deed("sign", role, NAMES[role], MEANINGS[role], certify=certify), when)


@dataclass(frozen=True)
class Paper:
    """The document of a job file as it stands in its folder."""

    path: Path
    whole: Dossier
    standing: SignOffState

    @cached_property
    def inside(self) -> Any:
        return report_attachments(self.whole, self.standing)

    @cached_property
    def view(self) -> Any:
        return build(self.whole, self.standing)

    @cached_property
    def html(self) -> bytes:
        return html_file(self.view, self.inside)

    @cached_property
    def _printed(self) -> dict[bool, bytes]:
        return {}

    @property
    def pdf(self) -> bytes:
        """Printed whole or short, as the file of tests has it; each is made once."""
        if is_short() not in self._printed:
            self._printed[is_short()] = printed(self.view, self.inside)
        return self._printed[is_short()]

    def file(self, tail: str) -> bytes:
        """The file inside whose name ends so."""
        return held(self.html).one(tail)[1]


def paper(path: Path, on: date = DAY, **form: str) -> Paper:
    """The document of a job file, as `render` makes it."""
    reading = read(path, on)
    assert reading.file is not None, [str(each) for each in reading.faults]
    file = _under_its_own_name(reading.file, path).in_form(**form)
    whole = studied_once(file)
    rest = [each for _, each in others(path)]
    standing = stand(whole, record_of(path), rest, lambda name: record_of(path.with_name(name)))
    return Paper(path, whole, standing)


@cache
def issued() -> Paper:
    """The plain plan, signed by both roles."""
    path = put(folder())
    signed(path)
    return paper(path)


def with_files(page: bytes, changes: Mapping[str, Callable[[bytes], bytes]]) -> bytes:
    """The HTML document with files in it changed, by the end of their names, sealed anew."""
    for tail, change in changes.items():
        raw = held(page).one(tail)[1]
        pattern = rf'(<a download="[^"]*{re.escape(tail)}" href="data:[^;"]*;base64,)[^"]*'
        new = base64.b64encode(change(raw))
        page, count = re.subn(pattern.encode(), lambda m, new=new: m[1] + new, page, count=1)
        assert count == 1, tail
    return sealed_html(page)


def in_json(*path: str | int, to: Any) -> Callable[[bytes], bytes]:
    """A change of one place in a JSON file."""

    def change(raw: bytes) -> bytes:
        plain = json.loads(raw)
        here = plain
        for key in path[:-1]:
            here = here[key]
        here[path[-1]] = to
        return json.dumps(plain, ensure_ascii=False, allow_nan=False).encode("utf-8", "replace")

    return change


def answers(raw: bytes, on: date = DAY, roots: Any = ()) -> dict[str, Answer]:
    """What a verification answers on each point; of two of one name the worse."""
    worst: dict[str, Answer] = {}
    rank = list(Answer)
    for each in verified(raw, on, roots).points:
        old = worst.get(each.what, each.answer)
        worst[each.what] = max(old, each.answer, key=rank.index)
    return worst


def words(raw: bytes, on: date = DAY, roots: Any = ()) -> str:
    """All that a verification says, on one line."""
    points = verified(raw, on, roots).points
    said = [word for each in points for word in (each.what, each.text, *each.details)]
    return " ".join(" ".join(said).split())
