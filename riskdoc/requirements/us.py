"""Items of the set `us-rope-descent` that are decided in code.

Numbers are those of the clauses, in the unit the clause gives first; the metric figure it prints
beside counts for what a job states in metric.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from riskdoc.analysis.resolve import RigEdge, RigLine
from riskdoc.hazards.look import users
from riskdoc.i18n.say import mark, say
from riskdoc.job.model import Owner
from riskdoc.job.words import denies
from riskdoc.judgement.verdicts import Check, Verdict
from riskdoc.quantities.printing import amount, exact
from riskdoc.quantities.quantity import Quantity
from riskdoc.quantities.ranges import Range
from riskdoc.quantities.units import to_si
from riskdoc.requirements.ask import (
    Ask,
    Judge,
    attached,
    imperial,
    in_time,
    legs_hold,
    strong,
    together,
    within,
)
from riskdoc.requirements.items import Answer, Found
from riskdoc.requirements.shared_items import rescue_planned, rescuers_left
from riskdoc.tables.loader import cell

POUNDS = 5000.0  # 29 CFR 1910.27(b)(1)(i), 1910.140(c)(4), (c)(13): for each employee attached
PRINTED = 22_200.0  # N; 22.2 kN beside it
SINCE = date(2017, 11, 20)  # 29 CFR 1910.27(b)(1)(iii)


def descents(ask: Ask) -> list[RigLine]:
    """Lines of the descent: those people go down on, and every other line of the same load.

    Where the job says it is a descent and no line says who goes down, everybody may: a case that
    was left out takes nobody out of the rule.
    """
    loads = {line.line.load for line in ask.manned if "descend" in line.line.cases}
    loads = loads or set(ask.loads)
    return [line for line in ask.manned if line.line.load in loads]


def safety(ask: Ask) -> list[RigLine]:
    """Safety lines of the descent."""
    return [line for line in descents(ask) if line.line.role == "safety"]


def _anchors(ask: Ask) -> list[str]:
    lines = descents(ask)
    ends = [line.line.anchor for line in lines]
    ends += [each.anchor for line in lines for each in line.line.redirects]
    return list(dict.fromkeys(ends))


def _owner(ask: Ask, name: str) -> Owner:
    return ask.job.anchors[name].owner or Owner.model_construct(
        statement=None, strength=None, inspected=None, certified=None
    )


def _before_it(ask: Ask) -> Found | None:
    """(b)(1)(iii): the duties on anchorages reach no job before their day."""
    there = in_force(ask)
    return there if there.answer is Answer.NOT_APPLICABLE else None


def anchorage_strength(ask: Ask) -> Found:
    """(b)(1)(i): 5,000 lb in any direction for each employee attached, as the owner states."""
    if (before := _before_it(ask)) is not None:
        return before
    found = []
    for name in _anchors(ask):
        people = attached(ask, name, ask.manned)
        key = f"anchors.{name}.owner.strength"
        stated = _owner(ask, name).strength
        if stated is None:
            said = say("{name}: the owner's strength is not stated", name=name)
            found.append(Found(Answer.NOT_DEMONSTRATED, said, (), (key,)))
            continue
        holds = strong(
            stated, POUNDS * people, "lbf", PRINTED * people, say("{name} by its owner", name=name)
        )
        legs = legs_hold(ask, name, to_si(POUNDS, "lbf") * people)
        if holds.answer is Answer.MET:
            holds = Found(Answer.AS_STATED, _attached(name, stated, people))
        if legs is Verdict.INADEQUATE:
            holds = Found(
                Answer.NOT_MET, say("the legs of {name} as stated do not hold it", name=name)
            )
        elif legs is Verdict.BORDERLINE and holds.answer is Answer.AS_STATED:
            holds = Found(
                Answer.NOT_DEMONSTRATED,
                say("the legs of {name} hold it only as expected", name=name),
            )
        elif (
            legs is Verdict.NOT_DEMONSTRATED
            and holds.answer is Answer.AS_STATED
            and _known(ask, name)
        ):
            # Some strength of a leg is stated and it bears out nothing: the two may not agree.
            holds = Found(
                Answer.NOT_DEMONSTRATED,
                say("the legs of {name} are not demonstrated to hold it", name=name),
            )
        found.append(holds)
    return together(found)


def _attached(name: str, stated: Quantity, people: int) -> str:
    return say(
        "{name} by its owner holds {value}, {least:g} lbf are asked for {people} attached",
        name=name,
        value=stated.written,
        least=POUNDS * people,
        people=people,
    )


def _known(ask: Ask, anchor: str) -> bool:
    return any(leg.strength is not None for leg in ask.job.anchors[anchor].legs)


def statement_written(ask: Ask) -> Found:
    """(b)(1)(i): in writing, before use."""
    if (before := _before_it(ask)) is not None:
        return before
    found = []
    for name in _anchors(ask):
        day, key = _owner(ask, name).statement, f"anchors.{name}.owner.statement"
        if day is None:
            found.append(
                Found(
                    Answer.NOT_DEMONSTRATED,
                    say("{name}: no written statement", name=name),
                    (),
                    (key,),
                )
            )
        else:
            good = day <= ask.job.job.valid.start
            said = say("{name}: statement of {day}", name=name, day=day)
            found.append(Found(Answer.MET if good else Answer.NOT_MET, said))
    return together(found)


def inspected_each_year(ask: Ask) -> Found:
    """(b)(1)(i): annual inspection, read as 12 calendar months."""
    return _before_it(ask) or together([
        in_time(ask.job, _owner(ask, name).inspected, 12,
                f"anchors.{name}.owner.inspected", say("yearly inspection of {name}", name=name))
        for name in _anchors(ask)
    ])  # fmt: skip


def certified_ten_years(ask: Ask) -> Found:
    """(b)(1)(i): certified at least every 10 years."""
    return _before_it(ask) or together([
        in_time(ask.job, _owner(ask, name).certified, 120,
                f"anchors.{name}.owner.certified", say("certification of {name}", name=name))
        for name in _anchors(ask)
    ])  # fmt: skip


def in_force(ask: Ask) -> Found:
    """(b)(1)(iii)."""
    start = ask.job.job.valid.start
    if start >= SINCE:
        return Found(Answer.MET, say("the job starts {start}", start=start))
    return Found(
        Answer.NOT_APPLICABLE,
        say("the job starts {start}, before {SINCE}", start=start, SINCE=SINCE),
    )


def _sites(ask: Ask) -> list[str]:
    return list(dict.fromkeys(line.site_id for line in descents(ask)))


def _between(value: Quantity, printed: float, exactly: float) -> bool:
    """Whether the two figures of a clause disagree about a value that was written in metric."""
    return not imperial(value) and printed < value.high <= exactly * (1 + 1e-9)


HIGH = {
    (False, False): mark("{name}: {drop} is more than 300 ft (91 m)"),
    (False, True): mark(
        "{name}: {drop} is more than 300 ft (91 m); the two figures of the clause disagree here "
        "and the lower one was taken"
    ),
    (True, False): mark("{name}: {drop} is more than 300 ft (91 m); why on ropes: {why}"),
    (True, True): mark(
        "{name}: {drop} is more than 300 ft (91 m); the two figures of the clause disagree here "
        "and the lower one was taken; why on ropes: {why}"
    ),
}
"""Said of a drop, by whether it is said why on ropes, and whether the clause's figures disagree."""


