"""What `check --json` prints of a study, record by record, in the order in which it prints it.

The JSON is filled into these records and its schema is generated from them: a field stands here
once, with what the schema says of it. Numbers are in SI. A number without bound is null.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field
from typing_extensions import TypedDict  # pydantic reads that of `typing` from Python 3.12 on

from riskdoc.judgement.verdicts import Verdict
from riskdoc.mitigation.change import Level


def about(text: str, **bounds: Any) -> Any:  # noqa: ANN401  (a field of pydantic is of any type)
    """What the schema says of a field."""
    return Field(description=text, **bounds)


Count = Annotated[int, Field(ge=0)]
Pair = tuple[float, float]
Id = Annotated[str, about("Stable id.")]
Title = Annotated[str, about("In words.")]
Subject = Annotated[str, about("What it is about.")]
Number = float | None
Mends = Annotated[list[str], about("Checks that were not met and are met then.")]
Brings = Annotated[list[str], about("Checks that were met and are not met then.")]


class Range(TypedDict):
    """Low, expected and high, in the unit given beside it (SI); null for a number without bound."""

    low: Number
    expected: Number
    high: Number


class Sensitivity(TypedDict):
    """An input that moves the result; the one that moves it most comes first."""

    input: Annotated[str, about("Id of the input.")]
    at_low: Annotated[Number, about("The result with this input alone at its low end.")]
    at_high: Annotated[Number, about("The result with this input alone at its high end.")]


class Figure(TypedDict):
    """A computed number."""

    id: Id
    title: Title
    low: Number
    expected: Number
    high: Number
    band: Annotated[
        Range | None,
        about(
            "At 10 %, as expected and at 90 % of fixed draws, where drawn; low and high are "
            "corners."
        ),
    ]
    unit: Annotated[str, about("SI unit; 1 for none.")]
    formula: Annotated[str, about("Equation in symbols.")]
    worked: Annotated[str, about("The same with expected values.")]
    inputs: list[str]
    decides: list[Sensitivity]
    source: Annotated[str, about("Where the equation comes from.")]


class Acceptance(TypedDict):
    """Who accepted a borderline check."""

    by: Annotated[str, about("Name.")]
    reason: Annotated[str, about("Why.")]
    until: Annotated[str, about("Last day of the acceptance, ISO 8601.")]
    conditions: Annotated[list[str], about("On what conditions, in the words of who accepts it.")]


class Check(TypedDict):
    """A judged comparison, or a rule."""

    id: Id
    subject: Subject
    title: Title
    verdict: Verdict
    demand: Range | None
    capacity: Range | None
    ratio: Range | None
    required: Annotated[Number, about("Least ratio of capacity to demand.")]
    unit: Annotated[str, about("SI unit of demand and capacity.")]
    reason: Annotated[str, about("Why, in a sentence.")]
    remedy: Annotated[str, about("What would change it; empty when adequate.")]
    missing: Annotated[list[str], about("Keys of the job file to add.")]
    decides: list[Sensitivity]
    figures: list[str]
    accepted: Acceptance | None
    source: Annotated[str, about("Where the requirement comes from.")]


class Finding(TypedDict):
    """What a reader must know besides."""

    id: Id
    subject: Subject
    text: Title
    place: Annotated[str, about("file:line:column.")]


class Input(TypedDict):
    """An input, stated or default."""

    id: Annotated[str, about("Key of the job file, or table/row/column.")]
    title: Title
    low: Number
    expected: Number
    high: Number
    unit: Annotated[str, about("SI unit.")]
    written: Annotated[str, about("As written.")]
    place: Annotated[str, about("file:line:column, or the table.")]
    provenance: Literal["stated", "published", "common practice", "from memory", "judgement"]
    source: Annotated[str, about("Source.")]


class Rated(TypedDict):
    """A rating by the matrix of the job."""

    severity: str
    likelihood: str
    band: str
    score: int | None


class Hazard(TypedDict):
    """A hazard of this job; before and after are null where no matrix was chosen."""

    id: str
    group: str
    title: str
    fatal: bool
    who: list[str]
    how: str
    because: list[str]
    before: Rated | None
    after: Rated | None
    basis: str
    basis_after: Annotated[str, about("What the rating after controls rests on.")]
    controls: dict[Level, list[str]]
    chosen: Annotated[
        bool,
        about(
            "Whether the controls are those this job chose; else they are proposals of the "
            "catalogue, on which no rating rests."
        ),
    ]
    checks: list[str]
    stops: list[str]
    reason: str
    owner: str
    due: str
    source: str
    provenance: str


class Dropped(TypedDict):
    """A proposed hazard that the job says does not apply."""

    id: str
    title: str
    reason: str


class Refused(TypedDict):
    """What the job says of a hazard and is not used."""

    id: str
    text: str
    place: str


class Write(TypedDict):
    """A key of the job file and what is written there."""

    key: Annotated[str, about("Key of the job file, with dots, list entries counted from 1.")]
    value: Annotated[
        Any,
        about(
            "The value as the job file has it; a part that is added is whole, null is one to take "
            "out."
        ),
    ]


class Change(TypedDict):
    """A change to the job."""

    id: str
    title: str
    level: Level
    asks: str
    effort: Annotated[int, about("What it asks of the crew, 1 to 5 (judgement).", ge=1)]
    practicability: Annotated[
        Literal[1, 2, 3],
        about(
            "1 what a crew can do on the day, 2 what may not be to be had, 3 what is theoretical "
            "(judgement)."
        ),
    ]
    writes: Annotated[
        list[Write], about("What it writes into the job file, in this order.", min_length=1)
    ]


class CheckState(TypedDict):
    """How a check comes out."""

    verdict: Verdict
    ratio: Annotated[Number, about("At worst; null where the check has none, or no bound.")]


class Effect(TypedDict):
    """A check before and after; null where it is not asked then."""

    check: str
    before: CheckState | None
    after: CheckState | None
    compared: Annotated[
        Range | None,
        about("The demand after over that before, draw by draw; null where not drawn."),
    ]


class Result(TypedDict):
    """What a change does alone."""

    changes: Annotated[list[Change], Field(min_length=1)]
    effort: Count
    mends: Mends
    brings: Brings
    effects: list[Effect]


class Outcome(TypedDict):
    """How a plan comes out, by its checks and its requirement set together."""

    verdict: Verdict
    checks: Count
    unmet: Annotated[
        dict[Verdict, Count],
        about("Checks that are not met, by verdict; an accepted borderline check is met."),
    ]
    accepted: Annotated[Count, about("Borderline checks that a named person accepts.")]
    items: Annotated[
        Count, about("Items of the requirement set that apply and that the plan decides.")
    ]
    open: Annotated[
        dict[Verdict, Count],
        about("Items that are not met or not demonstrated, by what they make of the verdict."),
    ]
    questions: Annotated[
        Count, about("Items left to a person; they make the verdict neither better nor worse.")
    ]


class Package(TypedDict):
    """The one set of changes that is proposed: practicable first, then least effort, together."""

    changes: list[Change]
    effort: Count
    mends: Mends
    brings: Brings
    effects: list[Effect]
    mended: Annotated[
        dict[str, list[Annotated[int, Field(ge=1)]]],
        about("For each check that is mended, the numbers of the changes that mend it."),
    ]
    left: Annotated[list[str], about("Checks that no set tried mends.")]
    bounded: Annotated[list[str], about("Those of them for which the search ended at its bound.")]
    missing: Annotated[
        dict[str, list[str]],
        about("Checks that need what the job does not state, and the keys to state."),
    ]
    cut: Annotated[
        bool, about("The search ended at its bound: a package of less effort may exist.")
    ]
    outcome: Annotated[
        Outcome | None,
        about(
            "How the plan comes out with the package, assessed anew and whole; null where there is "
            "none."
        ),
    ]
    open_items: Annotated[list[str], about("Items of the requirement set that stay open then.")]


class Limit(TypedDict):
    """How far a quantity may go, alone."""

    id: str
    of: Literal["plan", "package"]
    title: str
    unit: str
    stated: Pair
    greatest: Annotated[
        Number, about("Null where no value tried is met, and where nothing bounds it.")
    ]
    least: Number
    bounded: Annotated[
        bool, about("Whether something fails within the range tried; its end is no limit.")
    ]
    tried: Pair
    step: float
    kept: bool
    set_by: str | None
    beyond: str | None
    aside: list[str]
