"""Findings: what a reader must know that is not a comparison."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.assess.anchors import leg_forces, redirect_pull
from riskdoc.assess.exposures import EdgeExposure
from riskdoc.assess.falls import Arrest
from riskdoc.assess.inputs import Missing
from riskdoc.assess.records import Finding
from riskdoc.assess.rig import RigEdge, RigLine
from riskdoc.assess.spread import Spread, exact
from riskdoc.job.faults import Fault
from riskdoc.job.reading import JobFile
from riskdoc.language.units import amount
from riskdoc.tables.loader import cell, find


def line_findings(file: JobFile, line: RigLine, fall: Arrest) -> Iterator[Finding]:
    """What to know of a line as a whole."""
    place = str(file.place("lines", line.id))
    subject = f"line/{line.id}"
    if fall.peak is not None and fall.static_only:
        yield Finding(
            f"{subject}/static_modulus", subject,
            f"The peak force of {line.id} rests on the static stretch of {line.line.rope} alone. A "
            "rope is stiffer in a fall than under slow loading; a peak force from a drop test of "
            "this rope would show how much.",
            str(file.place("ropes", line.line.rope)),
        )  # fmt: skip
    if line.line.wet is None and line.site.wet is None:
        yield Finding(
            f"{subject}/wet", subject,
            f"Nothing is stated on whether {line.id} can get wet; it is counted as wet.", place,
        )  # fmt: skip
    if line.line.strands > 1:
        yield Finding(
            f"{subject}/strands", subject,
            f"{line.id} shares its load on {line.line.strands} strands. {_price(fall)}",
            place,
        )  # fmt: skip
    yield from _clear_height(file, line)
    yield from _haulers(file, line)
    for name in line.line.devices:
        if file.job.devices[name].strength is None:
            yield Finding(
                f"{subject}/device/{name}", subject,
                f"No strength is stated for {name} on {line.id}; the rated margin counts the rope "
                "and what else states one.",
                str(file.place("devices", name)),
            )  # fmt: skip


def _price(fall: Arrest) -> str:
    """What several strands cost in a fall, beside the wear they save."""
    text = "That lowers the wear of each and stiffens the line"
    if fall.peak is None or fall.one_strand is None:
        return text + "; the same fall would give a greater peak force."
    return (
        f"{text}: the stated fall gives {amount(fall.peak.expected, 'N', 'up')}, on one strand "
        f"{amount(fall.one_strand.expected, 'N', 'up')}."
    )


def _clear_height(file: JobFile, line: RigLine) -> Iterator[Finding]:
    """The clear height of a fall that is more than its site has, the body counted in."""
    below, fall = line.site.clear_below, line.line.fall
    if below is None or fall is None or fall.clear is None:
        return
    body = cell("work", "body below attachment").expected
    if fall.clear.high > below.low + body:
        yield Finding(
            f"line/{line.id}/clear_height", f"line/{line.id}",
            f"{line.id} states {fall.clear.written} clear below the attachment point, and "
            f"{line.site_id} states {below.written} clear below the worker at the lowest place of "
            "work: near that place the lesser holds.",
            str(file.place("lines", line.id, "fall", "clear")),
        )  # fmt: skip


def _haulers(file: JobFile, line: RigLine) -> Iterator[Finding]:
    """A team larger than the people named, less those who hang on the line."""
    haul = line.line.haul
    hanging = line.load
    if line.line.rescue is not None:
        hanging = file.job.loads[line.line.rescue.load]
    free = len(file.job.people) - hanging.people
    if haul is not None and haul.haulers > free:
        yield Finding(
            f"line/{line.id}/haulers", f"line/{line.id}",
            f"{line.id} counts on {haul.haulers} haulers; of the people named only {max(free, 0)} "
            "would not hang on the rope.",
            str(file.place("lines", line.id, "haul", "haulers")),
        )  # fmt: skip


def _held_force(file: JobFile, line: RigLine, n: int, most: Spread) -> str:
    return amount(redirect_pull(file, line, n, most).range.high, "N", "up")


def redirect_findings(file: JobFile, line: RigLine, most: Spread) -> Iterator[Finding]:
    """What happens when a redirect or deviation goes."""
    for n, redirect in enumerate(line.line.redirects):
        yield Finding(
            f"line/{line.id}/redirect/{n + 1}/lost", f"line/{line.id}",
            f"If redirect {n + 1} of {line.id} ({redirect.anchor}) fails, the line springs "
            "straight: the load is thrown toward the line from the main anchor, at first with the "
            f"side force the redirect held, up to {_held_force(file, line, n, most)}, and the rope "
            "sweeps whatever lies between.",
            str(file.place("lines", line.id, "redirects", n)),
        )  # fmt: skip


def anchor_findings(file: JobFile, anchor: str) -> Iterator[Finding]:
    """What to know of an anchor: legs that carry nothing, self-equalising legs at odd angles."""
    part, subject = file.job.anchors[anchor], f"anchor/{anchor}"
    angles = [leg.angle.expected for leg in part.legs if leg.angle is not None]
    if part.equalised == "self" and len(angles) == 2 and angles[0] != angles[1]:
        yield Finding(
            f"{subject}/odd_angles", subject,
            f"{anchor} is stated to share by itself and its legs stand at different angles to the "
            "pull. Legs that slide freely would come to equal angles; the forces are computed for "
            "the angles stated.",
            str(file.place("anchors", anchor)),
        )  # fmt: skip
    if len(part.legs) > 2 and part.equalised == "fixed" and part.pull is not None:
        try:
            forces = leg_forces(file, anchor, exact(1.0))
        except Missing:
            return
        for n, force in enumerate(forces, start=1):
            if force is not None and force.range.high == 0:
                yield Finding(
                    f"{subject}/slack/{n}", subject,
                    f"Leg {n} of {anchor} would have to push under this pull: it hangs slack and "
                    "carries nothing.",
                    str(file.place("anchors", anchor, "legs", n - 1)),
                )  # fmt: skip


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
            f"{name}/untied", name,
            f"{edge.protector_id} is neither tied nor grips the rope: it counts for nothing where "
            f"{line.id} moves sideways over {edge.id}.", place,
        )  # fmt: skip
    if found is None or not edge.stays:
        return
    swept, share = found.moves.sweep.range.high, found.moves.covered.range.low
    if share < 1:
        yield Finding(
            f"{name}/beyond", name,
            f"{line.id} sweeps {amount(swept, 'm', 'up')} at {edge.id} at worst; "
            f"{amount(swept * (1 - share), 'm', 'up')} of it is on bare edge, beside "
            f"{edge.protector_id}.", place,
        )  # fmt: skip


def warning_finding(number: int, warning: Fault) -> Finding:
    """A warning of the reading, kept for the reader of the report."""
    text = f"{warning.code} {warning.where}: {warning.message}. {warning.tip}"
    return Finding(f"warning/{number}", "job file", text, str(warning.place))


def rope_findings(file: JobFile, rope: str) -> Iterator[Finding]:
    """What to know of a rope: its diameter against the standard."""
    found = find("standards", file.job.ropes[rope].standard, "diameter")
    diameter = file.job.ropes[rope].diameter
    if found is not None and not (found.low <= diameter.low and diameter.high <= found.high):
        yield Finding(
            f"rope/{rope}/diameter", f"rope/{rope}",
            f"{rope} is stated at {diameter.written}; {file.job.ropes[rope].standard} is "
            f"{found.low * 1000:g} mm to {found.high * 1000:g} mm ({found.provenance}).",
            str(file.place("ropes", rope, "diameter")),
        )  # fmt: skip
