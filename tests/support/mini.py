"""The smallest plan that is met and may be signed: a thing on one line, by a set of one question.

For tests that change bytes, letters or files and ask nothing of what a plan holds: it has an edge
less, a line less and no person on a rope, so its search, its figures and its pages are few.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from support.papers import Paper, folder, paper, put, signed
from support.plan import BASE, COMPLETE, merged

RULES = """\
id: crew
title: Rules
edition: "1"
about: a
scope: b
items:
  one: {clause: "1", asks: Was it looked at?, test: asked, provenance: judgement}
"""
ONE_LINE: dict[str, Any] = {
    "anchors": {"two": None},
    "ropes": {"second": None},
    "devices": {"backup": None},
    "loads": {
        "pair": None,
        "worker": {
            "people": "0", "who": None, "in_turn": None, "together": None,
            "one_line": "nobody stands below it",
        },
    },
    "lines": {
        "safety": None,
        "working": {"cases": ["lower"], "rescue": {"none": "nobody hangs on it"}},
    },
}  # fmt: skip
"""The change to the complete plan that leaves one thing on one line."""
MINI: dict[str, Any] = merged(merged(BASE, COMPLETE), ONE_LINE)


def put_mini(where: Path, *changes: dict[str, Any], name: str = "plan.yaml") -> Path:
    """The small plan with changes, and its set, as files in a folder."""
    (where / "rules.yaml").write_text(RULES, "utf-8")
    own = {"job": {"requirements": "rules.yaml"}}
    return put(where, own, *changes, name=name, base=MINI)


@cache
def mini(language: str = "en") -> Paper:
    """The small plan, signed by both roles."""
    path = put_mini(folder(), {"report": {"language": language}})
    signed(path)
    return paper(path)
