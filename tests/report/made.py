"""Jobs of different sizes, and what the report makes of them."""

from __future__ import annotations

import copy
import io
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import cache, cached_property
from typing import Any

import pypdf
import yaml
from support.demos import DAYS, JOBS, PRINTED
from support.shared import printed, studied_once

from riskdoc.job.fields import LONGEST_MARK
from riskdoc.job.reading import JobFile, read_text
from riskdoc.mitigation.combinations import Package
from riskdoc.mitigation.study import Effort, Study
from riskdoc.report.attachments import Attachment, report_attachments
from riskdoc.report.blocks import Block, Table, View
from riskdoc.report.html import html_file
from riskdoc.report.view import build
from riskdoc.requirements.dossier import Dossier, brief_dossier
from riskdoc.signing.sign_off_state import SignOffState, stand

NAMES = (*PRINTED, "extreme", "bare")

LONG = "Unbrokenlongnameofapartthatnobodywouldeverwritebutthatmustnotbecut" * 2
WORDS = "a rather long description of a place that somebody wrote on a cold evening in a hut " * 2


def long_id(stem: str) -> str:
    return (stem + "_" + "very_long_name_of_a_part_of_the_job_that_fills_the_room")[:40]


def raw(name: str) -> dict[str, Any]:
    loaded: dict[str, Any] = yaml.load((JOBS / f"{name}.yaml").read_text(), yaml.BaseLoader)
    return copy.deepcopy(loaded)


def texts(job: Any, change: Callable[[str], str]) -> None:
    """Changes the free texts of a job in place, the way the tests need it."""
    info = job["job"]
    for key in ("number", "revision", "title", "client", "owner"):
        info[key] = change(key)
    for key in ("number", "revision"):
        info[key] = info[key][:LONGEST_MARK].strip()
    info["location"] = {key: change(key) for key in ("place", "grid", "access")}
    info["permits"] = [change("permit"), change("permit")]
    for id, person in job["people"].items():
        person.update({key: change(key) for key in ("name", "role", "competence", "phone")})
        person["name"] += f" {id}"  # two people of one name are a fault
    for site in job["sites"].values():
        site["wind"] = {"stop_at": "9 m/s", "measured_as": "mean", "height": "30 m"}
        site["wind"]["source"] = change("source")
        site["zone"] = {"size": "8 m", "kept_by": change("kept_by"), "reason": change("reason")}
    for picture in job["pictures"].values():
        picture |= {"caption": change("caption"), "shows": change("shows")}
    for kind in ("anchors", "edges", "protection"):
        for each in job[kind].values():
            each["description"] = change("description")
    _records(job, change)
    _hazards_and_work(job, change)
    someone = next(iter(job["people"]))
    plan = job["rescue"]
    own = {key: change(key) for key in ("method", "kit", "why_longer")}
    own["steps"] = [change("step"), change("step")]
    plan |= own | {key: change(key) for key in ("first_aid", "hospital", "rendezvous", "call")}
    plan["lines"] = {
        line: {**own, "how": "lower", "time_to_ground": "9 min"} for line in job["lines"]
    }
    job["signoff"]["roles"] = [change("role")]
    job["signoff"]["deviations"] = [
        {
            "check": change("check"),
            "by": someone,
            "reason": change("reason"),
            "until": "2150-12-31",
            "conditions": [change("condition"), change("condition")],
        }
    ]
    line = next(each for each in job["lines"].values() if each["role"] == "safety")
    depths = {"sill": "3 m", "roof": "4.6 m", "yard": "40 m"}
    ledges = [{"name": change(name), "below": below} for name, below in depths.items()]
    line["fall"] = {"free": "0.6 m", "ledges": ledges}
    other = next(name for name, each in job["lines"].items() if each is line)
    free = {f"lines.{other}.fall.free": "0.4 m"}
    job["alternatives"] = {"less": {"title": change("title"), "change": free}}


