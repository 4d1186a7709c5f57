"""What a record holds, entry by entry, as far as nothing else says it: nothing is passed over."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from riskdoc.job.faults import shown
from riskdoc.record.answers import Point
from riskdoc.signoff.signing import usual_words

if TYPE_CHECKING:
    from riskdoc.signoff.entries import Entry
    from riskdoc.signoff.standing import Standing

MOST_LETTERS = 300
"""Letters of a meaning that are printed; judgement: no usual sentence has half as many."""
_ACTS = {"sign": "sign-off", "withdraw": "withdrawal", "supersede": "replacement"}


def with_entries(chain: Point, standing: Standing) -> Point:
    """What is said of a record, and each entry of it that is of another revision."""
    lines = tuple(_passed_over(standing))
    if not lines:
        return chain
    count = "1 of them does" if len(lines) == 1 else f"{len(lines)} of them do"
    return replace(
        chain, text=f"{chain.text} {count} not count here.", details=(*chain.details, *lines)
    )


def _passed_over(standing: Standing) -> Iterator[str]:
    counted = [each.entry for each in standing.signed if each.entry is not None]
    aside = [entry for entry, _ in standing.aside]
    told = {each.hash for each in (*counted, *aside, standing.ended) if each is not None}
    revision = standing.content.plain["job"]["job"]["revision"]
    for number, entry in enumerate(standing.record.entries, start=1):
        if entry.hash not in told:
            yield (
                f"entry {number}: {_act(entry)}, {entry.time}: it is of another revision, and this "
                f"is revision {shown(revision)}"
            )


def numbered(entry: Entry, standing: Standing) -> str:
    """An entry with its number in the record, what it did, of what, and who."""
    hashes = [each.hash for each in standing.record.entries]
    return f"Entry {hashes.index(entry.hash) + 1} of the record ({_act(entry)})"


def _act(entry: Entry) -> str:
    number, revision = (shown(each) for each in entry.document)
    return f"{act_word(entry)} of {number}, revision {revision}, by {entry.name} as {entry.role}"


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
