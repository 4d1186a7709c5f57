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
