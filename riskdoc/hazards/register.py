"""The register: which hazards a job has, how they rate before and after, and what was refused.

Ratings are proposals. Computed figures can only make the first proposal worse. What the job file
states replaces a proposal, unless it breaks a rule: then it is refused and said, never used.
Controls of the catalogue are proposals too: a rating after controls rests on those that this job
chose, or on what its plan contains and the checks found adequate, and on nothing else.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from riskdoc.conditions.plan import Asked, like
from riskdoc.hazards.catalogue import Entry, catalogue
from riskdoc.hazards.matrices import Matrix, NoSuchLevelError, matrix
from riskdoc.hazards.rated import Dropped, Listed, Rated, Register
from riskdoc.hazards.triggers import reasons, triggers
from riskdoc.i18n.say import inside, mark, say
from riskdoc.job.faults import nearest
from riskdoc.job.model import Hazard, Measures, Rating
from riskdoc.judgement.verdicts import Assessment, Check, Finding, Verdict
from riskdoc.mitigation.change import Level
from riskdoc.tables.loader import noted

OWN = mark("Of this job")
"""The group of hazards that only the job file knows."""
STRONG = {"eliminate", "substitute", "engineer"}
"""Levels of control that are proposed to take one level of likelihood (judgement); rules and
equipment of persons alone are proposed to take none."""
RIG = {"line", "anchor", "edge", "protection", "rope", "load"}
"""Checks of what is rigged; those of people and of the rescue plan are of organisation."""
NOTHING_CHOSEN = mark("no control counted")
LEAST = {"mil-std-882e": "D", "npsa-2008": "2"}
"""The least likelihood that is ever proposed; a lower one somebody must state, with a reason."""


def register(plan: Assessment) -> Register:
    """The hazards of a plan. Pure, as `assess` is."""
    with noted() as rows:
        return replace(_Register(plan).made(), rows=rows)


@dataclass(slots=True)
class _Register:
    """Puts a register together; `findings` grows with what is refused."""

    plan: Assessment
    findings: list[Finding] = field(default_factory=list)

    @property
    def own(self) -> Mapping[str, Hazard]:
        return self.plan.file.job.hazards

    @property
    def matrix(self) -> Matrix | None:
        name = self.plan.file.job.job.matrix
        return None if name == "none" else matrix(name)

    def made(self) -> Register:
        ask, hazards, dropped = Asked(self.plan), [], []
        for id, entry in catalogue().items():
            why = tuple(dict.fromkeys(reasons(ask, triggers()[id])))
            word = self.own.get(id)
            if word is not None and word.dropped and self._may_drop(id, word):
                place = str(self.plan.file.place("hazards", id))
                dropped.append(Dropped(id, say(entry.title), word.reason or "", why, place))
            elif why or word is not None:
                hazards.append(self._listed(entry, why or (say("named in the job file"),), word))
        known = catalogue()
        hazards += [self._new(id, word) for id, word in self.own.items() if id not in known]
        return Register(self.matrix, tuple(hazards), tuple(dropped), tuple(self.findings))

    def _say(self, id: str, what: str, text: str, *keys: str) -> None:
        place = str(self.plan.file.place("hazards", id, *keys))
        self.findings.append(Finding(f"hazard/{id}/{what}", f"hazard/{id}", text, place))

    def _may_drop(self, id: str, word: Hazard) -> bool:
        title = say(catalogue()[id].title)
        if triggers()[id].standing:
            self._say(
                id,
                "standing",
                say("{title}: stands on every job and is not dropped.", title=title),
                "dropped",
            )
            return False
        if not word.reason:
            self._say(
                id,
                "reason",
                say("{title}: not dropped, for no reason is given.", title=title),
                "dropped",
            )
            return False
        return True

    def _listed(self, entry: Entry, why: tuple[str, ...], word: Hazard | None) -> Listed:
        """A hazard of the catalogue, as the job changes it where it gives a reason."""
        checks = [c for c in self.plan.checks if like(c.id, triggers()[entry.id].checks)]
        title = say(entry.title)
        if word is not None and not word.reason and _changes(word):
            self._say(
                entry.id, "reason",
                say("{title}: what the job changes of it is not used, for no reason is "
                    "given.", title=title),
            )  # fmt: skip
            word = None
        used = word if word is not None else Hazard.model_construct(**_NOTHING)
        chosen = _by_level(used.controls)
        controls = chosen or _said(entry.controls)
        before, basis = self._before(entry, used, checks)
        stops = tuple(check.id for check in checks if not check.stands)
        basis_after = _basis_after(chosen, checks)
        after = self._after(entry.id, title, before, chosen, used, counts=bool(basis_after))
        return Listed(
            id=entry.id,
            group=say(entry.group),
            title=used.title or title,
            causes=tuple(map(say, entry.causes)),
            how=used.how or say(entry.how),
            who=(used.who,) if used.who else tuple(map(say, entry.who)),
            harmed=(used.who,) if used.who else entry.who,
            fatal=entry.fatal or bool(used.fatal),
            controls=controls,
            chosen=bool(chosen),
            before=before,
            after=after,
            because=why,
            proposed=True,
            changed=tuple(_changes(used)),
            reason=used.reason or "",
            owner=self._owner(used),
            due=used.due or "",
            basis=basis,
            basis_after=basis_after or say(NOTHING_CHOSEN),
            checks=tuple(check.id for check in checks),
            stops=stops,
            source=say(entry.source),
            provenance=entry.provenance,
            place=str(self.plan.file.place("hazards", entry.id)) if word is not None else "",
        )

    def _new(self, id: str, word: Hazard) -> Listed:
        """A hazard that only the job file knows."""
        title = word.title or id.replace("_", " ")
        if not word.title:
            near = nearest(id, list(catalogue()))
            text = say("The hazard {id} is not of the catalogue, and has no title.", id=id)
            if near:
                text = say(
                    "The hazard {id} is not of the catalogue, and has no title. Did you mean "
                    "{near}?",
                    id=id,
                    near=near,
                )
            self._say(id, "title", text)
        if word.dropped:
            self._say(
                id,
                "dropped",
                say("{title}: nothing proposes it, so it cannot be dropped.", title=title),
                "dropped",
            )
        controls = _by_level(word.controls)
        basis_after = _basis_after(controls, [])
        before = self._rated(id, title, "before", word.before)
        if before is None and self.matrix is not None:
            self._say(id, "unrated", say("{title}: not rated; state 'before' for it.", title=title))
        return Listed(
            id=id,
            group=say(OWN),
            title=title,
            causes=(),
            how=word.how or "",
            who=(word.who,) if word.who else (),
            harmed=(word.who,) if word.who else (),
            fatal=word.fatal is not False or not word.reason,
            controls=controls,
            chosen=bool(controls),
            before=before,
            after=self._after(id, title, before, controls, word, counts=bool(basis_after)),
            because=(word.reason or say("stated in the job file"),),
            proposed=False,
            changed=(),
            reason=word.reason or "",
            owner=self._owner(word),
            due=word.due or "",
            basis=say("job file"),
            basis_after=basis_after or say(NOTHING_CHOSEN),
            checks=(),
            stops=(),
            source=say("job file"),
            provenance="stated",
            place=str(self.plan.file.place("hazards", id)),
        )

    def _owner(self, word: Hazard) -> str:
        return self.plan.file.job.people[word.owner].name if word.owner else ""

    def _before(self, entry: Entry, word: Hazard, checks: list[Check]) -> tuple[Rated | None, str]:
        """The rating before: the job's, else the catalogue's, made worse where figures say so."""
        grid = self.matrix
        if grid is None:
            return None, ""
        stated = self._rated(entry.id, say(entry.title), "before", word.before)
        if stated is not None:
            return stated, say("job file")
        severity, likelihood = entry.severity[grid.id], entry.likelihood[grid.id]
        basis = say("catalogue (judgement)")
        worst = max(checks, key=lambda check: check.verdict.rank, default=None)
        if worst is not None and worst.verdict is not Verdict.ADEQUATE:
            # Second most likely where as expected it does not hold, the one below where it may not.
            steps = 1 if worst.verdict is Verdict.INADEQUATE else 2
            computed = grid.likelihoods[steps].key
            if grid.chance(computed) >= grid.chance(likelihood):
                likelihood = computed
                basis = say(
                    "computed: {title}, {subject}, {verdict}",
                    title=inside(worst.title),
                    subject=worst.subject,
                    verdict=say(worst.verdict.value),
                )
        return _rate(grid, severity, likelihood), basis

    def _rated(self, id: str, title: str, key: str, word: Rating | None) -> Rated | None:
        if word is None or self.matrix is None:
            return None
        try:
            return _rate(self.matrix, word.severity, word.likelihood)
        except NoSuchLevelError as error:
            parts = {"title": title, "error": str(error)}
            text = (
                say("{title}: the rating before is not used: {error}.", **parts)
                if key == "before"
                else say("{title}: the rating after is not used: {error}.", **parts)
            )
            self._say(id, key, text, key)
            return None

    def _after(
        self,
        id: str,
        title: str,
        before: Rated | None,
        controls: Mapping[str, tuple[str, ...]],
        word: Hazard,
        *,
        counts: bool,
    ) -> Rated | None:
        """The rating with the controls in place: the job's where no rule refuses it.

        `controls` are those the job chose; `counts` says whether they, or what the plan contains,
        take a step of likelihood.
        """
        grid = self.matrix
        if grid is None or before is None:
            return None
        stated = self._rated(id, title, "after", word.after)
        if stated is not None:
            against = next(_refusals(grid, before, stated, controls, word), None)
            if against is None:
                return stated
            self._say(
                id,
                "after",
                say("{title}: the rating after is not used: {error}.", title=title, error=against),
                "after",
            )
        return _proposed(grid, before, counts=counts)


_NOTHING = dict.fromkeys(Hazard.model_fields) | {"dropped": False}


def _changes(word: Hazard) -> list[str]:
    """What a job's entry changes of a hazard of the catalogue."""
    keys = ("title", "who", "how", "controls", "before", "after")
    return [key for key in keys if getattr(word, key) is not None]


