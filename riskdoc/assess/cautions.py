"""Cautions: the standing ones, and those that this job's numbers call for.

Signal words as ANSI Z535.6 defines them: DANGER where death will follow if it is not avoided and
nothing backs it up, WARNING where death or serious injury could follow, NOTICE for what harms
nobody's body (records, permissions).
"""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.assess.records import Caution, Check, Verdict
from riskdoc.assess.rig import Rig

STANDING = (
    Caution(
        "standing/competence", "WARNING",
        "Work on ropes can kill. This document does not replace a competent person on site, who "
        "decides on the day and may always stop the job.", "every job",
    ),
    Caution(
        "standing/precedence", "WARNING",
        "Local codes, makers' instructions and licensed practice come first. Where they ask for "
        "more than this document, they hold.", "every job",
    ),
    Caution(
        "standing/inspection", "WARNING",
        "The computation knows what the job file states. It has not seen the anchor, the edge or "
        "the rope: look at each before it is loaded, and again after anything unforeseen.",
        "every job",
    ),
    Caution(
        "standing/index", "WARNING",
        "The abrasion exposure ranks plans; it is not a life of the rope. It cannot judge how a "
        "sheath is made, a hidden burr or grit on the edge, or a cut by a loaded rope on a blade.",
        "every job with an edge",
    ),
    Caution(
        "standing/defaults", "WARNING",
        "Default values marked from memory or judgement were not read in a source. Measure what "
        "decides, and write it into the job.", "every job",
    ),
    Caution(
        "standing/permit", "NOTICE",
        "A risk assessment is no permit to work. The permits named in the title block must be in "
        "force before work starts.", "every job",
    ),
)  # fmt: skip


def cautions(rig: Rig, checks: tuple[Check, ...]) -> tuple[Caution, ...]:
    """All cautions of a job, standing ones last."""
    return (*_called_for(rig, checks), *STANDING)


def _called_for(rig: Rig, checks: tuple[Check, ...]) -> Iterator[Caution]:
    for check in checks:
        if check.id.endswith("/lines") and check.verdict is not Verdict.ADEQUATE:
            yield Caution(
                f"job/{check.id}", "DANGER",
                "Nothing backs up the single line or single anchor: if it is cut or fails, the "
                "person on it falls.", check.reason,
            )  # fmt: skip
        if check.id.endswith(("/rule/sharp", "/rule/cover")):
            yield Caution(
                f"job/{check.id}", "WARNING",
                "A rope under a falling load can be cut through at this edge in one blow.",
                check.reason,
            )  # fmt: skip
    for line in rig.lines:
        for edge in line.edges:
            if "raise" in line.cases:
                yield Caution(
                    f"job/line/{line.id}/edge/{edge.id}/raise", "WARNING",
                    "While raising, friction at the edge adds to the pull on the anchor. Stop "
                    "hauling when the load does not move: a snagged load loads everything.",
                    f"{line.id} is raised over {edge.id}",
                )  # fmt: skip
