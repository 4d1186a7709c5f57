"""Cautions: the standing ones, and those that this job's numbers call for.

Signal words as ANSI Z535.6 defines them: DANGER where death will follow if it is not avoided and
nothing backs it up, WARNING where death or serious injury could follow, NOTICE for what harms
nobody's body (records, permissions).
"""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.analysis.resolve import Rig
from riskdoc.i18n.message import message
from riskdoc.i18n.say import mark
from riskdoc.job.model import Job
from riskdoc.judgement.verdicts import Caution, Check, Verdict

STANDING = (
    Caution(
        "standing/competence",
        "WARNING",
        message(
            "Work on ropes can kill. This document does not replace a competent person on site, "
            "who decides on the day and may always stop the job."
        ),
        message("every job"),
    ),
    Caution(
        "standing/precedence",
        "WARNING",
        message(
            "Local codes, makers' instructions and licensed practice come first. Where they ask "
            "for more than this document, they hold."
        ),
        message("every job"),
    ),
    Caution(
        "standing/inspection",
        "WARNING",
        message(
            "The computation knows what the job file states. It has not seen the anchor, the edge "
            "or the rope: look at each before it is loaded, and again after anything unforeseen."
        ),
        message("every job"),
    ),
    Caution(
        "standing/index",
        "WARNING",
        message(
            "The abrasion exposure ranks plans; it is not a life of the rope. It cannot judge how "
            "a sheath is made, a hidden burr or grit on the edge, or a cut by a loaded rope on a "
            "blade."
        ),
        message("every job with an edge"),
    ),
    Caution(
        "standing/defaults",
        "WARNING",
        message(
            "Default values marked from memory or judgement were not read in a source. Measure "
            "what decides, and write it into the job."
        ),
        message("every job"),
    ),
    Caution(
        "standing/permit",
        "NOTICE",
        message(
            "A risk assessment is no permit to work. The permits named in the title block must be "
            "in force before work starts."
        ),
        message("every job"),
    ),
)


def cautions(rig: Rig, checks: tuple[Check, ...]) -> tuple[Caution, ...]:
    """All cautions of a job, standing ones last."""
    return (*_called_for(rig, checks), *_of_the_place(rig.file.job), *STANDING)


def _called_for(rig: Rig, checks: tuple[Check, ...]) -> Iterator[Caution]:
    for check in checks:
        if check.id.endswith("/lines") and check.verdict is not Verdict.ADEQUATE:
            yield Caution(
                f"job/{check.id}",
                "DANGER",
                message(
                    "Nothing backs up the single line or single anchor: if it is cut or fails, the "
                    "person on it falls."
                ),
                check.reason,
            )
        cut = check.id.endswith(("/rule/sharp", "/rule/cover"))
        if cut and check.verdict is not Verdict.ADEQUATE:
            yield Caution(
                f"job/{check.id}",
                "WARNING",
                message("A rope under a falling load can be cut through at this edge in one blow."),
                check.reason,
            )
    for line in rig.lines:
        for edge in line.edges:
            if "raise" in line.cases:
                yield Caution(
                    f"job/line/{line.id}/edge/{edge.id}/raise",
                    "WARNING",
                    message(
                        "While raising, friction at the edge adds to the pull on the anchor. Stop "
                        "hauling when the load does not move: a snagged load loads everything."
                    ),
                    message("{line} is raised over {edge}", line=line.id, edge=edge.id),
                )


NEAR = {
    "power line": mark(
        "Keep ropes, tools and people clear of the power line; a wet rope conducts, and so does a "
        "branch. Work only at the distance its operator has given, or with the line dead."
    ),
    "moving water": mark(
        "A person held on a rope in moving water can drown within minutes. Keep the rope able to "
        "be released from above, and its end off the water."
    ),
    "confined space": mark(
        "Air in a confined space can kill without a warning. Test it, watch it, and rescue "
        "without going in."
    ),
    "radio antenna": mark(
        "Antennas can heat the body and start again unannounced. Lock them off, and measure "
        "before going near."
    ),
}
"""Cautions that something near a site calls for (judgement of this project)."""
TOOLS = {
    "chainsaw": mark(
        "A saw cuts a loaded rope in an instant. Hang on two ropes of which one is out of its "
        "reach before it is started."
    ),
    "grinder": mark("Sparks and the disc cut and melt ropes. Lead both lines out of their reach."),
    "flame or welding": mark(
        "Flame and spatter melt textile ropes. Shield both lines, or take steel."
    ),
    "pressure jet": mark("A jet cuts rope and skin. It must stop when it is let go of."),
}
"""Cautions that a tool calls for (judgement of this project)."""


def _of_the_place(job: Job) -> Iterator[Caution]:
    """What is near the work, its tools, and a rescue that rests on others."""
    for name, site in job.sites.items():
        for tag in site.near or ():
            if tag in NEAR:
                place = f"job/sites/{name}/{tag}"
                yield Caution(
                    place,
                    "WARNING",
                    message(NEAR[tag]),
                    message("{tag} at {site}", tag=message(tag), site=name),
                )
    for tool in (job.work.tools or ()) if job.work else ():
        if tool in TOOLS:
            yield Caution(
                f"job/tool/{tool}",
                "WARNING",
                message(TOOLS[tool]),
                message("tool: {tool}", tool=message(tool)),
            )
    if job.rescue.by == "emergency services":
        yield Caution(
            "job/rescue/by",
            "WARNING",
            message(
                "Whoever hangs motionless can die before anybody comes. Do not start without "
                "people of the job's own who can rescue."
            ),
            "rescue.by: emergency services",
        )
