"""Findings: what a reader must know that is not a comparison."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.assess.anchors import leg_forces, redirect_pull
from riskdoc.assess.exposures import EdgeExposure
from riskdoc.assess.falls import Arrest
from riskdoc.assess.inputs import Missing
from riskdoc.assess.movements import CREEPS
from riskdoc.assess.records import Finding
from riskdoc.assess.rig import RigEdge, RigLine
from riskdoc.assess.spread import Spread, exact
from riskdoc.job.faults import Fault
from riskdoc.job.reading import JobFile
from riskdoc.language.say import say
from riskdoc.language.units import amount
from riskdoc.tables.loader import cell


def line_findings(file: JobFile, line: RigLine, fall: Arrest) -> Iterator[Finding]:
    """What to know of a line as a whole."""
    place = str(file.place("lines", line.id))
    subject = f"line/{line.id}"
    if fall.peak is not None and fall.static_only:
        yield Finding(
            f"{subject}/static_modulus",
            subject,
            say(
                "The peak force of {line} rests on the static stretch of {rope} alone. A rope is "
                "stiffer in a fall than under slow loading; a peak force from a drop test of this "
                "rope would show how much.",
                line=line.id,
                rope=line.line.rope,
            ),
            str(file.place("ropes", line.line.rope)),
        )
    if line.site.wet is None:
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
    yield from _clear_height(file, line)
    for name in line.line.devices:
        if file.job.devices[name].strength is None:
            yield Finding(
                f"{subject}/device/{name}",
                subject,
                say(
                    "No strength is stated for {name} on {line}; the rated margin counts the rope "
                    "and what else states one.",
                    name=name,
                    line=line.id,
                ),
                str(file.place("devices", name)),
            )


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


def _clear_height(file: JobFile, line: RigLine) -> Iterator[Finding]:
    """The clear height of a fall that is more than its site has, the body counted in."""
    below, fall = line.site.clear_below, line.line.fall
    if below is None or fall is None or fall.clear is None:
        return
    body = cell("work", "body below attachment").expected
    if fall.clear.high > below.low + body:
        yield Finding(
            f"line/{line.id}/clear_height",
            f"line/{line.id}",
            say(
                "{line} states {clear} clear below the attachment point, and {site} states {below} "
                "clear below the worker at the lowest place of work: near that place the lesser "
                "holds.",
                line=line.id,
                clear=fall.clear.written,
                site=line.site_id,
                below=below.written,
            ),
            str(file.place("lines", line.id, "fall", "clear")),
        )


def _held_force(file: JobFile, line: RigLine, n: int, most: Spread) -> str:
    return amount(redirect_pull(file, line, n, most).range.high, "N", "up")


def redirect_findings(file: JobFile, line: RigLine, most: Spread) -> Iterator[Finding]:
    """What happens when a redirect or deviation goes."""
    for n, redirect in enumerate(line.line.redirects):
        yield Finding(
            f"line/{line.id}/redirect/{n + 1}/lost",
            f"line/{line.id}",
            say(
                "If redirect {n} of {line} ({anchor}) fails, the line springs straight: the load "
                "is thrown toward the line from the main anchor, at first with the side force the "
                "redirect held, up to {side_force}, and the rope sweeps whatever lies "
                "between.",
                n=n + 1,
                line=line.id,
                anchor=redirect.anchor,
                side_force=_held_force(file, line, n, most),
            ),
            str(file.place("lines", line.id, "redirects", n)),
        )


def anchor_findings(file: JobFile, anchor: str) -> Iterator[Finding]:
    """What to know of an anchor: legs that carry nothing, self-equalising legs at odd angles."""
    part, subject = file.job.anchors[anchor], f"anchor/{anchor}"
    angles = [leg.angle.expected for leg in part.legs if leg.angle is not None]
    if part.equalised == "self" and len(angles) == 2 and angles[0] != angles[1]:
        yield Finding(
            f"{subject}/odd_angles",
            subject,
            say(
                "{anchor} is stated to share by itself and its legs stand at different angles to "
                "the pull. Legs that slide freely would come to equal angles; the forces are "
                "computed for the angles stated.",
                anchor=anchor,
            ),
            str(file.place("anchors", anchor)),
        )
    if len(part.legs) > 2 and part.equalised == "fixed" and part.pull is not None:
        try:
            forces = leg_forces(file, anchor, exact(1.0))
        except Missing:
            return
        for n, force in enumerate(forces, start=1):
            if force is not None and force.range.high == 0:
                yield Finding(
                    f"{subject}/slack/{n}",
                    subject,
                    say(
                        "Leg {n} of {anchor} would have to push under this pull: it hangs slack "
                        "and carries nothing.",
                        n=n,
                        anchor=anchor,
                    ),
                    str(file.place("anchors", anchor, "legs", n - 1)),
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
    elif not edge.protected:
        yield Finding(f"{name}/blade", name, _on_blade(line, edge), place)
    if found is None or not edge.protected:
        return
    widest = found.scenarios[CREEPS].sideways
    swept, share = widest.sweep.range.high, widest.covered.range.low
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


def _on_blade(line: RigLine, edge: RigEdge) -> str:
    return say(
        "Protector ‘{protector}’ counts for nothing under line ‘{line}’: edge ‘{edge}’ has a "
        "radius of {radius}, and under {least} only a plate, tube or roller set that stays keeps "
        "the rope from it.",
        protector=edge.protector_id,
        line=line.id,
        edge=edge.id,
        radius=edge.edge.radius.written,
        least=amount(cell("general", "bare radius blade").expected, "mm", "near"),
    )


def warning_finding(number: int, warning: Fault) -> Finding:
    """A warning of the reading, kept for the reader of the report."""
    text = f"{warning.code} {warning.where}: {warning.message}. {warning.tip}"
    return Finding(f"warning/{number}", say("job file"), text, str(warning.place))
