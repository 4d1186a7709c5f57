"""Heights and falls that cannot be: lines below the ground, clear heights that no site has.

One datum for every clear height: the attachment point of the person on the line. A comparison of
ranges takes the corner that stands most for the job, so that only what cannot be is a fault.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date

from riskdoc.job.draft import Unsound
from riskdoc.job.faults import Code, shown
from riskdoc.job.model import Job, Line, Rope, Site
from riskdoc.job.model_findings import Found, named
from riskdoc.job.nodes import Path
from riskdoc.quantities.units import to_si
from riskdoc.tables.loader import find

GREATEST_FACTOR = 2.0  # geometry: nobody falls further than twice the rope that is out
TINY = 1e-9  # metres, and shares: 20 m and 10 m are the whole of 30 m however they were added up


def clear_below(job: Job, on: date, path: Path, site: Site) -> Iterator[Found]:
    """The lowest place of work is no higher than the edge."""
    clear = site.clear_below
    if clear is not None and clear.low > site.drop.high + TINY:
        yield Found(
            Code.CLEAR_ABOVE_DROP,
            (*path, "clear_below"),
            f"a clear height of {clear.written} is more than the whole drop, {site.drop.written}",
            "It is counted from the attachment point at the lowest place of work down to what is "
            "below.",
        )


def heights(job: Job, on: date, path: Path, line: Line) -> Iterator[Found]:
    """A line and the clear heights below it lie within the drop; the first mistake is told."""
    name, site = _site(job, line)
    reach = site.reach_sideways.high if site.reach_sideways is not None else 0.0
    depth = math.sqrt(max(line.below.low**2 - reach**2, 0.0))
    left = site.drop.high - depth
    if left < -TINY:
        yield Found(
            Code.LONGER_THAN_DROP,
            (*path, "below"),
            f"{line.below.written} of rope below the last edge or anchor is longer than the drop "
            f"of {site.drop.written} at {shown(name)}",
            "It ends at the attachment point at the place of work; correct it or the drop.",
        )
        return
    lowest = site.clear_below
    if lowest is not None and lowest.low - left > TINY and lowest.low <= site.drop.high + TINY:
        yield Found(
            Code.BELOW_THE_LOWEST,
            (*path, "below"),
            f"below {line.below.written} of rope at most {left:.4g} m of the drop are left, and "
            f"{shown(name)} states {lowest.written} clear at the lowest place of work",
            "Correct the rope below, the drop, or 'clear_below'.",
        )
        return
    clear = line.fall.clear if line.fall is not None else None
    if clear is not None and clear.low - left > TINY:
        yield Found(
            Code.CLEAR_NOT_THERE,
            (*path, "fall", "clear"),
            f"a clear height of {clear.written} below the end of {line.below.written} of rope is "
            f"more than the drop of {site.drop.written} leaves, at most {left:.4g} m",
            "It is counted from the attachment point down; correct it, the rope below, or the "
            "drop.",
        )


def _site(job: Job, line: Line) -> tuple[str, Site]:
    """The site of a line: its own, else that of its last edge."""
    if line.site is None and not line.over:
        raise Unsound  # told by itself
    name = line.site or named(job.edges, line.over[-1].edge).site
    return name, named(job.sites, name)


def fall_factor(job: Job, on: date, path: Path, line: Line) -> Iterator[Found]:
    """Nobody falls further than twice the rope between anchor and load."""
    if line.fall is None:
        return
    out = line.below.high + sum(over.after.high for over in line.over)
    if line.fall.free.low > GREATEST_FACTOR * out * (1 + TINY):
        yield Found(
            Code.FALL_FACTOR,
            (*path, "fall", "free"),
            f"a free fall of {line.fall.free.written} on {out:.6g} m of rope is a fall factor of "
            f"{line.fall.free.low / out:.3g}",
            "It is at most 2, for a fall from straight above the anchor: correct the free fall or "
            "the lengths of rope.",
        )


def safety_falls(job: Job, on: date, path: Path, line: Line) -> Iterator[Found]:
    """A safety line is there for the fall when the other line fails."""
    if line.role == "safety" and line.why_not("fall") is not None:
        yield Found(
            Code.SAFETY_WITHOUT_FALL,
            (*path, "fall"),
            "a safety line must arrest what falls when the other line fails",
            "State the fall, 'free: 0 m' for a line that is always tight; or call it a working "
            "line.",
        )


def peak_of_standard(job: Job, on: date, path: Path, rope: Rope) -> Iterator[Found]:
    """A rope of a standard is no stiffer than the greatest peak in the standard's test allows.

    A test with another mass or fall factor is compared through the energy balance of a spring,
    F (F - 2 m g) proportional to m f: for the standard's own test that compares the forces.
    """
    most = find("standards", rope.standard, "peak")
    mass = find("standards", rope.standard, "peak_mass")
    factor = find("standards", rope.standard, "peak_factor")
    if rope.peak is None or most is None or mass is None or factor is None:
        return
    stated = _stiffness(rope.peak.force.low, rope.peak.mass.high, rope.peak.factor.high)
    allowed = _stiffness(most.high, mass.low, factor.low)
    if stated > allowed * (1 + TINY):
        yield Found(
            Code.PEAK_TOO_HIGH,
            (*path, "peak", "force"),
            f"a peak of {rope.peak.force.written} with {rope.peak.mass.written} and fall factor "
            f"{rope.peak.factor.written} is more than {rope.standard} allows, "
            f"{most.high / 1000:.4g} kN with {mass.expected:g} kg and {factor.expected:g} "
            f"({most.provenance})",
            "Read the test report and the standard on the label again.",
        )


def _stiffness(force: float, mass: float, factor: float) -> float:
    """K of a rope in a drop test, but for a constant: F (F - 2 m g)/(m f)."""
    return force * (force - 2 * mass * to_si(1.0, "kgf")) / (mass * factor)
