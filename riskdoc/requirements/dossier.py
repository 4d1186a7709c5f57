"""Everything a document holds: the plan studied, its hazards, and the requirement set it meets."""

from __future__ import annotations

from dataclasses import dataclass, replace

from riskdoc.hazards.rated import Register
from riskdoc.hazards.register import register
from riskdoc.i18n.say import speaking
from riskdoc.job.reading import JobFile
from riskdoc.judgement.assess import assess
from riskdoc.judgement.verdicts import Assessment
from riskdoc.mitigation.study import Study, study
from riskdoc.requirements.items import Judged
from riskdoc.requirements.judging import judged
from riskdoc.requirements.outcome import Outcome, outcome_of


@dataclass(frozen=True, slots=True)
class Brief:
    """A plan with its hazards and its requirement set: all that its verdict rests on.

    What is signed is made of this alone, so that a digest takes no search for changes.
    """

    plan: Assessment
    register: Register
    judged: Judged

    @property
    def outcome(self) -> Outcome:
        """How the plan comes out, by its checks and its set."""
        return outcome_of(self.plan, self.judged)


@dataclass(frozen=True, slots=True)
class Dossier:
    """A plan with what could be done about it, its hazards and its requirement set.

    `mended` is the plan with its package of changes carried out, assessed anew and whole; None
    where there is no package.
    """

    study: Study
    register: Register
    judged: Judged
    mended: Brief | None = None

    @property
    def plan(self) -> Assessment:
        """The plan as written."""
        return self.study.plan

    @property
    def outcome(self) -> Outcome:
        """How the plan comes out, by its checks and its set."""
        return outcome_of(self.plan, self.judged)


def brief_dossier(file: JobFile) -> Brief:
    """The plan, its hazards and its set, without what could be done about them: what is quick.

    Raises what an assessment and a requirement set raise.
    """
    plan = assess(file)
    with speaking(file.voice):  # hazards and items are put into words at once
        listed = register(plan)
        return Brief(plan, listed, judged(plan, listed.hazards, file.beside))


def dossier(file: JobFile) -> Dossier:
    """The dossier of a job file. Raises what an assessment and a requirement set raise."""
    found = brief_dossier(file)
    known = study(found.plan)
    return Dossier(known, found.register, found.judged, _mended(known))


def _mended(known: Study) -> Brief | None:
    if known.package.result is None:
        return None
    return brief_dossier(replace(known.plan.file, job=known.package.job))
