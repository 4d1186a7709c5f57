"""Beside the fall of a line: stretch, swing, wind, heat, redirects; and why one is not there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import say
from riskdoc.report.blocks import Block, Para
from riskdoc.report.rows import Wanted, figures_table

if TYPE_CHECKING:
    from collections.abc import Iterator

    from riskdoc.job.model import Line, Site
    from riskdoc.report.facts import Facts


def besides(facts: Facts, line: str) -> Iterator[Block]:
    """The figures of a line, and one line on what is not computed for it."""
    parts = (_stretch, _swing, _wind, _heat, _redirects)
    rows = [row for part in parts for row in part(facts, line)]
    made = figures_table(facts, say("Line {line}: stretch, swing, wind, heat", line=line), rows)
    if made is not None:
        yield made
    said = list(_absent(facts, line))
    if said:
        yield Para(say("Line {line}: {said}.", line=line, said="; ".join(said)))


def _stretch(_facts: Facts, line: str) -> Iterator[Wanted]:
    name = f"line/{line}"
    for end, load in (("", say("load")), ("/rescue", say("rescue load"))):
        yield (
            say("Sink when the {load} comes on the rope, at the place of work", load=load),
            f"{name}/sink/work{end}",
            "",
        )
        yield (
            say("Sink when the {load} comes on the rope, at the lowest place", load=load),
            f"{name}/sink/lowest{end}",
            "",
        )
    yield say("Rope hauled in before the load moves"), f"{name}/stretch/raise", ""


def _swing(_facts: Facts, line: str) -> Iterator[Wanted]:
    name = f"line/{line}/swing"
    yield say("Height lost in a swing to the fall line"), f"{name}/drop", name
    yield say("Speed after that swing"), f"{name}/speed", ""
    yield say("Tension under the pivot after it"), f"{name}/tension", ""


def _wind(facts: Facts, line: str) -> Iterator[Wanted]:
    name = f"line/{line}/wind"
    figure = facts.figures.get(f"{name}/force")
    # The title of this figure carries the wind in words.
    yield str(figure.title) if figure else say("Wind force"), f"{name}/force", ""
    yield say("Load held off the fall line by the wind"), f"{name}/offset", ""


def _heat(facts: Facts, line: str) -> Iterator[Wanted]:
    name, it = f"line/{line}", facts.job.lines[line]
    yield say("Energy of one descent"), f"{name}/heat/energy", ""
    yield say("Energy of lowering the rescue load"), f"{name}/heat/energy_rescue", ""
    yield say("Power into the device"), f"{name}/heat/power", ""
    for device in it.devices:
        check = f"{name}/heat/{device}"
        yield (
            say("Temperature rise of {device}", device=device),
            f"{name}/heat/rise/{device}",
            check,
        )
    for over in it.over:
        for case in it.cases:
            heat = f"{name}/edge/{over.edge}/heat/{case}"
            yield (
                say("Friction heat at edge {edge} ({case})", edge=over.edge, case=say(case)),
                heat,
                "",
            )


def _redirects(facts: Facts, line: str) -> Iterator[Wanted]:
    for n, redirect in enumerate(facts.job.lines[line].redirects, start=1):
        id = f"line/{line}/redirect/{n}"
        yield say("Pull on {anchor}, redirect {n}", anchor=redirect.anchor, n=n), f"{id}/force", id


def _absent(facts: Facts, line: str) -> Iterator[str]:
    """What is not computed for a line, each with its reason."""
    name, it = f"line/{line}", facts.job.lines[line]
    site = facts.job.sites[facts.site_of(line)]
    if f"{name}/stretch/hold" not in facts.figures:
        yield say("stretch not demonstrated, no stretch of rope ‘{rope}’ is stated", rope=it.rope)
    if f"{name}/swing/speed" not in facts.figures:
        yield _no_swing(facts, it, site)
    if f"{name}/wind/force" not in facts.figures:
        yield _no_wind(site)
    if f"{name}/heat/power" not in facts.figures:
        yield _no_heat(it)


def _no_wind(site: Site) -> str:
    if site.wind is not None:
        return say("wind not demonstrated, not computed")
    why = site.why_not("wind")
    if why is not None:
        return say("no wind, as stated: {why}", why=why.rstrip("."))
    return say("wind not demonstrated, no wind is stated")


def _no_swing(facts: Facts, line: Line, site: Site) -> str:
    if facts.job.loads[line.load].people == 0:
        return say("no swing of a person, the load is none")
    if site.reach_sideways is None:
        return say("swing not demonstrated, no reach to the side is stated")
    if site.reach_sideways.high == 0:
        return say("no swing, the reach to the side is none")
    if site.wind is None and site.why_not("wind") is None:
        return say("swing not demonstrated, no wind is stated")
    return say("no swing, the reach is longer than the rope below the pivot")


def _no_heat(line: Line) -> str:
    lowered = line.rescue is not None and line.rescue.how == "lower"
    if not lowered and not {"descend", "lower"} & set(line.cases):
        return say("no heat of a descent, nothing goes down on it")
    return say("heat of the descent not demonstrated, no device that takes it is stated on it")
