"""Checks of a job as a whole: values that are right alone and cannot be right together.

Each check is one short generator over one part. The lists at the end of this file are all of
them; the checks of anchors stand in `legs.py`, those of heights and falls in `heights.py`, and
what only deserves a warning in `cautions.py`. A comparison of ranges takes the corner that stands
most against the job, of heights and falls the one that stands most for it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from itertools import pairwise
from typing import Any, TypeAlias

from riskdoc.job.faults import Code, nearest, shown
from riskdoc.job.impossible_heights import (
    clear_below,
    fall_factor,
    heights,
    peak_of_standard,
    safety_falls,
)
from riskdoc.job.leg_checks import legs
from riskdoc.job.model import SETS, Device, Job, Line, Load, Protector, Rope
from riskdoc.job.model_findings import Found, named, recorded, sound
from riskdoc.job.nodes import Path
from riskdoc.job.people_checks import (
    contact_before_ground,
    days_long_enough,
    named_once,
    one_line_or_several,
    one_name_each,
)
from riskdoc.job.references import pictured_part
from riskdoc.quantities.units import from_si, to_si
from riskdoc.tables.loader import find

GRAVITY = to_si(1.0, "kgf")  # a kilogram-force is one kilogram under standard gravity

# job, day of the assessment, path of the part, the part
Check: TypeAlias = Callable[[Job, date, Path, Any], Iterator[Found]]


def contradictions(job: Job, on: date) -> Iterator[Found]:
    """Every contradiction in what is sound of a job, judged on one day."""
    for check in WHOLE:
        yield from sound(check(job))
    yield from sound(_records(job, on))
    for section, checks in CHECKS.items():
        yield from sound(_each(job, on, section, checks))


def _each(job: Job, on: date, section: str, checks: tuple[Check, ...]) -> Iterator[Found]:
    for name, part in getattr(job, section).items():
        for check in checks:
            yield from sound(check(job, on, (section, name), part))


def _validity(job: Job) -> Iterator[Found]:
    valid, path = job.job.valid, ("job", "valid", "to")
    if valid.end < valid.start:
        yield Found(
            Code.VALID_ORDER,
            path,
            f"the last day {valid.end} is before the first day {valid.start}",
            "Swap them or correct one.",
        )


def _roles(job: Job) -> Iterator[Found]:
    roles = job.signoff.roles
    for n, role in enumerate(roles):
        if role in roles[:n]:
            yield Found(
                Code.ROLE_TWICE,
                ("signoff", "roles", n),
                f"the role {shown(role)} stands twice",
                "Whoever signs, signs once: give the second a name of its own.",
            )


def _deviations(job: Job) -> Iterator[Found]:
    """An acceptance holds as long as the document does, or the document ends with it."""
    end = job.job.valid.end
    for n, each in enumerate(job.signoff.deviations):
        if each.until < end:
            yield Found(
                Code.ACCEPTED_TOO_SHORT,
                ("signoff", "deviations", n, "until"),
                f"{each.until} is before the last day of the job, {end}",
                "Let the job end with the acceptance, or have it accepted for longer.",
            )


def _requirements(job: Job) -> Iterator[Found]:
    """A set that is known by name, or a YAML file beside the job."""
    name = job.job.requirements
    if name in SETS or name.endswith((".yaml", ".yml")):
        return
    near = nearest(name, SETS, close=0.82)
    hint = f"Did you mean {shown(near)}? " if near else ""
    yield Found(
        Code.UNKNOWN_WORD,
        ("job", "requirements"),
        f"{shown(name)} is no requirement set that is known here",
        f"{hint}One of: {', '.join(SETS)}; or a file of your own beside the job, like rules.yaml.",
    )


def _rescued_lines(job: Job) -> Iterator[Found]:
    for name in job.rescue.lines:
        if name not in job.lines:
            near = nearest(name, list(job.lines))
            hint = f"Did you mean {shown(near)}? " if near else ""
            yield Found(
                Code.DANGLING,
                ("rescue", "lines", name),
                f"there is no line {shown(name)}",
                f"{hint}Ids under lines: {', '.join(job.lines)}.",
            )


def _who(job: Job, on: date, path: Path, load: Load) -> Iterator[Found]:
    """Whoever is named hangs there, at once or in turns; fewer names than people is a slip."""
    if load.who and len(load.who) < load.people:  # a name that stands twice is told elsewhere
        yield Found(
            Code.TOO_FEW_NAMED,
            (*path, "who"),
            f"{len(load.who)} named and {load.people} people hang there",
            "Name everyone who can hang there, or correct the number.",
        )
    elif load.who and load.people == 0:
        yield Found(
            Code.TOO_FEW_NAMED,
            (*path, "who"),
            "people are named and the load has none",
            "Leave 'who' out, or count the people.",
        )


def _records(job: Job, on: date) -> Iterator[Found]:
    """Making, inspection and drill come before the work; what comes after it shows nothing."""
    for path, day in recorded(job):
        yield from sound(_not_after(job, on, path, day))


def _not_after(job: Job, on: date, path: Path, day: date) -> Iterator[Found]:
    # Days of the work that are wrong themselves have been told, so the latest counts.
    end = max(job.job.valid.start, job.job.valid.end, on)
    if day > end:
        yield Found(
            Code.DATE_TOO_LATE,
            path,
            f"{day} is after the last day of the work, {end}",
            "Write the day on which it was done.",
        )


def _protector(job: Job, on: date, path: Path, part: Protector) -> Iterator[Found]:
    """What the computation cannot do without: width for cover, radius and surface for a bend."""
    kind = part.kind
    wanted = {
        "width": kind != "sleeve",
        "radius": kind in ("rigid plate", "rigid tube", "roller set"),
        "surface": kind in ("rigid plate", "rigid tube"),
    }
    lacking = [key for key, needed in wanted.items() if needed and getattr(part, key) is None]
    if lacking:
        wanted_keys = ", ".join(lacking)
        yield Found(
            Code.PROTECTOR_INCOMPLETE,
            path,
            f"a {kind} also needs: {wanted_keys}",
            "Add what was measured on the piece.",
        )


def _device_range(job: Job, on: date, path: Path, part: Device) -> Iterator[Found]:
    least, most = part.diameter_from, part.diameter_to
    if least is not None and most is not None and least.high > most.low:
        yield Found(
            Code.DEVICE_RANGE,
            (*path, "diameter_to"),
            f"the greatest diameter {most.written} is below the least, {least.written}",
            "Write the range that is marked on the device.",
        )


def _rope_months(job: Job, on: date, path: Path, part: Rope) -> Iterator[Found]:
    steps = [("made", part.made), ("first_used", part.first_used), ("retire_by", part.retire_by)]
    known = [(key, month) for key, month in steps if month is not None]
    for (before, early), (after, late) in pairwise(known):
        if early > late:
            yield Found(
                Code.ROPE_DATES,
                (*path, after),
                f"{after} {late:%Y-%m} is before {before} {early:%Y-%m}",
                "Read the months off the label and the rope's record again.",
            )


def _diameter(job: Job, on: date, path: Path, part: Rope) -> Iterator[Found]:
    """A rope is not made to a standard that its diameter lies outside of."""
    its = find("standards", part.standard, "diameter")
    if its is None or (its.low <= part.diameter.low and part.diameter.high <= its.high):
        return
    low, high = (from_si(end, "mm") for end in (its.low, its.high))
    yield Found(
        Code.ROPE_OFF_STANDARD,
        (*path, "diameter"),
        f"{part.diameter.written} is outside {part.standard}, which is {low:.6g} mm to {high:.6g} "
        f"mm ({its.provenance})",
        "Read diameter and standard off the label again.",
    )


def _peak(job: Job, on: date, path: Path, part: Rope) -> Iterator[Found]:
    """A fall of factor 0 already gives 2 m g; a test peak at or under that is a slip of the pen."""
    if part.peak is None:
        return
    least = 2 * part.peak.mass.high * GRAVITY
    if part.peak.force.low <= least:
        yield Found(
            Code.PEAK_TOO_LOW,
            (*path, "peak", "force"),
            f"a peak of {part.peak.force.written} is not above twice the weight of the test mass, "
            f"{least / 1000:.4g} kN",
            "Read force and mass off the test report again.",
        )


def _long_enough(job: Job, on: date, path: Path, line: Line) -> Iterator[Found]:
    rope = named(job.ropes, line.rope)
    strand = sum(over.after.high for over in line.over) + line.below.high
    needed = strand * line.strands
    if rope.length.low < needed:
        strands = f"{line.strands} strands of {strand:.6g} m" if line.strands > 1 else "the line"
        yield Found(
            Code.ROPE_TOO_SHORT,
            (*path, "rope"),
            f"the rope {shown(line.rope)} of {rope.length.written} is shorter than {strands}: "
            f"{needed:.6g} m",
            "Take a longer rope or correct the lengths; knots and tail come on top.",
        )


def _rope_shared(job: Job, on: date, path: Path, line: Line) -> Iterator[Found]:
    """Told once, at the line with which the rope runs out; a line too long alone is told there."""
    rope, taken = named(job.ropes, line.rope), 0.0
    for name, other in job.lines.items():
        if other.rope != line.rope:
            continue
        needed = (sum(o.after.high for o in other.over) + other.below.high) * other.strands
        before, taken = taken, taken + needed
        if name == path[-1]:
            break
    if before > 0 and before <= rope.length.low < taken and needed <= rope.length.low:
        yield Found(
            Code.ROPE_SHARED,
            (*path, "rope"),
            f"the lines on the rope {shown(line.rope)} of {rope.length.written} take "
            f"{taken:.6g} m together",
            "Give each line a rope of its own.",
        )


def _somebody_climbs(job: Job, on: date, path: Path, line: Line) -> Iterator[Found]:
    load = named(job.loads, line.load)
    for index, case in enumerate(line.cases):
        if load.people == 0 and case in ("descend", "ascend"):
            yield Found(
                Code.NOBODY_CLIMBS,
                (*path, "cases", index),
                f"the load {shown(line.load)} has no people; nothing can {case} on it",
                "A thing is lowered or raised; for a person count the people of the load.",
            )
            return


def _has_site(job: Job, on: date, path: Path, line: Line) -> Iterator[Found]:
    if line.site is None and len(line.over) == 0:
        yield Found(
            Code.NO_SITE,
            path,
            "the line runs over no edge and names no site",
            "Add 'site', so that its drop is known.",
        )


def _edges_once(job: Job, on: date, path: Path, line: Line) -> Iterator[Found]:
    seen: set[str] = set()
    for index, over in enumerate(line.over):
        if over.edge in seen:
            yield Found(
                Code.EDGE_TWICE,
                (*path, "over", index, "edge"),
                f"the line runs over {shown(over.edge)} a second time",
                "Two places on one coping are two edges: give the second its own id.",
            )
        seen.add(over.edge)


def _cases_once(job: Job, on: date, path: Path, line: Line) -> Iterator[Found]:
    for index, case in enumerate(line.cases):
        if case in line.cases[:index]:
            yield Found(
                Code.CASE_TWICE,
                (*path, "cases", index),
                f"the case {shown(case)} stands here twice",
                "Keep one; how often it is done goes into 'runs'.",
            )


def _haul(job: Job, on: date, path: Path, line: Line) -> Iterator[Found]:
    raises = "raise" in line.cases or (line.rescue is not None and line.rescue.how == "raise")
    if not raises and line.haul:  # of an unsound one nobody can say that it is there
        yield Found(
            Code.HAUL_WITHOUT_RAISE,
            (*path, "haul"),
            "the line is hauled but never raised",
            "Add raise to 'cases', or leave 'haul' out.",
        )


def _slip(job: Job, on: date, path: Path, line: Line) -> Iterator[Found]:
    """A device that slips under the load's own weight never stops a fall."""
    if line.fall is None:
        return
    load = named(job.loads, line.load)
    weight = (load.mass.high + load.kit.high) * GRAVITY
    for index, name in enumerate(line.devices):
        slip = named(job.devices, name).slip
        if slip is not None and slip.low <= weight:
            yield Found(
                Code.SLIP_UNDER_WEIGHT,
                (*path, "devices", index),
                f"{shown(name)} slips at {slip.written}; the load weighs {weight / 1000:.4g} kN",
                "It would never stop a fall: correct the slip force or the load.",
            )


