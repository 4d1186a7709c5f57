"""Changes on a line: its load, strands, rope, what is done with it, and how it is hauled."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from riskdoc.analysis.resolve import RigLine, rig_of
from riskdoc.i18n.message import Text, message, plural
from riskdoc.job.model import Haul, HaulStage, Job, Rope
from riskdoc.judgement.verdicts import Assessment
from riskdoc.mitigation.change import BESIDE, Change, Level, amend, number, put, scaled, written
from riskdoc.quantities.printing import Exact


def one_person(job: Job, load: str) -> Job:
    """The job with one person's share of a load of several, who go after one another."""
    old = job.loads[load]
    share = 1 / old.people
    turns = old.in_turn or written(job, message("one after another, as this change is meant"))
    one = old.model_copy(
        update={
            "people": 1,
            "mass": scaled(old.mass, share, "up"),
            "kit": scaled(old.kit, share, "up"),
            "in_turn": turns,
        }
    )
    return put(job, "loads", load, one)


def strands(job: Job, line: str, count: int) -> Job:
    """The job with a line on so many strands that share the load."""
    return amend(job, "lines", line, strands=count)


def take_rope(job: Job, line: str, rope: str) -> Job:
    """The job with another of its ropes on a line."""
    return amend(job, "lines", line, rope=rope)


def own_rope(job: Job, rope: str) -> Job:
    """The job with a rope alike for every line after the first that hangs on this one."""
    done, first = job, True
    for name, line in job.lines.items():
        if line.rope != rope:
            continue
        if not first:
            own = f"{rope}{BESIDE}{name}"
            done = amend(put(done, "ropes", own, job.ropes[rope]), "lines", name, rope=own)
        first = False
    return done


def thicker(rope: Rope, by: float) -> Rope:
    """A rope of the same make, thicker by so much [m].

    Strength, mass and stiffness go with the square of the diameter (judgement: the same build).
    A test peak no longer holds and is left out.
    """
    more = 1 + by / rope.diameter.expected
    values = {
        "diameter": scaled(rope.diameter, more),
        "mass": scaled(rope.mass, more**2, "up"),
        "strength": None if rope.strength is None else scaled(rope.strength, more**2, "down"),
        "stretch": None if rope.stretch is None else scaled(rope.stretch, 1 / more**2),
        "peak": None,
    }
    return rope.model_copy(update=values)


def stiffer(rope: Rope, share: float) -> Rope:
    """A rope with this share of the static stretch; a test peak no longer holds."""
    less = None if rope.stretch is None else scaled(rope.stretch, share)
    return rope.model_copy(update={"stretch": less, "peak": None})


def like(job: Job, line: str, name: str, rope: Rope) -> Job:
    """The job with a rope that it does not have yet on a line."""
    return take_rope(put(job, "ropes", name, rope), line, name)


def raise_instead(job: Job, line: str, haul: Haul) -> Job:
    """The job with a line raised where somebody would climb it."""
    old = job.lines[line]
    cases = tuple(dict.fromkeys("raise" if case == "ascend" else case for case in old.cases))
    return amend(job, "lines", line, cases=cases, haul=old.haul or haul)


def fewer(job: Job, line: str, what: str, share: float) -> Job:
    """The job with a share of a line's `passes` or `runs`, rounded up, at least one."""
    count = getattr(job.lines[line], what)
    return amend(job, "lines", line, **{what: max(1, math.ceil(count * share))})


def less_slack(job: Job, line: str, share: float) -> Job:
    """The job with a share of the free fall on a line."""
    fall = job.lines[line].fall
    if fall is None:
        return job
    less = fall.model_copy(update={"free": scaled(fall.free, share)})
    return amend(job, "lines", line, fall=less)


def more_haulers(job: Job, line: str, more: int) -> Job:
    """The job with more people on a haul."""
    old = job.lines[line].haul
    if old is None:
        return job
    return amend(job, "lines", line, haul=old.model_copy(update={"haulers": old.haulers + more}))


def haul_with(job: Job, line: str, stages: tuple[HaulStage, ...]) -> Job:
    """The job with another hauling system on a line, the same people on it."""
    old = job.lines[line].haul
    if old is None:
        return job
    return amend(job, "lines", line, haul=old.model_copy(update={"stages": stages}))


