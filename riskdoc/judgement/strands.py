"""Whether the strands of a line share its load: a strand that bears no device carries nothing."""

from __future__ import annotations

from dataclasses import replace

from riskdoc.analysis.resolve import RigLine
from riskdoc.i18n.message import Text, message
from riskdoc.i18n.say import mark
from riskdoc.job.reading import JobFile
from riskdoc.judgement.judge import Question, does_not_apply, not_demonstrated, rule
from riskdoc.judgement.verdicts import Check, Verdict

WHOLE = mark("common practice: a device on one strand takes the whole load")


def strands_check(file: JobFile, line: RigLine) -> Check:
    """Whether every device on several strands is made to stand on each of them."""
    question = Question(
        id=f"line/{line.id}/strands",
        subject=f"line/{line.id}",
        title=message("Strands that share the load"),
        demanded="",
        held="",
        unit="1",
        remedy=message("Devices made to stand on each strand, or a plan for one strand."),
    )
    devices, why = line.all_devices, line.line.why_not("devices")
    if line.line.strands == 1:
        return _met(question, message("Line ‘{line}’ has one strand.", line=line.id))
    if why is not None and not devices:
        return does_not_apply(question.id, question.subject, question.title, why)
    if not line.line.devices and why is None:
        return not_demonstrated(question, (f"lines.{line.id}.devices",), None)
    lacking = [name for name in devices if not file.job.devices[name].each_strand]
    if lacking:
        keys = tuple(f"devices.{name}.each_strand" for name in lacking)
        said = message(
            "Line ‘{line}’ counts on {strands} strands. Of {devices} it is not stated that one "
            "stands on each strand and is made for it: a strand without a device carries nothing.",
            line=line.id,
            strands=line.line.strands,
            devices=", ".join(f"‘{name}’" for name in lacking),
        )
        found = not_demonstrated(question, keys, None)
        return replace(found, reason=said, remedy=question.remedy, source=message(WHOLE))
    said = message(
        "Line ‘{line}’ has {strands} strands; {devices}: stated to stand on each of them.",
        line=line.id,
        strands=line.line.strands,
        devices=", ".join(f"‘{name}’" for name in devices),
    )
    return _met(question, said)


def _met(question: Question, said: Text) -> Check:
    source = message("stated in the job")
    return rule(question.id, question.subject, question.title, Verdict.ADEQUATE, said, "", source)
