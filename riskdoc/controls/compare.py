"""Several plans side by side: every figure and check of each, as tables of pandas.

Figures and checks are put side by side by their ids: a line keeps its name from plan to plan, so
`line/working/margin/arrest` of the one stands beside that of the other, whatever rope it is.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from riskdoc.assess.records import Assessment, Check, Figure

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
RANGE = ("low", "expected", "high")


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
        """The verdict of a check in a plan, in a word; `not asked` where it has no such check."""
        way = next(each for each in self.ways if each.name == plan)
        check = way.plan.check(id)
        return _word(check) if check is not None else "not asked"

    @property
    def differing(self) -> tuple[tuple[str, str, str], ...]:
        """Checks (id, title, subject) that do not come out alike, and are adequate not everywhere.

        That one plan is not asked what another one passes tells nothing of either.
        """
        names, found = [way.name for way in self.ways], []
        for id, title, subject in self.checks.index.tolist():
            words = {self.verdict(name, id) for name in names}
            if len(words) > 1 and words - {"adequate", "not asked"}:
                found.append((id, title, subject))
        return tuple(found)


def ways_of(plan: Assessment, alternatives: Mapping[str, Assessment]) -> tuple[Way, ...]:
    """A plan as written and its own alternatives."""
    titles = plan.file.job.alternatives
    return (
        Way("as written", "the plan as written", plan),
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
    return Comparison(tuple(ways), _summary(ways), _figures(ways), _checks(ways))


def _summary(ways: Sequence[Way]) -> pd.DataFrame:
    rows = {
        way.name: {
            "title": way.title,
            "job": f"{way.plan.file.job.job.number}, revision {way.plan.file.job.job.revision}",
            "status": way.plan.status.value,
            "stops": len(way.plan.stops),
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
            columns[way.name, end] = {id: getattr(f.range, end) for id, f in found.items()}
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
    return check.verdict.value + (" (accepted)" if check.accepted else "")


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
    sheets = {
        "summary": found.summary.reset_index().map(_plain),
        "key figures": _flat(found.key_figures),
        "figures": _flat(found.figures),
        "checks": _flat(found.checks),
    }
    buffer = io.BytesIO()
    with pd.ExcelWriter(buffer, engine="openpyxl") as book:
        for name, frame in sheets.items():
            frame.to_excel(book, sheet_name=name, index=False, freeze_panes=(1, 2))
    return buffer.getvalue()


def _plain(value: object) -> object:
    """A cell: text of a job file that a spreadsheet would take for a formula stays text."""
    if isinstance(value, str) and value[:1] in ("=", "+", "-", "@"):
        return f"'{value}"
    return value


def _flat(frame: pd.DataFrame) -> pd.DataFrame:
    flat = frame.copy()
    flat.columns = pd.Index([": ".join(each) for each in frame.columns])
    return flat.reset_index().map(_plain)