def _hazards_and_work(job: Any, change: Callable[[str], str]) -> None:
    levels = ("eliminate", "substitute", "engineer", "organise", "wear")
    someone = next(iter(job["people"]))
    hazard: dict[str, Any] = {key: change(key) for key in ("title", "who", "how", "reason", "due")}
    hazard["controls"] = {level: [change(level), change(level)] for level in levels}
    hazard["owner"] = someone
    wrong = {"severity": change("severity"), "likelihood": change("likelihood")}
    job["hazards"] = {
        "one": {**hazard, "before": {"severity": "5", "likelihood": "3"}},
        "wind": {**hazard, "before": wrong, "after": wrong},
        "lightning": {"dropped": "true", "reason": change("reason")},
    }
    job["work"] = {
        **{key: change(key) for key in ("why_rope", "communications", "lightning", "lighting")},
        **{key: [change(key), change(key)] for key in ("steps", "ppe", "stop_work", "others")},
        "method": "rope access",
        "isolations": [{key: change(key) for key in ("what", "number", "proved")}],
    }


def _alone(job: Any, change: Callable[[str], str]) -> None:
    """A casualty on one line alone: beside a second line its reason would be a fault."""
    carried = next(line for line in job["lines"].values() if "load" in line.get("rescue", {}))
    why = {"second_line_riskier": change("riskier"), "measures": [change("measure")]}
    job["loads"]["alone"] = {**job["loads"][carried["rescue"]["load"]], "single_line": why}
    carried["rescue"]["load"] = "alone"


def _records(job: Any, change: Callable[[str], str]) -> None:
    for anchor in job["anchors"].values():
        anchor["not_practicable"] = change("not_practicable")
    for device in job["devices"].values():
        device["kind"] = change("kind")
        device["scheme"] = {"reference": change("reference"), "due": "2027-12-01"}
    for rope in job["ropes"].values():
        rope["scheme"] = {"reference": change("reference"), "due": "2027-12-01"}
    for load in job["loads"].values():
        own = ("in_turn", "one_line", "more_lines", "together", "heavy")
        load |= {key: change(key) for key in own}
    for line in job["lines"].values():
        line["stabilised"] = change("stabilised")


def extreme() -> dict[str, Any]:
    """Three lines over three edges each, anchors with many legs, the longest names there can be."""
    job = raw("lighthouse")
    texts(job, lambda key: f"{key} {LONG} {WORDS}")
    del job["alternatives"], job["ropes"]["green"], job["ropes"]["sand"]
    job["pictures"]["coping"]["of"] = f"edges.{long_id('e2')}"
    job["pictures"]["rings"]["of"] = f"anchors.{long_id('a')}"
    edge = job["edges"].pop("coping")
    job["edges"] = {
        long_id(f"e{n}"): {**edge, "turn": "14 deg", "radius": "4 mm"} for n in range(3)
    }
    leg = {"strength": "20 kN", "evidence": "tested", "angle": "20 deg"}
    job["anchors"][long_id("a")] = {**job["anchors"].pop("ring_pair"), "legs": [leg, leg]}
    job["ropes"][long_id("r")] = {**job["ropes"].pop("red"), "length": "120 m"}
    job["loads"][long_id("l")] = job["loads"].pop("technician")
    line, safety = job["lines"]["working"], job["lines"]["safety"]
    over = [{"edge": name, "after": f"{n + 0.3} m"} for n, name in enumerate(job["edges"])]
    line.update(rope=long_id("r"), anchor=long_id("a"), load=long_id("l"), over=over)
    line["rescue"] = {"load": long_id("l"), "how": "lower"}
    line["cases"] = ["lower", "raise"]
    safety["load"] = long_id("l")
    safety["over"] = over[:1]
    job["lines"] = {long_id(f"w{n}"): copy.deepcopy(line) for n in range(2)}
    job["lines"]["safety"] = safety
    job["rescue"]["lines"] = dict.fromkeys(job["lines"], job["rescue"]["lines"]["safety"])
    return job


