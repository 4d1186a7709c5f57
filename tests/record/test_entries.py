"""The file of a record: what is written is read again, and no byte of it can be another."""

from __future__ import annotations

import hashlib
import json
import time
from dataclasses import fields, replace
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support.signing import DIGEST, chained, jcs, made

from riskdoc.job.alike import plain_mark, plain_name
from riskdoc.job.faults import Refused
from riskdoc.job.fields import plain_text
from riskdoc.signing.entries import (
    ACTS,
    FORMAT,
    MAX_BYTES,
    NONE,
    Entry,
    Record,
    RecordError,
    record_from,
)

NAME = "plan.signoff.yaml"
TRICKY = [
    "plain", "two words", " blanks around ", "it's", 'said "so"', "back\\slash", "\\ud800",
    "\\UFFFFFFFF", "\\x", "a: b", "a # b", "- a", "? a", "*a", "&a", "!a", "| a", "> a", "%a", "@a",
    "`a", "{a}", "[a]", "a, b", "null", "~", "true", "no", "1", "1e3", "0x10", "2027-06-01", "=",
    "<<", "---", "...", "\t", "line\nbreak", "line\r\nbreak", "\x00", "\x1b[2J", "\x7f", "\x80",
    "\x85", "\xa0", "\xad", "\u2028", "\u2029", "\u202e", "\u2066", "\ufeff", "\ufffd", "\ufffe",
    "\uffff", "é", "e\u0301", "שלום", "سلام", "Ж", "縄", "😀", "👩‍🚒", "\U0010ffff",
    "x" * 5000, "end:",
]  # fmt: skip
REFUSED = {
    " blanks around ", "\t", "line\nbreak", "line\r\nbreak", "\x00", "\x1b[2J", "\x7f", "\x80",
    "\x85", "\xa0", "\u2028", "\u2029", "\u202e", "\u2066", "\ufffe", "\uffff", "x" * 5000,
}  # fmt: skip
"""Those that signing does not take: outer blanks, what moves a cursor or turns a line, too long."""
UNSEEN = {"\xad", "\ufeff", "👩\u200d🚒", "\U0010ffff"}
"""Those that no name holds: letters that show nothing make two names of one to the eye."""
TEXTS = st.sampled_from(TRICKY) | st.text(st.characters(exclude_categories=("Cs",)), min_size=1)
"""A field that is there holds something; one that holds nothing is left out."""


def file_of(record: Record) -> bytes:
    return record.text.encode("utf-8")


def read(raw: bytes) -> Record:
    return record_from(raw, NAME)


def is_a_sentence(text: str) -> bool:
    """Whether a text names the file and says in some words on one line what is the matter."""
    return (
        text.startswith(NAME)
        and len(text.split()) >= 5
        and len(text) <= 400
        and text.isprintable()
        and "Error" not in text
        and "Traceback" not in text
    )


def assert_refused(raw: bytes) -> str:
    """What is said of bytes that must not be read as a record."""
    with pytest.raises(RecordError) as caught:
        read(raw)
    assert is_a_sentence(str(caught.value)), str(caught.value)
    return str(caught.value)


# ---------------------------------------------------------------- written and read again


@pytest.mark.parametrize("text", TRICKY, ids=lambda text: ascii(text)[:24])
@pytest.mark.parametrize("field", ["name", "meaning"])
def test_a_text_that_yaml_could_take_for_something_else_is_read_as_it_was_written(field, text):
    record = chained({field: text}, {"name": "after"})

    if text in REFUSED or (field == "name" and text in UNSEEN):
        assert_refused(file_of(record))
    else:
        assert read(file_of(record)) == record


@pytest.mark.parametrize("field", ["number", "revision"])
@pytest.mark.parametrize(
    "text",
    [
        "B (in force, signed by D. Fourth: work goes on up to a wind of 14 m/s)" * 2,
        "B  2",
        "B\u2003",
    ],
)
def test_a_number_or_a_revision_that_no_job_can_have_is_refused(field, text):
    """Whoever adds an entry would else have a sentence of his own printed in the document."""
    assert_refused(file_of(chained({}, {field: text})))


