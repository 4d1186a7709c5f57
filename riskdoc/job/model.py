"""The job file, format version 1, as a model.

Every field says what it means; the JSON Schema that editors use is generated from here.
Quantities are text with a unit (`12 mm`), a range (`3 to 5 mm`) or low, expected and high
(`0.30 / 0.40 / 0.55`). Words that name a row of a table are closed lists here, and a test
holds the tables to them.
"""

from __future__ import annotations

from importlib.resources import files
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from riskdoc.job.faults import Code, Refused, shown
from riskdoc.job.fields import (
    Angle,
    Caption,
    Component,
    Count,
    Day,
    Distance,
    FallFactor,
    Flag,
    Force,
    Friction,
    KitMass,
    Length,
    LineDensity,
    Mark,
    Mass,
    Modulus,
    Month,
    Name,
    PartRef,
    Ratio,
    Ref,
    Speed,
    Stretch,
    Temperature,
    Text,
    Time,
)
from riskdoc.job.measures import within
from riskdoc.job.words import denies

Surface = Literal[
    "polished metal",
    "rough steel",
    "galvanised steel",
    "timber",
    "granite",
    "smooth concrete",
    "glazed brick",
    "rough concrete",
    "sandstone",
    "brick",
]
Fibre = Literal["polyamide", "polyester", "polypropylene", "HMPE", "aramid"]
ProtectorKind = Literal[
    "loose cover", "sleeve", "thick pad", "rigid plate", "rigid tube", "roller set"
]
Termination = Literal[
    "figure-of-eight",
    "bowline",
    "overhand",
    "barrel",
    "butterfly",
    "other knot",
    "sewn eye",
    "wrapped",
]
RopeStandard = Literal[
    "EN 1891 type A",
    "EN 1891 type B",
    "EN 892 single",
    "EN 892 half",
    "EN 892 twin",
    "EN 564",
    "NFPA 2500 technical",
    "NFPA 2500 general",
    "none stated",
]
Evidence = Literal["marked", "tested", "calculated", "assessed", "unknown"]
Condition = Literal["new", "good", "worn", "suspect"]
Chemical = Literal["acid", "alkali", "bleach", "solvent"]
Guide = Literal["pulley", "connector"]
Case = Literal["hold", "descend", "ascend", "lower", "raise"]
Method = Literal["rope access", "rope descent", "tree work", "rescue", "canyon", "other"]
Tool = Literal[
    "hand tools",
    "knife or hand saw",
    "chainsaw",
    "grinder",
    "drill",
    "flame or welding",
    "pressure jet",
    "blasting",
    "heavy tool",
    "electric tool on a lead",
    "vibrating tool",
]
Near = Literal[
    "public below",
    "traffic",
    "other work above or below",
    "windows or openings",
    "plant that can start",
    "power line",
    "live parts",
    "radio antenna",
    "hot surface",
    "fragile surface",
    "loose material",
    "confined space",
    "dust or fibres",
    "droppings or sewage",
    "still water",
    "moving water",
    "tide",
    "ice",
    "animals",
    "helicopter",
    "open to strangers",
    "ground that can shake",
    "awkward way in",
    "no way out below",
]
RescueHow = Literal["lower", "raise", "accompany", "from below", "self"]
"""What a rescue does to lines: the casualty is lowered or raised from above, a rescuer goes down
with the casualty on a line, rescuers come from below, or the person gets down alone."""
Matrix = Literal["mil-std-882e", "npsa-2008", "none"]
GENERAL = "general"
SETS = (
    GENERAL,
    *sorted(
        name.removesuffix(".yaml")
        for name in (each.name for each in files("riskdoc").joinpath("requirements").iterdir())
        if name.endswith(".yaml") and name != f"{GENERAL}.yaml"
    ),
)
"""Requirement sets that are known by name, which are the files of their folder; another is a file
beside the job."""


class Part(BaseModel):
    """Base of all parts of a job: frozen, and closed to keys it does not know."""

    # Only the whole job is ever validated, so the parts need no validators of their own.
    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


RULED_OUT = "\0ruled out"
"""Key of `WithNone.ruled_out` in a settled tree; no file can write it."""


def _reason(text: str) -> str:
    """A reason; words that only deny what is asked, or put it off, are none."""
    if denies(text):
        raise Refused(
            Code.NO_REASON,
            f"{shown(text)} gives no reason why it does not apply",
            "Say why, like 'indoors', or leave the key out: then it is not demonstrated.",
        )
    return text


Reason = Annotated[Text, AfterValidator(_reason)]
"""Why a key does not apply."""


class Reasons(dict[str, str]):
    """Reasons by key; hashed by what is in it, for parts are frozen and looked up by content."""

    def __hash__(self) -> int:  # type: ignore[override]  # a dict has none; this one never changes
        """The hash of the entries, whatever their order."""
        return hash(frozenset(self.items()))


