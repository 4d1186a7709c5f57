"""Rules at edges that no number overrides, and whether edges and their protection are stated."""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum, auto

from riskdoc.analysis.edge_crossing import covers_all
from riskdoc.analysis.inputs import sourced
from riskdoc.analysis.resolve import RigEdge, RigLine
from riskdoc.i18n.message import Text, message, plural
from riskdoc.i18n.say import mark
from riskdoc.job.model import Protector
from riskdoc.judgement.judge import JUDGED, Question, does_not_apply, not_demonstrated, rule
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.quantities.printing import Amount
from riskdoc.quantities.ranges import Range
from riskdoc.tables.loader import Cell, cell


class Bare(Enum):
    """How much of a bare edge the rope can lie on."""

    NONE = auto()
    UNKNOWN = auto()
    BESIDE = auto()
    ALL = auto()


def bare_of(edge: RigEdge, covered: Range | None, *, counts: bool) -> Bare:
    """How much of the bare edge is open to the rope, where a protector `counts` or not.

    `covered` is the share of the sweep within the protector's width, None where it is not known.
    A rope that is to arrest hangs slack and moves freely, so it may lie anywhere in its sweep.
    """
    if not counts:
        return Bare.ALL
    if covers_all(edge):
        return Bare.NONE
    if covered is None:
        return Bare.UNKNOWN
    return Bare.BESIDE if covered.low < 1 else Bare.NONE


def line_edges(line: RigLine) -> Check:
    """Whether the job says what edges a line runs over."""
    id, subject, title = f"line/{line.id}/edges", f"line/{line.id}", message("Edges stated")
    why = line.line.why_not("over")
    if line.edges:
        reason = plural(
            "Line ‘{line}’ runs over {count} edge.",
            "Line ‘{line}’ runs over {count} edges.",
            len(line.edges),
            line=line.id,
        )
        return rule(id, subject, title, Verdict.ADEQUATE, reason, "", message("stated in the job"))
    if why is not None:
        return does_not_apply(id, subject, title, why)
    return _not_stated(id, subject, title, f"lines.{line.id}.over")


def edge_rules(line: RigLine, edge: RigEdge, covered: Range | None) -> Iterator[Check]:
    """What is stated of one edge of a line, and the rules there; each yields where it bites."""
    yield _protection(line, edge)
    if edge.edge.turn.high == 0:
        return
    yield from _sharp(line, edge, covered)
    yield from _shifted(line, edge)
    yield from _blade(line, edge, covered)
    yield from _bare(line, edge, covered)


def _protection(line: RigLine, edge: RigEdge) -> Check:
    """Whether the job says what lies at an edge, or why nothing does."""
    subject = f"line/{line.id}/edge/{edge.id}"
    id, title = f"{subject}/protection", message("Edge protection stated")
    why = edge.edge.why_not("protection")
    if edge.protector is not None:
        reason = message(
            "Protector ‘{protector}’ ({kind}) is stated at edge ‘{edge}’.",
            protector=edge.protector_id,
            kind=_kind(edge.protector),
            edge=edge.id,
        )
        return rule(id, subject, title, Verdict.ADEQUATE, reason, "", message("stated in the job"))
    if why is not None:
        return does_not_apply(id, subject, title, why)
    return _not_stated(id, subject, title, f"edges.{edge.id}.protection")


def _not_stated(id: str, subject: str, title: Text, key: str) -> Check:
    question = Question(
        id=id, subject=subject, title=title, demanded="", held="", unit="1", remedy=""
    )
    return not_demonstrated(question, (key,), None)


def _reach(line: RigLine) -> str:
    """The key without which the sweep of a line is not known."""
    return f"sites.{line.site_id}.reach_sideways"


SHARP = {
    "fall": {
        Bare.ALL: mark(
            "Line ‘{line}’ may have to arrest a fall over edge ‘{edge}’, and nothing there would "
            "stay in place in a fall. Bare, its radius is {radius}; under {least} a loaded rope "
            "can be cut at once."
        ),
        Bare.BESIDE: mark(
            "Line ‘{line}’ may have to arrest a fall over edge ‘{edge}’, and part of its sweep "
            "lies beside protector ‘{protector}’. Bare, its radius is {radius}; under {least} a "
            "loaded rope can be cut at once."
        ),
    },
    "swing": {
        Bare.ALL: mark(
            "Line ‘{line}’ can swing over edge ‘{edge}’, and nothing there would stay in place in "
            "a fall. Bare, its radius is {radius}; under {least} a loaded rope can be cut at once."
        ),
        Bare.BESIDE: mark(
            "Line ‘{line}’ can swing over edge ‘{edge}’, and part of its sweep lies beside "
            "protector ‘{protector}’. Bare, its radius is {radius}; under {least} a loaded rope "
            "can be cut at once."
        ),
    },
}
"""What a line does over a sharp edge: with nothing that stays, and beside a protector."""
PADDED = mark(
    "Line ‘{line}’ may have to arrest a fall, or can swing, over edge ‘{edge}’ of radius "
    "{radius}, and only protector ‘{protector}’ ({kind}) lies between; under {least} a "
    "loaded rope can be pressed through it."
)
SHARP_PROTECTOR = mark(
    "Line ‘{line}’ may have to arrest a fall, or can swing, over protector ‘{protector}’ "
    "of radius {radius}; under {least} a loaded rope can be cut at once."
)
TITLES = {
    "sharp": mark("Fall or swing over a sharp edge"),
    "blade": mark("Person over a bare blade"),
    "bare": mark("Person on one strand over a bare edge"),
}
"""What the rules are called that a radius decides."""


