"""What a record holds, entry by entry, as far as nothing else says it: nothing is passed over."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from riskdoc.job.faults import shown
from riskdoc.signing.signing import usual_words
from riskdoc.verification.answers import Point

if TYPE_CHECKING:
    from riskdoc.signing.entries import Entry
    from riskdoc.signing.sign_off_state import SignOffState

MOST_LETTERS = 300
"""Letters of a meaning that are printed; judgement: no usual sentence has half as many."""
MOST_TOLD = 100
"""Entries of other revisions that are told one by one; judgement: few records hold as many."""
_ACTS = {"sign": "sign-off", "withdraw": "withdrawal", "supersede": "replacement"}


def with_entries(chain: Point, standing: SignOffState) -> Point:
    """What is said of a record, with the entry that ended the document and those passed over."""
    over = _passed_over(standing)
    if over:
        count = "1 of them does" if len(over) == 1 else f"{len(over)} of them do"
        chain = replace(chain, text=f"{chain.text} {count} not count here.")
    more = (f"and {len(over) - MOST_TOLD} more",) if len(over) > MOST_TOLD else ()
    details = (*chain.details, *_ended(standing), *over[:MOST_TOLD], *more)
    return replace(chain, details=details)


def _ended(standing: SignOffState) -> Iterator[str]:
    entry = standing.ended
    if entry is not None:
        why = shown(entry.meaning, MOST_LETTERS)
        yield f"{_told(entry, places(standing)[entry.hash])}: {why}"


def _passed_over(standing: SignOffState) -> list[str]:
    """Entries of another revision, those first that ended it."""
    counted = [each.entry for each in standing.signed if each.entry is not None]
    aside = [entry for entry, _ in standing.aside]
    told = {each.hash for each in (*counted, *aside, standing.ended) if each is not None}
    numbered = enumerate(standing.record.entries, start=1)
    over = [(number, entry) for number, entry in numbered if entry.hash not in told]
    here = f"and this is revision {shown(standing.content.plain['job']['job']['revision'])}"
    return [
        f"{_told(entry, number)}: it is of another revision, {here}"
        for number, entry in sorted(over, key=lambda each: each[1].act == "sign")
    ]


def places(standing: SignOffState) -> dict[str, int]:
    """The number of each entry in its record, by its hash."""
    return {each.hash: n for n, each in enumerate(standing.record.entries, start=1)}


def numbered(entry: Entry, place: int) -> str:
    """An entry with its number in the record, what it did, of what, and who."""
    return f"Entry {place} of the record ({_act(entry)})"


def _act(entry: Entry) -> str:
    number, revision = (shown(each) for each in entry.document)
    who = f"{shown(entry.name)} as {shown(entry.role)}"
    return f"{act_word(entry)} of {number}, revision {revision}, by {who}"


def _told(entry: Entry, place: int) -> str:
    """An entry that no point of its own looks at, with what shows it."""
    by = "a certificate whose issuer is not looked at here" if entry.certificate else "nothing"
    return f"entry {place}: {_act(entry)} (shown by {by}), {entry.time}"


def act_word(entry: Entry) -> str:
    """What an entry does, as a noun."""
    return _ACTS[entry.act]


def meaning(entry: Entry) -> tuple[str, ...]:
    """What a sign-off means, where that is not the usual sentence of its role."""
    if usual_words(entry):
        return ()
    letters = len(entry.meaning)
    more = f" ({letters} characters)" if letters > MOST_LETTERS else ""
    return (f"meaning in their own words: {shown(entry.meaning, MOST_LETTERS)}{more}",)
