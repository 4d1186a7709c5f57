"""Redirects: whether they are stated, what the tensions of both strands put on their anchors."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.assess.course import redirect_turn
from riskdoc.assess.figures import figure
from riskdoc.assess.inputs import Missing, default
from riskdoc.assess.judge import Pair, Question, does_not_apply, judge, not_demonstrated, rule
from riskdoc.assess.legs import leg_forces, leg_strength
from riskdoc.assess.pulls import RedirectPull, Way
from riskdoc.assess.records import Check, Figure, Verdict
from riskdoc.assess.rig import RigLine, RigRedirect
from riskdoc.assess.spread import Spread, combine, greatest
from riskdoc.assess.tension import Tensions
from riskdoc.job.reading import JobFile
from riskdoc.language.say import mark, say
from riskdoc.mechanics.anchors import REDIRECTED, redirect_resultant, wrapped_force


def redirect_checks(file: JobFile, line: RigLine, found: Tensions) -> Iterator[Check]:
    """Whether the redirects of a line are stated, and the anchor of each under its pull."""
    yield _stated(line)
    for redirect in line.redirects:
        yield _anchor(file, line, redirect, redirect_pull(file, redirect, found))


def _stated(line: RigLine) -> Check:
    """Whether the job says where the line is redirected, or that it is not."""
    id, subject = f"line/{line.id}/redirects", f"line/{line.id}"
    title = say("Redirects stated")
    why = line.line.why_not("redirects")
    if why is not None:
        return does_not_apply(id, subject, title, why)
    if not line.redirects:
        question = Question(id, subject, title, "", "", "1", "")
        return not_demonstrated(question, (f"lines.{line.id}.redirects",), None)
    return rule(
        id,
        subject,
        title,
        Verdict.ADEQUATE,
        say("Stated: {count}. The anchor of each is judged by itself.", count=len(line.redirects)),
        "",
        say("stated in the job"),
    )


def _sides(redirect: RigRedirect, found: Tensions) -> dict[str, tuple[Spread, Spread]]:
    """Tension above and below a redirect by case, as checks take it."""
    at = redirect.station
    return {
        case: (profile[f"{at}:above"], profile[f"{at}:below"])
        for case, profile in found.against.items()
    }


def _pulls(file: JobFile, redirect: RigRedirect, found: Tensions) -> dict[str, Spread]:
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


def redirect_pull(file: JobFile, redirect: RigRedirect, found: Tensions) -> Spread:
    """The greatest pull of a redirect on its anchor, over every case."""
    return greatest(*_pulls(file, redirect, found).values())


def pulls_of_redirects(
    file: JobFile, line: RigLine, found: Tensions, missing: tuple[str, ...]
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
            say(
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
            where=say(case),
        )


def _anchor(file: JobFile, line: RigLine, redirect: RigRedirect, force: Spread) -> Check:
    required = default("general", "anchor margin", "required")
    anchor, n = redirect.redirect.anchor, redirect.number
    question = Question(
        id=f"line/{line.id}/redirect/{n}",
        subject=f"line/{line.id}",
        title=say("Anchor ‘{anchor}’ of redirect {n}", anchor=anchor, n=n),
        demanded=mark("a pull of {amount}"),
        held=mark("A leg strength of {amount}"),
        unit="N",
        remedy=say("A stronger anchor for the redirect, or a smaller turn."),
        figures=(f"line/{line.id}/redirect/{n}/force",),
    )
    try:
        pairs = [
            Pair(say("in leg {k}", k=k + 1), each, leg_strength(file, anchor, k))
            for k, each in enumerate(leg_forces(file, anchor, force, Way.ANY))
            if each is not None
        ]
    except Missing as gap:
        return not_demonstrated(question, (gap.key,), required)
    return judge(question, pairs, required)