def _rule(
    line: RigLine,
    edge: RigEdge,
    name: str,
    verdict: Verdict,
    text: str,
    remedy: Text,
    least: Cell,
    radius: float | None = None,
) -> Check:
    """A rule at an edge that asks for a least radius; of the bare edge where none is given."""
    subject = f"line/{line.id}/edge/{edge.id}"
    reason = message(
        text,
        line=line.id,
        edge=edge.id,
        protector=edge.protector_id,
        kind=_kind(edge.protector) if edge.protector is not None else "",
        radius=Amount(edge.edge.radius.low if radius is None else radius, "mm", "down"),
        least=Amount(least.expected, "mm", "near"),
    )
    id, title = f"{subject}/rule/{name}", message(TITLES[name])
    return rule(id, subject, title, verdict, reason, remedy, sourced(least))


def _unknown(line: RigLine, edge: RigEdge, name: str) -> Check:
    """A rule that hangs on a sweep of which nothing is known."""
    subject = f"line/{line.id}/edge/{edge.id}"
    return _not_stated(f"{subject}/rule/{name}", subject, message(TITLES[name]), _reach(line))


def _sharp(line: RigLine, edge: RigEdge, covered: Range | None) -> Iterator[Check]:
    """A fall or a swing over a sharp bare edge, or over a protector that is sharp itself."""
    least = cell("general", "bare radius fall")
    bare = bare_of(edge, covered, counts=edge.held_in_fall)
    reach = line.site.reach_sideways
    may_swing = line.person and (reach is None or reach.high > 0)
    if line.no_fall is not None and not may_swing:
        return
    if edge.replaced and _radius(edge) < least.expected:
        yield _sharp_protector(line, edge, least)
        return
    if edge.edge.radius.low >= least.expected:
        return
    if bare is Bare.NONE:
        pressed = cell("general", "padded radius fall")
        if not edge.replaced and edge.edge.radius.low < pressed.expected:
            yield _padded(line, edge, pressed)
        return
    if bare is Bare.UNKNOWN or (reach is None and line.no_fall is not None):
        yield _unknown(line, edge, "sharp")
        return
    text = SHARP["fall" if line.no_fall is None else "swing"][bare]
    yield _rule(line, edge, "sharp", Verdict.INADEQUATE, text, _remedy(edge), least)


def _padded(line: RigLine, edge: RigEdge, least: Cell) -> Check:
    """A pad stays in place, but the rope of an arrest is pressed through it onto the edge."""
    remedy = message("A secured plate, tube or roller set as wide as the sweep.")
    return _rule(line, edge, "sharp", Verdict.BORDERLINE, PADDED, remedy, least)


def _radius(edge: RigEdge) -> float:
    """The radius of what replaces an edge, as stated at its lowest."""
    radius = edge.protector.radius if edge.protector is not None else None
    return 0.0 if radius is None else radius.low


def _sharp_protector(line: RigLine, edge: RigEdge, least: Cell) -> Check:
    remedy = message("A protector with a larger radius.")
    return _rule(
        line, edge, "sharp", Verdict.INADEQUATE, SHARP_PROTECTOR, remedy, least, _radius(edge)
    )


def _remedy(edge: RigEdge) -> Text:
    """What mends a sharp edge; a pad does nothing on a blade."""
    if edge.blade:
        return message(
            "A secured plate, tube or roller set as wide as the sweep, or an anchor below this "
            "edge. A pad, a sleeve or a cover counts for nothing on so sharp an edge."
        )
    return message(
        "A secured plate, tube, roller set or thick pad as wide as the sweep, or an anchor below "
        "this edge."
    )


SHIFTED = {
    Verdict.INADEQUATE: mark(
        "Only protector ‘{protector}’ ({kind}) lies between line ‘{line}’ and edge ‘{edge}’; it "
        "cannot be relied on in a fall. The edge is bare then, and sharp."
    ),
    Verdict.BORDERLINE: mark(
        "Only protector ‘{protector}’ ({kind}) lies between line ‘{line}’ and edge ‘{edge}’; it "
        "cannot be relied on in a fall. The edge is bare then, and rough or not well rounded."
    ),
    Verdict.ADEQUATE: mark(
        "Only protector ‘{protector}’ ({kind}) lies between line ‘{line}’ and edge ‘{edge}’; it "
        "cannot be relied on in a fall. The edge is bare then, and none of its rules bites."
    ),
}
"""A cover that counts for nothing in a fall, by what the bare edge is."""


