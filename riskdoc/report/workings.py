"""Section 12 and appendices A to D: cautions, findings, workings, inputs, sources, digest."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riskdoc.i18n.say import mark, say
from riskdoc.quantities.printing import plain, three, unit_of
from riskdoc.report.blocks import EMPTY, Block, Cell, Heading, Para, Section, Warned
from riskdoc.report.job_file import written
from riskdoc.report.links import worked_place
from riskdoc.report.marks import ALERT
from riskdoc.report.number_format import nothing, side_of
from riskdoc.report.tables import columns, table, text_cell

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from riskdoc.analysis.figure import Figure
    from riskdoc.judgement.verdicts import Caution, Finding
    from riskdoc.quantities.ranges import Input
    from riskdoc.report.facts import Facts

_INJURY = (mark("DANGER"), mark("WARNING"), mark("CAUTION"))
_PROPERTY = mark("NOTICE")
_KINDS = {"line": mark("line"), "anchor": mark("anchor"), "rope": mark("rope")}
_FLAGS = {"from memory": "†", "judgement": "‡"}
LEGEND = mark(
    "† from memory: believed to be published, the page has not been seen. ‡ judgement: ours, "
    "always a range; the job file can replace it."
)


def cautions(facts: Facts) -> Section:
    """Section 12."""
    blocks: list[Block] = list(_warned(facts.assessment.cautions))
    blocks.append(Heading(say("Findings")))
    findings = facts.assessment.findings
    if findings:
        blocks.append(_findings(findings))
    else:
        blocks.append(Para(say("No finding beside the checks.")))
    return Section("cautions", "12", say("Cautions and findings"), tuple(blocks))


def _warned(cautions: Sequence[Caution]) -> Iterator[Block]:
    """Each caution once, with everything in the job that calls for it."""
    called: dict[tuple[str, str], list[str]] = {}
    for each in cautions:
        called.setdefault((each.word, str(each.text)), []).append(str(each.because))
    for (word, text), because in called.items():
        css = f"caution {word.lower()}" if word in (*_INJURY, _PROPERTY) else "caution"
        alert = ALERT if word in _INJURY else EMPTY
        yield Warned(say(word), alert, text, " / ".join(because), css)


def _findings(findings: tuple[Finding, ...]) -> Block:
    rows = [
        (Cell(str(each.subject)), text_cell(str(each.text)), Cell(each.place or "–"))
        for each in findings
    ]
    heads = columns("About | 25", "Finding | 50", "Place in the job file | 25")
    return table(say("What the reader must know besides the checks"), heads, rows)


def workings(facts: Facts) -> Section:
    """Appendix A: every figure with formula, numbers, result, inputs and source."""
    blocks: list[Block] = [
        Para(
            say(
                "S and D numbers lead to appendix B, where every input stands with what it rests "
                "on: S is stated in the job file, D is a default of a table."
            )
        )
    ]
    groups: dict[str, list[Figure]] = {}
    for figure in facts.assessment.figures:
        groups.setdefault(_group(figure), []).append(figure)
    for name, figures in groups.items():
        blocks.append(_worked(facts, name, figures))
    if not groups:
        blocks = [
            Para(
                say("No figure could be computed from this job file: not demonstrated."), "missing"
            )
        ]
    return Section("workings", "A", say("Workings"), (*blocks, Para(say(LEGEND), "legend")))


def _group(figure: Figure) -> str:
    # One table for each line, edge of a line, anchor and rope: short tables print faster.
    kind, name, *rest = figure.id.split("/")
    if kind == "kit":
        return say("all lines")
    if rest[:1] == ["edge"]:
        return f"{say(_KINDS[kind])} {name}, {say('edge')} {rest[1]}"
    return f"{say(_KINDS[kind])} {name}"


def _worked(facts: Facts, name: str, figures: list[Figure]) -> Block:
    rows = [_worked_row(facts, each) for each in figures]
    heads = columns(
        "Figure and id | 28",
        "Formula, with numbers, inputs, source | 39",
        "Unit | 5",
        "Low | 9 | number",
        "Expected | 10 | number",
        "High | 9 | number",
    )
    return table(say("Workings: {name}", name=name), heads, rows, css="wide dense workings")


def _worked_row(facts: Facts, figure: Figure) -> Sequence[Cell]:
    low, expected, high = three(figure.range, figure.unit, side_of(figure.id))
    if figure.band is not None and (words := nothing(figure)):
        low, expected, high = "–", words, "–"
    inputs = ", ".join(_brief(facts, each) for each in figure.inputs)
    source = figure.source or say("arithmetic on the inputs")
    return (
        Cell(str(figure.title), figure.id, id=worked_place(figure.id)),
        Cell(
            f"{figure.formula}; {figure.worked}{_drawn(figure)}",
            say("Inputs: {inputs}. Source: {source}", inputs=inputs or say("none"), source=source),
        ),
        Cell(unit_of(figure.unit).name or "–"),
        Cell(low),
        Cell(expected),
        Cell(high),
    )


def _drawn(figure: Figure) -> str:
    """The band of a number that is drawn as well, beside its corners."""
    if figure.band is None or figure.band == figure.range or figure.band.high == 0:
        return ""
    return say(
        "; drawn: {low} at 10 %, {high} at 90 %",
        low=plain(figure.band.low),
        high=plain(figure.band.high),
    )


def _brief(facts: Facts, entry: Input) -> str:
    flag = _FLAGS.get(entry.provenance, "")
    name = facts.references.get(entry.id, entry.title)
    return f"{entry.symbol}\u00a0{name}{flag}"


def inputs(facts: Facts) -> Section:
    """Appendix B: the job file value by value, then every default used."""
    file = facts.assessment.file
    heads = columns("Key | 43", "As written | 33", "Line and column | 12", "In workings | 12")
    rows = [
        (Cell(key), Cell(text), Cell(place), Cell(facts.references.get(key, "–")))
        for key, text, place in written(file)
    ]
    blocks: list[Block] = [
        Para(
            say(
                "Job file {name}. Every value below is stated there; provenance: stated.",
                name=file.name,
            )
        ),
        table(say("The job file, value by value"), heads, rows, css="wide dense"),
    ]
    defaults = facts.assessment.defaults
    if defaults:
        blocks.append(_defaults(facts, defaults))
        blocks.append(Para(say(LEGEND), "legend"))
    else:
        blocks.append(Para(say("No default was used: every number is stated in the job file.")))
    return Section("inputs", "B", say("Inputs and defaults"), tuple(blocks))


def _defaults(facts: Facts, defaults: tuple[Input, ...]) -> Block:
    heads = columns(
        "Default | 23",
        "In workings | 11",
        "Low, expected, high | 16",
        "Provenance | 13",
        "Table row | 15",
        "Source | 22",
    )
    rows = []
    for each in defaults:
        flag = _FLAGS.get(each.provenance, "")
        css = "flagged" if flag else ""
        provenance = Cell(f"{flag} {say(each.provenance)}".strip(), css=css)
        rows.append(
            (
                Cell(f"{each.title} ({each.symbol})"),
                Cell(facts.references[each.id]),
                Cell(str(each.written)),
                provenance,
                Cell(str(each.place)),
                Cell(str(each.source)),
            )
        )
    title = say("Every default used, where the job file states nothing")
    return table(title, heads, rows, css="wide dense")


def sources(facts: Facts) -> Section:
    """Appendix C: each source once, with what it carries."""
    cited: dict[str, int] = {}
    for text in _cited(facts):
        cited[text] = cited.get(text, 0) + 1
    heads = columns("Source | 80", "Times cited | 20 | number")
    rows = [(Cell(text), Cell(str(cited[text]))) for text in sorted(cited, key=str.casefold)]
    return Section(
        "sources", "C", say("Sources"), (table(say("Sources"), heads, rows, css="wide dense"),)
    )


def _cited(facts: Facts) -> Iterator[str]:
    found = facts.assessment
    groups = (found.figures, found.checks, found.defaults)
    yield from (str(each.source) for group in groups for each in group if each.source)