def height(ask: Ask) -> Found:
    """(b)(2)(i): 300 ft (91 m) above grade, unless no other way is feasible or less hazardous."""
    found = []
    for name in _sites(ask):
        drop = ask.job.sites[name].drop
        if within(drop, 300, "ft", 91.0):
            found.append(Found(Answer.MET, f"{name}: {drop.written}"))
            continue
        why = ask.job.work.why_rope if ask.job.work else None
        between = _between(drop, 91.0, to_si(300, "ft"))
        said = say(HIGH[bool(why), between], name=name, drop=drop.written, why=why)
        if why and not denies(why):
            found.append(Found(Answer.TO_BE_ANSWERED, said))
        else:
            found.append(Found(Answer.NOT_MET, said, (), ("work.why_rope",)))
    return together(found)


def stabilised(ask: Ask) -> Found:
    """(b)(2)(x): held steady on descents of more than 130 ft (39.6 m)."""
    found = []
    for line in descents(ask):
        drop = line.site.drop
        if line.line.role != "working" or within(drop, 130, "ft", 39.6):
            continue
        if line.line.stabilised and not denies(line.line.stabilised):
            found.append(Found(Answer.AS_STATED, f"{line.id}: {line.line.stabilised}"))
        else:
            parts = {"line": line.id, "drop": drop.written}
            said = (
                say(
                    "{line}: {drop}, and not stated how the person is held steady; the two figures "
                    "of the clause disagree here and the lower one was taken",
                    **parts,
                )
                if _between(drop, 39.6, to_si(130, "ft"))
                else say("{line}: {drop}, and not stated how the person is held steady", **parts)
            )
            key = f"lines.{line.id}.stabilised"
            found.append(Found(Answer.NOT_DEMONSTRATED, said, (), (key,)))
    return together(
        found, Found(Answer.NOT_APPLICABLE, say("no descent of more than 130 ft (39.6 m)"))
    )