class WithNone(Part):
    """A part of which some keys may say that they do not apply: `wind: {none: indoors}`.

    Those keys carry `NONE` beside their description. `ruled_out` has the reasons by key.
    """

    ruled_out: Annotated[dict[str, Reason], AfterValidator(Reasons)] = Field(
        default_factory=Reasons, validation_alias=RULED_OUT
    )

    def why_not(self, key: str) -> str | None:
        """The reason why a key does not apply, None where that is not stated."""
        return self.ruled_out.get(key)


NONE: dict[str, Any] = {"none": True}
"""Marks a key that may say that it does not apply."""


class Location(Part):
    """Where the job is."""

    place: Text = Field(description="Name of the place, as the crew will look for it.")
    grid: Text | None = Field(None, description="Grid reference or coordinates, as written.")
    access: Text | None = Field(None, description="How to get there and away, and when.")


class Validity(Part):
    """The days on which the assessment may be used."""

    start: Day = Field(alias="from", description="First day, ISO 8601 (YYYY-MM-DD).")
    end: Day = Field(alias="to", description="Last day, ISO 8601; not before the first.")


class Replaced(Part):
    """The revision before this one."""

    file: Text = Field(description="Its job file, which stands beside this one, by its plain name.")
    reason: Text = Field(description="Why there is a new revision.")


class JobInfo(WithNone):
    """What the job is."""

    number: Mark = Field(description="Document number of the assessment.")
    revision: Mark = Field(description="Revision of the document, a letter or a number.")
    title: Text = Field(description="What is to be done, in one line.")
    client: Text = Field(description="For whom.")
    location: Location = Field(description="Where the job is.")
    valid: Validity = Field(description="The days on which the assessment may be used.")
    permits: tuple[Text, ...] = Field(
        (),
        description="Numbers of the permits it belongs to, or none with the reason.",
        json_schema_extra=NONE,
    )
    owner: Text | None = Field(None, description="Who owns the document and answers for it.")
    issued: Day | None = Field(None, description="Day of issue of this revision.")
    author: Ref | None = Field(
        None, description="Who wrote it.", json_schema_extra={"ref": "people"}
    )
    approver: Ref | None = Field(
        None, description="Who is to approve it.", json_schema_extra={"ref": "people"}
    )
    replaces: Replaced | None = Field(None, description="The revision that this one replaces.")
    requirements: Text = Field(
        description="The requirement set the job is judged by: general, gb-work-at-height, "
        "us-rope-descent, ca-ab-rope-access, or a file of your own beside the job (rules.yaml).",
    )
    matrix: Matrix = Field(
        "npsa-2008", description="The risk matrix hazards are rated with, or none."
    )


class Form(Part):
    """What the printed report looks like and is written in."""

    language: Literal["en", "de"] = Field(
        "en", description="Language of the report; what the job says stays as it is written."
    )
    units: Literal["metric", "us"] = Field(
        "metric", description="Units of what is computed; inputs stand as they are written too."
    )
    paper: Literal["A4", "Letter"] = Field("A4", description="Size of the pages.")


class Person(WithNone):
    """Somebody who takes part."""

    name: Name = Field(description="Name as printed in the document, in letters of one script.")
    role: Text = Field(description="Role in this job, for example supervisor or technician.")
    competence: Text = Field(description="Competence or qualification held.")
    expires: Day | None = Field(
        None,
        description="Day on which the competence expires, or none with the reason.",
        json_schema_extra=NONE,
    )
    first_aid: Flag = Field(description="Whether the person is a trained first aider.")
    rescue: Flag = Field(description="Whether the person is trained to rescue from a rope.")
    supervises: Flag = Field(description="Whether the person supervises on the day.")
    phone: Text | None = Field(None, description="How to reach the person on the day.")


class Wind(Part):
    """At what wind work stops, and what that value means."""

    stop_at: Annotated[Speed, within("0.5 m/s", "40 m/s")] = Field(
        description="Wind speed at which work stops."
    )
    measured_as: Literal["mean", "gust"] = Field(description="Mean or gust speed.")
    over: Literal["land", "coast", "sea"] | None = Field(
        None,
        description="What the wind blows over before it comes to the site: tells how much a gust "
        "is above the mean. Left out it counts as the open sea.",
    )
    height: Annotated[Length, within("0.5 m", "1000 m")] = Field(
        description="Height at which the wind is measured."
    )
    source: Text = Field(description="Whose rule the stop value is.")
    gusts_per_hour: Annotated[Count, Field(ge=0, le=3600)] | None = Field(
        None, description="Gusts in an hour that move the load; else the table's."
    )