def _by_level(measures: Measures | None) -> dict[str, tuple[str, ...]]:
    if measures is None:
        return {}
    found = {level.value: getattr(measures, level.value) for level in Level}
    return {level: said for level, said in found.items() if said}


def _said(controls: Mapping[str, tuple[str, ...]]) -> dict[str, tuple[str, ...]]:
    """Controls of the catalogue, said; the levels stay keys."""
    return {level: tuple(map(say, texts)) for level, texts in controls.items()}


def _rate(grid: Matrix, severity: str, likelihood: str) -> Rated:
    return Rated(
        severity,
        grid.severity(severity).name,
        likelihood,
        grid.likelihood(likelihood).name,
        grid.band(severity, likelihood),
        grid.score(severity, likelihood),
    )


def _refusals(
    grid: Matrix,
    before: Rated,
    after: Rated,
    controls: Mapping[str, tuple[str, ...]],
    word: Hazard,
) -> Iterator[str]:
    """Why a stated rating after controls may not be used."""
    strong = STRONG & set(controls)
    if not word.reason:
        yield say("no reason is given")
    if not _by_level(word.controls):
        yield say("the entry states no controls of its own")
    worse = (
        grid.harm(after.severity) > grid.harm(before.severity)
        or grid.chance(after.likelihood) > grid.chance(before.likelihood)
        or grid.rank(after.band) > grid.rank(before.band)
    )
    if worse:
        yield say("it is worse than before controls")
    if after.band == "Eliminated" and not strong:
        yield (
            say(
                "level F is for a hazard that is gone; organisation and equipment of persons never "
                "bring it there (MIL-STD-882E)"
            )
        )
    if grid.harm(after.severity) < grid.harm(before.severity) and not strong:
        yield say("severity falls only by a control that eliminates, substitutes or engineers")


def _basis_after(chosen: Mapping[str, tuple[str, ...]], checks: list[Check]) -> str:
    """What takes a step of likelihood after controls; empty where nothing does.

    A strong control that the job chose, or what the rig of the plan contains where every check of
    it is adequate. Nothing while a check that belongs to the hazard is not met.
    """
    if not all(check.stands for check in checks):
        return ""
    if STRONG & set(chosen):
        return say("controls chosen by this job")
    rig = [check for check in checks if check.id.partition("/")[0] in RIG]
    if rig and all(check.verdict is Verdict.ADEQUATE for check in rig):
        return say("adequate checks of what this plan contains")
    return ""


def _proposed(grid: Matrix, before: Rated, *, counts: bool) -> Rated:
    """One level less likely where a control counts. Never under `LEAST`, nor above what it was."""
    keys = [level.key for level in grid.likelihoods]
    now, least = keys.index(before.likelihood), keys.index(LEAST[grid.id])
    step = 1 if counts else 0
    return _rate(grid, before.severity, keys[max(now, min(now + step, least))])