def separate_arrest(ask: Ask) -> Found:
    """(b)(2)(vi): a separate, independent fall arrest system for each employee."""
    found = []
    for load in dict.fromkeys(line.line.load for line in descents(ask)):
        lines = [line for line in descents(ask) if line.line.load == load]
        guard = [line for line in lines if line.line.role == "safety"]
        working = [line for line in lines if line.line.role == "working"]
        if ask.job.loads[load].people > 1:
            found.append(
                Found(Answer.NOT_MET, say("{load}: one system for several people", load=load))
            )
        elif not guard:
            found.append(Found(Answer.NOT_MET, say("{load}: no safety line", load=load)))
        elif {g.line.anchor for g in guard} & {w.line.anchor for w in working}:
            found.append(
                Found(
                    Answer.NOT_MET, say("{load}: working and safety line on one anchor", load=load)
                )
            )
        else:
            found.append(_independent(ask, load, lines))
    return together([*found, *(judge(ask) for judge in _ARREST)])


def _independent(ask: Ask, load: str, lines: list[RigLine]) -> Found:
    names = {line.line.rope for line in lines}
    own = {line.id for line in lines}
    shared = [c for c in ask.matching("*/common") if own & {each.id for each in _users(ask, c)}]
    if shared or len(names) < len(lines):
        said = ", ".join(check.subject for check in shared) or say("one rope")
        return Found(
            Answer.NOT_DEMONSTRATED, say("{load}: both lines share {said}", load=load, said=said)
        )
    return ask.worst(ask.matching(f"load/{load}/lines"))


def _users(ask: Ask, common: Check) -> tuple[RigLine, ...]:
    """The lines that share what a check `edge/…/common` and the like is about."""
    what, id, _ = common.id.split("/")
    return users(ask.lines, what, id)


def one_per_lifeline(ask: Ask) -> Found:
    """1910.140(c)(3)."""
    found = []
    for line in safety(ask):
        others = {each.line.load for each in ask.manned if each.line.rope == line.line.rope}
        good = line.load.people == 1 and len(others) == 1
        said = say("{line}: {people} on it", line=line.id, people=line.load.people)
        found.append(Found(Answer.MET if good else Answer.NOT_MET, said))
    return together(found, _no_safety_line(ask))


def _no_safety_line(ask: Ask) -> Found:
    if not descents(ask):
        return Found(Answer.NOT_APPLICABLE, say("nobody hangs on a rope"))
    return Found(Answer.NOT_MET, say("no line of the descent is a safety line"))


def lifeline_strength(ask: Ask) -> Found:
    """1910.140(c)(4): 5,000 lb; what a knot leaves is not judged here."""
    found = [
        strong(line.rope.strength, POUNDS, "lbf", PRINTED, line.line.rope) for line in safety(ask)
    ]
    return together(found, _no_safety_line(ask))


def arrest_anchor_independent(ask: Ask) -> Found:
    """1910.140(c)(12)."""
    carrying = {line.line.anchor for line in descents(ask) if line.line.role == "working"}
    found = [
        Found(
            Answer.NOT_MET if line.line.anchor in carrying else Answer.MET,
            say("{line} ends at {anchor}", line=line.id, anchor=line.line.anchor),
        )
        for line in safety(ask)
    ]
    return together(found, _no_safety_line(ask))