class Zone(Part):
    """Where nobody may be while work goes on above."""

    size: Length = Field(description="How far it reaches from the foot of the drop.")
    kept_by: Text = Field(description="What and who keeps people out: barriers, a sentry.")
    reason: Text | None = Field(None, description="Why this size is enough for the height.")


class Site(WithNone):
    """A part of the place with its own drop and surroundings."""

    drop: Length = Field(
        description="Height from the last edge of its lines, or from the anchor where there is "
        "none, to the ground; not to a lower roof."
    )
    near: tuple[Near, ...] | None = Field(
        None,
        description="What is there besides, or none with the reason; [] says nothing.",
        json_schema_extra=NONE,
    )
    zone: Zone | None = Field(
        None,
        description="The zone below that is kept clear, or none with the reason.",
        json_schema_extra=NONE,
    )
    reach_sideways: Annotated[Distance, within("0 m", "200 m")] | None = Field(
        None, description="How far the worker stands off the fall line, at most, to either side."
    )
    clear_below: Length | None = Field(
        None,
        description="Clear height below the attachment point of the person at the lowest place of "
        "work.",
    )
    temperature: Temperature | None = Field(None, description="Air temperature, a range.")
    wet: Flag | None = Field(
        None, description="Whether any rope can get wet; lines that stay dry say so themselves."
    )
    chemicals: tuple[Chemical, ...] | None = Field(
        None,
        description="What the ropes can come into contact with, or none with the reason; [] says "
        "nothing.",
        json_schema_extra=NONE,
    )
    wind: Wind | None = Field(
        None,
        description="The wind at which work stops, or none with the reason, like indoors.",
        json_schema_extra=NONE,
    )


class Leg(Part):
    """One leg of an anchor system."""

    strength: Annotated[Force, within("0.2 kN", "500 kN")] | None = Field(
        None, description="Strength of the leg with what holds it."
    )
    evidence: Evidence = Field(description="What the strength rests on.")
    angle: Annotated[Angle, within("0 deg", "90 deg", below=True)] | None = Field(
        None, description="Angle between this leg and the line of pull; 0 to below 90 deg."
    )
    direction: tuple[Component, Component, Component] | None = Field(
        None,
        description="Direction from the joint to the anchor (x, y, z), for three or more legs.",
    )
    length: Annotated[Length, within("1 cm", "300 m")] | None = Field(
        None,
        description="Length of the leg; needed for fixed legs side by side and for three or more "
        "fixed legs. Where others leave it out the worst lengths count.",
    )
    modulus: Modulus | None = Field(
        None,
        description="Force per unit strain of a fixed leg, where the legs of an anchor are not of "
        "one material; for all of them or for none.",
    )


class Owner(Part):
    """What the owner of an anchor has stated of it in writing (29 CFR 1910.27(b)(1))."""

    statement: Day | None = Field(None, description="Day of the written statement.")
    strength: Force | None = Field(
        None, description="Strength it states, in any direction, of all attached together."
    )
    inspected: Day | None = Field(None, description="Last yearly inspection, qualified person.")
    certified: Day | None = Field(None, description="Last certification, qualified person.")


class Anchor(WithNone):
    """Where a line ends: one leg, or several that share."""

    legs: Annotated[tuple[Leg, ...], Field(min_length=1, max_length=12)] = Field(
        description="The legs; two legs stand either side of the pull."
    )
    equalised: Literal["self", "fixed"] | None = Field(
        None,
        description="Whether two or more legs slide to share (self) or are tied off (fixed).",
    )
    leg_count: Count | None = Field(
        None,
        description="How many legs meet at the joint; asked for from four on, so that a leg that "
        "is left out is noticed.",
    )
    extension: Annotated[Length, within("1 cm", "5 m")] | None = Field(
        None,
        description="How far the joint of sliding legs drops when one of them goes, or none with "
        "the reason, like knots that leave it no way.",
        json_schema_extra=NONE,
    )
    pull: tuple[Component, Component, Component] | None = Field(
        None,
        description="Direction of the pull (x, y, z) from the joint, for three or more fixed legs.",
    )
    description: Text | None = Field(None, description="What the anchor is.")
    owner: Owner | None = Field(None, description="What the owner has stated of it in writing.")
    not_practicable: Text | None = Field(
        None, description="Why it cannot hold 16 kN (Alberta OHS Code s. 829)."
    )


