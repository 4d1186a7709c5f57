"""Section 6: falls and clearance, stretch, swing and wind, heat; and the numbers of section 7."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.report.blocks import Block, Figure, Heading, Para, Section
from riskdoc.report.rows import figures_table
from riskdoc.report.stack import clearance_stack

if TYPE_CHECKING:
    from collections.abc import Iterator

    from riskdoc.report.facts import Facts


def falls(facts: Facts) -> Section:
    """Section 6."""
    blocks: list[Block] = []
    for line in facts.job.lines:
        blocks += _fall(facts, line)
    if not blocks:
        blocks.append(Para("No line of this job is meant to arrest a fall."))
    blocks.append(Heading("Stretch, swing, wind and heat"))
    found = [block for line in facts.job.lines for block in _besides(facts, line)]
    blocks += found or [Para("Nothing of these could be computed from what is stated.", "missing")]
    return Section("falls", "6", "Falls, clearance, stretch, swing, wind, heat", tuple(blocks))


def _fall(facts: Facts, line: str) -> Iterator[Block]:
    name, it = f"line/{line}", facts.job.lines[line]
    if it.fall is None and it.role != "safety":
        return
    ledges = it.fall.ledges if it.fall else ()
    rows = [
        ("Fall factor", f"{name}/fall/factor", ""),
        ("Rope that stretches", f"{name}/fall/effective_length", ""),
        ("Modulus of the rope in the fall", f"{name}/fall/modulus", ""),
        ("Peak force", f"{name}/fall/peak", f"{name}/fall/peak"),
        ("Stretch at the peak", f"{name}/fall/stretch", ""),
        ("Slip of the device", f"{name}/fall/slip", ""),
        ("Clearance needed, to the clear height", f"{name}/clearance/needed", f"{name}/clearance"),
        *(
            (
                f"Clearance needed, to {ledge.name}",
                f"{name}/clearance/needed",
                f"{name}/clearance/ledge/{n}",
            )
            for n, ledge in enumerate(ledges, start=1)
        ),
    ]
    free = f"free fall {it.fall.free.written}" if it.fall else "free fall not shown"
    made = figures_table(facts, f"Line {line}: {free}", rows)
    if made is not None:
        yield made
    drawing = clearance_stack(facts, line)
    if drawing is not None:
        yield Figure(drawing.title, drawing.text, drawing.markup, drawing.key)


def _besides(facts: Facts, line: str) -> Iterator[Block]:
    name, it = f"line/{line}", facts.job.lines[line]
    rows = [
        ("Sink when the load comes on the rope", f"{name}/stretch/hold", ""),
        ("Rope hauled in before the load moves", f"{name}/stretch/raise", ""),
        ("Speed after a swing to the fall line", f"{name}/swing/speed", ""),
        ("Height lost in that swing", f"{name}/swing/drop", ""),
        ("Tension under the pivot after it", f"{name}/swing/tension", ""),
        (_wind_words(facts, line), f"{name}/wind/force", ""),
        ("Load held off the fall line by the wind", f"{name}/wind/offset", ""),
        ("Energy of one descent", f"{name}/heat/energy", ""),
        ("Power into the device", f"{name}/heat/power", ""),
        *(
            (
                f"Temperature rise of {device}, as a bound",
                f"{name}/heat/rise/{device}",
                f"{name}/heat/{device}",
            )
            for device in it.devices
        ),
        *(
            (f"Friction heat at {over.edge} ({case})", f"{name}/edge/{over.edge}/heat/{case}", "")
            for over in it.over
            for case in it.cases
        ),
        *(
            (
                f"Pull on {redirect.anchor} from redirect {n}",
                f"{name}/redirect/{n}/force",
                f"{name}/redirect/{n}",
            )
            for n, redirect in enumerate(it.redirects, start=1)
        ),
    ]
    made = figures_table(facts, f"Line {line}", rows)
    if made is not None:
        yield made


def _wind_words(facts: Facts, line: str) -> str:
    figure = facts.figures.get(f"line/{line}/wind/force")
    return figure.title if figure else "Wind force"


def rescue_numbers(facts: Facts) -> Iterator[Block]:
    """The rescue load and the hauling system of every line that has one."""
    for line in facts.job.lines:
        name = f"line/{line}"
        rows = [
            ("Tension at the load, rescue", f"{name}/tension/load/rescue", ""),
            (
                "Tension at the anchor, rescue",
                f"{name}/tension/anchor/rescue",
                "",
            ),
            ("Stretch under the rescue load", f"{name}/stretch/rescue", ""),
            ("Advantage with friction", f"{name}/haul/advantage", ""),
            ("Effort of the team", f"{name}/haul/effort", f"{name}/haul/team"),
            ("Haulers needed", f"{name}/haul/team", ""),
            ("Tension when the load snags", f"{name}/haul/jam", ""),
        ]
        made = figures_table(facts, f"Line {line}: rescue and hauling", rows)
        if made is not None:
            yield made
