"""Several plans side by side: every figure and check of each, as tables of pandas.

Figures and checks are put side by side by their ids: a line keeps its name from plan to plan, so
`line/working/margin/arrest` of the one stands beside that of the other, whatever rope it is.

Frames and CSV are for machines: heads and verdicts stay English there, whatever the language of
the job. What people read, the workbook among it, is said in the voice of the first plan.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from riskdoc.analysis.figure import Figure
from riskdoc.i18n.say import mark, say, speaking
from riskdoc.judgement.verdicts import Assessment, Check, Verdict

KEY = (
    r"line/[^/]+/tension/anchor/[^/]+",
    r"line/[^/]+/margin/(rated|derated|arrest)",
    r"line/[^/]+/fall/peak",
    r"line/[^/]+/clearance/(needed|available)",
    r"line/[^/]+/edge/[^/]+/exposure",
    r"line/[^/]+/stretch/(hold|raise|rescue)",
    r"line/[^/]+/haul/(effort|team|jam)",
    r"anchor/[^/]+/force/[^/]+",
    r"kit/(mass|packed_volume)",
)
"""Ids of the figures that are printed side by side; the files hold all of them."""
RANGE = (mark("low"), mark("expected"), mark("high"))
HEADS = (
    *(mark("plan"), mark("title"), mark("job"), mark("worst check"), mark("unmet"), mark("checks")),
    *(mark("kit mass [kg]"), mark("packed volume [m^3]"), mark("unit"), mark("subject")),
    *RANGE,
    *(mark("verdict"), mark("ratio at worst"), mark("required")),
)
"""Heads of the workbook's columns, besides `id`: those of the frames, said as they are written."""
SHEETS = (mark("summary"), mark("key figures"), mark("figures"), mark("checks"))
ACCEPTED = " (accepted)"
"""What the word of an accepted check ends in, in the frames."""


@dataclass(frozen=True, slots=True)
class Way:
    """One plan of a comparison: what it is called here, and its assessment."""

    name: str
    title: str
    plan: Assessment


@dataclass(frozen=True, slots=True)
class Comparison:
    """Plans side by side.

    `summary` has a row for each plan. `figures` and `checks` have a row for each id and columns of
    two levels, plan and value; what a plan does not have is missing there and never a number.
    """

    ways: tuple[Way, ...]
    summary: pd.DataFrame
    figures: pd.DataFrame
    checks: pd.DataFrame

    @property
    def key_figures(self) -> pd.DataFrame:
        """The figures that decide, in the order of all figures."""
        ids = self.figures.index.get_level_values("id")
        return self.figures.loc[[any(re.fullmatch(each, id) for each in KEY) for id in ids]]

    def verdict(self, plan: str, id: str) -> str:
        """The verdict of a check in a plan, said; `not asked` where it has no such check."""
        check = self._check(plan, id)
        return say("not asked") if check is None else _of_check(check)

    def _check(self, plan: str, id: str) -> Check | None:
        way = next(each for each in self.ways if each.name == plan)
        return way.plan.check(id)

    @property
    def differing(self) -> tuple[tuple[str, str, str], ...]:
        """Checks (id, title, subject) that do not come out alike, and are adequate not everywhere.

        That one plan is not asked what another one passes tells nothing of either.
        """
        names, found = [way.name for way in self.ways], []
        for id, title, subject in self.checks.index.tolist():
            checks = [self._check(name, id) for name in names]
            words = {None if check is None else _word(check) for check in checks}
            if len(words) > 1 and words - {Verdict.ADEQUATE.value, None}:
                found.append((id, title, subject))
        return tuple(found)


def ways_of(plan: Assessment, alternatives: Mapping[str, Assessment]) -> tuple[Way, ...]:
    """A plan as written and its own alternatives."""
    titles = plan.file.job.alternatives
    with speaking(plan.file.voice):
        name, title = say("as written"), say("the plan as written")
    return (
        Way(name, title, plan),
        *(Way(name, titles[name].title, each) for name, each in alternatives.items()),
    )


def compare(ways: Sequence[Way]) -> Comparison:
    """Plans side by side.

    Raises ValueError for fewer than two, and for two of one name.
    """
    names = [way.name for way in ways]
    if len(names) < 2:
        raise ValueError("one plan alone has nothing to be compared with")
    if len(set(names)) < len(names):
        raise ValueError("two plans have one name: " + ", ".join(names))
    with speaking(ways[0].plan.file.voice):
        return Comparison(tuple(ways), _summary(ways), _figures(ways), _checks(ways))


