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
    """What is said of a record, with the entry that ended the document and those passed over."""
    over = tuple(_passed_over(standing))
    if over:
        count = "1 of them does" if len(over) == 1 else f"{len(over)} of them do"
        chain = replace(chain, text=f"{chain.text} {count} not count here.")
    return replace(chain, details=(*chain.details, *_ended(standing), *over))


def _ended(standing: Standing) -> Iterator[str]:
    entry = standing.ended
    if entry is not None:
        yield f"{_numbered(entry, standing)}, {entry.time}: {shown(entry.meaning, MOST_LETTERS)}"


def _passed_over(standing: Standing) -> Iterator[str]:
    counted = [each.entry for each in standing.signed if each.entry is not None]
    aside = [entry for entry, _ in standing.aside]
    told = {each.hash for each in (*counted, *aside, standing.ended) if each is not None}
    revision = shown(standing.content.plain["job"]["job"]["revision"])
    for entry in standing.record.entries:
        if entry.hash not in told:
            yield (
                f"{_numbered(entry, standing)}, {entry.time}: it is of another revision, and this "
                f"is revision {revision}"
            )


def _numbered(entry: Entry, standing: Standing) -> str:
    return f"entry {_place(entry, standing)}: {_act(entry)}"


def _place(entry: Entry, standing: Standing) -> int:
    return [each.hash for each in standing.record.entries].index(entry.hash) + 1


def numbered(entry: Entry, standing: Standing) -> str:
    """An entry with its number in the record, what it did, of what, and who."""
    return f"Entry {_place(entry, standing)} of the record ({_act(entry)})"


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