def _redirects(job: Job, on: date, path: Path, line: Line) -> Iterator[Found]:
    whole = sum(over.after.low for over in line.over) + line.below.low
    for index, redirect in enumerate(line.redirects):
        if redirect.after.high >= whole:
            yield Found(
                Code.REDIRECT_TOO_FAR,
                (*path, "redirects", index, "after"),
                f"the redirect stands {redirect.after.written} along a line of {whole:.6g} m",
                "Measure from the main anchor along the rope.",
            )


def _wet(job: Job, on: date, path: Path, line: Line) -> Iterator[Found]:
    """Where no rope can get wet no line can; else the site's word would hide the line's."""
    if line.wet is not True:
        return
    name = line.site
    if name is None and line.over:
        name = named(job.edges, line.over[-1].edge).site
    if name is not None and named(job.sites, name).wet is False:
        yield Found(
            Code.WET_AT_DRY_SITE,
            (*path, "wet"),
            f"the line can get wet, and its site {shown(name)} is stated to be dry",
            "State the site as wet, and wet: false on the lines that stay dry.",
        )


WHOLE: tuple[Callable[[Job], Iterator[Found]], ...] = (
    _validity,
    _deviations,
    _roles,
    _requirements,
    _rescued_lines,
    named_once,
    one_name_each,
    one_line_or_several,
    contact_before_ground,
    days_long_enough,
)
CHECKS: dict[str, tuple[Check, ...]] = {
    "anchors": (legs,),
    "protection": (_protector,),
    "devices": (_device_range,),
    "loads": (_who,),
    "ropes": (_rope_months, _diameter, _peak, peak_of_standard),
    "sites": (clear_below,),
    "lines": (
        _long_enough,
        _rope_shared,
        _somebody_climbs,
        _has_site,
        _edges_once,
        _cases_once,
        _haul,
        _slip,
        _redirects,
        _wet,
        safety_falls,
        fall_factor,
        heights,
    ),
    "pictures": (pictured_part,),
}