def _summary(ways: Sequence[Way]) -> pd.DataFrame:
    rows = {
        way.name: {
            "title": way.title,
            "job": say(
                "{number}, revision {revision}",
                number=way.plan.file.job.job.number,
                revision=way.plan.file.job.job.revision,
            ),
            "worst check": way.plan.status.value,
            "unmet": len(way.plan.failed_checks),
            "checks": len(way.plan.checks),
            "kit mass [kg]": _expected(way.plan.figure("kit/mass")),
            "packed volume [m^3]": _expected(way.plan.figure("kit/packed_volume")),
        }
        for way in ways
    }
    return pd.DataFrame.from_dict(rows, orient="index").rename_axis("plan")


def _expected(figure: Figure | None) -> float:
    return math.nan if figure is None else figure.range.expected


def _figures(ways: Sequence[Way]) -> pd.DataFrame:
    columns: dict[tuple[str, str], dict[str, object]] = {}
    titles: dict[str, tuple[str, str]] = {}
    for way in ways:
        found = {each.id: each for each in way.plan.figures}
        for id, figure in found.items():
            titles.setdefault(id, (figure.title, figure.unit))
        for end in RANGE:
            columns[way.name, end] = {id: getattr(f.shown, end) for id, f in found.items()}
    return _framed(columns, {id: (id, *both) for id, both in titles.items()}, "id", "title", "unit")


def _checks(ways: Sequence[Way]) -> pd.DataFrame:
    columns: dict[tuple[str, str], dict[str, object]] = {}
    titles: dict[str, tuple[str, str]] = {}
    for way in ways:
        found = {each.id: each for each in way.plan.checks}
        for id, check in found.items():
            titles.setdefault(id, (check.title, check.subject))
        columns[way.name, "verdict"] = {id: _word(each) for id, each in found.items()}
        columns[way.name, "ratio at worst"] = {
            id: each.ratio.low for id, each in found.items() if each.ratio is not None
        }
        columns[way.name, "required"] = {
            id: each.required for id, each in found.items() if each.required is not None
        }
    names = {id: (id, *both) for id, both in titles.items()}
    return _framed(columns, names, "id", "title", "subject")


def _word(check: Check) -> str:
    """The verdict of a check for machines: the same word in every language."""
    return check.verdict.value + (ACCEPTED if check.accepted else "")


def _of_check(check: Check) -> str:
    """The verdict of a check for people, and whether somebody accepted it."""
    return _verdict_said(check.verdict, accepted=check.accepted is not None)


def _verdict_said(verdict: Verdict, *, accepted: bool) -> str:
    word = say(verdict.value)
    return say("{verdict} (accepted)", verdict=word) if accepted else word


def _framed(
    columns: Mapping[tuple[str, str], Mapping[str, object]],
    titles: Mapping[str, tuple[str, str, str]],
    *levels: str,
) -> pd.DataFrame:
    """A frame with a row for each id in the order in which the plans have them."""
    frame = pd.DataFrame({key: pd.Series(values, dtype=object) for key, values in columns.items()})
    frame = frame.reindex(list(titles))
    frame.columns = pd.MultiIndex.from_tuples(list(columns), names=["plan", "value"])
    frame.index = pd.MultiIndex.from_tuples(list(titles.values()), names=list(levels))
    for key in columns:
        if key[1] != "verdict":  # numbers become numbers again; verdicts stay words
            frame[key] = frame[key].astype(float)
    return frame


def to_csv(found: Comparison) -> bytes:
    """All figures and checks in one table, a row each, in SI: `plan: value` heads a column."""
    parts = []
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
    summary = found.summary.reset_index().map(_plain)
    frames = (found.key_figures, found.figures, found.checks)
    buffer = io.BytesIO()
    with speaking(found.ways[0].plan.file.voice), pd.ExcelWriter(buffer, engine="openpyxl") as book:
        for name, frame in zip(SHEETS, (summary, *map(_flat, frames)), strict=True):
            _said(frame).to_excel(book, sheet_name=_sheet(name), index=False, freeze_panes=(1, 2))
    return buffer.getvalue()


def _sheet(name: str) -> str:
    """A sheet's name, without what the format refuses in one."""
    return re.sub(r"[\[\]:*?/\\]", " ", say(name))[:31]


def _said(frame: pd.DataFrame) -> pd.DataFrame:
    """A flat frame with its heads and its verdicts said."""
    words = {each.value + (ACCEPTED if accepted else ""): _verdict_said(each, accepted=accepted)
             for each in Verdict for accepted in (False, True)}  # fmt: skip
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
    """A cell: text of a job file that a spreadsheet would take for a formula stays text."""
    if isinstance(value, str) and value[:1] in ("=", "+", "-", "@"):
        return f"'{value}"
    return value


def _flat(frame: pd.DataFrame) -> pd.DataFrame:
    flat = frame.copy()
    flat.columns = pd.Index([": ".join(each) for each in frame.columns])
    return flat.reset_index().map(_plain)