class Edge(WithNone):
    """A place where a rope bears and turns. Two places on one coping are two edges."""

    site: Ref = Field(description="Site at which the edge is.", json_schema_extra={"ref": "sites"})
    surface: Surface = Field(description="What the edge is made of.")
    radius: Annotated[Length, within("0.01 mm", "20 m")] = Field(
        description="Radius of the edge where the rope bears."
    )
    turn: Angle = Field(description="Angle through which the edge turns the rope, 0 to 180 deg.")
    friction: Friction | None = Field(
        None, description="Measured friction coefficient of rope on this edge; else the table's."
    )
    protection: Ref | None = Field(
        None,
        description="Protector at this edge, or none with the reason why it is bare.",
        json_schema_extra={"ref": "protection", **NONE},
    )
    description: Text | None = Field(None, description="What and where the edge is.")


class Protector(Part):
    """Something between rope and edge."""

    kind: ProtectorKind = Field(description="What it is.")
    tied: Flag = Field(description="Whether it is tied so that it cannot move away.")
    grips: Flag = Field(
        False, description="Whether an untied protector grips the rope and moves with it."
    )
    guards: Flag = Field(False, description="Whether side guards stop the rope at its width.")
    width: Annotated[Length, within("1 cm", "20 m")] | None = Field(
        None, description="Width along the edge that is covered; a sleeve needs none."
    )
    radius: Annotated[Length, within("1 mm", "5 m")] | None = Field(
        None, description="Radius the rope bends over; a plate, tube or roller set needs it."
    )
    surface: Surface | None = Field(
        None, description="Surface of a plate or tube; a plate or tube needs it."
    )
    friction: Friction | None = Field(
        None, description="Measured friction coefficient of rope on the protector."
    )
    credit: Ratio | None = Field(
        None, description="Share of the wear the protector takes, 0 to 1, if it was measured."
    )
    description: Text | None = Field(None, description="What the protector is.")


class TestPeak(Part):
    """The peak force a test of this rope gave."""

    force: Annotated[Force, within("0.5 kN", "50 kN")] = Field(
        description="Greatest force in the test."
    )
    mass: Annotated[Mass, within("40 kg", "300 kg")] = Field(description="Test mass.")
    factor: FallFactor = Field(description="Fall factor of the test.")


class Scheme(Part):
    """A written scheme of examination (LOLER reg. 9(3)(a)(iii))."""

    reference: Text = Field(description="Its number or title.")
    due: Day = Field(description="Day by which the next examination is due.")


class Life(WithNone):
    """How long the maker lets a rope of this kind be used."""

    from_made: Annotated[Count, Field(ge=1, le=30)] | None = Field(
        None,
        description="Years from manufacture, or none where the maker names none.",
        json_schema_extra=NONE,
    )
    from_first_use: Annotated[Count, Field(ge=1, le=30)] | None = Field(
        None,
        description="Years from first use, or none where the maker names none.",
        json_schema_extra=NONE,
    )


class Rope(WithNone):
    """A rope of the job."""

    standard: RopeStandard = Field(description="Standard the rope is made to.")
    diameter: Annotated[Length, within("4 mm", "40 mm")] = Field(description="Diameter as marked.")
    strength: Annotated[Force, within("1 kN", "300 kN")] | None = Field(
        None, description="Breaking strength as stated, unknotted."
    )
    stretch: Stretch | None = Field(
        None, description="Static stretch between 50 kg and 150 kg (EN 1891), per cent."
    )
    peak: TestPeak | None = Field(None, description="Peak force from a drop test of this rope.")
    mass: Annotated[LineDensity, within("5 g/m", "1000 g/m")] = Field(
        description="Mass per length."
    )
    length: Annotated[Length, within("0.5 m", "2000 m")] = Field(description="Length of the rope.")
    sheath: Fibre = Field(description="Fibre of the sheath.")
    core: Fibre = Field(description="Fibre of the core.")
    made: Month = Field(description="Month of manufacture, YYYY-MM.")
    first_used: Month | None = Field(
        None,
        description="Month of first use, YYYY-MM, or none with the reason, like not yet used.",
        json_schema_extra=NONE,
    )
    life: Life | None = Field(
        None,
        description="The maker's life of the rope, or none where the maker names none.",
        json_schema_extra=NONE,
    )
    retire_by: Month = Field(description="Month after which the rope is not used, YYYY-MM.")
    inspected: Day | None = Field(None, description="Day of the last thorough inspection.")
    condition: Condition = Field(description="Condition found at the last inspection.")
    scheme: Scheme | None = Field(None, description="Its written scheme of examination.")


class SingleLine(Part):
    """Why one line alone is used under a person: both halves must stand."""

    second_line_riskier: Text = Field(
        description="How the assessment shows that a second line is the higher risk."
    )
    measures: Annotated[tuple[Text, ...], Field(min_length=1)] = Field(
        description="What is done instead to keep the person safe."
    )


