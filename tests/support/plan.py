"""A plain plan as a job file, and changes to it: a whole job with one difference."""

from __future__ import annotations

import copy
import datetime
import json
from typing import Any, get_args

import yaml

from riskdoc.export.export import assessment, in_json
from riskdoc.job.model import RopeStandard
from riskdoc.job.reading import JobFile, read_text
from riskdoc.judgement.assess import assess
from riskdoc.judgement.verdicts import Assessment

DAY = datetime.date(2027, 6, 1)

ROPE: dict[str, Any] = {
    "standard": "EN 1891 type A",
    "diameter": "11 mm",
    "strength": "30 kN",
    "stretch": "3.5 %",
    "mass": "75 g/m",
    "length": "100 m",
    "sheath": "polyamide",
    "core": "polyamide",
    "made": "2025-01",
    "life": {"none": "the maker names none"},
    "retire_by": "2035-01",
    "inspected": "2027-04-01",
    "condition": "good",
}

DESCENDER: dict[str, Any] = {
    "kind": "descender",
    "diameter_from": "6 mm",
    "diameter_to": "25 mm",
    "standards": list(get_args(RopeStandard)),
    "strength": "22 kN",
    "acts": ["self-locks"],
    "slip": {"none": "does not slip under what is judged here"},
    "mass_at_most": "250 kg",
    "fall_at_most": "1 m",
    "slip_at_most": "1 m",
    "mass": "0.5 kg",
    "material": "aluminium",
}
"""A device that asks nothing more of a plan, for plans in which it is not the point."""
BACKUP: dict[str, Any] = {**DESCENDER, "kind": "back-up device", "acts": ["travels"]}

BASE: dict[str, Any] = {
    "riskdoc": "1",
    "job": {
        "number": "T-1",
        "revision": "A",
        "title": "Plain plan",
        "client": "Nobody",
        "location": {"place": "Test tower"},
        "valid": {"from": "2027-06-01", "to": "2027-06-02"},
        "requirements": "general",
    },
    "people": {
        "lead": {
            "name": "A. Lead",
            "role": "supervisor",
            "competence": "level 3",
            "expires": "2028-12-31",
            "first_aid": "true",
            "rescue": "true",
            "supervises": "true",
        },
        "second": {
            "name": "B. Second",
            "role": "technician",
            "competence": "level 1",
            "expires": "2028-12-31",
            "first_aid": "true",
            "rescue": "true",
            "supervises": "false",
        },
        "third": {
            "name": "C. Third",
            "role": "technician",
            "competence": "level 1",
            "expires": "2028-12-31",
            "first_aid": "true",
            "rescue": "true",
            "supervises": "false",
        },
    },
    "sites": {
        "wall": {
            "drop": "30 m",
            "reach_sideways": "0 m",
            "wet": "false",
            "wind": {"none": "in a hall"},
            "zone": {"size": "5 m", "kept_by": "a barrier and C. Third"},
            "near": {"none": "an empty hall"},
            "chemicals": {"none": "nothing is stored there"},
            "clear_below": "8 m",
            "temperature": "10 degC",
        }
    },
    "anchors": {
        "one": {"legs": [{"strength": "22 kN", "evidence": "tested"}]},
        "two": {"legs": [{"strength": "22 kN", "evidence": "tested"}]},
    },
    "ropes": {"main": copy.deepcopy(ROPE), "second": copy.deepcopy(ROPE)},
    "loads": {
        "worker": {
            "people": "1",
            "mass": "80 kg",
            "kit": "18 kg",
            "who": ["second", "third"],
            "in_turn": "the other one stays at the top",
            "together": "where a test hangs two there, it asks of two on one pair of lines",
        }
    },
    "devices": {"descender": copy.deepcopy(DESCENDER), "backup": copy.deepcopy(BACKUP)},
    "lines": {
        "working": {
            "role": "working",
            "rope": "main",
            "anchor": "one",
            "site": "wall",
            "over": {"none": "hangs free"},
            "below": "20 m",
            "load": "worker",
            "cases": ["descend", "ascend"],
            "redirects": {"none": "hangs straight from its anchor"},
            "strands": "1",
            "devices": ["descender"],
            "fall": {"none": "always under load"},
            "knots": {
                "anchor": "figure-of-eight",
                "load": "figure-of-eight",
                "counted": "half rule",
            },
            "runs": "1",
            "hours": "4 h",
            "rescue": {"none": "rescuers come from below"},
        },
        "safety": {
            "role": "safety",
            "rope": "second",
            "anchor": "two",
            "site": "wall",
            "over": {"none": "hangs free"},
            "below": "20 m",
            "load": "worker",
            "cases": ["hold"],
            "passes": "0",
            "redirects": {"none": "hangs straight from its anchor"},
            "strands": "1",
            "devices": ["backup"],
            "runs": "1",
            "hours": "10 min",
            "fall": {"free": "0.6 m", "clear": "8 m", "ledges": {"none": "a plain wall"}},
            "knots": {
                "anchor": "figure-of-eight",
                "load": "figure-of-eight",
                "counted": "half rule",
            },
            "rescue": {"none": "rescuers come from below"},
        },
    },
    "work": {
        "method": "rope access",
        "steps": ["rig both lines", "work", "strip the lines"],
        "light": "daylight",
        "shift": "6 h",
        "communications": "radio; loss stops the work",
        "stop_work": ["anybody says stop"],
    },
    "rescue": {
        "by": "own team",
        "who": ["lead", "second", "third"],
        "how": "from below",
        "method": "a lift platform is driven to the casualty",
        "kit": "lift platform at the foot",
        "time_to_ground": "8 min",
        "phone_signal": "good",
        "lines": {"none": "the same from both lines"},
    },
    "signoff": {"roles": ["prepared", "authorised"]},
}

