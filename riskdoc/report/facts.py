"""What sections and drawings ask about an assessment, answered as printable text."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from riskdoc.analysis.anchor_load_cases import turned
from riskdoc.analysis.inputs import Missing
from riskdoc.analysis.resolve import rig_of
from riskdoc.i18n.say import mark, say
from riskdoc.quantities.printing import amount
from riskdoc.report.number_format import NOT_DEMONSTRATED, side_of
from riskdoc.signing.sign_off_state import stand

if TYPE_CHECKING:
    from riskdoc.analysis.figure import Figure
    from riskdoc.analysis.resolve import RigLine
    from riskdoc.job.model import Job
    from riskdoc.judgement.verdicts import Assessment, Check
    from riskdoc.mitigation.study import Study
    from riskdoc.quantities.ranges import Range
    from riskdoc.requirements.dossier import Dossier
    from riskdoc.signing.sign_off_state import SignOffState

CASES = ("hold", "descend", "ascend", "lower", "raise", "rescue", "fall", "swing", "jam")
MOVEMENTS = (mark("sideways"), mark("sawing"), mark("running"))


STRANDS = {
    2: mark("{line}, two strands"),
    3: mark("{line}, three strands"),
    4: mark("{line}, four strands"),
}


def line_name(job: Job, line: str) -> str:
    """The name of a line as a crew must see it: with its strands, where it has more than one."""
    count = job.lines[line].strands
    return say(STRANDS[count], line=line) if count > 1 else line


def movement_words(tail: str) -> str:
    """The end of an exposure's id in words: what moves where, and in which case.

    >>> movement_words("sawing_beyond/ascend"), movement_words("sideways/hold")
    ('sawing, beside the protector (ascend)', 'sideways (hold)')
    """
    kind, _, case = tail.partition("/")
    movement = say(kind.removesuffix("beyond").removesuffix("_") or "sideways")
    if kind.endswith("beyond"):
        movement = say("{movement}, beside the protector", movement=movement)
    return f"{movement} ({say(case)})" if case else movement


@dataclass(frozen=True, slots=True)
class Facts:
    """An assessment, and short answers about it; what is not there is not demonstrated."""

    dossier: Dossier
    figures: dict[str, Figure]
    checks: dict[str, Check]
    standing: SignOffState
    references: dict[str, str]
    """The short name of each input, by its id: S1 and so on for stated, D1 for defaults."""

    @property
    def study(self) -> Study:
        """The plan and what could be done about it."""
        return self.dossier.study

    @property
    def assessment(self) -> Assessment:
        """The assessment of the plan as written."""
        return self.study.plan

    @property
    def job(self) -> Job:
        """The job that was assessed."""
        return self.assessment.file.job

    @property
    def short_digest(self) -> str:
        """The first digits of the digest, enough to tell two contents apart at a glance."""
        return self.standing.content.digest[:12]

    def judged(self, check: str) -> Figure | None:
        """The figure that a check looked at: that of the worse scenario, where there are two."""
        found = self.checks.get(check)
        id = found.figures[0] if found is not None and found.figures else check
        return self.figures.get(id)

    def arrests(self, line: str) -> bool:
        """Whether a line can have to arrest a fall."""
        return self.no_fall(line) is None

    def no_fall(self, line: str) -> str | None:
        """Why a line never has to arrest a fall, as the job says; None where it does not."""
        it = self.job.lines[line]
        return None if it.role == "safety" else it.why_not("fall")

    def clear_height(self, line: str) -> float | None:
        """The least clear height at the place of work [m]; None where none is stated."""
        figure = self.figures.get(f"line/{line}/clearance/available")
        fall = self.job.lines[line].fall
        if figure is not None:
            return figure.range.low
        return fall.clear.low if fall and fall.clear else None

    def site_of(self, line: str) -> str:
        """The site of a line: its own, else that of its last edge."""
        it = self.job.lines[line]
        return it.site or self.job.edges[it.over[-1].edge].site

    def default(self, id: str) -> Range | None:
        """A default that some figure rests on, None where none does."""
        found = (each.range for each in self.assessment.defaults if each.id == id)
        return next(found, None)

    def at_most(self, id: str) -> str:
        """The greatest value of a figure, with its unit."""
        figure = self.figures.get(id)
        if figure is None:
            return say(NOT_DEMONSTRATED)
        return say("at most {amount}", amount=amount(figure.range.high, figure.unit, side_of(id)))

    def greatest(self, start: str) -> Figure | None:
        """The figure with the greatest high value of those whose id starts so."""
        found = [each for id, each in self.figures.items() if id.startswith(start)]
        return max(found, key=lambda each: each.range.high, default=None)

    def tensions(self, line: str, station: str) -> str:
        """The greatest tension at a station, case by case."""
        start = f"line/{line}/tension/{station}/"
        said = [
            f"{say(case)} {self.at_most(start + case)}"
            for case in CASES
            if start + case in self.figures
        ]
        return say("Tension: {said}", said=", ".join(said) or say(NOT_DEMONSTRATED))

    def leg(self, anchor: str, line: str, number: int) -> str:
        """A leg of an anchor: angle, strength, evidence and the greatest force of this line."""
        leg = self.job.anchors[anchor].legs[number - 1]
        name = say("leg {number}", number=number)
        if leg.angle:
            name = say("leg {number} at {angle}", number=number, angle=leg.angle.written)
        if leg.direction:
            towards = ", ".join(f"{each:g}" for each in leg.direction)
            name = say("leg {number} towards {direction}", number=number, direction=towards)
        stated = leg.strength.written if leg.strength else say("strength not demonstrated,")
        strength = f"{stated} {say(leg.evidence)}"
        start = f"anchor/{anchor}/leg/{number}/{line}/"
        most = self.greatest(start)
        force = amount(most.range.high, most.unit, "up") if most else say(NOT_DEMONSTRATED)
        if most is None:
            return say("{leg}: {strength}, force {force}", leg=name, strength=strength, force=force)
        case = say(most.id.removeprefix(start))
        return say(
            "{leg}: {strength}, force at most {force} ({governs})",
            leg=name,
            strength=strength,
            force=force,
            governs=", ".join(filter(None, (case, self.turned(anchor, line, number)))),
        )

    def turned(self, anchor: str, line: str, number: int) -> str:
        """The turn of a line's pull that loads a leg most, in words; nothing for a single leg."""
        try:
            return str(turned(self.assessment.file, anchor, number - 1, self._rigged(line)))
        except Missing:
            return ""

    def _rigged(self, line: str) -> RigLine:
        return next(each for each in rig_of(self.assessment.file).lines if each.id == line)

    def protector(self, edge: str) -> str:
        """The protector at an edge in words."""
        name = self.job.edges[edge].protection
        if name is None:
            return say("bare edge, no protector")
        kit = self.job.protection[name]
        tied = say("tied") if kit.tied else say("not tied")
        if kit.width is None:
            return say("protector {name}: {kind}, {tied}", name=name, kind=say(kit.kind), tied=tied)
        return say(
            "protector {name}: {kind}, {width} wide, {tied}",
            name=name,
            kind=say(kit.kind),
            width=kit.width.written,
            tied=tied,
        )


def facts_of(dossier: Dossier, standing: SignOffState | None = None) -> Facts:
    """The facts of a plan; without a standing, of one that nobody has signed."""
    assessment = dossier.study.plan
    return Facts(
        dossier,
        {each.id: each for each in assessment.figures},
        {each.id: each for each in assessment.checks},
        standing or stand(dossier),
        {
            each.id: f"{letter}{n}"
            for letter, group in (("S", assessment.inputs), ("D", assessment.defaults))
            for n, each in enumerate(group, start=1)
        },
    )