class Load(Part):
    """What hangs on a line."""

    people: Annotated[Count, Field(ge=0, le=4)] = Field(description="How many people.")
    mass: Annotated[Mass, within("1 kg", "2000 kg")] = Field(
        description="Mass of the people or of the thing, all together."
    )
    kit: Annotated[KitMass, within("0 kg", "500 kg")] = Field(
        description="Mass of everything carried; write 0 kg when there is none."
    )
    who: tuple[Ref, ...] = Field(
        (),
        description="Who hangs there: as many as people, or more where in_turn says why.",
        json_schema_extra={"ref": "people"},
    )
    single_line: SingleLine | None = Field(
        None, description="Why this load, people, hangs on one line alone."
    )
    one_line: Text | None = Field(
        None,
        description="Why this load, a thing, hangs on one line alone: what happens if it fails.",
    )
    more_lines: Text | None = Field(
        None, description="Why one person hangs on more than two lines."
    )
    in_turn: Text | None = Field(
        None,
        description="Why those named never hang at the same time, on this load or on another.",
    )
    together: Text | None = Field(
        None, description="Why several people hang on the same lines, outside a rescue."
    )
    heavy: Text | None = Field(
        None, description="Why one person with kit is as heavy as two people."
    )


class Device(WithNone):
    """A device on a line."""

    kind: Text = Field(description="What the device is, for example descender or back-up device.")
    diameter_from: Annotated[Length, within("4 mm", "40 mm")] | None = Field(
        None, description="Least rope diameter it takes."
    )
    diameter_to: Annotated[Length, within("4 mm", "40 mm")] | None = Field(
        None, description="Greatest rope diameter it takes."
    )
    standards: tuple[RopeStandard, ...] = Field((), description="Rope standards it takes.")
    strength: Annotated[Force, within("1 kN", "300 kN")] | None = Field(
        None,
        description="Strength of the device on the rope, or none with the reason where the maker "
        "names a greatest mass and no strength.",
        json_schema_extra=NONE,
    )
    slip: Annotated[Force, within("0.5 kN", "30 kN")] | None = Field(
        None,
        description="Force at which the device slips, or none with the reason, like does not slip.",
        json_schema_extra=NONE,
    )
    slip_at_most: Annotated[Length, within("1 cm", "20 m")] | None = Field(
        None,
        description="Greatest distance the maker lets it slip in a fall, or none where the maker "
        "names none.",
        json_schema_extra=NONE,
    )
    fall_at_most: Annotated[Distance, within("0 m", "20 m")] | None = Field(
        None,
        description="Greatest free fall the maker allows, or none where the maker names none.",
        json_schema_extra=NONE,
    )
    mass_at_most: Annotated[Mass, within("20 kg", "2000 kg")] | None = Field(
        None,
        description="Greatest mass the maker allows to hang on it, or none where the maker names "
        "none; its strength is then judged.",
        json_schema_extra=NONE,
    )
    each_strand: Flag = Field(
        False,
        description="Whether one stands on each strand and is made for it; else the device carries "
        "the whole load.",
    )
    mass: Annotated[Mass, within("10 g", "50 kg")] | None = Field(
        None, description="Mass of the device."
    )
    material: Literal["aluminium", "steel"] | None = Field(None, description="What it is made of.")
    acts: tuple[Literal["self-locks", "travels"], ...] | None = Field(
        None, description="Locks when let go; travels along with the user. [] when neither."
    )
    inspected: Day | None = Field(None, description="Day of the last thorough inspection.")
    scheme: Scheme | None = Field(None, description="Its written scheme of examination.")


class Over(Part):
    """An edge on the way from anchor to load."""

    edge: Ref = Field(
        description="The edge the rope runs over.", json_schema_extra={"ref": "edges"}
    )
    after: Distance = Field(
        description="Rope between the place before (anchor or edge) and this edge."
    )


class Knots(Part):
    """How the rope ends, and by which rule that is counted."""

    anchor: Termination = Field(description="Termination at the anchor.")
    load: Termination = Field(description="Termination at the load.")
    counted: Literal["half rule", "by name"] = Field(
        description="half rule: any knot halves the rope; by name: the table's low value.",
    )


class Ledge(Part):
    """Something on the way down that a falling person could strike."""

    name: Text = Field(description="What it is.")
    below: Length = Field(
        description="How far it is below the attachment point of the person at the place of work."
    )


class Fall(WithNone):
    """The fall a line must arrest."""

    free: Annotated[Distance, within("0 m", "100 m")] = Field(
        description="Free fall before the line comes tight."
    )
    clear: Length | None = Field(
        None,
        description="Clear height below the attachment point of the person at the place of work.",
    )
    ledges: tuple[Ledge, ...] = Field(
        (),
        description="Ledges on the way down, or none with the reason; [] says nothing.",
        json_schema_extra=NONE,
    )


