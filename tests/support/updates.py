"""Updates of a PDF that a stranger signs: as our signing writes them, with something changed.

The signature of each is sound: it is made over the bytes as they are.
"""

from __future__ import annotations

import hashlib
import re
import zlib
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime

from riskdoc.signing.certificates import Certificate
from riskdoc.signing.cms_form import cms_over
from riskdoc.signing.pades import sign_pdf

WHEN = datetime(2027, 5, 30, 12, tzinfo=UTC)
ROOM = 4000


@dataclass
class Update:
    """The objects of an update, with the number of each part of it, and what its trailer says."""

    objects: dict[int, bytes]
    generations: dict[int, int]
    catalog: int
    page: int
    form: int
    field: int
    signature: int
    trailer: dict[str, str]
    rows: dict[int, bytes] = field(default_factory=dict)
    between: bytes = b""
    classic: bool = False
    skipped: int = 0
    """Bytes at the end of the update that the signature leaves out."""

    def put(self, part: str, old: bytes, new: bytes) -> None:
        """Changes what stands in the object of a part."""
        number = getattr(self, part)
        assert old in self.objects[number], (part, self.objects[number])
        self.objects[number] = self.objects[number].replace(old, new, 1)

    def add(self, part: str, keys: bytes) -> None:
        """Puts keys at the end of the dictionary of a part."""
        number = getattr(self, part)
        self.objects[number] = self.objects[number].removesuffix(b">>") + keys + b"\n>>"

    def more(self, body: bytes, number: int = 0) -> int:
        """Another object; its number."""
        at = number or max(self.objects) + 1
        self.objects[at] = body
        return at


MARKS = {
    "catalog": b"/Type /Catalog",
    "page": b"/Type /Page\n",
    "form": b"/Fields",
    "field": b"/FT /Sig",
    "signature": b"/ByteRange",
}


def parts(certificate: Certificate, before: bytes) -> Update:
    """The update with which our own signing signs a file."""
    raw = sign_pdf(certificate, before, when=WHEN)[len(before) :]
    found = re.findall(rb"(\d+) 0 obj\n(.*?)\nendobj\n", raw, re.DOTALL)
    objects = {int(number): body for number, body in found}
    table = max(objects)
    head = objects.pop(table).partition(b"\nstream\n")[0].decode("latin-1")
    trailer = {
        key: re.search(rf"/{key} (.*)", head)[1]  # type: ignore[index]
        for key in ("Root", "Info", "ID", "Prev")
    }
    numbers = {
        part: next((n for n, body in objects.items() if mark in body), 0)
        for part, mark in MARKS.items()
    }
    return Update(objects, {}, **numbers, trailer=trailer)


def forged(
    certificate: Certificate, before: bytes, change: Callable[[Update], object] = lambda _: None
) -> bytes:
    """A file with the update that our signing writes, changed and signed again."""
    update = parts(certificate, before)
    change(update)
    hole = b"<" + b"0" * ROOM + b">"
    signature = re.sub(
        rb"/Contents <[0-9A-F]+>", b"/Contents " + hole, update.objects[update.signature]
    )
    update.objects[update.signature] = re.sub(
        rb"/ByteRange \[.*\] *", b"/ByteRange [" + b"#" * 60 + b"]", signature
    )
    raw = _written(before, update)
    start = raw.index(hole, len(before))
    end = len(raw) - update.skipped
    span = f"0 {start} {start + len(hole)} {end - start - len(hole)}"
    ours = f"/ByteRange [{span}]".ljust(len("/ByteRange []") + 60).encode()
    raw = raw.replace(b"/ByteRange [" + b"#" * 60 + b"]", ours, 1)
    covered = raw[:start] + raw[start + len(hole) : end]
    cms = cms_over(certificate.signer, hashlib.sha256(covered).digest(), None).hex().upper()
    return raw[: start + 1] + cms.ljust(ROOM, "0").encode() + raw[start + len(hole) - 1 :]


def _written(before: bytes, update: Update) -> bytes:
    out, rows = bytearray(before), {}
    for number, body in sorted(update.objects.items()):
        rows[number] = b"\1" + len(out).to_bytes(8, "big") + b"\0\0"
        out += b"%d %d obj\n%s\nendobj\n" % (number, update.generations.get(number, 0), body)
        if number == update.signature:
            out += update.between
    table, at = max(update.objects) + 1, len(out)
    rows = {0: b"\0" * 9 + b"\xff\xff", **rows, table: b"\1" + at.to_bytes(8, "big") + b"\0\0"}
    rows |= update.rows
    if update.classic:
        return bytes(out) + _classic(rows, update, at)
    data = zlib.compress(b"".join(rows[each] for each in sorted(rows)))
    index = " ".join(str(each) for each in _runs(sorted(rows)))
    keys = "".join(f"/{key} {value}\n" for key, value in update.trailer.items())
    head = (
        f"<<\n/W [ 1 8 2 ]\n/Type /XRef\n/Filter /FlateDecode\n/Size {table + 1}\n{keys}"
        f"/Index [ {index} ]\n/Length {len(data)}\n>>"
    )
    out += f"{table} 0 obj\n{head}\nstream\n".encode("latin-1") + data
    out += f"\nendstream\nendobj\n\nstartxref\n{at}\n%%EOF\n".encode()
    return bytes(out)


def _classic(rows: dict[int, bytes], update: Update, at: int) -> bytes:
    """The same as a table in letters, as files were written before 2003."""
    used = {number: row for number, row in rows.items() if number < max(rows)}
    lines = "".join(
        f"{n} 1\n{int.from_bytes(row[1:9], 'big'):010} {65535 if n == 0 else 0:05} "
        f"{'f' if n == 0 else 'n'} \n"
        for n, row in sorted(used.items())
    )
    keys = "".join(f"/{key} {value}\n" for key, value in update.trailer.items())
    text = f"xref\n{lines}trailer\n<<\n/Size {max(rows)}\n{keys}>>\nstartxref\n{at}\n%%EOF\n"
    return text.encode("latin-1")


def _runs(numbers: list[int]) -> list[int]:
    found: list[int] = []
    for each in numbers:
        if found and found[-2] + found[-1] == each:
            found[-1] += 1
        else:
            found += [each, 1]
    return found
