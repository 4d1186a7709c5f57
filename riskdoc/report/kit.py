"""Section 11: ropes, anchors, edges, protectors, devices and loads, as stated and computed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.language.say import say
from riskdoc.report.blocks import Block, Cell, Section, Table
from riskdoc.report.rows import checks_table
from riskdoc.report.tables import columns, listed, table, text_cell
from riskdoc.report.units import NOT_DEMONSTRATED, figure_span

if TYPE_CHECKING:
    from collections.abc import Callable

    from riskdoc.job.model import Device, Edge, Line, Protector
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
    return Section("kit", "11", say("Rigging and kit"), blocks)


_FITS = ("device", "paired", "rope_length", "chemical")
"""Checks of a line that ask whether its kit goes together."""


def _fits(facts: Facts) -> Block:
    """Whether device, rope, length and surroundings go together, line by line."""
    found = [
        each
        for id, each in facts.checks.items()
        if id.startswith("line/") and id.split("/")[2] in _FITS
    ]
    return checks_table(say("Whether it goes together"), found)


def _said(value: Quantity | None) -> str:
    return value.written if value is not None else say(NOT_DEMONSTRATED)


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
        passes, runs = (
            say("not stated") if each is None else str(each) for each in (line.passes, line.runs)
        )
        knots = say(
            "anchor {anchor}, load {load}; {counted}",
            anchor=say(line.knots.anchor),
            load=say(line.knots.load),
            counted=say(line.knots.counted),
        )
        rows.append(
            (
                Cell(id, say(line.role)),
                Cell(listed(("hold", *(each for each in line.cases if each != "hold")))),
                Cell(knots),
                Cell(str(line.strands)),
                text_cell(f"{passes}, {runs}"),
                Cell(_on_line(line)),
            )
        )
    return table(say("Lines"), heads, rows)


def _on_line(line: Line) -> str:
    devices = ", ".join(line.devices)
    said = [say("devices {devices}", devices=devices) if devices else say("no devices stated")]
    stopper = {
        True: say("end stopper"),
        False: say("no end stopper"),
        None: say("end stopper not demonstrated"),
    }
    said.append(stopper[line.stopper])
    said += [
        say(
            "redirect {anchor}: turn {turn}, after {after}",
            anchor=each.anchor,
            turn=each.turn.written,
            after=each.after.written,
        )
        for each in line.redirects
    ]
    if line.haul:
        stages = say(" on ").join(
            f"{each.strands}:1 ({say(each.ends)})" for each in line.haul.stages
        )
        said.append(
            say("haul {stages}, {haulers} pulling", stages=stages, haulers=line.haul.haulers)
        )
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
        used = f"{rope.first_used:%Y-%m}" if rope.first_used else say(NOT_DEMONSTRATED)
        seen = rope.inspected.isoformat() if rope.inspected else say(NOT_DEMONSTRATED)
        rows.append(
            (
                Cell(id),
                Cell(say(rope.standard)),
                text_cell(f"{rope.diameter.written}, {rope.length.written}"),
                text_cell(f"{_said(rope.strength)}, {_said(rope.stretch)}"),
                Cell(listed((rope.sheath, rope.core))),
                text_cell(f"{rope.made:%Y-%m}, {used}, {rope.retire_by:%Y-%m}"),
                text_cell(f"{seen}, {say(rope.condition)}"),
                text_cell(
                    figure_span(facts.figures.get(f"rope/{id}/mass")),
                    figure_span(facts.figures.get(f"rope/{id}/packed_volume")),
                ),
            )
        )
    return table(say("Ropes"), heads, rows)


def _anchors(facts: Facts) -> Table:
    heads = columns("Anchor | 18", "Legs | 52", "Shared by | 10", "What it is | 20")
    rows = []
    for id, anchor in facts.job.anchors.items():
        legs = []
        for n, leg in enumerate(anchor.legs, start=1):
            about = [f"{n}: {_said(leg.strength)} {say(leg.evidence)}"]
            about += [leg.angle.written] if leg.angle else []
            about += [say("{length} long", length=leg.length.written)] if leg.length else []
            about += [say("direction {way}", way=leg.direction)] if leg.direction else []
            legs.append(", ".join(about))
        shared = say(anchor.equalised) if anchor.equalised else say("not stated")
        what = Cell(anchor.description or "–")
        rows.append((Cell(id), text_cell("; ".join(legs)), Cell(shared), what))
    return table(say("Anchors"), heads, rows)


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
            Cell(say(edge.surface)),
            Cell(edge.radius.written),
            Cell(edge.turn.written),
            Cell(_over(edge)),
            Cell(edge.description or "–"),
        )
        for id, edge in facts.job.edges.items()
    ]
    return table(say("Edges"), heads, rows)


def _over(edge: Edge) -> str:
    """What lies at an edge: its protector, or why it is bare."""
    if edge.protection is not None:
        return edge.protection
    why = edge.why_not("protection")
    return say("not stated") if why is None else say("bare: {why}", why=why)


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
            Cell(say(each.kind)),
            Cell(_sizes(each)),
            Cell(say(each.surface or "–")),
            Cell(_held(each)),
            Cell(each.description or "–"),
        )
        for id, each in facts.job.protection.items()
    ]
    return table(say("Protectors"), heads, rows)


def _sizes(each: Protector) -> str:
    said = [say("no width stated")]
    if each.width:
        said = [say("{width} wide", width=each.width.written)]
    if each.radius:
        said.append(say("radius {radius}", radius=each.radius.written))
    return ", ".join(said)


def _held(each: Protector) -> str:
    said = [say("tied") if each.tied else say("not tied")]
    if each.grips:
        said.append(say("grips the rope"))
    if each.guards:
        said.append(say("side guards"))
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
            text_cell(", ".join(map(say, each.standards)) or say(NOT_DEMONSTRATED)),
            text_cell(f"{_said(each.strength)}, {_said(each.slip)}"),
            text_cell(f"{say(each.material or NOT_DEMONSTRATED)}, {_said(each.mass)}"),
        )
        for id, each in facts.job.devices.items()
    ]
    return table(say("Devices"), heads, rows)


def _takes(each: Device) -> str:
    return say("{low} to {high}", low=_said(each.diameter_from), high=_said(each.diameter_to))


def _loads(facts: Facts) -> Table:
    heads = columns("Load | 40", "People | 15", "Mass | 20", "Kit | 25")
    rows = [
        (Cell(id), Cell(str(each.people)), Cell(each.mass.written), Cell(each.kit.written))
        for id, each in facts.job.loads.items()
    ]
    return table(say("Loads"), heads, rows)
