"""Everything a document holds: the plan studied, its hazards, and the requirement set it meets."""

from __future__ import annotations

from dataclasses import dataclass

from riskdoc.assess.assess import assess
from riskdoc.assess.records import Assessment
from riskdoc.controls.study import Study, studied
from riskdoc.hazards.records import Register
from riskdoc.hazards.register import register
from riskdoc.job.reading import JobFile
from riskdoc.language.say import speaking
from riskdoc.requirements.judging import judged
from riskdoc.requirements.records import Judged


@dataclass(frozen=True, slots=True)
class Dossier:
    """A plan with what could be done about it, its hazards and its requirement set."""

    study: Study
    register: Register
    judged: Judged

    @property
    def may_start(self) -> bool:
        """Whether no check stands against the plan and no item of its set stops it."""
        return not self.study.plan.stops and not self.judged.stops


def brief_dossier(file: JobFile) -> tuple[Assessment, Judged, Register]:
    """The plan, its set and its hazards, without what could be done about them: what is quick."""
    with speaking(file.voice):
        plan = assess(file)
        listed = register(plan)
        return plan, judged(plan, listed.hazards, file.beside), listed


def dossier(file: JobFile) -> Dossier:
    """The dossier of a job file. Raises what an assessment and a requirement set raise."""
    with speaking(file.voice):
        study = studied(file)
        listed = register(study.plan)
        return Dossier(study, listed, judged(study.plan, listed.hazards, file.beside))
