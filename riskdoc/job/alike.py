"""Texts that look the same: number, revision and names are compared by what is seen of them.

Two documents with one number and revision to the eye must not be two documents. A number is read
only where it looks like what it is: no invisible letters, no dash but the hyphen, letters of one
script. What is left, a letter of another script that looks like ours, is compared by how it looks.
"""

from __future__ import annotations

import unicodedata
from functools import cache

from riskdoc.job.faults import Code, Refused

_HIDDEN = {
    # They show nothing though they are letters or marks (Unicode, Default_Ignorable_Code_Point).
    *"\u034f\u115f\u1160\u17b4\u17b5\u3164\uffa0\u2800\U0001d159",
    *map(chr, range(0x180B, 0x1810)),
    *map(chr, range(0xFE00, 0xFE10)),
    *map(chr, range(0xE0100, 0xE01F0)),
}
_LOOKS = (
    # Letters of other scripts and the Latin letter each looks like (after UTS 39; chosen here).
    ("АВЕЅІЈКМНОРСТУХҮԚԜЗӀ", "ABESIJKMHOPCTYXYQW3I"),  # Cyrillic
    ("авеѕіјкмнорстухүԛԝзӏбԁһѵ", "abesijkmhopctyxyqw3l6dhv"),
    ("ΑΒΕΖΗΙΚΜΝΟΡΤΥΧ", "ABEZHIKMNOPTYX"),  # Greek
    ("αβεζηικμνορτυχγ", "abezhikmvoptyxy"),
    ("ՕՏԼՍօսհոցզ", "OSLUouhngq"),  # Armenian
    ("ᎪᏴᏟᎠᎬᏀᎻᎫᏦᏞᎷᏢᎡᏚᎢᏙᏔᏃ", "ABCDEGHJKLMPRSTVWZ"),  # Cherokee
    ("ıɑɡƖǀᴏ", "iagIlo"),  # Latin letters that are not those of the keyboard
)
_SEEN = str.maketrans({**dict(pair for ours in _LOOKS for pair in zip(*ours, strict=True))})
_ONE = str.maketrans("Il|O", "1110")
"""What is one sign to the eye in most typefaces."""
_POINTS = str.maketrans({".": " ", **dict.fromkeys("\u2019\u02bc\u02bb\u2018\u00b4`", "'")})
"""A point after an initial, and what stands for an apostrophe."""
_DASHES = {"\u2212", "\u02d7", "\u2043", "\u00ad"}
_MIXED = ("LATIN", "GREEK", "CYRILLIC", "ARMENIAN", "CHEROKEE", "COPTIC")
"""Scripts whose letters are taken for each other's."""


def hidden(char: str) -> bool:
    r"""Whether a character shows nothing, or moves what is around it; a plain blank is none.

    >>> [hidden(each) for each in ("a", " ", "\u200b", "\u3164", "\u00a0", "é")]
    [False, False, True, True, True, False]
    """
    kind = unicodedata.category(char)
    return char in _HIDDEN or kind[0] == "C" or (kind[0] == "Z" and char != " ")


_QUOTES = dict.fromkeys(map(ord, '"“”„‟«»'), "'")
LONGEST = 64
"""Letters of a name that are said; the bound of a common name in X.520 (ub-common-name)."""


def quoted(name: str, limit: int = LONGEST) -> str:
    r"""A foreign name as it is said: in quotes it cannot end, cut, and with nothing that hides.

    Blanks that stand together are one, and what shows nothing stands as a question mark.

    >>> quoted("D.   Fourth"), quoted("D. Fourth” as “authorised"), quoted("D.\u3164Fourth")
    ('“D. Fourth”', "“D. Fourth' as 'authorised”", '“D.?Fourth”')
    """
    seen = "".join("?" if hidden(char) else char for char in name[: 16 * limit])
    plain = " ".join(seen.split()).translate(_QUOTES)
    cut = plain if len(plain) <= limit else f"{plain[: limit - 1].rstrip()}…"
    return f"“{cut}”"


def dash(char: str) -> bool:
    """Whether a character looks like a hyphen."""
    return unicodedata.category(char) == "Pd" or char in _DASHES


def scripts(text: str) -> tuple[str, ...]:
    """The scripts of a text whose letters are taken for each other's, by their names.

    >>> scripts("A-1"), scripts("\u0410-1")
    (('LATIN',), ('CYRILLIC',))
    """
    names = (unicodedata.name(char, "").split(" ")[0] for char in text if char.isalpha())
    return tuple(dict.fromkeys(name for name in names if name in _MIXED))


@cache
def forms(text: str) -> frozenset[tuple[str, str]]:
    """A text as it reads in small letters, and as it looks."""
    whole = unicodedata.normalize("NFKC", text)
    shown = "".join(
        "-" if dash(char) else " " if char.isspace() else char
        for char in whole
        if char.isspace() or dash(char) or not hidden(char)
    )
    plain = " ".join(shown.split())
    digits = "".join(
        str(unicodedata.decimal(char)) if unicodedata.category(char) == "Nd" else char
        for char in plain
    )
    looks = digits.translate(_SEEN).translate(_ONE)
    return frozenset({("reads", _small(digits)), ("looks", _small(looks))})


def _small(text: str) -> str:
    return unicodedata.normalize("NFKC", text.casefold())


def alike(one: str, other: str) -> bool:
    r"""Whether two texts read or look the same.

    >>> alike("A", "\u0410"), alike("a", "A"), alike("1", "l"), alike("I", "L"), alike("A", "B")
    (True, True, True, False, False)
    """
    return one == other or bool(forms(one) & forms(other))


def called(name: str) -> frozenset[tuple[str, str]]:
    """How a name of a person reads and looks, with or without points and in any apostrophe.

    >>> bool(called("T. Ostby") & called("t ostby")), bool(called("A. Orde") & called("B. Orde"))
    (True, False)
    """
    return forms(" ".join(name.translate(_POINTS).split()))


def plain_mark(text: str) -> str:
    """A number or a revision that looks like what it is. Raises `Refused` for any other."""
    for char in text:
        if hidden(char):
            raise _refused(f"the character U+{ord(char):04X} shows nothing", "Delete it.")
        if dash(char) and char != "-":
            raise _refused(f"the dash U+{ord(char):04X} is not the hyphen", "Write -.")
    if "  " in text:
        raise _refused("two blanks stand side by side", "Write one.")
    _one_script(text)
    return text


def plain_name(text: str) -> str:
    """A name of a person that looks like what it is, in any one script. Raises `Refused`."""
    for char in text:
        if hidden(char):
            raise _refused(f"the character U+{ord(char):04X} shows nothing", "Delete it.")
    _one_script(text)
    return text


def _one_script(text: str) -> None:
    """Refuses letters that are taken for those of the keyboard or of another script."""
    for char in text:
        plain = unicodedata.normalize("NFKC", char)
        if plain != char and plain.isascii() and char != "№":
            raise _refused(f"U+{ord(char):04X} looks like another character", f"Write {plain}.")
    found = scripts(text)
    if len(found) > 1:
        raise _refused(
            f"letters of {' and '.join(each.title() for each in found)} are mixed, and some look "
            "the same",
            "Write all of it in one script.",
        )


def named(text: str) -> str:
    """What is said beside a number whose letters can be taken for Latin ones; else nothing.

    >>> named("A-1"), named("\u0410-1")
    ('', 'Cyrillic')
    """
    return ", ".join(each.title() for each in scripts(text) if each != "LATIN")


def _refused(message: str, tip: str) -> Refused:
    return Refused(Code.BAD_TEXT, message, tip)
