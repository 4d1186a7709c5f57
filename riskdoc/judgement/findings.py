"""Findings: what a reader must know that is not a comparison."""

from __future__ import annotations

from collections.abc import Iterator

from riskdoc.analysis.abrasion import EdgeExposure
from riskdoc.analysis.falls import Arrest
from riskdoc.analysis.movements import CREEPS
from riskdoc.analysis.redirects import redirect_pull
from riskdoc.analysis.resolve import RigEdge, RigLine
from riskdoc.analysis.tension import Tensions
from riskdoc.i18n.message import Text, message
from riskdoc.job.faults import Fault
from riskdoc.job.reading import JobFile
from riskdoc.judgement.verdicts import Finding
from riskdoc.quantities.printing import Amount
from riskdoc.tables.loader import cell


def line_findings(file: JobFile, line: RigLine, fall: Arrest) -> Iterator[Finding]:
    """What to know of a line as a whole."""
    place = str(file.place("lines", line.id))
    subject = f"line/{line.id}"
    if fall.peak is not None and fall.untested:
        yield Finding(
            f"{subject}/static_modulus",
            subject,
            message(
                "The peak force of line ‘{line}’ rests on the stiffest rope that {standard} lets "
                "pass: no drop test of rope ‘{rope}’ is stated. A rope is stiffer in a fall than "
                "its static stretch tells; the peak force of its own drop test would show how "
                "much.",
                line=line.id,
                rope=line.line.rope,
                standard=message(line.rope.standard),
            ),
            str(file.place("ropes", line.line.rope)),
        )
    if line.line.strands > 1:
        yield Finding(
            f"{subject}/strands",
            subject,
            message(
                "{line} shares its load on {strands} strands. {price}",
                line=line.id,
                strands=line.line.strands,
                price=_price(fall),
            ),
            place,
        )


def _price(fall: Arrest) -> Text:
    """What several strands cost in a fall, beside the wear they save."""
    if fall.peak is None or fall.one_strand is None:
        return message(
            "That lowers the wear of each and stiffens the line; the same fall would give a "
            "greater peak force."
        )
    return message(
        "That lowers the wear of each and stiffens the line: the stated fall gives {peak}, on one "
        "strand {one_strand}.",
        peak=Amount(fall.peak.expected, "N", "up"),
        one_strand=Amount(fall.one_strand.expected, "N", "up"),
    )


def redirect_findings(file: JobFile, line: RigLine, found: Tensions) -> Iterator[Finding]:
    """What happens when a redirect or deviation goes."""
    for redirect in line.redirects:
        yield Finding(
            f"line/{line.id}/redirect/{redirect.number}/lost",
            f"line/{line.id}",
            message(
                "If redirect {n} of {line} ({anchor}) fails, the line springs straight: the load "
                "is thrown toward the line from the main anchor, at first with the side force the "
                "redirect held, up to {side_force}, and the rope sweeps whatever lies "
                "between.",
                n=redirect.number,
                line=line.id,
                anchor=redirect.redirect.anchor,
                side_force=Amount(redirect_pull(file, redirect, found).range.high, "N", "up"),
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
            message(
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
            message(
                "{line} sweeps {swept} at {edge} at worst; {bare} of it is on bare edge, beside "
                "{protector}.",
                line=line.id,
                swept=Amount(swept, "m", "up"),
                edge=edge.id,
                bare=Amount(swept * (1 - share), "m", "up"),
                protector=edge.protector_id,
            ),
            place,
        )


def _on_blade(line: RigLine, edge: RigEdge) -> Text:
    return message(
        "Protector ‘{protector}’ counts for nothing under line ‘{line}’: edge ‘{edge}’ has a "
        "radius of {radius}, and under {least} only a plate, tube or roller set that stays keeps "
        "the rope from it.",
        protector=edge.protector_id,
        line=line.id,
        edge=edge.id,
        radius=edge.edge.radius.written,
        least=Amount(cell("general", "bare radius blade").expected, "mm", "near"),
    )


def warning_finding(number: int, warning: Fault) -> Finding:
    """A warning of the reading, kept for the reader of the report."""
    text = f"{warning.code} {warning.where}: {warning.message}. {warning.tip}"
    return Finding(f"warning/{number}", message("job file"), text, str(warning.place))
