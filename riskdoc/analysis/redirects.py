"""What the tensions of both strands put on the anchor of a redirect."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.analysis.anchor_pulls import RedirectPull
from riskdoc.analysis.course import redirect_turn
from riskdoc.analysis.figure import Figure
from riskdoc.analysis.figures import figure
from riskdoc.analysis.resolve import RigLine, RigRedirect
from riskdoc.analysis.tension import Tensions
from riskdoc.i18n.message import Text, message
from riskdoc.job.reading import JobFile
from riskdoc.mechanics.anchors import REDIRECTED, freed_rope, redirect_resultant, wrapped_force
from riskdoc.quantities.intervals import Interval, combine, greatest


def _sides(redirect: RigRedirect, found: Tensions) -> dict[str, tuple[Interval, Interval]]:
    """Tension above and below a redirect by case, as checks take it."""
    at = redirect.station
    return {
        case: (profile[f"{at}:above"], profile[f"{at}:below"])
        for case, profile in found.against.items()
    }


def _pulls(file: JobFile, redirect: RigRedirect, found: Tensions) -> dict[str, Interval]:
    """Pull of a redirect on its anchor by case, as checks take it.

    From the tensions either side; and, since friction may be less than counted, from the greater
    of them on both sides.
    """
    turn = redirect_turn(file, redirect)
    return {
        case: greatest(
            combine(redirect_resultant, *sides, turn),
            combine(wrapped_force, greatest(*sides), turn),
        )
        for case, sides in _sides(redirect, found).items()
    }


def redirect_pull(file: JobFile, redirect: RigRedirect, found: Tensions) -> Interval:
    """The greatest pull of a redirect on its anchor, over every case."""
    return greatest(*_pulls(file, redirect, found).values())


def pulls_of_redirects(
    file: JobFile, line: RigLine, found: Tensions, missing: tuple[Text, ...]
) -> Iterator[RedirectPull]:
    """What the redirects of a line put on their anchors, each with its greatest case."""
    for redirect in line.redirects:
        pulls = _pulls(file, redirect, found)
        case = max(pulls, key=lambda each: pulls[each].range.high)
        yield RedirectPull(line, redirect, greatest(*pulls.values()), case, missing)


def redirect_figures(file: JobFile, line: RigLine, found: Tensions) -> Iterator[Figure]:
    """Pull of each redirect on its anchor."""
    for redirect in line.redirects:
        pulls, sides = _pulls(file, redirect, found), _sides(redirect, found)
        case = max(pulls, key=lambda each: pulls[each].expected)
        above, below = sides[case]
        yield figure(
            f"line/{line.id}/redirect/{redirect.number}/force",
            message(
                "Pull on {anchor} from redirect {n} of {line}",
                anchor=redirect.redirect.anchor,
                n=redirect.number,
                line=line.id,
            ),
            REDIRECTED,
            {
                "T1": above,
                "T2": below,
                "θ": redirect_turn(file, redirect),
            },
            greatest(*pulls.values()),
            where=message(case),
        )


def rope_freed(file: JobFile, extension: Interval, redirect: RigRedirect) -> Interval:
    """How much rope a redirect frees when the joint of its anchor drops by `extension`."""
    return combine(freed_rope, extension, redirect_turn(file, redirect))
