"""What a job says of how the work is done: each point stated, or not demonstrated by itself."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from riskdoc.i18n.message import Placed, Text, joined, message, plural
from riskdoc.i18n.say import mark
from riskdoc.job.model import Job, Work
from riskdoc.job.words import names_nothing
from riskdoc.judgement.judge import Question, not_demonstrated, rule
from riskdoc.judgement.verdicts import Check, Verdict

POINTS = {
    "method": mark("Kind of rope work"),
    "steps": mark("Steps of the work"),
    "communications": mark("How the crew talk"),
    "stop_work": mark("When the work stops"),
    "light": mark("Light at the work"),
    "shift": mark("Longest time at work in a day"),
}
"""What every job must say of its work, by its key under `work`."""


def work_checks(job: Job) -> Iterator[Check]:
    """A check for every point; left out, alone or with the whole section, it does not pass.

    Communications that only deny, like no radio, name no way to talk.
    """
    for key, title in POINTS.items():
        question = Question(f"work/{key}", "work", message(title), "", "", "1", "")
        said = _said(job.work, key)
        if not said:
            yield not_demonstrated(question, (f"work.{key}",), None)
        elif key == "communications" and isinstance(said, str) and names_nothing(said):
            lacking = not_demonstrated(question, ("work.communications",), None)
            yield replace(lacking, reason=message("‘{said}’ names no way to talk.", said=said))
        elif key == "light" and _dark(job.work) and not _lit(job.work):
            yield not_demonstrated(question, ("work.lighting",), None)
        else:
            yield rule(
                question.id,
                question.subject,
                question.title,
                Verdict.ADEQUATE,
                message("Stated: {said}.", said=Placed(said, "unstopped")),
                "",
                message("stated in the job"),
            )


def _said(work: Work | None, key: str) -> Text:
    """What the job says of a point, empty where nothing is said."""
    if work is None:
        return ""
    light = [message(work.light) if work.light else "", work.lighting or ""]
    said = {
        "method": message(work.method) if work.method else "",
        "steps": plural("one step", "{count} steps", len(work.steps)) if work.steps else "",
        "communications": work.communications or "",
        "stop_work": "; ".join(work.stop_work),
        "light": joined(light) if work.light else "",
        "shift": work.shift.written if work.shift else "",
    }
    return said[key]


def _dark(work: Work | None) -> bool:
    return work is not None and work.light != "daylight"


def _lit(work: Work | None) -> bool:
    return work is not None and work.lighting is not None
