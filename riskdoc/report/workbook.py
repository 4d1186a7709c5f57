"""Plans side by side as files: a table for machines (CSV), and a workbook for people.

Titles are said in the locale of the first plan. Heads and verdicts of the CSV stay English; those
of the workbook are said as well.
"""

from __future__ import annotations

import io
import re

import pandas as pd

from riskdoc.i18n.say import Message, mark, say, speaking
from riskdoc.judgement.verdicts import Verdict
from riskdoc.mitigation.compare import ACCEPTED, RANGE, Comparison, verdict_words

HEADS = (
    *(mark("plan"), mark("title"), mark("job"), mark("worst check"), mark("unmet"), mark("checks")),
    *(mark("kit mass [kg]"), mark("packed volume [m^3]"), mark("unit"), mark("subject")),
    *RANGE,
    *(mark("verdict"), mark("ratio at worst"), mark("required")),
)
"""Heads of the workbook's columns, besides `id`: those of the frames, said as they are written."""
SHEETS = (mark("summary"), mark("key figures"), mark("figures"), mark("checks"))


def to_csv(found: Comparison) -> bytes:
    """All figures and checks in one table, a row each, in SI: `plan: value` heads a column."""
    parts = []
    with speaking(found.ways[0].plan.file.voice):
        for kind, frame in (("figure", found.figures), ("check", found.checks)):
            flat = _flat(frame)
            flat.insert(0, "kind", kind)
            parts.append(flat)
    whole = pd.concat(parts, ignore_index=True)
    first = ["kind", "id", "title", "unit", "subject"]
    whole = whole[[*first, *(each for each in whole.columns if each not in first)]]
    return whole.to_csv(index=False, lineterminator="\n").encode("utf-8")


def to_xlsx(found: Comparison) -> bytes:
    """A workbook with a sheet each for the summary, the key figures, all figures and all checks."""
    frames = (found.key_figures, found.figures, found.checks)
    buffer = io.BytesIO()
    with speaking(found.ways[0].plan.file.voice), pd.ExcelWriter(buffer, engine="openpyxl") as book:
        summary = found.summary.reset_index().map(_plain)
        for name, frame in zip(SHEETS, (summary, *map(_flat, frames)), strict=True):
            _said(frame).to_excel(book, sheet_name=_sheet(name), index=False, freeze_panes=(1, 2))
    return buffer.getvalue()


def _sheet(name: str) -> str:
    """A sheet's name, without what the format refuses in one."""
    return re.sub(r"[\[\]:*?/\\]", " ", say(name))[:31]


def _said(frame: pd.DataFrame) -> pd.DataFrame:
    """A flat frame with its heads and its verdicts said."""
    words = {
        each.value + (ACCEPTED if accepted else ""): str(verdict_words(each, accepted=accepted))
        for each in Verdict
        for accepted in (False, True)
    }
    done = frame.copy()
    for n, head in enumerate(frame.columns):
        if head.rsplit(": ", 1)[-1] in ("verdict", "worst check"):
            done.isetitem(n, [words.get(each, each) for each in frame.iloc[:, n]])
    done.columns = pd.Index([_head(each) for each in frame.columns])
    return done


def _head(head: str) -> str:
    """The head of a column, said; the name of a plan before it stands as it is."""
    *plan, value = head.rsplit(": ", 1)
    return ": ".join([*plan, say(value) if value in HEADS else value])


def _plain(value: object) -> object:
    """A cell in words; text of a job file that would be taken for a formula stays text."""
    if isinstance(value, Message):
        value = str(value)
    if isinstance(value, str) and value[:1] in ("=", "+", "-", "@"):
        return f"'{value}"
    return value


def _flat(frame: pd.DataFrame) -> pd.DataFrame:
    flat = frame.copy()
    flat.columns = pd.Index([": ".join(each) for each in frame.columns])
    return flat.reset_index().map(_plain)