def line_changes(plan: Assessment) -> Iterator[Change]:
    """Every change on the lines of a plan that could be made."""
    job = plan.file.job
    lines = rig_of(plan.file).lines
    for name in dict.fromkeys(line.line.load for line in lines):
        if _one_by_one(job, name):
            yield Change(
                f"one person/{name}",
                message(
                    "One person on load ‘{name}’ instead of {people}",
                    name=name,
                    people=job.loads[name].people,
                ),
                Level.SUBSTITUTE,
                message("the others go after one another or on lines of their own"),
                (f"loads.{name}",),
                partial(one_person, load=name),
            )
    for name in dict.fromkeys(line.line.rope for line in lines):
        if sum(line.line.rope == name for line in lines) > 1:
            yield Change(
                f"own rope/{name}",
                message("A rope like ‘{name}’ of its own for each line", name=name),
                Level.ENGINEER, message("one rope more to carry, inspect and record"),
                (f"ropes.{name}",), partial(own_rope, rope=name),
            )  # fmt: skip
    for line in lines:
        yield from _shared(line)
        yield from _ropes(job, line)
        yield from _climbed(line)
        yield from _slack(line)
        yield from _often(line)
        yield from _hauled(line)


def _one_by_one(job: Job, load: str) -> bool:
    """Whether people of a load could as well hang there one after the other.

    Not where the task is two at once: a lift, a rescue, work whose method is not stated.
    """
    lines = job.lines.values()
    on = [line for line in lines if line.load == load]
    lifted = any({"lower", "raise"} & set(line.cases) or line.haul for line in on)
    rescued = any(line.rescue is not None and line.rescue.load == load for line in lines)
    method = job.work.method if job.work else None
    return job.loads[load].people > 1 and not (lifted or rescued or method in (None, "rescue"))


def _shared(line: RigLine) -> Iterator[Change]:
    if line.line.strands == 1:
        yield Change(
            f"two strands/{line.id}",
            message("Line ‘{line}’ on two strands that share the load", line=line.id),
            Level.ENGINEER,
            message(
                "strands of one length that share from the start; a device carries the whole load "
                "unless one stands on each strand and is made for it"
            ),
            (f"lines.{line.id}.strands",),
            partial(strands, line=line.id, count=2),
        )


def _ropes(job: Job, line: RigLine) -> Iterator[Change]:
    """The job's own ropes first; ropes to be got only where none of them is thicker or stiffer."""
    own = [name for name in job.ropes if name != line.line.rope and _better(line, job.ropes[name])]
    for name in own:
        yield Change(
            f"other rope/{line.id}/{name}",
            message(
                "Rope ‘{name}’ on line ‘{line}’ instead of rope ‘{rope}’",
                name=name,
                line=line.id,
                rope=line.line.rope,
            ),
            Level.SUBSTITUTE,
            message("exchange the ropes before rigging; check that the devices take it"),
            (f"lines.{line.id}.rope",),
            partial(take_rope, line=line.id, rope=name),
        )
    if own:
        return
    by, most = number("thicker by"), number("thickest")
    if line.rope.diameter.high + by <= most:
        yield _to_get(
            line,
            "thicker rope",
            message(
                "Rope {by} thicker than ‘{rope}’ on line ‘{line}’",
                by=Exact(by, "mm", "up"),
                rope=line.line.rope,
                line=line.id,
            ),
            thicker(line.rope, by),
        )
    stretch, kept = line.rope.stretch, number("stretch kept")
    if stretch is not None and stretch.low * kept >= number("stretch least"):
        yield _to_get(
            line,
            "stiffer rope",
            message(
                "Rope with {kept:.0%} of the stretch of ‘{rope}’ on line ‘{line}’",
                kept=kept,
                rope=line.line.rope,
                line=line.id,
            ),
            stiffer(line.rope, kept),
        )


def _to_get(line: RigLine, kind: str, title: Text, rope: Rope) -> Change:
    return Change(
        f"{kind}/{line.id}",
        title,
        Level.SUBSTITUTE,
        message(
            "write the maker's values of the rope really taken into the job file, and check again"
        ),
        (f"lines.{line.id}.rope",),
        partial(like, line=line.id, name=f"{kind} for {line.id}", rope=rope),
    )


