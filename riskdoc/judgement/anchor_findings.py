"""What a reader must know of an anchor that is not a comparison."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.analysis.anchor_pulls import Hung, Pull, RedirectPull, Way, turn_of_pull
from riskdoc.analysis.inputs import Missing
from riskdoc.analysis.leg_forces import shares, without_length
from riskdoc.i18n.message import Text, joined, message
from riskdoc.job.reading import JobFile
from riskdoc.judgement.verdicts import Finding
from riskdoc.quantities.printing import Amount


def anchor_findings(file: JobFile, anchor: str, pulls: tuple[Hung, ...]) -> Iterator[Finding]:
    """Legs at odd angles, legs that carry nothing, and redirects beside other pulls."""
    yield from _odd_angles(file, anchor)
    yield from _unknown_lengths(file, anchor, pulls)
    yield from _slack(file, anchor)
    yield from _slack_when_turned(file, anchor, pulls)
    yield from _summed(file, anchor, pulls)


def _odd_angles(file: JobFile, anchor: str) -> Iterator[Finding]:
    part, subject = file.job.anchors[anchor], f"anchor/{anchor}"
    angles = [leg.angle.expected for leg in part.legs if leg.angle is not None]
    if part.equalised == "self" and len(angles) == 2 and angles[0] != angles[1]:
        yield Finding(
            f"{subject}/odd_angles",
            subject,
            message(
                "Anchor ‘{anchor}’ is stated to share by itself and its legs stand at different "
                "angles to the pull. Legs that slide freely would come to equal angles; each leg "
                "is judged by the worse of the angles stated and of legs that slide.",
                anchor=anchor,
            ),
            str(file.place("anchors", anchor)),
        )


def _unknown_lengths(file: JobFile, anchor: str, pulls: tuple[Hung, ...]) -> Iterator[Finding]:
    """Legs that count with the whole pull because their lengths are not stated."""
    count = len(file.job.anchors[anchor].legs)
    legs = tuple(range(count))
    if count < 2 or not without_length(file, anchor, legs):
        return
    try:
        most = [s.range.low for pull in pulls for s in shares(file, anchor, pull.way)]
    except Missing:
        return
    if min(most) < 1:
        return
    text = message(
        "The lengths of the legs of anchor ‘{anchor}’ are not stated, so each counts with the "
        "whole pull. State them to have the legs share it.",
        anchor=anchor,
    )
    place = str(file.place("anchors", anchor))
    yield Finding(f"anchor/{anchor}/lengths", f"anchor/{anchor}", text, place)


def _slack(file: JobFile, anchor: str) -> Iterator[Finding]:
    """Legs that would have to push under the pull as it is stated."""
    part = file.job.anchors[anchor]
    if len(part.legs) < 2 or part.equalised != "fixed":
        return
    try:
        found = shares(file, anchor, Way.STRAIGHT)
    except Missing:
        return
    for n, share in enumerate(found, start=1):
        if share.range.high == 0:
            text = message(
                "Leg {n} of anchor ‘{anchor}’ would have to push under this pull: it hangs slack "
                "and carries nothing.",
                n=n,
                anchor=anchor,
            )
            yield _finding(file, anchor, n, f"slack/{n}", text)


def _slack_when_turned(file: JobFile, anchor: str, pulls: tuple[Hung, ...]) -> Iterator[Finding]:
    """A leg of two that is slack when the pull turns past the other."""
    part = file.job.anchors[anchor]
    angles = [leg.angle for leg in part.legs if leg.angle is not None]
    if part.equalised != "fixed" or len(part.legs) != 2 or len(angles) != 2:
        return
    if all(angle.high == 0 for angle in angles):
        return  # side by side both turn with the pull
    for pull in (each for each in pulls if isinstance(each, Pull)):
        try:
            turn = turn_of_pull(file, pull.line).range.high
        except Missing:
            continue
        for n, other in ((1, angles[1]), (2, angles[0])):
            if 0 < other.low < turn:
                text = message(
                    "When line ‘{line}’ turns its pull on anchor ‘{anchor}’ by {turn} to the side "
                    "of leg {n}, leg {n} would have to push: it hangs slack and leg {other} "
                    "carries all.",
                    line=pull.line.id, anchor=anchor, turn=Amount(turn, "rad", "up"), n=n,
                    other=3 - n,
                )  # fmt: skip
                yield _finding(file, anchor, n, f"slack/{n}/{pull.id}", text)


def _summed(file: JobFile, anchor: str, pulls: tuple[Hung, ...]) -> Iterator[Finding]:
    """What a redirect adds to, and how."""
    redirects = [pull for pull in pulls if isinstance(pull, RedirectPull)]
    if not redirects or len(pulls) == 1:
        return
    subject = f"anchor/{anchor}"
    text = message(
        "Anchor ‘{anchor}’ also holds {redirects}. The job does not say which way each pulls, so "
        "the sizes of all pulls are added: no sum of them is greater.",
        redirects=joined(pull.words for pull in redirects),
        anchor=anchor,
    )
    yield Finding(f"{subject}/summed", subject, text, str(file.place("anchors", anchor)))


def _finding(file: JobFile, anchor: str, leg: int, id: str, text: Text) -> Finding:
    place = str(file.place("anchors", anchor, "legs", leg - 1))
    return Finding(f"anchor/{anchor}/{id}", f"anchor/{anchor}", text, place)
