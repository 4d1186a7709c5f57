"""Objects of a PDF as our signing writes them, read token by token and written again.

Only what stands in such an object is known: no comment, no stream, no key twice, no generation but
the first. Two readers of a file may differ over anything else, so there is nothing else.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import TypeAlias

Value: TypeAlias = "Name | Ref | Decimal | bytes | bool | list[Value] | dict[str, Value] | None"
DEEPEST = 20
"""Parts inside each other; judgement: a catalog has six."""
_TOKEN = re.compile(
    rb"[ \n]*(?:(?P<open><<|\[)|(?P<close>>>|\])|(?P<name>/(?:[!-~](?<![()<>\[\]{}/%]))*)"
    rb"|(?P<ref>(?:0|[1-9]\d{0,9}) 0 R(?![!-~](?<![()<>\[\]{}/%])))"
    rb"|(?P<number>[+-]?(?:\d{1,15}(?:\.\d{0,15})?|\.\d{1,15})(?![^ \n()<>\[\]{}/%]))"
    rb"|(?P<text>\((?:[^()\\]|\\.)*\))|(?P<hex><[0-9A-Fa-f]*>)|(?P<word>true|false|null)\b)",
    re.DOTALL,
)
_CODE = re.compile(rb"#([0-9A-Fa-f]{2})")
_REGULAR = re.compile(rb"[!-~](?<![()<>\[\]{}/%#])")
"""What a name holds as it is (ISO 32000-1, 7.3.5); ours writes no code for it."""
_ESCAPE = re.compile(rb"\\([0-7]{1,3}|.)", re.DOTALL)
_LETTERS = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}
_WORDS: dict[bytes, bool | None] = {b"true": True, b"false": False, b"null": None}


class TokenError(ValueError):
    """What is no object as we know them."""


class Name(str):
    """A name, without its slash."""

    __slots__ = ()


class Ref(int):
    """A reference to the object of this number, in its first generation."""

    __slots__ = ()


def same(one: Value, other: Value) -> bool:
    """Whether two values are of one kind and alike, part by part.

    To Python a reference to object 6 is the number 6, and true is 1; to a reader of the file the
    one is a page and the other nothing.

    >>> Ref(6) == Decimal(6), same(Ref(6), Decimal(6)), same([Ref(6)], [Ref(6)])
    (True, False, True)
    """
    if type(one) is not type(other):
        return False
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    return one == other


def value_of(raw: bytes) -> Value:
    """The one object in some bytes. Raises `TokenError` for anything else.

    >>> value_of(b"<< /Rect [ 0 -9.5 ] /P 7 0 R >>")
    {'Rect': [Decimal('0'), Decimal('-9.5')], 'P': 7}
    """
    return _Reader(raw).whole()[0]


def as_written(raw: bytes) -> bytes:
    r"""The object in some bytes as our signing lays it out, token for token.

    >>> as_written(b"<</Fields [9 0 R]  /SigFlags 3>>")
    b'<<\n/Fields [ 9 0 R ]\n/SigFlags 3\n>>'
    """
    return _Reader(raw).whole()[1]


class _Reader:
    """Reads one object, and writes each part anew on the way."""

    def __init__(self, raw: bytes) -> None:
        self.raw, self.at = raw, 0

    def whole(self) -> tuple[Value, bytes]:
        found = self.part(0)
        if self.raw[self.at :].strip(b" \n"):
            raise TokenError("something stands behind the object")
        return found

    def part(self, deep: int) -> tuple[Value, bytes]:
        if deep > DEEPEST:
            raise TokenError("parts stand too deep inside each other")
        kind, token = self.next()
        if token == b"[":
            return self.array(deep)
        if token == b"<<":
            return self.dictionary(deep)
        return _scalar(kind, token), token

    def next(self) -> tuple[str, bytes]:
        found = _TOKEN.match(self.raw, self.at)
        if found is None or found.lastgroup is None:
            raise TokenError("an object holds what none of ours does")
        self.at = found.end()
        return found.lastgroup, found[found.lastgroup]

    def ends(self, mark: bytes) -> bool:
        """Whether a part ends here; its mark is passed over then."""
        before = self.at
        if self.next()[1] == mark:
            return True
        self.at = before
        return False

    def array(self, deep: int) -> tuple[Value, bytes]:
        values: list[Value] = []
        written = []
        while not self.ends(b"]"):
            value, token = self.part(deep + 1)
            values.append(value)
            written.append(token)
        return values, b" ".join((b"[", *written, b"]"))

    def dictionary(self, deep: int) -> tuple[Value, bytes]:
        values: dict[str, Value] = {}
        written = [b"<<"]
        while not self.ends(b">>"):
            kind, key = self.next()
            if kind != "name":
                raise TokenError("a key that is no name")
            name = str(_name(key))
            if name in values:
                raise TokenError("a key that stands twice")
            values[name], token = self.part(deep + 1)
            written.append(key + b" " + token)
        return values, b"\n".join((*written, b">>"))


def _scalar(kind: str, token: bytes) -> Value:
    if kind == "name":
        return _name(token)
    if kind == "ref":
        return Ref(token.split()[0])
    if kind == "number":
        return Decimal(token.decode("ascii"))
    if kind == "text":
        return _ESCAPE.sub(_letter, token[1:-1])
    if kind == "hex":
        return bytes.fromhex((token[1:-1] + b"0" * (len(token) % 2)).decode("ascii"))
    if kind == "word":
        return _WORDS[token]
    raise TokenError("a part that ends before it began")


def _name(token: bytes) -> Name:
    if any(_REGULAR.match(bytes.fromhex(code.decode())) for code in _CODE.findall(token)):
        raise TokenError("a name in another spelling")
    plain = re.sub(rb"#([0-9A-Fa-f]{2})", lambda found: bytes.fromhex(found[1].decode()), token[1:])
    return Name(plain.decode("latin-1"))


def _letter(found: re.Match[bytes]) -> bytes:
    code = found[1]
    if code[:1].isdigit():
        return bytes([int(code, 8) & 0xFF]) if int(code, 8) < 256 else b"?"
    return _LETTERS.get(code, code)