@given(
    st.lists(
        st.fixed_dictionaries(
            dict.fromkeys(("number", "revision", "role", "name", "meaning", "successor"), TEXTS)
            | {"act": st.sampled_from(ACTS)}
        ),
        min_size=1,
        max_size=4,
    )
)
@settings(max_examples=100, deadline=None)
def test_entries_of_any_texts_are_read_as_they_were_written(changes):
    """Or refused in a sentence: what is read is printed, so it is what signing would take."""
    record = chained(*changes)
    raw = file_of(record)
    texts = [(key, text) for each in changes for key, text in each.items() if key != "act"]

    if all(not text or signing_takes(key, text) for key, text in texts):
        assert read(raw) == record
    else:
        assert_refused(raw)


def signing_takes(key: str, text: str) -> bool:
    """Whether a sign-off with this text can be made."""
    try:
        plain = plain_text(text)
        if key == "name":
            return text == plain_name(plain)
        return text == (plain_mark(plain) if key in {"number", "revision"} else plain)
    except Refused:
        return False


def test_the_file_reads_as_lines_of_json_strings_with_a_count_and_the_last_hash():
    record = chained({"name": 'said "so"'}, {"successor": "T-1, B", "act": "supersede"})
    lines = file_of(record).decode().splitlines()
    stated = [line[2:].split(": ", 1) for line in lines if line.startswith(("- ", "  "))]
    entries: list[dict[str, str]] = []
    for key, value in stated:
        if key == "act":
            entries.append({})
        entries[-1][key] = json.loads(value)

    assert [Entry(**each) for each in entries] == list(record.entries)
    assert json.loads(lines[-1].removeprefix("end: ")) == {
        "entries": 2,
        "hash": record.entries[-1].hash,
    }


def test_a_hash_is_the_sha256_of_the_canonical_form_of_all_the_rest_that_is_stated():
    entry = made(successor="T-1, B", certificate="AAAA")
    rest = {
        each.name: getattr(entry, each.name)
        for each in fields(entry)
        if each.name != "hash" and getattr(entry, each.name)
    }

    assert entry.hash == hashlib.sha256(jcs(rest)).hexdigest()
    assert set(rest) == {each.name for each in fields(entry)} - {"hash"}


def test_what_a_certificate_signs_is_the_entry_without_the_certificate_and_the_hash():
    bare, signed = made(), made(certificate="AAAA")

    assert signed.statement == bare.statement
    assert json.loads(signed.statement)["previous"] == NONE
    assert not {"certificate", "hash"} & set(json.loads(signed.statement))


@pytest.mark.parametrize(
    "field", [each.name for each in fields(Entry) if each.name not in ("hash", "act")]
)
def test_every_field_of_an_entry_moves_its_hash(field):
    entry = made(successor="T-1, B", certificate="AAAA")

    assert replace(entry, **{field: getattr(entry, field) + "0"}).computed != entry.hash


def test_each_entry_holds_the_hash_of_the_one_before_and_the_first_says_none():
    record = chained({"name": "one"}, {"name": "two"}, {"name": "three"})
    one, two, three = record.entries

    assert (one.previous, two.previous, three.previous) == (NONE, one.hash, two.hash)
    assert record.last == three.hash
    assert Record().last == NONE


# ---------------------------------------------------------------- every change is seen


@cache
def small() -> bytes:
    """A record of one entry, every byte of which is changed."""
    return file_of(chained({"name": 'I. "K" \\u0041 é😀'}))


@cache
def large() -> bytes:
    """A record of four entries."""
    return file_of(
        chained(
            {"name": "Ines Kolberg"},
            {"name": "Otto Marn", "role": "checked", "meaning": "a: b # \\ud800 é 😀 שלום"},
            {"act": "supersede", "successor": "T-1, B", "meaning": '"so"'},
            {"revision": "B", "name": "\\UFFFFFFFF"},
        )
    )


def test_the_records_that_are_changed_below_are_good_before_they_are():
    assert len(read(small()).entries) == 1
    assert len(read(large()).entries) == 4


def test_a_record_that_was_cut_off_at_any_byte_is_refused():
    raw = small()
    for end in range(len(raw)):
        assert_refused(raw[:end])


def test_a_longer_record_that_was_cut_off_at_any_line_is_refused():
    raw = large()
    for end in (at for at, byte in enumerate(raw) if byte == 0x0A):
        assert_refused(raw[:end])
        if end + 1 < len(raw):
            assert_refused(raw[: end + 1])


def test_a_record_of_which_any_byte_was_taken_out_is_refused():
    raw = small()
    for at in range(len(raw)):
        assert_refused(raw[:at] + raw[at + 1 :])