class HaulStage(Part):
    """One stage of a hauling system."""

    strands: Annotated[Count, Field(ge=1, le=9)] = Field(
        description="Strands that pull on the moving side: 3 in a 3:1."
    )
    ends: Literal["moving", "fixed"] = Field(description="Where the pulled strand leaves from.")


class Haul(Part):
    """How the load is hauled."""

    stages: Annotated[tuple[HaulStage, ...], Field(min_length=1, max_length=4)] = Field(
        description="Stages of the system, first the one on the load."
    )
    haulers: Annotated[Count, Field(ge=1, le=20)] = Field(description="How many people pull.")
    efficiency: Annotated[Ratio, within("0.3", "1")] | None = Field(
        None, description="Efficiency of each sheave, 0 to 1."
    )


class LineRescue(Part):
    """A rescue done with this line."""

    load: Ref = Field(description="The load then.", json_schema_extra={"ref": "loads"})
    how: Literal["lower", "raise"] = Field(description="Lowered or raised.")
    devices: tuple[Ref, ...] = Field(
        (),
        description="Devices that carry the rescue load, like a lowering device at the anchor; "
        "left out it hangs on every device of the line.",
        json_schema_extra={"ref": "devices"},
    )


class Redirect(Part):
    """A pulley or deviation that turns the line away from an anchor."""

    anchor: Ref = Field(description="Anchor of the redirect.", json_schema_extra={"ref": "anchors"})
    turn: Angle = Field(description="Angle through which it turns the rope, 0 to 180 deg.")
    after: Distance = Field(description="Rope between the main anchor and the redirect.")
    over: Guide = Field(description="What the rope runs over there: a pulley or a connector.")
    friction: Friction | None = Field(
        None, description="Measured friction coefficient of the rope there; else the table's."
    )


class Line(WithNone):
    """A rope from its anchor, over its edges in order, to its load."""

    role: Literal["working", "safety"] = Field(
        description="working: carries the load; safety: must arrest a fall if the other fails."
    )
    rope: Ref = Field(description="The rope.", json_schema_extra={"ref": "ropes"})
    anchor: Ref = Field(description="The anchor.", json_schema_extra={"ref": "anchors"})
    site: Ref | None = Field(
        None,
        description="Site of the line; needed when it runs over no edge.",
        json_schema_extra={"ref": "sites"},
    )
    over: tuple[Over, ...] = Field(
        (),
        description="Edges in order from the anchor, or none with the reason, like hangs free.",
        json_schema_extra=NONE,
    )
    below: Length = Field(
        description="Rope from the last edge (or the anchor) to the attachment point of the load "
        "at the place of work."
    )
    load: Ref = Field(description="What hangs on it.", json_schema_extra={"ref": "loads"})
    cases: tuple[Case, ...] = Field(description="What is done with it besides hanging still.")
    passes: Count | None = Field(
        None, description="Sideways passes, from one side to the other, with the load on this line."
    )
    runs: Annotated[Count, Field(ge=1)] | None = Field(
        None,
        description="How often each moving case is done before the rope is inspected; needed where "
        "it is done over an edge.",
    )
    hours: Time | None = Field(
        None,
        description="How long the load hangs on the line in all; needed where a person hangs over "
        "an edge, and where wind is stated.",
    )
    knots: Knots = Field(description="Terminations.")
    strands: Annotated[Count, Field(ge=1, le=4)] = Field(description="Strands that share the load.")
    wet: Flag | None = Field(
        None, description="false for a line that stays dry where others get wet; else the site's."
    )
    devices: tuple[Ref, ...] = Field(
        (),
        description="Devices on the line, or none with the reason; [] says nothing.",
        json_schema_extra={"ref": "devices", **NONE},
    )
    fall: Fall | None = Field(
        None,
        description="The fall it must arrest; of a working line none with the reason, like always "
        "under load.",
        json_schema_extra=NONE,
    )
    haul: Haul | None = Field(
        None,
        description="How the load is hauled; of a safety line that is only taken in, none with the "
        "reason.",
        json_schema_extra=NONE,
    )
    rescue: LineRescue | None = Field(
        None,
        description="A rescue done with this line, or none with the reason.",
        json_schema_extra=NONE,
    )
    redirects: tuple[Redirect, ...] = Field(
        (),
        description="Redirects on the way, or none with the reason; [] says nothing.",
        json_schema_extra=NONE,
    )
    stopper: Flag | None = Field(None, description="Whether a stopper is tied in the rope's end.")
    stabilised: Text | None = Field(
        None, description="How the person is held steady at the place of work."
    )


