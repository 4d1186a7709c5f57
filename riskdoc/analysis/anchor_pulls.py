"""What pulls on an anchor: the ends of lines and the redirects that hang on it, and which way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from riskdoc.analysis.course import between
from riskdoc.analysis.hauling import Hauling, anchor_pull
from riskdoc.analysis.inputs import Missing, cached, stated
from riskdoc.analysis.resolve import RigLine, RigRedirect
from riskdoc.analysis.tension import Tensions
from riskdoc.analysis.wind_and_swing import reach_of
from riskdoc.i18n.message import Text, message
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.turned import turn_of_free_rope, turn_over_edges
from riskdoc.quantities.intervals import Interval, combine, greatest


class Way(Enum):
    """Which way an anchor is pulled, where no line says it."""

    STRAIGHT = "straight"  # along the pull that the angles or directions of its legs are stated for
    ANY = "any"  # a redirect's: neither the job nor its legs say which way


Pulled = RigLine | Way
"""A line whose pull turns with its reach, or a way that no reach says."""


@dataclass(frozen=True, slots=True)
class Pull:
    """The greatest pull of one line on its anchor, as checks take it; `missing` is not known."""

    line: RigLine
    tensions: Tensions
    missing: tuple[Text, ...]
    system: Hauling | None = None

    @property
    def id(self) -> str:
        """The id of the line; figures of the anchor have it in theirs."""
        return self.line.id

    @property
    def way(self) -> Pulled:
        """The line turns the pull by its reach."""
        return self.line

    @property
    def most(self) -> Interval:
        """The greatest pull over every case that is known."""
        return greatest(*self.by_case.values())

    @property
    def case(self) -> str:
        """The case with the greatest pull."""
        return _greatest_of(self.by_case)

    @property
    def by_case(self) -> dict[str, Interval]:
        """The pull in each case; a hauling system adds its own strands to the line's tension."""
        return {
            case: self._of(case, profile["anchor"])
            for case, profile in self.tensions.against.items()
        }

    @property
    def words(self) -> Text:
        """What pulls, in words."""
        return message("line ‘{line}’", line=self.line.id)

    def _of(self, case: str, tension: Interval) -> Interval:
        hauled = case in ("raise", "jam") or (
            case == "rescue"
            and self.line.line.rescue is not None
            and self.line.line.rescue.how == "raise"
        )
        if self.system is None or not hauled:
            return tension
        return anchor_pull(self.system, case, tension)


@dataclass(frozen=True, slots=True)
class RedirectPull:
    """The greatest pull of a redirect on its anchor, as checks take it."""

    line: RigLine
    redirect: RigRedirect
    most: Interval
    case: str
    missing: tuple[Text, ...]

    @property
    def id(self) -> str:
        """The id of the line and the number of the redirect."""
        return f"{self.line.id}/redirect/{self.redirect.number}"

    @property
    def way(self) -> Pulled:
        """The job does not say which way a redirect pulls."""
        return Way.ANY

    @property
    def words(self) -> Text:
        """What pulls, in words."""
        return message("redirect {n} of line ‘{line}’", n=self.redirect.number, line=self.line.id)


Hung = Pull | RedirectPull
"""Something that pulls on an anchor."""


def _greatest_of(cases: Mapping[str, Interval]) -> str:
    return max(cases, key=lambda case: cases[case].range.high)


@cached
def reach_over_rope(file: JobFile, line: RigLine) -> tuple[Interval, Interval]:
    """What turns the pull at the anchor: the reach, or a greater wind, and the rope to the load.

    Raises `Missing` where the reach is not stated, or a free rope is too short for it.
    """
    reach = reach_of(file, line)
    if line.edges:
        return reach, between(file, line, None, None)
    rope = stated(
        file, ("lines", line.id, "below"), "L", message("rope from the anchor to the load")
    )
    if reach.range.high >= rope.range.low:
        raise Missing(
            message(
                "sites.{site}.reach_sideways within lines.{line}.below",
                site=line.site_id,
                line=line.id,
            )
        )
    return reach, rope


@cached
def turn_of_pull(file: JobFile, line: RigLine) -> Interval:
    """How far the reach turns the pull at the anchor, to either side.

    Friction at an edge is not counted: a rope that a jerk sets free lies straight. Nor is a
    redirect on the way, which lessens the turn.
    """
    reach, rope = reach_over_rope(file, line)
    turn = turn_over_edges if line.edges else turn_of_free_rope
    return combine(turn, reach, rope).ends(f"turn@{line.id}")
