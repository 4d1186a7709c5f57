"""Several plans side by side: every figure and check of each, as tables of pandas.

Figures and checks are put side by side by their ids: a line keeps its name from plan to plan, so
`line/working/margin/arrest` of the one stands beside that of the other, whatever rope it is.

Frames are for machines: heads and verdicts stay English there, whatever the language of the job.
`report/workbook.py` writes them as files.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from riskdoc.analysis.figure import Figure
from riskdoc.i18n.message import Text, message
from riskdoc.i18n.say import mark
from riskdoc.judgement.verdicts import Assessment, Check, Verdict
from riskdoc.mitigation.change import written

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
ACCEPTED = " (accepted)"
"""What the word of an accepted check ends in, in the frames."""


@dataclass(frozen=True, slots=True)
class Way:
    """One plan of a comparison: what it is called here, and its assessment."""

    name: str
    title: Text
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

    def verdict(self, plan: str, id: str) -> Text:
        """The verdict of a check in a plan, said; `not asked` where it has no such check."""
        check = self._check(plan, id)
        return message("not asked") if check is None else _of_check(check)

    def _check(self, plan: str, id: str) -> Check | None:
        way = next(each for each in self.ways if each.name == plan)
        return way.plan.check(id)

    @property
    def differing(self) -> tuple[tuple[str, Text, str], ...]:
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
    return (
        Way(written(plan.file.job, message("as written")), message("the plan as written"), plan),
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
            "job": message(
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
    titles: dict[str, tuple[Text, str]] = {}
    for way in ways:
        found = {each.id: each for each in way.plan.figures}
        for id, figure in found.items():
            titles.setdefault(id, (figure.title, figure.unit))
        for end in RANGE:
            columns[way.name, end] = {id: getattr(f.shown, end) for id, f in found.items()}
    return _framed(columns, {id: (id, *both) for id, both in titles.items()}, "id", "title", "unit")


def _checks(ways: Sequence[Way]) -> pd.DataFrame:
    columns: dict[tuple[str, str], dict[str, object]] = {}
    titles: dict[str, tuple[Text, str]] = {}
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


def _of_check(check: Check) -> Text:
    """The verdict of a check for people, and whether somebody accepted it."""
    return verdict_words(check.verdict, accepted=check.accepted is not None)


def verdict_words(verdict: Verdict, *, accepted: bool) -> Text:
    """A verdict for people."""
    word = message(verdict.value)
    return message("{verdict} (accepted)", verdict=word) if accepted else word


def _framed(
    columns: Mapping[tuple[str, str], Mapping[str, object]],
    titles: Mapping[str, tuple[str, Text, str]],
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
