"""Whether a signed PDF has nothing but our signatures more than the file it was made from.

A sound signature can stand over pages that were changed in the very update that it signs, and two
programs may read one update in two ways. So an update is taken for ours only where every byte of it
is as our own signing writes it: which objects, in which order, with which keys and values, one
generation, one table, in one spelling. Form fields, appearances, actions and all the rest are
nothing that our signing writes.
"""

from __future__ import annotations

import io
import re
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from typing import Any, get_args

from riskdoc.i18n.say import Language, Locale, mark, say, speaking
from riskdoc.signing.pades import MOST_SIGNATURES, REASON, later_agree
from riskdoc.verification.pdftokens import Name, Ref, TokenError, Value, as_written, same, value_of

_OBJECT = re.compile(rb"(\d{1,9}) 0 obj\n(.*?)\nendobj\n", re.DOTALL)
_TABLE = re.compile(
    rb"(?P<number>\d{1,9}) 0 obj\n(?P<head><<\n[^>]*(?:>[^>]+)*?\n>>)\nstream\n(?P<data>.*)\n"
    rb"endstream\nendobj\n\nstartxref\n(?P<start>\d{1,12})\n%%EOF\n",
    re.DOTALL,
)
_SIGNATURE = re.compile(
    rb"<<\n/Contents (?P<gap><(?:[0-9A-F]{2})+>)\n"
    rb"/ByteRange \[0 (?P<before>\d+) (?P<after>\d+) (?P<rest>\d+)\] *\n"
    rb"/Type /Sig\n/Filter /Adobe\.PPKLite\n/SubFilter /ETSI\.CAdES\.detached\n"
    rb"/M \(D\\072\d{14}(?:Z|[+-]\d\d'\d\d')\)\n/Reason (?P<reason>\(.*\)|<.*>)\n>>",
)
_EXTENSION: Value = {
    "ESIC": {
        "Type": Name("DeveloperExtensions"),
        "BaseVersion": Name("1.7"),
        "ExtensionLevel": Decimal(1),
    }
}
_BESIDE: Value = [Decimal(-9999)] * 4
"""The box of a field, beside the page."""
_WIDTHS = (1, 8, 2)
"""Bytes of the numbers in a row of a table of objects (ISO 32000-1, 7.5.8.3)."""


@dataclass(frozen=True, slots=True)
class _State:
    """A file so far: what an update may refer to.

    `size` is one more than the greatest number of an object, `table` where its table stands,
    `fields` are the signatures.
    """

    end: int
    size: int
    table: int
    root: int
    info: int
    id: bytes
    page: int
    catalog: Mapping[str, Value]
    page_one: Mapping[str, Value]
    form: int = 0
    fields: tuple[int, ...] = ()


def only_signed(before: bytes, after: bytes) -> bool:
    """Whether a signed PDF is the file before, byte for byte, and after it our signatures alone.

    `before` is a file as we printed it. No signature is looked at here, only what stands around it.
    """
    if not after.startswith(before):
        return False
    try:
        state = _printed(before)
        while state.end < len(after) and len(state.fields) < MOST_SIGNATURES:
            state = _updated(after, state)
    except (ValueError, KeyError, TypeError, AttributeError, zlib.error):
        return False  # an update of another make
    return state.end == len(after) and bool(state.fields) and later_agree(after)


def _printed(raw: bytes) -> _State:
    """The state of a file as we printed it."""
    from pypdf import PdfReader  # noqa: PLC0415  (slow to load)

    reader = PdfReader(io.BytesIO(raw))
    trailer: Any = reader.trailer
    table = int(raw.rsplit(b"startxref\n", 1)[1].split()[0])
    page = reader.pages[0].indirect_reference
    assert page is not None  # noqa: S101  (it was read from a file)
    return _State(
        end=len(raw),
        size=int(trailer["/Size"]),
        table=table,
        root=trailer.raw_get("/Root").idnum,
        info=trailer.raw_get("/Info").idnum,
        id=_first_id(value_of(_written(trailer["/ID"]))),
        page=page.idnum,
        catalog=_mapping(value_of(_written(trailer["/Root"]))),
        page_one=_mapping(value_of(_written(reader.pages[0]))),
    )


def _written(part: Any) -> bytes:  # noqa: ANN401  (of the reader)
    out = io.BytesIO()
    part.write_to_stream(out)
    return out.getvalue()


def _first_id(value: Value) -> bytes:
    if not isinstance(value, list) or not isinstance(value[0], bytes):
        raise TokenError("no identifier")
    return value[0]


def _mapping(value: Value) -> dict[str, Value]:
    if not isinstance(value, dict):
        raise TokenError("no dictionary")
    return value


def _updated(raw: bytes, state: _State) -> _State:
    """The state after one update. Raises ValueError where it is none that our signing writes."""
    objects, places, at = _objects(raw, state.end)
    new, end = _new_state(objects, state), _table(raw, at, state, places)
    _expect(new.size == _number_at(raw, at) + 1, "the table is not the last object")
    _signature(raw, places[new.fields[-1] + 1], objects[new.fields[-1] + 1], end)
    return replace(new, end=end, table=at)


def _number_at(raw: bytes, at: int) -> int:
    """The number of the object that begins at a place."""
    return int(raw[at : at + 10].split(b" ")[0])


def _expect(holds: bool, what: str) -> None:
    if not holds:
        raise TokenError(what)


def _objects(raw: bytes, at: int) -> tuple[dict[int, bytes], dict[int, int], int]:
    """The objects of an update by number, where each stands, and where its table begins."""
    objects: dict[int, bytes] = {}
    places: dict[int, int] = {}
    last = 0
    while (found := _OBJECT.match(raw, at)) and b"\nstream\n" not in found[2]:
        number = int(found[1])
        _expect(number > last and found[1] == b"%d" % number, "objects out of order")
        objects[number], places[number], last = found[2], at, number
        at = found.end()
    return objects, places, at