@pytest.mark.parametrize("bit", [0, 5, 7])
def test_a_record_of_which_a_bit_was_turned_over_at_any_byte_is_refused(bit):
    raw = small()
    for at in range(len(raw)):
        assert_refused(raw[:at] + bytes([raw[at] ^ (1 << bit)]) + raw[at + 1 :])


PIECES = st.binary(min_size=1, max_size=3) | st.sampled_from(
    [b"\n", b" ", b"\t", b"\r", b"#", b"-", b":", b'"', b"\\", b"\\u", b"---\n", b"...\n", b"&a ",
     b"\xef\xbb\xbf", b"\xc2\x85", b"\xff", b"\x00"]
)  # fmt: skip
EDITS = st.one_of(
    st.tuples(st.just("insert"), st.integers(0, 10**6), PIECES),
    st.tuples(st.just("put"), st.integers(0, 10**6), PIECES),
    st.tuples(st.just("delete"), st.integers(0, 10**6), st.integers(1, 400)),
    st.tuples(st.just("copy"), st.integers(0, 10**6), st.integers(1, 400)),
)


@given(EDITS)
@settings(max_examples=300, deadline=None)
def test_a_record_that_was_edited_anywhere_is_refused(edit):
    raw = large()
    kind, at, what = edit
    at %= len(raw)
    edited = {
        "insert": lambda: raw[:at] + what + raw[at:],
        "put": lambda: raw[:at] + what + raw[at + len(what) :],
        "delete": lambda: raw[:at] + raw[at + what :],
        "copy": lambda: raw[:at] + raw[at : at + what] * 2 + raw[at + what :],
    }[kind]()

    if edited == raw:
        assert len(read(edited).entries) == 4
    else:
        assert_refused(edited)


# What can be done with whole entries: of the text of each, and of one from another record.
def moved(*order: int) -> bytes:
    """The four entries in another order, some of them left out or there twice."""
    head, *entries, end = parts(large())
    return b"".join([head, *(entries[each] for each in order), end])


def parts(raw: bytes) -> list[bytes]:
    """Head, entries and end of a record."""
    head, *rest = raw.split(b"\n- act: ")
    last, end = rest[-1].split(b"\nend: ")
    entries = [*rest[:-1], last]
    return [head + b"\n", *(b"- act: " + each + b"\n" for each in entries), b"end: " + end]


def test_the_parts_of_a_record_put_together_are_the_record():
    assert moved(0, 1, 2, 3) == large()


@pytest.mark.parametrize(
    "order",
    [(1, 0, 2, 3), (0, 2, 1, 3), (0, 1, 3, 2), (3, 2, 1, 0), (0, 0, 1, 2, 3), (0, 1, 1, 2, 3),
     (0, 1, 2, 3, 3), (1, 2, 3), (0, 2, 3), (0, 1, 3), (0, 1, 2), (0,), (3,), ()],
    ids=str,
)  # fmt: skip
def test_entries_that_were_swapped_doubled_or_dropped_are_missed(order):
    assert_refused(moved(*order))


@pytest.mark.parametrize("order", [(0, 1, 2), (0,)], ids=str)
def test_a_last_entry_that_was_dropped_is_missed_though_the_count_was_set_right(order):
    count = json.dumps(len(order)).encode()

    assert_refused(moved(*order).replace(b'{"entries": 4', b'{"entries": ' + count))


@pytest.mark.parametrize("at", range(5))
def test_an_entry_copied_from_another_record_does_not_fit_in(at):
    other = parts(file_of(chained({"name": "Somebody else"}, {"name": "And one more"})))
    head, *entries, end = parts(large())
    for strange in other[1:3]:
        mixed = [*entries[:at], strange, *entries[at:]]
        said = assert_refused(b"".join([head, *mixed, end]))
        assert "entry" in said or "not as riskdoc wrote it" in said


def test_line_ends_of_another_system_are_refused():
    assert_refused(large().replace(b"\n", b"\r\n"))
    assert_refused(large().replace(b"\n", b"\r"))


@pytest.mark.parametrize("encoding", ["utf-16", "utf-32", "utf-8-sig"])
def test_another_encoding_is_refused(encoding):
    assert_refused(large().decode().encode(encoding))


@pytest.mark.parametrize("raw", [b"", b"\n", b"\x00", b"# riskdoc\n", b"null", b"[]", b"{}", b"a"])
def test_what_is_no_record_is_refused(raw):
    assert_refused(raw)


