"""Findings: what a reader must know that is not a comparison."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.assess.exposures import EdgeExposure
from riskdoc.assess.falls import Arrest
from riskdoc.assess.records import Finding
from riskdoc.assess.redirects import redirect_pull
from riskdoc.assess.rig import RigEdge, RigLine
from riskdoc.assess.tension import Tensions
from riskdoc.job.faults import Fault
from riskdoc.job.reading import JobFile
from riskdoc.language.say import say
from riskdoc.language.units import amount
from riskdoc.tables.loader import find


def line_findings(file: JobFile, line: RigLine, fall: Arrest) -> Iterator[Finding]:
    """What to know of a line as a whole."""
    place = str(file.place("lines", line.id))
    subject = f"line/{line.id}"
    if fall.peak is not None and fall.untested:
        yield Finding(
            f"{subject}/static_modulus",
            subject,
            say(
                "The peak force of line ‘{line}’ rests on the stiffest rope that {standard} lets "
                "pass: no drop test of rope ‘{rope}’ is stated. A rope is stiffer in a fall than "
                "its static stretch tells; the peak force of its own drop test would show how "
                "much.",
                line=line.id,
                rope=line.line.rope,
                standard=say(line.rope.standard),
            ),
            str(file.place("ropes", line.line.rope)),
        )
    if line.line.wet is None and line.site.wet is None:
        yield Finding(
            f"{subject}/wet",
            subject,
            say(
                "Nothing is stated on whether {line} can get wet; it is counted as wet.",
                line=line.id,
            ),
            place,
        )
    if line.line.strands > 1:
        yield Finding(
            f"{subject}/strands",
            subject,
            say(
                "{line} shares its load on {strands} strands. {price}",
                line=line.id,
                strands=line.line.strands,
                price=_price(fall),
            ),
            place,
        )
    yield from _haulers(file, line)


def _price(fall: Arrest) -> str:
    """What several strands cost in a fall, beside the wear they save."""
    if fall.peak is None or fall.one_strand is None:
        return say(
            "That lowers the wear of each and stiffens the line; the same fall would give a "
            "greater peak force."
        )
    return say(
        "That lowers the wear of each and stiffens the line: the stated fall gives {peak}, on one "
        "strand {one_strand}.",
        peak=amount(fall.peak.expected, "N", "up"),
        one_strand=amount(fall.one_strand.expected, "N", "up"),
    )


def _haulers(file: JobFile, line: RigLine) -> Iterator[Finding]:
    """A team larger than the people named, less those who hang on the line."""
    haul = line.line.haul
    hanging = line.load
    if line.line.rescue is not None:
        hanging = file.job.loads[line.line.rescue.load]
    free = len(file.job.people) - hanging.people
    if haul is not None and haul.haulers > free:
        yield Finding(
            f"line/{line.id}/haulers",
            f"line/{line.id}",
            say(
                "{line} counts on {haulers} haulers; of the people named only {free} would not "
                "hang on the rope.",
                line=line.id,
                haulers=haul.haulers,
                free=max(free, 0),
            ),
            str(file.place("lines", line.id, "haul", "haulers")),
        )


def redirect_findings(file: JobFile, line: RigLine, found: Tensions) -> Iterator[Finding]:
    """What happens when a redirect or deviation goes."""
    for redirect in line.redirects:
        yield Finding(
            f"line/{line.id}/redirect/{redirect.number}/lost",
            f"line/{line.id}",
            say(
                "If redirect {n} of {line} ({anchor}) fails, the line springs straight: the load "
                "is thrown toward the line from the main anchor, at first with the side force the "
                "redirect held, up to {side_force}, and the rope sweeps whatever lies "
                "between.",
                n=redirect.number,
                line=line.id,
                anchor=redirect.redirect.anchor,
                side_force=amount(redirect_pull(file, redirect, found).range.high, "N", "up"),
            ),
            str(file.place(*redirect.keys)),
        )


def edge_findings(
    file: JobFile, line: RigLine, edge: RigEdge, found: EdgeExposure | None
) -> Iterator[Finding]:
    """What to know of a line at an edge."""
    name = f"line/{line.id}/edge/{edge.id}"
    protector = edge.protector
    if protector is None:
        return
    place = str(file.place("protection", str(edge.protector_id)))
    if not edge.stays:
        yield Finding(
            f"{name}/untied",
            name,
            say(
                "{protector} is neither tied nor grips the rope: it counts for nothing where "
                "{line} moves sideways over "
                "{edge}.",
                protector=edge.protector_id,
                line=line.id,
                edge=edge.id,
            ),
            place,
        )
    if found is None or not edge.stays:
        return
    swept, share = found.moves.sweep.range.high, found.moves.covered.range.low
    if share < 1:
        yield Finding(
            f"{name}/beyond",
            name,
            say(
                "{line} sweeps {swept} at {edge} at worst; {bare} of it is on bare edge, beside "
                "{protector}.",
                line=line.id,
                swept=amount(swept, "m", "up"),
                edge=edge.id,
                bare=amount(swept * (1 - share), "m", "up"),
                protector=edge.protector_id,
            ),
            place,
        )


def warning_finding(number: int, warning: Fault) -> Finding:
    """A warning of the reading, kept for the reader of the report."""
    text = f"{warning.code} {warning.where}: {warning.message}. {warning.tip}"
    return Finding(f"warning/{number}", say("job file"), text, str(warning.place))


def rope_findings(file: JobFile, rope: str) -> Iterator[Finding]:
    """What to know of a rope: its diameter against the standard."""
    found = find("standards", file.job.ropes[rope].standard, "diameter")
    diameter = file.job.ropes[rope].diameter
    if found is not None and not (found.low <= diameter.low and diameter.high <= found.high):
        yield Finding(
            f"rope/{rope}/diameter",
            f"rope/{rope}",
            say(
                "{rope} is stated at {diameter}; {standard} is {low:g} mm to {high:g} mm "
                "({provenance}).",
                rope=rope,
                diameter=diameter.written,
                standard=say(file.job.ropes[rope].standard),
                low=found.low * 1000,
                high=found.high * 1000,
                provenance=say(found.provenance),
            ),
            str(file.place("ropes", rope, "diameter")),
        )
