"""Rise of each device against what the sheath stands above the temperature of the air."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.analysis.heat import rise_of, warmed
from riskdoc.analysis.inputs import Missing, from_table, stated
from riskdoc.analysis.margins import Pair
from riskdoc.analysis.resolve import RigLine
from riskdoc.i18n.message import message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.judgement.judge import Question, judge, not_demonstrated
from riskdoc.judgement.verdicts import Check
from riskdoc.quantities.intervals import Interval, combine, exact


def _ambient(file: JobFile, line: RigLine) -> Interval:
    return stated(file, ("sites", line.site_id, "temperature"), "T air", message("air temperature"))


def heat_checks(file: JobFile, line: RigLine) -> Iterator[Check]:
    """Rise of each device against what the sheath stands above the air's temperature."""
    for device in warmed(file, line):
        melts = from_table("fibres", line.rope.sheath, "T melt", "melts")
        question = Question(
            id=f"line/{line.id}/heat/{device}",
            subject=f"line/{line.id}",
            title=message("Heat of {device} against the sheath", device=device),
            demanded=mark("a rise of at most {amount}"),
            held=mark("Room up to the sheath's melting of {amount}"),
            unit="K",
            remedy=message(
                "A heavier device, a shorter way down, or a fibre that stands more heat."
            ),
            figures=(f"line/{line.id}/heat/rise/{device}",),
        )
        try:
            room = combine(lambda m, a: m - a, melts, _ambient(file, line))
            rise = rise_of(file, line, device)
        except Missing as gap:
            yield not_demonstrated(question, (gap.key,), exact(1.0), melts)
            continue
        yield judge(question, [Pair("", rise, room)], exact(1.0), melts)