def arrest_anchor_strength(ask: Ask) -> Found:
    """1910.140(c)(13): 5,000 lb each, or twice the force under a qualified person."""
    found = []
    for name in dict.fromkeys(line.line.anchor for line in safety(ask)):
        people = attached(ask, name, ask.manned)
        if legs_hold(ask, name, to_si(POUNDS, "lbf") * people) is Verdict.ADEQUATE:
            found.append(
                Found(
                    Answer.MET,
                    say("{name} holds 5,000 lbf for each of {people}", name=name, people=people),
                )
            )
            continue
        legs = ask.worst(ask.matching(f"anchor/{name}/leg/*"))
        if legs.answer is Answer.MET:
            said = say("{name} holds twice the force; who is the qualified person?", name=name)
            found.append(Found(Answer.TO_BE_ANSWERED, said, legs.checks))
        elif legs_hold(ask, name, to_si(POUNDS, "lbf") * people) is Verdict.NOT_DEMONSTRATED:
            found.append(
                Found(
                    Answer.NOT_DEMONSTRATED,
                    say("the strength of {name} is not demonstrated", name=name),
                )
            )
        else:
            found.append(
                Found(Answer.NOT_MET, say("{name} does not hold 5,000 lbf for each", name=name))
            )
    return together(found, _no_safety_line(ask))


def _at_most(demand: Range, limit: float, said: str) -> Found:
    """A computed range against a limit: met at its high end, not met at its expected value."""
    if demand.high <= limit:
        return Found(Answer.MET, said)
    return Found(Answer.NOT_DEMONSTRATED if demand.expected <= limit else Answer.NOT_MET, said)


def arrest_force(ask: Ask) -> Found:
    """1910.140(d)(1)(i): 1,800 lb (8 kN); the stricter of the two is 8 kN."""
    found = []
    for line in safety(ask):
        check = ask.plan.check(f"line/{line.id}/fall/peak")
        demand = check.demand if check else None
        if demand is None:
            found.append(Found(Answer.NOT_DEMONSTRATED, say("{line}: not computed", line=line.id)))
            continue
        most = amount(demand.high, "N", "up")
        said = say("{line}: {most} at most", line=line.id, most=most)
        found.append(_at_most(demand, 8000.0, said))
    return together(found, _no_safety_line(ask))


def free_fall(ask: Ask) -> Found:
    """1910.140(d)(2)(ii): 6 ft (1.8 m), or what the maker tested."""
    found = []
    for line in safety(ask):
        fall = line.line.fall
        if fall is None:
            key = f"lines.{line.id}.fall"
            found.append(
                Found(
                    Answer.NOT_DEMONSTRATED,
                    say("{line}: no fall is stated", line=line.id),
                    (),
                    (key,),
                )
            )
        elif within(fall.free, 6, "ft", 1.8):
            found.append(Found(Answer.MET, f"{line.id}: {fall.free.written}"))
        else:
            force = arrest_force(ask).answer
            answer = Answer.NOT_MET if force is Answer.NOT_MET else Answer.NOT_DEMONSTRATED
            said = say(
                "{line}: {free}; was the system made and tested for it?",
                line=line.id,
                free=fall.free.written,
            )
            found.append(Found(answer, said))
    return together(found, _no_safety_line(ask))


def no_lower_level(ask: Ask) -> Found:
    """1910.140(d)(2)(ii): no contact with a lower level; the clause asks for no spare metre."""
    spare, found = cell("work", "spare clearance").expected, []
    for line in safety(ask):
        needed = ask.plan.figure(f"line/{line.id}/clearance/needed")
        fall = line.line.fall
        if needed is None or fall is None or fall.clear is None:
            found.append(
                Found(
                    Answer.NOT_DEMONSTRATED,
                    say("{line}: clearance is not demonstrated", line=line.id),
                )
            )
            continue
        least = min([fall.clear.low, *(ledge.below.low for ledge in fall.ledges)])
        reach = Range(*(each - spare for each in (
            needed.range.low, needed.range.expected, needed.range.high)))  # fmt: skip
        said = say(
            "{line}: {reach} needed, {least} there",
            line=line.id,
            reach=amount(reach.high, "m", "up"),
            least=exact(least, "m", "down"),
        )
        found.append(_at_most(reach, least, said))
    return together(found, _no_safety_line(ask))