def _shifted(line: RigLine, edge: RigEdge) -> Iterator[Check]:
    """A cover that a fall would shift leaves the bare edge: no better and no worse.

    On a blade the rule of the blade stands instead.
    """
    name = f"line/{line.id}/edge/{edge.id}"
    id, title = f"{name}/rule/cover", message("Cover that a fall would shift")
    if line.no_fall is not None or edge.held_in_fall:
        return
    if edge.protector is None:
        if edge.edge.why_not("protection") is None:
            yield _not_stated(id, name, title, f"edges.{edge.id}.protection")
        return
    if edge.blade and edge.stays:
        return
    least = cell("general", "bare radius fall")
    verdict = Verdict.BORDERLINE if _hard(line, edge) else Verdict.ADEQUATE
    if edge.edge.radius.low < least.expected:
        verdict = Verdict.INADEQUATE
    yield rule(
        id,
        name,
        title,
        verdict,
        message(
            SHIFTED[verdict],
            protector=edge.protector_id,
            kind=_kind(edge.protector),
            line=line.id,
            edge=edge.id,
        ),
        ""
        if verdict is Verdict.ADEQUATE
        else message("A secured plate, tube, roller set or thick pad."),
        message(JUDGED),
    )


def _hard(line: RigLine, edge: RigEdge) -> bool:
    """Whether a person on one strand hangs there over an edge that is rough or not well rounded."""
    rounded = edge.edge.radius.low >= cell("general", "bare radius person").expected
    return line.person and line.line.strands == 1 and (edge.rough or not rounded)


BLADE = {
    Bare.ALL: mark(
        "A person hangs on line ‘{line}’ over edge ‘{edge}’ of radius {radius}, and nothing "
        "there replaces the edge: an edge under {least} cuts, whatever the strands."
    ),
    Bare.BESIDE: mark(
        "A person hangs on line ‘{line}’ over edge ‘{edge}’ of radius {radius}, and part of the "
        "sweep lies beside protector ‘{protector}’: an edge under {least} cuts, whatever the "
        "strands."
    ),
}
"""A person over a blade: with nothing that replaces it, and beside what does."""


def _blade(line: RigLine, edge: RigEdge, covered: Range | None) -> Iterator[Check]:
    """A person over a blade: only what replaces the edge keeps the rope from it."""
    least = cell("general", "bare radius blade")
    bare = bare_of(edge, covered, counts=edge.replaced)
    if not line.person or not edge.blade or bare is Bare.NONE:
        return
    if bare is Bare.UNKNOWN:
        yield _unknown(line, edge, "blade")
        return
    yield _rule(line, edge, "blade", Verdict.INADEQUATE, BLADE[bare], _remedy(edge), least)


def _kind(protector: Protector) -> Text:
    kind = message(protector.kind)
    return kind if protector.tied else message("{kind}, untied", kind=kind)


BARE = {
    ("rough", Bare.ALL): mark(
        "A person hangs on the single strand of line ‘{line}’ over edge ‘{edge}’, which is bare "
        "and rough."
    ),
    ("rough", Bare.BESIDE): mark(
        "A person hangs on the single strand of line ‘{line}’ over edge ‘{edge}’, which, beside "
        "protector ‘{protector}’, is bare and rough."
    ),
    ("sharp", Bare.ALL): mark(
        "A person hangs on the single strand of line ‘{line}’ over edge ‘{edge}’, which is bare "
        "and of radius under {least}."
    ),
    ("sharp", Bare.BESIDE): mark(
        "A person hangs on the single strand of line ‘{line}’ over edge ‘{edge}’, which, beside "
        "protector ‘{protector}’, is bare and of radius under {least}."
    ),
}
"""What a bare edge is: with nothing that stays, and beside a protector."""


def _bare(line: RigLine, edge: RigEdge, covered: Range | None) -> Iterator[Check]:
    """A person on one strand over a bare edge that is rough or not well rounded."""
    least = cell("general", "bare radius person")
    bare = bare_of(edge, covered, counts=edge.protected)
    if not _hard(line, edge) or bare is Bare.NONE:
        return
    if bare is Bare.UNKNOWN:
        yield _unknown(line, edge, "bare")
        return
    if edge.protector is None and edge.edge.why_not("protection") is None:
        name = f"line/{line.id}/edge/{edge.id}"
        yield _not_stated(
            f"{name}/rule/bare", name, message(TITLES["bare"]), f"edges.{edge.id}.protection"
        )
        return
    text = BARE["rough" if edge.rough else "sharp", bare]
    remedy = message(
        "A secured plate, tube, roller set or thick pad as wide as the sweep, or two strands "
        "that share the load."
    )
    yield _rule(line, edge, "bare", Verdict.BORDERLINE, text, remedy, least)