def _better(line: RigLine, rope: Rope) -> bool:
    """Whether a rope is thicker or stretches less; whether it will do is for the checks to say."""
    if rope.condition == "suspect":
        return False
    stiff = (
        rope.stretch is not None
        and line.rope.stretch is not None
        and rope.stretch.high < line.rope.stretch.low
    )
    return rope.diameter.low > line.rope.diameter.high or stiff


def _climbed(line: RigLine) -> Iterator[Change]:
    if "ascend" not in line.line.cases:
        return
    count, team = int(number("haul strands")), int(number("haul team"))
    haul = Haul.model_construct(stages=_stages(count), haulers=team, efficiency=None)
    title = (
        message("Line ‘{line}’ raised (by its hauling system) instead of climbed", line=line.id)
        if line.line.haul
        else message(
            "Line ‘{line}’ raised ({count}:1, {team} haulers) instead of climbed",
            line=line.id,
            count=count,
            team=team,
        )
    )
    yield Change(
        f"raise/{line.id}",
        title,
        Level.SUBSTITUTE,
        message("a hauling team, signals, and a person at the edge"),
        (f"lines.{line.id}.cases",),
        partial(raise_instead, line=line.id, haul=haul),
    )


def _slack(line: RigLine) -> Iterator[Change]:
    fall = line.line.fall
    if fall is None or fall.free.high == 0:
        return
    for kind in ("slack", "little slack"):
        kept = number(f"{kind} kept")
        yield Change(
            f"{kind}/{line.id}",
            message(
                "Free fall on line ‘{line}’ kept to {free}",
                line=line.id,
                free=Exact(fall.free.high * kept, "m", "down"),
            ),
            Level.ORGANISE,
            message(
                "keep the back-up device high and the rope above it without slack, on every move"
            ),
            (f"lines.{line.id}.fall.free",),
            partial(less_slack, line=line.id, share=kept),
        )


def _often(line: RigLine) -> Iterator[Change]:
    share = number("passes kept")
    for what in ("passes", "runs"):
        count = getattr(line.line, what)
        if count is None or count < 2:
            continue
        left = max(1, math.ceil(count * share))
        yield Change(
            f"{what}/{line.id}",
            _sooner(what, left, line=line.id, before=count),
            Level.ORGANISE,
            message("one named person counts, and work stops for the inspection"),
            (f"lines.{line.id}.{what}",),
            partial(fewer, line=line.id, what=what, share=share),
        )


def _sooner(what: str, left: int, **parts: object) -> Text:
    if what == "passes":
        return plural(
            "Rope of line ‘{line}’ inspected after {count} pass instead of {before}",
            "Rope of line ‘{line}’ inspected after {count} passes instead of {before}",
            left,
            **parts,
        )
    return plural(
        "Rope of line ‘{line}’ inspected after {count} run instead of {before}",
        "Rope of line ‘{line}’ inspected after {count} runs instead of {before}",
        left,
        **parts,
    )


def _stages(*strands: int) -> tuple[HaulStage, ...]:
    return tuple(HaulStage.model_construct(strands=each, ends="moving") for each in strands)


SYSTEMS = (("3:1", _stages(3)), ("5:1", _stages(5)), ("9:1", _stages(3, 3)))
"""Hauling systems in common use (common practice), by what they gain without friction."""


def _hauled(line: RigLine) -> Iterator[Change]:
    haul = line.line.haul
    if haul is None:
        return
    more = int(number("haulers more"))
    if haul.haulers + more <= number("limit haulers", "high"):
        yield Change(
            f"haulers/{line.id}",
            message(
                "{haulers} haulers on line ‘{line}’ instead of {before}",
                haulers=haul.haulers + more,
                line=line.id,
                before=haul.haulers,
            ),
            Level.ORGANISE,
            message("room for them to pull, and one person who gives the signals"),
            (f"lines.{line.id}.haul.haulers",),
            partial(more_haulers, line=line.id, more=more),
        )
    gain = math.prod(stage.strands for stage in haul.stages)
    for name, stages in SYSTEMS:
        if math.prod(stage.strands for stage in stages) > gain:
            yield Change(
                f"haul system/{line.id}",
                message("A {name} hauling system on line ‘{line}’", name=name, line=line.id),
                Level.ENGINEER,
                message("more rope through the system, and more resets"),
                (f"lines.{line.id}.haul.stages",),
                partial(haul_with, line=line.id, stages=stages),
            )
            return
