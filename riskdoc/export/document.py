"""What `check --json` prints of a document: the study, its set, and how it stands."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict

from riskdoc.export.records import (
    Check,
    Dropped,
    Figure,
    Finding,
    Hazard,
    Input,
    Limit,
    Outcome,
    Package,
    Pair,
    Refused,
    Result,
    about,
)
from riskdoc.judgement.verdicts import Verdict
from riskdoc.requirements.items import Answer
from riskdoc.signing.document_status import State

Count = Annotated[int, Field(ge=0)]
Hash = Annotated[str, Field(pattern="^[0-9a-f]{64}$")]
LastHash = Annotated[
    str, about("Hash of the last entry; none where there is none.", pattern="^(none|[0-9a-f]{64})$")
]
Sides = tuple[int, int]


class Item(TypedDict):
    """An item of the requirement set, and what the plan shows of it."""

    id: str
    clause: str
    test: Literal["computed", "declared", "asked"]
    answer: Answer
    reason: str
    missing: list[str]


class RequirementSet(TypedDict):
    """The requirement set, judged."""

    id: str
    applicable: bool
    sentence: str
    items: list[Item]


class Picture(TypedDict):
    """A picture of the job, and what is printed of it."""

    id: str
    file: Annotated[str, about("Path as the job writes it.")]
    sha256: Annotated[Hash, about("Of the file.")]
    kind: Literal["jpeg", "png"]
    pixels: Sides
    keeps: bool
    exif: Annotated[str, about("Metadata that are kept, hexadecimal.")]
    spot: Pair | None
    printed: Annotated[Hash, about("Of the picture as it is printed.")]
    printed_pixels: Sides


class Form(TypedDict):
    """What the report is written in."""

    language: Literal["en", "de"]
    units: Literal["metric", "us"]
    paper: Literal["A4", "Letter"]


class Machine(TypedDict):
    """Versions of what the machine brought along that decides bytes of a document, or none."""

    harfbuzz: str
    pango: str
    unicode: str
    zlib: str


class Signed(TypedDict):
    """A role that signs; null where it has not."""

    role: str
    name: Annotated[str | None, about("Who signed.")]
    time: Annotated[str | None, about("When, RFC 3339, as the machine of the signer had it.")]
    meaning: Annotated[str | None, about("What the sign-off means.")]
    hash: Annotated[Hash | None, about("Hash of the entry.")]


class Before(TypedDict):
    """An earlier revision, with the last that is known of its sign-offs."""

    file: Annotated[str, about("Its job file.")]
    number: str
    revision: str
    sha256: Annotated[Hash, about("Of its job file.")]
    state: Annotated[
        Literal[State.DRAFT, State.ISSUED, State.SUPERSEDED, State.WITHDRAWN, State.EXPIRED] | None,
        about("By its own record; null where that cannot be relied on."),
    ]
    entries: Count
    last: LastHash


From = TypedDict("From", {"from": Annotated[str, about("First day of use, ISO 8601.")]})
"""Apart, since `from` is a word of Python."""


class Standing(From):
    """How the document stands on the day of the assessment, by the sign-offs beside the job."""

    to: Annotated[str, about("Last day, ISO 8601.")]
    signed: Annotated[list[Signed], about("Every role that signs, in order.")]
    one_person: Annotated[bool, about("Whether one person alone has signed in every role.")]
    entries: Annotated[Count, about("Entries in the record of sign-offs, of all revisions.")]
    last: LastHash
    before: Annotated[list[Before], about("Earlier revisions, the latest first.")]


class JobFile(TypedDict):
    """The job."""

    file: Annotated[str, about("Path as given.")]
    number: Annotated[str, about("Document number.")]
    revision: Annotated[str, about("Revision.")]
    title: Annotated[str, about("Title.")]
    sha256: Annotated[Hash, about("SHA-256 of the bytes of the job file.")]


class Assessment(TypedDict):
    """What was computed and judged, before what could be done about it."""

    riskdoc: Annotated[Literal[1], about("Version of this format.")]
    version: Annotated[str, about("Version of the program.")]
    job: JobFile
    on: Annotated[str, about("Day the assessment was made, ISO 8601.")]
    requirements: Annotated[str, about("Requirement set.")]
    status: Annotated[Verdict, about("The strictest of all checks and requirement items.")]
    not_judged: Annotated[list[str], about("What this version leaves to the people who sign.")]
    figures: list[Figure]
    checks: list[Check]
    findings: list[Finding]
    inputs: list[Input]
    hazards: list[Hazard]


class Document(Assessment):
    """One object for one job. All numbers are in SI: N, m, kg, rad, s, K."""

    controls: Annotated[
        list[Result], about("What each change to the job does alone, the best first.")
    ]
    package: Package
    limits: Annotated[
        list[Limit], about("Of the plan as written and of the plan with the package.")
    ]
    matrix: Annotated[str | None, about("The risk matrix hazards are rated with.")]
    dropped: list[Dropped]
    refused: list[Refused]
    requirement_set: RequirementSet
    state: Annotated[
        State,
        about(
            "What the document is on the day of the assessment, by the sign-offs beside the job "
            "file."
        ),
    ]
    headline: Annotated[
        str,
        about(
            "The status in one sentence, which says no more than the strictest of checks, items, "
            "signatures and dates."
        ),
    ]
    exit: Annotated[
        Literal[0, 1],
        about("Exit code: 0 where the status is adequate and the document is a draft or issued."),
    ]
    outcome: Outcome
    digest: Annotated[
        Hash,
        about(
            "SHA-256 of the content that is signed: the resolved job with its figures and "
            "verdicts, in the canonical form of RFC 8785."
        ),
    ]
    machine: Machine
    pictures: list[Picture]
    form: Form
    document: Standing