COMPLETE: dict[str, Any] = {
    "job": {"permits": ["P-1"]},
    "work": {"isolations": []},
    "sites": {
        "wall": {
            "wind": {
                "stop_at": "3 m/s",
                "measured_as": "mean",
                "height": "10 m",
                "gusts_per_hour": "1",
                "source": "site",
            },
        }
    },
    "loads": {"pair": {"people": "2", "mass": "160 kg", "kit": "20 kg"}},
    "lines": {
        "working": {"hours": "30 min", "rescue": {"load": "pair", "how": "lower"}},
        "safety": {"hours": "30 min"},
    },
    "rescue": {
        "kit": "lowering device at the anchor",
        "steps": ["Take the load on the lowering device.", "Lower to the ground."],
        "time_to_contact": "3 min",
        "first_aid": "A. Lead, kit at the foot",
        "hospital": "town hospital",
        "rendezvous": "gate",
        "phone_signal": "good",
        "drilled": "2027-05-20",
    },
}
"""The change that leaves no item of the set `general` open: what is left waits for a person."""

COPING: dict[str, Any] = {
    "site": "wall",
    "surface": "granite",
    "radius": "4 mm",
    "turn": "80 deg",
}
"""A square granite coping, hardly rounded."""

PLATE: dict[str, Any] = {
    "kind": "rigid plate",
    "radius": "30 mm",
    "surface": "polished metal",
    "width": "1 m",
    "tied": "true",
}
PAD: dict[str, Any] = {"kind": "thick pad", "width": "1 m", "tied": "true"}
ROLLER: dict[str, Any] = {"kind": "roller set", "radius": "25 mm", "width": "300 mm",
                          "tied": "true", "guards": "true"}  # fmt: skip


def both_ropes(**change: Any) -> dict[str, Any]:
    """The same change to the ropes of both lines."""
    return {"ropes": {"main": dict(change), "second": dict(change)}}


def merged(base: dict[str, Any], change: dict[str, Any]) -> dict[str, Any]:
    """`base` with `change` laid over it; a value of None takes the key away."""
    result = copy.deepcopy(base)
    for key, value in change.items():
        if value is None:
            result.pop(key, None)
        elif isinstance(value, dict) and set(value) == {"none"}:
            result[key] = copy.deepcopy(value)  # nothing of what was stated stands beside it
        elif isinstance(value, dict):
            there = result.get(key)
            # What says that there is none gives way to what there is.
            stated = isinstance(there, dict) and set(there) != {"none"}
            result[key] = merged(there if stated else {}, value)
        else:
            result[key] = copy.deepcopy(value)
    return result


def over_edges(
    edge: dict[str, Any] | None = None,
    protector: dict[str, Any] | None = None,
    after: str = "2.5 m",
    passes: str = "0",
) -> dict[str, Any]:
    """The change that leads both lines over a place of their own on one coping."""
    edge = edge or COPING
    change: dict[str, Any] = {"edges": {}, "protection": {}, "lines": {}}
    for line in ("working", "safety"):
        here = {"protection": {"none": "looked at, left bare"}, **edge}
        if protector is not None:
            here["protection"] = f"at_{line}"
            change["protection"][f"at_{line}"] = dict(protector)
        change["edges"][f"edge_{line}"] = here
        change["lines"][line] = {
            "over": [{"edge": f"edge_{line}", "after": after}],
            "passes": passes if line == "working" else "0",
        }
    return change


def tree_of(*changes: dict[str, Any], base: dict[str, Any] = BASE) -> dict[str, Any]:
    """The base plan with changes, as it would be written."""
    whole = merged(base, {})
    for change in changes:
        whole = merged(whole, change)
    _in_keeping(whole)
    return whole


def job_of(
    *changes: dict[str, Any], day: datetime.date = DAY, base: dict[str, Any] = BASE
) -> JobFile:
    """The base plan with changes, read as a job file; it must read without a fault."""
    whole = tree_of(*changes, base=base)
    text = yaml.safe_dump(whole, sort_keys=False, default_style='"')
    reading = read_text(text, "plan.yaml", day)
    assert not reading.faults, "\n".join(map(str, reading.faults))
    assert reading.file is not None
    return reading.file


def _in_keeping(whole: dict[str, Any]) -> None:
    """Takes away what a change of the base plan leaves without a use, which would be a fault."""
    for load in whole["loads"].values():
        if load.get("people") == "0":  # the base plan names people, and a thing has none
            load.pop("who", None)
    overs = [line.get("over", []) for line in whole["lines"].values()]
    run_over = {each["edge"] for over in overs if isinstance(over, list) for each in over}
    for edge in ("edge_working", "edge_safety"):  # those of `over_edges`, with their line
        if edge not in run_over and isinstance(whole.get("edges"), dict):
            whole["edges"].pop(edge, None)


def assessed(*changes: dict[str, Any]) -> Assessment:
    """The base plan with changes, assessed."""
    return assess(job_of(*changes))


def as_json(*changes: dict[str, Any]) -> dict[str, Any]:
    """What `check --json` prints for the base plan with changes."""
    plan = assessed(*changes)
    return json.loads(in_json(assessment(plan), plan))


def figure(data: dict[str, Any], id: str) -> dict[str, Any]:
    """A figure of `as_json` by id."""
    found = [each for each in data["figures"] if each["id"] == id]
    assert found, f"no figure {id}; there are {[f['id'] for f in data['figures']]}"
    return found[0]


def check(data: dict[str, Any], id: str) -> dict[str, Any]:
    """A check of `as_json` by id."""
    found = [each for each in data["checks"] if each["id"] == id]
    assert found, f"no check {id}; there are {[c['id'] for c in data['checks']]}"
    return found[0]
