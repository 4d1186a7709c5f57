"""Canonical bytes and hashes, held to the vectors of those who defined them."""

from __future__ import annotations

import json
import math
import struct
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.signing import jcs

from riskdoc.signing.canonical import DIGITS, NIL, canonical, kept, sha256

BOTH = pytest.mark.parametrize("write", [canonical, jcs], ids=["ours", "of the tests"])
"""What the tests judge with must give the published bytes too."""

HASHES = {
    # NIST, Cryptographic Algorithm Validation Program, SHA256ShortMsg.rsp, Len = 0.
    "empty": (b"", "e3b0c442 98fc1c14 9afbf4c8 996fb924 27ae41e4 649b934c a495991b 7852b855"),
    # NIST, Examples with Intermediate Values, SHA-256 (FIPS 180-4); FIPS 180-2, appendix B.1.
    "abc": (b"abc", "ba7816bf 8f01cfea 414140de 5dae2223 b00361a3 96177a9c b410ff61 f20015ad"),
    # The same examples, the message of 448 bits; FIPS 180-2, appendix B.2.
    "448 bits": (
        b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
        "248d6a61 d20638b8 e5c02693 0c3e6039 a33ce459 64ff2167 f6ecedd4 19db06c1",
    ),
    # FIPS 180-2, appendix B.3: one million times the letter a.
    "a million": (
        b"a" * 1_000_000,
        "cdc76e5c 9914fb92 81a1c7e2 84d73e67 f1809a48 a497200e 046d39cc c7112cd0",
    ),
}


@pytest.mark.parametrize("name", HASHES)
def test_sha256_of_the_messages_of_the_standard(name):
    message, words = HASHES[name]

    assert sha256(message) == words.replace(" ", "")


# RFC 8785, section 3.2.2, the sample object, as it is printed there.
SAMPLE = r"""
{
  "numbers": [333333333.33333329, 1E30, 4.50,
              2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}
"""
# RFC 8785, section 3.2.4: the bytes of it.
SAMPLE_BYTES = """
7b 22 6c 69 74 65 72 61 6c 73 22 3a 5b 6e 75 6c 6c 2c 74 72
75 65 2c 66 61 6c 73 65 5d 2c 22 6e 75 6d 62 65 72 73 22 3a
5b 33 33 33 33 33 33 33 33 33 2e 33 33 33 33 33 33 33 2c 31
65 2b 33 30 2c 34 2e 35 2c 30 2e 30 30 32 2c 31 65 2d 32 37
5d 2c 22 73 74 72 69 6e 67 22 3a 22 e2 82 ac 24 5c 75 30 30
30 66 5c 6e 41 27 42 5c 22 5c 5c 5c 5c 5c 22 2f 22 7d
"""


@BOTH
def test_the_sample_object_of_rfc_8785_gives_its_bytes(write):
    assert write(json.loads(SAMPLE)) == bytes.fromhex(SAMPLE_BYTES)


# RFC 8785, section 3.2.3: the object whose keys are to be sorted, and the order of its values.
TO_SORT = r"""
{
  "\u20ac": "Euro Sign",
  "\r": "Carriage Return",
  "\ufb33": "Hebrew Letter Dalet With Dagesh",
  "1": "One",
  "\ud83d\ude00": "Emoji: Grinning Face",
  "\u0080": "Control",
  "\u00f6": "Latin Small Letter O With Diaeresis"
}
"""
SORTED = [
    "Carriage Return",
    "One",
    "Control",
    "Latin Small Letter O With Diaeresis",
    "Euro Sign",
    "Emoji: Grinning Face",
    "Hebrew Letter Dalet With Dagesh",
]


@BOTH
def test_keys_stand_in_the_order_of_rfc_8785_which_is_not_that_of_code_points(write):
    assert list(json.loads(write(json.loads(TO_SORT))).values()) == SORTED


# RFC 8785, appendix B: the bits of a double, and how it is written.
NUMBERS = {
    "0000000000000000": "0",
    "8000000000000000": "0",
    "0000000000000001": "5e-324",
    "8000000000000001": "-5e-324",
    "7fefffffffffffff": "1.7976931348623157e+308",
    "ffefffffffffffff": "-1.7976931348623157e+308",
    "4340000000000000": "9007199254740992",
    "c340000000000000": "-9007199254740992",
    "4430000000000000": "295147905179352830000",
    "44b52d02c7e14af5": "9.999999999999997e+22",
    "44b52d02c7e14af6": "1e+23",
    "44b52d02c7e14af7": "1.0000000000000001e+23",
    "444b1ae4d6e2ef4e": "999999999999999700000",
    "444b1ae4d6e2ef4f": "999999999999999900000",
    "444b1ae4d6e2ef50": "1e+21",
    "3eb0c6f7a0b5ed8c": "9.999999999999997e-7",
    "3eb0c6f7a0b5ed8d": "0.000001",
    "41b3de4355555553": "333333333.3333332",
    "41b3de4355555554": "333333333.33333325",
    "41b3de4355555555": "333333333.3333333",
    "41b3de4355555556": "333333333.3333334",
    "41b3de4355555557": "333333333.33333343",
    "becbf647612f3696": "-0.0000033333333333333333",
    "43143ff3c1cb0959": "1424953923781206.2",
}
NOT_NUMBERS = {"7fffffffffffffff": "NaN", "7ff0000000000000": "Infinity"}


def double(bits: str) -> float:
    (value,) = struct.unpack(">d", bytes.fromhex(bits))
    return value


