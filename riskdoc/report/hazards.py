"""Section 8: hazards, their ratings, controls in the order of the hierarchy, sites and weather."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.report import controls
from riskdoc.report.blocks import Block, Cell, Heading, Items, Para, Section
from riskdoc.report.tables import columns, table, text_cell
from riskdoc.report.units import NOT_SHOWN

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.hazards.matrices import Matrix
    from riskdoc.hazards.records import Listed, Rated
    from riskdoc.job.model import Work
    from riskdoc.report.facts import Facts

FATAL = "Can kill."
"""Printed with a hazard whatever its rating: no score clears it."""


def hazards(facts: Facts) -> Section:
    """Section 8."""
    blocks: list[Block] = [
        *_rated_with(facts),
        *_listed(facts),
        *_dropped(facts),
        Heading("Sites, weather and work"),
        _sites(facts),
        *_zones(facts),
        *_work(facts),
        *controls.bought(facts),
        *controls.alternatives(facts),
    ]
    return Section("hazards", "8", "Hazards, weather and controls", tuple(blocks))


def _rated_with(facts: Facts) -> Iterator[Block]:
    register = facts.dossier.register
    count, fatal = len(register.hazards), sum(each.fatal for each in register.hazards)
    yield Para(
        f"{count} hazards are listed, {fatal} of them able to kill whatever their rating says. "
        "They are proposed from what the job states and leaves out. Severity, likelihood and the "
        "step from before to after are proposals of this project (judgement) unless the job file "
        "replaces them; a proposed step is one level of likelihood at most. After holds only with "
        "every control listed in place; while a check that belongs to a hazard stands against the "
        "plan, no step is counted."
    )
    matrix = register.matrix
    if matrix is None:
        yield Para("No matrix was chosen in the job: the hazards are not rated.")
        return
    yield Para(
        f"Rated with {matrix.title}, {matrix.edition} ({matrix.source}). A matrix ranks; it does "
        "not show that a risk is acceptable, and another matrix can give another word."
    )
    yield _grid(facts, matrix)
    yield Items(
        tuple(f"Severity {each.key}, {each.name}: {each.meaning}" for each in matrix.severities)
        + tuple(
            f"Likelihood {each.key}, {each.name}: {each.meaning}" for each in matrix.likelihoods
        ),
        "tight",
    )


def _grid(facts: Facts, matrix: Matrix) -> Block:
    """The matrix with how many hazards stand in each cell, before and after."""
    counts = facts.dossier.register.counts
    share = round(82 / len(matrix.severities), 2)
    heads = [f"Likelihood, then severity | {round(100 - share * len(matrix.severities), 2)}"]
    heads += [f"{each.key} {each.name} | {share}" for each in matrix.severities]
    rows: list[Sequence[Cell]] = []
    for level in matrix.likelihoods:
        cells = []
        for severity in matrix.severities:
            before, after = counts.get((severity.key, level.key), (0, 0))
            said = f"{before} before, {after} after" if before or after else ""
            cells.append(Cell(matrix.band(severity.key, level.key), said))
        rows.append((Cell(f"{level.key} {level.name}"), *cells))
    return table("Risk matrix, with the number of hazards in each cell", columns(*heads), rows)


def _listed(facts: Facts) -> Iterator[Block]:
    register = facts.dossier.register
    for group in dict.fromkeys(each.group for each in register.hazards):
        yield table(
            group,
            columns(
                "Hazard, why it is listed, who may be harmed and how | 37",
                "Controls, strongest first | 47",
                "Rating | 16",
            ),
            [_row(facts, each) for each in register.hazards if each.group == group],
            css="wide dense hazards",
        )
    for finding in register.findings:
        where = f" ({finding.place})" if finding.place else ""
        yield Para(f"{finding.text}{where}", "finding")


def _row(facts: Facts, hazard: Listed) -> Sequence[Cell]:
    fatal = f" {FATAL}" if hazard.fatal else ""
    who = ", ".join(hazard.who) or NOT_SHOWN
    said = [f"Listed: {'; '.join(hazard.because)}."] if hazard.because else []
    how = hazard.how.rstrip(".") or f"How: {NOT_SHOWN}"
    said.append(f"May be harmed: {who}. {how}.")
    if hazard.causes:
        said.append(f"Causes: {', '.join(hazard.causes)}.")
    if hazard.changed:
        said.append(f"Changed by the job ({', '.join(hazard.changed)}): {hazard.reason}.")
    if hazard.owner or hazard.due:
        said.append(f"Whose job: {hazard.owner or NOT_SHOWN}, by when: {hazard.due or NOT_SHOWN}.")
    return (
        Cell(f"{hazard.title}.{fatal}", " ".join(said)),
        Cell(_measures(hazard), _computed(facts, hazard)),
        Cell(f"{_rating(hazard.before)} before, {_rating(hazard.after)} after", _basis(hazard)),
    )


def _rating(rated: Rated | None) -> str:
    if rated is None:
        return "not rated"
    both = rated.severity.isdigit() and rated.likelihood.isdigit()
    return f"{rated.severity}{' × ' if both else ''}{rated.likelihood} {rated.band}"


def _basis(hazard: Listed) -> str:
    """What the rating before rests on, and why no step is counted after."""
    count = len(hazard.stops)
    held = f"; no step while {count} check{'s' if count > 1 else ''} of it stand against the plan"
    return hazard.basis + (held if count and hazard.before is not None else "")


def _measures(hazard: Listed) -> str:
    said = [
        f"{level.capitalize()}: {'; '.join(sentences)}."
        for level, sentences in hazard.controls.items()
        if sentences
    ]
    return " ".join(said) or "none stated"


def _computed(facts: Facts, hazard: Listed) -> str:
    """The computed controls of the stops that belong to a hazard, with what they buy."""
    said: dict[str, None] = {}
    for stop in hazard.stops:
        buy = facts.study.cheapest.get(stop)
        if buy is None:
            continue
        effect = next(each for each in buy.effects if each.id == stop)
        said[f"{buy.title}: {controls.moved(effect)}"] = None
    return "computed: " + "; ".join(said) if said else ""


def _dropped(facts: Facts) -> Iterator[Block]:
    dropped = facts.dossier.register.dropped
    if dropped:
        yield table(
            "Proposed and dropped by the job",
            columns("Hazard | 30", "Why it was proposed | 35", "Why it was dropped | 35"),
            [
                (Cell(each.title), Cell("; ".join(each.because)), Cell(each.reason, each.place))
                for each in dropped
            ],
        )


def _sites(facts: Facts) -> Block:
    heads = columns(
        "Site | 11",
        "Drop | 9",
        "Reach to the side | 10",
        "Clear below | 10",
        "Temperature | 12",
        "Wet, chemicals | 12",
        "Near it | 17",
        "Work stops at wind | 19",
    )
    rows = []
    for id, site in facts.job.sites.items():
        wind = site.wind
        stop = (
            f"{wind.stop_at.written} {wind.measured_as} at {wind.height.written}; {wind.source}"
            if wind
            else NOT_SHOWN
        )
        stated = (site.reach_sideways, site.clear_below, site.temperature)
        chemicals = NOT_SHOWN if site.chemicals is None else ", ".join(site.chemicals) or "none"
        rows.append(
            (
                Cell(id),
                Cell(site.drop.written),
                *(text_cell(each.written if each else NOT_SHOWN) for each in stated),
                text_cell({True: "yes", False: "no", None: NOT_SHOWN}[site.wet], chemicals),
                text_cell(NOT_SHOWN if site.near is None else ", ".join(site.near) or "none"),
                text_cell(stop),
            )
        )
    return table("Sites and weather", heads, rows)


def _zones(facts: Facts) -> Iterator[Block]:
    rows = []
    for id, site in facts.job.sites.items():
        zone = site.zone
        if zone is None:
            rows.append((Cell(id), Cell(NOT_SHOWN, css="missing"), Cell("–"), Cell("–")))
        else:
            rows.append(
                (
                    Cell(id), Cell(zone.size.written), Cell(zone.kept_by),
                    text_cell(zone.reason or NOT_SHOWN),
                )
            )  # fmt: skip
    yield table(
        "Zone kept clear below",
        columns("Site | 18", "Reaches from the foot | 18", "Kept by | 32", "Why it is enough | 32"),
        rows,
    )


def _work(facts: Facts) -> Iterator[Block]:
    work = facts.job.work
    if work is None:
        yield Para(f"How the work is done: {NOT_SHOWN}.", "missing")
        return
    rows = [(Cell(name), text_cell(value or NOT_SHOWN)) for name, value in _points(work)]
    yield table("How the work is done", columns("Point | 26", "As the job file has it | 74"), rows)
    for title, entries in (("Steps of the work", work.steps), ("Work stops when", work.stop_work)):
        if entries:
            yield Heading(title)
            yield Items(entries, "ordered")
        else:
            yield Para(f"{title}: {NOT_SHOWN}.", "missing")


def _points(work: Work) -> Iterator[tuple[str, str | None]]:
    yield "Kind of rope work", work.method
    yield "Why on ropes", work.why_rope
    yield "Tools", None if work.tools is None else ", ".join(work.tools) or "none"
    yield "Protective equipment", ", ".join(work.ppe) or None
    yield "Least light", work.light
    yield "Longest time in a day", work.shift.written if work.shift else None
    yield "Communications", work.communications
    yield "Lightning", work.lightning
    yield "Isolations", None if work.isolations is None else _isolations(work)
    yield (
        "Other work at the same time",
        None if work.others is None else "; ".join(work.others) or "none",
    )


def _isolations(work: Work) -> str:
    said = [
        f"{each.what}, {each.number or 'number ' + NOT_SHOWN}, proved: {each.proved or NOT_SHOWN}"
        for each in work.isolations or ()
    ]
    return "; ".join(said) or "none needed"