class Measures(Part):
    """Control measures by the hierarchy, strongest first."""

    eliminate: tuple[Text, ...] = Field((), description="What takes the hazard away.")
    substitute: tuple[Text, ...] = Field((), description="What puts something lesser in its place.")
    engineer: tuple[Text, ...] = Field((), description="Kit and structure that hold it off.")
    organise: tuple[Text, ...] = Field((), description="Rules, training, checks, supervision.")
    wear: tuple[Text, ...] = Field((), description="Protective equipment of persons.")


class Rating(Part):
    """Severity and likelihood in the words of the job's matrix."""

    severity: Text = Field(description="1 to 4 in MIL-STD-882E, 1 to 5 in NPSA 2008.")
    likelihood: Text = Field(description="A to F in MIL-STD-882E, 1 to 5 in NPSA 2008.")


class Hazard(Part):
    """A hazard the catalogue does not know, or a change to one it proposes (by its id)."""

    title: Text | None = Field(None, description="The hazard in a few words; a new one needs it.")
    who: Text | None = Field(None, description="Who may be harmed.")
    how: Text | None = Field(None, description="How harm may come.")
    controls: Measures | None = Field(None, description="Control measures that are really taken.")
    before: Rating | None = Field(None, description="Rating before controls.")
    after: Rating | None = Field(None, description="Rating with the controls in place.")
    fatal: Flag | None = Field(None, description="Whether somebody could be killed.")
    dropped: Flag = Field(False, description="Whether a proposed hazard does not apply here.")
    reason: Text | None = Field(
        None, description="Why it was added, changed or dropped; a change needs it."
    )
    owner: Ref | None = Field(
        None, description="Whose job the controls are.", json_schema_extra={"ref": "people"}
    )
    due: Text | None = Field(None, description="By when the controls stand.")


class LineRescuePlan(WithNone):
    """The rescue from one line; who, kit and steps are those of the whole plan where left out."""

    who: tuple[Ref, ...] = Field(
        (), description="Who rescues.", json_schema_extra={"ref": "people"}
    )
    how: RescueHow | None = Field(
        None,
        description="lower or raise: the casualty, from above; accompany: a rescuer goes down with "
        "the casualty on a line; from below; self: the person gets down alone.",
    )
    method: Text | None = Field(None, description="How, in one line.")
    kit: Text | None = Field(None, description="With what, and where it stands ready.")
    steps: tuple[Text, ...] = Field((), description="The steps in order.")
    time_to_contact: Time | None = Field(None, description="Time until a rescuer is with them.")
    time_to_ground: Time | None = Field(None, description="Time until they are on the ground.")
    why_longer: Text | None = Field(None, description="Why more than 10 minutes are accepted.")


OF_THE_LINE = ("how", "method", "time_to_contact", "time_to_ground", "why_longer")
"""What the rescue from one line must state itself."""


class RescuePlan(LineRescuePlan):
    """How a casualty is brought to safety, and what is different on single lines."""

    by: Literal["own team", "emergency services"] | None = Field(
        None, description="Who rescues: the job's own people, or nobody but the public services."
    )
    first_aid: Text | None = Field(None, description="Who and what for first aid.")
    hospital: Text | None = Field(None, description="Where they are taken.")
    rendezvous: Text | None = Field(None, description="Where the emergency services are met.")
    phone_signal: Literal["good", "patchy", "none"] | None = Field(
        None, description="Telephone signal at the place of work."
    )
    call: Text | None = Field(
        None, description="How help is called; needed where the signal is patchy or none."
    )
    drilled: Day | None = Field(None, description="Day of the last drill of this plan.")
    lines: dict[str, LineRescuePlan] = Field(
        {},
        description="The rescue from single lines, by the id of the line: of every line that "
        "people hang on; or none with the reason, where one plan holds for all of them.",
        json_schema_extra=NONE,
    )

    def of_line(self, id: str) -> RescuePlan:
        """The rescue from one line.

        Who, kit and steps are those of the whole plan where the line states none. Method and times
        are its own: those of another line say nothing of this one.
        """
        own = self.lines.get(id)
        if own is None:
            return self
        stated = {key: getattr(own, key) for key in OF_THE_LINE}
        shared = {key: value for key in ("who", "kit", "steps") if (value := getattr(own, key))}
        return self.model_copy(update=stated | shared)

    @property
    def everybody(self) -> tuple[str, ...]:
        """Ids of all who rescue from any line, each once."""
        parts = (self, *self.lines.values())
        return tuple(dict.fromkeys(id for part in parts for id in part.who))


class Isolation(Part):
    """Something that is switched off, locked or drained for the work."""

    what: Text = Field(description="What is isolated.")
    number: Text | None = Field(None, description="Number of the certificate.")
    proved: Text | None = Field(None, description="Who proves it dead, and how.")