@BOTH
@pytest.mark.parametrize("bits", NUMBERS)
def test_a_double_is_written_as_appendix_b_of_rfc_8785_has_it(write, bits):
    assert write([double(bits)]) == f"[{NUMBERS[bits]}]".encode()


@BOTH
@pytest.mark.parametrize("bits", NOT_NUMBERS)
def test_what_appendix_b_has_no_json_for_is_refused(write, bits):
    with pytest.raises(ValueError, match=r".+"):
        write({"number": double(bits)})


# RFC 8785, section 3.2.2.2: what is escaped and how; all else stands as it is.
SHORT = {"\b": b"\\b", "\t": b"\\t", "\n": b"\\n", "\f": b"\\f", "\r": b"\\r",
         "\\": b"\\\\", '"': b'\\"'}  # fmt: skip
PLAIN = ["/", "'", "<", "&", " ", "\x7f", "\x80", "\x85", "\xa0", "\u2028", "\ufeff", "\uffff",
         "א", "é", "e\u0301", "😀"]  # fmt: skip


@BOTH
@pytest.mark.parametrize("code", range(0x20))
def test_a_control_character_is_escaped_in_its_short_form_or_in_four_small_digits(write, code):
    char = chr(code)

    assert write(char) == b'"' + SHORT.get(char, b"\\u00%02x" % code) + b'"'


@BOTH
@pytest.mark.parametrize("char", ["\\", '"'])
def test_backslash_and_quote_are_escaped(write, char):
    assert write(char) == b'"' + SHORT[char] + b'"'


@BOTH
@pytest.mark.parametrize("char", PLAIN, ids=ascii)
def test_every_other_character_stands_as_it_is(write, char):
    assert write(char) == b'"' + char.encode() + b'"'


@BOTH
def test_half_a_surrogate_pair_is_refused(write):
    # RFC 8785, section 3.2.2.2: lone surrogates must end in an error.
    with pytest.raises(ValueError, match=r".+"):
        write({"name": "\ud83d"})


def test_keys_that_are_no_text_are_refused():
    with pytest.raises(ValueError, match=r".+"):
        canonical({1: "one"})


TEXTS = st.text(st.characters(exclude_categories=("Cs",)))
DATA = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | TEXTS,
    lambda inner: st.lists(inner, max_size=5) | st.dictionaries(TEXTS, inner, max_size=5),
    max_leaves=20,
)


@given(DATA)
def test_any_plain_data_gives_the_bytes_that_a_second_writer_gives(data):
    assert canonical(data) == jcs(data)


@given(DATA)
def test_canonical_bytes_read_as_json_give_the_same_bytes_again(data):
    raw = canonical(data)

    # RFC 8785, section 3.2.2.3: every number is a double.
    assert canonical(json.loads(raw, parse_int=float)) == raw


@given(st.dictionaries(TEXTS, st.integers(0, 9), max_size=8), st.randoms())
def test_the_order_of_keys_changes_nothing(data, chance):
    pairs = list(data.items())
    chance.shuffle(pairs)

    assert canonical(dict(pairs)) == canonical(data)


@given(st.lists(st.integers(0, 3), min_size=2, max_size=4, unique=True))
def test_the_order_of_a_list_does_change_the_bytes(items):
    assert canonical(items) != canonical(items[::-1])


# ---------------------------------------------------------------- what is kept of a number

FINITE = st.floats(allow_nan=False, allow_infinity=False)


@given(FINITE)
def test_what_is_kept_is_kept_as_it_is_when_it_is_kept_again(value):
    assert kept(kept(value)) == kept(value)


@given(FINITE.filter(lambda value: abs(value) >= NIL))
def test_what_is_kept_is_off_by_no_more_than_half_of_the_last_digit_kept(value):
    exact, found = Decimal(value), kept(value)
    last = Decimal(10) ** (exact.adjusted() - DIGITS + 1)

    # A double next to the decimal number is what is kept of it.
    assert abs(Decimal(found) - exact) <= last / 2 + Decimal(math.ulp(found))


@given(FINITE)
def test_no_more_digits_are_kept_than_said(value):
    assert len(Decimal(repr(kept(value))).normalize().as_tuple().digits) <= DIGITS


@given(st.floats(-NIL, NIL, exclude_min=True, exclude_max=True))
def test_what_is_next_to_nothing_is_nothing_without_a_sign(value):
    assert math.copysign(1, kept(value)) == 1
    assert kept(value) == 0


@given(FINITE)
def test_the_sign_changes_nothing_but_the_sign(value):
    assert kept(-value) == -kept(value)


@given(FINITE, FINITE)
def test_the_greater_number_keeps_no_less(one, other):
    assert kept(min(one, other)) <= kept(max(one, other))


@given(st.integers(-(10**DIGITS) + 1, 10**DIGITS - 1), st.integers(0, 9))
def test_numbers_of_so_few_digits_stay_what_they_are(digits, places):
    value = digits / 10**places

    assert kept(value) == (value if abs(value) >= NIL else 0)


@pytest.mark.parametrize("value", [None, math.inf, -math.inf, math.nan])
def test_what_has_no_bound_or_is_no_number_is_kept_as_none(value):
    assert kept(value) is None


@given(st.integers(10**5, 10**6 - 1), st.integers(-3, 3), st.integers(-4, 4))
def test_the_last_bits_of_a_double_change_nothing_where_they_are_no_digit(digits, power, bits):
    # Two processors may differ so: what is signed on one must be the same on the other.
    value = digits * 10.0**power
    other = value
    for _ in range(abs(bits)):
        other = math.nextafter(other, math.inf if bits > 0 else 0)

    assert kept(other) == kept(value)
