"""Section 11: ropes, anchors, edges, protectors, devices and loads, as stated and computed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.report.blocks import Block, Cell, Section, Table
from riskdoc.report.number_format import NOT_DEMONSTRATED, figure_span
from riskdoc.report.rows import checks_table
from riskdoc.report.tables import columns, listed, ruled_out, table, text_cell

if TYPE_CHECKING:
    from collections.abc import Callable

    from riskdoc.job.model import Anchor, Device, Edge, Line, Protector, Rope
    from riskdoc.quantities.quantity import Quantity
    from riskdoc.report.facts import Facts


def kit(facts: Facts) -> Section:
    """Section 11. Kinds of kit the job does not have are left out."""
    made: list[Callable[[Facts], Block]] = [_lines, _fits, _ropes, _anchors]
    if facts.job.edges:
        made.append(_edges)
    if facts.job.protection:
        made.append(_protectors)
    if facts.job.devices:
        made += [_devices, _limits]
    made.append(_loads)
    blocks: tuple[Block, ...] = tuple(each(facts) for each in made)
    return Section("kit", "11", say("Rigging and kit"), blocks)


_FITS = ("devices", "device", "tail", "strands", "paired", "rope_length", "chemicals")
"""Checks of a line that ask whether its kit goes together and is made for what it must do."""


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
    said = [_devices_on(line)]
    stopper = {
        True: say("end stopper"),
        False: say("no end stopper"),
        None: say("end stopper not demonstrated"),
    }
    said.append(stopper[line.stopper])
    said += [
        say(
            "redirect {anchor}: {over}, turn {turn}, after {after}",
            anchor=each.anchor,
            over=say(each.over),
            turn=each.turn.written,
            after=each.after.written,
        )
        for each in line.redirects
    ]
    if not line.redirects:
        said.append(say("redirects {redirects}", redirects=ruled_out(line, "redirects")))
    if line.haul:
        stages = say(" on ").join(
            f"{each.strands}:1 ({say(each.ends)})" for each in line.haul.stages
        )
        said.append(
            say("haul {stages}, {haulers} pulling", stages=stages, haulers=line.haul.haulers)
        )
    return "; ".join(said)


def _life(rope: Rope) -> str:
    """The maker's life of a rope in words."""
    life = rope.life
    if life is None:
        return say("maker's life {life}", life=ruled_out(rope, "life"))
    made, used = (
        say("{years} years", years=years) if years is not None else ruled_out(life, key)
        for key, years in (("from_made", life.from_made), ("from_first_use", life.from_first_use))
    )
    return say("maker's life from made {made}, from first use {used}", made=made, used=used)


def _devices_on(line: Line) -> str:
    why = line.why_not("devices")
    if why is not None:
        return say("no devices: {why}", why=why)
    if not line.devices:
        return say("devices not demonstrated")
    own = say("devices {devices}", devices=", ".join(line.devices))
    if line.rescue is None or not line.rescue.devices:
        return own
    return say("{own}; in a rescue {devices}", own=own, devices=", ".join(line.rescue.devices))


def _ropes(facts: Facts) -> Table:
    heads = columns(
        "Rope | 9",
        "Standard | 11",
        "Diameter, length | 11",
        "Strength, stretch | 11",
        "Sheath, core | 12",
        "Made, first used, retire by, maker's life | 20",
        "Inspected, condition | 12",
        "Mass, packed volume | 14",
    )
    rows = []
    for id, rope in facts.job.ropes.items():
        used = f"{rope.first_used:%Y-%m}" if rope.first_used else ruled_out(rope, "first_used")
        seen = rope.inspected.isoformat() if rope.inspected else say(NOT_DEMONSTRATED)
        rows.append(
            (
                Cell(id),
                Cell(say(rope.standard)),
                text_cell(f"{rope.diameter.written}, {rope.length.written}"),
                text_cell(f"{_said(rope.strength)}, {_said(rope.stretch)}"),
                Cell(listed((rope.sheath, rope.core))),
                text_cell(f"{rope.made:%Y-%m}, {used}, {rope.retire_by:%Y-%m}", _life(rope)),
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
            about += [say("modulus {modulus}", modulus=leg.modulus.written)] if leg.modulus else []
            about += [say("direction {way}", way=leg.direction)] if leg.direction else []
            legs.append(", ".join(about))
        if anchor.equalised == "self":
            legs.append(_extension(anchor))
        shared = say(anchor.equalised) if anchor.equalised else say("not stated")
        what = Cell(anchor.description or "–")
        rows.append((Cell(id), text_cell("; ".join(legs)), Cell(shared), what))
    return table(say("Anchors"), heads, rows)


def _extension(anchor: Anchor) -> str:
    """How far the joint drops when a leg goes, as stated."""
    if anchor.extension is not None:
        return say("extension {extension}", extension=anchor.extension.written)
    why = anchor.why_not("extension")
    return say("no extension: {why}", why=why) if why else say("extension not demonstrated")


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
            text_cell(f"{_said(each.strength)}, {_allowed(each, 'slip')}"),
            text_cell(f"{say(each.material or NOT_DEMONSTRATED)}, {_said(each.mass)}"),
        )
        for id, each in facts.job.devices.items()
    ]
    return table(say("Devices"), heads, rows)


def _limits(facts: Facts) -> Table:
    heads = columns(
        "Device | 19",
        "Mass, at most | 16",
        "Free fall, at most | 16",
        "Slip, at most | 16",
        "Does by itself | 16",
        "Carries | 17",
    )
    rows = [
        (
            Cell(id),
            *(text_cell(_allowed(each, f"{key}_at_most")) for key in ("mass", "fall", "slip")),
            text_cell(_acts(each)),
            Cell(say("one on each strand") if each.each_strand else say("the whole load")),
        )
        for id, each in facts.job.devices.items()
    ]
    return table(say("What devices are made for, as their makers state it"), heads, rows)


def _allowed(each: Device, key: str) -> str:
    """A value of a device, the reason why it has none, or that it is not demonstrated."""
    why = each.why_not(key)
    return say("none: {why}", why=why) if why is not None else _said(getattr(each, key))


def _acts(each: Device) -> str:
    if each.acts is None:
        return say(NOT_DEMONSTRATED)
    return listed(each.acts) or say("neither")


def _takes(each: Device) -> str:
    return say("{low} to {high}", low=_said(each.diameter_from), high=_said(each.diameter_to))


def _loads(facts: Facts) -> Table:
    heads = columns("Load | 40", "People | 15", "Mass | 20", "Kit | 25")
    rows = [
        (Cell(id), Cell(str(each.people)), Cell(each.mass.written), Cell(each.kit.written))
        for id, each in facts.job.loads.items()
    ]
    return table(say("Loads"), heads, rows)
