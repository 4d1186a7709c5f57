"""The record of sign-offs: entries that are added and never changed, each holding the last one's.

The record of `gallery.yaml` is `gallery.signoff.yaml` beside it. It is YAML that people can read,
in one fixed spelling: every value a JSON string. An entry's `hash` is the SHA-256 of the rest of
it in the canonical form of RFC 8785, `previous` the hash of the entry before, and the last line
counts the entries and repeats the last hash, so that an end that was cut off is missed.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Literal

import yaml

from riskdoc.job.alike import alike, plain_mark, plain_name
from riskdoc.job.faults import Refused, shown
from riskdoc.job.fields import LONGEST_MARK, LONGEST_TEXT, plain_text
from riskdoc.signing.canonical import canonical, sha256

FORMAT = "1"
MAX_BYTES = 4 * 1024 * 1024
"""Greatest record; judgement: an entry with a certificate has some kilobytes."""
NONE = "none"
"""What the first entry holds as the hash of the one before."""
HEAD = """\
# Who signed the job file of the same name. riskdoc writes this record: entries are added at the
# end and none is ever changed or taken out. Whatever else writes here breaks it.
"""
Act = Literal["sign", "withdraw", "supersede"]
ACTS: tuple[Act, ...] = ("sign", "withdraw", "supersede")
_UNSAID = re.compile("[\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")
_TIME = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}[+-][0-9]{2}:[0-9]{2}")
"""So that the day that is printed is the day that counts, and no time is longer than one."""
_HASH = re.compile(r"[0-9a-f]{64}")


class RecordError(ValueError):
    """A record of sign-offs that cannot be relied on, with what is wrong with it."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One act on one revision of a document.

    `role` and `name` say who, `meaning` what it means that they signed, or why they withdrew or
    superseded. `time` is that of the machine it was written on, to the second, with its offset from
    UTC (RFC 3339, in the one form that `isoformat` writes). `digest` is that of the content.
    `successor` names number and revision of what comes after, where it is superseded. `certificate`
    is a detached signature (CMS, RFC 5652) over the canonical form of all that stands before it, in
    base64. `previous` and `hash` chain it.
    """

    act: str
    number: str
    revision: str
    role: str
    name: str
    meaning: str
    time: str
    digest: str
    previous: str
    successor: str = ""
    certificate: str = ""
    hash: str = ""

    @property
    def statement(self) -> bytes:
        """What a certificate signs: the entry without `certificate` and `hash`, canonical."""
        return canonical({key: value for key, value in self._plain if key != "certificate"})

    @property
    def computed(self) -> str:
        """The hash that the entry must have."""
        return sha256(canonical(dict(self._plain)))

    @property
    def _plain(self) -> list[tuple[str, str]]:
        names = [each.name for each in fields(self) if each.name != "hash"]
        return [(name, value) for name in names if (value := getattr(self, name))]

    @property
    def when(self) -> datetime:
        """The moment it was written."""
        return datetime.fromisoformat(self.time)

    @property
    def clock(self) -> str:
        """The moment as it is printed: day, time and offset, with room to break between them."""
        return f"{self.time[:10]} {self.time[11:19]} {self.time[19:]}"

    @property
    def document(self) -> tuple[str, str]:
        """Number and revision of what was signed."""
        return self.number, self.revision


@dataclass(frozen=True, slots=True)
class Record:
    """The entries of one record, oldest first."""

    entries: tuple[Entry, ...] = ()

    @property
    def last(self) -> str:
        """The hash that the next entry holds."""
        return self.entries[-1].hash if self.entries else NONE

    def of(self, number: str, revision: str) -> tuple[Entry, ...]:
        """The entries of one revision, and of what looks like it to the eye."""
        return tuple(
            each
            for each in self.entries
            if alike(each.number, number) and alike(each.revision, revision)
        )

    @property
    def text(self) -> str:
        """The record as its file holds it, character by character."""
        body = "".join(_entry_text(each) for each in self.entries)
        end = f'end: {{"entries": {len(self.entries)}, "hash": {json.dumps(self.last)}}}\n'
        return f"{HEAD}signoff: {FORMAT}\nentries:\n{body}{end}"


def _entry_text(entry: Entry) -> str:
    pairs = [(each.name, getattr(entry, each.name)) for each in fields(entry)]
    lines = [f"{key}: {_quoted(value)}" for key, value in pairs if value]
    return "- " + "\n  ".join(lines) + "\n"


def _quoted(value: str) -> str:
    """A JSON string that is a YAML string too: YAML takes some characters only as codes."""
    return _UNSAID.sub(lambda m: f"\\u{ord(m[0]):04x}", json.dumps(value, ensure_ascii=False))


def record_from(raw: bytes, name: str) -> Record:
    """The record in the bytes of a file, every hash of it computed again.

    Raises `RecordError` where it is not, byte for byte, what riskdoc wrote.
    """
    if len(raw) > MAX_BYTES:
        raise RecordError(f"{name} is larger than {MAX_BYTES} bytes and no record of sign-offs")
    if not raw.startswith(f"{HEAD}signoff: ".encode()):
        raise RecordError(f"{name} does not begin as a record of sign-offs does; it was edited.")
    loaded = _parsed(raw, name)
    if _letters(loaded) > len(raw):
        raise RecordError(f"{name} holds texts that stand for each other, which none of ours does")
    entries = _entries(loaded, name)
    before = NONE
    for number, entry in enumerate(entries, start=1):
        if entry.previous != before:
            raise RecordError(
                f"{name}: entry {number} does not follow the entry before it. One was taken out, "
                "put in, moved or copied from another record."
            )
        if entry.hash != entry.computed:
            raise RecordError(f"{name}: entry {number} was changed after it was written.")
        before = entry.hash
    found = Record(entries)
    if found.text.encode("utf-8", "surrogatepass") != raw:
        raise RecordError(
            f"{name} is not as riskdoc wrote it, though its entries hold together: its end was cut "
            "off, or something else wrote in it."
        )
    return found


def _parsed(raw: bytes, name: str) -> object:
    try:
        text = raw.decode("utf-8")
        loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
        loaded: object = yaml.load(text, Loader=loader)  # noqa: S506  (gives text alone)
    except (yaml.YAMLError, ValueError, RecursionError, OverflowError) as error:
        raise RecordError(
            f"{name} cannot be read as a record of sign-offs; it was cut off or edited: "
            f"{shown(str(error), 120)}"
        ) from error
    return loaded


def _letters(loaded: object) -> int:
    """Letters of all texts of the entries: with aliases a small file is a large record."""
    listed = loaded.get("entries") if isinstance(loaded, dict) else None
    if not isinstance(listed, list):
        return 0
    found = [each for entry in listed if isinstance(entry, dict) for each in entry.values()]
    return sum(len(each) for each in found if isinstance(each, str))


def _entries(loaded: object, name: str) -> tuple[Entry, ...]:
    if not isinstance(loaded, dict) or not isinstance(loaded.get("signoff"), str):
        raise RecordError(f"{name} is no record of sign-offs")
    if loaded["signoff"] != FORMAT:
        raise RecordError(
            f"{name} is of format {shown(str(loaded['signoff']))}, which this version does not know"
        )
    listed = loaded.get("entries")
    if not isinstance(listed, list):
        raise RecordError(f"{name} holds no entries; it was cut off or edited")
    return tuple(_entry(each, number, name) for number, each in enumerate(listed, start=1))


def _said_plainly(key: str, text: str) -> bool:
    """Whether a text is one that signing takes: what is read here is printed in the document."""
    if key == "certificate" or not text:
        return True
    most = LONGEST_MARK if key in {"number", "revision"} else LONGEST_TEXT
    try:
        plain = plain_text(text, most)
        looks = {"number": plain_mark, "revision": plain_mark, "name": plain_name}
        return text == looks.get(key, str)(plain)
    except Refused:
        return False


def _entry(raw: object, number: int, name: str) -> Entry:
    known = {each.name for each in fields(Entry)}
    if not isinstance(raw, dict) or not all(isinstance(each, str) for each in raw.values()):
        raise RecordError(f"{name}: entry {number} is no entry; it was cut off or edited")
    if set(raw) - known:
        raise RecordError(f"{name}: entry {number} has keys that none of ours has")
    try:
        entry = Entry(**raw)
        if not _TIME.fullmatch(entry.time):
            raise ValueError("a time in another form")
        when, _ = entry.when, entry.computed
    except (TypeError, ValueError) as error:
        raise RecordError(f"{name}: entry {number} is not whole; it was cut off") from error
    if any(not _said_plainly(key, text) for key, text in raw.items()):
        raise RecordError(f"{name}: entry {number} holds a text that none of ours has")
    one_form = when.isoformat(timespec="seconds") == entry.time
    if entry.act not in ACTS or not one_form or not _HASH.fullmatch(entry.digest):
        raise RecordError(f"{name}: entry {number} was edited: it could not have been written")
    return entry