def bare() -> dict[str, Any]:
    """A job that leaves out all that may be left out."""
    job = raw("lighthouse")
    for anchor in job["anchors"].values():
        for leg in anchor["legs"]:
            del leg["strength"]
            leg["evidence"] = "unknown"
    for rope in job["ropes"].values():
        rope.pop("stretch", None)
        rope.pop("peak", None)
        del rope["strength"]
    for line in job["lines"].values():
        line.pop("devices", None)
        line.pop("fall", None)
        line.pop("rescue", None)
    for load in job["loads"].values():
        load.pop("who", None)
    for person in job["people"].values():
        person.pop("expires", None)
    del job["sites"]["gallery"]["reach_sideways"], job["sites"]["gallery"]["wind"]
    for key in ("devices", "hazards", "work", "alternatives", "pictures"):
        del job[key]
    for site in job["sites"].values():
        for key in ("near", "zone", "chemicals"):
            del site[key]
    job["rescue"] = {}
    return job


class _Plain(yaml.SafeDumper):
    """Writes parts that are used twice out twice: a job file takes no aliases."""

    def ignore_aliases(self, _data: Any) -> bool:
        return True


def studied(job: dict[str, Any], day: date = DAYS["lighthouse"]) -> Dossier:
    return studied_once(_read(_written(job), "made.yaml", day))


def assessed(job: dict[str, Any], day: date = DAYS["lighthouse"]) -> Dossier:
    """The same without a search for changes and limits, which takes most of the time.

    For drawings of the plan itself, which show nothing of what could be done about it.
    """
    found = brief_dossier(_read(_written(job), "made.yaml", day))
    plan = found.plan
    nothing = Package(
        None, plan.file.job, (), {}, plan.failed_checks, frozenset(), (), cut=False, tried=0
    )
    study = Study(plan, (), nothing, (), (), {}, Effort(1, 0, 0))
    return Dossier(study, found.register, found.judged)


def _written(job: dict[str, Any]) -> str:
    return yaml.dump(job, Dumper=_Plain, sort_keys=False, allow_unicode=True, width=10_000)


def _read(text: str, name: str, day: date) -> JobFile:
    reading = read_text(text, name, day, JOBS)
    assert reading.file is not None, "\n".join(str(each) for each in reading.faults)
    return reading.file


def job_named(name: str) -> Dossier:
    if name in DAYS:
        text = (JOBS / f"{name}.yaml").read_text()
        return studied_once(_read(text, f"jobs/{name}.yaml", DAYS[name]))
    return studied({"extreme": extreme, "bare": bare}[name]())


def part_of(view: View, *ids: str) -> View:
    """Page 1 and these sections alone, their links undone. All of a report takes long to set."""
    kept = [each for each in view.sections if each.id in ids]
    return replace(
        view,
        sections=tuple(replace(each, blocks=tuple(map(_unlinked, each.blocks))) for each in kept),
    )


def _unlinked(block: Block) -> Block:
    if not isinstance(block, Table):
        return block
    rows = [
        replace(
            row,
            head=replace(row.head, href=""),
            cells=tuple(replace(cell, href="") for cell in row.cells),
        )
        for row in block.rows
    ]
    return replace(block, rows=tuple(rows))


class Made:
    """A job with everything that is made of it, each made once."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.dossier = job_named(name)
        self.assessment = self.dossier.study.plan
        self.standing: SignOffState = stand(self.dossier)
        self.view: View = build(self.dossier, self.standing)
        self.inside: tuple[Attachment, ...] = report_attachments(self.dossier, self.standing)
        self.html: str = html_file(self.view, self.inside).decode()

    @cached_property
    def pdf(self) -> bytes:
        """The report as `render` writes it, with the files it was made from inside it."""
        return printed(self.view, self.inside)

    @cached_property
    def pages(self) -> list[str]:
        """What is read on each page of the PDF."""
        return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(self.pdf)).pages]


@cache
def made_of(name: str) -> Made:
    """What is made of a job, once in a run of the tests."""
    return Made(name)


@cache
def drawn_of(name: str) -> Dossier:
    """A demo without the search, for drawings of the plan itself."""
    return assessed(raw(name), DAYS[name])


def from_texts(change: Callable[[str], str], *, searched: bool = False) -> Dossier:
    """An assessment of a job in which every free text was changed, with or without the search."""
    job = raw("lighthouse")
    texts(job, change)
    _alone(job, change)
    return studied(job) if searched else assessed(job)
