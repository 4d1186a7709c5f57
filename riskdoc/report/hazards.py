"""Section 8: hazards, their ratings, controls in the order of the hierarchy, sites and weather."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import many, mark, say
from riskdoc.report import controls
from riskdoc.report.blocks import Block, Cell, Figure, Heading, Items, Para, Section
from riskdoc.report.matrixview import matrix_view
from riskdoc.report.number_format import NOT_DEMONSTRATED
from riskdoc.report.tables import columns, listed, ruled_out, table, text_cell, yes_no

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from riskdoc.hazards.matrices import Level
    from riskdoc.hazards.rated import Listed, Rated
    from riskdoc.job.model import Work
    from riskdoc.report.facts import Facts

FATAL = mark("Can kill.")
"""Printed with a hazard whatever its rating: no score clears it."""
SEVERITY = mark("Severity {key}, {name}: {meaning}")
LIKELIHOOD = mark("Likelihood {key}, {name}: {meaning}")


def hazards(facts: Facts) -> Section:
    """Section 8."""
    blocks: list[Block] = [
        *_rated_with(facts),
        *_listed(facts),
        *_dropped(facts),
        Heading(say("Sites, weather and work")),
        _sites(facts),
        *_zones(facts),
        *_work(facts),
        *controls.what_changes_do(facts),
        *controls.alternatives(facts),
    ]
    return Section("hazards", "8", say("Hazards, weather and controls"), tuple(blocks))


def _rated_with(facts: Facts) -> Iterator[Block]:
    register = facts.dossier.register
    count, fatal = len(register.hazards), sum(each.fatal for each in register.hazards)
    yield Para(
        say(
            "{count} hazards are listed, {fatal} of them able to kill whatever their rating says. "
            "They are proposed from what the job states and leaves out. Severity, likelihood and "
            "the step from before to after are proposals of this project (judgement) unless the "
            "job file replaces them; a proposed step is one level of likelihood at most. A rating "
            "after controls rests only on controls that this job chose, or on what its plan "
            "contains and the checks found adequate. Controls that the catalogue proposes are "
            "marked so, and no rating rests on them.",
            count=count,
            fatal=fatal,
        )
    )
    matrix = register.matrix
    if matrix is None:
        yield Para(say("No matrix was chosen in the job: the hazards are not rated."))
        return
    yield Para(
        say(
            "Rated with {title}, {edition} ({source}). A matrix ranks; it does not show that a "
            "risk is acceptable, and another matrix can give another word.",
            title=say(matrix.title),
            edition=say(matrix.edition),
            source=say(matrix.source),
        )
    )
    drawing = matrix_view(facts)
    if drawing is not None:
        yield Figure(drawing.title, drawing.text, drawing.markup, drawing.key)
    yield Items(
        (*_meanings(SEVERITY, matrix.severities), *_meanings(LIKELIHOOD, matrix.likelihoods)),
        "tight",
    )


def _meanings(text: str, levels: Iterable[Level]) -> Iterator[str]:
    for each in levels:
        yield say(text, key=each.key, name=say(each.name), meaning=say(each.meaning))


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
    fatal = f" {say(FATAL)}" if hazard.fatal else ""
    who = ", ".join(hazard.who) or say(NOT_DEMONSTRATED)
    said = [say("Listed: {because}.", because="; ".join(hazard.because))] if hazard.because else []
    how = hazard.how.rstrip(".") or say("How: not demonstrated")
    said.append(say("May be harmed: {who}. {how}.", who=who, how=how))
    if hazard.causes:
        said.append(say("Causes: {causes}.", causes=", ".join(hazard.causes)))
    if hazard.changed:
        said.append(
            say(
                "Changed by the job ({changed}): {reason}.",
                changed=", ".join(hazard.changed),
                reason=hazard.reason,
            )
        )
    if hazard.owner or hazard.due:
        said.append(
            say(
                "Whose job: {owner}, by when: {due}.",
                owner=hazard.owner or say(NOT_DEMONSTRATED),
                due=hazard.due or say(NOT_DEMONSTRATED),
            )
        )
    return (
        Cell(f"{hazard.title}.{fatal}", " ".join(said)),
        Cell(_measures(hazard), _computed(facts, hazard)),
        Cell(
            say(
                "{before} before, {after} after",
                before=_rating(hazard.before),
                after=_rating(hazard.after),
            ),
            _basis(hazard),
        ),
    )


def _rating(rated: Rated | None) -> str:
    if rated is None:
        return say("not rated")
    both = rated.severity.isdigit() and rated.likelihood.isdigit()
    return f"{rated.severity}{' × ' if both else ''}{rated.likelihood} {say(rated.band)}"


def _basis(hazard: Listed) -> str:
    """What the rating before rests on, and what that after does."""
    count = len(hazard.stops)
    if hazard.before is None:
        return hazard.basis
    after = say("after: {basis}", basis=hazard.basis_after)
    if count:
        after = many(
            "after: no step while {count} check of it is not met",
            "after: no step while {count} checks of it are not met",
            count,
        )
    return f"{hazard.basis}; {after}"


def _measures(hazard: Listed) -> str:
    said = [
        f"{_capital(say(level))}: {'; '.join(sentences)}."
        for level, sentences in hazard.controls.items()
        if sentences
    ]
    if said and not hazard.chosen:
        said.insert(0, say("Proposed, not chosen by this job:"))
    return " ".join(said) or say("none stated")


def _capital(word: str) -> str:
    return word[:1].upper() + word[1:]


def _computed(facts: Facts, hazard: Listed) -> str:
    """The changes of the package that mend the checks of a hazard."""
    package = facts.study.package
    steps = sorted({n for id in hazard.stops for n in package.mended.get(id, ())})
    titles = [package.steps[n - 1].change.title for n in steps]
    return (
        say("in the package of changes: {changes}", changes="; ".join(map(str, titles)))
        if titles
        else ""
    )


def _dropped(facts: Facts) -> Iterator[Block]:
    dropped = facts.dossier.register.dropped
    if dropped:
        yield table(
            say("Proposed and dropped by the job"),
            columns("Hazard | 30", "Why it was proposed | 35", "Why it was dropped | 35"),
            [
                (Cell(each.title), Cell("; ".join(each.because)), Cell(each.reason, each.place))
                for each in dropped
            ],
        )


def _sites(facts: Facts) -> Block:
    heads = columns(
        "Site | 10",
        "Drop | 9",
        "Reach to the side | 10",
        "Clear below attachment | 12",
        "Temperature | 12",
        "Wet, chemicals | 12",
        "Near it | 16",
        "Work stops at wind | 19",
    )
    rows = []
    for id, site in facts.job.sites.items():
        wind = site.wind
        stop = (
            say(
                "{speed} {kind} at {height}; {source}",
                speed=wind.stop_at.written,
                kind=say(wind.measured_as),
                height=wind.height.written,
                source=wind.source,
            )
            if wind
            else ruled_out(site, "wind")
        )
        stated = (site.reach_sideways, site.clear_below, site.temperature)
        chemicals = listed(site.chemicals) if site.chemicals else ruled_out(site, "chemicals")
        rows.append(
            (
                Cell(id),
                Cell(site.drop.written),
                *(text_cell(each.written if each else say(NOT_DEMONSTRATED)) for each in stated),
                text_cell(yes_no(site.wet), chemicals),
                text_cell(listed(site.near) if site.near else ruled_out(site, "near")),
                text_cell(stop),
            )
        )
    return table(say("Sites and weather"), heads, rows)


def _zones(facts: Facts) -> Iterator[Block]:
    rows = []
    for id, site in facts.job.sites.items():
        zone = site.zone
        if zone is None:
            rows.append((Cell(id), text_cell(ruled_out(site, "zone")), Cell("–"), Cell("–")))
        else:
            rows.append(
                (
                    Cell(id), Cell(zone.size.written), Cell(zone.kept_by),
                    text_cell(zone.reason or say(NOT_DEMONSTRATED)),
                )
            )  # fmt: skip
    yield table(
        say("Zone kept clear below"),
        columns("Site | 18", "Reaches from the foot | 18", "Kept by | 32", "Why it is enough | 32"),
        rows,
    )


def _work(facts: Facts) -> Iterator[Block]:
    work = facts.job.work
    if work is None:
        yield Para(say("How the work is done: not demonstrated."), "missing")
        return
    rows = [
        (Cell(name), text_cell(value or say(NOT_DEMONSTRATED))) for name, value in _points(work)
    ]
    yield table(
        say("How the work is done"), columns("Point | 26", "As the job file has it | 74"), rows
    )
    for title, entries in (
        (say("Steps of the work"), work.steps),
        (say("Work stops when"), work.stop_work),
    ):
        if entries:
            yield Heading(title)
            yield Items(entries, "ordered")
        else:
            yield Para(say("{title}: not demonstrated.", title=title), "missing")


def _points(work: Work) -> Iterator[tuple[str, str | None]]:
    yield say("Kind of rope work"), work.method and say(work.method)
    yield say("Why on ropes"), work.why_rope
    yield say("Tools"), None if work.tools is None else listed(work.tools)
    yield say("Protective equipment"), ", ".join(work.ppe) or None
    yield (
        say("Least light"),
        work.light and ", ".join(filter(None, (say(work.light), work.lighting))),
    )
    yield say("Longest time in a day"), work.shift.written if work.shift else None
    yield say("Communications"), work.communications
    yield say("Lightning"), work.lightning
    yield say("Isolations"), None if work.isolations is None else _isolations(work)
    yield (
        say("Other work at the same time"),
        None if work.others is None else "; ".join(work.others) or say("none"),
    )


def _isolations(work: Work) -> str:
    said = [
        say(
            "{what}, {number}, proved: {proved}",
            what=each.what,
            number=each.number or say("number not demonstrated"),
            proved=each.proved or say(NOT_DEMONSTRATED),
        )
        for each in work.isolations or ()
    ]
    return "; ".join(said) or say("none needed")