def deceleration(ask: Ask) -> Found:
    """1910.140(d)(1): 3.5 ft; the printed 1.1 m is the looser figure, so feet decide."""
    found = []
    for line in safety(ask):
        slip = ask.plan.figure(f"line/{line.id}/fall/slip")
        if slip is None:
            found.append(
                Found(
                    Answer.NOT_DEMONSTRATED,
                    say("{line}: no slip of a device is computed", line=line.id),
                )
            )
        else:
            good = slip.range.high <= to_si(3.5, "ft")
            most = amount(slip.range.high, "m", "up")
            said = say("{line}: {most} at most", line=line.id, most=most)
            found.append(Found(Answer.MET if good else Answer.NOT_MET, said))
    return together(found, _no_safety_line(ask))


def heavy_users(ask: Ask) -> Found:
    """1910.140(d)(1): tests are made for less than 310 lb (140 kg) in all."""
    found = []
    for line in safety(ask):
        load, most = line.load, line.load.mass.high + line.load.kit.high
        pounds = imperial(load.mass) and imperial(load.kit)
        limit = to_si(310, "lb") if pounds else min(140.0, to_si(310, "lb"))
        parts = {"load": line.line.load, "most": exact(most, "kg", "up", 6)}
        if most < limit:
            found.append(Found(Answer.MET, say("{load}: {most} with kit", **parts)))
        else:
            said = say("{load}: {most} with kit; how was the system tested for it?", **parts)
            found.append(Found(Answer.NOT_DEMONSTRATED, said))
    return together(found, _no_safety_line(ask))


def components(ask: Ask) -> Found:
    """(b)(2)(vii): 5,000 lb for all components but seat boards."""
    found = []
    for line in (each for each in descents(ask) if each.line.role == "working"):
        found.append(strong(line.rope.strength, POUNDS, "lbf", PRINTED, line.line.rope))
        if not line.line.devices:
            found.append(
                Found(Answer.NOT_DEMONSTRATED, say("{line}: no device is stated", line=line.id))
            )
        for name in line.line.devices:
            part = ask.job.devices[name]
            found.append(strong(part.strength, POUNDS, "lbf", PRINTED, name))
        found.append(ask.worst(ask.matching(f"rope/{line.line.rope}/condition")))
    return together(found)


def rescue_prompt(ask: Ask) -> Found:
    """(b)(2)(viii): prompt rescue; the clause gives no minutes."""
    if not descents(ask):
        return Found(Answer.NOT_APPLICABLE, say("nobody hangs on a rope"))
    return together([rescue_planned(ask), rescuers_left(ask)])


def ropes_protected_at_edges(ask: Ask) -> Found:
    """(b)(2)(ix): ropes padded or otherwise protected where they touch edges."""
    found = [
        _protected(ask, line, edge)
        for line in descents(ask)
        for edge in line.edges
        if edge.edge.turn.high > 0
    ]
    return together(
        found, Found(Answer.NOT_APPLICABLE, say("no line of the descent turns at an edge"))
    )


def _protected(ask: Ask, line: RigLine, edge: RigEdge) -> Found:
    what = say("{line} at {edge}", line=line.id, edge=edge.id)
    name = f"line/{line.id}/edge/{edge.id}"
    if not edge.protected:
        return Found(
            Answer.NOT_MET,
            say("{what}: nothing that stays and counts there protects it", what=what),
        )
    if any(check.verdict is Verdict.INADEQUATE for check in ask.matching(f"{name}/*")):
        return Found(Answer.NOT_MET, say("{what}: the protection is not enough", what=what))
    covered = ask.plan.figure(f"{name}/covered")
    wide = covered is not None and covered.range.low >= 1
    if not wide or any(not check.stands for check in ask.matching(f"{name}/*")):
        return Found(
            Answer.NOT_DEMONSTRATED,
            say("{what}: the protection may be too narrow or too little", what=what),
        )
    return Found(Answer.MET, f"{what}: {edge.protector_id}")


_ARREST: tuple[Judge, ...] = (
    one_per_lifeline,
    lifeline_strength,
    arrest_anchor_independent,
    arrest_anchor_strength,
    arrest_force,
    free_fall,
    no_lower_level,
    deceleration,
    heavy_users,
)
JUDGES: Mapping[str, Judge] = {
    each.__name__: each
    for each in (
        anchorage_strength, statement_written, inspected_each_year, certified_ten_years, in_force,
        height, stabilised, separate_arrest, *_ARREST, components, rescue_prompt,
        ropes_protected_at_edges,
    )
}  # fmt: skip
