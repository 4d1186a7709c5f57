"""Section 11: ropes, anchors, edges, protectors, devices and loads, as stated and computed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.report.blocks import Block, Cell, Section, Table
from riskdoc.report.rows import checks_table
from riskdoc.report.tables import columns, table, text_cell
from riskdoc.report.units import NOT_SHOWN, figure_span

if TYPE_CHECKING:
    from collections.abc import Callable

    from riskdoc.job.model import Device, Line, Protector
    from riskdoc.job.quantity import Quantity
    from riskdoc.report.facts import Facts


def kit(facts: Facts) -> Section:
    """Section 11. Kinds of kit the job does not have are left out."""
    made: list[Callable[[Facts], Block]] = [_lines, _fits, _ropes, _anchors]
    if facts.job.edges:
        made.append(_edges)
    if facts.job.protection:
        made.append(_protectors)
    if facts.job.devices:
        made.append(_devices)
    made.append(_loads)
    blocks: tuple[Block, ...] = tuple(each(facts) for each in made)
    return Section("kit", "11", "Rigging and kit", blocks)


_FITS = ("device", "paired", "rope_length", "chemical")
"""Checks of a line that ask whether its kit goes together."""


def _fits(facts: Facts) -> Block:
    """Whether device, rope, length and surroundings go together, line by line."""
    found = [
        each
        for id, each in facts.checks.items()
        if id.startswith("line/") and id.split("/")[2] in _FITS
    ]
    return checks_table("Whether it goes together", found)


def _said(value: Quantity | None) -> str:
    return value.written if value is not None else NOT_SHOWN


def _lines(facts: Facts) -> Table:
    heads = columns(
        "Line | 13",
        "Does | 20",
        "Terminations | 22",
        "Strands | 8",
        "Passes, runs | 11",
        "Devices, end | 26",
    )
    rows = []
    for id, line in facts.job.lines.items():
        passes = NOT_SHOWN if line.passes is None else str(line.passes)
        knots = f"anchor {line.knots.anchor}, load {line.knots.load}; {line.knots.counted}"
        rows.append(
            (
                Cell(id, line.role),
                Cell(", ".join(("hold", *(each for each in line.cases if each != "hold")))),
                Cell(knots),
                Cell(str(line.strands)),
                text_cell(f"{passes}, {line.runs}"),
                Cell(_on_line(line)),
            )
        )
    return table("Lines", heads, rows)


def _on_line(line: Line) -> str:
    said = [f"devices {', '.join(line.devices)}" if line.devices else "no devices stated"]
    stopper = {True: "end stopper", False: "no end stopper", None: "end stopper not shown"}
    said.append(stopper[line.stopper])
    said += [
        f"redirect {each.anchor}: turn {each.turn.written}, after {each.after.written}"
        for each in line.redirects
    ]
    if line.haul:
        stages = " on ".join(f"{each.strands}:1 ({each.ends})" for each in line.haul.stages)
        said.append(f"haul {stages}, {line.haul.haulers} pulling")
    return "; ".join(said)


def _ropes(facts: Facts) -> Table:
    heads = columns(
        "Rope | 10",
        "Standard | 13",
        "Diameter, length | 13",
        "Strength, stretch | 13",
        "Sheath, core | 13",
        "Made, first used, retire by | 14",
        "Inspected, condition | 14",
        "Mass, packed volume | 10",
    )
    rows = []
    for id, rope in facts.job.ropes.items():
        used = f"{rope.first_used:%Y-%m}" if rope.first_used else NOT_SHOWN
        seen = rope.inspected.isoformat() if rope.inspected else NOT_SHOWN
        rows.append(
            (
                Cell(id),
                Cell(rope.standard),
                text_cell(f"{rope.diameter.written}, {rope.length.written}"),
                text_cell(f"{_said(rope.strength)}, {_said(rope.stretch)}"),
                Cell(f"{rope.sheath}, {rope.core}"),
                text_cell(f"{rope.made:%Y-%m}, {used}, {rope.retire_by:%Y-%m}"),
                text_cell(f"{seen}, {rope.condition}"),
                text_cell(
                    figure_span(facts.figures.get(f"rope/{id}/mass")),
                    figure_span(facts.figures.get(f"rope/{id}/packed_volume")),
                ),
            )
        )
    return table("Ropes", heads, rows)


def _anchors(facts: Facts) -> Table:
    heads = columns("Anchor | 18", "Legs | 52", "Shared by | 10", "What it is | 20")
    rows = []
    for id, anchor in facts.job.anchors.items():
        legs = []
        for n, leg in enumerate(anchor.legs, start=1):
            at = f", {leg.angle.written}" if leg.angle else ""
            long = f", {leg.length.written} long" if leg.length else ""
            way = f", direction {leg.direction}" if leg.direction else ""
            legs.append(f"{n}: {_said(leg.strength)} {leg.evidence}{at}{long}{way}")
        shared = anchor.equalised or "not stated"
        what = Cell(anchor.description or "–")
        rows.append((Cell(id), text_cell("; ".join(legs)), Cell(shared), what))
    return table("Anchors", heads, rows)


def _edges(facts: Facts) -> Table:
    heads = columns(
        "Edge | 14",
        "Site | 12",
        "Surface | 14",
        "Radius | 12",
        "Turn | 12",
        "Protector | 14",
        "What and where | 22",
    )
    rows = [
        (
            Cell(id),
            Cell(edge.site),
            Cell(edge.surface),
            Cell(edge.radius.written),
            Cell(edge.turn.written),
            Cell(edge.protection or "bare"),
            Cell(edge.description or "–"),
        )
        for id, edge in facts.job.edges.items()
    ]
    return table("Edges", heads, rows)


def _protectors(facts: Facts) -> Table:
    heads = columns(
        "Protector | 16",
        "Kind | 14",
        "Width, radius | 18",
        "Surface | 14",
        "Held | 18",
        "What it is | 20",
    )
    rows = [
        (
            Cell(id),
            Cell(each.kind),
            Cell(_sizes(each)),
            Cell(each.surface or "–"),
            Cell(_held(each)),
            Cell(each.description or "–"),
        )
        for id, each in facts.job.protection.items()
    ]
    return table("Protectors", heads, rows)


def _sizes(each: Protector) -> str:
    width = f"{each.width.written} wide" if each.width else "no width stated"
    return f"{width}, radius {each.radius.written}" if each.radius else width


def _held(each: Protector) -> str:
    said = ["tied" if each.tied else "not tied"]
    if each.grips:
        said.append("grips the rope")
    if each.guards:
        said.append("side guards")
    return ", ".join(said)


def _devices(facts: Facts) -> Table:
    heads = columns(
        "Device | 15",
        "Kind | 19",
        "Rope diameter | 16",
        "Rope standards | 18",
        "Strength, slip | 16",
        "Material, mass | 16",
    )
    rows = [
        (
            Cell(id),
            Cell(each.kind),
            text_cell(_takes(each)),
            text_cell(", ".join(each.standards) or NOT_SHOWN),
            text_cell(f"{_said(each.strength)}, {_said(each.slip)}"),
            text_cell(f"{each.material or NOT_SHOWN}, {_said(each.mass)}"),
        )
        for id, each in facts.job.devices.items()
    ]
    return table("Devices", heads, rows)


def _takes(each: Device) -> str:
    return f"{_said(each.diameter_from)} to {_said(each.diameter_to)}"


def _loads(facts: Facts) -> Table:
    heads = columns("Load | 40", "People | 15", "Mass | 20", "Kit | 25")
    rows = [
        (Cell(id), Cell(str(each.people)), Cell(each.mass.written), Cell(each.kit.written))
        for id, each in facts.job.loads.items()
    ]
    return table("Loads", heads, rows)