@pytest.mark.parametrize("field", [each.name for each in fields(Entry)])
def test_an_entry_that_lacks_a_field_it_must_have_is_refused(field):
    lines = small().splitlines(keepends=True)
    kept = [line for line in lines if not line[2:].startswith(field.encode() + b": ")]
    if len(kept) == len(lines):  # certificate and successor are left out where there is none
        assert field in ("certificate", "successor")
        return

    assert_refused(b"".join(kept))


@pytest.mark.parametrize(
    "change",
    [{"act": "approve"}, {"time": "yesterday"}, {"time": "2027-06-01T08:00:00"},
     {"time": "2027-13-01T08:00:00+00:00"}, {"digest": "f" * 63}, {"digest": DIGEST.upper()},
     {"digest": DIGEST + "\n"}, {"previous": "0" * 64}, {"time": "0001-01-01T00:00:00+14:00"}],
    ids=str,
)  # fmt: skip
def test_an_entry_that_riskdoc_could_not_have_written_is_refused_though_its_hash_is_right(change):
    record = chained({})
    strange = made(**{"previous": NONE, **change})
    raw = file_of(replace(record, entries=(strange,)))
    if change.get("time", "").startswith("0001"):
        # Long ago is no shape of its own; it must not break what compares times.
        assert read(raw).entries[0].when < made().when
    else:
        assert_refused(raw)


# ---------------------------------------------------------------- other formats, bombs, size


@pytest.mark.parametrize("number", ["2", "0", "10", "1.0", "one"])
def test_a_record_of_another_format_is_refused_by_its_number(number):
    raw = large().replace(b"\nsignoff: 1\n", f"\nsignoff: {number}\n".encode())

    said = assert_refused(raw)
    assert "format" in said
    assert number in said
    assert FORMAT == "1"


def bomb(levels: int) -> bytes:
    """A list of nine lists of nine lists and so on."""
    lines = [b"a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [
        b"a%d: &a%d [%s]" % (level, level, b", ".join([b"*a%d" % (level - 1)] * 9))
        for level in range(1, levels)
    ]
    return b"\n".join(lines) + b"\n"


BOMBS = {
    "as the format": bomb(6) + b"signoff: *a5\n",
    "as the entries": bomb(30) + b"signoff: 1\nentries: *a29\n",
    "in an entry": bomb(30) + b"signoff: 1\nentries: [{act: *a29}]\n",
    "beside it": large() + bomb(30),
    "in itself": b"signoff: &a [*a]\n",
    "entries in themselves": b"signoff: 1\nentries: &a [*a]\n",
    "a key of lists": b"signoff: 1\nentries: [{? [a] : b}]\n",
    "brackets": b"[" * 100_000,
    "braces": b"{a: " * 100_000,
    "dashes": b"- " * 200_000,
    "questions": b"? " * 200_000,
    "a code that is no letter": large().replace(b"Otto Marn", rb"\UFFFFFFFF"),
    "half a letter": large().replace(b"Otto Marn", rb"\ud800"),
    "a tag": large().replace(b'"Otto Marn"', b"!!python/object:os.system x"),
    "a number without end": b"signoff: " + b"9" * 1_000_000,
}


@pytest.mark.parametrize("name", BOMBS)
def test_a_bomb_is_refused_in_a_moment(name):
    start = time.process_time()
    assert_refused(BOMBS[name])

    assert time.process_time() - start < 3


def test_lists_that_grow_with_every_level_are_refused_in_a_moment_as_the_format():
    # Each level takes nine times as long where somebody writes it out.
    times = []
    for levels in (4, 6):
        start = time.process_time()
        assert_refused(bomb(levels) + b"signoff: *a%d\n" % (levels - 1))
        times.append(time.process_time() - start)

    assert times[1] < 0.1 + 5 * times[0]


@pytest.mark.parametrize("piece", [b"- a\n", b"x y ", b"a: b\n", b'"\\n" '], ids=ascii)
def test_a_large_file_that_is_no_record_is_refused_in_a_moment(piece):
    raw = piece * (1_000_000 // len(piece))
    start = time.process_time()
    assert_refused(raw)

    assert time.process_time() - start < 2


def test_a_file_larger_than_any_record_is_refused_by_its_size():
    start = time.process_time()
    said = assert_refused(large() + b"#" * (MAX_BYTES + 1 - len(large())))

    assert "larger" in said
    assert time.process_time() - start < 0.5


def test_a_record_of_some_hundred_entries_is_read():
    record = chained(*({"name": f"No. {number}"} for number in range(300)))

    assert read(file_of(record)) == record
