"""Words of a job file that deny what they are asked for, or put it off.

`hospital: none known` states no hospital. What is no more than that is as good as not stated, in
the languages a report is written in. Longer texts are left to people.
"""

from __future__ import annotations

import re

_DENIES = frozenset((
    "no", "none", "none known", "none stated", "none yet", "not any", "nil", "nothing", "nobody",
    "no one", "nowhere", "never", "na", "n a", "not applicable", "not available", "not known",
    "not stated", "not yet", "not yet known", "unknown", "unclear", "open", "later", "pending",
    "to follow", "tba", "tbc", "tbd", "to be agreed", "to be confirmed", "to be decided",
    "to be determined", "to be done", "to do", "todo", "applied for", "x", "xx", "xxx",
    "nein", "kein", "keine", "keiner", "keines", "nichts", "niemand", "nirgends", "nie",
    "entfällt", "nicht bekannt", "unbekannt", "unklar", "offen", "noch offen", "folgt",
    "wird nachgereicht", "nachzureichen", "später", "beantragt",
))  # fmt: skip


def denies(text: str) -> bool:
    """Whether a text says no more than that there is none, or not yet.

    >>> denies("None."), denies("tbc"), denies("?"), denies("none within an hour by road")
    (True, True, True, False)
    """
    plain = " ".join(re.sub(r"[^\w]+", " ", text.casefold()).split())
    return not plain or plain in _DENIES


_NO = frozenset((
    "no", "none", "nothing", "nobody", "not", "never", "neither", "nor",
    "kein", "keine", "keiner", "keinen", "keinerlei", "nichts", "niemand", "nie", "weder",
))  # fmt: skip
"""What a clause begins with that only says what there is not."""
_ENDS = re.compile(
    r"\b(none|nothing|nobody|impossible|not (available|possible|there|working|work)|"
    r"keine?[rs]?|nichts|niemand|nicht (möglich|verfügbar|vorhanden))$"
)
_LIMITS = frozenset((
    "more", "longer", "further", "farther", "later", "less", "problem", "matter",
    "out", "alone", "leaves", "without", "unless", "until", "before", "beyond", "while",
    "mehr", "länger", "weiter", "später", "allein", "verlässt", "ohne", "bevor", "bis", "solange",
))  # fmt: skip
"""Words that turn a clause which begins with a denial into a rule, like nobody works alone."""
_CLAUSES = re.compile(
    r"[,;.!?()/\n–—]+|\b(?:and|or|but|so|then|except|besides|only|other than|because|instead|"
    r"und|oder|aber|sondern|also|dann|daher|deshalb|außer|nur|weil|stattdessen)\b",
    re.IGNORECASE,
)


def names_nothing(text: str) -> bool:
    """Whether a text that is asked for a means names none: every clause of it denies one.

    One clause that does not deny is enough, whatever it says. Reasons why something does not apply
    are another matter, for they may well begin with a no.

    >>> names_nothing("no phone signal, no radio, nothing else"), names_nothing("Funk: keiner")
    (True, True)
    >>> names_nothing("no phone signal, but radio to the rim"), names_nothing("calling out")
    (False, False)
    """
    clauses = [each for each in _CLAUSES.split(text) if re.search(r"\w", each)]
    return all(_denied(each.rpartition(":")[2]) for each in clauses)


def _denied(clause: str) -> bool:
    words = re.findall(r"\w+", clause.casefold())
    if denies(clause):
        return True
    if _LIMITS & set(words):
        return False
    return words[0] in _NO or _ENDS.search(" ".join(words)) is not None