class Work(Part):
    """How the work is done, and what surrounds it in time."""

    method: Method | None = Field(
        None,
        description="Kind of rope work. rope descent: down only, on a descent system; rope access: "
        "two ropes, up and down.",
    )
    why_rope: Text | None = Field(
        None, description="Which other ways were weighed, and why rope is the safer one here."
    )
    steps: tuple[Text, ...] = Field((), description="The work in order, rigging to stripping.")
    ppe: tuple[Text, ...] = Field((), description="Protective equipment everyone wears.")
    tools: tuple[Tool, ...] | None = Field(
        None, description="Tools used on or near the ropes; [] when none."
    )
    light: Literal["daylight", "twilight", "night"] | None = Field(
        None, description="The least light in which there is work, way out included."
    )
    lighting: Text | None = Field(
        None,
        description="What lights the work and the way out; needed where there is work without "
        "daylight.",
    )
    shift: Time | None = Field(None, description="Longest time at work in one day.")
    communications: Text | None = Field(None, description="How the crew talk, and what if not.")
    lightning: Text | None = Field(
        None, description="When work stops for lightning, by whose rule."
    )
    stop_work: tuple[Text, ...] = Field((), description="When anybody stops the work.")
    isolations: tuple[Isolation, ...] | None = Field(
        None, description="What is isolated for the work; [] when nothing need be."
    )
    others: tuple[Text, ...] | None = Field(
        None, description="Other work at the same time that could touch this; [] when none."
    )


class Picture(Part):
    """A photograph or sketch of the user's own."""

    file: Text = Field(
        description="Its path from the folder of the job file, and inside it: a JPEG or PNG file."
    )
    of: PartRef | None = Field(
        None,
        description="The part of the job it shows, like edges.coping: an edge, anchor, site, line, "
        "protector or rope.",
    )
    caption: Caption | None = Field(None, description="What stands under it.")
    shows: Text = Field(description="What is to be seen, for those who cannot see it.")
    keep_metadata: Flag = Field(
        False,
        description="Whether its EXIF metadata stay in the report, where it was taken included.",
    )


class Deviation(Part):
    """A borderline check that a named person accepts."""

    check: Text = Field(description="Id of the check.")
    by: Ref = Field(description="Who accepts it.", json_schema_extra={"ref": "people"})
    reason: Text = Field(description="Why it is accepted.")
    until: Day = Field(
        description="Until when it is accepted; at least to the last day of the job."
    )
    conditions: tuple[Text, ...] = Field(
        (), description="On what conditions it is accepted, printed on page 1 and the card."
    )


class Signoff(Part):
    """Who must sign, and what was accepted."""

    roles: Annotated[tuple[Text, ...], Field(min_length=1, max_length=8)] = Field(
        description="Roles that sign, in order."
    )
    deviations: tuple[Deviation, ...] = Field(
        (), description="Borderline checks that are accepted, one by one."
    )


class Alternative(Part):
    """The same job with some keys set otherwise, to be compared with it."""

    title: Text = Field(description="What is done otherwise, in a few words.")
    change: dict[str, Any] = Field(
        description="Keys of the job with their new values, like lines.working.rope: blue; list "
        "entries are counted from 1, like anchors.pair.legs[1].angle.",
        min_length=1,
    )


class Job(Part):
    """A whole job file, format version 1."""

    riskdoc: Literal["1"] = Field(description="Format version; this is version 1.")
    job: JobInfo = Field(description="What the job is.")
    report: Form = Field(Form.model_construct(), description="What the printed report looks like.")
    people: dict[str, Person] = Field(description="People, by id.", min_length=1)
    sites: dict[str, Site] = Field(description="Sites, by id.", min_length=1)
    anchors: dict[str, Anchor] = Field(description="Anchors, by id.", min_length=1)
    edges: dict[str, Edge] = Field({}, description="Edges, by id.")
    protection: dict[str, Protector] = Field({}, description="Protectors, by id.")
    ropes: dict[str, Rope] = Field(description="Ropes, by id.", min_length=1)
    loads: dict[str, Load] = Field(description="Loads, by id.", min_length=1)
    devices: dict[str, Device] = Field({}, description="Devices, by id.")
    lines: dict[str, Line] = Field(description="Lines, by id.", min_length=1)
    work: Work | None = Field(None, description="How the work is done.")
    hazards: dict[str, Hazard] = Field(
        {}, description="Hazards of the job's own, and changes to proposed ones, by id."
    )
    rescue: RescuePlan = Field(description="The rescue plan; an empty one is not demonstrated.")
    pictures: dict[str, Picture] = Field(
        {}, description="Photographs and sketches of the user's own, by id.", max_length=24
    )
    signoff: Signoff = Field(description="Who must sign, and what was accepted.")
    alternatives: dict[str, Alternative] = Field(
        {}, description="Other ways to do the job, by id, to be compared with the plan."
    )