def _new_state(objects: Mapping[int, bytes], state: _State) -> _State:
    """What the objects of an update make of a file."""
    first = not state.fields
    new = [number for number in objects if number >= state.size]
    # The library that signs begins one number above the first free one.
    start = state.size + 1
    _expect(new == list(range(start, start + len(new))), "numbers are left out")
    spare = [number for number in new if objects[number] == b"null"]
    own = new[len(spare) :]
    _expect(spare == new[: len(spare)] and len(own) == (3 if first else 2), "other objects")
    form, field = (own[0], own[1]) if first else (state.form, own[0])
    changed = {state.page, state.root if first else form}
    _expect({number for number in objects if number < state.size} == changed, "others changed")
    catalog, page = dict(state.catalog), dict(state.page_one)
    if first:
        _expect("AcroForm" not in catalog and "Extensions" not in catalog, "a form before")
        catalog |= {"AcroForm": Ref(form), "Extensions": _EXTENSION}
        _same(objects[state.root], catalog)
    held = page.get("Annots", [])
    _expect(isinstance(held, list), "the notes of the page stand elsewhere")
    page |= {"Annots": [*held, Ref(field)], "Tabs": Name("S")}  # type: ignore[misc]
    _same(objects[state.page], page)
    fields = (*state.fields, field)
    _same(objects[form], {"Fields": [Ref(each) for each in fields], "SigFlags": Decimal(3)})
    _field(objects[field], state.page, len(fields), field + 1)
    return replace(
        state, size=own[-1] + 2, catalog=catalog, page_one=page, form=form, fields=fields
    )


def _same(raw: bytes, value: Value) -> None:
    """That an object is of this value, written as our signing writes it."""
    _expect(
        same(value_of(raw), value) and as_written(raw) == raw, "an object is not as we write it"
    )


def _field(raw: bytes, page: int, number: int, signature: int) -> None:
    value = _mapping(value_of(raw))
    _expect(value.get("TU") in _titles(), "a field with another title")
    _same(
        raw,
        {
            "FT": Name("Sig"),
            "T": b"Signature%d" % number,
            "Type": Name("Annot"),
            "Subtype": Name("Widget"),
            "F": Decimal(132),
            "Rect": _BESIDE,
            "P": Ref(page),
            "TU": value["TU"],
            "V": Ref(signature),
        },
    )


@cache
def _titles() -> frozenset[bytes]:
    """What the field of a signature is called, in every language, as a PDF writes texts."""
    found = set()
    for language in get_args(Language):
        with speaking(Locale(language)):
            title = say(mark("Signature of this document"))
        found |= {title.encode("utf-16"), b"\xfe\xff" + title.encode("utf-16-be")}
        if title.isascii():
            found.add(title.encode("ascii"))
    return frozenset(found)


def _signature(raw: bytes, at: int, body: bytes, end: int) -> None:
    """That a signature covers all of the file up to the end of its update but itself."""
    found = _SIGNATURE.fullmatch(body)
    if found is None:
        raise TokenError("a signature of another make")
    _expect(value_of(found["reason"]) in (REASON.encode(), REASON), "another reason")
    start = raw.index(body, at)
    gap = (start + found.start("gap"), start + found.end("gap"))
    before, after, rest = (int(found[each]) for each in ("before", "after", "rest"))
    _expect((before, after) == gap and after + rest == end, "a signature of something else")


def _table(raw: bytes, at: int, state: _State, places: Mapping[int, int]) -> int:
    """Where an update ends whose table begins at a place; the table lists its objects alone."""
    stop = raw.find(b"%%EOF\n", at)
    found = _TABLE.fullmatch(raw, at, stop + len(b"%%EOF\n")) if stop >= 0 else None
    if found is None:
        raise TokenError("a table of another make")
    number, head = int(found["number"]), _mapping(value_of(found["head"]))
    rows = {**places, number: at}
    listed = [0, *sorted(rows)]
    expected: dict[str, Value] = {
        "W": [Decimal(each) for each in _WIDTHS],
        "Type": Name("XRef"),
        "Filter": Name("FlateDecode"),
        "Size": Decimal(number + 1),
        "Root": Ref(state.root),
        "Info": Ref(state.info),
        "ID": [state.id, _second_id(head.get("ID"))],
        "Prev": Decimal(state.table),
        "Index": [Decimal(each) for each in _runs(listed)],
        "Length": Decimal(len(found["data"])),
    }
    _same(found["head"], expected)
    _expect(int(found["start"]) == at, "another table")
    free = (0).to_bytes(9, "big") + b"\xff\xff"
    used = [b"\1" + rows[each].to_bytes(8, "big") + b"\0\0" for each in listed[1:]]
    unpack = zlib.decompressobj()
    data = unpack.decompress(found["data"], sum(_WIDTHS) * len(listed) + 1)
    _expect(data == free + b"".join(used), "the table lists something else")
    _expect(unpack.eof and not unpack.unused_data, "something stands behind the table")
    return found.end()


def _second_id(value: Value) -> bytes:
    if not isinstance(value, list) or len(value) != 2 or not isinstance(value[1], bytes):
        raise TokenError("no identifier")
    _expect(len(value[1]) == 16, "another identifier")
    return value[1]


def _runs(numbers: list[int]) -> list[int]:
    """Runs of numbers as pairs of the first one and how many.

    >>> _runs([0, 2, 7, 8, 9])
    [0, 1, 2, 1, 7, 3]
    """
    found: list[int] = []
    for each in numbers:
        if found and found[-2] + found[-1] == each:
            found[-1] += 1
        else:
            found += [each, 1]
    return found
